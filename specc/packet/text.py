"""Setting text: words into lines, with styles and links inside a line.

Text is never read as markup; what the spec says is what is printed. A word longer than the line is broken,
first after a mark such as / or _. At least two lines stay together at a page's foot and at its head.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from specc.packet import fonts, marks
from specc.packet.layout import PageItem
from specc.packet.marks import Mark
from specc.packet.press import Press
from specc.packet.style import TEXT, Style


class Span(NamedTuple):
    """Text in one style; `to` is the anchor it links to, `rise` lifts it from the baseline, `mark` stands before it."""

    text: str
    style: Style = TEXT
    to: str = ""
    rise: float = 0.0
    mark: Mark = ""


class LinePart(NamedTuple):
    """Part of a line, at its place."""

    x: float
    text: str
    style: Style
    to: str
    rise: float
    width: float
    mark: Mark = ""


# Spaces in a row are set as one, as the spec's text may be folded anywhere. This is a wide one of ours.
WIDE = "\u00a0\u00a0 "

Line: TypeAlias = tuple[LinePart, ...]
Spans: TypeAlias = tuple[Span, ...]

_WORDS = re.compile(r"[^ \t\n\r]+|[ \t\n\r]+")
AFTER = re.compile(r"(?<=[/_.\-,:;@=&?])(?=.)")


# Letters that no line can hold: a word of many thousands is not looked through anew for each of its lines.
_MOST = 1_000


def wide(text: str, style: Style) -> float:
    return fonts.units(text, fonts.font_of(style.weight)) * style.size


def _taken(part: Span) -> float:
    return marks.wide(part.style.size) if part.mark else wide(part.text, part.style)


def _broken(word: str, style: Style, width: float) -> list[str]:
    """A word cut into parts that each fit the width."""
    parts: list[str] = []
    line = ""
    for chunk in AFTER.split(word):
        if wide(line + chunk, style) <= width:
            line += chunk
            continue
        if line:
            parts.append(line)
            line = ""
        for letter in chunk:
            if line and wide(line + letter, style) > width:
                parts.append(line)
                line = ""
            line += letter
    if line:
        parts.append(line)
    return parts


def _lengthen(line: list[LinePart], text: str, width: float) -> None:
    """Put more of the same to the last part of a line. It stands in for `_replace`, which takes thrice the time, here
    where each word and each space of a packet comes by."""
    x, before, style, to, rise, wide_before, mark = line[-1]
    line[-1] = LinePart(x, before + text, style, to, rise, wide_before + width, mark)


@lru_cache(maxsize=20_000)
def lines(spans: Spans, width: float) -> tuple[Line, ...]:
    """The spans set into lines no wider than `width`."""
    # Words first: a word may run over several spans, as in "H" and a subscript 2.
    words: list[list[Span]] = [[]]
    spaces: list[Style] = []
    for span in spans:
        if span.mark:
            words[-1].append(span._replace(text=""))
        for token in _WORDS.findall(span.text):
            if token[0] in " \t\n\r":
                words.append([])
                spaces.append(span.style)
            else:
                words[-1].append(Span(token, span.style, span.to, span.rise))
    made: list[Line] = []
    line: list[LinePart] = []
    x = 0.0

    def put(part: Span, w: float) -> None:
        nonlocal x
        last = line[-1] if line and not part.mark and not line[-1].mark else None
        if last and (last.style, last.to, last.rise) == (part.style, part.to, part.rise):
            gap = x - last.x - last.width
            if gap < 0.01:
                _lengthen(line, part.text, w)
                x += w
                return
        line.append(LinePart(x, part.text, part.style, part.to, part.rise, w, part.mark))
        x += w

    def end() -> None:
        nonlocal x
        made.append(tuple(line))
        line.clear()
        x = 0.0

    for n, word in enumerate(words):
        if not word:
            continue
        taken = [_taken(p) for p in word]
        total = sum(taken)
        if line:
            space = spaces[n - 1]
            gap = wide(" ", space)
            if x + gap + total <= width + 0.01:
                last = line[-1]
                same = (last.style, last.to, last.rise) == (word[0].style, word[0].to, word[0].rise)
                if same and last.style == space and not last.mark:
                    _lengthen(line, " ", gap)
                x += gap
            elif total <= width or x > width * 0.6:
                end()
            else:
                x += gap
        if total <= width - x + 0.01:
            for part, w in zip(word, taken, strict=True):
                put(part, w)
            continue
        for part in word:
            if part.mark:
                put(part, _taken(part))
            rest = part.text
            while rest:
                head = _broken(rest[:_MOST], part.style, max(width - x, part.style.size * 2))[0]
                w = wide(head, part.style)
                if x and x + w > width + 0.01:
                    end()
                    continue
                put(part._replace(text=head), w)
                rest = rest[len(head) :]
                if rest:
                    end()
    if line:
        end()
    return tuple(made)


def draw_line(press: Press, line: Line, x: float, y: float) -> None:
    """Draw a line with its baseline at y."""
    for p in line:
        if p.mark:
            marks.draw(press, p.mark, x + p.x, y, p.style.size)
            continue
        press.text(x + p.x, y + p.rise, p.text, p.style)
        if p.to:
            press.link(p.to, x + p.x, y - p.style.size * 0.25, p.width, p.style.size)


def spans(text: str | Span | Sequence[Span], style: Style = TEXT) -> Spans:
    if isinstance(text, str):
        return (Span(text, style),)
    return (text,) if isinstance(text, Span) else tuple(text)


class Paragraph(PageItem):
    """A paragraph, set ragged right or flush right; `label` or `mark` hangs to the left of its first line."""

    def __init__(
        self,
        text: str | Span | Sequence[Span],
        style: Style = TEXT,
        *,
        before: float = 0.0,
        keep: bool = False,
        indent: float = 0.0,
        most: float = 0.0,
        right: bool = False,
        label: str = "",
        label_style: Style | None = None,
        mark: Mark = "",
        ready: tuple[Line, ...] | None = None,
    ) -> None:
        self.spans = spans(text, style)
        self.style = style
        self.before, self.keep, self.indent, self.most, self.right = before, keep, indent, most, right
        self.label, self.label_style, self.mark = label, label_style or style, mark
        self.ready = ready
        self._set: dict[float, tuple[Line, ...]] = {}  # by width; spans of many words take long to be looked up by

    def restyle(self, style: Style) -> None:
        self.spans = tuple(s._replace(style=style) for s in self.spans)
        self.style = style
        self._set.clear()

    def lines(self, width: float) -> tuple[Line, ...]:
        if self.ready is not None:
            return self.ready
        if width not in self._set:
            own = width - self.indent
            self._set[width] = lines(self.spans, min(own, self.most) if self.most else own)
        return self._set[width]

    def height(self, width: float) -> float:
        return len(self.lines(width)) * self.style.leading

    def least(self, width: float) -> float:
        n = len(self.lines(width))
        return (n if n <= 3 else 2) * self.style.leading

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        all_lines = self.lines(width)
        fit = min(int((room + 0.01) // self.style.leading), len(all_lines) - 2)
        if fit < 2:
            return None
        return self._part(all_lines[:fit], True), self._part(all_lines[fit:], False)

    def _part(self, some: tuple[Line, ...], first: bool) -> Paragraph:
        part = Paragraph((), self.style, keep=self.keep, indent=self.indent, right=self.right, ready=some)
        part.label, part.label_style, part.before = self.label, self.label_style, self.before
        part.mark = self.mark
        part.anchor, part.outline, part.section, part.anchors = self.anchor, self.outline, self.section, self.anchors
        if not first:
            part.before, part.anchor, part.outline, part.anchors = 0.0, "", None, ()
            part.label, part.mark = "", ""
        return part

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        y -= self.style.leading * 0.78
        if self.label:
            press.text(x, y, self.label, self.label_style)
        if self.mark:
            marks.draw(press, self.mark, x, y, self.style.size)
        for line in self.lines(width):
            left = x + self.indent
            if self.right and line:
                left = x + width - line[-1].x - line[-1].width
            draw_line(press, line, left, y)
            y -= self.style.leading


class Pair(PageItem):
    """Text at the left, and text flush right on the first line beside it."""

    def __init__(
        self,
        left: PageItem,
        right: str | Span | Sequence[Span],
        style: Style,
        *,
        share: float = 0.4,
        before: float = 0.0,
        keep: bool = False,
    ) -> None:
        self.left, self.right = left, Paragraph(right, style, right=True)
        self.share, self.before, self.keep = share, before, keep

    def _widths(self, width: float) -> tuple[float, float]:
        one = lines(self.right.spans, width)
        natural = one[0][-1].x + one[0][-1].width if one and one[0] else 0.0
        right = min(natural + 1, width * self.share)
        return width - right - 12, right

    def height(self, width: float) -> float:
        left, right = self._widths(width)
        return max(self.left.height(left), self.right.height(right) + self._shift())

    def _shift(self) -> float:
        """Both first lines stand on one baseline, whatever their sizes."""
        return getattr(self.left, "style", self.right.style).leading * 0.78 - self.right.style.leading * 0.78

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        left, right = self._widths(width)
        self.left.draw(press, x, y, left)
        self.right.draw(press, x + width - right, y - self._shift(), right)
