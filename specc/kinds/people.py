"""The people of a project: by tag in public, with names and phones only in the private file."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from specc.model.passes import Key


class Certificate(NamedTuple):
    """A license, permit or course of one person. `first` and `last` are days it is valid on, when stated."""

    tag: str
    kind: str
    first: date | None
    last: date | None
    at: str


class Person(NamedTuple):
    """A person by tag. `age` is as written, for the event's first day; a birthday (`born`) says more.

    `sober` is True when the person has agreed to the sobriety statement, None when nothing is said.
    `name` and `phone` are "" unless the overlay (or the spec) gives them.
    """

    tag: str
    name: str
    phone: str
    role: str
    age: int | None
    born: date | None
    sober: bool | None
    certificates: tuple[Certificate, ...]
    at: str

    def age_on(self, day: date) -> int | None:
        """Whole years on a day: from the birthday if there is one, else the age as written."""
        if self.born is None:
            return self.age
        return day.year - self.born.year - ((day.month, day.day) < (self.born.month, self.born.day))


PEOPLE: Key[tuple[Person, ...]] = Key("core.people", tuple)
"""All people, in the spec's order; names and phones only from the private file."""


class OnDuty(NamedTuple):
    """A shift of one person on one night. `effects`: those it is for; none means all. `starts` and `ends`: the clock on
    the wall, as written; one before noon may be of the morning after."""

    shift: str
    person: str
    role: str
    effects: tuple[str, ...]
    station: str
    night: date
    starts: str
    ends: str
    at: str


ROSTER: Key[tuple[OnDuty, ...]] = Key("operators.roster", tuple)
"""Who is on duty: every shift on each of its nights."""
