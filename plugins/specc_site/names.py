"""The names on the site plan, in the order in which they are put: what comes first has the nearest room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Context
from specc.drawing.shapes import Circle
from specc.formulas.ways import kept_for_help
from specc.kinds import geometry
from specc.kinds.geometry import Area, Point, Polyline
from specc.kinds.places import Spot
from specc.kinds.show import EFFECTS
from specc.kinds.site import MARKS
from specc_site.crowded import Heap, numbered
from specc_site.distances import POST, Drawn
from specc_site.labels import Words, folded, size_of
from specc_site.plan import Plan, middle, words
from specc_site.plan_lines import clear_distance, draw_distance, draw_radii
from specc_site.signs import SignRow, crowded_effects, name_effects, rows_of_effects, rows_of_signs
from specc_site.sketch import Sketch

HELP = "kept for help"
NOTHING: Mapping[str, str] = {}
IN_KEY = ("barrier", "combustible")  # a line or an edge of its own, which the legend explains
SMALL = 9.0  # mm: an area no wider and no deeper has its name beside it, like a point


def bounds(sketch: Sketch, spot: Spot) -> tuple[float, float, float, float]:
    assert isinstance(spot.shape, Area)
    xs, ys = zip(*(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def small(sketch: Sketch, spot: Spot) -> bool:
    """Whether a place is a point, or an area as small as one on the paper."""
    if isinstance(spot.shape, Area):
        left, low, right, high = bounds(sketch, spot)
        return max(right - left, high - low) < SMALL
    return isinstance(spot.shape, Point)


def _alone(spot: Spot, said: Iterable[str]) -> bool:
    """A spot that nothing else on the plan names, such as a water tap."""
    return isinstance(spot.shape, Point) and spot.tag not in said


def _named(plan: Plan, said: Iterable[str]) -> list[Spot]:
    """The places that the plan names; `said` are those that marks and effects name."""
    return [s for s in plan.places.values() if s.shape and (s.kind or s.blocks or _alone(s, said))]


def _name_signs(sketch: Sketch, plan: Plan, rows: Iterable[SignRow]) -> None:
    """One label for what stands at a place and for the place itself, unless that is a line or an area with a name of
    its own."""
    for row in rows:
        spot = plan.places[row.place]
        if small(sketch, spot) and (spot.kind or spot.blocks):
            own = _name(spot)
        else:
            own = [] if spot.kind or spot.blocks else [Words(row.place, strong=True)]
        if row.beside:
            own = [own[0]._replace(text=f"{own[0].text}: {row.beside}"), *own[1:]] if own else [Words(row.beside)]
        sketch.labels.put(row.x, row.y, [*own, *row.lines], 2.2)


def _name_small(sketch: Sketch, spots: Iterable[Spot], kept: Mapping[str, str] = NOTHING) -> None:
    """Names of points and of small areas."""
    for spot in spots:
        assert spot.shape is not None
        x, y = sketch.at(*middle(spot.shape))
        away = 2.0
        if isinstance(spot.shape, Area):
            left, low, right, high = bounds(sketch, spot)
            away = max(right - left, high - low) / 2 + 0.8
        sketch.labels.put(x, y, _name(spot, kept), away)


def _name_wide(sketch: Sketch, spots: Iterable[Spot], kept: Mapping[str, str] = NOTHING) -> None:
    """Names of lines and of areas that have room for one."""
    for spot in spots:
        if isinstance(spot.shape, Area) and spot.kind != "property_line":
            _name_area(sketch, spot, _name(spot, kept))
        elif isinstance(spot.shape, Area | Polyline):
            sketch.labels.put_by(along(sketch, spot.shape), _name(spot, kept), 1.2)


def _name(spot: Spot, kept: Mapping[str, str] = NOTHING) -> list[Words]:
    """A place's tag, and below it what it is, how tall, how wide, and for how many people; `kept` says of a way
    out that help comes in there, or that it leads down."""
    keyed = spot.kind in IN_KEY and not isinstance(spot.shape, Point)
    told = [words(spot.kind)] if spot.kind and not keyed else []
    told += [f"{spot.height.text} high"] if spot.height else []
    told += [f"{spot.width.text} wide"] if spot.width else []
    told += [f"{spot.people} people"] if spot.people else []
    told += [kept[spot.tag]] if spot.tag in kept else []
    tall = ", ".join(told)
    return folded([Words(spot.tag, strong=True), *([Words(tall, 7.0)] if tall and tall != spot.tag else [])])


def _name_area(sketch: Sketch, spot: Spot, lines: list[Words]) -> None:
    """In it, in one line where two are too tall; else beside one of its edges."""
    assert isinstance(spot.shape, Area)
    xs, ys = zip(*(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline), strict=True)
    one = [lines[0]._replace(text=", ".join(w.text for w in lines))]
    for label in (lines, one):
        wide, high = size_of(label)
        if max(xs) - min(xs) > wide + 1 and max(ys) - min(ys) > high + 0.4:
            sketch.labels.within([sketch.at(x, y) for x, y in inner(spot)], label)
            return
    sketch.labels.boxes.append((min(xs), min(ys), max(xs), max(ys)))
    sketch.labels.put_by(along(sketch, spot.shape), lines, 1.0)


def along(sketch: Sketch, shape: geometry.Shape) -> list[tuple[float, float]]:
    """Spots of a line, or of an area's edge, to name it at: the middles of its pieces, and their quarters."""
    ends = [(sketch.at(*_level(a)), sketch.at(*_level(b))) for a, b in geometry.edges(shape)]
    shares = (0.5, 0.25, 0.75) if len(ends) > 2 else (0.5, 0.25, 0.75, 0.0, 1.0)
    return [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in shares for a, b in ends]


def inner(spot: Spot) -> list[tuple[float, float]]:
    """Spots within an area to try a label at, the middle first."""
    assert isinstance(spot.shape, Area)
    xs, ys = [p.x.si for p in spot.shape.outline], [p.y.si for p in spot.shape.outline]
    grid = [
        (min(xs) + (max(xs) - min(xs)) * u, min(ys) + (max(ys) - min(ys)) * v)
        for v in (0.5, 0.35, 0.65, 0.2, 0.8)
        for u in (0.5, 0.35, 0.65, 0.2, 0.8)
    ]
    return [p for p in grid if geometry.within(p[0], p[1], spot.shape)] or [middle(spot.shape)]


def _level(p: Point) -> tuple[float, float]:
    return p.x.si, p.y.si


def name_all(
    ctx: Context,
    sketch: Sketch,
    plan: Plan,
    circles: Sequence[tuple[float, float, float]],
    distances: Sequence[Drawn],
) -> None:
    """The signs, the distances, and every name: gas first, which so has the nearest room, then what stands at a spot;
    lines and areas have more places for their names."""
    titles, kept = titles_of(ctx), exits_kept(ctx, plan)
    every = rows_of_signs(sketch, plan, ctx[MARKS])
    named = _named_by(ctx, plan)
    alone = _alone_of(sketch, plan, named, every)
    heaps = _heaps(sketch, every, alone)
    in_heap = {tag for heap in heaps for tag in heap.tags}
    for spot in alone:
        assert spot.shape is not None
        x, y = sketch.at(*middle(spot.shape))
        sketch.labels.things.append((x, y))
        if isinstance(spot.shape, Point):
            sketch.signs.append(Circle(x, y, 1.0, 0.6, "ink", "white"))
            sketch.labels.keep_off(x, y, 1.0)
    sketch.labels.things += [(row.x, row.y) for row in every]
    rows = [row for row in every if row.place not in in_heap]
    alone = [spot for spot in alone if spot.tag not in in_heap]
    flames = [sketch.at(*middle(e.shapes[0])) for e in plan.effects if e.shapes]
    sketch.labels.things += flames
    sketch.labels.flames = flames
    people = {e.tag for e in plan.effects}  # whose distances begin at an effect
    cleared = [clear_distance(sketch, d) for d in distances if d.apart.start in people and d.apart.what != POST]
    for heap in heaps:
        spots = [sketch.at(*_stands(plan.places[tag])) for tag in heap.tags]
        sketch.labels.put_by(spots, (Words(heap.text, 7.0, strong=True),), 1.5)
    _name_signs(sketch, plan, [row for row in rows if row.gas])
    cleared += [clear_distance(sketch, d) for d in distances if d.apart.start not in people]
    _name_small(sketch, [s for s in alone if s.kind == "fuel_store"], _empty_stores(ctx))
    sketch.labels.flames = []
    wide = [s for s in named if not small(sketch, s)]
    _name_wide(sketch, [s for s in wide if s.kind == "combustible"])
    _name_signs(sketch, plan, sorted((r for r in rows if not r.gas), key=lambda r: -math.prod(size_of(r.lines))))
    cleared += [clear_distance(sketch, one) for one in distances if one.apart.what == POST]
    effects = rows_of_effects(sketch, plan, titles)
    name_effects(sketch, effects, crowded_effects(effects, _after(heaps)))
    draw_radii(sketch, circles)
    _name_small(sketch, [s for s in alone if s.kind != "fuel_store"], kept)
    for one in cleared:
        draw_distance(sketch, one)
    _name_wide(sketch, [s for s in wide if s.kind != "combustible"], kept)


def exits_kept(ctx: Context, plan: Plan) -> dict[str, str]:
    """The ways out that an evacuation leaves to those who come to help, and those that lead down, each in words."""
    meet, places = ctx.spec("operators").child("emergency").text_or("meet"), ctx.spec("places")
    kept = {t: HELP for t in kept_for_help(plan.of("exit", "fire_lane"), meet) if plan.places[t].kind == "exit"}
    return {s.tag: "leads down" for s in plan.of("exit") if places.child(s.tag).text_or("leads") == "down"} | kept


def _empty_stores(ctx: Context) -> dict[str, str]:
    """The stores that nothing stands in while the show runs: what they hold between the nights is connected then."""
    listed: dict[str, list[bool]] = {}
    for _, store in ctx.spec("site").child("stores").children():
        listed.setdefault(store.text_or("place"), []).append(
            store.yes("of_the_show") or (store.has("count") and store.whole("count") == 0)
        )
    return {place: "empty in the show" for place, empty in listed.items() if all(empty)}


def _named_by(ctx: Context, plan: Plan) -> list[Spot]:
    return _named(plan, {*(m.place for m in ctx[MARKS]), *(e.place for e in ctx.get(EFFECTS) or ())})


def _alone_of(sketch: Sketch, plan: Plan, named: Iterable[Spot], rows: Iterable[SignRow]) -> list[Spot]:
    """Points and small areas that no sign's label names."""
    at_signs = {row.place for row in rows if small(sketch, plan.places[row.place])}
    return [s for s in named if s.tag not in at_signs and small(sketch, s)]


def _stands(spot: Spot) -> tuple[float, float]:
    assert spot.shape is not None
    return spot.ground or middle(spot.shape)


def _heaps(sketch: Sketch, rows: Iterable[SignRow], alone: Iterable[Spot]) -> list[Heap]:
    spots = {row.place: (row.x, row.y) for row in rows}
    spots |= {spot.tag: sketch.at(*_stands(spot)) for spot in alone}
    return numbered(spots)


def _after(heaps: Sequence[Heap]) -> int:
    """The first number that is free."""
    return 1 + sum(len(heap.tags) for heap in heaps)


class Numbered(NamedTuple):
    """What has a number on the plan: its name, what is there in words, and where, in m."""

    number: str
    name: str
    what: str
    x: float
    y: float


def listed(ctx: Context, sketch: Sketch, plan: Plan) -> list[Numbered]:
    rows = rows_of_signs(sketch, plan, ctx[MARKS])
    at = {row.place: row for row in rows}
    made = []
    heaps = _heaps(sketch, rows, _alone_of(sketch, plan, _named_by(ctx, plan), rows))
    for heap in heaps:
        for number, tag in enumerate(heap.tags, heap.first):
            told = [w.text for w in _name(plan.places[tag])[1:]]
            told += [w.text for w in at[tag].lines] + [at[tag].beside] if tag in at else []
            what = ", ".join(t for t in told if t)
            made.append(Numbered(f"{number}", tag, what, *_stands(plan.places[tag])))
    titles = titles_of(ctx)
    effects = {row.tags[0]: row for row in rows_of_effects(sketch, plan, titles)}
    for heap in crowded_effects(effects.values(), _after(heaps)):
        for number, tag in enumerate(heap.tags, heap.first):
            row = effects[tag]
            name = row.lines[0].text if len(row.tags) > 1 else titles.get(tag, (tag, ""))[0]
            places = ", ".join(dict.fromkeys(titles.get(t, (t, ""))[1] for t in row.tags))
            what = f"effect at {places}" if places else "effect"
            x, y = (round(v, 6) + 0.0 for v in sketch.back(*row.middle))
            made.append(Numbered(f"{number}", name, what, x, y))
    return made


def titles_of(ctx: Context) -> dict[str, tuple[str, str]]:
    """Of each effect its title and its place."""
    return {e.tag: (e.title or e.tag, e.place) for e in ctx.get(EFFECTS) or ()}
