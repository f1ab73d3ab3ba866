"""Figures in short: value, equation, inputs and sources by number; like ones in one table.

What stands behind each input is spelled out with `--full` (`figure_in_full.py`), and by `specc trace`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.model.values import Figure
from specc.packet.desk import Desk
from specc.packet.figure_family import ENOUGH, LEAST, HeadedTable, family, goes_on, kind_of
from specc.packet.figure_words import (
    amounts,
    given_once,
    shown_input,
    sources,
    told,
    validity,
)
from specc.packet.layout import Columns, PageItem, Rule, Stack
from specc.packet.mathset import EquationItem
from specc.packet.style import (
    FINE_ALARM,
    FINE_STRONG,
    HALF,
    INDENT,
    QUIET,
    STRONG,
    TEXT,
)
from specc.packet.tables import Grid, Track, cell
from specc.packet.text import WIDE, Pair, Paragraph, Span, wide


def in_families(figures: Sequence[Figure], desk: Desk) -> Iterator[PageItem]:
    """Figures of one kind that come from one equation stand in one table under it; a single one by itself."""
    families: dict[tuple[object, ...], list[Figure]] = {}
    for f in dict.fromkeys(f.key for f in figures):
        one = desk.figures[f]
        families.setdefault((kind_of(f), one.worked.equation), []).append(one)
    ruled = True
    for some in families.values():
        desk.shown.update(f.key for f in some)
        made = family(some, desk, ruled) if len(some) > 1 else _single(some[0], desk, ruled)
        ruled = not (isinstance(made, HeadedTable) and made.ends_ruled())
        yield made


def _single(f: Figure, desk: Desk, ruled: bool) -> PageItem:
    worked = f.worked
    value, other = amounts(f.si, f)
    said = [Span(value, STRONG), Span(f"{WIDE}{other}" if other else "", QUIET)]
    if f.case:
        said.append(Span(f"{WIDE}{f.case} case", QUIET))
    body: list[PageItem] = []
    head: PageItem = Paragraph(f.title, FINE_STRONG)
    text = worked.equation.form(worked.regime)
    if text.startswith("~"):
        # The value stands beside the title where both fit on a line.
        if wide(f.title, FINE_STRONG) + sum(wide(s.text, s.style) for s in said) + 16 <= HALF:
            head = Pair(head, said, TEXT, share=1.0)
        else:
            body.append(Paragraph(said))
        body += told(text, f, desk)
    else:
        equation = EquationItem(text)
        result = Paragraph((Span("= ", STRONG), *said), right=True)
        if equation.natural(300) <= 298:
            body.append(Columns([equation, result], [3, 2]))
        else:
            body += [equation, result]
    line: list[Span] = []
    for symbol, given in [*worked.inputs, *worked.equation.constants]:
        line += [Span(WIDE if line else "", QUIET), *shown_input(symbol, given, desk)]
    line = given_once(line, f, desk)
    line += [Span(WIDE if line else "", QUIET), *sources(f, desk), Span(f"{WIDE}{f.key}", QUIET)]
    others = [c for n, c in enumerate(f.cases) if n != f.governing]
    if others:
        texts = [f"{c.case or 'any weather'} {amounts(c.worked.si, f)[0]}" for c in others]
        line.append(Span(f"{WIDE}Other cases: {', '.join(texts)}.", QUIET))
    if f.low is not None and f.high is not None:
        line.append(Span(f"{WIDE}With tolerances {_spread_of(f)}.", QUIET))
    body.append(Paragraph(line, QUIET))
    if f.unsure:
        body.append(Paragraph(f"No low and high are given for the stated tolerances: it {f.unsure}.", FINE_STRONG))
    body += _warnings(f, desk)
    top: list[PageItem] = [Rule(), head] if ruled else [head]
    block = Single([*top, Stack(body, indent=INDENT)], before=2 if ruled else 8)
    block.name = f.title
    block.anchor = desk.anchor(f"figure-{f.key}")
    block.changed = f"figure {f.key}" in desk.moved
    return block


def _spread_of(f: Figure) -> str:
    assert f.low is not None
    assert f.high is not None
    low, high = amounts(f.low, f)[0], amounts(f.high, f)[0]
    return "the same" if low == high == amounts(f.si, f)[0] else f"{low} to {high}"


def _warnings(f: Figure, desk: Desk) -> Iterator[PageItem]:
    if desk.result.rests_on(f.key):
        yield Paragraph(f"Rests on {desk.result.rests_on(f.key)}", FINE_STRONG)
    if desk.result.lacks(f.key):
        yield Paragraph(f"Lacking: {desk.result.lacks(f.key)}", FINE_STRONG)
    if f.worked.beyond:
        yield Paragraph(f"Beyond the model's range: {f.worked.beyond}", FINE_STRONG)
    yield from validity(f, desk)


class Single(Stack):
    """A figure: at the foot of a column it is cut in what is said of its inputs, never before its result."""

    name = ""

    def least(self, width: float) -> float:
        return min(self.height(width), LEAST)

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        *head, said = self.items
        assert isinstance(said, Stack)
        parts = said.cut(width, room - Stack(head).height(width))
        if parts is None or len(getattr(parts[0], "items", ())) < ENOUGH:
            return None
        first = Single([*head, parts[0]], self.before)
        first.anchor = self.anchor
        rest = Single([goes_on(self.name), parts[1]])
        rest.name = self.name
        return first, rest


def in_short(figures: list[Figure], desk: Desk, links: bool = True) -> PageItem:
    """Figures one to a line: title, value, the case that governs, key."""
    rows = []
    for f in figures:
        value, other = amounts(f.si, f)
        key = (Span(f.key, QUIET, to=f"figure-{f.key}" if links else ""),)
        strong = cell(value, FINE_STRONG)
        case = cell(f.case or "any", FINE_ALARM if f.decision and f.case else QUIET)
        rests, lacks = desk.result.rests_on(f.key), desk.result.lacks(f.key)
        title = (*cell(f.title), *(cell(f" (rests on {rests})", FINE_ALARM) if rests else ()))
        title += cell(f" (lacking: {lacks})", FINE_ALARM) if lacks else ()
        rows.append([title, strong, cell(other, QUIET), case, key])
    tracks = [
        Track("figure", 2.2),
        Track("value", 1.1, True),
        Track("also", 1.0, True),
        Track("worst case", 1.3),
        Track("key", 1.8),
    ]
    return Grid(tracks, rows)
