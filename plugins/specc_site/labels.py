"""Labels on a plan: each beside its thing and nearer to it than to any other, where it hits the least.

All in millimeters of paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from specc.drawing.text import text_width, wrap
from specc.drawing.tones import MM_PER_POINT

Box = tuple[float, float, float, float]
LEADING = 1.22
WIDEST, MOST = 60.0, 4  # mm, and lines, of one line of a label
FAR = 3.0  # mm: a label that lies farther from its thing has a thin line to it
SIGN_WIDE = 3.4  # mm: room for a sign before the words of a line
# What a label costs that lies nearer to another thing than to its own: more than long ways and lines under it.
NEARER = 60.0
ON_LENGTH = 55.0  # that lies on the length of a distance that decides: nearly as much
LINE = 1.3  # what a mm of a line that decides costs under a label
TOWARD = 3.0  # and a mm that a label of gas lies nearer to a flame than the gas


# Ways off a thing in the order in which they are tried: beside, above and below, aslant, and between those; last
# beside, above and below with most of the label to one side. Third and fourth: what share of the label lies left
# of, and below, the spot that it is put at.
_WAYS = ((1, 0, 0, 0.5), (-1, 0, 1, 0.5), (0, 1, 0.5, 0), (0, -1, 0.5, 1),
         (1, 1, 0, 0), (-1, 1, 1, 0), (1, -1, 0, 1), (-1, -1, 1, 1),
         (1, 0.5, 0, 0), (-1, 0.5, 1, 0), (1, -0.5, 0, 1), (-1, -0.5, 1, 1),
         (0.5, 1, 0, 0), (-0.5, 1, 1, 0), (0.5, -1, 0, 1), (-0.5, -1, 1, 1),
         (1, 0, 0, 0.25), (1, 0, 0, 0.75), (-1, 0, 1, 0.25), (-1, 0, 1, 0.75),
         (0, 1, 0.8, 0), (0, 1, 0.2, 0), (0, -1, 0.8, 1), (0, -1, 0.2, 1))  # fmt: skip


class Words(NamedTuple):
    """One line of a label."""

    text: str
    size: float = 7.5
    strong: bool = False
    sign: str = ""  # of what the line names, drawn before it


class Laid(NamedTuple):
    """A line of a label where it goes: an end of its baseline, the left one or, of a label left of its thing, the right
    one. Fonts differ in width, so the end beside the thing is the one that is fixed."""

    x: float
    y: float
    words: Words
    right: bool = False


def size_of(lines: Sequence[Words]) -> tuple[float, float]:
    wide = max(text_width(w.text, w.size, w.strong) + (SIGN_WIDE if w.sign else 0.0) for w in lines)
    return wide, sum(w.size * MM_PER_POINT * LEADING for w in lines)


def folded(lines: Sequence[Words]) -> list[Words]:
    """The lines of a label, broken where they are wider than a plan has room beside a thing."""
    return [
        w._replace(text=part, sign="" if i else w.sign)
        for w in lines
        for i, part in enumerate(wrap(w.text, w.size, WIDEST, w.strong, MOST))
    ]


def apart(box: Box, spot: tuple[float, float]) -> float:
    """How far a spot is from a box."""
    return math.hypot(max(box[0] - spot[0], 0.0, spot[0] - box[2]), max(box[1] - spot[1], 0.0, spot[1] - box[3]))


def overlap(one: Box, other: Box) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    tall = min(one[3], other[3]) - max(one[1], other[1])
    return wide * tall if wide > 0 and tall > 0 else 0.0


def _run_over(box: Box, line: tuple[float, float, float, float]) -> float:
    """How much of a straight piece runs through a box, in mm (by the sixteenth)."""
    x1, y1, x2, y2 = line
    left, low, right, high = box
    if (x1 < left and x2 < left) or (x1 > right and x2 > right) or (y1 < low and y2 < low) or (y1 > high and y2 > high):
        return 0.0
    length = math.hypot(x2 - x1, y2 - y1)
    steps = max(4, min(64, int(length)))
    hits = 0
    for i in range(steps + 1):
        x, y = x1 + (x2 - x1) * i / steps, y1 + (y2 - y1) * i / steps
        hits += box[0] <= x <= box[2] and box[1] <= y <= box[3]
    return length * hits / (steps + 1)


def _passing(box: Box, lines: Sequence[tuple[float, float, float, float]]) -> list[tuple[float, float, float, float]]:
    """The lines that may run through a box: nearly all lie to one side of it, which is told at once."""
    left, low, right, high = box
    return [
        s
        for s in lines
        if not (
            (s[0] < left and s[2] < left)
            or (s[0] > right and s[2] > right)
            or (s[1] < low and s[3] < low)
            or (s[1] > high and s[3] > high)
        )
    ]


class LaidLabel(NamedTuple):
    """A label: its box, the spot of its thing that it is put by, and all spots of that thing."""

    box: Box
    spot: tuple[float, float]
    spots: tuple[tuple[float, float], ...]
    words: tuple[Words, ...]


class Labels:
    """Where labels are and what they should not hit: boxes (marks, other labels) and heavy lines."""

    def __init__(self, frame: Box) -> None:
        self.frame = frame
        self.boxes: list[Box] = []
        self.lengths: list[Box] = []  # of the distances that decide: no name is worth lying on one
        self.lines: list[tuple[float, float, float, float]] = []
        self.thin: list[tuple[float, float, float, float]] = []  # may lie under a word, where nothing else is free
        self.laid: list[Laid] = []
        self.leaders: list[tuple[float, float, float, float]] = []
        self.things: list[tuple[float, float]] = []  # the middles of what has a name, and is no line or large area
        self.placed: list[LaidLabel] = []
        self.flames: list[
            tuple[float, float]
        ] = []  # that labels lie no nearer to than their things; while gas is named

    def keep_off(self, x: float, y: float, half: float) -> None:
        self.boxes.append((x - half, y - half, x + half, y + half))

    def put(self, x: float, y: float, lines: Sequence[Words], away: float = 2.0) -> Box:
        """Lays a label beside a spot; away from it by this much or more where it is crowded."""
        return self.put_by([(x, y)], lines, away)

    def put_by(self, spots: Sequence[tuple[float, float]], lines: Sequence[Words], away: float = 2.0) -> Box:
        """Lays a label beside one of some spots of a thing, whichever is the freest: the first of equal ones."""
        lines = folded(lines)
        others = [t for t in self.things if all(math.dist(t, s) > 0.1 for s in spots)]
        cost, box, (x, y) = math.inf, (0.0, 0.0, 0.0, 0.0), spots[0]
        for spot in spots:
            if (best := self._best(*spot, lines, away, others, cost)) is not None:
                (cost, box), (x, y) = best, spot
        near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        right = box[2] <= x
        if math.dist(near, (x, y)) > FAR:
            if not right:  # short of where a narrow font ends
                near = (min(near[0], box[0] + 0.7 * (box[2] - box[0])), near[1])
            # To the thing itself, whose sign is drawn over its end.
            self.leaders.append((x, y, *near))
            self.lines.append(self.leaders[-1])
        self.placed.append(LaidLabel(box, (x, y), tuple(spots), tuple(lines)))
        return self.take(box, lines, right)

    def _best(
        self,
        x: float,
        y: float,
        lines: Sequence[Words],
        away: float,
        others: Sequence[tuple[float, float]],
        under: float,
    ) -> tuple[float, Box] | None:
        """What it costs to lay a label beside a spot, at the best place for it, and that place; None where none costs
        less than another spot does."""
        wide, tall = size_of(lines)
        best: tuple[float, Box] | None = None
        reach = 2 * (away + 28) + math.hypot(wide, tall)  # nothing farther off is ever the nearer one
        others = [t for t in others if abs(t[0] - x) < reach and abs(t[1] - y) < reach]
        near = self._within_reach(
            (x - wide - away - 28, y - tall - away - 28, x + wide + away + 28, y + tall + away + 28)
        )
        flame = min((math.dist(f, (x, y)) for f in self.flames), default=0.0)
        for ring, off in enumerate((away, away + 3, away + 6, away + 10, away + 15, away + 21, away + 28)):
            for turn, (dx, dy, left_of, below) in enumerate(_WAYS):
                way = ring * 2.5 + turn * 0.1
                if way >= under:
                    continue  # however free it is there, it is no better
                left = x + off * dx - wide * left_of
                low = y + off * dy - tall * below
                box = (left, low, left + wide, low + tall)
                # What is told at once first: most places are given up before every line is asked.
                cost = near.crowd(box, under - way) + way
                if cost >= under:
                    continue
                cost += self._nearer(box, apart(box, (x, y)), others)
                cost += TOWARD * max((0.0, *(flame - apart(box, f) for f in self.flames)))
                if cost >= under:
                    continue
                cost = near.cost(box, cost + near._leader_cost(box, x, y), under)
                if cost < under:
                    under, best = cost, (cost, box)
        return best

    def _within_reach(self, box: Box) -> Labels:
        """The same with only what lies in a box."""
        left, low, right, high = box
        near = Labels(self.frame)
        near.boxes = [b for b in self.boxes if b[0] < right and b[2] > left and b[1] < high and b[3] > low]
        near.lengths = self.lengths
        near.lines, near.thin = _passing(box, self.lines), _passing(box, self.thin)
        return near

    @staticmethod
    def _nearer(box: Box, own: float, others: Sequence[tuple[float, float]]) -> float:
        """What it costs that another thing is nearer to a label than its own: who reads it would take it for that."""
        left, low, right, high = box
        least = (own + 0.1) ** 2
        nearer = False
        for x, y in others:
            dx = left - x if x < left else x - right if x > right else 0.0
            dy = low - y if y < low else y - high if y > high else 0.0
            if (far := dx * dx + dy * dy) <= least:
                least, nearer = far, True
        return NEARER + 2 * (own - math.sqrt(least)) if nearer else 0.0

    def _leader_cost(self, box: Box, x: float, y: float) -> float:
        """What the thin line from a far label runs over: other labels, and other things' marks."""
        near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        if math.dist(near, (x, y)) <= FAR:
            return 0.0
        line = (x, y, *near)
        away = [b for b in self.boxes if not (b[0] <= x <= b[2] and b[1] <= y <= b[3])]
        return 2.0 + 0.2 * math.dist(near, (x, y)) + sum(2 * _run_over(b, line) for b in away)

    def within(self, spots: Sequence[tuple[float, float]], lines: Sequence[Words]) -> Box:
        """Lays a label centered on the best of some spots."""
        lines = folded(lines)
        wide, tall = size_of(lines)
        boxes = [(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2) for x, y in spots]
        return self.take(min(boxes, key=self.cost), lines)

    def crowd(self, box: Box, under: float = math.inf) -> float:
        """What it costs to lie outside the frame, and on marks and other labels: no more of it than `under`, as a place
        that costs that much is given up."""
        f = self.frame
        out = max(0.0, f[0] - box[0]) + max(0.0, box[2] - f[2]) + max(0.0, f[1] - box[1]) + max(0.0, box[3] - f[3])
        total = out * 200
        left, low, right, high = box[0] - 0.4, box[1] - 0.3, box[2] + 0.4, box[3] + 0.3
        for x1, y1, x2, y2 in self.boxes if total < under else ():
            if x1 < right and x2 > left and y1 < high and y2 > low:
                total += 8 * overlap((left, low, right, high), (x1, y1, x2, y2))
                if total >= under:
                    break
        # A name just beside a length is all right; on it, neither can be read.
        return total + sum(ON_LENGTH for one in self.lengths if total < under and overlap(box, one) > 0)

    def cost(self, box: Box, crowd: float | None = None, under: float = math.inf) -> float:
        """What it costs in all, no more of it than `under`; `crowd`: what is known of it without the lines."""
        total = self.crowd(box, under) if crowd is None else crowd
        for lines, each in ((self.lines, LINE), (self.thin, 0.25)):
            for line in _passing(box, lines) if total < under else ():
                total += each * _run_over(box, line)
                if total >= under:
                    break
        return total

    def take(self, box: Box, lines: Sequence[Words], right: bool = False) -> Box:
        self.boxes.append(box)
        y = box[3]
        for w in lines:
            tall = w.size * MM_PER_POINT
            y -= tall * LEADING
            self.laid.append(Laid(box[2 if right else 0], y + 0.24 * tall, w, right))
        return box
