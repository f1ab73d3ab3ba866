"""Whether each part of the public's edge is seen by somebody who can stop the gas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from specc import Trouble, in_sight, obstacles_of, show
from specc.formulas.ways import Ground
from specc.kinds.geometry import Area, edges
from specc.kinds.places import Spot
from specc.model.wording import several

Spot3 = tuple[float, float, float]


def _edge(area: Spot) -> list[tuple[float, float]]:
    """The corners of an area's outline, and the middles between them."""
    assert isinstance(area.shape, Area)
    pieces = [((a.x.si, a.y.si), (b.x.si, b.y.si)) for a, b in edges(Area(area.shape.outline))]
    return [spot for a, b in pieces for spot in (a, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))]


def edge_in_sight(
    places: Mapping[str, Spot], together: Sequence[tuple[str, Sequence[Spot3]]], height: float
) -> Iterator[Trouble]:
    """Of each area of the public the first spot of its edge that no eye sees, of those that watch together, with in
    words from when. What stands within the area, such as a tent over people, hides only what is behind it."""
    obstacles = obstacles_of(places.values(), "sight")
    level = Ground(obstacles)
    looked: dict[tuple[Spot3, Spot3], tuple[str, ...]] = {}

    def hides(eye: Spot3, spot: Spot3) -> tuple[str, ...]:
        if (eye, spot) not in looked:
            looked[eye, spot] = in_sight(eye, spot, obstacles)
        return looked[eye, spot]

    for area in places.values():
        if area.kind not in ("audience", "queue") or not isinstance(area.shape, Area):
            continue
        spots = [spot for spot in _edge(area) if not level.inside(spot)]
        for (x, y), (when, eyes) in ((spot, one) for spot in spots for one in together):
            hidden: list[tuple[str, ...]] = []
            for eye in eyes:
                hidden.append(hides(eye, (x, y, height)))
                if not hidden[-1]:
                    break  # one who sees it is enough
            if hidden and all(hidden):
                yield Trouble(
                    area.at,
                    f"nobody at a post sees {area.tag} at {show(x, 'length', 'ft')}, {show(y, 'length', 'ft')}{when}: "
                    f"{several(list(dict.fromkeys(tag for tags in hidden for tag in tags)))} is in the way",
                    "another spotter, or a height: for what is in the way if one looks over it",
                    "where nobody looks, people come nearer",
                    "warning",
                )
                break


__all__ = ["edge_in_sight"]
