"""Time grows as the number of each thing that a spec has more of, hardly faster: see growth.py."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import growth

MOST = 1.15  # twice as many take at most 2.2 times as long; work that goes through all pairs takes four times


# What takes longest is measured once and with half as many here, so that all of them take half a minute.
LONG = ("cues", "bursts", "people", "parts", "tolerances", "findings")


@pytest.mark.parametrize("kind", growth.KINDS)
def test_time_grows_as_the_number(kind: str) -> None:
    found = growth.growth(kind, times=1, share=0.5 if kind in LONG else 1.0)
    assert found.exponent <= MOST, f"{found.seconds} s"


def test_a_table_of_the_crew_grows_as_their_number() -> None:
    found = growth.growth("people", alone="table operators.crew")
    assert found.exponent <= MOST, f"{found.seconds} s"


@pytest.mark.parametrize("rule", ["valves_attended", "watched", "one_place", "emergency_plan", "shut_down_fits"])
def test_a_rule_on_the_roster_grows_as_the_nights(rule: str) -> None:
    """Two seasons of nights, each with all shifts: to look for those of a night among all of them took minutes."""
    found = growth.growth("nights", alone=f"rule operators.{rule}", share=10.0)
    assert found.exponent <= MOST, f"{found.seconds} s"
