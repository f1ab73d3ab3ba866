"""One piece of a schematic that fits on a sheet: from its grid to millimeters.

Connectors run along the middle of lanes, and up and down only in the channels between columns, where no part
or label stands. A manifold, a tee, a cross or a ring stands upright in its own column, and each of its lines ends at
it (see bars); lines that have to meet in a channel share a heavy upright there. Coordinates here start at the upper
left of the piece, x to the right, y up (so most y are negative).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby, pairwise
from typing import NamedTuple

from specc.drawing.bars import bars_of
from specc.drawing.cells import Cell, Node, Side, bar_cell, flag_cell, make_cell, pair_cell
from specc.drawing.channel import DASH_AT, DASH_ROOM, HOP, LEAD, Channel, Dash
from specc.drawing.order import Link, arrange
from specc.drawing.rows import row_cell
from specc.drawing.shapes import Tone
from specc.drawing.symbols import HUBS, JUNCTIONS, symbol
from specc.drawing.text import text_width, wrap
from specc.drawing.tones import MM_PER_POINT
from specc.drawing.zones import Zones

NEARLY_LEVEL = 4.0
ZONE_SIZE = 7.0
LOOP = 2.6  # between the lines over the top
FRAME = 0.8  # from what is drawn once to the frame round it
BADGE = 4.0  # the height of what says how many there are


class Pitch(NamedTuple):
    """How far apart: where labels break, the least width of a channel, air between lanes."""

    wide: float
    gap: float
    air: float
    most: float = 20.0  # the most that stretching adds to a channel
    below: bool = False  # what ends a line is labeled below it, where others have their labels at its right


class CellItem(NamedTuple):
    """What stands in a cell: a part (with a gauge or relief on it), a row of small fittings, or an off-sheet tag."""

    node: Node
    standing: Node | None = None
    flag: str = ""  # "", "in" or "out"
    net: int = -1
    row: tuple[Node, ...] = ()  # all the fittings of a row, `node` being the first
    also: Node | None = None  # a second one that stands on a tee or a cross


class TileLink(NamedTuple):
    """A link within the piece, and its net: all ports joined at one point have the same."""

    start: int
    end: int
    net: int


class Banner(NamedTuple):
    """A zone's label over the piece, from where its zone starts: its lines with their tones, and its width."""

    x: float
    row: int
    lines: tuple[tuple[str, Tone], ...]
    width: float


class TilePlan:
    """A piece, measured. `width` and `height` are in mm; `x` and `lane_y` give where parts come."""

    def __init__(self, items: Sequence[CellItem], links: Sequence[TileLink], zones: Zones) -> None:
        ends = frozenset(i for i, item in enumerate(items) if item.flag == "out")
        self.items = items
        self.zones = zones
        pairs = [(j.start, j.end) for j in links]
        self.hubs = frozenset(i for i, item in enumerate(items) if item.node.symbol in HUBS and not item.flag)
        evenly = frozenset(i for i in self.hubs if items[i].node.symbol in JUNCTIONS)
        self.net_of = {(j.start, j.end): j.net for j in links}
        self.leads_on = {j.start for j in links}
        self.zone_lines: dict[int, tuple[str, ...]] = {}
        self.own_border: set[int] = set()  # parts that draw the border behind them in their cell
        for apart in (frozenset[Link](), self._between_many(pairs)):
            self.grid = arrange(len(items), pairs, ends, evenly, apart)
            self.bars = bars_of(self.grid, self.hubs)
            self._fill_channels()
            if not any(self._mixed(c, wire) for c, channel in self.channels.items() for wire in channel.track):
                break
        self._mark_zones()

    def _between_many(self, pairs: Sequence[Link]) -> frozenset[Link]:
        """Links that are one of several at both ends, with a hub at either: a column between gives each end an upright
        of its own."""
        leaving, coming = Counter(u for u, _ in pairs), Counter(v for _, v in pairs)
        return frozenset(
            (u, v) for u, v in pairs if leaving[u] > 1 and coming[v] > 1 and (u in self.hubs or v in self.hubs)
        )

    def _mixed(self, column: int, wire: int) -> bool:
        """Whether lines of a hub meet others before they end at it."""
        channel = self.channels[column]
        if channel.ends(wire) < 3 or self.owner(column, wire) is not None:
            return False
        parts = [self.starts.get((column, lane)) for lane in channel.left[wire]]
        parts += [self.ends.get((column, lane)) for lane in channel.right[wire]]
        parts += [part for lane in channel.tops[wire] for part in self.grid.back[-1 - lane]]
        return not self.hubs.isdisjoint(part for part in parts if part is not None)

    # --- structure: which nets pass where -------------------------------------------------------------

    def _fill_channels(self) -> None:
        grid = self.grid
        self.dummies: list[tuple[int, int, int]] = []  # column, lane, net
        self.channels = {c: Channel() for c in range(-1, grid.columns)}
        self.part_at: dict[tuple[int, int], int] = {}
        # By channel and lane: the part at which a line starts on the left, and the one at which it ends on the right.
        self.starts: dict[tuple[int, int], int] = {}
        self.ends: dict[tuple[int, int], int] = {}
        for part in range(len(self.items)):
            self.part_at[grid.column[part], grid.lane[part]] = part
        for link in grid.forward:
            (u, v), net = link, self.net_of[link]
            first, last = grid.column[u], grid.column[v] - 1
            leaves, reaches = self.bars.leaves[link], self.bars.reaches[link]
            self.starts[first, leaves], self.ends[last, reaches] = u, v
            if first == last:
                self._pin(first, net, leaves, reaches)
                continue
            through = grid.through[link]
            self._pin(first, net, leaves, through)
            self._pin(last, net, through, reaches)
            self.dummies += [(c, through, net) for c in range(first + 1, last + 1)]
            for c in range(first + 1, last):
                self.channels[c].passing[through] = net
        for k, (u, v) in enumerate(grid.back):
            net = self.net_of[u, v]
            self.starts[grid.column[u], grid.lane[u]], self.ends[grid.column[v] - 1, grid.lane[v]] = u, v
            self.channels[grid.column[u]].pins.append((net, ("left", grid.lane[u]), ("top", -1 - k)))
            self.channels[grid.column[v] - 1].pins.append((net, ("right", grid.lane[v]), ("top", -1 - k)))
        for column, channel in self.channels.items():
            channel.settle()
            channel.give_tracks({wire: self._side_of(column, channel, wire) for wire in channel.net})

    def _pin(self, column: int, net: int, lane_left: int, lane_right: int) -> None:
        self.channels[column].pins.append((net, ("left", lane_left), ("right", lane_right)))

    def _side_of(self, column: int, channel: Channel, wire: int) -> int:
        """0 for a wire that parts at a part on the left, 2 for one that meets at a part on the right."""
        if channel.ends(wire) < 3:
            return 1
        owner = self.owner(column, wire)
        return 1 if owner is None else 0 if self.grid.column[owner] == column else 2

    def owner(self, column: int, wire: int) -> int | None:
        """The one part at which all lines of a wire start, or at which all end; None where there is no such part."""
        channel = self.channels[column]
        left, right, tops = channel.left[wire], channel.right[wire], channel.tops[wire]
        back = [self.grid.back[-1 - lane] for lane in tops]
        if len(left) == 1:
            part = self.starts.get((column, min(left)))
            if part is not None and part not in self.bars.of and all(link[0] == part for link in back):
                return part
        if len(right) == 1:
            part = self.ends.get((column, min(right)))
            if part is not None and part not in self.bars.of and all(link[1] == part for link in back):
                return part
        return None

    def own_wires(self, part: int) -> tuple[int | None, int | None]:
        """The wires on whose uprights lines meet that end at a part, and part that start there."""
        column, lane = self.grid.column[part], self.grid.lane[part]
        found = []
        for c, sides in ((column - 1, self.channels[column - 1].right), (column, self.channels[column].left)):
            its = (w for w, lanes in sides.items() if lane in lanes and w in self.channels[c].track)
            wire = next((w for w in its if self.channels[c].ends(w) > 2), None)
            found.append(wire if wire is not None and self.owner(c, wire) == part else None)
        return found[0], found[1]

    def dotted(self, part: int) -> bool:
        """Whether a part has a dot where its lines part or meet, in the channel beside it."""
        if part in self.bars.of:
            return False
        item = self.items[part]
        return item.node.symbol in JUNCTIONS and item.standing is None and not item.flag

    def side(self, part: int) -> Side:
        """On which upright a junction's mark stands."""
        if part in self.bars.of:
            return "parts" if len(self.bars.of[part].right) > 1 else "meets"
        meets, parts = (wire is not None for wire in self.own_wires(part))
        return "both" if parts and meets else "parts" if parts else "meets" if meets else ""

    # --- zones ----------------------------------------------------------------------------------------

    def _mark_zones(self) -> None:
        zones, grid = self.zones, self.grid
        roots = [part for part in range(len(self.items)) if grid.column[part] == 0]
        at_start = {self.items[part].node.zone for part in roots}
        self.first_zone = at_start.pop() if len(at_start) == 1 else ""
        if at_start:
            self.zone_lines = {p: zones.lines(self.items[p].node.zone) for p in roots}
        for column, channel in self.channels.items():
            changed: dict[int, int] = {}  # lane: wire
            for wire, lanes in channel.left.items():
                for lane in lanes:
                    part = self.starts.get((column, lane))
                    if part is not None and self._differs(part, channel.net[wire]):
                        if self._gauge_behind(part):
                            self._mark_at_part(part, channel.net[wire])
                        else:
                            changed[lane] = wire
            self._mark_changes(column, channel, changed)
            for wire, lanes in channel.right.items():
                for lane in sorted(lanes):
                    part = self.ends.get((column, lane))
                    if part is not None and self._differs(part, channel.net[wire]):
                        channel.ticks_right.append(lane)
                        self.zone_lines[part] = zones.lines(self.items[part].node.zone)

    def _gauge_behind(self, part: int) -> bool:
        node, standing = self.items[part].node, self.items[part].standing
        return standing is not None and symbol(node.symbol).beside is not None and standing.zone not in ("", node.zone)

    def _mark_at_part(self, part: int, net: int) -> None:
        """Draw the border right behind the part: nearer than the channel, and before a gauge on its outlet."""
        self.own_border.add(part)
        self._tell(part, net)

    def _tell(self, part: int, net: int) -> None:
        """Write at a part which zone begins behind it."""
        said = self.zones.lines(self.zones.of_net[net], arrow=True)
        before = self.zone_lines.get(part, ())
        if before[-len(said) :] != said:  # several lines of one part may come into the zone
            self.zone_lines[part] = before + said

    def _differs(self, part: int, net: int) -> bool:
        mine, theirs = self.items[part].node.zone, self.zones.of_net[net]
        return bool(mine and theirs and mine != theirs)

    def _mark_changes(self, column: int, channel: Channel, changed: dict[int, int]) -> None:
        """A dashed upright where all lines beside one another change to one zone, else a tick on each."""
        if not changed:
            return
        others = {lane for lanes in channel.left.values() for lane in lanes} | set(channel.passing)
        others -= set(changed)
        first, last = min(changed), max(changed)
        new = {self.zones.of_net[channel.net[wire]] for wire in changed.values()}
        if len(new) == 1 and not any(first < lane < last for lane in others):
            for lane in {r for wire in changed.values() for r in channel.right[wire]}:
                if lane > last and not any(last < o <= lane for o in others):
                    last = lane
                if lane < first and not any(lane <= o < first for o in others):
                    first = lane
            (zone,) = new
            lane = min(changed)
            open_top = self._parts_well(column, zone, range(first)) and not any(lane < first for lane in others)
            open_bottom = self._parts_well(column, zone, range(last + 1, self.grid.lanes)) and not any(
                lane > last for lane in others
            )
            if open_top or len(changed) > 1:
                channel.dash = Dash(zone, first, last, open_top, open_bottom)
                if not open_top:
                    # Past one dashed upright the zone's label stands once, at the uppermost line.
                    self._tell(self.starts[column, lane], channel.net[changed[lane]])
                return
        for lane, wire in sorted(changed.items()):
            part, net = self.starts[column, lane], channel.net[wire]
            item = self.items[part]
            plain = part not in self.bars.of and item.node.symbol not in JUNCTIONS
            if item.standing is None and not item.row and plain:
                self._mark_at_part(part, net)
            else:
                channel.ticks_left.append(lane)
                self._tell(part, net)

    def _parts_well(self, column: int, zone: str, lanes: range) -> bool:
        """Whether all parts in the lanes stand on the right side of a border behind a column."""
        for part, item in enumerate(self.items):
            if self.grid.lane[part] in lanes:
                mine = self.zones.of_net[item.net] if item.flag else item.node.zone
                if (mine == zone) != (self.grid.column[part] > column):
                    return False
        return True

    # --- measures -------------------------------------------------------------------------------------

    def measure(self, pitch: Pitch, most_wide: float, folded: frozenset[int] = frozenset()) -> TilePlan:
        """Set every coordinate for a pitch; a piece narrower than `most_wide` is stretched toward it.
        A part in `folded` is a tag that a connector replaces."""
        self.folded = folded
        self.cells = self._framed([self._cell(part, pitch) for part in range(len(self.items))])
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
            x += wide
        self._measure_lanes(pitch)
        self._set_banners(max(x, 20.0), most_wide)
        return self

    def _channel_width(self, c: int, pitch: Pitch) -> float:
        channel = self.channels[c]
        inner = 0 <= c < self.grid.columns - 1
        if not inner and not channel.tracks:
            return 0.0
        gaps = 2 * max(pitch.gap, LEAD) if channel.tracks else pitch.gap
        return channel.uprights + gaps + (DASH_ROOM if channel.dash else 0.0)

    def _framed(self, cells: list[Cell]) -> list[Cell]:
        """Like branches stand in a frame, with how many there are over them: every part of one leaves as much room as
        the highest and the deepest of it."""
        up: dict[int, float] = {}
        down: dict[int, float] = {}
        for item, cell in zip(self.items, cells, strict=True):
            number = item.node.group
            up[number], down[number] = max(up.get(number, 0.0), cell.up), max(down.get(number, 0.0), cell.down)
        return [
            cell._replace(up=up[n] + BADGE + FRAME, down=down[n] + FRAME) if (n := item.node.group) else cell
            for item, cell in zip(self.items, cells, strict=True)
        ]

    def _cell(self, part: int, pitch: Pitch) -> Cell:
        item, zone_lines = self.items[part], self.zone_lines.get(part, ())
        if item.flag:
            return flag_cell(zone_lines, part in self.folded)
        if item.row:
            return row_cell(item.row, zone_lines)
        side = self.side(part) if item.node.symbol in JUNCTIONS else ""
        border = part in self.own_border
        leads_on = part in self.leads_on or pitch.below
        if part in self.bars.of:
            return bar_cell(item.node, pitch.wide, leads_on, item.standing, zone_lines, side)
        if item.standing is not None and item.also is not None:
            return pair_cell(item.node, pitch.wide, item.standing, item.also, zone_lines)
        return make_cell(item.node, pitch.wide, leads_on, item.standing, zone_lines, side, border)

    def _measure_lanes(self, pitch: Pitch) -> None:
        """Heights of the lanes: each stretch as high as what is above it allows, then those that hang on a
        stretch below down toward it. Stretches of one lane are level where that costs little."""
        bare = HOP + 0.9
        grid = self.grid
        reach = {(c, s.lane): (bare, bare) for s in grid.spans for c in range(s.low, s.high + 1)}
        for part, cell in enumerate(self.cells):
            reach[grid.column[part], grid.lane[part]] = max(cell.up, bare), max(cell.down, bare)
        for part, bar in self.bars.of.items():
            column, cell = grid.column[part], self.cells[part]
            up, down = reach[column, bar.top]
            reach[column, bar.top] = max(up, cell.over), down
            up, down = reach[column, bar.bottom]
            reach[column, bar.bottom] = up, max(down, cell.under)
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
            (heights[i] + reach[c, s.lane][0] for i, s in enumerate(grid.spans) for c in range(s.low, s.high + 1)),
            default=0.0,
        )
        self.body_bottom += rise
        self.height_at = {
            (c, s.lane): heights[i] + rise for i, s in enumerate(grid.spans) for c in range(s.low, s.high + 1)
        }
        self.loops_top = LOOP * len(self.grid.back) + (1.0 if self.grid.back else 0.0)

    @staticmethod
    def _level(heights: list[float], spans: Sequence[int]) -> None:
        """Bring stretches of a lane that are nearly level down to the lowest of them."""
        by_height = sorted(spans, key=lambda i: heights[i])
        for i, above in pairwise(by_height):
            if heights[above] - heights[i] < NEARLY_LEVEL:
                heights[above] = heights[i]

    def lane_y(self, column: int, lane: int) -> float:
        """Where a lane runs in a column; lanes below 0 are over the top, for links that close a loop."""
        return self.height_at[column, lane] if lane >= 0 else -lane * LOOP

    def bar_y(self, part: int) -> tuple[float, float]:
        """The heights of the uppermost and the lowest line of an upright part."""
        column, bar = self.grid.column[part], self.bars.of[part]
        return self.lane_y(column, bar.top), self.lane_y(column, bar.bottom)

    def part_y(self, part: int) -> float:
        return self.height_at[self.grid.column[part], self.grid.lane[part]]

    def _set_banners(self, wide: float, most_wide: float) -> None:
        """Zone labels over the piece, each from where its zone starts, in as many rows as needed."""
        marks = [(0.0, self.first_zone)] if self.first_zone else []
        for channel in self.channels.values():
            if channel.dash and channel.dash.open_top:
                marks.append((channel.start + DASH_AT + 1.2, channel.dash.zone))
        self.banners: list[Banner] = []
        ends: list[float] = []
        for i, (x, zone) in enumerate(marks):
            # A label may reach over the next boundary, into a row of its own, but not over the edge.
            last = i + 1 == len(marks)
            room = most_wide - x if last else marks[i + 1][0] - x - 3.0
            block = min(max(room, 20.0 if last else 30.0), most_wide)
            label = self.zones.label(zone)
            said: list[tuple[str, Tone]] = [(t, "gray") for t in wrap(label.name, ZONE_SIZE, block, most=3)]
            said += [(t, "ink") for t in wrap(label.pressure, ZONE_SIZE, block, most=3)]
            if not said:
                continue
            long = max(text_width(text, ZONE_SIZE) for text, _ in said)
            x = max(0.0, min(x, most_wide - long))
            row = next((r for r, end in enumerate(ends) if end + 2.0 < x), len(ends))
            ends[row : row + 1] = [x + long]
            self.banners.append(Banner(x, row, tuple(said), long))
            wide = max(wide, x + long)
        self.width = wide
        most = max((len(b.lines) for b in self.banners), default=0)
        self.row_height = most * ZONE_SIZE * MM_PER_POINT * 1.15 + 1.0
        self.band_height = self.row_height * len(ends) + (1.5 if ends else 0.0)
        self.top = self.band_height + self.loops_top
        self.height = self.top - self.body_bottom

    def port(self, part: int) -> tuple[float, float]:
        """A part's place, from the piece's upper left."""
        return self.x[self.grid.column[part]], self.part_y(part) - self.top
