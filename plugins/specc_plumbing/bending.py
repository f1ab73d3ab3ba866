"""Bends: whether copper tube can be bent as tightly as the spec says, by a published guide and by one maker's rings."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from specc import PRACTICE, Constant, Context, Cure, Quantity, Trouble, Unchecked, not_applicable, rule, show
from specc.kinds.copper import COPPER_TUBES
from specc.kinds.plumbing import FITTED, NETWORK, Fitted, Part
from specc.measure.units import INCH
from specc.model.passes import Judging, passed
from specc.model.view import View, join
from specc.model.wording import counted
from specc_plumbing.calc.bends import GUIDE, smallest_bend, smallest_bend_hard, smallest_bend_spring
from specc_plumbing.calc.cuts import DENSITIES, density_of

_HALF_INCH = 0.625 * INCH  # outside, of copper tube of half an inch nominal
_ROUNDING = 0.005 * INCH
_HAIR = 0.0005 * INCH  # less than the last digit that a wall is printed with
_INFINITE = float("inf")


class _Bend(NamedTuple):
    part: Part
    radius: float
    text: str
    outside: Quantity | Constant | None
    wall: float | None
    how: View
    at: str


def _bends(ctx: Context) -> tuple[_Bend, ...]:
    """Rings, and tubes with bends."""
    made = []
    for part in ctx[NETWORK].of_kind("burner", "tube"):
        measures = ctx[FITTED][part.tag].measures
        outside, bore, wall = (measures.get(k) for k in ("outside", "bore", "wall"))
        thick = wall.si if wall else (outside.si - bore.si) / 2 if outside and bore else None
        if part.form == "ring" and part.spec.has("diameter"):
            q = part.spec.quantity("diameter")
            text = f"is a ring of {q.text}, which is a radius of {show(q.si / 2, 'length', 'in', 4)}"
            at = part.spec.here("diameter")
            made.append(_Bend(part, q.si / 2, text, outside, thick, part.spec.child("bent"), at))
        elif part.kind == "tube" and part.spec.has("bends"):
            how = part.spec.child("bends")
            q = how.quantity("radius")
            text = f"has bends of {q.text} radius"
            made.append(_Bend(part, q.si, text, outside, thick, how, how.here("radius")))
    return tuple(made)


def is_copper(part: Part) -> bool:
    """Whether a part is said to be of copper, and of nothing else."""
    return density_of(part.spec.text_or("material")) is DENSITIES["copper"]


def _floor(calculator: Callable[[float], float], outside: float) -> float:
    """What a calculator gives, or no radius at all where its source ends."""
    try:
        return calculator(outside)
    except ValueError:
        return _INFINITE


def _thin(outside: float, wall: float | None) -> bool:
    """Whether a tube is known to be thinner than type L of its size, the thinnest that the guide is for."""
    for tube in COPPER_TUBES.values():
        if abs(tube.outside * INCH - outside) <= _ROUNDING:
            type_l = [thick for name, thick, _ in tube.walls if name == "L"]
            return wall is not None and bool(type_l) and wall < type_l[0] * INCH - _HAIR
    return False


def _floors(bend: _Bend, outside: float) -> tuple[float, ...]:
    """The smallest radius for each way of bending that the spec leaves open.

    Where the guide has no figure the radius is infinite: then nothing can be called large enough.
    """
    soft, hard, spring = (_floor(c, outside) for c in (smallest_bend, smallest_bend_hard, smallest_bend_spring))
    by = bend.how.text_or("by")
    tempers = [soft] if bend.how.yes("annealed") else [hard] if bend.how.has("annealed") else [soft, hard]
    if by == "spring":
        return (spring,) if bend.how.yes("annealed") else (spring, _INFINITE)
    if by == "hand":
        # The guide is for tools: what no tool does, no hand does, and more is not said.
        return (*tempers, _INFINITE)
    return tuple(tempers) if by else (*tempers, spring)


def _wider(bend: _Bend, least: float) -> Cure:
    """The least radius; of a ring the diameter that gives it."""
    radius = _up(least)
    if bend.at.endswith("/diameter"):
        diameter = _up(2 * least)
        return Cure(f"a ring of {diameter} (a radius of {radius}) would pass", ((bend.at, diameter),))
    return Cure(f"a radius of {radius} would pass", ((bend.at, radius),))


def _up(meters: float) -> str:
    """A length in inches, rounded up to a hundredth."""
    return f"{math.ceil(meters / INCH * 100 - 1e-6) / 100:g} in"


@rule(
    "plumbing.bend_radius",
    level="warning",
    statement="Copper tube is not bent tighter than the guide for its size and tool",
    source=GUIDE,
    needs=(NETWORK, FITTED),
)
def bend_radius(ctx: Context) -> Judging:
    bends = _bends(ctx)
    if not bends:
        return not_applicable("no ring states its diameter, and no tube its bends")
    for bend in bends:
        tag = bend.part.tag
        if not is_copper(bend.part):
            material = bend.part.spec.text_or("material") or "a material that is not stated"
            said = f"{tag} is of {material}, for which no guide is allowed"
            yield Unchecked(said, *([] if bend.part.spec.has("material") else [join(bend.part.at, "material")]))
            continue
        if bend.outside is None:
            yield Unchecked(f"{tag} does not say its outside diameter", join(bend.part.at, "outside"))
            continue
        floors = _floors(bend, bend.outside.si)
        least = min(floors)
        if bend.radius < least * (1 - 1e-9) and least < _INFINITE:
            yield Trouble(
                bend.at,
                f"{tag} {bend.text}, in tube of {bend.outside.text} outside",
                "measured to the tube's center line",
                "tube that is bent tighter kinks or thins, and gas has less room than was calculated",
                cure=_wider(bend, least),
            )
        elif bend.radius < max(floors) * (1 - 1e-9):
            wanted = {"by": "the tool (by:)", "annealed": "whether it is soft (annealed:)"}
            lacking = [key for key in wanted if not bend.how.has(key)]
            why = f"{tag} does not say {' and '.join(wanted[key] for key in lacking)}"
            why = why if lacking else f"no guide is allowed for how {tag} is bent"
            yield Unchecked(why, *map(bend.how.here, lacking))
        elif _thin(bend.outside.si, bend.wall) and bend.how.text_or("by") != "spring":
            yield f"{tag} has a thinner wall than type L, the thinnest that the guide is for"
    return passed(f"{counted(len(bends), 'part')} with bends")


def _half_inch(fitted: Fitted) -> bool | None:
    """Whether a tube is of half an inch nominal; None when its size is not known."""
    outside = fitted.measures.get("outside")
    if outside is not None:
        return abs(outside.si - _HALF_INCH) <= _ROUNDING
    size = fitted.part.spec.text_or("size")
    return size.replace("½", "1/2").split(" ")[0] == "1/2" if size else None


@rule(
    "plumbing.ring_experience",
    level="note",
    statement="A ring of half-inch nominal copper below 24 in is packed with sand before it goes through a tube roller "
    "(one maker's experience: 32 and 24 in as it is, 16 in crimps unless packed)",
    source=PRACTICE,
    needs=(NETWORK, FITTED),
)
def ring_experience(ctx: Context) -> Judging:
    """One maker's experience with annealed tube; nothing published, so it is never more than a note."""
    rings = [
        p
        for p in ctx[NETWORK].of_kind("burner")
        if p.form == "ring" and p.spec.has("diameter") and is_copper(p) and _half_inch(ctx[FITTED][p.tag]) is not False
    ]
    if not rings:
        return not_applicable("no copper ring of half-inch nominal tube states its diameter")
    others = 0
    for part in rings:
        how, diameter = part.spec.child("bent"), part.spec.quantity("diameter")
        if _half_inch(ctx[FITTED][part.tag]) is None:
            yield Unchecked(f"{part.tag} does not say the size of its tube", join(part.at, "size"))
        elif not how.has("by"):
            yield Unchecked(f"{part.tag} does not say how it was bent", how.here("by"))
        elif how.text("by") != "roller":
            others += 1
        elif diameter.si < 24 * INCH * (1 - 1e-9) and how.text_or("packed", "none") == "none":
            yield Trouble(
                part.spec.here("diameter"),
                f"{part.tag}, a ring of {diameter.text} in half-inch nominal copper tube, went through a roller "
                "and is not said to have been packed",
                "packed: sand, or pitch, and an eye on the inside of the ring for creases",
                "one maker's 24 in rings came out round; at 16 in the tube crimped until it was packed with sand",
            )
    if others == len(rings):
        return not_applicable("no such ring went through a roller")
    return passed(counted(len(rings), "ring"))
