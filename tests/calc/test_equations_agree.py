"""Each fuel calculator's printed equation gives the value that was computed; and cites what is listed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

import specc_fuel
import specc_fuel.calc
from specc.basics.air import air_pressure
from specc.formulas.calculators import Calculator
from specc.formulas.evaluating import evaluate
from specc.model.values import Input, Quantity
from specc_fuel.calc import cylinder, filling, orifice

# The core's one calculator is held to the same.
CALCULATORS = (*specc_fuel.specc_calculators(), air_pressure)
BY_NAME = {c.name: c for c in CALCULATORS}

# A set of inputs for every calculator, in SI, and for each regime of those that have several.
CASES: list[tuple[str, dict[str, Any]]] = [
    ("vapor-density", {"temperature": 294.0, "pressure": 5e5}),
    ("compressibility", {"temperature": 294.0, "pressure": 5e5}),
    ("latent-heat", {"temperature": 280.0}),
    ("ideal-heat-capacity", {"temperature": 280.0}),
    ("heat-capacity-ratio", {"temperature": 280.0}),
    ("gross-heating-value", {}),
    ("net-heating-value", {}),
    ("gross-heat", {"flow": 3e-4}),
    ("net-heat", {"flow": 3e-4}),
    ("gas-heat", {"flow": 3e-4, "heating_value": 46e6}),
    ("gas-for-heat", {"heat": 15e3, "heating_value": 46e6}),
    ("orifice-heat", {"bore": 1e-3, "upstream": 2e5, "gas_temperature": 294.0, "discharge": 0.8}),
    ("orifice-heat", {"bore": 1e-3, "upstream": 2700.0, "gas_temperature": 294.0, "discharge": 0.8}),
    ("bore-for-heat", {"heat": 2e4, "upstream": 2e5, "gas_temperature": 294.0, "discharge": 0.8}),
    ("bore-for-heat", {"heat": 2e3, "upstream": 2700.0, "gas_temperature": 294.0, "discharge": 0.8}),
    ("bore-for-capacity", {"heat": 9e5, "length": 3.0, "inlet": 7e4, "loss": 7e3}),
    ("bore-for-capacity", {"heat": 3e4, "length": 3.0, "inlet": 2740.0, "loss": 120.0}),
    ("orifice-flow", {"bore": 1e-3, "upstream": 2e5, "gas_temperature": 294.0, "discharge": 0.8}),
    ("orifice-flow", {"bore": 1e-3, "upstream": 2700.0, "gas_temperature": 294.0, "discharge": 0.8}),
    (
        "orifice-flow",
        {
            "bore": 1e-3,
            "upstream": 2e5,
            "gas_temperature": 294.0,
            "discharge": 0.8,
            "downstream": 1.5e5,
            "ambient": 8.5e4,
        },
    ),
    ("area-flow", {"area": 1e-6, "upstream": 2e5, "gas_temperature": 294.0, "discharge": 0.8}),
    ("area-flow", {"area": 1e-6, "upstream": 5e4, "gas_temperature": 294.0, "discharge": 0.8}),
    (
        "gas-orifice-flow",
        {
            "bore": 1e-3,
            "upstream": 2e5,
            "gas_temperature": 294.0,
            "discharge": 0.8,
            "heat_ratio": 1.4,
            "molar_mass": 0.029,
        },
    ),
    (
        "gas-orifice-flow",
        {
            "bore": 1e-3,
            "upstream": 2e4,
            "gas_temperature": 294.0,
            "discharge": 0.8,
            "heat_ratio": 1.4,
            "molar_mass": 0.029,
            "compressibility": 0.99,
        },
    ),
    ("critical-pressure-ratio", {"heat_ratio": 1.13}),
    ("choking-pressure", {"heat_ratio": 1.13}),
    ("cylinder-pressure", {"liquid_temperature": 294.0, "ambient": 8.5e4}),
    ("vaporization", {"diameter": 0.6, "length": 1.7, "filled": 0.37, "air_temperature": 257.0}),
    ("vaporization", {"diameter": 0.3, "length": 0.4, "filled": 0.8, "air_temperature": 300.0}),
    ("cylinder-runtime", {"usable": 7.0, "flow": 3e-4}),
    ("gas-on-site", {"contents": (9.0, 9.0, 45.0)}),
    ("max-fill", {"water_capacity": 21.6}),
    ("liquid-level", {"contents": 5.0, "water_capacity": 21.6, "liquid_temperature": 280.0}),
    ("liquid-volume", {"gas": 9.0}),
    ("air-pressure", {"elevation": 1200.0}),
    ("hole-area", {"count": 12.0, "bore": 1.6e-3}),
    ("slit-area", {"count": 2.0, "width": 5e-4, "length": 0.025}),
    ("steady-gas", {"flows": (1e-4, 2e-4), "time": 3600.0}),
    ("burst-gas", {"times": 12.0, "flows": (0.02, 0.03), "open_time": 0.5}),
    ("total-gas", {"parts": (0.5, 0.7, 0.1), "times": 3.0}),
    ("mean-flow", {"gas": 0.7, "time": 3600.0}),
    ("heat-together", {"heats": (7e3, 8e3)}),
    ("usable-gas", {"contents": 9.07, "reserve": 0.3}),
    ("accumulator-content", {"volume": 0.02, "pressure": 400000.0, "gas_temperature": 294.0, "ambient": 85000.0}),
    ("blowdown-time", {"volume": 0.02, "pressure": 400000.0, "gas_temperature": 294.0, "outlet_area": 9e-05}),
    (
        "isothermal-blowdown",
        {"volume": 0.02, "pressure": 400000.0, "gas_temperature": 294.0, "outlet_area": 9e-05, "open_time": 0.4},
    ),
    (
        "adiabatic-blowdown",
        {"volume": 0.02, "pressure": 400000.0, "gas_temperature": 294.0, "outlet_area": 9e-05, "open_time": 0.4},
    ),
    ("released-gas", {"contents": (0.2, 0.1), "flow": 0.002, "time": 20.0, "cylinders": (9.0,)}),
    ("released-gas", {"contents": (0.2,), "flow": 0.04, "time": 300.0, "cylinders": (9.0,)}),
    ("stuck-open-gas", {"content": 0.2, "feed_flow": 0.002, "reaction_time": 20.0}),
    ("n-butane-pressure", {"temperature": 280.0}),
    ("isobutane-pressure", {"temperature": 280.0}),
    ("dew-pressure", {"wall_temperature": 278.0, "n_butane": 0.025, "isobutane": 0.01, "ambient": 85000.0}),
    ("condensation-margin", {"lock_up": 420000.0, "supply_pressure": 900000.0, "dew": 440000.0}),
    ("highest-setting", {"dew": 440000.0, "margin": 50000.0, "lock_up_rise": 20000.0}),
    ("cooling-liquid", {"content": 0.3, "volume": 0.02, "wall_temperature": 270.0, "n_butane": 0.025}),
    ("fed-liquid", {"volume": 0.02, "lock_up": 600000.0, "supply_pressure": 900000.0, "wall_temperature": 278.0}),
    (
        "fed-liquid",
        {"volume": 0.02, "lock_up": 420000.0, "supply_pressure": 900000.0, "wall_temperature": 278.0, "n_butane": 0.05},
    ),
    ("liquid-to-vapor", {"liquid": 0.004, "temperature": 289.0}),
    ("trapped-liquid", {"temperature": 289.0, "rise": 5.0}),
    ("fill-fraction", {"pressure": 200000.0}),
    ("first-fill", {"ambient": 85000.0}),
    ("purge-gas", {"volume": 0.02, "fill": 200000.0, "gas_temperature": 294.0, "cycles": 3.0}),
    ("pipe-capacity", {"bore": 0.0158, "length": 3.0, "inlet": 7e4, "loss": 7e3}),
    ("pipe-capacity", {"bore": 0.0158, "length": 3.0, "inlet": 2740.0, "loss": 120.0}),
    ("liquid-heat-capacity", {"temperature": 280.0}),
    ("liquid-height", {"contents": 9.0, "volume": 0.0216, "diameter": 0.31, "temperature": 280.0}),
    ("wetted-area", {"diameter": 0.31, "height": 0.2, "bottom": 0.5}),
    ("bath-heat", {"liquid": 270.0, "water": 300.0}),
    ("steady-boil-off", {"heat_flux": 500.0, "area": 0.3, "latent": 3.6e5}),
    ("cylinder-cooling", {"start": 290.0, "flow": 3e-4, "time": 3600.0, "liquid": 9.0, "steel": 4.0}),
]

# Solved or rounded up, so their text is in words.
IN_WORDS = {
    "vapor-pressure",
    "liquid-density",
    "pressure-between",
    "cylinders-needed",
    "cylinders-for-heat",
    "cylinders-for-show",
    "accumulator-burst",
    "fed-burst",
    "accumulator-charge",
    "burst-cadence",
    "burst-start-pressure",
    "holes-in-series",
    "purge-cycles",
    "stuck-open-flow",
    "pipe-flow",
    "pressure-drop",
    "still-air-heat",
}


def given(calculator: Calculator[..., Any], inputs: Mapping[str, Any]) -> dict[str, Input]:
    dims = {p.name: p.dim for p in calculator.parameters}
    made: dict[str, Input] = {}
    for name, value in inputs.items():
        if isinstance(value, tuple):
            made[name] = tuple(Quantity(v, dims[name], str(v)) for v in value)
        else:
            made[name] = Quantity(value, dims[name], str(value))
    return made


@pytest.mark.parametrize(("name", "inputs"), CASES)
def test_text_gives_the_value(name: str, inputs: dict[str, Any]) -> None:
    calculator = BY_NAME[name]
    worked = calculator.work(**given(calculator, inputs))
    assert worked.si != 0
    assert evaluate(calculator.equation, worked) == pytest.approx(worked.si, rel=1e-9)


def test_every_regime_is_tried() -> None:
    tried = set()
    for name, inputs in CASES:
        tried.add((name, BY_NAME[name].work(**given(BY_NAME[name], inputs)).regime))
    closed = {(c.name, regime) for c in CALCULATORS for regime, text in c.equation.forms if not text.startswith("~")}
    assert tried == closed


def test_words_only_where_it_is_solved() -> None:
    in_words = {c.name for c in CALCULATORS if all(t.startswith("~") for _, t in c.equation.forms)}
    assert in_words == IN_WORDS


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda c: c.name)
def test_record_is_whole(calculator: Calculator[..., Any]) -> None:
    equation = calculator.equation
    named = {s.name for s in equation.symbols}
    assert calculator.result in named
    assert {p.symbol for p in calculator.parameters} <= named
    assert {name for name, _ in equation.constants} <= named
    for parameter in calculator.parameters:
        symbol = equation.symbol(parameter.symbol)
        assert symbol is not None
        assert symbol.dim == parameter.dim
    result = equation.symbol(calculator.result)
    assert result is not None
    assert result.dim == calculator.dim
    assert equation.validity
    assert equation.citations
    assert calculator.purpose.endswith(".")


def test_intermediate_values_are_symbols() -> None:
    for name, inputs in CASES:
        worked = BY_NAME[name].work(**given(BY_NAME[name], inputs))
        for symbol, _ in worked.also:
            assert BY_NAME[name].equation.symbol(symbol) is not None, (name, symbol)


def test_words_have_their_values_too() -> None:
    between = orifice.pressure_between_holes(2e5, 1e-6, 0.8, 1e-5, 0.7, 294.0)
    assert {"w", "e"} == {s for s, _ in between.also}
    assert cylinder.cylinders_needed(40.0, 20.0) == 2.0
    assert filling.liquid_level(0.01, 21.6, 290.0).regime == "no liquid"


def test_every_reference_is_listed_and_used() -> None:
    path = Path(specc_fuel.calc.__file__).parents[1] / "references.yaml"
    listed = yaml.safe_load(path.read_text(encoding="utf-8"))
    cited = {
        citation.reference
        for c in specc_fuel.specc_calculators()
        for citation in (*c.equation.citations, *(k.citation for _, k in c.equation.constants))
        if citation.reference
    }
    assert cited <= set(listed)
    for reference, entry in listed.items():
        assert set(entry) <= {"title", "publisher", "edition", "note"}, reference
        assert entry["title"]


def test_names_are_distinct() -> None:
    assert len(BY_NAME) == len(CALCULATORS)
