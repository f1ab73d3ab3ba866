"""What changed between two Results: figures and by how much, findings, rules, limits, waivers, what is described."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from specc.measure import printing
from specc.model.blocks import Table
from specc.model.result import AND, Change, Result, Since
from specc.spec.source.places import steps_of

# Tables whose rows are things of the project, and what a row is called.
_DESCRIBED: tuple[tuple[str, str], ...] = (
    ("plumbing.parts", "part"),
    ("plumbing.joint_schedule", "joint"),
    ("core.places", "place"),
    ("core.scenes", "scene"),
    ("operators.limits", "stop"),
    ("operators.crew", "person"),
    ("operators.roster", "shift"),
    ("materials.cylinders", "cylinder"),
    ("extinguishers.units", "extinguisher"),
    ("control.parts", "wiring"),
)

TABLES = tuple(f"table {key}" for key, _ in _DESCRIBED)  # all that a comparison needs beside what a check makes

# What calls for a new review, by what changed: specc default.
_REVIEWED: dict[str, str] = {
    "fuel": "gas",
    "flame": "distance",
    "site": "distance",
    "plumbing": "gas",
    "operators": "people",
    "structure": "structure",
    "extinguishers": "extinguishers",
    "control": "control",
    "materials": "materials",
    "place": "distance",
    "person": "people",
    "shift": "people",
    "part": "gas",
    "joint": "materials",
    "cylinder": "gas",
    "wiring": "control",
    "extinguisher": "extinguishers",
    "scene": "show",
    "stop": "limits",
    "limit": "limits",
}


def changes(old: Result, new: Result) -> tuple[Change, ...]:
    """All changes from one Result to another, in the order in which a reader cares for them."""
    told = (
        *_event(old, new),
        *_keyed("weather", _weather(old), _weather(new), "weather"),
        *_findings(old, new),
        *_figures(old, new),
        *_rules(old, new),
        *_keyed("limit", _limits(old), _limits(new), _REVIEWED["limit"]),
        *_keyed("waiver", _waivers(old), _waivers(new), "waiver"),
        *_described(old, new),
    )
    return (*told, *_entries(old, new, told))


def since(old: Result, new: Result, name: str) -> Since:
    """What a packet says of what changed since another state of its spec, which is called by `name`."""
    return Since(name, old.revision, old.issued, changes(old, new), tuple(_moved(old, new)), same_revision(old, new))


def _moved(old: Result, new: Result) -> Iterator[str]:
    """The figures, tables, drawings and sections that are not as they were, by kind and key."""
    before, after = ({f.key: f for f in r.figures} for r in (old, new))
    for key, figure in after.items():
        was = before.get(key)
        if was is None or abs(figure.si - was.si) > 1e-9 * max(abs(figure.si), abs(was.si)):
            yield f"figure {key}"
    # Where in the spec a row stands is not what it says.
    shown, earlier = ({k: [r.cells for r in t.rows] for k, t in r.tables} for r in (new, old))
    yield from (f"table {key}" for key, rows in shown.items() if rows != earlier.get(key))
    drawn = dict(old.drawings)
    yield from (f"drawing {key}" for key, d in new.drawings if key not in drawn or d.sheets != drawn[key].sheets)
    made = {s.id: s.blocks for s in old.sections}
    yield from (f"section {s.id}" for s in new.sections if s.blocks != made.get(s.id))


def same_revision(old: Result, new: Result) -> bool:
    """Whether two that differ name the same revision, so that nobody can tell them apart by it."""
    return old.digest != new.digest and old.revision == new.revision


def _keyed(kind: str, old: Mapping[str, str], new: Mapping[str, str], review: str = "") -> Iterator[Change]:
    for key in dict.fromkeys((*old, *new)):
        was, now = old.get(key, ""), new.get(key, "")
        if was != now:
            yield Change(kind, key, was, now, "", review)


def _event(old: Result, new: Result) -> Iterator[Change]:
    return _keyed("event", dict(old.event), dict(new.event), "event")


def _weather(result: Result) -> dict[str, str]:
    return {c.name: f"air {c.air.text}" + (f", wind {c.wind.text}" if c.wind else "") for c in result.cases}


def _findings(old: Result, new: Result) -> Iterator[Change]:
    """Findings cured and gained. A finding is the same where its rule and its words are."""

    def said(result: Result) -> dict[str, str]:
        return {f"{f.rule}: {f.message}": f.level + (", waived" if f.waived else "") for f in result.findings}

    return _keyed("finding", said(old), said(new), "finding")


def _review_of(id: str) -> str:
    """What an authority would look at again, by whose the rule or figure is."""
    return _REVIEWED.get(id.split(".")[0], "")


def _by(share: float) -> str:
    """How much more or less, as a share of what it was.

    >>> _by(0.502), _by(-0.0003)
    ('+50.2%', 'under 0.1%')
    """
    return f"{share:+.1%}" if abs(share) >= 0.0005 else "under 0.1%"


def _figures(old: Result, new: Result) -> Iterator[Change]:
    before, after = ({f.key: f for f in r.figures} for r in (old, new))
    for key in dict.fromkeys((*before, *after)):
        a, b = before.get(key), after.get(key)
        was, now = (printing.show(f.si, f.dim, f.unit, f.digits) if f else "" for f in (a, b))
        if a and b and (was == now or abs(a.si - b.si) <= 1e-9 * max(abs(a.si), abs(b.si))):
            continue
        by = _by((b.si - a.si) / a.si) if a and b and a.si and a.dim == b.dim != "temperature" else ""
        yield Change("figure", key, was, now, by, _review_of(key))


def _rules(old: Result, new: Result) -> Iterator[Change]:
    before, after = ({r.id: r.words for r in result.rules} for result in (old, new))
    for change in _keyed("rule", before, after):
        yield change._replace(review=_review_of(change.what))


def _limits(result: Result) -> dict[str, str]:
    def words(value: object) -> str:
        return getattr(value, "text", "") or "none"

    return {x.key: words(x.value) + (f", by {x.by}" if x.by else "") for x in result.limits}


def _waivers(result: Result) -> dict[str, str]:
    return {w.tag: f"{w.rule}, by {w.who or 'nobody named'}, until {w.until or 'no day'}" for w in result.waivers}


def rows_by_name(table: Table | None, only: str = "", leave: Sequence[str] = ()) -> dict[str, str]:
    """A table's rows by what they are called, alike ones numbered; of `only` one column, or without some."""
    made: dict[str, str] = {}
    columns = table.columns if table else ()
    name = next((i for i, c in enumerate(columns) if c.names), 0)
    told = [i for i, c in enumerate(columns) if i != name and not c.counts]
    told = [i for i in told if columns[i].name not in leave and (not only or columns[i].name == only)]
    for row in table.rows if table else ():
        key, n = row.cells[name], 1
        while (key if n == 1 else f"{key} ({n})") in made:
            n += 1
        made[key if n == 1 else f"{key} ({n})"] = ", ".join(row.cells[i] for i in told if row.cells[i])
    return made


# What an entry of the spec is about, by where it stands: the longest that fits counts.
_ENTRIES: dict[str, str] = {
    "/plumbing": "gas",
    "/plumbing/materials": "materials",
    "/plumbing/made_for": "materials",
    "/plumbing/seals": "materials",
    "/plumbing/joints": "materials",
    "/places": "distance",
    "/site": "distance",
    "/flame": "distance",
    "/people": "people",
    "/operators": "people",
    "/control": "control",
    "/structure": "structure",
    "/extinguishers": "extinguishers",
    "/effects": "show",
    "/show": "show",
    "/weather": "weather",
    "/event": "event",
    "/limits": "limits",
    "/waivers": "waiver",
}
_SAID_ELSEWHERE = ("/project/revision", "/project/issued")  # in the head of every packet


def _entries(old: Result, new: Result, told: Iterable[Change]) -> Iterator[Change]:
    """What the spec says in other words than before, and nothing above tells of: a telephone, a signal, a plate."""
    before, after = dict(old.written), dict(new.written)
    rows: dict[str, list[Change]] = {}
    for change in told:
        if change.kind != "figure":
            rows.setdefault(change.what, []).append(change)
    for at in dict.fromkeys((*before, *after)):
        was, now = before.get(at, ""), after.get(at, "")
        steps = steps_of(at)
        shown = (c for step in steps for c in rows.get(str(step), ()))
        if was == now or at in _SAID_ELSEWHERE or any(_tells(c, was, now) for c in shown):
            continue
        about = max((k for k in _ENTRIES if f"{at}/".startswith(f"{k}/")), key=len, default="")
        yield Change("entry", ".".join(str(s) for s in steps), was, now, "", _ENTRIES.get(about, ""))


def _tells(change: Change, was: str, now: str) -> bool:
    """Whether a change of a thing shows this of it: all of a new one or one that is gone, else the words themselves."""
    whole = not change.was or not change.now
    return whole or (_has(change.was, was) and _has(change.now, now))


def _has(text: str, words: str) -> bool:
    """Whether some words stand in a text as words: "4 A" not in "14 A"."""
    return bool(re.search(rf"(?<![\w./-]){re.escape(words)}(?![\w/])", text)) if words else True


# What a column of a table is about, where that is not what its rows are about.
_COLUMNS: dict[tuple[str, str], str] = {("part", "material"): "materials"}


def _described(old: Result, new: Result) -> Iterator[Change]:
    before, after = dict(old.tables), dict(new.tables)
    for key, kind in _DESCRIBED:
        was, now = before.get(key), after.get(key)
        special = {column: what for (of, column), what in _COLUMNS.items() if of == kind}
        others = [rows_by_name(t, leave=tuple(special)) for t in (was, now)]
        for change in _keyed(kind, rows_by_name(was), rows_by_name(now), _REVIEWED.get(kind, "")):
            if not (change.was and change.now and special):
                yield change
                continue
            of = [] if others[0][change.what] == others[1][change.what] else [change.review]
            for column, what in special.items():
                own = [rows_by_name(t, only=column)[change.what] for t in (was, now)]
                of += [what] if own[0] != own[1] else []
            yield change._replace(review=AND.join(of))
