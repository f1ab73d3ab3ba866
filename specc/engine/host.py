"""Finds plugins, and turns every trouble with one into a `PluginTrouble`, never into an exception.

Built-in plugins come with this distribution and are found as a club's are: by entry point, group "specc".
A club's plugin runs only if the spec's `plugins: use:` names it or `--plugin` does. Code that lies in a
project's folder is never picked up by itself.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import importlib.util
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any, NamedTuple

import pluggy

from specc import hookspecs
from specc.engine import moved
from specc.engine.type_check import wrong, wrong_limit, wrong_pass
from specc.formulas.calculators import Calculator
from specc.model.passes import Limit, Pass
from specc.model.values import Reference

GROUP = "specc"
OWN_DISTRIBUTION = "specc"
HOOKS = tuple(name for name in vars(hookspecs) if name.startswith("specc_"))


class PluginTrouble(NamedTuple):
    """Something wrong with a plugin. `failed` is False when the spec is to blame, not the plugin."""

    plugin: str
    rule: str
    message: str
    fix: str = ""
    failed: bool = True


class Held(NamedTuple):
    """A pass with the plugin it belongs to."""

    plugin: str
    version: str
    pass_: Pass


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


class Host(NamedTuple):
    plugins: tuple[Plugin, ...]
    troubles: tuple[PluginTrouble, ...]

    @property
    def passes(self) -> tuple[Held, ...]:
        return tuple(Held(p.name, p.version, x) for p in self.plugins for x in p.passes)


class _Found(NamedTuple):
    name: str
    version: str
    origin: str
    load: Callable[[], Any]


def _entry_points() -> tuple[_Found, ...]:
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


def _from_file(path: Path) -> _Found:
    def load() -> ModuleType:
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
    replace = dict(replace or {})
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
    return _load(chosen, troubles)


def _load(chosen: Sequence[_Found], troubles: list[PluginTrouble]) -> Host:
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
            module = found.load()
        except KeyboardInterrupt:
            raise
        except BaseException as e:  # a plugin may fail in any way, also by leaving
            troubles.append(
                PluginTrouble(
                    found.name,
                    "plugin.import",
                    f"the plugin {found.name!r} cannot be imported: {said(e)}",
                    moved.told(e),
                )
            )
            continue
        contract = getattr(module, "SPECC_CONTRACT", None)
        if contract != hookspecs.CONTRACT:
            troubles.append(
                PluginTrouble(
                    found.name,
                    "plugin.contract",
                    f"the plugin {found.name!r} was made for contract {contract!r}; "
                    f"this specc keeps {hookspecs.CONTRACT}",
                    f"SPECC_CONTRACT = {hookspecs.CONTRACT} in the plugin, once it is checked against DEVELOPERS.md",
                )
            )
            continue
        troubles.extend(_misspelled(found.name, module))
        manager.register(module, found.name)
        plugins.append(_gather(manager, found, module, troubles))
    return Host(tuple(plugins), tuple(troubles))


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
                returned = impl.function()
                listed = list(returned.items() if isinstance(returned, Mapping) else returned)
            except KeyboardInterrupt:
                raise
            except BaseException as e:
                troubles.append(
                    PluginTrouble(
                        found.name,
                        "plugin.hook_failed",
                        f"{hook} of the plugin {found.name!r} failed: {said(e)}",
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
    from specc.model.verb import Verb

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
    return wrong(item, Reference, "a reference") if isinstance(item, Reference) else ""


def said(e: BaseException) -> str:
    """An exception in one short line."""
    try:
        text = " ".join(str(e).split())
    except Exception:  # its own message fails
        text = ""
    return f"{type(e).__name__}: {text[:200]}" if text else type(e).__name__
