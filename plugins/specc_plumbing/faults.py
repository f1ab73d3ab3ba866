"""What can fail, one thing at a time, where gas would come out then, and what stops it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from specc import Cannot, Context, gather, value
from specc.kinds.faults import DEVICE_WAYS, FAULTS, SHARED_MEANS, WAYS, Fault, GasWay, SharedMeans
from specc.kinds.people import ROSTER
from specc.kinds.places import PLACES
from specc.kinds.plumbing import JOINTS, NETWORK, OUTLETS, Joint, Network, Part
from specc.kinds.show import EFFECTS
from specc.model.view import Unreadable
from specc_plumbing.reach import FaultyNetwork, Pair, Spot, by_hand, by_itself, closes, is_bleed, open_ended
from specc_plumbing.shutoffs import far, posts

MOST_FOLLOWED = 150_000
"""Faults x parts: each fault is walked and solved in the whole network, so that takes the square of its size: some six
seconds at this number (340 parts), and minutes at ten times as much."""
_FAILING_MEANS = ("coil", "driver", "relay", "contact")  # a supply that fails gives no power; it holds nothing open


# What may be wrong with one part, and how it is said.
PartState: TypeAlias = Literal["stuck_open", "stuck_shut", "failed_open", "parted"]
HOW: Mapping[str, str] = {
    "stuck_open": "stuck open",
    "stuck_shut": "stuck shut",
    "failed_open": "failed open",
    "parted": "parted",
}

_Open: TypeAlias = Literal["", "in", "out"]


def drops_shut(part: Part) -> bool:
    """Whether it is said to close when power is lost. What is not said does not count."""
    return by_itself(part) and part.spec.text_or("normally") == "closed"


def rises_open(part: Part) -> bool:
    """Whether it is said to open when power is lost, as a vent between two closures does."""
    return by_itself(part) and part.spec.text_or("normally") == "open"


def place_of(part: Part) -> str:
    """The one place where a part is, or ""."""
    place = part.spec["place"] if part.spec.has("place") else ""
    return place if isinstance(place, str) else ""


@gather(FAULTS, needs=(NETWORK, JOINTS, SHARED_MEANS))
def faults(ctx: Context) -> Sequence[Fault]:
    net, joints = ctx[NETWORK], ctx[JOINTS]
    made = [
        *_cylinders(net),
        *_valves(net),
        *_regulators(net),
        *_parted(net, joints),
        *_power(net),
        *_operators(net),
        *_means(ctx[SHARED_MEANS]),
    ]
    return [f._replace(order=n) for n, f in enumerate(made)]


def _of_part(part: Part, state: PartState, called: str = "") -> Fault:
    what = f"{called or part.tag} {HOW[state]}"
    return Fault(f"{part.tag}.{state}", state, (part.tag,), what, part.at, name=part.tag)


def _cylinders(net: Network) -> Iterator[Fault]:
    """A cylinder's own valve that cannot be turned any more, or that fire keeps everybody from."""
    for part in net.of_kind("cylinder"):
        if net.after.get(part.tag):
            yield _of_part(part, "stuck_open", f"{part.tag}'s own valve")


def _valves(net: Network) -> Iterator[Fault]:
    for part in net.of_kind("valve"):
        if part.form == "excess_flow":
            continue  # whether it closes is computed at each break: what it does not catch is told there
        yield _of_part(part, "stuck_open")
        if part.form != "relief":
            yield _of_part(part, "stuck_shut")


def _regulators(net: Network) -> Iterator[Fault]:
    for part in net.of_kind("regulator"):
        yield _of_part(part, "failed_open")


def _parted(net: Network, joints: Iterable[Joint]) -> Iterator[Fault]:
    for part in net.of_kind("hose"):
        yield _of_part(part, "parted", f"hose {part.tag}")
    for joint in joints:
        if len(joint.parts) == 2:
            a, b = joint.parts
            name = f"{a.tag}-{b.tag}"
            yield Fault(f"{name}.parted", "parted", (a.tag, b.tag), f"{b.tag} off {a.tag}", joint.at, name=name)


def _power(net: Network) -> Iterator[Fault]:
    coils = [p for p in net.of_kind("valve") if by_itself(p)]
    if coils:
        opens = tuple(p.tag for p in coils if not drops_shut(p))
        yield Fault("power_lost", "power_lost", opens, "power lost", coils[0].at)


def _operators(net: Network) -> Iterator[Fault]:
    """Nobody at a place: the hand valves there, and the cylinders' own, are closed by no one."""
    there: dict[str, list[Part]] = defaultdict(list)
    for part in net.parts:
        if (by_hand(part) and not is_bleed(net, part)) or part.kind == "cylinder":
            try:
                place = place_of(part)
            except Unreadable:
                continue
            if place:
                there[place].append(part)
    for place, parts in there.items():
        tags = tuple(p.tag for p in parts)
        what = f"nobody at {place}"
        yield Fault(f"{place}.operator_gone", "operator_gone", tags, what, parts[0].at, name=place)


def _means(means: Sequence[SharedMeans]) -> Iterator[Fault]:
    """A means that several name is one; who says so does not matter."""
    joined: dict[tuple[str, str], tuple[dict[str, None], str]] = {}
    for one in means:
        closures, _ = joined.setdefault((one.kind, one.tag), ({}, one.at))
        closures.update(dict.fromkeys(one.closures))
    for (kind, tag), (closures, at) in joined.items():
        if kind in _FAILING_MEANS:
            what = held_on(kind, tag)
            yield Fault(f"{tag}.means_on", "means_on", tuple(closures), what, at, name=tag, means=kind)
        what = f"{kind} {tag} gives nothing"
        yield Fault(f"{tag}.means_off", "means_off", tuple(closures), what, at, name=tag, means=kind)


def held_on(kind: str, tags: str) -> str:
    """What is said of one or several means of a kind that do not let go: "coil c_1, c_2 stuck on"."""
    return f"{kind} {tags} {'welded' if kind in ('relay', 'contact') else 'stuck on'}"


def _far(ctx: Context) -> set[str]:
    """The hand valves that nobody goes to while a burst blows."""
    bursts = [o for e in ctx.get(EFFECTS) or () if e.kind == "burst" for o in e.outlets]
    return far(ctx[NETWORK], bursts, posts(ctx.get(ROSTER) or (), ctx.get(PLACES) or {}), _at_or_nowhere)


def _at_or_nowhere(part: Part) -> str:
    try:
        return place_of(part)
    except Unreadable:  # reported where it stands
        return ""


@value(WAYS, needs=(NETWORK, FAULTS), wants=(EFFECTS, ROSTER, PLACES))
def ways(ctx: Context) -> tuple[GasWay, ...]:
    net, late = ctx[NETWORK], _far(ctx)
    faults, parts = len(ctx[FAULTS]), len(net.parts)
    if faults * parts > MOST_FOLLOWED:
        raise Cannot(
            f"{faults:,} single faults in {parts:,} parts are too many to be followed (faults x parts: "
            f"{faults * parts:,}; at most {MOST_FOLLOWED:,})"
        )
    return tuple(way for fault in ctx[FAULTS] for way in ways_of(net, fault, late=late))


@value(DEVICE_WAYS, needs=(NETWORK, FAULTS), wants=(EFFECTS, ROSTER, PLACES))
def device_ways(ctx: Context) -> tuple[GasWay, ...]:
    """What a check follows of the faults: all of them, in a large device, would take longer than the rest of it."""
    net, late = ctx[NETWORK], _far(ctx)
    devices = [v.tag for v in net.of_kind("valve") if v.form == "excess_flow"]
    behind = set(net.walk(devices, net.after))
    parted = (f for f in ctx[FAULTS] if f.state == "parted" and behind & set(f.tags))
    return tuple(way for fault in parted for way in ways_of(net, fault, late=late))


def fails(net: Network, fault: Fault) -> frozenset[str]:
    """The closures that do not close under a fault."""
    known = [net.by_tag[t] for t in fault.tags if t in net.by_tag]
    if fault.state == "means_on":  # what is normally open stands shut as long as it has power
        return frozenset(p.tag for p in known if not rises_open(p))
    if fault.state in ("stuck_open", "operator_gone"):
        return frozenset(p.tag for p in known)
    if fault.state in ("power_lost", "means_off"):
        return frozenset(p.tag for p in known if not drops_shut(p))
    return frozenset()


class _Standing(NamedTuple):
    """A network as a fault leaves it. `shut`: what stands shut while nobody acts; `working`: what hands can close."""

    plant: FaultyNetwork
    spots: list[tuple[str, _Open, Spot]]
    shut: tuple[str, ...]
    working: set[str]


def _standing(net: Network, fault: Fault, powered: bool) -> _Standing:
    """While nobody acts, hand valves and cylinders are open, bleeds stand shut, and all that closes by itself is told
    to close: what is normally open stands open then, as a stop takes its power too, unless it is still `powered`."""
    failed = fails(net, fault)
    plant, spots = broken(net, fault), _spots(net, fault, failed)
    held_on = set(fault.tags) if fault.state == "means_on" else set()
    closed = (
        p
        for p in net.of_kind("valve")
        if is_bleed(net, p) or (by_itself(p) and (powered or not rises_open(p) or p.tag in held_on))
    )
    shut = tuple(p.tag for p in closed if p.tag not in failed)
    # A relief valve that is led away by pipe holds gas back from that until it opens.
    over = failed if fault.state != "failed_open" else {w for w, _, _ in spots}
    shut += tuple(
        v.tag for v in net.of_kind("valve") if v.form == "relief" and net.after.get(v.tag) and v.tag not in over
    )
    hands = (p.tag for p in net.parts if by_hand(p) or p.kind == "cylinder")
    working = {tag for tag in hands if tag not in failed and tag not in shut}
    return _Standing(plant, spots, shut, working)


def past_all_hands(net: Network, fault: Fault) -> dict[str, tuple[str, ...]]:
    """Where gas comes out under a fault even with all that hands can close shut, with the sources that it comes from.
    It asks for less than `ways_of`, which also finds which of the closures are needed."""
    plant, spots, shut, working = _standing(net, fault, False)
    closed = {*shut, *working}
    if not plant.reaching([spot for _, _, spot in spots], closed):
        return {}
    left: dict[str, tuple[str, ...]] = {}
    for where, _, spot in spots:
        if sources := plant.reaching([spot], closed):
            left[where] = tuple(dict.fromkeys((*left.get(where, ()), *sources)))
    return left


def past_hands(net: Network, fault: Fault) -> dict[str, tuple[str, ...]]:
    """By cylinder, where its gas would come out under a fault once hands have closed all that they reach, but for what
    closes by itself: which is then all that holds it, and stays charged and fed."""
    plant, spots, _, working = _standing(net, fault, False)
    closed = {*working, *(v.tag for v in net.of_kind("valve") if is_bleed(net, v) or v.form == "relief")}
    left: dict[str, tuple[str, ...]] = {}
    for where, _, spot in spots:
        for source in plant.reaching([spot], closed):
            if net.by_tag[source].kind == "cylinder":
                left[source] = tuple(dict.fromkeys((*left.get(source, ()), where)))
    return left


def ways_of(net: Network, fault: Fault, powered: bool = False, late: Collection[str] = ()) -> Iterator[GasWay]:
    """Each place where gas would come out under a fault: what stands shut, and what hands have to close. `late`: hand
    valves that nobody goes to while a burst behind them blows."""
    plant, spots, shut, working = _standing(net, fault, powered)
    cut = tuple(sorted(plant.cut))
    flowing = [spot for _, _, spot in spots if plant.reaching([spot], shut)]
    for valve in late:
        below = {p.tag for p in net.downstream(valve) if p.kind in OUTLETS}
        if any(spot[0] in below for spot in flowing):
            working.discard(valve)
    # Closures for all of it together are looked for where hands can stop it: where they cannot hides no other place.
    past_all = [spot for spot in flowing if _comes_past(plant, spot, {*shut, *working})]
    near = _hands(plant, [spot for spot in flowing if spot not in past_all], shut, working, fault.tags)
    for where, side, spot in spots:
        if not plant.reaching([spot], ()):
            continue  # no gas comes there, whatever is open
        sources = plant.reaching([spot], shut)
        if not sources:
            holding = plant.nearest([spot], (), shut)
            yield GasWay(fault.key, where, side, shut, cut, (), holding, (), ())
            continue
        hand = plant.needed([spot], shut, plant.nearest([spot], shut, working) if spot in past_all else near)
        left = plant.reaching([spot], {*shut, *hand})
        yield GasWay(fault.key, where, side, shut, cut, sources, (), hand, left)


def _comes_past(plant: FaultyNetwork, spot: Spot, shut: set[str]) -> bool:
    """Whether a cylinder's gas gets to a spot with all of these shut."""
    return any(plant.net.by_tag[s].kind == "cylinder" for s in plant.reaching([spot], shut))


def _hands(
    plant: FaultyNetwork, spots: Sequence[Spot], shut: Sequence[str], working: set[str], failed: Sequence[str]
) -> tuple[str, ...]:
    """The closures by hand that stop all of it: those nearest to where it comes out, or, where that is fewer to close
    and stops as much, one that does so alone, those nearest ahead of what failed, or those that gas comes to first."""
    nearest = plant.nearest(spots, shut, working)
    if len(nearest) < 2:
        return nearest
    stays = set(plant.reaching(spots, {*shut, *nearest}))
    alone = [c for c in working if set(plant.reaching(spots, {*shut, c})) <= stays]
    if alone:  # the one that has all others ahead of it
        return (max(alone, key=lambda c: (sum(p.tag in alone for p in plant.net.upstream(c)), plant.net.place[c])),)
    known: list[Spot] = [(tag, "in") for tag in failed if tag in plant.net.by_tag]
    ahead = plant.nearest(known, shut, working) if known else ()
    turned = {t for t in working if plant.net.by_tag[t].kind != "cylinder"}  # a quarter turn, before many
    first = [plant.needed(spots, shut, plant.first_met(shut, some)) for some in (turned, working)]
    as_good = [c for c in (ahead, *first) if set(plant.reaching(spots, {*shut, *c})) <= stays]
    return min((nearest, *as_good), key=len)


def broken(net: Network, fault: Fault) -> FaultyNetwork:
    if fault.state != "parted":
        return FaultyNetwork(net)
    if len(fault.tags) == 1:
        return FaultyNetwork(net, parted=frozenset(fault.tags))
    pair: Pair = (fault.tags[0], fault.tags[1])
    return FaultyNetwork(net, cut=frozenset({pair, pair[::-1]}))


def _spots(net: Network, fault: Fault, failed: frozenset[str]) -> list[tuple[str, _Open, Spot]]:
    """Where gas would come out: tag, side ("" for an outlet or a valve into the open), and the side of the part that it
    comes to."""
    if fault.state == "parted":
        if len(fault.tags) == 1:
            hose = fault.tags[0]
            return [(hose, "in", (hose, "in")), (hose, "out", (hose, "out"))]
        a, b = fault.tags
        return [(a, "out", (a, "out")), (b, "in", (b, "in"))]
    tags = set(failed)
    if fault.state in ("failed_open", "means_off"):
        tags = set(fault.tags)
    elif fault.state == "power_lost":
        tags = {p.tag for p in net.of_kind("valve") if by_itself(p)}
    below = {p.tag for tag in tags for p in net.downstream(tag)}
    out = [p.tag for p in net.of_kind(*OUTLETS) if p.tag in below]
    led = {p.tag for v in net.of_kind("valve") if v.form == "relief" for p in net.downstream(v.tag)}
    # What a relief valve lets out is told of that valve, and not of the end of its vent as well.
    vents = [p.tag for p in net.parts if open_ended(net, p) and p.tag in (tags | below) and p.tag not in led]
    if fault.state == "failed_open":
        out += [p.tag for p in net.of_kind("valve") if p.form == "relief" and p.tag in below]
    elif fault.state == "stuck_open":
        part = net.by_tag[fault.tags[0]]
        if part.form == "relief":
            out = [part.tag]
        elif part.kind != "cylinder" and not closes(part):
            out, vents = [], []  # a check valve that lets gas back opens nothing by itself
    spots: list[tuple[str, _Open, Spot]] = [(tag, "", (tag, "in")) for tag in out]
    return [*spots, *((tag, "", (tag, "out")) for tag in vents)]  # past the valve itself
