"""A spec's data with the place of each value: what short forms are rewritten in.

Data and places are two trees of one shape. Whoever changes one has to change the other, so both are changed here only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from specc.model.findings import Place
from specc.spec.source.places import SpecSpot, join


class Tree(NamedTuple):
    """A value, the spot where it stands, and its JSON pointer in the long form."""

    data: Any
    spot: SpecSpot
    at: str = ""

    @property
    def is_map(self) -> bool:
        return isinstance(self.data, dict) and isinstance(self.spot.inside, dict)

    @property
    def is_list(self) -> bool:
        return isinstance(self.data, list) and isinstance(self.spot.inside, list)

    @property
    def place(self) -> Place:
        return self.spot.key or self.spot.value

    def has(self, key: str) -> bool:
        spots = self.spot.inside
        return isinstance(self.data, dict) and isinstance(spots, dict) and key in self.data and key in spots

    def child(self, key: str) -> Tree:
        """What stands under a key. KeyError when nothing does."""
        assert isinstance(self.spot.inside, dict)
        return Tree(self.data[key], self.spot.inside[key], join(self.at, key))

    def map(self, key: str) -> Tree:
        """The mapping under a key; an empty one of its own when there is none."""
        below = self.child(key) if self.has(key) else None
        return below if below is not None and below.is_map else Tree({}, SpecSpot(self.spot.value, inside={}), self.at)

    def children(self) -> list[tuple[str, Tree]]:
        spots = self.spot.inside
        if not isinstance(self.data, dict) or not isinstance(spots, dict):
            return []
        at = self.at
        return [(key, Tree(below, spots[key], join(at, key))) for key, below in self.data.items() if key in spots]

    def items(self) -> list[Tree]:
        spots = self.spot.inside
        if not isinstance(self.data, list) or not isinstance(spots, list):
            return []
        return [
            Tree(value, spot, f"{self.at}/{i}") for i, (value, spot) in enumerate(zip(self.data, spots, strict=True))
        ]

    def put(self, key: str, value: Any, spot: SpecSpot) -> None:
        assert isinstance(self.spot.inside, dict)
        self.data[key] = value
        self.spot.inside[key] = spot

    def drop(self, key: str) -> None:
        assert isinstance(self.spot.inside, dict)
        self.data.pop(key, None)
        self.spot.inside.pop(key, None)

    def replace_items(self, key: str, made: list[tuple[str, Any, SpecSpot]]) -> None:
        """Put other keys in the place of one, so that the order stays that of the file."""
        assert isinstance(self.spot.inside, dict)
        both: tuple[tuple[dict[str, Any], int], ...] = ((self.data, 1), (self.spot.inside, 2))
        for tree, take in both:
            old = list(tree.items())
            tree.clear()
            for name, value in old:
                if name != key:
                    tree[name] = value
                    continue
                for item in made:
                    tree[item[0]] = item[take]


# The origin of what a part's own text says: it is written there, if not key by key.
OWN_TEXT = "text"


def filled_in(tree: Tree) -> Iterator[Tree]:
    """The values that a short form filled in, each with its origin."""
    if tree.spot.origin:
        yield tree
    if tree.spot.inside:  # most values have nothing inside
        for below in (*(b for _, b in tree.children()), *tree.items()):
            yield from filled_in(below)


def spot_for(value: Any, place: Place, key: Place | None = None, origin: str = "") -> SpecSpot:
    """The spot of a value that a short form stands for: all of it stands where the short form does."""
    if isinstance(value, dict):
        return SpecSpot(place, key, {k: spot_for(v, place, place) for k, v in value.items()}, origin)
    if isinstance(value, list):
        return SpecSpot(place, key, [spot_for(v, place) for v in value], origin)
    return SpecSpot(place, key, None, origin)


def come_from(spot: SpecSpot, origin: str) -> SpecSpot:
    """The spot, saying what filled its value in."""
    spot.origin = origin
    return spot


def fill_fields(own: Tree, value: Any, spot: SpecSpot) -> None:
    """Fill in the fields of plugins (`x: {club: {...}}`) that an entry does not have itself, in place."""
    for plugin, fields in Tree(value, spot).children():
        if plugin not in own.data:
            own.put(plugin, fields.data, fields.spot)
        elif own.child(plugin).is_map:
            for name, field in fields.children():
                if name not in own.data[plugin]:
                    own.child(plugin).put(name, field.data, field.spot)


def copied(
    data: Any, spot: SpecSpot, text: Callable[[str, SpecSpot], str] = lambda words, _: words
) -> tuple[Any, SpecSpot]:
    """A copy of a value and its spots, with each text and key as `text` gives it."""
    if isinstance(data, dict) and isinstance(spot.inside, dict):
        made: dict[str, Any] = {}
        spots: dict[str, SpecSpot] = {}
        for key, below in spot.inside.items():
            name = text(key, below)
            made[name], spots[name] = copied(data[key], below, text)
        return made, SpecSpot(spot.value, spot.key, spots, spot.origin, spot.typical)
    if isinstance(data, list) and isinstance(spot.inside, list):
        pairs = [copied(item, below, text) for item, below in zip(data, spot.inside, strict=True)]
        return [v for v, _ in pairs], SpecSpot(spot.value, spot.key, [b for _, b in pairs], spot.origin, spot.typical)
    words = text(data, spot) if isinstance(data, str) else data
    return words, SpecSpot(spot.value, spot.key, None, spot.origin, spot.typical)
