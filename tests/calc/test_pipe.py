"""Pipes, fittings and valves against the fuel gas code's tables, textbooks, CoolProp and scipy."""

from __future__ import annotations

import math
from typing import Any

import pytest
from CoolProp.CoolProp import PT_INPUTS, AbstractState, PropsSI
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]
from scipy.optimize import brentq  # type: ignore[import-untyped]

from specc.formulas.evaluating import evaluate
from specc.model.values import Quantity
from specc_fuel.calc import fittings, isothermal, pipe, propane, state, viscosity
from specc_fuel.calc.isothermal import GasState, Pipe
from specc_fuel.network import Throttle

PSI = 6894.757293168
INCH = 0.0254
FOOT = 0.3048
KBTU_PER_HOUR = 1055.05585262 / 3.6
WATER = PSI / 27.7
AIR = 101325.0
CODE_AIR = 14.7 * PSI
STEEL = 46e-6
TUBE = 1.5e-6
SIXTY = (60 + 459.67) / 1.8
WARM = (70 + 459.67) / 1.8

# IFGC 2018, some rows of the propane tables (gas.md 4b): bores in inches, inlet and loss in psi, feet, 1000 Btu/h.
SCHEDULE_40 = (0.622, 0.824, 1.049, 1.380, 1.610, 2.067)
COPPER = (0.305, 0.402, 0.527, 0.652, 0.745, 0.995)
LOW = (11 / 27.7, 0.5 / 27.7)
STEEL_ROWS = [
    ("402.4(25)", 10, 1, 10, (3320, 6950, 13100, 26900, 40300, 77600)),
    ("402.4(25)", 10, 1, 50, (1390, 2910, 5480, 11300, 16900, 32500)),
    ("402.4(27)", 2, 1, 10, (2680, 5590, 10500, 21600, 32400, 62400)),
    ("402.4(27)", 2, 1, 50, (1120, 2340, 4410, 9060, 13600, 26100)),
    ("402.4(28)", *LOW, 10, (291, 608, 1150, 2350, 3520, 6790)),
    ("402.4(28)", *LOW, 50, (122, 255, 480, 985, 1480, 2840)),
]
COPPER_ROWS = [
    ("402.4(29)", 10, 1, 10, (513, 1060, 2150, 3760, 5330, 11400)),
    ("402.4(29)", 10, 1, 20, (352, 727, 1480, 2580, 3670, 7830)),
    ("402.4(30)", *LOW, 10, (45, 93, 188, 329, 467, 997)),
]


def entries(bores: tuple[float, ...], rows: list[Any]) -> list[Any]:
    return [
        (bore * INCH, feet * FOOT, inlet * PSI, loss * PSI, printed)
        for _, inlet, loss, feet, values in rows
        for bore, printed in zip(bores, values, strict=True)
    ]


@pytest.mark.parametrize(
    ("bore", "length", "inlet", "loss", "printed"), entries(SCHEDULE_40, STEEL_ROWS) + entries(COPPER, COPPER_ROWS)
)
def test_the_sizing_equations_meet_the_code_s_rows(
    bore: float, length: float, inlet: float, loss: float, printed: float
) -> None:
    found = pipe.pipe_capacity(bore, length, inlet, loss)
    assert found.value / KBTU_PER_HOUR == pytest.approx(printed, rel=0.01)
    assert found.regime == ("high pressure" if inlet > 1.5 * PSI else "low pressure")


def friction_capacity(bore: float, length: float, inlet: float, loss: float, roughness: float) -> float:
    """1000 Btu/h, gross after vaporization as in the sizing equations (21,548 Btu/lb), propane at 60 °F."""
    flow = pipe.pipe_flow(bore, length, inlet, inlet - loss, SIXTY, roughness, ambient=CODE_AIR)
    return flow.value * 21548 * 2326 / KBTU_PER_HOUR


@pytest.mark.parametrize(("bore", "length", "inlet", "loss", "printed"), entries(SCHEDULE_40, STEEL_ROWS))
def test_friction_against_the_code_s_steel(
    bore: float, length: float, inlet: float, loss: float, printed: float
) -> None:
    # The code's power law runs through a range of Reynolds numbers in which friction's slope changes; 46 µm.
    assert friction_capacity(bore, length, inlet, loss, STEEL) == pytest.approx(printed, rel=0.12)


@pytest.mark.parametrize(("bore", "length", "inlet", "loss", "printed"), entries(COPPER, COPPER_ROWS))
def test_friction_against_the_code_s_copper(
    bore: float, length: float, inlet: float, loss: float, printed: float
) -> None:
    # One-sided: the code sizes copper by the equation that fits steel, so drawn tube (1.5 µm) carries more than its
    # rows say. It never carries less, which is what a rule by the code's rows relies on.
    assert printed <= friction_capacity(bore, length, inlet, loss, TUBE) <= 1.22 * printed


def test_form_changes_at_one_and_a_half_psi() -> None:
    at = {p: pipe.pipe_capacity(0.02, 10, p * PSI, 0.5 * PSI) for p in (1.499, 1.5)}
    assert [a.regime for a in at.values()] == ["low pressure", "high pressure"]
    assert at[1.5].value == pytest.approx(at[1.499].value, rel=0.05)


@pytest.mark.parametrize("inlet", [0.4, 10.0])
def test_capacity_s_text_gives_its_value(inlet: float) -> None:
    def quantity(value: float, dim: str) -> Quantity:
        return Quantity(value, dim, str(value))

    worked = pipe.pipe_capacity.work(
        bore=quantity(0.0158, "length"),
        length=quantity(7.0, "length"),
        inlet=quantity(inlet * PSI, "gauge_pressure"),
        loss=quantity(0.2 * PSI, "pressure_difference"),
    )
    assert evaluate(pipe.CAPACITY, worked) == pytest.approx(worked.si, rel=1e-12)


# -- gas


@pytest.mark.parametrize("kelvins", [200.0, 233.15, 255.4, 288.71, 294.26, 310.9, 327.6, 350.0, 359.0])
@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.9, 0.999])
def test_viscosity(kelvins: float, share: float) -> None:
    # CoolProp holds the same correlation; the densities are the same equation's.
    p = share * state.saturation(kelvins).pressure
    assert viscosity.vapor_viscosity(kelvins, p) == pytest.approx(
        PropsSI("V", "T", kelvins, "P", p, "Propane"), rel=1e-7
    )


def test_viscosity_of_the_code() -> None:
    # IFGC: 0.008 cP; gas.md 1c: 7.89e-6 Pa s at 60 °F.
    assert viscosity.vapor_viscosity(SIXTY, AIR) == pytest.approx(7.89e-6, abs=0.005e-6)


@pytest.mark.parametrize("share", [0.001, 0.5])
def test_hot_vapor_has_a_viscosity(share: float) -> None:
    assert viscosity.vapor_viscosity(420.0, share * 3.5e6) == pytest.approx(
        PropsSI("V", "T", 420.0, "P", share * 3.5e6, "Propane"), rel=1e-7
    )


@pytest.mark.parametrize(
    ("kelvins", "within"),
    [(200.0, 1e-6), (233.15, 1e-6), (261.9, 1e-6), (294.9, 1e-6), (311.9, 1e-6), (327.6, 1e-6), (350.0, 1e-4)],
)
def test_gas_keeps_to_the_equation_of_state(kelvins: float, within: float) -> None:
    gas = isothermal.propane(kelvins)
    for i in range(1, 101):
        p = gas.saturated * i / 100
        assert gas.density(p) == pytest.approx(propane.vapor_density_value(kelvins, p), rel=within)
        assert gas.at(p).mu == pytest.approx(viscosity.vapor_viscosity(kelvins, p), rel=2e-3)
        assert gas.compressibility(p) == pytest.approx(propane.compressibility(kelvins, p).value, rel=within)


def test_slope_and_integral_belong_to_the_density() -> None:
    gas = isothermal.propane(WARM)
    for p in (1e4, 2e5, 8e5, gas.top * 1.2):
        h = p * 1e-5
        slope = (gas.density(p + h) - gas.density(p - h)) / (2 * h)
        assert gas.at(p).slope == pytest.approx(slope, rel=1e-6)
        gathered = (gas.at(p + h).gathered - gas.at(p - h).gathered) / (2 * h)
        assert gathered == pytest.approx(gas.density(p), rel=1e-8)


def test_other_gas_is_ideal() -> None:
    air = isothermal.ideal_gas("air", 294.26, 0.0289652, 1.4, 1.8e-5)
    assert air.density(AIR) == pytest.approx(AIR * 0.0289652 / (8.314462618 * 294.26), rel=1e-12)
    assert air.compressibility(9e5) == pytest.approx(1.0, rel=1e-12)
    assert air.at(5e5).gathered == pytest.approx(air.density(5e5) * 5e5 / 2, rel=1e-12)


@pytest.mark.parametrize("kelvins", [199.0, 351.0, math.nan])
def test_gas_refuses(kelvins: float) -> None:
    with pytest.raises(ValueError, match="computed here"):
        isothermal.propane(kelvins)


# -- friction


def colebrook(reynolds: float, rough: float) -> float:
    def miss(x: float) -> float:  # x = 1/sqrt(f)
        return x + 2 * math.log10(rough / 3.7 + 2.51 * x / reynolds)

    return float(brentq(miss, 1.0, 30.0, xtol=1e-14)) ** -2


@pytest.mark.parametrize("reynolds", [5e3, 1e4, 1e5, 1e6, 1e7])
@pytest.mark.parametrize("rough", [0.0, 1e-5, 1e-4, 1e-3, 1e-2])
def test_churchill_near_colebrook(reynolds: float, rough: float) -> None:
    # Churchill's paper has them within a few per cent of each other, the most at low Re.
    f = isothermal.friction(reynolds, rough)[0]
    assert f == pytest.approx(colebrook(reynolds, rough), rel=0.035)


@pytest.mark.parametrize("reynolds", [1e-6, 1.0, 99.0, 101.0, 1000.0])
def test_laminar(reynolds: float) -> None:
    f, slope = isothermal.friction(reynolds, 1e-3)
    assert f == pytest.approx(64 / reynolds, rel=1e-6)
    assert slope == pytest.approx(-1, abs=1e-4)


@given(st.floats(1.0, 8.0), st.sampled_from([0.0, 1e-5, 1e-3, 0.05]))
def test_friction_slope(decade: float, rough: float) -> None:
    re = 10**decade
    above, below = (math.log(isothermal.friction(re * math.exp(s), rough)[0]) for s in (1e-5, -1e-5))
    slope = isothermal.friction(re, rough)[1]
    assert slope == pytest.approx((above - below) / 2e-5, abs=2e-4)
    assert slope > -1.001  # so that more flow always loses more


# -- the flow itself


def test_isothermal_textbook() -> None:
    # Crane/Wilkes form, as in the documentation of the fluids library: rho 11.3 at 1.0 MPa, 0.9 MPa behind, f 0.00185,
    # 1000 m of 0.5 m: 145.485 kg/s. A given f is a K of f*L/d.
    t = 300.0
    gas = isothermal.ideal_gas("textbook", t, 11.3 * 8.314462618 * t / 1e6, 1.3, 1e-5)
    tube = Pipe(0.5, 0.0, 0.0, 0.00185 * 1000 / 0.5)
    flux, choked = isothermal.flux_between(gas, tube, gas.at(1e6), gas.at(0.9e6))
    assert flux * tube.area == pytest.approx(145.485, abs=5e-4)
    assert not choked


@pytest.mark.parametrize("c", [0.5, 5.0, 100.0])
def test_choked_ideal_gas(c: float) -> None:
    # Textbook: the end's Mach number is 1/sqrt(k), so with r = p_1/p_2, r**2 - 1 - 2 ln r = f L/d + K.
    gas = isothermal.ideal_gas("any", 300.0, 0.03, 1.4, 1e-5)
    ahead = gas.at(1e6)
    flux, end = isothermal.most(gas, Pipe(0.01, 0.0, 0.0, c), ahead)
    r = ahead.p / end.p
    assert r * r - 1 - 2 * math.log(r) == pytest.approx(c, rel=1e-9)
    assert flux / end.rho == pytest.approx(math.sqrt(8.314462618 * 300 / 0.03), rel=1e-9)


@pytest.mark.parametrize(
    ("bore", "length", "gauge", "fahrenheit", "grams"),
    [(0.00635, 10, 30, 70, 1.5), (0.0158, 30, 100, 70, 40), (0.0077, 3, 0.4, 40, 0.3), (0.00635, 6, 190, 110, 15)],
)
def test_drop_against_the_momentum_equation(
    bore: float, length: float, gauge: float, fahrenheit: float, grams: float
) -> None:
    """dp/dx = -(f/d) G^2/(2 rho) / (1 - G^2 drho/dp / rho^2): density and viscosity from CoolProp, f by Churchill."""
    t = (fahrenheit + 459.67) / 1.8
    fluid = AbstractState("HEOS", "Propane")
    flux = grams / 1000 / (math.pi * bore**2 / 4)
    start = gauge * PSI + AIR

    def slope(x: float, p: Any) -> list[float]:
        fluid.update(PT_INPUTS, float(p[0]), t)
        rho, mu = fluid.rhomass(), fluid.viscosity()
        by_p = _density_slope(fluid, float(p[0]), t)
        f = isothermal.friction(flux * bore / mu, TUBE / bore)[0]
        return [-f / bore * flux**2 / (2 * rho) / (1 - flux**2 * by_p / rho**2)]

    ran = solve_ivp(slope, (0, length), [start], rtol=1e-9, atol=1e-3)
    found = pipe.pressure_drop(bore, length, gauge * PSI, t, grams / 1000, TUBE)
    # The viscosity is the mean of both ends' here, the local one there.
    assert found.value == pytest.approx(start - ran.y[0][-1], rel=2e-4)
    assert found.regime == "turbulent"


def _density_slope(fluid: Any, p: float, t: float) -> float:
    h = p * 1e-4
    ends = []
    for at in (p - h, p + h):
        fluid.update(PT_INPUTS, at, t)
        ends.append(fluid.rhomass())
    fluid.update(PT_INPUTS, p, t)
    return (ends[1] - ends[0]) / (2 * h)


gauges = st.floats(0.1, 105.0)
bores = st.floats(0.002, 0.05)
lengths = st.floats(0.0, 100.0)
losses = st.floats(0.1, 50.0)


@given(bores, lengths, losses, gauges, st.floats(-9, -0.01))
def test_drop_and_flow_are_one_law(bore: float, length: float, loss: float, gauge: float, decade: float) -> None:
    most = pipe.pipe_flow(bore, length, gauge * PSI, -AIR + 1.0, WARM, TUBE, loss)
    assert most.regime == "choked"
    flow = most.value * 10**decade
    drop = pipe.pressure_drop(bore, length, gauge * PSI, WARM, flow, TUBE, loss)
    assert 0 <= drop.value < gauge * PSI + AIR
    if drop.value > 1e-3:  # less cannot be told from gauge pressures
        back = pipe.pipe_flow(bore, length, gauge * PSI, gauge * PSI - drop.value, WARM, TUBE, loss)
        assert back.value == pytest.approx(flow, rel=1e-6)


@given(bores, st.floats(0.1, 100.0), gauges, st.floats(0.0, 0.99), st.floats(1.001, 3.0))
def test_flow_falls_with_length_and_rises_with_bore(
    bore: float, length: float, gauge: float, share: float, more: float
) -> None:
    def flow(bore: float, length: float, gauge: float) -> float:
        return pipe.pipe_flow(bore, length, gauge * PSI, share * gauge * PSI, WARM, STEEL).value

    assert flow(bore, length * more, gauge) < flow(bore, length, gauge)
    assert flow(bore * more, length, gauge) > flow(bore, length, gauge)


def test_choked_pipe_is_refused_with_the_most() -> None:
    most = pipe.pipe_flow(0.00635, 3, 60 * PSI, -0.9 * AIR, WARM)
    assert most.regime == "choked"
    with pytest.raises(ValueError, match=f"the most it passes is {most.value:.6g} kg/s"):
        pipe.pressure_drop(0.00635, 3, 60 * PSI, WARM, most.value * 1.001)
    near = pipe.pressure_drop(0.00635, 3, 60 * PSI, WARM, most.value * 0.999)
    assert near.value < 60 * PSI + AIR


def test_regimes_and_what_is_beyond() -> None:
    laminar = pipe.pressure_drop(0.0158, 10, 2700.0, WARM, 1e-4)
    also = dict(laminar.also)
    assert laminar.regime == "laminar"
    # Poiseuille, 128 mu L w/(pi rho d^4), for a drop too small to matter to the density.
    rho, mu = propane.vapor_density_value(WARM, 2700 + AIR), viscosity.vapor_viscosity(WARM, 2700 + AIR)
    assert laminar.value == pytest.approx(128 * mu * 10 * 1e-4 / (math.pi * rho * 0.0158**4), rel=1e-3)
    assert also["v"] == pytest.approx(1e-4 / rho / (math.pi * 0.0158**2 / 4), rel=1e-3)
    assert pipe.pressure_drop(0.0158, 10, 2700.0, WARM, 3e-4).regime == "between laminar and turbulent"
    assert pipe.pressure_drop(0.0158, 10, 2700.0, WARM, 1e-3).regime == "turbulent"
    assert "below the air" in pipe.pressure_drop(0.0158, 50, 1000.0, WARM, 1.5e-3).beyond
    assert pipe.pipe_flow(0.0158, 10, 2700.0, 2700.0, WARM).value == 0.0


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"bore": 0.0}, "bore has to be above zero"),
        ({"bore": math.nan}, "bore has to be above zero"),
        ({"length": -1.0}, "length cannot be below zero"),
        ({"length": 0.0}, "leave it out"),
        ({"roughness": -1e-6}, "roughness cannot be below zero"),
        ({"roughness": 1e-3}, "above the 5 %"),
        ({"loss": -1.0}, "loss coefficient cannot be below zero"),
        ({"flow": 0.0}, "flow has to be above zero"),
        ({"flow": math.inf}, "flow has to be above zero"),
        ({"upstream": -2e5}, "below a vacuum"),
        ({"upstream": 120 * PSI}, "condenses"),
        ({"gas_temperature": 100.0}, "computed here"),
        ({"ambient": 0.0}, "absolute pressure has to be above zero"),
    ],
)
def test_drop_refuses(changed: dict[str, float], words: str) -> None:
    usual = {"bore": 0.0095, "length": 3.0, "upstream": 2e5, "gas_temperature": WARM, "flow": 1e-3}
    with pytest.raises(ValueError, match=words):
        pipe.pressure_drop(**{**usual, **changed})


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"bore": -1.0}, "bore"),
        ({"length": 0.0}, "length"),
        ({"inlet": 0.0}, "inlet pressure"),
        ({"loss": 0.0}, "may be lost"),
        ({"loss": 8e4}, "still let gas out"),
        ({"ambient": -1.0}, "air's absolute pressure"),
    ],
)
def test_capacity_refuses(changed: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        pipe.pipe_capacity(**{"bore": 0.0158, "length": 10.0, "inlet": 7e4, "loss": 7e3, **changed})


# -- fittings and valves


def test_lengths_of_fittings() -> None:
    # 2018 IRC table A.2.2, feet, of 1/2 in pipe.
    for ratio, printed in ((fittings.ELL_45, 0.73), (fittings.ELL_90, 1.55), (fittings.TEE_BRANCH, 3.10)):
        assert ratio * 0.622 * INCH / FOOT == pytest.approx(printed, rel=0.01)


def test_loss_of_fittings() -> None:
    # Crane's f_T is 0.027 for 1/2 in and 0.019 for 2 in schedule 40 (from memory); K of a 90° ell is 30 times that.
    assert fittings.loss_of(30, 0.622 * INCH, STEEL) == pytest.approx(30 * 0.027, rel=0.05)
    assert fittings.loss_of(30, 2.067 * INCH, STEEL) == pytest.approx(30 * 0.019, rel=0.05)


def throttled(kv: float, xt: float, ahead: GasState, behind: float, k: float) -> float:
    gas = isothermal.propane(WARM)._replace(k=k)
    return Throttle("valve", "a", "b", kv, xt).flow(gas, AIR, ahead, GasState(behind, 0, 0, 0, 0))


def test_iec_valve_example() -> None:
    # IEC 60534-2-1 example 3: 3,800 m3/h (normal) of carbon dioxide, from 680 to 310 kPa. Without the example's
    # reducers its sizing equation asks for a Kv of 62.652 (computed with the fluids library 1.3.1).
    ahead = GasState(680e3, 680e3 * 0.04401 / (0.988 * 8.314462618 * 433), 0, 0, 0)
    flow = throttled(62.652, 0.60, ahead, 310e3, 1.30)
    assert flow / 0.04401 * 0.022414 * 3600 == pytest.approx(3800, rel=0.002)


def test_valve_sizes_turn_into_each_other() -> None:
    # Water, 1000 kg/m3, 1 bar: Kv 1 passes 1 m3/h.
    area = fittings.area_of_kv(1.0)
    assert area * math.sqrt(2 * 1000 * 1e5) * 3600 / 1000 == pytest.approx(1.0, rel=1e-12)
    k = fittings.loss_of_kv(2.5, 0.0158)
    assert fittings.kv_of_loss(k, 0.0158) == pytest.approx(2.5, rel=1e-12)
    assert fittings.kv_of_cv(10.0) == pytest.approx(8.65)
    # A small drop through the valve's own equation, through K and through the area.
    gas = isothermal.propane(WARM)
    ahead, behind = gas.at(2e5), gas.at(2e5 * (1 - 1e-6))
    by_valve = throttled(2.5, 0.7, ahead, behind.p, gas.k)
    by_k = isothermal.flux_between(gas, Pipe(0.0158, 0.0, 0.0, k), ahead, behind)[0] * math.pi * 0.0158**2 / 4
    assert by_k == pytest.approx(by_valve, rel=1e-5)
    assert fittings.area_of_kv(2.5) * math.sqrt(2 * ahead.rho * 0.2) == pytest.approx(by_valve, rel=1e-5)


def test_choked_valve() -> None:
    limit, ahead = fittings.choked_drop(1.3, 0.6), GasState(5e5, 10.0, 0, 0, 0)
    flows = [throttled(1.0, 0.6, ahead, 5e5 * (1 - x), 1.3) for x in (limit * 0.99, limit, limit * 1.3)]
    assert flows[0] < flows[1] == pytest.approx(flows[2], rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Throttle("valve", "a", "b", 1, 0.0).check(), "xT"),
        (lambda: Throttle("valve", "a", "b", 0, 0.6).check(), "Kv"),
        (lambda: fittings.loss_of(-1, 0.01, 0), "L/d"),
        (lambda: fittings.kv_of_loss(0, 0.01), "K has"),
        (lambda: fittings.kv_of_cv(0), "Cv"),
    ],
)
def test_fittings_refuse(call: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()
