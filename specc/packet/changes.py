"""What changed since an earlier state: in a sentence for the summary, and as a page at the end of the front."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.model.result import Change, Since
from specc.model.wording import in_runs
from specc.packet.desk import Desk, many
from specc.packet.figure_family import kind_of
from specc.packet.layout import PageItem
from specc.packet.style import FINE, FINE_STRONG, PROSE, QUIET, STRONG, TEXT
from specc.packet.tables import Grid, Track, cell
from specc.packet.text import Paragraph, Span, Spans

_MARKED = "A bar in the margin marks every figure, table, drawing and section that is not as it was."
_CALLS = "Which changes call for a new review is a specc default; the authority decides."


def revision(since: Since) -> str:
    """What it is compared with, in words."""
    said = f"revision {since.revision}" if since.revision else "no revision stated"
    return f"{since.name} ({said}{f', issued {since.issued}' if since.issued else ''})"


def reviews(since: Since) -> str:
    """What calls for a new review: "gas 12, distance 3"; "" where nothing does."""
    return ", ".join(f"{what} {n}" for what, n in since.reviews().items())


def in_short(since: Since) -> str:
    """For the summary."""
    if not since.changes:
        return f"Nothing, since {revision(since)}."
    calls = reviews(since)
    said = f"{many(len(since.changes), 'change')} since {revision(since)}. "
    said += f"New review: {calls}." if calls else "None calls for a new review by itself."
    return said + (" Both name the same revision." if since.same else "")


def since(found: Since, desk: Desk) -> Iterator[PageItem]:
    if found.same:
        words = (
            f"The two differ and both name the revision {found.revision or 'not stated'}: nobody can tell them apart."
        )
        yield Paragraph(words, STRONG, before=4, most=PROSE)
    if not found.changes:
        yield Paragraph(f"Nothing changed since {revision(found)}.", TEXT, before=4)
        return
    calls = reviews(found)
    new = f" They call for a new review of: {calls}." if calls else " None calls for a new review by itself."
    yield Paragraph(f"{many(len(found.changes), 'change')} since {revision(found)}.{new}", TEXT, before=4, most=PROSE)
    # What a reviewer acts on first: all but figures, then figures that call for a review, then the others.
    order = sorted(found.changes, key=lambda c: (c.kind == "figure", not c.review))
    yield _grid(order, desk)
    yield Paragraph(f"{_MARKED} {_CALLS}", QUIET, before=3, most=PROSE)


def _grid(some: Sequence[Change], desk: Desk) -> PageItem:
    """A row for all that changed alike: of five equal burners one line, not five."""
    alike: dict[tuple[str, ...], list[Change]] = {}
    for c in some:
        of = kind_of(c.what) if c.kind == "figure" else c.kind
        alike.setdefault((of, c.was, c.now, c.by, c.review), []).append(c)
    rows: list[Sequence[Spans]] = []
    for (of, was, now, by, review), group in alike.items():
        name, kind = _named(of, [c.what for c in group], desk) if group[0].kind == "figure" else (
            ", ".join(in_runs(c.what for c in group)), of)  # fmt: skip
        what: Spans = (Span(name, FINE), Span(f" {kind}", QUIET))
        rows.append([what, cell(was or "new", QUIET), cell(now or "gone", FINE_STRONG), cell(by), cell(review)])
    tracks = [Track("what", 1.8), Track("was", 1.4), Track("is", 1.4), Track("by", 0.5, True), Track("new review", 0.7)]
    return Grid(tracks, rows, (desk.count("Table"), "What changed"), before=6)


def _named(of: str, keys: Sequence[str], desk: Desk) -> tuple[str, str]:
    """What figures of one kind are called together, and their keys."""
    first = desk.figures.get(keys[0])
    if len(keys) == 1:
        return (first.title, keys[0]) if first else (keys[0], "figure")
    tags = [key.removeprefix(f"{of}.") for key in keys]
    runs = ", ".join(in_runs(tags))
    title = first.title.replace(tags[0], runs) if first and tags[0] in first.title else ""
    return (title, of) if title else (runs, of)
