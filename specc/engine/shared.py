"""Finds names of keys that no pass and no module of specc.kinds knows: most likely mistyped."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from specc.engine.host import Held, PluginTrouble
from specc.engine.shared_keys import shared_keys


def mistyped(passes: Iterable[Held]) -> list[PluginTrouble]:
    """Keys in `wants`, and gathered keys, that no pass and no module of specc.kinds knows: most likely mistyped.

    A key whose first word is the name of no plugin that runs may be that of an optional plugin, which is not here;
    it is found only when a known key is spelled nearly so.
    """
    listed = tuple(passes)
    provided = {h.pass_.provides.name for h in listed if h.pass_.provides is not None}
    read = {k.name for h in listed for k in (*h.pass_.needs, *h.pass_.wants)}
    strays: list[tuple[Held, str, str]] = []
    for held in listed:
        p = held.pass_
        asked = [*p.wants, *(k for k in p.needs if k.gathered)]
        strays += [(held, k.name, "wants") for k in asked if k.name not in provided]
        if p.provides is not None and p.provides.gathered and p.provides.name not in read:
            strays.append((held, p.provides.name, "adds to"))
    if not strays:
        return []
    here = {h.plugin for h in listed}
    known = provided | set(shared_keys())
    troubles = []
    for held, name, verb in strays:
        if name in shared_keys() or (verb == "adds to" and held.plugin == "core"):
            continue
        near = difflib.get_close_matches(name, sorted(known - {name}), 1, 0.75)
        if not near and name.partition(".")[0] not in here:
            continue
        who = "which no pass reads" if verb == "adds to" else "which no plugin provides"
        troubles.append(
            PluginTrouble(
                held.plugin,
                "plugin.unknown_key",
                f"{held.pass_.id} of the plugin {held.plugin!r} {verb} {name}, {who}",
                f"did you mean {near[0]}?" if near else "see specc plugins --keys",
            )
        )
    return troubles
