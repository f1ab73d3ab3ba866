"""Whether the shutdown fits, and whoever has a part in it is there: by hand on a few steps, and on lantern_reeds."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.kinds.geometry import Point
from specc.kinds.places import Spot
from specc.kinds.procedures import Act, Step
from specc.model.values import Quantity
from specc_operators.shutdown_time import shut_down
from specc_operators.task_times import seconds_each, timed

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"


def spot(tag: str, x: float, y: float) -> Spot:
    at = [Quantity(v, "length", f"{v} m", "/places") for v in (x, y, 0.0)]
    return Spot(tag, (x, y, 0.0), None, "", f"/places/{tag}", shape=Point(*at))


PLACES = {"a": spot("a", 0, 0), "b": spot("b", 3, 4)}


def step(order: int, *acts: Act, **more: object) -> Step:
    first, *rest = acts
    return Step(order, "stop", "", action=first.action, tag=first.tag, who=first.who, where=first.where,
        more=tuple(rest), **more)  # type: ignore[arg-type]  # fmt: skip


STEPS = [
    step(30, Act("disconnect", "t", "ann", "a")),
    step(10, Act("close", "v", "ann", "a"), Act("close", "w", "ann", "b")),
    step(20, Act("watch", "p", "ben", "b"), Act("watch", "q", "ben", "b"), Act("watch", "", "cy", "")),
    step(40, Act("carry", "t", "ann", "b"), night="last"),
    step(15, Act("read", "t", "ben", "a"), night="later", lasts=30.0),
]


def test_steps_are_those_of_the_night() -> None:
    assert [s.order for s in shut_down(STEPS, 0, 2)] == [10, 20, 30]
    assert [s.order for s in shut_down(STEPS, 1, 2)] == [10, 15, 20, 30, 40]
    assert [s.order for s in shut_down(STEPS, 0, 1)] == [10, 20, 30, 40]


def test_acts_follow_one_another_with_the_ways_between() -> None:
    """At 1 m/s: ann closes two valves 5 m apart, what burns on burns out together, and ann walks back."""
    first, later = (shut_down(STEPS, n, 2) for n in (0, 1))
    done = [(d.act.action, d.act.where, d.after) for d in timed(first, seconds_each(first, 0), PLACES, 1.0)]
    assert done == [
        ("close", "a", 10.0),
        ("close", "b", 25.0),
        ("watch", "b", 145.0),
        ("watch", "b", 145.0),
        ("disconnect", "a", 390.0),
    ]
    read = [d.after for d in timed(later, seconds_each(later, 0), PLACES, 1.0) if d.act.action == "read"]
    assert read == [25.0 + 30.0 + 20.0]


def judged(*edits: tuple[str, str], name: str = "crew.yaml") -> tuple[str, list[tuple[str, str]]]:
    path = FOLDER / name
    text = path.read_text(encoding="utf-8")
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({"rule operators.shut_down_fits"}),
        block=("materials", "structure"),
        instead=((str(path), text.encode()),),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    (own,) = [r for r in made.rules if r.id == "operators.shut_down_fits"]
    return own.status, [(f.at, f.message) for f in made.findings if f.rule == "operators.shut_down_fits"]


FUEL = 'fuel: {person: dogwood, role: fuel_watch, station: supply, from: "17:25", to: "23:40"'


def test_a_shift_that_ends_before_the_last_cylinder_is_off_is_found() -> None:
    assert judged() == ("passed", [])
    status, ((at, said),) = judged((FUEL, FUEL.replace("23:40", "23:20")))
    assert status == "failed"
    assert at == "/operators/shifts/fuel/to"
    assert "dogwood has a part in the shutdown until some 23:3" in said
    assert "2027-09-16, 2027-09-17 and 2027-09-18" in said


def test_a_shift_on_one_night_alone_is_found_on_the_others() -> None:
    """Whoever has no shift at all on a night is not who is named then, and other rules ask for somebody."""
    early = FUEL.replace('"23:40"', '"23:20", nights: [2027-09-17]')
    more = FUEL.replace("fuel:", "fuel_b:") + ", nights: [2027-09-16, 2027-09-18]}\n    "
    status, ((at, said),) = judged((FUEL, more + early))
    assert (status, at) == ("failed", "/operators/shifts/fuel/to")
    assert "on the night of 2027-09-17," in said


@pytest.mark.parametrize(("limit", "fits"), [("14 min", True), ("12 min", False)])
def test_gas_that_is_off_later_than_it_counts_as_off_is_found(limit: str, fits: bool) -> None:
    last = "  operators.start_up: 130 min\n"
    status, found = judged((last, f"{last}  operators.shut_down: {limit}\n"), name="project.yaml")
    assert status == ("passed" if fits else "failed")
    assert [at for at, _ in found] == ([] if fits else ["/limits/operators.shut_down"])


def test_what_is_not_known_is_not_passed(tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    event = "event: {name: Trial, dates: [2027-06-19], elevation: 10 ft}\n"
    path.write_text(f"format: 1\nproject: {{title: Bare}}\n{event}", encoding="utf-8")
    ask = Ask(kinds=frozenset(), ids=frozenset({"rule operators.shut_down_fits"}))
    (own,) = [r for r in travel(str(path), None, ask).rules if r.id == "operators.shut_down_fits"]
    assert own.status == "not checked"
