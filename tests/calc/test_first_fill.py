"""The first fill of a vessel full of air, against partial pressures, CoolProp's mixture and step-by-step purging."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import AbstractState, DmolarT_INPUTS, PropsSI, iphase_gas
from hypothesis import given
from hypothesis import strategies as st

from specc.basics.air import air_pressure
from specc_fuel.calc import accumulator, first_fill

PSI = 6894.757293168
AIR = 101325.0
WARM = (70 + 459.67) / 1.8
TANK = 0.02


def test_first_fill_at_sea_level() -> None:
    # design.md: until about 1.6 psig. Named difference: with the handbook's 9.6 % 1.56, with OSHA's 9.5 % 1.54.
    assert first_fill.first_fill(0.096).value / PSI == pytest.approx(1.6, abs=0.05)
    found = first_fill.first_fill()
    assert found.value / PSI == pytest.approx(14.696 * 0.095 / 0.905, rel=1e-5)
    assert dict(found.also)["p_l"] / PSI == pytest.approx(14.696 * 0.021 / 0.979, rel=1e-5)


@pytest.mark.parametrize("elevation", [0.0, 1189.0, 2500.0])
def test_at_the_limit_the_mix_has_that_share(elevation: float) -> None:
    air = air_pressure(elevation)
    found = first_fill.first_fill(ambient=air)
    assert first_fill.fill_fraction(found.value, air) == pytest.approx(0.095, rel=1e-12)
    assert first_fill.fill_fraction(dict(found.also)["p_l"], air) == pytest.approx(0.021, rel=1e-12)
    assert found.value / air == pytest.approx(first_fill.first_fill().value / AIR, rel=1e-12)


def test_against_a_real_mixture() -> None:
    # Nitrogen stands for air. Named difference: ideal mixing gives 0.7 % more, the safe side.
    air = PropsSI("Dmolar", "T", WARM, "P", AIR, "Nitrogen")
    mix = AbstractState("HEOS", "Propane&Nitrogen")
    mix.set_mole_fractions([0.095, 0.905])
    mix.specify_phase(iphase_gas)
    mix.update(DmolarT_INPUTS, air / 0.905, WARM)
    assert 1.0 <= first_fill.first_fill().value / (mix.p() - AIR) <= 1.01


def test_fraction_by_moles() -> None:
    for gauge in (0.0, 1.0, 15 * PSI, 100 * PSI):
        propane, air = gauge, AIR  # moles, each times R T/V
        assert first_fill.fill_fraction(gauge) == pytest.approx(propane / (propane + air), rel=1e-12)


@pytest.mark.parametrize(("gauge", "oxygen"), [(30, 0.01), (60, 0.005), (15, 0.02), (100, 0.1), (2, 0.05)])
@pytest.mark.parametrize("ambient", [AIR, 84.0e3])
def test_purging_step_by_step(gauge: float, oxygen: float, ambient: float) -> None:
    air, cycles = ambient, 0  # partial pressure of the air in it
    while 0.2095 * air / ambient > oxygen:
        total = ambient + gauge * PSI  # propane is added; the air's partial pressure stays
        air *= ambient / total  # vented: all parts fall alike
        cycles += 1
    found = first_fill.purge_cycles(gauge * PSI, oxygen, ambient)
    assert found.value == cycles
    assert dict(found.also)["x"] == pytest.approx(air / ambient, rel=1e-12)
    assert dict(found.also)["y_n"] == pytest.approx(0.2095 * air / ambient, rel=1e-12)


def test_a_whole_number_of_cycles_is_not_one_more() -> None:
    for cycles in (1, 2, 3, 7):
        limit = 0.2095 * (AIR / (AIR + 30 * PSI)) ** cycles
        assert first_fill.purge_cycles(30 * PSI, limit).value == cycles
        assert first_fill.purge_cycles(30 * PSI, limit * 0.999).value == cycles + 1


@given(st.floats(2 * PSI, 100 * PSI), st.floats(0.001, 0.2), st.floats(1.0, 2.0))
def test_purging_moves_the_right_way(gauge: float, oxygen: float, more: float) -> None:
    found = first_fill.purge_cycles(gauge, oxygen)
    assert dict(found.also)["y_n"] <= oxygen * (1 + 1e-6)
    assert first_fill.purge_cycles(gauge * more, oxygen).value <= found.value
    assert first_fill.purge_cycles(gauge, oxygen / more).value >= found.value


def test_purging_uses_no_more_than_said() -> None:
    # Propane counted cycle by cycle in an ideal mix, each cycle brings p V/(R T) moles.
    gauge, cycles = 30 * PSI, 3
    brought = cycles * gauge * TANK / (8.314462618 * WARM) * 0.0440956
    said = first_fill.purge_gas(TANK, gauge, WARM, cycles).value
    assert brought < said < 1.08 * brought
    one = accumulator.accumulator_content(TANK, gauge, WARM).value
    assert said == pytest.approx(3 * (one - accumulator.accumulator_content(TANK, 0.0, WARM).value), rel=1e-12)
    assert first_fill.purge_gas(TANK, gauge, WARM, 0).value == 0.0


def test_refusals() -> None:
    for limit in (0.02, 0.021, 1.0, math.nan):
        with pytest.raises(ValueError, match="upper flammable limit"):
            first_fill.first_fill(limit)
    with pytest.raises(ValueError, match="air's absolute pressure"):
        first_fill.first_fill(ambient=0.0)
    with pytest.raises(ValueError, match="can still burn"):
        first_fill.purge_cycles(1.5 * PSI, 0.01)
    # At a higher place less is enough to leave the range.
    assert first_fill.purge_cycles(1.5 * PSI, 0.1, 84.0e3).value > 0
    for oxygen in (0.0, 0.2095, 0.3, math.nan):
        with pytest.raises(ValueError, match="oxygen to be left"):
            first_fill.purge_cycles(30 * PSI, oxygen)
    with pytest.raises(ValueError, match="which nobody does"):
        first_fill.purge_cycles(1.6 * PSI, 1e-6)
    with pytest.raises(ValueError, match="pressure filled to"):
        first_fill.purge_cycles(0.0, 0.01)
    with pytest.raises(ValueError, match="gauge pressure cannot be below zero"):
        first_fill.fill_fraction(-1.0)
    with pytest.raises(ValueError, match="condenses"):
        first_fill.purge_gas(TANK, 120 * PSI, WARM, 2)
    with pytest.raises(ValueError, match="number of cycles"):
        first_fill.purge_gas(TANK, 30 * PSI, WARM, -1)
