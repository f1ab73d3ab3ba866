"""Who watches what while gas is on: one pair of eyes does not watch the public, the wind and the sky at one time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc import Trouble
from specc.model.view import View
from specc_operators.clock import clock, gaps
from specc_operators.hours import Duty


def all_alone(limits: View, duties: Sequence[Duty]) -> Iterator[Trouble]:
    """A spotter of the public who is alone at it, reads the wind and is to listen for thunder too."""
    thunder, wind = limits.child("lightning"), limits.child("wind")
    who = thunder.text_or("by")
    read_at = wind.text_or("read_at") or wind.text_or("at")
    crowd = [d for d in duties if d.role == "spotter" and not d.effects]
    for own in (d for d in crowd if d.person == who and d.station and d.station == read_at):
        others = [d.span for d in duties if d.person != who and (d in crowd or d.station == read_at)]
        if alone := gaps(own.span, tuple(others)):
            yield Trouble(
                thunder.here("by"),
                f"{who} alone watches the public and reads the wind at {read_at}, and listens for thunder too, from "
                f"{clock(alone[0].start.wall)} on",
                "somebody else for one of them",
                "one pair of eyes on three things misses one of them",
            )
            return


__all__ = ["all_alone"]
