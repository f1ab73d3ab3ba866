"""The rules of a packet: what did not pass as a table, the others in short; and the limits that they read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from specc.measure import printing
from specc.model.result import LimitShown, Result, RuleOutcome
from specc.model.statuses import STATUSES, UNSEEN, in_words
from specc.model.values import CHOICE, Citation, Quantity
from specc.packet import marks
from specc.packet.back import ALIKE, lead
from specc.packet.desk import Desk, many, shortly
from specc.packet.layout import PageItem, Snaking
from specc.packet.style import (
    FINE,
    FINE_ALARM,
    FINE_NEEDS_YOU,
    FINE_STRONG,
    QUIET,
    SUBHEADING,
    Style,
)
from specc.packet.tables import Grid, Track, cell, strong
from specc.packet.text import WIDE, Paragraph, Span, Spans

LOOKED = 90  # letters of what a rule looked at, as far as whole clauses go: `specc rules` has a list of fifty parts
RUN_ON = 8  # to a paragraph
INDENTED, BETWEEN = 11.0, 0.5  # points for the mark before a rule, and between two rules
FEW = 3  # fewer stand over the whole measure: a single one was cut between two columns
PRACTICE_IN_SHORT = (
    "In lists “practice” stands for common practice, no published source; “unseen” for: nobody has seen it; a line "
    "without a source is a specc default, chosen by this tool."
)


HELD = ("passed", "stated", "shown", "planned")


def status_of(rule: RuleOutcome) -> Spans:
    """A rule's status as a mark and a word, readable in gray."""
    words = rule.packet_words
    if rule.status == "failed" and rule.findings:
        words = f"failed: {many(rule.findings, rule.level)}"
    quiet = rule.status in ("not applicable", *HELD)
    style = FINE_NEEDS_YOU if rule.status == "authority to decide" else FINE if quiet else FINE_STRONG
    return (Span("", style, mark=marks.of_rule(rule.status, rule.from_memory)), Span(words, style))


def rules_grid(rules: Iterable[RuleOutcome], desk: Desk, before: float = 6.0) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for rule in rules:
        what = (Span(rule.statement, FINE), Span(f" {rule.id}", QUIET))
        rows.append([status_of(rule), what, cell(rule.looked or "—"), desk.cite(rule.citation)])
    tracks = [Track("status", 0.8), Track("rule", 2.1), Track("what was checked", 1.7), Track("source", 1.2)]
    return Grid(tracks, rows, before=before, name="Rules")


def _rule_in_short(rule: RuleOutcome, desk: Desk) -> PageItem:
    """A rule that held, with what was looked at: what was computed, or is only stated."""
    spans = [Span(rule.statement, FINE)]
    if rule.looked:
        # A statement in the past tense is not one of what has still to happen.
        spans.append(Span(": planned, not done yet", FINE_STRONG) if rule.status == "planned" else Span(":", QUIET))
        looked = shortly(rule.looked.replace(UNSEEN, "unseen:"), LOOKED)
        spans.append(Span(f"{';' if rule.status == 'planned' else ''} {looked}", QUIET))
    spans += [Span(WIDE, QUIET), *_number(rule.citation, desk)]
    return Paragraph(spans, FINE, before=BETWEEN, indent=INDENTED, mark=marks.of_rule(rule.status, rule.from_memory))


def _number(citation: Citation, desk: Desk) -> Spans:
    """Of most lines of a list the source is this tool's own: said once, ahead of the lists."""
    return () if citation == CHOICE else desk.number(citation)


def _held(rules: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules of which there is no more to tell than that the spec was read and they hold: `specc rules` says what each
    looked at."""
    for memory in (False, True):
        some = [rule for rule in rules if rule.from_memory == memory]
        told = [(Span(f"{rule.statement} ", FINE), *_number(rule.citation, desk)) for rule in some]
        yield from _listed(told, "passed", memory)


def _listed(some: Sequence[Spans], status: str, memory: bool = False) -> Iterator[PageItem]:
    """What holds, does not apply or is at its default: each on a line of its own, since nobody finds one in a block."""
    mark = marks.of_rule(status, memory) if status in marks.OF_STATUS else "dash"
    for one in some:
        yield Paragraph(one, FINE, before=BETWEEN, indent=INDENTED, mark=mark)


def _not_applicable(rules: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules about what is not there, by the reason, with their ids."""
    by_reason: dict[str, list[RuleOutcome]] = {}
    for rule in rules:
        by_reason.setdefault(rule.looked or "no reason is given", []).append(rule)
    told = [
        (Span(f"{reason}: ", FINE), Span(", ".join(r.id for r in some), QUIET)) for reason, some in by_reason.items()
    ]
    yield from _listed(told, "not applicable")


_OPEN: tuple[str, ...] = ("failed", "crashed", "blocked", "authority to decide", "waived", "not checked")


_STATED = "Stated: it rests on what the makers typed, or on a document, or has still to happen"
_READ = "Computed, or read in the spec"
_UNREAD = "Computed, or read in the spec, source not verified: something that it rests on is from memory"
_NOTHING = "Not applicable: nothing of the kind is described"


def _group(rule: RuleOutcome) -> str:
    """Under which heading a rule stands that did not fail and was checked."""
    if rule.status == "not applicable":
        return _NOTHING
    if rule.status == "passed":
        return _UNREAD if rule.from_memory else _READ
    return _STATED


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
    for title in (_STATED, _READ, _UNREAD, _NOTHING):
        some = [r for r in result.rules if r.status not in _OPEN and _group(r) == title]
        if not some:
            continue
        yield Paragraph(f"{title}: {len(some)}", SUBHEADING, before=7, keep=True)
        listed: list[PageItem] = []
        if title == _NOTHING:
            yield Snaking(list(_not_applicable(some, desk)), before=3)
            continue
        for plugin in dict.fromkeys(r.plugin for r in some):
            listed.append(Paragraph(plugin.capitalize() or "Core", FINE_STRONG, before=5, keep=True))
            mine = [r for r in some if r.plugin == plugin]
            told = [r for r in mine if r.status != "passed" or r.figures]
            listed += [_rule_in_short(r, desk) for r in told]
            listed += _held([r for r in mine if r not in told], desk)
        yield Snaking(listed, before=3)


def _not_checked(some: Sequence[RuleOutcome], desk: Desk) -> Iterator[PageItem]:
    """Rules that lack one and the same thing, under what they lack; then those that lack something of their own.

    The first ones' sources were compared with nothing, and would lengthen the references by a page."""
    by_reason: dict[str, list[RuleOutcome]] = {}
    for rule in some:
        by_reason.setdefault(rule.looked, []).append(rule)
    alike = [(reason, lacking) for reason, lacking in by_reason.items() if len(lacking) >= ALIKE]
    single = [rule for lacking in by_reason.values() if len(lacking) < ALIKE for rule in lacking]
    if some:
        worse = sum(1 for rule in some if rule.level == "error")
        told_of = f", {worse} of them errors if not so" if worse else ""
        bold = "In bold: an error if not so. " if worse else ""
        where = "Sources of those that lack the same: ask the makers (specc rules FILE)." if alike else ""
        title = Span(f"Not checked: {len(some)}{told_of}", SUBHEADING)
        beside = Span(f"{WIDE}{bold}{where}".rstrip(), QUIET)
        yield Paragraph((title, beside), SUBHEADING, before=7, keep=True)
    listed: list[PageItem] = []
    for reason, lacking in alike:
        listed.append(Paragraph(f"{len(lacking)} rules: {reason}", FINE_STRONG, before=5, keep=True))
        lacking.sort(key=lambda r: r.level != "error")
        told = [(Span(f"{r.statement} ", _weight(r)), Span(f"{r.id} ", QUIET)) for r in lacking]
        listed += _listed(told, "not checked")
    if alike and single:
        listed.append(Paragraph("Each for its own reason", FINE_STRONG, before=5, keep=True))
    listed += [_one_unchecked(rule, desk) for rule in single]
    if len(listed) < FEW:
        yield from listed
    else:
        yield Snaking(listed, before=3)


def _weight(rule: RuleOutcome) -> Style:
    """What would be an error, were it not so, stands out: whoever signs is asked who looks at each of these."""
    return FINE_STRONG if rule.level == "error" else FINE


def _one_unchecked(rule: RuleOutcome, desk: Desk) -> PageItem:
    spans = (
        Span(rule.statement, _weight(rule)),
        Span(f": {rule.looked} " if rule.looked else " ", FINE),
        Span(f"{rule.id} ", QUIET),
        *_number(rule.citation, desk),
    )
    return Paragraph(spans, FINE, before=BETWEEN, indent=INDENTED, mark="open")


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
    items = list(_run_on(rest, desk))
    others = f"{many(unread, 'more limit')}, which no rule that applies reads: the makers have them." if unread else ""
    if items:
        said = f"{WIDE}A line without a source is a specc default. {others}".rstrip()
        yield Paragraph((Span("At their defaults", SUBHEADING), Span(said, QUIET)), SUBHEADING, before=8, keep=True)
        yield Snaking(items, before=3)
    elif others:
        yield Paragraph(f"At their defaults: {others}", QUIET, before=6)


def _run_on(some: Sequence[LimitShown], desk: Desk) -> Iterator[PageItem]:
    """Values one after another, a few to a paragraph, under what they are about: the first word of a key."""
    by_subject: dict[str, list[LimitShown]] = {}
    for limit in some:
        by_subject.setdefault(limit.key.split(".")[0], []).append(limit)
    for subject, mine in by_subject.items():
        for n in range(0, len(mine), RUN_ON):
            spans = [Span(f"{subject.capitalize()}{WIDE}", FINE_STRONG)] if n == 0 else []
            for x in mine[n : n + RUN_ON]:
                spans += [
                    Span(" " if spans else "", FINE),
                    Span("", FINE, mark="dash"),
                    Span(_amount(x.value), FINE_STRONG),
                ]
                spans += [Span(f" {x.statement} ", FINE), *_number(x.citation, desk)]
            yield Paragraph(spans, FINE, before=2.5 if n == 0 else 1.5)


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
    words = [(STATUSES.index(r.status), in_words(r.status, r.from_memory, r.status != "passed")) for r in result.rules]
    # The same counts as on page one; how many of those that passed computed something stands beside them.
    figured = Counter(w for w, r in zip(words, result.rules, strict=True) if r.status == "passed" and r.figures)
    parts = ", ".join(
        f"{n} {key[1]}" + (f" ({figured[key]} computed)" if figured[key] else "")
        for key, n in sorted(Counter(words).items())
    )
    return f"{many(len(result.rules), 'rule')}: {parts}." if result.rules else "No rules were run."
