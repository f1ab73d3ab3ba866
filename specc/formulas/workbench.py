"""The workbench: how `specc calc` groups the calculators, finds them by a person's words, and shows each by example."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Iterable
from typing import Any, NamedTuple

from specc.dims import DIMENSIONS
from specc.formulas.calculators import Calculator, Parameter
from specc.measure.reading import BadQuantity, example_of, parse

# What an input of such a name usually is on a bench. The calculator itself may say better (`examples=`); a name that
# stands in neither is shown by its dimension. All are invented, and every calculator is tried with them in the tests.
USUAL = {
    "ahead": "12 in",
    "air": "50 °F",
    "air_temperature": "20 °F",
    "angle": "60°",
    "area": "0.1 in²",
    "areas": "0.2 in², 0.15 in²",
    "arm": "5 ft",
    "b10": "1000000",
    "bore": "1/16 in",
    "burst": "1 oz",
    "capacity": "18 Ah",
    "centers": "14 in",
    "coefficient": "1.2",
    "coil": "14 ohm",
    "content": "0.2 lb",
    "contents": "20 lb",
    "count": "24",
    "current": "2 A",
    "currents": "0.8 A, 0.8 A",
    "cycles": "3",
    "dew": "60 psi",
    "diameter": "12 in",
    "discharge": "0.8",
    "downstream": "9 psi",
    "drawn": "9 Ah",
    "drop": "0.6 V",
    "drops": "0.3 V, 0.1 V",
    "each": "40 kBTU/h",
    "elevation": "1,200 ft",
    "feed": "1/2 in",
    "feed_area": "0.01 in²",
    "feed_discharge": "0.8",
    "feed_flow": "40 lb/h",
    "fill": "30 psi",
    "filled": "30 %",
    "first_engaged": "0.5 in",
    "first_take_out": "1.1 in",
    "flow": "4 lb/h",
    "flows": "4 lb/h, 6 lb/h",
    "flux": "450 BTU/(h·ft²)",
    "force": "50 lbf",
    "friction": "0.4",
    "gas": "30 lb",
    "gas_temperature": "60 °F",
    "gauge": "18",
    "gust": "40 mph",
    "hand_tight": "0.32 in",
    "heat": "60 kBTU/h",
    "heat_flux": "0.5 kW/m²",
    "heat_ratio": "1.13",
    "heating_value": "21,600 BTU/lb",
    "heats": "60 kBTU/h, 20 kBTU/h",
    "height": "8 ft",
    "holds": "600 lbf·ft",
    "inductance": "0.3 H",
    "inlet": "10 psi",
    "jet_area": "0.05 in²",
    "jet_discharge": "0.8",
    "latent": "150 BTU/lb",
    "leakage": "5 mA",
    "length": "10 ft",
    "level": "1.4 kW/m²",
    "liquid": "20 lb",
    "liquid_temperature": "40 °F",
    "lock_up": "40 psi",
    "loss": "1 psi",
    "margin": "3 psi",
    "mass": "20 lb",
    "measured": "6 ft",
    "number": "4",
    "open_time": "0.5 s",
    "others": "0.3 kW/m², 0.2 kW/m²",
    "out": "6 ft",
    "outlet_area": "0.2 in²",
    "outside": "1/2 in",
    "oxygen_limit": "6 %",
    "pitch": "0.0714 in",
    "power": "10 W",
    "pressure": "10 psi",
    "pull_in": "10.2 V",
    "push": "30 lbf",
    "rating": "5 A",
    "reaction_time": "30 s",
    "reserve": "20 %",
    "resistance": "14 ohm",
    "resistances": "0.3 ohm, 14 ohm",
    "rise": "20 °F",
    "second_engaged": "0.5 in",
    "second_take_out": "1.1 in",
    "share": "0.85",
    "slope": "4°",
    "spacing": "20 s",
    "start": "50 °F",
    "supply": "60 psi",
    "supply_pressure": "90 psi",
    "suppression": "0.7 V",
    "temperature": "60 °F",
    "thickness": "0.036 in",
    "time": "1 h",
    "times": "12",
    "tips": "350 lbf·ft",
    "top": "14 ft",
    "travel": "2 ft",
    "upstream": "10 psi",
    "usable": "16 lb",
    "volume": "5 gal",
    "wall": "0.035 in",
    "wall_temperature": "35 °F",
    "warm": "220 °F",
    "water_capacity": "47.6 lb",
    "weight": "200 lbf",
    "width": "4 ft",
    "wind": "15 mph",
    "wire": "0.6 ohm",
    "x": "0 ft",
    "x1": "2 ft",
    "x2": "0 ft",
    "y": "0 ft",
    "y1": "0 ft",
    "y2": "2 ft",
    "yearly": "200",
}


class Bench(NamedTuple):
    """The calculators that were asked for under one subject."""

    subject: str
    calculators: tuple[Calculator[..., Any], ...]


def subject(calculator: Calculator[..., Any]) -> str:
    """What a calculator is listed under: its module's first words, up to a colon, comma or period."""
    module = sys.modules.get(calculator.__module__)
    text = (inspect.getdoc(module) if module else None) or calculator.__module__
    return re.split(r"[:.,]\s|[:.]$|\n", text.strip(), maxsplit=1)[0]


def by_subject(calculators: Iterable[Calculator[..., Any]]) -> list[Bench]:
    """The calculators under their subjects, in alphabetical order."""
    held: dict[str, list[Calculator[..., Any]]] = {}
    for calculator in calculators:
        held.setdefault(subject(calculator), []).append(calculator)
    return [Bench(name, tuple(sorted(held[name], key=lambda c: c.name))) for name in sorted(held)]


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9°²³]+", text.casefold())


def _in_unit(dim: str, word: str) -> float:
    """How much of a unit of the dimension a word is: btu is more of BTU/h than of BTU/(lb °F). 0 for none."""
    known = DIMENSIONS[dim]
    units = [_words(unit) for unit in (known.us, known.metric, *known.likely)]
    return max((1 / len(unit) for unit in units if word in unit), default=0.0)


def _score(calculator: Calculator[..., Any], word: str) -> float:
    """How well a calculator answers to a word: by its name best, then by what it is for and gives, then its inputs."""
    if any(part.startswith(word) for part in _words(calculator.name)):
        return 5
    if any(part.startswith(word) for part in _words(f"{calculator.asked} {calculator.purpose}")):
        return 4
    if any(part.startswith(word) for part in _words(subject(calculator))):
        return 3
    if share := _in_unit(calculator.dim, word):
        return 2 + share / 2
    meant = " ".join(s.meaning for s in calculator.equation.symbols)
    if len(word) > 2 and any(part.startswith(word) for part in _words(meant)):
        return 1
    return 0


def asked_for(calculators: Iterable[Calculator[..., Any]], words: Iterable[str]) -> list[Calculator[..., Any]]:
    """The calculators that answer to all the words that a person asks with, the best first.

    A word answers to the beginning of a word of the name, the purpose, the subject or an input, or is a unit that the
    result is printed in: `boil`, `btu`, `how long`.
    """
    asked = [word for text in words for word in _words(text)]
    found: list[tuple[bool, float, float, str, Calculator[..., Any]]] = []
    for calculator in calculators:
        scores = [_score(calculator, word) for word in asked]
        if scores and all(scores):
            # What only packets compute with comes after what people ask for.
            found.append((not calculator.bench, -min(scores), -sum(scores), calculator.name, calculator))
    # Where something answers by name or purpose, what merely has such an input is noise.
    best = min((f[1] for f in found), default=0.0)
    near = [f for f in found if f[1] <= -2 or best > -2]
    return [f[-1] for f in sorted(near, key=lambda f: f[:-1])]


def example(calculator: Calculator[..., Any], parameter: Parameter) -> str:
    """A value for an input, as one would type it."""
    said = calculator.examples.get(parameter.name)
    if said:
        return said
    text = USUAL.get(parameter.name, "")
    each = text.split(", ") if parameter.many else [text]
    # A name may stand for another dimension in another plugin's calculator.
    fits = bool(text) and not any(isinstance(parse(one, parameter.dim), BadQuantity) for one in each)
    return text if fits else example_of(parameter.dim)


def call(calculator: Calculator[..., Any]) -> str:
    """A whole call of a calculator, with an example for each input that it must have."""
    given = [f'{p.name}="{example(calculator, p)}"' for p in calculator.parameters if p.default is None]
    return " ".join(["specc calc", calculator.name, *given])
