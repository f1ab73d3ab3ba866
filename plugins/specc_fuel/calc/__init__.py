"""The fuel plugin's calculators: pure functions in SI, each with its equation and source.

sources.py   constants and citations shared by several
checks.py    what is refused, in words
state.py     propane's equation of state; propane.py its calculators
heat.py      gross and net heating values
nozzle.py    gas through holes; orifice.py its calculators
boiling.py   a cylinder that cools: heat from the air, liquid, steel
cylinder.py  pressure, boil-off, duration, number; filling.py filling and contents
amounts.py   areas of jets, and gas over a show
vessel.py    vessels that empty and fill; accumulator.py and charging.py their calculators
mixture.py   butane, and blends; condensing.py condensation pressure and liquid; first_fill.py air and purging
isothermal.py  friction in pipes; fittings.py fittings and valves; viscosity.py; pipe.py their calculators
"""
