"""In which order things are closed, let down and put out: three orders, each read off the network once, for every page.

- At the end of a night: what fills a burst first, then its accumulator fired down over a flame that is seen to burn,
  then the cylinders, so that the lines burn off; a pilot goes out last.
- In an emergency: everybody the closures nearest to them, at once; nobody waits for anybody, but for one thing. What
  a pilot burns on that lights a burst waits while that burst blows, and at a leak too: shut first, it leaves gas to
  nothing that lights it. A pilot away from the cylinders is kept only until nothing can be fired any more.
  So does what only shuts an accumulator off from its bursts, where nobody is posted: nobody goes there meanwhile.
- A leak ahead of the valves at the outlets: the cylinders first, since nothing else stops it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

from specc import PRACTICE, Column, Constant, Context, Limit, Row, Table, gather, table
from specc.kinds.faults import CLOSING_ORDER, Closing, ClosingAction
from specc.kinds.people import ROSTER
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, OUTLETS, Network, Part
from specc.kinds.show import EFFECTS
from specc.model.view import Unreadable
from specc_plumbing.faults import place_of
from specc_plumbing.reach import FaultyNetwork, by_hand, by_itself, closes, is_bleed, lets_down
from specc_plumbing.shutoffs import anywhere, posts, shuts_off

BLOWS_ON = Limit(
    "plumbing.blows_on",
    "30 s",
    "duration",
    "min",
    "after STOP a burst is out within this, or what feeds its pilot is shut too",
    PRACTICE,
    was=("operators.blows_on",),
)
_30_S = Constant(30.0, "duration", BLOWS_ON.default, PRACTICE)
_FILLED_UP = "or each burst is filled up again"
_OVER_A_FLAME = "what comes out has to burn; a few psi stay, so that no air gets in"
_STAYS_BEHIND = "so that what is left stays behind it"
_NOBODY_THERE = "nobody is posted there"
_BURNS_OFF = "while a flame still burns, so that the gas in the lines burns off"


@gather(CLOSING_ORDER, needs=(NETWORK,), wants=(EFFECTS, ROSTER, PLACES), limits=(BLOWS_ON.key,))
def closing_order(ctx: Context) -> Sequence[Closing]:
    net = ctx[NETWORK]
    if not net.of_kind("cylinder"):
        return ()
    net.all_read()
    bursts = [o for e in ctx.get(EFFECTS) or () if e.kind == "burst" for o in e.outlets]
    manned, limit = posts(ctx.get(ROSTER) or (), ctx.get(PLACES) or {}), ctx.limit(BLOWS_ON.key)
    most = Constant(limit.si, "duration", limit.text, PRACTICE)
    return (*normal(net, bursts), *emergency(net, bursts, manned, most), *leak_upstream(net, bursts, manned, most))


def _at(part: Part) -> str:
    try:
        return place_of(part)
    except Unreadable:
        return ""


def _fed(net: Network) -> tuple[Part, ...]:
    """Cylinders that feed something: a spare stands by."""
    return tuple(p for p in net.of_kind("cylinder") if net.after.get(p.tag))


def fills(net: Network, valve: Part) -> bool:
    """Whether a hand valve does no more than fill accumulators."""
    met = net.walk(net.after.get(valve.tag, ()), net.after, net.stores)
    # What branches off beside an accumulator, with no valve of its own, burns by this one.
    met |= net.walk((t for j in met if j in net.stores_at for t in net.after.get(j, ())), net.after, closes)
    kinds = {net.by_tag[tag].kind for tag in met}
    if "accumulator" not in kinds or kinds & {*OUTLETS}:
        return False
    return not any(p.kind == "pilot" for p in net.downstream(valve.tag))  # it burns all the time, from what is stored


def _in_flow(net: Network, parts: Iterable[Part]) -> list[Part]:
    """Each after what gas passes first; where that is a circle, in the order of the spec."""
    order = {tag: n for n, tag in enumerate(net.walk((c.tag for c in net.of_kind("cylinder")), net.after))}
    return sorted(parts, key=lambda p: (order.get(p.tag, len(order)), net.place[p.tag]))


def normal(net: Network, bursts: Collection[str] = ()) -> Iterator[Closing]:
    def one(order: int, part: Part, action: ClosingAction, who: str, why: str = "") -> Closing:
        return Closing(order, "normal", part.tag, action, who, why, where=_at(part))

    hands = _in_flow(net, (v for v in net.of_kind("valve") if by_hand(v)))
    accumulators = [a for a in net.of_kind("accumulator") if net.before.get(a.tag)]
    stored = {p.tag for a in accumulators for p in net.downstream(a.tag)}
    feeds = [v for v in hands if fills(net, v)]
    yield from (one(10, v, "close", "valve", _FILLED_UP) for v in feeds)
    fired = [a for a in accumulators if any(p.kind in OUTLETS for p in net.downstream(a.tag))]
    # With no valve that shuts its feed alone, an accumulator is fired down only after the cylinders are closed; power
    # stays on until the last of them is.
    late = [a for a in fired if not any(a in net.downstream(v.tag) for v in feeds)]
    yield from (one(45 if a in late else 20, a, "fire_down", "valve", _OVER_A_FLAME) for a in fired)
    behind = [v for v in net.of_kind("valve") if by_itself(v)]
    yield from (one(48 if late or not feeds else 30, v, "switch_off", "lead") for v in behind if v.tag in stored)
    yield from (one(40, c, "close", "fuel_watch", _BURNS_OFF) for c in _fed(net))
    yield from (one(50, b, "burn_off", "valve") for b in net.of_kind("burner") if b.tag not in stored)
    lead_to_pilots = {p.tag for pilot in net.of_kind("pilot") for p in net.upstream(pilot.tag)}
    bleeds = [v for v in hands if lets_down(net, v)]
    off = [v for v in hands if v not in feeds and v not in bleeds and shuts_off(net, v, bursts)]
    yield from (one(49 if late or not feeds else 35, v, "close", "valve", _STAYS_BEHIND) for v in off)
    later = [v for v in hands if v not in feeds and v not in bleeds and v not in off]
    yield from (one(60, v, "close", "valve") for v in later if v.tag not in lead_to_pilots)
    yield from (one(65, v, "switch_off", "lead") for v in behind if v.tag not in stored)
    yield from (one(70, p, "burn_off", "valve") for p in net.of_kind("pilot"))
    yield from (one(80, v, "close", "valve") for v in later if v.tag in lead_to_pilots)
    for v in bleeds:
        why = "every flame and pilot out; never carried charged"
        yield one(90, v, "bleed", "valve", why)._replace(plugs=tuple(plugs(net, v.tag)))


def plugs(net: Network, bleed: str) -> list[str]:
    """What closes a bleed behind its valve: it holds the pressure until it is taken out."""
    below = net.downstream(bleed) if is_bleed(net, net.by_tag[bleed]) else ()
    return [p.tag for p in below if p.form in ("plug", "cap")]


def first_met(net: Network, closures: Iterable[Part]) -> list[Part]:
    """Of some closures those that gas comes to with all of them shut: these hold all that the others hold."""
    shut = {p.tag: p for p in closures}
    whole = FaultyNetwork(net)
    reached = {tag for tag, _ in whole.reach(whole.sources(), shut)}
    return [p for tag, p in shut.items() if tag in reached]


def _to_close(net: Network, here: Sequence[Part]) -> list[Part]:
    """Of the valves at a place those that hold all that the others hold; and what fills a burst, even behind another
    valve: it keeps the accumulator from whatever else fails."""
    first = {v.tag for v in first_met(net, here)}
    return [v for v in here if v.tag in first or fills(net, v)]


def _by_place(net: Network) -> dict[str, list[Part]]:
    """The hand valves by where they stand; a bleed stops nothing."""
    made: dict[str, list[Part]] = {}
    for part in net.of_kind("valve"):
        if by_hand(part) and not is_bleed(net, part):
            made.setdefault(_at(part), []).append(part)
    return made


def lighters(net: Network) -> dict[str, list[str]]:
    """Pilots that light what a coil holds back, each with that: while it may still be fired, they have to burn."""
    held = {o.tag: o for v in net.of_kind("valve") if by_itself(v) for o in net.downstream(v.tag)}
    made: dict[str, list[str]] = {}
    for o in held.values():
        if pilot := o.spec.child("lit_by").text_or("pilot"):
            made.setdefault(pilot, []).append(o.tag)
    return made


def _kept_lit(net: Network, bursts: Collection[str]) -> dict[str, list[str]]:
    """Pilots that burn to the last: what they light bursts, is held back by a coil, or has an accumulator behind a hand
    valve that somebody may have open just then."""
    made = lighters(net)
    stored = {o.tag: o for a in net.of_kind("accumulator") for o in net.downstream(a.tag) if o.kind in OUTLETS}
    stored |= {o: net.by_tag[o] for o in bursts if o in net.by_tag}
    for o in stored.values():
        pilot = o.spec.child("lit_by").text_or("pilot")
        if pilot and o.tag not in made.get(pilot, ()):
            made.setdefault(pilot, []).append(o.tag)
    return made


def _feed_alone(net: Network, outlet: str, pilot: str) -> bool:
    """Whether a hand valve stops an outlet and not its pilot, besides one that fires it."""
    above = [v for v in net.upstream(outlet) if v.kind == "valve"]
    own = [v for v in above if by_hand(v) and not any(p.tag == pilot for p in net.downstream(v.tag))]
    if any(by_itself(v) for v in above):
        return bool(own)
    tags = {v.tag for v in own}
    return any(tags & {p.tag for p in net.downstream(v.tag)} for v in own)


def _waits(net: Network, kept: dict[str, list[str]], closings: Iterable[Closing], at_most: Constant) -> list[Closing]:
    """The same, last at each place of the order what feeds a pilot whose burst may blow just then. A burst with no feed
    of its own ends with the cylinders alone: they wait for nothing."""
    ends = {(pilot, o): _feed_alone(net, o, pilot) for pilot, outs in kept.items() for o in outs}
    made = []
    for c in closings:
        below = {p.tag for p in net.downstream(c.tag)} if c.action == "close" else set()
        pairs = [(p, o) for (p, o), alone in ends.items() if p in below and (alone or c.order > 10)]
        outs, pilots = (*c.waits_for, *(o for _, o in pairs)), tuple(dict.fromkeys(p for p, _ in pairs))
        outs = tuple(dict.fromkeys(outs))
        # Only what feeds a pilot has an end to its wait: nobody goes to where a burst still blows.
        made.append(c._replace(waits_for=outs, feeds=pilots, at_most=at_most if pilots else None))
    return sorted(made, key=lambda c: (c.order, bool(c.waits_for)))


def emergency(
    net: Network,
    bursts: Collection[str] = (),
    manned: Callable[[str], bool] = anywhere,
    at_most: Constant = _30_S,
) -> Sequence[Closing]:
    kept = _kept_lit(net, bursts)
    return _waits(net, kept, _not_while_it_blows(net, bursts, manned, _emergency(net, kept)), at_most)


def _not_while_it_blows(
    net: Network, bursts: Collection[str], manned: Callable[[str], bool], closings: Iterable[Closing]
) -> Iterator[Closing]:
    """The same; but where nobody is posted, what only shuts an accumulator off from its bursts waits until they are
    out. Their feed ends them without it."""
    for c in closings:
        part = net.by_tag.get(c.tag)
        far = c.action == "close" and part is not None and part.kind == "valve" and not manned(c.where)
        if far and part is not None and shuts_off(net, part, bursts):
            outs = tuple(o for o in bursts if o in {p.tag for p in net.downstream(c.tag)})
            c = c._replace(order=20, waits_for=outs, why=f"once {', '.join(outs)} is seen out: {_NOBODY_THERE}")
        yield c


def _emergency(net: Network, lit_from_pilot: dict[str, list[str]]) -> Iterator[Closing]:
    """At once, by different people; last what puts out a flame that lights bursts, where no cylinder stands."""
    lit_from = set(lit_from_pilot)
    yield from (Closing(10, "emergency", v.tag, "switch_off", "lead") for v in net.of_kind("valve") if by_itself(v))
    cylinders = _fed(net)
    places = _by_place(net)
    for place in dict.fromkeys([*map(_at, cylinders), *places]):
        own = [
            Closing(10, "emergency", c.tag, "close", "fuel_watch", where=place) for c in cylinders if _at(c) == place
        ]
        yield from own
        for valve in _to_close(net, places.get(place, ())):
            put_out = lit_from & {p.tag for p in net.downstream(valve.tag)} if not own else set()
            named = ", ".join(sorted(put_out))
            outs = ", ".join(dict.fromkeys(o for pilot in sorted(put_out) for o in lit_from_pilot[pilot]))
            why = f"once {outs} can no longer be fired and is seen out: {named} lights it" if put_out else ""
            who = "fuel_watch" if own else "valve"
            yield Closing(20 if put_out else 10, "emergency", valve.tag, "close", who, why, where=place)


def leak_upstream(
    net: Network,
    bursts: Collection[str] = (),
    manned: Callable[[str], bool] = anywhere,
    at_most: Constant = _30_S,
) -> Sequence[Closing]:
    order = _not_while_it_blows(net, bursts, manned, _leak_upstream(net))
    return _waits(net, _kept_lit(net, bursts), order, at_most)


def _leak_upstream(net: Network) -> Iterator[Closing]:
    why = "nothing else stops it"
    cylinders, places = _fed(net), _by_place(net)
    at_source = {_at(c) for c in cylinders}
    for c in cylinders:
        yield Closing(10, "leak_upstream", c.tag, "close", "fuel_watch", why, where=_at(c))
    for place, valves in places.items():
        for valve in _to_close(net, valves):
            near = place in at_source
            yield Closing(
                10 if near else 20,
                "leak_upstream",
                valve.tag,
                "close",
                "fuel_watch" if near else "valve",
                why if near else "",
                where=place,
            )


_PROCEDURES = {
    "normal": "end of a night",
    "emergency": "emergency: all at once",
    "leak_upstream": "leak ahead of the outlets' valves",
}
_ACTIONS = {
    "close": "close",
    "fire_down": "fire down to a few psi",
    "burn_off": "let burn until it goes out",
    "bleed": "let down",
    "switch_off": "switch off",
}


@table("plumbing.closing_order", title="Order of closing", needs=(NETWORK, CLOSING_ORDER))
def order_table(ctx: Context) -> Table:
    """One line for what is done alike at one place and time."""
    net = ctx[NETWORK]
    rows: dict[tuple[str, int, str, str, str], list[str]] = {}
    for c in sorted(ctx[CLOSING_ORDER], key=lambda c: (list(_PROCEDURES).index(c.procedure), c.order)):
        own = "'s own valve" if c.tag in net.by_tag and net.by_tag[c.tag].kind == "cylinder" else ""
        # A coil is switched off where its switch is, not where its valve stands.
        where = "at the controls" if c.action == "switch_off" else c.where
        why = "; ".join(w for w in (c.plugs_first, c.why) if w)
        if c.waits_for and not (c.procedure == "emergency" and c.order > 10):  # that one says so already
            feeds = f", {c.at_most.text} at most: feeds {', '.join(c.feeds)}" if c.at_most else ""
            wait = f"not while {', '.join(c.waits_for)} blows{feeds}"
            why = f"{why}; {wait}" if why and c.feeds else why or wait
        key = (c.procedure, c.order, c.action, where, why)
        rows.setdefault(key, []).append(c.tag + own)
    made: list[Row] = []
    of: tuple[object, ...] = ()
    for (procedure, order, action, where, why), tags in rows.items():
        when = "emergency: then" if procedure == "emergency" and order > 10 else _PROCEDURES[procedure]
        row = Row((when, _ACTIONS[action], ", ".join(tags), where or "place not stated", why))
        # What is done alike, one thing at each of several places, is one line: places in the order of the tags.
        same = (procedure, order, action, why) if len(tags) == 1 and where else ()
        if same and same == of:
            last = made.pop().cells
            row = Row((*last[:2], f"{last[2]}, {tags[0]}", f"{last[3]}, {where}", why))
        of = same
        made.append(row)
    columns = (Column("when", 1.4), Column("do", 1.1), Column("what", 2.0), Column("where"), Column("why", 1.6))
    return Table("", "", columns, tuple(made))
