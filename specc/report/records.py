"""Results as plain records for JSON, to the schema published in schemas/output/result.schema.json."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from specc import __version__
from specc.dims import DIMENSIONS
from specc.measure.printing import to_unit
from specc.model.blocks import Table
from specc.model.findings import Edit, Finding, Place
from specc.model.result import Outcome, Result, RuleOutcome
from specc.model.values import BASIS_WORDS, Citation, Figure, Input, Reference, Worked

Record = dict[str, Any]


def document(**parts: Any) -> str:
    """The JSON text. Only ASCII, so that it is the same in every locale."""
    return json.dumps({"specc": __version__, **parts}, indent=2, allow_nan=False)


def location(place: Place) -> Record:
    return {"file": place.file, "line": place.line, "column": place.column}


def source(citation: Citation, references: Mapping[str, Reference]) -> Record:
    reference = references.get(citation.reference)
    return {
        "reference": citation.reference,
        "title": reference.title if reference else "",
        "where": citation.where,
        "basis": citation.basis,
        "basis_words": BASIS_WORDS[citation.basis],
    }


def finding(found: Finding) -> Record:
    return {
        "rule": found.rule,
        "level": found.level,
        "message": found.message,
        "fix": found.fix,
        "why": found.why,
        "waived": found.waived,
        "edit": edit(found.edit) if found.edit else None,
        "plugin": found.plugin,
        "location": location(found.place),
        "pointer": found.at,
    }


def edit(made: Edit) -> Record:
    return {"location": location(made.place), "old": made.old, "new": made.new}


def rule(outcome: RuleOutcome, references: Mapping[str, Reference]) -> Record:
    return {
        "id": outcome.id,
        "level": outcome.level,
        "statement": outcome.statement,
        "status": outcome.status,
        "words": outcome.words,
        "looked": outcome.looked,
        "source": source(outcome.citation, references),
        "plugin": outcome.plugin,
        "figures": list(outcome.figures),
        "limits": list(outcome.limits),
    }


def fields(thing: object) -> Any:
    """A record as its fields by name, as far as JSON can hold them; what it cannot hold as text."""
    if isinstance(thing, bool | int | str) or thing is None:
        return thing
    if isinstance(thing, float):
        return thing if math.isfinite(thing) else str(thing)
    if isinstance(thing, Worked):
        return _worked(thing)
    if hasattr(thing, "_fields"):
        return {name: fields(getattr(thing, name)) for name in thing._fields}
    if isinstance(thing, Mapping):
        return {str(key): fields(below) for key, below in thing.items()}
    if isinstance(thing, tuple | list | frozenset):
        return [fields(below) for below in (sorted(thing, key=str) if isinstance(thing, frozenset) else thing)]
    return str(thing)


def _worked(made: Worked) -> Record:
    """A computed value, its equation, and what went into it, one step deep.

    What an input was computed from itself would stand here once for each way that leads to it, with each
    equation's table of symbols: a hundred megabytes. `specc trace` says it.
    """
    return {
        "name": made.name,
        "si": made.si,
        "dim": made.dim,
        "equation": made.equation.form(made.regime),
        "inputs": [[symbol, _given(value)] for symbol, value in made.inputs],
        "regime": made.regime,
        "beyond": made.beyond,
        "also": fields(made.also),
    }


def _given(value: Input) -> Any:
    """An input of a computed value: as written, or what was computed for it, by name."""
    if isinstance(value, Worked):
        return {"name": value.name, "si": value.si, "dim": value.dim}
    if isinstance(value, Figure):
        return {"key": value.key, "si": value.si, "dim": value.dim}
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        return [_given(one) for one in value]
    return fields(value)


def outcome(made: Outcome) -> Record:
    return {
        "plugin": made.plugin,
        "id": made.id,
        "function": made.function,
        "kind": made.kind,
        "status": made.status,
        "cause": made.cause,
        "without": list(made.without),
    }


def printed_unit(dim: str, unit: str) -> str:
    """The unit for a number; hours where text would print hours and minutes."""
    return "h" if unit == "h min" else unit or DIMENSIONS[dim].us


def value(si: float, dim: str, unit: str) -> Record:
    """`value` in `unit`, and the same in the coherent SI unit."""
    shown = printed_unit(dim, unit)
    return {
        "value": to_unit(si, shown, dim),
        "unit": shown,
        "si": {"value": si, "unit": DIMENSIONS[dim].si},
    }


def figure(made: Figure, rests_on: str = "", lacking: str = "") -> Record:
    def end(si: float | None) -> float | None:
        return None if si is None else to_unit(si, printed_unit(made.dim, made.unit), made.dim)

    return {
        "key": made.key,
        "title": made.title,
        **value(made.si, made.dim, made.unit),
        "case": made.case,
        "cases": [{"case": c.case, **value(c.worked.si, made.dim, made.unit)} for c in made.cases],
        "low": end(made.low),
        "high": end(made.high),
        "rests_on": rests_on,
        "lacking": lacking,
        "beyond": "; ".join(dict.fromkeys(c.worked.beyond for c in made.cases if c.worked.beyond)),
        "plugin": made.plugin,
    }


def table(made: Table) -> Record:
    return {
        "key": made.key,
        "title": made.title,
        "columns": [c.name for c in made.columns],
        "rows": [list(row.cells) for row in made.rows],
        "locations": [location(row.place) if row.place else None for row in made.rows],
        "note": made.note,
    }


def file(path: str, result: Result, parts: Iterable[str] = ("rules",)) -> Record:
    """One spec's record: always its findings, and `rules` or `figures` as asked."""
    references = {r.id: r for r in result.references}
    made: Record = {
        "file": path,
        "exit": result.exit_code,
        "digest": result.digest,
        "title": result.title,
        "findings": [finding(f) for f in result.findings],
    }
    for part in parts:
        if part == "rules":
            made[part] = [rule(r, references) for r in result.rules]
        elif part == "outcomes":
            made[part] = [outcome(o) for o in result.outcomes]
        elif part == "gathered":
            made[part] = {
                key: [{"plugin": i.plugin, "version": i.version, "item": fields(i.item)} for i in items]
                for key, items in result.gathered
            }
        elif part == "figures":
            made[part] = [figure(f, result.rests_on(f.key), result.lacks(f.key)) for f in result.figures]
        else:
            raise ValueError(f"no part {part!r} of a record")
    return made
