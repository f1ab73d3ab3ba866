"""The schematic of a network, laid out without help: gas from the cylinders at the left to the outlets.

A network that does not fit is first set tighter, then cut: across the flow into rows, and along it into
sheets. A single line cut within a sheet goes on round the edge; every other cut line ends in a tag that names
the sheet and carries a letter, the same letter at all ends of one net. Each line of a manifold, a tee or a cross is
a net by itself; only where they are too many for a letter each is the manifold drawn again where they go on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

from specc.drawing.cells import FLAG_HALF, RAIL, Node, shifted
from specc.drawing.jumps import Holds, flag_text, holds, letters
from specc.drawing.network import CellNetwork, network_of
from specc.drawing.paint import fold, paint
from specc.drawing.shapes import Drawing, Line, Shape, Sheet
from specc.drawing.tile import CellItem, Pitch, TileLink, TilePlan
from specc.drawing.zones import ZoneLabel

PITCHES = (
    Pitch(30.0, 4.0, 3.0),
    Pitch(22.0, 3.2, 2.4),
    Pitch(16.0, 2.6, 1.8),
    Pitch(14.0, 2.4, 1.4),
    Pitch(15.0, 1.8, 1.4, below=True),
)
_CUT_PITCH = PITCHES[1]._replace(air=1.8)
_SIDE_BY_SIDE = _CUT_PITCH._replace(most=4.0)  # of pieces that share a row
_SPARE, _TAGS = 3.0, 14.0  # of a sheet's height, kept for tags when a network is cut into floors
_MOST_TAGS, _TAG_ROOM, _HEAD = 9, 9.4, 20.0  # lines of one hub with tags of their own, the height of each, and more
_TRIES = 5  # at cutting into floors
_RAILS = "A heavy upright is part of what stands beside it."
_EDGE = 5.0  # left and right of the drawing, where folded lines run
_RIM = 1.5  # above and below
_BETWEEN = 9.0  # between pieces on a sheet

__all__ = ["LaidOut", "Node", "ZoneLabel", "laid_out"]


class _Piece(NamedTuple):
    plan: TilePlan
    nets_in: frozenset[int]
    nets_out: frozenset[int]


_Part: TypeAlias = tuple[list[int], _Piece]  # with the numbers of its items


class _Spot(NamedTuple):
    """Where a piece goes: its sheet, the distance from the left, and from the top to its top."""

    sheet: int
    x: float
    down: float
    alone: bool


class LaidOut(NamedTuple):
    drawing: Drawing
    holds: tuple[Holds, ...]  # what stands on each sheet


def laid_out(
    nodes: Sequence[Node],
    links: Sequence[tuple[str, str]],
    zones: Mapping[str, str | ZoneLabel],
    *,
    open_zone: str = "",
    key: str = "plumbing.schematic",
    title: str = "Gas from cylinders to outlets",
    width: float = 180.0,
    height: float = 110.0,
    whole: bool = False,
    before: int = 0,
) -> LaidOut:
    """Lay out a network. `links` are pairs of tags in the way the gas goes; `zones` gives by id what is written
    where each zone begins, a Zone or a plain name; `open_zone` is the id of what is open to the air. Sheets are
    `width` mm wide and at most `height` mm high, or larger where one part with its labels needs it; there is none for
    no nodes. With `whole` a network is not cut: one that does not fit gives no sheet. Tags count
    `before` sheets that will stand before these.

    A regulator belongs to the zone at its inlet: the border of a zone stands behind the last part of the one
    before. A gauge on a regulator stands on the side whose zone it has.
    Raises ValueError for a tag that appears twice, a link to an unknown tag, or a sheet under 100 x 60 mm.
    """
    if width < 100.0 or height < 60.0:
        raise ValueError(f"a sheet of {width:g} x {height:g} mm is too small (least 100 x 60)")
    labels = {id_: zone if isinstance(zone, ZoneLabel) else ZoneLabel(zone) for id_, zone in zones.items()}
    network = network_of(nodes, links, labels, open_zone)
    pieces = _whole(network, width, height)
    sheets, held = _sheets(pieces, width, height, before)
    if network.items and not pieces and not whole:
        # Each line of a hub has its own tag where it is cut; where there is no room for so many they share one.
        for own in (min(_MOST_TAGS, int((height - _HEAD) / _TAG_ROOM)), 0):
            network = network_of(nodes, links, labels, open_zone, mixed=True, own=own)
            pieces = _whole(network, width, height) or _pieces(network, width - 2 * _EDGE, height - 2 * _RIM)
            tried = _sheets(pieces, width, height, before)
            if not sheets or _highest(tried[0]) < _highest(sheets):
                sheets, held = tried
            if _highest(sheets) <= height + 1e-6:
                break
    note = _note(nodes, labels, open_zone)
    if any(isinstance(s, Line) and s.weight == RAIL for sheet in sheets for s in sheet.shapes):
        note = f"{note} {_RAILS}".strip()
    return LaidOut(Drawing(key, title, "schematic", sheets, note), held)


def _highest(sheets: Sequence[Sheet]) -> float:
    return max(sheet.height for sheet in sheets)


def _note(nodes: Sequence[Node], labels: Mapping[str, ZoneLabel], open_zone: str) -> str:
    """How to read it, for the caption."""
    if not labels:
        return ""
    said = "Lines and the gray behind them grow lighter with each zone"
    if open_zone and any(node.zone == open_zone for node in nodes):
        said += "; thin and bare: open to the air"
    if any(node.charged for node in nodes):
        said += "; hatched: stays charged after a stop, until it is let down"
    return said + ". Dashes part zones. A line that jumps another does not join it."


# --- cutting into pieces -----------------------------------------------------------------------------------


def _whole(network: CellNetwork, width: float, height: float) -> list[_Piece]:
    """The network in one piece, at the widest pitch at which it fits a sheet; none if it does not."""
    if not network.items:
        return []
    piece = _piece(network, range(len(network.items)))
    # No line runs round the edge of what is not cut.
    full, high = width - 2 * _RIM, height - 2 * _RIM
    # The tightest first: what does not fit then never does.
    for pitch in (PITCHES[-1], *PITCHES):
        plan = piece.plan.measure(pitch, full)
        if plan.width <= full + 1e-6 and plan.height <= high:
            if pitch != PITCHES[-1]:
                return [piece]
        elif pitch == PITCHES[-1]:
            return []
    return [piece]


def _pieces(network: CellNetwork, wide: float, high: float) -> list[_Piece]:
    """The pieces in the order they are read; each fits."""
    whole = _piece(network, range(len(network.items)))
    fed = {link.end for link in network.links}
    done: list[_Piece] = []
    todo = [(list(range(len(network.items))), whole)]
    while todo:
        members, piece = todo.pop()
        plan = piece.plan.measure(_CUT_PITCH, wide)
        too_wide, too_high = plan.width > wide + 1e-6, plan.height > high
        parts: list[_Part] = []
        if too_wide:
            parts = _made(network, members, _bands(plan, len(members), wide))
        if len(parts) < 2 and (too_high or too_wide):
            parts = _by_floors(network, members, plan, wide, high)
            # What is fed from no other sheet comes first, and a sheet with cylinders before those that have none.
            parts.sort(key=lambda part: (bool(part[1].nets_in), fed.issuperset(part[0])))
        if len(parts) < 2:
            done.append(piece)
        else:
            todo += reversed(parts)
    return done


def _made(network: CellNetwork, members: Sequence[int], groups: Sequence[int]) -> list[_Part]:
    parts = _cut(members, groups)
    return [(part, _piece(network, part)) for part in parts] if len(parts) > 1 else []


def _by_floors(network: CellNetwork, members: Sequence[int], plan: TilePlan, wide: float, high: float) -> list[_Part]:
    """Cut by lanes. Room for the tags that the cut makes is kept only on those floors that turn out to need it."""
    parts: list[_Part] = []
    tight: frozenset[int] = frozenset()
    for _ in range(_TRIES):
        parts = _made(network, members, _floors(plan, len(members), high, tight))
        heights = [piece.plan.measure(_CUT_PITCH, wide).height for _, piece in parts]
        too_high = frozenset(floor for floor, height in enumerate(heights) if height > high)
        if too_high <= tight:
            break
        tight |= too_high
    return parts


def _piece(network: CellNetwork, members: Sequence[int]) -> _Piece:
    """Some parts of the network with a tag for each net that goes on elsewhere."""
    inside = {part: i for i, part in enumerate(members)}
    items = [network.items[part] for part in members]
    links: list[TileLink] = []
    leaving: dict[int, dict[int, None]] = {}
    entering: dict[int, dict[int, None]] = {}
    for u, v, net in network.links:
        if u in inside and v in inside:
            links.append(TileLink(inside[u], inside[v], net))
        elif u in inside:
            leaving.setdefault(net, {})[inside[u]] = None
        elif v in inside:
            entering.setdefault(net, {})[inside[v]] = None
    for net, starts in leaving.items():
        first = list(starts)
        if len(first) > 1 and network.hubs.get(net, members[first[0]]) not in inside:
            links += [TileLink(start, len(items), net) for start in first]
            first = [len(items)]
            items.append(_more_of(network, net))
        links += [TileLink(start, len(items), net) for start in first]
        items.append(_tag_item(network, net, "out"))
    for net, ends in entering.items():
        last = list(ends)
        tag = len(items)
        items.append(_tag_item(network, net, "in"))
        if len(last) > 1 and network.hubs.get(net, members[last[0]]) not in inside:
            links += [TileLink(len(items), end, net) for end in last]
            last = [len(items)]
            items.append(_more_of(network, net))
        links += [TileLink(tag, end, net) for end in last]
    return _Piece(TilePlan(items, links, network.zones), frozenset(entering), frozenset(leaving))


def _more_of(network: CellNetwork, net: int) -> CellItem:
    """A hub again, on a sheet with some of the lines that end at it: they do not meet in a fitting of their own."""
    hub = network.items[network.hubs[net]].node
    return CellItem(Node("", hub.symbol, (f"more of {hub.tag}",), hub.zone))


def _tag_item(network: CellNetwork, net: int, way: str) -> CellItem:
    return CellItem(Node("", "tee", (), network.zones.of_net[net]), None, way, net)


def _cut(members: Sequence[int], groups: Sequence[int]) -> list[list[int]]:
    """Members by group number, in the order of the groups."""
    parts: dict[int, list[int]] = {}
    for part, group in zip(members, groups, strict=True):
        parts.setdefault(group, []).append(part)
    return [parts[group] for group in sorted(parts)]


def _bands(plan: TilePlan, count: int, wide: float) -> list[int]:
    """Group numbers for parts 0 to `count` - 1 by column: bands of about even width, cut at few lines. A line to an
    outlet that would be cut goes whole into the band where it ends, if it fits."""
    one_tag = 2 * FLAG_HALF + 4.0
    # The first and the last band have tags at one end only; what stands at the other is measured with the rest.
    outer, inner = wide - one_tag, wide - 2 * one_tag
    edges = [plan.channels[c].end for c in range(plan.grid.columns)]
    running = [len(plan.channels[c].left) + len(plan.channels[c].passing) for c in range(plan.grid.columns)]
    least = bands = 2 + max(0, -int(-(edges[-1] - 2 * outer) // inner))
    groups = _band_of(edges, running, outer, inner, edges[-1] / bands)
    # Columns are not cut, so more may be needed; then the width is spread over as many.
    while groups[-1] + 1 > bands and bands < least + 3:
        bands += 1
        groups = _band_of(edges, running, outer, inner, edges[-1] / bands)
    cut = [groups[plan.grid.column[part]] for part in range(count)]
    whole = list(cut)
    for run in _runs(plan, count):
        first, last = plan.grid.column[run[-1]], plan.grid.column[run[0]]
        if edges[last] - (edges[first - 1] if first else 0.0) <= outer:
            for part in run:
                whole[part] = cut[run[0]]
    return whole if len(set(whole)) > 1 else cut


def _runs(plan: TilePlan, count: int) -> list[list[int]]:
    """The lines to outlets, of parts 0 to `count` - 1 from the outlet back to where the line leaves another."""
    before: dict[int, list[int]] = {}
    after: dict[int, int] = {}
    for u, v in plan.net_of:
        before.setdefault(v, []).append(u)
        after[u] = after.get(u, 0) + 1
    runs = []
    for end in range(count):
        if end in after:
            continue
        run = [end]
        while len(before.get(run[-1], ())) == 1:
            (feeds,) = before[run[-1]]
            if after[feeds] > 1:
                runs.append(run)
            if after[feeds] > 1 or feeds >= count:
                break
            run.append(feeds)
    return runs


def _band_of(edges: Sequence[float], running: Sequence[int], outer: float, inner: float, aim: float) -> list[int]:
    """A band for each column, by the columns' right edges: about `aim` mm wide, at most `outer` for the first and the
    last and `inner` for the others, cut where few lines are running."""
    columns = len(edges)
    group, start, groups = 0, 0, [0] * columns
    while start < columns:
        origin = edges[start - 1] if start else 0.0
        room = inner if start and edges[-1] - origin > outer else outer
        fits = [c for c in range(start, columns) if edges[c] - origin <= room] or [start]
        end = fits[-1]
        if end < columns - 1:
            near = [c for c in fits if edges[c] - origin >= 0.6 * aim] or [end]
            end = min(near, key=lambda c: (running[c], abs(edges[c] - origin - aim)))
        for c in range(start, end + 1):
            groups[c] = group
        start, group = end + 1, group + 1
    return groups


def _floors(plan: TilePlan, count: int, high: float, tight: frozenset[int]) -> list[int]:
    """Group numbers by lane: as many lanes as fit into `high`, less room for tags in `tight` groups."""
    lanes = plan.grid.lanes
    tops, feet = [-1e9] * lanes, [0.0] * lanes
    for part in range(len(plan.items)):
        lane, cell = plan.grid.lane[part], plan.cells[part]
        y = plan.port(part)[1]
        tops[lane] = max(tops[lane], y + cell.up)
        feet[lane] = min(feet[lane], y - cell.down)
    used = sorted({plan.grid.lane[part] for part in range(count)})
    room = high - plan.band_height
    spare = [_TAGS if group in tight else _SPARE for group in range(lanes + 1)]
    groups = [0] * lanes
    group, top = 0, tops[used[0]]
    for i, lane in enumerate(used):
        if i and (top - feet[lane] > room - spare[group] or (i == len(used) - 1 and group == 0)):
            group, top = group + 1, tops[lane]
        groups[lane] = group
    if len(used) == 1:
        # One lane and still too large: its parts one by one, as the last resort.
        return list(range(count))
    return [groups[plan.grid.lane[part]] for part in range(count)]


# --- sheets ------------------------------------------------------------------------------------------------


def _sheets(
    pieces: Sequence[_Piece], width: float, height: float, before: int
) -> tuple[tuple[Sheet, ...], tuple[Holds, ...]]:
    _narrow(pieces, width - 2 * _EDGE)
    widest = max((piece.plan.width for piece in pieces), default=0.0)
    if widest > width - 2 * _RIM + 1e-6:
        # One part with its labels needs more: a larger sheet is better than a lost word.
        width = widest + 2 * _EDGE
    spots = _spots(pieces, width, height)
    _widen(pieces, spots, width - 2 * _EDGE)
    homes: dict[tuple[int, bool], list[int]] = {}
    for piece, spot in zip(pieces, spots, strict=True):
        for net in piece.nets_in:
            homes.setdefault((net, True), []).append(spot.sheet)
        for net in piece.nets_out:
            homes.setdefault((net, False), []).append(spot.sheet)
    folds = _folds(pieces, spots, homes)
    _close_up(pieces, folds, width - 2 * _EDGE)
    letter = letters(piece.plan for piece in pieces)
    count = 1 + max((s.sheet for s in spots), default=-1)
    on: list[list[tuple[TilePlan, dict[int, tuple[str, str]]]]] = [[] for _ in range(count)]
    shapes: list[list[Shape]] = [[] for _ in range(count)]
    depth = [0.0] * len(shapes)
    for piece, spot in zip(pieces, spots, strict=True):
        flags: dict[int, tuple[str, str]] = {}
        for part, item in enumerate(piece.plan.items):
            if item.flag and part not in piece.plan.folded:
                ends = homes.get((item.net, item.flag == "out"), [])
                flags[part] = letter[item.net], flag_text(item.flag == "in", ends, spot.sheet, before)
        shapes[spot.sheet] += [shifted(s, spot.x, -spot.down) for s in paint(piece.plan, flags)]
        on[spot.sheet].append((piece.plan, flags))
        depth[spot.sheet] = max(depth[spot.sheet], spot.down + piece.plan.height)
    for i, net in folds.items():
        # Under what is there, since its band reaches over the ends of other lines.
        shapes[spots[i].sheet] = [*_fold(pieces, spots, i, net, width), *shapes[spots[i].sheet]]
    made = tuple(
        Sheet(width, deep + _RIM, tuple(shifted(s, 0.0, deep + _RIM) for s in drawn))
        for drawn, deep in zip(shapes, depth, strict=True)
    )
    return made, tuple(holds(some) for some in on)


def _narrow(pieces: Sequence[_Piece], wide: float) -> None:
    """Set pieces that fit side by side at less than half the width, so that they share a row."""
    if len(pieces) < 2:
        return
    half = (wide - _BETWEEN) / 2
    for piece in pieces:
        high = piece.plan.height
        if piece.plan.natural <= half and piece.plan.measure(_SIDE_BY_SIDE, half).height > high:
            piece.plan.measure(_CUT_PITCH, wide)


def _widen(pieces: Sequence[_Piece], spots: Sequence[_Spot], wide: float) -> None:
    """Give the full width back to pieces that came to stand alone."""
    for piece, spot in zip(pieces, spots, strict=True):
        high = piece.plan.height
        if len(pieces) > 1 and spot.alone and piece.plan.measure(_CUT_PITCH, wide).height > high:
            piece.plan.measure(_SIDE_BY_SIDE, wide)


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
    """Pieces in rows from the top, side by side where they are narrow, and on to the next sheet; or into the room
    that an earlier sheet has left, rather than onto one sheet more."""
    spots: list[_Spot] = []
    feet: list[float] = []  # of the sheets before this one
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
                room = height - _RIM - _BETWEEN - plan.height
                free = next((s for s, foot in enumerate(feet) if foot <= room), None)
                if free is not None:
                    spots.append(_Spot(free, x, feet[free] + _BETWEEN, True))
                    feet[free] += _BETWEEN + plan.height
                    row_end = width  # nothing stands beside it
                    continue
                feet.append(row_foot)
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


def _fold(pieces: Sequence[_Piece], spots: Sequence[_Spot], i: int, net: int, width: float) -> list[Shape]:
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
    return fold(points, before, net)
