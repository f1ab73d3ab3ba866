"""What tolerances cost: the complete sample's road with them, against without, in processor time."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import measures

from specc.engine.road import COMPILE, Ask, travel

MOST = 2.5  # five inputs, each at two ends; measured 1.9


def test_the_road_with_tolerances_takes_little_more_than_the_road_without() -> None:
    def road(tolerance: bool) -> float:
        return measures.busy(lambda: travel(measures.COMPLETE, None, Ask(COMPILE, tolerance=tolerance)))

    road(False)  # what is read once a process
    # What misses is measured again by .ci/run.
    without, with_them = measures.best(lambda: road(False), lambda: road(True), times=1)
    assert with_them < MOST * without, (without, with_them)


def test_what_each_plugin_takes_of_the_road_is_told() -> None:
    """The table by which later work states what it adds: every built-in stands in it."""
    from specc.engine.host import find

    told = measures.by_plugin(measures.SAMPLE, Ask(COMPILE))
    assert set(told) == {p.name for p in find().plugins}
    assert all(seconds >= 0 for seconds in told.values())
    assert told["fuel"] > 0
