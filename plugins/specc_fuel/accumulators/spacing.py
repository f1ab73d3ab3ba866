"""What to write where bursts follow one another too fast: the time from one to the next, or how many fit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from specc import Cure
from specc.kinds.show import Bursts, Show
from specc.model.view import join
from specc.model.wording import several

# Over what was computed, before it is rounded up to a tenth of a second.
_MARGIN = 1.02


def _sets(show: Show) -> Iterator[tuple[Bursts, float]]:
    """Each set of bursts, and the time that is left for it in its scene."""
    for scene in show.scenes:
        yield from ((bursts, scene.lasts.si) for bursts in scene.bursts)
        yield from ((c.bursts, scene.lasts.si - c.after.si) for c in scene.cues if c.bursts is not None)


def cure(show: Show, needed: Mapping[str, float]) -> Cure | None:
    """What to write at each set of bursts for the time that it needs from one to the next, in tenths of a second, and
    for as many as then fit into its scene. None where no time would do, or not one would be left."""
    words, edits = list[str](), list[tuple[str, str]]()
    for bursts, room in _sets(show):
        if bursts.at not in needed:
            continue
        every = math.ceil(min(needed[bursts.at] * _MARGIN, 1e9) * 10) / 10
        said = []
        times = math.floor(room / every)
        if bursts.every is not None:
            times = math.floor((room - bursts.open.si) / every + 1e-9) + 1
            said = [("every", f"{every:g} s")]
        if times < 1 or every > room:
            return None
        if times < round(bursts.times.si):
            said.append(("times", str(times)))
        words += [f"{key}: {value}" for key, value in said]
        edits += [(join(bursts.at, key), value) for key, value in said]
    return Cure(f"{several(list(dict.fromkeys(words)))} would pass", tuple(edits)) if edits else None
