"""`like: TAG`: an entry is as another of the same map; its own keys win."""

from __future__ import annotations

import re
from typing import Any

from specc.spec.fields import KEY
from specc.spec.short_forms.said import Said
from specc.spec.short_forms.tree import Tree, come_from, copied, fill_fields
from specc.spec.source.places import SpecSpot

# Read from the one thing in hand, or chosen for it: never taken over from another.
NEVER = frozenset(
    {
        "made", "requalified", "requalified_by", "tested", "inspected", "serviced", "internal_examination",
        "hydrostatic_test", "reassembled", "tare", "contents", "cleaned", "place", "title", "note", "overfill_device",
        "secured", "upright", "arrow", "like", "from", "until", "date",
    }
)  # fmt: skip
_SHAPE = frozenset({"diameter", "height", "length", "weight", "outside", "wall", "volume"})


# A day or month is told by its look as well: what happened to one thing did not happen to another.
_DAY = re.compile(r"\d{4}-\d{2}(-\d{2})?")


def _taken_over(tree: Tree) -> tuple[Any, SpecSpot] | None:
    """A copy of a value without what is never taken over, however deep; None when the value itself is a date."""
    if isinstance(tree.data, str) and _DAY.fullmatch(tree.data.strip()):
        return None
    value, spot = copied(tree.data, tree.spot)
    due = [Tree(value, spot)]
    while due:
        here = due.pop()
        for key, below in here.children():
            if key in NEVER or (isinstance(below.data, str) and _DAY.fullmatch(below.data.strip())):
                here.drop(key)
            else:
                due.append(below)
        due.extend(here.items())
    return value, spot


def resolve(entries: Tree, said: list[Said], *, leave: bool = False) -> None:
    """Fill in what entries are like. `leave`: a `like:` that names none of them stays, for a rule to read."""
    done: set[str] = set()

    def settle(tag: str, above: tuple[str, ...]) -> None:
        if tag in done:
            return
        entry = entries.child(tag)
        done.add(tag)
        if not entry.has("like") or not isinstance(entry.data["like"], str):
            return
        named = entry.child("like")
        if named.data not in entries.data:
            if not leave:
                said.append(Said(f"{tag} is like {named.data!r}, which is not there", "a tag beside it", named.place))
                entry.drop("like")
            return
        if named.data in (*above, tag):
            said.append(Said(f"{tag} is like itself in the end", "write one of them out", named.place))
            entry.drop("like")
            return
        settle(named.data, (*above, tag))
        entry.drop("like")
        take_over(entry, entries.child(named.data), named.data)

    for tag, entry in entries.children():
        if entry.is_map:
            settle(tag, ())


def take_over(entry: Tree, other: Tree, name: str) -> None:
    """Fill in what an entry does not say itself. A cylinder of another capacity has another shape."""
    if other.is_map:
        capacity = entry.data.get("capacity", other.data.get("capacity"))
        differs = capacity != other.data.get("capacity")
        for key, below in other.children():
            if key in NEVER or (key in entry.data and key != KEY) or (differs and key in _SHAPE):
                continue
            taken = _taken_over(below)
            if taken is not None and entry.has(key):
                if entry.child(key).is_map:
                    fill_fields(entry.child(key), taken[0], come_from(taken[1], f"like {name}"))
            elif taken is not None:
                entry.put(key, taken[0], come_from(taken[1], f"like {name}"))
