"""Joints by part: `{ends_of: [h1, t_p], method: flared}`, and `after: h_a` for a part's downstream end."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from specc.spec.short_forms import Said, Tree, copied, spot_for
from specc.spec.source.places import SpecSpot


def write_out(plumbing: Tree, counted: set[str], said: list[Said]) -> None:
    """Make each joint by part one entry a joint, `between` two parts, in place. `counted`: names not to refer to."""
    joints = plumbing.map("joints")
    links: list[tuple[str, str]] | None = None
    for tag, joint in joints.children():
        key = next((k for k in ("ends_of", "after") if joint.has(k)), "")
        if not key or joint.has("between"):
            continue
        if links is None:
            links = _links(plumbing)
        named = joint.child(key)
        joint.drop(key)
        wanted = named.items() if named.is_list else [named]
        pairs: list[tuple[tuple[str, str], SpecSpot]] = []
        for item in wanted:
            if not isinstance(item.data, str):
                said.append(Said(f"{key}: names a part by its tag", "the tag of a part in a run", item.spot.value))
                continue
            if item.data in counted:
                continue  # said with all that refer to one
            found = [p for p in links if p[0] == item.data or (key == "ends_of" and p[1] == item.data)]
            if not found:
                said.append(Said(f"{item.data!r} is joined to nothing", "the tag of a part in a run", item.spot.value))
            pairs += [(p, item.spot) for p in found if p not in [q for q, _ in pairs]]
        made: list[tuple[str, Any, SpecSpot]] = []
        for pair, spot in pairs:
            body, spots = copied(joint.data, joint.spot)
            one = Tree(body, spots)
            one.put("between", list(pair), spot_for(list(pair), spot.value, spot.value))
            name = tag if len(pairs) == 1 else f"{tag}_{pair[0]}_{pair[1]}"
            if name != tag and name in joints.data:
                said.append(Said(f"two joints are called {name!r}", "give one of them another tag", joint.place))
            made.append((name, body, spots))
        joints.replace_items(tag, made)


def _links(plumbing: Tree) -> list[tuple[str, str]]:
    found: dict[tuple[str, str], None] = {}
    for _, run in plumbing.map("runs").children():
        line = run.data.get("line") if run.is_map else None
        tags = [run.data.get("from"), *line] if isinstance(line, list) and run.is_map else []
        texts = [t for t in tags if isinstance(t, str)]
        found.update(dict.fromkeys(pairwise(texts)))
    return list(found)
