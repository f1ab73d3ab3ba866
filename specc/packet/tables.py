"""Tables: rows of text under a head that is repeated on every page, set apart by thin rules.

Rows are set once; cutting a table at a page's foot only moves two indices, so a table of thousands of rows
costs no more than its text. A row too high for a page is cut between its lines.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from specc.packet import marks
from specc.packet.layout import PageItem
from specc.packet.leveling import leveled
from specc.packet.press import Press
from specc.packet.style import FINE, FINE_STRONG, HAIR, INK, PALE, QUIET, SMALL, SUBHEADING, THICK, Style
from specc.packet.text import AFTER, WIDE, Line, Paragraph, Span, Spans, draw_line, lines, wide

PAD = 0.8  # above and below a row's text
GUTTER = 9.0
MOMENT = 0.8  # of the height that fits: a table whose last moment begins after it is cut before that moment
FEW, LOW = 5, 130.0  # rows and points of a table that is not cut
ALIKE = 3  # a column that says the same in so many rows becomes a sentence under the table


class Track(NamedTuple):
    """A column: its head, its share of the width where there is more than the cells want, and whether it is set
    flush right, numbers on their decimal point."""

    name: str
    share: float = 1.0
    right: bool = False


class Cells(NamedTuple):
    """A row, set for one width."""

    cells: tuple[tuple[Line, ...], ...]
    ruled: bool = True  # with a line below

    @property
    def deep(self) -> int:
        return max((len(c) for c in self.cells), default=1) or 1

    @property
    def height(self) -> float:
        return self.deep * FINE.leading + (2 * PAD if self.ruled else PAD)


class Made(NamedTuple):
    """All rows of a table set for one width. `sums[n]` is the height of the first n rows."""

    widths: list[float]
    rows: list[Cells]
    sums: list[float]
    tails: list[float | None]  # by column: the widest that follows the whole part of a number


def _made(widths: list[float], rows: list[Cells], tails: list[float | None]) -> Made:
    return Made(widths, rows, [0.0, *accumulate(r.height for r in rows)], tails)


_BREAKS = re.compile(r"[ \t\n\r]+")  # not a space that holds two words together


def _longest(cells: Sequence[Spans], most: float) -> float:
    """The width of the longest word in some cells, beside its mark. One wider than `most` will be broken: its parts
    count."""
    found = 0.0
    for cell in cells:
        mark = sum(marks.wide(span.style.size) for span in cell if span.mark)
        for span in cell:
            for word in _BREAKS.split(span.text):
                own = wide(word, span.style)
                if own <= most:
                    found = max(found, mark + own)
                else:
                    parts = (wide(part, span.style) for part in AFTER.split(word))
                    found = max(found, min(most, max(parts)))
    return found


def _natural(cell: Spans) -> float:
    """The width of a cell on one line."""
    return sum(marks.wide(s.style.size) + 2.5 if s.mark else wide(s.text, s.style) for s in cell)


_NUMBER = re.compile(r"([-\u2212<>~]?\d[\d,]*)(.*)", re.DOTALL)


def _tail(cell: Spans) -> float | None:
    """The width of what follows the whole part of a number; None where the cell is no number."""
    if len(cell) != 1 or not (found := _NUMBER.fullmatch(cell[0].text)):
        return None
    return wide(found[2], cell[0].style)


def without_like(
    tracks: Sequence[Track], rows: Sequence[Sequence[Spans]], note: str
) -> tuple[list[Track], list[list[Spans]], str]:
    """The table without the columns whose cells all say the same: that becomes a sentence of the note."""
    plain = [[words(c) for c in row] for row in rows]
    kept: list[int] = []
    said: list[str] = []
    for n, track in enumerate(tracks):
        texts = {row[n] for row in plain if n < len(row)}
        if n == 0 or len(rows) < ALIKE or len(texts) > 1 or len(kept) + len(tracks) - n <= 2:
            kept.append(n)
        elif (text := next(iter(texts), "").strip()) not in ("", "-", "—"):
            said.append(f"{track.name}: {text}")
    if said:
        note = " ".join(t for t in (f"Alike in every row: {'; '.join(said)}.", note) if t)
    return [tracks[n] for n in kept], [[row[n] for n in kept if n < len(row)] for row in rows], note


class Grid(PageItem):
    """A table. `caption` starts with its number, such as ("Table 3", "Bill of materials")."""

    def __init__(
        self,
        tracks: Sequence[Track],
        rows: Sequence[Sequence[Spans]],
        caption: tuple[str, str] | None = None,
        note: str = "",
        before: float = 10.0,
        headed: bool = True,
        name: str = "",
        heads: Sequence[int] = (),
    ) -> None:
        self.tracks = tuple(tracks)
        self.rows = rows
        self.caption = caption
        self.note = note
        self.before = before
        self.headed = headed
        self.heads = frozenset(heads)  # rows that stand over those that follow, and never last on a page
        self.name = name  # said where the table goes on, if it has no caption
        self.continued = False
        # Rows that may give way, and what then stands for the last one of them, for the last two and so on.
        self.folds: tuple[Sequence[int], Sequence[Sequence[Spans]]] = (), ()
        self._set: dict[float, Made] = {}
        self._span: tuple[int, int | None] = (0, None)

    def _part(self, first: int, last: int | None) -> Grid:
        part = Grid(self.tracks, self.rows, self.caption, self.note if last is None else "", self.before)
        part.headed, part.name, part.heads = self.headed, self.name, self.heads
        part._set, part._span = self._set, (first, last)
        part.continued = self.continued or first > self._span[0]
        if not part.continued:
            part.anchor, part.outline = self.anchor, self.outline
        else:
            part.before = 0.0
        return part

    def folded(self, number: int) -> Grid:
        """The table with so many rows of it told in one."""
        may, said = self.folds
        gone = may[-number:]
        rows: list[Sequence[Spans]] = [said[number - 1] if n == gone[0] else row for n, row in enumerate(self.rows)
                                       if n == gone[0] or n not in gone]  # fmt: skip
        made = Grid(self.tracks, rows, self.caption, self.note, self.before, self.headed, self.name)
        made.anchor, made.outline, made.changed = self.anchor, self.outline, self.changed
        return made

    def fits(self, width: float) -> bool:
        """Whether no number is broken at a width, nor any word."""
        needs = 0.0
        for n, track in enumerate(self.tracks):
            cells = [row[n] for row in self.rows if n < len(row)]
            head = max((wide(w, QUIET) for w in track.name.split()), default=0.0)
            own = max(map(_natural, cells), default=0.0) if track.right else _longest(cells, width * 0.3)
            needs += max(head, own) + 0.5
        return needs + GUTTER * (len(self.tracks) - 1) <= width

    def natural(self) -> float:
        """The width at which no cell but the longest is broken, and heads at their words."""
        columns = range(len(self.tracks))
        cells = [max((_natural(row[n]) for row in self.rows if n < len(row)), default=0.0) for n in columns]
        heads = [max((wide(w, QUIET) for w in t.name.split()), default=0.0) for t in self.tracks]
        # What the rows are of may take several lines.
        first = min(cells[0], 76.0) if cells else 0.0
        wants = [max(c, h) for c, h in zip([first, *cells[1:]], heads, strict=True)]
        return sum(wants) + GUTTER * (len(wants) - 1)

    def _widths(self, width: float) -> list[float]:
        """Column widths by content: each as wide as it wants, or what is left shared out by want."""
        free = width - GUTTER * (len(self.tracks) - 1)
        least, want = [], []
        for n, track in enumerate(self.tracks):
            cells = [row[n] for row in self.rows[:300] if n < len(row)]
            head = max((wide(w, QUIET) for w in track.name.split()), default=0.0)
            # A number is not parted from its unit.
            own = max(map(_natural, cells), default=0.0) if track.right else 0.0
            least.append(max(head, own if own <= free * 0.22 else 0.0, _longest(cells, free * 0.22)) + 0.5)
            natural = sorted(_natural(c) for c in cells)
            # All but a few long cells on one line.
            most = natural[-1 - len(natural) // 12] if natural else 0.0
            if track.right and (tails := [t for c in cells if (t := _tail(c)) is not None]):
                whole = max((_natural(c) - t for c in cells if (t := _tail(c)) is not None), default=0.0)
                most = max(most, whole + max(tails))
            want.append(max(least[-1], min(most + 0.5, free * 0.62)))
        # A heading of several words stands on one line where there is room for that.
        roomy = [max(w, wide(t.name, QUIET) + 0.5) for w, t in zip(want, self.tracks, strict=True)]
        want = roomy if sum(roomy) <= free else want
        if sum(want) <= free:
            # What is over goes to the columns of text, by the shares that they ask for.
            grows = [0.0 if t.right else t.share for t in self.tracks]
            grows = grows if sum(grows) else [t.share for t in self.tracks]
            over = free - sum(want)
            widths = [w + over * g / sum(grows) for w, g in zip(want, grows, strict=True)]
        elif sum(least) >= free:
            return [free * low / sum(least) for low in least]
        else:
            widths = self._shared_out(least, want, free)
        columns = [[row[n] if n < len(row) else () for row in self.rows] for n in range(len(self.tracks))]
        return leveled(columns, widths, least)

    def _shared_out(self, least: Sequence[float], want: Sequence[float], free: float) -> list[float]:
        """Narrow columns keep what they want; the wide ones share what is left, as its root, so rows stay low."""
        widths, open_, left = list(least), list(range(len(want))), free
        while open_:
            roots = sum(want[n] ** 0.8 for n in open_)
            done = [n for n in open_ if left * want[n] ** 0.8 / roots >= want[n]]
            tight = [n for n in open_ if left * want[n] ** 0.8 / roots <= least[n]]
            if not done and not tight:
                for n in open_:
                    widths[n] = left * want[n] ** 0.8 / roots
                break
            for n in tight or done:
                widths[n] = least[n] if tight else want[n]
                left -= widths[n]
                open_.remove(n)
        return widths

    def _made(self, width: float) -> Made:
        if width not in self._set:
            widths = self._widths(width)
            pairs = list(zip(range(len(widths)), widths, strict=True))
            made = [Cells(tuple(lines(row[n], w) if n < len(row) else () for n, w in pairs)) for row in self.rows]
            self._set[width] = _made(widths, made, [self._tails(n) for n in range(len(widths))])
        return self._set[width]

    def _tails(self, n: int) -> float | None:
        if not self.tracks[n].right:
            return None
        tails = [_tail(row[n]) for row in self.rows if n < len(row)]
        return max((t for t in tails if t is not None), default=None)

    def _ends(self, width: float) -> tuple[int, int]:
        """The indices of the first row shown here and of the one after the last."""
        first, last = self._span
        return first, len(self._made(width).rows) if last is None else last

    def _tall(self, width: float, first: int, last: int) -> float:
        sums = self._made(width).sums
        return sums[last] - sums[first]

    def _caption(self) -> Paragraph | None:
        if not self.caption:
            return (
                Paragraph(f"{self.name or 'The table'}, continued", QUIET) if self.continued and self.headed else None
            )
        number, title = self.caption
        parts = [Span(f"{number}{WIDE}{title}" if title else number, SUBHEADING)]
        if self.continued:
            parts.append(Span(", continued", QUIET))
        return Paragraph(parts, SUBHEADING)

    def _head(self, width: float) -> tuple[float, list[tuple[Line, ...]]]:
        if not self.headed:
            return 2.0, []
        widths = self._made(width).widths
        heads = [lines((Span(t.name, QUIET),), w) for t, w in zip(self.tracks, widths, strict=True)]
        return max((len(h) for h in heads), default=1) * FINE.leading + PAD + 1, heads

    def _fixed(self, width: float) -> float:
        caption = self._caption()
        return (caption.height(width) + 2 if caption else 0.0) + self._head(width)[0]

    def _note(self, width: float) -> Paragraph | None:
        return Paragraph(self.note, QUIET, before=4) if self.note else None

    def height(self, width: float) -> float:
        note = self._note(width)
        rows = self._tall(width, *self._ends(width))
        return self._fixed(width) + rows + (note.height(width) + 4 if note else 0.0)

    def _stays_whole(self, width: float) -> bool:
        """A low table of a few rows goes to the next page rather than leave one or two of them there."""
        first, last = self._ends(width)
        return last - first <= FEW and self._tall(width, first, last) <= LOW

    def least(self, width: float) -> float:
        if self._stays_whole(width):
            return self.height(width)
        first, last = self._ends(width)
        return self._fixed(width) + self._tall(width, first, min(first + 2, last))

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        if self._stays_whole(width):
            return None
        first, last = self._ends(width)
        count, free = last - first, room - self._fixed(width) + 0.01
        # The last row whose lower edge is above the page's foot.
        fit = bisect_right(self._made(width).sums, self._made(width).sums[first] + free) - 1 - first
        fit = max(min(fit, count), 0)
        if fit == count:  # only the note is too much: it takes two rows along
            fit -= 3 if count > 5 else 1
        if 0 < count - fit < 3 and fit > 4:
            fit -= 3 - (count - fit)  # no one or two rows alone on the next page
        while fit > 1 and first + fit - 1 in self.heads:
            fit -= 1
        # Steps of one moment stay together where that leaves little of the page empty.
        moment = max((n for n in self.heads if first < n < first + fit), default=0)
        some = self._tall(width, first, first + fit) * MOMENT
        low = moment - first >= 2 and self._tall(width, first, moment) > some
        if fit < count and first + fit not in self.heads and low:
            fit = moment - first
        # A page's first row may itself be too high. Rows far smaller than that just go to the next page.
        if fit < 1:
            if not count or self._tall(width, first, first + 1) < room * 0.9 or room < 200:
                return None
            return self._cut_row(width, room)
        if fit < 2 and count > 2 and self._tall(width, first, first + 2) < 120:
            return None
        end = self._span[1]
        return self._part(first, first + fit), self._part(first + fit, end)

    def _cut_row(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        """Cut the first row between its lines."""
        first, last = self._span
        widths, made, _, tails = self._made(width)
        fit = int((room - self._fixed(width) - 2 * PAD) // FINE.leading)
        if fit < 1:
            return None
        tall = made[first]
        top = Cells(tuple(c[:fit] for c in tall.cells), ruled=False)
        rest = Cells(tuple(c[fit:] for c in tall.cells), tall.ruled)
        one, two = self._part(first, first + 1), self._part(first, last)
        one._set = {width: _made(widths, [*made[:first], top], tails)}
        two._set = {width: _made(widths, [*made[:first], rest, *made[first + 1 :]], tails)}
        two.continued, two.before = True, 0.0
        return one, two

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        widths, made, _, tails = self._made(width)
        first, last = self._ends(width)
        caption = self._caption()
        if caption:
            caption.draw(press, x, y, width)
            y -= caption.height(width) + 2
        tall, heads = self._head(width)
        if heads:
            low = max((len(h) for h in heads), default=1)
            # Heads of one line stand on the last line of the others.
            lowered = tuple(((),) * (low - len(h)) + h for h in heads)
            self._row(press, x, y - SMALL, lowered, widths)
        y -= tall
        press.line(x, y + 1, x + width, y + 1, *((THICK, INK) if heads else (HAIR, PALE)))
        for cells in made[first:last]:
            self._row(press, x, y - PAD - SMALL * 0.9, cells.cells, widths, tails)
            y -= cells.height
            if cells.ruled:
                press.line(x, y, x + width, y, HAIR, PALE)
        note = self._note(width)
        if note:
            note.draw(press, x, y - 4, width)

    def _row(
        self,
        press: Press,
        x: float,
        y: float,
        cells: tuple[tuple[Line, ...], ...],
        widths: list[float],
        tails: Sequence[float | None] = (),
    ) -> None:
        for n, (track, cell, wide_) in enumerate(zip(self.tracks, cells, widths, strict=True)):
            tail = tails[n] if n < len(tails) else None
            for k, line in enumerate(cell):
                if line:
                    shift = wide_ - line[-1].x - line[-1].width if track.right else 0.0
                    if tail is not None and len(cell) == len(line) == 1:
                        own = _tail((Span(line[0].text, line[0].style),))
                        shift -= min(tail - own, shift) if own is not None else 0.0
                    draw_line(press, line, x + shift, y - k * FINE.leading)
            x += wide_ + GUTTER


def words(cell: Spans) -> str:
    """What a cell says, whatever it leads to."""
    return "".join(s.text for s in cell)


def cell(text: str, style: Style = FINE) -> Spans:
    return (Span(text, style),)


def strong(text: str) -> Spans:
    return (Span(text, FINE_STRONG),)
