"""What stands at a place of the site plan, as one row of signs with one label."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Context, gather
from specc.drawing.shapes import Circle, Line, Polygon, RoundRect, Shape, Text
from specc.kinds.geometry import Area, Point
from specc.kinds.plumbing import NETWORK
from specc.kinds.site import MARKS, Mark
from specc_site.crowded import Heap, crowds_of, numbered
from specc_site.distances import Spot2
from specc_site.labels import Words
from specc_site.plan import Plan, middle, place_of
from specc_site.sketch import Sketch


@gather(MARKS, wants=(NETWORK,), reads=("control",))
def marks(ctx: Context) -> Sequence[Mark]:
    """Cylinders, accumulators, hand valves and emergency stops, at the places that plumbing and wiring give them."""
    net = ctx.get(NETWORK)
    made = [
        Mark(tag, "stop", part.text("place"), f"stop: {tag}", order=15)
        for tag, part in ctx.spec("control").child("parts").children()
        if part.text_or("kind") == "stop" and part.has("place")
    ]
    if net is None:
        return made
    for part in net.of_kind("cylinder", "accumulator"):
        if place := place_of(part):
            made.append(
                Mark(part.tag, "cylinder" if part.kind == "cylinder" else "accumulator", place, part.tag, order=10)
            )
    for part in net.of_kind("valve"):
        if part.form in ("ball", "needle", "globe") and (place := place_of(part)):
            made.append(Mark(part.tag, "valve", place, part.tag, order=20))
    return made


def person_sign(x: float, y: float) -> list[Shape]:
    return [Circle(x, y + 0.9, 0.6, 0, "ink", "ink"), RoundRect(x - 1.1, y - 1.1, 2.2, 1.2, 0.3, 0, "ink", "ink")]


def symbol(kind: str, x: float, y: float) -> list[Shape]:
    """A sign of about 3 mm; each differs in form, so that it is told apart without colors."""
    if kind == "person":
        return person_sign(x, y)
    if kind == "extinguisher":
        triangle = ((x - 1.7, y - 1.4), (x + 1.7, y - 1.4), (x, y + 1.6))
        return [Polygon(triangle, 0.8, "ink", "white"), Text(x, y - 1.1, "E", 5, "middle", strong=True)]
    if kind == "aid":
        return [Line(((x - 1.1, y), (x + 1.1, y)), 2.0), Line(((x, y - 1.1), (x, y + 1.1)), 2.0)]
    if kind == "cylinder":
        return [Circle(x, y, 1.3, 0.6, "ink", "ink")]
    if kind == "accumulator":
        return [RoundRect(x - 1.8, y - 0.9, 3.6, 1.8, 0.9, 0.8, "ink", "white")]
    if kind == "stop":
        corners = [math.radians(22.5 + 45 * n) for n in range(8)]
        return [Polygon(tuple((x + 1.5 * math.cos(a), y + 1.5 * math.sin(a)) for a in corners), 0.8, "ink", "white")]
    return [RoundRect(x - 1.1, y - 1.1, 2.2, 2.2, 0, 0.8, "ink", "white")]


# The first of these at a place stands at its true spot: gas before all else. With what their form is called.
_SIGNS = {
    "cylinder": "full circle",
    "accumulator": "capsule",
    "stop": "octagon",
    "valve": "square",
    "extinguisher": "E",
    "aid": "cross",
    "person": "figure",
}
HATCHED = {"building": 2.0, "fuel_store": 1.2}  # mm from one line to the next
_SAID = {
    "stop": "emergency stop",
    "valve": "hand valve",
    "aid": "for burns",
    "person": "post",
}


def signs_in_words(plan: Plan, marks: Iterable[Mark]) -> str:
    """What the signs of a plan are, of those that it has."""
    marks = list(marks)
    placed_at = {m.place for m in marks if m.place in plan.places and plan.places[m.place].shape}
    placed = {m.kind for m in marks if m.place in placed_at}
    said = ["ring with a dot: outlet"] if any(e.shapes for e in plan.effects) else []
    said += [f"{form}: {_SAID.get(kind, kind)}" for kind, form in _SIGNS.items() if kind in placed]
    at = [(m.place, m.kind) for m in marks if m.place in placed_at]
    said += ["sign in label: same spot"] if len(set(at)) > len({place for place, _ in at}) else []
    alone = any(isinstance(s.shape, Point) and s.kind for s in plan.places.values())
    said += ["open circle: what its name says"] if alone else []
    hatched = dict.fromkeys(s.kind.replace("_", " ") for s in plan.of(*HATCHED) if isinstance(s.shape, Area))
    said += [f"hatched: {', '.join(hatched)}"] if hatched else []
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}." if text else ""


class SignRow(NamedTuple):
    """What stands at a place: where on the paper, its label, and whether gas is among it."""

    place: str
    x: float
    y: float
    lines: list[Words]
    gas: bool
    beside: str = ""  # what is there for burns beside all else


def rows_of_signs(sketch: Sketch, plan: Plan, listed: Iterable[Mark]) -> list[SignRow]:
    """The sign of what matters most at each place, at its true spot, and the one label with the signs of all else
    there: a row of signs beside each other would show most of them where they do not stand. Gas comes first."""
    at: dict[str, list[Mark]] = {}
    for mark in listed:
        spot = plan.places.get(mark.place)
        if spot and spot.shape:
            at.setdefault(mark.place, []).append(mark)
    rows = []
    for place, some in at.items():
        spot = plan.places[place]
        assert spot.shape is not None
        x, y = sketch.at(*(spot.ground or middle(spot.shape)))
        kinds = [k for k in _SIGNS if any(m.kind == k for m in some)]
        sketch.signs += symbol(kinds[0], x, y)
        sketch.labels.keep_off(x, y, 1.8)
        lines = []
        beside = ", ".join(m.title for m in some if m.kind == "aid") if kinds[0] != "aid" else ""
        for kind in [k for k in kinds if not beside or k != "aid"]:
            titles = list(dict.fromkeys(m.title for m in some if m.kind == kind))
            at_once = kind == "person" and not any(LATER in title for title in titles)
            many = f"{len(titles)}: " if at_once and 1 < len(titles) <= FEW else ""
            sign = kind if kind != kinds[0] else ""
            lines.append(Words(many + _few(titles), 7.0, sign=sign))
        rows.append(SignRow(place, x, y, lines, kinds[0] in ("cylinder", "accumulator"), beside))
    return sorted(rows, key=lambda row: not row.gas)


LATER = " from "  # in the title of somebody who comes when another leaves
FEW = 3  # titles that a label names one by one


def _few(titles: Sequence[str]) -> str:
    return ", ".join(titles) if len(titles) <= FEW else f"{titles[0]} to {titles[-1]}, {len(titles)} in all"


def draw_effects(sketch: Sketch, plan: Plan) -> None:
    for effect in plan.effects:
        for shape in effect.shapes[:1]:
            x, y = sketch.at(*middle(shape))
            sketch.signs += [Circle(x, y, 1.6, 0.8, "ink", "white"), Circle(x, y, 0.7, 0, "ink", "ink")]
            sketch.labels.keep_off(x, y, 1.7)


class EffectRow(NamedTuple):
    """Effects that share a label: their spots on the paper, and its words."""

    tags: tuple[str, ...]
    spots: tuple[Spot2, ...]
    lines: tuple[Words, ...]

    @property
    def middle(self) -> Spot2:
        xs, ys = zip(*self.spots, strict=True)
        return sum(xs) / len(xs), sum(ys) / len(ys)


def rows_of_effects(sketch: Sketch, plan: Plan, titles: Mapping[str, tuple[str, str]]) -> list[EffectRow]:
    """Each effect's title and place; those that stand close in a row and count up share one label."""
    spots = {e.tag: sketch.at(*middle(e.shapes[0])) for e in plan.effects if e.shapes}
    rows: list[list[str]] = []
    for tag in spots:
        if rows and _in_a_row(spots, titles, rows[-1], tag):
            rows[-1].append(tag)
        else:
            rows.append([tag])
    made = []
    for row in rows:
        first, last = titles.get(row[0], (row[0], "")), titles.get(row[-1], (row[-1], ""))
        if len(row) == 1:
            lines = [Words(", ".join(dict.fromkeys(t for t in first if t)), strong=True)]
        else:
            xs = [spots[t][0] for t in row]
            way = ", left to right" if xs == sorted(xs) else ", right to left" if xs == sorted(xs, reverse=True) else ""
            lines = [Words(f"{first[0]} to {last[0]}", strong=True)]
            lines += [Words(f"{first[1]} to {last[1]}{way}")] if first[1] and last[1] else []
        made.append(EffectRow(tuple(row), tuple(spots[t] for t in row), tuple(lines)))
    return made


def crowded_effects(rows: Iterable[EffectRow], count: int = 1) -> list[Heap]:
    """Of rows of effects those that stand too close for names, by their first tag, numbered from `count` on."""
    return numbered({row.tags[0]: row.middle for row in rows}, count)


def name_effects(sketch: Sketch, rows: Iterable[EffectRow], heaps: Iterable[Heap]) -> None:
    """A label for each row, and a number for each heap."""
    by_tag = {row.tags[0]: row for row in rows}
    for heap in heaps:
        spots = [spot for tag in heap.tags for spot in by_tag.pop(tag).spots]
        sketch.labels.put_by(spots, (Words(heap.text, 7.0, strong=True),), 1.5)
    for row in by_tag.values():
        sketch.labels.put_by(row.spots, row.lines)


def count_effects(sketch: Sketch, rows: Sequence[EffectRow]) -> None:
    """On a small plan those that stand too close for names are counted."""
    by_tag = {row.tags[0]: row for row in rows}
    for crowd in crowds_of({row.tags[0]: row.middle for row in rows}):
        some = [by_tag.pop(tag) for tag in crowd]
        number = sum(len(row.tags) for row in some)
        sketch.labels.put_by([s for row in some for s in row.spots], (Words(f"{number} effects", strong=True),))
    for row in by_tag.values():
        sketch.labels.put_by(row.spots, row.lines)


CLOSE = 10.0  # mm: nearer to each other two labels have no room


def _in_a_row(spots: Mapping[str, Spot2], titles: Mapping[str, tuple[str, str]], row: Sequence[str], tag: str) -> bool:
    before, own = titles.get(row[-1], (row[-1], "")), titles.get(tag, (tag, ""))
    return math.dist(spots[row[-1]], spots[tag]) < CLOSE and all(map(_follows, before, own))


def _follows(one: str, other: str) -> bool:
    """Whether two titles count up, "Reed 1" and "Reed 2", or neither is told."""
    a, b = re.fullmatch(r"(.*?)(\d+)", one), re.fullmatch(r"(.*?)(\d+)", other)
    return one == other == "" or bool(a and b and a[1] == b[1] and int(b[2]) == int(a[2]) + 1)
