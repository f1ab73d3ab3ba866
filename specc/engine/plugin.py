"""A plugin as loaded, what is wrong with one, and the host that holds all that run."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from types import ModuleType
from typing import Any, NamedTuple

from specc import hookspecs
from specc.formulas.calculators import Calculator
from specc.model.findings import Level
from specc.model.passes import Limit, Pass
from specc.model.values import Reference
from specc.model.verb import Verb


class PluginTrouble(NamedTuple):
    """Something wrong with a plugin. `failed` is False when the spec is to blame, not the plugin; `among`: the plugins
    that it is wrong with, where that is not one."""

    plugin: str
    rule: str
    message: str
    fix: str = ""
    failed: bool = True
    level: Level = "error"
    among: tuple[str, ...] = ()

    @property
    def plugins(self) -> tuple[str, ...]:
        return self.among or (self.plugin,)


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
    schema: Mapping[str, Mapping[str, object]]
    references: tuple[Reference, ...]
    passes: tuple[Pass, ...]
    limits: tuple[Limit, ...]
    calculators: tuple[Calculator[..., Any], ...]
    verbs: tuple[Verb, ...]
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
        return _passes_of(self)


@lru_cache(maxsize=8)
def _passes_of(host: Host) -> tuple[Held, ...]:
    return tuple(Held(p.name, p.version, x, p.contract, p.third_party) for p in host.plugins for x in p.passes)


def said(e: BaseException) -> str:
    """An exception in one short line."""
    try:
        text = " ".join(str(e).split())
    except Exception:  # its own message fails
        text = ""
    return f"{type(e).__name__}: {text[:200]}" if text else type(e).__name__
