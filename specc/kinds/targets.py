"""What heat must not reach too strongly, how far things keep apart, and contours: for whoever computes or draws them.

Distances and levels are values that know where they come from.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple, TypeAlias

from specc.kinds.geometry import Shape
from specc.model.passes import FigureSet, Gathered, Key
from specc.model.values import PRACTICE, Citation, Scalar, Worked

TargetKind: TypeAlias = Literal[
    "audience", "performer", "operator", "burns", "overhead", "part", "thing", "way_out", "extinguisher"
]


class Target(NamedTuple):
    """Who or what stands in the heat. `level`: the flux it may get (heat_flux), None for that of its kind, which is a
    limit of the flame plugin. `what` says it in words."""

    tag: str
    kind: TargetKind
    where: Shape
    level: Scalar | None
    what: str
    at: str
    citation: Citation = PRACTICE
    order: int = 0


class Standoff(NamedTuple):
    """How far `what` (a target's kind or tag, such as "audience") keeps from `start` (a tag), and why."""

    what: str
    start: str
    distance: Scalar
    why: str
    citation: Citation
    order: int = 0


class Reached(NamedTuple):
    """How near the crew, or what holds gas, stands to the farthest that a flame gets there: laid flat, with a regulator
    failed open, and for people also when what holds it falls over. `start`: what burns; `place`: where they stand."""

    start: str
    place: str
    people: bool
    apart: Worked
    needed: Scalar
    why: str
    at: str
    order: int = 0


class Contour(NamedTuple):
    """Where something is equal, as closed rings of (x, y) in m of the site: a flux, a height, a reach.

    `of` says what it is in words; `level` its value. A ring within another one is a hole in it.
    """

    key: str
    of: str
    level: Scalar | None
    rings: tuple[tuple[tuple[float, float], ...], ...]
    order: int = 0


TARGETS: Gathered[Target] = Gathered("site.targets", Target, signed="what")
"""What heat may not reach too much of: where, of which kind, and up to which level."""
STANDOFFS: Gathered[Standoff] = Gathered("site.standoffs", Standoff, signed="why")
"""Distances to keep, each with from what, why and its source; the largest governs."""
CONTOURS: Gathered[Contour] = Gathered("site.contours", Contour, signed="of")
"""Lines of one level around an effect, as rings on the site."""
REACHED: Gathered[Reached] = Gathered("site.reached", Reached, signed="why")
"""Of the crew's posts and of the places of what holds gas the one with the least to spare from a flame."""
FALLEN: Key[FigureSet] = Key("structure.fallen", dict)
"""By place: how far the top of what is described as standing there reaches from its middle when it falls."""
FLUX: Key[FigureSet] = Key("flame.flux", dict)
"""By target's tag: the heat flux there from all effects together."""


def governing(standoffs: Iterable[Standoff]) -> dict[tuple[str, str], Standoff]:
    """For each `what` and `start` the stand-off that governs: the largest, and of equal ones the first."""
    largest: dict[tuple[str, str], Standoff] = {}
    for one in standoffs:
        key = (one.what, one.start)
        if key not in largest or one.distance.si > largest[key].distance.si:
            largest[key] = one
    return largest
