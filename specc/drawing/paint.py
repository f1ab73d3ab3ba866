"""Draws a measured piece of a schematic: bands, connectors with their jumps, parts, zone borders and labels.

Nothing is placed here: all coordinates are the plan's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from specc.drawing.cells import RAIL, TAG_SIZE, Cell, bar_body, flag, shifted
from specc.drawing.channel import DASH_AT, HOP, Channel, Dash
from specc.drawing.shapes import Arc, Line, Polygon, Shape, Text
from specc.drawing.text import text_width
from specc.drawing.tile import BADGE, ZONE_SIZE, TilePlan
from specc.drawing.tones import MM_PER_POINT
from specc.drawing.zones import Points

_BORDER = 0.6  # weight of a zone's border


def paint(plan: TilePlan, flags: Mapping[int, tuple[str, str]]) -> list[Shape]:
    """All shapes, from the piece's upper left. `flags`: letter and text for each tag, by part."""
    lines = list(connectors(plan))
    over: list[Shape] = []
    for part, (item, cell) in enumerate(zip(plan.items, plan.cells, strict=True)):
        x, y = plan.x[plan.grid.column[part]], plan.part_y(part)
        zone = plan.zones.of_net[item.net] if item.flag else item.node.zone
        if part in plan.folded:
            # Only the line goes on, to the piece's edge.
            lines += plan.zones.wire(((x + cell.inlet, y), (x + cell.outlet, y)), zone)
            continue
        if item.flag:
            (x1, x2), shapes = flag(*flags[part], item.flag == "in")
            lines += plan.zones.wire(((x + x1, y), (x + x2, y)), zone)
            over += [shifted(s, x, y) for s in shapes]
        for x1, x2 in cell.wires:
            lines += plan.zones.wire(((x + x1, y), (x + x2, y)), zone)
        over += _part_shapes(plan, part, cell, x, y)
    # Bands lie under all lines, lines under all parts.
    lines.sort(key=lambda shape: not isinstance(shape, Polygon))
    return [shifted(shape, 0.0, -plan.top) for shape in (*_zone_shapes(plan), *_frames(plan), *lines, *over)]


def _frames(plan: TilePlan) -> list[Shape]:
    """A dashed frame round each branch that is drawn once, and how many there are of it."""
    boxes: dict[int, tuple[float, float, float, float, str]] = {}
    for part, (item, cell) in enumerate(zip(plan.items, plan.cells, strict=True)):
        number = item.node.group
        if item.flag or not number:
            continue
        x, y = plan.x[plan.grid.column[part]], plan.part_y(part)
        left, low, right, high, _ = boxes.get(number, (x, y, x, y, ""))
        boxes[number] = (
            min(left, x - cell.left), min(low, y - cell.down), max(right, x + cell.right), max(high, y + cell.up),
            f"x {item.node.times}{' along the line' if item.node.along else ''}",
        )  # fmt: skip
    shapes: list[Shape] = []
    for left, low, right, high, said in boxes.values():
        corners = ((left, low), (right, low), (right, high), (left, high))
        wide = text_width(said, TAG_SIZE, True) + 3.0
        badge = ((right - wide, high - BADGE), (right, high - BADGE), (right, high), (right - wide, high))
        shapes.append(Polygon(corners, 0.6, "gray", None, True))
        shapes.append(Polygon(badge, 0.6, "ink", "ink"))
        shapes.append(Text(right - wide / 2, high - BADGE + 1.2, said, TAG_SIZE, "middle", "white", True))
    return shapes


def _part_shapes(plan: TilePlan, part: int, cell: Cell, x: float, y: float) -> list[Shape]:
    if part in plan.bars.of:
        high, low = plan.bar_y(part)
        body = bar_body(plan.items[part].node, high - y, low - y, max(plan.bars.of[part].others) > 1)
        upright = [*(shifted(s, x, y) for s in (*body, *cell.shapes)), *(shifted(s, x, low) for s in cell.foot)]
        return [*(shifted(s, x, high) for s in cell.head), *upright]
    if not cell.dot:
        return [shifted(s, x, y) for s in cell.shapes]
    # A junction's mark goes where its lines part or meet, and its label up to it.
    column = plan.grid.column[part]
    before, after = plan.channels[column - 1], plan.channels[column]
    meeting, parting = plan.own_wires(part)
    shapes: list[Shape] = []
    label = x
    if meeting is not None:
        label = before.end + cell.left
        shapes += [shifted(s, before.track_x(meeting), y) for s in cell.dot]
    if parting is not None:
        label = after.start - cell.right
        shapes += [shifted(s, after.track_x(parting), y) for s in cell.dot]
    return [shifted(s, label, y) for s in cell.shapes] + shapes


# --- connectors --------------------------------------------------------------------------------------------


def connectors(plan: TilePlan) -> list[Shape]:
    """The lines between the cells, with their bands."""
    shapes: list[Shape] = []
    for column, lane, net in plan.dummies:
        ends = plan.channels[column - 1].end, plan.channels[column].start
        shapes += _hopping(plan, *ends, plan.lane_y(column, lane), (), net)
    for column, channel in plan.channels.items():
        for lane, net in channel.passing.items():
            over = channel.crossed(None, lane, channel.start, channel.end)
            shapes += _hopping(plan, channel.start, channel.end, plan.lane_y(column, lane), over, net)
        for wire in channel.net:
            shapes += _wire_shapes(plan, column, channel, wire)
    for part in plan.bars.of:
        x, y, zone = plan.x[plan.grid.column[part]], plan.part_y(part), plan.items[part].node.zone
        for end in plan.bar_y(part):
            if end != y:
                shapes += plan.zones.wire(((x, y), (x, end)), zone)
    for k, (u, v) in enumerate(plan.grid.back):
        shapes += _loop(plan, k, u, v)
    return shapes


def _wire_shapes(plan: TilePlan, column: int, channel: Channel, wire: int) -> list[Shape]:
    """A wire's upright, if it has one, and the level lines that lead to it."""

    def run(lane: int, x1: float, x2: float) -> list[Shape]:
        over = channel.crossed(wire, lane, x1, x2)
        return _hopping(plan, x1, x2, plan.lane_y(column, lane), over, channel.net[wire])

    lanes = channel.lanes(wire)
    if wire not in channel.track:
        (lane,) = lanes
        return run(lane, _edge(plan, column, lane, True), _edge(plan, column + 1, lane, False))
    x = channel.track_x(wire)
    upright = ((x, plan.lane_y(column, min(lanes))), (x, plan.lane_y(column, max(lanes))))
    shapes = plan.zones.wire(upright, plan.zones.of_net[channel.net[wire]])
    if channel.ends(wire) > 2:
        shapes += _rail(plan, column, channel, wire)
    for lane in sorted(channel.left[wire]):
        shapes += run(lane, _edge(plan, column, lane, True), x)
    for lane in sorted(channel.right[wire]):
        shapes += run(lane, x, _edge(plan, column + 1, lane, False))
    return shapes


def _rail(plan: TilePlan, column: int, channel: Channel, wire: int) -> list[Shape]:
    """The heavy upright of a part at which several lines end, joined to the part: the lines do not meet before it.
    A tee or a cross has its dot instead where that marks every place at which a line ends."""
    x = channel.track_x(wire)
    left, right = channel.left[wire], channel.right[wire]
    lanes = sorted(channel.lanes(wire))
    meets = {lane for lane in lanes if lanes[0] < lane < lanes[-1] or (lane in left and lane in right)}
    owner = plan.owner(column, wire)
    dotted = owner is not None and plan.dotted(owner)
    if owner is not None and dotted and meets <= {plan.grid.lane[owner]}:
        return []
    # A line that closes a loop comes down from over the top; only the uppermost of them turns there.
    top = lanes[1] if lanes[0] < 0 else lanes[0]
    ends = ((x, plan.lane_y(column, top)), (x, plan.lane_y(column, lanes[-1])))
    shapes: list[Shape] = [Line(ends, RAIL)]
    if owner is not None and not dotted:
        y, cell = plan.part_y(owner), plan.cells[owner]
        port = plan.x[plan.grid.column[owner]] + (cell.outlet if plan.grid.column[owner] == column else cell.inlet)
        start, end = min(port, x), max(port, x)
        for hop in channel.crossed(wire, plan.grid.lane[owner], start, end):
            shapes.append(Line(((start, y), (hop - HOP, y)), RAIL))
            start = hop + HOP
        shapes.append(Line(((start, y), (end, y)), RAIL))
    return shapes


def _edge(plan: TilePlan, column: int, lane: int, outlet: bool) -> float:
    """Where a connector meets what stands in a column's lane: a port, or a connector passing over it."""
    part = plan.starts.get((column, lane)) if outlet else plan.ends.get((column - 1, lane))
    if part is None:
        return plan.channels[column].start if outlet else plan.channels[column - 1].end
    cell = plan.cells[part]
    return plan.x[column] + (cell.outlet if outlet else cell.inlet)


def _hopping(plan: TilePlan, x1: float, x2: float, y: float, over: Sequence[float], net: int) -> list[Shape]:
    zone = plan.zones.of_net[net]
    shapes: list[Shape] = []
    for x in over:
        shapes += plan.zones.wire(((x1, y), (x - HOP, y)), zone)
        shapes.append(Arc(x, y, HOP, 180.0, -180.0, plan.zones.weight(zone)))
        x1 = x + HOP
    return [*shapes, *plan.zones.wire(((x1, y), (x2, y)), zone)]


def _loop(plan: TilePlan, k: int, u: int, v: int) -> list[Shape]:
    """The level line over the top of a link that closes a loop, from part u back to part v."""
    grid = plan.grid
    out, into = grid.column[u], grid.column[v] - 1
    # The loop comes back to a column no later than its own, so these are two channels.
    wires = {
        out: plan.channels[out].wire_at("left", grid.lane[u]),
        into: plan.channels[into].wire_at("right", grid.lane[v]),
    }
    ends = [plan.channels[c].track_x(wire) for c, wire in wires.items()]
    low, high = min(ends), max(ends)
    over: set[float] = set()
    for c in range(min(into, out), max(into, out) + 1):
        over |= set(plan.channels[c].crossed(wires.get(c), -1 - k, low, high))
    return _hopping(plan, low, high, plan.lane_y(0, -1 - k), sorted(over), plan.net_of[u, v])


def fold(points: Points, plan: TilePlan, net: int) -> list[Shape]:
    """The connector from one piece to the one below it."""
    return plan.zones.wire(points, plan.zones.of_net[net])


# --- zones -------------------------------------------------------------------------------------------------


def _zone_shapes(plan: TilePlan) -> list[Shape]:
    shapes: list[Shape] = []
    foot = plan.loops_top + 1.5
    step = ZONE_SIZE * MM_PER_POINT * 1.15
    for banner in plan.banners:
        top = foot + banner.row * plan.row_height + step * len(banner.lines)
        for i, (text, tone) in enumerate(banner.lines):
            shapes.append(Text(banner.x, top - step * (i + 0.75), text, ZONE_SIZE, "start", tone))
    for column, channel in plan.channels.items():
        if channel.dash:
            shapes.append(_dash(plan, column, channel, channel.dash))
        ticks = [(channel.start + 1.0, plan.lane_y(column, lane)) for lane in channel.ticks_left]
        ticks += [(channel.end - 1.0, plan.lane_y(column + 1, lane)) for lane in channel.ticks_right]
        for x, y in ticks:
            shapes.append(Line(((x, y + 2.2), (x, y - 2.2)), _BORDER, "gray", True))
    return shapes


def _dash(plan: TilePlan, column: int, channel: Channel, dash: Dash) -> Shape:
    x = channel.start + DASH_AT
    top = plan.lane_y(column, dash.first) + 3.0
    if dash.open_top:
        clear = not any(b.x - 0.6 < x < b.x + b.width + 0.6 for b in plan.banners)
        top = plan.top if clear else plan.loops_top + 0.5
    bottom = plan.body_bottom if dash.open_bottom else plan.lane_y(column, dash.last) - 3.0
    return Line(((x, top), (x, bottom)), _BORDER, "gray", True)
