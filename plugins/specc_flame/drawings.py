"""Each effect from the side, to scale with a person beside it; and how heat falls with distance, as a plot."""

from __future__ import annotations

import math
from typing import NamedTuple

from specc import Context, drawn, show
from specc.drawing.shapes import HALF_HIGH, HALF_WIDE, Circle, Drawing, Line, Polygon, Ring, Shape, Sheet, Text
from specc.drawing.text import text_width, wrap
from specc.kinds.gas import NET_HEAT
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.weather import WIND
from specc.measure.printing import to_unit
from specc.model.wording import in_runs
from specc_flame.calc import field
from specc_flame.contours import flame_sources
from specc_flame.keys import BALL, BALL_SIZE, EXPECTED, HEAT, LENGTH, OUTLETS, TIP, TOP, WIDTH
from specc_flame.targets import AUDIENCE_FLUX, URGENT_FLUX

_WIDE, _HIGH, _FOOT, _HEAD = 90.0, 92.0, 22.0, 8.0  # mm: a cell, what is under its ground, and over its highest flame
_ROOM = 28.0  # mm to the left of the outlet: the ruler and the person
PERSON = 1.75  # m
_STOUT = 0.1  # of a person's height: half of their width
_FEET = 0.3048
_STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)  # ft between marks of the ruler


class Side(NamedTuple):
    """What one effect looks like from the side, in m: its tallest outlet."""

    z: float
    mean: float
    tip: float
    width: float
    ball: float
    top: float
    lean: float | None


def sides(ctx: Context) -> tuple[dict[Side, list[str]], list[str]]:
    """Effects that look alike under one, in their order; and those of which a height or flame is not known."""
    made: dict[Side, list[str]] = {}
    lost = []
    for effect in ctx[EFFECTS]:
        known = [t for t in effect.outlets if t in ctx[TOP]]
        if not known:
            lost.append(effect.tag)
            continue
        tag = max(known, key=lambda t: ctx[TOP][t].si)
        point = ctx[OUTLETS][tag].point
        assert point is not None
        assert point.z is not None
        ball, lean = ctx[BALL_SIZE].get(tag), (ctx.get(EXPECTED) or {}).get(tag)
        one = Side(
            _rounded(point.z.si),
            _rounded(ctx[LENGTH][tag].si),
            _rounded(ctx[TIP][tag].si),
            _rounded(ctx[WIDTH][tag].si),
            _rounded(ball.si) if ball else 0.0,
            _rounded(ctx[TOP][tag].si),
            _rounded(lean.si) if lean else None,
        )
        made.setdefault(one, []).append(effect.tag)
    return made, lost


def _rounded(si: float) -> float:
    """To three digits: what differs by less looks alike."""
    return float(f"{si:.3g}")


def _flame(x: float, y: float, length: float, width: float, level: bool = False) -> Ring:
    """A flame's outline from its outlet: widest at two thirds, to a point."""
    points = []
    for k in range(25):
        share = k / 24
        half = width / 2 * math.sin(math.pi * share**0.8) ** 0.8 if 0 < share < 1 else 0.0
        points.append((share * length, half))
    outline = [*points, *((a, -b) for a, b in reversed(points[1:-1]))]
    return tuple((x + a, y + b) if level else (x + b, y + a) for a, b in outline)


def _person(x: float, ground: float, scale: float) -> list[Shape]:
    tall = PERSON * scale
    head = tall * 0.07
    shoulder, hip, half = ground + tall * 0.82, ground + tall * 0.48, tall * _STOUT
    body = ((x - half, shoulder), (x + half, shoulder), (x + half * 0.7, hip), (x + half * 0.7, ground))
    other = ((x - half * 0.7, ground), (x - half * 0.7, hip))
    return [Polygon((*body, *other), 0, "gray", "gray"), Circle(x, ground + tall - head, head, 0, "gray", "gray")]


def _cell(side: Side, tags: list[str], left: float) -> list[Shape]:
    ground, middle = _FOOT, left + _ROOM
    tallest = max(side.top, side.z + side.tip, PERSON)
    reach = max(side.tip, 1.25 * side.ball / 2, side.width / 2)
    scale = min((_HIGH - _FOOT - _HEAD) / tallest, (_WIDE - _ROOM - 6) / reach)

    def up(height: float) -> float:
        return ground + height * scale

    # The person stands clear of the ruler and the riser, however large or small the scale.
    person = max(left + 11 + _STOUT * PERSON * scale, middle - max(6.0, (0.5 + side.width / 2) * scale))
    made: list[Shape] = [
        Line(((left + 2, ground), (left + _WIDE - 3, ground)), 0.6, "gray"),
        *_person(person, ground, scale),
        Line(((middle, ground), (middle, up(side.z))), 1.4),
        Polygon(_flame(middle, up(side.z), side.tip * scale, side.width * scale, True), 0.5, "gray", dashed=True),
        Polygon(_flame(middle, up(side.z), side.tip * scale, side.width * scale * 1.2), 0.6, dashed=True),
        Polygon(_flame(middle, up(side.z), side.mean * scale, side.width * scale), 0.8, fill="haze"),
    ]
    if side.ball > 0:
        made.append(Circle(middle, up(side.z + 0.75 * side.ball), side.ball / 2 * scale, 0.5, "gray", dashed=True))
    step = next((s for s in _STEPS if s * _FEET * scale >= 7), _STEPS[-1]) * _FEET
    made.append(Line(((left + 4, ground), (left + 4, up(tallest))), 0.4, "gray"))
    for k in range(int(tallest / step + 1e-9) + 1):
        made.append(Line(((left + 3, up(k * step)), (left + 5, up(k * step))), 0.4, "gray"))
        words = f"{k * step / _FEET:g}" + (" ft" if k == 0 else "")
        # Zero stands on the ground, not across its line.
        made.append(Text(left + 5.6, up(k * step) + (0.6 if k == 0 else -0.9), words, 7, tone="gray"))
    beside = middle + max(side.width * scale * 0.6, 1.0) + 1.5
    high = sorted(((up(side.z + side.tip), "tip"), (up(side.z + side.mean), "mean")))
    apart = max(high[1][0], high[0][0] + 3.2)
    for y, words, height in (
        (high[0][0], "mean", side.z + side.mean),
        (apart, "visible tip", side.z + side.tip),
    ):
        made.append(Text(beside, y - 0.9, f"{words} {_ft(height)}", 7))
    # Under the end of the flame, and clear of the riser where the flame is shorter than its words.
    flat = f"laid flat {_ft(side.tip)}"
    end = middle + max(side.tip * scale, text_width(flat, 7) + 1.2)
    made.append(Text(end, up(side.z) - side.width * scale / 2 - 3.2, flat, 7, "end"))
    named = wrap(", ".join(in_runs(tags)), 7.5, _WIDE - 6, True, 2)
    lines = [f"outlet {_ft(side.z)}, top of flame {_ft(side.top)} above the ground"]
    if side.lean is not None:
        lines.append(f"expected to reach out {_ft(side.lean)} in the stop wind")
    if side.ball > 0:
        lines.append(f"ball of its gas {_ft(side.ball)} across, beside it")
    for i, words in enumerate((*named, *lines)):
        made.append(Text(left + 3, ground - 5.5 - 4 * i, words, 7.5, strong=i < len(named)))
    return made


def _ft(si: float) -> str:
    return show(si, "length", "ft")


@drawn(
    "flame.elevation",
    title="Flames from the side",
    needs=(EFFECTS, OUTLETS, LENGTH, TIP, WIDTH, TOP, BALL_SIZE),
    wants=(EXPECTED,),
)
def elevation(ctx: Context) -> Drawing:
    made, lost = sides(ctx)
    listed = list(made.items())
    sheets = []
    for i in range(0, max(len(listed), 1), 2):
        shapes = [shape for k, (side, tags) in enumerate(listed[i : i + 2]) for shape in _cell(side, tags, k * _WIDE)]
        if not listed:
            shapes = [Text(10, _HIGH / 2, "No effect's flame and height are both known.", 7.5)]
        sheets.append(Sheet(min(max(len(listed), 1), 2) * _WIDE, _HIGH, tuple(shapes)))
    note = (
        "Each to a scale of its own. Filled: mean flame in still air; dashed: where its tip is seen, upright and laid "
        f"flat, in any direction. The person, {_ft(PERSON)} tall, is there for scale; nobody stands there."
    )
    if lost:
        note += f" Not drawn, since height or flame is not known: {', '.join(lost)}."
    return Drawing("", "", "schematic", tuple(sheets), note)


_HOTTEST, _LEAST = 10e3, 0.2e3  # W/m2: what the plot shows
_MOST = 4  # lines


@drawn(
    "flame.heat_by_distance",
    title="Heat of each flame alone, by distance",
    needs=(OUTLETS, NETWORK, HEAT, LENGTH, BALL, WIND, EFFECTS),
    wants=(NET_HEAT,),
    limits=("flame.audience_flux", "flame.urgent_flux"),
)
def heat_by_distance(ctx: Context) -> Drawing:
    """Level with the outlet: its height gets no credit, as in the distances of the public."""
    from specc.drawing.plot import PlotLimit, PlotLine, SecondScale, plot

    audience, urgent = ctx.limit(AUDIENCE_FLUX.key), ctx.limit(URGENT_FLUX.key)
    alike: dict[tuple[float, ...], list[str]] = {}
    kept: dict[tuple[float, ...], field.FlameSource] = {}
    for source in flame_sources(ctx):
        key = tuple(map(_rounded, (source.heat, source.length, source.offset, source.ball)))
        alike.setdefault(key, []).append(source.tag)
        kept.setdefault(key, source)
    if not kept:
        return Drawing("", "", "schematic", (Sheet(60, 10, (Text(2, 4, "No flame has a place.", 7.5),)),))
    far = {key: field.stand_off(s, _LEAST, s.z) for key, s in kept.items()}
    listed = sorted(kept, key=lambda key: -far[key])[:_MOST]
    lines = []
    for key in listed:
        source, points = kept[key], []
        for k in range(161):
            apart = far[key] * k / 160
            q = field.flux(source, apart, source.z)
            if q <= _HOTTEST:
                points.append((apart / _FEET, q / 1e3))
        named = in_runs(alike[key])
        lines.append(PlotLine(", ".join(named[:3]) + (" ..." if len(named) > 3 else ""), points))
    more = len(kept) - len(listed)
    note = (
        "Each flame leans at whoever stands there, in any wind; a burst also burns as a ball. Times 1.25 for the "
        "model's bias, measured to 2 m only. Several flames add up."
    )
    return plot(
        "flame.heat_by_distance",
        "Heat of each flame alone, by distance",
        lines,
        "distance on the level from the outlet, ft",
        "kW/m²",
        [
            PlotLimit(audience.si / 1e3, f"the public {audience.text}"),
            PlotLimit(urgent.si / 1e3, f"to close a valve {urgent.text}"),
        ],
        x_holds=(0.0,),
        second=SecondScale("BTU/(h·ft²)", to_unit(1e3, "BTU/(h·ft²)")),
        width=HALF_WIDE,
        height=HALF_HIGH,
        note=note + (f" {more} smaller ones are not drawn." if more else ""),
    )
