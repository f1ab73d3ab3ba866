"""The order of passes, from what they need and provide. Nothing else decides it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

from specc.engine.plugin import Held, PluginTrouble
from specc.kinds.weather import CASES


class Order(NamedTuple):
    """Passes so that each comes after what it needs. `blocked`: the passes that cannot run, and why."""

    passes: tuple[Held, ...]
    blocked: tuple[tuple[Held, str], ...]
    troubles: tuple[PluginTrouble, ...]


def _needs(held: Held) -> tuple[str, ...]:
    names = tuple(k.name for k in held.pass_.needs)
    return (*names, CASES.name) if held.pass_.per_case else names


def arrange(passes: Iterable[Held], wanted: Callable[[Held], bool]) -> Order:
    """Order the wanted passes and all that they need or want."""
    everything = tuple(passes)
    troubles: list[PluginTrouble] = []
    blocked: dict[int, tuple[Held, str]] = {}
    providers: dict[str, list[Held]] = defaultdict(list)
    for held in everything:
        if held.pass_.provides is not None:
            providers[held.pass_.provides.name].append(held)
    for name, listed in providers.items():
        owned = [h for h in listed if h.pass_.provides is not None and not h.pass_.provides.gathered]
        if len(listed) > 1 and owned:
            among = tuple(sorted({h.plugin for h in listed}))
            who = ", ".join(among)
            troubles.append(
                PluginTrouble(
                    who,
                    "plugin.contested_key",
                    f"{name} is provided twice, by {who}; neither counts",
                    "one plugin provides a key: rename one, or use plugins: replace:",
                    among=among,
                )
            )
            for held in listed:
                blocked[id(held.pass_)] = (held, f"{name} is contested")
    seen_rules: dict[str, Held] = {}
    for held in everything:
        if held.pass_.kind == "value":
            continue
        name = f"{held.pass_.kind} {held.pass_.id}"
        if name in seen_rules and id(held.pass_) not in blocked:
            other = seen_rules[name]
            troubles.append(
                PluginTrouble(
                    held.plugin,
                    "plugin.same_id",
                    f"{name} is in the plugin {held.plugin!r} and in {other.plugin!r}; the second does not run",
                )
            )
            blocked[id(held.pass_)] = (held, f"{name} exists twice")
        seen_rules.setdefault(name, held)

    chosen: dict[int, Held] = {}
    stack = [h for h in everything if wanted(h)]
    while stack:
        held = stack.pop()
        if id(held.pass_) in chosen:
            continue
        chosen[id(held.pass_)] = held
        for name in (*_needs(held), *(k.name for k in held.pass_.wants)):
            stack.extend(providers.get(name, ()))
        for key in held.pass_.needs:
            if key.name not in providers and not key.gathered:
                troubles.append(
                    PluginTrouble(
                        held.plugin,
                        "plugin.missing_key",
                        f"{held.pass_.id} of the plugin {held.plugin!r} needs {key.name}, which no plugin provides",
                    )
                )
                blocked.setdefault(id(held.pass_), (held, f"{key.name} is provided by no plugin"))

    position = {id(h.pass_): i for i, h in enumerate(everything)}
    while True:
        sorter: TopologicalSorter[int] = TopologicalSorter()
        # Adding in the plugins' own order keeps the result the same from run to run.
        for ref in sorted(chosen, key=lambda r: position[r]):
            if ref in blocked:
                continue
            held = chosen[ref]
            names = (*_needs(held), *(k.name for k in held.pass_.wants))
            before = [id(h.pass_) for n in names for h in providers.get(n, ()) if id(h.pass_) in chosen]
            sorter.add(ref, *(b for b in before if b not in blocked))
        try:
            ordered = tuple(chosen[ref] for ref in sorter.static_order())
            break
        except CycleError as e:
            ring = [chosen[ref] for ref in dict.fromkeys(e.args[1])]
            names_ = " needs ".join(h.pass_.id for h in ring) + f" needs {ring[0].pass_.id}"
            among = tuple(sorted({h.plugin for h in ring}))
            who = ", ".join(among)
            message = f"passes need each other in a circle: {names_} ({who})"
            troubles.append(PluginTrouble(who, "plugin.cycle", message, among=among))
            for held in ring:
                blocked[id(held.pass_)] = (held, "it needs itself, by way of others")
    return Order(ordered, tuple(b for r, b in blocked.items() if r in chosen), tuple(dict.fromkeys(troubles)))
