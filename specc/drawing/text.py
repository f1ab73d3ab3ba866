"""How much room a line of text needs, guessed on the generous side, and how to break it.

The drawing is laid out before any font is chosen, so widths are a guess by kind of letter. The shares of the
type size are our own reading of common sans-serif faces, rounded up: room lost is better than a label hit.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from specc.drawing.shapes import Text
from specc.drawing.tones import MM_PER_POINT

Box = tuple[float, float, float, float]

_NARROW = frozenset("iIjl.,:;'|!()[]ft/ -")
_BROAD = frozenset("mwMW@%&")
ASCENT = 0.74
DESCENT = 0.22


@lru_cache(maxsize=8192)  # a layout asks for the same few hundred words at each place that it tries
def text_width(text: str, size: float, strong: bool = False) -> float:
    """Width in mm of one line at `size` points, rather too wide than too narrow."""
    ems = 0.0
    for letter in text:
        if unicodedata.combining(letter):
            continue
        if unicodedata.east_asian_width(letter) in "WF" or ord(letter) >= 0x1F000:
            ems += 1.05
        elif letter in _NARROW:
            ems += 0.36
        elif letter in _BROAD or (ord(letter) > 0x7E and letter != "–"):
            ems += 1.02 if letter in "…ŒœÆæ⅛¼½¾ШЩЮЫшщюыЖжФфΦΨ" else 0.9
        elif letter in "OQGD":
            ems += 0.76
        elif letter.isupper():
            ems += 0.68
        else:
            ems += 0.58
    return ems * size * MM_PER_POINT * (1.05 if strong else 1.0)


def text_box(text: Text) -> Box:
    """Left, bottom, right, top of a text in mm."""
    wide = text_width(text.text, text.size, text.strong)
    left = text.x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.anchor]
    tall = text.size * MM_PER_POINT
    return left, text.y - DESCENT * tall, left + wide, text.y + ASCENT * tall


def wrap(text: str, size: float, width: float, strong: bool = False, most: int = 4) -> tuple[str, ...]:
    """Break a text into lines of at most `width` mm, at spaces, or inside a word too long for a line.

    No more than `most` lines: the last then ends in an ellipsis, for a drawing is not the bill of materials.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        trial = f"{line} {word}" if line else word
        if text_width(trial, size, strong) <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        pieces = _pieces(word, size, width, strong)
        lines += pieces[:-1]
        line = pieces[-1]
    if line:
        lines.append(line)
    if len(lines) <= most:
        return tuple(lines)
    last = lines[most - 1]
    while last and text_width(last + "…", size, strong) > width:
        last = last[:-1]
    return (*lines[: most - 1], last + "…")


def _pieces(word: str, size: float, width: float, strong: bool) -> list[str]:
    """A word cut into pieces that each fit; at least one letter a piece."""
    pieces: list[str] = []
    piece = ""
    for letter in word:
        if piece and text_width(piece + letter, size, strong) > width:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]
