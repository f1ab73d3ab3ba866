"""Not every line of the go list can be yes while something is planned, asked, unchecked or unsigned."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import cast

sys.path.insert(0, str(Path(__file__).parent))

import pytest
from fake import fake

from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import CHECKS, Check
from specc.model.blocks import Bullets, Para
from specc.model.statuses import Status
from specc.packet.desk import Desk
from specc.packet.still_open import open_lines, with_open_lines


def desk(**counts: int) -> Desk:
    """A packet with so many rules of each status ("not_checked" for "not checked"), all else as in the invented one."""
    (one, *_) = fake().rules
    rules = [
        one._replace(id=f"own.{status}_{n}", plugin="own", status=status.replace("_", " "))
        for status, many in counts.items()
        for n in range(many)
    ]
    return Desk(fake()._replace(rules=tuple(rules), decisions=()), False)


@pytest.mark.parametrize(
    ("status", "asked"), [("not checked", True), ("failed", True), ("passed", False), ("planned", False)]
)
def test_a_flame_that_is_not_shown_to_hold_in_its_stop_wind_is_asked_for(status: str, asked: bool) -> None:
    (one, *_) = fake().rules
    rule = one._replace(id="flame.holds_in_wind", plugin="flame", status=cast(Status, status))
    lines = open_lines(Desk(fake()._replace(rules=(rule,), decisions=()), False))
    assert any("now seen in the stop wind" in line for line in lines) == asked
    assert any("flame: holds in wind ______" in line for line in lines) == (asked or status == "planned")


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ({"planned": 3}, "seen by: own: planned 0, planned 1, planned 2 ______."),
        ({"not_checked": 2}, "2 rules not checked by this packet (own.not_checked_0, own.not_checked_1)"),
        ({"not_checked": 20}, "20 rules not checked by this packet: each one inspected on site, ticked"),
        ({"not_checked": 1}, "1 rule not checked"),
        ({"authority_to_decide": 2}, "2 questions in writing"),
    ],
)
def test_a_kind_that_is_open_has_its_line_and_its_number(counts: dict[str, int], said: str) -> None:
    assert sum(said in line for line in open_lines(desk(**counts))) == 1
    assert not any(said in line for line in open_lines(desk(passed=2)))


def test_the_signatures_are_asked_for_in_any_case() -> None:
    assert any("signed" in line for line in open_lines(desk(passed=1)))


def test_the_lines_stand_in_the_go_list_and_nowhere_else() -> None:
    some = desk(planned=1)
    own, words = Bullets(("Wind is low.",)), Para("Before")
    words_, listed = with_open_lines("start-up", [words, own], some)
    assert words_ == words
    assert isinstance(listed, Bullets)
    assert listed.items == ("Wind is low.", *open_lines(some))
    assert with_open_lines("crew", [own], some) == [own]


def test_the_go_list_asks_for_the_permit_and_for_a_lamp_wherever_something_is_closed() -> None:
    spec = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"
    told = [i.item for i in travel(str(spec), None, Ask(kinds=COMPILE)).items(CHECKS.name)]
    texts = [c.text for c in told if isinstance(c, Check)]
    assert sum("The permit is in hand" in t and "applied for 2027-07-21" in t for t in texts) == 1
    (lamp,) = (t for t in texts if t.startswith("A lamp"))
    places = ("supply", "box", "accumulator_stand", "desk")
    assert all(place in lamp.split(". While gas is let out")[0] for place in places)
