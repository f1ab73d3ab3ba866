"""Drawings on the page: shapes to strokes, at paper size or at a plain scale.

A schematic is drawn at its own size in millimeters, or smaller where the page is. A drawing to scale gets
the largest scale of the list that fits, so that it can be measured with a ruler.
"""

from __future__ import annotations

from typing import TypeAlias

from specc.drawing.hatch import hatching
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, RoundRect, Shape, Sheet, Text, Tone
from specc.drawing.tones import COLORS
from specc.packet.layout import PageItem
from specc.packet.press import Press
from specc.packet.style import QUIET, STRONG, SUBHEADING, Color, Paper
from specc.packet.text import WIDE, Paragraph, Span, wide

POINTS_PER_MM = 72.0 / 25.4
FEET = (
    1,
    2,
    3,
    4,
    5,
    6,
    8,
    10,
    12,
    15,
    16,
    20,
    24,
    30,
    32,
    40,
    50,
    60,
    80,
    100,
    120,
    150,
    200,
    300,
    400,
    500,
    600,
    800,
    1000,
    2000,
    5000,
)
LEAST_SCHEMATIC = 0.72  # smaller than this part of its size, its letters are hard to read
LEAST_SCALED = 0.55
TURNED = 1.05  # a drawing wider than this part of the measure lies on its side
LEAST_LETTERS = 7.0  # points; letters are not shrunk below

Box: TypeAlias = tuple[float, float, float, float]  # left, low, right, high


def tone(name: Tone) -> Color:
    text = COLORS[name].lstrip("#")
    return int(text[0:2], 16) / 255, int(text[2:4], 16) / 255, int(text[4:6], 16) / 255


def _inch(scale: int) -> str:
    """An inch of paper in feet, where that is a whole number of them."""
    return f"1 in = {scale // 12} ft, " if scale % 12 == 0 else ""


def page_of(drawing: Drawing, paper: Paper) -> Paper:
    """The page that a drawing stands on: one on its side where a schematic is wider than the page is.

    One that is little wider, as A4 is narrower than Letter, is drawn that much smaller: its letters stay readable.
    """
    wide = max((s.width for s in drawing.sheets), default=0.0)
    lies = drawing.kind == "schematic" and bool(paper.larger or wide * POINTS_PER_MM > paper.measure * TURNED)
    return paper.lying if lies else paper


class Picture(PageItem):
    """One sheet of a drawing with its caption below."""

    def __init__(
        self,
        drawing: Drawing,
        sheet: Sheet,
        number: str,
        most: float,
        tallest: float,
        before: float = 12.0,
        more: str = "",
        small: bool = False,
        grown: float = 1.0,
    ) -> None:
        self.drawing, self.sheet, self.number, self.most = drawing, sheet, number, most
        self.tallest, self.before, self.more, self.small = tallest, before, more, small
        self.grown = grown  # times its size, at the most, that a schematic is drawn

    def _scale(self, width: float) -> tuple[float, str]:
        """Points to a unit of the sheet, and the scale in words."""
        wide, tall = max(self.sheet.width, 1e-9), max(self.sheet.height, 1e-9)
        fit = min(width / wide, min(self.most, self.tallest - 40) / tall)
        if self.drawing.kind == "schematic":
            return min(POINTS_PER_MM * self.grown, fit), ""
        asked = self.drawing.scale
        if asked and (k := POINTS_PER_MM * 1000 / asked) <= fit:
            return k, f"Scale: {_inch(asked)}1 : {asked}."
        for feet in FEET:
            k = 72.0 / (feet * 0.3048)
            if k <= fit:
                return k, f"Scale: 1 in = {feet} ft (1 : {feet * 12})."
        return fit, "Not to a plain scale."

    def _caption(self, width: float) -> Paragraph:
        if self.small:
            return Paragraph(self._scale(width)[1] or self.drawing.title, QUIET)
        title = self.drawing.title + (f", {self.more}" if self.more else "")
        parts = [Span(f"{self.number}{WIDE}{title}", SUBHEADING)]
        small = " ".join(t for t in (self.drawing.note, self._scale(width)[1]) if t)
        if small:
            parts.append(Span(WIDE + small, QUIET))
        return Paragraph(parts, STRONG)

    def height(self, width: float) -> float:
        k = self._scale(width)[0]
        return self.sheet.height * k + 8 + self._caption(width).height(width)

    def least(self, width: float) -> float:
        """How low `shrink` can surely make it."""
        now = self._scale(width)[0]
        if self.drawing.kind == "schematic":
            k = LEAST_SCHEMATIC * min(POINTS_PER_MM, now)
        else:
            plain = [k for feet in FEET if LEAST_SCALED * now <= (k := 72.0 / (feet * 0.3048)) <= now]
            k = min(plain, default=now)
        return max(self.sheet.height * k + 9 + self._caption(width).height(width), 121.0)

    def shrink(self, width: float, room: float) -> PageItem | None:
        caption = self._caption(width).height(width) + 8
        now = self._scale(width)[0]
        smaller = Picture(
            self.drawing,
            self.sheet,
            self.number,
            room - caption,
            self.tallest,
            self.before,
            self.more,
            self.small,
            self.grown,
        )
        smaller.anchor = self.anchor
        k = smaller._scale(width)[0]
        if self.drawing.kind == "schematic":
            good = k >= LEAST_SCHEMATIC * min(POINTS_PER_MM, now)
        else:
            good = k >= LEAST_SCALED * now
        return smaller if good and room > 120 and smaller.height(width) <= room + 0.01 else None

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        k = self._scale(width)[0]
        left = x + (width - self.sheet.width * k) / 2 if self.drawing.kind == "to_scale" else x
        low = y - self.sheet.height * k
        shrunk = k / POINTS_PER_MM if self.drawing.kind == "schematic" else 1.0
        sheet = uncrowded(self.sheet, k) if self.small else self.sheet
        draw_sheet(press, sheet, left, low, k, shrunk, broken=self.drawing.kind == "to_scale")
        self._caption(width).draw(press, x, low - 8, width)


def uncrowded(sheet: Sheet, k: float) -> Sheet:
    """The sheet with no word over another nor over its edge, at `k` points to its unit: letters keep their size when a
    plan is printed small, and words that lie on one another tell nothing. What is strong goes first. All of them stand
    on the plan itself.
    """
    kept: list[Box] = []
    left_out: set[int] = set()
    texts = [(n, s) for n, s in enumerate(sheet.shapes) if isinstance(s, Text)]
    for n, shape in sorted(texts, key=lambda t: (not t[1].strong, t[0])):
        box = _box(shape, k)
        inside = box[0] >= -1 and box[2] <= sheet.width * k + 1
        if inside and not any(_meet(box, b) for b in kept):
            kept.append(box)
        else:
            left_out.add(n)
    return sheet._replace(shapes=tuple(s for n, s in enumerate(sheet.shapes) if n not in left_out))


def draw_sheet(
    press: Press, sheet: Sheet, x: float, y: float, k: float, shrunk: float, *, broken: bool = False
) -> None:
    """A sheet's shapes, its lower left at x, y; `k` points to its unit. Of a clipped one what lies inside. Where
    `broken`, words break the lines that they stand on."""
    c = press.canvas
    if sheet.clipped:
        c.saveState()
        edge = c.beginPath()
        edge.rect(x, y, sheet.width * k, sheet.height * k)
        c.clipPath(edge, stroke=0, fill=0)
    # A letter in a symbol belongs to it.
    words = [_box(s, k) for s in sheet.shapes if broken and isinstance(s, Text) and len(s.text) > 1]
    for shape in sheet.shapes:
        over: list[Box] = []
        if words and not isinstance(shape, Text):
            bounds = _bounds(shape, k)
            over = [b for b in words if _meet(bounds, b)]
        if not over or isinstance(shape, Text):
            _draw(press, shape, x, y, k, shrunk)
            continue
        # What a line is filled with goes on under the word that breaks it.
        line = shape
        if not isinstance(shape, Line | Arc) and shape.fill:
            _draw(press, shape._replace(weight=0.0), x, y, k, shrunk)
            line = shape._replace(fill=None)
        if line.weight > 0:
            c.saveState()
            for box in over:
                _leave_out(press, box, x, y, (sheet.width * k, sheet.height * k))
            _draw(press, line, x, y, k, shrunk)
            c.restoreState()
    if sheet.clipped:
        c.restoreState()


def _box(text: Text, k: float) -> Box:
    """Where a text stands, in points from the sheet's lower left."""
    size = max(text.size, LEAST_LETTERS)
    long = wide(text.text, (STRONG if text.strong else QUIET)._replace(size=size))
    left = text.x * k - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * long
    return left - 1, text.y * k - 0.25 * size, left + long + 1, text.y * k + 0.8 * size


def _bounds(shape: Line | Polygon | Circle | Arc | RoundRect, k: float) -> Box:
    if isinstance(shape, Line | Polygon):
        xs, ys = zip(*shape.points, strict=True)
        return min(xs) * k, min(ys) * k, max(xs) * k, max(ys) * k
    if isinstance(shape, RoundRect):
        return shape.x * k, shape.y * k, (shape.x + shape.width) * k, (shape.y + shape.height) * k
    r = shape.radius
    return (shape.x - r) * k, (shape.y - r) * k, (shape.x + r) * k, (shape.y + r) * k


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _leave_out(press: Press, box: Box, x: float, y: float, sheet: tuple[float, float]) -> None:
    """Draw nothing inside a box from here on."""
    path = press.canvas.beginPath()
    path.rect(x - 50, y - 50, sheet[0] + 100, sheet[1] + 100)
    path.rect(x + box[0], y + box[1], box[2] - box[0], box[3] - box[1])
    press.canvas.clipPath(path, stroke=0, fill=0, fillMode=0)  # even-odd: the inner one is left out


def _pen(press: Press, shape: Line | Polygon | Circle | Arc | RoundRect, shrunk: float) -> None:
    c = press.canvas
    c.setStrokeColorRGB(*tone(shape.tone))
    c.setLineWidth(shape.weight * shrunk)
    if getattr(shape, "dashed", False):
        c.setDash(3, 3)


def _draw(press: Press, shape: Shape, x: float, y: float, k: float, shrunk: float) -> None:
    c = press.canvas
    if isinstance(shape, Text):
        style = STRONG if shape.strong else QUIET
        style = style._replace(size=max(shape.size * shrunk, LEAST_LETTERS), color=tone(shape.tone))
        align = {"start": "left", "middle": "middle", "end": "right"}[shape.anchor]
        press.text(x + shape.x * k, y + shape.y * k, shape.text, style, align)
        return
    c.saveState()
    _pen(press, shape, shrunk)
    fill = getattr(shape, "fill", None)
    if fill:
        c.setFillColorRGB(*tone(fill))
    if isinstance(shape, Line | Polygon):
        path = c.beginPath()
        rings = (shape.points, *shape.holes) if isinstance(shape, Polygon) else (shape.points,)
        for ring in rings:
            for n, (a, b) in enumerate(ring):
                (path.lineTo if n else path.moveTo)(x + a * k, y + b * k)
            if isinstance(shape, Polygon):
                path.close()
        if not isinstance(shape, Polygon):
            c.setLineCap(1)
        c.setLineJoin(1)
        # Fill mode 0 is even-odd: a hole is left out, whichever way its ring runs.
        c.drawPath(path, stroke=int(shape.weight > 0), fill=int(bool(fill)), fillMode=0)
        if isinstance(shape, Polygon):
            c.setDash()
            for (x1, y1), (x2, y2) in hatching(shape, POINTS_PER_MM * shrunk / k):
                c.line(x + x1 * k, y + y1 * k, x + x2 * k, y + y2 * k)
    elif isinstance(shape, Circle):
        c.circle(
            x + shape.x * k,
            y + shape.y * k,
            shape.radius * k,
            stroke=int(shape.weight > 0),
            fill=int(bool(fill)),
        )
    elif isinstance(shape, Arc):
        r = shape.radius * k
        a, b = x + shape.x * k, y + shape.y * k
        c.arc(a - r, b - r, a + r, b + r, shape.start, shape.sweep)
    else:
        at = (x + shape.x * k, y + shape.y * k, shape.width * k, shape.height * k)
        c.roundRect(*at, shape.radius * k, stroke=int(shape.weight > 0), fill=int(bool(fill)))
    c.restoreState()
