"""What can burn on the site, where, and how far on foot each extinguisher is from it, round what is in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from math import dist, inf
from typing import NamedTuple

from specc import (
    Context,
    Key,
    Move,
    ground,
    obstacles_of,
    show,
    value,
)
from specc.formulas.ways import Ground
from specc.kinds.geometry import Shape, corners
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.model.view import Unreadable
from specc.model.wording import several
from specc_extinguishers.units import ROOT, ListedUnit, units

# What a place is, in words, and the classes of the fires that start there.
_KINDS = {
    "fuel_store": ("fuel store", "B"),
    "fuel_dispenser": ("fuel pump", "B"),
    "generator": ("generator", "BC"),
    "vehicle": ("vehicle", "B"),
    "combustible": ("what burns", "A"),
    "tent": ("tent", "A"),
}


EFFECT = "effect"


class Hazard(NamedTuple):
    """Something that can burn: its tag (of an effect or a place), what it is, the classes of its fires ("A" ordinary
    solids, "B" gas and liquid fuel, "C" live electrical gear), its shape, and whether cylinders make it one."""

    tag: str
    what: str
    classes: str
    shape: Shape | None
    at: str
    cylinders: bool = False

    @property
    def named(self) -> str:
        return f"the {EFFECT} {self.tag}" if self.what == EFFECT else f"{self.tag} ({self.what})"

    @property
    def spots(self) -> list[tuple[float, float]]:
        """Where it is on the level, in m: of one that moves along a line or about an area the corners."""
        return _level(self.shape)


class Cover(NamedTuple):
    """Hazards and extinguishers, and by a hazard's line in the spec and a unit's tag how far it is on foot, in m: to
    the spot of the hazard that is farthest from it; endless where nobody gets through. What has no coordinates is not
    in `on_foot`. `on_line`: by unit, what a finding says of one on a barrier's line."""

    hazards: tuple[Hazard, ...]
    units: tuple[tuple[ListedUnit, tuple[float, float]], ...]
    lost_units: tuple[str, ...]
    on_foot: Mapping[tuple[str, str], float]
    on_line: Mapping[str, str]

    def of(self, letter: str) -> tuple[Hazard, ...]:
        """Hazards of a class, with coordinates."""
        return tuple(h for h in self.hazards if letter in h.classes and h.shape)

    def lost(self, letter: str) -> tuple[str, ...]:
        """Tags of hazards of a class that have no coordinates."""
        return tuple(h.tag for h in self.hazards if letter in h.classes and not h.shape)

    @property
    def effects(self) -> tuple[Hazard, ...]:
        """Effects that have a spot."""
        return tuple(h for h in self.hazards if h.what == EFFECT and h.shape)

    def nearest(self, hazard: Hazard, fits: Callable[[ListedUnit], bool]) -> tuple[ListedUnit | None, float]:
        """The unit nearest to a hazard on foot of those that fit."""
        ways = [(self.on_foot[hazard.at, u.tag], i, u) for i, (u, _) in enumerate(self.units) if fits(u)]
        best = min(ways, key=lambda w: w[:2], default=None)
        return (best[2], best[0]) if best else (None, inf)

    def nearest_words(self, hazard: Hazard, fits: Callable[[ListedUnit], bool]) -> str:
        """The same, for a finding."""
        unit, way = self.nearest(hazard, fits)
        if unit is None:
            return "there is none of that rating"
        if way == inf:
            shut = (self.on_line.get(u.tag, "") for u, _ in self.units if fits(u))
            return f"nobody can walk there from one{next(filter(None, shut), '')}"
        on_line = self.on_line.get(unit.tag, "")
        return f"the nearest, {unit.tag}, is {show(way, 'length', 'ft')} away on foot{on_line}"

    def brought(self, hazard: Hazard, fits: Callable[[ListedUnit], bool]) -> tuple[Move, ...]:
        """The units that fit, each brought nearer to a hazard, the nearest first."""
        x, y = hazard.spots[0]
        units = sorted(((dist(spot, (x, y)), u, spot) for u, spot in self.units if fits(u)), key=lambda one: one[0])
        listed = [(place, spot) for _, u, spot in units if (place := u.spec.text_or("place"))]
        return tuple(Move(place, hazard.tag, (x - mine[0], y - mine[1])) for place, mine in listed[:3])


COVER: Key[Cover] = Key("extinguishers.cover", Cover)


def _effects(ctx: Context, places: Mapping[str, Spot]) -> Iterator[Hazard]:
    for effect in ctx[EFFECTS]:
        spot = places.get(effect.place)
        yield Hazard(effect.tag, EFFECT, "AB", spot.shape if spot else None, effect.at)


def _tag(told: object) -> str:
    return told if isinstance(told, str) else ""  # a hose has two places; what is refused has none


def _cylinders(ctx: Context, places: Mapping[str, Spot]) -> Iterator[Hazard]:
    """Once for each place that cylinders stand at."""
    net = ctx.get(NETWORK)
    stood: dict[str, list[str]] = {}
    for part in net.of_kind("cylinder") if net else ():
        if place := _tag(part.spec["place"] if part.spec.has("place") else ""):
            stood.setdefault(place, []).append(part.tag)
    for place, tags in stood.items():
        if spot := places.get(place):
            yield Hazard(place, f"cylinders {several(tags)}", "B", spot.shape, spot.at, cylinders=True)


def _current(ctx: Context, places: Mapping[str, Spot]) -> Iterator[Hazard]:
    """Once for each place of the wiring: batteries, desks, coils."""
    stood: dict[str, None] = {}
    for _, part in ctx.spec("control").child("parts").children():
        with suppress(Unreadable):
            stood.setdefault(part.text_or("place"))
    for place in stood:
        if spot := places.get(place):
            yield Hazard(place, "electrical gear", "C", spot.shape, spot.at)


def spot_of(place: Spot | None) -> tuple[float, float] | None:
    """Where something stands that is put at a place, on the level in m."""
    return place.stands if place else None


def _level(shape: Shape | None) -> list[tuple[float, float]]:
    return [(p.x.si, p.y.si) for p in corners(shape)] if shape else []


@value(COVER, needs=(EFFECTS, PLACES), wants=(NETWORK,), reads=(ROOT, "control"))
def cover(ctx: Context) -> Cover:
    places = ctx[PLACES]
    hazards = [
        *_effects(ctx, places),
        *_cylinders(ctx, places),
        *_current(ctx, places),
        *(Hazard(s.tag, *_KINDS[s.kind], s.shape, s.at) for s in places.values() if s.kind in _KINDS),
    ]
    listed: list[tuple[ListedUnit, tuple[float, float]]] = []
    lost = []
    for unit in units(ctx):
        if spot := spot_of(places.get(unit.spec.text("place"))):
            listed.append((unit, spot))
        else:
            lost.append(unit.tag)
    level = ground(obstacles_of(places.values(), "walking"))
    on_line = {u.tag: level.on_line(spot) for u, spot in listed}
    return Cover(tuple(hazards), tuple(listed), tuple(lost), _on_foot(level, hazards, listed), on_line)


def _on_foot(
    level: Ground, hazards: Sequence[Hazard], listed: Sequence[tuple[ListedUnit, tuple[float, float]]]
) -> dict[tuple[str, str], float]:
    """From each unit to the spot of each hazard that is farthest from it: that is where the fire may be. A spot in an
    obstacle is reached from beside it."""
    spots = [(h.at, spot, end) for h in hazards for spot in _level(h.shape) for end in level.beside(spot)]
    walked: dict[tuple[float, float], dict[str, float]] = {}  # several units stand at one spot
    for start in dict.fromkeys(s for _, s in listed):
        nearest = {(h.at, spot): inf for h in hazards for spot in _level(h.shape)}
        for (at, spot, end), walk in zip(spots, level.walk(start, [end for _, _, end in spots]), strict=True):
            if walk:
                nearest[at, spot] = min(nearest[at, spot], walk.length + dist(end, spot))
        farthest = walked.setdefault(start, {})
        for (at, _), length in nearest.items():
            farthest[at] = max(length, farthest.get(at, 0.0))
    return {(at, unit.tag): length for unit, start in listed for at, length in walked[start].items()}
