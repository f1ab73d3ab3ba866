"""The sample projects judged and printed once a process, for all tests that only read what comes out."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
from pdf_text import read_pages

from specc.model.result import Result
from specc.packet import render
from specc.packet.press import Press
from specc.packet.style import Color
from specc.testing import result_of

SAMPLES = Path(__file__).parents[1] / "sample_projects"


class Word(NamedTuple):
    """What was set on a page: where, and how."""

    page: int
    x: float
    y: float
    text: str
    font: str
    size: float


class Printed(NamedTuple):
    data: bytes
    pages: tuple[str, ...]  # the words of each page, in the order in which they were set
    words: tuple[Word, ...]


@cache
def complete(name: str) -> Result:
    """The whole Result of a sample, with the tolerances that it states, as `specc compile` works it out."""
    return result_of(SAMPLES / name / "project.yaml", tolerance=True)


@cache
def printed(name: str) -> Printed:
    """The packet of a sample, on letter paper."""
    some: list[Word] = []
    words = Press.words

    def see(press: Press, x: float, y: float, text: str, font: str, size: float, color: Color) -> float:
        some.append(Word(press.canvas.getPageNumber(), x, y, text, font, round(size, 2)))
        return words(press, x, y, text, font, size, color)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "words", see)
        data = render(complete(name))
    return Printed(data, tuple(read_pages(data)), tuple(some))
