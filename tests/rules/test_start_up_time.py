"""Whether the start-up fits into the time before the first scene: by hand on a few steps, and on lantern_reeds."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.kinds.geometry import Point
from specc.kinds.places import Spot
from specc.kinds.procedures import Act, Step
from specc.model.blocks import Para
from specc.model.values import Quantity
from specc.testing import result_of
from specc_operators.start_up_time import start_up_of
from specc_operators.task_times import seconds_each, takes, walked

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
    step(0, Act("open", "v", "ann", "b"), Act("air_in", "v", "ben", "a"), lasts=900.0),
]


def test_what_comes_before_the_first_gas_takes_none_of_its_time() -> None:
    assert [s.order for s in start_up_of(STEPS, "first").with_gas] == [2, 3, 4]
    assert [s.order for s in start_up_of(STEPS, "later").with_gas] == [2, 3, 5]
    assert [s.order for s in start_up_of(STEPS, "later").before] == [0, 1]  # a test with air, too


def test_waits_tasks_and_ways_are_summed_up() -> None:
    """At 1 m/s. ann goes from a to b and to c, ben from a to c."""
    first, later = (start_up_of(STEPS, night).with_gas for night in ("first", "later"))
    assert takes(first, seconds_each(first, 0), PLACES, 1.0) == (300.0, 10 + 10 + 30 + 60 + 10, 5 + 4 + 3)
    assert takes(later, seconds_each(later, 0), PLACES, 1.0) == (360.0, 10 + 10 + 30 + 60, 5 + 5)
    assert walked(first, {}) == 0


def test_each_joint_takes_its_time_however_few_steps_soap_them() -> None:
    """One act that says "soap every joint up to here" is as long as the joints are many."""
    first = start_up_of(STEPS, "first").with_gas
    assert seconds_each(first, 12)["soap"] == 12 * 30
    assert seconds_each([*first, *first], 12)["soap"] == 6 * 30
    assert seconds_each(first, 0)["soap"] == 30


def judged(*edits: tuple[str, str, str]) -> dict[str, tuple[str, list[tuple[str, str]]]]:
    """The rules on the times of lantern_reeds with some edits, each of a file: their status, and what they find."""
    texts: dict[Path, str] = {}
    for name, old, new in edits:
        path = FOLDER / name
        text = texts.get(path) or path.read_text(encoding="utf-8")
        assert old in text, old
        texts[path] = text.replace(old, new)
    ids = ("operators.start_up_fits", "operators.public_after_gas_let_out", "operators.breaks")
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset(f"rule {id}" for id in ids),
        block=("materials", "structure"),
        instead=tuple((str(path), text.encode()) for path, text in texts.items()),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    return {
        r.id.partition(".")[2]: (r.status, [(f.at, f.message) for f in made.findings if f.rule == r.id])
        for r in made.rules
        if r.id in ids
    }


LIMIT = ("project.yaml", "operators.start_up: 130 min")


@pytest.mark.parametrize(("limit", "fits"), [("130 min", True), ("60 min", False)])
def test_the_sample_is_found_where_its_start_up_is_too_short(limit: str, fits: bool) -> None:
    status, found = judged((*LIMIT, f"operators.start_up: {limit}"))["start_up_fits"]
    own = [said for at, said in found if at.startswith("/limits")]
    assert status == ("passed" if fits else "failed")
    assert [f"gas is let in {limit} before" in said for said in own] == ([] if fits else [True])
    assert all(re.search(r"some \d+ min on each night \(\d+ min of waits, \d+ min of tasks, ", said) for said in own)


def test_whoever_comes_when_gas_is_let_in_is_found() -> None:
    """Valves are closed, the list is asked and cylinders are connected before."""
    fuel = "person: dogwood, role: fuel_watch, station: supply, from: "
    status, found = judged(("crew.yaml", f'{fuel}"17:25"', f'{fuel}"18:10"'))["start_up_fits"]
    assert status == "failed"
    assert [at for at, _ in found] == ["/operators/shifts/fuel/from"]
    assert "dogwood is on shift from 18:10 on the night of" in found[0][1]


def test_whoever_is_relieved_in_the_middle_of_a_start_up_is_found() -> None:
    off = '{from: "20:10", to: "20:25"}}'
    early = off.replace("20:10", "19:30").replace("20:25", "19:45")
    status, found = judged(("crew.yaml", f"breaks: {{juniper: {off}", f"breaks: {{juniper: {early}"))["start_up_fits"]
    assert status == "failed"
    assert [at for at, _ in found] == ["/operators/shifts/lead/to"]
    assert "alder has a part in the start-up until some" in found[0][1]
    assert "has a break at 19:30" in found[0][1]


@pytest.mark.parametrize(("opens", "status"), [("20:10", "passed"), ("19:30", "failed")])
def test_the_public_is_not_there_while_gas_is_let_out(opens: str, status: str) -> None:
    ended, found = judged(("project.yaml", 'from: "20:10"', f'from: "{opens}"'))["public_after_gas_let_out"]
    assert ended == status
    assert [at for at, _ in found] == ([] if status == "passed" else ["/event/hours"])


def test_a_break_is_one_only_where_somebody_else_stands_in() -> None:
    shift = 'person: alder, role: lead, station: box, from: "17:25", to: "23:40",\n      breaks: {'
    off = '{from: "20:10", to: "20:25"}}'
    assert judged()["breaks"] == ("passed", [])
    for broken in (f"{shift}alder: {off}", f'{shift}juniper: {{from: "20:10", to: "20:20"}}}}'):
        status, found = judged(("crew.yaml", f"{shift}juniper: {off}", broken))["breaks"]
        assert status == "failed"
        assert any("alder is on duty for 6 h 15 min without a break" in said for _, said in found)


def test_the_packet_says_from_when_on_a_stop_ends_the_night() -> None:
    """What is left of the show is less than a start anew takes: beside the steps of a hold."""
    result = result_of(FOLDER / "project.yaml")
    (during,) = (s for s in result.sections if s.id == "operators_during")
    (said,) = (b.text for b in during.blocks if isinstance(b, Para) and b.text.startswith("Lit anew"))
    (takes_, until) = re.findall(r"takes (\d+) min after a stop or hold: from (\d\d:\d\d) on it ends", said)[0]
    last = 23 * 60 + 15  # the end of the last scene
    hours, minutes = map(int, until.split(":"))
    assert abs(last - (hours * 60 + minutes) - int(takes_)) <= 1
