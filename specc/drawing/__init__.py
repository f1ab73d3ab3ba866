"""Drawings as lists of shapes, with the standard symbols and an SVG writer."""
