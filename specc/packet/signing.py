"""The last page: what the authority is asked, and where both sign."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.packet.desk import Desk
from specc.packet.layout import Columns, PageItem, Rule, Stack
from specc.packet.press import Press
from specc.packet.style import (
    FINE,
    FINE_NEEDS_YOU,
    GRAY,
    HAIR,
    PROSE,
    QUIET,
    SUBHEADING,
    TEXT,
)
from specc.packet.text import WIDE, Paragraph, Span


class Blanks(PageItem):
    """Lines to write on, with a label under each. `shares` are parts of the width."""

    def __init__(self, labels: Sequence[tuple[str, float]], space: float = 26.0, before: float = 0.0) -> None:
        self.labels, self.space, self.before = tuple(labels), space, before

    def height(self, width: float) -> float:
        return self.space + (12 if any(label for label, _ in self.labels) else 2)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        gutter = 14.0
        free = width - gutter * (len(self.labels) - 1)
        total = sum(share for _, share in self.labels)
        for label, share in self.labels:
            w = free * share / total
            press.line(x, y - self.space, x + w, y - self.space, HAIR, GRAY)
            press.text(x, y - self.space - 9, label, QUIET)
            x += w + gutter


class AnswerLine(PageItem):
    """A line to write an answer on, under its question."""

    def height(self, width: float) -> float:
        return 13.0

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        end = x + 26 + press.text(x + 26, y - 11, ANSWER, QUIET)
        press.line(end + 6, y - 12, x + width, y - 12, HAIR, GRAY)


def questions(asks: Sequence[tuple[str, str]]) -> Iterator[PageItem]:
    """What only the authority can answer, numbered as on the summary, each with a line to answer on."""
    for n, (text, rule) in enumerate(asks, 1):
        spans = (Span(text, FINE), Span(f" {rule}" if rule else "", QUIET))
        yield Paragraph(
            spans,
            FINE,
            before=3,
            indent=26,
            label=f"{WIDE}{WIDE}{n}",
            label_style=FINE_NEEDS_YOU,
            mark="pennant",
            keep=True,
        )
        line = AnswerLine()
        line.keep = n == len(asks)  # a signature does not stand on a page without a question that it answers
        yield line


ANSWER = "the authority's answer"
# What the signature is, in one sentence: a marshal who signs does not answer for our numbers.
MEANS = (
    "The authority's signature says what it decided on this packet, under the conditions that it writes; it does not "
    "say that the numbers or the device are right. No tick or “passed” in here is an approval."
)
SIGNING: tuple[tuple[str, float], ...] = (("name", 1.2), ("signature", 1.3), ("date", 0.7))


def sign_off(desk: Desk) -> Iterator[PageItem]:
    authority: list[PageItem] = [
        Rule(),
        Paragraph("For the authority", SUBHEADING),
        Blanks((("name", 1.2), ("license or badge", 1.1), ("signature", 1.3), ("date", 0.7))),
        Paragraph("Conditions", SUBHEADING, before=4),
        *(Blanks((("", 1.0),), 18) for _ in range(3)),
    ]
    operator: list[PageItem] = [
        Rule(),
        Paragraph("For the lead operator", SUBHEADING),
        Paragraph("I have read this packet. What is built and run is what it says.", TEXT, most=PROSE),
        Blanks(SIGNING),
    ]
    r = desk.result
    what = f"{r.title}, revision {r.revision or 'not stated'}, digest {r.digest.split(':')[-1][:16]}"
    # Nobody signs a page that does not say what is signed.
    yield Paragraph(f"This signature is for {what}. {MEANS}", QUIET, before=4, keep=True)
    yield Columns([Stack(authority), Stack(operator)], [3, 2], gutter=24, before=8)
