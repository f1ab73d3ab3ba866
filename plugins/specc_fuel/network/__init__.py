"""Steady flow of a gas through a network of pipes, holes, valves and regulators. Plain functions, no spec.

laws.py    the parts, each a law between two nodes
solve.py   the steady state; steps.py the Newton steps to it
parts.py   what is refused, and what gas can reach; rest.py pieces without flow
sparse.py  the linear equations of a step
judge.py   whether an answer is one

    gas = propane(294.261)
    solve([Pipeline("hose", "tank", "burner", 0.00635, 3.0, 1.5e-6), Hole("jet", "burner", "", 1e-6)],
          [HeldNode("cylinder", "tank", 3e5)], gas, 101325.0).flow["jet"]

Heights: gas that is heavier than air gains pressure on the way down (laws.pressure_of_height). For propane at 70 °F
that is 7 Pa a meter near the air's pressure, 0.3 % of 11 in w.c., and 45 at 30 psig, 0.02 % of that. It is left out.
The height of the site itself counts, through the air's pressure.
"""

from specc_fuel.calc.isothermal import IsothermalGas, ideal_gas, propane
from specc_fuel.network.laws import (
    AIR,
    CheckValve,
    Element,
    HeldNode,
    Hole,
    Pipeline,
    Regulator,
    Shut,
    Throttle,
    held_node,
    supply_tag,
)
from specc_fuel.network.solve import NotSettled, Solution, solve

__all__ = [
    "AIR",
    "CheckValve",
    "Element",
    "HeldNode",
    "Hole",
    "IsothermalGas",
    "NotSettled",
    "Pipeline",
    "Regulator",
    "Shut",
    "Solution",
    "Throttle",
    "held_node",
    "ideal_gas",
    "propane",
    "solve",
    "supply_tag",
]
