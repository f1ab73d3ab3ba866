"""Findings told once (specc/engine/grouping.py)."""

from __future__ import annotations

from specc.engine.grouping import grouped
from specc.model.findings import Finding, Place


def found(tag: str, message: str) -> Finding:
    return Finding("club.far", "error", message, Place("a.yaml", 7), f"/plumbing/parts/{tag}", "farther off")


def test_what_differs_by_its_own_names_is_told_once() -> None:
    (one,) = grouped([found(f"ring_{n}", f"ring_{n} is no part; see lamp_{n}") for n in (1, 2, 3)])
    assert one.message == "ring_1 is no part; see lamp_1; and so of ring_2, ring_3"
    (one,) = grouped([found(tag, f"{tag}, which burns, has no valve") for tag in ("glow", "stem")])
    assert one.message == "glow, which burns, has no valve; and so of stem"


def test_what_differs_by_a_measure_is_told_each() -> None:
    some = [found("ring_1", "ring_1 is 9 ft away"), found("ring_2", "ring_2 is 2 ft away")]
    assert grouped(some) == some


def test_the_number_of_a_tag_is_not_taken_for_one_of_a_measure() -> None:
    some = [found("ring_1", "ring_1 is 1 ft away"), found("ring_2", "ring_2 is 2 ft away")]
    assert grouped(some) == some
