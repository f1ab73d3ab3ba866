"""Where gas gets to with some valves shut and some parts parted, and which closures stop it. Plain functions, no spec.

Every part has two sides, its inlet and its outlet, and gas passes either way through everything but check valves and
regulators: a parted hose drains from both ends. A closure that is shut passes nothing, and neither does a plug. The
walk is the network's own, from side to side instead of from part to part.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Literal, TypeAlias

from specc.kinds.plumbing import LINES, Network, Part, walked

Side: TypeAlias = Literal["in", "out"]
Spot: TypeAlias = tuple[str, Side]
Pair: TypeAlias = tuple[str, str]

_START: Spot = ("", "in")  # from which a walk comes to where it begins

# Valves that are not there to shut gas off.
_NO_CLOSURES = ("check", "relief", "excess_flow")
PLUGS = ("plug", "cap")
_HOLDING = (*LINES, "accumulator")


def holds(part: Part) -> bool:
    """Whether it holds gas by its length or volume. What any other fitting holds is little."""
    return part.kind in _HOLDING or part.form == "manifold"


def one_way(part: Part) -> bool:
    return part.kind == "regulator" or (part.kind == "valve" and part.form == "check")


def closes(part: Part) -> bool:
    """Whether a part is there to shut gas off. A cylinder has its own valve besides."""
    return part.kind == "valve" and part.form not in _NO_CLOSURES


def by_hand(part: Part) -> bool:
    return closes(part) and part.form != "solenoid"


def by_itself(part: Part) -> bool:
    return closes(part) and part.form == "solenoid"


def lets_down(net: Network, valve: Part) -> bool:
    """Whether a hand valve leads to no outlet but a plug, a cap, an open nipple or right into the open."""
    if not by_hand(valve) or not net.before.get(valve.tag):
        return False
    # The first part that is no fitting says that it leads on: what is behind that is not walked through.
    met = net.walk(net.after.get(valve.tag, ()), net.after, lambda p: p.kind != "fitting")
    return all(net.by_tag[t].kind == "fitting" for t in met if t != valve.tag)


def is_bleed(net: Network, valve: Part) -> bool:
    """Whether it is a hand valve that stands shut until somebody opens it to let something down. One that leads to an
    open nipple lets down as well, and counts as open where something fails: nothing but it holds the gas back."""
    if not lets_down(net, valve):
        return False
    below = net.downstream(valve.tag)
    return not below or any(p.form in PLUGS for p in below)


def open_ended(net: Network, part: Part) -> bool:
    """Whether gas leaves into the open at a part: a valve, a fitting or a line that nothing is behind, and no plug. A
    nipple without its plug holds nothing."""
    through = closes(part) or part.kind in LINES or (part.kind == "fitting" and part.form not in PLUGS)
    return through and bool(net.before.get(part.tag)) and not net.after.get(part.tag)


class FaultyNetwork:
    """A network's parts with the links between sides, and what is wrong with it: links that are cut and parts (hoses)
    that are parted."""

    def __init__(self, net: Network, cut: frozenset[Pair] = frozenset(), parted: frozenset[str] = frozenset()) -> None:
        self.net, self.cut, self.parted = net, cut, parted
        # A fault is walked through some forty times, with other things shut: what joins a side is worked out once.
        self._onward: dict[Spot, tuple[list[Spot], list[Spot]]] = {}
        self._back: dict[Spot, tuple[list[Spot], list[Spot]]] = {}
        self._reaching: dict[tuple[frozenset[Spot], frozenset[str]], tuple[str, ...]] = {}  # a third is asked again

    def sources(self) -> tuple[str, ...]:
        return tuple(p.tag for p in self.net.of_kind("cylinder", "accumulator"))

    def next(self, spot: Spot, shut: Collection[str], back: bool = False) -> list[Spot]:
        """Where gas goes next from one side of a part; with `back`, where it may come from."""
        known = self._back if back else self._onward
        if spot not in known:
            known[spot] = self._joining(spot, back)
        when_open, when_shut = known[spot]
        return when_shut if spot[0] in shut else when_open

    def _joining(self, spot: Spot, back: bool) -> tuple[list[Spot], list[Spot]]:
        """What gas comes to from a side while the part is open, and while it is shut."""
        tag, side = spot
        beside: list[Spot]
        if side == "out":
            beside = [(to, "in") for to in self.net.after.get(tag, ())]
        else:
            beside = [(to, "out") for to in self.net.before.get(tag, ())]
        if self.cut:
            beside = [s for s in beside if ((tag, s[0]) if side == "out" else (s[0], tag)) not in self.cut]
        if tag in self.parted:
            return beside, beside
        part = self.net.by_tag[tag]
        if part.form in PLUGS or (one_way(part) and (side == "in") == back):
            return beside, beside
        through: list[Spot] = [*beside, (tag, "out" if side == "in" else "in")]
        # A cylinder's own valve holds back what is in it, and nothing that comes past its connection.
        return through, through if part.kind == "cylinder" else beside

    def reach(self, sources: Iterable[str], shut: Collection[str]) -> set[Spot]:
        """All sides that gas from the sources gets to. A cylinder among `shut` is no source: its own valve is shut."""
        shut = set(shut)
        sides: tuple[Side, ...] = ("in", "out")
        starts = ((s, side) for s in sources if s not in shut for side in sides)
        return set(walked({}, starts, lambda here: self.next(here, shut), _START))

    def leading(self, spots: Collection[Spot], shut: Collection[str]) -> set[Spot]:
        """All sides from which gas gets to any of the spots."""
        shut = frozenset(shut)
        return set(walked({}, spots, lambda here: self.next(here, shut, back=True), _START))

    def reaching(self, spots: Collection[Spot], shut: Collection[str]) -> tuple[str, ...]:
        """The sources from which gas gets to any of the spots."""
        asked = frozenset(spots), frozenset(shut)
        if asked not in self._reaching:
            met = self.leading(*asked)
            self._reaching[asked] = tuple(
                s for s in self.sources() if s not in shut and ((s, "in") in met or (s, "out") in met)
            )
        return self._reaching[asked]

    def nearest(self, spots: Collection[Spot], shut: Collection[str], working: Collection[str]) -> tuple[str, ...]:
        """The closures among `working` (a cylinder's tag for its own valve) that are met first on each way back from
        the spots, without those that no gas comes to."""
        met: dict[Spot, Spot] = {}
        first: dict[str, None] = {}

        def back(here: Spot) -> list[Spot]:
            tag, before = here[0], self.next(here, shut, back=True)
            through = [there for there in before if there[0] == tag and there not in met] if tag in working else []
            if through or (tag in working and self.net.by_tag[tag].kind == "cylinder"):
                first[tag] = None
            return [there for there in before if there not in through]

        walked(met, spots, back, _START)
        return self.needed(spots, shut, first)

    def first_met(self, shut: Collection[str], working: Collection[str]) -> tuple[str, ...]:
        """Of the closures among `working` those that gas comes to first, with all of them shut: they hold all that the
        others hold."""
        reached = {tag for tag, _ in self.reach(self.sources(), {*shut, *working})}
        own = {s for s in self.sources() if s in working}
        return tuple(c for c in self.net.place if c in working and (c in reached or c in own))

    def needed(self, spots: Collection[Spot], shut: Collection[str], closed: Iterable[str]) -> tuple[str, ...]:
        """Without each closure that holds nothing back from the spots while the others are shut."""
        kept = list(dict.fromkeys(closed))
        left = set(self.reaching(spots, {*shut, *kept}))
        for one in tuple(kept):
            others = [c for c in kept if c != one]
            if set(self.reaching(spots, {*shut, *others})) <= left:
                kept = others
        return tuple(sorted(kept, key=self.net.place.__getitem__))

    def each_stops(self, spots: Collection[Spot], closures: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
        """By source, the closures that each stop its gas alone. `closures` without a cylinder's own valve."""
        came = walked({}, spots, lambda here: self.next(here, frozenset(), back=True), _START)
        ways = {s: self._on_way(came, s) for s in self.reaching(spots, ())}
        # What stops all of it lies on each way, so on this one: no other closure is asked.
        asked = set().union(*ways.values())
        listed = [c for c in closures if c in asked]
        without = {c: self.reaching(spots, {c}) for c in listed}
        return {s: tuple(c for c in listed if c in way and s not in without[c]) for s, way in ways.items()}

    @staticmethod
    def _on_way(came: Mapping[Spot, Spot], source: str) -> set[str]:
        """The parts on one way from a source, by what a walk back from its end has met."""
        sides: tuple[Spot, Spot] = ((source, "out"), (source, "in"))
        here = next(side for side in sides if side in came)
        way = set()
        while here != _START:
            way.add(here[0])
            here = came[here]
        return way
