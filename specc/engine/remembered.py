"""What passes gave in the runs before, handed out again to a run that reads the same.

A comparison reads a spec twice, `check --fix` up to three times, and a tolerance moves one value at a time: most passes
then read what they read before. A pass is pure, so what it gave holds as long as all that it reads is the same: the
roots of the spec that it declares, to the letter; the limits; and the values of other passes, which are the same only
if they are one thing. So what is new spreads to whatever reads it, and nothing has to be compared in depth.

Only passes of the built-ins are remembered, and only where no other plugin runs: one that spoils a value that it was
handed must spoil it for all to see. A pass that gives nothing (it is blocked, or what it needs is refused) runs again.
"""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from specc.engine.context import Lack, PerCase
from specc.engine.guard import calling
from specc.engine.plugin import Held
from specc.kinds.weather import CASES
from specc.model.passes import Pass
from specc.model.result import LimitShown
from specc.model.values import Constant, Figure, Quantity, Worked

if TYPE_CHECKING:
    from specc.engine.run import Running

MOST = 3  # runs that a pass is remembered of: a spec, and two of its variants
_ABSENT = object()
_MAPPINGS = (dict, MappingProxyType)
_PLAIN = frozenset({str, int, float, bool, Quantity, Constant, Worked, Figure})


class _ReadBefore(NamedTuple):
    """All that a pass reads: `things` are compared by which they are, `words` by what they say. The things are held, so
    that no other can come to have the id of one; ids compare at once, and each pass of each run asks here."""

    ids: tuple[int, ...]
    words: tuple[Any, ...]
    things: tuple[Any, ...]

    def is_same(self, other: _ReadBefore) -> bool:
        return self.ids == other.ids and self.words == other.words


class _Given(NamedTuple):
    """What a pass gave, which figures and limits it was handed on the way (a rule's outcome names them), and what was
    kept of it."""

    read: _ReadBefore
    returned: Any
    named: tuple[tuple[str, ...], tuple[str, ...]]
    calls: int
    value: Any  # under the key that it provides
    items: tuple[Any, ...]  # that it added to a gathered key
    figures: tuple[Figure, ...]
    lacking: tuple[Lack, ...]  # what it said to be lacking in it
    rests: bool  # whether anything in it was recalled and not read in its source


_GIVEN: dict[int, tuple[Pass, list[_Given]]] = {}  # by id of a pass, which is held


_WRITTEN: dict[str, tuple[object, bytes]] = {}  # roots of the last run: a tolerance moves a value in one of them


def forget() -> None:
    _GIVEN.clear()


def _written_out(root: str, below: object) -> bytes:
    before, written = _WRITTEN.get(root, (_ABSENT, b""))
    if before is not below:
        anew = pickle.dumps(below, pickle.HIGHEST_PROTOCOL)
        # The same bytes are one thing, so that hundreds of passes need not compare them to the end.
        written = written if anew == written else anew
        _WRITTEN[root] = below, written
    return written


class Memory:
    """What one run reads, other than values, and what it remembers. `once`: it adds nothing."""

    def __init__(
        self,
        data: Mapping[str, object],
        missing: frozenset[str],
        limits: Mapping[str, LimitShown],
        refused: frozenset[str],
        once: bool,
    ) -> None:
        # Written out, since true, 1 and 1.0 are equal, and are not the same to a reader.
        self._roots = {root: _written_out(root, below) for root, below in data.items()}
        self._missing, self._limits, self._refused, self._once = missing, limits, refused, once

    def give(self, run: Running, held: Held) -> None:
        """Run a pass and keep what it gives; or keep what it gave when it read the same."""
        p = held.pass_
        read = self._read_by(run, p)
        known = _known(p, read)
        if known is None:
            with calling(f"the {p.kind} {p.id} of the plugin {held.plugin}"):
                self._run(run, held, read)
        else:
            _again(run, held, known)

    def _read_by(self, run: Running, p: Pass) -> _ReadBefore:
        values = run.values
        things: list[Any] = [values.get(CASES.name, _ABSENT)]
        ids = [id(things[0])]
        for key in (*p.needs, *p.wants):
            if key.gathered:
                items = run.gathered(key.name)
                things.append(items)
                ids += (len(items), *map(id, items))
            else:
                things.append(values.get(key.name, _ABSENT))
                ids.append(id(things[-1]))
        words: list[Any] = [self._missing, *map(self._roots.get, p.reads)]
        for name in p.limits:
            words += (name in self._refused, self._limits.get(name))
        return _ReadBefore(tuple(ids), tuple(words), tuple(things))

    def _run(self, run: Running, held: Held, read: _ReadBefore) -> None:
        p = held.pass_
        name = p.provides.name if p.provides is not None else ""
        calls, figures, items = run.evaluations, len(run.figures), len(run.parts.get(name, ()))
        returned = run.call(held)
        run.keep(held, returned)
        if self._once:
            if p.provides is not None and not p.provides.gathered and (before := _GIVEN.get(id(p), (p, []))[1]):
                run.values[name] = _as_before(run.values[name], before[-1].value)
            return
        named = (run.rules[-1].figures, run.rules[-1].limits) if p.kind == "rule" else ((), ())
        made = _Given(
            read,
            returned,
            named,
            run.evaluations - calls,
            run.values.get(name),
            tuple(run.parts.get(name, ())[items:]),
            tuple(run.figures[figures:]),
            tuple(run.said_lacking),
            run.rests_on_memory(p),
        )
        listed = _GIVEN.setdefault(id(p), (p, []))[1]
        listed.append(made)
        del listed[:-MOST]


def _as_before(value: Any, before: Any) -> Any:
    """What a pass gave, in the things of the run before as far as it is the same: one input was moved, and what reads
    only what came out the same goes no further."""
    if _is_same(value, before):
        return before
    if isinstance(value, PerCase) and isinstance(before, PerCase):
        return PerCase(_as_before(value.by_case, before.by_case), _as_before(value.merged, before.merged))
    if type(value) in _MAPPINGS and type(before) in _MAPPINGS:
        return MappingProxyType({key: _as_before(one, before.get(key)) for key, one in value.items()})
    return value


def _is_same(one: Any, other: Any) -> bool:
    """Whether two things hold the same values of the same kinds. What reads the spec (a view of it) is only itself."""
    if one is other:
        return True
    kind = type(one)
    if kind in _PLAIN:
        return kind is type(other) and bool(one == other)
    if kind in _MAPPINGS:
        return (
            type(other) in _MAPPINGS
            and len(one) == len(other)
            and all(mine == its for mine, its in zip(one, other, strict=True))
            and all(map(_is_same, one.values(), other.values()))
        )
    if isinstance(one, tuple):
        return kind is type(other) and len(one) == len(other) and all(map(_is_same, one, other))
    return False


def _known(p: Pass, read: _ReadBefore) -> _Given | None:
    _, listed = _GIVEN.get(id(p), (p, []))
    for i in range(len(listed) - 1, -1, -1):
        if listed[i].read.is_same(read):
            if i < len(listed) - 1:  # the one asked for last goes last
                listed.append(listed.pop(i))
            return listed[-1]
    return None


def _again(run: Running, held: Held, known: _Given) -> None:
    """What was kept of a pass is the same thing again, so that whoever reads it finds it the same."""
    p = held.pass_
    run.evaluations += known.calls
    run.said_lacking, run.rests = list(known.lacking), known.rests
    if p.kind == "rule":  # its verdict was looked at when it was given
        run.keep_verdict(held, known.returned, *known.named)
    elif p.provides is None:
        run.keep(held, known.returned)
    elif p.provides.gathered:
        run.parts.setdefault(p.provides.name, []).extend(known.items)
    else:
        run.figures.extend(known.figures)
        run.figure |= {figure.key: figure for figure in known.figures}
        run.values[p.provides.name] = known.value


__all__ = ["Memory", "forget"]
