"""Things that stand by themselves, as the spec gives them: base, parts, ballast, guys."""

from __future__ import annotations

import math
from typing import NamedTuple

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Constant,
    Context,
    Key,
    Limit,
    Quantity,
    Unchecked,
    Verdict,
    not_applicable,
    not_checked,
    value,
)
from specc.kinds.plumbing import NETWORK, OUTLETS
from specc.kinds.show import EFFECTS
from specc.kinds.things import THINGS
from specc.model.values import Scalar
from specc.model.view import Unreadable, View
from specc_structure.calc.plan import base_corner
from specc_structure.calc.sources import FACTOR

ROOT = "structure"
NONE = "no burner, effect or thing is described that could stand"
UNTOLD = Unchecked("nothing says how what burns stands", "/structure/stands")
ZERO = Constant(0.0, "length", "0", CHOICE)
LEFT, RIGHT = Constant(-1.0, "ratio", "-1", CHOICE), Constant(1.0, "ratio", "1", CHOICE)
PLAIN = Citation("asce-7-sheets", "force coefficients of simple shapes", "reprint")
_BALL = Citation("asce-7-sheets", "0.5 for a ball in slow flow", "memory")
COEFFICIENTS = {
    "pipe": Constant(1.2, "ratio", "1.2", PLAIN),
    "flat": Constant(2.0, "ratio", "2.0", PLAIN),
    "plate": Constant(1.8, "ratio", "1.8", PLAIN),
    "ball": Constant(0.5, "ratio", "0.5", _BALL),
}
_ROWS = Citation("en-17879-rows", "friction of feet on ground", "reprint")
_EARTH = ("gravel", "sand", "clay", "loam")
# What touches the ground, on what. What is not here counts as 0.2, the least of the rows on earth and concrete.
_FRICTION = {
    ("wood", "wood"): 0.4,
    ("wood", "steel"): 0.4,
    ("steel", "wood"): 0.4,
    ("wood", "concrete"): 0.6,
    ("concrete", "wood"): 0.6,
    ("concrete", "concrete"): 0.5,
    ("steel", "steel"): 0.15,
    **{(foot, "clay"): 0.25 for foot in ("wood", "concrete")},
    **{(foot, "loam"): 0.4 for foot in ("wood", "concrete")},
    **{(foot, ground): 0.65 for foot in ("wood", "concrete") for ground in ("gravel", "sand")},
}
_WET = Citation("rubber-notes", "rubber on wet concrete 0.3; dry it holds twice as much, and nights are damp", "read")

SAFETY = Limit(
    "structure.factor", "1.5", "ratio", "max", "The least factor of safety against tipping and sliding", FACTOR
)
LEAN_CREW = Limit(
    "structure.lean_crew",
    "50 lbf",
    "force",
    "max",
    "The push of one of the crew who leans on it",
    Citation("fbc-1607-9", "infill of guards: 50 lb on a square foot", "read"),
)
LEAN_PUBLIC = Limit(
    "structure.lean_public",
    "200 lbf",
    "force",
    "max",
    "The push of the public on what they can reach",
    Citation("fbc-1607-9", "guards: 200 lb at a point", "read"),
)
LEAN_HEIGHT = Limit("structure.lean_height", "3.5 ft", "length", "max", "How high people push", PRACTICE)
SIMPLE = Limit(
    "structure.simple_height",
    "20 ft",
    "length",
    "min",
    "The highest thing that is judged without a structural engineer",
    CHOICE,
)


class Lump(NamedTuple):
    """A part or a piece of ballast, with its center."""

    tag: str
    mass: Quantity
    x: Scalar
    y: Scalar
    z: Scalar
    spec: View


class Stand(NamedTuple):
    """`feet` are the corners it can tip about, counter-clockwise: its feet, or the corners of a plate.

    Fewer than three are a base with no area; a round base has none.
    """

    tag: str
    spec: View
    base: View
    feet: tuple[tuple[Scalar, Scalar], ...]
    parts: tuple[Lump, ...]
    ballast: tuple[Lump, ...]
    guys: tuple[tuple[str, View], ...]
    holds: tuple[str, ...]
    reach: str
    special: tuple[str, ...]

    @property
    def at(self) -> str:
        return self.spec.at

    @property
    def lumps(self) -> tuple[Lump, ...]:
        """What holds it down: loose ballast stays on the ground while the base lifts off it."""
        return (*self.parts, *(b for b in self.ballast if b.spec.yes("tied")))

    @property
    def top(self) -> Quantity:
        return self.spec.quantity("top")

    @property
    def round(self) -> bool:
        return not self.base.has("feet") and not self.base.has("size") and self.base.has("diameter")

    @property
    def flat(self) -> bool:
        """Whether its base has no area to stand on."""
        return not self.round and len(self.feet) < 3

    @property
    def rim(self) -> float:
        """m from the center to the farthest point of the base."""
        if self.round:
            return self.base.quantity("diameter").si / 2
        return max((math.hypot(x.si, y.si) for x, y in self.feet), default=0.0)


STANDS: Key[tuple[Stand, ...]] = Key("structure.stands", tuple)
UP: Key[bool] = Key("structure.something_stands", bool)
"""Whether anything is described that stands somehow: a burner, an effect, a thing."""


def hull(feet: list[tuple[Scalar, Scalar]]) -> tuple[tuple[Scalar, Scalar], ...]:
    """The outermost feet, counter-clockwise; fewer than three when all stand in a line."""
    ordered = sorted(feet, key=lambda p: (p[0].si, p[1].si))
    size = max((abs(q.si) for p in feet for q in p), default=0.0)

    def half(points: list[tuple[Scalar, Scalar]]) -> list[tuple[Scalar, Scalar]]:
        made: list[tuple[Scalar, Scalar]] = []
        for p in points:
            while len(made) > 1:
                (ax, ay), (bx, by) = made[-2], made[-1]
                turn = (bx.si - ax.si) * (p[1].si - ay.si) - (by.si - ay.si) * (p[0].si - ax.si)
                if turn > 1e-9 * size * size:
                    break
                made.pop()
            made.append(p)
        return made[:-1]

    return (*half(ordered), *half(ordered[::-1]))


def _lump(tag: str, spec: View, height: Scalar) -> Lump:
    aside = spec.quantities("aside")
    x, y = (aside[0], aside[1]) if aside else (ZERO, ZERO)
    return Lump(tag, spec.quantity("weight"), x, y, height, spec)


def _feet(base: View) -> list[tuple[Scalar, Scalar]]:
    made: list[tuple[Scalar, Scalar]] = []
    for foot in base.list_of("feet"):
        assert isinstance(foot, list | tuple)
        if not all(isinstance(q, Quantity) for q in foot):
            raise Unreadable(base.here("feet"))
        made.append((foot[0], foot[1]))
    if made or not base.has("size"):
        return made
    wide, deep = base.quantities("size")
    x = {side: base_corner.work("corner, x", width=wide, side=side) for side in (LEFT, RIGHT)}
    y = {side: base_corner.work("corner, y", width=deep, side=side) for side in (LEFT, RIGHT)}
    return [(x[i], y[j]) for i in (LEFT, RIGHT) for j in (LEFT, RIGHT)]


@value(STANDS, reads=(ROOT,))
def stands(ctx: Context) -> tuple[Stand, ...]:
    return tuple(
        Stand(
            tag,
            spec,
            spec.child("base"),
            hull(_feet(spec.child("base"))),
            tuple(_lump(t, p, p.quantity("center")) for t, p in spec.child("parts").children()),
            tuple(_lump(t, p, ZERO) for t, p in spec.child("ballast").children()),
            spec.child("guys").children(),
            spec.texts("holds"),
            spec.text_or("reach"),
            spec.texts("special"),
        )
        for tag, spec in ctx.spec(ROOT).child("stands").children()
    )


@value(UP, wants=(NETWORK, EFFECTS, THINGS))
def something_stands(ctx: Context) -> bool:
    network, effects, things = ctx.get(NETWORK), ctx.get(EFFECTS), ctx.get(THINGS)
    return bool(effects or things or (network and network.of_kind(*OUTLETS)))


def no_stands(ctx: Context) -> Verdict:
    """How a rule ends that a spec gives no stand to. Each burner is held up by something, which the wind pushes at and
    people lean on: a spec that is silent about it does not say that there is nothing to judge."""
    return not_checked(UNTOLD) if ctx[UP] else not_applicable(NONE)


def friction(stand: Stand) -> Constant:
    """Between its feet and the ground."""
    foot, ground = stand.base.text("of"), stand.base.text("on")
    if foot == "rubber" and ground in ("wood", "concrete", "steel"):
        return Constant(0.3, "ratio", "0.3", _WET)
    found = _FRICTION.get(("steel" if foot == "aluminum" else foot, ground), 0.2)
    return Constant(found, "ratio", str(found), _ROWS)
