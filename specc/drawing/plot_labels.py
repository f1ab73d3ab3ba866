"""Where the words of a plot stand: at what they name, on nothing else, with a thin leader if moved.

Three places, each of which has room for whatever comes: a column to the right of the data, where names are
pushed apart; a band above it, whose rows grow; and, for what is short, the free paper inside the plot.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from specc.drawing.plot_lines import Run
from specc.drawing.shapes import Anchor, Shape, Text, Tone
from specc.drawing.text import ASCENT, Box, text_width, wrap
from specc.drawing.tones import MM_PER_POINT

_LEADING = 1.12
_CELL = 0.5  # mm: how finely the room that lines take is known
_AIR = 0.35  # mm kept free round a label
_REACH = (1.5, 3.5, 6.0, 9.0, 12.0, 16.0)  # mm from a point to its label, nearest first

Segment = tuple[float, float, float, float]


class PlotLabel(NamedTuple):
    """A label of one or more lines."""

    lines: tuple[str, ...]
    size: float
    strong: bool = False
    tone: Tone = "ink"

    @property
    def width(self) -> float:
        return max((text_width(line, self.size, self.strong) for line in self.lines), default=0.0)

    @property
    def height(self) -> float:
        return len(self.lines) * self.size * MM_PER_POINT * _LEADING

    def at(self, x: float, bottom: float, anchor: Anchor = "start") -> list[Shape]:
        step = self.size * MM_PER_POINT * _LEADING
        first = bottom + self.height - ASCENT * self.size * MM_PER_POINT
        return [
            Text(x, first - i * step, line, self.size, anchor, self.tone, self.strong)
            for i, line in enumerate(self.lines)
        ]


def words(text: str, size: float, width: float, strong: bool = False, tone: Tone = "ink", most: int = 3) -> PlotLabel:
    return PlotLabel(wrap(text, size, width, strong, most), size, strong, tone)


def spread(wanted: Sequence[tuple[float, float]], low: float, high: float) -> list[float]:
    """Middles of labels of (middle, height), moved as little as will part them, in their order.

    They stay from `low` to `high` if there is room for all of them.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i][0])
    # A block of labels that touch: where it starts, its height, its labels, and the sum of their wishes.
    blocks: list[tuple[float, float, list[int], float]] = []
    for i in order:
        middle, tall = wanted[i]
        block = (_held(middle - tall / 2, tall, low, high), tall, [i], middle - tall / 2)
        while blocks and blocks[-1][0] + blocks[-1][1] > block[0]:
            _, under, inside, wish = blocks.pop()
            wish += block[3] - under * len(block[2])
            inside, tall = inside + block[2], under + block[1]
            block = (_held(wish / len(inside), tall, low, high), tall, inside, wish)
        blocks.append(block)
    middles = [0.0] * len(wanted)
    for bottom, _, inside, _ in blocks:
        for i in inside:
            middles[i] = bottom + wanted[i][1] / 2
            bottom += wanted[i][1]
    return middles


def _held(start: float, tall: float, low: float, high: float) -> float:
    return max(min(start, high - tall), low)


def rows_of(flags: Sequence[tuple[float, float]]) -> list[int]:
    """Rows, from the lowest, for labels of (left edge, width) that each stand on a stem at their left edge.

    A label goes above all that its width covers, so no stem runs through a label.
    """
    rows = [0] * len(flags)
    done: list[int] = []
    for i in sorted(range(len(flags)), key=lambda i: -flags[i][0]):
        left, wide = flags[i]
        rows[i] = max((rows[j] + 1 for j in done if flags[j][0] < left + wide + 1.0), default=0)
        done.append(i)
    return rows


def clash(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def crosses(s: Segment, box: Box) -> bool:
    """Whether a segment has a point in a box (Liang and Barsky's clipping)."""
    x, y, dx, dy = s[0], s[1], s[2] - s[0], s[3] - s[1]
    enter, leave = 0.0, 1.0
    for p, q in ((-dx, x - box[0]), (dx, box[2] - x), (-dy, y - box[1]), (dy, box[3] - y)):
        if p == 0:
            if q < 0:
                return False
        elif p < 0:
            enter = max(enter, q / p)
        else:
            leave = min(leave, q / p)
    return enter <= leave


def meet(a: Segment, b: Segment) -> bool:
    """Whether two segments cross."""

    def side(s: Segment, x: float, y: float) -> bool:
        return (s[2] - s[0]) * (y - s[1]) > (s[3] - s[1]) * (x - s[0])

    return side(a, b[0], b[1]) != side(a, b[2], b[3]) and side(b, a[0], a[1]) != side(b, a[2], a[3])


class Room:
    """What is free inside a plot's frame."""

    def __init__(self, frame: Box, runs: Sequence[Run], levels: Sequence[float], faint: Sequence[float]) -> None:
        """`runs` in mm of paper and `levels` (limits) may not be covered; `faint` uprights rather not."""
        self.frame, self.levels, self.faint = frame, levels, faint
        self.boxes: list[Box] = []
        self.leaders: list[Segment] = []
        self._cells: list[list[tuple[float, float]]] = [[] for _ in range(int((frame[2] - frame[0]) / _CELL) + 2)]
        for run in runs:
            for (x1, y1), (x2, y2) in pairwise(run if len(run) > 1 else [run[0], run[0]]):
                self._take(x1, y1, x2, y2)

    def _take(self, x1: float, y1: float, x2: float, y2: float) -> None:
        left = self.frame[0]
        first, last = int((x1 - left) / _CELL), int((x2 - left) / _CELL)
        slope = (y2 - y1) / (x2 - x1) if x2 > x1 else 0.0
        for i in range(first, last + 1):
            a = y1 if i == first else y1 + slope * (left + i * _CELL - x1)
            b = y2 if i == last else y1 + slope * (left + (i + 1) * _CELL - x1)
            self._cells[i].append((min(a, b), max(a, b)))

    def _free(self, box: Box, own: Box | None, faint: bool) -> bool:
        f = self.frame
        if box[0] < f[0] or box[1] < f[1] or box[2] > f[2] or box[3] > f[3]:
            return False
        if any(clash(box, other) for other in self.boxes if other is not own):
            return False
        if any(box[1] < level < box[3] for level in self.levels):
            return False
        if faint and any(box[0] < x < box[2] for x in self.faint):
            return False
        if any(crosses(leader, box) for leader in self.leaders):
            return False
        first, last = int((box[0] - f[0]) / _CELL), int((box[2] - f[0]) / _CELL)
        return not any(low < box[3] and high > box[1] for cell in self._cells[first : last + 1] for low, high in cell)

    def _clear(self, leader: Segment, own: Box | None) -> bool:
        return not any(crosses(leader, box) for box in self.boxes if box is not own) and not any(
            meet(leader, other) for other in self.leaders
        )

    def place(
        self, x: float, y: float, label: PlotLabel, own: Box | None, reach: int
    ) -> tuple[Box, Segment | None] | None:
        """A free place near (x, y) and the leader to it, taken; None if there is none.

        `own` is the box of the point itself; `reach` is how many distances to try.
        """
        wide, tall = label.width, label.height
        for faint in (True, False):
            for far in _REACH[:reach]:
                for left, bottom in _around(x, y, wide, tall, far):
                    box = (left - _AIR, bottom - _AIR, left + wide + _AIR, bottom + tall + _AIR)
                    if not self._free(box, own, faint):
                        continue
                    to = (min(max(x, left), left + wide), min(max(y, bottom), bottom + tall))
                    leader = (x, y, *to) if far > _REACH[0] else None
                    if leader and not self._clear(leader, own):
                        continue
                    self.boxes.append(box)
                    if leader:
                        self.leaders.append(leader)
                    return (left, bottom, left + wide, bottom + tall), leader
        return None


def _around(x: float, y: float, wide: float, tall: float, far: float) -> tuple[tuple[float, float], ...]:
    """Lower left corners of a label round a point: to the right first, then the left, then over and under it."""
    slant = far * 0.7
    return (
        (x + far, y - tall / 2),
        (x + slant, y + slant),
        (x + slant, y - slant - tall),
        (x - far - wide, y - tall / 2),
        (x - slant - wide, y + slant),
        (x - slant - wide, y - slant - tall),
        (x - wide / 2, y + far),
        (x - wide / 2, y - far - tall),
    )
