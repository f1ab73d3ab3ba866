"""Each supply by itself: cylinders joined by pipe are one, and what two give together excuses neither."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import Patch, findings_of, project, result_of

GOOD = Path(__file__).parent.parent / "rules" / "materials.yaml"
END = "    main: {from: tank, line: [pr1, bush, h1, n1, v1, clamp, fo1, riser, slit]}"
OTHER = (
    "    slit:\n",
    "    tank_2: {kind: cylinder, capacity: 5 lb, diameter: 8 in, height: 13 in, tare: 7 lb, rating: 250 psi}\n"
    "    pr2: {kind: regulator, set: 10 psi, highest: 30 psi, rating: 250 psi}\n"
    "    fo2: {kind: orifice, bore: 0.055 in, discharge: 0.8, rating: 250 psi}\n"
    "    bar_2: {kind: burner, form: stem, rating: 125 psi, jets: {count: 1, width: 0.05 in, length: 3 in, "
    "discharge: 0.7}}\n    slit:\n",
)
APART: Patch = (END, END + "\n    second: {from: tank_2, line: [pr2, fo2, bar_2]}")
LIT: Patch = ("outlets: [slit]", "outlets: [slit, bar_2]")


def gas(result: Result, key: str) -> float:
    figure = result.figure(key)
    assert figure is not None, key
    return figure.si


def test_a_small_supply_fails_beside_a_large_one(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, OTHER, APART, LIT)
    result = result_of(spec)
    # Together they hold plenty.
    assert gas(result, "fuel.gas_for_the_show") < 0.8 * gas(result, "fuel.gas_on_site")
    assert [f.message for f in findings_of(spec, "fuel.enough_gas") if "tank_2" in f.message]
    assert [f.message for f in findings_of(spec, "fuel.boil_off") if "tank_2" in f.message]
    assert not [f.message for f in findings_of(spec, "fuel.enough_gas") if "of tank " in f.message]
    # No figure stands that the show as followed refutes.
    assert result.figure("fuel.run_time.tank_2") is None
    assert result.figure("fuel.cylinders_needed.tank_2") is None


def test_the_supplies_together_give_what_is_burned(tmp_path: Path) -> None:
    feed: Patch = (END, END + "\n    second: {from: tank_2, line: [pr2, fo2, slit]}")
    for patches in ((OTHER, APART, LIT), (OTHER, feed)):
        result = result_of(project(tmp_path, GOOD, *patches))
        both = gas(result, "fuel.supply_gas.tank") + gas(result, "fuel.supply_gas.tank_2")
        assert both == pytest.approx(gas(result, "fuel.gas_for_the_show"), rel=1e-6)
        assert gas(result, "fuel.supply_gas.tank_2") > 0


def test_cylinders_joined_by_pipe_are_one_supply(tmp_path: Path) -> None:
    joined: Patch = (
        END,
        END.replace("tank, line: [pr1", "tank, line: [t0, pr1") + "\n    second: {from: tank_2, line: [t0]}",
    )
    tee: Patch = ("    slit:\n", "    t0: {kind: fitting, form: tee, rating: 300 psi}\n    slit:\n")
    result = result_of(project(tmp_path, GOOD, OTHER, tee, joined))
    assert gas(result, "fuel.supply_gas.tank") == pytest.approx(gas(result, "fuel.gas_for_the_show"))
    assert result.figure("fuel.supply_gas.tank_2") is None
