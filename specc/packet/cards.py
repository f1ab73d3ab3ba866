"""Cards to carry: one moment or one person a card, in large letters, with boxes to tick, blanks and lines to sign.

A card is one page. What does not fit in smaller letters that can still be read at night is cut between its groups, and
each page says which of the card it is. Nothing is printed from a draft: a card with steps for what was refused would
be worse than none.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

from specc.model.result import Result
from specc.packet import card_texts, fonts
from specc.packet.back import DEFERRAL
from specc.packet.canvas import bare_streams, opened
from specc.packet.card_items import SIZES, Card, CardGroup, Letters, letters
from specc.packet.desk import Desk, clip, short_digest
from specc.packet.layout import Page, PageItem, paginate
from specc.packet.press import Press
from specc.packet.style import FINE_STRONG, PAPERS, QUIET, Paper, Style
from specc.packet.text import Pair, Paragraph

SUBJECT = "Cards for the crew: a computed aid, not an approval"
NAME = Style(26.0, 31, "semibold")


def cards(result: Result) -> list[Card]:
    """All cards that a result has something for."""
    return card_texts.cards(Desk(result, public=False))


def render_cards(result: Result, paper_name: str = "letter", only: Sequence[str] = ()) -> bytes:
    """The cards as PDF bytes, each on a page of its own, or more where it is long. The same Result, the same bytes.

    Raises ValueError for a draft, for a paper that there is not, and for a card in `only` that there is not.
    """
    if paper_name not in PAPERS:
        raise ValueError(f"no paper {paper_name!r}; there is {', '.join(PAPERS)}")
    if result.draft:
        raise ValueError("the spec has errors: nobody is given steps for what was refused")
    every = cards(result)
    for key in only:
        if key not in {card.key for card in every}:
            raise ValueError(f"there is no card {key!r}; there are: {', '.join(c.key for c in every)}")
    paper = PAPERS[paper_name]
    buffer = io.BytesIO()
    with bare_streams():
        name = fonts.font_of("regular")
        fonts.face(name)
        canvas = opened(buffer, result, paper, f"{result.title}, cards", SUBJECT, name)
        press = Press(canvas, paper, {})
        for card in every:
            if only and card.key not in only:
                continue
            pages = pages_of(card, paper)
            for number, page in enumerate(pages, 1):
                _frame(press, result, card, f"{number} of {len(pages)}")
                for placed in page.placed:
                    placed.item.show(press, paper.left, paper.first_line - placed.top, paper.measure)
                canvas.showPage()
        canvas.save()
    return buffer.getvalue()


def pages_of(card: Card, paper: Paper) -> list[Page]:
    """One page, in letters as large as that allows; else several, cut between groups."""
    for size in SIZES:
        pages = _set(card, list(card.write(letters(size))), letters(size), paper)
        if len(pages) == 1:
            return pages
    # The fewest pages, and of those the largest letters.
    bundles = min((_bundles(card, size, paper) for size in SIZES), key=len)
    pages = []
    for n, bundle in enumerate(bundles, 1):
        size = _largest(card, bundle, paper)
        some = list(card.write(letters(size)))
        which = f"{n} of {len(bundles)}" if len(bundles) > 1 else ""
        pages += _set(card, [some[k] for k in bundle], letters(size), paper, which)
    return pages


def _bundles(card: Card, size: float, paper: Paper) -> list[list[int]]:
    """The groups of a card by the page that they stand on, by their numbers."""
    type_ = letters(size)
    groups = list(card.write(type_))
    made: list[list[int]] = [[]]
    for n in range(len(groups)):
        more = [*made[-1], n]
        if made[-1] and len(_set(card, [groups[k] for k in more], type_, paper, "9 of 9")) > 1:
            made.append([n])
        else:
            made[-1] = more
    return made


def _largest(card: Card, bundle: Sequence[int], paper: Paper) -> float:
    """The largest letters in which some groups of a card are one page; the smallest where they never are."""
    for size in SIZES:
        some = list(card.write(letters(size)))
        if len(_set(card, [some[k] for k in bundle], letters(size), paper, "9 of 9")) == 1:
            return size
    return SIZES[-1]


def _set(card: Card, groups: Sequence[CardGroup], type_: Letters, paper: Paper, which: str = "") -> list[Page]:
    title = Paragraph(card.title, NAME, keep=True)
    head: PageItem = Pair(title, which, type_.body, share=0.2, keep=True) if which else title
    items: list[PageItem] = [head]
    for n, group in enumerate(groups):
        items += group.set(type_, first=n == 0)
    return paginate(items, paper)


def _frame(press: Press, result: Result, card: Card, page: str) -> None:
    paper = press.paper
    left, right, y = paper.left, paper.width - paper.right, paper.height - paper.top - 8
    said = f"revision {clip(result.revision, 24) or 'not stated'}" + (
        f", issued {result.issued}" if result.issued else ""
    )
    used = press.text(left, y, clip(result.title, 60), FINE_STRONG)
    press.text(left + used + 10, y, said, QUIET)
    press.text(right, y, f"{clip(card.title, 50)}, {page}", QUIET, "right")
    press.line(left, y - 7, right, y - 7)
    y = paper.bottom + 10
    press.line(left, y + 11, right, y + 11)
    press.text(left, y, DEFERRAL, QUIET)
    press.text(left, y - 10, f"digest {short_digest(result.digest)}", QUIET)
