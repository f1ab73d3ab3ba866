"""A whole show as one timeline: each supply through all nights, by itself."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from specc_fuel.show_run.simulation.due import length
from specc_fuel.show_run.simulation.records import ShowHistory, Supply, SupplyHistory, SupplyNight
from specc_fuel.show_run.simulation.run import SupplyRun
from specc_fuel.show_run.simulation.wording import examine


def simulate(
    supplies: Sequence[Supply],
    nights: Sequence[SupplyNight],
    ambient: float,
    weak: float = 0.9,
    ready: float = 0.98,
    every: float = 60.0,
    remembered: bool = False,
    enough: tuple[str, ...] = (),
) -> ShowHistory:
    """Run a show.

    ambient: the air's absolute pressure, Pa. weak, ready: shares of an accumulator's full gauge pressure, under
    which a burst counts as weak, and as late. every: s between the points kept, at least; more are kept where
    something happens. remembered: a supply that was followed before, from the same to the same, is not again.
    enough: events after which a supply is not followed further.

    Raises ValueError, in words, for what cannot be (see `wording`), for temperatures outside 190 to 360 K and for
    given functions that give no flow; ArithmeticError where the stepping does not get on, or where liquid comes
    to fill a cylinder.
    """
    examine(supplies, nights, ambient, weak, ready, every)
    starts = []
    clock = 0.0
    for night in nights:
        starts.append((night.tag, clock + night.filling))
        clock += night.filling + length(night) + night.rest
    follow = _remembered if remembered else _followed
    runs = tuple(follow(s, _own(s, nights), ambient, weak, ready, every, enough) for s in supplies)
    return ShowHistory(runs, tuple(starts))


def _own(supply: Supply, nights: Sequence[SupplyNight]) -> tuple[SupplyNight, ...]:
    """The nights as one supply sees them: what others draw plays no part, only how long it lasts."""
    vessels = {a.tag for a in supply.accumulators}
    made = []
    for night in nights:
        scenes = tuple(
            scene._replace(
                draws=tuple(d for d in scene.draws if d.supply == supply.tag),
                bursts=tuple(b for b in scene.bursts if b.accumulator in vessels),
            )
            for scene in night.scenes
        )
        made.append(night._replace(scenes=scenes, lasts=length(night)))
    return tuple(made)


def _followed(
    supply: Supply,
    nights: tuple[SupplyNight, ...],
    ambient: float,
    weak: float,
    ready: float,
    every: float,
    enough: tuple[str, ...],
) -> SupplyHistory:
    return SupplyRun(supply, ambient, weak, ready, every).nights(nights, enough)


# A run asks for the same supply again for each uncertain input that leaves it as it is, and a run on a spec that was
# changed elsewhere for all of it. The answer depends on these values alone; functions in them are the same only if
# they are one thing, or records of the same numbers.
_remembered = lru_cache(maxsize=64)(_followed)
