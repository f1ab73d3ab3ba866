"""Shapes on the site, and distances that can be traced and take up tolerances."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from specc.engine.host import find
from specc.engine.tolerances import quantities_of
from specc.formulas.distances import clear_distance, distance
from specc.formulas.evaluating import evaluate
from specc.kinds.geometry import FLAT, Area, Point, Polyline, Shape, corners, edges, within
from specc.model.values import Quantity, Worked
from specc.testing import plugin_file, project, result_of


def m(value: float, at: str = "", loose: float = 0.0) -> Quantity:
    return Quantity(value, "length", f"{value:g} m", at, loose, loose)


def point(x: float, y: float, z: float | None = None) -> Point:
    return Point(m(x), m(y), None if z is None else m(z))


def area(*spots: tuple[float, float], holes: tuple[tuple[tuple[float, float], ...], ...] = ()) -> Area:
    return Area(tuple(point(*s) for s in spots), tuple(tuple(point(*s) for s in hole) for hole in holes))


SQUARE = area((0, 0), (10, 0), (10, 10), (0, 10))
YARD = area((0, 0), (10, 0), (10, 10), (0, 10), holes=(((4, 4), (8, 4), (8, 8), (4, 8)),))
ROPE = Polyline((point(-5, -3), point(15, -3)))


@pytest.mark.parametrize(
    ("one", "other", "meters"),
    [
        (point(0, 0), point(3, 4), 5.0),
        (point(5, 12), SQUARE, 2.0),
        (point(13, 14), SQUARE, 5.0),
        (point(5, 5), SQUARE, 0.0),
        (point(5, 5), YARD, 1.0),  # in the hole: outside, one meter from its edge
        (point(2, 2), YARD, 0.0),
        (ROPE, SQUARE, 3.0),
        (ROPE, point(20, -3), 5.0),
        (ROPE, Polyline((point(5, -10), point(5, 10))), 0.0),
        (area((20, 0), (30, 0), (30, 10)), SQUARE, 10.0),
        (area((-50, -50), (50, -50), (50, 50), (-50, 50)), SQUARE, 0.0),
        (area((5, 5), (6, 5), (6, 6)), YARD, 1.0),
    ],
)
def test_distance_on_the_level(one: Shape, other: Shape, meters: float) -> None:
    assert distance(one, other).si == pytest.approx(meters, abs=1e-12)
    assert distance(other, one).si == pytest.approx(meters, abs=1e-12)


_SPOT = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@given(st.lists(_SPOT, min_size=1, max_size=5), st.lists(_SPOT, min_size=1, max_size=5))
def test_a_distance_is_that_of_the_nearest_of_many_points(one: list[tuple[float, float]], two: list) -> None:
    """Against a brute search over finely spaced points of both lines."""

    def shape(spots: list[tuple[float, float]]) -> Shape:
        return point(*spots[0]) if len(spots) == 1 else Polyline(tuple(point(*s) for s in spots))

    def fine(spots: list[tuple[float, float]]) -> list[tuple[float, float]]:
        pairs = list(itertools.pairwise(spots)) or [(spots[0], spots[0])]
        return [(a[0] + (b[0] - a[0]) * i / 40, a[1] + (b[1] - a[1]) * i / 40) for a, b in pairs for i in range(41)]

    longest = max((math.dist(a, b) for s in (one, two) for a, b in itertools.pairwise(s)), default=0.0)
    brute = min(math.dist(p, q) for p in fine(one) for q in fine(two))
    found = distance(shape(one), shape(two)).si
    assert found <= brute + 1e-9
    assert found >= brute - longest / 40 - 1e-9


@given(_SPOT, _SPOT, _SPOT)
def test_what_is_printed_is_what_was_computed(p: tuple, a: tuple, b: tuple) -> None:
    assume(math.dist(a, b) > 0.01)
    worked = distance(point(*p), Polyline((point(*a), point(*b))))
    by_symbol = {s: v.si for s, v in worked.inputs if not isinstance(v, tuple)}
    if by_symbol and len(by_symbol) == len(worked.inputs) and not worked.equation.form("").startswith("~"):
        assert evaluate(worked.equation.form(""), by_symbol) == pytest.approx(worked.si, rel=1e-6, abs=1e-9)


def test_heights_count_only_where_they_are_said() -> None:
    wire = Polyline((point(-5, 3, 9), point(5, 3, 8)))
    jet, bare = point(0, 0, 4), point(0, 0)
    assert clear_distance(jet, wire, FLAT).si == pytest.approx(5.0)
    assert clear_distance(wire, jet, None, FLAT).si == pytest.approx(5.0)
    assert clear_distance(bare, wire, FLAT).si == pytest.approx(3.0)
    # A tree given by its foot alone may be of any height: only the level counts.
    assert clear_distance(jet, wire).si == pytest.approx(3.0)
    assert clear_distance(jet, wire, m(1.0)).si == pytest.approx(math.hypot(3, 3))
    assert clear_distance(jet, wire, m(10.0)).si == pytest.approx(3.0)


def test_a_distance_takes_up_the_tolerances_of_all_that_can_be_nearest() -> None:
    loose = Point(m(0, "/a/x", 0.5), m(5, "/a/y", 0.5))
    near, next_, far = Point(m(2, "/b"), m(5)), Point(m(-2.5, "/c"), m(5)), Point(m(40, "/d"), m(5))
    worked = distance(loose, Polyline((near, Point(m(2, "/e"), m(9)))))
    assert {q.at for q in quantities_of(worked) if q.minus} == {"/a/x", "/a/y"}
    # Two corners whose distances differ by less than the tolerance: both are inputs; the far one is not.
    both = distance(loose, Polyline((next_, far, near)))
    assert worked.si == 2.0
    assert {"/b", "/c"} <= {q.at for q in quantities_of(both)}


def test_corners_and_edges() -> None:
    assert len(corners(YARD)) == len(edges(YARD)) == 8
    assert edges(point(0, 0)) == ()
    assert within(1, 1, YARD)
    assert not within(5, 5, YARD)
    with pytest.raises(ValueError, match="without points"):
        distance(Polyline(()), SQUARE)


SPEC = """
format: 1
project: {title: Yard}
event: {name: Trial, dates: [2027-06-19], elevation: 10 ft}
weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}}
places:
  crowd: {area: [[0 ft, -30 ft], [40 ft, -30 ft], [40 ft, -50 ft], [0 ft, -50 ft]], note: behind the rope}
  lawn:
    area: [[0 ft, 0 ft], [60 ft, 0 ft], [60 ft, 60 ft], [0 ft, 60 ft]]
    holes: [[[20 ft, 20 ft], [40 ft, 20 ft], [40 ft, 40 ft], [20 ft, 40 ft]]]
  rope: {line: [[0 ft, -20 ft], [40 ft, -20 ft ± 2 ft]]}
  oak: {at: [5 ft, 70 ft, 0 ft], height: 45 ft, blocks: [sight, walking]}
  ring: {at: [20 ft, 3 ft, 1 ft]}
things:
  hood:
    kind: sheet_metal
    material: steel
    coating: zinc
    distance: {ring: 14 in}
    above: {ring: 4 ft}
    holds: [ring]
    weight: 12 lb
    thickness: 0.03 in
  post: {kind: column, place: ring, held_by: [hood]}
"""
TOY = """
from specc import FigureSet, Key, clear_distance, distance, figures, hookimpl
from specc.kinds.places import PLACES
from specc.kinds.things import THINGS

SPECC_CONTRACT = 2
FROM_RING: Key[FigureSet] = Key("toy.from_ring", dict)
CLOSEST: Key[FigureSet] = Key("toy.thing", dict)


@figures(FROM_RING, title="From the ring to {tag}", unit="ft", worst="min", decision=True, needs=(PLACES,))
def from_ring(ctx):
    ring = ctx[PLACES]["ring"].shape
    return {tag: distance(ring, spot.shape, tag) for tag, spot in ctx[PLACES].items() if tag != "ring"}


@figures(CLOSEST, title="Free height over {tag}", unit="ft", needs=(PLACES, THINGS))
def to_tree(ctx):
    oak, ring = ctx[PLACES]["oak"], ctx[PLACES]["ring"]
    assert [(t.tag, t.kind, t.coating, t.holds, t.held_by) for t in ctx[THINGS]] == [
        ("hood", "sheet_metal", "zinc", ("ring",), ()), ("post", "column", "", (), ("hood",))]
    assert ctx[THINGS][0].distances[0][1].text == "14 in" and ctx[THINGS][0].above[0][0] == "ring"
    assert oak.blocks == ("sight", "walking")
    return {"oak": clear_distance(ring.shape, oak.shape, ring.height, oak.height)}


@hookimpl
def specc_passes():
    return [from_ring, to_tree]
"""


def test_a_plugin_measures_between_places_and_its_figures_have_tolerances(tmp_path: Path) -> None:
    built_ins = tuple(p.name for p in find().plugins if p.origin == "built-in")
    toy = (plugin_file(tmp_path, "toy", TOY),)
    result = result_of(project(tmp_path, SPEC), plugins=toy, block=built_ins, tolerance=True)
    assert [f for f in result.findings if f.level == "error"] == []
    feet = {f.key: f.si / 0.3048 for f in result.figures if f.plugin == "toy"}
    assert feet["toy.from_ring.crowd"] == pytest.approx(33)
    assert feet["toy.from_ring.lawn"] == 0
    assert feet["toy.from_ring.oak"] == pytest.approx(math.hypot(15, 67))
    assert feet["toy.thing.oak"] == pytest.approx(math.hypot(15, 67))
    rope = result.figure("toy.from_ring.rope")
    assert rope is not None
    assert isinstance(rope.worked, Worked)
    # The rope's far end moves by two feet either way, and with it half as much of its middle.
    assert rope.low is not None
    assert rope.high is not None
    assert rope.low < rope.si < rope.high
    assert [mover.at for mover in rope.movers] == ["/places/rope/line/1/1"]


@pytest.mark.parametrize(
    ("patch", "rule", "level"),
    [
        (("{kind: column, place: ring, held_by: [hood]}", "{kind: column}"), "core.thing_where", "warning"),
        (("kind: sheet_metal", "kind: tin"), "spec.value", "error"),
        (("coating: zinc", "coating: [zinc]"), "spec.value", "error"),
        (("{ring: 14 in}", "{ring: 14}"), "spec.quantity", "error"),
        (("[40 ft, -20 ft ± 2 ft]", "[40 ft, -20]"), "spec.quantity", "error"),
        (("blocks: [sight", "blocks: [light"), "spec.value", "error"),
    ],
)
def test_what_is_wrong_with_a_place_or_thing_is_found(
    tmp_path: Path, patch: tuple[str, str], rule: str, level: str
) -> None:
    result = result_of(project(tmp_path, SPEC, patch))
    assert (rule, level) in {(f.rule, f.level) for f in result.findings}
