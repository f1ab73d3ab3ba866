"""Rings, holes, hatch, and a drawing to a scale that it states."""

from __future__ import annotations

import io
import math
import re
import sys
from pathlib import Path

import pypdf
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "packet"))

from fake import fake

from specc.drawing.hatch import hatching
from specc.drawing.shapes import Drawing, Polygon, Sheet
from specc.drawing.svg import to_svg
from specc.packet.drawing_pdf import render_drawing
from specc.packet.pictures import Picture

OUTER = ((0.0, 0.0), (8.0, 0.0), (8.0, 8.0), (0.0, 8.0))
HOLE = ((2.0, 2.0), (6.0, 2.0), (6.0, 6.0), (2.0, 6.0))
YARD = Polygon(OUTER, fill="pale", holes=(HOLE,), hatch=1.0)


def inside(x: float, y: float) -> bool:
    return 0 < x < 8 and 0 < y < 8 and not (2 < x < 6 and 2 < y < 6)


@pytest.mark.parametrize("gap", [0.3, 0.5, 1.0, 3.0])
def test_hatch_lies_inside_and_out_of_holes_and_is_as_wide_as_said(gap: float) -> None:
    lines = hatching(YARD._replace(hatch=gap), 1.0)
    total = 0.0
    for (x1, y1), (x2, y2) in lines:
        assert y2 - x2 == pytest.approx(y1 - x1)
        total += math.dist((x1, y1), (x2, y2))
        for share in (0.01, 0.5, 0.99):
            assert inside(x1 + share * (x2 - x1), y1 + share * (y2 - y1))
    assert total * gap == pytest.approx(48.0, rel=0.15 * gap)  # lines a gap apart cover the area
    levels = sorted({round((y1 - x1) / math.sqrt(2) / gap, 9) for (x1, y1), _ in lines})
    assert all(n == round(n) for n in levels)


def test_no_hatch_and_one_that_is_too_close_draw_no_lines() -> None:
    assert hatching(YARD._replace(hatch=0.0), 1.0) == []
    assert hatching(YARD._replace(hatch=1e-9), 1.0) == []
    assert hatching(Polygon((), hatch=1.0), 1.0) == []


def test_holes_are_left_out_in_svg() -> None:
    svg = to_svg(Drawing("d", "d", "schematic", (Sheet(8, 8, (YARD,)),)))
    assert 'fill-rule="evenodd"' in svg
    assert svg.count("Z") == 2
    assert to_svg(Drawing("d", "d", "schematic", (Sheet(8, 8, (Polygon(OUTER),)),))).count("<polygon") == 1


def test_a_stated_scale_is_kept_and_said() -> None:
    yard = Drawing("d", "Yard", "to_scale", (Sheet(8, 8, (YARD,)),), scale=240)
    k, said = Picture(yard, yard.sheets[0], "1", 600, 600)._scale(500)
    assert k == pytest.approx(1000 / 240 * 72 / 25.4)
    assert said == "Scale: 1 in = 20 ft, 1 : 240."
    wide = re.search(r'width="([\d.]+)mm"', to_svg(yard))
    assert wide is not None
    assert float(wide[1]) == pytest.approx(8000 / 240, abs=0.001)


def test_a_scale_that_does_not_fit_gives_way_and_the_one_taken_is_said() -> None:
    field = Drawing("d", "Field", "to_scale", (Sheet(100, 100, (YARD,)),), scale=100)
    _, said = Picture(field, field.sheets[0], "1", 600, 600)._scale(500)
    assert said.startswith("Scale: 1 in = ")
    assert "1 : 100." not in said


def test_hatch_and_holes_are_printed() -> None:
    yard = Drawing("d", "Yard", "to_scale", (Sheet(8, 8, (YARD,)),), scale=100)
    page = pypdf.PdfReader(io.BytesIO(render_drawing(fake(), yard))).pages[0]
    content = page.get_contents()
    assert content is not None
    drawn = content.get_data()
    assert b" B*" in drawn or b"\nB*" in drawn  # fill and stroke, even-odd
    assert "1 : 100." in page.extract_text()
