"""Whether what a plugin gives is sound: each field of each record is of the kind the record says.

Records are NamedTuples, and Python does not check what is put into them. What gets into the Result is
printed, sorted and pickled later, where a wrong kind could no longer be told from a fault of specc's own;
so it is looked at here, while it is known whose it is.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

from specc.dims import DIMENSIONS
from specc.model.passes import Key, Limit, Pass
from specc.model.values import Figure, Worked
from specc.model.verb import Verb

Seen: TypeAlias = dict[int, Any]
"""Records by their id. They are held, so that no other record can come to have the same id."""


@cache
def _fields(record: type) -> tuple[tuple[str, Any], ...]:
    hints = get_type_hints(record)
    return tuple((name, hints[name]) for name in record._fields)  # type: ignore[attr-defined]


def _named(hint: Any) -> str:
    words: dict[Any, str] = {str: "text", float: "a number", int: "a whole number", type(None): "nothing"}
    if get_origin(hint) in (Union, types.UnionType):
        return " or ".join(_named(h) for h in get_args(hint))
    if get_origin(hint) is Literal:
        return "one of " + ", ".join(repr(a) for a in get_args(hint))
    if get_origin(hint) is tuple:
        return "a tuple"
    return words.get(hint) or f"a {getattr(hint, '__name__', hint)}"


# A plain yes or no comes first, from a test made once for each hint: thousands of records pass here in a run.
# Only for a record that fails is the hint walked again, for the words.


@cache
def _at_once(hint: Any) -> frozenset[type]:
    """The kinds of which every thing fits a hint: nothing in it has to be looked at."""
    origin, parts = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return frozenset[type]().union(*map(_at_once, parts))
    if hint is float:
        return frozenset({int})
    kind = origin or hint
    fits = isinstance(kind, type) and kind is not tuple and (kind is Figure or not hasattr(kind, "_fields"))
    return frozenset({kind}) if fits else frozenset()


@cache
def _test(hint: Any) -> Callable[[Any, Seen], bool]:
    """A function that says whether a thing fits a hint. Its second argument: records seen to be sound."""
    origin, parts = get_origin(hint), get_args(hint)
    if hint is Any or hint is object:
        return lambda thing, seen: True
    if origin in (Union, types.UnionType):
        return _any_of(parts)
    if origin is Literal:
        return lambda thing, seen: type(thing) is str and thing in parts
    if origin is tuple and len(parts) == 2 and parts[1] is Ellipsis:
        return _all_are(_at_once(parts[0]), _test(parts[0]))
    if origin is tuple:
        places = [(_at_once(part), _test(part)) for part in parts]
        return lambda thing, seen: type(thing) is tuple and len(thing) == len(places) and _all_fit(places, thing, seen)
    if hint is float:
        return lambda thing, seen: (
            (type(thing) is float or (isinstance(thing, float | int) and not isinstance(thing, bool)))
            and math.isfinite(thing)
        )
    if hint is int:
        return lambda thing, seen: isinstance(thing, int) and not isinstance(thing, bool)
    kind = origin or hint
    if not hasattr(kind, "_fields") or kind is Figure:
        return lambda thing, seen: isinstance(thing, kind)
    return lambda thing, seen: isinstance(thing, kind) and _is_sound(thing, kind, seen)


# Written as loops: `any` and `all` over a generator take twice the time, here where a check spends a tenth of its own.


def _any_of(parts: tuple[Any, ...]) -> Callable[[Any, Seen], bool]:
    tests = [_test(part) for part in parts]
    own = {part: test for part, test in zip(parts, tests, strict=True) if isinstance(part, type)}

    def fits(thing: Any, seen: Seen) -> bool:
        # Most things are of one of the kinds exactly: that one is asked first.
        first = own.get(type(thing))
        if first is not None and first(thing, seen):
            return True
        for test in tests:  # noqa: SIM110
            if test is not first and test(thing, seen):
                return True
        return False

    return fits


def _all_are(at_once: frozenset[type], test: Callable[[Any, Seen], bool]) -> Callable[[Any, Seen], bool]:
    def fits(thing: Any, seen: Seen) -> bool:
        if type(thing) is not tuple:
            return False
        for one in thing:  # noqa: SIM110
            if type(one) not in at_once and not test(one, seen):
                return False
        return True

    return fits


Place: TypeAlias = tuple[frozenset[type], Callable[[Any, Seen], bool]]
"""What may stand somewhere: the kinds that fit at once, and a test for all others."""


def _all_fit(places: Sequence[Place], things: tuple[Any, ...], seen: Seen) -> bool:
    for (at_once, test), thing in zip(places, things, strict=True):
        if type(thing) not in at_once and not test(thing, seen):
            return False
    return True


@cache
def _places(record: type) -> tuple[Place, ...]:
    return tuple((_at_once(hint), _test(hint)) for _, hint in _fields(record))


def _is_sound(record: Any, kind: type, seen: Seen) -> bool:
    if id(record) in seen:
        return True
    seen[id(record)] = record
    fits = not (kind is Worked and record.dim not in DIMENSIONS) and _all_fit(_places(kind), record, seen)
    if not fits:
        # Whoever is asked about it next has to find it unsound again.
        del seen[id(record)]
    return fits


def wrong(thing: Any, hint: Any, where: str, seen: Seen | None = None) -> str:
    """What is wrong with a thing that should fit a type hint, in words; "" when nothing is.

    A Figure is taken as it is: only the host makes them. `seen`: records found sound before, which are not looked
    into again; this call adds to them.
    """
    if _test(hint)(thing, {} if seen is None else seen):
        return ""
    return _wrong(thing, hint, where, set())


def _wrong(thing: Any, hint: Any, where: str, seen: set[int]) -> str:
    origin = get_origin(hint)
    if hint is Any or hint is object:
        return ""
    if origin in (Union, types.UnionType):
        # When the record itself is of one of the kinds, what is wrong inside says more. The others are not
        # tried then: to say what is wrong, they would write out all that the record came from.
        own = [h for h in get_args(hint) if _is_record(h, thing)]
        told = [_wrong(thing, h, where, seen) for h in own or get_args(hint)]
        if "" in told:
            return ""
        return told[0] if own else _says(thing, hint, where)
    if origin is Literal:
        return "" if type(thing) is str and thing in get_args(hint) else _says(thing, hint, where)
    if origin is tuple:
        return _wrong_tuple(thing, get_args(hint), hint, where, seen)
    if hint is float:
        if isinstance(thing, bool) or not isinstance(thing, int | float):
            return _says(thing, hint, where)
        return "" if math.isfinite(thing) else f"{where} is {thing}, which is no number to print"
    if hint is int and isinstance(thing, bool):
        return _says(thing, hint, where)
    if not isinstance(thing, origin or hint):
        return _says(thing, hint, where)
    if not hasattr(hint, "_fields") or hint is Figure or id(thing) in seen:
        return ""
    seen.add(id(thing))
    if isinstance(thing, Worked) and thing.dim not in DIMENSIONS:
        return f"{where}.dim is {thing.dim!r}, which is no dimension"
    for name, part in _fields(hint):
        told_ = _wrong(getattr(thing, name), part, f"{where}.{name}", seen)
        if told_:
            return told_
    return ""


def _is_record(hint: Any, thing: Any) -> bool:
    return isinstance(hint, type) and hasattr(hint, "_fields") and isinstance(thing, hint)


def _wrong_tuple(thing: Any, parts: tuple[Any, ...], hint: Any, where: str, seen: set[int]) -> str:
    if type(thing) is not tuple:
        return _says(thing, hint, where)
    if len(parts) == 2 and parts[1] is Ellipsis:
        parts = (parts[0],) * len(thing)
    if len(parts) != len(thing):
        return f"{where} has {len(thing)} parts, and {len(parts)} are due"
    return next(
        (t for i, (x, p) in enumerate(zip(thing, parts, strict=True)) if (t := _wrong(x, p, f"{where}[{i}]", seen))),
        "",
    )


def _says(thing: Any, hint: Any, where: str) -> str:
    got = "nothing" if thing is None else f"the {type(thing).__name__} {thing!r}"[:60]
    return f"{where} has to be {_named(hint)}, and is {got}"


def wrong_pass(p: Pass) -> str:
    """What is wrong with a pass as declared; "" when nothing is."""
    if not isinstance(p.id, str) or not p.id:
        return f"a pass is called {p.id!r}, which is no name"
    where = f"the {p.kind} {p.id}"
    if not callable(p.function):
        return f"{where} is not made of a function"
    for key in (*p.needs, *p.wants, *(() if p.provides is None else (p.provides,))):
        if not isinstance(key, Key) or not isinstance(key.name, str):
            return f"{where} names {key!r} where a key is due"
    for root in p.reads:
        if not isinstance(root, str):
            return f"{where} reads {root!r}, which is no root of the spec"
    return "" if p.facts is None else wrong(p.facts, type(p.facts), where)


def wrong_limit(limit: Limit) -> str:
    """What is wrong with a limit as declared; "" when nothing is."""
    if limit.default is None:
        return f'the limit {limit.key} without a default: "" says that only the authority sets it'
    return wrong(limit, Limit, "a limit")  # its dimension and default: see specc.engine.limits


def wrong_verb(verb: Verb) -> str:
    """What is wrong with a verb as declared; "" when nothing is."""
    for pair in verb.arguments:
        if type(pair) is not tuple or len(pair) != 2 or not all(type(text) is str for text in pair):
            return (
                f"the verb {verb.name} with the argument {pair!r}: a pair of its name and what it is, both text, is"
                " due; options are added to argparse's parser by setup="
            )
    return ""


__all__ = ["wrong", "wrong_limit", "wrong_pass", "wrong_verb"]
