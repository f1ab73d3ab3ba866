"""The network solver against pandapipes, a general library for pipe networks, in an environment of its own.

    python3 -m venv /tmp/pp && /tmp/pp/bin/pip install pandapipes
    SPECC_PANDAPIPES_PYTHON=/tmp/pp/bin/python python -m pytest tests/oracles -m oracle

pandapipes is given the flows of the jets as sinks, and asked for pressures and for how a ring shares the flow. Its
basis differs: friction by Colebrook, where specc has Churchill; no pressure spent on speeding the gas up; and an ideal
gas of one viscosity, so specc is given that gas too. With pandapipes 0.16.0, drops came out 0.3 to 1.6 % larger here.
"""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from typing import Any

import pytest

from specc_fuel.network import AIR, HeldNode, Hole, Pipeline, ideal_gas, solve

SEA = 101325.0
MOLAR_MASS, VISCOSITY, TEMPERATURE = 0.0440956, 8.05e-6, 294.261
GAS = ideal_gas("propane, as ideal", TEMPERATURE, MOLAR_MASS, 1.13, VISCOSITY)
PYTHON = os.environ.get("SPECC_PANDAPIPES_PYTHON", "")

pytestmark = [
    pytest.mark.oracle,
    pytest.mark.skipif(not PYTHON, reason="SPECC_PANDAPIPES_PYTHON names no Python that has pandapipes"),
]

BRANCHES = [
    Pipeline("main", "tank", "a", 0.0158, 10.0, 46e-6, 2.0),
    Pipeline("left", "a", "b", 0.0109, 6.0, 1.5e-6, 1.5),
    Pipeline("right", "a", "c", 0.0077, 8.0, 1.5e-6, 1.5),
    Pipeline("far", "b", "d", 0.0077, 5.0, 1.5e-6, 1.0),
    Hole("jet b", "b", AIR, 4e-6),
    Hole("jet c", "c", AIR, 3e-6),
    Hole("jet d", "d", AIR, 3e-6),
]
RING = [*BRANCHES, Pipeline("close", "c", "d", 0.0077, 4.0, 1.5e-6, 0.0)]


def both(elements: list[Any], pressure: float) -> tuple[Any, Any]:
    found = solve(elements, [HeldNode("cylinder", "tank", pressure)], GAS, SEA)
    sinks = {e.start: found.flow[e.tag] for e in elements if isinstance(e, Hole)}
    asked = {
        "gas": {"molar_mass": MOLAR_MASS, "viscosity": VISCOSITY, "temperature": TEMPERATURE},
        "supply": {"tank": pressure},
        "pipes": [e._asdict() for e in elements if isinstance(e, Pipeline)],
        "sinks": sinks,
    }
    program = str(Path(__file__).with_name("run_pandapipes.py"))
    ran = subprocess.run([PYTHON, program], input=json.dumps(asked), capture_output=True, text=True, timeout=300)
    assert ran.returncode == 0, ran.stderr
    return found, json.loads(ran.stdout)


@pytest.mark.parametrize("elements", [BRANCHES, RING], ids=["branches", "ring"])
@pytest.mark.parametrize("pressure", [3e5, SEA + 2740.0], ids=["29 psig", "11 in w.c."])
def test_pandapipes_finds_the_same(elements: list[Any], pressure: float) -> None:
    found, other = both(elements, pressure)
    for node in "abcd":
        # The drop, so that a small one counts as much as a large one.
        assert pressure - found.pressure[node] == pytest.approx(pressure - other["pressure"][node], rel=0.02)
    whole = found.flow["main"]
    assert whole == pytest.approx(other["flow"]["main"], rel=1e-9)
    for tag, flow in other["flow"].items():
        assert found.flow[tag] == pytest.approx(flow, abs=2e-3 * whole)
    if elements is RING:
        assert found.flow["close"] > 0  # the ring closes from the right
