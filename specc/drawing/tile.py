"""One piece of a schematic that fits on a sheet: from its grid to millimetres, connectors and zone marks.

Connectors run along the middle of lanes, and up and down only in the channels between columns, where no part
or label stands. Parts joined at one point see one pressure and share one upright. Coordinates here start at
the upper left of the piece, x to the right, y up (so most y are negative).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from typing import NamedTuple

from specc.drawing.cells import Cell, Node, flag, flag_cell, make_cell, shifted
from specc.drawing.order import Grid, arrange
from specc.drawing.shapes import Arc, Line, Shape, Text
from specc.drawing.text import text_width, wrap
from specc.drawing.tones import MM_PER_POINT

TRACK = 2.6  # between uprights
HOP = 0.9  # radius of the jump where lines cross without meeting
DASH_ROOM = 3.0
NEARLY_LEVEL = 4.0
ZONE_SIZE = 7.0
# Heaviest nearest the cylinder; zones beyond the last share its weight.
WEIGHTS = (1.7, 1.25, 0.9, 0.7)


class Pitch(NamedTuple):
    """How far apart: where labels break, the least width of a channel, air between lanes."""

    wide: float
    gap: float
    air: float
    most: float = 20.0  # the most that stretching adds to a channel


class Item(NamedTuple):
    """What stands in a cell: a part (with a gauge or relief on it), or an off-sheet tag for a net."""

    node: Node
    standing: Node | None = None
    flag: str = ""  # "", "in" or "out"
    net: int = -1


class Joined(NamedTuple):
    """A link within the piece, and its net: all ports joined at one point have the same."""

    start: int
    end: int
    net: int


class Zones(NamedTuple):
    names: Mapping[str, str]
    rank: Mapping[str, int]  # 0 is nearest the cylinder
    of_net: Sequence[str]

    def label(self, zone: str) -> str:
        return self.names.get(zone, zone)

    def weight(self, net: int) -> float:
        return WEIGHTS[min(self.rank.get(self.of_net[net], 0), len(WEIGHTS) - 1)]


@dataclass
class _Channel:
    """The space to the right of a column: which lanes each net touches on either side, and its uprights."""

    left: dict[int, set[int]] = field(default_factory=dict)
    right: dict[int, set[int]] = field(default_factory=dict)
    tops: dict[int, set[int]] = field(default_factory=dict)
    passing: dict[int, int] = field(default_factory=dict)  # lane: net
    track: dict[int, int] = field(default_factory=dict)
    tracks: int = 0
    dash: _Dash | None = None
    ticks_left: list[int] = field(default_factory=list)
    ticks_right: list[int] = field(default_factory=list)
    start: float = 0.0
    before: float = 0.0
    end: float = 0.0

    def lanes(self, net: int) -> set[int]:
        return self.left.get(net, set()) | self.right.get(net, set()) | self.tops.get(net, set())

    def track_x(self, net: int) -> float:
        return self.start + self.before + self.track[net] * TRACK


class _Dash(NamedTuple):
    """A zone's boundary: a dashed upright past lanes `first` to `last`, open at the top and bottom or not."""

    zone: str
    first: int
    last: int
    open_top: bool
    open_bottom: bool


class Plan:
    """A piece, measured. `width` and `height` are in mm; `place` and `lane_y` give where parts come."""

    def __init__(
        self, items: Sequence[Item], links: Sequence[Joined], zones: Zones, grid: Grid | None = None
    ) -> None:
        ends = frozenset(i for i, item in enumerate(items) if item.flag == "out")
        self.items = items
        self.zones = zones
        self.grid = grid or arrange(len(items), [(j.start, j.end) for j in links], ends)
        self.net_of = {(j.start, j.end): j.net for j in links}
        self.leads_on = {j.start for j in links}
        self.zone_lines: dict[int, str] = {}
        self.dummies: list[tuple[int, int, int]] = []  # column, lane, net
        self._fill_channels()
        self._mark_zones()

    # --- structure: which nets pass where -------------------------------------------------------------

    def _fill_channels(self) -> None:
        grid = self.grid
        self.channels = {c: _Channel() for c in range(-1, grid.columns)}
        self.part_at: dict[tuple[int, int], int] = {}
        for part in range(len(self.items)):
            self.part_at[grid.column[part], grid.lane[part]] = part
        for link in grid.forward:
            (u, v), net = link, self.net_of[link]
            first, last = grid.column[u], grid.column[v] - 1
            if first == last:
                self._pin(first, net, grid.lane[u], grid.lane[v])
                continue
            through = grid.through[link]
            self._pin(first, net, grid.lane[u], through)
            self._pin(last, net, through, grid.lane[v])
            self.dummies += [(c, through, net) for c in range(first + 1, last + 1)]
            for c in range(first + 1, last):
                self.channels[c].passing[through] = net
        for k, link in enumerate(grid.back):
            (u, v), net = link, self.net_of[link]
            out, into = self.channels[grid.column[u]], self.channels[grid.column[v] - 1]
            out.left.setdefault(net, set()).add(grid.lane[u])
            into.right.setdefault(net, set()).add(grid.lane[v])
            for channel in (out, into):
                channel.tops.setdefault(net, set()).add(-1 - k)
        for channel in self.channels.values():
            self._give_tracks(channel)

    def _pin(self, column: int, net: int, lane_left: int, lane_right: int) -> None:
        channel = self.channels[column]
        channel.left.setdefault(net, set()).add(lane_left)
        channel.right.setdefault(net, set()).add(lane_right)

    @staticmethod
    def _give_tracks(channel: _Channel) -> None:
        """Uprights that do not reach the same lanes share a track, the uppermost first."""
        spans = []
        for net in {**channel.left, **channel.right}:
            lanes = channel.lanes(net)
            if len(lanes) > 1:
                spans.append((min(lanes), max(lanes), net))
        reach: list[int] = []
        for low, high, net in sorted(spans):
            track = next((t for t, used in enumerate(reach) if used < low), len(reach))
            reach[track : track + 1] = [high]
            channel.track[net] = track
        channel.tracks = len(reach)

    # --- zones ----------------------------------------------------------------------------------------

    def _mark_zones(self) -> None:
        zones, grid = self.zones, self.grid
        roots = [part for part in range(len(self.items)) if grid.column[part] == 0]
        at_start = {self.items[part].node.zone for part in roots}
        self.first_zone = at_start.pop() if len(at_start) == 1 else ""
        if at_start:
            self.zone_lines = {p: zones.label(self.items[p].node.zone) for p in roots}
        for column, channel in self.channels.items():
            changed: dict[int, int] = {}  # lane: net
            for net, lanes in channel.left.items():
                for lane in lanes:
                    part = self.part_at.get((column, lane))
                    if part is not None and self._differs(part, net):
                        changed[lane] = net
            self._mark_changes(column, channel, changed)
            for net, lanes in channel.right.items():
                for lane in sorted(lanes):
                    part = self.part_at.get((column + 1, lane))
                    if part is not None and self._differs(part, net):
                        channel.ticks_right.append(lane)
                        self.zone_lines[part] = zones.label(self.items[part].node.zone)

    def _differs(self, part: int, net: int) -> bool:
        mine, theirs = self.items[part].node.zone, self.zones.of_net[net]
        return bool(mine and theirs and mine != theirs)

    def _mark_changes(self, column: int, channel: _Channel, changed: dict[int, int]) -> None:
        """A dashed upright where all lines beside one another change to one zone, else a tick on each."""
        if not changed:
            return
        others = {lane for lanes in channel.left.values() for lane in lanes} | set(channel.passing)
        others -= set(changed)
        first, last = min(changed), max(changed)
        new = {self.zones.of_net[net] for net in changed.values()}
        if len(new) == 1 and not any(first < lane < last for lane in others):
            for lane in {r for net in changed.values() for r in channel.right.get(net, ())}:
                if lane > last and not any(last < o <= lane for o in others):
                    last = lane
                if lane < first and not any(lane <= o < first for o in others):
                    first = lane
            open_top = not any(lane < first for lane in others)
            open_bottom = not any(lane > last for lane in others)
            channel.dash = _Dash(new.pop(), first, last, open_top, open_bottom)
            if open_top:
                return
        else:
            channel.ticks_left = sorted(changed)
        for net in sorted(set(changed.values())):
            follower = self._first_after(column, channel, net)
            if follower is not None:
                self.zone_lines[follower] = self.zones.label(self.zones.of_net[net])

    def _first_after(self, column: int, channel: _Channel, net: int) -> int | None:
        parts = [self.part_at.get((column + 1, lane)) for lane in sorted(channel.right.get(net, ()))]
        return next((p for p in parts if p is not None and not self.items[p].flag), None)

    # --- measures -------------------------------------------------------------------------------------

    def measure(self, pitch: Pitch, most_wide: float, folded: frozenset[int] = frozenset()) -> Plan:
        """Set every coordinate for a pitch; a piece narrower than `most_wide` is stretched towards it.
        A part in `folded` is a tag that a connector replaces."""
        self.folded = folded
        self.cells = [self._cell(part, pitch) for part in range(len(self.items))]
        columns = self.grid.columns
        left = [0.0] * columns
        right = [0.0] * columns
        for part, cell in enumerate(self.cells):
            c = self.grid.column[part]
            left[c], right[c] = max(left[c], cell.left), max(right[c], cell.right)
        natural = sum(left) + sum(right) + sum(self._channel_width(c, pitch) for c in self.channels)
        self.natural = natural
        inner = max(1, columns - 1)
        extra = min(max(0.0, most_wide - natural) / inner, pitch.most)
        x = 0.0
        self.x: list[float] = []
        for c, channel in self.channels.items():
            if c >= 0:
                self.x.append(x + left[c])
                x += left[c] + right[c]
            more = extra if 0 <= c < columns - 1 else 0.0
            wide = self._channel_width(c, pitch) + more
            channel.start, channel.end = x, x + wide
            uprights = max(0, channel.tracks - 1) * TRACK
            room = DASH_ROOM if channel.dash else 0.0
            channel.before = room + (wide - room - uprights) / 2
            x += wide
        self._measure_lanes(pitch)
        self._set_zone_labels(max(x, 20.0), most_wide)
        return self

    def _channel_width(self, c: int, pitch: Pitch) -> float:
        channel = self.channels[c]
        inner = 0 <= c < self.grid.columns - 1
        if not inner and not channel.tracks:
            return 0.0
        uprights = max(0, channel.tracks - 1) * TRACK + (pitch.gap if channel.tracks else 0.0)
        return uprights + pitch.gap + (DASH_ROOM if channel.dash else 0.0)

    def _cell(self, part: int, pitch: Pitch) -> Cell:
        item, zone_line = self.items[part], self.zone_lines.get(part, "")
        if item.flag:
            return flag_cell(zone_line, part in self.folded)
        return make_cell(item.node, pitch.wide, part in self.leads_on, item.standing, zone_line)

    def _measure_lanes(self, pitch: Pitch) -> None:
        """Heights of the lanes: each stretch as high as what is above it allows, then those that hang on a
        stretch below down towards it. Stretches of one lane are level where that costs little."""
        bare = HOP + 0.9
        grid = self.grid
        reach = {(c, s.lane): (bare, bare) for s in grid.spans for c in range(s.low, s.high + 1)}
        for part, cell in enumerate(self.cells):
            reach[grid.column[part], grid.lane[part]] = max(cell.up, bare), max(cell.down, bare)
        floor = dict.fromkeys(range(-1, grid.columns + 1), pitch.air)
        heights = [0.0] * len(grid.spans)
        for _, group in groupby(range(len(grid.spans)), key=lambda i: grid.spans[i].lane):
            spans = list(group)
            for i in spans:
                span = grid.spans[i]
                columns = range(span.low, span.high + 1)
                heights[i] = min(floor[c] - pitch.air - reach[c, span.lane][0] for c in columns)
            self._level(heights, spans)
            for i in spans:
                span = grid.spans[i]
                for c in range(span.low, span.high + 1):
                    floor[c] = heights[i] - reach[c, span.lane][1]
        self.body_bottom = min(floor.values())
        ceiling = dict.fromkeys(floor, self.body_bottom - pitch.air)
        for i in reversed(range(len(grid.spans))):
            span = grid.spans[i]
            columns = range(span.low, span.high + 1)
            if span.hangs:
                heights[i] = max(ceiling[c] + pitch.air + reach[c, span.lane][1] for c in columns)
            for c in columns:
                ceiling[c] = heights[i] + reach[c, span.lane][0]
        # What came down may have left the top free.
        rise = -max(
            (
                heights[i] + reach[c, s.lane][0]
                for i, s in enumerate(grid.spans)
                for c in range(s.low, s.high + 1)
            ),
            default=0.0,
        )
        self.body_bottom += rise
        self.height_at = {
            (c, s.lane): heights[i] + rise for i, s in enumerate(grid.spans) for c in range(s.low, s.high + 1)
        }
        self.loops_top = 2.6 * len(self.grid.back) + (1.0 if self.grid.back else 0.0)

    @staticmethod
    def _level(heights: list[float], spans: Sequence[int]) -> None:
        """Bring stretches of a lane that are nearly level down to the lowest of them."""
        by_height = sorted(spans, key=lambda i: heights[i])
        for i, above in pairwise(by_height):
            if heights[above] - heights[i] < NEARLY_LEVEL:
                heights[above] = heights[i]

    def _y(self, column: int, lane: int) -> float:
        """Where a lane runs in a column; lanes below 0 are over the top, for links that close a loop."""
        return self.height_at[column, lane] if lane >= 0 else -lane * 2.6

    def _part_y(self, part: int) -> float:
        return self.height_at[self.grid.column[part], self.grid.lane[part]]

    def _set_zone_labels(self, wide: float, most_wide: float) -> None:
        """Zone names in a band over the piece, each from where its zone starts, in as many rows as needed."""
        marks = [(0.0, self.first_zone)] if self.first_zone else []
        for channel in self.channels.values():
            if channel.dash and channel.dash.open_top:
                marks.append((channel.start + DASH_ROOM * 0.6 + 1.2, channel.dash.zone))
        self.band: list[tuple[float, int, list[str], float]] = []  # x, row, lines, width
        ends: list[float] = []
        for i, (x, zone) in enumerate(marks):
            # A name may reach over the next boundary, into a row of its own, but not over the edge.
            last = i + 1 == len(marks)
            room = most_wide - x if last else marks[i + 1][0] - x - 3.0
            block = min(max(room, 14.0 if last else 26.0), most_wide)
            lines = list(wrap(self.zones.label(zone), ZONE_SIZE, block, most=3))
            if not lines:
                continue
            long = max(text_width(line, ZONE_SIZE) for line in lines)
            x = max(0.0, min(x, most_wide - long))
            row = next((r for r, end in enumerate(ends) if end + 2.0 < x), len(ends))
            ends[row : row + 1] = [x + long]
            self.band.append((x, row, lines, long))
            wide = max(wide, x + long)
        self.width = wide
        most = max((len(lines) for _, _, lines, _ in self.band), default=0)
        self.row_height = most * ZONE_SIZE * MM_PER_POINT * 1.15 + 1.0
        self.band_height = self.row_height * len(ends) + (1.5 if ends else 0.0)
        self.top = self.band_height + self.loops_top
        self.height = self.top - self.body_bottom

    # --- drawing --------------------------------------------------------------------------------------

    def port(self, part: int) -> tuple[float, float]:
        """A part's place, from the piece's upper left."""
        return self.x[self.grid.column[part]], self._part_y(part) - self.top

    def draw(self, flags: Mapping[int, tuple[str, str]]) -> list[Shape]:
        """All shapes, from the piece's upper left. `flags`: letter and text for each tag, by part."""
        under: list[Shape] = list(self._zone_shapes())
        lines = list(self._connectors())
        over: list[Shape] = []
        for part, (item, cell) in enumerate(zip(self.items, self.cells, strict=True)):
            x, y = self.x[self.grid.column[part]], self._part_y(part)
            if part in self.folded:
                # Only the line goes on, to the piece's edge.
                ends = (cell.inlet, cell.outlet)
                over.append(Line(((x + ends[0], y), (x + ends[1], y)), self.zones.weight(item.net)))
            elif item.flag:
                weight = self.zones.weight(item.net)
                over += [shifted(s, x, y) for s in flag(*flags[part], item.flag == "in", weight)]
            over += self._part_shapes(part, cell, x, y)
        return [shifted(shape, 0.0, -self.top) for shape in (*under, *lines, *over)]

    def _part_shapes(self, part: int, cell: Cell, x: float, y: float) -> list[Shape]:
        if not cell.dot:
            return [shifted(s, x, y) for s in cell.shapes]
        # The dot goes where the lines part or meet, and the label up to it.
        column, lane = self.grid.column[part], self.grid.lane[part]
        after = self.channels[column]
        parting = next((n for n, lanes in after.left.items() if lane in lanes and n in after.track), None)
        before = self.channels.get(column - 1)
        meeting = None
        if before is not None:
            meeting = next((n for n, lanes in before.right.items() if lane in lanes and n in before.track), None)
        shapes: list[Shape] = []
        label = x
        if before is not None and meeting is not None:
            label = before.end + cell.left
            shapes += [shifted(s, before.track_x(meeting), y) for s in cell.dot]
        if parting is not None:
            label = after.start - cell.right
            shapes += [shifted(s, after.track_x(parting), y) for s in cell.dot]
        elif meeting is None:
            shapes += [shifted(s, x, y) for s in cell.dot]
        return [shifted(s, label, y) for s in cell.shapes] + shapes

    def _connectors(self) -> list[Shape]:
        shapes: list[Shape] = []
        for column, lane, net in self.dummies:
            ends = self.channels[column - 1].end, self.channels[column].start
            shapes += self._run(None, net, column, lane, *ends)
        for column, channel in self.channels.items():
            for lane, net in channel.passing.items():
                shapes += self._run(channel, net, column, lane, channel.start, channel.end)
            for net in {**channel.left, **channel.right}:
                shapes += self._net_shapes(column, channel, net)
        for k, (u, v) in enumerate(self.grid.back):
            shapes += self._loop(k, self.grid.column[u], self.grid.column[v] - 1, self.net_of[u, v])
        return shapes

    def _net_shapes(self, column: int, channel: _Channel, net: int) -> list[Shape]:
        weight = self.zones.weight(net)
        shapes: list[Shape] = []
        if net in channel.track:
            x = channel.track_x(net)
            lanes = channel.lanes(net)
            shapes.append(Line(((x, self._y(column, min(lanes))), (x, self._y(column, max(lanes)))), weight))
            for lane in sorted(channel.left.get(net, ())):
                shapes += self._run(channel, net, column, lane, self._edge(column, lane, True), x)
            for lane in sorted(channel.right.get(net, ())):
                shapes += self._run(channel, net, column, lane, x, self._edge(column + 1, lane, False))
            return shapes
        (lane,) = channel.lanes(net)
        ends = self._edge(column, lane, True), self._edge(column + 1, lane, False)
        return self._run(channel, net, column, lane, *ends)

    def _edge(self, column: int, lane: int, outlet: bool) -> float:
        """Where a connector meets what stands in a column's lane: a port, or a connector passing over it."""
        part = self.part_at.get((column, lane))
        if part is None:
            return self.channels[column].start if outlet else self.channels[column - 1].end
        cell = self.cells[part]
        return self.x[column] + (cell.outlet if outlet else cell.inlet)

    def _run(
        self, channel: _Channel | None, net: int, column: int, lane: int, x1: float, x2: float
    ) -> list[Shape]:
        """A level line, with a jump over each upright of another net."""
        over = [] if channel is None else self._crossed(channel, net, lane, x1, x2)
        return self._hopping(x1, x2, self._y(column, lane), over, self.zones.weight(net))

    @staticmethod
    def _crossed(channel: _Channel, net: int, lane: int, x1: float, x2: float) -> list[float]:
        found = []
        for other in channel.track:
            x = channel.track_x(other)
            if other != net and x1 < x < x2:
                lanes = channel.lanes(other)
                if min(lanes) < lane < max(lanes):
                    found.append(x)
        return sorted(set(found))

    @staticmethod
    def _hopping(x1: float, x2: float, y: float, over: Sequence[float], weight: float) -> list[Shape]:
        shapes: list[Shape] = []
        for x in over:
            shapes.append(Line(((x1, y), (x - HOP, y)), weight))
            shapes.append(Arc(x, y, HOP, 180.0, -180.0, weight))
            x1 = x + HOP
        return [*shapes, Line(((x1, y), (x2, y)), weight)]

    def _loop(self, k: int, out: int, into: int, net: int) -> list[Shape]:
        """The level line over the top of a link that closes a loop."""
        x1, x2 = self.channels[into].track_x(net), self.channels[out].track_x(net)
        low, high = min(x1, x2), max(x1, x2)
        over: set[float] = set()
        for c in range(min(into, out), max(into, out) + 1):
            over |= set(self._crossed(self.channels[c], net, -1 - k, low, high))
        return self._hopping(low, high, self._y(0, -1 - k), sorted(over), self.zones.weight(net))

    def _zone_shapes(self) -> list[Shape]:
        shapes: list[Shape] = []
        foot = self.loops_top + 1.5
        step = ZONE_SIZE * MM_PER_POINT * 1.15
        for x, row, lines, _ in self.band:
            top = foot + row * self.row_height + step * len(lines)
            for i, line in enumerate(lines):
                shapes.append(Text(x, top - step * (i + 0.75), line, ZONE_SIZE, "start", "grey"))
        for column, channel in self.channels.items():
            if channel.dash:
                shapes.append(self._dash(column, channel, channel.dash))
            ticks = [(channel.start + 1.0, self._y(column, lane)) for lane in channel.ticks_left]
            ticks += [(channel.end - 1.0, self._y(column + 1, lane)) for lane in channel.ticks_right]
            for x, y in ticks:
                shapes.append(Line(((x, y + 2.2), (x, y - 2.2)), 0.6, "grey", True))
        return shapes

    def _dash(self, column: int, channel: _Channel, dash: _Dash) -> Shape:
        x = channel.start + DASH_ROOM * 0.6
        top = self._y(column, dash.first) + 3.0
        if dash.open_top:
            clear = not any(a - 0.6 < x < a + wide + 0.6 for a, _, _, wide in self.band)
            top = self.top if clear else self.loops_top + 0.5
        bottom = self.body_bottom if dash.open_bottom else self._y(column, dash.last) - 3.0
        return Line(((x, top), (x, bottom)), 0.6, "grey", True)
