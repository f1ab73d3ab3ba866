"""The schematic of a network, laid out without help: gas from the cylinders at the left to the outlets.

A network that does not fit is first set tighter, then cut: across the flow into rows, and along it into
sheets. A single line cut within a sheet goes on round the edge; every other cut line ends in a tag that names
the sheet and carries a letter, the same letter at all ends of one net.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc.drawing.cells import FLAG_HALF, Node, can_carry, can_stand, shifted
from specc.drawing.order import without_loops
from specc.drawing.shapes import Drawing, Line, Shape, Sheet
from specc.drawing.tile import Item, Joined, Pitch, Plan, Zones

PITCHES = (Pitch(30.0, 4.0, 3.0), Pitch(22.0, 3.2, 2.4), Pitch(16.0, 2.6, 1.8), Pitch(14.0, 2.4, 1.4))
_CUT_PITCH = PITCHES[1]
_EDGE = 5.0  # left and right of the drawing, where folded lines run
_RIM = 1.5  # above and below
_BETWEEN = 9.0  # between pieces on a sheet

__all__ = ["Node", "schematic"]


class _Network(NamedTuple):
    """The parts that take a cell of their own (with what stands on them), and the links between those."""

    items: list[Item]
    links: list[Joined]
    zones: Zones


class _Piece(NamedTuple):
    plan: Plan
    nets_in: frozenset[int]
    nets_out: frozenset[int]


class _Spot(NamedTuple):
    """Where a piece goes: its sheet, the distance from the left, and from the top to its top."""

    sheet: int
    x: float
    down: float
    alone: bool


def schematic(
    nodes: Sequence[Node],
    links: Sequence[tuple[str, str]],
    zone_names: Mapping[str, str],
    *,
    key: str = "plumbing.schematic",
    title: str = "Gas from cylinders to outlets",
    width: float = 180.0,
    height: float = 110.0,
) -> Drawing:
    """Lay out a network. `links` are pairs of tags in the way the gas goes; `zone_names` gives each zone's
    label by id. Sheets are `width` mm wide and at most `height` mm high; there is none for no nodes.

    A regulator belongs to the zone at its inlet: the mark of a zone stands behind the last part of the one
    before.
    Raises ValueError for a tag that stands twice, a link to an unknown tag, or a sheet under 100 x 60 mm.
    """
    if width < 100.0 or height < 60.0:
        raise ValueError(f"a sheet of {width:g} x {height:g} mm is too small (least 100 x 60)")
    network = _network(nodes, links, zone_names)
    pieces = _pieces(network, width - 2 * _EDGE, height - 2 * _RIM)
    sheets = _sheets(pieces, width, height)
    note = "Line weight falls with each zone from the cylinders; dashed lines part the zones."
    return Drawing(key, title, "schematic", sheets, note if zone_names else "")


# --- the network -------------------------------------------------------------------------------------------


def _network(
    nodes: Sequence[Node], links: Sequence[tuple[str, str]], zone_names: Mapping[str, str]
) -> _Network:
    index = {node.tag: i for i, node in enumerate(nodes)}
    if len(index) != len(nodes):
        twice = next(n.tag for i, n in enumerate(nodes) if index[n.tag] != i)
        raise ValueError(f"tag {twice!r} stands twice")
    for pair in links:
        for tag in pair:
            if tag not in index:
                raise ValueError(f"link {pair[0]!r} to {pair[1]!r}: there is no part {tag!r}")
    pairs = list(dict.fromkeys((index[a], index[b]) for a, b in links))
    carried = _standing(nodes, pairs)
    stands = set(carried.values())
    kept = [i for i in range(len(nodes)) if i not in stands]
    number = {i: n for n, i in enumerate(kept)}
    items = [Item(nodes[i], nodes[carried[i]] if i in carried else None) for i in kept]
    joined = [(number[u], number[v]) for u, v in pairs if v not in stands]
    nets = _nets(len(items), joined)
    numbered = [Joined(u, v, net) for (u, v), net in zip(joined, nets, strict=True)]
    return _Network(items, numbered, _zones(items, numbered, zone_names))


def _standing(nodes: Sequence[Node], pairs: Sequence[tuple[int, int]]) -> dict[int, int]:
    """Part: the gauge or relief that stands on it. One a part, and only one that leads nowhere else."""
    leads_on = {u for u, _ in pairs}
    fed: dict[int, int] = {}
    for _, v in pairs:
        fed[v] = fed.get(v, 0) + 1
    carried: dict[int, int] = {}
    for u, v in pairs:
        fits = can_carry(nodes[u].symbol) and can_stand(nodes[v].symbol)
        # What stands on a part shows no zone of its own, so it has to be in the part's.
        same = nodes[v].zone in ("", nodes[u].zone)
        if fits and same and fed[v] == 1 and v not in leads_on and u not in carried:
            carried[u] = v
    return carried


def _nets(count: int, links: Sequence[tuple[int, int]]) -> list[int]:
    """A net's number for each link. An outlet, the inlets it leads to, and all that lead there are one."""
    leader = list(range(2 * count))  # outlets first, then inlets

    def find(port: int) -> int:
        while leader[port] != port:
            leader[port] = leader[leader[port]]
            port = leader[port]
        return port

    for u, v in links:
        a, b = find(u), find(count + v)
        leader[max(a, b)] = min(a, b)
    numbers: dict[int, int] = {}
    return [numbers.setdefault(find(u), len(numbers)) for u, _ in links]


def _zones(items: Sequence[Item], links: Sequence[Joined], names: Mapping[str, str]) -> Zones:
    """Each net's zone, and how many zone changes lie between a zone and the cylinders."""
    fed: dict[int, list[str]] = {}
    feeding: dict[int, list[str]] = {}
    for u, v, net in links:
        feeding.setdefault(net, []).append(items[u].node.zone)
        fed.setdefault(net, []).append(items[v].node.zone)
    of_net = [fed[n][0] if len(set(fed[n])) == 1 else feeding[n][0] for n in range(len(fed))]
    forward, _, flow = without_loops(len(items), [(u, v) for u, v, _ in links])
    before: list[list[int]] = [[] for _ in items]
    for u, v in forward:
        before[v].append(u)
    changes = [0] * len(items)
    rank: dict[str, int] = {}
    for v in flow:
        zone = items[v].node.zone
        steps = [changes[u] + (items[u].node.zone != zone) for u in before[v]]
        changes[v] = min(steps, default=0)
        rank[zone] = min(rank.get(zone, changes[v]), changes[v])
    return Zones(names, rank, of_net)


# --- cutting into pieces -----------------------------------------------------------------------------------


def _pieces(network: _Network, wide: float, high: float) -> list[_Piece]:
    """The pieces in the order they are read; each fits, at the widest pitch at which it does."""
    if not network.items:
        return []
    whole = _piece(network, range(len(network.items)))
    # No line runs round the edge of what is not cut.
    full = wide + 2 * (_EDGE - _RIM)
    for pitch in PITCHES:
        plan = whole.plan.measure(pitch, full)
        if plan.width <= full + 1e-6 and plan.height <= high:
            return [whole]
    fed = {link.end for link in network.links}
    done: list[_Piece] = []
    todo = [list(range(len(network.items)))]
    while todo:
        members = todo.pop()
        piece = whole if len(members) == len(network.items) else _piece(network, members)
        plan = piece.plan.measure(_CUT_PITCH, wide)
        too_wide, too_high = plan.width > wide + 1e-6, plan.height > high
        parts = [members]
        if too_wide:
            parts = _cut(members, _bands(plan, len(members), wide))
        if len(parts) == 1 and (too_high or too_wide):
            parts = _cut(members, _floors(plan, len(members), high))
            # The sheet with the cylinder comes before those that it feeds.
            parts.sort(key=lambda part: fed.issuperset(part))
        if len(parts) == 1:
            done.append(piece)
        else:
            todo += reversed(parts)
    return done


def _piece(network: _Network, members: Sequence[int]) -> _Piece:
    """Some parts of the network with a tag for each net that goes on elsewhere."""
    inside = {part: i for i, part in enumerate(members)}
    items = [network.items[part] for part in members]
    links: list[Joined] = []
    leaving: dict[int, dict[int, None]] = {}
    entering: dict[int, dict[int, None]] = {}
    for u, v, net in network.links:
        if u in inside and v in inside:
            links.append(Joined(inside[u], inside[v], net))
        elif u in inside:
            leaving.setdefault(net, {})[inside[u]] = None
        elif v in inside:
            entering.setdefault(net, {})[inside[v]] = None
    for net, starts in leaving.items():
        links += [Joined(start, len(items), net) for start in starts]
        items.append(_tag_item(network, net, "out"))
    for net, ends in entering.items():
        links += [Joined(len(items), end, net) for end in ends]
        items.append(_tag_item(network, net, "in"))
    return _Piece(Plan(items, links, network.zones), frozenset(entering), frozenset(leaving))


def _tag_item(network: _Network, net: int, way: str) -> Item:
    return Item(Node("", "tee", (), network.zones.of_net[net]), None, way, net)


def _cut(members: Sequence[int], groups: Sequence[int]) -> list[list[int]]:
    """Members by group number, in the order of the groups."""
    parts: dict[int, list[int]] = {}
    for part, group in zip(members, groups, strict=True):
        parts.setdefault(group, []).append(part)
    return [parts[group] for group in sorted(parts)]


def _bands(plan: Plan, count: int, wide: float) -> list[int]:
    """Group numbers for parts 0 to `count` - 1 by column: bands of about even width, cut at few lines."""
    room = wide - 4 * FLAG_HALF - 8.0
    edges = [plan.channels[c].end for c in range(plan.grid.columns)]
    bands = max(2, -int(-edges[-1] // room))
    aim = edges[-1] / bands
    running = [len(plan.channels[c].left) + len(plan.channels[c].passing) for c in range(plan.grid.columns)]
    group, start, groups = 0, 0, [0] * plan.grid.columns
    while start < plan.grid.columns:
        origin = edges[start - 1] if start else 0.0
        fits = [c for c in range(start, plan.grid.columns) if edges[c] - origin <= room] or [start]
        end = fits[-1]
        if end < plan.grid.columns - 1:
            near = [c for c in fits if edges[c] - origin >= 0.6 * aim] or [end]
            end = min(near, key=lambda c: (running[c], abs(edges[c] - origin - aim)))
        for c in range(start, end + 1):
            groups[c] = group
        start, group = end + 1, group + 1
    return [groups[plan.grid.column[part]] for part in range(count)]


def _floors(plan: Plan, count: int, high: float) -> list[int]:
    """Group numbers by lane: as many lanes as fit, with some room left for the tags that the cut makes."""
    lanes = plan.grid.lanes
    tops, feet = [-1e9] * lanes, [0.0] * lanes
    for part in range(len(plan.items)):
        lane, cell = plan.grid.lane[part], plan.cells[part]
        y = plan.port(part)[1]
        tops[lane] = max(tops[lane], y + cell.up)
        feet[lane] = min(feet[lane], y - cell.down)
    used = sorted({plan.grid.lane[part] for part in range(count)})
    room = high - plan.band_height - 14.0
    groups = [0] * lanes
    group, top = 0, tops[used[0]]
    for i, lane in enumerate(used):
        if i and (top - feet[lane] > room or (i == len(used) - 1 and group == 0)):
            group, top = group + 1, tops[lane]
        groups[lane] = group
    if len(used) == 1:
        # One lane and still too large: its parts one by one, as the last resort.
        return list(range(count))
    return [groups[plan.grid.lane[part]] for part in range(count)]


# --- sheets ------------------------------------------------------------------------------------------------


def _sheets(pieces: Sequence[_Piece], width: float, height: float) -> tuple[Sheet, ...]:
    spots = _spots(pieces, width, height)
    homes: dict[tuple[int, bool], list[int]] = {}
    for piece, spot in zip(pieces, spots, strict=True):
        for net in piece.nets_in:
            homes.setdefault((net, True), []).append(spot.sheet)
        for net in piece.nets_out:
            homes.setdefault((net, False), []).append(spot.sheet)
    folds = _folds(pieces, spots, homes)
    _close_up(pieces, folds, width - 2 * _EDGE)
    letters = _letters(pieces)
    shapes: list[list[Shape]] = [[] for _ in range(1 + max((s.sheet for s in spots), default=-1))]
    depth = [0.0] * len(shapes)
    for piece, spot in zip(pieces, spots, strict=True):
        flags = {}
        for part, item in enumerate(piece.plan.items):
            if item.flag and part not in piece.plan.folded:
                ends = homes.get((item.net, item.flag == "out"), [])
                flags[part] = letters[item.net], _flag_text(item.flag == "in", ends, spot.sheet)
        shapes[spot.sheet] += [shifted(s, spot.x, -spot.down) for s in piece.plan.draw(flags)]
        depth[spot.sheet] = max(depth[spot.sheet], spot.down + piece.plan.height)
    for i, net in folds.items():
        shapes[spots[i].sheet].append(_fold(pieces, spots, i, net, width))
    return tuple(
        Sheet(width, deep + _RIM, tuple(shifted(s, 0.0, deep + _RIM) for s in drawn))
        for drawn, deep in zip(shapes, depth, strict=True)
    )


def _close_up(pieces: Sequence[_Piece], folds: Mapping[int, int], wide: float) -> None:
    """Take back the room for tags that connectors replace."""
    for i, piece in enumerate(pieces):
        ends = {("out", folds.get(i)), ("in", folds.get(i - 1))}
        items = enumerate(piece.plan.items)
        folded = frozenset(p for p, item in items if item.flag and (item.flag, item.net) in ends)
        if not folded:
            continue
        high = piece.plan.height
        if piece.plan.measure(_CUT_PITCH, wide, folded).height > high:
            # The zones' names broke otherwise and no longer fit: as it was, but without the tags.
            piece.plan.measure(_CUT_PITCH, wide)
            piece.plan.folded = folded


def _spots(pieces: Sequence[_Piece], width: float, height: float) -> list[_Spot]:
    """Pieces in rows from the top, side by side where they are narrow, and on to the next sheet."""
    spots: list[_Spot] = []
    sheet, row_top, row_end, row_foot = 0, _RIM, _EDGE, _RIM
    for piece in pieces:
        # Stretched pieces fill a row; those that are narrow by nature share one.
        plan = piece.plan
        beside = row_end > _EDGE and row_end + _BETWEEN + plan.width <= width - _EDGE
        if beside and row_top + plan.height <= height - _RIM:
            x = row_end + _BETWEEN
            spots[-1] = spots[-1]._replace(alone=False)
        else:
            beside = False
            x = min(_EDGE, (width - plan.width) / 2)
            row_top = row_foot + (_BETWEEN if row_foot > _RIM else 0.0)
            if row_top + plan.height > height - _RIM and row_foot > _RIM:
                sheet, row_top, row_foot = sheet + 1, _RIM, _RIM
        spots.append(_Spot(sheet, x, row_top, not beside))
        row_end = x + plan.width
        row_foot = max(row_foot, row_top + plan.height)
    return spots


def _folds(
    pieces: Sequence[_Piece], spots: Sequence[_Spot], homes: Mapping[tuple[int, bool], list[int]]
) -> dict[int, int]:
    """Piece: the one net that goes on in the piece below it."""
    folds: dict[int, int] = {}
    for i in range(len(pieces) - 1):
        here, below = spots[i], spots[i + 1]
        shared = pieces[i].nets_out & pieces[i + 1].nets_in
        if here.sheet != below.sheet or not (here.alone and below.alone) or len(shared) != 1:
            continue
        (net,) = shared
        if len(homes[net, True]) == 1 and len(homes[net, False]) == 1:
            folds[i] = net
    return folds


def _fold(pieces: Sequence[_Piece], spots: Sequence[_Spot], i: int, net: int, width: float) -> Shape:
    """The connector from the end of a row, round the edge, to the start of the row below."""
    before, after = pieces[i].plan, pieces[i + 1].plan
    end = next(p for p, item in enumerate(before.items) if (item.flag, item.net) == ("out", net))
    start = next(p for p, item in enumerate(after.items) if (item.flag, item.net) == ("in", net))
    x1, y1 = before.port(end)
    x2, y2 = after.port(start)
    x1, y1 = x1 + spots[i].x + before.cells[end].outlet, y1 - spots[i].down
    x2, y2 = x2 + spots[i + 1].x + after.cells[start].inlet, y2 - spots[i + 1].down
    right, left = min(max(x1, spots[i].x + before.width) + 2.0, width - 1.0), _EDGE - 2.5
    middle = spots[i + 1].down - _BETWEEN / 2
    points = ((x1, y1), (right, y1), (right, -middle), (left, -middle), (left, y2), (x2, y2))
    return Line(points, before.zones.weight(net))


def _letters(pieces: Sequence[_Piece]) -> dict[int, str]:
    """A letter for each net that needs a tag, in the order they are met: A to Z, then AA and on."""
    letters: dict[int, str] = {}
    for piece in pieces:
        for part, item in enumerate(piece.plan.items):
            if item.flag and part not in piece.plan.folded and item.net not in letters:
                letters[item.net] = _letter(len(letters))
    return letters


def _letter(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(65 + rest) + text
    return text


def _flag_text(entering: bool, sheets: Sequence[int], here: int) -> str:
    """Where the other ends of a tag's net are."""
    word = "from" if entering else "to"
    others = sorted({sheet + 1 for sheet in sheets})
    if others in ([], [here + 1]):
        return f"{word} this sheet"
    if len(others) == 1:
        return f"{word} sheet {others[0]}"
    runs: list[list[int]] = []
    for sheet in others:
        if runs and runs[-1][-1] == sheet - 1:
            runs[-1].append(sheet)
        else:
            runs.append([sheet])
    # Too many to name: then their number, for a range with holes would send people to the wrong sheet.
    if len(runs) > 2:
        return f"{word} {len(others)} sheets"
    named = ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)
    return f"{word} sheets {named}"
