"""The rules on the site, on a good spec and on bad ones; the distances against shapely; and the plan that is drawn."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from specc import distance
from specc.drawing.shapes import Circle, Line, Polygon, RoundRect, Text
from specc.drawing.shapes import Shape as Drawn
from specc.engine.remembered import forget
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.geometry import Area, Point, Polyline, Shape
from specc.model.blocks import Para
from specc.model.result import Result
from specc.model.values import Quantity
from specc.packet.pictures import uncrowded
from specc.testing import (
    Patch,
    all_but,
    checked,
    expected_in,
    findings_at,
    findings_of,
    plugin_file,
    project,
    result_of,
)  # fmt: skip
from specc_site import drawing, line_styles
from specc_site.labels import Labels, Words, apart
from specc_site.lanes import narrowest, waist
from specc_site.outlines import metric, overlap
from specc_site.people import named_sides
from specc_site.sketch import Sketch

GOOD = Path(__file__).with_name("site.yaml")
SAMPLE = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"
OTHERS = all_but("site", "plumbing")
FT = 0.3048
# What a plugin that computes flames would give: the public keeps 25 ft from the bowl.
STANDOFF = """
from specc import PRACTICE, gather, hookimpl
from specc.kinds.targets import STANDOFFS, Standoff
from specc.model.values import Quantity
SPECC_CONTRACT = 2
@gather(STANDOFFS)
def keep(ctx):
    return [Standoff("audience", "glow", Quantity(25 * 0.3048, "length", "25 ft"), "heat of the bowl", PRACTICE),
            Standoff("audience", "glow", Quantity(3.0, "length", "3 m"), "reach", PRACTICE)]
@hookimpl
def specc_passes():
    return [keep]
"""


BASE = GOOD.read_text(encoding="utf-8")


def of(tag: str, new: str | None = None, *rules: str) -> Patch:
    """The line of a tag in the good spec with what stands there instead, expected to be found by some rules."""
    line = re.findall(rf"^ +{tag}: .*$", BASE, re.MULTILINE)[0]
    start = line[: line.index(tag)]
    expect = f" # expect: {', '.join('site.' + r for r in rules)}" if rules else ""
    return (line, (line if new is None else f"{start}{tag}: {new}") + expect)


def before_rack(text: str) -> Patch:
    """One more place."""
    return ("  rack: {kind", f"  {text}\n  rack: {{kind")


def square(kind: str, x: float, y: float, size: float) -> str:
    spots = ((x, y), (x + size, y), (x + size, y + size), (x, y + size))
    return f"{{kind: {kind}, area: [{', '.join(f'[{u} ft, {v} ft]' for u, v in spots)}]}}"


def lane(*right: tuple[float, float], left: float = 20) -> str:
    """The good spec's fire lane, with other spots along its right side, up to where its left side ends."""
    spots = ((100, -80), (122, -80), *right, (100, left))
    return f"{{kind: fire_lane, area: [{', '.join(f'[{x} ft, {y} ft]' for x, y in spots)}]}}"


CROWD = re.findall(r"^  crowd: (.*)$", BASE, re.MULTILINE)[0]
BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "exits_in_leak": {
        "one of two ways out leads down": (
            (
                "out_west: {kind: exit, leads: level, width: 5 ft, at: [-40 ft, -50 ft]}",
                "out_west: {kind: exit, leads: down, width: 5 ft, at: [-40 ft, -50 ft]} # expect: site.exits_in_leak",
            ),
        ),
    },
    "clear_height": {
        "wires over the bowl": (
            of("line_a", "{kind: wires, line: [[-60 ft, 1 ft, 12 ft], [95 ft, 1 ft, 12 ft]]}", "clear_height"),
        ),
        "wires that do not say how high they hang": (
            of("line_a", "{kind: wires, line: [[-60 ft, 1 ft], [95 ft, 1 ft]]}", "clear_height"),
        ),
        "a tree beside the bowl": (of("oak", "{kind: tree, at: [-5 ft, 5 ft]}", "clear_height"),),
    },
    "cylinders_apart": {
        "a door beside the cylinder": (
            of("door", "{kind: opening, at: [32 ft, 11 ft]}", "cylinders_apart", "relief_discharge", "walls"),
        ),
        "a way out beside it": (
            before_rack(
                "gap: {kind: exit, at: [36 ft, 10 ft]} "
                "# expect: site.cylinders_apart, site.relief_discharge, site.exits_lead"
            ),
        ),
        "a drain beside it": (
            of("drain", "{kind: low_place, at: [36 ft, 10 ft]}", "cylinders_apart"),
            of("relief", None, "vents_from_low_places"),
        ),
        "hay beside it": (
            ("fuel_dispenser, combustible]", "fuel_dispenser]"),
            of("drain", "{kind: combustible, at: [36 ft, 10 ft]}", "cylinders_apart", "relief_discharge"),
        ),
        "a tent over it": (of("marquee", square("tent", 25, 5, 10), "cylinders_apart", "relief_discharge"),),
        "the property line beside it": (("  bounds: edge\n", ""),
            of("edge", square("property_line", -60, -100, 123), "cylinders_apart"),),
        "a cylinder in the flame": (
            of("post", "{at: [2 ft, 0 ft]}"),
            of("hose_way", "{line: [[2 ft, 0 ft], [0 ft, 0 ft]]}"),
            of("glow", None, "cylinders_apart", "relief_discharge"),
            of("turn", "{at: [13 ft, 2 ft, 2 ft]}"),
            of("pilot", None, "cylinders_apart", "relief_discharge"),
            of("relief", None, "relief_as_typed"),
        ),
    },
    "exits_lead": {
        "an exit into a corner of the fence": (
            of("out_west", None, "exits_lead"),
            before_rack("pen: {kind: barrier, line: [[-50 ft, -60 ft], [-40 ft, -60 ft]]}"),
        ),
        "a ditch before the street": (
            of("drain", "{kind: low_place, area: [[-95 ft, -78 ft], [140 ft, -78 ft], "
                        "[140 ft, -74 ft], [-95 ft, -74 ft]]}"),
            of("out_west", None, "exits_lead"),
            of("out_south", None, "exits_lead"),
            before_rack("shut: {kind: barrier, line: [[-95 ft, -74 ft], [-95 ft, 100 ft], "
                        "[140 ft, 100 ft], [140 ft, -74 ft]]}"),
        ),
        "an exit in a hollow": (
            before_rack("hollow: {kind: low_place, area: [[-48 ft, -58 ft], [-40 ft, -58 ft], "
                        "[-40 ft, -45 ft], [-48 ft, -45 ft]]}"),
            of("out_west", None, "exits_lead", "exits_in_leak"),
        ),
    },
    "walls": {"a door that is in no wall": (of("door", "{kind: opening, at: [-12 ft, 30 ft]}", "walls"),)},
    "relief_discharge": {
        # As far as plumbing asks, 10 ft: that a cylinder's own relief valve may stand at 5 ft is no word for this one.
        "eight feet from a flame": (
            of("post", "{at: [8 ft, 0 ft]}"),
            of("hose_way", "{line: [[8 ft, 0 ft], [0 ft, 0 ft]]}"),
            of("glow", None, "relief_discharge"),
            of("turn", "{at: [13 ft, 2 ft, 2 ft]}"),
            of("pilot", None, "relief_discharge"),
            of("relief", None, "relief_as_typed"),
            ("capacity: 20 lb, place: post}", "capacity: 20 lb, place: post} # expect: plumbing.second_shutoff"),
        ),
        "an engine beside the relief valve": (
            of("mains", "{kind: generator, at: [33 ft, 10 ft]}", "cylinders_apart", "relief_discharge"),
        ),
        "a relief valve that is led away, to a tent": (
            ("  second: {at", "  far: {at: [66 ft, 34 ft, 2 ft]}\n  second: {at"),
            of("relief", "{kind: valve, form: relief, opens: 60 psi, place: far, vents: {way: up}}", "lines_reach"),
            of("marquee", None, "relief_discharge"),
        ),
        "a relief valve that is led away, to the public": (
            ("  second: {at", "  far: {at: [30 ft, -24 ft, 2 ft]}\n  second: {at"),
            of("relief", "{kind: valve, form: relief, opens: 60 psi, place: far, vents: {way: up}}", "lines_reach"),
            of("crowd", None, "relief_discharge"),
        ),
    },
    "vents_from_low_places": {
        "a drain below the relief valve": (
            of("drain", "{kind: low_place, at: [38 ft, 10 ft]}", "cylinders_apart"),
            of("relief", None, "vents_from_low_places"),
        ),
    },
    "relief_as_typed": {
        "twice as far as the plan has": (
            of(
                "relief",
                "{kind: valve, form: relief, opens: 60 psi, place: post, vents: {way: up, from_flame: 60 ft}}",
                "relief_as_typed",
            ),
        ),
        "far nearer than the plan has": (
            of(
                "relief",
                "{kind: valve, form: relief, opens: 60 psi, place: post, vents: {way: up, from_flame: 12 ft}}",
                "relief_as_typed",
            ),
        ),
    },
    "cylinder_groups": {
        "two supplies side by side": (of("second", "{at: [36 ft, 10 ft, 2 ft]}"), of("other", None, "cylinder_groups")),
    },
    "stores": {
        "beside a door": (of("door", "{kind: opening, at: [82 ft, 52 ft]}", "walls"), of("spare", None, "stores")),
        "beside the only way out": (
            of("door", "{kind: opening, at: [78 ft, 50 ft]}", "walls"),
            of("spare", "{place: rack, count: 4, each: 20 lb, one_exit: true}", "stores"),
        ),
        "a store of nobody knows what beside the crowd": (
            before_rack(square("fuel_store", 45, -50, 4).replace("{", "cage: {", 1) + " # expect: site.stores"),
        ),
        "beside the cylinders in use": (
            of("rack", "{kind: fuel_store, at: [62 ft, 12 ft]}"),
            of("spare", None, "stores"),
        ),
        "nowhere": (of("spare", "{place: rack_2, count: 4, each: 20 lb}", "stores"),),
        "beside the flame": (of("rack", "{kind: fuel_store, at: [6 ft, 6 ft]}"), of("spare", None, "stores")),
        "beside an engine": (
            of("mains", "{kind: generator, at: [85 ft, 46 ft]}"),
            of("spare", None, "stores"),
            of("marquee", None, "tents_apart"),
        ),
        "over a drain": (of("drain", "{kind: low_place, at: [85 ft, 54 ft]}"), of("spare", None, "stores")),
    },
    "hose_lengths": {
        "a hose that does not reach": (
            of("h1", "{kind: hose, bore: 3/8 in, length: 31 ft, place: [post, bowl]}", "hose_lengths"),
        ),
        "a way that ends elsewhere": (
            of("hose_way", "{line: [[30 ft, 10 ft], [10 ft, 6 ft], [8 ft, 4 ft]]}", "hose_lengths"),
        ),
        "meters for feet": (
            of("h1", None, "hose_lengths"),
            of("hose_way", "{line: [[30 m, 10 m], [10 m, 6 m], [0 m, 0 m]]}", "one_unit", "hose_lengths"),
        ),
    },
    "lines_reach": {
        "a pipe too short for where it ends": (
            of("short", "{kind: pipe, bore: 1/2 in, length: 2 ft}", "lines_reach"),
        ),
        # The burner names no place: it stands where its effect does.
        "an effect that is farther off than its hose is long": (
            of("bowl", "{at: [-12 ft, 0 ft, 3 ft]}"),
            of("h1", "{kind: hose, bore: 3/8 in, length: 20 ft, place: [turn, bowl]}", "lines_reach", "hose_lengths"),
            of("hose_way", "{line: [[19 ft, 8 ft], [-12 ft, 0 ft]]}"),
            of("lead", "{kind: pipe, bore: 1/4 in, length: 80 ft}"),
            of("relief", None, "relief_as_typed"),
        ),
    },
    "crossings": {
        "a hose between the crowd and its way out": (
            of("out_west", "{kind: exit, width: 5 ft, at: [-46 ft, -50 ft]}"),
            of("hose_way", "{line: [[30 ft, 10 ft], [-43 ft, 0 ft], [-43 ft, -58 ft], [-43 ft, 0 ft], [0 ft, 0 ft]]}"),
            of("h1", "{kind: hose, bore: 3/8 in, length: 250 ft, place: [post, bowl]}"),
            ("h1: {way: hose_way}", "h1: {way: hose_way} # expect: site.crossings"),
        ),
        "a hose through a hall": (
            of("hose_way", "{line: [[30 ft, 10 ft], [-30 ft, 30 ft], [0 ft, 0 ft]]}"),
            of("h1", "{kind: hose, bore: 3/8 in, length: 150 ft, place: [post, bowl]}"),
            ("h1: {way: hose_way}", "h1: {way: hose_way} # expect: site.crossings"),
        ),
        "a path across the hose": (
            before_rack("path: {kind: walkway, line: [[20 ft, -30 ft], [20 ft, 50 ft]]}"),
            ("h1: {way: hose_way}", "h1: {way: hose_way} # expect: site.crossings"),
        ),
    },
    "exits": {
        "one way out": (
            ("  out_west: {kind: exit, leads: level, width: 5 ft, at: [-40 ft, -50 ft]}\n", ""),
            of("crowd", None, "exits"),
        ),
        "a wall round one of two ways out": (
            of("out_west", "{kind: exit, at: [-48 ft, -58 ft]}", "exits_lead"),
            before_rack("wall: {blocks: [walking], line: [[-44 ft, -90 ft], [-44 ft, 15 ft], [-60 ft, 15 ft],\n"
                        "    [-60 ft, -90 ft], [-44 ft, -90 ft]]}"),
            of("crowd", None, "exits"),
        ),
        "a way out past the flame": (
            of("out_west", "{kind: exit, at: [0 ft, -24 ft]}", "exits", "exits_lead"),
            of("crowd", None, "exit_widths", "exits"),  # and behind the rope
        ),
        "a way out beyond the rope and the fire": (
            of("out_west", "{kind: exit, width: 5 ft, at: [-40 ft, 55 ft]}", "exits_lead"),
            of("crowd", None, "exits"),
        ),
        "two ways out beyond a fence that closes": (
            of("fence", "{kind: barrier, area: [[-50 ft, -64 ft], [-50 ft, 60 ft], [90 ft, 60 ft], [90 ft, -64 ft]]}"),
            of("out_west", "{kind: exit, width: 5 ft, at: [-52 ft, -50 ft]}"),
            of("out_south", "{kind: exit, width: 5 ft, at: [10 ft, -66 ft]}"),
            of("crowd", None, "exits"),
        ),
        "a van parked in a way out": (
            of("out_south", None, "exits"),
            before_rack(square("vehicle", 11, -70, 8).replace("{", "truck: {", 1)),
        ),
        "a way out in a hall": (
            of("out_south", None, "exits", "exits_lead"),
            before_rack(square("building", 2, -75, 16).replace("{", "barn: {", 1)),
            of("crowd", None, "outlines"),
        ),
        "two ways out, one of them where help comes in": (
            of("crowd", None, "exits"),
            of("lane", square("fire_lane", 0, -84, 20)),
            of("edge", None),
        ),
        "a way out in the middle of the crowd": (
            of("out_west", "{kind: exit, at: [-30 ft, -40 ft]}", "exits", "exits_lead"),
        ),
    },
    "exit_widths": {
        "too narrow in all": (
            of("out_west", "{kind: exit, width: 34 in, at: [-40 ft, -50 ft]}"),
            of("out_south", "{kind: exit, width: 34 in, at: [10 ft, -60 ft]}"),
            of("crowd", CROWD.replace("people: 200", "people: 240"), "exit_widths"),
        ),
        "one that no wheelchair gets through": (
            of("out_west", "{kind: exit, width: 31 in, at: [-40 ft, -50 ft]}", "exit_widths"),
        ),
        "one wide, and one that takes nobody": (
            of("out_west", "{kind: exit, width: 34 in, at: [-40 ft, -50 ft]}"),
            of("crowd", CROWD.replace("people: 200", "people: 240"), "exit_widths"),
        ),
        "two exits side by side": (
            of("out_west", "{kind: exit, width: 5 ft, at: [0 ft, -60 ft]}"),
            of("crowd", None, "exit_widths"),
        ),
        "more people than two exits are for": (
            of("crowd", CROWD.replace("people: 200", "people: 501"), "exit_widths", "exit_widths", "exit_widths"),
        ),
        "more people than have room": (
            of("crowd", "{kind: audience, people: 70, area: [[-40 ft, -60 ft], [40 ft, -60 ft], [40 ft, -57 ft]]}",
               "exit_widths"),
            of("out_west", "{kind: exit, width: 5 ft, at: [-40 ft, -60 ft]}"),
        ),
    },
    "kept_out": {
        "a gap that one walks through": (
            of("rope", "{kind: barrier, line: [[-50 ft, -28 ft], [60 ft, -28 ft]]}"),
            of("crowd", None, "kept_out"), of("street", None, "kept_out"),
        ),
        "a rope within the stand-off": (
            of("rope", "{kind: barrier, line: [[-50 ft, -28 ft], [0 ft, -20 ft], [90 ft, -28 ft]]}"),
            of("crowd", None, "kept_out"), of("street", None, "kept_out"),
        ),
        "a rope that comes within the stand-off on one side": (
            of("rope", "{kind: barrier, line: [[-50 ft, -28 ft], [22 ft, -28 ft], [22 ft, 60 ft]]}"),
            of("crowd", None, "kept_out"), of("street", None, "kept_out"),
        ),
        "a rope behind the crowd": (
            of("rope", "{kind: barrier, line: [[-50 ft, -60 ft], [-50 ft, -64 ft], [90 ft, -64 ft], [90 ft, -60 ft]]}"),
            of("crowd", None, "kept_out"),
            of("out_west", None, "exits_lead"),
            of("out_south", None, "exits_lead"),
        ),
    },
    "fire_lane": {
        "narrow": (of("lane", square("fire_lane", 104, -80, 18), "fire_lane"),),
        "a van in it": (of("lane", square("fire_lane", 75, -80, 50), "fire_lane"),),
        "narrow at a waist": (of("lane", lane((122, -32), (108, -30), (122, -28), (122, 20)), "fire_lane"),),
        "narrow toward one end": (of("lane", lane((108, 70), left=70), "fire_lane"),),
        "far from any road": (
            of("street", "{kind: public_way, line: [[-90 ft, -101 ft], [140 ft, -101 ft]]}"),
            of("lane", None, "fire_lane"),
        ),
        "wires low over it": (
            of("line_a", "{kind: wires, line: [[60 ft, 30 ft, 25 ft], [130 ft, 0 ft, 9 ft]]}", "fire_lane"),
        ),
        "a fence across it": (
            before_rack("wire_fence: {kind: barrier, line: [[95 ft, -20 ft], [130 ft, -20 ft]]}"),
            of("lane", None, "fire_lane"),
        ),
        "a way out that ends in it": (
            before_rack("gap: {kind: exit, at: [110 ft, 10 ft]}"),
            of("lane", None, "fire_lane"),
        ),
    },
    "outlines": {
        "an area that crosses itself": (
            of("marquee", "{area: [[70 ft, 30 ft], [80 ft, 40 ft], [80 ft, 30 ft], [70 ft, 40 ft]]}", "outlines"),
        ),
        "a line of no length": (
            of("marquee", "{kind: barrier, line: [[70 ft, 30 ft], [70 ft, 30 ft]]}", "outlines"),
        ),
        "an area on one line": (
            of("marquee", "{kind: tent, area: [[70 ft, 30 ft], [75 ft, 30 ft], [80 ft, 30 ft]]}", "outlines"),
        ),
        "a hall where the crowd stands": (
            of("crowd", None, "outlines"),
            before_rack(square("building", -10, -50, 10).replace("{", "barn: {", 1)),
        ),
        "two areas of the public on one another": (
            of("crowd", None, "outlines"),
            before_rack("more: {kind: audience, people: 5, area: [[-30 ft, -50 ft], [0 ft, -50 ft], [0 ft, -45 ft]]}"),
        ),
        "a generator among the crowd": (
            of("crowd", None, "outlines"),
            of("mains", "{kind: generator, at: [0 ft, -45 ft]}"),
        ),
        "a drain where the crowd stands": (
            of("crowd", None, "outlines"),
            of("drain", "{kind: low_place, at: [0 ft, -45 ft]}"),
        ),
        "a pond right across the crowd": (
            of("crowd", None, "outlines"),
            before_rack("pond: {blocks: [walking], area: [[-45 ft, -50 ft], [45 ft, -50 ft], [45 ft, -48 ft], "
                        "[-45 ft, -48 ft]]}"),
            of("out_west", "{kind: exit, width: 5 ft, at: [-40 ft, -60 ft]}"),
        ),
        "a barrier that is one point": (
            before_rack("post_1: {kind: barrier, at: [95 ft, 0 ft]} # expect: site.outlines"),
        ),
        "an area inside out": (
            before_rack("pit:\n    area: [[70 ft, 0 ft], [72 ft, 0 ft], [72 ft, 2 ft], [70 ft, 2 ft]]\n"
                        "    holes: [[[68 ft, -2 ft], [74 ft, -2 ft], [74 ft, 4 ft]]] # expect: site.outlines"),
        ),
    },
    "on_site": {
        "an effect off the site": (
            of("edge", "{area: [[10 ft, -85 ft], [130 ft, -85 ft], [130 ft, 80 ft], [10 ft, 80 ft]]}"),
            of("glow", None, "on_site"), of("crowd", None, "on_site"), of("out_west", None, "on_site"),
        ),
        "an origin in degrees": (("  origin: the bowl", "  origin: 41.88 deg # expect: site.on_site"),),
        "a place miles away": (of("oak", "{kind: tree, at: [-3000 ft, 10 ft, 0 ft], height: 40 ft}", "on_site"),),
        "bounds that are no area": (("bounds: edge", "bounds: fence # expect: site.on_site"),),
    },
    "one_unit": {
        "one place in meters": (of("mains", "{kind: generator, at: [24 m, -3 m]}", "one_unit"),),
        "a height in meters": (of("bowl", "{at: [0 ft, 0 ft, 1 m]}", "one_unit"),),
    },
    "tags_apart": {
        "a capital and a dash": (before_rack("Out-West: {at: [0 ft, 20 ft]} # expect: site.tags_apart"),),
        "a letter like a digit": (
            before_rack("post_1: {at: [0 ft, 20 ft]}\n  post_l: {at: [0 ft, 22 ft]} # expect: site.tags_apart"),
        ),
        "a side that is the other": (
            before_rack("cone_west: {at: [9 ft, 20 ft]} # expect: site.tags_apart\n  cone_east: {at: [4 ft, 20 ft]}"),
        ),
        "west of what lies to the west": (
            before_rack("cone_1: {at: [4 ft, 20 ft]}\n"
                        "  cone_2: {at: [9 ft, 20 ft], note: west of cone_1} # expect: site.tags_apart"),
        ),
        "the farthest of a row that is not": (
            before_rack("cone_1: {at: [4 ft, 20 ft]}\n"
                        "  cone_2: {at: [9 ft, 20 ft], note: the cone farthest west} # expect: site.tags_apart"),
        ),
        "the plan turned": (
            before_rack("cone_west: {at: [0 ft, 20 ft]} # expect: site.tags_apart\n  cone_east: {at: [0 ft, 24 ft]}"),
            ("north: 0 deg", "north: 90 deg"),
        ),
    },
    "tents_apart": {
        "a tent by the generator": (of("marquee", square("tent", 85, -5, 4), "tents_apart"),),
    },
}  # fmt: skip
# Never found anything: what is open is not checked, and said.
SAYS = {"sides": "nothing is described to the"}


@pytest.fixture
def flames(tmp_path: Path) -> str:
    return plugin_file(tmp_path, "flames", STANDOFF)


def ends(result: Result) -> dict[str, tuple[str, str]]:
    return {r.id.removeprefix("site."): (r.status, r.looked) for r in result.rules if r.plugin == "site"}


CASES = [(rule, what) for rule, cases in BAD.items() for what in cases]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, flames: str, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert f"site.{rule}" in {r for _, _, r in expected}
    assert findings_at(spec, block=OTHERS, plugins=(flames,)) == expected


def test_every_rule_passes_on_the_good_spec_and_has_a_bad_case(flames: str) -> None:
    result = result_of(GOOD, block=OTHERS, plugins=(flames,))
    assert result.findings == ()
    statuses = ends(result)
    assert set(statuses) == set(BAD) | set(SAYS)
    # Some rest on what the maker says is not there, or on a distance that the maker types.
    resting = {"cylinders_apart", "relief_discharge", "relief_as_typed", "stores", "exit_widths"}
    assert {r for r, (s, _) in statuses.items() if s == "stated"} == resting
    assert {s for r, (s, _) in statuses.items() if r not in resting} == {"passed"}, statuses


@pytest.mark.parametrize(("rule", "tag", "old", "named"), [
    ("lines_reach", "tank", ", place: post", "where tank stands (place:)"),
    ("lines_reach", "pilot", "place: bowl, ", "where pilot stands (place:)"),
    ("lines_reach", "glow", ", at: bowl", "where ring stands (place:)"),
    ("relief_as_typed", "relief", ", place: post", "how far relief is from a flame on the plan (place:)"),
])  # fmt: skip
def test_a_place_that_is_left_out_is_asked_for(
    tmp_path: Path, flames: str, rule: str, tag: str, old: str, named: str
) -> None:
    line = of(tag)[0]
    bare = (line, line.replace(old, "")), ("length: 40 ft, place: [post, bowl]", "length: 40 ft")
    spec = project(tmp_path, GOOD, *bare)
    status, looked = ends(result_of(spec, block=OTHERS, plugins=(flames,)))[rule]
    assert status == "not checked"
    assert named in looked


BLEED = ("    lighting: {", "    bleed: {from: split, line: [bl]}\n    lighting: {")
LED = ("line: [relief]", "line: [relief, led]")


@pytest.mark.parametrize(
    ("part", "run", "named"),
    [
        ("led: {kind: pipe, bore: 1/2 in, length: 40 ft, place: sump_side}", LED, "led"),
        ("bl: {kind: valve, form: needle, place: sump_side}", BLEED, "bl"),
    ],
)
def test_the_end_of_a_vent_and_a_bleed_are_held_off_low_places(
    tmp_path: Path, part: str, run: Patch, named: str
) -> None:
    places = ("  drain:", "  sump_side: {at: [12 ft, 38 ft]}\n  drain:")
    spec = project(tmp_path, GOOD, places, ("    split: {", f"    {part}\n    split: {{"), run)
    (found,) = findings_of(spec, "site.vents_from_low_places", block=OTHERS)
    assert found.message.startswith(f"{named} lets gas out 2.83 ft from drain")
    # What a vent leads away is no open end, and nothing comes there that the relief valve holds.
    wrong = [f.rule for f in checked(spec, block=OTHERS).findings if named == "led"]
    assert not {"plumbing.line_ends", "plumbing.one_failure"} & set(wrong)


def distances(spec: Path, *plugins: str) -> dict[str, tuple[str, ...]]:
    """The plan's table: for each pair how far apart, how far it has to be, the margin, why, and the status."""
    made = dict(result_of(spec, block=OTHERS, plugins=plugins).tables)["site.distances"]
    return {r.cells[0]: r.cells[1:] for r in made.rows}


def test_the_plan_measures_what_the_largest_stand_off_is_held_against(tmp_path: Path, flames: str) -> None:
    """flame.public_distance judges it: the areas of the plan are its targets."""
    assert distances(GOOD)["glow to crowd"] == (
        "30 ft",
        "",
        "",
        "no stand-off is known (specc default)",
        "not checked",
    )
    far = distances(GOOD, flames)["glow to crowd"]
    assert (far[:3], far[4]) == (("30 ft", "25 ft", "5 ft"), "computed")
    near = project(tmp_path, GOOD, of("crowd", square("audience", -40, -60, 40)))
    cells = distances(near, flames)["glow to crowd"]
    assert cells[:2] == ("20 ft", "25 ft")
    assert cells[3].startswith("flames: heat of the bowl")
    assert cells[4] == "too near"
    round_it = project(tmp_path, GOOD, of("crowd", square("audience", -20, -25, 45)), name="round.yaml")
    assert distances(round_it, flames)["glow to crowd"][0].startswith("0")


def test_without_kinds_nothing_is_passed(tmp_path: Path) -> None:
    text = re.sub(rf"kind: (?:{'|'.join(KINDS)})(?:, )?", "", BASE[: BASE.index("site:\n")])
    statuses = ends(result_of(project(tmp_path, text), block=OTHERS))
    alone = {"hose_lengths", "lines_reach", "outlines", "one_unit", "tags_apart"}
    assert "passed" not in {s for r, (s, _) in statuses.items() if r not in alone}, statuses


KINDS = (
    "audience", "barrier", "exit", "building", "opening", "tent", "generator", "vehicle", "fire_lane", "public_way",
    "property_line", "low_place", "wires", "tree", "fuel_store",
)  # fmt: skip


@pytest.mark.parametrize(
    "kind", ["opening", "tent", "generator", "vehicle", "public_way", "property_line", "low_place", "building"]
)
def test_what_is_neither_described_nor_said_to_be_absent_is_not_checked(tmp_path: Path, kind: str) -> None:
    (line,) = re.findall(rf"^.*kind: {kind}.*$", BASE, re.MULTILINE)
    spec = project(tmp_path, GOOD, (line, line.replace(f"kind: {kind}", "note: nobody looked")))
    status, looked = ends(result_of(spec, block=OTHERS))["cylinders_apart"]
    assert status == "not checked"
    assert f"nothing says whether there is: {kind.replace('_', ' ')}" in looked


def test_a_side_where_nothing_is_described_is_said_by_name(tmp_path: Path) -> None:
    fence = "{kind: barrier, line: [[-50 ft, -60 ft], [-50 ft, 60 ft], [90 ft, 60 ft]]}"
    spec = project(tmp_path, GOOD, of("fence", fence), of("rope", "{note: gone}"))
    status, looked = ends(result_of(spec, block=OTHERS))["sides"]
    assert status == "not checked"
    assert "nothing is described to the north-east, east, south-east of glow" in looked
    turned = project(tmp_path, spec, ("north: 0 deg", "north: 90 deg"), name="turned.yaml")
    said = ends(result_of(turned, block=OTHERS))["sides"][1]
    assert "nothing is described to the north, north-east, north-west of glow" in said


def test_sides_are_named_from_north() -> None:
    assert named_sides([0, 90], 0.0) == ["north", "east"]
    assert named_sides([0], 90.0) == ["west"]


def test_empty_cylinders_count_as_full_and_above_720_lb_nothing_is_passed(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("count: 4, each: 20 lb", "count: 8, each: 100 lb"))
    status, looked = ends(result_of(spec, block=OTHERS))["stores"]
    assert status == "not checked"
    assert "800 lb" in looked


@pytest.mark.parametrize(("turn", "refused"), [("400 deg", True), ("-361 deg", True), ("360 deg", False)])
def test_north_is_no_more_than_once_round(tmp_path: Path, turn: str, refused: bool) -> None:
    found = findings_of(project(tmp_path, GOOD, ("  north: 0 deg", f"  north: {turn}")), "spec.quantity", block=OTHERS)
    assert [f.at for f in found] == (["/site/north"] if refused else [])
    assert all(f.fix == "allowed: more than -360 deg and at most 360 deg" or "360 deg" in f.fix for f in found)


def test_areas_that_only_touch_do_not_lie_on_one_another() -> None:
    def area(*spots: tuple[float, float]) -> Area:
        return Area(tuple(Point(Quantity(x, "length", ""), Quantity(y, "length", "")) for x, y in spots))

    one = area((0, 0), (10, 0), (10, 10), (0, 10))
    assert not overlap(one, area((10, 0), (20, 0), (20, 10), (10, 10)))
    assert not overlap(one, area((10, 10), (20, 10), (20, 20), (10, 20)))
    assert overlap(one, area((9, 9), (20, 9), (20, 20), (9, 20)))
    assert overlap(one, area((-5, 4), (15, 4), (15, 6), (-5, 6)))  # right across, no corner in either
    assert overlap(one, one)


def _ring(*spots: tuple[float, float]) -> Area:
    return Area(tuple(Point(Quantity(x, "length", ""), Quantity(y, "length", "")) for x, y in spots))


def test_a_waist_is_found_and_a_niche_is_none() -> None:
    """A lane of 22 with a least of 20: what an engine has to pass counts, what it never drives into does not."""
    straight = ((0, 0), (22, 0), (22, 200), (0, 200))
    assert waist(_ring(*straight), 20) is None
    assert waist(_ring(*straight[::-1]), 20) is None
    assert waist(_ring((0, 0), (22, 0), (22, 178), (200, 178), (200, 200), (0, 200)), 20) is None  # round a corner
    niche = ((0, 0), (22, 0), (22, 90), (30, 90), (30, 96), (22, 96), (22, 200), (0, 200))
    assert waist(_ring(*niche), 20) is None
    post = ((0, 0), (22, 0), (22, 95), (12, 100), (22, 105), (22, 200), (0, 200))
    assert waist(_ring(*post), 20) == pytest.approx(12)
    assert waist(_ring(*post[::-1]), 20) == pytest.approx(12)
    gate = ((0, 0), (22, 0), (22, 100), (17, 100), (17, 160), (22, 160), (22, 300), (5, 300), (5, 160), (0, 100))
    assert waist(_ring(*gate), 20) == pytest.approx(12, abs=0.5)
    taper = ((0, 0), (30, 0), (18, 300), (12, 300))
    assert waist(_ring(*taper), 20) == pytest.approx(8, abs=0.5)  # 6 at its end, which is 20 farther


def test_an_effect_that_moves_is_kept_from_wherever_it_burns(tmp_path: Path, flames: str) -> None:
    """A bowl on a track that ends beside the rope, and one that stays in its middle."""
    for line, status in (
        ("[[0 ft, 0 ft, 3 ft], [0 ft, 4 ft, 3 ft]]", "passed"),
        ("[[0 ft, 26 ft, 3 ft], [0 ft, -26 ft, 3 ft]]", "failed"),
    ):
        spec = project(tmp_path, GOOD, of("bowl", f"{{line: {line}}}"))
        assert ends(result_of(spec, block=OTHERS, plugins=(flames,)))["kept_out"][0] == status


def test_a_corner_that_is_written_twice_is_one(tmp_path: Path) -> None:
    twice = "{kind: tent, area: [[70 ft, 30 ft], [70 ft, 30 ft], [80 ft, 30 ft], [80 ft, 40 ft], [70 ft, 40 ft]]}"
    assert findings_of(project(tmp_path, GOOD, of("marquee", twice)), "site.outlines", block=OTHERS) == ()


def test_a_gate_is_in_the_line_of_its_fence(tmp_path: Path) -> None:
    """The same fence as beyond which two ways out lie too far off: here they are gates in it, to a foot."""
    fence = "{kind: barrier, area: [[-50 ft, -64 ft], [-50 ft, 60 ft], [90 ft, 60 ft], [90 ft, -64 ft]]}"
    west = of("out_west", "{kind: exit, width: 5 ft, at: [-50 ft, -50 ft]}")
    spec = project(tmp_path, GOOD, of("fence", fence), west,
                   of("out_south", "{kind: exit, width: 5 ft, at: [10 ft, -64.9 ft]}"))  # fmt: skip
    assert findings_of(spec, "site.exits", block=OTHERS) == ()


@pytest.mark.parametrize(("people", "managers"), [(999, None), (1000, 4), (1001, 5)])
def test_a_large_crowd_has_crowd_managers(tmp_path: Path, people: int, managers: int | None) -> None:
    """IFC 2018 as Minnesota has it, chapter 4: at least 2, and 1 for each 250; outdoors under 1,000 people none."""
    spec = project(tmp_path, GOOD, of("crowd", CROWD.replace("people: 200", f"people: {people}")))
    found = [f.message for f in findings_of(spec, "site.exit_widths", block=OTHERS) if f.level == "note"]
    assert [m.startswith(f"{people} people: {managers} crowd managers") for m in found] == ([True] if managers else [])


def test_how_much_room_a_line_of_people_has_is_not_known(tmp_path: Path) -> None:
    spec = project(
        tmp_path, GOOD, of("crowd", "{kind: audience, people: 200, line: [[-40 ft, -30 ft], [40 ft, -30 ft]]}")
    )
    status, looked = ends(result_of(spec, block=OTHERS))["exit_widths"]
    assert (status, "how much room crowd has is not known" in looked) == ("not checked", True)


def test_a_hall_with_the_public_in_it_has_doors(tmp_path: Path) -> None:
    """Indoors nobody walks through a wall to get out, and nobody is said to stand where the hall does."""
    barn = before_rack(square("building", -46, -62, 90).replace("{", "barn: {", 1))
    found = findings_of(project(tmp_path, GOOD, barn), block=OTHERS)
    assert not [f.message for f in found if f.rule == "site.exits"]
    assert not [f.message for f in found if f.rule == "site.outlines" and "crowd" in f.message]
    asked = "by which doors crowd gets out of barn (kind: opening or exit, with width:)"
    assert asked in ends(checked(project(tmp_path, GOOD, barn, name="asked.yaml"), block=OTHERS))["walls"][1]


@pytest.mark.parametrize(
    ("gate", "width", "out"), [("-20 ft, -29 ft", "width: 8 ft, ", True), ("-20 ft, -29 ft", "", False),
                               ("-20 ft, -25 ft", "width: 8 ft, ", False)],
)  # fmt: skip
def test_the_public_gets_out_of_a_hall_by_its_doors_alone(tmp_path: Path, gate: str, width: str, out: bool) -> None:
    """A fence parts the yard's two exits outside the hall: each is got to by a door of its own."""
    walls = "area: [[-42 ft, -62 ft], [42 ft, -62 ft], [42 ft, -29 ft], [-42 ft, -29 ft]]"
    doors = "d_west: {kind: opening, width: 6 ft, at: [-42 ft, -50 ft]}\n"
    hall = f"barn: {{kind: building, {walls}}}\n  {doors}  d_north: {{kind: opening, {width}at: [{gate}]}}"
    moved = (
        of("out_west", "{kind: exit, width: 5 ft, at: [-46 ft, -50 ft]}"),
        of("out_south", "{kind: exit, width: 5 ft, at: [-46 ft, -40 ft]}"),
        of("rope", "{kind: barrier, line: [[-50 ft, -20 ft], [90 ft, -20 ft]]}"),
    )
    fence = ("  oak:", "  fence_w: {kind: barrier, line: [[-42 ft, -45 ft], [-50 ft, -45 ft]]}\n  oak:")
    spec = project(tmp_path, GOOD, before_rack(hall), *moved, fence)
    assert bool(findings_of(spec, "site.exits", block=OTHERS)) != out


@pytest.mark.parametrize(
    ("street", "status"),
    [("{kind: walkway, line: [[-90 ft, -90 ft], [140 ft, -90 ft]]}", "not checked"),
     ("{kind: public_way, line: [[-90 ft, -90 ft], [140 ft, -90 ft]]}", "passed"),
     ("{kind: public_way, at: [0 ft, -90 ft]}", "passed")],
)  # fmt: skip
def test_where_exits_lead_is_asked_without_a_public_way(tmp_path: Path, street: str, status: str) -> None:
    assert ends(checked(project(tmp_path, GOOD, of("street", street)), block=OTHERS))["exits_lead"][0] == status
    none = ("none: [queue", "none: [public_way, queue")
    gone = project(tmp_path, GOOD, of("street", "{at: [0 ft, -90 ft]}"), none, name="gone.yaml")
    assert ends(checked(gone, block=OTHERS))["exits_lead"][0] == "passed"  # to the edge of the land


def test_an_exit_past_a_flame_alone_is_found(tmp_path: Path, flames: str) -> None:
    """From the west one gets to the street only along the bowl: a fence shuts off the rest."""
    fences = "west: {kind: barrier, line: [[-50 ft, -62 ft], [-41 ft, -62 ft]]}\n"
    shut = f"pen_{fences}  pen_east: {{kind: barrier, line: [[-41 ft, -62 ft], [-40 ft, -60 ft]]}}"
    rope = of("rope", "{kind: barrier, line: [[10 ft, -30 ft], [10 ft, -10 ft]]}")
    ring = of("fence", "{kind: barrier, line: [[-50 ft, -62 ft], [-50 ft, 20 ft], [60 ft, 20 ft]]}")
    spec = project(tmp_path, GOOD, before_rack(shut), rope, ring)
    found = findings_of(spec, "site.exits_lead", block=OTHERS, plugins=(flames,))
    assert [(f.level, "past a flame alone" in f.message) for f in found] == [("warning", True)]


def test_an_area_may_go_round_either_way(tmp_path: Path, flames: str) -> None:
    """The same tent with its corners clockwise, and the same crowd: nothing changes."""
    turned = "{kind: tent, area: [[70 ft, 40 ft], [80 ft, 40 ft], [80 ft, 30 ft], [70 ft, 30 ft]]}"
    spec = project(tmp_path, GOOD, of("marquee", turned))
    one, other = (result_of(s, block=OTHERS, plugins=(flames,)) for s in (spec, GOOD))
    assert ends(one) == ends(other)
    assert dict(one.tables)["site.distances"] == dict(other.tables)["site.distances"]


def test_a_hole_is_out_of_its_area(tmp_path: Path) -> None:
    """A crowd all round a ring that nobody enters: measured to the ring."""
    ring = "holes: [[[-28 ft, -28 ft], [28 ft, -28 ft], [28 ft, 28 ft], [-28 ft, 28 ft]]]"
    around = "area: [[-45 ft, -60 ft], [45 ft, -60 ft], [45 ft, 45 ft], [-45 ft, 45 ft]]"
    spec = project(tmp_path, GOOD, of("crowd", f"{{kind: audience, {around}, {ring}}}"))
    assert distances(spec)["glow to crowd"][0] == "28 ft"


def test_lengths_are_told_metric_by_their_unit() -> None:
    assert [metric(t) for t in ("3 m", "-3.5 m ± 2 cm", "3 metres", "300 millimetres")] == [True] * 4
    assert [metric(t) for t in ("12 ft", "1 1/2 in", "0")] == [False, False, None]


# Distances decide by plane geometry of the core; shapely measures them another way.


def quantity(value: float) -> Quantity:
    return Quantity(value, "length", "")


def point(made: random.Random) -> Point:
    return Point(quantity(made.uniform(-9, 9)), quantity(made.uniform(-9, 9)))


def shape(made: random.Random) -> Shape:
    kind = made.randrange(3)
    if kind == 0:
        return point(made)
    if kind == 1:
        return Polyline(tuple(point(made) for _ in range(made.randint(2, 4))))
    x, y, size, turn = made.uniform(-9, 9), made.uniform(-9, 9), made.uniform(1, 5), made.uniform(0, 2)
    around = [turn + k * 2 * math.pi / 7 for k in range(7)]
    reach = [size * made.uniform(0.4, 1) for _ in around]
    outline = tuple(
        Point(quantity(x + r * math.cos(a)), quantity(y + r * math.sin(a))) for a, r in zip(around, reach, strict=True)
    )
    return Area(outline)


@pytest.mark.parametrize("seed", range(40))
def test_distances_are_shapelys(seed: int) -> None:
    shapely = pytest.importorskip("shapely")

    def theirs(one: Shape) -> object:
        if isinstance(one, Point):
            return shapely.Point(one.x.si, one.y.si)
        if isinstance(one, Polyline):
            return shapely.LineString([(p.x.si, p.y.si) for p in one.points])
        return shapely.Polygon([(p.x.si, p.y.si) for p in one.outline])

    made = random.Random(seed)
    for _ in range(10):
        one, other = shape(made), shape(made)
        assert distance(one, other).si == pytest.approx(shapely.distance(theirs(one), theirs(other)), abs=1e-9)


def test_the_narrowest_width_of_a_lane() -> None:
    def area(*spots: tuple[float, float]) -> Area:
        return Area(tuple(Point(quantity(x), quantity(y)) for x, y in spots))

    assert narrowest(area((0, 0), (30, 0), (30, 6), (0, 6))) == pytest.approx(6)
    assert narrowest(area((0, 0), (20, 20), (18, 22), (-2, 2))) == pytest.approx(math.sqrt(8))


# The plan


@pytest.fixture(scope="module")
def reeds(complete: Callable[[str], Result]) -> Result:
    return complete("lantern_reeds")


def test_the_plan_of_the_sample_is_to_a_scale_of_a_ruler_and_says_its_distances(reeds: Result) -> None:
    drawing = dict(reeds.drawings)["site"]
    assert drawing.kind == "to_scale"
    assert "sign in label: same spot" in drawing.note
    assert drawing.scale % 12 == 0
    (sheet,) = drawing.sheets
    assert sheet.width / drawing.scale < 0.181
    assert sheet.height / drawing.scale < 0.2
    texts = [s.text for s in sheet.shapes if type(s).__name__ == "Text"]
    table = dict(reeds.tables)["site.distances"]
    measured = {row.cells[1] for row in table.rows}
    drawn = [t for t in texts if t.endswith(" ft") and t in measured]
    assert drawn, texts
    for word in (
        "N",
        "wind from SW",
        "crowd",
        "tank_a, tank_b",
        "audience, 300 people",
        "exit, 8 ft wide",
        "east: water",
        "box: blanket, first aid",
        "fir, hazel from 22:25",
        "Reed 1 to Reed 5",
        "bed_1 to bed_5, left to right",
    ):
        assert word in texts


def test_the_distance_with_the_least_to_spare_is_on_the_plan(reeds: Result) -> None:
    """Where a cylinder is held off something by a foot is what a reader has to see first."""
    table = dict(reeds.tables)["site.distances"]
    least = min(table.rows, key=lambda row: float(row.cells[3].split()[0]))
    texts = [s.text for s in dict(reeds.drawings)["site"].sheets[0].shapes if type(s).__name__ == "Text"]
    assert least.cells[1] in texts, least.cells


def test_where_a_barrier_ends_there_is_a_bar_across_it(reeds: Result) -> None:
    """A chain that goes on from a wall in one line is told from it by where both end."""
    made = dict(reeds.drawings)["site"]
    k = 1000.0 / made.scale
    heavy = [s for s in made.sheets[0].shapes if isinstance(s, Line) and s.weight == line_styles.BARRIER.weight]
    bars = [s for s in heavy if len(s.points) == 2 and math.dist(*s.points) * k == pytest.approx(2 * line_styles._END)]
    assert len(bars) == 2 * 5 + 2  # terrace_wall, rope_west, rope, rope_east, crew_chain; and that of the key


@pytest.mark.parametrize("seed", range(6))
def test_the_length_of_a_distance_lies_on_no_other_word(tmp_path: Path, flames: str, seed: int) -> None:
    """With posts and taps all along the line from the flame to the public."""
    made = random.Random(seed)
    spots = "".join(
        f"  stand_{i}: {{at: [{made.uniform(-12, 12):.1f} ft, {made.uniform(-27, -4):.1f} ft]}}\n" for i in range(7)
    )
    spec = project(tmp_path, GOOD, ("  rack: {kind", f"{spots}  rack: {{kind"))
    ask = Ask(kinds=frozenset(), ids=frozenset({"drawing site"}), plugin_files=(flames,), block=OTHERS)
    drawing_ = dict(travel(str(spec), None, ask).drawings)["site"]
    (sheet,) = drawing_.sheets
    texts = [s for s in sheet.shapes if isinstance(s, Text)]
    lengths = [t for t in texts if t.strong and t.text.endswith(" ft")]
    assert lengths
    k = 72.0 * 39.37 / drawing_.scale  # points of paper to a meter of the site
    for one in lengths:
        for other in (t for t in texts if t is not one):
            assert len(uncrowded(sheet._replace(shapes=(one, other)), k).shapes) == 2, (one.text, other.text)


def test_each_line_of_the_plan_has_its_key_and_none_looks_like_another(reeds: Result) -> None:
    made = dict(reeds.drawings)["site"]
    texts = [s.text for s in made.sheets[0].shapes if type(s).__name__ == "Text"]
    keys = [
        "barrier, end to end",
        "property line",
        "fire lane",
        "public way",
        "no public inside",
        "hose",
        "sight line of a post",
    ]
    assert all(texts.count(key) >= 1 for key in keys), texts
    of = line_styles
    rings = [of.PlanLine("", 0.7, "gray", pattern) for pattern in of.RINGS]
    styles = [*of.OF_KIND.values(), of.STANDOFF, of.HOSE, of.SIGHT, *rings]
    looks = [(s.pattern, s.ticks, s.weight if not s.pattern else 0.0) for s in styles]
    assert len(set(looks)) == len(looks)


def test_the_small_plan_has_few_words_and_none_on_another(reeds: Result) -> None:
    small = dict(reeds.drawings)["site"].small
    assert small is not None
    words = [s.text for s in small.shapes if type(s).__name__ == "Text"]
    for word in ("N", "wind from SW", "crowd", "cylinders", "fire lane", "The wisp", "Reed 1 to Reed 5", "38.1 ft"):
        assert word in words
    assert not {"pond", "shed", "h1", "barrier"} & set(words)
    k = 72.0 / (120 * 0.3048)
    assert uncrowded(small, k).shapes == small.shapes


def test_nothing_is_drawn_outside_of_the_sheet(reeds: Result) -> None:
    made = dict(reeds.drawings)["site"].sheets[0]
    for one in made.shapes:
        points = getattr(one, "points", None) or [(one.x, one.y)]  # type: ignore[union-attr]
        assert all(-1e-6 <= x <= made.width + 1e-6 and -1e-6 <= y <= made.height + 1e-6 for x, y in points), one


def test_a_crowded_label_goes_where_it_hits_nothing() -> None:
    labels = Labels((0.0, 0.0, 100.0, 100.0))
    boxes = [labels.put(50, 50, (Words("cylinders", strong=True), Words("main shutoff"))) for _ in range(6)]
    for i, one in enumerate(boxes):
        for other in boxes[:i]:
            assert not (one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3])


@pytest.fixture(scope="module")
def sketches() -> list[Sketch]:
    """The samples' plans in the making, the large and the small one of each."""
    made: list[Sketch] = []
    finish = drawing._finish
    forget()  # else a plan that another test drew is handed out again
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawing, "_finish", lambda sketch, plan: (made.append(sketch), finish(sketch, plan)))
        for name in ("lantern_reeds", "garden_brazier"):
            spec = SAMPLE.parents[1] / name / "project.yaml"
            travel(str(spec), None, Ask(kinds=frozenset(), ids=frozenset({"drawing site"})))
    return made


def test_no_label_lies_nearer_to_another_thing_than_to_its_own(sketches: list[Sketch]) -> None:
    looked = 0
    for labels in (sketch.labels for sketch in sketches):
        for one in labels.placed:
            own = min(apart(one.box, spot) for spot in one.spots)
            others = [t for t in labels.things if all(math.dist(t, spot) > 0.1 for spot in one.spots)]
            assert all(apart(one.box, other) > own for other in others), one
            looked += len(others)
    assert looked > 100


def test_a_leader_ends_at_its_thing(sketches: list[Sketch]) -> None:
    leaders = [one for sketch in sketches for one in sketch.labels.leaders]
    spots = {spot for sketch in sketches for one in sketch.labels.placed for spot in one.spots}
    assert leaders
    for x, y, *_ in leaders:
        assert (x, y) in spots


BEDS = ("bed_1", "bed_2", "bed_3", "bed_4", "bed_5")
SPOTS = {
    tag: (float(x), float(y))
    for tag, x, y in re.findall(
        r"^  (\w+): \{at: \[(-?[\d.]+) ft, (-?[\d.]+) ft", SAMPLE.read_text(encoding="utf-8"), re.M
    )
}


def test_gas_stands_at_its_true_spot_and_is_named_first(sketches: list[Sketch]) -> None:
    reeds = sketches[0]
    for x, y, kind in ((*SPOTS["supply"], "Circle"), (*SPOTS["accumulator_stand"], "RoundRect")):
        at = reeds.at(x * 0.3048, y * 0.3048)
        here = [s for s in reeds.signs if type(s).__name__ == kind and math.dist(_center(s), at) < 1e-6]
        assert here, (x, y)
    first = [one.words[0].text for one in reeds.labels.placed[:3]]
    assert sorted(first) == ["accumulator_stand", "spare_cage", "supply"]


def _center(sign: Drawn) -> tuple[float, float]:
    if isinstance(sign, RoundRect):
        return sign.x + sign.width / 2, sign.y + sign.height / 2
    assert isinstance(sign, Circle)
    return sign.x, sign.y


def test_a_label_of_gas_lies_no_nearer_to_a_flame_than_the_gas(sketches: list[Sketch]) -> None:
    reeds = sketches[0]
    flames = [reeds.at(x * 0.3048, y * 0.3048) for x, y in (SPOTS[t] for t in ("mast", *BEDS))]
    for one in reeds.labels.placed[:3]:
        assert min(apart(one.box, f) for f in flames) > min(math.dist(one.spot, f) for f in flames) - 1.0


def test_no_ground_of_a_word_hides_a_line_that_decides_or_a_hatched_area(sketches: list[Sketch]) -> None:
    for sketch in sketches:
        grounds = [i for i, s in enumerate(sketch.shapes) if _is_ground(s)]
        over = [sketch.shapes.index(s) for s in sketch.over]
        assert min(over) > max(grounds)
    reeds = sketches[0]
    assert any(isinstance(s, Polygon) and s.hatch for s in reeds.over)  # the cage
    barriers = [s for s in reeds.over if isinstance(s, Line) and s.weight == line_styles.BARRIER.weight]
    assert len(barriers) >= 5


def _is_ground(shape: Drawn) -> bool:
    return isinstance(shape, Polygon) and shape.weight == 0 and shape.fill not in ("ink", None)


def test_people_of_one_post_are_counted_beside_their_figure(sketches: list[Sketch]) -> None:
    lines = [laid.words for laid in sketches[0].labels.laid if laid.words.sign == "person"]
    assert "3: alder, birch, cedar" in [line.text for line in lines]


def test_a_spec_without_a_plan_says_so_in_the_packet(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE[: BASE.index("places:")] + BASE[BASE.index("effects:") : BASE.index("site:\n")])
    made = result_of(spec, block=OTHERS)
    assert "no plan" in str(next(s for s in made.sections if s.id == "site").blocks)
    assert {s for rule, (s, _) in ends(made).items() if rule != "tags_apart"} <= {"not checked", "not applicable"}


def test_one_place_alone_leaves_room_for_the_scale_bar(tmp_path: Path) -> None:
    garden = Path(__file__).parents[1] / "samples" / "garden.yaml"
    alone = project(tmp_path, garden, ("  bowl: {at: [0 ft, 0 ft, 3 ft], note: center of the ring}\n", "  bowl: {}\n"))
    assert "plugin.off_sheet" not in {f.rule for f in result_of(alone).findings}


def test_a_part_whose_kind_cannot_be_read_joins_whatever_it_stands_between(tmp_path: Path) -> None:
    for tag in ("tank", "v1", "short"):
        folder = tmp_path / tag
        folder.mkdir()
        spec = project(folder, GOOD, of(tag, "{kind: unheard, place: post, diameter: 12 in, length: 1 in}"))
        result = result_of(spec, block=OTHERS, only=("rule site.lines_reach",))
        assert {f.rule for f in result.findings} <= {"spec.value", "spec.unknown_key"}
        assert ends(result)["lines_reach"][0] != "crashed"


def test_an_area_whose_lobes_cancel_out_is_said_to_cross_itself(tmp_path: Path) -> None:
    """Two lobes of one size enclose 0 in all, and lie on no line."""
    bow = "{area: [[70 ft, 30 ft], [80 ft, 40 ft], [80 ft, 30 ft], [70 ft, 40 ft]]}"
    found = findings_of(project(tmp_path, GOOD, of("marquee", bow)), "site.outlines", block=OTHERS)
    assert [f.message for f in found] == [
        "the area marquee crosses itself: its edge from corner 1 meets the one from corner 3"
    ]


@pytest.mark.parametrize(("spot", "status"), [("[40 ft, -28.5 ft]", "passed"), ("[40 ft, -22 ft]", "failed")])
def test_an_exit_is_a_gate_in_a_barrier_or_it_is_behind_it(tmp_path: Path, spot: str, status: str) -> None:
    """The rope stands at -28 ft, with the fire behind it."""
    gate = of("out_west", f"{{kind: exit, width: 5 ft, at: {spot}}}")
    result = checked(project(tmp_path, GOOD, gate), block=OTHERS)
    assert next(r.status for r in result.rules if r.id == "site.exits") == status


def test_tags_of_extinguishers_that_read_alike_are_found(tmp_path: Path) -> None:
    """Somebody calls for one of them over a radio."""
    units = "extinguishers: {units: {powder_5: {type: carbon_dioxide, place: post}, "
    spec = project(tmp_path, GOOD.read_text(encoding="utf-8") + units + "powder_S: {type: carbon_dioxide}}}\n")
    found = findings_of(spec, "site.tags_apart")
    assert [f.message for f in found] == ["the tags powder_5 and powder_S of extinguishers read alike"]


def test_a_way_past_the_flame_is_where_the_public_is(tmp_path: Path) -> None:
    """A path between the audience and the flame, with a rope on either side of it or none: people walk there."""
    path = before_rack("path: {kind: walkway, line: [[-60 ft, -2 ft], [60 ft, -2 ft]]}")
    line = before_rack("neighbor: {kind: property_line, line: [[-60 ft, 3 ft], [60 ft, 3 ft]]}")
    far = before_rack("path: {kind: walkway, line: [[-60 ft, -70 ft], [60 ft, -70 ft]]}")
    others = all_but("site", "plumbing", "fuel", "flame")
    near = findings_of(project(tmp_path, GOOD, path), "flame.public_distance", block=others)
    assert any("the public at path is 2 ft from glow" in f.message for f in near)
    # Beyond a property line anybody may stand.
    (tmp_path / "line").mkdir()
    beyond = findings_of(project(tmp_path / "line", GOOD, line), "flame.public_distance", block=others)
    assert any("the public at neighbor is 3 ft from glow" in f.message for f in beyond)
    # One that is farther off than the audience is judged with it, and lengthens no table.
    (tmp_path / "far").mkdir()
    result = checked(project(tmp_path / "far", GOOD, far), block=others)
    assert not [f for f in result.findings if f.rule == "flame.public_distance" and "path" in f.message]
    assert next(r.status for r in result.rules if r.id == "flame.public_distance") == "authority to decide"


@pytest.mark.parametrize("note", ["east of cone_1", "south-east of the cone_1", "the cone farthest east", "a cone"])
def test_words_of_compass_that_agree_with_coordinates_are_no_finding(tmp_path: Path, note: str) -> None:
    places = f"cone_1: {{at: [4 ft, 20 ft]}}\n  cone_2: {{at: [9 ft, 19 ft], note: {note}}}"
    spec = project(tmp_path, GOOD, before_rack(places))
    assert not findings_of(spec, "site.tags_apart", block=OTHERS)


def test_what_is_drawn_of_cylinders_is_in_the_first_table_and_a_store_has_a_row(reeds: Result) -> None:
    tables = dict(reeds.tables)
    first = [row.cells[0].partition(";")[0] for row in tables["site.nearest"].rows]
    assert first[:2] == ["wisp to crowd", "reed_5 to crowd"]
    assert {"wisp to west", "tank_a to hedge"} <= {*first}
    more = [row.cells[0] for row in tables["site.distances"].rows]
    assert "spare to pond" in more


def test_a_store_that_stands_too_near_has_a_row_for_each(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, of("rack", "{kind: fuel_store, at: [45 ft, -50 ft]}"))
    rows = dict(result_of(spec, block=OTHERS).tables)["site.distances"].rows
    own = [(row.cells[0], row.cells[1], row.cells[5]) for row in rows if row.cells[0].startswith("spare to")]
    assert own == [("spare to crowd", "5 ft", "too near")]


def plan_of(spec: Path) -> tuple[float, list[tuple[float, str]]]:
    """How tall the plan of a spec is, and where across it its words begin, in mm of paper."""
    plan = dict(result_of(spec, block=OTHERS, only=("drawing site",)).drawings)["site"]
    (sheet,) = plan.sheets
    k = 1000 / (plan.scale or 1)
    return sheet.height * k, [(s.x * k, s.text) for s in sheet.shapes if isinstance(s, Text)]


@pytest.mark.parametrize("times", [0.5, 1, 4, 12, 40])
def test_the_words_of_the_scale_bar_lie_beside_one_another(tmp_path: Path, times: float) -> None:
    start, end = BASE.index("places:"), BASE.index("effects:")
    larger = re.sub(r"(-?[\d.]+) ft", lambda m: f"{float(m[1]) * times:g} ft", BASE[start:end])
    _, words = plan_of(project(tmp_path, BASE[:start] + larger + BASE[end:]))
    (zero, none), (half, _), (whole, _) = words[-3:]
    assert none == "0"
    assert min(half - zero, whole - half) >= 6


def test_a_long_site_has_room_for_its_names_above_and_below(tmp_path: Path) -> None:
    row = "".join(f"  post_{i}: {{kind: tree, at: [{i * 60} ft, {i % 2} ft]}}\n" for i in range(14))
    text = f"format: 1\nproject: {{title: Row}}\nevent: {{dates: [2027-06-19], elevation: 1 ft}}\nplaces:\n{row}"
    tall, words = plan_of(project(tmp_path, text))
    assert tall > drawing.FLAT
    assert {f"post_{i}" for i in range(14)} <= {word for _, word in words}


def in_m(text: str) -> str:
    """The good spec's places in meters."""
    head, rest = text.split("places:\n", 1)
    places, tail = rest.split("effects:\n", 1)
    metric_ = re.sub(r"(-?[\d.]+) ft", lambda m: f"{float(m[1]) * FT:.4g} m", places)
    return f"{head}places:\n{metric_}effects:\n{tail}"


def test_the_scale_bar_is_in_the_unit_that_the_plan_is_measured_in(tmp_path: Path) -> None:
    for text, last, meters in ((BASE, "50 ft", 50 * FT), (in_m(BASE), "10 m (32.8 ft)", 10.0)):
        (sheet,) = dict(result_of(project(tmp_path, text), block=OTHERS).drawings)["site"].sheets
        (end,) = [s for s in sheet.shapes if isinstance(s, Text) and s.text == last]
        boxes = [s for s in sheet.shapes if isinstance(s, Polygon) and len(s.points) == 4 and s.points[2][1] < end.y]
        bar = [x for s in boxes if s.weight == 0.5 for x, _ in s.points]
        assert max(bar) - min(bar) == pytest.approx(meters)


def close(x: float, y: float, pitch: float) -> Patch:
    """Thirty-six things, six in a row."""
    kinds = ("generator", "combustible", "ignition", "fuel_dispenser", "opening", "tree")
    things = [
        f"t{i}_x: {{kind: {kinds[i % 6]}, at: [{x + pitch * (i % 6)} ft, {y + pitch * (i // 6)} ft]}}"
        for i in range(36)
    ]
    return before_rack("\n  ".join(things))


@pytest.mark.parametrize(("pitch", "label"), [(3, "1 to 36"), (9, "1")])
def test_what_stands_too_close_for_names_has_numbers_and_a_list(tmp_path: Path, pitch: float, label: str) -> None:
    """3 ft apart the signs lie on one another; 9 ft apart each has a number of its own."""
    result = result_of(project(tmp_path, GOOD, close(170, 25, pitch)), block=OTHERS)
    (sheet,) = dict(result.drawings)["site"].sheets
    words = [s.text for s in sheet.shapes if isinstance(s, Text)]
    assert label in words
    assert not [w for w in words if re.fullmatch(r"t\d+_x", w)]
    rows = dict(result.tables)["site.numbers"].rows
    assert [row.cells[0] for row in rows] == [str(n) for n in range(1, 37)]
    assert [row.cells[1] for row in rows[:6]] == [f"t{n}_x" for n in range(30, 36)]  # the row farthest north first
    assert rows[0].cells[2:] == ("generator", "170 ft", f"{25 + 5 * pitch} ft")


def test_a_plan_with_room_for_names_has_no_numbers() -> None:
    result = result_of(GOOD, block=OTHERS)
    assert dict(result.tables)["site.numbers"].rows == ()


@pytest.mark.parametrize(
    ("measured", "said"),
    [
        ("", "Not measured on the ground, as far as the spec says: tape what has little to spare before gas."),
        ("on: 2027-06-01, by: ash, with: a tape", "Measured on the ground (stated): 2027-06-01, by ash, with a tape."),
        ("on: 2027-06-12, by: ash", "Measured on the ground (stated): planned 2027-06-12, by ash."),
    ],
)
def test_below_the_plan_stands_whether_anybody_measured(tmp_path: Path, measured: str, said: str) -> None:
    """Margins of a foot were printed as computed for a site that nobody had been at with a tape."""
    text = GOOD.read_text(encoding="utf-8")
    patches = [("\nsite:\n", f"\nsite:\n  measured: {{{measured}}}\n")] if measured else []
    issued = re.sub(r"project: \{", "project: {issued: 2027-06-10, ", text, count=1) if "issued" not in text else text
    result = travel(str(project(tmp_path, issued, *patches)), ask=Ask(COMPILE))
    told = [b.text for s in result.sections if s.part == "site" for b in s.blocks if isinstance(b, Para)]
    assert any(said in t for t in told), told


def test_the_plan_says_which_way_out_is_kept_for_help_and_from_where_it_is_fired(
    complete: Callable[[str], Result],
) -> None:
    """Three exits were drawn alike, of which the public uses two; and nobody stood at the desk that fires."""
    plan = dict(complete("lantern_reeds").drawings)["site"]
    texts = [s.text for s in plan.sheets[0].shapes if isinstance(s, Text)]
    assert sum("kept for help" in t for t in texts) == 1
    assert plan.small is not None
    small = [s.text for s in plan.small.shapes if isinstance(s, Text)]
    assert (small.count("exit"), small.count("for help")) == (2, 1)
    assert "At desk: cedar to fire." in plan.note


@pytest.mark.parametrize(
    ("oak", "status"),
    [("at: [-12 ft, 0 ft], height: 3 ft", "passed"), ("at: [-12 ft, 0 ft], height: 20 ft", "not checked"),
     ("at: [-12 ft, 0 ft]", "not checked"), ("at: [-45 ft, 0 ft]", "passed"),
     ("area: [[-20 ft, 0 ft], [-12 ft, 0 ft], [-12 ft, 8 ft]], height: 20 ft", "passed")],
)  # fmt: skip
def test_how_far_a_tree_reaches_is_asked_where_it_matters(tmp_path: Path, oak: str, status: str) -> None:
    """A point is its trunk, and its crown may come half its height nearer; an area is the crown."""
    assert (
        ends(checked(project(tmp_path, GOOD, of("oak", f"{{kind: tree, {oak}}}")), block=OTHERS))["clear_height"][0]
        == status
    )


@pytest.mark.parametrize(
    ("spot", "rules"),
    [("{kind: building, at: [25 ft, 45 ft]}", {"walls", "clear_height", "cylinders_apart", "tents_apart"}),
     ("{kind: tent, at: [25 ft, 45 ft]}", {"walls", "clear_height", "cylinders_apart", "relief_discharge", "stores",
                                            "tents_apart"}),
     ("{kind: vehicle, at: [25 ft, 45 ft]}", {"walls", "cylinders_apart", "stores", "tents_apart"})],
)  # fmt: skip
def test_distances_to_what_is_one_point_and_has_walls_are_not_passed(
    tmp_path: Path, spot: str, rules: set[str]
) -> None:
    spec = project(tmp_path, GOOD, before_rack(f"one: {spot}"))
    made = ends(checked(spec, block=OTHERS))
    assert {rule for rule, (status, _) in made.items() if status == "not checked"} == rules | {"kept_out"}
    assert all("one reaches is not stated" in made[rule][1] for rule in rules)


def test_openings_of_a_building_near_a_store_are_asked(tmp_path: Path) -> None:
    """The hall has its door, and the hut beside the rack might have one in the wall toward it."""
    hut = before_rack(square("building", 87, 48, 3).replace("{", "hut: {", 1))
    assert ends(checked(project(tmp_path, GOOD, hut), block=OTHERS))["stores"][0] == "not checked"
    far = before_rack(square("building", 100, 48, 3).replace("{", "hut: {", 1))
    assert ends(checked(project(tmp_path, GOOD, far, name="far.yaml"), block=OTHERS))["stores"][0] == "stated"


@pytest.mark.parametrize(
    ("length", "high", "found"),
    [("20 ft", "0 ft", False), ("20 ft", "9 ft", True), ("26 ft", "9 ft", True), ("28 ft", "9 ft", False)],
)
def test_a_hard_line_to_an_outlet_is_as_long_as_the_ground_and_the_rise(
    tmp_path: Path, length: str, high: str, found: bool
) -> None:
    """From a valve 20 ft off on the ground to a flame: straight through the air it would be 22 ft."""
    spec = project(
        tmp_path, GOOD,
        of("bowl", f"{{at: [0 ft, 0 ft, {high}]}}\n  foot: {{at: [20 ft, 0 ft, 0 ft]}}"),
        of("v2", "{kind: valve, form: ball, place: foot}"),
        of("lead", f"{{kind: pipe, bore: 1/4 in, length: {length}}}"),
        ("line: [pr2, v2, lead, pilot]", "line: [pr2, feed, v2, lead, pilot]"),
        ("    lead: {kind", "    feed: {kind: hose, bore: 3/8 in, length: 60 ft}\n    lead: {kind"),
    )  # fmt: skip
    said = [f.message for f in findings_of(spec, "site.lines_reach", block=OTHERS)]
    assert bool(said) == found
    assert all("20 ft apart and 9 ft in height" in m for m in said)


@pytest.mark.parametrize(
    ("length", "foot", "status"),
    [
        ("20 ft", ", 0 ft", "failed"),
        ("20 ft", "", "not checked"),
        ("28 ft", ", 0 ft", "passed"),
        ("28 ft", "", "passed"),
    ],
)
def test_a_pipe_with_a_place_of_its_own_reaches_as_well(tmp_path: Path, length: str, foot: str, status: str) -> None:
    """It stood at the valve that it begins at, and its length was taken for slack; where nobody says how high it lies,
    what it has to rise is not known."""
    spec = project(
        tmp_path, GOOD,
        of("bowl", f"{{at: [0 ft, 0 ft, 9 ft]}}\n  foot: {{at: [20 ft, 0 ft{foot}]}}"),
        of("v2", "{kind: valve, form: ball, place: foot}"),
        of("lead", f"{{kind: pipe, bore: 1/4 in, length: {length}, place: foot}}"),
        ("line: [pr2, v2, lead, pilot]", "line: [pr2, feed, v2, lead, pilot]"),
        ("    lead: {kind", "    feed: {kind: hose, bore: 3/8 in, length: 60 ft}\n    lead: {kind"),
    )  # fmt: skip
    assert ends(checked(spec, block=OTHERS))["lines_reach"][0] == status


NOWHERE = {
    "tent": ("cylinders_apart", "clear_height", "tents_apart", "walls"),
    "combustible": ("cylinders_apart", "relief_discharge"),
    "low_place": ("cylinders_apart", "vents_from_low_places", "exits_in_leak", "exits_lead"),
    "building": ("cylinders_apart", "clear_height", "walls", "crossings"),
    "wires": ("clear_height", "fire_lane"),
    "barrier": ("kept_out", "sides"),
    "audience": ("exits", "exit_widths", "kept_out", "sides"),
    "exit": ("exits", "exit_widths", "fire_lane"),
    "fire_lane": ("fire_lane", "crossings"),
}


@pytest.mark.parametrize("kind", NOWHERE)
def test_nothing_passes_beside_a_place_that_is_described_and_has_no_coordinates(tmp_path: Path, kind: str) -> None:
    """A tent without a place on the plan was as far from the cylinders as could be."""
    good = ends(checked(project(tmp_path, GOOD), block=OTHERS))
    lost = project(tmp_path, GOOD, before_rack(f"unseen: {{kind: {kind}}}"), name="lost.yaml")
    told = ends(checked(lost, block=OTHERS))
    for rule in NOWHERE[kind]:
        assert good[rule][0] != "failed"
        assert told[rule][0] == "not checked", rule
        assert "unseen" in told[rule][1], rule


@pytest.mark.parametrize("place", ["{kind: tree, at: [80 ft, 80 ft]}", "{kind: combustible}"])
def test_what_is_said_not_to_be_there_and_is_described_is_found(tmp_path: Path, place: str) -> None:
    kind = place.split("kind: ")[1].split(",")[0].split("}")[0]
    none = ("none: [queue, ", f"none: [queue, {kind}, ") if kind == "tree" else ("none: [queue, ", "none: [queue, ")
    spec = project(tmp_path, GOOD, before_rack(f"old_one: {place}"), none)
    (found,) = [f for f in findings_of(spec, "site.on_site", block=OTHERS) if "none: names" in f.message]
    assert "old_one" in found.message
    assert found.level == "warning"


BEASTS = ("owl", "fox", "hare", "elk", "lynx", "wren")


def lamps(pitch: float) -> tuple[Patch, ...]:
    """Thirty-six effects, six in a row, whose titles do not count up."""
    spots = "\n  ".join(f"l{i}: {{at: [{pitch * (i % 6)} ft, {150 + pitch * (i // 6)} ft, 2 ft]}}" for i in range(36))
    effects = "\n  ".join(
        f"e{i}: {{kind: steady, title: {BEASTS[i % 6]} {chr(65 + i // 6)}, outlets: [x], at: l{i}}}" for i in range(36)
    )
    return (before_rack(spots), ("effects:\n", f"effects:\n  {effects}\n"))


def test_effects_that_stand_too_close_for_names_have_numbers_and_are_counted_on_the_small_plan(tmp_path: Path) -> None:
    """Thirty-six names with leaders lay over one another, and over the plan of page one."""
    result = result_of(project(tmp_path, GOOD, *lamps(3)), block=OTHERS)
    plan = dict(result.drawings)["site"]
    words = [s.text for s in plan.sheets[0].shapes if isinstance(s, Text)]
    assert "1 to 36" in words
    assert not [w for w in words if w.startswith("owl")]
    rows = dict(result.tables)["site.numbers"].rows
    assert [row.cells[1:3] for row in rows[:2]] == [("owl F", "effect at l30"), ("fox F", "effect at l31")]
    assert plan.small is not None
    assert "36 effects" in [s.text for s in plan.small.shapes if isinstance(s, Text)]


def test_the_small_plan_says_where_nothing_is_described(tmp_path: Path) -> None:
    """It stood beside a distance to one side, and looked closed."""
    spec = project(tmp_path, GOOD, of("fence", "{note: gone}"))
    small = dict(result_of(spec, block=OTHERS).drawings)["site"].small
    good = dict(result_of(GOOD, block=OTHERS).drawings)["site"].small
    assert small is not None
    assert good is not None
    assert "not checked" in [s.text for s in small.shapes if isinstance(s, Text)]
    assert "not checked" not in [s.text for s in good.shapes if isinstance(s, Text)]


def test_distances_of_a_plan_in_meters_are_said_in_meters_too(tmp_path: Path) -> None:
    """A crew with a metric tape read feet beside a scale bar in meters."""
    for text, said in ((BASE, "30 ft"), (in_m(BASE), "30 ft (9.14 m)")):
        result = result_of(project(tmp_path, text), block=OTHERS)
        (sheet,) = dict(result.drawings)["site"].sheets
        assert said in [s.text for s in sheet.shapes if isinstance(s, Text)]
        assert said in [row.cells[1] for row in dict(result.tables)["site.nearest"].rows]


@pytest.mark.parametrize(("x", "status"), [(96, "failed"), (80, "stated")])
def test_cylinders_keep_off_the_lane_that_engines_stand_in(tmp_path: Path, x: int, status: str) -> None:
    spec = project(tmp_path, GOOD, of("second", f"{{at: [{x} ft, 10 ft, 2 ft]}}"))
    assert ends(checked(spec, block=OTHERS))["cylinders_apart"][0] == status


@pytest.mark.parametrize(
    ("store", "said"),
    [
        ("{place: rack, count: 4, each: 20 lb}", "fuel store"),
        ("{place: rack, count: 4, each: 20 lb, of_the_show: true}", "fuel store, empty in the show"),
        ("{place: rack, count: 0, each: 20 lb}", "fuel store, empty in the show"),
    ],
)
def test_a_store_that_nothing_stands_in_while_the_show_runs_says_so(tmp_path: Path, store: str, said: str) -> None:
    (sheet,) = dict(result_of(project(tmp_path, GOOD, of("spare", store)), block=OTHERS).drawings)["site"].sheets
    assert said in [s.text for s in sheet.shapes if isinstance(s, Text)]


TWO = """format: 1
project: {title: Two bowls}
event: {name: Trial evening, dates: [2027-06-19], elevation: 0 ft}
places:
  east_bowl: {at: [60 ft, 0 ft, 3 ft]}
  west_bowl: {at: [-60 ft, 0 ft, 3 ft]}
  lawn: {kind: audience, area: [[-30 ft, -25 ft], [30 ft, -25 ft], [30 ft, 25 ft], [-30 ft, 25 ft]]}
site: {north: 0 deg, origin: the middle of the lawn}
effects:
  east: {kind: steady, outlets: [x], at: east_bowl}
  west: {kind: steady, outlets: [y], at: west_bowl}
"""


def test_two_effects_far_apart_have_open_sides_of_their_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What lies beyond the one bowl was no side of both, and the circles of both stood on the lawn between them."""
    made: list[Sketch] = []
    finish = drawing._finish
    monkeypatch.setattr(drawing, "_finish", lambda sketch, plan: (made.append(sketch), finish(sketch, plan)))
    travel(str(project(tmp_path, TWO)), None, Ask(kinds=frozenset(), ids=frozenset({"drawing site"})))
    told = [one for one in made[0].labels.placed if one.words[0].text.startswith("nothing described")]
    spots = [made[0].back(*one.spot) for one in told]
    assert [x for x, _ in spots if x > 60 * FT]
    assert [x for x, _ in spots if x < -60 * FT]
    assert not [s for s in spots if abs(s[0]) < 30 * FT and abs(s[1]) < 25 * FT]


def test_what_lacks_is_never_printed_as_nothing(tmp_path: Path, flames: str) -> None:
    """30 ft where 30.4 are needed stood with a margin of -0 ft."""
    crowd = of(
        "crowd",
        "{kind: audience, people: 9, area: [[-40 ft, -60 ft], [40 ft, -60 ft], [40 ft, -24.8 ft], [-40 ft, -24.8 ft]]}",
    )
    rows = dict(result_of(project(tmp_path, GOOD, crowd), plugins=(flames,), block=OTHERS).tables)["site.nearest"].rows
    short = next(row for row in rows if row.cells[0] == "glow to crowd")
    assert short.cells[5] == "too near"
    assert float(short.cells[3].removesuffix(" ft")) < 0


@pytest.mark.parametrize(
    ("tag", "old", "rules"),
    [
        (
            "glow",
            ", at: bowl",
            ("stores", "exits", "exits_lead", "fire_lane", "on_site", "clear_height", "kept_out", "sides"),
        ),
        ("tank", ", place: post", ("stores", "fire_lane", "on_site", "cylinders_apart")),
    ],
)
def test_nothing_passes_beside_an_effect_or_a_cylinder_that_is_nowhere(
    tmp_path: Path, tag: str, old: str, rules: tuple[str, ...]
) -> None:
    """The store, the ways out and the lane passed beside a flame that no plan shows."""
    line = re.findall(rf"^ +{tag}: .*$", BASE, re.MULTILINE)[0]
    told = ends(checked(project(tmp_path, GOOD, (line, line.replace(old, ""))), block=OTHERS))
    for rule in rules:
        assert (rule, told[rule][0]) == (rule, "not checked")
        assert tag in told[rule][1]
