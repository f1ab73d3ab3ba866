"""Runs as lists: `main: [cyl, 3/8 flare x 1/4 NPT connector, tee_1: 1/2 NPT tee, hose]`.

One word is a tag; text with a blank in it is a part without a tag; `tag: part` is both. The first item is where the run
comes from. A part without a tag is counted from the tagged one before it (`ball_main+1`), or from the run
(`branch_1.1`).
"""

from __future__ import annotations

from typing import Any

from specc.spec.short_forms import Said, Tree, spot_for
from specc.spec.short_forms.ranges import is_range
from specc.spec.source.places import SpecSpot

CLASSES = ("ratings", "materials", "made_for", "coatings", "places")


def no_parts(plumbing: Tree) -> SpecSpot:
    place = plumbing.child("runs").place
    return SpecSpot(place, place, {})


def write_out(plumbing: Tree, parts: Tree, stock: Tree, counted: set[str], said: list[Said]) -> dict[str, Tree]:
    """Make each run `{from, line}` of tags, and put the parts in it under `parts`. Gives the classes by tag, and adds
    to `counted` the names of parts without a tag."""
    of_run: dict[str, Tree] = {}
    written: list[Tree] = []
    clashed: set[str] = set()
    for name, run in plumbing.map("runs").children():
        if run.is_map:
            if not run.has("line"):
                continue
            listed, whole = run.child("line"), run
        elif run.is_list:
            listed, whole = run, None
        else:
            continue
        if not listed.is_list:
            continue
        named = [*listed.items(), *([whole.child("from")] if whole is not None and whole.has("from") else [])]
        written += [item for item in named if isinstance(item.data, str)]
        tags, spots = _tags(name, listed, parts, stock, clashed, counted, said)
        starts = whole is not None and whole.has("from")
        own = Tree({}, SpecSpot(run.spot.value, inside={}))
        if whole is not None:
            for key in CLASSES:
                if whole.has(key):
                    below = whole.child(key)
                    own.put(key, below.data, below.spot)
                    whole.drop(key)
        for tag in tags if starts else tags[1:]:
            if isinstance(tag, str):  # anything else is refused by the schema, at its place
                of_run.setdefault(tag, own)
        if whole is not None and starts:
            whole.put("line", tags, SpecSpot(listed.spot.value, listed.spot.key, list(spots)))
            continue
        if not tags:
            continue
        line = SpecSpot(listed.spot.value, listed.spot.key, list(spots[1:]))
        made = whole if whole is not None else Tree({}, SpecSpot(run.spot.value, run.spot.key, {}))
        made.put("from", tags[0], SpecSpot(spots[0].value, spots[0].value))
        made.put("line", tags[1:], line)
        if whole is None:
            plumbing.child("runs").put(name, made.data, made.spot)
    said += [moves(item) for item in written if item.data in counted]
    return of_run


def moves(item: Tree) -> Said:
    """A counted name is printed and never referred to: the next part put in would give it to another one."""
    return Said(f"{item.data} is a counted name, which moves", "give the part a tag", item.spot.value)


def _tags(
    name: str, listed: Tree, parts: Tree, stock: Tree, clashed: set[str], counted: set[str], said: list[Said]
) -> tuple[list[object], list[SpecSpot]]:
    tags: list[object] = []
    spots: list[SpecSpot] = []
    # Parts after the first item are counted from the run: several runs may begin at one tee.
    before, count = f"{name}.", 0
    for i, item in enumerate(listed.items()):
        tag, body, spot = _item(item)
        if isinstance(tag, str) and is_range(tag):
            # Nobody knows which parts are meant, so nothing is said of a part that is none.
            fix = "write it under parts:, and each of its tags in the line where it comes"
            said.append(
                Said(
                    f"a range cannot stand in a line: {tag}",
                    fix,
                    item.spot.value if body is None else spot.key or spot.value,
                )
            )
            if tag not in parts.data:
                parts.put(tag, {"kind": None}, spot_for({"kind": None}, item.spot.value))
            body = None
        named = tag is not None
        if not named:
            count += 1
            tag = f"{before}{count}"
            counted.add(tag)
        elif i:
            before, count = f"{tag}+", 0
        if body is not None:
            if tag in parts.data:
                if tag not in clashed:
                    clashed.add(tag)
                    fix = "give one of them another tag, or the part without a tag one of its own"
                    said.append(Said(f"two parts are called {tag!r}", fix, item.place))
            else:
                key = spot.key if named else None
                parts.put(tag, body.data, SpecSpot(body.spot.value, key or body.spot.value, body.spot.inside))
        elif isinstance(tag, str) and tag in stock.data and tag not in parts.data:
            parts.put(tag, tag, SpecSpot(spot.value, spot.value))
        tags.append(tag)
        spots.append(SpecSpot(spot.value))
    return tags, spots


def _item(item: Tree) -> tuple[Any, Tree | None, SpecSpot]:
    """Tag (None when it has none), part (None when it only names one) and spot of an item of a run."""
    if isinstance(item.data, str):
        if " " in item.data.strip():
            return None, item, item.spot
        return item.data, None, item.spot
    if item.is_map and len(item.data) == 1 and "is" not in item.data:
        tag, below = item.children()[0]
        return tag, below, below.spot
    if item.is_map:
        return None, item, item.spot
    return item.data, None, item.spot
