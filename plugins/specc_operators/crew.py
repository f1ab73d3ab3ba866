"""Who is there while gas is on, and which of them does something at a place."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from specc_operators.in_words import listed


class Hand(NamedTuple):
    """A duty while gas is on: who, as what, for which effects (none: all), posted where."""

    person: str
    role: str
    effects: tuple[str, ...]
    station: str


class Crew(NamedTuple):
    hands: tuple[Hand, ...] = ()
    named: str = ""  # who leads, where no roster says it
    watching: tuple[str, ...] = ()  # spotters who are on shift together; the others only relieve one of these

    def pick(self, place: str, role: str, effects: Collection[str] = (), but: Collection[str] = ()) -> str:
        """Who does something at a place: somebody posted there before somebody who has to walk, the role that it is
        for before another; "" where nobody is named. A spotter's eyes stay where they are."""

        def fits(h: Hand) -> tuple[bool, bool, bool]:
            return bool(place) and h.station == place, h.role == role, not effects or bool({*h.effects} & {*effects})

        free = [h for h in self.hands if h.person not in but and (h.role != "spotter" or role == "spotter")]
        best = max(free, key=fits, default=None)
        if best is not None and any(fits(best)[:2]):
            return best.person
        return next((h.person for h in free if h.role == "lead"), "")

    def at(self, place: str) -> tuple[str, ...]:
        """Who is posted at a place."""
        return tuple(dict.fromkeys(h.person for h in self.hands if place and h.station == place))

    def spotters(self) -> str:
        """Who watches the public, as one reads it out: the first at each post, since others only relieve them."""
        posts: dict[tuple[tuple[str, ...], str], str] = {}
        for hand in self.hands:
            if hand.role == "spotter":
                posts.setdefault((hand.effects, hand.station), hand.person)
        named = self.watching or tuple(dict.fromkeys(posts.values()))
        more = {*self.of_role("spotter")} - {*named}
        return listed(named) + (" (or who relieves them)" if more else "")

    def watches(self, person: str) -> bool:
        """Whether somebody is a spotter: others may relieve them."""
        return person in self.of_role("spotter")

    def of_role(self, role: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(h.person for h in self.hands if h.role == role))
