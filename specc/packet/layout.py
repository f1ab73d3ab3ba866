"""Putting items on pages: measure, place, and only then draw.

Since all is placed before anything is drawn, page numbers are known to the contents and the footer, and
the packet is laid out once. An `Item` knows its height, may be cut in two, and draws itself downward from
a point. Items with `keep` stay on one page with what follows them (headings, captions).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from specc.packet.press import Press
from specc.packet.style import HAIR, INK, PALE, Color, Paper

MARGIN_MARK, MARK_WEIGHT = 9.0, 2.0  # of what changed: left of the text, points


class PageItem:
    """Something with a height. `before` is white space above it, dropped at the top of a page."""

    keep = False  # stays with the next item
    before = 0.0
    anchor = ""
    outline: tuple[str, int] | None = None  # title and level in the PDF's outline
    section = ""  # starts a section of this name, for the running head
    new_page = False  # starts on a new page
    need = 0.0  # starts on a new page when less than this is left
    rather = 0.0  # the same, but only where no more than HOLE of a page stays empty for it
    lying = False  # stands on a page that lies on its side
    changed = False  # is not as it was: marked in the margin
    anchors: tuple[str, ...] = ()  # more names of the same place

    def height(self, width: float) -> float:
        raise NotImplementedError

    def least(self, width: float) -> float:
        """The height below which not even a first part can be shown."""
        return self.height(width)

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        """A part no higher than `room`, and the rest; None if it cannot be cut there."""
        return None

    def shrink(self, width: float, room: float) -> PageItem | None:
        """The whole, made to fit into `room`; None if that would make it unreadable."""
        return None

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        """Draw with the upper left at x, y."""
        raise NotImplementedError

    def show(self, press: Press, x: float, y: float, width: float) -> None:
        """Draw, and make it a place for links and the outline if it has an anchor."""
        for anchor in self.anchors:
            press.mark(anchor, y + 6)
        if self.anchor:
            press.mark(self.anchor, y + 6)
            if self.outline:
                press.outline(self.outline[0], self.anchor, self.outline[1])
        if self.changed:
            margin = press.paper.left - MARGIN_MARK
            press.line(margin, y + 1, margin, y - self.height(width) + 1, MARK_WEIGHT, INK)
        self.draw(press, x, y, width)


class Gap(PageItem):
    """White space."""

    def __init__(self, height: float) -> None:
        self._height = height

    def height(self, width: float) -> float:
        return self._height

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        pass


class Rule(PageItem):
    """A thin line across the measure."""

    def __init__(self, weight: float = HAIR, color: Color = PALE, before: float = 0.0, keep: bool = True) -> None:
        self.weight, self.color, self.before, self.keep = weight, color, before, keep

    def height(self, width: float) -> float:
        return 4.0

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        press.line(x, y, x + width, y, self.weight, self.color)


class Stack(PageItem):
    """Items under one another that stay together; one too high for a page is cut between them."""

    def __init__(self, items: Sequence[PageItem], before: float = 0.0, indent: float = 0.0) -> None:
        self.items = tuple(items)
        self.before = before
        self.indent = indent

    def _tops(self, width: float) -> Iterator[tuple[PageItem, float, float]]:
        """Each item with its top and bottom, downward from 0."""
        y = 0.0
        for n, item in enumerate(self.items):
            if n:
                y += item.before
            low = y + item.height(width - self.indent)
            yield item, y, low
            y = low

    def height(self, width: float) -> float:
        return max((low for _, _, low in self._tops(width)), default=0.0)

    def cut(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        """Cut between items, or inside one; only used when the whole cannot fit any page."""
        placed = 0
        for n, (item, top, low) in enumerate(self._tops(width)):
            if low > room:
                parts = item.split(width - self.indent, room - top)
                if parts:
                    return self._cut((*self.items[:n], parts[0]), (parts[1], *self.items[n + 1 :]))
                break
            if not item.keep:
                placed = n + 1
        if not placed:
            return None
        return self._cut(self.items[:placed], self.items[placed:])

    def _cut(self, some: Sequence[PageItem], rest: Sequence[PageItem]) -> tuple[PageItem, PageItem]:
        """What leads to the whole leads to its first part."""
        first = Stack(some, self.before, self.indent)
        first.anchor, first.outline, first.anchors = self.anchor, self.outline, self.anchors
        first.section, first.new_page = self.section, self.new_page
        return first, Stack(rest, 0.0, self.indent)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        for item, top, _ in self._tops(width):
            item.show(press, x + self.indent, y - top, width - self.indent)


class Columns(PageItem):
    """Items beside one another, each with its share of the width."""

    def __init__(
        self, items: Sequence[PageItem], shares: Sequence[float], gutter: float = 18.0, before: float = 0.0
    ) -> None:
        self.items, self.shares, self.gutter, self.before = tuple(items), tuple(shares), gutter, before

    def _widths(self, width: float) -> list[float]:
        free = width - self.gutter * (len(self.items) - 1)
        return [free * s / sum(self.shares) for s in self.shares]

    def height(self, width: float) -> float:
        pairs = zip(self.items, self._widths(width), strict=True)
        return max((item.height(w) for item, w in pairs), default=0.0)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        for item, w in zip(self.items, self._widths(width), strict=True):
            item.show(press, x, y, w)
            x += w + self.gutter


class InColumn(NamedTuple):
    """An item in a column of several, downward from the columns' top."""

    item: PageItem
    column: int
    top: float


class Snaking(PageItem):
    """Items one after another in columns that end level; on the next page it goes on in the same columns. What does not
    fit into the rest of a column is cut where it can be."""

    def __init__(self, items: Sequence[PageItem], columns: int = 2, gutter: float = 16.0, before: float = 6.0) -> None:
        self.items = tuple(items)
        self.columns, self.gutter, self.before = columns, gutter, before
        self._set: dict[float, tuple[float, list[InColumn]]] = {}

    def _wide(self, width: float) -> float:
        return (width - self.gutter * (self.columns - 1)) / self.columns

    def _places(self, width: float, room: float, whole: bool = True) -> tuple[list[InColumn], list[PageItem]]:
        """What fits into columns of this height, each item with its column and its top; and what is left over. What is
        not to be `whole` may be made smaller: a drawing that just misses the foot of a page leaves a hole there."""
        wide = self._wide(width)
        made: list[InColumn] = []
        queue = list(reversed(self.items))
        column, y = 0, 0.0
        while queue and column < self.columns:
            item = queue.pop()
            top = y + item.before if y else 0.0
            high = item.height(wide)
            # A heading goes where what follows it begins.
            low, n, last = top + high, len(queue), item
            while last.keep and n:
                n -= 1
                last = queue[n]
                low += last.before + (last.height(wide) if last.keep else last.least(wide))
            if low <= room + 0.01:
                made.append(InColumn(item, column, top))
                y = top + high
                continue
            smaller = None if whole or item.keep else item.shrink(wide, room - top)
            parts = None if item.keep or smaller else item.split(wide, room - top)
            if smaller:
                smaller.changed = item.changed
                made.append(InColumn(smaller, column, top))
            elif parts:
                for part in parts:
                    part.changed = item.changed
                made.append(InColumn(parts[0], column, top))
                queue.append(parts[1])
            elif y:
                queue.append(item)
            elif high <= room + 0.01:
                made.append(InColumn(item, column, top))
                y = top + high
                continue
            else:
                return made, [item, *reversed(queue)]
            column, y = column + 1, 0.0
        return made, list(reversed(queue))

    def _placed(self, width: float) -> tuple[float, list[InColumn]]:
        """The least height that holds all, and where each item then stands."""
        if width not in self._set:
            wide = self._wide(width)
            total = sum(item.before + item.height(wide) for item in self.items)
            low, high = total / self.columns * 0.9, total + 1
            made = self._places(width, high)[0]
            while high - low > 2:
                middle = (low + high) / 2
                some, left = self._places(width, middle)
                if left:
                    low = middle
                else:
                    high, made = middle, some
            self._set[width] = (max((i.top + i.item.height(wide) for i in made), default=0.0), made)
        return self._set[width]

    def height(self, width: float) -> float:
        return self._placed(width)[0]

    def least(self, width: float) -> float:
        wide = self._wide(width)
        first = 0.0
        for n, item in enumerate(self.items):
            first += item.before * bool(n) + (item.height(wide) if item.keep else item.least(wide))
            if not item.keep:
                break
        # What an item needs at least is an estimate; that a first part stands there is not.
        whole, room = self.height(width), max(first, STRIP)
        while room < whole and self.split(width, room) is None:
            room += LINE
        return min(whole, room)

    def shrink(self, width: float, room: float) -> PageItem | None:
        made, left = self._places(width, room, whole=False)
        return None if left or not made else self._cut(made, width)

    def _cut(self, made: list[InColumn], width: float) -> Snaking:
        """What stands in the columns so, which are not leveled again."""
        wide = self._wide(width)
        first = Snaking([i.item for i in made], self.columns, self.gutter, self.before)
        first._set[width] = (max(i.top + i.item.height(wide) for i in made), made)
        first.anchor, first.outline = self.anchor, self.outline
        return first

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        if room < STRIP:
            return None
        wide = self._wide(width)
        made, left = self._places(width, room, whole=False)
        # A last line or two do not stand alone at the head of the next page: some go there with them.
        while left and room > STRIP + LINE and sum(i.height(wide) for i in left) < TAIL:
            room -= LINE
            made, left = self._places(width, room, whole=False)
        while made and left and made[-1].item.keep:
            left.insert(0, made.pop().item)
        if not made or not left:
            return None
        return self._cut(made, width), Snaking(left, self.columns, self.gutter, 0.0)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        wide = self._wide(width)
        for item, column, top in self._placed(width)[1]:
            item.show(press, x + column * (wide + self.gutter), y - top, wide)


LINE = 12.0
TAIL = 36.0  # less than this of columns does not go on over a page
STRIP = 40.0  # columns lower than this are not begun at a page's foot


HOLE = 0.15  # of a page: the most that is left empty at its foot so that a part stands whole on the next


class Placed(NamedTuple):
    item: PageItem
    top: float  # downward from the first line


class Page(NamedTuple):
    """What stands on a page, and the sections it shows."""

    placed: list[Placed]
    sections: list[str]
    lying: bool = False


def paginate(items: Sequence[PageItem], paper: Paper) -> list[Page]:
    """Place all items on pages. An item too high for any page is cut where it can be, or runs over."""
    width, room = paper.measure, paper.room
    pages: list[Page] = []
    current = ""
    y = 0.0
    queue = list(reversed(items))

    def turn(lying: bool = False) -> None:
        nonlocal y, width, room
        page = paper.lying if lying else paper
        width, room = page.measure, page.room
        pages.append(Page([], [], lying))
        y = 0.0

    def chain(first: PageItem) -> float:
        """The least height needed to start here, with the items that must stay with it."""
        total, item, n = 0.0, first, len(queue)
        while item.keep and n:
            total += item.height(width)
            n -= 1
            item = queue[n]
            total += item.before
        return total + item.least(width)

    turn()
    while queue:
        item = queue.pop()
        empty = not pages[-1].placed
        if item.lying != pages[-1].lying:
            if empty:
                pages.pop()
            turn(item.lying)
            empty = True
        elif not empty and (item.new_page or _turns(item, room - y - item.before, room)):
            turn(item.lying)
            empty = True
        top = y if empty else y + item.before
        left = room - top
        high = item.height(width)
        parts: tuple[PageItem, PageItem] | None = None
        needed = chain(item) if item.keep else high
        if needed > left and not (item.keep and empty):
            smaller = item.shrink(width, left) if not item.keep else None
            if smaller is not None:
                smaller.lying, smaller.changed = item.lying, item.changed
                item, high = smaller, smaller.height(width)
            else:
                # What stays with the next item is not cut, unless it is too high for any page.
                parts = None if item.keep else item.split(width, left)
                if parts is None and not empty:
                    turn(item.lying)
                    queue.append(item)
                    continue
                if parts is None and isinstance(item, Stack):
                    parts = item.cut(width, left)
        if parts:
            for part in parts:
                part.lying, part.changed = item.lying, item.changed
            queue.append(parts[1])
            item, high = parts[0], parts[0].height(width)
        if item.section:
            current = item.section
        if current and current not in pages[-1].sections:
            pages[-1].sections.append(current)
        pages[-1].placed.append(Placed(item, top))
        y = top + high
        if parts:
            turn(item.lying)
    if not pages[-1].placed and len(pages) > 1:
        pages.pop()
    return pages


def _turns(item: PageItem, left: float, room: float) -> bool:
    """Whether an item starts on a new page with so much left of the room on this one."""
    return left < item.need or left < min(item.rather, HOLE * room)


def tall(items: Sequence[PageItem], paper: Paper) -> float:
    """How high items stand under one another from the top of a page, where there is no white space above the first."""
    return sum(item.before * bool(n) + item.height(paper.measure) for n, item in enumerate(items))


def inside(item: PageItem) -> Iterator[PageItem]:
    """The item and all that it holds."""
    yield item
    for part in getattr(item, "items", ()):
        yield from inside(part)
