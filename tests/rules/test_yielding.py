"""A rule that yields what it finds ends as one that lists it."""

from __future__ import annotations

import pytest

from specc.model.findings import Trouble, Verdict
from specc.model.passes import Judging, authority_decides, concluded, judged, not_applicable, not_checked, passed


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
    assert concluded(rule_of(["x"], not_applicable("no hose"))) == not_applicable("no hose")
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
