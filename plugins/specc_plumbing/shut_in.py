"""What stays under pressure once all is closed, and how a hand lets it down.

At the end of a night the lines burn off: only what was closed before, or what gas finds no way out of, stays. In an
emergency everything stays that is not open to an outlet, and at a leak too, but for the piece that leaks. When power is
lost only what a coil holds open closes: nobody has closed a cylinder, and something is closed by hand first. Gas that
stands ahead of a check valve or a regulator that leads on to an open outlet runs out there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Literal

from specc import (
    PRACTICE,
    Column,
    Context,
    Figure,
    Row,
    Table,
    Trouble,
    Verdict,
    found,
    not_applicable,
    rule,
    show,
    table,
    value,
)
from specc.kinds.faults import CLOSING_ORDER, SHUT_IN, ShutIn
from specc.kinds.gas import LET_DOWN_TIME, SHUT_IN_CLOUD, SHUT_IN_GAS
from specc.kinds.plumbing import NETWORK, OUTLETS, ZONES, Network, way_of
from specc.model.wording import counted, several
from specc_plumbing.closing_order import plugs
from specc_plumbing.faults import drops_shut, place_of
from specc_plumbing.reach import PLUGS, FaultyNetwork, Side, Spot, by_hand, by_itself, holds, lets_down, open_ended

STOPS = {"normal": "end of a night", "emergency": "emergency", "leak": "leak", "power_lost": "power lost"}
_SIDES: tuple[Side, ...] = ("in", "out")


@value(SHUT_IN, needs=(NETWORK, ZONES, CLOSING_ORDER))
def shut_in(ctx: Context) -> tuple[ShutIn, ...]:
    net, order = ctx[NETWORK], ctx[CLOSING_ORDER]
    net.all_read()
    normal = [c for c in order if c.procedure == "normal"]
    # What is closed before the lines burn off; solenoid valves of steady effects stay open until then.
    before = {c.tag for c in normal if c.order < _BURNED_OFF and c.action in ("close", "switch_off")}
    bleeds = {v.tag for v in net.of_kind("valve") if lets_down(net, v)}
    before |= bleeds
    # Once the gas is stopped every hand valve that is left is shut too, where it can be reached.
    hands = {v.tag for v in net.of_kind("valve") if by_hand(v)}
    at_once = {c.tag for c in order if c.procedure == "emergency"} | bleeds | hands
    # Bursts are disarmed first; what a coil holds open for a steady flame stays open.
    stored = {p.tag for a in net.of_kind("accumulator") for p in net.downstream(a.tag)}
    leaking = {c.tag for c in order if c.procedure == "leak_upstream"} | bleeds | hands
    leaking |= {v.tag for v in net.of_kind("valve") if by_itself(v) and v.tag in stored}
    dropped = {v.tag for v in net.of_kind("valve") if drops_shut(v)} | bleeds
    fired = {c.tag for c in normal if c.action == "fire_down"}
    zones = ctx[ZONES]
    return _told_once(
        (
            *_pieces(net, zones, "normal", before, fired),
            *_pieces(net, zones, "emergency", at_once, ()),
            *_pieces(net, zones, "leak", leaking, ()),
            *_pieces(net, zones, "power_lost", dropped, ()),
        )
    )


def _told_once(pieces: Iterable[ShutIn]) -> tuple[ShutIn, ...]:
    """The same parts, not fired down, hold the same gas after each stop."""
    first: dict[tuple[object, ...], str] = {}
    made = []
    for piece in pieces:
        holds = (piece.zones, piece.fired_down, piece.opened, piece.comes_out)
        made.append(piece._replace(same_as=first.get(holds, "")))
        first.setdefault(holds, piece.key)
    return tuple(made)


_BURNED_OFF = 50  # place in the normal order: the lines burn off


def _pieces(
    net: Network,
    zones: Mapping[str, str],
    procedure: Literal["normal", "emergency", "leak", "power_lost"],
    shut: Collection[str],
    fired: Collection[str],
) -> Iterator[ShutIn]:
    whole = FaultyNetwork(net)
    # Gas runs out at outlets, and at whatever ends in the open; a relief valve holds it back from its vent.
    ends: list[Spot] = [(p.tag, "in") for p in net.of_kind(*OUTLETS)]
    ends += [(p.tag, "out") for p in net.parts if open_ended(net, p)]
    back = {*shut, *(v.tag for v in net.of_kind("valve") if v.form == "relief")}
    drains = {t for t, _ in whole.leading(ends, back) if t not in back}
    kept = {p.tag for p in net.parts if zones[p.tag] and p.tag not in drains and p.kind != "cylinder"}
    bleeds = {v.tag for v in net.of_kind("valve") if lets_down(net, v)}
    done: set[str] = set()
    for part in net.parts:
        if part.tag in done or part.tag not in kept or part.tag in shut:
            continue
        piece = net.walk((part.tag,), net.near, lambda p: p.tag in shut or p.tag not in kept)
        inside = [t for t in piece if t in kept and t not in shut]
        done.update(inside)
        held = sorted((t for t in inside if holds(net.by_tag[t])), key=net.place.__getitem__)
        if not held:
            continue
        fed = whole.reaching([(t, side) for t in held for side in _SIDES], shut)
        feeds = {s for s in fed if net.by_tag[s].kind == "cylinder"}
        closed = [
            t for t in piece if (t in shut or (net.by_tag[t].kind == "cylinder" and t not in feeds)) and t not in bleeds
        ]
        hands = {p.tag for p in net.parts if (by_hand(p) or p.kind == "cylinder") and p.tag not in shut}
        spots: list[Spot] = [(t, "in") for t in held]
        first_closed = _nearest_ahead(whole, spots, shut, hands) if feeds else ()
        # A check valve or a regulator within may let one part down by a way that another has not.
        by_way: dict[tuple[tuple[str, ...], str], list[str]] = {}
        for tag in held:
            by_way.setdefault(let_down(net, tag, bleeds), []).append(tag)
        for (opened, comes_out), tags in by_way.items():
            vessels = tuple(t for t in tags if net.by_tag[t].kind == "accumulator")
            first = min(vessels or tags)  # whatever the order in which parts are written
            yield ShutIn(
                f"{procedure}.{first}",
                procedure,
                tuple((t, zones[t]) for t in tags),
                vessels,
                bool(vessels) and set(vessels) <= set(fired),
                tuple(sorted(closed, key=net.place.__getitem__)),
                opened,
                comes_out,
                net.by_tag[first].at,
                first_closed,
            )


def _nearest_ahead(
    whole: FaultyNetwork, spots: Collection[Spot], shut: Collection[str], hands: Collection[str]
) -> tuple[str, ...]:
    """The closures by hand nearest to a piece that leave no cylinder to feed it."""
    return tuple(t for t in whole.nearest(spots, shut, hands) if whole.net.by_tag[t].kind != "accumulator")


def let_down(net: Network, tag: str, bleeds: Collection[str]) -> tuple[tuple[str, ...], str]:
    """The hand valves to open, in order, to let gas out of a part without power, and where it comes out: the nearest
    of the bleeds or outlet with the gas's way; ((), "") if there is none."""
    met = net.walk(
        (tag,),
        net.near,
        lambda p: by_itself(p) or p.form in ("relief", *PLUGS) or p.kind in (*OUTLETS, "cylinder"),
    )
    good: list[tuple[str, ...]] = []
    for there in met:
        part = net.by_tag[there]
        if part.kind in OUTLETS or there in bleeds:
            way = way_of(met, there)
            if _passes(net, way):
                good.append(way)
    if not good:
        return (), ""
    way = min(good, key=lambda w: (sum(by_hand(net.by_tag[t]) for t in w), len(w)))
    return tuple(t for t in way if by_hand(net.by_tag[t])), way[-1]


def _passes(net: Network, way: tuple[str, ...]) -> bool:
    """Whether gas takes a way: with the flow through check valves and regulators."""
    for i, tag in enumerate(way):
        part = net.by_tag[tag]
        if not 0 < i < len(way) - 1 or (part.kind != "regulator" and part.form != "check"):
            continue
        if way[i + 1] not in net.after.get(tag, ()) or way[i - 1] not in net.before.get(tag, ()):
            return False
    return True


@rule(
    "plumbing.shut_in",
    level="warning",
    statement="What a stop shuts in under pressure can be let down by hand",
    source=PRACTICE,
    needs=(SHUT_IN,),
)
def can_be_let_down(ctx: Context) -> Verdict:
    """An accumulator has a rule of its own, plumbing.let_down."""
    pieces = [s for s in ctx[SHUT_IN] if not s.vessels]
    if not pieces:
        return not_applicable("no line is shut in under pressure by a stop")
    troubles = {
        s.at: Trouble(
            s.at,
            f"nothing that a hand opens lets down {several([t for t, _ in s.zones])}, shut in by {several(s.closed)}",
            "a needle valve with a plug behind it, or a way to an outlet past hand valves only",
            "it comes out at the first joint that somebody opens",
        )
        for s in pieces
        if not s.comes_out
    }
    return found(troubles.values(), f"{counted(len(pieces), 'piece')} of line")


@table(
    "plumbing.shut_in_gas",
    title="What stays shut in",
    needs=(NETWORK, SHUT_IN),
    wants=(SHUT_IN_GAS, SHUT_IN_CLOUD),
)
def shut_in_table(ctx: Context) -> Table:
    net, gas, cloud = ctx[NETWORK], ctx.get(SHUT_IN_GAS) or {}, ctx.get(SHUT_IN_CLOUD) or {}
    stops: dict[tuple[str, ...], list[str]] = {}
    for piece in ctx[SHUT_IN]:
        mass, volume = _of(gas, piece), _of(cloud, piece)
        said = (
            several([t for t, _ in piece.zones]),
            ", ".join(_closure(net, piece.closed)),
            "not computed" if mass is None else show(mass.si, "mass", "lb", 2),
            "not computed" if volume is None else show(volume.si, "volume", "m³", 2),
            _by_hand(net, piece),
        )
        stops.setdefault(said, []).append(STOPS[piece.procedure])
    rows = [Row((", ".join(after), *said)) for said, after in stops.items()]
    columns = (
        Column("stop"),
        Column("piece", 1.4),
        Column("shut in by", 1.4),
        Column("gas", 0.7, "right"),
        Column("flammable, at most", 0.9, "right"),
        Column("let down by", 1.4),
    )
    note = (
        "At the end of a night an accumulator holds what is left when it is fired down. In an emergency each piece "
        "stands at the lock-up of its zone, or at the cylinders' pressure. At a leak the piece that leaks empties "
        "there. When power is lost cylinders still feed a piece until a hand closes what is named. What fittings and "
        "valves hold is not counted, nor a manifold without bore and length. Let down slowly, in the open, every flame "
        "and pilot out; an accumulator is never carried charged."
    )
    return Table("", "", columns, tuple(rows), note)


def _by_hand(net: Network, piece: ShutIn) -> str:
    first = f"{' and '.join(_closure(net, piece.close_first))} closed first, then " if piece.close_first else ""
    return first + _opened(net, piece)


def _of(figures: Mapping[str, Figure], piece: ShutIn) -> Figure | None:
    return figures.get(piece.same_as or piece.key)


def _vague(net: Network, piece: ShutIn) -> list[str]:
    """Manifolds of which nobody says how much they hold."""
    manifolds = (net.by_tag[t] for t, _ in piece.zones if net.by_tag[t].form == "manifold")
    return [p.tag for p in manifolds if not (p.spec.has("bore") and p.spec.has("length"))]


def _opened(net: Network, piece: ShutIn) -> str:
    if not piece.comes_out:
        return "nothing by hand"
    way = ", then ".join(piece.opened)
    if stoppers := plugs(net, piece.comes_out):
        way += f" ({several(stoppers)} taken out first)"
        return way
    if piece.opened and piece.opened[-1] == piece.comes_out:
        return way
    return f"{way}, out at {piece.comes_out}" if way else f"open to {piece.comes_out}"


def _closure(net: Network, tags: Iterable[str]) -> list[str]:
    return [f"{t}'s own valve" if net.by_tag[t].kind == "cylinder" else t for t in tags] or ["nothing"]


@table(
    "plumbing.letting_down",
    title="Letting down accumulators",
    needs=(NETWORK, SHUT_IN, CLOSING_ORDER),
    wants=(SHUT_IN_GAS, SHUT_IN_CLOUD, LET_DOWN_TIME),
)
def letting_down(ctx: Context) -> Table:
    """Who does it where, how long it takes, and how much gas that is: after the night and after an emergency."""
    net, gas, cloud = ctx[NETWORK], ctx.get(SHUT_IN_GAS) or {}, ctx.get(SHUT_IN_CLOUD) or {}
    times = ctx.get(LET_DOWN_TIME) or {}
    who = {c.tag: c.who for c in ctx[CLOSING_ORDER] if c.action == "bleed"}
    stops: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for piece in (p for p in ctx[SHUT_IN] if p.vessels):
        mass, volume, time = _of(gas, piece), _of(cloud, piece), _of(times, piece)
        valve = net.by_tag[piece.opened[-1]] if piece.opened else None
        role = who.get(valve.tag, "valve") if valve else ""
        unsaid = [f"cv: of {t}" for t in piece.opened if not net.by_tag[t].spec.has("cv")]
        unsaid += [f"bore: and length: of {t}" for t in _vague(net, piece)]
        lacking = f"not computed: {several(unsaid)}" if unsaid else "not computed"
        said = (
            _by_hand(net, piece),
            (place_of(valve) if valve else "") or "place not stated",
            "valve operator" if role == "valve" else role.replace("_", " "),
            "not computed" if mass is None else show(mass.si, "mass", "lb", 2),
            "not computed" if volume is None else show(volume.si, "volume", "m³", 2),
            lacking if time is None else show(time.si, "duration", "s", 2),
        )
        stops.setdefault((piece.vessels, said), []).append(STOPS[piece.procedure])
    rows = [Row((several(vessels), ", ".join(after), *said)) for (vessels, said), after in stops.items()]
    columns = (
        Column("accumulator"),
        Column("after"),
        Column("let down by", 1.4),
        Column("where"),
        Column("who"),
        Column("gas", 0.7, "right"),
        Column("flammable, at most", 0.9, "right"),
        Column("takes", 0.8, "right"),
    )
    note = (
        "Every flame and pilot out, nothing lit near, nobody downwind, no low place for gas to run to, until a gauge "
        "shows nothing. An accumulator is never carried charged."
    )
    return Table("", "", columns, tuple(rows), note)
