"""The packet's section on people: crew, roster, limits, signals and procedures."""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from specc import (
    Column,
    Context,
    Fact,
    Facts,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
    View,
    gather,
    section,
    table,
)
from specc.formulas.spoken import ALPHABET, SAID_KINDS, same_number, spoken
from specc.kinds.packet import MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.people import PEOPLE, Person
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, SHOW
from specc.model.blocks import Block
from specc.model.wording import counted
from specc_operators.clock import clock, length
from specc_operators.hours import DUTIES, NIGHTS, ROLE_NAMES, Duty, by_night, named_lead
from specc_operators.people_rules import in_date
from specc_operators.plan_rules import how_measured


@table("operators.crew", title="Crew", needs=(PEOPLE, DUTIES), reads=("operators",))
def crew(ctx: Context) -> Table:
    """Everybody on the roster. Names and phones are there only when the private file was given."""
    duties: dict[str, list[Duty]] = {}
    for d in ctx[DUTIES]:
        duties.setdefault(d.person, []).append(d)
    people = [p for p in ctx[PEOPLE] if p.tag in duties]
    private = any(p.name or p.phone for p in people)
    columns = [
        Column("tag"),
        Column("duties", 2.0),
        Column("age", 0.5, "right"),
        Column("certificates", 2.2),
        Column("sober", 0.7),
    ]
    if private:
        columns[1:1] = [Column("name", 1.5), Column("phone", 1.3)]
    rows = []
    for p in people:
        own = duties[p.tag]
        age = p.age_on(own[0].span.start.wall.date())
        cells = [
            p.tag,
            ", ".join(dict.fromkeys(ROLE_NAMES[d.role] for d in own)),
            "not stated" if age is None else str(age),
            _certificates(p) or "none listed",
            {True: "agreed", False: "no", None: "not stated"}[p.sober],
        ]
        if private:
            cells[1:1] = [p.name, p.phone]
        rows.append(Row(tuple(cells)))
    note = "" if private else "Names and own phones are in the private file, and not in this print."
    return Table("", "", tuple(columns), tuple(rows), note)


def _certificates(person: Person) -> str:
    return "; ".join(
        c.kind + (f", until {c.last.isoformat()}" if c.last else ", no last day stated") for c in person.certificates
    )


def _when(duty: Duty, end: bool) -> str:
    """A time of the roster, and whether it is on the day after the night's date."""
    wall = (duty.span.end if end else duty.span.start).wall
    return clock(wall) if wall.date() == duty.night else f"{clock(wall)} next day"


@table("operators.roster", title="Roster", needs=(DUTIES, NIGHTS, SHOW))
def roster(ctx: Context) -> Table:
    """One line for each shift, in order of time; nights on which it is the same share one."""
    duties, every = ctx[DUTIES], ctx[SHOW].nights
    same: dict[tuple[str, ...], list[Duty]] = {}
    whole: dict[tuple[str, date], list[Duty]] = {}
    for d in duties:
        whole.setdefault((d.shift, d.night), []).append(d)
    for parts in sorted(whole.values(), key=lambda p: (p[0].night, p[0].span.start.real, p[0].role, p[0].person)):
        own, stands_in = [d for d in parts if not d.stands_in], [d for d in parts if d.stands_in]
        d, last = own[0], own[-1]
        looks_after = ", ".join(d.effects) or ("all effects" if d.role == "valve" else "")
        off = ", ".join(f"{r.person} {_when(r, end=False)} to {_when(r, end=True)}" for r in stands_in)
        times = (_when(d, end=False), _when(last, end=True) + (f"; {off}" if off else ""))
        lasts = length(sum(d.span.seconds for d in own))
        same.setdefault((d.shift, d.person, ROLE_NAMES[d.role], looks_after, *times, lasts), []).append(d)
    rows = []
    for (_, *cells), shared in same.items():
        nights = [d.night.isoformat() for d in shared]
        each = len(nights) == len(every) > 1
        rows.append(Row(("every night" if each else ", ".join(nights), *cells)))
    zone = ctx[NIGHTS].zone
    note = f"Times are {zone}." if zone else "Times by the wall clock; no time zone is stated."
    if any(d.stands_in for d in duties):
        note += " After a semicolon: who stands in for a break, and has the part that steps give to the other."
    return Table(
        "",
        "",
        (
            Column("night"),
            Column("who"),
            Column("role", 1.2),
            Column("looks after", 1.6),
            Column("from", 1.3),
            Column("to", 1.3),
            Column("lasts", 0.9, "right"),
        ),
        tuple(rows),
        note,
    )


@table("operators.limits", title="When the show does not start, or stops", reads=("operators",))
def limits_table(ctx: Context) -> Table:
    limits = ctx.spec("operators").child("go_no_go")
    rows = []
    if limits.has("wind"):
        wind = limits.child("wind")
        rows.append(Row(("wind", f"above {wind.quantity('above').text}", wind.text("who"), how_measured(wind))))
    if limits.has("visibility"):
        sight = limits.child("visibility")
        rows.append(
            Row(("visibility", f"below {sight.quantity('below').text}", sight.text("who"), sight.text_or("how")))
        )
    topics = [("crowd", limits.child("crowd"))] if limits.has("crowd") else []
    topics += [("lightning", limits.child("lightning"))] if limits.has("lightning") else []
    for name, topic in [*topics, *limits.child("others").children()]:
        rows.append(Row((name.replace("_", " "), topic.text("when"), topic.text("who"), topic.text_or("how"))))
    for key, words in (("burn_ban", "burn ban"), ("red_flag", "red-flag day")):
        if limits.has(key):
            asked = limits.child(key)
            how = "; ".join(t for t in (f"asked by {asked.text_or('by', 'nobody named')}", asked.text_or("how")) if t)
            rows.append(Row((words, "one is declared", asked.text_or("of", "not stated"), how)))
    return Table(
        "",
        "",
        (Column("what"), Column("stops", 2.0), Column("set by", 1.2), Column("how measured", 1.8)),
        tuple(rows),
        withheld="limits",
    )


def _by_radio(ctx: Context) -> str:
    """How tags are said that sound alike over a radio: what is opened and closed, effects and places."""
    net = ctx.get(NETWORK)
    tags = [p.tag for p in (net.of_kind(*SAID_KINDS) if net else ())]
    said = spoken([*tags, *(e.tag for e in ctx.get(EFFECTS) or ()), *(ctx.get(PLACES) or ())])
    said |= {tag: word for tag, word in same_number(tags).items() if tag not in said}
    words = ", ".join(f"{tag} {word}" for tag, word in said.items())
    return f"By radio what sounds alike is said by word: {words} ({ALPHABET})." if words else ""


@table("operators.signals", title="Signals", wants=(NETWORK, EFFECTS, PLACES), reads=("operators",))
def signals_table(ctx: Context) -> Table:
    rows = tuple(
        Row((tag.replace("_", " "), s.text("given"), s.text("means")))
        for tag, s in ctx.spec("operators").child("signals").children()
    )
    return Table("", "", (Column("signal"), Column("given", 2.0), Column("what it means", 2.0)), rows, _by_radio(ctx))


@gather(SUMMARY_FACTS, needs=(DUTIES, PEOPLE), wants=(NIGHTS,), reads=("operators",))
def facts(ctx: Context) -> Sequence[Fact]:
    """Who is responsible and how to reach them, who is there, and whether the fire department meets somebody."""
    duties, by_tag = ctx[DUTIES], {p.tag: p for p in ctx[PEOPLE]}
    if not duties:
        return _named(ctx)
    made = []
    leads = [d for d in duties if d.role == "lead" and not d.stands_in]
    tags = list(dict.fromkeys(d.person for d in leads))
    if tags:
        leaders = [by_tag.get(t) for t in tags]
        names = [p.name if p and p.name else t for p, t in zip(leaders, tags, strict=True)]
        nights = by_night(d for d in leads if d.person == tags[0]).values()  # a break within a shift is not said here
        hours = {(_when(own[0], end=False), _when(own[-1], end=True)) for own in nights}
        times = "{} to {}".format(*hours.pop()) if len(hours) == 1 else "hours differ by night: see the roster"
        made += _lead(names, times, leaders[0], ctx.spec("operators").text_or("phone"), _watch(ctx, leads, by_tag))
    # Two who relieve one another are one spotter: what counts is who is there at one time.
    tally = ", ".join(
        counted(_at_once([d for d in duties if d.role == role]), ROLE_NAMES[role])
        for role in dict.fromkeys(d.role for d in duties)
    )
    people, at_once = len({d.person for d in duties}), _at_once(duties)
    note = f"at one time {at_once} at most; of each role: {tally}"
    made.append(Fact(60, f"{people} {'person' if people == 1 else 'people'}", "On shift", note, "on_shift"))
    helpers = ctx.spec("operators").child("emergency")
    if helpers.has("call") or helpers.has("meet"):
        call = helpers.text_or("call", "whom to call is not stated")
        made.append(
            Fact(
                5, call, "Fire department", f"met at {helpers.text_or('meet', 'a place not stated')}", "fire_department"
            )
        )
    return made


def _at_once(duties: Sequence[Duty]) -> int:
    """The most people that are on duty at one moment."""
    most, on, ends = 0, Counter[str](), list[tuple[datetime, str]]()
    for duty in sorted((d for d in duties if d.span.start.real < d.span.end.real), key=lambda d: d.span.start.real):
        while ends and ends[0][0] <= duty.span.start.real:
            _, gone = heapq.heappop(ends)
            on[gone] -= 1
            if not on[gone]:
                del on[gone]
        heapq.heappush(ends, (duty.span.end.real, duty.person))
        on[duty.person] += 1
        most = max(most, len(on))
    return most


def _named(ctx: Context) -> list[Fact]:
    """Without a roster, who is named as the lead operator."""
    people: tuple[Person, ...] = ctx[PEOPLE]
    lead = named_lead(people)
    if lead is None:
        return []
    return _lead([lead.name or lead.tag], "named; no roster says when", lead, ctx.spec("operators").text_or("phone"))


UNNAMED = "legal name: ask for the private copy"
UNCALLED = "own numbers: ask for the private copy"


class _Watch(NamedTuple):
    """Who is there when the last lead has left, and with which telephone."""

    who: str = ""
    phone: str = ""


def _watch(ctx: Context, leads: Sequence[Duty], by_tag: Mapping[str, Person]) -> _Watch:
    """The fire watch that goes on after the leads' shifts, who calls in it, and by which number."""
    gone = {night: max(d.span.end.wall for d in own) for night, own in by_night(leads).items()}
    after = [d for d in ctx[DUTIES] if d.role == "fire_watch" and d.night in gone and d.span.end.wall > gone[d.night]]
    if not after:
        return _Watch()
    who = list(dict.fromkeys(d.person for d in after))
    calls = ctx.spec("operators").child("emergency").text_or("watch_caller")
    caller = by_tag.get(calls)
    until = sorted({clock(d.span.end.wall) for d in after})
    named = " and ".join(p.name if (p := by_tag.get(t)) and p.name else t for t in who)
    phone = f"{calls}{f', {caller.phone}' if caller and caller.phone else ''}" if calls else "who calls is not stated"
    return _Watch(f"then {named}, fire watch, to {' or '.join(until)}", f"fire watch: {phone}")


def _lead(names: Sequence[str], times: str, first: Person | None, lent: str, watch: _Watch | None = None) -> list[Fact]:
    """Who answers for it, whom to call, and who alone says go: of several leads the one whose shift it is."""
    times = "; ".join(t for t in (times, watch.who if watch else "", "" if first and first.name else UNNAMED) if t)
    go = "once every line of go or no go is yes; anybody says stop"
    others = f"; other shifts: {', '.join(names[1:])}" if len(names) > 1 else ""
    own = f"{' or '.join(names)}, whoever has the lead's shift," if others else f"{names[0]}, lead operator,"
    return [
        Fact(5, f"{names[0]}, lead operator", "Responsible", times + others, "responsible"),
        Fact(5, f"{own} and nobody else", "Says go", go, "go"),
        *_phone(first, lent, watch.phone if watch else ""),
    ]


def _phone(lead: Person | None, lent: str, watch: str = "") -> list[Fact]:
    """Where the lead is reached: by the number in the private file, else by a telephone that may be printed. Without
    either, the page says that none is stated."""
    if lead and lead.phone:
        note = "; ".join(t for t in ("of the lead operator", f"also {lent}" if lent else "", watch) if t)
        return [Fact(5, lead.phone, "Phone", note, "phone")]
    return [Fact(5, lent, "Phone", "; ".join(t for t in (watch, UNCALLED) if t), "phone")] if lent else []


@gather(SUMMARY_FACTS, needs=(DUTIES, PEOPLE, SHOW))
def dates(ctx: Context) -> Sequence[Fact]:
    """Whether the certificates of everybody on duty hold on all days that they have to."""
    people: tuple[Person, ...] = ctx[PEOPLE]
    if not people:
        return ()
    return (Fact(50, f"certificates: {in_date(people, ctx[DUTIES], ctx[SHOW].nights)}", "In date", "", "in_date"),)


@gather(MODEL_LIMITS)
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    return (
        ModelLimit(
            50,
            "Roster",
            "Compared with the scenes as planned, not with who came or how late it ran. Certificates are taken as "
            "stated.",
        ),
        ModelLimit(
            51,
            "Procedures",
            "Steps follow the parts and runs as described. The makers go through them at the device, valve in hand, "
            "before anyone relies on them.",
        ),
    )


def _agreed(operators: View, by_radio: str) -> list[Block]:
    """What the crew agrees on. What is not in the spec is said to be missing, since an authority asks for it."""
    made: list[Block] = [Para(f"Sobriety: {operators.text_or('sobriety', 'no statement is given.').strip()}")]
    if operators.has("briefing"):
        briefing = operators.child("briefing")
        lasts = f", for {told.text}," if (told := briefing.quantity_or_none("lasts")) else ""
        topics = f" Topics: {'; '.join(briefing.texts('topics'))}." if briefing.texts("topics") else ""
        made.append(
            Para(f"Briefing: at {briefing.text('at')}{lasts} on each night, led by {briefing.text('by')}.{topics}")
        )
    else:
        made.append(Para("Briefing: none is planned."))
    limits, signals = len(operators.child("go_no_go")), len(operators.child("signals"))
    made.append(TableBlock("operators.limits") if limits else Para("Limits: none are agreed on."))
    none = f"Signals: none are agreed on. {by_radio}".strip()
    made.append(TableBlock("operators.signals") if signals else Para(none))
    return made


@section(
    "operators",
    title="Crew",
    order=50,
    part="crew",
    needs=(PEOPLE,),
    wants=(NIGHTS, DUTIES, NETWORK, EFFECTS, PLACES),
    reads=("operators",),
)
def crew_section(ctx: Context) -> Sequence[Block]:
    operators, duties, nights = ctx.spec("operators"), ctx.get(DUTIES), ctx.get(NIGHTS)
    made: list[Block] = []
    if duties:
        if nights and nights.nights:
            hours: dict[str, list[str]] = {}
            for n in nights.nights:
                text = " and ".join(f"{clock(on.start.wall)} to {clock(on.end.wall)}" for on in n.gas)
                hours.setdefault(text, []).append(n.day.isoformat())
            made.append(
                Facts(
                    tuple(
                        (f"gas on, start-up and shutdown included, {', '.join(days)}", text)
                        for text, days in hours.items()
                    )
                )
            )
        made += [TableBlock("operators.crew"), TableBlock("operators.roster")]
    else:
        # Whom the steps name, and page one, stands here with what the spec calls them.
        named = ", ".join(f"{p.tag} ({p.role or 'no role stated'})" for p in ctx[PEOPLE])
        made.append(
            Para(
                "No roster is described: the makers have to say who works the effect."
                + (f" Named: {named}." if named else "")
            )
        )
    return [*made, *_agreed(operators, _by_radio(ctx))] if len(operators) else made
