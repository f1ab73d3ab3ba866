"""Where parts go on the grid of a schematic: a column and a lane for each, whatever the network's shape.

Parts are numbers from 0, links are pairs. Columns come from the longest path from a source, once links that
close a loop are set aside. Parts in series are strung into chains, and a chain keeps to one lane, so that the
gas runs straight. Chains that branch off or join lie beside their chain, the inner ones nearest to where they
meet it, which leaves a tree without crossings; for the rest a few barycenter sweeps lower their number.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence, Set
from typing import NamedTuple

Link = tuple[int, int]
_CROSS = 4  # lines at a cross


class LaneSpan(NamedTuple):
    """A chain's part of a lane, with the columns at its ends where its connectors turn. One that `hangs` is
    reached from a chain below it. Spans of one lane share no column."""

    lane: int
    low: int
    high: int
    hangs: bool


class LaneGrid(NamedTuple):
    """`through` gives the lane of a link that passes over columns; `back` are the links that close loops."""

    columns: int
    lanes: int
    column: list[int]
    lane: list[int]
    forward: tuple[Link, ...]
    through: dict[Link, int]
    back: tuple[Link, ...]
    spans: tuple[LaneSpan, ...]  # from the top lane down


class _Chain:
    """Parts in series and passed-over columns, from column `low` to `high`, in one lane.

    `room_low` and `room_high` take in the columns next to it where a connector enters or leaves its lane, so
    that no other part stands in that connector's way.
    """

    def __init__(self, low: int, high: int) -> None:
        self.low = self.room_low = low
        self.high = self.room_high = high
        self.parts = 0
        self.links: list[tuple[int, int, bool, int]] = []  # other chain, column, above?, order


def without_loops(count: int, links: Sequence[Link]) -> tuple[list[Link], list[Link], list[int]]:
    """Links forward, links that close a loop, and the parts in flow order. Follows the order of the links."""
    after: list[list[int]] = [[] for _ in range(count)]
    entered = [0] * count
    for u, v in links:
        after[u].append(v)
        entered[v] += u != v
    state = [0] * count  # 1 on the way, 2 done
    back: list[Link] = []
    done: list[int] = []
    # Sources first, so that a loop is opened where the gas comes back and not where it enters.
    for start in sorted(range(count), key=lambda part: entered[part] > 0):
        if state[start]:
            continue
        state[start] = 1
        stack = [(start, iter(after[start]))]
        while stack:
            part, rest = stack[-1]
            for v in rest:
                if state[v] == 1:
                    back.append((part, v))
                elif not state[v]:
                    state[v] = 1
                    stack.append((v, iter(after[v])))
                    break
            else:
                state[part] = 2
                done.append(part)
                stack.pop()
    closing = set(back)
    return [link for link in links if link not in closing], back, done[::-1]


def arrange(
    count: int,
    links: Sequence[Link],
    at_end: Set[int] = frozenset(),
    evenly: Set[int] = frozenset(),
    apart: Set[Link] = frozenset(),
) -> LaneGrid:
    """The grid for parts 0 to count - 1. Parts in `at_end` (which lead nowhere) go to the last column; of those in
    `evenly` two lines besides the straight one lie on either side of it; links in `apart` pass over a column."""
    links = list(dict.fromkeys(links))
    forward, back, flow = without_loops(count, links)
    after: list[list[int]] = [[] for _ in range(count)]
    before: list[list[int]] = [[] for _ in range(count)]
    for u, v in forward:
        after[u].append(v)
        before[v].append(u)
    column = [0] * count
    for u in flow:
        for v in after[u]:
            column[v] = max(column[v], column[u] + (2 if (u, v) in apart else 1))
    last = max(column, default=0)
    for part in at_end:
        column[part] = last
    follower = _followers(column, after, before, flow)
    chains, chain_of, through = _chains(column, after, before, follower, flow, back, evenly)
    ordered, parent = _in_order(chains)
    ordered = _fewer_crossings(chains, ordered)
    lane = _lanes(chains, ordered, parent)
    spans = [
        LaneSpan(lane[i], chain.room_low, chain.room_high, parent[i] >= 0 and lane[parent[i]] > lane[i])
        for i, chain in enumerate(chains)
    ]
    return LaneGrid(
        last + 1 if count else 0,
        max(lane, default=-1) + 1,
        column,
        [lane[chain_of[part]] for part in range(count)],
        tuple(forward),
        {link: lane[chain] for link, chain in through.items()},
        tuple(back),
        tuple(sorted(spans)),
    )


def _middle_best(choices: Sequence[int], rank: Sequence[int]) -> int:
    """Of the highest-ranked choices the middle one, so that equal branches fan out evenly."""
    top = max(rank[c] for c in choices)
    best = [c for c in choices if rank[c] == top]
    return best[(len(best) - 1) // 2]


def _followers(column: list[int], after: list[list[int]], before: list[list[int]], flow: list[int]) -> dict[int, int]:
    """For each part the one that follows it in its chain: the way with most parts still to come."""
    height = [0] * len(column)
    for u in reversed(flow):
        height[u] = max((height[v] + 1 for v in after[u]), default=0)
    # Both have to choose each other; then those left over take what is left.
    wants_next = {u: _middle_best(after[u], height) for u in flow if after[u]}
    wants_last = {v: _middle_best(before[v], column) for v in flow if before[v]}
    follower = {u: v for u, v in wants_next.items() if wants_last[v] == u}
    taken = set(follower.values())
    for u in flow:
        if u not in follower:
            free = [v for v in after[u] if v not in taken]
            if free:
                follower[u] = _middle_best(free, height)
                taken.add(follower[u])
    return follower


def _chains(
    column: list[int],
    after: list[list[int]],
    before: list[list[int]],
    follower: dict[int, int],
    flow: list[int],
    back: list[Link],
    evenly: Set[int],
) -> tuple[list[_Chain], list[int], dict[Link, int]]:
    """The chains, each part's chain, and the chain that holds each link that passes over columns."""
    chains: list[_Chain] = []
    chain_of = [-1] * len(column)
    through: dict[Link, int] = {}
    inner = set(follower.values())
    heads: set[int] = set()
    tails: set[int] = set()
    for head in range(len(column)):
        if head in inner:
            continue
        chain = _Chain(column[head], column[head])
        part = head
        heads.add(head)
        while True:
            chain_of[part] = len(chains)
            chain.parts += 1
            chain.high = chain.room_high = column[part]
            if part not in follower:
                break
            if column[follower[part]] > column[part] + 1:
                through[part, follower[part]] = len(chains)
            part = follower[part]
        tails.add(part)
        chains.append(chain)
    came = [{u: i for i, u in enumerate(leads)} for leads in before]
    leader = {v: u for u, v in follower.items()}
    for u in flow:
        straight = after[u].index(follower[u]) if u in follower else -1
        for place, v in enumerate(after[u]):
            if follower.get(u) == v:
                continue
            above_u = place < straight
            above_v = v in leader and came[v][u] < came[v][leader[v]]
            # As at a cross: one line above, one below; the one that leaves above where one comes and one leaves.
            if u in evenly and len(after[u]) + len(before[u]) <= _CROSS:
                beside = [w for w in after[u] if follower.get(u) != w]
                if len(beside) + sum(leader.get(u) != w for w in before[u]) == 2:
                    above_u = v == beside[0]
            if v in evenly and len(after[v]) + len(before[v]) <= _CROSS:
                beside = [w for w in before[v] if leader.get(v) != w]
                if len(beside) + sum(follower.get(v) != w for w in after[v]) == 2:
                    above_v = len(beside) == 2 and u == beside[0]
            mine, theirs = chain_of[u], chain_of[v]
            meet_u, meet_v = column[u], column[v] - 1
            if column[v] > column[u] + 1:
                if u in tails:
                    tails.discard(u)
                    chains[mine].high = chains[mine].room_high = column[v] - 1
                    through[u, v] = mine
                    meet_u = meet_v
                elif v in heads:
                    heads.discard(v)
                    chains[theirs].low = chains[theirs].room_low = column[u] + 1
                    through[u, v] = theirs
                    meet_v = meet_u
                else:
                    chains.append(_Chain(column[u] + 1, column[v] - 1))
                    own = through[u, v] = len(chains) - 1
                    _join(chains, mine, own, meet_u, above_u, False, place, 0)
                    _join(chains, own, theirs, meet_v, False, above_v, 0, came[v][u])
                    continue
            _join(chains, mine, theirs, meet_u, above_u, above_v, place, came[v][u])
    for u, v in back:
        chains[chain_of[u]].room_high = max(chains[chain_of[u]].room_high, column[u] + 1)
        chains[chain_of[v]].room_low = min(chains[chain_of[v]].room_low, column[v] - 1)
    return chains, chain_of, through


def _join(
    chains: list[_Chain],
    out: int,
    into: int,
    channel: int,
    out_above: bool,
    into_above: bool,
    branch: int,
    joining: int,
) -> None:
    """Note that chain `out` leads into chain `into` between columns `channel` and `channel` + 1."""
    chains[out].room_high = max(chains[out].room_high, channel + 1)
    chains[into].room_low = min(chains[into].room_low, channel)
    # Branches: the earliest lies outermost. Joining chains: the last lies outermost.
    chains[out].links.append((into, channel, out_above, branch))
    chains[into].links.append((out, -channel, into_above, joining))


def _in_order(chains: list[_Chain]) -> tuple[list[int], list[int]]:
    """Chains from top to bottom, and for each the chain it was reached from (-1 for the main ones)."""
    parent = [-2] * len(chains)
    ordered: list[int] = []
    for root in _main_chains(chains):
        parent[root] = -1
        # A chain is written out after what lies above it and before what lies below it.
        stack: list[tuple[int, bool]] = [(root, False)]
        while stack:
            chain, opened = stack.pop()
            if opened:
                ordered.append(chain)
                continue
            above: list[tuple[int, int, int]] = []
            below: list[tuple[int, int, int]] = []
            for other, distance, is_above, order in chains[chain].links:
                if parent[other] == -2:
                    parent[other] = chain
                    (above if is_above else below).append((distance, order, other))
            above.sort()
            below.sort(key=lambda item: (-item[0], item[1]))
            stack += [(item[2], False) for item in reversed(below)]
            stack.append((chain, True))
            stack += [(item[2], False) for item in reversed(above)]
    return ordered, parent


def _main_chains(chains: list[_Chain]) -> list[int]:
    """The longest chain of each network that stands alone, in the order of their first chains."""
    seen = [False] * len(chains)
    mains = []
    for start in range(len(chains)):
        if seen[start]:
            continue
        seen[start] = True
        members, best = [start], start
        for chain in members:
            if chains[chain].parts > chains[best].parts:
                best = chain
            for other, *_ in chains[chain].links:
                if not seen[other]:
                    seen[other] = True
                    members.append(other)
        mains.append(best)
    return mains


def _fewer_crossings(chains: list[_Chain], ordered: list[int]) -> list[int]:
    """Barycenter sweeps over the chains, kept only where they lower the number of crossings."""
    best, fewest = ordered, _crossings(chains, ordered)
    trial = ordered
    for _ in range(6):
        if not fewest:
            break
        place = {chain: i for i, chain in enumerate(trial)}
        pull = {
            chain: (place[chain] + sum(place[link[0]] for link in chains[chain].links)) / (1 + len(chains[chain].links))
            for chain in trial
        }
        trial = sorted(trial, key=lambda chain: (pull[chain], place[chain]))
        crossings = _crossings(chains, trial)
        if crossings < fewest:
            best, fewest = trial, crossings
    return best


def _crossings(chains: list[_Chain], ordered: list[int]) -> int:
    """How many chains the uprights between chains would cross."""
    place = {chain: i for i, chain in enumerate(ordered)}
    # Where both ends of a channel belong to one chain, its line runs through that channel.
    passing: dict[int, list[int]] = {}
    for i, chain in enumerate(ordered):
        for channel in range(chains[chain].low, chains[chain].high):
            passing.setdefault(channel, []).append(i)
    total = 0
    for chain in ordered:
        for other, channel, *_ in chains[chain].links:
            # Each meeting is noted on both chains; the one with the signed-off channel is skipped by place.
            if place[other] > place[chain]:
                across = passing.get(abs(channel), [])
                total += bisect_left(across, place[other]) - bisect_right(across, place[chain])
    return total


def _lanes(chains: list[_Chain], ordered: list[int], parent: list[int]) -> list[int]:
    """A lane for each chain: as high as the order allows, then back down toward the chain it meets."""
    lane = [0] * len(chains)
    lowest: dict[int, int] = {}
    for chain in ordered:
        room = range(chains[chain].room_low, chains[chain].room_high + 1)
        lane[chain] = max((lowest.get(c, -1) for c in room), default=-1) + 1
        for c in room:
            lowest[c] = lane[chain]
    highest: dict[int, int] = {}
    bottom = max(lane, default=0) + 1
    for chain in reversed(ordered):
        room = range(chains[chain].room_low, chains[chain].room_high + 1)
        if parent[chain] >= 0 and lane[parent[chain]] > lane[chain]:
            lane[chain] = min(highest.get(c, bottom) for c in room) - 1
        for c in room:
            highest[c] = lane[chain]
    return lane
