"""Symbols for parts, in the manner of ISA 5.1 and ISO 14617, drawn by us; millimeters of paper.

Each function takes the place of the symbol on its line. Parts in the line are centered on it, and gas flows
from left to right. Parts that stand on the line (gauge, relief, cylinder) have their one port at that place.
Basis: the forms are drawn from memory of those standards, not checked against their text. Which part has which symbol
is said in plugins/specc_plumbing/schematic.py.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

from specc.drawing.shapes import Arc, Circle, Line, Polygon, RoundRect, Shape, Text

Shapes = tuple[Shape, ...]
Point = tuple[float, float]
LabelSlot = Literal["below", "right", "inside"]
# What a layout asks of a symbol. "small": a fitting in the line, drawn close to its like; "in_row": may stand among
# them; "length": lengths that follow one another are one; "passed": gas only passes through, so that an overview leaves
# it out; "junction": lines part or meet, its mark stands on the upright; "hub": several lines end, each by itself.
Trait = Literal["small", "in_row", "length", "passed", "junction", "hub"]

# Half length and half height of a valve's bow-tie.
VALVE = 2.2
RISE = 1.35
THIN = 0.8


class PartSymbol(NamedTuple):
    """How to draw a part, how far it reaches from its place, its ports, and where its tag goes."""

    draw: Callable[[float, float], Shapes]
    left: float
    right: float
    up: float
    down: float
    inlet: Point
    outlet: Point
    slot: LabelSlot = "below"
    top: float | None = None  # height at which a gauge or relief can stand on it; None where it cannot
    room: tuple[float, float, float] = (0.0, 0.0, 0.0)  # for labels inside: width, height, middle's height
    beside: float | None = None  # how far before or after it a gauge or relief can stand on the line
    traits: tuple[Trait, ...] = ()


def _bow_tie(x: float, y: float, fill: Literal["white", "ink"] = "white") -> Shapes:
    corners = ((-VALVE, RISE), (VALVE, -RISE), (VALVE, RISE), (-VALVE, -RISE))
    return (Polygon(tuple((x + a, y + b) for a, b in corners), THIN, "ink", fill),)


def flame(x: float, y: float, size: float = 1.0) -> Shape:
    """A small flame whose foot is at x, y."""
    outline = ((0, 0), (0.75, 0.6), (0.7, 1.3), (0.1, 2.4), (-0.05, 1.6), (-0.6, 1.2), (-0.7, 0.6))
    return Polygon(tuple((x + size * a, y + size * b) for a, b in outline), 0.6, "ink", "white")


def cylinder(x: float, y: float) -> Shapes:
    return (
        Line(((x, y), (x, y - 1.8)), 1.2),
        RoundRect(x - 1.1, y - 3.2, 2.2, 1.5, 0.2, THIN, "ink", "white"),
        RoundRect(x - 6.0, y - 14.2, 12.0, 11.0, 2.8, 1.1, "ink", "white"),
    )


def regulator(x: float, y: float) -> Shapes:
    return (
        Line(((x, y), (x, y + 2.6)), THIN),
        *_bow_tie(x, y),
        Arc(x, y + 2.6, 2.0, 0, 180, THIN),
        Line(((x - 2.0, y + 2.6), (x + 2.0, y + 2.6)), THIN),
    )


def ball_valve(x: float, y: float) -> Shapes:
    """A quarter-turn valve: bow-tie, ball and lever."""
    return (
        Line(((x, y), (x, y + 2.4)), THIN),
        Line(((x - 1.6, y + 2.4), (x + 1.6, y + 2.4)), THIN),
        *_bow_tie(x, y),
        Circle(x, y, 0.75, THIN, "ink", "white"),
    )


def needle_valve(x: float, y: float) -> Shapes:
    return (
        Line(((x - 1.2, y + 2.6), (x + 1.2, y + 2.6)), THIN),
        *_bow_tie(x, y),
        Line(((x, y + 2.6), (x, y + 0.9)), THIN),
        Polygon(((x - 0.55, y + 0.9), (x + 0.55, y + 0.9), (x, y - 0.9)), 0.6, "ink", "ink"),
    )


def globe_valve(x: float, y: float) -> Shapes:
    return (
        Line(((x, y), (x, y + 2.4)), THIN),
        Line(((x - 1.2, y + 2.4), (x + 1.2, y + 2.4)), THIN),
        *_bow_tie(x, y),
        Circle(x, y, 0.6, 0.6, "ink", "ink"),
    )


def check_valve(x: float, y: float) -> Shapes:
    """Flow goes with the arrow; the plate on the right stops the way back."""
    return (
        Polygon(((x - 1.7, y + 1.5), (x - 1.7, y - 1.5), (x + 1.5, y)), THIN, "ink", "white"),
        Line(((x + 1.5, y + 1.6), (x + 1.5, y - 1.6)), 1.0),
    )


def solenoid_valve(x: float, y: float) -> Shapes:
    return (
        Line(((x, y), (x, y + 2.4)), THIN),
        *_bow_tie(x, y),
        RoundRect(x - 1.6, y + 2.4, 3.2, 3.0, 0, THIN, "ink", "white"),
        Text(x, y + 3.1, "S", 6.0, "middle", "ink", True),
    )


def excess_flow_valve(x: float, y: float) -> Shapes:
    """A check that closes with the flow: an arrow in a box, its plate held off."""
    return (
        RoundRect(x - 2.4, y - 1.7, 4.8, 3.4, 0, THIN, "ink", "white"),
        Polygon(((x - 1.6, y + 0.9), (x - 1.6, y - 0.9), (x + 0.4, y)), 0.6, "ink", "ink"),
        Line(((x + 1.3, y + 1.1), (x + 1.3, y - 1.1)), 1.0),
    )


def relief_valve(x: float, y: float) -> Shapes:
    """Stands on the line and opens upward, to the air."""
    return (
        Line(((x, y), (x, y + 2.2)), THIN),
        Polygon(((x - 1.4, y + 2.2), (x + 1.4, y + 2.2), (x, y + 4.6)), THIN, "ink", "white"),
        Line(((x, y + 4.6), (x, y + 6.4)), THIN),
        Line(((x - 0.7, y + 5.6), (x, y + 6.4), (x + 0.7, y + 5.6)), THIN),
    )


def gauge(x: float, y: float) -> Shapes:
    return (
        Line(((x, y), (x, y + 2.2)), THIN),
        Circle(x, y + 4.1, 1.9, THIN, "ink", "white"),
        Text(x, y + 3.35, "P", 6.0, "middle", "ink", True),
    )


def hose(x: float, y: float) -> Shapes:
    """Two end fittings and a wavy run between them."""
    r = 1.0
    turns = (-180.0, 180.0, -180.0, 180.0)
    waves = tuple(Arc(x + (2 * i - 3) * r, y, r, 180.0, turn, 1.0) for i, turn in enumerate(turns))
    ends = tuple(Line(((x + side * 4 * r, y - 0.9), (x + side * 4 * r, y + 0.9)), 1.0) for side in (-1, 1))
    return (*waves, *ends)


def pipe(x: float, y: float) -> Shapes:
    return (
        Line(((x - 2.5, y), (x + 2.5, y)), 0.6),
        Line(((x - 0.6, y - 0.9), (x + 0.1, y + 0.9)), 0.6),
        Line(((x + 0.1, y - 0.9), (x + 0.8, y + 0.9)), 0.6),
    )


def tube(x: float, y: float) -> Shapes:
    return (Line(((x - 2.5, y), (x + 2.5, y)), 0.6), Line(((x - 0.35, y - 0.9), (x + 0.35, y + 0.9)), 0.6))


def fitting(x: float, y: float) -> Shapes:
    return (
        Line(((x - 1.2, y), (x + 1.2, y)), 1.0),
        Line(((x, y - 1.1), (x, y + 1.1)), THIN),
    )


def tee(x: float, y: float) -> Shapes:
    return (Circle(x, y, 0.75, 0.6, "ink", "ink"),)


def cross(x: float, y: float) -> Shapes:
    """Four ways: a square dot where a tee has a round one."""
    return (Polygon(((x - 1.0, y), (x, y + 1.0), (x + 1.0, y), (x, y - 1.0)), 0.6, "ink", "ink"),)


def _solid(x: float, y: float, corners: tuple[Point, ...]) -> Shape:
    return Polygon(tuple((x + a, y + b) for a, b in corners), THIN, "ink", "white")


def nipple(x: float, y: float) -> Shapes:
    """A short length of pipe, threaded outside at both ends."""
    ends = tuple(Line(((x + a, y - 0.5), (x + a, y + 0.5)), 0.5) for a in (-0.9, 0.9))
    return (_solid(x, y, ((-1.5, -0.5), (1.5, -0.5), (1.5, 0.5), (-1.5, 0.5))), *ends)


def coupling(x: float, y: float) -> Shapes:
    """A sleeve over two ends that meet in its middle."""
    sleeve = _solid(x, y, ((-1.2, -1.1), (1.2, -1.1), (1.2, 1.1), (-1.2, 1.1)))
    return (sleeve, Line(((x, y - 1.1), (x, y + 1.1)), 0.5))


def bushing(x: float, y: float) -> Shapes:
    """A hexagon head, and the body that goes into the larger thread."""
    head = (
        (-1.3, -1.2),
        (-0.3, -1.2),
        (-0.3, -0.75),
        (1.3, -0.75),
        (1.3, 0.75),
        (-0.3, 0.75),
        (-0.3, 1.2),
        (-1.3, 1.2),
    )
    return (_solid(x, y, head), Line(((x - 0.3, y - 0.75), (x - 0.3, y + 0.75)), 0.5))


def reducer(x: float, y: float) -> Shapes:
    """From the larger line to the smaller."""
    return (_solid(x, y, ((-1.3, -1.2), (1.3, -0.55), (1.3, 0.55), (-1.3, 1.2))),)


def connector(x: float, y: float) -> Shapes:
    """An adapter from one kind of end to another: a pipe end, a collar, a cone."""
    body = _solid(x, y, ((-1.5, -0.6), (-0.4, -0.6), (-0.4, 0.6), (-1.5, 0.6)))
    cone = _solid(x, y, ((0.4, -1.0), (1.5, -0.3), (1.5, 0.3), (0.4, 1.0)))
    collar = _solid(x, y, ((-0.4, -1.2), (0.4, -1.2), (0.4, 1.2), (-0.4, 1.2)))
    return (body, cone, collar)


def flare_nut(x: float, y: float) -> Shapes:
    """A nut: a hexagon on the line."""
    return (_solid(x, y, ((-1.3, 0.0), (-0.65, 1.12), (0.65, 1.12), (1.3, 0.0), (0.65, -1.12), (-0.65, -1.12))),)


def elbow(x: float, y: float) -> Shapes:
    """A turn of the line, which is drawn straight: the turn stands in a ring."""
    return (
        Circle(x, y, 1.25, THIN, "ink", "white"),
        Line(((x - 1.25, y), (x, y), (x, y + 1.25)), THIN),
    )


def cap(x: float, y: float) -> Shapes:
    """Closes over the end of the line; a plug closes inside it."""
    return (Line(((x - 0.9, y + 1.1), (x + 0.3, y + 1.1), (x + 0.3, y - 1.1), (x - 0.9, y - 1.1)), 1.1),)


def union(x: float, y: float) -> Shapes:
    return (
        Line(((x - 0.9, y), (x + 0.9, y)), 1.0),
        Line(((x - 0.9, y - 1.3), (x - 0.9, y + 1.3)), THIN),
        Line(((x, y - 1.3), (x, y + 1.3)), THIN),
        Line(((x + 0.9, y - 1.3), (x + 0.9, y + 1.3)), THIN),
    )


def orifice(x: float, y: float) -> Shapes:
    """Two plates across the line, inside a ring so that it is found among the fittings."""
    return (
        Circle(x, y, 1.5, THIN, "ink", "white"),
        Line(((x, y + 1.5), (x, y + 0.4)), 1.1),
        Line(((x, y - 1.5), (x, y - 0.4)), 1.1),
    )


def accumulator(x: float, y: float) -> Shapes:
    return (RoundRect(x - 10.0, y - 4.5, 20.0, 9.0, 3.8, 1.1, "ink", "white"),)


def pilot(x: float, y: float) -> Shapes:
    return (Line(((x - 1.2, y), (x, y), (x, y + 0.9)), THIN), flame(x, y + 0.9, 0.8))


def burner_ring(x: float, y: float) -> Shapes:
    return (
        Circle(x, y, 3.4, 1.2, "ink", "white"),
        *(flame(x + dx, y + dy, 0.8) for dx, dy in ((0, 3.3), (-2.5, 2.2), (2.5, 2.2))),
    )


def burner_bar(x: float, y: float) -> Shapes:
    return (
        RoundRect(x - 5.0, y - 0.8, 10.0, 1.6, 0.8, THIN, "ink", "white"),
        *(flame(x + dx, y + 0.8, 0.8) for dx in (-3.4, 0, 3.4)),
    )


def stem(x: float, y: float) -> Shapes:
    """An open pipe end with a flame above its mouth."""
    return (
        Line(((x - 2.0, y), (x + 0.6, y), (x + 0.6, y + 1.0)), 1.0),
        flame(x + 0.6, y + 1.1, 0.8),
    )


def plug(x: float, y: float) -> Shapes:
    return (Line(((x, y - 1.3), (x, y + 1.3)), 1.4),)


def manifold(x: float, y: float) -> Shapes:
    return (RoundRect(x - 1.4, y - 5.0, 2.8, 10.0, 1.4, 1.0, "ink", "white"),)


def unknown(x: float, y: float) -> Shapes:
    return (RoundRect(x - 3.0, y - 2.0, 6.0, 4.0, 0.4, THIN, "ink", "white"),)


def _in_line(
    draw: Callable[[float, float], Shapes],
    half: float,
    up: float,
    down: float,
    slot: LabelSlot = "below",
    top: float | None = None,
    traits: tuple[Trait, ...] = (),
) -> PartSymbol:
    return PartSymbol(draw, half, half, up, down, (-half, 0.0), (half, 0.0), slot, top, traits=traits)


_CENTER = (0.0, 0.0)

SYMBOLS: dict[str, PartSymbol] = {
    "cylinder": PartSymbol(cylinder, 6.0, 6.0, 0.5, 14.2, _CENTER, _CENTER, "inside", 0.0, (11.4, 9.4, -8.7)),
    "regulator": _in_line(regulator, VALVE, 4.6, RISE)._replace(beside=4.7),
    "ball_valve": _in_line(ball_valve, VALVE, 2.6, RISE, traits=("in_row",)),
    "needle_valve": _in_line(needle_valve, VALVE, 2.8, RISE, traits=("in_row",)),
    "globe_valve": _in_line(globe_valve, VALVE, 2.6, RISE, traits=("in_row",)),
    "check_valve": _in_line(check_valve, 1.7, 1.7, 1.7, traits=("passed", "in_row")),
    "solenoid_valve": _in_line(solenoid_valve, VALVE, 5.5, RISE),
    "excess_flow_valve": _in_line(excess_flow_valve, 2.4, 1.8, 1.8, traits=("passed", "in_row")),
    "relief_valve": PartSymbol(relief_valve, 1.4, 1.4, 6.5, 0.5, _CENTER, _CENTER, "right"),
    "gauge": PartSymbol(gauge, 1.9, 1.9, 6.1, 0.5, _CENTER, _CENTER, "right"),
    "hose": _in_line(hose, 4.0, 1.2, 1.2, traits=("passed",)),
    # The line itself runs through these, in its zone's weight.
    "pipe": PartSymbol(pipe, 2.5, 2.5, 1.0, 1.0, _CENTER, _CENTER, "below", 0.0, traits=("passed", "in_row", "length")),
    "tube": PartSymbol(tube, 2.5, 2.5, 1.0, 1.0, _CENTER, _CENTER, traits=("passed", "in_row", "length")),
    "fitting": PartSymbol(fitting, 1.2, 1.2, 1.2, 1.2, _CENTER, _CENTER, "below", 0.0, traits=("small", "passed")),
    "tee": PartSymbol(tee, 0.75, 0.75, 0.8, 0.8, _CENTER, _CENTER, "below", 0.0, traits=("junction", "hub", "passed")),
    "cross": PartSymbol(
        cross, 1.0, 1.0, 1.1, 1.1, _CENTER, _CENTER, "below", 0.0, traits=("junction", "hub", "passed")
    ),
    "nipple": _in_line(nipple, 1.5, 1.0, 1.0, traits=("small",)),
    "coupling": _in_line(coupling, 1.2, 1.2, 1.2, traits=("small",)),
    "bushing": _in_line(bushing, 1.3, 1.3, 1.3, traits=("small",)),
    "reducer": _in_line(reducer, 1.3, 1.3, 1.3, traits=("small",)),
    "connector": _in_line(connector, 1.5, 1.3, 1.3, traits=("small",)),
    "adapter": _in_line(connector, 1.5, 1.3, 1.3, traits=("small",)),
    "flare_nut": _in_line(flare_nut, 1.3, 1.2, 1.2, traits=("small",)),
    "elbow": _in_line(elbow, 1.25, 1.3, 1.3, traits=("small",)),
    "union": _in_line(union, 0.9, 1.4, 1.4, traits=("small", "passed")),
    "orifice": _in_line(orifice, 1.5, 1.6, 1.6, traits=("passed",)),
    "accumulator": PartSymbol(
        accumulator, 10.0, 10.0, 4.6, 4.6, (-10.0, 0.0), (10.0, 0.0), "inside", 4.5, (18.6, 8.0, 0.0)
    ),
    "pilot": PartSymbol(pilot, 1.2, 0.7, 2.9, 0.5, (-1.2, 0.0), _CENTER, "right"),
    "burner_ring": _in_line(burner_ring, 3.4, 5.4, 3.6, "right", traits=("hub",)),
    "burner_bar": _in_line(burner_bar, 5.0, 2.9, 1.0, "right"),
    "stem": PartSymbol(stem, 2.0, 1.3, 3.2, 0.5, (-2.0, 0.0), (0.6, 0.0), "right"),
    "plug": PartSymbol(plug, 0.3, 0.3, 1.3, 1.3, _CENTER, _CENTER, "right"),
    "cap": PartSymbol(cap, 0.9, 0.4, 1.2, 1.2, _CENTER, _CENTER, "right"),
    "manifold": _in_line(manifold, 1.4, 5.1, 5.1, "below", 5.0, traits=("hub",)),
    "unknown": _in_line(unknown, 3.0, 2.1, 2.1),
}

NAMES: dict[str, str] = {
    "cylinder": "cylinder",
    "regulator": "regulator",
    "ball_valve": "quarter-turn valve",
    "needle_valve": "needle valve",
    "globe_valve": "globe valve",
    "solenoid_valve": "solenoid valve",
    "check_valve": "check valve",
    "excess_flow_valve": "excess flow valve",
    "relief_valve": "relief valve",
    "gauge": "pressure gauge",
    "accumulator": "accumulator",
    "manifold": "manifold",
    "tee": "tee",
    "cross": "cross",
    "hose": "hose",
    "pipe": "pipe",
    "tube": "tube",
    "union": "union",
    "orifice": "feed orifice",
    "nipple": "nipple",
    "coupling": "coupling",
    "bushing": "bushing",
    "reducer": "reducer",
    "connector": "connector",
    "adapter": "adapter",
    "flare_nut": "flare nut",
    "elbow": "elbow",
    "fitting": "fitting",
    "plug": "plug",
    "cap": "cap",
    "burner_ring": "ring burner",
    "burner_bar": "bar burner",
    "stem": "open burner",
    "pilot": "pilot",
    "unknown": "other part",
}
"""What each symbol stands for, in words, in the order of a key."""


def having(trait: Trait) -> frozenset[str]:
    """The names of the symbols of a trait."""
    return frozenset(name for name, sign in SYMBOLS.items() if trait in sign.traits)


SMALL, JUNCTIONS, HUBS = having("small"), having("junction"), having("hub")
IN_ROW, LENGTHS, PASSED = having("in_row"), having("length"), having("passed")


def symbol(name: str) -> PartSymbol:
    """The symbol for a kind of part; a plain box for one that has none."""
    return SYMBOLS.get(name, SYMBOLS["unknown"])
