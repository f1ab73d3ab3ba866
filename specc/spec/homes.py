"""Where in a spec a key is at home: for the advice to somebody who wrote a right key in the wrong place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

Schema = Mapping[str, Any]

MOST = 2  # places told; a key that stands in more of them tells nobody where it belongs


def homes_of(schema: Schema, name: str) -> tuple[str, ...]:
    """The places where the schema knows a key, in words: `plumbing: parts: TAG:`. None where there are many."""
    found = tuple(dict.fromkeys(_homes(schema, name, ())))
    return found if len(found) <= MOST else ()


def _homes(schema: Schema, name: str, way: tuple[str, ...]) -> Iterator[str]:
    properties = schema.get("properties", {})
    if name in properties:
        yield " ".join(way) or "the top of the spec"
    for key, below in properties.items():
        yield from _homes(below, name, (*way, f"{key}:"))
    choose = schema.get("x-choose", {"by": "", "from": {}})
    kinds = [kind for kind, branch in choose["from"].items() if name in branch.get("properties", {})]
    if kinds:
        yield " ".join((*way, f"({choose['by']}: {' or '.join(kinds)})"))
    for branch in choose["from"].values():
        for key, below in branch.get("properties", {}).items():
            yield from _homes(below, name, (*way, f"{key}:"))
    by_tag = schema.get("additionalProperties")
    if isinstance(by_tag, Mapping):
        yield from _homes(by_tag, name, (*way, "TAG:"))
    items = schema.get("items")
    if isinstance(items, Mapping):
        yield from _homes(items, name, way)
