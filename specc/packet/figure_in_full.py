"""A figure with all that stands behind it: equation filled in, where each input is from, other cases, sources."""

from __future__ import annotations

from collections.abc import Iterator

from specc.formulas import equations
from specc.measure import printing
from specc.model.values import Constant, Figure, Quantity, Scalar, Worked, terms_of
from specc.packet.desk import Desk, tag
from specc.packet.figure_words import (
    amounts,
    left_over,
    prose,
    valid,
)
from specc.packet.layout import PageItem, Rule, Stack
from specc.packet.mathset import EquationItem, symbol_spans
from specc.packet.style import (
    FINE_ALARM,
    FINE_STRONG,
    INDENT,
    MUTED,
    QUIET,
    RESULT,
    SUBHEADING,
    Style,
)
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans


def governs(figure: Figure, desk: Desk) -> str:
    """The weather case whose value counts, with its air."""
    if not figure.case:
        return "does not depend on weather"
    air = next((c.air.text for c in desk.result.cases if c.name == figure.case), "")
    return f"worst case: {figure.case}" + (f", {air}" if air else "")


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
        body.append(valid(worked.equation.validity))
    head = Pair(Paragraph(figure.title, SUBHEADING), figure.key, QUIET)
    block = Stack([Rule(), head, Stack(body, indent=INDENT)], before=12)
    block.anchor = desk.anchor(f"figure-{figure.key}")
    block.changed = f"figure {figure.key}" in desk.moved
    return block


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
        value = printing.of_figure(term.si, term.dim, term.unit, term.digits)
        return (Span(f"{value} from ", QUIET), Span(term.key, QUIET, to=f"figure-{term.key}"))
    if left_over(term):
        return (Span(term.name, QUIET),)
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
