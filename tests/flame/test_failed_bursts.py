"""A burst that is fired while a regulator has failed open: its gas beside a small model, and what is said."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from specc.kinds.gas import FAILED_BURSTS, FailedBurst
from specc.model.result import Result
from specc.testing import Patch, findings_of, project, result_of

CoolProp = pytest.importorskip("CoolProp.CoolProp")
PSI, INCH = 6894.757293168, 0.0254
SEEN = """
from specc import CHOICE, Context, Verdict, found, hookimpl, rule
from specc.kinds.gas import FAILED_BURSTS

SPECC_CONTRACT = 2


@rule("seen.bursts", level="note", statement="x", source=CHOICE, wants=(FAILED_BURSTS,))
def bursts(ctx: Context) -> Verdict:
    known = ctx.get(FAILED_BURSTS) or {}
    said = (f"{t} {b.regulator} {b.flow.si:.6g} {b.pressure.si:.6g} {b.liquid}" for t, b in known.items())
    return found([], "; ".join(said))


@hookimpl
def specc_passes() -> list[object]:
    return [bursts]
"""
SPEC = """format: 1
project: {title: One store, use: standing}
event: {name: Trial evening, dates: [2027-06-19], elevation: 0 ft, setting: outdoors}
weather: {air: {low: 64 °F, usual: 64 °F, high: 64 °F}, sun: 20 °F, wind: {usual: 5 mph, stop: 15 mph}}
places:
  mast: {at: [0 ft, 0 ft, 9 ft]}
  crowd: {at: [0 ft, -90 ft, 0 ft], kind: audience}
effects: {puff: {kind: burst, outlets: [nozzle], at: mast}}
show: {scenes: {dusk: {lasts: 10 min, bursts: {puff: {times: 2, open: 0.5 s}}}}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}
    pr: {kind: regulator, set: 30 psi, highest: 30 psi, lock_up: 36 psi, rating: 250 psi, seat: 1/16 in}
    x: {kind: fitting, form: tee, rating: 250 psi}
    rv: {kind: valve, form: relief, opens: 60 psi, relieves: 240 lb/h, bore: 1/4 in, rating: 250 psi}
    acc: {kind: accumulator, volume: 2 gal, rating: 250 psi}
    sv: {kind: valve, form: solenoid, normally: closed, rating: 250 psi}
    nozzle: {kind: burner, form: nozzle, rating: 250 psi, jets: {count: 1, bore: 3/8 in, discharge: 0.8}}
  runs:
    main: {from: tank, line: [pr, x, acc, sv, nozzle]}
    relief: {from: x, line: [rv]}
"""
NO_RELIEF: tuple[Patch, ...] = (("    relief: {from: x, line: [rv]}\n", ""),)
BEHIND: tuple[Patch, ...] = (  # the accumulator stands ahead of the regulator that counts for the nozzle
    ("[pr, x, acc, sv, nozzle]", "[pr, x, acc, pr9, sv, nozzle]"),
    (
        "    x: {",
        "    pr9: {kind: regulator, set: 20 psi, highest: 20 psi, lock_up: 22 psi, rating: 250 psi}\n    x: {",
    ),
)


def of(folder: Path, *patches: Patch) -> Result:
    (folder / "seen.py").write_text(SEEN)
    return result_of(project(folder, SPEC, *patches), plugins=(str(folder / "seen.py"),))


def told(result: Result) -> tuple[str, float, float, str]:
    """The regulator, kg/s, Pa gauge at the jets, and what is said of liquid."""
    looked = next(r.looked for r in result.rules if r.id == "seen.bursts")
    _, regulator, flow, pressure, liquid = looked.split(" ", 4)
    return regulator, float(flow), float(pressure), liquid


def hole(pressure: float, warm: float) -> float:
    """kg/s through the nozzle, choked, from rest at a pressure (Pa absolute)."""
    cp = float(CoolProp.PropsSI("CP0MASS", "P", 1e5, "T", warm, "Propane"))
    k = cp / (cp - 8.314462618 / 0.04409562)
    rho = float(CoolProp.PropsSI("D", "P", pressure, "T|gas", warm, "Propane"))
    area = 0.8 * math.pi * (3 / 8 * INCH) ** 2 / 4
    return area * math.sqrt(k * pressure * rho) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))


AIR, WARM = 101325.0, 273.15 + (64 - 32) / 1.8


def test_its_accumulator_stands_at_what_the_relief_valve_lets_stand(tmp_path: Path) -> None:
    """60 psi and a tenth: all of it behind the nozzle's one hole."""
    regulator, flow, pressure, liquid = told(of(tmp_path))
    assert (regulator, liquid) == ("pr", "")
    assert pressure == pytest.approx(66 * PSI, rel=1e-3)
    assert flow == pytest.approx(hole(AIR + 66 * PSI, WARM), rel=0.01)


def test_with_no_relief_it_stands_at_the_cylinders_and_liquid_is_said(tmp_path: Path) -> None:
    result = of(tmp_path, *NO_RELIEF)
    _, flow, pressure, liquid = told(result)
    supply = result.figure("fuel.zone_pressure.cylinder_pressure.set")
    assert supply is not None
    assert pressure == pytest.approx(supply.si, rel=1e-3)
    boils = float(CoolProp.PropsSI("T", "P", AIR + supply.si, "Q", 1, "Propane"))
    assert flow == pytest.approx(hole(AIR + supply.si, boils + 0.2), rel=0.06)  # k is that of the ideal gas
    assert "gas turns liquid in acc at" in liquid
    rule = next(r for r in result.rules if r.id == "flame.public_distance")
    assert rule.status == "not checked"
    assert "gas turns liquid in acc" in rule.looked


def test_a_regulator_behind_it_that_fails_gives_what_is_stored_as_at_rest(tmp_path: Path) -> None:
    """One fails at a time: the first, which charges it, or the second, which lets the nozzle have it."""
    regulator, flow, pressure, _ = told(of(tmp_path, *BEHIND))
    # The second open lets 36 psig come to the nozzle; with the first open the second still holds 20.
    assert regulator == "pr9"
    assert pressure == pytest.approx(36 * PSI, rel=0.02)  # wide open it is as wide as 3/4 in, and loses a little
    assert flow == pytest.approx(hole(AIR + 36 * PSI, WARM), rel=0.02)


def test_a_regulator_whose_gas_comes_back_to_it_is_relieved_as_well(tmp_path: Path) -> None:
    """It stands on a way of its own, and gas of the other comes to it against the flow."""
    result = of(
        tmp_path,
        ("    main: {from: tank, line: [pr, x, acc, sv, nozzle]}\n",
         "    main: {from: tank, line: [pr, x, y, sv, nozzle]}\n    more: {from: t2, line: [pr8, acc, y]}\n"),
        ("    x: {", "    y: {kind: fitting, form: tee, rating: 250 psi}\n    t2: {kind: cylinder, capacity: 20 lb,"
         " diameter: 12.5 in, height: 18 in, tare: 18 lb}\n"
         "    pr8: {kind: regulator, set: 25 psi, highest: 25 psi, rating: 250 psi, seat: 1/16 in}\n    x: {"),
    )  # fmt: skip
    _, flow, pressure, liquid = told(result)
    assert liquid == ""
    assert pressure == pytest.approx(66 * PSI, rel=1e-3)
    assert flow == pytest.approx(hole(AIR + 66 * PSI, WARM), rel=0.01)


def test_the_public_stands_off_from_it_by_flame_and_by_heat(tmp_path: Path) -> None:
    result = of(tmp_path)
    rows = [row.cells for row in dict(result.tables)["flame.standoffs"].rows]  # type: ignore[attr-defined]
    for what in ("flame of nozzle", "radiation of"):
        usual, then = (
            max(float(far.split()[0]) for _, far, why, _ in rows if what in why and ("fired" in why) is failed)
            for failed in (False, True)
        )
        assert then > usual or what == "flame of nozzle"  # that reaches on from where it falls
    public = result.figure("flame.public_distance.puff")
    assert public is not None
    assert public.si >= max(float(far.split()[0]) for _, far, _, _ in rows) * 0.3048 * 0.99


def test_a_nearer_crowd_is_refused_by_it(tmp_path: Path) -> None:
    near = ("crowd: {at: [0 ft, -90 ft, 0 ft]", "crowd: {at: [0 ft, -42 ft, 0 ft]")
    (found,) = findings_of(project(tmp_path, SPEC, near), "flame.public_distance")
    assert "fired, a regulator failed open" in found.message


def test_a_burst_that_burns_from_no_accumulator_gets_what_its_regulator_gives(tmp_path: Path) -> None:
    result = of(tmp_path, ("[pr, x, acc, sv, nozzle]", "[pr, x, sv, nozzle]"))
    regulator, flow, _, liquid = told(result)
    usual = result.figure("fuel.flow.nozzle")
    assert usual is not None
    assert (regulator, liquid) == ("pr", "")
    assert flow > usual.si
    assert FAILED_BURSTS.name == "fuel.failed_bursts"
    assert FailedBurst("pr", usual, usual).liquid == ""
