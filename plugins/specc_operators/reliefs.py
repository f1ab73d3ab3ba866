"""Which spotters have a part of their own when something goes wrong, and which only relieve another at a post."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from specc_operators.hours import Duty


def not_reliefs(duties: Iterable[Duty]) -> tuple[str, ...]:
    """The spotters but those who only relieve another: who is first at their post in a night, or is there with
    somebody else for a while."""
    watch = [d for d in duties if d.role == "spotter"]
    posts: dict[tuple[object, ...], list[Duty]] = {}
    for d in sorted(watch, key=_start):
        posts.setdefault((d.effects, d.station), []).append(d)
    kept = {d for own in posts.values() for d in (*_meeting(own), *_first(own))}
    return tuple(dict.fromkeys(d.person for d in watch if d in kept))


def _start(duty: Duty) -> datetime:
    return duty.span.start.real


# In order of their starts whoever else is there is found in one sweep: all pairs of 2,000 people took half a minute.
def _meeting(own: Sequence[Duty]) -> Iterator[Duty]:
    """Of duties at one post, in order of their starts, those that another's overlaps."""
    latest: dict[str, datetime] = {}  # the end of two people's at most: of those before the one who stays longest, and
    for d in own:  # the one who stays longest of all others
        if any(end > _start(d) for person, end in latest.items() if person != d.person):
            yield d
        latest[d.person] = max(latest.get(d.person, d.span.end.real), d.span.end.real)
        latest = dict(sorted(latest.items(), key=lambda one: one[1])[-2:])
    following: dict[str, datetime] = {}  # the next start of two people
    for d in reversed(own):
        if any(start < d.span.end.real for person, start in following.items() if person != d.person):
            yield d
        following[d.person] = _start(d)
        following = dict(sorted(following.items(), key=lambda one: one[1])[:2])


def _first(own: Sequence[Duty]) -> Iterator[Duty]:
    """Of duties at one post, in order of their starts, those before which nobody else was there on their night."""
    before: dict[object, dict[str, datetime]] = {}  # of a night, the first two people
    for d in own:
        there = before.setdefault(d.night, {})
        if not any(start < _start(d) for person, start in there.items() if person != d.person):
            yield d
        if len(there) < 2:
            there.setdefault(d.person, _start(d))


__all__ = ["not_reliefs"]
