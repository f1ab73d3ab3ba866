"""Keys and values of a spec that have another name today: the old word still reads, and a note says the new one.

A schema says so as data: `x-renamed: {old key: [new key, since which version]}` on a mapping, and
`x-renamed-values: {old value: [new value, since]}` on a value.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from specc.model.view import join

Schema = Mapping[str, Any]


class Rename(NamedTuple):
    """One old word: `at` is the pointer of the mapping or value, with the new names; `since` a version of specc."""

    at: str
    old: str
    new: str
    since: str
    is_key: bool


class Renamed(NamedTuple):
    """The data with the new words, and each old one that was read."""

    data: Any
    renames: tuple[Rename, ...]


def in_new_words(schema: Schema, data: Any) -> Renamed:
    """A spec's data with the names of today. An old key beside its new one stays, and is refused as unknown."""
    found: list[Rename] = []
    return Renamed(_walk(schema, data, "", found), tuple(found))


def _walk(schema: Schema, data: Any, at: str, found: list[Rename]) -> Any:
    if isinstance(data, str):  # most of what there is
        if data not in schema.get("x-renamed-values", {}):
            return data
        new, since = schema["x-renamed-values"][data]
        found.append(Rename(at, data, new, since, False))
        return new
    if isinstance(data, Mapping):
        choose = schema.get("x-choose")
        chosen = data.get(choose["by"]) if choose else None
        branch: Schema = choose["from"].get(chosen, {}) if choose and isinstance(chosen, str) else {}
        renamed = {**schema.get("x-renamed", {}), **branch.get("x-renamed", {})}
        known = {**schema.get("properties", {}), **branch.get("properties", {})}
        other = schema.get("additionalProperties")
        rest = other if isinstance(other, Mapping) else {}
        made = {}
        for name, value in data.items():
            new, since = renamed.get(name, (name, ""))
            if new != name and new not in data and name not in known:
                found.append(Rename(at, name, new, since, True))
                name = new
            made[name] = _walk(known.get(name, rest), value, join(at, name), found)
        return made
    if isinstance(data, list):
        item = schema.get("items")
        part = item if isinstance(item, Mapping) else {}
        return [_walk(part, value, join(at, i), found) for i, value in enumerate(data)]
    return data
