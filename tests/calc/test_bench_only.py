"""Calculators that no pass computes with: each answers something that is asked before there is a spec, or beside it.

A new one that is neither used nor named here fails, and so does one named here that a pass has come to use.
"""

from __future__ import annotations

import ast
import sys
from collections import defaultdict
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "completeness"))

from parsed import parsed

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(p for room in ("specc", "plugins") for p in (ROOT / room).rglob("*.py"))

# What somebody at a workbench asks it.
ASKED = {
    "accumulator-burst": "how much a burst lets out of a tank whose feed is shut",
    "adiabatic-blowdown": "how much a burst lets out at least, to check a weighed one by hand",
    "axis-temperature": "how hot it is over a flame, before something is hung there",
    "bath-heat": "what a tub of warm water brings into a cylinder",
    "battery-size": "which battery to buy for a night",
    "blowdown-time": "how long a valve has to be open to empty a tank",
    "bore-for-capacity": "which pipe to buy for so many BTU/h",
    "bore-for-heat": "which drill for a jet of so many BTU/h",
    "burst-start-pressure": "what a burst begins with when they follow each other so fast",
    "choking-pressure": "from which pressure on a jet's flow goes with the pressure alone",
    "coil-spike": "what a coil does to a switch without a diode",
    "coil-voltage": "what is left of the battery's voltage at a coil",
    "coil-warm": "what a meter should read on a warm coil",
    "contact-life": "how long a relay lasts at so many bursts a night",
    "cooling-liquid": "how much liquid stands in a tank that was filled warm and left overnight",
    "critical-pressure-ratio": "the step to choking-pressure, for another gas",
    "cylinder-cooling": "how cold a cylinder gets when it is drawn on hard",
    "cylinders-for-heat": "how many cylinders so many BTU/h take on a cold night",
    "cylinders-for-show": "how many cylinders to rent for a night",
    "fill-fraction": "how full of propane a purged tank is after so many fills",
    "fireball-duration": "how long the ball of a burst burns",
    "fireball-power": "how strongly the ball of a burst radiates",
    "flame-height": "how tall a flame of so many BTU/h over a pan or a ring gets",
    "flux-at-distance": "how hot it is so far from a flame",
    "gas-for-heat": "how much gas so many BTU/h are, for a gas whose heating value is given",
    "gas-heat": "how many BTU/h a flow of another gas is",
    "gas-orifice-flow": "what a jet passes of another gas, as air in a bench test",
    "guy-tension": "what a guy has to hold",
    "holes-in-series": "which single hole a valve, a riser and a nozzle come to",
    "isothermal-blowdown": "how much a burst lets out at most, to check a weighed one by hand",
    "isobutane-pressure": "what a cylinder of another blend stands at",
    "line-flame": "how tall the flame over a slot or a bar gets",
    "liquid-heat-capacity": "the step to cylinder-cooling that is looked up most",
    "liquid-level": "how full a cylinder is by its weight",
    "liquid-to-vapor": "what a cup of liquid becomes in the open",
    "max-fill": "what a cylinder may weigh when full",
    "n-butane-pressure": "what a cylinder of another blend stands at",
    "orifice-heat": "how many BTU/h a jet of that drill burns",
    "pain-time": "how long bare skin bears a heat",
    "pipe-capacity": "how many BTU/h a pipe carries by the fuel gas code",
    "pipe-flow": "what a hose passes between two gauges",
    "plume-temperature": "how hot the gas over a wide fire is, beside axis-temperature over a jet",
    "pressure-between": "what a gauge between an orifice and its jets reads",
    "pressure-drop": "what a hose takes of the pressure",
    "purge-cycles": "how many times to fill and let down a tank that held air",
    "purge-gas": "how much gas a purge takes",
    "solid-flame": "how hot it is close to a flame, where a point is no picture of it",
    "stuck-open-flow": "what goes on coming out when an outlet's valve sticks",
    "wind-height": "what wind a mast's top sees, by a reading near the ground",
    "wire-size": "which wire for a coil so far away",
}


def calculator_of(node: ast.stmt) -> str:
    """The name under which `specc calc` knows a function, "" for any other statement."""
    for mark in node.decorator_list if isinstance(node, ast.FunctionDef) else ():
        if isinstance(mark, ast.Call) and isinstance(mark.func, ast.Name) and mark.func.id == "calculator":
            assert isinstance(mark.args[0], ast.Constant)
            return str(mark.args[0].value)
    return ""


@cache
def unused() -> frozenset[str]:
    """The calculators that nothing leads to from outside the rooms for formulas. Functions go by their bare names, so
    that one of a used name counts as used: none is said to be unused that is not."""
    names: dict[str, str] = {}  # function to calculator
    calls: dict[str, set[str]] = defaultdict(set)  # function of a formulas' room to the names in it
    outside: set[str] = set()
    for path in MODULES:
        formulas = "calc" in path.parts or "formulas" in path.parts
        for node in parsed(path.read_text(encoding="utf-8")).body:
            # A rule or figure may be called as a calculator is: its own bare name is no use of that.
            own = node.name if isinstance(node, ast.FunctionDef) else ""
            inside = {n.id for n in ast.walk(node) if isinstance(n, ast.Name)} - {own}
            inside |= {n.attr for n in ast.walk(node) if isinstance(n, ast.Attribute)}
            if formulas and isinstance(node, ast.FunctionDef):
                calls[node.name] |= inside
                if name := calculator_of(node):
                    names[node.name] = name
            elif not isinstance(node, ast.Import | ast.ImportFrom):
                outside |= inside
    todo = [name for name in outside if name in calls]
    reached = set(todo)
    while todo:
        for name in calls[todo.pop()] & calls.keys() - reached:
            reached.add(name)
            todo.append(name)
    return frozenset(name for function, name in names.items() if function not in reached)


def test_what_no_pass_uses_is_asked_at_a_bench() -> None:
    assert unused() <= ASKED.keys(), "say what is asked, or take it out"


def test_what_is_listed_is_there_and_unused() -> None:
    from specc.engine.host import find

    known = {c.name for plugin in find().plugins for c in plugin.calculators if c.bench}
    assert ASKED.keys() <= known
    assert ASKED.keys() <= unused(), "a pass uses it: leave it out of the list"
