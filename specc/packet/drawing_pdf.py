"""One drawing as a PDF by itself: a page for each of its sheets, to hang on a wall or hold in the hand.

It looks as it does in the packet, and says as much: whose it is, which revision, which sheet of how many, that it
is a draft while there are errors, and who decides.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Literal

from specc.drawing.shapes import Drawing, Sheet
from specc.model.result import Result
from specc.packet import fonts
from specc.packet.assemble import _draft, _fitted
from specc.packet.back import DEFERRAL
from specc.packet.canvas import bare_streams, opened
from specc.packet.desk import clip, failures, short_digest
from specc.packet.pictures import POINTS_PER_MM, Picture, draw_sheet
from specc.packet.press import Press
from specc.packet.style import ALARM, FINE_STRONG, HEADING, QUIET, SHEETS, Paper
from specc.packet.text import Paragraph

SUBJECT = "One drawing of a propane flame effect"
LARGEST = 1.4  # a schematic is enlarged up to this, to be read at arm's length
_GAP = 8.0
_TITLE = 26.0


def render_drawing(result: Result, drawing: Drawing, paper: Literal["letter", "a4", "tabloid"] = "letter") -> bytes:
    """The drawing as PDF bytes, one page a sheet, upright or lying as it is larger. The same drawing of the same
    Result gives the same bytes.

    A drawing without sheets gives one page that says so. `paper` is "letter", "a4" or "tabloid"; any
    other is a ValueError.
    """
    if paper not in SHEETS:
        raise ValueError(f"no paper {paper!r}; there is {', '.join(SHEETS)}")
    why = failures(result)
    page, largest = _turned(drawing, SHEETS[paper], _words(drawing, why))
    buffer = io.BytesIO()
    with bare_streams():
        # A canvas names a first font on every page, used or not: one that is embedded.
        name = fonts.font_of("regular")
        fonts.face(name)
        revision = f", revision {result.revision}" if result.revision else ""
        canvas = opened(buffer, result, page, f"{result.title}, {drawing.title}{revision}", SUBJECT, name)
        press = Press(canvas, page, {})
        total = max(len(drawing.sheets), 1)
        for number in range(1, total + 1):
            if why:
                _draft(press)
            _frame(press, result, drawing, f"sheet {number} of {total}")
            sheet = drawing.sheets[number - 1] if drawing.sheets else None
            _show(press, drawing, sheet, largest, why)
            canvas.showPage()
        canvas.save()
    return buffer.getvalue()


def _turned(drawing: Drawing, paper: Paper, words: Sequence[Paragraph]) -> tuple[Paper, float]:
    """The paper upright or lying, whichever shows the drawing larger, and the scale of a schematic's sheets: one for
    all, so that they can be laid beside one another."""
    lying = paper._replace(width=paper.height, height=paper.width)
    scales = []
    for page in (paper, lying):
        wide, tall = page.measure, _room(page, words)
        fits = [min(wide / max(s.width, 1e-9), tall / max(s.height, 1e-9)) for s in drawing.sheets]
        scales.append(min(fits, default=POINTS_PER_MM))
    turn = scales[1] > scales[0]
    return (lying, scales[1]) if turn else (paper, scales[0])


def _words(drawing: Drawing, why: Sequence[str]) -> list[Paragraph]:
    """What stands under the picture."""
    said = [Paragraph("DRAFT: " + "; ".join(why), ALARM)] if why else []
    return [*said, Paragraph(drawing.note, QUIET)] if drawing.note else said


def _room(page: Paper, words: Sequence[Paragraph]) -> float:
    """The height that is left for the picture, with a line for a scale."""
    return page.room - _TITLE - _GAP - QUIET.leading - sum(w.height(page.measure) for w in words)


def _show(press: Press, drawing: Drawing, sheet: Sheet | None, largest: float, why: Sequence[str]) -> None:
    page = press.paper
    y = page.first_line - HEADING.size
    # Measured in the running head's size, which has the same weight.
    title = _fitted(clip(drawing.title, 120), page.measure * FINE_STRONG.size / HEADING.size)
    press.text(page.left, y, title, HEADING)
    words = _words(drawing, why)
    low = page.first_line - _TITLE
    if sheet is None:
        words.insert(0, Paragraph("There is nothing to draw.", QUIET))
    else:
        k, said = min(largest, LARGEST * POINTS_PER_MM), ""
        if drawing.kind == "to_scale":
            room = _room(page, words)
            k, said = Picture(drawing, sheet, "", room, room + 40)._scale(page.measure)
        low -= sheet.height * k
        shrunk = k / POINTS_PER_MM if drawing.kind == "schematic" else 1.0
        left = page.left + (page.measure - sheet.width * k) / 2
        draw_sheet(press, sheet, left, low, k, shrunk, broken=drawing.kind == "to_scale")
        words += [Paragraph(said, QUIET)] if said else []
    low -= _GAP
    for item in words:
        item.draw(press, page.left, low, page.measure)
        low -= item.height(page.measure)


def _frame(press: Press, result: Result, drawing: Drawing, sheet: str) -> None:
    """Running head and footer, as on the packet's pages."""
    page = press.paper
    left, right = page.left, page.width - page.right
    y = page.height - page.top - 8
    used = press.text(left, y, _fitted(clip(result.title, 120), page.measure * 0.6), FINE_STRONG)
    if result.revision:
        press.text(left + used + 10, y, f"revision {clip(result.revision, 24)}", QUIET)
    press.text(right, y, sheet, QUIET, "right")
    press.line(left, y - 7, right, y - 7)
    y = page.bottom + 10
    press.line(left, y + 11, right, y + 11)
    press.text(left, y, DEFERRAL, QUIET)
    press.text(right, y, sheet, QUIET, "right")
    press.text(left, y - 9, f"digest {short_digest(result.digest)}", QUIET)
    press.text(right, y - 9, f"drawing {clip(drawing.key, 40)}", QUIET, "right")
