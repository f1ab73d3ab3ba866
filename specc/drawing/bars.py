"""Which parts can stand as one upright over several lanes, so that each line ends at the part at its own height.

A manifold joins many lines, a tee or a cross three or four, and a ring can be fed from two sides. Drawn on one lane
only, their lines would have to meet beside them, where a reader sees a fitting that is not there. They stand upright
where their column is free from the uppermost of their lines to the lowest; the others get a rail (see paint).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import NamedTuple

from specc.drawing.order import LaneGrid, Link

Cell = tuple[int, int]  # a column and a lane


class Bar(NamedTuple):
    """The lanes of the lines that end at an upright part, on its left and on its right."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    lane: int  # its own

    @property
    def top(self) -> int:
        return min(self.lane, *self.left, *self.right)

    @property
    def bottom(self) -> int:
        return max(self.lane, *self.left, *self.right)

    @property
    def others(self) -> tuple[int, int]:
        """How many lines end above its own lane, and how many below."""
        lanes = (*self.left, *self.right)
        return sum(lane < self.lane for lane in lanes), sum(lane > self.lane for lane in lanes)


class Bars(NamedTuple):
    """The upright parts; and the lane in which each link leaves its start and reaches its end."""

    of: Mapping[int, Bar]
    leaves: Mapping[Link, int]
    reaches: Mapping[Link, int]


def bars_of(grid: LaneGrid, hubs: Collection[int]) -> Bars:
    """Those of `hubs` that can stand upright in the grid, where two or more lines end on a side of theirs."""
    taken: set[Cell] = set(zip(grid.column, grid.lane, strict=True))
    for (u, v), lane in grid.through.items():
        taken |= {(c, lane) for c in range(grid.column[u] + 1, grid.column[v])}
    closing = {part for link in grid.back for part in link}
    links: dict[int, list[Link]] = {part: [] for part in hubs if part not in closing}
    for link in grid.forward:
        for part in link:
            if part in links:
                links[part].append(link)
    standing = {part for part, its in links.items() if max(_counts(part, its)) > 1}
    while True:
        leaves, reaches = _lanes(grid, standing, taken)
        found = {}
        for part in sorted(standing):
            left = tuple(reaches[link] for link in links[part] if link[1] == part)
            right = tuple(leaves[link] for link in links[part] if link[0] == part)
            bar = Bar(left, right, grid.lane[part])
            apart = len(set(left)) == len(left) and len(set(right)) == len(right)
            over = (lane for lane in range(bar.top, bar.bottom + 1) if lane != bar.lane)
            if apart and not any((grid.column[part], lane) in taken for lane in over):
                found[part] = bar
        _part(grid, found)
        if len(found) == len(standing):
            return Bars(found, leaves, reaches)
        standing = set(found)


def _part(grid: LaneGrid, found: dict[int, Bar]) -> None:
    """Of upright parts that would lie on one another in a column, leave out all but the uppermost."""
    foot: dict[int, int] = {}
    for part, bar in sorted(found.items(), key=lambda item: item[1].top):
        column = grid.column[part]
        if bar.top <= foot.get(column, -1):
            del found[part]
        else:
            foot[column] = bar.bottom


def _counts(part: int, links: Collection[Link]) -> tuple[int, int]:
    leaving = sum(link[0] == part for link in links)
    return len(links) - leaving, leaving


def _lanes(
    grid: LaneGrid, standing: Collection[int], taken: Collection[Cell]
) -> tuple[dict[Link, int], dict[Link, int]]:
    """A line keeps to the lane of what it comes from or goes to, and so reaches an upright part level."""
    leaves: dict[Link, int] = {}
    reaches: dict[Link, int] = {}
    for link in grid.forward:
        u, v = link
        out, into = grid.lane[u], grid.lane[v]
        if grid.column[v] > grid.column[u] + 1:
            through = grid.through[link]
            out, into = through if u in standing else out, through if v in standing else into
        elif u in standing and (v not in standing or (grid.column[u], into) not in taken):
            out = into
        elif v in standing:
            into = out
        leaves[link], reaches[link] = out, into
    return leaves, reaches
