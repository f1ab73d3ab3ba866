"""The first pages: cover, one page for the reviewer, contents."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.kinds.packet import DECISIONS, SUMMARY_FACTS
from specc.model.blocks import Fact
from specc.model.result import Item
from specc.model.statuses import UNJUDGED
from specc.packet.back import DEFERRAL, Blanks, facts_item, status_counts
from specc.packet.desk import Desk, clip, failures, many, short_digest, spot
from specc.packet.figure import amounts
from specc.packet.layout import Columns, Gap, PageItem, Rule, Stack
from specc.packet.pictures import Picture
from specc.packet.press import Press
from specc.packet.style import (
    ACCENT,
    ALARM,
    FINE,
    FINE_ALARM,
    FINE_STRONG,
    GRAY,
    HEADING,
    INK,
    MUTED,
    NUMBER,
    PROSE,
    QUIET,
    STRONG,
    SUBHEADING,
    SUBTITLE,
    TEXT,
    THICK,
    TITLE,
    Paper,
    Style,
)
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans, wide

KIND = "Safety submission packet for a propane flame effect"


def status_words(desk: Desk) -> tuple[str, bool]:
    """The packet's standing in a sentence, and whether it is a draft."""
    why = failures(desk.result)
    if why:
        return "DRAFT: " + "; ".join(why), True
    if not desk.result.rules:
        return "No rules were run: nothing was judged, and this is not an approval.", False
    # Never without how many were not checked: what nobody looked at has no errors either.
    silent = sum(1 for rule in desk.result.rules if rule.status in UNJUDGED)
    more = f"{silent} of {many(len(desk.result.rules), 'rule')} not checked."
    return f"No errors found by the rules listed in {desk.see('rules')}; this is not an approval. {more}", False


def told_first(desk: Desk) -> Iterator[PageItem]:
    """What stands on page one whatever else: errors that somebody waived, with who, and built-ins that are replaced."""
    who = {w.tag: w for w in desk.result.waivers}
    for f in desk.result.findings:
        if f.rule == "plugin.replaced":
            yield Paragraph(f"Replaced: {clip(f.message, 1200)}", FINE_ALARM, before=6, most=PROSE + 40)
        elif f.level == "error" and f.waived:
            waiver = who[f.waived]
            text = f"Waived error: {clip(f.message, 160)} ({f.rule}). By {clip(waiver.who, 80)}, until {waiver.until}"
            yield Paragraph(text + f": {clip(waiver.reason, 160)}", FINE_ALARM, before=6, most=PROSE + 40)


def cover(desk: Desk, paper: Paper) -> Iterator[PageItem]:
    r = desk.result
    title = Paragraph(r.title, TITLE, most=paper.measure * 0.9)
    title.section = "Cover"
    title.anchor, title.outline = desk.anchor("cover"), ("Cover", 0)
    top = Stack([Gap(paper.room * 0.16), title, Paragraph(KIND, SUBTITLE, before=4)])
    top.section, top.anchor, top.outline = "Cover", title.anchor, title.outline
    title.anchor, title.outline = "", None
    yield top
    if r.summary:
        yield Paragraph(r.summary, TEXT, most=PROSE, before=14)
    status, draft = status_words(desk)
    yield Rule(THICK, ACCENT if draft else INK, before=24)
    yield Paragraph(status, ALARM if draft else STRONG, before=4, most=PROSE + 40)
    yield from told_first(desk)
    if desk.public:
        yield Paragraph("Public copy: private details are withheld.", MUTED)
    rows = [(label, text) for label, text in r.event]
    rows.append(("revision", r.revision or "not stated"))
    rows.append(("digest of the inputs", short_digest(r.digest)))
    if r.git:
        differ = f"; files differ from it: {', '.join(r.git.differs)}" if r.git.differs else ""
        rows.append(("version control", f"{r.git.revision[:12]}{differ}"))
    facts = facts_item(rows)
    facts.before = 20
    yield facts
    yield Paragraph(DEFERRAL, MUTED, before=20)


# -- the reviewer's page


def own_first(desk: Desk, key: str, some: Sequence[object]) -> list[Fact]:
    """Facts in their order, the built-in plugins' first; a third party's carries its name."""
    items = desk.result.items(key) or tuple(Item("", "", f) for f in some)
    facts = [
        (not i.built_in, i.item.order, i.item._replace(label=f"{i.whose}{i.item.label}"))
        for i in items
        if isinstance(i.item, Fact)
    ]
    return [fact for *_, fact in sorted(facts, key=lambda f: f[:2])]


def _facts(some: Sequence[Fact]) -> Iterator[PageItem]:
    """Facts three to a row, their values large."""
    for start in range(0, len(some), 3):
        row = some[start : start + 3]
        cells: list[PageItem] = []
        for fact in row:
            style = NUMBER if wide(fact.value, NUMBER) < 150 else HEADING._replace(weight="light", leading=29)
            cells.append(
                Stack(
                    [
                        Paragraph(clip(fact.value, 40), style),
                        Paragraph(clip(fact.label, 60), FINE_STRONG),
                        Paragraph(clip(fact.note, 90), QUIET),
                    ]
                )
            )
        cells += [Gap(0)] * (3 - len(cells))
        yield Columns(cells, [1, 1, 1], before=10)


def _listed(items: Sequence[Spans], most: int, more: str, numbered: bool, style: Style) -> Iterator[PageItem]:
    """Up to `most` items, then how many more there are and where."""
    for n, spans in enumerate(items[:most], 1):
        label = str(n) if numbered else "–"
        # Texts come in the small size; with room to spare they are set in the larger one.
        larger = tuple(s._replace(style=s.style._replace(size=style.size, leading=style.leading)) for s in spans)
        mark = (FINE_ALARM if numbered else QUIET)._replace(size=style.size)
        yield Paragraph(larger, style, before=3, indent=14, label=label, label_style=mark)
    if len(items) > most:
        yield Paragraph(f"and {len(items) - most} more, {more}", FINE_STRONG, before=3, indent=14)


def to_decide(desk: Desk) -> list[Spans]:
    """What waits for the authority: decisions, rules that leave it to them, and waivers. What a third party adds comes
    last: it carries the plugin's name, and pushes nothing of the built-ins' off the page.
    """
    r = desk.result
    given = r.items(DECISIONS.name) or tuple(Item("", "", d) for d in r.decisions)
    own: list[Spans] = [(Span(clip(str(i.item), 600), FINE),) for i in given if i.built_in]
    others: list[Spans] = [(Span(clip(f"{i.whose}{i.item}", 600), FINE),) for i in given if not i.built_in]
    for rule in r.rules:
        made = own if desk.is_built_in(rule.plugin) else others
        if rule.status == "authority to decide":
            # The question itself, when the rule put one; its statement only says what it looks for.
            text = clip(rule.looked or rule.statement, 330)
            made.append((Span(text, FINE), Span(f" {rule.id}", QUIET)))
    own += [(Span(f"Lacking here: {clip(t, 240)}.", FINE_ALARM),) for t in desk.lost.get(DECISIONS.name, ())]
    open_rules: dict[str, list[str]] = {}
    for rule in r.rules:
        if rule.status in UNJUDGED:
            open_rules.setdefault(rule.plugin, []).append(rule.looked)
    for plugin, reasons in open_rules.items():
        text = f"Not checked: {many(len(reasons), 'rule')} of {plugin}. {clip(reasons[0], 120)}"
        (own if desk.is_built_in(plugin) else others).append((Span(text, FINE),))
    for w in r.waivers:
        text = f"Waiver {w.tag}: {clip(w.reason, 140)}"
        tail = ", ".join(t for t in (w.rule, f"until {w.until}" if w.until else "", w.who) if t)
        own.append((Span(text, FINE), Span(f" {clip(tail, 90)}", QUIET)))
    return [*own, *others]


def _worst(desk: Desk) -> list[Spans]:
    """Open findings in short, errors first; of one level the built-ins' first."""
    order = {"error": 0, "warning": 1, "note": 2}
    some = sorted(
        (f for f in desk.result.findings if not f.waived),
        key=lambda f: (order.get(f.level, 3), not (desk.is_built_in(f.plugin) or f.rule.startswith("plugin."))),
    )
    return [
        (
            Span(f"{f.level}{WIDE}", FINE_ALARM if f.level == "error" else FINE_STRONG),
            Span(clip(f.message, 150), FINE),
            Span(f"{WIDE}{clip(spot(f.place), 60)}", QUIET),
        )
        for f in some
    ]


def _counts(desk: Desk) -> str:
    r = desk.result
    parts = []
    for level in ("error", "warning", "note"):
        n = sum(1 for f in r.findings if f.level == level and not f.waived)
        parts.append(many(n, level) if n else f"no {level}s")
    waived = sum(1 for f in r.findings if f.waived)
    return ", ".join(parts) + (f"; {waived} waived" if waived else "")


def _key_figures(desk: Desk, most: int) -> Iterator[PageItem]:
    # Those that a decision rests on, where plugins have marked them.
    some = [f for f in desk.result.figures if f.decision] or list(desk.result.figures)
    for f in some[:most]:
        value = amounts(f.si, f)[0]
        right = (Span(value, FINE_STRONG), Span(f"{WIDE}{f.case}" if f.case else "", QUIET))
        yield Pair(Paragraph(clip(f.title, 70), FINE), right, FINE, share=0.5, before=2)
    if len(some) > most:
        yield Paragraph(f"and {len(some) - most} more, in the sections", QUIET, before=2)


class Foot(PageItem):
    """Puts an item at the lower end of a given height."""

    def __init__(self, above: PageItem, item: PageItem, room: float) -> None:
        self.items = (above, item)
        self.room = room

    def height(self, width: float) -> float:
        return self.room

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        above, item = self.items
        above.show(press, x, y, width)
        item.show(press, x, y - self.room + item.height(width), width)


def reviewer(desk: Desk, paper: Paper) -> PageItem:
    """One page, always: lists are cut until all fits."""
    strip = Stack(
        [
            Rule(),
            Paragraph("Reviewed for the authority", SUBHEADING),
            Blanks((("name", 1.0), ("signature", 1.0), ("date", 0.6), ("conditions", 1.2)), 26),
        ]
    )
    room = paper.room - strip.height(paper.measure) - 16
    # Larger letters and the drawings first, then less and less, until all is on the page.
    tries = [(TEXT, 40, True), (FINE, 40, True), (TEXT, 40, False)]
    tries += [(FINE, most, False) for most in (40, 30, 24, 20, 16, 14, 12, *range(11, -1, -1))]
    for style, most, plan in tries:
        made = _reviewer(desk, most, style, plan)
        if made.height(paper.measure) <= room:
            break
    page = Foot(made, strip, paper.room)
    page.section, page.new_page = "For the reviewer", True
    page.anchor, page.outline = desk.anchor("reviewer"), ("For the reviewer", 0)
    return page


def _schematic(desk: Desk) -> Iterator[PageItem]:
    """The first schematic that a section shows, when it is on one sheet."""
    shown = [desk.drawings[k] for k in desk.drawn if desk.drawings[k].kind == "schematic"]
    for one in shown[:1]:
        if len(one.sheets) == 1:
            yield Picture(one, one.sheets[0], desk.drawn[one.key], 300, 330, before=20)


def _plan(desk: Desk) -> Iterator[PageItem]:
    """The first drawing to scale that a section shows."""
    shown = [desk.drawings[k] for k in desk.drawn if desk.drawings[k].kind == "to_scale"]
    for one in shown[:1]:
        yield Picture(one, one.sheets[0], desk.drawn[one.key], 210, 260, before=14)


def _reviewer(desk: Desk, most: int, style: Style, plan: bool) -> PageItem:
    """The page with at most so many items in each list, with or without the drawings."""
    r = desk.result
    status, draft = status_words(desk)
    event = [text for _, text in r.event][:2]
    right = [Paragraph(clip(t, 70), FINE_STRONG if n == 0 else QUIET, right=True) for n, t in enumerate(event)]
    right.append(Paragraph(clip(f"revision {r.revision}, digest {short_digest(r.digest, 3)}", 70), QUIET, right=True))
    left = Stack([Paragraph(clip(r.title, 80), HEADING), Paragraph(KIND, MUTED)])
    facts = own_first(desk, SUMMARY_FACTS.name, r.summary_facts)
    shown = facts[: 9 if most > 8 else 6 if most > 2 else 3]
    rows = list(_facts(shown))
    if len(facts) > len(shown):
        rows.append(Paragraph(f"and {len(facts) - len(shown)} more, in the sections", FINE_STRONG, before=4))
    for text in desk.lost.get(SUMMARY_FACTS.name, ()):
        rows.append(Paragraph(f"Lacking here: {clip(text, 140)}.", FINE_ALARM, before=4))
    decide: list[PageItem] = [Paragraph("For you to decide", SUBHEADING)]
    decide += _listed(to_decide(desk), most, desk.see("rules"), True, style)
    if len(decide) == 1:
        decide.append(
            Paragraph(
                "The rules that ran left nothing open. What they do not cover is still to be judged.",
                QUIET,
                before=3,
            )
        )
    found: list[PageItem] = [
        Paragraph("Findings", SUBHEADING),
        Paragraph(_counts(desk), FINE_ALARM if draft else FINE_STRONG),
    ]
    found += _listed(_worst(desk), most, desk.see("findings"), False, style)
    found.append(Paragraph(status_counts(r), QUIET, before=4))
    figures: list[PageItem] = list(_key_figures(desk, min(most, 10)))
    if figures:
        decide += [Paragraph("Key figures", SUBHEADING, before=12), *figures]
    found += _plan(desk) if plan else ()
    return Stack(
        [
            Columns([left, Stack(right)], [1.5, 1]),
            Rule(THICK, ACCENT if draft else INK, before=8),
            Paragraph(clip(status, 220), FINE_ALARM if draft else FINE_STRONG),
            *rows,
            Rule(before=16),
            Columns([Stack(decide), Stack(found)], [1, 1], gutter=24),
            *(_schematic(desk) if plan else ()),
        ]
    )


# -- contents


# Lines of the contents that fit a page of Letter in the size of the text, with some to spare.
FEW = 40


class Entry(PageItem):
    """A line of the contents: number, title, page. Its page number is known when it is drawn."""

    def __init__(self, number: str, title: str, to: str, level: int, fine: bool = False) -> None:
        self.number, self.title, self.to, self.level = number, title, to, level
        self.style = STRONG if level == 0 else FINE if fine else TEXT
        self.before = 5.0 if level == 0 else 0.0
        self.keep = False

    def _title(self) -> Paragraph:
        return Paragraph(self.title, self.style)

    def height(self, width: float) -> float:
        return self._title().height(width - 76)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        indent = 24.0 if self.level == 0 else 48.0
        base = y - self.style.leading * 0.78
        press.text(x + indent - 24, base, self.number, self.style._replace(color=GRAY))
        self._title().draw(press, x + indent, y, width - 76)
        press.text(x + width, base, str(press.pages.get(self.to, "")), self.style, "right")
        high = self.height(width)
        press.link(self.to, x, y - high, width, high)


def contents(entries: Sequence[tuple[str, str, str, int]], answers: Sequence[tuple[str, str, str]]) -> list[PageItem]:
    title = Paragraph("Contents", HEADING, keep=True)
    title.section, title.new_page = "Contents", True
    title.anchor, title.outline = "contents", ("Contents", 0)
    # So many that they would spill onto a second page in the usual size.
    fine = len(entries) > FEW
    items: list[PageItem] = [title, *(Entry(*e, fine=fine) for e in entries)]
    if answers:
        items.append(Paragraph("Where the authority's questions are answered", SUBHEADING, keep=True, before=18))
        items += [Entry(q, t, a, 1) for q, t, a in sorted(answers)]
    return items
