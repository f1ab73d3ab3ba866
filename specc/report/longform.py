"""A spec's long form as YAML, in flow order, each filled-in value with a comment that says where it comes from."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from specc.spec.short_forms import Tree
from specc.spec.source.scalars import meaning

_PLAIN = re.compile(r"[A-Za-z0-9](?:[\w ./%°±+-]*[\w.%°])?")


def _word(value: Any) -> str:
    """A single value as YAML that reads back as it is."""
    if isinstance(value, str):
        fine = _PLAIN.fullmatch(value) is not None and meaning(value) == value
        return value if fine else json.dumps(value, ensure_ascii=False)
    return json.dumps(value)


def lines(tree: Tree, indent: str = "") -> Iterator[str]:
    """The mapping as lines of YAML. Parts stand in the order in which gas comes to them."""
    for key, below in _in_order(tree):
        said = f" # {below.spot.origin}" if below.spot.origin else ""
        if below.is_map and below.data:
            yield f"{indent}{_word(key)}:{said}"
            yield from lines(below, indent + "  ")
        elif below.is_list and any(isinstance(item, dict | list) for item in below.data):
            yield f"{indent}{_word(key)}:{said}"
            for item in below.items():
                yield f"{indent}  - {json.dumps(item.data, ensure_ascii=False)}"
        elif below.is_list:
            yield f"{indent}{_word(key)}: [{', '.join(map(_word, below.data))}]{said}"
        elif below.is_map:
            yield f"{indent}{_word(key)}: {{}}"
        else:
            yield f"{indent}{_word(key)}: {_word(below.data)}{said}"


def _in_order(tree: Tree) -> list[tuple[str, Tree]]:
    children = tree.children()
    if tree.at != "/plumbing" or not tree.has("parts"):
        return children
    rank: dict[str, int] = {}
    for _, run in tree.map("runs").children():
        line = run.data.get("line") if run.is_map else None
        for tag in [run.data.get("from"), *line] if isinstance(line, list) else []:
            if isinstance(tag, str):
                rank.setdefault(tag, len(rank))
    parts = tree.child("parts")
    if not parts.is_map:
        return children
    assert isinstance(parts.spot.inside, dict)
    tags = sorted(parts.data, key=lambda tag: rank.get(tag, len(rank)))
    inside = parts.spot.inside
    ordered = {tag: parts.data[tag] for tag in tags}
    spot = type(parts.spot)(parts.spot.value, parts.spot.key, {tag: inside[tag] for tag in tags})
    return [(key, Tree(ordered, spot, below.at) if key == "parts" else below) for key, below in children]
