"""What one pass sees of a run: the values, spec roots and limits that it declared, and nothing else."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from specc.engine.plugin import Held
from specc.kinds.weather import CASES
from specc.model.findings import Unchecked
from specc.model.passes import Cannot, Key
from specc.model.values import Case, Figure, Quantity
from specc.model.view import Unreadable, View

if TYPE_CHECKING:
    from specc.engine.run import Running


class Lack(NamedTuple):
    """Something that a pass would have read and that is not there, with the first cause (see `Unchecked`)."""

    what: str
    cause: str

    def __str__(self) -> str:
        return f"{self.what}: {self.cause}"


class PerCase(NamedTuple):
    """A value for each weather case, and for figures the one that governs."""

    by_case: Mapping[str, Any]
    merged: Any


class Stopped(Exception):
    """A needed key has no value, since its pass did not finish."""


def figure_keys(value: Any) -> Iterator[str]:
    if isinstance(value, Figure):
        yield value.key
    elif isinstance(value, PerCase):
        for one in value.by_case.values():
            yield from figure_keys(one)
    elif type(value) in (dict, MappingProxyType):
        for one in value.values():
            if type(one) in (Figure, dict, MappingProxyType):
                yield from figure_keys(one)


class ContextOfPass:
    """What one pass sees: nothing it did not declare. See `specc.model.passes.Context`."""

    def __init__(self, run: Running, held: Held, case: Case | None) -> None:
        self._run, self._held, self._case = run, held, case
        p = held.pass_
        self._declared = {k.name for k in (*p.needs, *p.wants)}
        self.handed: dict[int, Any] = {}  # by id: what is handed out twice is looked into once
        self.limits: dict[str, None] = {}
        self.keys: dict[str, None] = {}  # that were handed out

    @property
    def case(self) -> Case:
        if self._case is None:
            raise RuntimeError(f"{self._held.pass_.id} asks for its weather case but is not marked per_case")
        return self._case

    def _check(self, key: Key[Any]) -> None:
        if key.name not in self._declared:
            raise RuntimeError(f"{self._held.pass_.id} reads {key.name}, which it does not declare in needs or wants")

    def __getitem__(self, key: Key[Any]) -> Any:
        value = self._value(key)
        self.keys[key.name] = None
        self.handed[id(value)] = value
        return value

    @property
    def figures(self) -> tuple[str, ...]:
        """The keys of the figures that were handed out: a rule's outcome names what it read."""
        return tuple(dict.fromkeys(key for value in self.handed.values() for key in self._run.figures_in(value)))

    def _value(self, key: Key[Any]) -> Any:
        self._check(key)
        if key.gathered:
            return self._run.gathered(key.name)
        if key.name not in self._run.values:
            raise Stopped(key.name)
        value = self._run.values[key.name]
        if isinstance(value, PerCase):
            if self._case is not None:
                return value.by_case[self._case.name]
            if value.merged is None:
                raise RuntimeError(f"{key.name} differs by weather case: read it with ctx.all()")
            return value.merged
        return value

    def get(self, key: Key[Any]) -> Any:
        self._check(key)
        return self[key] if key.gathered or key.name in self._run.values else None

    def all(self, key: Key[Any]) -> Mapping[str, Any]:
        self._check(key)
        if key.name not in self._run.values:
            raise Stopped(key.name)
        value = self._run.values[key.name]
        self.keys[key.name] = None
        self.handed[id(value)] = value
        if isinstance(value, PerCase):
            return MappingProxyType(dict(value.by_case))
        return {case.name: value for case in self._run.values[CASES.name]}

    def spec(self, root: str) -> View:
        if root not in self._held.pass_.reads:
            raise RuntimeError(f"{self._held.pass_.id} reads the root {root!r}, which it does not declare in reads")
        return self._run.root.child(root)

    def limit(self, key: str) -> Quantity:
        value = self.limit_or_none(key)
        if value is None:
            raise Cannot(
                f"nobody has set {key}, which only the authority sets",
                "/limits",
                f"ask the authority, and write limits: {{{key}: {{value: ..., who: ...}}}}",
                f"what it sets: {self._run.limits[key].statement}",
            )
        return value

    def limit_or_none(self, key: str) -> Quantity | None:
        p = self._held.pass_
        if key not in p.limits and self._held.contract > 1:
            raise RuntimeError(f"{p.id} asks for the limit {key}, which it does not declare in limits")
        if key not in self._run.limits and key not in self._run.refused:
            near = difflib.get_close_matches(key, list(self._run.limits), 1, 0.6)
            tail = f"; did you mean {near[0]}?" if near else ""
            raise RuntimeError(f"{p.id} asks for the limit {key}, which no plugin declares{tail}")
        self.limits[key] = None
        if key in self._run.refused:
            raise Unreadable("/limits/" + key)
        return self._run.limits[key].value

    def lacks(self, what: str, cause: str, *answers: str) -> None:
        self._run.said_lacking.append(Lack(what, Unchecked(cause, *answers)))


def stop_for(name: str) -> Any:
    raise Stopped(name)


def whole_value(values: Mapping[str, Any], name: str) -> Any:
    """What a key has for one who asks outside of a pass: of a value by weather case the governing one, else by case."""
    value = values[name]
    if isinstance(value, PerCase):
        return value.by_case if value.merged is None else value.merged
    return value
