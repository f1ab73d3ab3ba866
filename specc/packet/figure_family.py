"""Like figures in one table, under the equation and the inputs that they share."""

from __future__ import annotations

from specc.model.values import Constant, Figure, Input, Quantity, Worked
from specc.model.wording import in_runs
from specc.packet.desk import Desk
from specc.packet.figure_words import (
    amounts,
    shown_input,
    shown_value,
    sources,
    told,
    validity,
)
from specc.packet.layout import PageItem, Rule, Stack
from specc.packet.mathset import EquationItem
from specc.packet.style import (
    FINE,
    FINE_STRONG,
    HALF,
    INDENT,
    QUIET,
)
from specc.packet.tables import Grid, Track, cell, words
from specc.packet.text import WIDE, Paragraph, Span, Spans


def kind_of(key: str) -> str:
    """What like figures share of their keys: ``fuel.flow`` of ``fuel.flow.stem_1``."""
    steps = key.split(".")
    return ".".join(steps[:2]) if len(steps) > 2 else steps[0]


def _rule(ruled: bool) -> list[PageItem]:
    return [Rule()] if ruled else []


def family(some: list[Figure], desk: Desk, ruled: bool = True) -> PageItem:
    """Like figures: the equation and what all share once, then a table of what differs."""
    prefix = kind_of(some[0].key)
    tags = [f.key.removeprefix(prefix + ".") for f in some]
    title = some[0].title.replace(tags[0], "…") if tags[0] else some[0].title
    forms = dict.fromkeys((f.worked.regime, f.worked.equation.form(f.worked.regime)) for f in some)
    body: list[PageItem] = []
    for regime, text in forms:
        if text.startswith("~"):
            body += told(text, some[0], desk)
        else:
            if len(forms) > 1:
                body.append(Paragraph(regime, QUIET, keep=True))
            body.append(EquationItem(text))
    by_symbol: dict[str, list[Spans | None]] = {}
    for n, f in enumerate(some):
        for symbol, given in [*f.worked.inputs, *f.worked.equation.constants]:
            by_symbol.setdefault(symbol, [None] * len(some))[n] = shown_input(symbol, given, desk)
    shared: list[str] = []
    differing: list[str] = []
    for symbol, cells in by_symbol.items():
        (shared if len({None if c is None else words(c) for c in cells}) == 1 else differing).append(symbol)
    line: list[Span] = []
    for symbol in shared:
        line += [Span(WIDE if line else "", QUIET), *(by_symbol[symbol][0] or ())]
    line += [Span(WIDE if line else "", QUIET), *sources(some[0], desk)]
    line.append(Span(f"{WIDE}{prefix}, {len(some)} figures", QUIET))
    body.append(Paragraph(line, QUIET))
    body += validity(some[0], desk)
    head = Paragraph(title, FINE_STRONG)
    top = Stack([*_rule(ruled), head, Stack(body, indent=INDENT)])
    elsewhere = _elsewhere(some, tags, desk)
    if elsewhere:
        body.append(Paragraph(elsewhere, FINE))
        block = Stack([*_rule(ruled), head, Stack(body, indent=INDENT)], before=4)
        return _marked(block, some, desk)
    grid = _family_grid(some, tags, differing, desk, title)
    alike: dict[str, list[str]] = {}
    for f, own in zip(some, tags, strict=True):
        lacks = desk.result.lacks(f.key)
        said = [t for t in (desk.result.rests_on(f.key), f.worked.beyond, f"lacking: {lacks}" if lacks else "") if t]
        if f.unsure:
            said.append(f"no low and high are given for the stated tolerances: it {f.unsure}")
        for text in said:
            alike.setdefault(text, []).append(own)
    if alike:
        grid.note = " ".join([grid.note, *(f"{', '.join(in_runs(of))}: {text}." for text, of in alike.items())]).strip()
    made = HeadedTable([top, grid], before=2 if ruled else 8)
    made.name = title
    return _marked(made, some, desk)


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
    first = desk.same.setdefault(said, kind_of(some[0].key))
    return f"Figure for figure the same values as {first}." if first != kind_of(some[0].key) else ""


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
        return shown_value(given, desk)
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


LEAST = 75.0  # points of a figure that may stand alone at the foot of a column


ENOUGH = 2  # parts of a figure, its equation and some of its inputs, that stand before a cut


def goes_on(name: str) -> Paragraph:
    """Over what follows a cut: whose it is."""
    return Paragraph(f"{name}, continued", QUIET, keep=True)


class HeadedTable(Stack):
    """A head and its table: cut inside the table, else as a figure is, in what is said before the table."""

    name = ""

    def ends_ruled(self) -> bool:
        """A table without a note ends in the line of its last row, and what follows needs none of its own."""
        return not getattr(self.items[-1], "note", "")

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
        rest = HeadedTable([Stack([goes_on(self.name), parts[1]]), table])
        rest.name = self.name
        return first, rest


def _said(head: PageItem) -> tuple[list[PageItem], Stack] | None:
    """The title of a head and what is said under it; None of one that goes on."""
    *title, said = getattr(head, "items", ()) or (head,)
    return (title, said) if title and isinstance(said, Stack) else None
