"""The plugins' sections: from blocks, which say what is shown, to items, which can be laid out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.model.blocks import (
    PART_TITLES,
    Bullets,
    DrawingBlock,
    Facts,
    FigureBlock,
    FigureList,
    Heading,
    Lacking,
    Para,
    Row,
    RulesBlock,
    Table,
    TableBlock,
)
from specc.model.result import SectionMade
from specc.model.wording import in_runs, with_runs
from specc.packet import back, figure, refused
from specc.packet.beside import beside
from specc.packet.desk import Desk, spot
from specc.packet.figure_in_full import in_full
from specc.packet.layout import PageItem, Snaking
from specc.packet.paged import Paged
from specc.packet.pictures import Picture, page_of
from specc.packet.rules_page import rules_grid
from specc.packet.style import (
    FINE,
    FINE_ALARM,
    FINE_STRONG,
    HEADING,
    PROSE,
    QUIET,
    STRONG,
    SUBHEADING,
    TEXT,
    Paper,
)
from specc.packet.tables import Grid, Track, cell, without_like
from specc.packet.text import WIDE, Paragraph, Span, Spans


def heading(desk: Desk, number: str, title: str, anchor: str, paper: Paper, new_page: bool = False) -> PageItem:
    """A section's title: in the contents, the outline and the running head."""
    item = Paragraph(f"{number}{WIDE}{title}", HEADING, keep=True, before=10)
    item.anchor = desk.anchor(anchor)
    item.outline = (f"{number} {title}", 0)
    item.section = f"{number} {title}"
    item.new_page = new_page
    item.need = paper.room * 0.08
    desk.contents.append((number, title, item.anchor, 0))
    return item


def small(title: PageItem) -> PageItem:
    """A section's title as that of a part of one, where there are but a few words under it."""
    assert isinstance(title, Paragraph)
    title.restyle(SUBHEADING)
    title.before, title.need = 10.0, 0.0
    return title


def subheading(desk: Desk, number: str, title: str, anchor: str) -> PageItem:
    item = Paragraph(f"{number}{WIDE}{title}" if number else title, SUBHEADING, keep=True, before=7)
    item.anchor = desk.anchor(anchor)
    item.outline = (f"{number} {title}".strip(), 1)
    desk.contents.append((number, title, item.anchor, 1))
    return item


def section(made: SectionMade, desk: Desk, paper: Paper) -> Iterator[PageItem]:
    number = desk.sections[made.id]
    title = made.title if desk.is_built_in(made.plugin) else f"{made.title} (plugin {made.plugin})"
    top = heading(desk, number, title, f"section-{made.id}", paper)
    desk.answers += [(answer, made.title, top.anchor) for answer in made.answers]
    top.changed = f"section {made.id}" in desk.moved
    shown = refused.left(made.part, made.blocks, desk)
    yield small(top) if all(isinstance(b, Para) for b in shown) else top
    yield from blocks(shown, made.id, number, desk, paper)


def blocks(
    some: Sequence[object], name: str, number: str, desk: Desk, paper: Paper, part: str = "appendix"
) -> Iterator[PageItem]:
    """Blocks as items, small ones beside one another unless every derivation is spelled out."""
    made = _blocks(some, name, number, desk, paper, part)
    yield from made if desk.full else beside(made)


def _blocks(some: Sequence[object], name: str, number: str, desk: Desk, paper: Paper, part: str) -> Iterator[PageItem]:
    """Blocks as items. Figures that follow one another come in families, unless every derivation is spelled out."""
    count = 0
    waiting: list[str] = []
    for block in (*some, None):
        if isinstance(block, FigureBlock | FigureList) and not desk.full:
            waiting += (block.key,) if isinstance(block, FigureBlock) else block.keys
            continue
        yield from figures(waiting, desk)
        waiting = []
        if isinstance(block, Heading):
            count += 1
            yield subheading(desk, f"{number}.{count}", block.text, f"part-{block.anchor or name}")
        elif block is not None:
            yield from _block(block, desk, paper, part)


def figures(keys: Sequence[str], desk: Desk) -> Iterator[PageItem]:
    """Figures in families; those that stand in full elsewhere already as lines of a list."""
    some = [desk.figures[k] for k in dict.fromkeys(keys) if k in desk.figures]
    seen = [f for f in some if f.key in desk.shown]
    yield from figure.in_families([f for f in some if f.key not in desk.shown], desk)
    if seen:
        yield figure.in_short(seen, desk)
    for key in keys:
        if key not in desk.figures:
            yield _missing("Figure", key, desk)


def figures_beside(keys: Sequence[str], desk: Desk) -> Iterator[PageItem]:
    """The same, small ones beside one another."""
    yield from figures(keys, desk) if desk.full else beside(figures(keys, desk))


def _missing(what: str, key: str, desk: Desk) -> PageItem:
    """Something a section asked for that the run did not make: said with its cause, never skipped."""
    why = desk.why_not(what.lower(), key)
    return Paragraph(f"{what} “{key}” could not be made: {why}.", FINE_ALARM, before=6)


def lost(desk: Desk, key: str) -> Iterator[PageItem]:
    """A line for each plugin whose items under a gathered key could not be made."""
    for text in desk.lost.get(key, ()):
        yield Paragraph(f"Lacking here: {text}.", FINE_ALARM, before=6)


def _block(block: object, desk: Desk, paper: Paper, part: str) -> Iterator[PageItem]:
    match block:
        case Para():
            style = QUIET if block.quiet else TEXT
            spans: list[Span] = [Span(block.text, style)]
            if block.citations:
                spans += [Span(WIDE, QUIET), *desk.cite_all(block.citations)]
            told = Paragraph(spans, style, before=5, most=PROSE)
            # The anchor that the table has where it stands, the first of its name.
            yield Paged(told, f"table-{block.page_of}", before=5) if block.page_of else told
        case Bullets():
            listed: list[PageItem] = []
            for n, text in enumerate(block.items, 1):
                label = str(n) if block.numbered else "–"
                listed.append(
                    Paragraph(text, before=5 if n == 1 else 2.5, indent=16, label=label, label_style=STRONG, most=PROSE)
                )
            if len(listed) < SHORT_LIST:
                yield from listed
            else:
                yield Snaking(listed, before=5)
        case Lacking():
            yield Paragraph(block.text, FINE_ALARM, before=6)
        case Facts():
            yield back.facts_item(block.rows)
        case TableBlock():
            table = desk.tables.get(block.key)
            yield _table(table, desk) if table else _missing("Table", block.key, desk)
        case DrawingBlock():
            yield from _drawing(block.key, desk, paper, part)
        case FigureBlock():
            found = desk.figures.get(block.key)
            yield in_full(found, desk) if found else _missing("Figure", block.key, desk)
        case FigureList():
            some = [desk.figures[k] for k in block.keys if k in desk.figures]
            if some:
                desk.shown.update(f.key for f in some)
                yield figure.in_short(some, desk)
            for key in block.keys:
                if key not in desk.figures:
                    yield _missing("Figure", key, desk)
        case RulesBlock():
            rules = [r for r in desk.result.rules if r.id.startswith(block.prefix)]
            if rules:
                yield rules_grid(rules, desk, before=10)
            else:
                yield Paragraph(f"No rule of {block.prefix.rstrip('.')} was run.", QUIET, before=5)
        case _:
            yield _missing("Block", type(block).__name__, desk)


def _table(table: Table, desk: Desk) -> PageItem:
    placed = any(row.place for row in table.rows)
    tracks = [Track(c.name, c.share, c.align == "right") for c in table.columns]
    if placed:
        tracks.append(Track("spec line", 0.16 * sum(c.share for c in table.columns)))

    def cells_of(row: Row) -> list[Spans]:
        style = FINE_STRONG if row.strong else FINE
        cells = [cell(with_runs(text), style) for text in row.cells[: len(table.columns)]]
        cells += [()] * (len(table.columns) - len(cells))
        if placed:
            cells.append(cell(spot(row.place), QUIET) if row.place else ())
        return cells

    listed = table.rows if placed or desk.full or table.folds else alike_rows(table.rows)
    rows: list[Sequence[Spans]] = [cells_of(row) for row in listed]
    folds = [cells_of(row) for row in table.folds]
    if not rows:
        rows.append([cell("nothing to list", QUIET), *[()] * (len(tracks) - 1)])
    title = table.title + desk.whose("table", table.key)
    strong_rows = any(row.strong for row in table.rows)
    tracks, all_rows, note = (
        (tracks, [*rows, *folds], table.note) if strong_rows else without_like(tracks, [*rows, *folds], table.note)
    )
    heads = [n for n, row in enumerate(listed) if row.strong]
    grid = Grid(tracks, all_rows[: len(rows)], (desk.count("Table"), title), note, before=8, heads=heads)
    grid.folds = [n for n, row in enumerate(listed) if not row.kept], all_rows[len(rows) :]
    grid.anchor = desk.anchor(f"table-{table.key}")
    grid.changed = f"table {table.key}" in desk.moved
    return grid


def alike_rows(rows: Sequence[Row]) -> list[Row]:
    """One row for all that say the same of different things: only what they are of differs."""
    of: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        if not row.strong and len(row.cells) > 2:
            of.setdefault(row.cells[1:], []).append(row.cells[0])
    made: list[Row] = []
    for row in rows:
        like = of.get(row.cells[1:], [])
        if row.strong or len(like) < ALIKE or len(row.cells) < 3 or not any(row.cells[1:]):
            made.append(row)
        elif row.cells[0] == like[0]:
            made.append(row._replace(cells=(", ".join(in_runs(dict.fromkeys(like))), *row.cells[1:])))
            of[row.cells[1:]] = [""] * len(like)  # said
    return made


LARGEST = 1.7  # times its size that a schematic is drawn on a sheet larger than the packet's
SHORT_LIST = 4  # longer ones stand in two columns
ALIKE = 3  # rows that say the same become one


def _drawing(key: str, desk: Desk, paper: Paper, part: str) -> Iterator[PageItem]:
    drawing = desk.drawings.get(key)
    if drawing is None or not drawing.sheets:
        yield _missing("Drawing", key, desk)
        return
    drawing = drawing._replace(title=drawing.title + desk.whose("drawing", key))
    number = desk.count("Figure")
    desk.drawn.setdefault(key, number)
    page = page_of(drawing, paper) if part == "system" else paper
    # The site and the system are read at arm's length; any other drawing shares its page.
    share = {"system": 1.0, "site": 0.86, "structure": 0.27}.get(part, 0.36 if part in PART_TITLES else 0.27)
    for n, sheet in enumerate(drawing.sheets, 1):
        more = f"sheet {n} of {len(drawing.sheets)}" if len(drawing.sheets) > 1 else ""
        grown = LARGEST if page.width > paper.height else 1.0
        picture = Picture(drawing, sheet, number, page.room * share, page.room, more=more, grown=grown)
        picture.anchor = desk.anchor(f"drawing-{key}")
        picture.lying = page is not paper
        picture.changed = f"drawing {key}" in desk.moved
        yield picture
