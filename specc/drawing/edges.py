"""Which shapes of a sheet lie outside it: they would be printed over the text beside the drawing."""

from __future__ import annotations

from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, RoundRect, Shape, Sheet, Text
from specc.drawing.text import text_width

_SLACK = 0.01  # of the sheet's larger side: half the width of a heavy line, or a rounding


def clipped(drawing: Drawing) -> tuple[Drawing, int]:
    """The drawing with the sheets marked that have shapes outside their edges, and the number of such shapes."""
    counts = [sum(_is_outside(shape, sheet, drawing) for shape in sheet.shapes) for sheet in drawing.sheets]
    if not any(counts):
        return drawing, 0
    sheets = tuple(
        sheet._replace(clipped=True) if n else sheet for sheet, n in zip(drawing.sheets, counts, strict=True)
    )
    return drawing._replace(sheets=sheets), sum(counts)


def _is_outside(shape: Shape, sheet: Sheet, drawing: Drawing) -> bool:
    left, low, right, high = _extent(shape)
    slack = _SLACK * max(sheet.width, sheet.height)
    if min(left, low, sheet.width - right, sheet.height - high) < -slack:
        return True
    # Widths of text are guessed, and on the generous side: only one that cannot fit at all is counted.
    if not isinstance(shape, Text) or drawing.kind != "schematic":
        return False
    return text_width(shape.text, shape.size, shape.strong) > 1.5 * sheet.width + 2 * slack


def _extent(shape: Shape) -> tuple[float, float, float, float]:
    """Left, low, right and high of a shape; of a text its anchor."""
    if isinstance(shape, Line | Polygon):
        across = [x for x, _ in shape.points] or [0.0]
        up = [y for _, y in shape.points] or [0.0]
        return min(across), min(up), max(across), max(up)
    if isinstance(shape, Circle | Arc):
        r = shape.radius
        return shape.x - r, shape.y - r, shape.x + r, shape.y + r
    if isinstance(shape, RoundRect):
        return shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
    return shape.x, shape.y, shape.x, shape.y
