"""Calculators of shapes and lengths: rings and their jets, bends, pipe cut to length, the weight of tube."""
