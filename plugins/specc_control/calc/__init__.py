"""The control plugin's calculators: pure functions, each with its equation and source.

sources.py   copper, and what several share
wire.py      area, resistance, drop, size, and whether a fuse opens
coil.py      warm coils, what reaches them, how they let go
battery.py   how long, how large; and how long a contact lasts
"""
