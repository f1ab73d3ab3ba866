"""Fields of a plugin's own on what has a tag: `x: {club: {...}}` at a part, a person, a place, an effect.

A plugin names the place beside its roots, `{"plumbing.parts.x": SCHEMA, "people.x": SCHEMA}`: where in a spec the tags
stand, and then `x`. The schema is of the mapping under the plugin's name; other keys are refused unless it says so.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from typing import Any

Schema = Mapping[str, Any]

KEY = "x"
_END = "." + KEY
# Entries by a name that is no tag of anything.
_NO_TAGS = ("limits", "waivers", "plugins", "attachments")


def place_of(name: str) -> str:
    """Where the tags stand, of a name such as "plumbing.parts.x"; "" for the name of a root."""
    return name.removesuffix(_END) if name.endswith(_END) else ""


def tagged(whole: Schema) -> dict[str, list[dict[str, Any]]]:
    """The schemas of all entries by tag, by the dotted place of their tags; several where a kind chooses."""
    found: dict[str, list[dict[str, Any]]] = {}
    for root, below in whole["properties"].items():
        if root not in _NO_TAGS:
            for place, entry in _entries(below, root):
                found.setdefault(place, []).append(entry)
    return found


def _entries(schema: Any, place: str) -> Iterator[tuple[str, dict[str, Any]]]:
    if not isinstance(schema, dict):
        return
    entry = schema.get("additionalProperties")
    if isinstance(entry, dict) and KEY not in entry.get("properties", {KEY: ()}):
        yield place, entry
    if isinstance(entry, dict):
        yield from _entries(entry, place)
    for branch in (schema, *schema.get("x-choose", {}).get("from", {}).values()):
        for key, below in branch.get("properties", {}).items():
            yield from _entries(below, f"{place}.{key}")


def take_in(whole: dict[str, Any], claimed: Mapping[str, Mapping[str, Schema]]) -> None:
    """Put the plugins' fields into the schema, in place. `claimed`: place of the tags, to plugin, to schema."""
    entries = tagged(whole) if claimed else {}
    claims: dict[str, list[str]] = {}
    for place, by_plugin in claimed.items():
        fields = {
            "type": "object",
            "description": "fields of plugins' own, by the name of the plugin",
            "additionalProperties": False,
            "x-fields": place,
            "properties": {
                plugin: {"type": "object", "additionalProperties": False, **schema}
                for plugin, schema in by_plugin.items()
            },
        }
        for entry in entries[place]:
            entry["properties"] = {**entry["properties"], KEY: fields}
        for plugin in by_plugin:
            claims.setdefault(plugin, []).append(place)
    whole["x-claims"] = claims


def no_such_place(place: str, known: Mapping[str, Any]) -> str:
    """What to write instead of a place where nothing has a tag."""
    near = difflib.get_close_matches(place, list(known), 1, 0.6)
    return f'did you mean "{near[0]}{_END}"?' if near else "one of: " + ", ".join(f"{p}{_END}" for p in sorted(known))
