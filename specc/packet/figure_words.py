"""What is said of a figure wherever it stands: value, inputs with their sources, what its equation is valid for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from specc.measure import printing
from specc.model.values import Constant, Figure, Input, Quantity, Scalar, Worked, terms_of
from specc.packet.desk import IN_SHORT, Desk
from specc.packet.layout import PageItem
from specc.packet.mathset import symbol_spans
from specc.packet.style import (
    FINE,
    FINE_STRONG,
    QUIET,
    Style,
)
from specc.packet.tables import words
from specc.packet.text import Paragraph, Span, Spans


def amounts(si: float, figure: Figure) -> tuple[str, str]:
    """A figure's value in US customary and in metric units; the second is "" where one unit serves both."""
    si = printing.as_printed(si, figure.dim, figure.worst, figure.digits)
    us, metric = printing.both(si, figure.dim, figure.unit, figure.digits)
    return us, "" if metric == us else metric


LONG = 110  # letters of an equation in words, or of inputs, that are not said twice


def told(text: str, f: Figure, desk: Desk) -> Iterator[PageItem]:
    """An equation in words; a long one that another figure has too is said there."""
    words_ = text[1:].strip()
    first = desk.told.setdefault(words_, f.key)
    if first == f.key or len(words_) < LONG:
        yield Paragraph(prose(words_, QUIET), QUIET)
    else:
        yield Paragraph((Span("in the same way as ", QUIET), Span(first, QUIET, to=f"figure-{first}")), QUIET)


def given_once(line: list[Span], f: Figure, desk: Desk) -> list[Span]:
    """Inputs; where another figure has the same ones, and many of them, they stand there."""
    said = words(tuple(line))
    first = desk.told.setdefault(said, f.key)
    if first == f.key or len(said) < LONG:
        return line
    return [Span("the same inputs as ", QUIET), Span(first, QUIET, to=f"figure-{first}")]


def sources(f: Figure, desk: Desk) -> Spans:
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


def validity(f: Figure, desk: Desk) -> Iterator[PageItem]:
    """What the equation is valid for, said where it is first shown."""
    equation = f.worked.equation
    first = desk.explained.setdefault(equation, f.key)
    if not equation.validity:
        return
    if first == f.key:
        yield valid(equation.validity)


def valid(text: str) -> PageItem:
    """A range in which an equation is valid: named things or a condition, so that no sentence is begun for it."""
    return Paragraph((Span("Valid: ", QUIET), *prose(text, QUIET)), QUIET)


# Symbols with something lowered, and names of Greek letters, where an equation is told in words.
_SYMBOL = re.compile(r"\b(?:[^\W\d_]|rho|Delta|sigma|theta)_[A-Za-z0-9]{1,4}(?![A-Za-z0-9_])|\brho\b|(?<=\bd)rho\b")


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


def shown_input(symbol: str, given: Input, desk: Desk) -> Spans:
    """A symbol, its value, and in short where that is from."""
    spans: list[Span] = [*symbol_spans(symbol, FINE_STRONG), Span("\u00a0", QUIET)]
    # Equal ones from one place are counted, not repeated.
    alike: dict[str, list[Spans]] = {}
    for term in terms_of(given):
        said = (*shown_value(term, desk), *_from(term, desk))
        alike.setdefault(words(said), []).append(said)
    for n, like in enumerate(list(alike.values())[:6]):
        spans.extend([Span(", ", QUIET)] if n else [])
        spans.extend([Span(f"{len(like)} of ", QUIET)] if len(like) > 1 else [])
        spans.extend(like[0])
    if len(alike) > 6:
        spans.append(Span(f" and {sum(map(len, list(alike.values())[6:]))} more", QUIET))
    return tuple(spans)


def shown_value(term: Scalar, desk: Desk) -> Spans:
    if isinstance(term, Quantity | Constant):
        return (Span(term.text or printing.show(term.si, term.dim), FINE),)
    if isinstance(term, Figure):
        value = printing.of_figure(term.si, term.dim, term.unit, term.digits)
        return (Span(value, FINE, to=f"figure-{term.key}"),)
    return () if left_over(term) else (Span(printing.show(term.si, term.dim), FINE),)


_LEFT_OVER = 1e-6  # a share as small as this is what a solver did not settle; it tells a reader of the packet nothing


def left_over(term: Worked) -> bool:
    """Whether a computed input stands for a solved network, whose number is only how well it was solved."""
    return term.dim == "ratio" and bool(term.name) and abs(term.si) < _LEFT_OVER


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
