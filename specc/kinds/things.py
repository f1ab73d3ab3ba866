"""What is not plumbing and stands near: sheet metal, frames, columns, wire ties, fabric, wood, wind guards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from specc.model.passes import Key
from specc.model.values import Quantity


class Thing(NamedTuple):
    """A thing by tag, as the spec says it. What is not said is "", () or None.

    `kind`: "sheet_metal", "frame", "column", "wire_ties", "clamp", "stand", "fabric", "wood", "wind_guard" or "other".
    `coating`: as of parts, "zinc" for anything galvanized; "" is not stated, which is not "none".
    `place`: a tag of places. `distances`: from its nearest point to each part, effect, place or thing named.
    `above`: how far its lowest point is straight above each. `holds` and `held_by`: tags of parts, effects and things.
    """

    tag: str
    kind: str
    title: str
    material: str
    coating: str
    place: str
    distances: tuple[tuple[str, Quantity], ...]
    above: tuple[tuple[str, Quantity], ...]
    holds: tuple[str, ...]
    held_by: tuple[str, ...]
    weight: Quantity | None
    thickness: Quantity | None
    note: str
    at: str


HeatHarm: TypeAlias = Literal["zinc", "lead", "cadmium", "aluminum", "brass", "paint", "brazed", "burns"]


class InHeat(NamedTuple):
    """What of a thing or a part heat harms, each with its words ("zinc-coated"): metals, coatings, what burns.

    `asked`: what has to be said before that is known, or "".
    """

    harms: tuple[tuple[HeatHarm, str], ...]
    asked: str


class Support(NamedTuple):
    """A piece that carries load near the flames of the outlets that its stand holds, as the spec says it.

    `far`: from its nearest point to where a flame can be. `bears`: the hottest at which its metal keeps its strength.
    """

    tag: str
    stand: str
    metal: str
    far: Quantity
    bears: Quantity
    holds: tuple[str, ...]
    at: str


THINGS: Key[tuple[Thing, ...]] = Key("core.things", tuple)
"""All of `things:`, in the spec's order; empty when it has none."""
MADE_OF: Key[Mapping[str, InHeat]] = Key("materials.things", dict)
"""By tag, each of `things:`; who reads materials says it."""
PARTS_MADE_OF: Key[Mapping[str, InHeat]] = Key("materials.parts_in_heat", dict)
"""By tag, the parts that heat harms or that may be such: no burner or pilot, which stands in its own flame."""
SUPPORTS: Key[Sequence[Support]] = Key("structure.supports", tuple)
"""Pieces of stands of which it is said how far a flame is, and not how hot they get."""
