"""The network of parts as the spec describes it, faults and all; and what feeds each outlet."""

from __future__ import annotations

import contextlib
import itertools
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Literal

from specc import Context, View, value
from specc.kinds.plumbing import (
    NETWORK,
    OPEN,
    OUTLETS,
    REACHES,
    SUPPLY,
    UNREAD,
    ZONE_BORDERS,
    ZONES,
    Border,
    Network,
    Part,
    Reach,
    Run,
    Zone,
    walked,
    way_of,
)
from specc.model.view import Unreadable, join

# Measures that tell a part from its neighbors, in the order a parts list gives them.
_TELLING = ("capacity", "volume", "set", "bore", "length")


def title_of(kind: str, spec: View) -> str:
    """What a reader calls a part: its title, or form, kind and measures."""
    try:
        if spec.has("title"):
            return spec.text("title")
        form = spec.text_or("form").replace("_", " ")
        name = "union" if form == "union" else f"{form} {kind}" if form else kind
        words = [name.strip()]
        if spec.has("size"):
            words.append(spec.text("size"))
        for key in _TELLING:
            if spec.has(key):
                text = spec.quantity(key).text
                words.append(f"set to {text}" if key == "set" else f"{text} {key}" if key == "bore" else text)
        if spec.has("jets"):
            jets = spec.child("jets")
            size = jets.quantity("bore").text if jets.has("bore") else "slit"
            words.append(f"{jets.quantity('count').text} jets, {size}")
        return ", ".join(words)
    except Unreadable:
        return kind  # the refused measure is reported where it stands


@value(NETWORK, reads=("plumbing",))
def network(ctx: Context) -> Network:
    """Parts and runs. A link is made only between parts that exist; rules report the rest, and nothing passes that
    rests on a network of which a part may be anything."""
    plumbing = ctx.spec("plumbing")
    parts = []
    for tag, spec in plumbing.child("parts").children():
        try:
            kind = spec.text("kind")
        except Unreadable:
            # Reported by the schema. It stays in its runs, so that nothing beside it seems to lead nowhere.
            with contextlib.suppress(Unreadable):
                parts.append(Part(tag, UNREAD, "", spec.text_or("title", f"part {tag}"), spec, spec.at))
            ctx.lacks(f"what {tag} is", "its kind cannot be read", spec.here("kind"))
            continue
        form = ""
        with contextlib.suppress(Unreadable):
            form = spec.text_or("form")
        parts.append(Part(tag, kind, form, title_of(kind, spec), spec, spec.at))
    runs = []
    for tag, spec in plumbing.child("runs").children():
        try:
            runs.append(Run(tag, spec.text("from"), spec.texts("line"), spec.at))
        except Unreadable:
            continue  # reported by the schema
    known = {p.tag: p for p in parts}
    links: dict[tuple[str, str], None] = {}
    for run in runs:
        steps = (run.start, *run.line)
        for tag in steps:
            if tag not in known:
                said = f"the run {run.tag} names it, and no part describes it"
                ctx.lacks(f"what {tag} is", said, join("/plumbing/parts", tag))
        for before, after in itertools.pairwise(steps):
            if before in known and after in known and before != after:
                links[(before, after)] = None
    return network_of(parts, runs, links)


def network_of(parts: Iterable[Part], runs: Iterable[Run], links: Iterable[tuple[str, str]]) -> Network:
    """A network with the ways to look into it. Of two parts with one tag the last counts."""
    by_tag = {p.tag: p for p in parts}
    pairs = tuple(links)
    after, before = _ways(pairs), _ways((b, a) for a, b in pairs)
    net = Network(
        tuple(by_tag.values()),
        tuple(runs),
        pairs,
        by_tag,
        after,
        before,
        {tag: i for i, tag in enumerate(by_tag)},
        _by_kind(by_tag.values()),
        after,
        before,
        {},
    )
    return _with_branches(net) if net.of_kind("accumulator") else net


def _with_branches(net: Network) -> Network:
    """With the ways back of accumulators at the ends of branches. Gas knows no arrows: what such a one holds comes back
    through all but a check valve, a relief valve or a regulator, up to where an outlet is fed."""
    to_outlets = net.walk((p.tag for p in net.of_kind(*OUTLETS)), net.before)
    back: dict[tuple[str, str], None] = {}
    joins: dict[tuple[str, str], None] = {}
    for store in net.of_kind("accumulator"):
        if store.tag in to_outlets:
            continue
        met = net.walk((store.tag,), net.before, lambda p: _one_way(p) or p.tag in to_outlets)
        for joint in met:
            if joint in to_outlets and not _one_way(net.by_tag[joint]):
                joins[joint, store.tag] = None
                way = way_of(met, joint)
                back.update(dict.fromkeys(itertools.pairwise(way)))
    if not back:
        return net
    links = dict.fromkeys((*net.links, *back))
    return net._replace(down=_ways(links), up=_ways((b, a) for a, b in links), stores_at=_ways(joins))


def _one_way(part: Part) -> bool:
    return part.kind in ("regulator", "cylinder") or part.form in ("check", "relief")


def _by_kind(parts: Iterable[Part]) -> Mapping[str, tuple[Part, ...]]:
    kinds: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        kinds[part.kind].append(part)
    return {kind: tuple(found) for kind, found in kinds.items()}


def _ways(links: Iterable[tuple[str, str]]) -> Mapping[str, tuple[str, ...]]:
    """Each first tag with all that it is linked to, in the order of the links."""
    ways: dict[str, list[str]] = defaultdict(list)
    for here, there in links:
        ways[here].append(there)
    return {tag: tuple(found) for tag, found in ways.items()}


@value(REACHES, needs=(NETWORK,))
def reaches(ctx: Context) -> tuple[Reach, ...]:
    """For each outlet that gas reaches: the cylinders that feed it, and the shortest way from the first."""
    net = ctx[NETWORK]
    fed: dict[str, list[tuple[str, tuple[str, ...]]]] = {p.tag: [] for p in net.of_kind(*OUTLETS)}
    for cylinder in net.of_kind("cylinder"):
        met = net.walk((cylinder.tag,), net.after)
        for outlet, ways in fed.items():
            if outlet in met:
                ways.append((cylinder.tag, way_of(met, outlet)))
    return tuple(Reach(outlet, tuple(tag for tag, _ in ways), ways[0][1]) for outlet, ways in fed.items() if ways)


def _closes(part: Part) -> bool:
    """Whether gas may be held back at a part, by a hand, a coil or a spring."""
    return part.kind in ("valve", "regulator", "accumulator")


_PLUGS = ("plug", "cap")


def _stops_flow(part: Part) -> bool:
    return part.kind == "orifice" or _closes(part)


def _holding(net: Network) -> set[str]:
    """What stands before something that may hold gas back. A plug holds it where no outlet stands on what it closes: a
    plugged stub on a tee that leads to one is open by that."""
    to_outlets = net.walk((b for p in net.of_kind(*OUTLETS) for b in net.before.get(p.tag, ())), net.before)

    def closed_by(plug: Part) -> bool:
        met = net.walk(net.before.get(plug.tag, ()), net.before, _stops_flow)
        return not any(net.by_tag[tag].kind != "orifice" for tag in met if tag in to_outlets)

    return set(net.walk((p.tag for p in net.parts if _closes(p) or (p.form in _PLUGS and closed_by(p))), net.before))


@value(ZONES, needs=(NETWORK,))
def zones(ctx: Context) -> Mapping[str, str]:
    """By tag, the zone. A regulator belongs to the zone at its inlet. A part that two zones reach is in the one with
    the higher pressure: the supply, then the regulator set highest."""
    net = ctx[NETWORK]
    opened = _open(net)
    zone: dict[str, str] = {}
    for tag in _stands_in(net, [(p.tag, side) for p in net.of_kind("cylinder") for side in _SIDES], opened):
        zone[tag] = SUPPLY
    for regulator in sorted(net.of_kind("regulator"), key=_lower):
        for tag in _stands_in(net, [(regulator.tag, "out")], {*opened, *zone}):
            zone.setdefault(tag, regulator.tag)
    zone |= dict.fromkeys(opened, OPEN)
    return {p.tag: zone.get(p.tag, "") for p in net.parts}


_SIDES: tuple[Literal["in", "out"], ...] = ("in", "out")


def _stands_in(net: Network, starts: Iterable[tuple[str, str]], elsewhere: Collection[str]) -> Iterable[str]:
    """Every part that gas from some sides of parts stands in, those `elsewhere` left out: both ways through all but
    regulators, which set another pressure, and check valves, which are met from behind and not passed."""

    def beside(spot: tuple[str, str]) -> list[tuple[str, str]]:
        tag, side = spot
        part = net.by_tag[tag]
        there = [(t, "in") for t in net.after.get(tag, ())] if side == "out" else []
        there += [(t, "out") for t in net.before.get(tag, ())] if side == "in" else []
        there = [one for one in there if one[0] not in elsewhere]
        if part.kind != "regulator" and (part.form != "check" or side == "in"):
            there.append((tag, "out" if side == "in" else "in"))
        return there

    met = walked({}, starts, beside, ("", ""))
    # The outlet of a regulator is no part of it that stands in what is behind it.
    return dict.fromkeys(t for t, side in met if side == "in" or net.by_tag[t].kind != "regulator")


def _open(net: Network) -> set[str]:
    """Past an orifice, with nothing further on that could close, and with no other feed than through an orifice."""
    holds = _holding(net)
    orifices = {p.tag for p in net.of_kind("orifice")}
    past = net.walk((to for tag in orifices for to in net.after.get(tag, ())), net.after, lambda p: p.tag in holds)
    found = set(past) - holds
    while mixed := {tag for tag in found if not found | orifices >= set(net.before.get(tag, ()))}:
        found -= mixed
    return found


def _lower(regulator: Part) -> float:
    """Sorts the regulator set highest first; one whose setting cannot be read counts as highest of all."""
    try:
        return -max(regulator.spec.quantity(k).si for k in ("set", "highest") if regulator.spec.has(k))
    except (Unreadable, ValueError):
        return float("-inf")


@value(ZONE_BORDERS, needs=(NETWORK, ZONES))
def zone_borders(ctx: Context) -> tuple[Zone, ...]:
    """Each zone with its parts and with every link by which gas leaves it or comes in."""
    net, zone_of = ctx[NETWORK], ctx[ZONES]
    parts: dict[str, list[str]] = {}
    for part in net.parts:
        if zone_of[part.tag]:
            parts.setdefault(zone_of[part.tag], []).append(part.tag)
    borders: dict[str, list[Border]] = {name: [] for name in parts}
    for before, after in net.links:
        left, right = zone_of.get(before, ""), zone_of.get(after, "")
        if left != right:
            for name, other, inward in ((left, right, False), (right, left, True)):
                if name:
                    borders[name].append(Border(before, after, other, inward))
    return tuple(Zone(name, tuple(tags), tuple(borders[name])) for name, tags in parts.items())
