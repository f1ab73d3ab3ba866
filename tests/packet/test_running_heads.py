"""Where a reader finds their way: the system on one sheet, running heads in whole words, and where dates stand."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from pdf_text import read_pages

from specc.drawing.shapes import Drawing, Text
from specc.model.result import Result
from specc.packet import render
from specc.packet.press import Press
from specc.packet.style import Color

SAMPLES = ("garden_brazier", "lantern_reeds")


class Printed(NamedTuple):
    pages: tuple[str, ...]
    heads: tuple[str, ...]  # what stands in the highest line of each page


@cache
def _printed(result: Result) -> Printed:
    some: list[tuple[int, float, str]] = []
    words = Press.words

    def see(press: Press, x: float, y: float, text: str, font: str, size: float, color: Color) -> float:
        some.append((press.canvas.getPageNumber(), y, text))
        return words(press, x, y, text, font, size, color)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "words", see)
        data = render(result)
    tops: dict[int, float] = {}
    for page, y, _ in some:
        tops[page] = max(tops.get(page, 0.0), y)
    pages = tuple(read_pages(data))
    return Printed(pages, tuple(text for page, y, text in some if y == tops[page]))


@pytest.mark.parametrize("name", SAMPLES)
def test_the_whole_system_is_on_one_sheet_with_its_key_and_tables(name: str, complete: Callable[[str], Result]) -> None:
    drawing = dict(complete(name).drawings)["plumbing"]
    assert isinstance(drawing, Drawing)
    (sheet,) = drawing.sheets
    said = {s.text for s in sheet.shapes if isinstance(s, Text)}
    assert {"Symbols", "Zones, psig", "What one valve stops"} <= said


@pytest.mark.parametrize("name", SAMPLES)
def test_a_running_head_says_whole_names_and_page_one_the_dates(name: str, complete: Callable[[str], Result]) -> None:
    printed = _printed(complete(name))
    assert printed.heads
    assert [t for t in printed.heads if t.endswith("…")] == []
    first = printed.pages[0]
    days = r"leak tests: planned \d{4}-\d\d-\d\d(, dated \d{4}-\d\d-\d\d)?"
    assert re.search(rf"{days}; certificates: (none listed|in date, the first ends)", first)
    assert "hoses and regulators: undated" in first
