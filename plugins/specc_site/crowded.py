"""What stands so close together on the plan that names have no room: it gets numbers, and a list beside the plan."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

Spot2 = tuple[float, float]

# mm of paper: nearer to each other two names of two lines have no room, and two signs cannot be told apart.
CLOSE, HEAPED = 10.0, 4.2
MANY = 6  # fewer find room round about


class Heap(NamedTuple):
    """Tags that share a number's place on the plan: one alone, or several whose signs lie on one another."""

    first: int
    tags: tuple[str, ...]

    @property
    def text(self) -> str:
        last = self.first + len(self.tags) - 1
        return f"{self.first}" if last == self.first else f"{self.first} to {last}"


def crowds_of(spots: Mapping[str, Spot2]) -> list[list[str]]:
    """The tags whose names would find no room, each crowd by itself."""
    return [crowd for crowd in _linked(spots, list(spots), CLOSE) if len(crowd) >= MANY]


def numbered(spots: Mapping[str, Spot2], count: int = 1) -> list[Heap]:
    """The heaps of all crowds, numbered from `count` on as one reads: from the top left."""
    made: list[Heap] = []
    for crowd in crowds_of(spots):
        for heap in sorted(_linked(spots, crowd, HEAPED), key=lambda tags: _reading(spots, tags)):
            ordered = sorted(heap, key=lambda tag: _reading(spots, [tag]))
            made.append(Heap(count, tuple(ordered)))
            count += len(ordered)
    return made


def _reading(spots: Mapping[str, Spot2], tags: Iterable[str]) -> tuple[int, float]:
    x, y = min((spots[tag] for tag in tags), key=lambda s: (-s[1], s[0]))
    return -round(y), x


def _linked(spots: Mapping[str, Spot2], tags: Sequence[str], near: float) -> list[list[str]]:
    """Groups of tags: each of a group has another one nearer than `near`. Looked for in squares of that size."""
    squares: dict[tuple[int, int], list[str]] = {}
    for tag in tags:
        squares.setdefault((math.floor(spots[tag][0] / near), math.floor(spots[tag][1] / near)), []).append(tag)
    left, groups = dict.fromkeys(tags), []
    while left:
        open_ = [next(iter(left))]
        del left[open_[0]]
        group = []
        while open_:
            tag = open_.pop()
            group.append(tag)
            i, j = (math.floor(v / near) for v in spots[tag])
            around = (t for a in (-1, 0, 1) for b in (-1, 0, 1) for t in squares.get((i + a, j + b), ()))
            found = [t for t in around if t in left and math.dist(spots[t], spots[tag]) < near]
            for other in dict.fromkeys(found):
                del left[other]
                open_.append(other)
        groups.append(group)
    return groups


__all__ = ["Heap", "crowds_of", "numbered"]
