"""The site drawn to scale: areas, barriers, effects with their stand-offs, hoses, marks, and the distances that govern.

Everything is laid out in millimeters of paper from the site's lower left corner, and handed on in meters.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import TypeAlias

from specc import Context, drawn
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Text, Tone
from specc.kinds import geometry
from specc.kinds.geometry import Area, Point, Polyline
from specc.kinds.places import Spot
from specc.kinds.show import EFFECTS
from specc.kinds.site import MARKS, SIGHT_LINES
from specc.kinds.targets import CONTOURS, STANDOFFS, Contour, governing
from specc_site.cylinders import CYLINDERS
from specc_site.distances import drawn_distances, ends_of
from specc_site.hoses import WAYS
from specc_site.labels import Laid, Words, size_of
from specc_site.people import AUDIENCE, open_sides
from specc_site.plan import PLAN, ROOT, Plan, middle, words
from specc_site.plan_lines import arrow, dashes, draw_distance, draw_radii, outer
from specc_site.signs import draw_effects, name_effects, rows_of_signs, signs_in_words
from specc_site.sketch import MARGIN, STRIP, Sketch

# Feet of the site to an inch of paper, as on an engineer's or architect's ruler.
FEET = (4, 8, 10, 16, 20, 30, 40, 50, 60, 80, 100, 200, 300)
# The most that the plan takes, mm: a letter page has room for it and for the table of its distances. Drawn larger it
# would be made smaller there, and words laid out for the larger one would lie on one another.
WIDE, TALL = 178.0, 132.0
NARROWEST = 122.0  # mm: below it the legend has no room beside the scale bar
BESIDE = 26.0  # mm: room for labels at the left and right of the site, where the paper has it
LEAST = 6.0  # of the site, m: also around one place alone the scale bar and the legend have room
_FILLS: dict[str, Tone] = {
    "audience": "haze",
    "queue": "haze",
    "building": "shade",
    "performance": "tint",
    "crew": "tint",
}
_HATCHED = {"building": 2.0, "fuel_store": 3.0}
# Dash and gap of the rings of heat and flame, in mm: each another one, and told in the legend.
_RINGS = ((2.6, 1.0), (0.5, 0.9), (5.0, 1.6), (1.2, 0.6))
_OUTLINED = {"property_line": 1.2, "fire_lane": 0.5, "walkway": 0.5, "public_way": 0.5, "barrier": 2.4}


# What a line is, its weight and tone, and whether it is dashed, or dash and gap.
LegendLine: TypeAlias = tuple[str, float, Tone, bool | tuple[float, float]]


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


def _scale(low: tuple[float, float], high: tuple[float, float]) -> int:
    for feet in FEET:
        k = 1000.0 / (feet * 12)
        if (high[0] - low[0]) * k <= WIDE - 2 * MARGIN and (high[1] - low[1]) * k <= TALL - 2 * MARGIN:
            return feet
    return FEET[-1] * math.ceil(max(high[0] - low[0], high[1] - low[1]) / 500)


def _areas(sketch: Sketch, plan: Plan) -> None:
    for spot in plan.places.values():
        if isinstance(spot.shape, Area) and (spot.kind or spot.blocks):
            ring = tuple(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline)
            holes = tuple(tuple(sketch.at(p.x.si, p.y.si) for p in h) for h in spot.shape.holes)
            dashed = spot.kind in ("property_line", "fire_lane", "walkway", "fuel_store")
            weight = _OUTLINED.get(spot.kind, 0.6)
            sketch.labels.thin += [(*a, *b) for a, b in itertools.pairwise((*ring, ring[0]))]
            sketch.shapes.append(
                Polygon(ring, weight, "ink", _FILLS.get(spot.kind), dashed, holes, _HATCHED.get(spot.kind, 0.0))
            )
    for spot in plan.places.values():
        if isinstance(spot.shape, Polyline) and (spot.kind or spot.blocks):
            points = [sketch.at(p.x.si, p.y.si) for p in spot.shape.points]
            dashed = spot.kind in ("wires", "property_line", "fire_lane", "walkway")
            sketch.line(
                points, _OUTLINED.get(spot.kind, 1.2), "gray" if spot.blocks and not spot.kind else "ink", dashed
            )


def _alone(spot: Spot, said: Iterable[str]) -> bool:
    """A spot that nothing else on the plan names, such as a water tap."""
    return isinstance(spot.shape, Point) and spot.tag not in said


def _titles(sketch: Sketch, plan: Plan, said: Iterable[str]) -> None:
    """The name of each area, line and point of the plan, on the thing; `said` are places that marks name."""
    for spot in plan.places.values():
        if spot.shape is None or not (spot.kind or spot.blocks or _alone(spot, said)):
            continue
        lines = [Words(spot.tag, strong=True)]
        kind = words(spot.kind)
        tall = f"{kind}{', ' if kind and spot.height else ''}{spot.height.text + ' high' if spot.height else ''}"
        if tall and tall != lines[0].text:
            lines.append(Words(tall, 6.5))
        if isinstance(spot.shape, Area):
            xs, ys = zip(*(sketch.at(p.x.si, p.y.si) for p in spot.shape.outline), strict=True)
            wide, high = size_of(lines)
            if max(xs) - min(xs) > wide + 1 and max(ys) - min(ys) > high + 1:
                sketch.labels.within([sketch.at(x, y) for x, y in _inner(spot)], lines)
            else:  # too small to hold its name
                sketch.labels.boxes.append((min(xs), min(ys), max(xs), max(ys)))
                x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
                sketch.labels.put(x, y, lines, min(max(xs) - min(xs), max(ys) - min(ys)) / 2 + 0.8)
        elif isinstance(spot.shape, Polyline):
            points = spot.shape.points
            i = max(1, len(points) // 2)
            a, b = points[i - 1], points[i]
            sketch.labels.put(*sketch.at((a.x.si + b.x.si) / 2, (a.y.si + b.y.si) / 2), lines, 1.5)
        else:
            x, y = sketch.at(*middle(spot.shape))
            sketch.shapes.append(Circle(x, y, 1.0, 0.6, "ink", "white"))
            sketch.labels.keep_off(x, y, 1.0)
            sketch.labels.put(x, y, lines)


def _inner(spot: Spot) -> list[tuple[float, float]]:
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


def _open(sketch: Sketch, plan: Plan, radius: float) -> bool:
    """An open circle on each side where nothing is described around any effect."""
    points = [s for e in plan.effects for s in e.shapes if isinstance(s, Point)]
    if not points:
        return False
    sides = [set(open_sides(plan, (p.x.si, p.y.si))) for p in points]
    left = sorted(set.intersection(*sides)) if sides else []
    spans: list[list[int]] = []
    for angle in left:
        if spans and angle - spans[-1][-1] <= 5:
            spans[-1].append(angle)
        else:
            spans.append([angle])
    x0, y0 = sum(p.x.si for p in points) / len(points), sum(p.y.si for p in points) / len(points)
    frame = sketch.labels.frame
    for span in spans:
        for angle in span[len(span) // 2 :: 24][:4] if len(span) > 24 else [span[len(span) // 2]]:
            for share in (1.15, 1.0, 0.8, 0.6):
                x, y = sketch.at(
                    x0 + radius * share * math.sin(math.radians(angle)),
                    y0 + radius * share * math.cos(math.radians(angle)),
                )
                if frame[0] + 4 < x < frame[2] - 4 and frame[1] + 4 < y < frame[3] - 4:
                    break
            else:
                continue
            sketch.shapes.append(Circle(x, y, 1.1, 0.9, "ink", "white"))
            sketch.labels.keep_off(x, y, 1.2)
            sketch.labels.put(x, y, (Words("nothing described here:"), Words("not checked")))
    return bool(left)


def _strip(sketch: Sketch, north: float | None, wind: float | None, legend: Sequence[LegendLine]) -> None:
    """Below the plan: north, prevailing wind, what the lines are, and a bar of feet."""
    shapes, top = sketch.shapes, STRIP - 2.0
    shapes.append(Line(((0.5, STRIP), (sketch.wide - 0.5, STRIP)), 0.5))
    x = 6.0
    if north is not None:
        arrow(shapes, x, top - 8.0, north, 5.0)
        shapes.append(Text(x, top - 16.5, "N", 8, "middle", strong=True))
    else:
        shapes.append(Text(1.5, top - 9, "north not stated", 6.5))
    x = 22.0
    if wind is not None and north is not None:
        arrow(shapes, x, top - 8.0, north + wind + 180, 5.0)
        shapes.append(Text(x, top - 16.5, "wind", 6.5, "middle"))
    for i, (text, weight, tone, dashed) in enumerate(legend):
        row, column = i % 4, i // 4
        left, y = 34.0 + 44.0 * column, top - 3.6 - 3.9 * row
        sample = ((left, y + 0.8), (left + 8, y + 0.8))
        if isinstance(dashed, tuple):
            shapes.extend(Line(tuple(piece), weight, tone) for piece in dashes(sample, *dashed))
        else:
            shapes.append(Line(sample, weight, tone, dashed))
        shapes.append(Text(left + 9.5, y, text, 6.5))
    feet = next(f for f in (200, 100, 50, 40, 20, 10, 5) if f * 0.3048 * sketch.k <= 34 or f == 5)
    length = feet * 0.3048 * sketch.k
    right = sketch.wide - 8.0
    left, y = right - length, 4.0
    for i in range(4):
        a, b = left + length * i / 4, left + length * (i + 1) / 4
        box = ((a, y), (b, y), (b, y + 1.2), (a, y + 1.2))
        shapes.append(Polygon(box, 0.5, "ink", "ink" if i % 2 == 0 else "white"))
    for i in (0, 2, 4):
        text = f"{feet * i / 4:g}" + (" ft" if i == 4 else "")
        shapes.append(Text(left + length * i / 4, y + 2.2, text, 6.5, "middle"))


def _ground(laid: Laid, sketch: Sketch, plan: Plan) -> Shape:
    """What lies under a word, so that no line runs through it: white, or the tone of the area that it stands in."""
    wide, tall = size_of((laid.words,))
    x, y = laid.x - 0.3, laid.y - 0.22 * tall
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
    wants=(EFFECTS, AUDIENCE, CYLINDERS, STANDOFFS, CONTOURS, MARKS, SIGHT_LINES, WAYS),
    reads=(ROOT,),
)
def site_drawing(ctx: Context) -> Drawing:
    plan, root = ctx[PLAN], ctx.spec(ROOT)
    if not any(s.shape for s in plan.places.values()):
        return Drawing("", "", "to_scale", (), "No place has coordinates, so there is nothing to draw.")
    largest = governing(ctx[STANDOFFS])
    circles = [
        (*middle(shape), asked.distance.si)
        for e in plan.effects
        if (asked := largest.get(("audience", e.tag)))
        for shape in e.shapes
    ]
    low, high = _extent(plan, circles, ctx[CONTOURS])
    scale = _scale(low, high)
    k = 1000 / (scale * 12)
    wide = max(NARROWEST, min(WIDE - 2 * MARGIN, (high[0] - low[0]) * k + 2 * BESIDE))
    aside = max(0.0, wide / k - (high[0] - low[0])) / 2
    sketch = Sketch((low[0] - aside, low[1]), (high[0] + aside, high[1]), scale)
    legend: list[LegendLine] = []
    _areas(sketch, plan)
    for piece in outer(circles):
        sketch.line([sketch.at(x, y) for x, y in piece], 1.5)
    draw_radii(sketch, circles)
    if circles:
        legend.append(("no public inside", 1.5, "ink", False))
    styles = {of: _RINGS[i % len(_RINGS)] for i, of in enumerate(dict.fromkeys(c.of for c in ctx[CONTOURS] if c.rings))}
    for contour in ctx[CONTOURS]:
        for ring in contour.rings:
            points = [sketch.at(x, y) for x, y in (*ring, ring[0])]
            for piece in dashes(points, *styles[contour.of]):
                sketch.line(piece, 0.7, "gray")
        if contour.rings:
            legend.append((contour.of, 0.7, "gray", styles[contour.of]))
    hoses = ctx.get(WAYS) or ()
    for _, way in hoses:
        assert isinstance(way.shape, Polyline)
        sketch.line([sketch.at(p.x.si, p.y.si) for p in way.shape.points], 1.8)
    if hoses:
        legend.append(("hose", 1.8, "ink", False))
    targets = {e.tag: e.shapes[0] for e in plan.effects if e.shapes}
    targets |= {s.tag: s.shape for s in plan.places.values() if s.shape and s.tag not in targets}
    sights = ctx[SIGHT_LINES]
    for sight in sights:
        if sight.place in targets and sight.target in targets:
            ends = ends_of(targets[sight.place], targets[sight.target])
            sketch.line([sketch.at(*ends[0]), sketch.at(*ends[1])], 0.4, "gray", dashed=True)
    if sights:
        legend.append(("sight line of a post", 0.4, "gray", True))
    titles = {e.tag: ", ".join(dict.fromkeys(t for t in (e.title, e.place) if t)) for e in ctx.get(EFFECTS) or ()}
    audience, cylinders = ctx.get(AUDIENCE) or (), ctx.get(CYLINDERS) or ()
    draw_effects(sketch, plan)
    rows = rows_of_signs(sketch, plan, ctx[MARKS])
    for one in drawn_distances(plan, audience, cylinders):
        draw_distance(sketch, one)
    for x, y, lines, away in rows:
        sketch.labels.put(x, y, lines, away + 0.6)
    name_effects(sketch, plan, titles)
    _titles(sketch, plan, {*(m.place for m in ctx[MARKS]), *(e.place for e in ctx.get(EFFECTS) or ())})
    for tag, way in hoses:
        assert isinstance(way.shape, Polyline)
        a, b = max(itertools.pairwise(way.shape.points), key=lambda ab: math.dist(_level(ab[0]), _level(ab[1])))
        sketch.labels.put(*sketch.at((a.x.si + b.x.si) / 2, (a.y.si + b.y.si) / 2), (Words(tag),), 1.2)
    radius = max((c[2] for c in circles), default=min(high[0] - low[0], high[1] - low[1]) / 3)
    open_ = _open(sketch, plan, radius)
    for x1, y1, x2, y2 in sketch.labels.leaders:
        sketch.shapes.append(Line(((x1, y1), (x2, y2)), 0.3, "gray"))
    for laid in sketch.labels.laid:
        sketch.shapes.append(_ground(laid, sketch, plan))
    for laid in sketch.labels.laid:
        sketch.shapes.append(Text(laid.x, laid.y, laid.words.text, laid.words.size, "start", strong=laid.words.strong))
    if any(s.kind == "barrier" for s in plan.places.values()):
        legend.insert(0, ("barrier", 2.4, "ink", False))
    north, wind = root.quantity_or_none("north"), root.quantity_or_none("wind_from")
    _strip(
        sketch,
        math.degrees(north.si) if north else None,
        math.degrees(wind.si) if wind else None,
        tuple(dict.fromkeys(legend)),
    )
    frame = (
        (0.25, 0.25),
        (sketch.wide - 0.25, 0.25),
        (sketch.wide - 0.25, sketch.tall - 0.25),
        (0.25, sketch.tall - 0.25),
    )
    sketch.shapes.append(Polygon(frame, 0.8))
    origin = f"From {root.text('origin')}." if root.has("origin") else ""
    notes = (
        origin,
        "" if circles else "No stand-off is known, so none is drawn.",
        signs_in_words(plan, ctx[MARKS]),
        "Open circles without a name: nothing is described there." if open_ else "",
    )
    return Drawing("", "", "to_scale", (sketch.sheet(),), " ".join(n for n in notes if n), scale=sketch.scale)
