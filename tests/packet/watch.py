"""Renders while watching where every word and line lands, to find what is drawn outside the margins."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from specc.model.result import Result
from specc.packet import fonts, render
from specc.packet.press import Press
from specc.packet.style import PAPERS, Color


class Mark(NamedTuple):
    """Something drawn, by its box on the page."""

    left: float
    low: float
    right: float
    high: float
    what: str


def watched(result: Result, paper: str, patch: pytest.MonkeyPatch) -> tuple[bytes, list[Mark]]:
    """The packet, and all words and straight lines drawn upright on its pages."""
    marks: list[Mark] = []
    words, line = Press.words, Press.line

    def see_words(press: Press, x: float, y: float, text: str, font: str, size: float, color: Color) -> float:
        used = words(press, x, y, text, font, size, color)
        a, b = press.canvas.absolutePosition(x, y)
        k = press.canvas.absolutePosition(x + 1, y)[0] - a
        if size < 100:  # the word DRAFT lies across the page
            wide = sum(fonts.run_width(r, size) for r in fonts.runs(text, font)) * k
            marks.append(Mark(a, b - size * k * 0.22, a + wide, b + size * k * 0.72, text))
        return used

    def see_line(press: Press, x1: float, y1: float, x2: float, y2: float, *rest: object) -> None:
        line(press, x1, y1, x2, y2, *rest)  # type: ignore[arg-type]
        a, b = press.canvas.absolutePosition(x1, y1)
        c, d = press.canvas.absolutePosition(x2, y2)
        marks.append(Mark(min(a, c), min(b, d), max(a, c), max(b, d), "line"))

    patch.setattr(Press, "words", see_words)
    patch.setattr(Press, "line", see_line)
    data = render(result, paper)  # type: ignore[arg-type]
    return data, marks


def outside(marks: list[Mark], paper: str) -> list[Mark]:
    """What lies beyond the margins, by more than a tenth of a point."""
    p = PAPERS[paper]
    return [
        m
        for m in marks
        if m.left < p.left - 0.1
        or m.right > p.width - p.right + 0.6
        or m.low < p.bottom - 2.5
        or m.high > p.height - p.top + 0.1
    ]
