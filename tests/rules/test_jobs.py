"""Who does what in an emergency: nobody two things at one time, or at two places, on lantern_reeds."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.kinds.geometry import Point
from specc.kinds.places import Spot
from specc.kinds.procedures import Act, Step
from specc.model.values import Quantity
from specc_operators.jobs import two_places

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
RULE = "operators.one_job"


def judged(*edits: tuple[str, str, str]) -> tuple[str, list[tuple[str, str]]]:
    """The rule's status on the sample with some texts of its files replaced, and where what is found."""
    instead = {}
    for name, old, new in edits:
        path = str(FOLDER / name)
        text = instead.get(path, (FOLDER / name).read_bytes()).decode()
        assert text.count(old) == 1, (name, old)
        instead[path] = text.replace(old, new).encode()
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({f"rule {RULE}"}),
        block=("materials", "structure"),
        instead=tuple(instead.items()),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    (own,) = [r for r in made.rules if r.id == RULE]
    return own.status, [(f.at.rsplit("/", 1)[1], f.message) for f in made.findings if f.rule == RULE]


REST = "v_p and v_r1 to v_r5"
WITH_V3 = "v_p, v3 and v_r1 to v_r5"
CASES = {
    "the second caller has valves left": (
        [("crew.yaml", "second_caller: dogwood", "second_caller: birch")],
        [
            (
                "second_caller",
                f"birch calls where the first caller cannot, and still has {WITH_V3} to close",
            )
        ],
    ),
    "who meets help has valves left": (
        [("crew.yaml", "meets: cedar", "meets: birch")],
        [("meets", f"birch goes to meet help, and still has {REST} to close")],
    ),
    "who calls has valves left": (
        [("crew.yaml", "caller: alder,", "caller: birch,")],
        [("caller", f"birch calls for help, and still has {REST} to close")],
    ),
    "one person calls and meets": (
        [("crew.yaml", "second_caller: dogwood", "second_caller: cedar")],
        [("meets", "cedar calls where the first caller cannot, and goes to meet help")],
    ),
    "one person at the desk and, across the yard, at the box": (
        [
            ("crew.yaml", "reeds: {person: birch,", "reeds: {person: cedar,"),
            ("control.yaml", "desk: {at: [28 ft, 12 ft, 3 ft]", "desk: {at: [40 ft, 17 ft, 3 ft]"),
            ("crew.yaml", "meets: cedar", "meets: dogwood"),
            ("crew.yaml", "second_caller: dogwood", "second_caller: hazel"),
        ],
        [("emergency", "cedar has to be at desk and at box at once in an emergency")],
    ),
}


def test_the_sample_passes() -> None:
    assert judged() == ("passed", [])


@pytest.mark.parametrize("what", CASES)
def test_two_jobs_at_one_time_are_found(what: str) -> None:
    edits, found = CASES[what]
    assert judged(*edits) == ("failed", found)


def test_without_coordinates_it_is_not_known_whether_one_reaches_both() -> None:
    def spot(tag: str, *at: float) -> Spot:
        shape = Point(*(Quantity(v, "length", "") for v in at)) if at else None
        return Spot(tag, None, None, "", "", shape)

    step = Step(10, "emergency", "", action="close", tag="v1", who="ash", where="box",
                more=(Act("close", "v2", "ash", "rack"), Act("close", "v3", "birch", "rack")))  # fmt: skip
    near = {"box": spot("box", 0.0, 0.0), "rack": spot("rack", 1.5, 0.0)}
    assert list(two_places(step, near, 2.0)) == []
    assert list(two_places(step, near, 1.0)) == [("ash", "box", "rack", True)]
    assert list(two_places(step, {"box": near["box"], "rack": spot("rack")}, 2.0)) == [("ash", "box", "rack", None)]
