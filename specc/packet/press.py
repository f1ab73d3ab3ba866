"""The sheet being printed: the few things the packet does to a reportlab canvas, in one place.

All text goes through `Press.text`, so that what is missing in the font is seen to once, and so that a
test can watch where letters land.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from specc.packet import fonts
from specc.packet.style import ACCENT, HAIR, PALE, Color, Paper, Style


class Press:
    """Draws on one canvas. `pages` maps an anchor to its page number, known before anything is drawn; `printed` are the
    numbers of the pages that are drawn, all of them where it is None."""

    def __init__(
        self, canvas: Any, paper: Paper, pages: Mapping[str, int], printed: frozenset[int] | None = None
    ) -> None:
        self.canvas = canvas
        self.paper = paper
        self.pages = pages
        self.printed = frozenset(pages.values()) if printed is None else printed
        self._borrowed: set[str] = set()
        self._level = -1  # of the outline's last entry

    def words(self, x: float, y: float, text: str, font: str, size: float, color: Color) -> float:
        """Draw one line of text from x on the baseline y; returns its width."""
        start = x
        for run in fonts.runs(text, font):
            fonts.face(run.font)
            self.canvas.setFillColorRGB(*color)
            self.canvas.setFont(run.font, size)
            self.canvas.drawString(x, y, run.text)
            x += fonts.run_width(run, size)
        return x - start

    def text(self, x: float, y: float, text: str, style: Style, align: str = "left") -> float:
        font = fonts.font_of(style.weight)
        if align != "left":
            wide = fonts.width(text, font, style.size)
            x -= wide if align == "right" else wide / 2
        return self.words(x, y, text, font, style.size, style.color)

    def line(self, x1: float, y1: float, x2: float, y2: float, weight: float = HAIR, color: Color = PALE) -> None:
        c = self.canvas
        c.setStrokeColorRGB(*color)
        c.setLineWidth(weight)
        c.line(x1, y1, x2, y2)

    def box(self, x: float, y: float, width: float, height: float, color: Color = ACCENT) -> None:
        """A filled rectangle; x, y is its lower left."""
        self.canvas.setFillColorRGB(*color)
        self.canvas.rect(x, y, width, height, stroke=0, fill=1)

    def mark(self, anchor: str, y: float) -> None:
        """Make this height of the page a place that links can go to."""
        self.canvas.bookmarkHorizontal(anchor, 0, y)

    def outline(self, title: str, anchor: str, level: int) -> None:
        level = min(level, self._level + 1)  # the heading above it may stand on a page that is not printed
        self._level = level
        self.canvas.addOutlineEntry(title, anchor, level=level, closed=level > 0)

    def link(self, anchor: str, x: float, y: float, width: float, height: float) -> None:
        """A rectangle to click on, without a frame. An anchor that is on no page is left out."""
        if self.pages.get(anchor) in self.printed:
            self.canvas.linkAbsolute("", anchor, (x, y, x + width, y + height), thickness=0, Border="[0 0 0]")
