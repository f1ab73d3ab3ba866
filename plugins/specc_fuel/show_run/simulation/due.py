"""What is due at a time on a night: scenes, bursts and closing valves, in order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from specc_fuel.show_run.simulation.records import SceneDraw, SupplyNight, VesselShot


class DueEvent(NamedTuple):
    """Something due at a time. `rank` orders what is due together: valves close, scenes end, start, bursts."""

    time: float
    rank: int
    what: str
    scene: SceneDraw | None = None
    burst: VesselShot | None = None
    vessel: int = -1


def length(night: SupplyNight) -> float:
    """How long the gas is open on a night, s: as said, or to the end of the last scene and its last valve."""
    ends = [night.lasts]
    for scene in night.scenes:
        ends.append(scene.starts + scene.lasts)
        ends.extend(scene.starts + b.at + b.open for b in scene.bursts)
    return max(ends)


def due_on(night: SupplyNight, accumulators: Sequence[str]) -> list[DueEvent]:
    """What is due on a night for the supply with these accumulators, by tag. Times from the start of the night."""
    made = [DueEvent(length(night), 4, "shut")]
    for scene in night.scenes:
        made.append(DueEvent(scene.starts, 2, "scene", scene))
        if scene.lasts > 0:
            made.append(DueEvent(scene.starts + scene.lasts, 1, "end", scene))
        for burst in scene.bursts:
            if burst.accumulator in accumulators:
                j = accumulators.index(burst.accumulator)
                made.append(DueEvent(scene.starts + burst.at, 3, "burst", scene, burst, j))
                # A valve that opens for no time closes after it has opened.
                rank = 0 if burst.open > 0 else 3
                made.append(DueEvent(scene.starts + burst.at + burst.open, rank, "close", scene, burst, j))
    return sorted(made, key=lambda due: due[:2])
