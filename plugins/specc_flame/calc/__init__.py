"""The flame plugin's calculators: pure functions in SI, each with its equation and source.

sources.py   constants and citations shared by several;  checks.py what is refused, in words
height.py    how long a flame is;  fireball.py when gas burns as a ball
reach.py     what an outlet's flame comes to, from its jets: the forms that apply, and the one that governs
wind.py      tilt and push;  plume.py the hot gas above;  part.py how hot a part gets
flux.py      heat radiated to a point;  dose.py what it does to skin;  field.py all flames at a point of the site
envelope.py  an outlet's flame, and the worst it can send to a place: what the passes work with
"""
