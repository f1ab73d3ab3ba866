"""What changed since an earlier state: in a sentence for the summary, and as a page at the end of the front."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.model.result import Change, Since
from specc.packet.desk import Desk, many
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
    rows: list[Sequence[Spans]] = []
    for c in some:
        figure = desk.figures.get(c.what) if c.kind == "figure" else None
        name, kind = (figure.title, c.what) if figure else (c.what, c.kind)
        what: Spans = (Span(name, FINE), Span(f" {kind}", QUIET))
        now = c.now or "gone"
        rows.append([what, cell(c.was or "new", QUIET), cell(now, FINE_STRONG), cell(c.by), cell(c.review)])
    tracks = [Track("what", 1.8), Track("was", 1.4), Track("is", 1.4), Track("by", 0.5, True), Track("new review", 0.7)]
    return Grid(tracks, rows, (desk.count("Table"), "What changed"), before=6)
