"""Figures: in short with equation, inputs and sources by number, like ones in one table; or each in full.

In short the packet shows each value with the equation once; what stands behind each input is spelled out with
`--full`, and by `specc trace`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from specc.formulas import equations
from specc.measure import printing
from specc.model.values import Constant, Figure, Input, Quantity, Scalar, Worked, terms_of
from specc.model.wording import in_runs
from specc.packet.desk import IN_SHORT, Desk, tag
from specc.packet.layout import Columns, PageItem, Rule, Snaking, Stack, inside
from specc.packet.mathset import EquationItem, symbol_spans
from specc.packet.pictures import POINTS_PER_MM, TURNED, Picture
from specc.packet.style import (
    FINE,
    FINE_ALARM,
    FINE_STRONG,
    INDENT,
    MUTED,
    PROSE,
    QUIET,
    RESULT,
    STRONG,
    SUBHEADING,
    TEXT,
    Style,
)
from specc.packet.tables import Grid, Track, cell, words
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans, wide


def amounts(si: float, figure: Figure) -> tuple[str, str]:
    """A figure's value in US customary and in metric units; the second is "" where one unit serves both."""
    us, metric = printing.both(si, figure.dim, figure.unit, figure.digits)
    return us, "" if metric == us else metric


def governs(figure: Figure, desk: Desk) -> str:
    """The weather case whose value counts, with its air."""
    if not figure.case:
        return "does not depend on weather"
    air = next((c.air.text for c in desk.result.cases if c.name == figure.case), "")
    return f"governs: {figure.case}" + (f", {air}" if air else "")


def in_full(figure: Figure, desk: Desk) -> PageItem:
    """The figure as a block that stays together."""
    desk.shown.add(figure.key)
    worked = figure.worked
    body: list[PageItem] = [
        *_equation(worked),
        _result(figure, desk),
        *_spread(figure),
        *_other_cases(figure),
        *_inputs(worked, desk),
        _source(worked, desk),
    ]
    if desk.result.rests_on(figure.key):
        body.append(Paragraph(f"Rests on {desk.result.rests_on(figure.key)}", FINE_ALARM))
    if desk.result.lacks(figure.key):
        body.append(Paragraph(f"Lacking: {desk.result.lacks(figure.key)}", FINE_ALARM))
    if worked.beyond:
        body.append(Paragraph(f"Beyond the model's range: {worked.beyond}", FINE_ALARM))
    elif worked.equation.validity:
        body.append(_valid(worked.equation.validity))
    head = Pair(Paragraph(figure.title, SUBHEADING), figure.key, QUIET)
    block = Stack([Rule(), head, Stack(body, indent=INDENT)], before=12)
    block.anchor = desk.anchor(f"figure-{figure.key}")
    block.changed = f"figure {figure.key}" in desk.moved
    return block


# -- in short


def in_families(figures: Sequence[Figure], desk: Desk) -> Iterator[PageItem]:
    """Figures of one kind that come from one equation stand in one table under it; a single one by itself."""
    families: dict[tuple[object, ...], list[Figure]] = {}
    for f in dict.fromkeys(f.key for f in figures):
        one = desk.figures[f]
        families.setdefault((_kind(f), one.worked.equation), []).append(one)
    for some in families.values():
        desk.shown.update(f.key for f in some)
        yield _family(some, desk) if len(some) > 1 else _single(some[0], desk)


HALF = (PROSE - 16.0) / 2  # a column where two stand beside one another


def beside(items: Iterable[PageItem]) -> Iterator[PageItem]:
    """What needs no more than half the measure stands two beside one another, with the headings and the words between:
    figures, plots and narrow tables. All else goes across it."""
    waiting: list[PageItem] = []
    for item in (*items, None):
        half = item is not None and _narrow(item)
        words = isinstance(item, Paragraph) and not item.new_page and not item.section
        if item is not None and (half or (words and waiting)):
            waiting.append(item)
            continue
        # What comes last before something wide belongs to that.
        tail: list[PageItem] = []
        while waiting and isinstance(waiting[-1], Paragraph):
            tail.insert(0, waiting.pop())
        halves = [i for i in waiting if not isinstance(i, Paragraph)]
        if len(halves) > 1 or any(isinstance(i, Grid) and i.height(HALF) > _TALLEST for i in halves):
            yield Snaking(waiting, before=8.0)
        else:
            yield from waiting
        yield from tail
        waiting = []
        if item is not None:
            yield item


def _narrow(item: PageItem) -> bool:
    """Whether something can be read at half the measure, and is not so tall that it would have to be cut there."""
    if isinstance(item, Picture):
        return item.drawing.kind == "schematic" and item.sheet.width * POINTS_PER_MM <= HALF * TURNED
    if isinstance(item, Grid):
        return item.headed and item.fits(HALF) and item.height(HALF) <= MORE * item.height(PROSE)
    if not isinstance(item, Stack):
        return False
    if isinstance(item, HeadedTable):
        grid = item.items[1]
        if not isinstance(grid, Grid) or not grid.fits(HALF):
            return False
    equations_fit = all(e.natural(HALF) <= HALF - INDENT for e in inside(item) if isinstance(e, EquationItem))
    return equations_fit and (isinstance(item, HeadedTable) or item.height(HALF) <= _TALLEST)


MORE = 1.5  # as high in half the measure: beside another it then takes three quarters of the room
_TALLEST = 330.0  # points, of what stands in half the measure


def _kind(key: str) -> str:
    """What like figures share of their keys: ``fuel.flow`` of ``fuel.flow.stem_1``."""
    steps = key.split(".")
    return ".".join(steps[:2]) if len(steps) > 2 else steps[0]


def _single(f: Figure, desk: Desk) -> PageItem:
    worked = f.worked
    value, other = amounts(f.si, f)
    said = [Span(value, STRONG), Span(f"{WIDE}{other}" if other else "", QUIET)]
    if f.case:
        said.append(Span(f"{WIDE}{f.case} case", QUIET))
    body: list[PageItem] = []
    head: PageItem = Paragraph(f.title, SUBHEADING)
    text = worked.equation.form(worked.regime)
    if text.startswith("~"):
        # The value stands beside the title where both fit on a line.
        if wide(f.title, SUBHEADING) + sum(wide(s.text, s.style) for s in said) + 16 <= HALF:
            head = Pair(head, said, TEXT, share=1.0)
        else:
            body.append(Paragraph(said))
        body += _told(text, f, desk)
    else:
        equation = EquationItem(text)
        result = Paragraph((Span("= ", STRONG), *said), right=True)
        if equation.natural(300) <= 298:
            body.append(Columns([equation, result], [3, 2]))
        else:
            body += [equation, result]
    line: list[Span] = []
    for symbol, given in [*worked.inputs, *worked.equation.constants]:
        line += [Span(WIDE if line else "", QUIET), *_input(symbol, given, desk)]
    line = _given_once(line, f, desk)
    line += [Span(WIDE if line else "", QUIET), *_sources(f, desk), Span(f"{WIDE}{f.key}", QUIET)]
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
    block = Single([Rule(), head, Stack(body, indent=INDENT)], before=2)
    block.anchor = desk.anchor(f"figure-{f.key}")
    block.changed = f"figure {f.key}" in desk.moved
    return block


def _spread_of(f: Figure) -> str:
    assert f.low is not None
    assert f.high is not None
    low, high = amounts(f.low, f)[0], amounts(f.high, f)[0]
    return "the same" if low == high == amounts(f.si, f)[0] else f"{low} to {high}"


LONG = 110  # letters of an equation in words, or of inputs, that are not said twice


def _told(text: str, f: Figure, desk: Desk) -> Iterator[PageItem]:
    """An equation in words; a long one that another figure has too is said there."""
    words_ = text[1:].strip()
    first = desk.told.setdefault(words_, f.key)
    if first == f.key or len(words_) < LONG:
        yield Paragraph(prose(words_, QUIET), QUIET)
    else:
        yield Paragraph((Span("in the same way as ", QUIET), Span(first, QUIET, to=f"figure-{first}")), QUIET)


def _given_once(line: list[Span], f: Figure, desk: Desk) -> list[Span]:
    """Inputs; where another figure has the same ones, and many of them, they stand there."""
    said = words(tuple(line))
    first = desk.told.setdefault(said, f.key)
    if first == f.key or len(said) < LONG:
        return line
    return [Span("the same inputs as ", QUIET), Span(first, QUIET, to=f"figure-{first}")]


def _warnings(f: Figure, desk: Desk) -> Iterator[PageItem]:
    if desk.result.rests_on(f.key):
        yield Paragraph(f"Rests on {desk.result.rests_on(f.key)}", FINE_STRONG)
    if desk.result.lacks(f.key):
        yield Paragraph(f"Lacking: {desk.result.lacks(f.key)}", FINE_STRONG)
    if f.worked.beyond:
        yield Paragraph(f"Beyond the model's range: {f.worked.beyond}", FINE_STRONG)
    yield from _validity(f, desk)


def _sources(f: Figure, desk: Desk) -> Spans:
    """The equation's sources by number, with how each is known where that is not by reading it; where in them it stands
    is said once."""
    equation = f.worked.equation
    if not equation.citations:
        return (Span("no source was given", FINE_STRONG),)
    first = desk.explained.get(equation, "")
    numbers: dict[Spans, None] = {}
    for citation in equation.citations:
        known = IN_SHORT.get(citation.basis, citation.basis) if citation.basis != "read" else ""
        where = "" if citation in desk.placed else citation.where
        desk.placed.add(citation)
        more_of = ", ".join(t for t in (where, known) if t) if citation.reference else ""
        numbers[(*desk.number(citation), *((Span(f" {more_of}", QUIET),) if more_of else ()))] = None
    said = [span for n, number in enumerate(numbers) for span in ((Span("; ", QUIET), *number) if n else number)]
    more = (
        (Span("; valid as at ", QUIET), Span(first, QUIET, to=f"figure-{first}")) if equation.validity and first else ()
    )
    return (Span("from ", QUIET), *said, *more)


def _validity(f: Figure, desk: Desk) -> Iterator[PageItem]:
    """What the equation is valid for, said where it is first shown."""
    equation = f.worked.equation
    first = desk.explained.setdefault(equation, f.key)
    if not equation.validity:
        return
    if first == f.key:
        yield _valid(equation.validity)


def _valid(text: str) -> PageItem:
    """A range in which an equation is valid: named things or a condition, so that no sentence is begun for it."""
    return Paragraph((Span("Valid: ", QUIET), *prose(text, QUIET)), QUIET)


# Symbols with something lowered, and names of Greek letters, where an equation is told in words.
_SYMBOL = re.compile(r"\b(?:[^\W\d_]|rho|Delta|sigma|theta)_\w{1,4}\b|\brho\b|(?<=\bd)rho\b")


def prose(text: str, style: Style) -> Spans:
    """Words about an equation, its symbols set as in it."""
    made: list[Span] = []
    end = 0
    for found in _SYMBOL.finditer(text):
        if found.start() > end:
            made.append(Span(text[end : found.start()], style))
        made += symbol_spans(found[0], style)
        end = found.end()
    return (*made, Span(text[end:], style)) if text[end:] else tuple(made)


def _input(symbol: str, given: Input, desk: Desk) -> Spans:
    """A symbol, its value, and in short where that is from."""
    spans: list[Span] = [*symbol_spans(symbol, FINE_STRONG), Span("\u00a0", QUIET)]
    # Equal ones from one place are counted, not repeated.
    alike: dict[str, list[Spans]] = {}
    for term in terms_of(given):
        said = (*_value(term, desk), *_from(term, desk))
        alike.setdefault(words(said), []).append(said)
    for n, like in enumerate(list(alike.values())[:6]):
        spans.extend([Span(", ", QUIET)] if n else [])
        spans.extend([Span(f"{len(like)} of ", QUIET)] if len(like) > 1 else [])
        spans.extend(like[0])
    if len(alike) > 6:
        spans.append(Span(f" and {sum(map(len, list(alike.values())[6:]))} more", QUIET))
    return tuple(spans)


def _value(term: Scalar, desk: Desk) -> Spans:
    if isinstance(term, Quantity | Constant):
        return (Span(term.text or printing.show(term.si, term.dim), FINE),)
    if isinstance(term, Figure):
        value = printing.show(term.si, term.dim, term.unit, term.digits)
        return (Span(value, FINE, to=f"figure-{term.key}"),)
    return (Span(printing.show(term.si, term.dim), FINE),)


def _from(term: Scalar, desk: Desk) -> Spans:
    if isinstance(term, Quantity):
        parts = [t for t in (desk.place(term.at),) if t]
        if term.at in desk.origins:
            parts.append(f"({desk.origins[term.at].origin})")
        return (Span(" " + " ".join(parts), QUIET),) if parts else ()
    if isinstance(term, Constant):
        return (Span(" ", QUIET), *desk.number(term.citation))
    if isinstance(term, Figure):
        return ()  # its value leads to it
    return (Span(f" {term.name or 'computed'}", QUIET),)


def _family(some: list[Figure], desk: Desk) -> PageItem:
    """Like figures: the equation and what all share once, then a table of what differs."""
    prefix = _kind(some[0].key)
    tags = [f.key.removeprefix(prefix + ".") for f in some]
    title = some[0].title.replace(tags[0], "…") if tags[0] else some[0].title
    forms = dict.fromkeys((f.worked.regime, f.worked.equation.form(f.worked.regime)) for f in some)
    body: list[PageItem] = []
    for regime, text in forms:
        if text.startswith("~"):
            body += _told(text, some[0], desk)
        else:
            if len(forms) > 1:
                body.append(Paragraph(regime, QUIET, keep=True))
            body.append(EquationItem(text))
    by_symbol: dict[str, list[Spans | None]] = {}
    for n, f in enumerate(some):
        for symbol, given in [*f.worked.inputs, *f.worked.equation.constants]:
            by_symbol.setdefault(symbol, [None] * len(some))[n] = _input(symbol, given, desk)
    shared: list[str] = []
    differing: list[str] = []
    for symbol, cells in by_symbol.items():
        (shared if len({None if c is None else words(c) for c in cells}) == 1 else differing).append(symbol)
    line: list[Span] = []
    for symbol in shared:
        line += [Span(WIDE if line else "", QUIET), *(by_symbol[symbol][0] or ())]
    line += [Span(WIDE if line else "", QUIET), *_sources(some[0], desk)]
    line.append(Span(f"{WIDE}{prefix}, {len(some)} figures", QUIET))
    body.append(Paragraph(line, QUIET))
    body += _validity(some[0], desk)
    head = Paragraph(title, SUBHEADING)
    top = Stack([Rule(), head, Stack(body, indent=INDENT)])
    elsewhere = _elsewhere(some, tags, desk)
    if elsewhere:
        body.append(Paragraph(elsewhere, FINE))
        block = Stack([Rule(), head, Stack(body, indent=INDENT)], before=4)
        return _marked(block, some, desk)
    grid = _family_grid(some, tags, differing, desk, title)
    notes = []
    for f, own in zip(some, tags, strict=True):
        lacks = desk.result.lacks(f.key)
        said = [t for t in (desk.result.rests_on(f.key), f.worked.beyond, f"lacking: {lacks}" if lacks else "") if t]
        if f.unsure:
            said.append(f"no low and high are given for the stated tolerances: it {f.unsure}")
        notes += [f"{own}: {t}" for t in said]
    if notes:
        alike: dict[str, list[str]] = {}
        for note in notes:
            own, _, text = note.partition(": ")
            alike.setdefault(text, []).append(own)
        grid.note = " ".join([grid.note, *(f"{', '.join(in_runs(of))}: {text}." for text, of in alike.items())]).strip()
    return _marked(HeadedTable([top, grid], before=2), some, desk)


def _marked(block: Stack, some: list[Figure], desk: Desk) -> PageItem:
    block.anchors = tuple(desk.anchor(f"figure-{f.key}") for f in some)
    block.changed = any(f"figure {f.key}" in desk.moved for f in some)
    return block


def _elsewhere(some: list[Figure], tags: list[str], desk: Desk) -> str:
    """Where the values of a family stand already: in a table, or with another family that has the same."""
    if any(desk.result.rests_on(f.key) or f.worked.beyond or f.unsure for f in some):
        return ""
    tables = dict.fromkeys(desk.tabled.get(f.key, "") for f in some)
    if all(tables):
        return f"The values of {', '.join(in_runs(tags))} stand in the table {', '.join(tables)}."
    said = (*tags, *("/".join(amounts(c.worked.si, f)[0] for c in f.cases) + amounts(f.si, f)[0] for f in some))
    first = desk.same.setdefault(said, _kind(some[0].key))
    return f"Figure for figure the same values as {first}." if first != _kind(some[0].key) else ""


def _family_grid(some: list[Figure], tags: list[str], differing: list[str], desk: Desk, title: str) -> Grid:
    """What differs, a figure a row. The case that governs is strong. Metric values, then inputs that are figures with a
    place of their own, give way where the table then stands at half the measure: a full packet has them all."""
    given = [s for s in differing if any(_plain(f, s) for f in some)]
    typed = [s for s in given if not any(isinstance(dict(f.worked.inputs).get(s), Figure) for f in some)]
    made = _grid_of(some, tags, given, desk, title, True)
    for symbols, metric in ((given, True), (given, False), (typed, False)):
        narrow = _grid_of(some, tags, symbols, desk, title, metric)
        if narrow.natural() <= HALF:
            return narrow
    return made


def _grid_of(some: list[Figure], tags: list[str], symbols: list[str], desk: Desk, title: str, metric: bool) -> Grid:
    cases = list(dict.fromkeys(c.case for f in some for c in f.cases if c.case))
    cases = cases if len(cases) > 1 else []
    # The value is that of the case that governs, so it has a column of its own only where some have no case.
    alone = not cases or any(not f.case for f in some)
    ranged = any(f.low is not None and f.high is not None for f in some)
    both = metric and any(amounts(f.si, f)[1] for f in some)
    tracks = [Track("of")]
    # A symbol of the network's state may differ in each: those that are only computed stand in the full packet.
    shown = symbols[:4]
    tracks += [Track(s.replace("_", " ") if len(s) < 2 else _plain_name(s), 1, True) for s in shown]
    tracks += [Track("value", 1, True)] if alone else []
    tracks += [Track(c, 1, True) for c in cases]
    tracks += [Track("SI", 1, True)] if both else []
    tracks += [Track("low", 1, True), Track("high", 1, True)] if ranged else []
    if ranged and cases:
        tracks[-2:] = [Track("least", 1, True), Track("most", 1, True)]
    rows = []
    for f, own in zip(some, tags, strict=True):
        value, other = amounts(f.si, f)
        inputs = {**dict(f.worked.equation.constants), **dict(f.worked.inputs)}
        row: list[Spans] = [cell(own)]
        row += [_short(inputs.get(s), desk) for s in shown]
        row += [cell(value, FINE_STRONG)] if alone else []
        of = {c.case: amounts(c.worked.si, f)[0] for c in f.cases}
        row += [cell(of.get(c, "—"), FINE_STRONG if c == f.case and not alone else QUIET) for c in cases]
        row += [cell(other, QUIET)] if both else []
        if ranged:
            for end in (f.low, f.high):
                row.append(cell("—" if end is None else amounts(end, f)[0], QUIET))
        rows.append(row)
    return Grid(*_units_to_heads(tracks, _alike_as_one(rows)), before=4, name=title)


def _alike_as_one(rows: list[list[Spans]]) -> list[list[Spans]]:
    """One row for all that say the same of different things."""
    alike: dict[tuple[str, ...], list[list[Spans]]] = {}
    for row in rows:
        alike.setdefault(tuple(words(c) for c in row[1:]), []).append(row)
    return [[cell(", ".join(in_runs(words(row[0]) for row in some))), *some[0][1:]] for some in alike.values()]


def _plain(f: Figure, symbol: str) -> bool:
    given = dict(f.worked.inputs).get(symbol)
    return isinstance(given, Quantity | Constant | Figure)


def _plain_name(symbol: str) -> str:
    """A symbol for the head of a column, which has no lowered letters: ``p_1`` -> ``p1``."""
    return symbol.replace("_", "")


def _short(given: Input | None, desk: Desk) -> Spans:
    if given is None:
        return cell("—", QUIET)
    if isinstance(given, Quantity | Constant | Worked | Figure):
        return _value(given, desk)
    return cell(f"{len(given)} terms", QUIET)


def _units_to_heads(tracks: list[Track], rows: list[list[Spans]]) -> tuple[list[Track], list[list[Spans]]]:
    """A unit that all cells of a column share stands in its head."""
    for n, track in enumerate(tracks):
        if not track.right:
            continue
        parts = [row[n][0].text.split(" ", 1) if len(row[n]) == 1 else [""] for row in rows]
        units = {p[1] for p in parts if len(p) == 2}
        if len(units) == 1 and all(len(p) == 2 or p == ["—"] for p in parts):
            tracks[n] = track._replace(name=f"{track.name}, {units.pop()}")
            for row, p in zip(rows, parts, strict=True):
                row[n] = (row[n][0]._replace(text=p[0]),)
    return tracks, rows


class Single(Stack):
    """A figure: at the foot of a column it is cut in what is said of its inputs, never before its result."""

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
        return first, parts[1]


LEAST = 75.0  # points of a figure that may stand alone at the foot of a column
ENOUGH = 2  # parts of a figure, its equation and some of its inputs, that stand before a cut


class HeadedTable(Stack):
    """A head and its table: cut inside the table, else as a figure is, in what is said before the table."""

    def least(self, width: float) -> float:
        head, table = self.items
        whole = head.height(width) + table.before + table.least(width)
        return min(whole, LEAST) if _said(head) else whole

    def split(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        head, table = self.items
        parts = table.split(width, room - head.height(width) - table.before)
        if parts is None:
            return self._cut_head(width, room)
        first = HeadedTable([head, parts[0]], self.before)
        first.anchors = self.anchors
        return first, parts[1]

    def _cut_head(self, width: float, room: float) -> tuple[PageItem, PageItem] | None:
        head, table = self.items
        found = _said(head)
        if found is None:
            return None
        title, said = found
        parts = said.cut(width, room - Stack(title).height(width))
        if parts is None or len(getattr(parts[0], "items", ())) < ENOUGH:
            return None
        first = Stack([*title, parts[0]], self.before)
        first.anchors = self.anchors
        return first, HeadedTable([parts[1], table])


def _said(head: PageItem) -> tuple[list[PageItem], Stack] | None:
    """The title of a head and what is said under it; None of one that goes on."""
    *title, said = getattr(head, "items", ()) or (head,)
    return (title, said) if title and isinstance(said, Stack) else None


# -- in full


def _equation(worked: Worked) -> Iterator[PageItem]:
    text = worked.equation.form(worked.regime)
    if text.startswith("~"):
        yield Paragraph(prose(text[1:].strip(), MUTED), MUTED)
        return
    yield EquationItem(text, before=2)
    yield Paragraph("= " + equations.substitute(worked.equation, worked).removeprefix("=").strip(), QUIET, before=1)


def _result(figure: Figure, desk: Desk) -> PageItem:
    value, other = amounts(figure.si, figure)
    spans = [Span(value, RESULT)]
    if other:
        spans += [Span(WIDE, RESULT), Span(other, MUTED)]
    style: Style = FINE_ALARM if figure.decision and figure.case else QUIET
    return Pair(Paragraph(spans, RESULT), governs(figure, desk), style)


def _spread(figure: Figure) -> Iterator[PageItem]:
    """Low and high from the tolerances, and what moves the figure most."""
    if figure.unsure:
        yield Paragraph(f"No low and high are given for the stated tolerances: it {figure.unsure}.", FINE_ALARM)
    if figure.low is None or figure.high is None:
        return
    low, high = amounts(figure.low, figure)[0], amounts(figure.high, figure)[0]
    text = f"With the stated tolerances: low {low}, high {high}."
    width = {m.at + m.text: abs(m.high - m.low) for m in figure.movers}
    total = sum(width.values())
    if total > 0:
        ranked = sorted(figure.movers, key=lambda m: -width[m.at + m.text])[:3]
        parts = [f"{tag(m.at)} {m.text} ({width[m.at + m.text] / total:.0%})".strip() for m in ranked]
        text += " Most of the spread: " + ", ".join(parts) + "."
    yield Paragraph(text, QUIET)


def _other_cases(figure: Figure) -> Iterator[PageItem]:
    others = [c for n, c in enumerate(figure.cases) if n != figure.governing]
    if others:
        texts = [f"{c.case or 'any weather'} {amounts(c.worked.si, figure)[0]}" for c in others]
        yield Paragraph("Other cases: " + ", ".join(texts), QUIET)


def _inputs(worked: Worked, desk: Desk) -> Iterator[PageItem]:
    """One line of where each symbol's value is from; a computed input also shows its own inputs."""
    line: list[Span] = []
    nested: list[PageItem] = []
    for symbol, given in worked.inputs:
        name = symbol_spans(symbol, FINE_STRONG)
        terms = terms_of(given)
        if line:
            line.append(Span(WIDE, QUIET))
        line += [*name, Span("\u00a0", QUIET)]
        shown = terms[:6]
        for n, term in enumerate(shown):
            line.extend([Span(", ", QUIET)] if n else [])
            line.extend(_origin(term, desk))
        if len(terms) > len(shown):
            line.append(Span(f" and {len(terms) - len(shown)} more", QUIET))
        nested += [Paragraph(_within(symbol, t, desk), QUIET, indent=INDENT) for t in shown if isinstance(t, Worked)]
    for symbol, constant in worked.equation.constants:
        if line:
            line.append(Span(WIDE, QUIET))
        line += [*symbol_spans(symbol, FINE_STRONG), Span("\u00a0", QUIET)]
        line.extend(_origin(constant, desk))
    if line:
        yield Paragraph(line, QUIET, before=1)
    yield from nested


def _origin(term: Scalar, desk: Desk) -> Spans:
    """Where a value is from, with the value as written."""
    if isinstance(term, Quantity):
        parts = [t for t in (tag(term.at), term.text, desk.place(term.at)) if t]
        if term.at in desk.origins:
            parts.append(f"({desk.origins[term.at].origin})")
        return (Span(" ".join(parts) or printing.show(term.si, term.dim), QUIET),)
    if isinstance(term, Constant):
        # The number of its source here; the source in full stands in the line of sources.
        short = desk.cite(term.citation)
        return (Span(term.text + " ", QUIET), *(short[:1] if term.citation.reference else short))
    if isinstance(term, Figure):
        value = printing.show(term.si, term.dim, term.unit, term.digits)
        return (Span(f"{value} from ", QUIET), Span(term.key, QUIET, to=f"figure-{term.key}"))
    value = printing.show(term.si, term.dim)
    return (Span(value + (f" ({term.name})" if term.name else " (computed)"), QUIET),)


def _within(symbol: str, worked: Worked, desk: Desk) -> Spans:
    """One level into a computed input: its equation's source and its own inputs, in short."""
    spans: list[Span] = [*symbol_spans(symbol, FINE_STRONG), Span(" from ", QUIET)]
    for n, (part, given) in enumerate(worked.inputs):
        terms = terms_of(given)
        spans += [Span(", " if n else "", QUIET), *symbol_spans(part, QUIET), Span("\u00a0", QUIET)]
        spans.extend(_origin(terms[0], desk) if terms else [Span("none", QUIET)])
        if len(terms) > 1:
            spans.append(Span(f" and {len(terms) - 1} more", QUIET))
    if worked.equation.citations:
        spans.append(Span("; " if worked.inputs else "", QUIET))
        spans.extend(desk.cite_all(worked.equation.citations))
    if worked.beyond:
        spans.append(Span(f"; beyond the model's range: {worked.beyond}", FINE_ALARM))
    return tuple(spans)


def _source(worked: Worked, desk: Desk) -> PageItem:
    regime = f"{worked.regime}; " if worked.regime else ""
    constants = [c for _, c in worked.equation.constants]
    constants += [v for _, v in worked.inputs if isinstance(v, Constant)]
    cited = (*worked.equation.citations, *(c.citation for c in constants if c.citation.reference))
    if not cited:
        return Paragraph(f"{regime}no source was given", FINE_ALARM)
    return Paragraph((Span(regime, QUIET), *desk.cite_all(dict.fromkeys(cited))), QUIET)


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
