"""The structure plugin's calculators: pure functions, each with its equation and source.

wind.py      gusts, pressure, push
stand.py     overturning, sliding, ballast, guys
plan.py      distances and moments about the edges of a base
handling.py  lifting and tying down
"""
