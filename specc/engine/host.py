"""Loads plugins, and turns every trouble with one into a `PluginTrouble`, never into an exception.

Built-in plugins come with this distribution and are found as a club's are: by entry point (`installed.py`).
A club's plugin runs only if the spec's `plugins: use:` names it or `--plugin` does. Code that lies in a
project's folder is never picked up by itself.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType, ModuleType

import pluggy

from specc import hookspecs
from specc.engine import moved
from specc.engine.guard import calling, crash
from specc.engine.hooks import contract_fault, gather, misspelled, own_commands, own_ids
from specc.engine.installed import AbsentFile, Found, core, entry_points, from_file
from specc.engine.plugin import Host, Plugin, PluginTrouble, Replaced, said


def find_for(plugins: object, files: Iterable[str] = (), block: Iterable[str] = ()) -> Host:
    """The plugins a spec runs with: `plugins` is its root of that name, as far as it can be read.

    What is wrong with that root is the schema's to say. `files` and `block` as in `find`.
    """
    named = plugins if isinstance(plugins, Mapping) else {}
    use, replace = named.get("use"), named.get("replace")
    return find(
        [str(name) for name in use] if isinstance(use, list) else [],
        {str(old): str(new) for old, new in replace.items()} if isinstance(replace, Mapping) else {},
        files,
        block,
    )


def find(
    use: Iterable[str] = (),
    replace: Mapping[str, str] | None = None,
    files: Iterable[str] = (),
    block: Iterable[str] = (),
) -> Host:
    """Load the core's passes, the built-in plugins, and the named others.

    `use`: names of installed plugins the spec asks for. `replace`: a built-in's name to the plugin that
    takes its keys over. `files`: Python files or installed names given with --plugin. `block`: built-ins
    to leave out.
    """
    use, replace, files = tuple(use), dict(replace or {}), tuple(files)
    if not (use or replace or files):
        return _built_in(tuple(sys.path), tuple(block))
    return _find(use, replace, files, tuple(block))


@lru_cache(maxsize=8)
def _built_in(path: tuple[str, ...], block: tuple[str, ...]) -> Host:
    """The built-in plugins, loaded once in a process: a club's folder of specs is checked with the same ones.

    `path` is what Python finds packages by; with another one other plugins may be there.
    """
    return _find((), {}, (), block)


def _find(use: tuple[str, ...], replace: dict[str, str], files: tuple[str, ...], block: tuple[str, ...]) -> Host:
    troubles: list[PluginTrouble] = []
    points = entry_points()
    built_in = [p for p in points if p.origin == "built-in"]
    others = {p.name: p for p in points if p.origin != "built-in"}
    for old in replace:
        if old not in {p.name for p in built_in}:
            troubles.append(
                PluginTrouble(
                    old,
                    "plugin.unknown",
                    f"plugins: replace: names {old!r}, which is not a built-in plugin",
                    "one of: " + ", ".join(p.name for p in built_in),
                    failed=False,
                )
            )
    chosen = [core()] + [p for p in built_in if p.name not in replace and p.name not in set(block)]
    wanted = list(dict.fromkeys([*use, *replace.values()]))
    from_files = []
    for given in files:
        if given.endswith(".py") or "/" in given:
            from_files.append(from_file(Path(given)))
        else:
            wanted.append(given)
    from_file_names = {f.name for f in from_files}
    for name in dict.fromkeys(wanted):
        if name in others:
            chosen.append(others[name])
        elif name not in from_file_names:
            listed = ", ".join(sorted(others)) or "none"
            troubles.append(
                PluginTrouble(
                    name,
                    "plugin.absent",
                    f"the plugin {name!r} is not installed",
                    f"install it, or give its file with --plugin; installed here: {listed}",
                    failed=False,
                )
            )
    chosen.extend(from_files)
    host = _load(chosen, troubles, replace)
    taken = {p.name: replace[p.name] for p in built_in if p.name in replace}
    return _with_replaced(host, [p for p in built_in if p.name in taken], taken) if taken else host


def _with_replaced(host: Host, old: Sequence[Found], taken: Mapping[str, str]) -> Host:
    """Say what a replaced built-in judged and nobody does now; refuse a plugin that lacks what it takes over."""
    here = {p.name: p for p in host.plugins}
    rules = {x.id for p in host.plugins for x in p.passes if x.kind == "rule"}
    troubles, replaced, refused = list(host.troubles), [], set()
    for was in _load(old, []).plugins:
        new = here.get(taken[was.name])
        if new is None:
            continue
        has = {x.provides.name for x in new.passes if x.provides is not None}
        owed = {x.provides.name for x in was.passes if x.provides is not None and not x.provides.gathered}
        needed = {k.name for p in host.plugins for x in p.passes for k in (*x.needs, *x.wants)}
        lacks = tuple(sorted((owed - has) & needed))
        if lacks:
            refused.add(new.name)
            troubles.append(
                PluginTrouble(
                    new.name,
                    "plugin.replace",
                    f"the plugin {new.name!r} cannot replace {was.name!r}: it lacks {', '.join(lacks)}",
                    "provide these keys, or add to the built-in with plugins: use:",
                )
            )
        silent = tuple(sorted({x.id for x in was.passes if x.kind == "rule"} - rules))
        replaced.append(Replaced(was.name, new.name, silent, lacks))
    kept = tuple(p for p in host.plugins if p.name not in refused)
    return Host(kept, tuple(troubles), tuple(replaced))


# What the core and the built-ins give is the same at each call; other plugins are asked anew.
_GATHERED: dict[ModuleType, Plugin] = {}


def _load(
    chosen: Sequence[Found], troubles: list[PluginTrouble], replace: Mapping[str, str] = MappingProxyType({})
) -> Host:
    manager = pluggy.PluginManager("specc")
    manager.add_hookspecs(hookspecs)
    names = [f.name for f in chosen]
    plugins: list[Plugin] = []
    for found in chosen:
        if names.count(found.name) > 1:
            if not any(t.plugin == found.name and t.rule == "plugin.same_name" for t in troubles):
                troubles.append(
                    PluginTrouble(
                        found.name,
                        "plugin.same_name",
                        f"two plugins are called {found.name!r}; neither runs",
                        "rename one, or name it under plugins: replace:",
                    )
                )
            continue
        try:
            with calling(f"the import of the plugin {found.name}"):
                module = found.load()
        except KeyboardInterrupt:
            raise
        except AbsentFile as e:
            troubles.append(PluginTrouble(found.name, "plugin.absent", e.message, e.fix, failed=False))
            continue
        except BaseException as e:  # a plugin may fail in any way, also by leaving
            troubles.append(
                PluginTrouble(
                    found.name,
                    "plugin.import",
                    f"the plugin {found.name!r} cannot be imported: {said(e)}{crash(e)}",
                    moved.told(e),
                )
            )
            continue
        contract = getattr(module, "SPECC_CONTRACT", None)
        trouble = contract_fault(found.name, contract)
        if trouble is not None:
            troubles.append(trouble)
            if trouble.failed:
                continue
        troubles.extend(misspelled(found.name, module))
        known = _GATHERED.get(module) if found.origin in ("core", "built-in") else None
        if known is None:
            manager.register(module, found.name)
            before = len(troubles)
            known = gather(manager, found, module, troubles)
            if found.origin in ("core", "built-in") and len(troubles) == before:
                _GATHERED[module] = known
        plugin = known
        if found.origin in ("installed", "file"):
            own = [found.name, *(old for old, new in replace.items() if new == found.name)]
            taken = {"core", *(f.name for f in chosen if f is not found), *(p.name for p in entry_points())}
            given = {x.provides.name for other in plugins for x in other.passes if x.provides is not None}
            plugin = own_ids(plugin, own, taken - set(own), given, troubles)
            plugin = own_commands(plugin, plugins, troubles)
        plugins.append(plugin)
    return Host(tuple(plugins), tuple(troubles))
