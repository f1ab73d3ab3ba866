"""A rule that yields what it finds ends as one that lists it."""

from __future__ import annotations

import pytest

from specc.model.findings import Trouble, Verdict
from specc.model.passes import (
    Judging,
    authority_decides,
    concluded,
    judged,
    not_applicable,
    not_checked,
    passed,
    stated,
)
from specc.model.view import Unreadable


def rule_of(said: list[Trouble | str], end: Verdict) -> Judging:
    yield from said
    return end


def test_what_is_yielded_counts_where_it_ends_with_passed() -> None:
    wrong, left = Trouble("/a", "a is wrong", "b"), "c: state its size"
    for said in ([], [wrong], [left], [wrong, left]):
        troubles = [one for one in said if isinstance(one, Trouble)]
        expected = judged(troubles, [one for one in said if isinstance(one, str)], "2 hoses")
        assert concluded(rule_of(said, passed("2 hoses"))) == expected
    tagged = passed("2 hoses")._replace(tags=("h1", "h2"))
    assert concluded(rule_of([wrong], tagged)).tags == ("h1", "h2")


def test_any_other_end_counts_as_it_stands() -> None:
    assert concluded(rule_of(["x"], not_checked("no hose is read"))) == not_checked("no hose is read")
    assert concluded(passed("looked")) == passed("looked")


def test_what_is_wrong_counts_wherever_a_rule_ends() -> None:
    wrong = Trouble("/a", "a is wrong", "b")
    for end in (not_applicable("no hose"), not_checked("c is not said"), authority_decides("may it be?", [wrong])):
        made = concluded(rule_of([wrong, "d: state its size"], end))
        assert made.status == "failed"
        assert set(made.troubles) == {wrong}


def test_what_is_neither_trouble_nor_words_is_refused() -> None:
    for odd in (None, True, ["a"], 3):
        with pytest.raises(TypeError, match="where a Trouble is due"):
            concluded(rule_of([odd], passed("looked")))  # type: ignore[list-item]


def test_what_is_wrong_counts_also_where_a_rule_stops_at_what_cannot_be_read() -> None:
    def stops(said: list[Trouble | str]) -> Judging:
        yield from said
        raise Unreadable("/plumbing/parts/v1/kind")

    wrong = Trouble("/a", "a is wrong", "b")
    made = concluded(stops([wrong]))
    assert (made.status, made.troubles) == ("failed", (wrong,))
    assert "/plumbing/parts/v1/kind" in made.looked
    for said in ([], ["c: state its size"]):  # nothing is wrong so far: what is not read may be
        with pytest.raises(Unreadable):
            concluded(stops(list(said)))


def test_what_could_not_be_checked_keeps_a_rule_from_being_stated() -> None:
    assert concluded(rule_of(["c: state its size"], stated("2 hoses"))) == not_checked("c: state its size")
    assert concluded(rule_of([], stated("2 hoses"))) == stated("2 hoses")


def test_what_could_not_be_checked_keeps_a_rule_from_not_applying() -> None:
    """Nothing of the kind may be described for the same reason."""
    assert concluded(rule_of(["c: state its kind"], not_applicable("no hose"))).status == "not checked"
    assert concluded(rule_of([], not_applicable("no hose"))) == not_applicable("no hose")


def test_what_is_said_twice_counts_once() -> None:
    assert concluded(rule_of(["c", "d", "c"], passed("2 hoses"))) == judged([], ["c", "d"], "2 hoses")
