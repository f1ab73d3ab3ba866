"""Page one: what a marshal asks first. Always one page, and every question on it has an answer or "not checked"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from specc.kinds.packet import SUMMARY_FACTS
from specc.model.blocks import SLOTS, Fact
from specc.model.result import Item, Result, RuleOutcome
from specc.model.statuses import UNJUDGED
from specc.model.wording import with_runs
from specc.packet import changes
from specc.packet.counts import Counts, counts_of
from specc.packet.desk import Desk, clip, failures, many, shortly, without_keys
from specc.packet.gravest import errors, told_first
from specc.packet.layout import Columns, PageItem, Rule, Stack
from specc.packet.marks import Mark
from specc.packet.paged import Paged
from specc.packet.pictures import Picture
from specc.packet.questions import hazards, inside, to_decide
from specc.packet.refused import fact as fact_of
from specc.packet.style import (
    FINE,
    FINE_NEEDS_YOU,
    FINE_STRONG,
    INK,
    NUMBER,
    QUIET,
    STRONG,
    SUBHEADING,
    TEXT,
    THICK,
    TITLE,
    Paper,
)
from specc.packet.tables import Grid, Track, cell
from specc.packet.text import WIDE, Pair, Paragraph, Span, Spans, wide

NOT_COMPARED = "Not compared with an earlier revision."
UNDATED = "as typed, no tag or stamp seen; hoses and regulators: undated"
GOVERNING = "nfpa-160"  # the standard on flame effects before an audience, by its name among the references
UNREAD = "NFPA 160 itself was not read"
UNSHOWN_IN_WIND = "that every flame holds in it is not shown"
OTHER_SIDES = "the other sides are not checked"
ONE_SIDE = "to the audience on one side alone"
KIND = "Safety submission packet for a propane flame effect"

# By slot: what stands in large letters, what is asked first and in which words, and what is listed beside the plan.
LARGE = ("audience_distance", "tallest_flame", "gas_on_site", "stop_wind")
ASKED = {
    "audience_distance": "How far is the audience?",
    "tallest_flame": "How tall is the flame?",
    "responsible": "Who is responsible?",
    "phone": "Which phone?",
    "main_shutoff": "Where is the gas shut off?",
    "solenoid": "What if a solenoid sticks?",
    "in_date": "What is in date?",
    "changed": "What changed?",
    "silent": "What was not checked?",  # known to the packet alone
    "go": "Who says go?",
}
JOINED = ("main_shutoff", "in_date")  # what more than one plugin answers
LISTED = (
    "permit_holder",
    "nights",
    "group",
    "second_shutoff",
    "fire_department",
    "on_shift",
    "extinguishers",
    "gas_burned",
)
# What would have to be known, where a question has no answer.
LACKS = {
    "audience_distance": "the spec describes no place of the audience",
    "tallest_flame": "no flame could be computed",
    "responsible": "the spec names no lead operator",
    "phone": "no number is in this copy; ask for the private one, or write it in: ________________",
    "main_shutoff": "the spec describes no cylinder that feeds an outlet",
    "solenoid": "the spec describes no parts",
    "in_date": "the spec describes nothing that falls due",
    "changed": "",
    "go": "the spec names no lead operator",
}


def status_words(desk: Desk) -> tuple[str, bool]:
    """The packet's standing in a sentence, and whether it is a draft. It approves nothing."""
    r = desk.result
    why = failures(r)
    if why:
        return "DRAFT: " + "; ".join(why), True
    if not r.rules:
        return "No rules were run: nothing was judged. This is not an approval.", False
    # Never without what was not checked or not stated: what nobody looked at has no errors either.
    silent = [rule for rule in r.rules if rule.status in UNJUDGED]
    would_be = sum(1 for rule in silent if rule.level == "error")
    unsaid = len(_unsaid(desk))
    asks = len(to_decide(desk))
    questions = f" {many(asks, 'question')} need{'s' if asks == 1 else ''} you." if asks else ""
    rest = _rests_on(r.rules, _first_night(r))
    lacks = f"{len(silent)} of {many(len(r.rules), 'rule')} not checked"
    if would_be:  # what may be wrong is counted before what was found to be none
        also = "" if would_be == len(silent) == 1 else f"{would_be} of them "
        lacks += f", {also}an error if not so" if would_be == 1 else f", {also}errors if not so"
    if unsaid:
        lacks = f"Incomplete: {many(unsaid, 'answer')} of this page not stated, {lacks}."
        return f"{lacks} None of the rest failed{rest}.{questions} Not an approval.", False
    if would_be:
        return f"{lacks}. None of the rest failed{rest}.{questions} Not an approval.", False
    failed = f"None of {many(len(r.rules), 'rule')} failed{rest}; {len(silent)} not checked"
    return f"{failed}.{questions} Not an approval.", False


def _first_night(result: Result) -> str:
    """Year-month-day; "" where no dates are stated."""
    told = dict(result.event).get("dates", "").split(", ")
    return min((day for day in told if day[:4].isdigit()), default="")


def _rests_on(rules: Sequence[RuleOutcome], night: str = "") -> str:
    """How many of the rules that found no error rest on a word, a plan or a source that nobody has verified."""
    kinds = Counter(rule.status for rule in rules)
    unread = sum(1 for rule in rules if rule.status == "passed" and rule.from_memory)
    told = [f"{kinds['stated']} stated"] if kinds["stated"] else []
    told += [f"{unread} source not verified"] if unread else []
    if kinds["planned"]:
        last = max(rule.due for rule in rules if rule.status == "planned")
        again = f": issue again after {last}" if last else ""
        if night and last >= night:  # advice that nobody could follow
            again = f" for the first night, {night}: too late to issue again"
        told.append(f"{kinds['planned']} planned{again or ', not done yet'}")
    return f": {', '.join(told)}" if told else ""


def _unsaid(desk: Desk) -> list[str]:
    """What this page always answers and the spec says nothing of."""
    said = {fact.slot for _, fact in facts_of(desk)} | ({"changed"} if desk.result.since else set())
    return [slot for slot in SLOTS if slot not in said]


def facts_of(desk: Desk) -> list[tuple[bool, Fact]]:
    """All facts in their order, the built-in plugins' first; a third party's carries its name. With each, whether it is
    a third party's."""
    items = desk.result.items(SUMMARY_FACTS.name) or tuple(Item("", "", f) for f in desk.result.summary_facts)
    facts = []
    for i in items:
        if isinstance(i.item, Fact):
            # Where the page has words of its own for the label, the value says whose it is.
            field = "value" if i.item.slot and i.item.slot not in LARGE else "label"
            said = i.item._replace(value=with_runs(i.item.value), note=with_runs(i.item.note))
            named = said._replace(**{field: i.whose + getattr(said, field)})
            facts.append((not i.built_in, i.item.order, named))
    return [(other, fact) for other, _, fact in sorted(facts, key=lambda f: f[:2])]


def _may_blow_out(desk: Desk) -> bool:
    """Whether the rule on flames in the stop wind ran, and did not find that each of them holds."""
    shown = ("passed", "stated", "shown", "not applicable")
    return any(rule.id == "flame.holds_in_wind" and rule.status not in shown for rule in desk.result.rules)


def one_side(desk: Desk) -> bool:
    """Whether a distance to the audience says nothing of the other sides: no rule found all of them described."""
    ended = next((rule for rule in desk.result.rules if rule.id == "site.sides"), None)
    return ended is None or (ended.status != "passed" and ended.answers != ("/site/north",))


def _large(facts: dict[str, Fact], desk: Desk) -> PageItem:
    cells = []
    for slot in LARGE:
        fact = facts.get(slot)
        value = clip(fact.value, 24) if fact else "not stated"
        style = NUMBER if wide(value, NUMBER) < 118 else NUMBER._replace(size=TEXT.size)
        # What is asked first says more of the same thing below.
        told = "" if slot in ASKED else f"{SLOTS[slot]} is known from nothing in the spec"
        note = (fact.of if slot in ASKED else fact.note) if fact else told
        if fact and slot == "stop_wind" and _may_blow_out(desk):
            note = "; ".join(t for t in (UNSHOWN_IN_WIND, note) if t)
        label = fact.label if fact else SLOTS[slot]
        if fact and slot == "audience_distance" and one_side(desk):
            label, note = ONE_SIDE, "; ".join(t for t in (OTHER_SIDES, note) if t)
        cells.append(
            Stack(
                [
                    Paragraph(value, style),
                    Paragraph(clip(label, 44), FINE_STRONG),
                    Paragraph(clip(note, 84), QUIET),
                ]
            )
        )
    return Columns(cells, [1, 1, 1, 1], gutter=12, before=4)


def _asked(facts: dict[str, Fact], desk: Desk, most: int) -> PageItem:
    """The questions that are asked first, each with its answer in plain words or with what lacks."""
    long = 150 if most > -3 else 70  # letters of what is said beside an answer
    rows: list[Sequence[Spans]] = []
    for n, (slot, question) in enumerate(ASKED.items(), 1):
        fact = facts.get(slot)
        answer: Spans
        if slot == "silent":
            answer = _silent(desk)
        elif slot == "changed":
            answer = _changed(fact, desk)
        elif slot == "go" and failures(desk.result):
            answer = cell("nobody: a draft is not lit", FINE_STRONG)
        elif fact is None:
            answer = (Span("not stated", FINE_STRONG), Span(f"{WIDE}{LACKS[slot]}", QUIET))
        else:
            # The large numbers are named by what is measured.
            partly = slot == "audience_distance" and one_side(desk)
            label = f"{ONE_SIDE}: {OTHER_SIDES}" if partly else fact.label
            value = f"{fact.value} {label}" if slot in LARGE else fact.value
            # What several plugins answer is that much longer.
            answer = (Span(clip(value, 420 if slot in JOINED else 240), FINE_STRONG),)
            note = fact.note
            if slot == "in_date":  # no fact speaks for all that ages
                note = UNDATED
            answer = (*answer, Span(f"{WIDE}{clip(note, long)}", QUIET)) if note else answer
        rows.append([cell(str(n), QUIET), cell(question.replace(" ", "\u00a0")), answer])
    return Grid([Track("", 0.1, True), Track("", 0.1), Track("", 3.0)], rows, before=1, headed=False)


def _silent(desk: Desk) -> Spans:
    """What nobody checked, and what was checked against the makers' word alone."""
    rules = desk.result.rules
    if not rules:
        return cell("everything: no rules were run", FINE_STRONG)
    silent = [rule for rule in rules if rule.status in UNJUDGED]
    typed = sum(1 for rule in rules if rule.status in ("stated", "planned", "shown"))
    said = f"{len(silent)} of {many(len(rules), 'rule')}" if silent else "nothing that a rule covers"
    why = _why_silent(silent, desk)
    more = " more" if silent else ""
    unread = sum(1 for rule in rules if rule.status == "passed" and rule.from_memory)
    note = f"{typed}{more} rest on what the makers state or plan"
    note += f", {unread} on sources not verified" if unread else ""
    note += f"; {UNREAD}" if _unread(desk) else ""
    note += "; what no rule covers, specc does not see"
    return (Span(f"{said}{': ' if why else ''}{why}", FINE_STRONG), Span(f"{WIDE}{note}", QUIET))


def _why_silent(silent: Sequence[RuleOutcome], desk: Desk) -> str:
    """What several rules lack, that with the most of them first, and what a single one asks, each in a few words; then
    in which section the others stand."""
    mine = [r for r in silent if desk.is_built_in(r.plugin)]
    lacking = Counter(without_keys(r.looked) for r in mine)
    asked = [f"whether {inside(r.statement)}" for r in mine if lacking[without_keys(r.looked)] == 1 or not r.looked]
    told: list[str] = []
    left = len(silent)
    some = [(why, n) for why, n in lacking.most_common() if n > 1 and why]
    for words, n in [
        *((f"{shortly(why, 72)}, {n} rules", n) for why, n in some),
        *((shortly(a, 96), 1) for a in asked),
    ]:
        if len(told) == 3 or (told and sum(map(len, told)) + len(words) > 190):
            break
        told.append(words)
        left -= n
    rest = f"{left} more in section {desk.sections.get('rules', '')}" if left and told else ""
    return "; ".join(t for t in (*told, rest) if t)


def _changed(fact: Fact | None, desk: Desk) -> Spans:
    if desk.result.since is not None:
        where = f"{WIDE}listed in section {desk.sections.get('changes', '')}"
        stated = f"; the makers: {fact.value}" if fact else ""
        return (Span(changes.in_short(desk.result.since), FINE_STRONG), Span(f"{where}{stated}", QUIET))
    if fact is None:
        return (Span("not stated", FINE_STRONG), Span(f"{WIDE}{NOT_COMPARED}", QUIET))
    return (Span(clip(fact.value, 200), FINE_STRONG), Span(f"{WIDE}stated. {NOT_COMPARED}", QUIET))


def _unread(desk: Desk) -> bool:
    """Whether rules rest on the standard for such effects, and nobody who wrote them has read it."""
    ruling = [rule for rule in desk.result.rules if rule.citation.reference == GOVERNING]
    return bool(ruling) and all(rule.citation.basis != "read" for rule in ruling)


def _listed(facts: dict[str, Fact], desk: Desk) -> PageItem:
    rows: list[Sequence[Spans]] = []
    for slot in LISTED:
        fact = facts.get(slot)
        value: Spans = cell(clip(fact.value, 120)) if fact else cell("not stated")
        note = shortly(fact.note, 140) if fact else ""
        if slot == "group" and _unread(desk):
            note = "; ".join(t for t in (note, UNREAD) if t)
        if note:
            value = (*value, Span(f"{WIDE}{note}", QUIET))
        rows.append([cell(SLOTS[slot]), value])
    return Grid([Track("", 0.1), Track("", 3.0)], rows, before=1, headed=False)


def _also(rest: dict[bool, list[Fact]], most: int) -> Iterator[PageItem]:
    """What has no place of its own, the built-in plugins' first."""
    for other, long in ((False, 30 * most + 40), (True, 160)):
        told = [f"{f.value} {f.label}" + (f" ({f.note})" if f.note else "") for f in rest[other]]
        kept = [t for n, t in enumerate(told) if n == 0 or len("; ".join(told[: n + 1])) <= long]
        if told:
            head = "From other plugins: " if other else "Also: "
            said = (Span(head, FINE_STRONG), Span("; ".join([clip(kept[0], max(long, 160)), *kept[1:]]), FINE))
            yield Paragraph(said, FINE, before=3)


def _plan(desk: Desk, most: int) -> PageItem | None:
    """The site in small: the first drawing to scale that the site's part shows."""
    for key in desk.site_drawings:
        drawing = desk.drawings[key]
        if drawing.kind == "to_scale" and drawing.sheets:
            tall = 170 if most > 0 else 150 if most > -2 else 130 if most > -3 else 110
            return Picture(drawing, drawing.small or drawing.sheets[0], "", tall, tall + 40, small=True)
    return None


def not_known(silent: Sequence[RuleOutcome], desk: Desk) -> list[tuple[str, int]]:
    """What is known or lacking, rules with the same reason together, that of the most rules first, and only then what
    is asked: a statement that stands alone reads as an assurance of what nobody checked. A third party's come last,
    with the plugin's name. With each, how many rules it tells of."""
    by_reason: dict[tuple[bool, str, str], list[str]] = {}
    for rule in silent:
        mine = desk.is_built_in(rule.plugin)
        key = (not mine, "" if mine else f"{rule.plugin}: ", without_keys(rule.looked).rstrip(" ."))
        by_reason.setdefault(key, []).append(rule.statement)
    said = []
    for (_, whose, why), statements in sorted(by_reason.items(), key=lambda pair: (pair[0][0], -len(pair[1]))):
        asked = f"not known whether: {statements[0]}" if len(statements) == 1 else many(len(statements), "rule")
        # Two sentences, so that where room is short the reason is what is kept.
        text = f"{whose}{why}. {asked[0].upper()}{asked[1:]}" if why else f"{whose}{asked}"
        said.append((text, len(statements)))
    return said


FEW = 6  # questions that stand here in any case: where room is short, each in fewer words


def _few(items: Sequence[PageItem], most: int, more: str, counts: Sequence[int] = ()) -> Iterator[PageItem]:
    """The first items, and how many more there are. `counts`: of how many each tells, where not of one."""
    yield from items[:most]
    if len(items) > most:
        left = sum(counts[most:]) if counts else len(items) - most
        yield Paragraph(f"{left} more: {more}", QUIET, before=2)


def _lines(texts: Sequence[tuple[str, int]], mark: Mark, most: int, more: str, long: int) -> list[PageItem]:
    """Each text in a line, with of how many rules it tells: "9 more" of page one and of the list count the same."""
    made: list[PageItem] = [Paragraph(shortly(t, long), FINE, before=1.5, indent=11, mark=mark) for t, _ in texts]
    return list(_few(made, most, more, [n for _, n in texts]))


def _titled(title: str, beside: str, items: Sequence[PageItem], none: str) -> PageItem:
    head = Pair(Paragraph(title, SUBHEADING), beside, QUIET)
    return Stack([Rule(THICK, INK), head, *(items or [Paragraph(t, QUIET) for t in (none,) if t])])


def page(desk: Desk, paper: Paper) -> PageItem:
    """The summary: lists are cut until all of it is on one page, and say how many more there are and where."""
    for most in (9, 7, 6, 5, 4, 3, 2, 1, 0, -1, -2, -3):
        made = _page(desk, paper, most)
        if made.height(paper.measure) <= paper.room:
            break
    made.section, made.new_page = "1 Summary", True
    made.anchor, made.outline = desk.anchor("summary"), ("1 Summary", 0)
    return made


def _page(desk: Desk, paper: Paper, most: int) -> Stack:
    r = desk.result
    status, draft = status_words(desk)
    facts: dict[str, Fact] = {}
    rest: dict[bool, list[Fact]] = {False: [], True: []}
    for other, fact in facts_of(desk):
        if fact.slot and fact.slot not in facts:
            facts[fact.slot] = fact
        elif fact.slot in JOINED:
            facts[fact.slot] = facts[fact.slot]._replace(value=f"{facts[fact.slot].value}; {fact.value}")
        else:
            rest[other].append(fact)
    facts = {slot: kept for slot, f in facts.items() if (kept := fact_of(f, desk)) is not None}
    event = dict(r.event)
    where = ", ".join(t for t in (event.get("event", ""), event.get("site", "")) if t)
    title = clip(r.title, 60)
    room = paper.measure - wide(title, TITLE) - 16
    head = Pair(Paragraph(title, TITLE), status, STRONG, share=max(0.3, min(0.7, room / paper.measure)))
    items: list[PageItem] = [head, Paragraph(clip(where, 160 if most >= 0 else 90), TEXT)]
    if r.summary and most > 2:
        items.append(Paragraph(shortly(r.summary, 260 if most > 4 else 120), QUIET))
    if desk.public:
        items.append(Paragraph("Public copy: private details are withheld.", QUIET))
    items += told_first(desk, most)
    items += [Rule(THICK, INK, before=4), _large(facts, desk)]
    items.append(Stack([Rule(THICK, INK), Paragraph("Asked first", SUBHEADING), _asked(facts, desk, most)], before=4))
    also = list(_also(rest, most))
    listed = [Rule(THICK, INK), Paragraph("Who, when, with what", SUBHEADING), _listed(facts, desk)]
    plan = _plan(desk, most)
    if plan is None:
        items += [Stack(listed, before=6), Paragraph("Site: no plan is drawn from this spec.", QUIET, before=3), *also]
    else:
        items.append(Columns([Stack([*listed, *also]), Stack([Rule(THICK, INK), plan])], [300, 197], 16, before=4))
    if draft:
        items.append(_titled("Errors", "the worst first", list(errors(desk, most)), "None of the spec itself."))
    asks = to_decide(desk)
    questions: list[PageItem] = []
    for n, (text, _) in enumerate(asks, 1):
        short = shortly(without_keys(text), 190 if most > FEW else 105)
        line = Paragraph(short, FINE, indent=24, label=f"{WIDE}{WIDE}{n}", label_style=FINE_NEEDS_YOU, mark="pennant")
        questions.append(Paged(line, "own-questions"))
    of_rules = sum(1 for _, rule in asks if rule)
    needs = _titled(
        "Needs you",
        f"{many(len(asks), 'question')}, {of_rules} by rules; numbered as at the sign-off",
        [*_few(questions, max(most, FEW), "see the sign-off")],
        "The rules that ran left nothing open. What they do not cover is still to be judged.",
    )
    needs.before = 6
    items += [needs, Rule(THICK, INK, before=6), Counts(counts_of(desk), 0)]
    # A third party's come last, with the plugin's name.
    said = [(x, "" if desk.is_built_in(x.plugin) else f"{x.plugin}: ") for x in r.rules]
    stated = [
        f"{whose}{'Planned, not done yet: ' if x.status == 'planned' else ''}{x.statement}: {without_keys(x.looked)}"
        for x, whose in said
        if x.status in ("stated", "shown", "planned")
    ]
    silent = [x for x in r.rules if x.status in UNJUDGED]
    asked_alone = hazards(desk)
    kinds = Counter(x.status for x in r.rules)
    held = ", ".join(f"{kinds[s]} {s}" for s in ("stated", "shown", "planned") if kinds[s])
    waived = [
        f"{w.rule}: {w.reason} Accepted by {w.who or 'nobody named'}, until {w.until or 'no day'}" for w in r.waivers
    ]
    half = max(1, most // 2) if most >= 0 else 0
    rules = f"in section {desk.sections.get('rules', '')}"
    if not half:  # no room for any of them: how many, and where
        asked = "asked above" if silent and len(asked_alone) == len(silent) else rules
        counted_only = [f"Stated or planned only: {held}, {rules}" if held else "Stated or planned only: none"]
        counted_only += [f"not checked: {many(len(silent), 'rule')}, {asked}" if silent else "not checked: none"]
        findings = f"in section {desk.sections.get('findings', '')}"
        counted_only += [f"waived: {len(waived)}, {findings}" if waived else "waived: nothing"]
        items.append(Paragraph("; ".join(counted_only) + ".", FINE, before=4))
        items.append(_cases(desk))
        return Stack(items)
    left = [
        _titled(
            "Stated or planned only",
            held or "0",
            _lines([(t, 1) for t in stated], "half", half + (most > 0), rules, 110),
            "Nothing was only typed, as far as rules say so.",
        ),
    ]
    right = [
        _titled(
            "Not checked",
            many(len(silent), "rule"),
            _lines(not_known([x for x in silent if x not in asked_alone], desk), "open", half, rules, 125),
            "Asked above." if silent else "Every rule that applies was checked.",
        ),
        _titled(
            "Waived",
            str(len(waived)) if waived else "nothing",
            _lines([(t, 1) for t in waived], "cross", half, f"in section {desk.sections.get('findings', '')}", 150),
            "",
        ),
    ]
    right[1].before = 4
    items.append(Columns([Stack(left), Stack(right)], [1, 1], gutter=16, before=4))
    items.append(_cases(desk))
    return Stack(items)


def _cases(desk: Desk) -> PageItem:
    airs = "; ".join(f"{c.name} case: air at {c.air.text}" for c in desk.result.cases)
    chosen = "specc default: chosen by this tool, no published source"
    return Paragraph("; ".join(t for t in (airs, chosen) if t) + ".", QUIET, before=3)
