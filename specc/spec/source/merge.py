"""Adds one file's mapping to another by tag. What is there already is never replaced."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from specc.model.findings import Place
from specc.spec.source.places import SpecSpot, join


class Clash(NamedTuple):
    """Both files give a value for one pointer, and the values are not both mappings."""

    at: str
    first: Place
    second: Place


class Added(NamedTuple):
    """What a merge did: the topmost pointers it added, with their spots, and what it could not add."""

    new: tuple[tuple[str, SpecSpot], ...]
    clashes: tuple[Clash, ...]


def add(data: dict[str, object], spot: SpecSpot, more: dict[str, object], more_spot: SpecSpot) -> Added:
    """Adds `more` to `data` in place, mappings within mappings too, and the spots alike."""
    new: list[tuple[str, SpecSpot]] = []
    clashes: list[Clash] = []
    due = [("", data, spot, more, more_spot)]
    while due:
        base, to_data, to_spot, from_data, from_spot = due.pop()
        assert isinstance(to_spot.inside, dict)
        assert isinstance(from_spot.inside, dict)
        for key, value in from_data.items():
            there, here = to_spot.inside.get(key), from_spot.inside[key]
            at = join(base, key)
            if there is None or key not in to_data:
                to_data[key] = value
                to_spot.inside[key] = here
                new.append((at, here))
                continue
            present = to_data[key]
            if isinstance(present, dict) and isinstance(value, dict):
                due.append((at, present, there, value, here))
            else:
                clashes.append(Clash(at, there.key or there.value, here.key or here.value))
    clashes.sort(key=lambda clash: (clash.second.line, clash.second.column))
    return Added(tuple(new), tuple(clashes))


def pointers(at: str, spot: SpecSpot) -> Iterator[str]:
    """The pointer and all pointers below it."""
    due = [(at, spot)]
    while due:
        pointer, here = due.pop()
        yield pointer
        if isinstance(here.inside, dict):
            due.extend((join(pointer, key), below) for key, below in here.inside.items())
        elif here.inside is not None:
            due.extend((join(pointer, index), below) for index, below in enumerate(here.inside))
