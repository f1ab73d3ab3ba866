"""Flame calculators against published examples and data. Each tolerance is the source's rounding, or says what more."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import specc_flame
from specc.formulas.calculators import Calculator
from specc.formulas.evaluating import evaluate
from specc.model.values import Input, Quantity
from specc_flame.calc import dose, fireball, flux, height, part, plume, reach, wind
from specc_flame.calc.field import FlameSource, grid, stand_off
from specc_flame.calc.field import flux as field_flux

CALCULATORS = specc_flame.specc_calculators()
BY_NAME = {c.name: c for c in CALCULATORS}
LHV = 46.35e6

CASES: list[tuple[str, dict[str, float]]] = [
    ("flame-height", {"heat": 100e3, "diameter": 0.3}),
    ("flame-height", {"heat": 1e3, "diameter": 2.0}),
    ("flame-height", {"heat": 100e3, "ambient": 8e4}),
    ("jet-flame", {"flow": 0.0007, "pressure": 2758.0}),
    ("jet-flame", {"flow": 0.002, "pressure": 2e5}),
    ("line-flame", {"heat": 20e3, "length": 2.0}),
    ("fireball", {"mass": 0.5}),
    ("fireball-duration", {"mass": 0.5}),
    ("fireball-duration", {"mass": 4e4}),
    ("fireball-power", {"mass": 0.5, "heating_value": LHV}),
    ("burst-heat", {"flow": 0.03, "mass": 0.02, "heating_value": LHV}),
    ("ball-mass", {"flow": 0.03, "open_time": 0.1}),
    ("visible-tip", {"length": 2.0, "offset": 0.1}),
    ("wind-stagnation", {"wind": 6.7}),
    ("flux-at-distance", {"heat": 1e6, "distance": 8.0, "length": 3.0}),
    ("distance-for-flux", {"heat": 1e6, "flux": 1420.0, "length": 3.0}),
    ("solid-flame", {"heat": 1e5, "diameter": 0.3, "height": 1.0, "distance": 1.0}),
    ("thermal-dose", {"flux": 5e3, "time": 3.0}),
    ("pain-time", {"flux": 5e3}),
    ("plume-temperature", {"heat": 1e5, "height": 3.0}),
    ("axis-temperature", {"heat": 3e4, "height": 0.1}),
    ("axis-temperature", {"heat": 3e4, "height": 0.5}),
    ("axis-temperature", {"heat": 3e4, "height": 2.0}),
    ("let-out", {"flow": 0.03, "time": 0.9}),
    ("fed-flow", {"flow": 0.03, "mass": 0.0002}),
    ("flame-flux", {"heat": 1e6, "length": 3.0, "distance": 9.0, "height": 1.0, "offset": 0.2}),
    ("flame-flux", {"heat": 1e6, "length": 3.0, "distance": 2.0, "height": 1.0}),
    ("larger-flux", {"flame": 500.0, "ball": 700.0}),
    ("total-flux", {"parts": 500.0}),
    ("rest-of-level", {"level": 1420.0, "others": 300.0}),
    ("ball-distance", {"mass": 0.02, "flux": 1420.0, "wind": 6.7}),
    ("outlet-flame", {"heat": 2e6, "flow": 0.04, "pressure": 1e6, "ambient": 9e4}),
    ("outlet-flame", {"heat": 6e4, "flow": 0.0013, "pressure": 3e5, "jets": 2000.0, "ring": 2.4}),
    ("outlet-flame", {"heat": 6e4, "flow": 0.0013, "pressure": 3e5, "jets": 24.0, "ring": 0.6}),
    ("outlet-flame", {"heat": 6e4, "flow": 0.0013, "pressure": 1e6, "jets": 2.0, "ring": 6.0}),
    ("outlet-flame", {"heat": 2e5, "flow": 0.004, "pressure": 20.0, "jets": 1.0, "line": 3.0}),
    ("flame-width", {"length": 3.0, "source": 0.1}),
    ("joined-heat", {"parts": 3e3}),
    ("time-alight", {"times": 12, "open_time": 0.9}),
    ("blow-out-speed", {"width": 0.001}),
    ("added-length", {"parts": 3.0}),
    ("half-length", {"whole": 3.0}),
    ("flame-top", {"height": 3.0, "tip": 4.0, "ball": 1.0}),
]
IN_WORDS = {
    "hottest-gas",
    "cool-height",
    "ball-flux",
    "expected-reach",
    "largest-length",
    "flame-tilt",
    "part-temperature",
    "part-heat-up",
    "burst-warming",
}


def inputs_of(calculator: Calculator[..., Any], values: dict[str, float]) -> dict[str, Input]:
    known = {p.name: p for p in calculator.parameters}

    def given(name: str, value: float) -> Input:
        one = Quantity(value, known[name].dim, str(value))
        return (one,) if known[name].many else one

    return {name: given(name, v) for name, v in values.items()}


@pytest.mark.parametrize(("name", "values"), CASES)
def test_the_printed_equation_gives_the_value(name: str, values: dict[str, float]) -> None:
    calculator = BY_NAME[name]
    worked = calculator.work(**inputs_of(calculator, values))
    assert evaluate(calculator.equation, worked) == pytest.approx(worked.si, rel=1e-9)


def test_every_calculator_and_regime_is_tried() -> None:
    tried = {(n, BY_NAME[n].work(**inputs_of(BY_NAME[n], v)).regime) for n, v in CASES}
    assert tried == {(c.name, r) for c in CALCULATORS for r, text in c.equation.forms if not text.startswith("~")}
    assert {c.name for c in CALCULATORS if all(t.startswith("~") for _, t in c.equation.forms)} == IN_WORDS


# Flame length


@pytest.mark.parametrize(
    ("number", "printed"),
    [(0.2, 0.93), (0.5, 1.80), (1, 2.70), (2, 3.89), (5, 6.06), (10, 8.32), (20, 11.30), (50, 16.76), (100, 22.44)],
)
def test_heskestad_s_normalized_curve(number: float, printed: float) -> None:
    """firemodels/exp, Heskestad_Correlation_2.csv (coefficient 3.72). The form in kW is up to 5.5 % longer at sea
    level (0.235 against 3.72 with air of 1.2 kg/m3): named in fire.md's first table."""
    heat = number * 1.2 * 1000.0 * 293.0 * math.sqrt(9.81)
    assert printed * 0.995 <= height.flame_height(heat, 1.0).value <= printed * 1.09
    # Exactly its own ratio of coefficients.
    ratio = (height.flame_height(heat, 1.0).value + 1.02) / (printed + 1.02)
    assert ratio == pytest.approx(0.235 * (1.2 * 293.0 * math.sqrt(9.81)) ** 0.4 / 3.72, rel=0.006)


@pytest.mark.parametrize(
    ("bore", "psig", "flow", "froude", "length"),
    [
        (1, 0.5, 0.089, 3.14, 0.40),
        (2, 0.5, 0.354, 2.22, 0.72),
        (3, 0.4, 0.714, 1.62, 0.98),
        (5, 0.4, 1.98, 1.26, 1.50),
        (8, 1, 7.98, 1.55, 2.58),
        (10, 0.4, 7.93, 0.89, 2.63),
        (5, 5, 6.71, 4.08, 2.13),
        (2, 30, 2.67, 11.1, 1.12),
        (10, 30, 66.6, 4.96, 5.10),
    ],
)
def test_jets_as_hyram_has_them(bore: float, psig: float, flow: float, froude: float, length: float) -> None:
    """HyRAM+ 6.1's form, a table computed for this tool: 2 %; 4 % where choked, as its notional nozzle differs, and
    the last is at the edge of the two forms, which differ by 9 %."""
    answer = height.jet_flame(flow / 1e3, psig * 6894.757)
    also = dict(answer.also)
    assert also["F"] == pytest.approx(froude, rel=0.04)
    assert answer.value == pytest.approx(length, rel=0.09 if froude == 4.96 else 0.04 if psig > 10 else 0.02)


def test_nist_s_height_of_the_sand_burner() -> None:
    assert height.flame_height(100e3, math.sqrt(4 * 0.09 / math.pi)).value == pytest.approx(1.1375, abs=5e-4)


def test_a_form_says_when_it_is_outside_its_range() -> None:
    assert height.flame_height(1e3, 2.0).beyond
    assert height.line_flame(15e3, 0.0254).beyond
    assert not height.line_flame(15e3, 2.0).beyond
    assert fireball.fireball(0.5).beyond
    assert flux.flux_at_distance(1e6, 1.0).beyond
    assert wind.flame_tilt(6.7, 1.5e-4, 0.06).beyond
    assert plume.plume_temperature(7e3, 0.3).beyond


# Fireballs


def test_ccps_fireball_of_a_propane_truck() -> None:
    """Worked example: 11,957.7 kg, 132.6 m, 10.3 s, view factor 0.255 at 100 m, 350 kW/m2: 89.1 kW/m2."""
    assert fireball.fireball(11957.7).value == pytest.approx(132.6, abs=0.05)
    assert fireball.fireball_duration(11957.7).value == pytest.approx(10.3, abs=0.05)
    width = fireball.fireball(11957.7).value
    assert fireball.view(100.0, width) == pytest.approx(0.255, abs=5e-4)
    assert 350 * fireball.view(100.0, width) == pytest.approx(89.1, abs=0.05)


# Radiation


def test_the_plain_point_source() -> None:
    """ofire's test of NUREG-1805 eq. 5-1; and NUREG-1805 chapter 5's lube oil fire, 771.52 kW: 1.45 kW/m2."""
    assert flux.flux_at_distance(750e3, 2.5, 0, 0.3, 1).value == pytest.approx(2864.788975654)
    assert flux.flux_at_distance(771.52e3, 3.564, 0, 0.3, 1).value == pytest.approx(1450, abs=5)


@pytest.mark.parametrize(("x", "printed"), [(0.5, 5.64), (0.75, 3.51), (1.0, 2.40)])
def test_solid_flame_of_nist(x: float, printed: float) -> None:
    got = flux.solid_flame(100e3, math.sqrt(4 * 0.09 / math.pi), 1.1375, x, 0.0, 0.35).value / 1e3
    assert got == pytest.approx(printed, abs=0.006)


@settings(max_examples=50, deadline=None)
@given(st.floats(1e3, 5e7), st.floats(200, 2e4), st.floats(0, 20))
def test_the_distance_inverts_the_flux(heat: float, level: float, length: float) -> None:
    distance = flux.distance_for_flux(heat, level, length).value
    assert flux.flux_at_distance(heat, distance, length).value == pytest.approx(level, rel=1e-6)


# Skin

EPA = {2: (45, 187), 3: (27, 92), 4: (18, 57), 5: (13, 40), 6: (11, 30), 8: (7, 20), 10: (5, 14), 12: (4, 11)}


@pytest.mark.parametrize("kw", EPA)
def test_times_of_the_epa_table(kw: int) -> None:
    """EPA/FEMA/DOT 1989, table 4.2. Pain at 92 TDU comes 8 to 26 % sooner than its times (doses of 100 to 120):
    the safe side. Second-degree burns lie at 302 to 475 TDU there, above the least of the spread (240)."""
    pain, burn = EPA[kw]
    assert dose.pain_time(kw * 1e3).value == pytest.approx(pain, rel=0.27, abs=0.6)
    assert dose.pain_time(kw * 1e3).value <= pain
    assert dose.dose_of(kw * 1e3, burn) > 240  # second-degree burns: 290 TDU (240 to 350)


def test_stoll_and_chianta() -> None:
    """Second-degree points, 5 to 30 s: all doses lie at or above 200 TDU, so pain's 92 is well before a burn."""
    points = {5: 16, 6: 14, 7: 13, 8: 11.5, 10: 9.8, 12: 8.6, 15: 7.4, 20: 6.0, 25: 5.1, 30: 4.5}
    doses = [dose.dose_of(kw * 1e3, t) for t, kw in points.items()]
    assert all(190 < d < 270 for d in doses), doses
    assert all(dose.pain_time(kw * 1e3).value < 0.55 * t for t, kw in points.items())


# Plume


def test_plumes_of_nist_s_first_vtt_test() -> None:
    """133.78 and 153.21 °C printed; computed here with rho = 353/T: 0.1 °C."""
    bore = math.sqrt(4 * 1.075 / math.pi)
    assert plume.plume_temperature(1245e3, 6.0, bore, 0.4, 295.15).value - 273.15 == pytest.approx(133.78, abs=0.1)
    assert plume.mccaffrey(1245e3, 6.0, 295.15).value - 273.15 == pytest.approx(153.21, abs=0.1)


def test_mccaffrey_s_form_as_nist_tables_it() -> None:
    """firemodels/exp, McCaffrey_Plume.csv, 57 kW at 1.0 m: 360.9 °C; here 355.6 in air of 20 °C (-2 %: kappa
    and air are rounded otherwise). What was measured is in test_measured.py."""
    assert plume.mccaffrey(57e3, 1.0).value - 273.15 == pytest.approx(360.9, rel=0.02)


def test_one_foot_above_is_two_answers() -> None:
    """design.md, F2: over a 7 kW slit 496 °C, over its tip 134 °C (171 by Heskestad): 2 °C."""
    assert plume.axis_temperature(7e3, 0.3048)[0] - 273.15 == pytest.approx(496, abs=2)
    assert plume.axis_temperature(7e3, 0.816)[0] - 273.15 == pytest.approx(134, abs=2)
    assert plume.hottest(7e3, 0.816) - 273.15 == pytest.approx(171, abs=2)


# Parts


def test_thin_steel_in_hot_gas() -> None:
    """NIST's table, F/V 205 1/m: 300.6, 536.6, 700.6, 793.6, 838.7, 872.4 °C; it lags by about a second: 5 °C early."""
    printed = {60: 300.6, 120: 536.6, 180: 700.6, 240: 793.6, 300: 838.7, 600: 872.4}
    gas = 872.81 + 273.15

    def net(t: float) -> float:
        return 25 * (gas - t) + 0.7 * part.STEFAN.si * (gas**4 - t**4)

    for time, warm in printed.items():
        got = part.warmed(net, 7833 * 465 / 205, 293.15, time) - 273.15
        assert got == pytest.approx(warm, abs=5 if time < 240 else 1)


def test_incropera_s_bead() -> None:
    """Example 5.2: settles at 218.7 °C; within 1 K of it after 4.98 s. Example 5.1: 25 to 199 °C in 5.2 s."""
    store = 8500 * 400 * 7.06e-4 / 6

    def net(t: float) -> float:
        return 400 * (473.15 - t) - 0.9 * part.STEFAN.si * (t**4 - 673.15**4)

    end = part.settled(net, 1.0, 600.0)
    assert end - 273.15 == pytest.approx(218.7, abs=0.05)
    assert part.warmed(net, store, 298.15, 4.98) == pytest.approx(end - 1, abs=0.02)
    assert part.warmed(lambda t: 400 * (473.15 - t), store, 298.15, 5.16) - 273.15 == pytest.approx(199, abs=0.02)


def test_a_part_of_no_heat_stays_as_cold_as_the_air_and_more_heat_is_hotter() -> None:
    assert part.part_temperature(0.0).value == pytest.approx(293.15, abs=1e-6)
    steady = [part.part_temperature(q).value for q in (500.0, 1e3, 5e3, 2e4)]
    assert steady == sorted(steady)
    assert part.part_heat_up(5e3, 1e5, 0.001).value == pytest.approx(part.part_temperature(5e3).value, abs=0.1)
    assert part.part_heat_up(5e3, 60, 0.001).value < part.part_temperature(5e3).value


# Wind


@pytest.mark.parametrize(("speed", "degrees"), [(2, 50.6), (4, 63.3), (8, 71.5)])
def test_tilt_of_a_pool(speed: float, degrees: float) -> None:
    """Computed by hand for D = 1 m, 0.099 kg/m2s, vapor of 1.85 kg/m3."""
    assert math.degrees(wind.flame_tilt(speed, 0.099 * math.pi / 4, 1.0).value) == pytest.approx(degrees, abs=0.05)


def test_wind_of_15_mph_pushes_by_27_pascals() -> None:
    assert wind.wind_pressure(15 * 0.44704) == pytest.approx(27.0, abs=0.05)


@pytest.mark.parametrize(("bore", "speed"), [(1, 28), (2, 54), (3, 78), (5, 123), (8, 180), (10, 211)])
def test_blow_out_of_a_bare_jet(bore: float, speed: float) -> None:
    """Computed by hand from Kalghatgi's curve (0.43 m/s, 4.5e-6 m2/s), mm and m/s. No measured value was readable."""
    assert wind.blow_out_speed(bore / 1e3).value == pytest.approx(speed, abs=0.5)
    assert not wind.blow_out_speed(bore / 1e3).beyond


# Bursts and arrangements: what has to hold, and what to expect (design.md, F1 to F5)


def height_and_distance(flow: float, open_time: float) -> tuple[float, float]:
    heat, ball = reach.burst_heat(flow, flow * open_time, LHV), reach.ball_mass(flow, open_time)
    mean = reach.flame_of(heat, heat / LHV, 0.0).length
    top = max(reach.visible_tip(mean), 1.25 * fireball.diameter(ball))
    return top, stand_off(FlameSource("b", 0, 0, 3.0, heat, mean, 0.0, ball, LHV, 1.0), 1420.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(1e-3, 2.0), st.floats(0.002, 5.0), st.floats(1.0, 1.5), st.floats(1.0, 1.5))
def test_more_gas_or_a_longer_burst_never_lowers_height_or_distance(
    flow: float, time: float, more: float, longer: float
) -> None:
    here, there = height_and_distance(flow, time), height_and_distance(flow * more, time * longer)
    assert there[0] >= here[0] * (1 - 1e-9)
    assert there[1] >= here[1] - 2e-6


@pytest.mark.parametrize("edge", [1 / 3, 1.0, 3.0])
@pytest.mark.parametrize("flow", [0.001, 0.03, 0.9])
def test_no_jump_at_the_edges_of_a_burst(flow: float, edge: float) -> None:
    switch = reach.switch_time(flow)
    before = height_and_distance(flow, switch * edge * (1 - 1e-6))
    after = height_and_distance(flow, switch * edge * (1 + 1e-6))
    assert after == pytest.approx(before, rel=1e-5)


def test_a_very_short_burst_falls_with_its_mass() -> None:
    tall = [height_and_distance(0.9, t)[0] for t in (1e-6, 1e-4, 1e-2, 0.05)]
    assert tall == sorted(tall)
    assert tall[0] < 0.06 * tall[-1]


def test_big_burst_stays_a_flame_one_millisecond_below_the_switch() -> None:
    """2 lb/s, 0.288 s: a switch would change a flame of 54 ft into a ball of 15 ft."""
    assert height_and_distance(0.907, 0.287)[0] > 0.99 * height_and_distance(0.907, 0.289)[0]


def test_an_ounce_in_nine_tenths_of_a_second() -> None:
    """F3: 12 to 15 ft mean, 1.42 kW/m2 at 26 to 28 ft from a nozzle at 12 ft (the line of points adds a foot)."""
    heat, ball = reach.burst_heat(0.0355, 0.0355 * 0.9, LHV), reach.ball_mass(0.0355, 0.9)
    assert 3 * reach.switch_time(0.0355) < 0.9
    mean = reach.flame_of(heat, 0.0355, 124e3).length
    assert 12 <= mean / 0.3048 <= 15
    s = FlameSource("b", 0, 0, 12 * 0.3048, heat, mean, 0, ball)
    assert 26 <= stand_off(s, 1420.0) / 0.3048 <= 28.5


def test_a_reed_of_seven_kilowatts() -> None:
    """F1: 16 to 21 in; the line form (0.80 m) is out of range and does not govern."""
    reed = reach.flame_of(7e3, line=2.5 * 0.0254)
    assert 16 <= reed.length / 0.0254 <= 21
    line = next(f for f in reed.forms if f.name == reach.LINE)
    assert not line.used
    assert line.length == pytest.approx(0.80, abs=0.005)


def test_a_ring_of_24_jets() -> None:
    """F5: 60 kW on 24 in: each jet 0.34 m, curtain 0.35 m, merged 0.59 m; 14 to 24 in."""
    ring = reach.flame_of(60e3, 60e3 / LHV, 0.0, 24, 0.6096)
    lengths = {f.name: f.length for f in ring.forms}
    assert lengths["single jet (Heskestad)"] == pytest.approx(0.34, abs=0.005)
    assert lengths[reach.CURTAIN] == pytest.approx(0.35, abs=0.005)
    assert lengths[reach.MERGED] == pytest.approx(0.59, abs=0.005)
    assert ring.governing == reach.MERGED
    assert reach.flame_of(60e3, 0, 0.0, 24, 0.9144).length > buoyant_of_one(24)


def buoyant_of_one(jets: int) -> float:
    return height.buoyant(60e3 / jets) - 1e-9


ARRANGED = st.one_of(
    st.builds(lambda d: {"ring": d}, st.floats(0.05, 3)),
    st.builds(lambda n: {"line": n}, st.floats(0.02, 8)),
    st.just({}),
)


@settings(max_examples=80, deadline=None)
@given(st.floats(500, 5e6), st.floats(1.0, 1.2), ARRANGED, st.integers(1, 30))
def test_more_gas_never_gives_a_shorter_flame(heat: float, more: float, how: dict[str, float], jets: int) -> None:
    def length(q: float) -> float:
        pressure = (q / 5e6) ** 2 * 3e5 + 1.0
        return reach.flame_of(q, q / LHV, pressure, jets, **how).length

    assert length(heat * more) >= length(heat) * (1 - 1e-9)
    assert length(heat * (1 + 1e-7)) == pytest.approx(length(heat), rel=1e-5)


# Heat on the site

SOURCES = st.builds(
    FlameSource,
    st.just("s"),
    st.floats(-20, 20),
    st.floats(-20, 20),
    st.floats(0, 6),
    st.floats(1e3, 5e7),
    st.floats(0.05, 15),
    st.floats(0, 0.5),
    st.floats(0, 0.5),
    st.just(LHV),
    st.just(0.0),
)


@settings(max_examples=80, deadline=None)
@given(SOURCES, st.floats(0.1, 60), st.floats(0, 3), st.floats(1.0, 1.3), st.floats(0, 5))
def test_nearer_more_gas_or_more_wind_is_never_cooler(
    s: FlameSource, level: float, ground: float, more: float, drift: float
) -> None:
    here = field_flux(s, level, ground)
    assert field_flux(s, level * 0.97, ground) >= here * (1 - 1e-9)
    # More gas is a longer flame too: by Heskestad's form with the power 0.4.
    bigger = s._replace(heat=s.heat * more, length=s.length * more**0.4, ball=s.ball * more)
    assert field_flux(bigger, level, ground) >= here * (1 - 1e-9)
    assert field_flux(s._replace(drift=drift), level, ground) >= here * (1 - 1e-9)


@settings(max_examples=80, deadline=None)
@given(st.floats(0.1, 40), st.floats(0, 5), st.floats(0.1, 10), st.floats(0, 1), st.floats(0.05, 1))
def test_the_envelope_covers_every_flame_that_could_lie_there(
    level: float, z: float, length: float, lean: float, share: float
) -> None:
    """Brute force: a flame of some lower flow, at some tilt toward the target, as 200 points, against head heights."""
    heat = (length / 0.235) ** 2.5 * 1e3
    s = FlameSource("s", 0, 0, z, heat, length)
    short, tilt = length * share**0.4, lean * math.pi / 2
    for head in (0.0, 1.0, 2.0):
        total, touched = 0.0, False
        for i in range(200):
            along = short * (i + 0.5) / 200
            apart = math.hypot(level - along * math.sin(tilt), z + along * math.cos(tilt) - head)
            touched = touched or apart < 0.2 * length
            total += 1.25 * 0.32 * heat * share / (4 * math.pi * max(apart, 1e-3) ** 2) / 200
        if not touched:
            assert field_flux(s, level, 0.0) >= total * 0.999


def test_a_contour_is_never_inside_the_true_one() -> None:
    flames = [FlameSource(f"s{i}", 3.0 * i, 2.0 * (i % 3), 2.0, 2e5 * (i + 1), 1.5) for i in range(4)]
    field = grid(flames, -10.0, -10.0, 0.5, 60, 50)
    for j in range(0, 50, 3):
        for i in range(0, 60, 3):
            for dx, dy in ((0.01, 0.01), (0.25, 0.25), (0.49, 0.02)):
                x, y = -10 + 0.5 * i + dx, -10 + 0.5 * j + dy
                at = sum(field_flux(s, math.hypot(x - s.x, y - s.y), 0.0) for s in flames)
                assert field[j][i] >= at * (1 - 1e-9)
