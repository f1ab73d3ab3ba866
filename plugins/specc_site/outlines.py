"""Rules on whether the plan can be right at all: areas that cross themselves, things off site, mixed units."""

from __future__ import annotations

import itertools
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

from specc import (
    CHOICE,
    Context,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    found,
    nearer,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.formulas.spoken import SAID_KINDS, spoken
from specc.kinds.extinguishers import EXTINGUISHERS
from specc.kinds.geometry import Area, Point, Polyline, corners, edges, within
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.site import MARKS
from specc.measure.units import find
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import join
from specc.model.wording import counted, several
from specc_site.compass import contradictions
from specc_site.plan import NO_PLAN, PEOPLE_KINDS, PLAN, ROOT, Plan, effects_nowhere, middle, nowhere, words

LARGEST = Limit(
    "site.largest",
    "2,000 ft",
    "length",
    "min",
    "farthest that a place is from the others: beyond it a unit or a sign is likelier than a site of that size",
    CHOICE,
)


_FIGURES = {"deg", "degrees", "ft", "lat", "lon", "long", "latitude", "longitude"}
_SOLID = ("building", "fuel_store", "vehicle", "generator", "performance")


def _level(p: Point) -> tuple[float, float]:
    return p.x.si, p.y.si


def _side(a: Point, b: Point, c: Point) -> float:
    return (b.x.si - a.x.si) * (c.y.si - a.y.si) - (b.y.si - a.y.si) * (c.x.si - a.x.si)


def crossing(ring: tuple[Point, ...]) -> tuple[int, int] | None:
    """The numbers (from 1) of two edges of a ring that cross or lie on one another; None when none do. An edge is
    numbered by the corner that it begins at."""
    count = len(ring)
    for i, j in itertools.combinations(range(count), 2):
        a, b, c, d = ring[i], ring[(i + 1) % count], ring[j], ring[(j + 1) % count]
        if j == i + 1 or (i == 0 and j == count - 1):
            # Neighbors share a corner; they may not run back over each other.
            first, shared, last = (a, b, d) if j == i + 1 else (c, a, b)
            back = (shared.x.si - first.x.si) * (last.x.si - shared.x.si) + (shared.y.si - first.y.si) * (
                last.y.si - shared.y.si
            )
            if abs(_side(first, shared, last)) < 1e-9 and back < 0:
                return i + 1, j + 1
            continue
        if _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0 and _boxes_meet(a, b, c, d):
            return i + 1, j + 1
    return None


def _boxes_meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    def meet(p: float, q: float, r: float, s: float) -> bool:
        return max(min(p, q), min(r, s)) <= min(max(p, q), max(r, s))

    return meet(a.x.si, b.x.si, c.x.si, d.x.si) and meet(a.y.si, b.y.si, c.y.si, d.y.si)


def _flat(ring: tuple[Point, ...]) -> bool:
    """Whether all corners are on one line. Two lobes of a ring that crosses itself may enclose 0 in all, too."""
    far = max(ring, key=lambda p: math.dist(_level(p), _level(ring[0])))
    return all(abs(_side(ring[0], far, p)) < 1e-6 for p in ring)


def _faults(spot: Spot) -> Iterator[Trouble]:
    assert isinstance(spot.shape, Area)
    rings = (("area", spot.shape.outline), *((f"hole {i}", h) for i, h in enumerate(spot.shape.holes, 1)))
    for name, corners_ in rings:
        # The same corner twice in a row is one: nothing crosses there.
        ring = tuple(p for i, p in enumerate(corners_) if math.dist(_level(p), _level(corners_[i - 1])) > 1e-9)
        at = join(spot.at, "area" if name == "area" else "holes")
        what = f"the area {spot.tag}" if name == "area" else f"{name} of the area {spot.tag}"
        why = "what lies within it, and how far it is, cannot be told"
        if len(ring) < 3 or _flat(ring):
            yield Trouble(at, f"{what} encloses nothing", "corners that are not on one line", why)
        elif edges := crossing(ring):
            yield Trouble(
                at,
                f"{what} crosses itself: its edge from corner {edges[0]} meets the one from corner {edges[1]}",
                "its corners in order round it",
                why,
            )
    for i, hole in enumerate(spot.shape.holes, 1):
        outline = spot.shape.outline
        if not all(within(*_level(p), Area(outline)) or _on(p, outline) for p in hole):
            yield Trouble(
                join(spot.at, "holes"),
                f"hole {i} of the area {spot.tag} does not lie within it: it is inside out",
                "the larger ring as area:, the smaller one under holes:",
                "what is said to be out of it would be in it",
            )


def overlap(one: Area, other: Area) -> bool:
    """Whether two areas share ground: more than a corner or an edge."""

    def strictly(spot: tuple[float, float], area: Area, edge: tuple[Point, ...]) -> bool:
        return within(*spot, area) and not _on(Point(*(Quantity(v, "length", "") for v in spot)), edge)

    for a, b in ((one, other), (other, one)):
        spots = [_level(p) for p in a.outline] + [middle(a)]
        spots += [((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in itertools.pairwise([*spots[:-1], spots[0]])]
        if any(strictly(spot, b, b.outline) for spot in spots):
            return True
    return any(
        _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0
        for a, b in edges(one)
        for c, d in edges(other)
    )


def _stood_on(plan: Plan) -> Iterator[Trouble]:
    """Areas of the public with something in them where nobody stands."""
    solid = [s for s in plan.places.values() if s.kind in _SOLID or ("walking" in s.blocks and s.kind != "barrier")]
    low, areas = plan.of("low_place"), plan.of(*PEOPLE_KINDS)
    for area in areas:
        for other in solid:
            if other.kind == "building" and ("walking" not in other.blocks or other.doors) and _holds(other, area):
                continue  # they are indoors
            if _on_one_another(area, other):
                is_ = f" ({words(other.kind)})" if other.kind else ""
                yield Trouble(
                    area.at,
                    f"{area.tag} and {other.tag}{is_} lie on one another",
                    "areas beside each other, or holes: where people cannot stand",
                    "who is said to stand there stands somewhere else",
                    "warning",
                )
        for other in areas[areas.index(area) + 1 :]:
            if _on_one_another(area, other):
                yield Trouble(
                    area.at,
                    f"{area.tag} and {other.tag}, both of the public, lie on one another",
                    "areas beside each other",
                    "who stands in both is counted twice, or has room for two",
                    "warning",
                )
        for other in low:
            if other not in solid and _on_one_another(area, other):
                yield Trouble(
                    area.at,
                    f"{other.tag}, a low place, lies in {area.tag}",
                    "another place for the public, or a hole in its area where nobody stands",
                    "propane runs to low places, and burns when a flame comes near",
                    "warning",
                )


def _on_one_another(area: Spot, other: Spot) -> bool:
    """Whether an area shares ground with another place: an area, or a point within it."""
    if not isinstance(area.shape, Area):
        return False
    if isinstance(other.shape, Point):
        return within(*_level(other.shape), area.shape) and not _on(other.shape, area.shape.outline)
    return isinstance(other.shape, Area) and overlap(area.shape, other.shape)


def _no_size(ctx: Context) -> Iterator[Trouble]:
    """A line whose points are all one; and what is said to be in the way and is one point: nobody walks round it, and
    it hides nothing."""
    for tag, told in ctx.spec("places").children():
        spot = ctx[PLACES][tag]
        if isinstance(spot.shape, Polyline) and len({_level(p) for p in spot.shape.points}) == 1:
            yield Trouble(
                join(spot.at, "line"),
                f"the line {tag} has no length: all its points are one",
                "points from one end of it to the other",
                "what it is to keep out or to measure is not where it is",
            )
        if not isinstance(spot.shape, Point) or not (spot.kind == "barrier" or {"sight", "walking"} & set(spot.blocks)):
            continue
        if spot.kind == "barrier" or told.has("blocks"):
            what = "a barrier" if spot.kind == "barrier" else "in the way (blocks:)"
            yield Trouble(
                spot.at,
                f"{tag} is said to be {what}, and is one point: it keeps nobody out and hides nothing",
                "line: or area: in place of at:",
                "what counts on it would pass",
                "error" if spot.kind == "barrier" else "warning",
            )


def _holds(hall: Spot, area: Spot) -> bool:
    """Whether an area lies whole within another."""
    inner, outer = area.shape, hall.shape
    if not isinstance(inner, Area) or not isinstance(outer, Area):
        return False
    return all(within(*_level(p), outer) or _on(p, outer.outline) for p in inner.outline)


def _on(p: Point, ring: tuple[Point, ...]) -> bool:
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        length = math.dist(_level(a), _level(b))
        along = (p.x.si - a.x.si) * (b.x.si - a.x.si) + (p.y.si - a.y.si) * (b.y.si - a.y.si)
        if abs(_side(a, b, p)) <= 1e-6 * max(length, 1.0) and -1e-6 <= along <= length**2 + 1e-6:
            return True
    return False


@rule(
    "site.outlines",
    level="error",
    statement="Each area has corners in order round it, crosses itself nowhere, and its holes lie within it; nobody "
    "stands where things do",
    source=CHOICE,
    needs=(PLACES, PLAN),
    reads=("places",),
)
def outlines(ctx: Context) -> Verdict:
    """Whether corners go clockwise or the other way makes no difference."""
    areas = [s for s in ctx[PLACES].values() if isinstance(s.shape, Area)]
    faults = [*(t for s in areas for t in _faults(s)), *_no_size(ctx), *_stood_on(ctx[PLAN])]
    if not areas and not faults:
        return not_applicable("no areas")
    return found(faults, counted(len(areas), "area"))


@rule(
    "site.on_site",
    level="error",
    statement="What the project places lies within the site's bounds, and places are not far apart as no site is; "
    "nothing is there that is said not to be",
    source=CHOICE,
    needs=(PLACES, PLAN),
    wants=(EFFECTS, NETWORK, MARKS),
    reads=(ROOT,),
    limits=("site.largest",),
)
def on_site(ctx: Context) -> Judging:
    plan, root = ctx[PLAN], ctx.spec(ROOT)
    located = [s for s in ctx[PLACES].values() if s.shape]
    yield from _said_not_to_be(ctx)
    if not located:
        return not_applicable("no place has coordinates")
    limit = ctx.limit(LARGEST.key)
    spots = {s.tag: middle(s.shape) for s in located if s.shape}
    center = (_median(x for x, _ in spots.values()), _median(y for _, y in spots.values()))
    for s in located:
        away = math.dist(spots[s.tag], center)
        if away > limit.si:
            yield Trouble(
                s.at,
                f"{s.tag} is {show(away, 'length', 'ft')} from the middle of the places; the limit is {limit.text}",
                "its coordinates in the unit that was measured",
                "a distance in the wrong unit passes every rule on distances",
            )
    origin = root.text_or("origin")
    if re.search(r"\d", origin) and not {*re.findall(r"[a-z]{2,}", origin.lower())} - _FIGURES:
        yield Trouble(
            root.here("origin"),
            f"origin: is {origin!r}, a figure",
            "a mark that one finds on the ground, such as: the middle reed, or the north-west corner of the shed",
            "whoever paces the plan off has to know where it begins",
            "warning",
        )
    if not root.has("bounds"):
        unbound = Unchecked("site: bounds: names no area, so what lies off the site is not seen", root.here("bounds"))
        yield unbound if plan.kinds else NO_PLAN
        return passed("")
    bounds = plan.places.get(root.text("bounds"))
    if bounds is None or not isinstance(bounds.shape, Area):
        yield Trouble(
            root.here("bounds"),
            f"{root.text('bounds')!r} is no area among the places",
            "the tag of a place with area:",
            "what lies off the site is not seen",
        )
        return passed("")
    named = [(e.tag, e.shapes, e.at) for e in (*plan.effects, *plan.cylinders, *plan.reliefs)]
    on_it = ("audience", "queue", "crew", "performance", "fuel_store", "tent", "exit")
    yield from effects_nowhere(plan)
    yield from nowhere((*plan.cylinders, *plan.reliefs))
    by_tag = {one.tag: one.place for one in (*plan.effects, *plan.cylinders, *plan.reliefs)}
    used = {m.place for m in ctx[MARKS]}  # where people are posted, and extinguishers and valves are
    named += [(s.tag, (s.shape,), s.at) for s in located if s.shape and (s.kind in on_it or s.tag in used)]
    for tag, shapes, at in named:
        off = [p for shape in shapes for p in corners(shape) if not within(*_level(p), bounds.shape)]
        off = [p for p in off if not _on(p, bounds.shape.outline)]
        if off:
            place = tag if tag in plan.places else by_tag.get(tag, "")
            yield Trouble(
                at,
                f"{tag} lies off the site: {show(off[0].x.si, 'length', 'ft')}, "
                f"{show(off[0].y.si, 'length', 'ft')} is not within {bounds.tag}",
                "a place on the site, or the true bounds",
                "what is off the site is nobody's to keep clear",
                moves=(nearer(place, bounds.tag, off[0], bounds.shape),) if place else (),
            )
    return passed(f"{counted(len(named), 'thing')} within {bounds.tag}")


def _said_not_to_be(ctx: Context) -> Iterator[Trouble]:
    """Kinds that the maker has looked for and not found, of which a place is described all the same."""
    root = ctx.spec(ROOT)
    for i, kind in enumerate(root.texts("none")):
        if tags := [s.tag for s in ctx[PLACES].values() if s.kind == kind]:
            yield Trouble(
                root.here("none", i),
                f"none: names {words(kind)}, and {several(tags)} {'is one' if len(tags) == 1 else 'are described'}",
                f"without {kind}, or without {'it' if len(tags) == 1 else 'them'}",
                "one of the two is wrong, and nobody looks for more of what is said not to be there",
                "warning",
            )


def _median(values: Iterable[float]) -> float:
    listed = sorted(values)
    return listed[len(listed) // 2]


def metric(text: str) -> bool | None:
    """Whether a length is written in a metric unit; None for a bare 0, which has no unit to tell."""
    written = text.split("±")[0].strip().lstrip("+-0123456789., /").strip()
    unit = find(written, "length")
    return unit is not None and not unit.us if written else None


def in_meters(places: Iterable[Spot]) -> bool:
    """Whether more coordinates of a plan are written in a metric unit than not."""
    told = [
        told
        for spot in places
        for p in (corners(spot.shape) if spot.shape else ())
        for q in (p.x, p.y)
        if isinstance(q, Quantity) and abs(q.si) > 1e-12 and (told := metric(q.text)) is not None
    ]
    return sum(told) * 2 > len(told)


@rule(
    "site.one_unit",
    level="warning",
    statement="All coordinates of the plan are written in feet, or all in meters",
    source=CHOICE,
    needs=(PLACES,),
)
def one_unit(ctx: Context) -> Verdict:
    listed = ctx[PLACES].values()
    by_unit: dict[bool, list[Spot]] = defaultdict(list)
    for spot in listed:
        if spot.shape is None:
            continue
        kinds = {
            m
            for p in corners(spot.shape)
            for q in (p.x, p.y, *((p.z,) if p.z else ()))
            if isinstance(q, Quantity) and abs(q.si) > 1e-12 and (m := metric(q.text)) is not None
        }
        for kind in kinds:
            by_unit[kind].append(spot)
    if not by_unit:
        return not_applicable("no place has coordinates")
    if len(by_unit) < 2:
        return found((), counted(sum(len(s) for s in by_unit.values()), "place"))
    fewer = min(by_unit, key=lambda m: len(by_unit[m]))
    odd = by_unit[fewer]
    return found(
        [
            Trouble(
                odd[0].at,
                f"{several([s.tag for s in odd])} {'is' if len(odd) == 1 else 'are'} in "
                f"{'meters' if fewer else 'feet'}, and the other places in {'feet' if fewer else 'meters'}",
                "one unit for the whole plan",
                "30 m is 98 ft: a slip of the unit makes every distance three times as long",
            )
        ]
    )


_SAME = str.maketrans({"l": "1", "i": "1", "o": "0", "_": "", "-": "", " ": "", "s": "5"})


@rule(
    "site.tags_apart",
    level="warning",
    statement="No two tags read alike on a brass tag or over a radio, and none says west of what lies to the east",
    source=CHOICE,
    needs=(PLACES,),
    wants=(EFFECTS, NETWORK, EXTINGUISHERS),
    reads=("people", "operators", ROOT),
)
def tags_apart(ctx: Context) -> Judging:
    """Capitals, dashes, and letters that look like digits make no difference on a tag in the dark. Letters that rhyme
    are said by their words over a radio: with a roster the packet says how."""
    net = ctx.get(NETWORK)
    valves = [(p.tag, p.at) for p in (net.of_kind(*SAID_KINDS) if net else ())]
    effects = [(e.tag, e.at) for e in ctx.get(EFFECTS) or ()]
    places = [(s.tag, s.at) for s in ctx[PLACES].values()]
    by_word = spoken([tag for tag, _ in (*valves, *effects, *places)])
    if by_word and not len(ctx.spec("operators")):
        yield Trouble(
            dict((*valves, *effects, *places))[next(iter(by_word))],
            f"{several(list(by_word))} sound alike over a radio",
            "other letters, or a roster (operators:): with it the packet says each by its word",
            "by radio the wrong one is closed",
            "note",
        )
    groups = {
        "places": [(s.tag, s.at) for s in ctx[PLACES].values()],
        "effects": [(e.tag, e.at) for e in ctx.get(EFFECTS) or ()],
        "parts": [(p.tag, p.at) for p in (net.parts if net else ())],
        "people": [(tag, p.at) for tag, p in ctx.spec("people").children()],
        "extinguishers": [(u.tag, u.at) for u in ctx.get(EXTINGUISHERS) or ()],
    }
    looked = 0
    for what, tags in groups.items():
        seen: dict[str, str] = {}
        for tag, at in tags:
            looked += 1
            key = tag.lower().translate(_SAME)
            if key in seen:
                yield Trouble(
                    at,
                    f"the tags {seen[key]} and {tag} of {what} read alike",
                    "a tag that differs in more than a capital, a dash, or a letter like a digit",
                    "in the dark, or by radio, the wrong one is closed",
                )
            seen.setdefault(key, tag)
    if (north := ctx.spec(ROOT).quantity_or_none("north")) is not None:
        yield from contradictions(ctx[PLACES], north.si)
    if not looked:
        return not_checked("nothing has a tag", "/plumbing/parts", "/places")
    words_ = ", ".join(f"{tag} {word}" for tag, word in by_word.items())
    return passed(f"{looked} tags" + (f"; over a radio by word: {words_}" if words_ else ""))


__all__ = ["crossing", "in_meters", "metric"]
