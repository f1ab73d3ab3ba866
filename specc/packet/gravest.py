"""What page one says whatever else has room there: errors, the worst first, and what somebody waived or replaced."""

from __future__ import annotations

from collections.abc import Iterator

from specc.kinds.packet import DECISIONS, SUMMARY_FACTS
from specc.model.findings import Finding
from specc.packet.desk import Desk, clip, spot
from specc.packet.layout import PageItem
from specc.packet.refused import by_danger
from specc.packet.style import FINE, FINE_STRONG, QUIET
from specc.packet.text import Paragraph, Span


def told_first(desk: Desk, most: int) -> Iterator[PageItem]:
    """What stands here whatever else: errors that somebody waived, with who, and built-ins that are replaced."""
    who = {w.tag: w for w in desk.result.waivers}
    long = 90 + 60 * most
    for f in desk.result.findings:
        if f.rule == "plugin.replaced":
            yield Paragraph(f"Replaced: {clip(f.message, long * 2)}", FINE_STRONG, before=3)
        elif f.level == "error" and f.waived:
            w = who.get(f.waived)
            by = f" By {clip(w.who, 80)}, until {w.until}: {clip(w.reason, long)}" if w else ""
            yield Paragraph(f"Waived error: {clip(f.message, long)} ({f.rule}).{by}", FINE_STRONG, before=3)
    by_cause: dict[str, list[str]] = {}
    for text in desk.lost.get(SUMMARY_FACTS.name, ()):
        by_cause.setdefault(text.rpartition("): ")[2], []).append(text)
    for cause, texts in by_cause.items():  # five that lack the same thing are one line
        said = texts[0] if len(texts) == 1 else f"{len(texts)} of the answers below: {cause}"
        yield Paragraph(f"Lacking here: {clip(said, 140)}.", FINE_STRONG, before=2)
    for text in desk.lost.get(DECISIONS.name, ()):
        yield Paragraph(f"Lacking among what needs you: {clip(text, 200)}.", FINE_STRONG, before=2)


def errors(desk: Desk, most: int) -> Iterator[PageItem]:
    some = sorted(
        by_danger(f for f in desk.result.findings if f.level == "error" and not f.waived),
        key=lambda f: not (desk.is_built_in(f.plugin) or f.rule.startswith("plugin.")),
    )
    # Of each rule one: nineteen of the first would hide what the others found.
    by_rule: dict[str, list[Finding]] = {}
    for f in some:
        by_rule.setdefault(f.rule, []).append(f)
    shown = list(by_rule.values())[: max(1, most)]
    for first, *like in shown:
        more = f", and {len(like)} more like it" if like else ""
        where = Span(f" {clip(spot(first.place), 60)}{more}", QUIET)
        yield Paragraph((Span(clip(first.message, 170), FINE), where), FINE, before=1.5, indent=11, mark="cross")
    left = len(some) - sum(map(len, shown))
    if left:
        where_else = f"in section {desk.sections.get('findings', '')}"
        yield Paragraph(f"{left} more: {where_else}", QUIET, before=2)
