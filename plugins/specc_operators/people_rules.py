"""Rules on the people of the roster: age, certificates, breaks and rest, sobriety."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from specc import PRACTICE, Citation, Context, Cure, Limit, Trouble, Unchecked, not_checked, rule
from specc.kinds.people import PEOPLE, Certificate, Person
from specc.kinds.show import SHOW
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import takes_back
from specc_operators.clock import (
    Moment,
    TimeSpan,
    clock,
    is_morning_after,
    later,
    length,
    listed,
    moment,
    read_time,
    zone_named,
)
from specc_operators.duty_rules import NO_ROSTER, by_clock
from specc_operators.hours import DUTIES, NIGHTS, ROLE_NAMES, Duty

OPERATORS = ("lead", "valve")

_AGE_21 = Citation("nfpa-160", "operators are 21 or over; section not seen, edition not shown", "reprint")
_AGE_18 = Citation("nfpa-160", "assistants are 18 or over; section not read", "memory")
_SHIFTS = Citation("osha-extended-shifts", "a normal shift is 8 h with at least 8 h of rest after it", "memory")

LIMITS = (
    Limit("operators.operator_age", "21", "count", "max", "age of lead and valve operators", _AGE_21),
    Limit("operators.assistant_age", "18", "count", "max", "age of everybody else on duty", _AGE_18),
    Limit("operators.stretch", "4 h", "duration", "min", "time on duty without a break", PRACTICE),
    Limit("operators.break", "15 min", "duration", "max", "a pause counts as a break from this length", PRACTICE),
    Limit("operators.longest_day", "8 h", "duration", "min", "time on duty in one night", _SHIFTS),
    Limit("operators.rest", "8 h", "duration", "max", "rest between two nights on duty", _SHIFTS),
)


def _of_people(duties: tuple[Duty, ...]) -> dict[str, list[Duty]]:
    """Duties by person, in order of time."""
    made: dict[str, list[Duty]] = defaultdict(list)
    for duty in sorted(duties, key=lambda d: d.span.start.real):
        made[duty.person].append(duty)
    return made


def _old_enough(ctx: Context, limit: str, operators: bool) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    least = ctx.limit(limit).si
    known = {p.tag: p for p in ctx[PEOPLE]}
    looked = 0
    for tag, duties in _of_people(ctx[DUTIES]).items():
        leading = any(d.role in OPERATORS for d in duties)
        if tag not in known or leading != operators:
            continue
        looked += 1
        person = known[tag]
        own = [d for d in duties if d.role in OPERATORS] or duties
        role, first = ROLE_NAMES[own[0].role], own[0].span.start.wall.date()
        age = person.age_on(first)
        if age is None:
            yield Trouble(
                person.at,
                f"the age of {tag} ({role}) is not stated",
                "age: in whole years, or born: in the private file",
                f"a {role} is at least {least:g}",
                "warning",
            )
        elif age < least:
            yield Trouble(
                join(person.at, "age" if person.born is None else "born"),
                f"{tag}, {role}, is {age} on {first.isoformat()}",
                "on the first day on duty",
                "the authority asks for every operator's and assistant's age",
                cure=Cure(
                    f"somebody of {least:g} or over would pass",
                    ((join(person.at, "age"), f"{least:g}"),) if person.born is None else (),
                ),
            )
    return passed(f"{looked} people, on their first day on duty")


@rule(
    "operators.operator_age",
    level="error",
    statement="Lead and valve operators are old enough on the event's days",
    source=_AGE_21,
    needs=(PEOPLE, DUTIES),
    reads=("operators",),
    limits=("operators.operator_age",),
)
def operator_age(ctx: Context) -> Judging:
    return _old_enough(ctx, "operators.operator_age", operators=True)


@rule(
    "operators.assistant_age",
    level="error",
    statement="Everybody else on duty is old enough to assist",
    source=_AGE_18,
    needs=(PEOPLE, DUTIES),
    reads=("operators",),
    limits=("operators.assistant_age",),
)
def assistant_age(ctx: Context) -> Judging:
    return _old_enough(ctx, "operators.assistant_age", operators=False)


def _covers(certificate: Certificate, day: date) -> bool:
    after = certificate.first is None or certificate.first <= day
    return after and certificate.last is not None and day <= certificate.last


def _lapse(tag: str, kind: str, own: list[Certificate], days: list[date]) -> Trouble | None:
    """What is wrong with a person's certificates of one kind, over the days they must be valid on."""
    endless = next((c for c in own if c.last is None), None)
    if endless is not None and not all(any(_covers(c, d) for c in own) for d in days):
        return Trouble(
            endless.at,
            f"{tag}'s {kind} has no last day",
            "until: with its last valid day",
            "a certificate that has run out does not count",
        )
    missed = [d for d in days if not any(_covers(c, d) for c in own)]
    if not missed:
        return None
    last = max(own, key=lambda c: c.last or date.min)
    if last.last is not None and last.last < missed[-1]:
        when = f"ends on {last.last.isoformat()}"
        when += ", before the event" if last.last < days[0] else ", in the middle of the event"
        return Trouble(
            join(last.at, "until"),
            f"{tag}'s certificate ({kind}) {when}; it is needed on {listed(missed)}",
            f"one that is valid until {days[-1].isoformat()}",
            "on the days after it the person holds none",
        )
    early = min(own, key=lambda c: c.first or date.min)
    return Trouble(
        join(early.at, "from"),
        f"{tag}'s {kind} is not yet valid on {listed(missed)}",
        f"one that is valid from {days[0].isoformat()}",
    )


def _days(duties: Sequence[Duty], nights: Iterable[date]) -> list[date]:
    """The days on which somebody's certificates have to be valid."""
    days = set(nights)
    for duty in duties:  # a shift that ends at midnight does not reach into the day that begins then
        days |= {duty.span.start.wall.date(), (duty.span.end.wall - timedelta(minutes=1)).date()}
    return sorted(days)


def in_date(people: Sequence[Person], duties: tuple[Duty, ...], nights: Iterable[date]) -> str:
    """For page one: until when the certificates of all on duty hold, or whose do not; without a roster, of all who are
    named."""
    of, nights = _of_people(duties), tuple(nights)
    bad: list[str] = []
    ends: list[date] = []
    for person in (p for p in people if p.tag in of or not of):
        days = _days(of.get(person.tag, ()), nights)
        for kind in dict.fromkeys(c.kind for c in person.certificates):
            own = [c for c in person.certificates if c.kind == kind]
            if _lapse(person.tag, kind, own, days) is not None:
                bad.append(person.tag)
            else:
                ends.append(max(c.last for c in own if c.last))
    if bad:
        return f"NOT in date, or not known: {', '.join(dict.fromkeys(bad))}"
    return f"in date, the first ends {min(ends).isoformat()}" if ends else "none listed"


@rule(
    "operators.certificates",
    level="error",
    statement="Certificates hold on each of the event's days, past midnight too",
    source=Citation("ohio-flame-effects-plan", "operators' licenses or certificates belong to the application", "read"),
    needs=(PEOPLE, SHOW, DUTIES),
    reads=("operators",),
)
def certificates(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    asked = {role: spec.text_or("certificate") for role, spec in operators.child("roles").children()}
    known = {p.tag: p for p in ctx[PEOPLE]}
    looked = 0
    for tag, duties in _of_people(ctx[DUTIES]).items():
        if tag not in known:
            continue
        person: Person = known[tag]
        days = _days(duties, ctx[SHOW].nights)
        kinds: dict[str, list[Certificate]] = defaultdict(list)
        for certificate in person.certificates:
            kinds[certificate.kind].append(certificate)
        for kind, own in kinds.items():
            looked += 1
            if takes_back(kind):
                yield Unchecked(f"whether {tag} holds the certificate {kind!r}", join(person.at, "certificates"))
            lapse = _lapse(tag, kind, own, days)
            if lapse is not None:
                yield lapse
        for role in dict.fromkeys(d.role for d in duties):
            if asked.get(role) and asked[role] not in kinds:
                yield Trouble(
                    person.at,
                    f"{tag} is {ROLE_NAMES[role]} and holds no {asked[role]}",
                    f"certificates: with one of the kind {asked[role]!r}, or somebody who holds it",
                    f"roles: {role}: asks for it",
                )
    if not looked:
        yield Unchecked("no certificate is listed, and no role asks for one", "/people/*/certificates")
    return passed(f"{looked} certificates")


def _stretches(spans: Iterable[TimeSpan], pause: float) -> list[TimeSpan]:
    """Times on duty without a pause of at least so many s."""
    made: list[TimeSpan] = []
    for one in sorted(spans, key=lambda s: s.start.real):
        if made and (one.start.real - made[-1].end.real).total_seconds() < pause:
            made[-1] = TimeSpan(made[-1].start, max(made[-1].end, one.end, key=lambda m: m.real))
        else:
            made.append(one)
    return made


def _briefings(ctx: Context) -> dict[date, TimeSpan]:
    """By night, the briefing, which all of that night's roster hear: as long as it is said to last, else until the
    first of them is on duty."""
    own, nights, made = ctx.spec("operators").child("briefing"), ctx[NIGHTS], dict[date, TimeSpan]()
    if not own.has("at"):
        return made
    at, zone = read_time(own.text("at")), zone_named(nights.zone)
    lasts = own.quantity_or_none("lasts")
    first: dict[date, Moment] = {}
    for duty in ctx[DUTIES]:
        first[duty.night] = min(first.get(duty.night, duty.span.start), duty.span.start, key=lambda m: m.real)
    for night, begins in first.items():
        morning = is_morning_after(at, nights.opens, nights.closes)
        start = moment(night + timedelta(days=morning), at, zone)
        if start.real < begins.real:  # another rule finds one that is held with gas on
            made[night] = TimeSpan(start, later(start, lasts.si, zone) if lasts else begins)
    return made


def _spans(duties: Iterable[Duty], briefings: Mapping[date, TimeSpan]) -> list[TimeSpan]:
    """The shifts of a person, and the briefings before them."""
    own = list(duties)
    return [*(d.span for d in own), *(briefings[n] for n in {d.night for d in own} if n in briefings)]


@rule(
    "operators.breaks",
    level="warning",
    statement="Nobody is on duty for long without a break",
    source=PRACTICE,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
    limits=("operators.break", "operators.stretch"),
)
def breaks(ctx: Context) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    most, pause = ctx.limit("operators.stretch"), ctx.limit("operators.break")
    people, briefings = _of_people(ctx[DUTIES]), _briefings(ctx)
    longest = 0.0
    for tag, duties in people.items():
        long: dict[tuple[str, str, str], list[date]] = defaultdict(list)
        for one in _stretches(_spans(duties, briefings), pause.si):
            longest = max(longest, one.seconds)
            if one.seconds > most.si:
                hours = (length(one.seconds), clock(one.start.wall), clock(one.end.wall))
                long[hours].append(one.start.wall.date())
        for (lasts, begins, ends), days in long.items():
            at = next((d.at for d in duties if clock(d.span.end.wall) == ends), duties[0].at)
            yield Trouble(
                join(at, "to"),
                f"{tag} is on duty for {lasts} without a break, from {begins} to {ends} on {listed(days)}",
                f"a break of at least {pause.text} within each {most.text}",
                "who watches for long sees less",
            )
    heard = ", the briefing counted" if briefings else ""
    return passed(f"{len(people)} people, {length(longest)} at the longest{heard}{by_clock(ctx[NIGHTS])}")


@rule(
    "operators.rest",
    level="warning",
    statement="Nobody is on duty beyond a normal shift, nor without rest",
    source=_SHIFTS,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
    limits=("operators.longest_day", "operators.rest"),
)
def rest(ctx: Context) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    most, least = ctx.limit("operators.longest_day"), ctx.limit("operators.rest")
    people, briefings = _of_people(ctx[DUTIES]), _briefings(ctx)
    for tag, duties in people.items():
        nights = {
            n: list(own) for n, own in itertools.groupby(sorted(duties, key=lambda d: d.night), lambda d: d.night)
        }
        long: dict[str, list[date]] = defaultdict(list)
        for night, own in nights.items():
            own.sort(key=lambda d: d.span.start.real)
            on_duty = sum(s.seconds for s in _stretches(_spans(own, briefings), 0.0))
            if on_duty > most.si:
                long[length(on_duty)].append(night)
        for hours, days in long.items():
            last = max(nights[days[0]], key=lambda d: d.span.end.real)
            yield Trouble(
                join(last.at, "to"),
                f"{tag} is on duty for {hours} on the night of {listed(days)}",
                f"at most {most.text}",
                "tired people make mistakes",
            )
        for (_, before), (_, after) in itertools.pairwise(sorted(nights.items())):
            ends = max(d.span.end.real for d in before)
            first = min(after, key=lambda d: d.span.start.real)
            begins = min((s.start for s in _spans(after, briefings)), key=lambda m: m.real)
            between = (begins.real - ends).total_seconds()
            if between < least.si:
                yield Trouble(
                    join(first.at, "from"),
                    f"{tag} has {length(max(between, 0.0))} of rest before {clock(begins.wall)} "
                    f"on {begins.wall.date().isoformat()}",
                    f"at least {least.text}",
                    "tired people make mistakes",
                )
    return passed(f"{len(people)} people{by_clock(ctx[NIGHTS])}")


@rule(
    "operators.sobriety",
    level="error",
    statement="Everybody agrees not to work under the influence, nor to drink",
    source=Citation("texas-34-826", "(b): nobody under the influence or consuming during the display", "read"),
    needs=(PEOPLE, DUTIES),
    reads=("operators",),
)
def sobriety(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    if not operators.has("sobriety"):
        yield Trouble(
            operators.at,
            "there is no sobriety statement",
            "sobriety: with the words that everybody on duty agrees to",
            "the authority asks for one",
            "warning",
        )
    on_duty = {d.person for d in ctx[DUTIES]}
    for person in ctx[PEOPLE]:
        if person.tag not in on_duty or person.sober:
            continue
        said = person.sober is not None
        yield Trouble(
            join(person.at, "sober") if said else person.at,
            f"{person.tag} is on duty and has not agreed to the sobriety statement",
            "sober: true once the person has agreed, or nobody in that shift",
            "who has been drinking may not work a flame",
            None if said else "warning",
        )
    return passed(f"{len(on_duty)} people")
