"""The parts that every packet has after the plugins' sections, but for its rules: findings, cautions, limits of the
models, references, about. Each function gives the items of one part, without its heading."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.model.blocks import Caution, ModelLimit
from specc.model.findings import LEVELS, Finding
from specc.model.result import Item, Result, WaiverShown
from specc.model.statuses import UNJUDGED
from specc.model.values import BASIS_WORDS, Reference
from specc.packet import fonts
from specc.packet.desk import IN_SHORT, Desk, around, clip, many, spot, tag
from specc.packet.layout import PageItem, Rule, Snaking, Stack
from specc.packet.refused import by_danger
from specc.packet.style import (
    ALARM,
    FINE,
    FINE_ALARM,
    FINE_STRONG,
    MUTED,
    PROSE,
    QUIET,
    STRONG,
    SUBHEADING,
    TEXT,
)
from specc.packet.tables import Grid, Track, cell
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans

DEFERRAL = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."
ONE_LINE = 104  # letters of a spec
TOGETHER = 8  # references to a paragraph
ALIKE = 3  # rules that lack the same thing are told under it


def lead(text: str) -> PageItem:
    """The gray sentence under a section's title."""
    return Paragraph(text, MUTED, most=PROSE, before=2)


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
        body.append(Paragraph((Span("Fix: ", STRONG), Span(finding.fix)), most=PROSE))
    if finding.why:
        body.append(Paragraph((Span("Why: ", STRONG), Span(finding.why)), most=PROSE))
    # A spec may stand on one long line: what is meant is near the column.
    excerpt = around(dict(desk.result.excerpts).get(finding.place, ""), finding.place.column, ONE_LINE)
    if excerpt:
        body.append(Paragraph((Span(f"the line reads{WIDE}", QUIET), Span(excerpt, FINE)), QUIET, before=1))
    return Stack(body, before=9)


def found_nothing(result: Result) -> str:
    """That no rule found anything, with how many could not: silence of a rule that was not checked says nothing."""
    open_ = sum(1 for r in result.rules if r.status in (*UNJUDGED, "authority to decide"))
    left = f" {many(open_, 'rule')} checked nothing, or left it to the authority." if open_ else ""
    return f"No rule that was checked found anything.{left}"


def findings(desk: Desk) -> Iterator[PageItem]:
    result = desk.result
    if not result.rules and not result.findings:
        yield Paragraph("No rules were run, so nothing could be found.", TEXT, before=6)
    elif not result.findings:
        yield Paragraph(found_nothing(result), TEXT, before=6, most=PROSE)
    n = 1
    for level in LEVELS:
        for covered in (False, True):
            mine = [f for f in by_danger(result.findings) if f.level == level and bool(f.waived) == covered]
            for like in like_ones(mine):
                if len(like) < ALIKE:
                    yield from (finding_item(n + k, finding, desk) for k, finding in enumerate(like))
                else:
                    yield from findings_together(n, like)
                n += len(like)


def like_ones(some: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule that give the same reason and are covered by the same waiver, where the first of them
    stands."""
    made: dict[tuple[str, str, str], list[Finding]] = {}
    for f in some:
        made.setdefault((f.rule, f.why, f.waived), []).append(f)
    return list(made.values())


def findings_together(n: int, like: Sequence[Finding]) -> Iterator[PageItem]:
    """Many findings of one rule: each with its line and, where they differ, its fix; the reason once."""
    first = like[0]
    style = ALARM if first.level == "error" and not first.waived else SUBHEADING
    title = [
        Span(f"{first.level.capitalize()}s {n} to {n + len(like) - 1}", style),
        Span(f"{WIDE}{first.rule}", QUIET),
    ]
    if first.waived:
        title.append(Span(f"{WIDE}covered by waiver {first.waived}", FINE_ALARM))
    top: list[PageItem] = [Rule(), Paragraph(title, SUBHEADING, keep=True)]
    fixes = {f.fix for f in like}
    if first.why:
        top.append(Paragraph((Span("Why: ", STRONG), Span(first.why)), most=PROSE, keep=True))
    if len(fixes) == 1 and first.fix:
        top.append(Paragraph((Span("Fix: ", STRONG), Span(first.fix)), most=PROSE, keep=True))
    head = Stack(top, before=9)
    head.keep = True
    yield head
    rows: list[Sequence[Spans]] = []
    for f in like:
        row = [cell(f.message), cell(spot(f.place, column=True), QUIET)]
        rows.append(row if len(fixes) == 1 else [row[0], cell(f.fix), row[1]])
    tracks = [Track("finding", 2.5), *([] if len(fixes) == 1 else [Track("fix", 2.0)]), Track("line", 0.6)]
    yield Grid(tracks, rows, before=3, name=f"{first.rule}")


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
        ("made with", f"specc {r.specc_version}; the same inputs with the same versions give the same bytes"),
    ]
    if desk.public:
        facts.append(("copy", "public: private details are withheld, but were judged"))
    said: list[Span] = []
    for label, value in facts:
        said += [Span(f"{WIDE if said else ''}{label} ", QUIET), Span(value, FINE)]
    yield Paragraph(said, FINE)
    rows: list[Sequence[Spans]] = [[cell(f.name), cell(f"{len(f.data):,}"), cell(f.sha256, QUIET)] for f in r.files]
    tracks = [Track("input", 1.6), Track("bytes", 0.5, True), Track("sha256", 3)]
    title = "Inputs as read: attached to this PDF, with a manifest of the same sums"
    yield Grid(tracks, rows, (desk.count("Table"), title))
    built_in = {p.version for p in r.plugins if p.origin == "built-in"}
    alike = built_in.pop() if len(built_in) == 1 else ""
    # Of the built-in ones the version is said once where they have the same.
    ran = [
        p.name + ("" if p.origin == "built-in" and alike else f" {p.version}")
        + (f" ({p.origin})" if p.origin != "built-in" else "")
        for p in r.plugins
    ]  # fmt: skip
    if alike:
        ran.append(f"each built-in one {alike}")
    yield Paragraph((Span("Plugins: ", FINE_STRONG), Span(", ".join(ran) or "none", FINE)), FINE, before=4)
    for p in r.plugins:
        if p.trouble:
            yield Paragraph(f"{p.name} failed: {p.trouble}", FINE_STRONG, before=2)
    if r.origins:
        yield from _filled_in(desk)
    texts = [
        "Low and high: one input at a time at the end of its tolerance, as if independent; without one, exact."
        if any(f.low is not None or f.high is not None for f in r.figures)
        else "No input states a tolerance, so each is taken as exact.",
        "A rule that passed approves nothing.",
    ]
    if _borrowing(r):
        texts.append("Some letters are not in this packet's typeface and rely on a font of the reader's program.")
    yield Paragraph(" ".join(texts), FINE, most=PROSE, before=3)


def _filled_in(desk: Desk) -> Iterator[PageItem]:
    """Values that the short forms filled in, one line for all that have the same from the same."""
    alike: dict[tuple[str, str, str, bool], list[str]] = {}
    for o in desk.result.origins:
        above, _, key = o.at.rpartition("/")
        alike.setdefault((key, o.text, o.origin, o.typical), []).append(tag(above).rsplit(" ", 1)[-1])
    listed: list[PageItem] = []
    for (key, text, origin, guessed), tags in alike.items():
        if not guessed and not desk.full:
            continue
        spans = (
            Span(f"{key} {clip(text, 80)}", FINE_STRONG),
            Span(f", {origin}: ", FINE_STRONG if guessed else QUIET),
            Span(", ".join(dict.fromkeys(tags)), FINE),
        )
        listed.append(Paragraph(spans, FINE, before=1.5, mark="open" if guessed else "", indent=11 if guessed else 0))
    number = many(len(desk.result.origins), "value")
    note = f"{number} once for several parts, or not at all: see specc show."
    if not desk.full:
        note += " Those that nobody measured are listed here:" if listed else " None was to be measured."
    lead_words = Span(f"Values filled in by short forms{WIDE}", FINE_STRONG)
    yield Paragraph((lead_words, Span(note, QUIET)), QUIET, before=4, keep=bool(listed))
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
