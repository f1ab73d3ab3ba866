"""Dew pressure, liquid that collects, and what it does, against CoolProp and the values of design.md."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PT_INPUTS, QT_INPUTS, AbstractState, DmassT_INPUTS, PropsSI
from hypothesis import given
from hypothesis import strategies as st

from specc.basics.air import air_pressure
from specc_fuel.calc import accumulator, condensing, mixture, propane

PSI = 6894.757293168
GALLON = 0.003785411784
AIR = 101325.0
HIGH_GROUND = 84.0e3


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


TANK = 5 * GALLON


@pytest.mark.parametrize("fahrenheit", [-40, 0, 32, 40, 70, 100, 130, 180])
def test_butanes_against_their_equation_of_state(fahrenheit: float) -> None:
    t = kelvin(fahrenheit)
    n, i = mixture.n_butane_pressure(t).value, mixture.isobutane_pressure(t).value
    # The paper's vapor pressure equations and its equation of state differ by so much.
    assert n == pytest.approx(PropsSI("P", "T", t, "Q", 0, "n-Butane"), rel=3e-4)
    assert i == pytest.approx(PropsSI("P", "T", t, "Q", 0, "IsoButane"), rel=3e-4)
    assert n < i < propane.vapor_pressure(t)


# design.md, dew pressure at 40 degF.
@pytest.mark.parametrize(("share", "printed"), [(0.0, 63.9), (0.025, 57.7), (0.05, 52.4)])
def test_dew_pressures_of_design(share: float, printed: float) -> None:
    assert condensing.dew_pressure(kelvin(40), share).value / PSI == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize("fahrenheit", [-40, 40, 60, 70, 130])
def test_pure_dew_is_saturation_above_that_air(fahrenheit: float) -> None:
    # gas.md 1b, psia: the gauge value follows the air's pressure at the place.
    printed = {-40: 16.117, 40: 78.636, 60: 107.715, 70: 124.908, 130: 273.377}[round(fahrenheit)]
    for elevation in (0.0, 1189.0, 2500.0):
        air = air_pressure(elevation)
        dew = condensing.dew_pressure(kelvin(fahrenheit), ambient=air).value
        assert (dew + air) / PSI == pytest.approx(printed, abs=6e-4)


BLENDS = [(0.01, 0.0), (0.025, 0.0), (0.05, 0.0), (0.1, 0.0), (0.0, 0.05), (0.0, 0.1), (0.01, 0.05), (0.05, 0.05)]


@pytest.mark.parametrize(("n_butane", "isobutane"), BLENDS)
@pytest.mark.parametrize("fahrenheit", [-40, 0, 40, 70, 100, 130])
def test_raoult_against_a_real_mixture(n_butane: float, isobutane: float, fahrenheit: float) -> None:
    t = kelvin(fahrenheit)
    parts = [("Propane", 1 - n_butane - isobutane), ("n-Butane", n_butane), ("IsoButane", isobutane)]
    parts = [(name, share) for name, share in parts if share > 0]
    blend = AbstractState("HEOS", "&".join(name for name, _ in parts))
    blend.set_mole_fractions([share for _, share in parts])
    blend.update(QT_INPUTS, 1.0, t)
    off = (condensing.dew_pressure(t, n_butane, isobutane).value + AIR) / blend.p() - 1
    # Named difference, as the equation's record says it: Raoult is ideal. Low is the safe side.
    assert -0.027 <= off <= 0.003
    if isobutane == 0:
        assert off < 0


shares = st.floats(0.0, 0.5)
walls = st.floats(kelvin(-60), kelvin(140))


@given(walls, shares, shares)
def test_more_butane_or_a_colder_wall_lowers_it(t: float, n: float, i: float) -> None:
    dew = condensing.dew_pressure(t, n, i).value
    assert condensing.dew_pressure(t, n * 0.9, i).value >= dew - 1e-6
    assert condensing.dew_pressure(t, n, i * 0.9).value >= dew - 1e-6
    assert condensing.dew_pressure(t - 1, n, i).value < dew
    # n-butane counts more than isobutane.
    assert condensing.dew_pressure(t, 0.0, n).value >= condensing.dew_pressure(t, n, 0.0).value


def test_ends_of_the_blend() -> None:
    t = kelvin(40)
    assert condensing.dew_pressure(t, 1.0).value + AIR == pytest.approx(mixture.n_butane_pressure(t).value, rel=1e-12)
    only = condensing.dew_pressure(t, 0.0, 1.0).value + AIR
    assert only == pytest.approx(mixture.isobutane_pressure(t).value, rel=1e-12)


def test_what_dew_pressure_says() -> None:
    assert condensing.dew_pressure(kelvin(40), 0.06, 0.04).beyond == ""
    assert "10 %" in condensing.dew_pressure(kelvin(40), 0.06, 0.05).beyond
    cold = condensing.dew_pressure(kelvin(-60))
    assert cold.value < 0
    assert "even at the air's pressure" in cold.beyond
    for bad, words in (
        ((kelvin(40), -0.01), "share of n-butane"),
        ((kelvin(40), 0.0, 1.01), "share of isobutane"),
        ((kelvin(40), 0.6, 0.6), "add up to 120 %"),
        ((400.0,), "computed here"),
        ((math.nan,), "computed here"),
        ((kelvin(40), 0.0, 0.0, 0.0), "air's absolute pressure"),
    ):
        with pytest.raises(ValueError, match=words):
            condensing.dew_pressure(*bad)


def test_margin_and_highest_setting() -> None:
    dew = condensing.dew_pressure(kelvin(40)).value
    hot, cold = propane.vapor_pressure(kelvin(90)) - AIR, propane.vapor_pressure(kelvin(40)) - AIR
    # The regulator limits a warm supply; a supply as cold as the wall limits itself.
    assert condensing.condenses(70 * PSI, hot, dew) == pytest.approx(dew - 70 * PSI)
    assert condensing.condenses(70 * PSI, hot, dew) < 0
    assert condensing.condenses(70 * PSI, cold, dew) == pytest.approx(0.0, abs=1e-6)
    assert condensing.condenses(30 * PSI, hot, dew) == pytest.approx(dew - 30 * PSI)
    setting = condensing.highest_setting(dew, 10 * PSI, 5 * PSI)
    assert setting == pytest.approx(dew - 15 * PSI)
    assert condensing.condenses(setting + 5 * PSI, hot, dew) == pytest.approx(10 * PSI)
    for bad, words in (
        ((dew, -1.0), "margin"),
        ((dew, dew), "no regulator"),
        ((dew, 0.0, -1.0), "rise to lock-up"),
    ):
        with pytest.raises(ValueError, match=words):
            condensing.highest_setting(*bad)
    with pytest.raises(ValueError, match="lock-up"):
        condensing.condenses(-1.0, hot, dew)
    with pytest.raises(ValueError, match="is a number"):
        condensing.condenses(1.0, math.nan, dew)


# ---------------------------------------------------------------- how much liquid


@pytest.mark.parametrize(("gauge", "fill", "wall"), [(80, 70, 40), (110, 70, 20), (60, 70, -40), (250, 130, 30)])
def test_cooled_vessel_of_pure_propane(gauge: float, fill: float, wall: float) -> None:
    content = accumulator.accumulator_content(TANK, gauge * PSI, kelvin(fill)).value
    liquid = condensing.cooling_liquid(content, TANK, kelvin(wall))
    gas = AbstractState("HEOS", "Propane")
    gas.update(DmassT_INPUTS, content / TANK, kelvin(wall))
    assert 0 < gas.Q() < 1
    assert liquid.value == pytest.approx((1 - gas.Q()) * content, rel=1e-6)
    # Hardly more than the mass at the start less the saturated vapor's: the liquid takes some of its space.
    plain = content - TANK * dict(liquid.also)["rho_d"]
    assert plain < liquid.value < 1.1 * plain


def test_cooled_vessel_that_stays_dry() -> None:
    content = accumulator.accumulator_content(TANK, 60 * PSI, kelvin(70)).value
    dry = condensing.cooling_liquid(content, TANK, kelvin(45))
    assert (dry.value, dry.regime) == (0.0, "no liquid")
    # The edge lies where the cooled gas is just saturated.
    edge = propane.vapor_density_value(kelvin(40), propane.vapor_pressure(kelvin(40))) * TANK
    assert condensing.cooling_liquid(edge * 0.9999, TANK, kelvin(40)).value == 0.0
    assert condensing.cooling_liquid(edge * 1.0001, TANK, kelvin(40)).value > 0.0


@pytest.mark.parametrize("share", [0.025, 0.05, 0.1])
@pytest.mark.parametrize(("gauge", "fill", "wall"), [(60, 70, 35), (80, 75, 40), (60, 70, 10), (40, 70, -40)])
def test_cooled_blend_is_bounded(share: float, gauge: float, fill: float, wall: float) -> None:
    # A real mixture (CoolProp) shut in at its density: the pressure at which its two phases fill the same volume.
    blend = AbstractState("HEOS", "Propane&n-Butane")
    blend.set_mole_fractions([1 - share, share])
    blend.update(PT_INPUTS, gauge * PSI + AIR, kelvin(fill))
    density, mean = blend.rhomolar(), blend.molar_mass()
    t = kelvin(wall)
    low, high = 0.2e5, gauge * PSI + AIR
    for _ in range(60):
        middle = (low + high) / 2
        blend.update(PT_INPUTS, middle, t)
        low, high = (middle, high) if blend.rhomolar() < density else (low, middle)
    blend.update(PT_INPUTS, low, t)
    x = blend.mole_fractions_liquid() if 0 <= blend.Q() < 1 else [0.0, 0.0]
    moles = (1 - blend.Q()) * density * TANK if sum(x) else 0.0
    true = moles * (x[0] * 0.04409562 + x[1] * 0.0581222)
    assert true <= density * mean * TANK
    content = accumulator.accumulator_content(TANK, gauge * PSI, kelvin(fill)).value
    bound = condensing.cooling_liquid(content, TANK, t, share).value
    assert bound >= true
    assert bound <= density * mean * TANK * 1.01
    if bound == 0:
        assert moles == 0


def test_cooling_refuses() -> None:
    for bad, words in (
        ((-1.0, TANK, 280.0), "content"),
        ((0.1, 0.0, 280.0), "volume"),
        ((20.0, TANK, 280.0), "full of liquid"),
        ((0.1, TANK, 100.0), "computed here"),
        ((0.1, TANK, 280.0, 2.0), "n-butane"),
    ):
        with pytest.raises(ValueError, match=words):
            condensing.cooling_liquid(*bad)


@given(st.floats(0.01, 0.8), walls, st.floats(0.0, 0.1))
def test_colder_or_fuller_never_less_liquid(content: float, wall: float, share: float) -> None:
    liquid = condensing.cooling_liquid(content, TANK, wall, share)
    assert 0 <= liquid.value <= content * mixture.molar_mass(share, 0.0) / 0.04409562 * (1 + 1e-9)
    assert condensing.cooling_liquid(content * 1.1, TANK, wall, share).value >= liquid.value
    assert condensing.cooling_liquid(content, TANK, wall - 2, share).value >= liquid.value * (1 - 1e-9)


@pytest.mark.parametrize(
    ("lock_up", "supply_at", "butane", "regime"),
    [
        (50, 90, 0.0, "nothing condenses"),
        (70, 40, 0.0, "nothing condenses"),
        (70, 90, 0.0, "fills with liquid"),
        (60, 90, 0.025, "the heavier part condenses"),
        (50, 90, 0.025, "nothing condenses"),
        (70, 90, 0.025, "fills with liquid"),
    ],
)
@pytest.mark.parametrize("air", [AIR, HIGH_GROUND])
def test_fed_vessel(lock_up: float, supply_at: float, butane: float, regime: str, air: float) -> None:
    # Lock-up and supply given at sea level's gauge, carried to the place's air.
    wall = kelvin(40)
    gauge = lock_up * PSI + AIR - air
    supply = (propane.vapor_pressure(kelvin(supply_at)) - AIR - 1.0) + AIR - air
    found = condensing.fed_liquid(TANK, gauge, supply, wall, butane, ambient=air)
    assert found.regime == regime
    full = TANK * PropsSI("D", "T", wall, "Q", 0, "Propane")
    assert found.value == pytest.approx(0.0 if regime == "nothing condenses" else full, rel=1e-8)


# ---------------------------------------------------------------- what the liquid does


def test_liquid_as_vapor() -> None:
    for fahrenheit in (0, 40, 60, 70, 100, 130):
        t = kelvin(fahrenheit)
        times = PropsSI("D", "T", t, "Q", 0, "Propane") / PropsSI("D", "T", t, "P", AIR, "Propane")
        assert condensing.liquid_to_vapor(GALLON, t).value == pytest.approx(times * GALLON, rel=1e-8)
        assert times == pytest.approx(270, rel=0.06)  # the trade's round figure
    # gas.md 1c, 60 degF, 14.696 psia: 35.737 ft3/gal.
    assert condensing.liquid_to_vapor(GALLON, kelvin(60), 14.696 * PSI).value / 0.3048**3 == pytest.approx(
        35.737, abs=6e-4
    )
    high, low = (condensing.liquid_to_vapor(GALLON, kelvin(60), air).value for air in (HIGH_GROUND, AIR))
    assert high > low
    assert condensing.liquid_to_vapor(0.0, kelvin(60)).value == 0.0
    with pytest.raises(ValueError, match="stays a pool"):
        condensing.liquid_to_vapor(GALLON, kelvin(-50))
    with pytest.raises(ValueError, match="the liquid cannot be below zero"):
        condensing.liquid_to_vapor(-1.0, kelvin(60))


@pytest.mark.parametrize("fahrenheit", [-40, 0, 40, 60, 100, 130])
@pytest.mark.parametrize("rise", [1, 10, 50])
def test_trapped_liquid_against_coolprop(fahrenheit: float, rise: float) -> None:
    t = kelvin(fahrenheit)
    gas = AbstractState("HEOS", "Propane")
    gas.update(DmassT_INPUTS, PropsSI("D", "T", t, "Q", 0, "Propane"), t + rise / 1.8)
    found = condensing.trapped_liquid(t, rise / 1.8).value
    # Liquid hardly gives, so a density right to 1e-8 leaves some 1e-6 in the pressure.
    assert found == pytest.approx(gas.p() - PropsSI("P", "T", t, "Q", 0, "Propane"), rel=1e-5)


def test_trapped_liquid_per_degree() -> None:
    # design.md: about 47 psi per degF; so at 60 degF, and between 65 and 36 from 0 to 100 degF.
    per_degree = [condensing.trapped_liquid(kelvin(f), 1 / 1.8).value / PSI for f in (0, 60, 100)]
    assert per_degree[1] == pytest.approx(47, abs=0.5)
    assert per_degree == pytest.approx([65.3, 46.7, 35.8], abs=0.05)
    assert condensing.trapped_liquid(kelvin(60), 0.0).value == pytest.approx(0.0, abs=1.0)
    for bad in ((kelvin(60), -1.0), (kelvin(60), math.nan)):
        with pytest.raises(ValueError, match="leaves room for vapor"):
            condensing.trapped_liquid(*bad)
    for bad in ((kelvin(130), 100.0), (100.0, 1.0)):
        with pytest.raises(ValueError, match="computed here"):
            condensing.trapped_liquid(*bad)


@given(st.floats(kelvin(-40), kelvin(120)), st.floats(0.01, 20.0))
def test_more_warming_more_pressure(t: float, rise: float) -> None:
    assert condensing.trapped_liquid(t, rise * 1.01).value > condensing.trapped_liquid(t, rise).value > 0
