"""Where a reader finds their way: the system on one sheet, running heads in whole words, and where dates stand."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sample_packets import complete, printed

from specc.drawing.shapes import Drawing, Text

SAMPLES = ("garden_brazier", "lantern_reeds")


def heads(name: str) -> list[str]:
    """What stands in the highest line of each page."""
    tops: dict[int, float] = {}
    for word in printed(name).words:
        tops[word.page] = max(tops.get(word.page, 0.0), word.y)
    return [word.text for word in printed(name).words if word.y == tops[word.page]]


@pytest.mark.parametrize("name", SAMPLES)
def test_the_whole_system_is_on_one_sheet_with_its_key_and_tables(name: str) -> None:
    drawing = dict(complete(name).drawings)["plumbing"]
    assert isinstance(drawing, Drawing)
    (sheet,) = drawing.sheets
    said = {s.text for s in sheet.shapes if isinstance(s, Text)}
    assert {"Symbols", "Zones, psig", "What one valve stops"} <= said


@pytest.mark.parametrize("name", SAMPLES)
def test_a_running_head_says_whole_names_and_page_one_the_dates(name: str) -> None:
    assert len(heads(name)) >= len(printed(name).pages)
    assert [t for t in heads(name) if t.endswith("…")] == []
    first = printed(name).pages[0]
    days = r"leak tests: planned \d{4}-\d\d-\d\d(, dated [^;]+)?"
    assert re.search(rf"{days}; certificates: (none listed|in date, the first ends)", first)
    assert "hoses and regulators: undated" in first
