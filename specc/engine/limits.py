"""Limits: what rules compare with. The tool has a default; the spec may set another and say whose it is."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from specc.dims import DIMENSIONS
from specc.measure.printing import show
from specc.measure.reading import BadQuantity, parse
from specc.model.findings import Trouble
from specc.model.passes import Limit
from specc.model.result import LimitShown
from specc.model.values import Quantity
from specc.model.view import Bad, join


class Settled(NamedTuple):
    """Limits as used, and what is wrong with the spec's own. `refused` are keys that no pass may use. `unreadable` are
    those of them whose default is at fault, with what is wrong: that is the plugin's."""

    limits: Mapping[str, LimitShown]
    troubles: tuple[tuple[str, Trouble], ...]  # rule id, trouble
    refused: frozenset[str]
    unreadable: Mapping[str, BadQuantity]


def settle(declared: Iterable[Limit], given: Mapping[str, object], owners: Mapping[str, str] | None = None) -> Settled:
    """Take the spec's `limits:` (key to text, or to value, who and reason) over the plugins' defaults.

    `owners`: the plugins that are not built in, by the keys of their limits.
    """
    owners = owners or {}
    known = {limit.key: limit for limit in declared}
    settled: dict[str, LimitShown] = {}
    troubles: list[tuple[str, Trouble]] = []
    refused: set[str] = set()
    unreadable: dict[str, BadQuantity] = {}
    for key in given:
        if key not in known:
            near = difflib.get_close_matches(key, list(known), 1, 0.6)
            listed = ", ".join(sorted(known)) or "none, since no plugin that ran has a limit"
            words = f"did you mean {near[0]}?" if near else "one of: " + listed
            troubles.append(
                (
                    "limits.unknown",
                    Trouble(
                        join("/limits", key),
                        f"no rule here has a limit {key!r}",
                        words,
                        "no rule takes this value: each keeps its own",
                    ),
                )
            )
    for key, limit in known.items():
        owner = owners.get(key, "")
        default = _default(limit)
        if isinstance(default, BadQuantity):
            unreadable[key] = default
            refused.add(key)
            continue
        value, by, at = default, "", join("/limits", key)
        own = given.get(key)
        if own is not None:
            text = own.get("value") if isinstance(own, Mapping) else own
            if text is None or isinstance(text, Bad):  # refused by the schema, and reported there
                refused.add(key)
                continue
            read = parse(text, limit.dim, at)
            if isinstance(read, BadQuantity):
                troubles.append(("limits.value", Trouble(at, read.message, read.fix)))
                refused.add(key)
                continue
            value = read
            who = own.get("who") if isinstance(own, Mapping) else None
            by = who.strip() if isinstance(who, str) else ""  # one that the schema refused names nobody
            if default is None and not by:
                fix = f"limits: {{{key}: {{value: {value.text}, who: ...}}}}"
                why = f"what it sets: {limit.statement}"
                troubles.append(
                    ("limits.value", Trouble(at, f"only the authority sets {key}, and no who says so here", fix, why))
                )
                refused.add(key)
                continue
            by = by or "the project's spec"
        if default is None or value is None:
            settled[key] = LimitShown(key, limit.statement, value, None, limit.citation, limit.safer, by, False, owner)
            continue
        laxer = value.si > default.si if limit.safer == "min" else value.si < default.si
        if laxer:
            troubles.append(
                (
                    "limits.laxer",
                    Trouble(
                        at,
                        f"{key} is {value.text} here, by {by}; {owner or 'this tool'}'s own is {limit.default}",
                        f"{limit.default}, or the authority's word for {value.text}",
                        f"what it sets: {limit.statement}",
                        "warning",
                    ),
                )
            )
        settled[key] = LimitShown(key, limit.statement, value, default, limit.citation, limit.safer, by, laxer, owner)
    return Settled(settled, tuple(troubles), frozenset(refused), unreadable)


def _default(limit: Limit) -> Quantity | BadQuantity | None:
    """The plugin's own value; None where only the authority sets it."""
    if limit.dim not in DIMENSIONS:
        near = difflib.get_close_matches(limit.dim, DIMENSIONS, 1, 0.6)
        meant = f"did you mean {near[0]!r}? " if near else ""
        message = f"{limit.dim!r} is not a dimension"
        return BadQuantity(message, f"{meant}one of: {', '.join(DIMENSIONS)}")
    return parse(limit.default, limit.dim) if limit.default else None


def words(limit: LimitShown) -> str:
    """A limit for a message: the value as written, or its default."""
    if limit.value is None:
        return "set by nobody yet"
    return limit.value.text or show(limit.value.si, limit.value.dim)
