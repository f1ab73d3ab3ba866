"""A row of small fittings drawn close together as one cell: bushings, nipples, couplings, nuts between valves.

Where a network is too large for one sheet, plain valves, tubes and pipes among the fittings stand in the row too.

Each fitting has its own symbol. Its label is one line, tag and size, at the end of a thin leader. The leaders step
up from left to right, so every label has free room to its right and no leader meets another's label.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from specc.drawing.cells import LABEL_SIZE, TAG_SIZE, Cell, Node, zone_text
from specc.drawing.shapes import Line, Shape, Text
from specc.drawing.symbols import IN_ROW, SMALL, PartSymbol, symbol
from specc.drawing.text import ASCENT, text_width, wrap
from specc.drawing.tones import MM_PER_POINT

MOST = 6  # fittings in a row: the labels of six stand about as high as a cylinder
MOST_MIXED = 4  # with a valve, tube or pipe among them: about as high as a valve's own labels
TALLEST = 24.0  # of a row's labels, mm
_PITCH = 4.4  # between symbols, at least
_BETWEEN = 1.5  # of line between two symbols, at least
_WIDEST = 40.0  # where a label breaks
_TO_TEXT = 0.8  # from leader to label
_TOP = 2.4  # from the line down to the uppermost label
_LINE = LABEL_SIZE * MM_PER_POINT * 1.12
_TAG_LINE = TAG_SIZE * MM_PER_POINT * 1.12
_LEADER = 0.35  # weight


class _Label:
    """A fitting's label, set from its upper left: texts, width and height."""

    def __init__(self, node: Node) -> None:
        said = ", ".join(node.labels)
        if node.symbol == "fitting" and not said:
            said = "fitting"
        self.shapes: list[Text] = []
        self.wide = self.tall = 0.0
        tags = wrap(node.tag, TAG_SIZE, _WIDEST, True, 99)
        for tag in tags:
            base = -self.tall - ASCENT * TAG_SIZE * MM_PER_POINT
            self.shapes.append(Text(0.0, base, tag, TAG_SIZE, "start", "ink", True))
            self.tall += _TAG_LINE
            self.wide = max(self.wide, text_width(tag, TAG_SIZE, True))
        if not said:
            return
        beside = text_width(tags[-1], TAG_SIZE, True) + 1.0 if tags else 0.0
        if beside + text_width(said, LABEL_SIZE) <= _WIDEST and tags:
            self.shapes.append(Text(beside, self.shapes[-1].y, said, LABEL_SIZE, "start", "gray"))
            self.wide = max(self.wide, beside + text_width(said, LABEL_SIZE))
            return
        for line in wrap(said, LABEL_SIZE, _WIDEST):
            base = -self.tall - ASCENT * LABEL_SIZE * MM_PER_POINT
            self.shapes.append(Text(0.0, base, line, LABEL_SIZE, "start", "gray"))
            self.tall += _LINE
            self.wide = max(self.wide, text_width(line, LABEL_SIZE))


def rows_of(chain: Sequence[Node]) -> list[int]:
    """How many of the parts of a chain go into each row: no row is longer or taller than is easily read."""
    counts: list[int] = []
    tall = 0.0
    mixed = False
    for node in chain:
        high = _Label(node).tall
        mixed = mixed or node.symbol not in SMALL
        if not counts or counts[-1] >= (MOST_MIXED if mixed else MOST) or tall + high > TALLEST:
            counts.append(0)
            tall = 0.0
            mixed = node.symbol not in SMALL
        counts[-1] += 1
        tall += high
    if len(counts) > 1 and counts[-1] == 1 and counts[-2] > 2:
        # A last one by itself would look as if it stood apart.
        counts[-2:] = [counts[-2] - 1, 2]
    return counts


def can_stand_in_a_row(node: Node, mixed: bool) -> bool:
    return node.symbol in SMALL or (mixed and node.symbol in IN_ROW)


def is_row(nodes: Sequence[Node]) -> bool:
    """Whether parts that follow one another make a row: two or more, small fittings among them."""
    return len(nodes) > 1 and any(node.symbol in SMALL for node in nodes)


def _places(signs: Sequence[PartSymbol]) -> list[float]:
    """Where the symbols stand, their middle at 0."""
    places = [0.0]
    for before, behind in pairwise(signs):
        places.append(places[-1] + max(_PITCH, before.right + _BETWEEN + behind.left))
    return [x - places[-1] / 2 for x in places]


def row_cell(nodes: Sequence[Node], zone_lines: tuple[str, ...] = ()) -> Cell:
    """The cell of a row of two or more fittings; `zone_lines` tell of a zone that starts behind it."""
    signs = [symbol(node.symbol) for node in nodes]
    places = _places(signs)
    shapes: list[Shape] = []
    wires = []
    for i, (sign, x) in enumerate(zip(signs, places, strict=True)):
        shapes += sign.draw(x, 0.0)
        if i:
            wires.append((places[i - 1] + signs[i - 1].outlet[0], x + sign.inlet[0]))
    labels = [_Label(node) for node in nodes]
    right = places[-1] + signs[-1].right
    depth = _TOP
    # The last fitting's label is the uppermost.
    for label, x, sign in reversed(list(zip(labels, places, signs, strict=True))):
        texts = [t._replace(x=t.x + x + _TO_TEXT, y=t.y - depth) for t in label.shapes]
        foot = texts[0].y if texts else -depth
        shapes.append(Line(((x, -sign.down - 0.3), (x, foot)), _LEADER, "gray"))
        shapes += texts
        right = max(right, x + _TO_TEXT + label.wide)
        depth += label.tall
    for line in zone_text(zone_lines, _WIDEST):
        base = -depth - 0.6 - ASCENT * line.size * MM_PER_POINT
        shapes.append(Text(places[0] + _TO_TEXT, base, line.text, line.size, "start", line.tone))
        right = max(right, places[0] + _TO_TEXT + line.width)
        depth += line.height
    left = -places[0] + signs[0].left
    return Cell(
        left, right, max(1.6, *(sign.up for sign in signs)), depth + 0.8,
        places[0] + signs[0].inlet[0], places[-1] + signs[-1].outlet[0], tuple(shapes), (), tuple(wires),
    )  # fmt: skip
