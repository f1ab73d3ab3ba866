"""Whether the start-up fits into the time before the first scene: by hand on a few steps, and on lantern_reeds."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.kinds.geometry import Point
from specc.kinds.places import Spot
from specc.kinds.procedures import Act, Step
from specc.model.values import Quantity
from specc_operators.start_up_time import takes, walked, with_gas

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"


def spot(tag: str, x: float, y: float) -> Spot:
    at = [Quantity(v, "length", f"{v} m", "/places") for v in (x, y, 0.0)]
    return Spot(tag, (x, y, 0.0), None, "", f"/places/{tag}", shape=Point(*at))


PLACES = {"a": spot("a", 0, 0), "b": spot("b", 3, 4), "c": spot("c", 3, 0)}


def step(order: int, *acts: Act, **more: object) -> Step:
    first, *rest = acts
    return Step(order, "start", "", action=first.action, tag=first.tag, who=first.who, where=first.where,
        more=tuple(rest), **more)  # type: ignore[arg-type]  # fmt: skip


STEPS = [
    step(1, Act("close", "v", "ann", "a"), Act("connect", "t", "ann", "b")),
    step(3, Act("open", "v", "ann", "b"), Act("soap", "v", "ben", "a"), lasts=300.0),
    step(2, Act("open", "t", "ann", "a")),
    step(4, Act("light", "p", "ben", "c"), Act("open", "p", "ann", "c"), night="first"),
    step(5, Act("light", "q", "ben", "b"), night="later", lasts=60.0),
]


def test_what_comes_before_the_first_gas_takes_none_of_its_time() -> None:
    assert [s.order for s in with_gas(STEPS, "first")] == [2, 3, 4]
    assert [s.order for s in with_gas(STEPS, "later")] == [2, 3, 5]


def test_waits_tasks_and_ways_are_summed_up() -> None:
    first, later = with_gas(STEPS, "first"), with_gas(STEPS, "later")
    assert takes(first) == (300.0, 5 + 5 + 20 + 20 + 5)
    assert takes(later) == (360.0, 5 + 5 + 20 + 20)
    # ann from a to b and to c; ben from a to c.
    assert math.isclose(walked(first, PLACES), 5 + 4 + 3)
    assert math.isclose(walked(later, PLACES), 5 + 5)
    assert walked(first, {}) == 0


def judged(limit: str, dates: str = "") -> tuple[str, list[str]]:
    path = FOLDER / "project.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count("operators.start_up: 60 min") == 1
    text = text.replace("operators.start_up: 60 min", f"operators.start_up: {limit}")
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({"rule operators.start_up_fits"}),
        block=("materials", "structure"),
        instead=((str(path), text.encode()),),
    )
    made = travel(str(path), None, ask)
    (own,) = [r for r in made.rules if r.id == "operators.start_up_fits"]
    return own.status, [f.message for f in made.findings if f.rule == "operators.start_up_fits"]


@pytest.mark.parametrize(("limit", "nights"), [("60 min", []), ("40 min", ["each night"])])
def test_the_sample_is_found_where_its_start_up_is_too_short(limit: str, nights: list[str]) -> None:
    status, found = judged(limit)
    assert status == ("failed" if nights else "passed")
    assert [n for n in ("first", "later", "each night") if any(n in f for f in found)] == nights
    assert all("12 min of waits" in f for f in found)
