"""What a crew handles at a device: what closes, what burns, and where it stands.

A closure is a cylinder's own valve, a hand valve, or a valve that power moves. Gas is followed along the ways that the
runs describe; a valve stands where its first place is.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence, Set
from typing import NamedTuple

from specc.kinds.plumbing import OUTLETS, Network, Part
from specc.kinds.procedures import Act, Action
from specc.measure.units import FOOT
from specc.model.view import Unreadable
from specc_operators.crew import Crew
from specc_operators.habits import Habits
from specc_operators.in_words import listed
from specc_operators.tests_told import AirTest

BY_HAND = ("ball", "needle", "globe")


_MOST_KNOWN = 64


class _WayOut(NamedTuple):
    """Where gas comes out, the hand valves to open until then, and whether an accumulator stands in the same piece."""

    end: str = ""
    valves: tuple[str, ...] = ()
    vessel: bool = False


def _one_way(part: Part) -> bool:
    return part.kind == "regulator" or part.form == "check"


class Device(NamedTuple):
    """`bursts`: by outlet of a burst its effect; `bleeds`: valves that only let something down; `zones`: by tag the
    regulator behind which a part stands; `desk`: the place of the controls, "" where none is told."""

    net: Network
    flow: Mapping[str, int]  # flow_order of the network: asked for at each step, so worked out once
    crew: Crew = Crew()
    bursts: Mapping[str, str] = {}
    effects: Mapping[str, tuple[str, ...]] = {}  # by outlet
    places: Mapping[str, str] = {}  # of an outlet, where the effect says it
    bleeds: tuple[str, ...] = ()
    zones: Mapping[str, str] = {}
    desk: str = ""
    spots: Mapping[str, tuple[float, float]] = {}  # of a place on the level, in m
    gas_reach: str = "15 ft"  # gas at a place counts as gas at every place within this of it
    gas_reach_m: float = 15 * FOOT
    blows_on: str = "30 s"  # after STOP what feeds a pilot waits so long for a burst at most
    heights: Mapping[str, float] = {}  # of a place above the ground, in m
    stops: tuple[str, ...] = ()  # emergency stops of the control
    stops_at: Mapping[str, str] = {}  # where each stands
    keys: tuple[str, ...] = ()  # key switches of the control
    buttons: tuple[str, ...] = ()  # what an operator holds down while it fires
    detector: str = ""  # who carries the gas detector
    habits: Habits = Habits()
    joined: Mapping[str, Mapping[str, list[str]]] = {}  # by burst and place, joints that come apart behind its valve
    air_tests: tuple[AirTest, ...] = ()
    fuses: Mapping[str, tuple[str, ...]] = {}  # by powered valve, those in its line
    sensors: Mapping[str, tuple[str, ...]] = {}  # likewise, the flame sensors
    timed: bool = False  # a timer of the control ends a burst
    shelter: str = ""  # where people go in thunder
    battery: bool = False  # what arms has a battery of its own
    radios: bool = False  # some are described
    watch: str = "30 min"  # how long the fire watch lasts at least
    unlit: str = ""  # how long gas is let out unlit at most while joints are soaped
    stays: str = ""  # who can call for help and stays until the fire watch ends
    ways: Mapping[str, tuple[str, ...]] = {}  # by outlet `on_the_way`, which each step asks for: worked out once
    kept: frozenset[str] | None = None  # `steady`, once it is worked out
    known: dict[frozenset[str], Mapping[str, str]] | None = (
        None  # `reached` by what is open: a night has few such states
    )

    # -- where and who

    def place(self, tag: str) -> str:
        part = self.net.by_tag.get(tag)
        if part is None:
            return ""
        try:
            return (*part.places, self.places.get(tag, ""))[0]
        except Unreadable:
            return ""

    def who(self, tag: str, but: Collection[str] = ()) -> str:
        """Who works a closure: the fuel watch at a cylinder, else the valve operator of what it feeds."""
        if tag in self.bleeds:
            return self.at_vessel(tag, but)
        if self.net.by_tag[tag].kind == "cylinder":
            return self.crew.pick(self.place(tag), "fuel_watch", (), but)
        fed = dict.fromkeys(e for p in self.net.downstream(tag) for e in self.effects.get(p.tag, ()))
        return self.crew.pick(self.place(tag), "valve", tuple(fed), but)

    def at_vessel(self, tag: str, but: Collection[str] = (), place: str = "") -> str:
        """Who goes to a vessel, its gauge or its bleed: the valve operator of what it bursts for. Those of what burns
        meanwhile stay at their valves."""
        vessels = [p for p in (self.net.by_tag[tag], *self.net.upstream(tag)) if p.kind == "accumulator"]
        fed = dict.fromkeys(e for v in vessels for p in self.net.downstream(v.tag) for e in self.effects.get(p.tag, ()))
        return self.crew.pick(place or self.place(tag), "valve", tuple(fed), but)

    def act(self, action: Action, tag: str, but: Collection[str] = ()) -> Act:
        return Act(action, tag, self.who(tag, but), self.place(tag))

    def sheltered(self) -> str:
        return self.shelter or "a solid building or hard-topped cars (none is named)"

    # -- what closes

    def cylinders(self) -> tuple[str, ...]:
        """Those that feed something: a spare stands by."""
        return tuple(p.tag for p in self.net.of_kind("cylinder") if self.net.after.get(p.tag))

    def hand(self) -> tuple[str, ...]:
        return self._in_flow(p.tag for p in self.net.of_kind("valve") if p.form in BY_HAND and p.tag not in self.bleeds)

    def remote(self) -> tuple[str, ...]:
        return self._in_flow(p.tag for p in self.net.of_kind("valve") if p.form == "solenoid")

    @staticmethod
    def _shuts(part: Part) -> bool:
        return part.kind == "valve" and part.form in (*BY_HAND, "solenoid")

    def _in_flow(self, tags: Iterable[str]) -> tuple[str, ...]:
        return tuple(sorted((t for t in {*tags} if t in self.flow), key=self.flow.__getitem__))

    def on_the_way(self, tag: str) -> tuple[str, ...]:
        """The closures on all ways to a part, in flow order."""
        if tag in self.ways:
            return self.ways[tag]
        above = {p.tag: p for p in self.net.upstream(tag)}
        closes = {t for t, p in above.items() if self._shuts(p) and (p.form == "solenoid" or t not in self.bleeds)}
        return (*(c for c in self.cylinders() if c in above), *self._in_flow(closes))

    def last_before(self, outlet: str) -> tuple[str, ...]:
        """The closures by hand behind which no other hand shuts before an outlet, the cylinder's own included."""

        def closes(tag: str) -> bool:
            part = self.net.by_tag[tag]
            return part.kind == "cylinder" or (part.kind == "valve" and part.form in BY_HAND)

        met = self.net.walk((outlet,), self.net.up, lambda p: closes(p.tag))
        return self._in_flow(filter(closes, met))

    def ways_out(self, closures: Sequence[str] = ()) -> dict[str, tuple[str, ...]]:
        """By where it comes out, the hand valves, in flow order, that let out what stands in each piece of line once
        all is closed: the way past the fewest of them to something steady, else to a bleed. What stands with an
        accumulator is let down with that, and is no line. `closures`: only behind these."""
        shut_off = self.shut_off()  # what stands behind these comes out with their vessel
        return self._ways_from(closures or (*self.cylinders(), *(v for v in self.hand() if v not in shut_off)))

    def cylinders_out(self) -> dict[str, tuple[str, ...]]:
        """Of these only what lets out what stands behind the cylinders' own valves."""
        return self._ways_from(self.cylinders())

    def _ways_from(self, closures: Iterable[str]) -> dict[str, tuple[str, ...]]:
        made: dict[str, set[str]] = {}
        for closure in closures:
            way = self._way_out(closure)
            if way is not None and way.valves and not way.vessel:
                made.setdefault(way.end, set()).update(way.valves)
        return {end: (*self._in_flow(own - {end}), *([end] if end in own else [])) for end, own in made.items()}

    def cylinders_let_out(self) -> bool:
        """Whether a hand lets out what stands behind every cylinder's own valve."""
        return all(self._way_out(c) is not None for c in self.cylinders())

    def _way_out(self, closure: str) -> _WayOut | None:
        """Of what stands right behind a closure; None where no hand lets it out."""
        return self._nearest_out(closure, False) or self._nearest_out(closure, True)

    def _nearest_out(self, closure: str, past_vessels: bool) -> _WayOut | None:
        """The way past the fewest hand valves, against the flow too where nothing holds gas back."""
        net = self.net
        todo: deque[tuple[str, _WayOut]] = deque()
        later: list[tuple[str, _WayOut]] = []  # behind one valve more

        def go_on(tags: Iterable[str], way: _WayOut) -> None:
            for tag in tags:
                by_hand = net.by_tag[tag].form in BY_HAND and tag not in self.bleeds
                if by_hand and tag not in way.valves:
                    later.append((tag, way._replace(valves=(*way.valves, tag))))
                else:
                    todo.append((tag, way))

        met: set[str] = {closure} if net.by_tag[closure].kind == "cylinder" else set()
        go_on(net.after.get(closure, ()), _WayOut())
        while todo or later:
            if not todo:
                todo.extend(later)
                later.clear()
            here, way = todo.popleft()
            part = net.by_tag[here]
            if here in met:
                continue
            met.add(here)
            if part.kind == "accumulator" and not way.valves:
                if not past_vessels:
                    return None
                way = way._replace(vessel=True)
            elif part.kind == "accumulator" and not past_vessels:
                continue
            if here in self.bleeds:
                return _WayOut(here, (*way.valves, here), way.vessel)
            if part.kind in OUTLETS and here not in self.bursts:
                return way._replace(end=here)
            if part.kind in (*OUTLETS, "cylinder") or part.form in ("solenoid", "relief"):
                continue
            ahead = () if _one_way(part) else [t for t in net.before.get(here, ()) if not _one_way(net.by_tag[t])]
            go_on((*net.after.get(here, ()), *ahead), way)
        return None

    def lets_out(self, closures: Sequence[str] = ()) -> tuple[str, list[Act]]:
        """The same in words, and as acts: opened one after the other, each by who works it, and shut again."""
        ways, acts, words = self.ways_out(closures), [], []
        for end, valves in ways.items():
            at = " (plug out)" if end in self.bleeds else f", out at {end}"
            words.append(f"{', then '.join([w for w in [listed(valves[:-1]), valves[-1]] if w])}{at}")
            acts += [self.act("open", v) for v in valves]
            acts += [self.act("close", v) for v in reversed(valves)]
        return "; ".join(words), acts

    def needs(self, tag: str, opened: Collection[str], without: Collection[str] = ()) -> list[str]:
        """The closures on the way to a part that are not open yet."""
        return [c for c in self.on_the_way(tag) if c not in opened and c not in without]

    # -- where gas is

    def reached(self, opened: Collection[str]) -> Mapping[str, str]:
        """Every part that gas of the cylinders comes to with these closures open and all others shut."""
        state = frozenset(opened)
        if self.known is not None and state in self.known:
            return self.known[state]
        met = self.net.walk((c for c in self.cylinders() if c in state), self.net.after, self._shut_but(state))
        if self.known is not None:
            if len(self.known) >= _MOST_KNOWN:
                self.known.clear()
            self.known[state] = met
        return met

    def reached_through(self, closures: Sequence[str], opened: Collection[str]) -> dict[str, str]:
        """Of these, what lies behind some closures that gas comes to: a short walk, where few parts stand behind."""
        return self.net.walk(closures, self.net.after, self._shut_but(opened))

    def _shut_but(self, opened: Collection[str]) -> Callable[[Part], bool]:
        return lambda p: p.kind == "valve" and p.tag not in opened and p.form in (*BY_HAND, "solenoid")

    def fed(self, opened: Collection[str]) -> tuple[str, ...]:
        """The outlets that gas comes to, in the order of the parts."""
        met = self.reached(opened)
        return tuple(p.tag for p in self.net.of_kind(*OUTLETS) if p.tag in met)

    def comes_to(self, outlet: str, opened: Collection[str]) -> bool:
        """Whether gas comes to one outlet: as `fed`, asked upward, where only a few parts stand."""
        above = self.net.walk((outlet,), self.net.before, lambda p: self._shuts(p) and p.tag not in opened)
        return any(c in above for c in self.cylinders() if c in opened)

    def fed_through(self, closures: Iterable[str], opened: Collection[str]) -> set[str]:
        """Of the outlets behind some closures those that gas comes to with these open. Few stand behind a valve, so
        this takes no walk of all parts for each."""
        behind = {p.tag for c in closures for p in self.net.downstream(c) if p.kind in OUTLETS}
        return {outlet for outlet in behind if self.comes_to(outlet, opened)}

    def places_of(self, tag: str) -> tuple[str, ...]:
        """All places of a part: what lies between two, such as a hose, has an end at each."""
        try:
            return (*self.net.by_tag[tag].places, *([self.places[tag]] if tag in self.places else []))
        except Unreadable:
            return ()

    def ends_at(self, tags: Collection[str]) -> dict[str, list[str]]:
        """By place, how far gas comes in some parts there: those with none of the others behind them at that place."""
        made: dict[str, list[str]] = {}
        for tag in sorted(self.flow.keys() & set(tags), key=self.flow.__getitem__):
            for place in self.places_of(tag) or ("",):
                behind = (p.tag for p in self.net.downstream(tag) if p.tag in tags)
                if not any(place in (self.places_of(t) or ("",)) for t in behind):
                    made.setdefault(place, []).append(tag)
        return made

    def filled(self, opened: Collection[str]) -> tuple[str, ...]:
        vessels = self.net.of_kind("accumulator")
        met = self.reached(opened) if vessels else {}
        return tuple(p.tag for p in vessels if p.tag in met)

    def bursting(self, vessels: Collection[str]) -> tuple[str, ...]:
        """The bursts that some vessels feed."""
        below = {p.tag for v in vessels for p in self.net.downstream(v)}
        return tuple(b for b in self.bursts if b in below)

    def with_ways(self) -> Device:
        """With what each step asks for worked out once."""
        made = self._replace(ways={p.tag: self.on_the_way(p.tag) for p in self.net.of_kind(*OUTLETS)}, known={})
        return made._replace(kept=frozenset(made.steady()))

    def steady(self) -> Set[str]:
        """The closures that something steady needs."""
        if self.kept is not None:
            return self.kept
        return {c for p in self.net.of_kind(*OUTLETS) if p.tag not in self.bursts for c in self.on_the_way(p.tag)}

    def held_by(self, burst: str) -> tuple[str, ...]:
        """What holds a burst back until it is fired: valves that power moves and that nothing steady needs, else the
        last hand valve that nothing steady needs."""
        steady = self.steady()
        own = [c for c in self.on_the_way(burst) if c not in steady]
        powered = tuple(c for c in own if self.net.by_tag[c].form == "solenoid")
        return powered or tuple(c for c in own if self.net.by_tag[c].kind == "valve")[-1:]

    def by_power(self, burst: str) -> bool:
        """Whether a burst is held back by what power moves, and not by a hand valve."""
        return any(self.net.by_tag[c].form == "solenoid" for c in self.held_by(burst))

    def by_hand(self) -> tuple[str, ...]:
        """The hand valves that hold bursts back, and fire them."""
        return tuple(dict.fromkeys(c for b in self.bursts if not self.by_power(b) for c in self.held_by(b)))

    def fires(self, bursts: Collection[str] = ()) -> tuple[str, str]:
        """Who fires some bursts, and where: at the controls, or at the hand valve of one that power does not hold."""
        some = [b for b in self.bursts if not bursts or b in bursts]
        hand = next((c for b in some for c in self.held_by(b)), "") if not any(map(self.by_power, some)) else ""
        where = self.place(hand) if hand else self.desk
        return self.crew.pick(where, "valve", tuple(self.bursts[b] for b in some)), where

    def own_feed(self, vessel: str) -> tuple[str, ...]:
        """The hand valves that do no more than fill a vessel."""
        steady = self.steady()
        own = (c for c in self.on_the_way(vessel) if c not in steady)
        return tuple(c for c in own if self.net.by_tag[c].kind == "valve" and self.net.by_tag[c].form in BY_HAND)

    def shut_off(self) -> tuple[str, ...]:
        """The hand valves that shut vessels off from their bursts, and from nothing else: they fill nothing."""
        steady = self.steady()
        stored = {p.tag for v in self.net.of_kind("accumulator") for p in self.net.downstream(v.tag)}
        made: dict[str, None] = {}
        for burst in self.bursts:
            held = self.held_by(burst)
            own = (c for c in self.on_the_way(burst) if c in stored and c not in held and c not in steady)
            made.update(dict.fromkeys(c for c in own if self.net.by_tag[c].form in BY_HAND and not self._fills(c)))
        return (*made,)

    def _fills(self, tag: str) -> bool:
        return any(p.kind == "accumulator" for p in self.net.downstream(tag))

    def blind(self, burst: str) -> tuple[str, ...]:
        """The flame sensors without whose flame a burst's valves get no power."""
        return tuple(dict.fromkeys(s for c in self.held_by(burst) for s in self.sensors.get(c, ())))

    def own_feed_of_bursts(self, tag: str) -> bool:
        """Whether a hand valve does no more than fill what bursts."""
        vessels = [p.tag for p in self.net.downstream(tag) if p.kind == "accumulator"]
        return any(tag in self.own_feed(v) for v in vessels)

    # -- what is read and what lights

    def told(self, tag: str, key: str) -> str:
        """A quantity of a part as it is written; "" where none is, or none can be read: that is reported where it
        stands, and a step is there all the same."""
        spec = self.net.by_tag[tag].spec if tag in self.net.by_tag else None
        try:
            return spec.quantity(key).text if spec is not None and spec.has(key) else ""
        except Unreadable:
            return ""

    def gauges(self, regulator: str, opened: Collection[str]) -> tuple[str, ...]:
        """Gauges that show what a regulator gives while these closures are open."""
        met = self.reached(opened)
        return tuple(p.tag for p in self.net.of_kind("gauge") if self.zones.get(p.tag) == regulator and p.tag in met)

    def read_from_posts(self) -> tuple[str, ...]:
        """Gauges that somebody reads from where they are posted, or from the desk; all where places are not told."""
        manned = {h.station for h in self.crew.hands} | {self.desk}
        tags = [p.tag for p in self.net.of_kind("gauge")]
        return tuple(t for t in tags if not self.crew.hands or not self.place(t) or self.place(t) in manned)

    def lighters(self) -> tuple[str, ...]:
        """The pilots that light bursts."""
        return tuple(dict.fromkeys(what for way, what, _ in map(self.lit_by, self.bursts) if way == "pilot"))

    def sparks(self) -> tuple[str, ...]:
        """The igniters that light bursts."""
        return tuple(dict.fromkeys(what for way, what, _ in map(self.lit_by, self.bursts) if way == "igniter"))

    def over(self) -> str:
        """What a burst that is let down is lit by, in words."""
        sparks = f"with {listed(self.sparks())} on and seen to work" if self.sparks() else ""
        flame = "over a flame that is seen to burn" if self.lighters() or not sparks else ""
        return " or ".join(filter(None, (flame, sparks)))

    def lit_from(self, closures: Iterable[str]) -> tuple[str, ...]:
        """The bursts, and outlets held back by power, whose pilot goes out when these are closed: what may still come
        out of them then comes unlit."""
        if not self.net.of_kind("pilot"):
            return ()
        below = {p.tag for c in closures for p in self.net.downstream(c) if p.kind == "pilot"}
        burners = [p.tag for p in self.net.of_kind("burner")] if below else []
        held = [
            o for o in burners
            if o in self.bursts or any(self.net.by_tag[c].form == "solenoid" for c in self.on_the_way(o))
        ]  # fmt: skip
        return tuple(o for o in held if self.lit_by(o)[0] == "pilot" and self.lit_by(o)[1] in below)

    def lit_by(self, outlet: str) -> tuple[str, str, str]:
        """How an outlet is lit ("torch", "pilot" or "igniter"), by what or whom, and how that is seen. A torch where
        nothing is said."""
        spec = self.net.by_tag[outlet].spec
        told = spec.child("lit_by")
        for way in ("pilot", "torch", "igniter"):
            if told.has(way):
                return way, told.text(way), told.text_or("proven")
        return "torch", "", ""


def flow_order(net: Network) -> dict[str, int]:
    """All that gas gets to, none before what gas passes first, each with its number; what is left of a circle in the
    order met."""
    met = net.walk((c.tag for c in net.of_kind("cylinder")), net.after)
    done: dict[str, None] = {}
    left = list(met)
    while left:
        ready = [t for t in left if all(b in done or b not in met for b in net.before.get(t, ()))]
        for tag in ready or left[:1]:
            done[tag] = None
        left = [t for t in left if t not in done]
    return {tag: n for n, tag in enumerate(done)}
