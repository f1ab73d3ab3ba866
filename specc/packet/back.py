"""The parts that every packet has after the plugins' sections: rules, findings, cautions, limits of the
models, references, about, sign-off. Each function gives the items of one part, without its heading."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.measure import printing
from specc.model.blocks import Caution, ModelLimit
from specc.model.findings import LEVELS, Finding
from specc.model.result import TYPICAL, Item, LimitShown, Result, RuleOutcome, WaiverShown
from specc.model.statuses import STATUSES, UNSEEN
from specc.model.values import BASIS_WORDS, Quantity, Reference
from specc.packet import fonts, marks
from specc.packet.desk import IN_SHORT, Desk, clip, many, spot, tag
from specc.packet.layout import Columns, PageItem, Rule, Snaking, Stack
from specc.packet.press import Press
from specc.packet.refused import by_danger
from specc.packet.style import (
    ALARM,
    FINE,
    FINE_ALARM,
    FINE_NEEDS_YOU,
    FINE_STRONG,
    GRAY,
    HAIR,
    MUTED,
    PROSE,
    QUIET,
    STRONG,
    SUBHEADING,
    TEXT,
)
from specc.packet.tables import Grid, Track, cell, strong
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans

DEFERRAL = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."
RUN_IN = 8  # rules to a paragraph
TOGETHER = 8  # references to a paragraph
ALIKE = 3  # rules that lack the same thing are told under it
PRACTICE_IN_SHORT = (
    "In lists “practice” stands for common practice, no published source; “unseen” for: nobody has seen it."
)
HELD = ("passed", "stated", "shown", "planned")


def lead(text: str) -> PageItem:
    """The gray sentence under a section's title."""
    return Paragraph(text, MUTED, most=PROSE, before=2)


# -- rules


def status_of(rule: RuleOutcome) -> Spans:
    """A rule's status as a mark and a word, readable in gray."""
    words = rule.packet_words
    if rule.status == "failed" and rule.findings:
        words = f"failed: {many(rule.findings, rule.level)}"
    quiet = rule.status in ("not applicable", *HELD)
    style = FINE_NEEDS_YOU if rule.status == "authority to decide" else FINE if quiet else FINE_STRONG
    return (Span("", style, mark=marks.OF_STATUS.get(rule.status, "open")), Span(words, style))


def rules_grid(rules: Iterable[RuleOutcome], desk: Desk, before: float = 6.0) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for rule in rules:
        what = (Span(rule.statement, FINE), Span(f" {rule.id}", QUIET))
        rows.append([status_of(rule), what, cell(rule.looked or "—"), desk.cite(rule.citation)])
    tracks = [Track("status", 0.8), Track("rule", 2.1), Track("what was looked at", 1.7), Track("source", 1.2)]
    return Grid(tracks, rows, before=before, name="Rules")


def _rule_in_short(rule: RuleOutcome, desk: Desk) -> PageItem:
    """A rule that held, with what was looked at: what was computed, or is only stated."""
    spans = [Span(rule.statement, FINE)]
    if rule.looked:
        # A statement in the past tense is not one of what has still to happen.
        spans.append(Span(": planned, not done yet", FINE_STRONG) if rule.status == "planned" else Span(":", QUIET))
        looked = clip(rule.looked.replace(UNSEEN, "unseen:"), 70)
        spans.append(Span(f"{';' if rule.status == 'planned' else ''} {looked}", QUIET))
    spans += [Span(WIDE, QUIET), *_source(rule, desk)]
    return Paragraph(spans, FINE, before=1.5, indent=11, mark=marks.OF_STATUS.get(rule.status, "open"))


def _source(rule: RuleOutcome, desk: Desk) -> Spans:
    unread = (Span("source not verified ", QUIET),) if rule.from_memory and rule.status == "passed" else ()
    return (*unread, *desk.number(rule.citation))


def _run_in(rules: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules of which there is no more to tell than that the spec was read and they hold, one after another in a few
    paragraphs: `specc rules` says what each looked at."""
    some = [(Span(f"{rule.statement} ", FINE), *_source(rule, desk)) for rule in rules]
    yield from _in_a_row(some, marks.OF_STATUS["passed"])


def _in_a_row(some: Sequence[Spans], mark: marks.Mark) -> Iterator[PageItem]:
    """Short things one after another, each behind its mark, a few to a paragraph."""
    for n in range(0, len(some), RUN_IN):
        spans: list[Span] = []
        for one in some[n : n + RUN_IN]:
            spans += [Span(" " if spans else "", FINE), Span("", FINE, mark=mark), *one]
        yield Paragraph(spans, FINE, before=1.5)


def _not_applicable(rules: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules about what is not there, by the reason, with their ids."""
    by_reason: dict[str, list[RuleOutcome]] = {}
    for rule in rules:
        by_reason.setdefault(rule.looked or "no reason is given", []).append(rule)
    told = [
        (Span(f"{reason}: ", FINE), Span(", ".join(r.id for r in some), QUIET)) for reason, some in by_reason.items()
    ]
    yield from _in_a_row(told, "dash")


_OPEN: tuple[str, ...] = ("failed", "crashed", "blocked", "authority to decide", "waived", "not checked")
_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Stated: it rests on what the makers typed, or on a document, or has still to happen",
        ("stated", "shown", "planned"),
    ),
    ("Computed, or read in the spec", ("passed",)),
    ("Not applicable: nothing of the kind is described", ("not applicable",)),
)


def rules(desk: Desk) -> Iterator[PageItem]:
    """What did not pass first, as a table; then the others in short, by what they rest on."""
    result = desk.result
    yield lead(f"{status_counts(result)} {PRACTICE_IN_SHORT}")
    if desk.full:
        for plugin in dict.fromkeys(r.plugin for r in result.rules):
            yield Paragraph(plugin.capitalize() or "Core", SUBHEADING, before=7, keep=True)
            yield rules_grid([r for r in result.rules if r.plugin == plugin], desk)
        return
    left = [r for r in result.rules if r.status in _OPEN]
    left.sort(key=lambda r: _OPEN.index(r.status))
    silent = [r for r in left if r.status == "not checked"]
    left = [r for r in left if r not in silent]
    if left:
        yield Paragraph("Not passed", SUBHEADING, before=8, keep=True)
        yield rules_grid(left, desk, 4)
    yield from _not_checked(silent, desk)
    for title, statuses in _GROUPS:
        some = [r for r in result.rules if r.status in statuses]
        if not some:
            continue
        yield Paragraph(f"{title}: {len(some)}", SUBHEADING, before=7, keep=True)
        listed: list[PageItem] = []
        if statuses == ("not applicable",):
            yield Snaking(list(_not_applicable(some, desk)), before=3)
            continue
        for plugin in dict.fromkeys(r.plugin for r in some):
            listed.append(Paragraph(plugin.capitalize() or "Core", FINE_STRONG, before=5, keep=True))
            mine = [r for r in some if r.plugin == plugin]
            told = [r for r in mine if r.status != "passed" or r.figures]
            listed += [_rule_in_short(r, desk) for r in told]
            listed += _run_in([r for r in mine if r not in told], desk)
        yield Snaking(listed, before=3)


def _not_checked(some: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules that lack one and the same thing, under what they lack; then those that lack something of their own."""
    by_reason: dict[str, list[RuleOutcome]] = {}
    for rule in some:
        by_reason.setdefault(rule.looked, []).append(rule)
    alike = [(reason, lacking) for reason, lacking in by_reason.items() if len(lacking) >= ALIKE]
    single = [rule for lacking in by_reason.values() if len(lacking) < ALIKE for rule in lacking]
    if some:
        yield Paragraph(f"Not checked: {len(some)}", SUBHEADING, before=7, keep=True)
    listed: list[PageItem] = []
    for reason, lacking in alike:
        listed.append(Paragraph(f"{len(lacking)} rules: {reason}", FINE_STRONG, before=5, keep=True))
        told = [(Span(f"{r.statement} ", FINE), Span(f"{r.id} ", QUIET), *desk.number(r.citation)) for r in lacking]
        listed += _in_a_row(told, "open")
    if alike and single:
        listed.append(Paragraph("Each for its own reason", FINE_STRONG, before=5, keep=True))
    listed += [_one_unchecked(rule, desk) for rule in single]
    if listed:
        yield Snaking(listed, before=3)


def _one_unchecked(rule: RuleOutcome, desk: Desk) -> PageItem:
    spans = (
        Span(rule.statement, FINE),
        Span(f": {rule.looked} " if rule.looked else " ", FINE),
        Span(f"{rule.id} ", QUIET),
        *desk.number(rule.citation),
    )
    return Paragraph(spans, FINE, before=1.5, indent=11, mark="open")


def limits(desk: Desk) -> Iterator[PageItem]:
    """Limits that somebody set, or that nobody has set yet, as a table; then the defaults in short."""
    own = [x for x in desk.result.limits if x.by or x.default is None or desk.full]
    rest = [x for x in desk.result.limits if x not in own]
    # Those that a rule about something that is there reads stand here with their values.
    judged = (r for r in desk.result.rules if r.status != "not applicable")
    read = {key for rule in judged for key in rule.limits}
    unread = sum(1 for x in rest if x.key not in read)
    rest = [x for x in rest if x.key in read]
    if own:
        yield limits_grid(own, desk)
    told = [
        (Span(f"{_amount(x.value)} ", FINE_STRONG), Span(f"{x.statement} ", FINE), *desk.number(x.citation))
        for x in rest
    ]
    items = list(_in_a_row(told, "dash"))
    if items:
        yield Paragraph("At their defaults", SUBHEADING, before=8, keep=True)
        yield Snaking(items, before=3)
    if unread:
        words = f"{many(unread, 'more limit')} at the default, which no rule that applies reads: specc limits FILE."
        yield Paragraph(words, QUIET, before=6)


def limits_grid(some: Sequence[LimitShown], desk: Desk) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for limit in some:
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
        Track("source of the default", 1.2),
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
        Paragraph(finding.message, TEXT, most=PROSE),
    ]
    if finding.fix:
        body.append(Paragraph((Span("Instead: ", STRONG), Span(finding.fix)), most=PROSE))
    if finding.why:
        body.append(Paragraph((Span("Why: ", STRONG), Span(finding.why)), most=PROSE))
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
            for finding in by_danger(result.findings):
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
                Paragraph(w.reason, TEXT, most=PROSE),
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
        return
    listed = []
    for item, c in some:
        source = desk.cite(c.citation) if desk.full else desk.number(c.citation)
        spans = (Span(item.whose + c.text + WIDE, FINE), *source)
        listed.append(Paragraph(spans, FINE, before=3, indent=9, label="–", label_style=FINE))
    yield Snaking(listed)


def model_limits(desk: Desk) -> Iterator[PageItem]:
    given = desk.result.items(MODEL_LIMITS.name) or [Item("", "", m) for m in desk.result.model_limits]
    some = [(i, i.item) for i in given if isinstance(i.item, ModelLimit)]
    if not some:
        yield Paragraph("None were stated.", TEXT, before=4)
        return
    texts = [(Span(item.whose + m.subject + WIDE, FINE_STRONG), Span(m.text, FINE)) for item, m in some]
    yield Snaking([Paragraph(spans, FINE, before=2.5) for spans in texts])


def references(desk: Desk) -> Iterator[PageItem]:
    some = desk.references()
    if not some:
        yield Paragraph("Nothing is cited.", TEXT, before=4)
        return
    words = "; ".join(f"{IN_SHORT[b]}: {BASIS_WORDS[b]}" for b in IN_SHORT if IN_SHORT[b] != BASIS_WORDS[b])
    often = _often(r for _, r in some)
    said = "; ".join(f"{letter}: {text}" for text, letter in often.items())
    lead_words = f"Beside a number stands how it is known. {words[:1].upper()}{words[1:]}."
    yield Paragraph(lead_words + (f" Letters here: {said}." if said else ""), QUIET, before=2)
    listed: list[PageItem] = []
    told_of: list[tuple[int, Spans]] = []
    for n, r in some:
        told = _remarks(r)
        tail = [t for t in (r.publisher, *(t for t in told if t not in often)) if t]
        letters = ", ".join(often[t] for t in told if t in often)
        spans = [Span(r.title, FINE_STRONG)]
        spans += [Span(f". {'. '.join(tail)}", QUIET)] if tail else []
        spans += [Span(f" ({letters})", QUIET)] if letters else []
        spans += [Span(f"{WIDE}{r.id}", QUIET)] if desk.full else []
        told_of.append((n, (Span(f"[{n}]\u00a0", FINE_STRONG), *spans)))
    for n in range(0, len(told_of), TOGETHER):
        some_of = told_of[n : n + TOGETHER]
        item = Paragraph([s for _, one in some_of for s in (*one, Span("  ", FINE))], FINE, before=1.5)
        item.anchors = tuple(f"reference-{k}" for k, _ in some_of)
        listed.append(item)
    yield Snaking(listed)


def _remarks(r: Reference) -> list[str]:
    """What an edition and a note say, piece by piece."""
    pieces = re.split(r"(?:, (?=as read)|; )", r.edition) + re.split(r"; ", r.note)
    return [piece.strip(" .") for piece in pieces if piece.strip(" .")]


def _often(some: Iterable[Reference]) -> dict[str, str]:
    """What many references say alike, each with a letter for it."""
    counts = Counter(piece for r in some for piece in dict.fromkeys(_remarks(r)))
    alike = [piece for piece, n in counts.most_common(26) if n >= ALIKE and len(piece) >= 8]
    return dict(zip(alike, "abcdefghijklmnopqrstuvwxyz", strict=False))


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
        ("issued", r.issued),
        ("digest of the public inputs", r.digest),
        ("version control", git),
        ("made with", f"specc {r.specc_version}"),
    ]
    if desk.public:
        facts.append(("copy", "public: private details are withheld, but were judged"))
    said: list[Span] = []
    for label, value in facts:
        said += [Span(f"{WIDE if said else ''}{label} ", QUIET), Span(value, FINE)]
    yield Paragraph(said, FINE)
    rows: list[Sequence[Spans]] = [[cell(f.name), cell(f"{len(f.data):,}"), cell(f.sha256, QUIET)] for f in r.files]
    tracks = [Track("input", 1.6), Track("bytes", 0.5, True), Track("sha256", 3)]
    note = "These files, and a manifest with the same sums, are attached to this PDF."
    yield Grid(tracks, rows, (desk.count("Table"), "Inputs as read"), note)
    ran = [f"{p.name} {p.version}" + (f" ({p.origin})" if p.origin != "built-in" else "") for p in r.plugins]
    yield Paragraph((Span("Plugins: ", FINE_STRONG), Span(", ".join(ran) or "none", FINE)), FINE, before=8)
    for p in r.plugins:
        if p.trouble:
            yield Paragraph(f"{p.name} failed: {p.trouble}", FINE_STRONG, before=2)
    if r.origins:
        yield from _filled_in(desk)
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
    yield Paragraph(" ".join(texts), FINE, most=PROSE, before=6)


def _filled_in(desk: Desk) -> Iterator[PageItem]:
    """Values that the short forms filled in, one line for all that have the same from the same."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for o in desk.result.origins:
        above, _, key = o.at.rpartition("/")
        alike.setdefault((key, o.text, o.origin), []).append(tag(above).rsplit(" ", 1)[-1])
    listed: list[PageItem] = []
    for (key, text, origin), tags in alike.items():
        guessed = origin.startswith(TYPICAL)
        if not guessed and not desk.full:
            continue
        spans = (
            Span(f"{key} {clip(text, 80)}", FINE_STRONG),
            Span(f", {origin}: ", FINE_STRONG if guessed else QUIET),
            Span(", ".join(dict.fromkeys(tags)), FINE),
        )
        listed.append(Paragraph(spans, FINE, before=1.5, mark="open" if guessed else "", indent=11 if guessed else 0))
    number = many(len(desk.result.origins), "value")
    note = f"The spec writes {number} once for several parts, or not at all; specc show prints each in its place."
    if not desk.full:
        note += " Those that nobody measured are listed here:" if listed else " None stands for a thing not measured."
    lead_words = Span(f"Values filled in by short forms{WIDE}", FINE_STRONG)
    yield Paragraph((lead_words, Span(note, QUIET)), QUIET, before=6, keep=bool(listed))
    if listed:
        yield Snaking(listed, before=3)


def _borrowing(result: Result) -> bool:
    texts = [result.title, result.summary, result.project_id, result.revision]
    texts += [t for pair in result.event for t in pair] + [f.message for f in result.findings]
    for section in result.sections:
        texts += [section.title, repr(section.blocks)]
    texts += [repr(t) for _, t in result.tables] + [repr(d) for _, d in result.drawings]
    return any(fonts.borrows(t) for t in texts if not t.isascii())


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


def questions(asks: Sequence[tuple[str, str]]) -> Iterator[PageItem]:
    """What only the authority can answer, numbered as on the summary."""
    for n, (text, rule) in enumerate(asks, 1):
        spans = (Span(text, FINE), Span(f" {rule}" if rule else "", QUIET))
        yield Paragraph(
            spans, FINE, before=3, indent=26, label=f"{WIDE}{WIDE}{n}", label_style=FINE_NEEDS_YOU, mark="pennant"
        )


SIGNING: tuple[tuple[str, float], ...] = (("name", 1.2), ("signature", 1.3), ("date", 0.7))


def sign_off(desk: Desk) -> Iterator[PageItem]:
    authority: list[PageItem] = [
        Rule(),
        Paragraph("For the authority", SUBHEADING),
        Blanks(SIGNING),
        Blanks((("license or badge", 1.0),)),
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
    # Nobody signs a page that does not say what is signed.
    yield Paragraph(f"This signature is for {what}.", QUIET, before=4, most=PROSE, keep=True)
    yield Columns([Stack(authority), Stack(operator)], [3, 2], gutter=24, before=14)
