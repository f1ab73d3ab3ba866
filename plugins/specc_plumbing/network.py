"""The network of parts as the spec describes it, faults and all; and what feeds each outlet."""

from __future__ import annotations

import contextlib
import itertools
from collections import defaultdict, deque
from collections.abc import Iterable, Mapping

from specc import Context, View, value
from specc.kinds.plumbing import NETWORK, OPEN, OUTLETS, REACHES, SUPPLY, ZONES, Network, Part, Reach, Run
from specc.model.view import Unreadable

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
    """Parts and runs. A link is made only between parts that exist; rules report the rest."""
    plumbing = ctx.spec("plumbing")
    parts = []
    for tag, spec in plumbing.child("parts").children():
        try:
            kind = spec.text("kind")
        except Unreadable:
            continue  # reported by the schema
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
        for before, after in itertools.pairwise(steps):
            if before in known and after in known and before != after:
                links[(before, after)] = None
    return network_of(parts, runs, links)


def network_of(parts: Iterable[Part], runs: Iterable[Run], links: Iterable[tuple[str, str]]) -> Network:
    """A network with the ways to look into it. Of two parts with one tag the last counts."""
    by_tag = {p.tag: p for p in parts}
    pairs = tuple(links)
    return Network(
        tuple(by_tag.values()),
        tuple(runs),
        pairs,
        by_tag,
        _ways(pairs),
        _ways((after, before) for before, after in pairs),
        {tag: i for i, tag in enumerate(by_tag)},
        _by_kind(by_tag.values()),
    )


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
    after = net.after
    outlets = [p.tag for p in net.of_kind(*OUTLETS)]
    fed: dict[str, list[tuple[str, tuple[str, ...]]]] = {tag: [] for tag in outlets}
    for cylinder in net.of_kind("cylinder"):
        came_from: dict[str, str] = {cylinder.tag: ""}
        queue = deque([cylinder.tag])
        while queue:
            here = queue.popleft()
            for there in after.get(here, ()):
                if there not in came_from:
                    came_from[there] = here
                    queue.append(there)
        for outlet in outlets:
            if outlet in came_from:
                way, step = [outlet], came_from[outlet]
                while step:
                    way.append(step)
                    step = came_from[step]
                fed[outlet].append((cylinder.tag, tuple(reversed(way))))
    return tuple(Reach(outlet, tuple(tag for tag, _ in ways), ways[0][1]) for outlet, ways in fed.items() if ways)


def _closes(part: Part) -> bool:
    """Whether gas may be held back at a part, by a hand, a coil or a spring."""
    return part.kind in ("valve", "regulator", "accumulator")


_PLUGS = ("plug", "cap")


def _dead_end(net: Network, plug: Part) -> bool:
    """Whether no outlet stands on what a plug closes: a plugged stub on a tee that leads to one is open by that."""
    seen, stack = {plug.tag}, [plug.tag]
    while stack:
        for tag in net.before.get(stack.pop(), ()):
            part = net.by_tag[tag]
            if any(p.kind in OUTLETS for p in net.downstream(tag)) and part.kind != "orifice":
                return False
            if tag not in seen and part.kind != "orifice" and not _closes(part):
                seen.add(tag)
                stack.append(tag)
    return True


@value(ZONES, needs=(NETWORK,))
def zones(ctx: Context) -> Mapping[str, str]:
    """By tag, the zone. A regulator or orifice belongs to the zone at its inlet. A part that two zones reach is in
    the one with the higher pressure: the supply, then the regulator set highest."""
    net = ctx[NETWORK]
    zone: dict[str, str] = {}
    walks: list[tuple[str, list[str]]] = [(SUPPLY, [p.tag for p in net.of_kind("cylinder")])]
    walks += [(r.tag, list(net.after.get(r.tag, ()))) for r in sorted(net.of_kind("regulator"), key=_lower)]
    for name, stack in walks:
        while stack:
            tag = stack.pop()
            if tag in zone:
                continue
            zone[tag] = name
            if net.by_tag[tag].kind != "regulator":
                stack.extend(net.after.get(tag, ()))
    # Open: past an orifice, with nothing further on that could close.
    shut = {p.tag for p in net.parts if _closes(p) or (p.form in _PLUGS and _dead_end(net, p))}
    stack = list(shut)
    holds = set(shut)
    while stack:
        for tag in net.before.get(stack.pop(), ()):
            if tag not in holds:
                holds.add(tag)
                stack.append(tag)
    stack = [to for p in net.of_kind("orifice") for to in net.after.get(p.tag, ())]
    seen: set[str] = set()
    while stack:
        tag = stack.pop()
        if tag not in seen:
            seen.add(tag)
            if tag not in holds and all(_is_open(net, zone, b) for b in net.before.get(tag, ())):
                zone[tag] = OPEN
                stack.extend(net.after.get(tag, ()))
    return {p.tag: zone.get(p.tag, "") for p in net.parts}


def _is_open(net: Network, zone: Mapping[str, str], tag: str) -> bool:
    return net.by_tag[tag].kind == "orifice" or zone.get(tag) == OPEN


def _lower(regulator: Part) -> float:
    """Sorts the regulator set highest first; one whose setting cannot be read counts as highest of all."""
    try:
        return -max(regulator.spec.quantity(k).si for k in ("set", "highest") if regulator.spec.has(k))
    except (Unreadable, ValueError):
        return float("-inf")


PASSES = (network, reaches, zones)
