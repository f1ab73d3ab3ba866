"""Which accumulators an outlet burns from, and which count as one.

Gas knows no arrows: an accumulator at the end of a branch gives back through the tee that it was filled by, and two
that pipe or hose joins empty together. Only a regulator and a check valve let it run one way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from specc.kinds.plumbing import OUTLETS, Network, Part, walked

# What holds gas back, or may be shut: accumulators on its two sides do not stand at one pressure in a burst.
_APART = ("regulator", "orifice", "valve", "cylinder", *OUTLETS)


def _one_way(part: Part) -> bool:
    return part.kind == "regulator" or part.form in ("check", "relief")


class Around(NamedTuple):
    """What gas comes from into accumulators that are one: others, through what holds it back or may be shut, and the
    regulators and cylinders that it is met at first; and the parts between these and them."""

    helping: tuple[Part, ...]
    from_helping: frozenset[str]
    sources: tuple[Part, ...]
    from_sources: frozenset[str]


class Stores:
    """The accumulators of a plumbing, known by the first of those that are one."""

    def __init__(self, net: Network) -> None:
        self.net = net
        self.all = net.of_kind("accumulator")
        near = net.near if self.all else {}
        self.leader: dict[str, str] = {}
        for store in sorted(self.all, key=lambda p: not net.before.get(p.tag)):  # first those that a run leads to
            if store.tag not in self.leader:
                met = net.walk((store.tag,), near, lambda p: p.kind in _APART)
                self.leader.update((t, store.tag) for t in met if net.by_tag[t].kind == "accumulator")
        self._above = {p.tag: self._way_up(p) for p in self.all}
        self._around: dict[str, Around] = {}
        self._nearest: dict[str, str | None] = {}

    def _way_up(self, store: Part) -> Mapping[str, str]:
        """What stands between an accumulator and the next thing that gas does not come back through. One that leads
        to outlets of its own gives others no more than an orifice between them lets pass, which is not counted."""
        holds: tuple[str, ...] = ("cylinder", "accumulator")
        if any(self.net.by_tag[t].kind in OUTLETS for t in self.net.walk((store.tag,), self.net.after)):
            holds = (*holds, "orifice")
        return self.net.walk(
            self.net.before.get(store.tag, ()), self.net.before, lambda p: _one_way(p) or p.kind in holds
        )

    def aside(self, passed: Iterable[str]) -> tuple[str, ...]:
        """Accumulators beside a way that gas takes, and the parts by which they join it."""
        on = {t for t in passed if self.net.by_tag[t].kind not in ("cylinder", "accumulator")} if self.all else set()
        found: set[str] = set()
        for tag, above in self._above.items():
            for joint in above.keys() & on if tag not in on else ():
                if _one_way(self.net.by_tag[joint]) or self.net.by_tag[joint].kind == "orifice":
                    continue
                found.add(tag)
                while joint := above[joint]:
                    found.add(joint)
        return tuple(sorted(found - on, key=self.net.place.__getitem__))

    def of(self, outlet: str) -> str | None:
        """The accumulator that an outlet burns from: the nearest, by the first of those that are one with it."""
        if outlet not in self._nearest:
            before = self.net.before
            met = self.net.walk(before.get(outlet, ()), before, lambda p: p.kind == "accumulator") if self.all else {}
            first = [t for t in (*met, *self.aside((outlet, *met))) if t in self.leader]
            self._nearest[outlet] = self.leader[first[0]] if first else None
        return self._nearest[outlet]

    def together(self, store: str) -> tuple[Part, ...]:
        """The accumulators that are one with this."""
        return tuple(p for p in self.all if self.leader[p.tag] == self.leader[store])

    def around(self, store: str) -> Around:
        leader = self.leader[store]
        if leader not in self._around:
            self._around[leader] = self._look_around(leader)
        return self._around[leader]

    def _look_around(self, leader: str) -> Around:
        net, own = self.net, [p.tag for p in self.together(leader)]

        def comes_from(here: str) -> list[str]:
            part = net.by_tag[here]
            if part.kind in ("regulator", "cylinder"):
                return []
            back = [] if _one_way(part) else net.after.get(here, ())
            return [
                *net.before.get(here, ()),
                *(t for t in back if not _one_way(net.by_tag[t]) and net.by_tag[t].kind not in OUTLETS),
            ]

        met = walked({}, own, comes_from, "")

        def between(starts: Iterable[Part]) -> frozenset[str]:
            ways: set[str] = set()
            for tag in (p.tag for p in starts):
                while tag:
                    ways.add(tag)
                    tag = met[tag]
            return frozenset(ways)

        met = walked({}, own, comes_from, "")
        helping = tuple(p for p in self.all if p.tag in met and p.tag not in own)
        sources = tuple(p for p in net.of_kind("regulator", "cylinder") if p.tag in met)
        return Around(helping, between(helping), sources, between(sources))
