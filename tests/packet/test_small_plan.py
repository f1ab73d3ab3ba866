"""A plan printed small: letters keep their size, so words that would lie on one another are left out."""

from __future__ import annotations

from specc.drawing.shapes import Circle, Sheet, Text
from specc.packet.pictures import uncrowded


def words(sheet: Sheet) -> list[str]:
    return [s.text for s in sheet.shapes if isinstance(s, Text)]


def test_what_would_cover_another_word_is_left_out_and_what_is_strong_stays() -> None:
    shapes = (
        Circle(5, 5, 1),
        Text(5, 5, "a gate"),
        Text(5, 5.1, "the tall flame", strong=True),
        Text(5, 40, "far off"),
        Text(99, 5, "over the edge"),
    )
    sheet = Sheet(100, 50, shapes)
    small = uncrowded(sheet, 2.0)
    assert words(small) == ["the tall flame", "far off"]
    assert [s for s in small.shapes if not isinstance(s, Text)] == [shapes[0]]
    # At a larger scale nothing is in the way but the edge.
    assert words(uncrowded(sheet, 150.0)) == ["a gate", "the tall flame", "far off", "over the edge"]
