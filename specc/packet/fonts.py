"""The typeface, what it can print, and how wide a word is.

A character that the typeface lacks is never a blank box: Chinese, Japanese and Korean go to fonts that a
PDF reader brings itself; all else is printed as its code point in brackets, such as [U+0627].
"""

from __future__ import annotations

import os
import unicodedata
from functools import cache, lru_cache
from typing import Any, NamedTuple

from specc.packet.style import Weight

FACES: dict[Weight, tuple[str, str]] = {
    "light": ("SpeccLight", "SourceSansPro-Light.ttf"),
    "regular": ("SpeccRegular", "SourceSansPro-Regular.ttf"),
    "semibold": ("SpeccSemibold", "SourceSansPro-Semibold.ttf"),
}
ITALIC = ("SpeccItalic", "SourceSansPro-It.ttf")
CHINESE, JAPANESE, KOREAN = "STSong-Light", "HeiseiMin-W3", "HYSMyeongJo-Medium"

# Ascent and descent as parts of the size, for laying out equations.
ASCENT, DESCENT = 0.72, 0.21


class FontRun(NamedTuple):
    """Letters of one font."""

    font: str
    text: str


@cache
def load_reportlab() -> None:
    """reportlab asks for the working folder as it is imported, and that may be gone."""
    asked = os.getcwd
    try:
        asked()
    except OSError:
        os.getcwd = lambda: os.sep
    try:
        import reportlab.rl_config  # noqa: F401
    finally:
        os.getcwd = asked


@cache
def face(name: str) -> Any:
    """reportlab's font by our name, read from its file once."""
    load_reportlab()
    from reportlab.pdfbase import pdfmetrics

    if name in (CHINESE, JAPANESE, KOREAN):
        from reportlab.pdfbase.cidfonts import UnicodeCIDFont

        font: Any = UnicodeCIDFont(name)
    else:
        from font_source_sans_pro import font_directory
        from reportlab.pdfbase.ttfonts import TTFont

        files = dict([*FACES.values(), ITALIC])
        font = TTFont(name, os.path.join(font_directory, files[name]))
    pdfmetrics.registerFont(font)
    return font


@cache
def glyphs(name: str) -> frozenset[int]:
    """The code points that one of our fonts has."""
    return frozenset(face(name).face.charToGlyph)


@cache
def _letters(name: str) -> frozenset[str]:
    """The characters that one of our fonts prints."""
    return frozenset(chr(code) for code in glyphs(name) if code >= 32)


def _borrowed(code: int, kana: bool) -> str:
    """The reader's own font for a character of the far east, or ""."""
    if 0xAC00 <= code <= 0xD7A3:
        return KOREAN
    if 0x3040 <= code <= 0x30FF:
        return JAPANESE
    if 0x4E00 <= code <= 0x9FA5 or 0x3000 <= code <= 0x303F or 0xFF01 <= code <= 0xFF5E:
        return JAPANESE if kana else CHINESE
    return ""


@lru_cache(maxsize=50_000)
def runs(text: str, name: str) -> tuple[FontRun, ...]:
    """The text parted into runs, each printable in its font."""
    if _letters(name).issuperset(text):
        return (FontRun(name, text),) if text else ()
    have = glyphs(name)
    text = unicodedata.normalize("NFC", text)
    kana = any(0x3040 <= ord(c) <= 0x30FF for c in text)
    made: list[FontRun] = []
    missing: list[str] = []

    def close() -> None:
        if missing:
            made.append(FontRun(name, "[" + " ".join(missing) + "]"))
            missing.clear()

    for c in text:
        code = ord(c)
        if c in "\t\n\r\u2028\u2029":
            c, code = " ", 32
        if code in (0x200B, 0x00AD, 0xFEFF):  # marks that print nothing
            continue
        if code >= 32 and code in have:
            font = name
        else:
            font = _borrowed(code, kana)
            if not font:
                missing.append(f"U+{code:04X}")
                continue
        close()
        if made and made[-1].font == font:
            made[-1] = FontRun(font, made[-1].text + c)
        else:
            made.append(FontRun(font, c))
    close()
    return tuple(made)


def borrows(text: str) -> bool:
    """Whether the text has characters that rely on a font of the reader's."""
    return any(_borrowed(ord(c), False) for c in set(text))


@lru_cache(maxsize=100_000)
def units(text: str, name: str) -> float:
    """Width of the text at size 1."""
    return sum(run_width(r, 1.0) for r in runs(text, name))


def run_width(run: FontRun, size: float) -> float:
    return float(face(run.font).stringWidth(run.text, size))


def width(text: str, name: str, size: float) -> float:
    return units(text, name) * size


def font_of(weight: Weight) -> str:
    return FACES[weight][0]
