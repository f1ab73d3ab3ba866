"""The shapes a drawing is made of.

Origin at the lower left, x to the right, y up. A `schematic` is in millimeters of paper; a `to_scale`
drawing is in meters of the site. Tones are "ink", "gray", "pale", "accent" and "white", and "shade", "haze" and "tint",
from dark to light, for what lies behind the rest; weights are in points, and a polygon of weight 0 has no outline.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

Tone: TypeAlias = Literal["ink", "gray", "pale", "shade", "haze", "tint", "accent", "white"]
Anchor: TypeAlias = Literal["start", "middle", "end"]


class Line(NamedTuple):
    """A line through two or more points."""

    points: tuple[tuple[float, float], ...]
    weight: float = 0.8
    tone: Tone = "ink"
    dashed: bool = False


Ring: TypeAlias = tuple[tuple[float, float], ...]


class Polygon(NamedTuple):
    """What lies within `points` but for its `holes`, each a ring of its own. `hatch` is the distance in millimeters of
    paper between the lines, at 45 degrees and as heavy as the outline's, that are drawn over it; 0 for none.
    """

    points: Ring
    weight: float = 0.8
    tone: Tone = "ink"
    fill: Tone | None = None
    dashed: bool = False
    holes: tuple[Ring, ...] = ()
    hatch: float = 0.0


class Circle(NamedTuple):
    x: float
    y: float
    radius: float
    weight: float = 0.8
    tone: Tone = "ink"
    fill: Tone | None = None
    dashed: bool = False


class Arc(NamedTuple):
    """Part of a circle from `start` through `sweep` degrees, counter-clockwise from the x axis."""

    x: float
    y: float
    radius: float
    start: float
    sweep: float
    weight: float = 0.8
    tone: Tone = "ink"


class RoundRect(NamedTuple):
    """A rectangle with rounded corners; x, y is its lower left."""

    x: float
    y: float
    width: float
    height: float
    radius: float = 0.0
    weight: float = 0.8
    tone: Tone = "ink"
    fill: Tone | None = None


class Text(NamedTuple):
    """One line of text; x, y is on its baseline at the anchor; `size` in points."""

    x: float
    y: float
    text: str
    size: float = 7.5
    anchor: Anchor = "start"
    tone: Tone = "ink"
    strong: bool = False


Shape: TypeAlias = Line | Polygon | Circle | Arc | RoundRect | Text
SHAPES = (Line, Polygon, Circle, Arc, RoundRect, Text)


HALF_WIDE, HALF_HIGH = 87.6, 52.0  # mm, of a plot: two such stand beside one another on a page


class Sheet(NamedTuple):
    """`clipped`: what lies outside it is cut off at its edge. The host sets it, and says so in a finding."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    clipped: bool = False


class Drawing(NamedTuple):
    """`told` names what a plot shows, for those who hear it read: its words alone, mostly ticks, tell little.

    `scale`: 240 for 1 : 240, or 1 in to 20 ft, of a drawing that is `to_scale`. It is kept where the page has room,
    else the next smaller one is taken, and said. 0 takes the largest that fits. `small`: the same with few words, laid
    out for where it is printed small.
    """

    key: str
    title: str
    kind: Literal["schematic", "to_scale"]
    sheets: tuple[Sheet, ...]
    note: str = ""
    told: tuple[str, ...] = ()
    scale: int = 0
    small: Sheet | None = None
