"""The overview of a network that no one sheet holds: the supply as far as its lines part, and a box for each sheet.

A box says what can be found on its sheet: the zones, the tags by kind, and by which letters lines come and go.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc.drawing.cells import shifted
from specc.drawing.flow import ZoneLabel, laid_out
from specc.drawing.jumps import Holds, Jump
from specc.drawing.like import Reduced, runs, without
from specc.drawing.shapes import Line, RoundRect, Shape, Sheet, Text
from specc.drawing.strip import Panel
from specc.drawing.symbols import NAMES, PASSED, SMALL
from specc.drawing.text import wrap

_SIZE, _LINE = 7.0, 3.1
_IN, _GAP = 2.0, 4.0  # from a box's edge to its words, and between boxes
_LEAST, _MOST_COLUMNS = 56.0, 4  # mm, of a box
_GONE = SMALL | {"tee", "cross", "hose", "pipe", "tube", "plug", "cap"}  # of these a box counts, and names none
_IDLE = frozenset(("gauge", "relief_valve", "plug", "cap"))  # no gas goes on through them in service


class _SheetSize(NamedTuple):
    wide: float
    high: float


def supply(small: Reduced) -> Reduced:
    """From every source on to where its lines part, with the gauges and reliefs on the way."""
    after: dict[str, list[str]] = {}
    fed = {v for _, v in small.links}
    for u, v in small.links:
        after.setdefault(u, []).append(v)
    symbols = {n.tag: n.symbol for n in small.nodes}
    kept: set[str] = set()
    for source in (n.tag for n in small.nodes if n.tag not in fed):
        here: str | None = source
        while here is not None and here not in kept:
            kept.add(here)
            beside = [t for t in after.get(here, ()) if symbols[t] in _IDLE and t not in after]
            ways = [t for t in after.get(here, ()) if t not in beside]
            kept.update(beside)
            here = ways[0] if len(ways) == 1 else None
    links = tuple((u, v) for u, v in small.links if u in kept and v in kept)
    return Reduced(tuple(n for n in small.nodes if n.tag in kept), links, (), {})


def overview(
    small: Reduced,
    held: Sequence[Holds],
    zones: Mapping[str, ZoneLabel],
    *,
    open_zone: str,
    size: tuple[float, float],
    before: int,
    beside: Sequence[Panel],
) -> tuple[Sheet, ...]:
    """Sheets of a size, with the tables that stand `beside` a network; `before` is their number, as the tags of the
    sheets that follow count them."""
    page = _SheetSize(*size)
    top = _supply(small, zones, open_zone, page)
    boxes = [_box(n, h, zones, _wide(len(held), page)) for n, h in enumerate(held, before + 1)]
    return _on_sheets(top, [*boxes, *beside], page)


def _supply(small: Reduced, zones: Mapping[str, ZoneLabel], open_zone: str, page: _SheetSize) -> Sheet | None:
    """The supply drawn, without what gas only passes through where there is no room for that."""
    main = supply(small)
    for some in (main, without(main, PASSED)):
        drawn = laid_out(
            some.nodes, some.links, zones, open_zone=open_zone, width=page.wide, height=page.high * 0.5, whole=True
        ).drawing
        if len(drawn.sheets) == 1 and drawn.sheets[0].width <= page.wide + 1e-6:
            return drawn.sheets[0]
    return None


def _wide(count: int, page: _SheetSize) -> float:
    columns = max(1, min(_MOST_COLUMNS, count, int((page.wide + _GAP) // (_LEAST + _GAP))))
    return (page.wide - _GAP * (columns - 1)) / columns


def _box(number: int, held: Holds, zones: Mapping[str, ZoneLabel], wide: float) -> Panel:
    """One sheet: its number, its zones, its tags by kind, and the letters by which lines come and go."""
    said: list[tuple[str, bool]] = [(f"Sheet {number}", True)]
    seen = [zones.get(z, ZoneLabel(z)) for z in dict.fromkeys(n.zone for n in held.nodes if n.zone)]
    if seen:
        said.append((f"zone{'s' if len(seen) > 1 else ''} {', '.join(map(_zone, seen))}", False))
    kinds: dict[str, list[str]] = {}
    for node in held.nodes:
        if node.symbol not in _GONE:
            kinds.setdefault(node.symbol, []).append(node.tag)
    for kind, name in ((k, NAMES.get(k, k.replace("_", " "))) for k in sorted(kinds, key=_rank)):
        said.append((f"{name}: {runs(kinds[kind])}", False))
    said += [(way, True) for way in _ways(held.jumps)]
    lines = [(line, strong) for text, strong in said for line in wrap(text, _SIZE, wide - 2 * _IN, strong, 99)]
    high = _LINE * len(lines) + 2 * _IN
    shapes: list[Shape] = [RoundRect(0.0, -high, wide, high, 0.0, 0.8, "ink", "white")]
    y = -_IN + 0.7
    for text, strong in lines:
        y -= _LINE
        shapes.append(Text(_IN, y, text, _SIZE, "start", "ink", strong))
    return Panel(wide, high, tuple(shapes))


def _rank(kind: str) -> int:
    return list(NAMES).index(kind) if kind in NAMES else len(NAMES)


def _zone(label: ZoneLabel) -> str:
    """Its letter, where a table tells the rest."""
    return label.mark or f"{label.name} {label.pressure}".strip()


def _ways(jumps: Sequence[Jump]) -> list[str]:
    """Those that come first, and those of one way together: "A, B from sheet 2"."""
    by_way: dict[str, list[str]] = {}
    for jump in sorted(jumps, key=lambda j: not j.entering):
        by_way.setdefault(jump.said, []).append(jump.letter)
    return [f"{', '.join(letters)} {said}" for said, letters in by_way.items()]


def _on_sheets(top: Sheet | None, boxes: Sequence[Panel], page: _SheetSize) -> tuple[Sheet, ...]:
    """The supply over the boxes, which stand in rows and go on to the next sheet."""
    sheets: list[list[Shape]] = [[]]
    x, y, low = 0.0, 0.0, 0.0
    if top is not None:
        sheets[0] += [shifted(s, 0.0, -top.height) for s in top.shapes]
        y = low = -top.height - _GAP
        said = "What follows the supply, a box for each sheet. A line goes on at the same letter."
        sheets[0] += [Line(((0.0, y), (page.wide, y)), 0.75), Text(0.0, y - _LINE, said, _SIZE, "start", "gray")]
        y = low = y - _LINE - _GAP
    for box in boxes:
        if x and x + box.width > page.wide + 1e-6:
            x, y = 0.0, low - _GAP
        if y - box.height < -page.high and y < 0.0:
            sheets.append([])
            x, y, low = 0.0, 0.0, 0.0
        sheets[-1] += [shifted(s, x, y) for s in box.shapes]
        low = min(low, y - box.height)
        x += box.width + _GAP
    return tuple(_closed(shapes, page.wide) for shapes in sheets)


def _closed(shapes: Sequence[Shape], wide: float) -> Sheet:
    low = min(s.y if isinstance(s, RoundRect | Text) else 0.0 for s in shapes) - 1.0
    return Sheet(wide, -low, tuple(shifted(s, 0.0, -low) for s in shapes))
