"""Each calculator of control and structure: its printed equation gives the value that was computed."""

from __future__ import annotations

from typing import Any

import pytest

import specc_control
import specc_structure
from specc.formulas.evaluating import evaluate
from specc.formulas.gust import wind_gust
from specc.model.passes import Cannot
from specc.model.values import Input, Quantity

# Beside their own, the core's gust, from which a stand's loads are counted.
CALCULATORS = (*specc_control.specc_calculators(), *specc_structure.specc_calculators(), wind_gust)
BY_NAME = {c.name: c for c in CALCULATORS}

CASES: list[tuple[str, str, dict[str, Any]]] = [
    ("wire-area", "", {"gauge": 18.0}),
    ("wire-resistance", "", {"length": 15.0, "area": 8e-7, "temperature": 340.0, "ways": 2.0, "allowance": 1.03}),
    ("voltage-drop", "", {"current": 1.5, "length": 15.0, "area": 8e-7, "temperature": 340.0}),
    ("wire-size", "", {"current": 1.5, "length": 15.0, "drop": 0.36, "allowance": 1.03}),
    (
        "wire-ampacity",
        "",
        {"area": 8e-7, "insulation": 378.15, "air": 303.15, "bundled": 0.7, "allowance": 1.03},
    ),
    ("fuse-clears", "", {"voltage": 12.0, "resistance": 0.6, "rating": 5.0}),
    ("coil-resistance", "", {"voltage": 12.0, "power": 10.0}),
    ("coil-warm", "", {"resistance": 14.4, "warm": 378.15}),
    ("coil-pull-in", "", {"pull_in": 10.2, "warm": 378.15}),
    ("coil-voltage", "", {"supply": 11.5, "coil": 14.4, "wire": 0.6}),
    ("load-voltage", "", {"supply": 11.5, "drops": (0.4, 0.2)}),
    ("coil-current", "", {"power": 10.0, "voltage": 12.0}),
    ("current-sum", "", {"currents": (0.8, 0.4)}),
    ("mean-current", "", {"current": 0.8, "share": 0.25}),
    ("pull-in-cold", "", {"voltage": 12.0, "share": 0.85}),
    ("resistance-sum", "", {"resistances": (0.3, 0.1)}),
    ("coil-spike", "", {"inductance": 0.05, "current": 0.8, "time": 0.001}),
    (
        "coil-release",
        "",
        {"inductance": 0.05, "resistance": 14.4, "current": 0.8, "suppression": 0.7, "share": 0.2},
    ),
    ("leakage-share", "", {"leakage": 0.0015, "resistance": 14.4, "voltage": 12.0}),
    ("battery-life", "rated", {"capacity": 64800.0, "current": 5.0, "exponent": 1.15, "cold": 0.8, "usable": 0.5}),
    ("battery-life", "slow", {"capacity": 64800.0, "current": 0.2}),
    ("battery-size", "", {"drawn": 36000.0, "usable": 0.5, "cold": 0.6}),
    ("contact-life", "", {"b10": 400000.0, "yearly": 6000.0}),
    ("wind-gust", "", {"mean": 6.7}),
    ("wind-height", "", {"height": 9.0}),
    ("wind-height", "", {"height": 1.0, "gradient": 365.76, "exponent": 7.0}),
    ("wind-pressure", "", {"gust": 17.0, "height": 0.85, "direction": 0.85}),
    ("wind-force", "", {"pressure": 200.0, "coefficient": 1.2, "area": 0.2}),
    ("overturning", "", {"holds": (300.0, 20.0), "tips": (150.0, 12.0)}),
    ("sliding", "", {"friction": 0.2, "weight": 900.0, "push": 70.0}),
    (
        "ballast",
        "overturning",
        {"holds": 225.0, "tips": 360.0, "weight": 150.0, "push": 60.0, "friction": 0.6, "distance": 1.5},
    ),
    (
        "ballast",
        "sliding",
        {"holds": 225.0, "tips": 360.0, "weight": 150.0, "push": 60.0, "friction": 0.2, "distance": 1.5},
    ),
    (
        "ballast",
        "none",
        {"holds": 2250.0, "tips": 360.0, "weight": 1500.0, "push": 60.0, "friction": 0.6, "distance": 1.5},
    ),
    ("guy-tension", "", {"push": 300.0, "angle": 1.0}),
    ("wind-rise", "", {"top": 4.0, "measured": 1.8}),
    ("edge-distance", "", {"x1": 1.0, "y1": -0.2, "x2": -0.5, "y2": 0.9, "x": 0.1, "y": 0.05}),
    ("base-corner", "", {"width": 0.9, "side": -1.0}),
    ("base-distance", "", {"width": 0.9, "toward": 0.1}),
    ("offset", "", {"x": 0.3, "y": 0.4}),
    ("moment", "", {"force": 60.0, "arm": 1.8}),
    ("weight", "", {"mass": 68.0}),
    ("slope-push", "", {"force": 600.0, "slope": 0.05}),
    ("force-sum", "", {"forces": (60.0, 20.0)}),
    ("moment-sum", "", {"moments": (60.0, 20.0)}),
    ("guy-spread", "apart", {"x1": 2.0, "y1": 0.0, "x2": -1.0, "y2": 2.0}),
    ("guy-spread", "close", {"x1": 2.0, "y1": 0.0, "x2": 0.5, "y2": 2.0}),
    ("guy-push", "", {"moment": 300.0, "height": 3.0, "spread": 0.866}),
    ("guy-pull", "", {"push": 90.0, "height": 3.0, "out": 2.0}),
    ("fall-radius", "", {"edge": 0.6, "top": 3.0}),
    ("lift-limit", "", {"ahead": 0.4, "height": 0.5, "travel": 0.5, "twist": 0.3}),
    ("lift-between", "", {"ahead": 0.4, "start": 0.5, "end": 1.2}),
    ("mass-sum", "", {"masses": (30.0, 45.0)}),
    ("cargo-force", "", {"mass": 77.0, "share": 0.8}),
]
# Every regime that an equation has a form for.
REGIMES = {(c.name, regime) for c in CALCULATORS for regime, _ in c.equation.forms}


def given(name: str, inputs: dict[str, Any]) -> dict[str, Input]:
    dims = {p.name: p.dim for p in BY_NAME[name].parameters}
    return {
        key: tuple(Quantity(v, dims[key], str(v)) for v in value)
        if isinstance(value, tuple)
        else Quantity(value, dims[key], str(value), f"/{key}")
        for key, value in inputs.items()
    }


@pytest.mark.parametrize(("name", "regime", "inputs"), CASES)
def test_text_gives_the_value(name: str, regime: str, inputs: dict[str, Any]) -> None:
    worked = BY_NAME[name].work(**given(name, inputs))
    assert worked.regime == regime
    assert evaluate(BY_NAME[name].equation, worked) == pytest.approx(worked.si, rel=1e-9)


def test_every_calculator_and_regime_is_tried() -> None:
    assert {(name, regime) for name, regime, _ in CASES} == REGIMES


def test_what_is_refused_points_into_the_spec() -> None:
    """A wire of no length and a base of no width are findings at their line, when a pass reads them."""
    with pytest.raises(Cannot) as wire:
        BY_NAME["voltage-drop"].work("drop", **given("voltage-drop", {"length": 0.0, "current": 1.0, "area": 1e-6}))
    assert wire.value.at == "/length"
    assert "length has to be more than 0" in wire.value.message
    inputs = {"distance": 0.0, "holds": 1.0, "tips": 1.0, "weight": 1.0, "push": 1.0, "friction": 0.2}
    with pytest.raises(Cannot) as base:
        BY_NAME["ballast"].work("ballast", **given("ballast", inputs))
    assert "distance to the edge" in base.value.message


def test_names_that_a_builder_looks_for_are_there() -> None:
    wanted = {"voltage-drop", "wire-size", "fuse-clears", "battery-life", "coil-pull-in"}
    wanted |= {"wind-pressure", "wind-force", "overturning", "sliding", "guy-tension", "ballast", "lift-limit"}
    assert wanted <= set(BY_NAME)
