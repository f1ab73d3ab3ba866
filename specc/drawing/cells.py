"""One part with its symbol and labels, drawn round the origin, and the room it takes.

Labels never leave their cell, and connectors never enter one except along its middle line, where there is no
label: so no label can lie on another or under a line, however the cells are put together.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.drawing.shapes import Anchor, Arc, Circle, Line, Polygon, RoundRect, Shape, Text, Tone
from specc.drawing.symbols import JUNCTIONS, SYMBOLS, THIN, PartSymbol, flame, symbol
from specc.drawing.text import ASCENT, DESCENT, text_width, wrap
from specc.drawing.tones import MM_PER_POINT

TAG_SIZE = 7.5
LABEL_SIZE = 6.5
# A tag is only broken when it is longer than this, for people look for it whole.
LONGEST_TAG = 42.0
_AIR = 0.9
_BAR_AIR = 1.3  # from an upright with its band to the label beside it
RAIL = 3.0  # weight of an upright that is a part's own mark, points
_LEADING = 1.12


# Where a junction's mark stands: on its own place, or on the upright where its lines part (to its right), meet (to
# its left), or both.
Side: TypeAlias = Literal["", "parts", "meets", "both"]


class Node(NamedTuple):
    """A part to draw: its tag, the name of its symbol (see SYMBOLS), small label lines, and its zone's id.

    A label line says what tells the part from its neighbors: a size, a setting, a valve's normal state.
    """

    tag: str
    symbol: str
    labels: tuple[str, ...] = ()
    zone: str = ""
    told: tuple[tuple[str, str], ...] = ()  # more of it, name and value, for a list beside the drawing
    group: int = 0  # of like branches that are drawn once; 0 where it stands for itself
    times: int = 1  # how many there are of what is drawn
    along: bool = False  # its like follow one another along a line
    charged: bool = False  # hatched: gas stays in it under pressure after a stop


class Cell(NamedTuple):
    """Room to the left, right, above and below the part's place, and the ports' distance from it."""

    left: float
    right: float
    up: float
    down: float
    inlet: float
    outlet: float
    shapes: tuple[Shape, ...]
    dot: tuple[Shape, ...] = ()  # a junction's mark, when it stands on an upright
    wires: tuple[tuple[float, float], ...] = ()  # stretches of line inside the cell, from x to x
    side: Side = ""
    # Of a part that stands upright over several lanes: what is drawn at its uppermost line and at its lowest, and the
    # room above the one and below the other.
    head: tuple[Shape, ...] = ()
    foot: tuple[Shape, ...] = ()
    over: float = 0.0
    under: float = 0.0


class _Line(NamedTuple):
    text: str
    size: float
    strong: bool
    tone: Tone = "gray"

    @property
    def height(self) -> float:
        return self.size * MM_PER_POINT * _LEADING

    @property
    def width(self) -> float:
        return text_width(self.text, self.size, self.strong)


def can_stand(name: str) -> bool:
    """Whether a part of this kind stands on the part it is joined to, if there is room."""
    return name in ("gauge", "relief_valve")


def can_carry(name: str) -> bool:
    """Whether a gauge or relief can stand on this kind of part."""
    sign = symbol(name)
    return (sign.top is not None and name != "cylinder") or sign.beside is not None


def shifted(shape: Shape, dx: float, dy: float) -> Shape:
    """The same shape elsewhere."""
    if isinstance(shape, Line):
        return shape._replace(points=tuple((x + dx, y + dy) for x, y in shape.points))
    if isinstance(shape, Polygon):
        return shape._replace(points=tuple((x + dx, y + dy) for x, y in shape.points))
    if isinstance(shape, Circle):
        return shape._replace(x=shape.x + dx, y=shape.y + dy)
    if isinstance(shape, Arc):
        return shape._replace(x=shape.x + dx, y=shape.y + dy)
    if isinstance(shape, RoundRect):
        return shape._replace(x=shape.x + dx, y=shape.y + dy)
    return shape._replace(x=shape.x + dx, y=shape.y + dy)


def _hatched(sign: PartSymbol) -> tuple[Shape, ...]:
    """Behind a part that stays charged: black lines on white, so that it reads in a gray print."""
    left, right, up, down = -sign.left, sign.right, sign.up, -sign.down
    return (Polygon(((left, down), (right, down), (right, up), (left, up)), 0.3, "ink", None, hatch=1.0),)


def make_cell(
    node: Node,
    wide: float,
    leads_on: bool,
    standing: Node | None,
    zone_lines: tuple[str, ...] = (),
    side: Side = "",
    border: bool = False,
) -> Cell:
    """A part's cell. Label lines are broken at `wide` mm; `leads_on` says that a line leaves it to the right;
    `standing` is a gauge or relief on it; `zone_lines` tell of a zone that starts here, `border` that its border is
    drawn in the cell; `side` is where a junction's mark stands."""
    sign = symbol(node.symbol)
    tag = _tag(node.tag, wide)
    labels = _labels(node.labels, wide)
    zone = zone_text(zone_lines, wide)
    body = (*_hatched(sign), *sign.draw(0.0, 0.0)) if node.charged else sign.draw(0.0, 0.0)
    movable = node.symbol in JUNCTIONS and standing is None
    if movable and side:
        return _junction_cell(sign, side, [*tag, *labels, *zone])
    cell = Cell(sign.left, sign.right, sign.up, sign.down, sign.inlet[0], sign.outlet[0], body)
    if node.symbol not in SYMBOLS and not labels:
        labels = _labels((node.symbol.replace("_", " "),), wide)
    if sign.slot == "inside":
        cell, tag, labels = _write_inside(cell, sign, tag, _labels(node.labels, sign.room[0]), labels)
        cell = _write_below(cell, [*tag, *labels, *zone])
    elif sign.slot == "right" and not leads_on:
        cell = _write_right(cell, [*tag, *labels, *zone])
    else:
        cell = _write_below(cell, [*tag, *labels, *zone])
    if border:
        x, low = sign.right + 1.1, min(1.9, sign.down + 0.5)
        mark = Line(((x, 2.0), (x, -low)), 0.6, "gray", True)
        cell = cell._replace(right=max(cell.right, x + 0.2), up=max(cell.up, 2.0), shapes=(*cell.shapes, mark))
    if standing is None:
        return cell
    if sign.beside is not None:
        return _stand_beside(cell, sign.beside, standing, wide, after=standing.zone not in ("", node.zone))
    return _stand_on(cell, sign, standing, wide)


def _junction_cell(sign: PartSymbol, side: Side, lines: list[_Line]) -> Cell:
    """The label only, close to the upright on which the mark stands; below the line, where no upright runs."""
    wide = max(_width(lines), 2.0)
    anchor: Anchor
    if side == "meets":
        left, right, x, anchor = 0.5, wide, 0.0, "start"
    else:
        left, right, x, anchor = wide, 0.5, 0.5, "end"
    down = sign.down + _AIR
    shapes = _written(lines, x, -down, anchor)
    return Cell(left, right, sign.up, down + _height(lines), 0.0, 0.0, shapes, sign.draw(0.0, 0.0), (), side)


BAR_OVER = 1.6  # from the uppermost and the lowest line of an upright part to its ends
_RING = 3.4


def bar_cell(
    node: Node, wide: float, leads_on: bool, standing: Node | None, zone_lines: tuple[str, ...] = (), side: Side = ""
) -> Cell:
    """The cell of a part that stands upright over several lanes (see make_cell); its lines end in its middle."""
    lines = [*_tag(node.tag, wide), *_labels(node.labels, wide), *zone_text(zone_lines, wide)]
    if node.symbol in JUNCTIONS:
        sign = symbol(node.symbol)
        reach, down = _width(lines) + _BAR_AIR, sign.down + _AIR
        left, right = (reach, 1.0) if side == "parts" else (1.0, reach)
        anchor: Anchor = "end" if side == "parts" else "start"
        shapes = _written(lines, -_BAR_AIR if side == "parts" else _BAR_AIR, -down, anchor)
        return Cell(left, right, sign.up, down + _height(lines), 0.0, 0.0, shapes, over=BAR_OVER, under=BAR_OVER)
    ring = node.symbol == "burner_ring"
    half = _RING if ring else 1.4
    cell = Cell(half, half, BAR_OVER, BAR_OVER, 0.0, 0.0, (), over=5.4 if ring else BAR_OVER, under=BAR_OVER)
    if ring and not leads_on:
        return _write_right(cell, lines)
    below = _write_below(cell, lines)
    cell = cell._replace(left=below.left, right=below.right, foot=below.shapes, under=below.down)
    if standing is None:
        return cell
    sign = symbol(node.symbol)._replace(top=BAR_OVER, up=BAR_OVER)
    on = _stand_on(cell._replace(left=half, right=half), sign, standing, wide)
    return cell._replace(left=max(cell.left, on.left), right=max(cell.right, on.right), head=on.shapes, over=on.up)


def bar_body(node: Node, high: float, low: float, many: bool) -> tuple[Shape, ...]:
    """The body of an upright part, from its uppermost line to its lowest as seen from its own; `many` says that more
    than one line ends on one side of the own line, so that a dot alone would leave some without a mark."""
    if node.symbol in JUNCTIONS:
        rail = (Line(((0.0, high), (0.0, low)), RAIL),) if many else ()
        return (*rail, *symbol(node.symbol).draw(0.0, 0.0))
    tall = high - low + 2 * BAR_OVER
    if node.symbol == "burner_ring":
        top = high + BAR_OVER
        flames = [flame(x, top + up, 0.8) for x, up in ((0.0, -0.1), (-2.5, -1.2), (2.5, -1.2))]
        return (RoundRect(-_RING, low - BAR_OVER, 2 * _RING, tall, _RING, 1.2, "ink", "white"), *flames)
    bar = RoundRect(-1.4, low - BAR_OVER, 2.8, tall, 1.4, 1.0, "ink", "white")
    within = ((-1.1, low - 0.4), (1.1, low - 0.4), (1.1, high + 0.4), (-1.1, high + 0.4))
    return (bar, Polygon(within, 0.3, "ink", None, hatch=1.0)) if node.charged else (bar,)


def zone_text(zone_lines: tuple[str, ...], wide: float) -> list[_Line]:
    """What is said of a zone, in ink where labels are gray."""
    return [_Line(t, LABEL_SIZE, False, "ink") for z in zone_lines for t in wrap(z, LABEL_SIZE, max(wide, 30.0))]


def _tag(tag: str, wide: float) -> list[_Line]:
    return [_Line(t, TAG_SIZE, True) for t in wrap(tag, TAG_SIZE, max(wide, LONGEST_TAG), True, 99)]


def _labels(texts: tuple[str, ...], wide: float) -> list[_Line]:
    """Up to about four lines a label; one that needs more gets a wider block, up to three times as wide."""
    lines: list[_Line] = []
    for text in texts:
        block = min(max(wide, text_width(text, LABEL_SIZE) / 3.0), 3.0 * wide, 60.0)
        lines += [_Line(t, LABEL_SIZE, False) for t in wrap(text, LABEL_SIZE, block)]
    return lines


def _written(lines: list[_Line], x: float, top: float, anchor: Anchor) -> tuple[Shape, ...]:
    """Lines of text one under another, from `top` down."""
    shapes: list[Shape] = []
    for line in lines:
        base = top - ASCENT * line.size * MM_PER_POINT
        tone: Tone = "ink" if line.strong else line.tone
        shapes.append(Text(x, base, line.text, line.size, anchor, tone, line.strong))
        top -= line.height
    return tuple(shapes)


def _height(lines: list[_Line]) -> float:
    return sum(line.height for line in lines) + (DESCENT * 0.3 if lines else 0.0)


def _width(lines: list[_Line]) -> float:
    return max((line.width for line in lines), default=0.0)


def _write_below(cell: Cell, lines: list[_Line]) -> Cell:
    if not lines:
        return cell
    half = _width(lines) / 2
    return cell._replace(
        left=max(cell.left, half),
        right=max(cell.right, half),
        down=cell.down + _AIR + _height(lines),
        shapes=cell.shapes + _written(lines, 0.0, -cell.down - _AIR, "middle"),
    )


def _write_right(cell: Cell, lines: list[_Line], middle: float | None = None, floor: float = -99.0) -> Cell:
    """Lines to the right, their middle at the body's middle, or higher so that they clear `floor`."""
    if not lines:
        return cell
    if middle is None:
        # A body that only rises from its line is labeled beside the body, not beside the line.
        middle = (cell.up + 1.0) / 2 if cell.up > 6.0 and cell.down < 1.0 else 0.0
    tall = _height(lines)
    top = max(middle + tall / 2, floor + tall)
    x = cell.right + _AIR
    return cell._replace(
        right=x + _width(lines),
        up=max(cell.up, top),
        down=max(cell.down, tall - top),
        shapes=cell.shapes + _written(lines, x, top, "start"),
    )


def _write_inside(
    cell: Cell, sign: PartSymbol, tag: list[_Line], narrow: list[_Line], labels: list[_Line]
) -> tuple[Cell, list[_Line], list[_Line]]:
    """Tag and labels into the body if they fit, or the tag alone; returns what is still to be written."""
    wide, tall, middle = sign.room
    if len(tag) != 1 or tag[0].width > wide:
        return cell, tag, labels
    # Labels broken in mid-word to fit are worse inside than whole outside.
    whole = len(narrow) <= 2 and all(line.width <= wide for line in narrow)
    inside = [*tag, *narrow] if whole and _height([*tag, *narrow]) <= tall else tag
    top = middle + _height(inside) / 2
    written = cell._replace(shapes=cell.shapes + _written(inside, 0.0, top, "middle"))
    return written, [], [] if len(inside) > 1 or not labels else labels


def _stand_on(cell: Cell, sign: PartSymbol, standing: Node, wide: float) -> Cell:
    """Put a gauge or relief on top of the part, its labels to its right."""
    top = sign.top or 0.0
    on = symbol(standing.symbol)
    lines = [*_tag(standing.tag, wide), *_labels(standing.labels, wide)]
    body = Cell(on.left, on.right, top + on.up, 0.0, 0.0, 0.0, on.draw(0.0, top))
    body = _write_right(body, lines, top + 4.1, max(top, sign.up) + _AIR)
    # The riser starts on the body, so the part is drawn over its foot.
    return cell._replace(
        left=max(cell.left, body.left),
        right=max(cell.right, body.right),
        up=max(cell.up, body.up),
        shapes=body.shapes + cell.shapes,
    )


_RISER = 2.4  # from a tee or a cross to the arm on which two stand
_ARM = 4.3  # from the riser to each


def pair_cell(node: Node, wide: float, one: Node, other: Node, zone_lines: tuple[str, ...] = ()) -> Cell:
    """A tee or a cross with two that stand on it, on an arm over it; a gauge at the left."""
    sign = symbol(node.symbol)
    lines = [*_tag(node.tag, wide), *_labels(node.labels, wide), *zone_text(zone_lines, wide)]
    cell = Cell(sign.left, sign.right, sign.up, sign.down, 0.0, 0.0, sign.draw(0.0, 0.0))
    cell = _write_below(cell, lines)
    if one.symbol == "relief_valve":
        one, other = other, one
    shapes: list[Shape] = [
        Line(((0.0, 0.0), (0.0, _RISER)), THIN),
        Line(((-_ARM, _RISER), (_ARM, _RISER)), THIN),
    ]
    up = left = right = 0.0
    for part, side in ((one, -1), (other, 1)):
        on = symbol(part.symbol)
        said = [*_tag(part.tag, wide), *_labels(part.labels, wide)]
        x, tall = side * _ARM, _height(said)
        top = max(_RISER + on.up * 0.67 + tall / 2, _RISER + 0.3 + tall)
        shapes += on.draw(x, _RISER)
        shapes += _written(said, x + side * (on.right + _AIR), top, "start" if side > 0 else "end")
        reach = _ARM + on.right + _AIR + _width(said)
        left, right = (max(left, reach), right) if side < 0 else (left, max(right, reach))
        up = max(up, _RISER + on.up, top)
    return cell._replace(
        left=max(cell.left, left), right=max(cell.right, right), up=max(cell.up, up), shapes=(*shapes, *cell.shapes)
    )


def _stand_beside(cell: Cell, beside: float, standing: Node, wide: float, after: bool) -> Cell:
    """Put a gauge or relief on the line just before the part, or just after it."""
    on = symbol(standing.symbol)
    lines = [*_tag(standing.tag, wide), *_labels(standing.labels, wide)]
    x = beside if after else -beside
    tall, floor = _height(lines), 1.8
    top = max(on.up * 0.67 + tall / 2, floor + tall)
    text_x = x + (on.right + _AIR) * (1 if after else -1)
    written = _written(lines, text_x, top, "start" if after else "end")
    reach = on.right + _AIR + _width(lines)
    return cell._replace(
        left=max(cell.left, beside + on.left if after is False else 0.0, 0.0 if after else beside + reach),
        right=max(cell.right, beside + reach if after else 0.0),
        up=max(cell.up, on.up, top),
        shapes=(*cell.shapes, *on.draw(x, 0.0), *written),
    )


FLAG_SIZE = 6.0
# Room for the longest text that a tag may say; one that needs more is told shorter (see flag).
FLAG_HALF = text_width("from sheet 999", FLAG_SIZE) / 2 + 0.3


def flag_cell(zone_lines: tuple[str, ...] = (), folded: bool = False) -> Cell:
    """Room for an off-sheet tag, whatever it will say. A folded one is a line only."""
    half = 1.0 if folded else FLAG_HALF
    cell = Cell(half, half, 2.2, 2.2 if folded else 5.4, -half, half, ())
    return _write_below(cell, zone_text(zone_lines, 2 * FLAG_HALF))


def flag(letter: str, text: str, entering: bool) -> tuple[tuple[float, float], tuple[Shape, ...]]:
    """An off-sheet tag: a pennant with the net's letter, pointing with the gas, and where it leads; and the stretch
    of line, from x to x, that joins it to the cell's edge."""
    wide = text_width(letter, TAG_SIZE, True) + 1.6
    start = FLAG_HALF - wide - 1.8 if entering else -FLAG_HALF + 3.0
    line = (start + wide + 1.8, FLAG_HALF) if entering else (-FLAG_HALF, start)
    corners = (
        (start, 1.9), (start + wide, 1.9), (start + wide + 1.8, 0.0), (start + wide, -1.9), (start, -1.9)
    )  # fmt: skip
    if text_width(text, FLAG_SIZE) > 2 * FLAG_HALF:
        text = text.replace("sheets ", "").replace("sheet ", "")
    end: Anchor = "end" if entering else "start"
    where = Text(FLAG_HALF if entering else -FLAG_HALF, -4.4, text, FLAG_SIZE, end, "gray")
    return line, (
        Polygon(corners, THIN, "ink", "white"),
        Text(start + 0.8, -0.95, letter, TAG_SIZE, "start", "ink", True),
        where,
    )
