"""A plan printed small: letters keep their size, so words that would lie on one another are left out."""

from __future__ import annotations

import io

from reportlab.pdfgen.canvas import Canvas

from specc.drawing.shapes import Circle, Line, Sheet, Text
from specc.packet.pictures import draw_sheet, uncrowded
from specc.packet.press import Press
from specc.packet.style import PAPERS


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


def test_a_word_breaks_the_line_it_stands_on_and_no_other() -> None:
    def clips(*shapes: object, broken: bool = True) -> int:
        canvas = Canvas(io.BytesIO(), pageCompression=0)
        press = Press(canvas, PAPERS["letter"], {}, frozenset())
        draw_sheet(press, Sheet(100, 50, shapes), 0, 0, 2.0, 1.0, broken=broken)  # type: ignore[arg-type]
        return "\n".join(canvas._code).count("W*")

    through, beside, word = Line(((0, 20), (100, 20))), Line(((0, 40), (100, 40))), Text(50, 19.5, "hedge")
    assert clips(through, beside, word) == 1
    assert clips(beside, word) == 0
    assert clips(through, Text(50, 19.5, "E")) == 0  # a letter in a symbol
    assert clips(through, word, broken=False) == 0
    assert clips(Circle(50, 20, 3, fill="tint"), word) == 1  # its line, not what it is filled with
