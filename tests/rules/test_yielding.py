"""A rule that yields what it finds ends as one that lists it."""

from __future__ import annotations

from specc.model.findings import Trouble, Verdict
from specc.model.passes import Judging, concluded, judged, not_applicable, passed


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
