"""Columns of a table that has less room than it wants: width goes from where it is idle to where it saves lines.

Rows are as high as their deepest cell, so a column is worth its width only in the rows that it alone makes deep. Lines
are counted from the widths of words, which are measured once.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc.packet import marks
from specc.packet.text import Spans, wide

STEPS = (64.0, 32.0, 16.0, 8.0)  # points that one column hands to another
MOST_ROWS = 60  # a longer table's lines are not weighed one by one


class _Column:
    """The words of a column's cells, and how deep each row is at a width."""

    def __init__(self, cells: Sequence[Spans]) -> None:
        self.words = [_words(cell) for cell in cells]
        self._at: dict[float, list[int]] = {}

    def deep(self, width: float) -> list[int]:
        found = self._at.get(width)
        if found is None:
            found = self._at[width] = [_lines(words, width) for words in self.words]
        return found


def _words(cell: Spans) -> list[tuple[float, float]]:
    """The width of each word, and of the space before it."""
    made: list[tuple[float, float]] = []
    joined = False  # a word may run over several spans
    for span in cell:
        gap = wide(" ", span.style)
        if span.mark:
            made.append((marks.wide(span.style.size), 0.0 if not made else gap))
            joined = True
        parts = span.text.split(" ")
        for n, part in enumerate(parts):
            if n == 0 and joined and part and made:
                made[-1] = (made[-1][0] + wide(part, span.style), made[-1][1])
            elif part:
                made.append((wide(part, span.style), gap if made else 0.0))
        joined = bool(parts[-1]) if span.text else joined
    return made


def _lines(words: Sequence[tuple[float, float]], width: float) -> int:
    count, x = 1, 0.0
    for word, gap in words:
        if not x or x + gap + word <= width:
            x += (gap if x else 0.0) + word
        else:
            count += 1
            x = word
        while x > width + 0.01:  # a word that is broken
            count += 1
            x -= width
    return count


def leveled(columns: Sequence[Sequence[Spans]], widths: Sequence[float], least: Sequence[float]) -> list[float]:
    """The widths, moved between columns while that takes lines off the table; no column gets below its least."""
    if not columns or len(columns[0]) > MOST_ROWS:
        return list(widths)
    made = [_Column(cells) for cells in columns]
    now = list(widths)
    open_ = range(len(now))

    def tall(some: Sequence[float]) -> int:
        deep = [column.deep(w) for column, w in zip(made, some, strict=True)]
        return sum(map(max, zip(*deep, strict=True)))

    best = tall(now)
    if best == len(columns[0]):
        return now
    for step in STEPS:
        moved = True
        while moved:
            moved = False
            for give in open_:
                if now[give] - step < least[give]:
                    continue
                for take in open_:
                    if give == take or now[give] - step < least[give]:
                        continue
                    tried = list(now)
                    tried[give] -= step
                    tried[take] += step
                    if (lines := tall(tried)) < best:
                        now, best, moved = tried, lines, True
    return now
