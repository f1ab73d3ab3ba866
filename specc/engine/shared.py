"""Finds names of keys and of the spec's roots and properties that nobody knows: most likely mistyped.

A pass that reads what is not there finds nothing in it, and would pass.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from specc.engine.plugin import Held, PluginTrouble
from specc.engine.shared_keys import shared_keys
from specc.model.passes import RuleFacts
from specc.spec.schema import keys_of


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


def mistyped_in_spec(passes: Iterable[Held], whole: Mapping[str, Any]) -> Iterator[PluginTrouble]:
    """Roots that third parties' passes read, and properties that their rules rest on, which no spec can have.

    A root whose schema leaves open what stands in it has any property. A root that is spelled like none may be that of
    an optional plugin, which is not here. Tests hold the built-ins.
    """
    listed = [held for held in passes if held.third_party]
    if not listed:
        return
    roots = frozenset(whole["properties"])
    open_ = {root for root, below in whole["properties"].items() if below.get("additionalProperties", True) is True}
    names = keys_of(whole)
    fields = frozenset(whole.get("x-claims", ()))  # plugins with fields of their own on what has a tag

    def trouble(held: Held, does: str, name: str, near: list[str], otherwise: str) -> PluginTrouble:
        said = f"{held.pass_.id} of the plugin {held.plugin!r} {does} {name}, which no spec can have"
        return PluginTrouble(held.plugin, "plugin.unknown_key", said, f"did you mean {near[0]}?" if near else otherwise)

    for held in listed:
        p = held.pass_
        for root in p.reads:
            near = difflib.get_close_matches(root, sorted(roots), 1, 0.75)
            if root not in roots and (near or root.partition("_")[0] == held.plugin):
                yield trouble(held, "reads", root, near, "give its schema in specc_schema")
        for name in (*p.facts.rests_on, *p.facts.dated) if isinstance(p.facts, RuleFacts) else ():
            root, _, own = name.partition(".")
            near = [f"{root}.{n}" for n in difflib.get_close_matches(own, sorted(names), 1, 0.6)]
            if root in (roots - open_) | fields and own not in names:
                yield trouble(held, "rests on", name, near, "the root, a period, and a key below it")
            elif root not in roots | fields and (close := difflib.get_close_matches(root, sorted(roots), 1, 0.75)):
                yield trouble(held, "rests on", name, [f"{close[0]}.{own}"], "")
