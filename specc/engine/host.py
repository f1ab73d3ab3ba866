"""Finds plugins, and turns every trouble with one into a `PluginTrouble`, never into an exception.

Built-in plugins come with this distribution and are found as a club's are: by entry point, group "specc".
A club's plugin runs only if the spec's `plugins: use:` names it or `--plugin` does. Code that lies in a
project's folder is never picked up by itself.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import importlib.util
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path
from types import FunctionType, MappingProxyType, ModuleType
from typing import Any, NamedTuple

import pluggy

from specc import hookspecs
from specc.engine import moved
from specc.engine.guard import calling, crash
from specc.engine.shared_keys import shared_keys
from specc.engine.type_check import wrong, wrong_limit, wrong_pass, wrong_verb
from specc.formulas.calculators import Calculator
from specc.model.findings import Level
from specc.model.own_verbs import VERBS
from specc.model.passes import Limit, Pass
from specc.model.values import Reference
from specc.model.verb import Verb

GROUP = "specc"
OWN_DISTRIBUTION = "specc"
HOOKS = tuple(name for name in vars(hookspecs) if name.startswith("specc_"))


MOST = 20_000
"""Things that one hook may give."""


class PluginTrouble(NamedTuple):
    """Something wrong with a plugin. `failed` is False when the spec is to blame, not the plugin."""

    plugin: str
    rule: str
    message: str
    fix: str = ""
    failed: bool = True
    level: Level = "error"


class Held(NamedTuple):
    """A pass with the plugin it belongs to."""

    plugin: str
    version: str
    pass_: Pass
    contract: int = hookspecs.CONTRACT
    third_party: bool = False


class Plugin(NamedTuple):
    """A plugin as loaded, with what its hooks gave."""

    name: str
    version: str
    origin: str  # "core", "built-in", "installed" or "file"
    module: ModuleType
    schema: Mapping[str, Mapping[str, Any]]
    references: tuple[Reference, ...]
    passes: tuple[Pass, ...]
    limits: tuple[Limit, ...]
    calculators: tuple[Calculator[..., Any], ...]
    verbs: tuple[Any, ...]
    short_forms: tuple[Callable[..., None], ...] = ()
    contract: int = hookspecs.CONTRACT

    @property
    def third_party(self) -> bool:
        """Whether it comes from elsewhere than specc: what it gives carries its name."""
        return self.origin in ("installed", "file")


class Replaced(NamedTuple):
    """A built-in whose place another plugin took, and what of it is not there any more."""

    old: str
    new: str
    rules: tuple[str, ...]  # rules that nobody judges now
    keys: tuple[str, ...]  # shared values that the other lacks


class Host(NamedTuple):
    plugins: tuple[Plugin, ...]
    troubles: tuple[PluginTrouble, ...]
    replaced: tuple[Replaced, ...] = ()

    # A host is equal to itself alone: what follows from its plugins is worked out once for all specs that it runs.
    def __hash__(self) -> int:
        return id(self)

    def __eq__(self, other: object) -> bool:
        return self is other

    @property
    def passes(self) -> tuple[Held, ...]:
        return tuple(Held(p.name, p.version, x, p.contract, p.third_party) for p in self.plugins for x in p.passes)


class _Found(NamedTuple):
    name: str
    version: str
    origin: str
    load: Callable[[], Any]


def _entry_points() -> tuple[_Found, ...]:
    return _points(tuple(sys.path))


@lru_cache(maxsize=8)
def _points(path: tuple[str, ...]) -> tuple[_Found, ...]:
    """What is installed, read once in a process; `path` is what Python finds packages by."""
    found: dict[tuple[str, str, str], _Found] = {}
    for point in importlib.metadata.entry_points(group=GROUP):
        dist = point.dist.name if point.dist else ""
        own = dist.lower() == OWN_DISTRIBUTION
        version = point.dist.version if point.dist else ""
        # An editable install beside a plain one lists the same entry point twice.
        found.setdefault(
            (point.name, point.value, dist),
            _Found(point.name, version, "built-in" if own else "installed", point.load),
        )
    return tuple(sorted(found.values(), key=lambda f: (f.origin != "built-in", f.name)))


def installed() -> tuple[str, ...]:
    """The names of the installed plugins that are not built in; none of them is imported for that."""
    return tuple(dict.fromkeys(p.name for p in _entry_points() if p.origin == "installed"))


class AbsentFile(Exception):
    """A plugin's file that is named and not there."""


def _from_file(path: Path) -> _Found:
    def load() -> ModuleType:
        if not path.is_file():
            raise AbsentFile(f"the plugin file {path} is not there")
        spec = importlib.util.spec_from_file_location(f"specc_plugin_{path.stem}", path)
        if spec is None or spec.loader is None:
            raise ImportError(f"{path} is not a Python file")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return module

    try:
        version = "file " + hashlib.sha256(path.read_bytes()).hexdigest()[:12]
    except OSError:
        version = "file"
    return _Found(path.stem, version, "file", load)


def _core() -> _Found:
    def load() -> ModuleType:
        return importlib.import_module("specc.basics")

    from specc import __version__

    return _Found("core", __version__, "core", load)


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
    points = _entry_points()
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
    chosen = [_core()] + [p for p in built_in if p.name not in replace and p.name not in set(block)]
    wanted = list(dict.fromkeys([*use, *replace.values()]))
    from_files = []
    for given in files:
        if given.endswith(".py") or "/" in given:
            from_files.append(_from_file(Path(given)))
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


def _with_replaced(host: Host, old: Sequence[_Found], taken: Mapping[str, str]) -> Host:
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
    chosen: Sequence[_Found], troubles: list[PluginTrouble], replace: Mapping[str, str] = MappingProxyType({})
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
            fix = "give the path of a Python file, from here or from the root"
            troubles.append(PluginTrouble(found.name, "plugin.absent", str(e), fix, failed=False))
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
        trouble = _contract(found.name, contract)
        if trouble is not None:
            troubles.append(trouble)
            if trouble.failed:
                continue
        troubles.extend(_misspelled(found.name, module))
        known = _GATHERED.get(module) if found.origin in ("core", "built-in") else None
        if known is None:
            manager.register(module, found.name)
            before = len(troubles)
            known = _gather(manager, found, module, troubles)
            if found.origin in ("core", "built-in") and len(troubles) == before:
                _GATHERED[module] = known
        plugin = known
        if found.origin in ("installed", "file"):
            own = [found.name, *(old for old, new in replace.items() if new == found.name)]
            taken = {"core", *(f.name for f in chosen if f is not found), *(p.name for p in _entry_points())}
            given = {x.provides.name for other in plugins for x in other.passes if x.provides is not None}
            plugin = _own_ids(plugin, own, taken - set(own), given, troubles)
            plugin = _own_commands(plugin, plugins, troubles)
        plugins.append(plugin)
    return Host(tuple(plugins), tuple(troubles))


def _own_ids(
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


def _own_commands(plugin: Plugin, before: Iterable[Plugin], troubles: list[PluginTrouble]) -> Plugin:
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


def _contract(name: str, contract: Any) -> PluginTrouble | None:
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


def _misspelled(name: str, module: ModuleType) -> Iterable[PluginTrouble]:
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


def _gather(manager: pluggy.PluginManager, found: _Found, module: ModuleType, troubles: list[PluginTrouble]) -> Plugin:
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


def said(e: BaseException) -> str:
    """An exception in one short line."""
    try:
        text = " ".join(str(e).split())
    except Exception:  # its own message fails
        text = ""
    return f"{type(e).__name__}: {text[:200]}" if text else type(e).__name__
