"""What is closed first when a burst does not stop: never what its pilot lives on."""

from __future__ import annotations

from pathlib import Path

from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import STEPS, Step

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"


def test_the_cylinders_are_left_until_a_burst_that_stays_open_is_out() -> None:
    """The pilot of the burst burns from the same cylinders: shut first, they leave gas to nothing that lights it."""
    result = travel(str(REEDS), None, Ask(kinds=COMPILE))
    steps = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step)]
    told = next(s.text for s in steps if s.look_for == "a burst does not stop")
    assert "close v2. Everybody back" in told
    assert "pilot_1 left burning; the cylinders once it is out" in told
