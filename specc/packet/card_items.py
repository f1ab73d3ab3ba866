"""What a card is made of: letters in three sizes, boxes to tick, and groups that stay on one page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from specc.packet.layout import PageItem
from specc.packet.press import Press
from specc.packet.style import INK, THICK, Style
from specc.packet.text import Paragraph, wide


class Letters(NamedTuple):
    """The type of one card, read at arm's length, at night, in gloves."""

    body: Style
    strong: Style
    small: Style


def letters(size: float) -> Letters:
    lead = round(size * 1.3, 1)
    least = max(size - 2.5, 9.0)
    return Letters(Style(size, lead), Style(size, lead, "semibold"), Style(least, round(least * 1.3, 1)))


SIZES = (13.0, 12.0, 11.0)  # a card in smaller letters is cut in two instead


class CardGroup(NamedTuple):
    """What stays together on a card, under its title."""

    title: str
    items: tuple[PageItem, ...]

    def set(self, type_: Letters, first: bool) -> Iterator[PageItem]:
        if self.title:
            yield Paragraph(self.title, type_.strong, before=6 if first else type_.body.size, keep=True)
        yield from self.items


Write: TypeAlias = Callable[[Letters], Iterator[CardGroup]]


class Card(NamedTuple):
    """One moment, or one person. `key` is its name on the command line; `write` sets it in letters of a size."""

    key: str
    title: str
    write: Write


def _box(press: Press, x: float, y: float, size: float) -> None:
    press.canvas.setStrokeColorRGB(*INK)
    press.canvas.setLineWidth(THICK)
    press.canvas.rect(x, y, size, size)


class TickBox(PageItem):
    """A line to tick: a box, a number where the order counts, what is to be done or so, and in small letters what
    belongs to it. Where several have to do it, each has a box of their own in place of the one."""

    def __init__(
        self,
        text: str,
        type_: Letters,
        number: int = 0,
        under: str = "",
        doers: Sequence[str] = (),
        before: float = 6.0,
    ) -> None:
        self.type = type_
        self.number, self.before = number, before
        indent = 50.0 if number else 22.0
        self.words = Paragraph(text, type_.body, indent=indent)
        self.under = Paragraph(under, type_.small, indent=indent) if under else None
        self.doers = tuple(doers)
        self.indent = indent

    def _rows(self, width: float) -> list[list[tuple[float, str]]]:
        """The doers in lines, each with its distance from the left."""
        size = self.type.small.size
        rows: list[list[tuple[float, str]]] = []
        x = width
        for name in self.doers:
            long = size + 4 + wide(name, self.type.small) + 14
            if not rows or x + long > width:
                rows.append([])
                x = self.indent
            rows[-1].append((x, name))
            x += long
        return rows

    def _under(self, width: float) -> float:
        return self.under.height(width) if self.under else 0.0

    def height(self, width: float) -> float:
        doers = len(self._rows(width)) * (self.type.small.leading + 2)
        return self.words.height(width) + doers + self._under(width)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        size = self.type.body.size
        base = y - self.type.body.leading * 0.78
        if not self.doers:
            _box(press, x, base - 1, size * 0.85)
        if self.number:
            press.text(x + 44, base, str(self.number), self.type.strong, "right")
        self.words.draw(press, x, y, width)
        y -= self.words.height(width)
        small = self.type.small
        for row in self._rows(width):
            for at, name in row:
                _box(press, x + at, y - small.leading * 0.78 - 1, small.size * 0.85)
                press.text(x + at + small.size + 4, y - small.leading * 0.78, name, small)
            y -= small.leading + 2
        if self.under:
            self.under.draw(press, x, y, width)
