"""From the spec to the printed figure, beside small models of its own: CoolProp's propane, scipy's roots and steps.

The models are written from the equations (isentropic flow from rest, Darcy with Churchill's friction factor, an
isothermal vessel), not from specc's code. A network is held to 2 %; a burst may be up to 8 % larger, never smaller
by more than BASIS: CoolProp's gas constant and heat capacities differ from specc's in the fifth digit.
"""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import checked, project

CoolProp = pytest.importorskip("CoolProp.CoolProp")
optimize = pytest.importorskip("scipy.optimize")
integrate = pytest.importorskip("scipy.integrate")

PSI, INCH, FOOT, GALLON = 6894.757293168, 0.0254, 0.3048, 3.785411784e-3
AIR_T = 273.15 + (64 - 32) / 1.8  # every case of the spec has this air
COPPER_LIMIT = 0.5 * PSI
BASIS = 5e-5
# Told the state once and asked for what is wanted of it: by words, CoolProp finds the state anew for each property.
PROPANE, AIR = (CoolProp.AbstractState("HEOS", name) for name in ("Propane", "Air"))

HEAD = """format: 1
project: {title: Oracle}
event: {name: Trial evening, dates: [2027-06-19], elevation: 0 ft}
weather: {air: {low: 64 °F, usual: 64 °F, high: 64 °F}}
"""


def air(result: Result) -> float:
    figure = result.figure("core.air_pressure")
    assert figure is not None
    return figure.si


def si(result: Result, key: str) -> float:
    figure = result.figure(key)
    assert figure is not None, (key, [f.message for f in result.findings])
    return figure.si


def density(pressure: float) -> float:
    PROPANE.update(CoolProp.PT_INPUTS, pressure, AIR_T)
    return float(PROPANE.rhomass())


def pressure_of(mass: float, volume: float) -> float:
    """Absolute, of gas at the air's temperature."""
    PROPANE.update(CoolProp.DmassT_INPUTS, mass / volume, AIR_T)
    return float(PROPANE.p())


def viscosity(pressure: float) -> float:
    PROPANE.update(CoolProp.PT_INPUTS, pressure, AIR_T)
    return float(PROPANE.viscosity())


@cache
def ratio_of_heats() -> float:
    """Of the ideal gas."""
    cp = float(CoolProp.PropsSI("CP0MASS", "P", 1e5, "T", AIR_T, "Propane"))
    return cp / (cp - 8.314462618 / 0.04409562)


def hole(area: float, ahead: float, behind: float) -> float:
    """Isentropic flow from rest through an effective area, kg/s; pressures absolute."""
    if ahead <= behind:
        return 0.0
    k, rho = ratio_of_heats(), density(ahead)
    r = max(behind / ahead, (2 / (k + 1)) ** (k / (k - 1)))
    return area * math.sqrt(2 * k / (k - 1) * ahead * rho * (r ** (2 / k) - r ** ((k + 1) / k)))


def disc(bore: float, discharge: float = 1.0, count: int = 1) -> float:
    return discharge * count * math.pi * bore**2 / 4


def churchill(reynolds: float, rough: float) -> float:
    a = (2.457 * math.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * rough))) ** 16
    b = (37530 / reynolds) ** 16
    return 8 * ((8 / reynolds) ** 12 + (a + b) ** -1.5) ** (1 / 12)


def end_of_tube(flow: float, ahead: float, bore: float, length: float) -> float:
    """Absolute pressure at the end of a drawn tube (1.5 µm), isothermal and slow."""
    area = math.pi * bore**2 / 4
    mu = viscosity(ahead)
    flux = flow / area
    f = churchill(flux * bore / mu, 1.5e-6 / bore)
    return math.sqrt(ahead**2 - f * length / bore * flux**2 * ahead / density(ahead))


RING = (
    HEAD
    + """effects: {glow: {kind: steady, outlets: [ring]}}
show: {scenes: {dusk: {lasts: 10 min, steady: [glow]}}}
plumbing:
  parts:
    t1: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}
    t2: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}
    pr1: {kind: regulator, set: 10 psi, highest: 10 psi, rating: 250 psi}
    pr2: {kind: regulator, set: 6 psi, highest: 6 psi, rating: 250 psi}
    x: {kind: fitting, form: tee, rating: 250 psi}
    fo1: {kind: orifice, bore: 0.055 in, discharge: 0.8, rating: 250 psi}
    fo2: {kind: orifice, bore: 0.040 in, discharge: 0.8, rating: 250 psi}
    ring: {kind: burner, form: ring, material: copper, rating: 125 psi, joint: {method: brazed, filler: BAg-5},
      jets: {count: 12, bore: 1/16 in, discharge: 0.7}}
  runs:
"""
)
BOTH_SIDES = "    a: {from: t1, line: [pr1, x, fo1, ring]}\n    b: {from: x, line: [fo2, ring]}\n"
TWO_SUPPLIES = "    a: {from: t1, line: [pr1, fo1, ring]}\n    b: {from: t2, line: [pr2, fo2, ring]}\n"


@pytest.mark.parametrize(("runs", "second"), [(BOTH_SIDES, 10.0), (TWO_SUPPLIES, 6.0)], ids=["sides", "supplies"])
def test_a_ring_fed_twice(tmp_path: Path, runs: str, second: float) -> None:
    result = checked(project(tmp_path, RING + runs))
    ambient = air(result)
    feeds = ((disc(0.055 * INCH, 0.8), 10 * PSI), (disc(0.040 * INCH, 0.8), second * PSI))
    jets = disc(INCH / 16, 0.7, 12)

    def section(open_jets: float) -> float:
        def left(gauge: float) -> float:
            p = ambient + gauge
            return sum(hole(a, ambient + s, p) for a, s in feeds) - hole(open_jets * jets, p, ambient)

        return float(optimize.brentq(left, 1e-3, second * PSI, xtol=1e-6))

    gauge, blocked = section(1.0), section(0.5)
    flow = hole(jets, ambient + gauge, ambient)
    assert si(result, "fuel.jet_pressure.ring") == pytest.approx(gauge, rel=0.02)
    assert si(result, "fuel.flow.ring") == pytest.approx(flow, rel=0.02)
    assert si(result, "fuel.section_blocked.ring") == pytest.approx(blocked, rel=0.02)
    # By hand: the copper may carry 0.5 psig, with half the jets blocked.
    found = [f.message for f in result.findings if f.rule == "materials.brazed_copper_open" and "blocked" in f.message]
    assert bool(found) == (gauge <= COPPER_LIMIT < blocked)
    if second == 6.0:
        share = hole(feeds[0][0], ambient + 10 * PSI, ambient + gauge) / flow
        from_first = si(result, "fuel.supply_gas.t1") / si(result, "fuel.gas_for_the_show")
        assert from_first == pytest.approx(share, rel=0.02)


def test_copper_when_its_regulator_fails_open_sees_commercial_propane_at_its_hottest(tmp_path: Path) -> None:
    """15 % above pure propane, in the sun; by hand through one hole and twelve jets."""
    runs = "    a: {from: t1, line: [pr1, x, fo1, ring]}\n"
    hot = ("usual: 64 °F, high: 64 °F}", "usual: 64 °F, high: 90 °F}, sun: 10 °F")
    result = checked(project(tmp_path, RING + runs, hot))
    ambient, liquid = air(result), 273.15 + (100 - 32) / 1.8
    supply = 1.15 * (float(CoolProp.PropsSI("P", "T", liquid, "Q", 1, "Propane")) - ambient) + ambient
    warm = float(CoolProp.PropsSI("T", "P", supply, "Q", 1, "Propane"))  # the gas is as warm as it has to be

    def flow(area: float, ahead: float) -> float:
        k, rho = 1.12, float(CoolProp.PropsSI("D", "P", ahead, "T|gas", warm + 0.5, "Propane"))
        r = max(ambient / ahead, (2 / (k + 1)) ** (k / (k - 1)))
        return area * math.sqrt(2 * k / (k - 1) * ahead * rho * (r ** (2 / k) - r ** ((k + 1) / k)))

    feed, jets = disc(0.055 * INCH, 0.8), disc(INCH / 16, 0.7, 12)
    gauge = float(optimize.brentq(lambda g: flow(feed, supply) - flow(jets, ambient + g), 1.0, 9 * PSI))
    assert si(result, "fuel.section_failed_open.ring") == pytest.approx(gauge, rel=0.05)


LENGTHS = (10, 20, 40, 60, 80, 120)


def test_six_branches_of_unequal_length(tmp_path: Path) -> None:
    parts = "".join(
        f"    t{i}: {{kind: tube, length: {feet} ft, bore: 0.19 in, rating: 250 psi}}\n"
        f"    fo{i}: {{kind: orifice, bore: 0.07 in, discharge: 0.8, rating: 250 psi}}\n"
        f"    b{i}: {{kind: burner, form: stem, material: copper, rating: 125 psi, joint: {{method: brazed,"
        " filler: BAg-5}, jets: {count: 14, bore: 1/16 in, discharge: 0.7}}\n"
        for i, feet in enumerate(LENGTHS)
    )
    runs = "".join(f"    r{i}: {{from: m, line: [t{i}, fo{i}, b{i}]}}\n" for i in range(6))
    spec = (
        HEAD + "effects: {glow: {kind: steady, outlets: [b0, b1, b2, b3, b4, b5]}}\n"
        "show: {scenes: {dusk: {lasts: 10 min, steady: [glow]}}}\nplumbing:\n  parts:\n"
        "    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}\n"
        "    pr: {kind: regulator, set: 10 psi, highest: 20 psi, rating: 250 psi}\n"
        f"    m: {{kind: fitting, form: manifold, rating: 250 psi}}\n{parts}  runs:\n"
        f"    main: {{from: tank, line: [pr, m]}}\n{runs}"
    )
    result = checked(project(tmp_path, spec))
    ambient = air(result)
    feed, jets = disc(0.07 * INCH, 0.8), disc(INCH / 16, 0.7, 14)

    def branch(feet: int, setting: float, jets: float) -> tuple[float, float]:
        """Its flow, and the gauge pressure at its jets."""

        def at_jets(flow: float) -> float:
            return float(optimize.brentq(lambda g: hole(jets, ambient + g, ambient) - flow, 1e-3, 9 * PSI))

        def left(flow: float) -> float:
            end = end_of_tube(flow, ambient + setting, 0.19 * INCH, feet * FOOT)
            return hole(feed, end, ambient + at_jets(flow)) - flow

        most = hole(feed, ambient + setting, ambient)
        flow = float(optimize.brentq(left, 0.05 * most, most))
        return flow, at_jets(flow)

    copper = [f.message for f in result.findings if f.rule == "materials.brazed_copper_open" and f.level == "error"]
    verdicts = set()
    for i, feet in enumerate(LENGTHS):
        assert si(result, f"fuel.flow.b{i}") == pytest.approx(branch(feet, 10 * PSI, jets)[0], rel=0.02), feet
        # By hand: the copper may carry 0.5 psig at the highest setting, with half the jets blocked.
        over = branch(feet, 20 * PSI, 0.5 * jets)[1] > COPPER_LIMIT
        assert any(f"b{i} " in message for message in copper) is over, (feet, copper)
        verdicts.add(over)
    assert verdicts == {True, False}


def test_a_burst_of_an_accumulator_is_never_less_than_the_models(tmp_path: Path) -> None:
    spec = (
        HEAD
        + """effects: {puff: {kind: burst, outlets: [nozzle]}}
show: {scenes: {dusk: {lasts: 10 min, bursts: {puff: {times: 2, open: 0.5 s}}}}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}
    pr: {kind: regulator, set: 30 psi, highest: 30 psi, lock_up: 36 psi, rating: 250 psi}
    fo: {kind: orifice, bore: 0.06 in, discharge: 0.8, rating: 250 psi}
    acc: {kind: accumulator, volume: 5 gal, rating: 250 psi}
    nozzle: {kind: burner, form: nozzle, material: copper, joint: {method: brazed, filler: BAg-5}, rating: 250 psi,
      jets: {count: 1, bore: 3/8 in, discharge: 0.8}}
  runs:
    main: {from: tank, line: [pr, fo, acc, nozzle]}
"""
    )
    result = checked(project(tmp_path, spec))
    # By hand: its copper holds what the store holds.
    assert any(f.rule == "materials.brazed_copper_open" and f.level == "error" for f in result.findings)
    ambient, volume = air(result), 5 * GALLON
    out, feed = disc(3 / 8 * INCH, 0.8), disc(0.06 * INCH, 0.8)
    start = density(ambient + 36 * PSI) * volume

    def pressure(mass: float) -> float:
        return pressure_of(mass, volume)

    def rates(_: float, y: list[float]) -> list[float]:
        p = pressure(y[0])
        into, gone = hole(feed, ambient + 30 * PSI, p), hole(out, p, ambient)
        return [into - gone, gone]

    burst = integrate.solve_ivp(rates, (0, 0.5), [start, 0.0], max_step=0.01, rtol=1e-8, atol=1e-11).y[1][-1]
    assert burst <= si(result, "fuel.burst_gas.nozzle") * (1 + BASIS)
    assert si(result, "fuel.burst_gas.nozzle") <= 1.08 * burst

    # Filled from empty to 95 % of the setting, as gauge pressure.
    full = density(ambient + 0.95 * 30 * PSI) * volume

    def fills(_: float, y: list[float]) -> list[float]:
        return [hole(feed, ambient + 30 * PSI, pressure(y[0]))]

    def done(_: float, y: list[float]) -> float:
        return y[0] - full

    done.terminal = True  # type: ignore[attr-defined]
    filled = integrate.solve_ivp(fills, (0, 3600), [density(ambient) * volume], events=done, rtol=1e-6, max_step=5)
    assert si(result, "fuel.charge_time.acc") == pytest.approx(filled.t[-1], rel=0.03)
    assert si(result, "fuel.charge_time.acc") >= 0.98 * filled.t[-1]


STORES = (
    HEAD
    + """effects: {puff: {kind: burst, outlets: [nozzle]}}
show: {scenes: {dusk: {lasts: 10 min, bursts: {puff: {times: 2, open: 0.5 s}}}}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi}
    first: {kind: regulator, set: 60 psi, highest: 60 psi, lock_up: 66 psi, rating: 250 psi}
    pr: {kind: regulator, set: 30 psi, highest: 30 psi, lock_up: 36 psi, rating: 250 psi}
    fo: {kind: orifice, bore: 0.06 in, discharge: 0.8, rating: 250 psi}
    x: {kind: fitting, form: tee, rating: 250 psi}
    y: {kind: fitting, form: tee, rating: 250 psi}
    far: {kind: accumulator, volume: 4 gal, rating: 250 psi}
    near: {kind: accumulator, volume: 1 gal, rating: 250 psi}
    between: {kind: orifice, bore: 1/8 in, discharge: 0.8, rating: 250 psi}
    valve: {kind: valve, form: ball, rating: 250 psi}
    back: {kind: valve, form: check, cv: 2, rating: 250 psi}
    nozzle: {kind: burner, form: nozzle, rating: 250 psi, jets: {count: 1, bore: 3/8 in, discharge: 0.8}}
  runs:
"""
)


@pytest.mark.parametrize(("runs", "near", "far", "narrow"), [
    ("main: {from: tank, line: [pr, fo, x, nozzle]}\n    side: {from: x, line: [near]}", 1, 0, 0),
    ("main: {from: tank, line: [first, pr, fo, near, nozzle]}", 1, 0, 0),
    ("main: {from: tank, line: [pr, fo, far, near, nozzle]}", 5, 0, 0),
    ("main: {from: tank, line: [pr, fo, far, x, nozzle]}\n    side: {from: x, line: [near]}", 5, 0, 0),
    ("main: {from: tank, line: [pr, fo, x, far, y, nozzle]}\n    side: {from: x, line: [near, y]}", 5, 0, 0),
    ("main: {from: tank, line: [pr, fo, x, nozzle]}\n    side: {from: near, line: [x]}", 1, 0, 0),
    ("main: {from: tank, line: [pr, fo, far, valve, near, nozzle]}", 5, 0, 0),
    ("main: {from: tank, line: [pr, fo, far, between, near, nozzle]}", 1, 4, 1 / 8),
], ids=["on a branch", "two stages", "in a row", "one on a branch", "side by side", "first of a run", "a valve between",
        "a hole between"])  # fmt: skip
def test_a_burst_counts_each_accumulator_that_gives_to_it(
    tmp_path: Path, runs: str, near: int, far: int, narrow: float
) -> None:
    result = checked(project(tmp_path, STORES + f"    {runs}\n"))
    ambient, out, feed = air(result), disc(3 / 8 * INCH, 0.8), disc(0.06 * INCH, 0.8)
    sizes = near * GALLON, max(far, 1e-9) * GALLON
    hole_between = disc(narrow * INCH, 0.8)

    def rates(_: float, y: list[float]) -> list[float]:
        p, q = (pressure_of(m, v) for m, v in zip(y, sizes, strict=False))
        into, over, gone = (
            hole(feed, ambient + 30 * PSI, q if far else p),
            hole(hole_between, q, p),
            hole(out, p, ambient),
        )
        return [over - gone if far else into - gone, into - over if far else 0.0, gone]

    start = [density(ambient + 36 * PSI) * v for v in sizes]
    burst = integrate.solve_ivp(rates, (0, 0.5), [*start, 0.0], max_step=0.01, rtol=1e-8, atol=1e-11).y[2][-1]
    given = si(result, "fuel.burst_gas.nozzle")
    assert burst <= given * (1 + BASIS)
    assert given <= (1.15 if narrow else 1.08) * burst  # what comes through a hole is taken as at first, all the time
    # Stuck open, all of them empty.
    held = sum(si(result, f"fuel.store_content.{t}") for t in ("near", "far") if f"{t}," in runs or f"{t}]" in runs)
    assert si(result, "fuel.stuck_open_gas.nozzle") >= held
    ended = {r.id: r.status for r in result.rules}
    assert ended["fuel.burst_ready"] == ("not checked" if far else "passed")


@pytest.mark.parametrize("bore", [0.06, 0.15, 0.3])
@pytest.mark.parametrize("gallons", [0.1, 1])
def test_a_burst_whose_feed_is_wide_counts_what_its_feed_brings_at_each_moment(
    tmp_path: Path, gallons: float, bore: float
) -> None:
    runs = "    main: {from: tank, line: [pr, fo, near, nozzle]}\n"
    feed_so = ("fo: {kind: orifice, bore: 0.06 in", f"fo: {{kind: orifice, bore: {bore} in")
    small = ("near: {kind: accumulator, volume: 1 gal", f"near: {{kind: accumulator, volume: {gallons} gal")
    result = checked(project(tmp_path, STORES + runs, feed_so, small))
    ambient, out, feed, volume = air(result), disc(3 / 8 * INCH, 0.8), disc(bore * INCH, 0.8), gallons * GALLON

    def rates(_: float, y: list[float]) -> list[float]:
        p = pressure_of(y[0], volume)
        into, gone = hole(feed, ambient + 30 * PSI, p), hole(out, p, ambient)
        return [into - gone, gone]

    start = [density(ambient + 36 * PSI) * volume, 0.0]
    burst = integrate.solve_ivp(rates, (0, 0.5), start, method="LSODA", rtol=1e-7, atol=1e-11).y[1][-1]
    given = si(result, "fuel.burst_gas.nozzle")
    assert burst <= given * (1 + BASIS) <= 0.5 * si(result, "fuel.flow.nozzle")
    assert given <= 1.08 * burst


def test_a_burst_takes_what_stands_in_the_hose_that_fills_it(tmp_path: Path) -> None:
    """A gallon behind 45 ft of 1/4 in hose, the hose taken apart into four pieces that each hold gas."""
    hose = "    fo: {kind: orifice, bore: 0.06 in, discharge: 0.8, rating: 250 psi}"
    long = (hose, "    fo: {kind: tube, bore: 0.25 in, length: 45 ft, rating: 250 psi}")
    runs = "    main: {from: tank, line: [pr, fo, near, nozzle]}\n"
    result = checked(project(tmp_path, STORES + runs, long))
    ambient, out, bore, pieces = air(result), disc(3 / 8 * INCH, 0.8), 0.25 * INCH, 4
    piece = 45 * FOOT / pieces
    inside = math.pi * bore**2 / 4 * piece
    sizes = [*(inside for _ in range(pieces)), GALLON]

    def along(ahead: float, behind: float, length: float) -> float:
        """Gas through a piece of hose, isothermal and slow."""
        if ahead <= behind + 1:
            return 0.0
        most = hole(math.pi * bore**2 / 4, ahead, behind)
        mu, rho = viscosity(ahead), density(ahead)

        def left(flow: float) -> float:
            flux = flow / (math.pi * bore**2 / 4)
            f = churchill(flux * bore / mu, 1.5e-6 / bore)
            return ahead**2 - f * length / bore * flux**2 * ahead / rho - behind**2

        return float(optimize.brentq(left, 1e-9, 5 * most))

    def rates(_: float, y: list[float]) -> list[float]:
        p = [pressure_of(m, v) for m, v in zip(y, sizes, strict=False)]
        ends = [ambient + 30 * PSI, *p]
        into = [along(ends[i], ends[i + 1], piece if i else piece / 2) for i in range(pieces + 1)]
        gone = hole(out, p[-1], ambient)
        return [*(into[i] - into[i + 1] for i in range(pieces)), into[pieces] - gone, gone]

    start = [*(density(ambient + 36 * PSI) * v for v in sizes), 0.0]
    burst = integrate.solve_ivp(rates, (0, 0.5), start, method="LSODA", rtol=1e-4, atol=1e-9).y[-1][-1]
    alone = si(result, "fuel.burst_gas.nozzle")
    assert burst <= alone * (1 + BASIS)
    assert alone <= 1.08 * burst


STEADY_STORE = Path(__file__).parents[1] / "fuel" / "steady_store.yaml"


def test_a_steady_burner_behind_an_accumulator_goes_on_at_what_its_feed_brings() -> None:
    result = checked(STEADY_STORE)
    ambient, volume = air(result), 5 * GALLON
    out, feed = disc(INCH / 16, 0.7, 10), disc(0.0135 * INCH, 0.8)
    kept = hole(feed, ambient + 30 * PSI, ambient)  # choked: the little that stands behind it does not count
    assert si(result, "fuel.kept_flow.lamp") == pytest.approx(kept, rel=0.02)
    # At first it gets what stands in the store.
    assert si(result, "fuel.flow.lamp") == pytest.approx(hole(out, ambient + 36 * PSI, ambient), rel=0.02)

    def rates(_: float, y: list[float]) -> list[float]:
        p = pressure_of(y[0], volume)
        into, gone = hole(feed, ambient + 30 * PSI, p), hole(out, p, ambient)
        return [into - gone, gone]

    full = density(ambient + 36 * PSI) * volume
    burned = integrate.solve_ivp(rates, (0, 3600), [full, 0.0], method="LSODA", rtol=1e-6, atol=1e-9).y[1][-1]
    assert burned <= si(result, "fuel.scene_gas.dusk") * (1 + 1e-6)
    assert si(result, "fuel.scene_gas.dusk") <= 1.08 * burned
    # By hand: the copper sees the store.
    assert any(f.rule == "materials.brazed_copper_open" for f in result.findings)


COLD_T = 273.15 + (30 - 32) / 1.8
HIGHER_HEAT = 50.35e6  # J/kg of propane, to water
COLD = """format: 1
project: {title: Oracle}
event: {name: Trial evening, dates: [2027-06-19], hours: {from: "19:00", to: "05:00"}, elevation: 0 ft}
weather: {air: {low: 30 °F, usual: 30 °F, high: 30 °F}}
effects: {glow: {kind: steady, outlets: [lamp]}}
show: {scenes: {dusk: {starts: "20:00", lasts: 8 h, steady: [glow]}}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: %g lb, diameter: %g in, height: 48 in, tare: %g lb, rating: 250 psi}
    pr: {kind: regulator, set: 10 psi, highest: 10 psi, lock_up: 12 psi, rating: 250 psi}
    fo: {kind: orifice, bore: 0.0421 in, discharge: 0.8, rating: 250 psi}
    lamp: {kind: burner, form: stem, material: copper, rating: 250 psi, joint: {method: brazed, filler: BAg-5},
      jets: {count: %d, bore: 1/16 in, discharge: 0.7}}
  runs:
    main: {from: tank, line: [pr, fo, lamp]}
"""


@cache
def _saturated(temperature: float, quality: int) -> dict[str, float]:
    PROPANE.update(CoolProp.QT_INPUTS, quality, temperature)
    return {"P": PROPANE.p(), "D": PROPANE.rhomass(), "H": PROPANE.hmass(), "C": PROPANE.cpmass()}


def saturated(what: str, temperature: float, quality: int) -> float:
    return _saturated(temperature, quality)[what]


def still_air(wall: float, height: float) -> float:
    """W/m2 into an upright wall from air that does not move (Churchill and Chu), and by radiation from all round."""
    mean = (wall + COLD_T) / 2
    AIR.update(CoolProp.PT_INPUTS, 101325, mean)
    k, mu, cp, rho = AIR.conductivity(), AIR.viscosity(), AIR.cpmass(), AIR.rhomass()
    nu, pr = mu / rho, mu * cp / k
    rayleigh = 9.81 / mean * abs(COLD_T - wall) * height**3 / nu**2 * pr
    nusselt = (0.825 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2
    return nusselt * k / height * (COLD_T - wall) + 0.95 * 5.670374e-8 * (COLD_T**4 - wall**4)


@pytest.mark.parametrize(("pounds", "across", "tare", "jets", "open_to_limit"), [
    (20, 12.5, 18, 100, True), (100, 15, 70, 100, True), (20, 12.5, 18, 3, False)])  # fmt: skip
def test_a_cylinder_drawn_at_60_000_btu_an_hour_at_30_f_lasts_no_longer_than_the_models(
    tmp_path: Path, pounds: float, across: float, tare: float, jets: int, open_to_limit: bool
) -> None:
    result = checked(project(tmp_path, COLD % (pounds, across, tare, jets)))
    assert si(result, "fuel.draw_heat.tank") == pytest.approx(60_000 * 1055.056 / 3600, rel=0.02)
    flow = 60_000 * 1055.056 / 3600 / HIGHER_HEAT
    across_m, steel = across * INCH, tare * 0.45359237
    volume = pounds * 0.45359237 / 0.42 / 999.0  # its water capacity, filled to 42 % by weight

    def slope(_: float, y: list[float]) -> list[float]:
        warm, mass = y
        liquid = (mass - saturated("D", warm, 1) * volume) / (1 - saturated("D", warm, 1) / saturated("D", warm, 0))
        height = liquid / saturated("D", warm, 0) / (math.pi * across_m**2 / 4)
        wetted = steel * liquid / saturated("D", warm, 0) / volume
        heat = still_air(warm, height) * math.pi * across_m * height if warm < COLD_T else 0.0
        latent = saturated("H", warm, 1) - saturated("H", warm, 0)
        capacity = liquid * saturated("C", warm, 0) + wetted * 490.0
        return [(heat - flow * latent) / capacity, -flow]

    needs = (10 + 5) * PSI + air(result)  # its setting, and the margin above it that specc asks for

    def falls(_: float, y: list[float]) -> float:
        return saturated("P", y[0], 1) - needs

    falls.terminal = True  # type: ignore[attr-defined]
    start = [COLD_T - 1e-3, pounds * 0.45359237]
    run = integrate.solve_ivp(slope, (0, 8 * 3600), start, events=falls, rtol=1e-6, max_step=60)
    lasts = float(run.t[-1])
    said = [f.message for f in result.findings if f.rule == "fuel.supply_holds"]
    clock = re.search(r"at (\d\d):(\d\d) on", said[0]) if said else None
    # As a clock tells it, to the minute; where nothing is said, it holds to the end.
    found_to_last = ((int(clock[1]) - 20) % 24 * 60 + int(clock[2])) * 60.0 if clock else 8 * 3600.0
    assert 0.85 * lasts <= found_to_last <= lasts + 60
    assert bool(said) is (pounds == 20)

    # By hand: the copper may carry 0.5 psig, with half the jets blocked.
    def stands(share: float) -> float:
        return float(optimize.brentq(lambda g: hole(share * disc(INCH / 16, 0.7, jets), air(result) + g, air(result))
                                     - flow, 1e-5, 9 * PSI))  # fmt: skip

    found = [f for f in result.findings if f.rule == "materials.brazed_copper_open" and f.level == "error"]
    assert (stands(0.5) <= COPPER_LIMIT) is open_to_limit
    assert bool(found) is not open_to_limit
