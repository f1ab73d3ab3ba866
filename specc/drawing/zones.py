"""How the zones of a schematic are told apart: by line weight, by a band behind the line, and in words.

Weight and band fall with each zone from the cylinders. Zones as far from the cylinders as one another have the
same weight and take turns with the bands. A zone that is open to the air has the thinnest line and no band.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from specc.drawing.shapes import Line, Polygon, Shape, Tone

# Points. Heaviest nearest the cylinder; zones beyond the last share its weight.
WEIGHTS = (1.7, 1.25, 0.95, 0.75)
OPEN_WEIGHT = 0.45
BAND = 1.0  # half the height of a band, mm
# The band of zone 0, then of the others in turn.
FIRST_BAND: Tone = "shade"
OTHER_BANDS: tuple[Tone, ...] = ("haze", "tint")

Points = tuple[tuple[float, float], ...]


class ZoneLabel(NamedTuple):
    """What is written where a zone begins: its name, and its pressure, such as "10 psig, most 20 psig"."""

    name: str
    pressure: str = ""
    mark: str = ""  # written alone at a part where the zone begins, where a table tells the rest


class Zones(NamedTuple):
    """`rank` counts the changes from the cylinders, 0 is theirs; `bands` the tone behind each zone's lines."""

    labels: Mapping[str, ZoneLabel]
    rank: Mapping[str, int]
    bands: Mapping[str, Tone]
    of_net: Sequence[str]
    open_zone: str

    def label(self, zone: str) -> ZoneLabel:
        return self.labels.get(zone, ZoneLabel(zone))

    def lines(self, zone: str, arrow: bool = False) -> tuple[str, ...]:
        """The label's lines; with an arrow where the zone begins behind what they stand at."""
        name, pressure, mark = self.label(zone)
        if arrow and mark:
            return (f"→ {mark}",)
        return tuple(text for text in (f"→ {name}" if arrow and name else name, pressure) if text)

    def weight(self, zone: str) -> float:
        if zone and zone == self.open_zone:
            return OPEN_WEIGHT
        return WEIGHTS[min(self.rank.get(zone, 0), len(WEIGHTS) - 1)]

    def wire(self, points: Points, zone: str) -> list[Shape]:
        """A line of the zone with its band behind it."""
        return [*self.band(points, zone), Line(points, self.weight(zone))]

    def band(self, points: Points, zone: str) -> list[Shape]:
        """The band behind a line of level and upright stretches."""
        tone = self.bands.get(zone)
        if tone is None:
            return []
        shapes: list[Shape] = []
        # Where a line turns, its stretches reach over the corner, so that no corner stays white.
        over = BAND if len(points) > 2 else 0.0
        for (x1, y1), (x2, y2) in pairwise(points):
            upright = abs(y2 - y1) > abs(x2 - x1)
            wide, tall = (BAND, over) if upright else (over, BAND)
            left, right, low, high = min(x1, x2) - wide, max(x1, x2) + wide, min(y1, y2) - tall, max(y1, y2) + tall
            shapes.append(Polygon(((left, low), (right, low), (right, high), (left, high)), 0.0, tone, tone))
        return shapes


def bands_of(rank: Mapping[str, int], open_zone: str) -> dict[str, Tone]:
    """A band for each zone, in the order of rank and then as they are met."""
    bands: dict[str, Tone] = {}
    others = 0
    for zone in sorted(rank, key=lambda z: rank[z]):
        if zone and zone == open_zone:
            continue
        if rank[zone] == 0:
            bands[zone] = FIRST_BAND
        else:
            bands[zone] = OTHER_BANDS[others % len(OTHER_BANDS)]
            others += 1
    return bands
