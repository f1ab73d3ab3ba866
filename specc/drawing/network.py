"""What is to be drawn: the parts that take a cell of their own, the links between them, nets and zones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from specc.drawing.cells import Node, can_carry, can_stand
from specc.drawing.order import without_loops
from specc.drawing.rows import can_stand_in_a_row, is_row, rows_of
from specc.drawing.symbols import HUBS, JUNCTIONS, symbol
from specc.drawing.tile import CellItem, TileLink
from specc.drawing.zones import ZoneLabel, Zones, bands_of

Pair = tuple[int, int]


class CellNetwork(NamedTuple):
    """The parts that take a cell of their own (with what stands on them), and the links between those. `hubs` gives
    the one hub at which all lines of a net start or end, for nets that share a tag where they are cut."""

    items: list[CellItem]
    links: list[TileLink]
    zones: Zones
    hubs: Mapping[int, int]


def network_of(
    nodes: Sequence[Node],
    links: Sequence[tuple[str, str]],
    labels: Mapping[str, ZoneLabel],
    open_zone: str,
    mixed: bool = False,
    own: int = 0,
) -> CellNetwork:
    """`mixed` puts plain valves, tubes and pipes into rows with the fittings beside them. Each line of a hub with up
    to `own` lines is a net by itself; the lines on one side of a larger one are one net. Raises ValueError for a tag
    that appears twice, or a link to an unknown tag."""
    index = {node.tag: i for i, node in enumerate(nodes)}
    if len(index) != len(nodes):
        twice = next(n.tag for i, n in enumerate(nodes) if index[n.tag] != i)
        raise ValueError(f"tag {twice!r} appears twice")
    for pair in links:
        for tag in pair:
            if tag not in index:
                raise ValueError(f"link {pair[0]!r} to {pair[1]!r}: there is no part {tag!r}")
    pairs = list(dict.fromkeys((index[a], index[b]) for a, b in links))
    carried = _standing(nodes, pairs)
    stands = {part for some in carried.values() for part in some}
    pairs = [pair for pair in pairs if pair[1] not in stands]
    rows = _rows(nodes, pairs, carried, mixed)
    inner = {pair for row in rows.values() for pair in pairwise(row)}
    follows = {i: row[0] for row in rows.values() for i in row[1:]}
    kept = [i for i in range(len(nodes)) if i not in stands and i not in follows]
    number = {i: n for n, i in enumerate(kept)}
    number |= {i: number[first] for i, first in follows.items()}
    items = [_item(nodes, i, carried, rows) for i in kept]
    joined = [(number[u], number[v]) for u, v in pairs if (u, v) not in inner]
    nets, within = _nets(items, joined, own)
    numbered = [TileLink(u, v, net) for (u, v), net in zip(joined, nets, strict=True)]
    return CellNetwork(items, numbered, _zones(items, numbered, within, labels, open_zone), _hubs(items, numbered))


def _item(
    nodes: Sequence[Node], i: int, carried: Mapping[int, Sequence[int]], rows: Mapping[int, Sequence[int]]
) -> CellItem:
    standing = [nodes[part] for part in carried.get(i, ())]
    also = standing[1] if len(standing) > 1 else None
    row = tuple(nodes[part] for part in rows.get(i, ()))
    return CellItem(nodes[i], standing[0] if standing else None, row=row, also=also)


def _rows(
    nodes: Sequence[Node], pairs: Sequence[Pair], carried: Mapping[int, Sequence[int]], mixed: bool
) -> dict[int, list[int]]:
    """Small fittings of one zone that follow one another, by the first of each row."""
    after: dict[int, list[int]] = {}
    before: dict[int, list[int]] = {}
    for u, v in pairs:
        after.setdefault(u, []).append(v)
        before.setdefault(v, []).append(u)

    def small(i: int) -> bool:
        return can_stand_in_a_row(nodes[i], mixed) and i not in carried

    def next_of(i: int) -> int | None:
        """The one fitting that follows and has nothing else before it."""
        if len(after.get(i, ())) != 1:
            return None
        (v,) = after[i]
        fits = small(v) and len(before[v]) == 1 and nodes[v].zone == nodes[i].zone
        return v if fits else None

    following: dict[int, int] = {}
    for i in range(len(nodes)):
        after_it = next_of(i) if small(i) else None
        if after_it is not None and after_it != i:
            following[i] = after_it
    inner = set(following.values())
    rows: dict[int, list[int]] = {}
    # A ring of nothing but fittings has no first one, and is drawn part by part.
    for start in (i for i in following if i not in inner):
        chain = [start]
        while chain[-1] in following:
            chain.append(following[chain[-1]])
        done = 0
        for count in rows_of([nodes[i] for i in chain]):
            if is_row([nodes[i] for i in chain[done : done + count]]):
                rows[chain[done]] = chain[done : done + count]
            done += count
    return rows


def _standing(nodes: Sequence[Node], pairs: Sequence[Pair]) -> dict[int, list[int]]:
    """Part: the gauge or relief that stands on it, if it leads nowhere else. One a part; two on a tee or a cross from
    which but one line goes on."""
    leads: dict[int, int] = {}
    fed: dict[int, int] = {}
    zones_after: dict[int, dict[str, int]] = {}
    for u, v in pairs:
        leads[u] = leads.get(u, 0) + 1
        fed[v] = fed.get(v, 0) + 1
        count = zones_after.setdefault(u, {})
        count[nodes[v].zone] = count.get(nodes[v].zone, 0) + 1
    carried: dict[int, list[int]] = {}
    for u, v in pairs:
        fits = can_carry(nodes[u].symbol) and can_stand(nodes[v].symbol)
        # What stands on a part shows no zone of its own, so it has to be in the part's; beside a regulator it may be
        # in the one that begins there.
        same = nodes[v].zone in ("", nodes[u].zone) or (
            fits and symbol(nodes[u].symbol).beside is not None and zones_after[u][nodes[v].zone] > 1
        )
        # Where lines part or meet the mark stands on their upright, with no room for a gauge.
        if nodes[u].symbol in JUNCTIONS and (leads[u] > 3 or fed.get(u, 0) > 1):
            continue
        most = 2 if nodes[u].symbol in JUNCTIONS and leads[u] == 3 else 1
        if fits and same and fed[v] == 1 and v not in leads and len(carried.get(u, ())) < most:
            carried.setdefault(u, []).append(v)
    return {u: some for u, some in carried.items() if nodes[u].symbol not in JUNCTIONS or leads[u] == len(some) + 1}


def _nets(items: Sequence[CellItem], links: Sequence[Pair], own: int) -> tuple[list[int], list[int]]:
    """A net's number for each link, and for each net one that is the same for all that meet at one side of a hub. An
    outlet, the inlets it leads to, and all that lead there are one net; but at a hub each line ends by itself."""
    lines = [0] * len(items)
    for pair in links:
        for part in pair:
            lines[part] += 1
    apart = [item.node.symbol in HUBS and count <= own for item, count in zip(items, lines, strict=True)]
    whole = _joined(len(items), links, [False] * len(items))
    nets = _joined(len(items), links, apart)
    within = dict(zip(nets, whole, strict=True))
    return nets, [within[net] for net in range(len(within))]


def _hubs(items: Sequence[CellItem], links: Sequence[TileLink]) -> dict[int, int]:
    starts: dict[int, set[int]] = {}
    ends: dict[int, set[int]] = {}
    for u, v, net in links:
        starts.setdefault(net, set()).add(u)
        ends.setdefault(net, set()).add(v)
    found = {}
    for net, first in starts.items():
        for parts in (first, ends[net]):
            if len(parts) == 1 and items[min(parts)].node.symbol in HUBS and len(first) + len(ends[net]) > 2:
                found[net] = min(parts)
    return found


def _joined(count: int, links: Sequence[Pair], apart: Sequence[bool]) -> list[int]:
    """The net of each link; the lines of a part that is `apart` do not meet there."""
    leader = list(range(2 * count + 2 * len(links)))  # outlets, inlets, and a link's own ends at parts that are apart

    def find(port: int) -> int:
        while leader[port] != port:
            leader[port] = leader[leader[port]]
            port = leader[port]
        return port

    ports = [
        (2 * count + 2 * i if apart[u] else u, 2 * count + 2 * i + 1 if apart[v] else count + v)
        for i, (u, v) in enumerate(links)
    ]
    for one, other in ports:
        a, b = find(one), find(other)
        leader[max(a, b)] = min(a, b)
    numbers: dict[int, int] = {}
    return [numbers.setdefault(find(one), len(numbers)) for one, _ in ports]


def _zones(
    items: Sequence[CellItem],
    links: Sequence[TileLink],
    within: Sequence[int],
    labels: Mapping[str, ZoneLabel],
    open_zone: str,
) -> Zones:
    """Each net's zone, and how many zone changes lie between a zone and the cylinders."""
    fed: dict[int, list[str]] = {}
    feeding: dict[int, list[str]] = {}
    for u, v, net in links:
        feeding.setdefault(within[net], []).append(items[u].node.zone)
        fed.setdefault(within[net], []).append(items[v].node.zone)
    of_net = [fed[n][0] if len(set(fed[n])) == 1 else feeding[n][0] for n in within]
    forward, _, flow = without_loops(len(items), [(u, v) for u, v, _ in links])
    before: list[list[int]] = [[] for _ in items]
    for u, v in forward:
        before[v].append(u)
    # Counted from the cylinders; from wherever a line begins only for zones that no cylinder reaches.
    rank: dict[str, int] = {}
    for only_cylinders in (True, False):
        changes: list[int | None] = [None] * len(items)
        found: dict[str, int] = {}
        for v in flow:
            zone = items[v].node.zone
            steps = [n + (items[u].node.zone != zone) for u in before[v] if (n := changes[u]) is not None]
            begins = not before[v] and (not only_cylinders or items[v].node.symbol == "cylinder")
            count = 0 if begins else min(steps, default=None)
            changes[v] = count
            if count is not None:
                found[zone] = min(found.get(zone, count), count)
        rank = {**found, **rank}
    bands = bands_of(rank, open_zone) if labels else {}
    return Zones(labels, rank, bands, of_net, open_zone)
