"""A small elevation of each stand: its base and parts, what pushes it and what holds it."""

from __future__ import annotations

from specc import Context, drawn, show
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Sheet, Text
from specc.drawing.text import wrap
from specc.model.wording import several
from specc_structure.loads import LOADS, SHOW, Load, times
from specc_structure.stands import STANDS, Stand

_CELL, _HEIGHT, _FOOT = 62.0, 74.0, 20.0  # mm: of one elevation, its whole height, what is below the ground

_APART = 3.2  # mm between two names, one above the other


def _one(s: Stand, load: Load | None, left: float) -> list[Shape]:
    """One stand, drawn to its own scale in a cell."""
    middle = left + _CELL / 2
    scale = min((_HEIGHT - _FOOT - 12) / s.top.si, (_CELL - 26) / max(2 * s.rim, 0.1))
    ground = _FOOT
    half = s.rim * scale
    top = ground + s.top.si * scale
    made: list[Shape] = [
        Line(((left + 2, ground), (left + _CELL - 2, ground)), weight=0.6, tone="gray"),
        Line(((middle, ground), (middle, top)), weight=1.6),
        Line(((middle - half, ground + 0.8), (middle + half, ground + 0.8)), weight=2.2),
        Polygon(((middle - half, ground), (middle - half - 1.4, ground - 2.2), (middle - half + 1.4, ground - 2.2))),
        Polygon(((middle + half, ground), (middle + half - 1.4, ground - 2.2), (middle + half + 1.4, ground - 2.2))),
    ]
    named: list[tuple[float, list[str]]] = []
    for p in sorted(s.parts, key=lambda part: part.z.si):
        y = ground + p.z.si * scale
        made.append(Circle(middle, y, 0.9, fill="ink"))
        if named and y - named[-1][0] < _APART:
            named[-1][1].append(p.tag)
        else:
            named.append((y, [p.tag]))
    # A name within the base would lie over it, and below it over the ground and the title.
    for y, tags in named:
        low = y <= ground + 3
        made.append(Text(middle + (half + 2.5 if low else 2), ground + 1 if low else y - 0.8, several(tags), size=7))
    for b in s.ballast:
        x = middle + b.x.si * scale
        made.append(
            Polygon(((x - 2, ground + 1), (x + 2, ground + 1), (x + 2, ground + 4), (x - 2, ground + 4)), fill="shade")
        )
    for tag, guy in s.guys:
        ax, ay = guy.quantities("anchor")
        side = -1 if ax.si < 0 else 1
        end = max(left + 3, min(left + _CELL - 3, middle + side * (ax.si**2 + ay.si**2) ** 0.5 * scale))
        made.append(Line(((middle, ground + guy.quantity("height").si * scale), (end, ground)), weight=0.6))
        made.append(Text(end, ground + 2, tag, size=7, anchor="middle"))
    title = wrap(s.spec.text_or("title", s.tag), 7, _CELL - 4, True, 2)
    lines = [f"{show(s.top.si, 'length', 'ft')} high"]
    if load is not None and load.push is not None and load.weight is not None:
        y = ground + (top - ground) * 0.6
        made += [
            Line(((middle - 16, y), (middle - 3, y)), weight=1.2, tone="ink"),
            Polygon(((middle - 1.5, y), (middle - 4, y + 1.2), (middle - 4, y - 1.2)), fill="ink", tone="ink"),
            Text(middle - 4, y + 2, show(load.push.si, "force", "lbf"), size=7, anchor="end", tone="ink"),
        ]
        lines[0] += f", {show(load.weight.si, 'force', 'lbf')} on its feet"
        if load.factor is not None and load.slide is not None:
            lines.append(f"tipping {times(load.factor.si)}, sliding {times(load.slide.si)} times")
    for i, words in enumerate((*title, *lines)):
        made.append(Text(middle, ground - 6.5 - 4 * i, words, size=7, anchor="middle", strong=i < len(title)))
    return made


@drawn("structure.elevation", title="What stands, what pushes it and what holds it", needs=(STANDS, LOADS))
def elevation(ctx: Context) -> Drawing:
    loads = {one.stand.tag: one for one in ctx[LOADS] if one.when == SHOW}
    stands = ctx[STANDS]
    sheets = []
    for i in range(0, max(len(stands), 1), 3):
        row = stands[i : i + 3]
        shapes = [shape for k, s in enumerate(row) for shape in _one(s, loads.get(s.tag), k * _CELL)]
        if not row:
            shapes = [Text(10, _HEIGHT / 2, "No stand is described.", size=7.5)]
        sheets.append(Sheet(3 * _CELL, _HEIGHT, tuple(shapes)))
    note = "Each to a scale of its own; loads in the wind that stops the show, people at it where they can be."
    return Drawing("", "", "schematic", tuple(sheets), note)
