"""What a rule that passed rests on, judged by itself: typed, shown by an attachment, or still to come."""

from __future__ import annotations

from typing import Any

import pytest

from specc.engine.rests_on import RestsOn
from specc.model.passes import RuleFacts
from specc.model.values import CHOICE

FACTS = RuleFacts("error", "s", CHOICE, rests_on=("flame.shown", "flame.rating"), dated=("flame.on",))
SHOWS = {"seen": {"by": "county", "on": "2027-06-02"}}


def of(tags: tuple[str, ...] = (), issued: str = "2027-06-10", attachments: Any = None, **flame: Any) -> str:
    data = {"project": {"issued": issued}, "flame": flame, "attachments": attachments or {}}
    return RestsOn(data).of(FACTS, tags)[0]


@pytest.mark.parametrize(
    ("flame", "status"),
    [
        ({}, "passed"),
        ({"parts": {"a": {"rating": "5 psi"}}}, "stated"),
        ({"shown": {"a": {"by": "shield"}}}, "stated"),  # the property by tag
        ({"shown": {"a": {"by": "test", "on": "2027-06-09"}}}, "stated"),
        ({"shown": {"a": {"by": "test", "on": "2027-06-11"}}}, "planned"),
        ({"other": {"a": {"by": "shield"}}}, "passed"),
        ({"parts": {"a": {"rating": {"of": "5 psi"}}}}, "stated"),  # a property with parts of its own
    ],
)
def test_what_is_typed(flame: dict[str, Any], status: str) -> None:
    assert of(**flame) == status


def test_only_the_tags_that_were_looked_at_count() -> None:
    flame = {"shown": {"a": {"by": "shield"}, "b": {"by": "test", "on": "2027-06-11"}}}
    assert of((), **flame) == "planned"
    assert of(("a",), **flame) == "stated"
    assert of(("c",), **flame) == "passed"


def test_an_attachment_shows_a_property_said_by_tag() -> None:
    flame = {"shown": {"a": {"by": "shield"}}}
    assert of((), attachments={"photo": {**SHOWS, "shows": {"a": ["shown"]}}}, **flame) == "shown"
    assert of((), attachments={"photo": {**SHOWS, "shows": {"b": ["shown"]}}}, **flame) == "stated"


def test_without_the_day_of_issue_dates_are_not_checked() -> None:
    assert of(issued="", shown={"a": {"on": "2027-06-09"}}) == "not checked"
