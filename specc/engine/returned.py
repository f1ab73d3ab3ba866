"""Whether what a pass returned is what its kind gives: a plugin may return anything, and Python does not look."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Sized
from typing import Any, NamedTuple

from specc.drawing.shapes import Drawing, Line, Polygon
from specc.engine.guard import Fixed
from specc.engine.plugin import Held
from specc.engine.shared_keys import shared_keys
from specc.engine.type_check import Seen, wrong
from specc.measure.printing import show
from specc.model.blocks import BLOCKS, Block, Table
from specc.model.findings import Trouble, Verdict
from specc.model.passes import FigureFacts, Gathered, Pass
from specc.model.statuses import RETURNED
from specc.model.values import CaseValue, Figure, Worked

MOST = 20_000
"""Items, rows, blocks, findings or figures that one pass may give: ten times what 2,000 parts need."""
MOST_SHAPES = 200_000
"""Shapes that one sheet may have."""


class Nonsense(Exception):
    """A pass returned something else than its kind gives."""


class LookedInto(NamedTuple):
    """What was looked into, by id: records found sound, and tuples in which nothing can be changed."""

    fitting: Seen
    fixed: Fixed


# What passes that read nothing give is the same in each run of a process; the catalog has thousands of records.
_OF_EVERY_RUN = LookedInto({}, {})


def looked_into(p: Pass, of_run: LookedInto) -> LookedInto:
    """Where it is kept what was looked into of what a pass gives: with its run, or for all of them."""
    if p.reads or p.needs or p.wants or p.limits or p.per_case:
        return of_run
    if max(map(len, _OF_EVERY_RUN)) > MOST:  # a plugin makes it anew each time
        _OF_EVERY_RUN.fitting.clear()
        _OF_EVERY_RUN.fixed.clear()
    return _OF_EVERY_RUN


def want(thing: object, kind: Any, what: str, seen: Seen) -> None:
    """Raise Nonsense unless a thing is of the kind that is due, in every part."""
    if kind is not object and not isinstance(thing, kind):
        wanted = " or ".join(k.__name__ for k in kind) if isinstance(kind, tuple) else kind.__name__
        raise Nonsense(f"{what} has to be a {wanted}, and {type(thing).__name__} came back")
    if hasattr(type(thing), "_fields") and kind is not object:
        told = wrong(thing, type(thing), what, seen)
        if told:
            raise Nonsense(told)


def bounded(thing: Sized, what: str, most: int = MOST) -> None:
    if len(thing) > most:
        raise Nonsense(f"{what} has {len(thing):,} parts, and {most:,} are the most")


def want_table(returned: Table, seen: Seen) -> None:
    want(returned, Table, "a table", seen)
    bounded(returned.rows, "a table")
    uneven = [r for r in returned.rows if len(r.cells) != len(returned.columns)]
    if uneven:
        raise Nonsense(f"a row has {len(uneven[0].cells)} cells for {len(returned.columns)} columns")


def want_drawing(returned: Drawing, seen: Seen) -> None:
    want(returned, Drawing, "a drawing", seen)
    for sheet in returned.sheets:
        bounded(sheet.shapes, "a sheet", MOST_SHAPES)
        if any(isinstance(shape, Line | Polygon) and not shape.points for shape in sheet.shapes):
            raise Nonsense("a line or polygon has no points")


def want_blocks(returned: Sequence[Block], seen: Seen) -> None:
    want(returned, (list, tuple), "a section", seen)
    bounded(returned, "a section")
    for block in returned:
        want(block, BLOCKS, "a section's block", seen)


def verdict_of(held: Held, returned: Verdict, seen: Seen) -> Verdict:
    """A rule's verdict, the word of contract 1 for "failed" among its statuses."""
    want(returned, Verdict, "a rule", seen)
    verdict = returned
    if held.contract < 2 and str(verdict.status) == "found":
        verdict = verdict._replace(status="failed")
    if verdict.status not in RETURNED:
        raise Nonsense(f"its verdict is {verdict.status!r}; it can be one of {', '.join(RETURNED)}")
    if (verdict.status == "failed") != bool(verdict.troubles) and verdict.status != "authority to decide":
        raise Nonsense(f"its verdict is {verdict.status!r} with {len(verdict.troubles)} troubles")
    bounded(verdict.troubles, "what a rule finds")
    for trouble in verdict.troubles:
        want(trouble, Trouble, "what a rule finds", seen)
    return verdict


def figure_of(
    held: Held, facts: FigureFacts, by_case: Mapping[str, Worked], seen: Seen, tag: str | None = None
) -> Figure:
    """The figure of what a pass worked out for each weather case. `tag`: whose it is, of a family."""
    key, title = held.pass_.id, facts.title
    if tag is not None:
        key, title = f"{key}.{tag}", title.replace("{tag}", tag)
    for worked in by_case.values():
        want(worked, Worked, "a figure", seen)
    cases = tuple(CaseValue(case, worked) for case, worked in by_case.items())
    for one in cases:
        if one.worked.dim != cases[0].worked.dim:
            raise Nonsense(f"{key} is {cases[0].worked.dim} in one weather case and {one.worked.dim} in another")
        try:
            show(one.worked.si, one.worked.dim, facts.unit, facts.digits)
        except (ValueError, TypeError, LookupError, ArithmeticError) as e:
            raise Nonsense(f"{key} cannot be printed in {facts.unit!r}: {e}") from None
    pick = max if facts.worst == "max" else min
    governing = pick(range(len(cases)), key=lambda i: cases[i].worked.si)
    if len(cases) > 1 and all(c.worked == cases[0].worked for c in cases):
        cases, governing = (CaseValue("", cases[0].worked),), 0  # the weather plays no part after all
    return Figure(
        key,
        title,
        cases[0].worked.dim,
        facts.unit,
        facts.digits,
        cases,
        governing,
        facts.worst,
        held.plugin,
        held.version,
        facts.decision,
    )


def family_of(
    held: Held, facts: FigureFacts, by_case: Mapping[str, Mapping[str, Worked]], seen: Seen
) -> dict[str, Figure]:
    """The figures of a family, by tag."""
    tags: dict[str, dict[str, Worked]] = {}
    for case, family in by_case.items():
        want(family, Mapping, "a family of figures", seen)
        bounded(family, "a family of figures")
        for tag, worked in family.items():
            want(tag, str, "a tag in a family of figures", seen)
            tags.setdefault(tag, {})[case] = worked
    return {tag: figure_of(held, facts, cases, seen, tag) for tag, cases in tags.items()}


def signed(held: Held, key: str, items: Sequence[Any]) -> Sequence[Any]:
    """A third party's items, with its name before what a reader sees: the shared key says which field that is."""
    known = shared_keys().get(key) if held.third_party else None
    field = known[2].signed if known and isinstance(known[2], Gathered) else ""
    return [i._replace(**{field: f"{held.plugin}: {getattr(i, field)}"}) for i in items] if field else items
