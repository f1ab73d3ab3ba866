"""A drawing as SVG text: the same drawing gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, radians, sin
from xml.sax.saxutils import escape, quoteattr

from specc.drawing.hatch import hatching
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, RoundRect, Shape, Sheet, Text, Tone
from specc.drawing.text import text_width
from specc.drawing.tones import COLORS, FONTS, MM_PER_POINT

LEAST = 7.0  # points: no letter is smaller, as in the packet
_GAP = 6.0  # between stacked sheets, mm
_SITE_WIDTH = 180.0  # a to-scale drawing is shown this wide, mm


def to_svg(drawing: Drawing, sheet: int | None = 0) -> str:
    """One sheet of a drawing, or all sheets one under another when `sheet` is None.

    Text in the drawing is escaped; letters that XML cannot hold become a question mark. Raises IndexError
    for a sheet that is not there; a drawing without sheets gives an empty picture.
    """
    sheets = drawing.sheets if sheet is None else (drawing.sheets[sheet],)
    drawn = [(s, _scale(drawing, s)) for s in sheets]
    width = max((s.width * k for s, k in drawn), default=10.0)
    height = sum(s.height * k for s, k in drawn) + _GAP * max(0, len(drawn) - 1) if drawn else 10.0
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm"'
        f' viewBox="0 0 {_n(width)} {_n(height)}" role="img" font-family={quoteattr(FONTS)}>',
        f"<title>{_safe(drawing.title)}</title>",
        f"<desc>{_safe(_description(drawing))}</desc>",
    ]
    top = 0.0
    for one, k in drawn:
        # y is flipped here, once, for every number below.
        size = f'width="{_n(one.width * k)}" height="{_n(one.height * k)}"'
        # An svg within cuts off what is outside of it; a group does not.
        part = f'svg y="{_n(top)}" {size} overflow="hidden"' if one.clipped else f'g transform="translate(0 {_n(top)})"'
        lines.append(f"<{part}>")
        # A ground of its own: on the dark page of a viewer ink would not be seen.
        lines.append(f'<rect {size} fill="{COLORS["white"]}"/>')
        lines += [_shape(shape, one.height, k) for shape in one.shapes]
        lines.append("</svg>" if one.clipped else "</g>")
        top += one.height * k + _GAP
    return "\n".join([*lines, "</svg>", ""])


def _scale(drawing: Drawing, sheet: Sheet) -> float:
    if drawing.kind == "schematic" or sheet.width <= 0:
        return 1.0
    if drawing.scale:
        return 1000.0 / drawing.scale
    return _SITE_WIDTH / sheet.width


def _description(drawing: Drawing) -> str:
    """For those who hear it read: the note, and every word in the drawing in its order; of a plot its title, its note
    and the names of its lines."""
    if drawing.told:
        parts = (drawing.title, drawing.note, "Lines: " + "; ".join(drawing.told))
        return ". ".join(part.rstrip(".") for part in parts if part) + "."
    words = [shape.text for sheet in drawing.sheets for shape in sheet.shapes if isinstance(shape, Text)]
    return ". ".join(part for part in (drawing.note, "; ".join(words)) if part)


def _n(value: float) -> str:
    """A number with at most three decimals, and no minus zero."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _safe(text: str) -> str:
    kept = "".join(c if _is_xml(ord(c)) else "?" for c in text)
    return escape(kept)


def _is_xml(code: int) -> bool:
    return code in (9, 10, 13) or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000


def _stroke(weight: float, tone: Tone, dashed: bool = False) -> str:
    if weight <= 0:
        return 'stroke="none"'
    wide = weight * MM_PER_POINT
    cap = 'stroke-dasharray="1 1"' if dashed else 'stroke-linecap="round" stroke-linejoin="round"'
    return f'stroke="{COLORS[tone]}" stroke-width="{_n(wide)}" {cap}'


def _fill(tone: Tone | None) -> str:
    return f'fill="{COLORS[tone] if tone else "none"}"'


def _points(points: Iterable[tuple[float, float]], height: float, k: float) -> str:
    return " ".join(f"{_n(x * k)},{_n((height - y) * k)}" for x, y in points)


def _shape(shape: Shape, high: float, k: float) -> str:
    if isinstance(shape, Line):
        stroke = _stroke(shape.weight, shape.tone, shape.dashed)
        return f'<polyline points="{_points(shape.points, high, k)}" fill="none" {stroke}/>'
    if isinstance(shape, Polygon):
        stroke = _stroke(shape.weight, shape.tone, shape.dashed)
        if not (shape.holes or shape.hatch):
            return f'<polygon points="{_points(shape.points, high, k)}" {_fill(shape.fill)} {stroke}/>'
        rings = "".join(f"M{_points(ring, high, k)}Z" for ring in (shape.points, *shape.holes))
        whole = f'<path d="{rings}" fill-rule="evenodd" {_fill(shape.fill)} {stroke}/>'
        lines = "".join(f"M{_points(ends, high, k)}" for ends in hatching(shape, 1 / k))
        return whole + (f'<path d="{lines}" fill="none" {_stroke(shape.weight, shape.tone)}/>' if lines else "")
    if isinstance(shape, Circle):
        stroke = _stroke(shape.weight, shape.tone, shape.dashed)
        place = f'cx="{_n(shape.x * k)}" cy="{_n((high - shape.y) * k)}" r="{_n(shape.radius * k)}"'
        return f"<circle {place} {_fill(shape.fill)} {stroke}/>"
    if isinstance(shape, Arc):
        return _arc(shape, high, k)
    if isinstance(shape, RoundRect):
        place = f'x="{_n(shape.x * k)}" y="{_n((high - shape.y - shape.height) * k)}"'
        size = f'width="{_n(shape.width * k)}" height="{_n(shape.height * k)}" rx="{_n(shape.radius * k)}"'
        return f"<rect {place} {size} {_fill(shape.fill)} {_stroke(shape.weight, shape.tone)}/>"
    strong = ' font-weight="600"' if shape.strong else ""
    place = f'x="{_n(shape.x * k)}" y="{_n((high - shape.y) * k)}"'
    # In whatever font a viewer has, words are as wide as they were laid out, and do not run over what is beside them.
    letters = max(shape.size, LEAST)
    wide = text_width(shape.text, letters, shape.strong)
    held = f' textLength="{_n(wide)}" lengthAdjust="spacingAndGlyphs"' if len(shape.text.strip()) > 1 else ""
    return (
        f'<text {place} font-size="{_n(letters * MM_PER_POINT)}"'
        f' text-anchor="{shape.anchor}" fill="{COLORS[shape.tone]}"{strong}{held}>{_safe(shape.text)}</text>'
    )


def _arc(arc: Arc, high: float, k: float) -> str:
    ends = []
    # A whole turn has no ends to draw between: it is drawn in two halves.
    steps = 2 if abs(arc.sweep) > 180 else 1
    for i in range(steps + 1):
        angle = radians(arc.start + arc.sweep * i / steps)
        x, y = arc.x + arc.radius * cos(angle), high - arc.y - arc.radius * sin(angle)
        ends.append(f"{_n(x * k)} {_n(y * k)}")
    r = _n(arc.radius * k)
    turn = 0 if arc.sweep > 0 else 1
    path = f"M{ends[0]}" + "".join(f" A{r} {r} 0 0 {turn} {end}" for end in ends[1:])
    return f'<path d="{path}" fill="none" {_stroke(arc.weight, arc.tone)}/>'
