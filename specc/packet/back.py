"""The parts that every packet has after the plugins' sections: rules, findings, cautions, limits of the
models, references, about, sign-off. Each function gives the items of one part, without its heading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.measure import printing
from specc.model.blocks import Caution, ModelLimit
from specc.model.findings import LEVELS, Finding
from specc.model.result import TYPICAL, Item, LimitShown, Result, RuleOutcome, WaiverShown
from specc.model.statuses import STATUSES
from specc.model.values import Quantity
from specc.packet import fonts
from specc.packet.desk import Desk, clip, many, spot, tag
from specc.packet.layout import Columns, PageItem, Rule, Stack
from specc.packet.press import Press
from specc.packet.style import (
    ALARM,
    FINE,
    FINE_ALARM,
    FINE_STRONG,
    GRAY,
    HAIR,
    MUTED,
    PROSE,
    QUIET,
    STRONG,
    SUBHEADING,
    TEXT,
    Style,
)
from specc.packet.tables import Grid, Track, cell, strong
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans

DEFERRAL = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."
CALM = ("not applicable", "not checked")
HELD = ("passed", "stated", "shown", "planned")


def lead(text: str) -> PageItem:
    """The gray sentence under a section's title."""
    return Paragraph(text, MUTED, most=PROSE, before=2)


# -- rules


def status_of(rule: RuleOutcome) -> tuple[str, Style]:
    """A rule's status in words, and how loud they are."""
    words = rule.packet_words
    if rule.status == "failed":
        return (f"failed: {many(rule.findings, rule.level)}" if rule.findings else words), FINE_ALARM
    if rule.status in CALM:
        return words, QUIET
    return words, FINE_STRONG if rule.status in HELD else FINE_ALARM


def rules_grid(rules: Iterable[RuleOutcome], desk: Desk, before: float = 6.0) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for rule in rules:
        status, style = status_of(rule)
        what = (Span(rule.statement, FINE), Span(f" {rule.id}", QUIET))
        rows.append([what, cell(rule.looked or "—"), cell(status, style), desk.cite(rule.citation)])
    tracks = [
        Track("rule", 2.1),
        Track("what was looked at", 1.7),
        Track("status", 0.9),
        Track("source", 1.5),
    ]
    return Grid(tracks, rows, before=before)


def limits_grid(limits: Sequence[LimitShown], desk: Desk) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for limit in limits:
        whose = limit.by or ("the default" if limit.default else "nobody yet: the authority decides")
        if limit.by and limit.laxer:
            by: Spans = (Span(f"{whose}, laxer than the default", FINE_ALARM),)
        else:
            by = cell(whose, FINE if limit.by else QUIET)
        what = (Span(limit.statement, FINE), Span(f" {limit.key}", QUIET))
        default = cell(_amount(limit.default), QUIET)
        rows.append([what, strong(_amount(limit.value)), default, by, desk.cite(limit.citation)])
    tracks = [
        Track("limit", 2.1),
        Track("value used", 0.8, True),
        Track("default", 0.8, True),
        Track("set by", 1.1),
        Track("source of the default", 1.6),
    ]
    return Grid(tracks, rows, (desk.count("Table"), "Limits used"))


def _amount(value: Quantity | None) -> str:
    if value is None:
        return "none"
    return value.text or printing.show(value.si, value.dim)


def status_counts(result: Result) -> str:
    """How many rules ended how, in one sentence."""
    counts = Counter((STATUSES.index(rule.status), rule.packet_words) for rule in result.rules)
    parts = ", ".join(f"{counts[key]} {key[1]}" for key in sorted(counts))
    return f"{many(len(result.rules), 'rule')}: {parts}." if result.rules else "No rules were run."


# -- findings and waivers


def finding_item(n: int, finding: Finding, desk: Desk) -> PageItem:
    style = ALARM if finding.level == "error" and not finding.waived else SUBHEADING
    title: list[Span] = [
        Span(f"{finding.level.capitalize()} {n}", style),
        Span(f"{WIDE}{finding.rule}", QUIET),
    ]
    if finding.waived:
        title.append(Span(f"{WIDE}covered by waiver {finding.waived}", FINE_ALARM))
    place = spot(finding.place, column=True)
    body: list[PageItem] = [
        Rule(),
        Pair(Paragraph(title, SUBHEADING), place, QUIET, share=0.45),
        Paragraph(finding.message, TEXT, most=PROSE + 40),
    ]
    if finding.fix:
        body.append(Paragraph((Span("Instead: ", STRONG), Span(finding.fix)), most=PROSE + 40))
    if finding.why:
        body.append(Paragraph((Span("Why: ", STRONG), Span(finding.why)), most=PROSE + 40))
    excerpt = dict(desk.result.excerpts).get(finding.place, "").strip()
    if excerpt:
        body.append(Paragraph((Span(f"the line reads{WIDE}", QUIET), Span(excerpt, FINE)), QUIET, before=1))
    return Stack(body, before=9)


def findings(desk: Desk) -> Iterator[PageItem]:
    result = desk.result
    if not result.rules and not result.findings:
        yield Paragraph("No rules were run, so nothing could be found.", TEXT, before=6)
    elif not result.findings:
        yield Paragraph(
            "The rules found nothing. Rules that were not checked say so in the table of rules.",
            TEXT,
            before=6,
            most=PROSE,
        )
    n = 0
    for level in LEVELS:
        for covered in (False, True):
            for finding in result.findings:
                if finding.level == level and bool(finding.waived) == covered:
                    n += 1
                    yield finding_item(n, finding, desk)


def waivers(some: Sequence[WaiverShown]) -> Iterator[PageItem]:
    if not some:
        yield Paragraph("None.", TEXT, before=2)
    for w in some:
        title = (
            Span(f"Waived by {w.tag}", SUBHEADING),
            Span(f"{WIDE}{w.rule}" + (f", {w.part}" if w.part else ""), QUIET),
        )
        used = f"covers {many(w.used, 'finding')}" if w.used else "covers no finding now"
        right = ", ".join(t for t in (f"until {w.until}" if w.until else "", used, spot(w.place)) if t)
        yield Stack(
            [
                Rule(),
                Pair(Paragraph(title, SUBHEADING), right, QUIET, share=0.5),
                Paragraph(w.reason, TEXT, most=PROSE + 40),
                Paragraph(f"Accepted by {w.who}." if w.who else "Nobody is named as having accepted this.", QUIET),
            ],
            before=9,
        )


# -- cautions, limits of models, references


def cautions(desk: Desk) -> Iterator[PageItem]:
    given = desk.result.items(CAUTIONS.name) or [Item("", "", c) for c in desk.result.cautions]
    some = [(i, i.item) for i in given if isinstance(i.item, Caution)]
    if not some:
        yield Paragraph("None were stated.", TEXT, before=4)
    for n, (item, c) in enumerate(some, 1):
        spans = (Span(item.whose + c.text + WIDE), *desk.cite(c.citation))
        yield Paragraph(spans, before=5, indent=INDENT_WIDE, label=str(n), label_style=STRONG, most=PROSE + 40)


INDENT_WIDE = 20.0


def model_limits(desk: Desk) -> Iterator[PageItem]:
    given = desk.result.items(MODEL_LIMITS.name) or [Item("", "", m) for m in desk.result.model_limits]
    some = [(i, i.item) for i in given if isinstance(i.item, ModelLimit)]
    if not some:
        yield Paragraph("None were stated.", TEXT, before=4)
    for item, m in some:
        yield Columns(
            [Paragraph(item.whose + m.subject, STRONG), Paragraph(m.text, TEXT, most=PROSE)], [1, 4], before=6
        )


def references(desk: Desk) -> Iterator[PageItem]:
    some = desk.references()
    if not some:
        yield Paragraph("Nothing is cited.", TEXT, before=4)
    for n, r in some:
        tail = ". ".join(t for t in (r.publisher, r.edition) if t)
        spans = [Span(r.title, STRONG)]
        spans += [Span(f". {tail}.")] if tail else []
        spans += [Span(f" {r.note}", MUTED)] if r.note else []
        spans.append(Span(f"{WIDE}{r.id}", QUIET))
        item = Paragraph(spans, before=5, indent=26, label=f"[{n}]", label_style=STRONG, most=PROSE + 60)
        item.anchor = f"reference-{n}"
        yield item


# -- about


def about(desk: Desk) -> Iterator[PageItem]:
    r = desk.result
    git = "not under version control, or not asked for"
    if r.git:
        git = r.git.revision + (
            f"; files differ from it: {', '.join(r.git.differs)}" if r.git.differs else "; the inputs agree with it"
        )
    facts = [
        ("project", r.project_id),
        ("revision", r.revision),
        ("digest of the public inputs", r.digest),
        ("version control", git),
        ("made with", f"specc {r.specc_version}"),
    ]
    if desk.public:
        facts.append(("copy", "public: private details are withheld, but were judged"))
    yield facts_item(facts)
    rows: list[Sequence[Spans]] = [[cell(f.name), cell(f"{len(f.data):,}"), cell(f.sha256, QUIET)] for f in r.files]
    tracks = [Track("input", 1.6), Track("bytes", 0.5, True), Track("sha256", 3)]
    note = "These files, and a manifest with the same sums, are attached to this PDF."
    yield Grid(tracks, rows, (desk.count("Table"), "Inputs as read"), note)
    rows = []
    for p in r.plugins:
        state = cell(f"failed: {p.trouble}", FINE_ALARM) if p.trouble else cell("ran", QUIET)
        rows.append([cell(p.name), cell(p.version), cell(p.origin, QUIET), state])
    yield Grid(
        [Track("plugin", 1.6), Track("version"), Track("from"), Track("state", 2)],
        rows,
        (desk.count("Table"), "Plugins"),
    )
    if r.cases:
        yield _cases(desk)
    if r.origins:
        yield _filled_in(desk)
    texts = [
        "Low and high values move one input at a time to the end of its stated tolerance. They assume that"
        " the inputs do not depend on each other and that the figure moves one way with each. An input"
        " without a stated tolerance is taken as exact.",
        "Every number says how its source is known. A number from memory has not been checked in the source."
        " A rule that passed speaks of that rule alone; it approves nothing.",
        "The same inputs with the same versions give the same bytes.",
    ]
    if _borrowing(r):
        texts.append("Some letters are not in this packet's typeface and rely on a font of the reader's program.")
    for n, text in enumerate(texts):
        yield Paragraph(text, TEXT, most=PROSE, before=10 if n == 0 else 5)


def _filled_in(desk: Desk) -> PageItem:
    """Values that the short forms filled in, one line for all that have the same from the same."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for o in desk.result.origins:
        above, _, key = o.at.rpartition("/")
        alike.setdefault((key, o.text, o.origin), []).append(tag(above).rsplit(" ", 1)[-1])
    rows: list[Sequence[Spans]] = [
        [
            cell(key),
            cell(clip(text, 80)),
            cell(origin, FINE_ALARM if origin.startswith(TYPICAL) else QUIET),
            cell(", ".join(dict.fromkeys(tags))),
        ]
        for (key, text, origin), tags in alike.items()
    ]
    tracks = [Track("what", 0.8), Track("value", 1.4), Track("filled in from", 1.6), Track("of", 3)]
    note = "The spec writes these once or not at all; specc show prints it with each in its place."
    return Grid(tracks, rows, (desk.count("Table"), "Values filled in by short forms"), note)


def _borrowing(result: Result) -> bool:
    texts = [result.title, result.summary, result.project_id, result.revision]
    texts += [t for pair in result.event for t in pair] + [f.message for f in result.findings]
    for section in result.sections:
        texts += [section.title, repr(section.blocks)]
    texts += [repr(t) for _, t in result.tables] + [repr(d) for _, d in result.drawings]
    return any(fonts.borrows(t) for t in texts if not t.isascii())


def _cases(desk: Desk) -> PageItem:
    def text(q: object) -> str:
        if isinstance(q, Quantity):
            return _amount(q)
        si, dim = getattr(q, "si", None), getattr(q, "dim", "")
        return "—" if si is None else printing.show(si, dim)

    rows: list[Sequence[Spans]] = [
        [
            cell(c.name),
            cell(text(c.air)),
            cell(text(c.liquid)),
            cell(text(c.wind)),
            cell(c.fill or "—", QUIET),
        ]
        for c in desk.result.cases
    ]
    tracks = [
        Track("case"),
        Track("air", 1, True),
        Track("liquid taken as", 1, True),
        Track("wind", 1, True),
        Track("how full", 2),
    ]
    return Grid(tracks, rows, (desk.count("Table"), "Weather cases"))


def facts_item(rows: Sequence[tuple[str, str]], share: float = 1.0) -> PageItem:
    """Label and value, one to a line, as a table without a head."""
    made: list[Sequence[Spans]] = [[cell(label, QUIET), cell(value)] for label, value in rows]
    return Grid([Track("", share), Track("", 3.0)], made, headed=False)


# -- sign-off


class Blanks(PageItem):
    """Lines to write on, with a label under each. `shares` are parts of the width."""

    def __init__(self, labels: Sequence[tuple[str, float]], space: float = 30.0, before: float = 0.0) -> None:
        self.labels, self.space, self.before = tuple(labels), space, before

    def height(self, width: float) -> float:
        return self.space + 12

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        gutter = 14.0
        free = width - gutter * (len(self.labels) - 1)
        total = sum(share for _, share in self.labels)
        for label, share in self.labels:
            w = free * share / total
            press.line(x, y - self.space, x + w, y - self.space, HAIR, GRAY)
            press.text(x, y - self.space - 9, label, QUIET)
            x += w + gutter


SIGNING: tuple[tuple[str, float], ...] = (("name", 1.2), ("signature", 1.3), ("date", 0.7))


def sign_off(desk: Desk) -> Iterator[PageItem]:
    authority: list[PageItem] = [
        Rule(),
        Paragraph("For the authority", SUBHEADING),
        Blanks((*SIGNING, ("license or badge", 0.8))),
        Paragraph("Conditions", SUBHEADING, before=14),
        *(Blanks((("", 1.0),), 22) for _ in range(4)),
    ]
    operator: list[PageItem] = [
        Rule(),
        Paragraph("For the lead operator", SUBHEADING),
        Paragraph("I have read this packet. What is built and run is what it says.", TEXT, most=PROSE),
        Blanks(SIGNING),
    ]
    r = desk.result
    what = f"{r.title}, revision {r.revision or 'not stated'}, digest {r.digest.split(':')[-1][:16]}"
    yield Paragraph(f"This signature is for {what}.", QUIET, before=4, most=PROSE + 60)
    yield Stack(authority, before=14)
    yield Stack(operator, before=20)
