"""The site drawn to scale: areas, barriers, effects with their stand-offs, hoses, marks, and the distances that govern.

Everything is laid out in millimeters of paper from the site's lower left corner, and handed on in meters.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Context, Key, drawn, show, value
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Text, Tone
from specc.kinds import geometry
from specc.kinds.geometry import Area, Polyline
from specc.kinds.places import Spot
from specc.kinds.show import EFFECTS
from specc.kinds.site import FIRED_FROM, MARKS, SIGHT_LINES, SightLine
from specc.kinds.targets import CONTOURS, REACHED, STANDOFFS, Contour, governing
from specc.measure.units import FOOT
from specc.model.wording import several
from specc_site.cylinders import CYLINDERS, RELIEFS
from specc_site.distances import drawn_distances, ends_of, from_flames
from specc_site.hoses import WAYS
from specc_site.labels import SIGN_WIDE, Laid, Words, size_of
from specc_site.line_styles import HOSE, OF_KIND, RINGS, SIGHT, STANDOFF, PlanLine, lines_of
from specc_site.names import HELP, Numbered, along, bounds, exits_kept, inner, listed, name_all, small, titles_of
from specc_site.open_on_plan import draw_open_sides
from specc_site.outlines import in_meters
from specc_site.people import AUDIENCE
from specc_site.plan import PEOPLE_KINDS, PLAN, ROOT, Plan, middle, spot_at, words
from specc_site.plan_lines import arrow, clear_distance, draw_distance, outer
from specc_site.signs import HATCHED, count_effects, draw_effects, rows_of_effects, signs_in_words, symbol
from specc_site.sketch import MARGIN, Sketch

# Feet of the site to an inch of paper, as on an engineer's or architect's ruler.
FEET = (4, 8, 10, 16, 20, 30, 40, 50, 60, 80, 100, 120, 200, 300)
NARROWEST = 122.0  # mm: below it the legend has no room beside the scale bar
BESIDE = 26.0  # mm: room for labels at the left and right of the site, where the paper has it
FLAT = 75.0  # mm: less tall, a plan has room added above and below
LEAST = 6.0  # of the site, m: also around one place alone the scale bar and the legend have room
_FILLS: dict[str, Tone] = {
    "audience": "haze",
    "queue": "haze",
    "building": "shade",
    "performance": "tint",
    "crew": "tint",
}
NARROW_STRIP, SMALL_STRIP = 20.0, 9.5  # mm, below the plan: north, wind and the scale bar
# Of the legend, mm: where it begins, a line with its key, a row, and room for the scale bar beside it.
_LEFT, _SAMPLE, _ROW, _BAR = 31.0, 10.5, 3.4, 42.0


class PlanRoom(NamedTuple):
    """The most that a plan may take, mm, its margin, and whether it is the small one of a summary: few words, and no
    legend."""

    wide: float
    tall: float
    margin: float
    small: bool = False


PAGE = PlanRoom(178.0, 138.0, MARGIN)  # a letter page has room for it and for the table of its distances
SUMMARY = PlanRoom(69.0, 48.0, 1.5, small=True)


def _extent(
    plan: Plan, circles: Sequence[tuple[float, float, float]], contours: Iterable[Contour]
) -> tuple[tuple[float, float], ...]:
    """The corners of all that is to be seen: every place, the stand-offs, and the contours, which reach farther than
    any place where no stand-off is known."""
    shapes = [s.shape for s in plan.places.values() if s.shape]
    spots = [(p.x.si, p.y.si) for shape in shapes for p in geometry.corners(shape)]
    spots += [(x + sx * r, y + sy * r) for x, y, r in circles for sx in (-1, 1) for sy in (-1, 1)]
    spots += [point for contour in contours for ring in contour.rings for point in ring]
    xs, ys = [s[0] for s in spots], [s[1] for s in spots]
    across, deep = (max(0.0, (LEAST - (max(of) - min(of))) / 2) for of in (xs, ys))
    return (min(xs) - across, min(ys) - deep), (max(xs) + across, max(ys) + deep)


def _scale(low: tuple[float, float], high: tuple[float, float], room: PlanRoom) -> int:
    """The largest that fits: drawn larger it would be made smaller there, and words laid out for the larger one would
    lie on one another."""
    for feet in FEET:
        k = 1000.0 / (feet * 12)
        if (high[0] - low[0]) * k <= room.wide - 2 * room.margin and (
            high[1] - low[1]
        ) * k <= room.tall - 2 * room.margin:
            return feet
    return FEET[-1] * math.ceil(max(high[0] - low[0], high[1] - low[1]) / 500)


def _areas(sketch: Sketch, plan: Plan) -> None:
    for spot in plan.places.values():
        if isinstance(spot.shape, Area) and (spot.kind or spot.blocks):
            ring = tuple(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline)
            holes = tuple(tuple(sketch.at(p.x.si, p.y.si) for p in h) for h in spot.shape.holes)
            style = OF_KIND.get(spot.kind)
            weight = 0.0 if style else 0.6
            sketch.shapes.append(
                Polygon(ring, weight, "ink", _FILLS.get(spot.kind), False, holes, HATCHED.get(spot.kind, 0.0))
            )
            if style:
                sketch.styled((*ring, ring[0]), style)
                continue
            sketch.labels.thin += [(*a, *b) for a, b in itertools.pairwise((*ring, ring[0]))]
            sketch.over += [Line((*hole, hole[0]), weight) for hole in (ring, *holes)]
            if small(sketch, spot):  # whole over the grounds of words, which would hide it
                sketch.over.append(sketch.shapes.pop())
                sketch.labels.boxes.append(bounds(sketch, spot))
    for spot in plan.places.values():
        if isinstance(spot.shape, Polyline) and (spot.kind or spot.blocks):
            points = [sketch.at(p.x.si, p.y.si) for p in spot.shape.points]
            if style := OF_KIND.get(spot.kind):
                sketch.styled(points, style)
            else:
                sketch.line(points, 1.2, "gray" if spot.blocks and not spot.kind else "ink")


def _columns(wide: float, legend: Sequence[PlanLine]) -> list[list[PlanLine]]:
    """The legend in as many columns as there is room for beside the scale bar."""
    for count in (3, 2):
        rows = math.ceil(len(legend) / count)
        made = [list(legend[i : i + rows]) for i in range(0, len(legend), max(rows, 1))]
        if _LEFT + sum(map(_across, made)) <= wide - _BAR:
            return made
    return [list(legend)] if legend else []


def _wide_enough(legend: Sequence[PlanLine]) -> float:
    """mm of paper on which the legend has two columns beside the scale bar: one of ten rows is as tall as a table."""
    rows = math.ceil(len(legend) / 2)
    return _LEFT + sum(_across(c) for c in (legend[:rows], legend[rows:]) if c) + _BAR if rows > 2 else 0.0


def _across(column: Sequence[PlanLine]) -> float:
    return _SAMPLE + max(size_of((Words(s.words, 7),))[0] for s in column) + 3.0


def _letters(degrees: float) -> str:
    """A direction as a wind vane has it, such as SW."""
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(degrees / 45) % 8]


def _strip(
    sketch: Sketch,
    north: float | None,
    wind: float | None,
    legend: Sequence[PlanLine],
    room: PlanRoom,
    *,
    meters: bool,
) -> None:
    """Below the plan: north, prevailing wind, what the lines are, and a scale bar."""
    shapes, top = sketch.shapes, sketch.strip - (0.8 if room.small else 2.0)
    shapes.append(Line(((0.5, sketch.strip), (sketch.wide - 0.5, sketch.strip)), 0.5))
    x, half, down = (5.0, 2.2, 2.6) if room.small else (6.0, 5.0, 4.0)
    if north is not None:
        arrow(shapes, x, top - half - 0.4, north, half)
        shapes.append(Text(x, top - 2 * half - down, "N", 7.5, "middle", strong=True))
    else:
        shapes.append(Text(1.5, top - 9, "north not stated", 7))
    x = 14.0 if room.small else 22.0
    if wind is not None and north is not None:
        arrow(shapes, x, top - half - 0.4, north + wind + 180, half)
        shapes.append(Text(x, top - 2 * half - down, f"wind from {_letters(wind)}", 7, "middle"))
    left = _LEFT
    for column in _columns(sketch.wide, legend):
        for i, style in enumerate(column):
            y = top - 3.6 - _ROW * i
            shapes += lines_of(((left, y + 0.8), (left + 9, y + 0.8)), style)
            shapes.append(Text(left + _SAMPLE, y, style.words, 7))
        left += _across(column)
    _bar(sketch, 2.0 if room.small else 4.0, meters=meters)


def _bar(sketch: Sketch, y: float, *, meters: bool) -> None:
    """A scale bar in the unit that the plan is measured in; of meters it says how many feet they are."""
    shapes, unit = sketch.shapes, sketch.k * (1.0 if meters else FOOT)
    lengths = (500, 200, 100, 50, 20, 10, 5, 2, 1) if meters else (2000, 1000, 500, 200, 100, 50, 40, 20, 10, 5)
    units = next((u for u in lengths if u * unit <= 34), lengths[-1])
    length = units * unit
    right = sketch.wide - 8.0
    left = right - length
    for i in range(4):
        a, b = left + length * i / 4, left + length * (i + 1) / 4
        box = ((a, y), (b, y), (b, y + 1.2), (a, y + 1.2))
        shapes.append(Polygon(box, 0.5, "ink", "ink" if i % 2 == 0 else "white"))
    for i in (0, 2, 4):
        text = f"{units * i / 4:g}"
        if i < 4 or not meters:
            shapes.append(Text(left + length * i / 4, y + 2.2, text + (" ft" if i == 4 else ""), 7, "middle"))
        else:
            said = f"{text} m ({show(units, 'length', 'ft')})"
            shapes.append(Text(sketch.wide - 1.5, y + 2.2, said, 7, "end"))


def _ground(laid: Laid, sketch: Sketch, plan: Plan) -> Shape:
    """What lies under a word, so that no line runs through it: white, or the tone of the area that it stands in."""
    wide, tall = size_of((laid.words,))
    x, y = laid.x - 0.3 - (wide if laid.right else 0.0), laid.y - 0.22 * tall
    box = ((x, y), (x + wide + 0.6, y), (x + wide + 0.6, y + tall * 0.98), (x, y + tall * 0.98))
    areas = [s for s in plan.places.values() if isinstance(s.shape, Area) and s.kind in _FILLS]

    def inside(spot: Spot) -> bool:
        assert isinstance(spot.shape, Area)
        return all(geometry.within(*sketch.back(*corner), spot.shape) for corner in box)

    tone: Tone = next((_FILLS[s.kind] for s in areas if inside(s)), "white")
    return Polygon(box, 0, tone, tone)


@drawn(
    "site",
    title="Site plan",
    needs=(PLAN,),
    wants=(EFFECTS, AUDIENCE, CYLINDERS, RELIEFS, REACHED, STANDOFFS, CONTOURS, MARKS, FIRED_FROM, SIGHT_LINES, WAYS),
    reads=(ROOT, "operators", "places"),
)
def site_drawing(ctx: Context) -> Drawing:
    plan, root = ctx[PLAN], ctx.spec(ROOT)
    if not any(s.shape for s in plan.places.values()):
        return Drawing("", "", "to_scale", (), "No place has coordinates, so there is nothing to draw.")
    circles = _circles(ctx, plan)
    sketch, open_ = _laid_out(ctx, PAGE)
    origin = f"From {root.text('origin')}." if root.has("origin") else ""
    notes = (
        origin,
        "" if circles else "No stand-off is known, so none is drawn.",
        signs_in_words(plan, ctx[MARKS]),
        "".join(f"At {m.place}: {m.title}. " for m in ctx[FIRED_FROM]).rstrip(),
        "Open circles without a name: nothing is described there." if open_ else "",
        "Numbers: their list stands below." if listed(ctx, sketch, plan) else "",
        _not_seen(ctx[SIGHT_LINES]),
    )
    note = " ".join(n for n in notes if n)
    small = _laid_out(ctx, SUMMARY)[0].sheet()
    return Drawing("", "", "to_scale", (sketch.sheet(),), note, scale=sketch.scale, small=small)


def _not_seen(sights: Iterable[SightLine]) -> str:
    """What is not drawn: a line through what is in its way would show that one sees there."""
    told = dict.fromkeys(f"{s.target} from {s.place} ({several(s.blocked_by)})" for s in sights if s.blocked_by)
    return f"Not seen: {'; '.join(told)}." if told else ""


NUMBERED: Key[tuple[Numbered, ...]] = Key("site.numbered", tuple)


@value(
    NUMBERED,
    needs=(PLAN,),
    wants=(EFFECTS, STANDOFFS, CONTOURS, MARKS, SIGHT_LINES, WAYS),
)
def numbers(ctx: Context) -> tuple[Numbered, ...]:
    """What has a number on the plan, as its name has no room there: the number, the place, and what is there."""
    plan = ctx[PLAN]
    if not any(s.shape for s in plan.places.values()):
        return ()
    return tuple(listed(ctx, _paper(ctx, PAGE).sketch, plan))


def _circles(ctx: Context, plan: Plan) -> list[tuple[float, float, float]]:
    largest = governing(ctx[STANDOFFS])
    return [
        (*middle(shape), asked.distance.si)
        for e in plan.effects
        if (asked := largest.get(("audience", e.tag)))
        for shape in e.shapes
    ]


def _legend(ctx: Context, plan: Plan, rings: Mapping[str, PlanLine], standoffs: bool) -> list[PlanLine]:
    """Every style of line that the plan has, once."""
    drawn_kinds = {s.kind for s in plan.places.values() if isinstance(s.shape, Area | Polyline)}
    made = [style for kind, style in OF_KIND.items() if kind in drawn_kinds]
    made += [STANDOFF] if standoffs else []
    made += rings.values()
    made += [HOSE] if ctx.get(WAYS) else []
    made += [SIGHT] if ctx[SIGHT_LINES] else []
    return made


class _Paper(NamedTuple):
    """A plan with nothing on it yet, its legend, and how each ring of heat or flame is drawn."""

    sketch: Sketch
    legend: list[PlanLine]
    rings: dict[str, PlanLine]
    low: tuple[float, float]
    high: tuple[float, float]


def _paper(ctx: Context, room: PlanRoom) -> _Paper:
    plan, circles = ctx[PLAN], _circles(ctx, ctx[PLAN])
    low, high = _extent(plan, circles, ctx[CONTOURS])
    scale = _scale(low, high, room)
    k = 1000 / (scale * 12)
    narrowest = room.wide - 2 * room.margin if room.small else NARROWEST
    legend = [] if room.small else _legend(ctx, plan, _rings(ctx), bool(circles))
    wanted = max((high[0] - low[0]) * k + 2 * BESIDE, _wide_enough(legend) - 2 * room.margin)
    wide = max(narrowest, min(room.wide - 2 * room.margin, wanted))
    aside = max(0.0, wide / k - (high[0] - low[0])) / 2
    tallest = max(map(len, _columns(wide + 2 * room.margin, legend)), default=0)
    strip = SMALL_STRIP if room.small else max(NARROW_STRIP, 4.4 + _ROW * tallest)
    # A long site lies flat on the paper: its names have room above and below it, as those of others beside them.
    flat = 0.0 if room.small else max(0.0, FLAT - (high[1] - low[1]) * k) / k / 2
    sketch = Sketch((low[0] - aside, low[1] - flat), (high[0] + aside, high[1] + flat), scale, strip, room.margin)
    sketch.meters = not room.small and in_meters(plan.places.values())
    return _Paper(sketch, legend, _rings(ctx), low, high)


def _rings(ctx: Context) -> dict[str, PlanLine]:
    """How each ring of heat or flame is drawn, by its words."""
    return {
        of: PlanLine(of, 0.7, "gray", RINGS[i % len(RINGS)])
        for i, of in enumerate(dict.fromkeys(c.of for c in ctx[CONTOURS] if c.rings))
    }


def _laid_out(ctx: Context, room: PlanRoom) -> tuple[Sketch, bool]:
    """The plan in a room, and whether a side of it is open."""
    plan, root, circles = ctx[PLAN], ctx.spec(ROOT), _circles(ctx, ctx[PLAN])
    sketch, legend, rings, low, high = _paper(ctx, room)
    _areas(sketch, plan)
    for piece in outer(circles):
        sketch.line([sketch.at(x, y) for x, y in piece], STANDOFF.weight)
    audience, cylinders = ctx.get(AUDIENCE) or (), (*(ctx.get(CYLINDERS) or ()), *(ctx.get(RELIEFS) or ()))
    if room.small:
        draw_effects(sketch, plan)
        _few_signs(sketch, plan)
        for one in drawn_distances(plan, audience, ()):
            draw_distance(sketch, clear_distance(sketch, one))
        _few_names(sketch, plan, titles_of(ctx), exits_kept(ctx, plan))
    else:
        _all_lines(ctx, sketch, plan, rings)
        draw_effects(sketch, plan)
        name_all(ctx, sketch, plan, circles, drawn_distances(plan, audience, cylinders, from_flames(ctx)))
        for tag, way in ctx.get(WAYS) or ():
            assert isinstance(way.shape, Polyline)
            sketch.labels.put_by(along(sketch, way.shape), (Words(tag),), 1.2)
    radius = max((c[2] for c in circles), default=min(high[0] - low[0], high[1] - low[1]) / 3)
    words_ = (Words("not checked"),) if room.small else (Words("nothing described here:"), Words("not checked"))
    open_ = draw_open_sides(sketch, plan, radius, words_)
    _finish(sketch, plan)
    north, wind = root.quantity_or_none("north"), root.quantity_or_none("wind_from")
    north_deg, wind_deg = (math.degrees(q.si) if q else None for q in (north, wind))
    _strip(sketch, north_deg, wind_deg, legend, room, meters=in_meters(plan.places.values()))
    return sketch, open_


def _all_lines(
    ctx: Context,
    sketch: Sketch,
    plan: Plan,
    rings: Mapping[str, PlanLine],
) -> None:
    """Rings of heat and flame, hoses, and sight lines."""
    for contour in ctx[CONTOURS]:
        for ring in contour.rings:
            around = [sketch.at(x, y) for x, y in (*ring, ring[0])]
            sketch.over += lines_of(around, rings[contour.of])
            few = [*around[:: max(1, len(around) // 24)], around[-1]]
            sketch.labels.thin += [(*a, *b) for a, b in itertools.pairwise(few)]
    for _, way in ctx.get(WAYS) or ():
        assert isinstance(way.shape, Polyline)
        sketch.styled([sketch.at(p.x.si, p.y.si) for p in way.shape.points], HOSE)
    targets = {e.tag: e.shapes[0] for e in plan.effects if e.shapes}
    targets |= {s.tag: s.shape for s in plan.places.values() if s.shape and s.tag not in targets}
    for sight in ctx[SIGHT_LINES]:
        if sight.place in targets and sight.target in targets and not sight.blocked_by:
            post = plan.places[sight.place].stands if sight.place in plan.places else None
            own = spot_at(post) if post else targets[sight.place]
            ends = ends_of(own, targets[sight.target])
            sketch.shapes += lines_of([sketch.at(*ends[0]), sketch.at(*ends[1])], SIGHT)


def _few_signs(sketch: Sketch, plan: Plan) -> None:
    """Cylinders and ways out: every name keeps off them."""
    for shape in dict.fromkeys(c.shapes[0] for c in plan.cylinders if c.shapes):
        x, y = sketch.at(*middle(shape))
        sketch.signs.append(Circle(x, y, 1.2, 0.6, "ink", "ink"))
        sketch.labels.keep_off(x, y, 1.3)
    for spot in plan.of("exit"):
        if spot.shape:
            x, y = sketch.at(*middle(spot.shape))
            sketch.signs.append(Circle(x, y, 1.0, 0.6, "ink", "white"))
            sketch.labels.keep_off(x, y, 1.1)


def _few_names(sketch: Sketch, plan: Plan, titles: Mapping[str, tuple[str, str]], kept: Mapping[str, str]) -> None:
    """What a summary names: effects, the public, cylinders, ways out, and where engines come in."""
    count_effects(sketch, rows_of_effects(sketch, plan, {tag: (title, "") for tag, (title, _) in titles.items()}))
    for shape in dict.fromkeys(c.shapes[0] for c in plan.cylinders if c.shapes):
        sketch.labels.put(*sketch.at(*middle(shape)), (Words("cylinders", strong=True),))
    for spot in plan.of(*PEOPLE_KINDS, "fire_lane"):
        if isinstance(spot.shape, Area):
            label = Words(spot.tag if spot.kind in PEOPLE_KINDS else words(spot.kind), strong=True)
            xs, ys = zip(*(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline), strict=True)
            if max(xs) - min(xs) > size_of((label,))[0] and max(ys) - min(ys) > size_of((label,))[1]:
                sketch.labels.within([sketch.at(x, y) for x, y in inner(spot)], (label,))
            else:
                sketch.labels.put_by(along(sketch, spot.shape), (label,), 1.0)
    for spot in plan.of("exit"):
        if spot.shape:
            x, y = sketch.at(*middle(spot.shape))
            sketch.labels.put(x, y, (Words("for help" if kept.get(spot.tag) == HELP else "exit", 7),), 1.4)


def _finish(sketch: Sketch, plan: Plan) -> None:
    """The grounds of words, over them the lines that decide, then leaders, signs and words, and the frame."""
    for laid in sketch.labels.laid:
        sketch.shapes.append(_ground(laid, sketch, plan))
    sketch.shapes += sketch.over
    for x1, y1, x2, y2 in sketch.labels.leaders:
        sketch.shapes.append(Line(((x1, y1), (x2, y2)), 0.3, "ink"))
    sketch.shapes += sketch.signs
    for x, y, line, at_end in sketch.labels.laid:
        inward = -1.0 if at_end else 1.0
        if line.sign:
            sketch.shapes += symbol(line.sign, x + inward * 1.6, y + 0.9)
        start = x + inward * (SIGN_WIDE if line.sign else 0.0)
        sketch.shapes.append(Text(start, y, line.text, line.size, "end" if at_end else "start", strong=line.strong))
    low, right, top = 0.25, sketch.wide - 0.25, sketch.tall - 0.25
    sketch.shapes.append(Polygon(((low, low), (right, low), (right, top), (low, top)), 0.8))
