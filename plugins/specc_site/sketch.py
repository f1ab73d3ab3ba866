"""The site plan in the making: shapes and labels in mm of paper."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from specc.drawing.shapes import Circle, Line, Polygon, RoundRect, Shape, Sheet, Tone
from specc_site.labels import Labels
from specc_site.line_styles import PlanLine, lines_of

MARGIN = 4.0  # mm


class Sketch:
    """The shapes so far, in mm of paper; `k` is mm of paper to a meter of the site; `strip`: how tall it is below the
    plan, for the scale bar, north and the legend."""

    def __init__(
        self, low: tuple[float, float], high: tuple[float, float], feet: int, strip: float, margin: float = MARGIN
    ) -> None:
        self.scale, self.strip, self.margin = feet * 12, strip, margin
        self.k = 1000.0 / self.scale
        self.x0, self.y0 = low
        self.meters = False  # lengths are said in these, too
        self.wide = (high[0] - low[0]) * self.k + 2 * self.margin
        self.tall = (high[1] - low[1]) * self.k + 2 * self.margin + self.strip
        self.shapes: list[Shape] = []
        self.over: list[Shape] = []  # lines that decide: no label's ground hides them
        self.signs: list[Shape] = []  # drawn last, under words alone
        self.labels = Labels((1.0, self.strip + 1.0, self.wide - 1.0, self.tall - 1.0))

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (x - self.x0) * self.k + self.margin, (y - self.y0) * self.k + self.margin + self.strip

    def back(self, x: float, y: float) -> tuple[float, float]:
        """The spot of the site, in m, that a spot on the paper shows."""
        return (x - self.margin) / self.k + self.x0, (y - self.margin - self.strip) / self.k + self.y0

    def line(
        self, spots: Iterable[tuple[float, float]], weight: float, tone: Tone = "ink", dashed: bool = False
    ) -> None:
        points = tuple(spots)
        self.over.append(Line(points, weight, tone, dashed))
        if weight >= 0.8 and not dashed:
            self.labels.lines += [(*a, *b) for a, b in itertools.pairwise(points)]

    def styled(self, spots: Iterable[tuple[float, float]], style: PlanLine) -> None:
        points = tuple(spots)
        self.over += lines_of(points, style)
        pieces = [(*a, *b) for a, b in itertools.pairwise(points)]
        if style.weight >= 0.8 and not style.pattern:
            self.labels.lines += pieces
        else:
            self.labels.thin += pieces

    def sheet(self) -> Sheet:
        m = 1 / self.k

        def grow(shape: Shape) -> Shape:
            if isinstance(shape, Line):
                return shape._replace(points=tuple((x * m, y * m) for x, y in shape.points))
            if isinstance(shape, Polygon):
                holes = tuple(tuple((x * m, y * m) for x, y in h) for h in shape.holes)
                return shape._replace(points=tuple((x * m, y * m) for x, y in shape.points), holes=holes)
            if isinstance(shape, Circle):
                return shape._replace(x=shape.x * m, y=shape.y * m, radius=shape.radius * m)
            if isinstance(shape, RoundRect):
                return shape._replace(
                    x=shape.x * m,
                    y=shape.y * m,
                    width=shape.width * m,
                    height=shape.height * m,
                    radius=shape.radius * m,
                )
            return shape._replace(x=shape.x * m, y=shape.y * m)

        return Sheet(self.wide * m, self.tall * m, tuple(grow(s) for s in self.shapes))
