"""Limits: what rules compare with. The tool has a default; the spec may set another and say whose it is."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from specc.measure.printing import show
from specc.measure.reading import BadQuantity, parse
from specc.model.findings import Trouble
from specc.model.passes import Limit
from specc.model.result import LimitShown
from specc.model.view import Bad, join


class Settled(NamedTuple):
    """Limits as used, and what is wrong with the spec's own. `refused` are keys that no pass may use."""

    limits: Mapping[str, LimitShown]
    troubles: tuple[tuple[str, Trouble], ...]  # rule id, trouble
    refused: frozenset[str]


def settle(declared: Iterable[Limit], given: Mapping[str, Any]) -> Settled:
    """Take the spec's `limits:` (key to text, or to value, who and reason) over the plugins' defaults.

    Raises ValueError for a default that cannot be read: that is a plugin's fault.
    """
    known = {limit.key: limit for limit in declared}
    settled: dict[str, LimitShown] = {}
    troubles: list[tuple[str, Trouble]] = []
    refused: set[str] = set()
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
        default = parse(limit.default, limit.dim) if limit.default else None
        if isinstance(default, BadQuantity):
            raise ValueError(f"the default of the limit {key}: {default.message}")
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
            by = str(own.get("who", "")) if isinstance(own, Mapping) else ""
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
            settled[key] = LimitShown(key, limit.statement, value, None, limit.citation, limit.safer, by)
            continue
        laxer = value.si > default.si if limit.safer == "min" else value.si < default.si
        if laxer:
            troubles.append(
                (
                    "limits.laxer",
                    Trouble(
                        at,
                        f"{key} is {value.text} here, by {by}; this tool's own is {limit.default}",
                        f"{limit.default}, or the authority's word for {value.text}",
                        f"what it sets: {limit.statement}",
                        "warning",
                    ),
                )
            )
        settled[key] = LimitShown(key, limit.statement, value, default, limit.citation, limit.safer, by, laxer)
    return Settled(settled, tuple(troubles), frozenset(refused))


def words(limit: LimitShown) -> str:
    """A limit for a message: the value as written, or its default."""
    if limit.value is None:
        return "set by nobody yet"
    return limit.value.text or show(limit.value.si, limit.value.dim)
