"""The schema that a spec is judged by: the core's and what the plugins of one host bring."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from specc.engine.plugin import Host, PluginTrouble
from specc.model.passes import RuleFacts
from specc.spec import fields, schema

Whole = tuple[Mapping[str, Any], tuple[PluginTrouble, ...]]


@lru_cache(maxsize=2)
def whole_schema(host: Host) -> Whole:
    """The whole schema, which nobody may change, and where plugins contest it.

    A root that two plugins claim belongs to neither.
    """
    own = schema.core()["properties"]
    parts: dict[str, Any] = {}
    owner: dict[str, str] = {}
    troubles = []
    for plugin in host.plugins:
        for root, part in plugin.schema.items():
            if fields.place_of(root):
                continue
            if root in owner or root in own:
                other = owner.get(root, "the core")
                troubles.append(
                    PluginTrouble(
                        plugin.name,
                        "plugin.contested_root",
                        f"the root {root!r} of the spec is claimed by {plugin.name} and by {other}",
                        f"a root of the plugin's own, {plugin.name}:, or fields at what has a tag: "
                        '"plumbing.parts.x", "people.x" and the like beside the roots in specc_schema',
                    )
                )
                continue
            owner[root] = plugin.name
            parts[root] = part
    claimed = _fields(host, parts, troubles)
    passes = [p for plugin in host.plugins for p in plugin.passes]
    old_rules = {old: p.id for p in passes for old in (p.facts.was if isinstance(p.facts, RuleFacts) else p.was)}
    old_limits = {old: limit.key for plugin in host.plugins for limit in plugin.limits for old in limit.was}
    return schema.compose(parts, old_rules, old_limits, claimed), tuple(troubles)


def _fields(host: Host, parts: Mapping[str, Any], troubles: list[PluginTrouble]) -> dict[str, dict[str, Any]]:
    """The fields that plugins have on what has a tag: by the place of the tags, then by plugin."""
    claims = [
        (p.name, at, part) for p in host.plugins for name, part in p.schema.items() if (at := fields.place_of(name))
    ]
    known = fields.tagged(schema.compose(parts)) if claims else {}
    made: dict[str, dict[str, Any]] = {}
    for plugin, place, part in claims:
        if place in known:
            made.setdefault(place, {})[plugin] = part
            continue
        message = f"the plugin {plugin!r} has fields at {place}, where nothing has a tag"
        troubles.append(PluginTrouble(plugin, "plugin.schema", message, fields.no_such_place(place, known)))
    return made


__all__ = ["whole_schema"]
