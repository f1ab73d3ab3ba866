"""Which posts are manned together while gas is on: a post that is left between two scenes stops nothing after it."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import NamedTuple

from specc import Context, Key, value
from specc_operators.clock import clock
from specc_operators.hours import DUTIES, NIGHTS, Duty, NightHours, by_night

_WATCHING = ("lead", "valve", "spotter")


class Manned(NamedTuple):
    """Stations at which somebody is on duty at once, and those of them where it is somebody who watches; from when that
    is first so. `clock` is "" where the hours with gas on are not known: then all stations count as manned at once."""

    stations: frozenset[str]
    watching: frozenset[str]
    clock: str = ""
    night: date | None = None

    @property
    def said(self) -> str:
        return f", from {self.clock} on the night of {self.night.isoformat()}" if self.night else ""


MANNED: Key[tuple[Manned, ...]] = Key("operators.manned", tuple)


@value(MANNED, needs=(NIGHTS, DUTIES))
def manned(ctx: Context) -> tuple[Manned, ...]:
    """Each set of stations once. Moments at which nobody is on duty are other rules' to find."""
    posted = [d for d in ctx[DUTIES] if d.role != "fire_watch" and d.station]
    if ctx[NIGHTS].why:
        return (_of(posted),) if posted else ()
    made: dict[tuple[frozenset[str], frozenset[str]], Manned] = {}
    at_posts = by_night(posted)
    for night in ctx[NIGHTS].nights:
        for one in _through(night, at_posts[night.day]):
            made.setdefault((one.stations, one.watching), one)
    return tuple(made.values())


def _of(duties: Iterable[Duty]) -> Manned:
    listed = list(duties)
    return Manned(frozenset(d.station for d in listed), frozenset(d.station for d in listed if d.role in _WATCHING))


def _through(night: NightHours, own: Sequence[Duty]) -> Iterable[Manned]:
    """A night's sets in order of time: at the first gas, and whenever somebody has left."""
    events: list[tuple[datetime, int, Duty]] = []
    for duty in own:
        events += [(duty.span.start.real, 1, duty), (duty.span.end.real, -1, duty)]
    events.sort(key=lambda e: e[0])
    batches = [(at, list(some)) for at, some in itertools.groupby(events, key=lambda e: e[0])]
    for on in night.gas:
        active: Counter[str] = Counter()
        eyes: Counter[str] = Counter()
        due = False
        for n, (at, some) in enumerate(batches):
            if at >= on.end.real:
                break
            for _, step, duty in some:
                active[duty.station] += step
                eyes[duty.station] += step if duty.role in _WATCHING else 0
                due |= step < 0
            following = batches[n + 1][0] if n + 1 < len(batches) else on.end.real
            if following > on.start.real and (due or at <= on.start.real):
                due = False
                stations = frozenset(s for s, count in active.items() if count > 0)
                if stations:
                    wall = on.start.wall if at <= on.start.real else _wall(some, at)
                    watching = frozenset(s for s, count in eyes.items() if count > 0)
                    yield Manned(stations, watching, clock(wall), night.day)


def _wall(some: Sequence[tuple[datetime, int, Duty]], at: datetime) -> datetime:
    """What the clock on the wall shows then."""
    duty = some[0][2]
    return duty.span.start.wall if duty.span.start.real == at else duty.span.end.wall


__all__ = ["MANNED", "Manned"]
