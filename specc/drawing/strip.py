"""What stands under a drawing: small tables, the key to its symbols, and what is said in words.

Each is a block of shapes with its size; blocks stand side by side, in rows, as wide as they want to be.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from specc.drawing.cells import shifted
from specc.drawing.shapes import Anchor, Line, RoundRect, Shape, Text
from specc.drawing.symbols import NAMES, symbol
from specc.drawing.text import text_width, wrap

SIZE = 7.0
LINE = 3.1  # from one line of text to the next, mm
_GAP = 2.6  # between the columns of a table
_BETWEEN = 6.0  # between blocks
_ROWS = 4.0  # between rows of blocks
_TAIL = 0.8  # of letters that reach below their line
_NOTE = 34.0  # the least width of a note
_SYMBOL = 12.5  # room for a symbol in the key
_KEY = 23.5  # room for its name
_LIFT = 1.7  # the least room above a symbol's line in the key, so that names of low ones stay apart
# An upright is as tall as its lines need; in the key it is short.
_LOW = symbol("manifold")._replace(
    draw=lambda x, y: (RoundRect(x - 1.4, y - 2.0, 2.8, 4.0, 1.4, 1.0, "ink", "white"),), up=2.1, down=2.1
)


class Listing(NamedTuple):
    """A small table. `right` are the columns whose cells stand at their right edge."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    note: str = ""


class Panel(NamedTuple):
    """Shapes downward from 0, 0."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def listing(table: Listing) -> Panel:
    columns = len(table.heads)
    wide = [max(text_width(c, SIZE) for c in (table.heads[n], *(r[n] for r in table.rows))) for n in range(columns)]
    width = max(sum(wide) + _GAP * (columns - 1), text_width(table.title, SIZE, True))
    shapes: list[Shape] = _title(table.title, width)

    def line(cells: Sequence[str], y: float, gray: bool) -> None:
        x = 0.0
        for n, text in enumerate(cells):
            anchor: Anchor = "end" if n in table.right else "start"
            at = x + wide[n] if n in table.right else x
            shapes.append(Text(at, y, text, SIZE, anchor, "gray" if gray else "ink"))
            x += wide[n] + _GAP

    y = -2 * LINE
    line(table.heads, y, True)
    shapes.append(Line(((0.0, y - 1.1), (width, y - 1.1)), 0.6))
    for row in table.rows:
        y -= LINE + 0.3
        line(row, y, False)
        shapes.append(Line(((0.0, y - 1.1), (width, y - 1.1)), 0.3, "pale"))
    y -= 1.4
    for text in wrap(table.note, SIZE, max(width, _NOTE), most=9) if table.note else ():
        y -= LINE
        shapes.append(Text(0.0, y, text, SIZE, "start", "gray"))
    y -= _TAIL if table.note else 0.0
    return Panel(max(width, _NOTE) if table.note else width, -y, tuple(shapes))


def words(title: str, paragraphs: Iterable[str], width: float) -> Panel:
    shapes: list[Shape] = _title(title, width)
    y = -LINE
    for text in paragraphs:
        for line in wrap(text, SIZE, width, most=30):
            y -= LINE
            shapes.append(Text(0.0, y, line, SIZE))
        y -= 1.0
    return Panel(width, -y, tuple(shapes))


def key(names: Iterable[str], columns: int) -> Panel:
    """The symbols that a drawing uses, with their names, in `columns` columns."""
    # What is drawn with its tag inside, in its own shape: no reader asks what it is.
    used = {name for name in names if symbol(name).slot != "inside"}
    some = [(n, _LOW if n == "manifold" else symbol(n)) for n in NAMES if n in used]
    width = columns * (_SYMBOL + _KEY)
    shapes: list[Shape] = _title("Symbols", width)
    tall = [max(sign.up, _LIFT) + max(sign.down, 1.2) + 0.2 for _, sign in some]
    column, y, low = 0, 0.0, 0.0
    for (name, sign), high in zip(some, tall, strict=True):
        if column < columns - 1 and -y + high / 2 > sum(tall) / columns:
            column, y = column + 1, 0.0
        y -= max(sign.up, _LIFT) + 0.2
        at, x = y - LINE - 1.0, column * (_SYMBOL + _KEY)
        middle = x + _SYMBOL / 2 - 1.0
        for start, end in ((middle - 5.2, middle + sign.inlet[0]), (middle + sign.outlet[0], middle + 5.2)):
            shapes.append(Line(((start, at), (end, at)), 0.9))
        shapes += [*sign.draw(middle, at), Text(x + _SYMBOL, at - 0.9, NAMES[name], SIZE)]
        y -= max(sign.down, 1.2)
        low = min(low, y)
    return Panel(width, LINE + 2.0 - low, tuple(shapes))


def _title(text: str, width: float) -> list[Shape]:
    return [Line(((0.0, 0.0), (width, 0.0)), 0.75), Text(0.0, -LINE, text, SIZE, "start", "ink", True)]


def placed(blocks: Sequence[Panel], width: float) -> Panel:
    """Blocks beside one another; one for which no room is left at the right goes under the shortest that is as wide,
    else into a row of its own."""
    shapes: list[Shape] = []
    columns: list[tuple[float, float, float]] = []  # left, width, lower end
    top, x, widest = 0.0, 0.0, 0.0
    for block in blocks:
        under = [c for c in columns if c[1] >= block.width]
        left, down = x, top
        if x and x + block.width > width + 1e-6:
            if under:
                shortest = max(under, key=lambda c: c[2])
                columns.remove(shortest)
                left, down = shortest[0], shortest[2] - _ROWS
            else:
                top = min(low for _, _, low in columns) - _ROWS
                left, down, x, columns = 0.0, top, 0.0, []
        if down == top:
            x = left + block.width + _BETWEEN
        shapes += [shifted(s, left, down) for s in block.shapes]
        columns.append((left, block.width, down - block.height))
        widest = max(widest, left + block.width)
    return Panel(widest, -min((low for _, _, low in columns), default=0.0), tuple(shapes))
