"""Properties of propane against CoolProp 8.0.0 (the same equation of state) and the NIST WebBook."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from specc_fuel.calc import propane, state

FAHRENHEIT = range(-40, 121, 10)
PSI = 6894.757293168
AIR = 101325.0


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def oracle(what: str, key: str, at: float, other: str, there: float) -> float:
    return float(PropsSI(what, key, at, other, there, "Propane"))


@pytest.mark.parametrize("fahrenheit", FAHRENHEIT)
def test_saturation(fahrenheit: int) -> None:
    # The brief's tolerances (0.1 %, 0.5 %) allow for another equation; this is the same one, solved afresh.
    t = kelvin(fahrenheit)
    assert propane.vapor_pressure(t) == pytest.approx(oracle("P", "T", t, "Q", 0), rel=1e-8)
    assert propane.liquid_density(t) == pytest.approx(oracle("D", "T", t, "Q", 0), rel=1e-8)
    latent = oracle("H", "T", t, "Q", 1) - oracle("H", "T", t, "Q", 0)
    assert propane.latent_heat(t).value == pytest.approx(latent, rel=1e-8)


@pytest.mark.parametrize("kelvins", [150.0, 170.0, 200.0, 231.1, 300.0, 340.0, 355.0, 360.0])
def test_saturation_over_the_whole_range(kelvins: float) -> None:
    both = state.saturation(kelvins)
    assert both.pressure == pytest.approx(oracle("P", "T", kelvins, "Q", 0), rel=1e-7)
    assert both.vapor * 5000 == pytest.approx(oracle("Dmolar", "T", kelvins, "Q", 1), rel=1e-7)


@pytest.mark.parametrize("fahrenheit", [0, 20, 40, 60, 70, 80, 100, 140, 300])
@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.9, 0.999])
def test_vapor(fahrenheit: int, share: float) -> None:
    t = kelvin(fahrenheit)
    p = share * state.saturation(min(t, 360.0)).pressure
    assert propane.vapor_density(t, p).value == pytest.approx(oracle("D", "T", t, "P", p), rel=1e-8)
    assert propane.compressibility(t, p).value == pytest.approx(oracle("Z", "T", t, "P", p), rel=1e-8)


@pytest.mark.parametrize("fahrenheit", [-40, 0, 32, 60, 77, 100, 300])
def test_ideal_gas(fahrenheit: int) -> None:
    t = kelvin(fahrenheit)
    cp = oracle("CP0MASS", "T", t, "P", 1.0)
    assert propane.ideal_heat_capacity(t).value == pytest.approx(cp, rel=1e-7)
    assert propane.heat_capacity_ratio(t).value == pytest.approx(cp / (cp - 8.314472 / 0.04409562), rel=1e-7)


def test_nist_boiling_and_critical_point() -> None:
    # NIST WebBook, ID C74986: boils at 231.1 within 0.2 K; critical at 369.9 within 0.2 K, 42.5 within 0.1
    # bar.
    low, high = propane.vapor_pressure(230.9), propane.vapor_pressure(231.3)
    assert low < AIR < high
    assert pytest.approx(369.9, abs=0.2) == state.CRITICAL_TEMPERATURE
    # The equation's own pressure at the critical point, not the constant.
    f = state.residual(1.0, 1.0)
    assert 5000 * state.R * 369.89 * (1 + f.a_d) == pytest.approx(42.5e5, abs=0.1e5)


def test_the_slope_alone_is_that_of_the_whole_to_the_last_digit() -> None:
    for kelvin in (190.0, 244.3, 288.7, 360.0):
        t = state.CRITICAL_TEMPERATURE / kelvin
        for n in range(1, 400):
            d = 2.4 * n / 400
            assert state.slope_by_density(d, t) == state.residual(d, t).a_d


def test_slopes_of_the_residual_energy() -> None:
    # The hand-made derivatives against differences, where every term counts.
    for d, t in ((0.05, 1.3), (0.9, 1.1), (2.2, 1.4)):
        f, h = state.residual(d, t), 1e-6
        up, down = state.residual(d + h, t), state.residual(d - h, t)
        assert f.a_d == pytest.approx((up.a - down.a) / (2 * h), rel=1e-7)
        assert f.a_dd == pytest.approx((up.a_d - down.a_d) / (2 * h), rel=1e-6)
        warm, cold = state.residual(d, t + h), state.residual(d, t - h)
        assert f.a_t == pytest.approx((warm.a - cold.a) / (2 * h), rel=1e-7)


@pytest.mark.parametrize("kelvins", [0.0, -5.0, 149.9, 360.1, float("nan"), float("inf")])
def test_saturation_refuses(kelvins: float) -> None:
    with pytest.raises(ValueError, match="computed here from 150 K to 360 K"):
        propane.vapor_pressure(kelvins)


def test_vapor_refuses_liquid_and_vacuum() -> None:
    t = kelvin(40)
    with pytest.raises(ValueError, match="condenses"):
        propane.vapor_density(t, propane.vapor_pressure(t) * 1.001)
    with pytest.raises(ValueError, match="above zero"):
        propane.vapor_density(t, 0.0)
    with pytest.raises(ValueError, match="above zero"):
        propane.vapor_density(t, float("nan"))


def test_cylinder_pressure_through_gauge_and_back_is_still_vapor() -> None:
    for fahrenheit in FAHRENHEIT:
        t = kelvin(fahrenheit)
        p = propane.vapor_pressure(t)
        gauge = (p - AIR) / PSI * PSI
        assert propane.vapor_density(t, gauge + AIR).value > 0
