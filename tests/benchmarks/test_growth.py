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
