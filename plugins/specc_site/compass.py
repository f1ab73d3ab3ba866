"""Words of compass against coordinates: who is sent to the west by a tag or a note has to find it in the west.

Three things are read: tags that differ in such a word alone (rope_west, rope_east), "west of" a place by its tag, and
"farthest west" among places whose tags count up. What is said in other words is not read.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from itertools import combinations

from specc import Trouble, show
from specc.kinds.geometry import corners
from specc.kinds.places import Spot

_SIDES = ("north", "east", "south", "west")
_ONE = "|".join(_SIDES)
_OPPOSITE = {"north": "south", "south": "north", "east": "west", "west": "east"}
_OF = re.compile(rf"\b((?:north|south)[- ]?(?:east|west)|{_ONE}) of (?:the )?(\w+)")
_FARTHEST = re.compile(rf"\b(?:farthest|furthest) ({_ONE})\b(?![- ]?(?:east|west))")
_CLOSE = 0.01  # m: nearer than that, one is beside the other


def _along(side: str, north: float) -> tuple[float, float]:
    """A step toward a side, with north so far clockwise from the y axis."""
    angle = north + _SIDES.index(side) * math.pi / 2
    return math.sin(angle), math.cos(angle)


def _ahead(side: str, one: Spot, other: Spot, north: float) -> float | None:
    """How much farther to a side one place comes than another begins, in m: what is long counts by its better end."""
    if one.shape is None or other.shape is None:
        return None
    x, y = _along(side, north)
    mine, its = ([p.x.si * x + p.y.si * y for p in corners(s)] for s in (one.shape, other.shape))
    return max(mine) - min(its)


def _claims(places: Mapping[str, Spot]) -> Iterator[tuple[Spot, str, Spot]]:
    """What words say: one place, the side, and the place that it is said to be on that side of."""
    parts = {tag: re.split(r"[_-]", tag.lower()) for tag in places}
    for one, other in combinations([t for t in places if {*_SIDES} & {*parts[t]}], 2):
        apart = [(a, b) for a, b in zip(parts[one], parts[other], strict=False) if a != b]
        if len(parts[one]) == len(parts[other]) and len(apart) == 1 and _OPPOSITE.get(apart[0][0]) == apart[0][1]:
            yield places[one], apart[0][0], places[other]
    for spot in places.values():
        for sides, tag in _OF.findall(spot.note.lower()):
            other_ = next((s for t, s in places.items() if t.lower() == tag), None)
            for side in re.findall(_ONE, sides) if other_ else ():
                assert other_ is not None
                yield spot, side, other_
        for side in _FARTHEST.findall(spot.note.lower()):
            stem = spot.tag.rstrip("0123456789")
            alike = [s for t, s in places.items() if t.rstrip("0123456789") == stem and t != spot.tag]
            yield from ((spot, side, s) for s in alike if stem != spot.tag)


def contradictions(places: Mapping[str, Spot], north: float) -> Iterator[Trouble]:
    """Where coordinates say otherwise. `north`: how far clockwise from the y axis, in radians."""
    for one, side, other in _claims(places):
        ahead = _ahead(side, one, other, north)
        if ahead is not None and ahead < _CLOSE:
            away = show(-ahead, "length", "ft", 2)
            yield Trouble(
                one.at,
                f"{one.tag} is said to be {side} of {other.tag}, and lies {away} {_OPPOSITE[side]} of it",
                "words and coordinates that agree",
                "whoever is sent there goes to the wrong side",
            )
