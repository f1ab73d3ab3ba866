"""The contents, at the head of the appendix: the front is short enough to be leafed through."""

from __future__ import annotations

from collections.abc import Sequence

from specc.packet.layout import PageItem, Snaking
from specc.packet.press import Press
from specc.packet.style import FINE, FINE_STRONG, GRAY, HEADING, SUBHEADING
from specc.packet.text import Paragraph

PAGE_NUMBER = 18.0  # points for it, and what parts it from the title


class Entry(PageItem):
    """A line of the contents: number, title, page. Its page number is known when it is drawn."""

    def __init__(self, number: str, title: str, to: str, level: int) -> None:
        self.number, self.title, self.to, self.level = number, title, to, level
        self.style = FINE_STRONG if level == 0 else FINE
        self.before = 1.0 if level == 0 else 0.0

    def _title(self) -> Paragraph:
        return Paragraph(self.title, self.style)

    def _indent(self) -> float:
        return 20.0 if self.level == 0 else 42.0

    def _room(self, width: float) -> float:
        return width - self._indent() - PAGE_NUMBER

    def height(self, width: float) -> float:
        return self._title().height(self._room(width))

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        indent = self._indent()
        base = y - self.style.leading * 0.78
        press.text(x + indent - (20 if self.level == 0 else 22), base, self.number, self.style._replace(color=GRAY))
        self._title().draw(press, x + indent, y, self._room(width))
        press.text(x + width, base, str(press.pages.get(self.to, "")), self.style, "right")
        high = self.height(width)
        press.link(self.to, x, y - high, width, high)


def contents(
    entries: Sequence[tuple[str, str, str, int]], answers: Sequence[tuple[str, str, str]], room: float
) -> list[PageItem]:
    """`room`: the height of a page. They begin on a page of their own, as the front can be taken out, unless most of
    its last page is empty."""
    title = Paragraph("Contents", HEADING, keep=True)
    title.section = "Contents"
    title.anchor, title.outline = "contents", ("Contents", 0)
    items: list[PageItem] = [title, Snaking([Entry(*e) for e in entries], 3)]
    title.need, title.before = 0.55 * room, 14.0
    if answers:
        items.append(Paragraph("Where the authority's questions are answered", SUBHEADING, keep=True, before=10))
        items.append(Snaking([Entry(q, t, a, 1) for q, t, a in sorted(answers)]))
    return items
