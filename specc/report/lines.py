"""Lines for a terminal: safe against control characters in a spec, and aligned whatever letters it has."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

# C0 and C1 controls could move the cursor or recolor the screen; the others reorder or break a line.
_UNSAFE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_TAB = 4  # a tab in an excerpt is this many spaces, whatever its column
_ROOM = 96  # columns for an excerpt


def _escaped(found: re.Match[str]) -> str:
    code = ord(found.group())
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"


def safe(text: str) -> str:
    """A piece of text on one line, with what a terminal would act upon shown as its code.

    >>> safe("red \\x1b[31m")
    'red \\\\x1b[31m'
    """
    return _UNSAFE.sub(_escaped, text)


def width(text: str) -> int:
    """How many columns a terminal needs: two for wide letters, none for marks that join the one before."""
    if text.isascii():
        return len(text)
    return sum(_letter_width(c) for c in text)


def _letter_width(letter: str) -> int:
    if unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def columns(rows: Sequence[Sequence[str]], gap: int = 2, right: frozenset[int] = frozenset()) -> list[str]:
    """Rows as aligned lines; the columns numbered in `right` are set to the right."""
    shown = [[safe(cell) for cell in row] for row in rows]
    count = max((len(row) for row in shown), default=0)
    widths = [max(width(row[i]) for row in shown if i < len(row)) for i in range(count)]
    lines = []
    for row in shown:
        cells = []
        for i, cell in enumerate(row):
            space = " " * (widths[i] - width(cell))
            cells.append(space + cell if i in right else cell + space)
        lines.append((" " * gap).join(cells).rstrip())
    return lines


def folded(text: str, indent: str = "", room: int = 100, hang: str = "") -> list[str]:
    """A text broken at its spaces into lines of at most `room` columns, where words allow.

    Lines after the first are set in by `hang` as well.
    """
    lines: list[str] = []
    line = ""
    for word in safe(" ".join(text.split())).split(" "):
        if line and width(indent) + width(line) + 1 + width(word) > room:
            lines.append(indent + line)
            if len(lines) == 1:
                indent += hang
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, indent + line] if line else lines


def with_caret(text: str, column: int, room: int = _ROOM) -> tuple[str, str]:
    """A source line and a caret line for `column` (characters, from 1), both cut around the spot."""
    cells = [" " * _TAB if c == "\t" else safe(c) for c in text.rstrip("\r\n")]
    spot = min(max(column, 1) - 1, len(cells))
    start, end = 0, len(cells)
    if sum(map(width, cells)) > room:
        start, used = spot, 0
        while start > 0 and used + width(cells[start - 1]) <= room // 2:
            start -= 1
            used += width(cells[start])
        end = start
        used = 0
        while end < len(cells) and used + width(cells[end]) <= room - 2:
            used += width(cells[end])
            end += 1
    before = "…" if start else ""
    after = "…" if end < len(cells) else ""
    caret = " " * (len(before) + sum(width(c) for c in cells[start:spot])) + "^"
    return before + "".join(cells[start:end]).rstrip() + after, caret
