"""The space between two columns of a schematic: which lanes each net touches there, and where its uprights run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias

End: TypeAlias = tuple[Literal["left", "right", "top"], int]  # a side of a channel, and a lane there

TRACK = 2.6  # between uprights
HOP = 0.9  # radius of the jump where lines cross without meeting
DASH_ROOM = 3.0
DASH_AT = DASH_ROOM * 0.6  # from the channel's left edge
LEAD = 1.6  # from a column's edge to the nearest upright with a junction's mark


class Dash(NamedTuple):
    """A zone's boundary: a dashed upright past lanes `first` to `last`, open at the top and bottom or not."""

    zone: str
    first: int
    last: int
    open_top: bool
    open_bottom: bool


@dataclass
class Channel:
    """The space to the right of a column. Lanes below 0 run over the top, for links that close a loop.

    What is joined here is a wire: lines of one net that only meet further on are wires of their own here, or the
    drawing would show a ring that is not there. Wires are numbers, in the order in which they are met.
    """

    net: dict[int, int] = field(default_factory=dict)  # wire: net
    left: dict[int, set[int]] = field(default_factory=dict)  # wire: lanes
    right: dict[int, set[int]] = field(default_factory=dict)
    tops: dict[int, set[int]] = field(default_factory=dict)
    passing: dict[int, int] = field(default_factory=dict)  # lane: net
    track: dict[int, int] = field(default_factory=dict)  # wires with an upright
    group: dict[int, int] = field(default_factory=dict)  # wire: 0 to the left, 1 in the middle, 2 to the right
    tracks: int = 0
    dash: Dash | None = None
    ticks_left: list[int] = field(default_factory=list)
    ticks_right: list[int] = field(default_factory=list)
    start: float = 0.0
    end: float = 0.0
    pins: list[tuple[int, End, End]] = field(default_factory=list)

    def lanes(self, wire: int) -> set[int]:
        return self.left[wire] | self.right[wire] | self.tops[wire]

    def ends(self, wire: int) -> int:
        """How many level lines and loops lead to a wire."""
        return len(self.left[wire]) + len(self.right[wire]) + len(self.tops[wire])

    def settle(self) -> None:
        """Make the wires of what was pinned."""
        leader: dict[End, End] = {}

        def find(end: End) -> End:
            leader.setdefault(end, end)
            while leader[end] != end:
                leader[end] = leader[leader[end]]
                end = leader[end]
            return end

        for _, one, other in self.pins:
            leader[find(other)] = find(one)
        number: dict[End, int] = {}
        for net, *ends in self.pins:
            for side, lane in ends:
                wire = number.setdefault(find((side, lane)), len(number))
                if wire not in self.net:
                    self.net[wire] = net
                    self.left[wire], self.right[wire], self.tops[wire] = set(), set(), set()
                {"left": self.left, "right": self.right, "top": self.tops}[side][wire].add(lane)

    def wire_at(self, side: str, lane: int) -> int:
        """The wire that reaches a lane on the "left" or the "right"."""
        return next(w for w, lanes in (self.left if side == "left" else self.right).items() if lane in lanes)

    def give_tracks(self, sides: Mapping[int, int]) -> None:
        """Uprights that do not reach the same lanes share a track, the uppermost first. `sides` gives each wire's
        group: those that part at a junction keep near it on the left, those that meet at one on the right."""
        spans = []
        for wire, side in sides.items():
            lanes = self.lanes(wire)
            if len(lanes) > 1:
                spans.append((side, min(lanes), max(lanes), wire))
        reach: list[int] = []
        base = last_group = 0
        for group, low, high, wire in sorted(spans):
            if group != last_group:
                base, last_group = len(reach), group
            track = next((t for t in range(base, len(reach)) if reach[t] < low), len(reach))
            reach[track : track + 1] = [high]
            self.track[wire] = track
            self.group[wire] = group
        self.tracks = len(reach)

    @property
    def uprights(self) -> float:
        """Width from the first upright to the last."""
        return max(0, self.tracks - 1) * TRACK

    def track_x(self, wire: int) -> float:
        """Where a wire's upright runs. Tracks keep their order and at least their distance."""
        room = DASH_ROOM if self.dash else 0.0
        along = self.track[wire] * TRACK
        group = self.group[wire]
        if group == 0:
            return self.start + room + LEAD + along
        if group == 2:
            return self.end - LEAD - self.uprights + along
        return self.start + room + (self.end - self.start - room - self.uprights) / 2 + along

    def crossed(self, own: int | None, lane: int, x1: float, x2: float) -> list[float]:
        """Where a level line between two x would cross the uprights of other wires than its own."""
        found = set()
        for wire in self.track:
            x = self.track_x(wire)
            if wire != own and x1 < x < x2:
                lanes = self.lanes(wire)
                if min(lanes) < lane < max(lanes):
                    found.add(x)
        return sorted(found)
