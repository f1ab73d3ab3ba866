"""An item that says on which page something else stands."""

from __future__ import annotations

from specc.packet.layout import PageItem
from specc.packet.press import Press
from specc.packet.style import QUIET


class Paged(PageItem):
    """An item with the page of an anchor at its right, known when it is drawn."""

    def __init__(self, item: PageItem, to: str, before: float = 2.0) -> None:
        self.item, self.to, self.before = item, to, before

    def height(self, width: float) -> float:
        return self.item.height(width - 44)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        self.item.draw(press, x, y, width - 44)
        if self.to in press.pages:
            base = y - QUIET.leading * 0.78
            press.text(x + width, base, f"page {press.pages[self.to]}", QUIET, "right")
            press.link(self.to, x + width - 40, base - 2, 40, QUIET.size)


__all__ = ["Paged"]
