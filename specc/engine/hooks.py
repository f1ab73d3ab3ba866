"""What a plugin's hooks give, and whether each thing may be used: its kind, its contract, names that are its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from types import FunctionType, ModuleType
from typing import Any

import pluggy

from specc import hookspecs
from specc.engine.guard import calling, crash
from specc.engine.installed import Found
from specc.engine.plugin import Plugin, PluginTrouble, said
from specc.engine.shared_keys import shared_keys
from specc.engine.type_check import wrong, wrong_limit, wrong_pass, wrong_verb
from specc.formulas.calculators import Calculator
from specc.model.own_verbs import VERBS
from specc.model.passes import Limit, Pass
from specc.model.values import Reference
from specc.model.verb import Verb

HOOKS = tuple(name for name in vars(hookspecs) if name.startswith("specc_"))
MOST = 20_000
"""Things that one hook may give."""


def own_ids(
    plugin: Plugin, names: Sequence[str], taken: Iterable[str], given: Iterable[str], troubles: list[PluginTrouble]
) -> Plugin:
    """The plugin without passes and limits that take a name which is not its own."""

    def own(id: str) -> bool:
        word = id.partition(".")[0]
        # A club's several plugins, such as club_gas and club_site, may share its name; nobody may share a built-in's.
        shared = word not in taken and any(name.startswith(f"{word}_") for name in names)
        return shared or any(word == name or word.startswith(f"{name}_") for name in names)

    def good(kind: str, id: str) -> bool:
        if own(id):
            return True
        troubles.append(
            PluginTrouble(
                plugin.name,
                "plugin.foreign_id",
                f"the {kind} {id} of the plugin {plugin.name!r} takes a name that is not its own; it does not run",
                f"begin it with {names[0]}.",
            )
        )
        return False

    def anybodys(p: Pass) -> bool:
        """A gathered key, or one that specc.kinds holds ready and nobody provides yet."""
        return p.provides is not None and (
            p.provides.gathered or (p.provides.name in shared_keys() and p.provides.name not in given)
        )

    passes = tuple(p for p in plugin.passes if anybodys(p) or good(p.kind, p.id))
    return plugin._replace(passes=passes, limits=tuple(x for x in plugin.limits if good("limit", x.key)))


def own_commands(plugin: Plugin, before: Iterable[Plugin], troubles: list[PluginTrouble]) -> Plugin:
    """The plugin without verbs and calculators whose names are specc's own, or those of another plugin before it."""
    before = tuple(before)
    verbs = {*VERBS, *(v.name for other in before for v in other.verbs)}
    sums = {c.name for other in before for c in other.calculators}

    def free(kind: str, name: str, taken: set[str]) -> bool:
        if name in taken:
            message = f"the {kind} {name} of the plugin {plugin.name!r} has a name that is taken; it does not run"
            troubles.append(PluginTrouble(plugin.name, "plugin.same_id", message, "give it a name of its own"))
        return name not in taken

    return plugin._replace(
        verbs=tuple(v for v in plugin.verbs if free("verb", v.name, verbs)),
        calculators=tuple(c for c in plugin.calculators if free("calculator", c.name, sums)),
    )


def contract_fault(name: str, contract: Any) -> PluginTrouble | None:
    """What is wrong with the contract that a plugin states: none, a newer one, or an older one, which still runs."""
    now = hookspecs.CONTRACT
    if type(contract) is int and contract == now:
        return None
    if type(contract) is int and contract in hookspecs.OLDER:
        return PluginTrouble(
            name,
            "plugin.contract",
            f"the plugin {name!r} was made for contract {contract}; this specc keeps {now}, and runs it as it was",
            f"name in limits= each limit that a pass asks for, then write SPECC_CONTRACT = {now}",
            failed=False,
            level="warning",
        )
    if type(contract) is int and contract > now:
        message = (
            f"the plugin {name!r} was made for contract {contract}, which is newer than this specc; it keeps {now}"
        )
        return PluginTrouble(name, "plugin.contract", message, "a newer specc, or an older version of the plugin")
    said_ = "states no contract" if contract is None else f"states the contract {contract!r}, which there is not"
    return PluginTrouble(
        name,
        "plugin.contract",
        f"the plugin {name!r} {said_}; this specc keeps {now}",
        f"SPECC_CONTRACT = {now} in the plugin, once it is checked against DEVELOPERS.md",
    )


def misspelled(name: str, module: ModuleType) -> Iterable[PluginTrouble]:
    import difflib

    for attribute, thing in sorted(vars(module).items()):
        if not attribute.startswith("specc_") or isinstance(thing, ModuleType):
            continue
        if attribute not in HOOKS:
            near = difflib.get_close_matches(attribute, HOOKS, 1, 0.5)
            yield PluginTrouble(
                name,
                "plugin.hook",
                f"the plugin {name!r} has {attribute}, which is not a hook",
                f"did you mean {near[0]}?" if near else "the hooks are: " + ", ".join(HOOKS),
            )
        elif not hasattr(thing, "specc_impl"):
            yield PluginTrouble(
                name,
                "plugin.hook",
                f"the plugin {name!r} has {attribute} without @hookimpl, so it is never called",
                "put @hookimpl above it",
            )


def gather(manager: pluggy.PluginManager, found: Found, module: ModuleType, troubles: list[PluginTrouble]) -> Plugin:
    def call(hook: str, kind: type | tuple[type, ...]) -> tuple[Any, ...]:
        given: list[Any] = []
        for impl in getattr(manager.hook, hook).get_hookimpls():
            if impl.plugin is not module:
                continue
            try:
                with calling(f"{hook} of the plugin {found.name}"):
                    returned = impl.function()
                    listed = list(islice(returned.items() if isinstance(returned, Mapping) else returned, MOST + 1))
                if len(listed) > MOST:
                    raise ValueError(f"it gives more than {MOST:,} things")
            except KeyboardInterrupt:
                raise
            except BaseException as e:
                troubles.append(
                    PluginTrouble(
                        found.name,
                        "plugin.hook_failed",
                        f"{hook} of the plugin {found.name!r} failed: {said(e)}{crash(e)}",
                    )
                )
                continue
            for item in listed:
                other = _unsound(item, kind)
                if other:
                    troubles.append(
                        PluginTrouble(
                            found.name, "plugin.nonsense", f"{hook} of the plugin {found.name!r} gave {other}"
                        )
                    )
                else:
                    given.append(item)
        return tuple(given)

    schema: dict[str, Mapping[str, Any]] = {}
    if found.origin != "core":
        from specc.spec.schema import faults_in

        for root, part in call("specc_schema", tuple):  # pairs: see _unsound
            fault = (
                "" if found.origin == "built-in" else faults_in(part) if isinstance(part, Mapping) else "not a mapping"
            )
            if fault:
                troubles.append(
                    PluginTrouble(
                        found.name,
                        "plugin.schema",
                        f"the schema of {root!r} in the plugin {found.name!r} is wrong: {fault}",
                    )
                )
            else:
                schema[root] = part
    passes = call("specc_passes", (Pass, Limit))
    return Plugin(
        found.name,
        found.version,
        found.origin,
        module,
        schema,
        call("specc_references", Reference),
        tuple(p for p in passes if isinstance(p, Pass)),
        tuple(p for p in passes if isinstance(p, Limit)),
        call("specc_calculators", Calculator),
        call("specc_verbs", Verb),
        call("specc_short_forms", FunctionType),
        module.SPECC_CONTRACT,
    )


def _unsound(item: Any, kind: type | tuple[type, ...]) -> str:
    """What a hook gave instead of one of its kind, in words; "" when it is one."""
    if not isinstance(item, kind):
        return type(item).__name__
    if kind is tuple and (type(item) is not tuple or len(item) != 2 or not isinstance(item[0], str)):
        return "something else than roots with their schemas"
    if isinstance(item, Pass):
        return wrong_pass(item)
    if isinstance(item, Limit):
        return wrong_limit(item)
    if isinstance(item, Verb):
        return wrong_verb(item)
    return wrong(item, Reference, "a reference") if isinstance(item, Reference) else ""
