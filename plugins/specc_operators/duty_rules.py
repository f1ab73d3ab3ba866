"""Rules on the roster: everything that has to be watched is watched, by people who can be there."""

from __future__ import annotations

import difflib
import heapq
import itertools
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    found,
    not_checked,
    rule,
)
from specc.kinds.people import PEOPLE
from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS, SHOW
from specc.model.passes import Judging, passed
from specc.model.view import View, join
from specc.model.wording import counted
from specc_operators.clock import TimeSpan, clock, clock_fault, gaps, later, listed, span, zone_named
from specc_operators.hours import DUTIES, NIGHTS, ROLE_NAMES, Duty, Nights, by_night, named_lead, within

SHIFTS = "/operators/shifts"
MOST_AT_ONCE = 12  # of one person: each two are told, and two thousand would be two million findings
NO_ROSTER = Unchecked("no roster is described, so nobody's hours and posts are known", "/operators")

CREW = Limit(
    "operators.crew",
    "2",
    "count",
    "max",
    "people on duty while gas is on, at the least",
    PRACTICE,
)
WATCH = Limit(
    "operators.fire_watch",
    "30 min",
    "duration",
    "max",
    "fire watch after the last flame, as after hot work",
    Citation("osha-1915-504", "fire watch stays at least 30 min after hot work; for flame effects by analogy", "read"),
)


def unknown(ctx: Context, nights: Nights) -> Verdict | None:
    """Why hours cannot be judged, or None when they can."""
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    if not nights.why:
        return None
    return not_checked(f"the hours with gas on are not known: {nights.why}", *answers_of(nights.why))


def by_clock(nights: Nights) -> str:
    return "" if nights.zone else "; by the wall clock, as no time zone is given"


def where(duties: Iterable[Duty], gap: TimeSpan) -> str:
    """The shift that ends where a gap begins, or begins where it ends; else the roster."""
    listed_ = tuple(duties)
    for duty in listed_:
        if duty.span.end.real == gap.start.real:
            return join(duty.at, "to")
    for duty in listed_:
        if duty.span.start.real == gap.end.real:
            return join(duty.at, "from")
    return SHIFTS


class _Gaps:
    """Gaps of the same kind, at the same place and hours on several nights, said once."""

    def __init__(self, duties: tuple[Duty, ...]) -> None:
        self.duties = duties
        self.found: dict[tuple[str, str, str], list[date]] = {}
        self.free: dict[tuple[str, str, str], list[str]] = {}

    def add(self, at: str, what: str, gap: TimeSpan, night: date) -> None:
        key = (at, what, f"from {clock(gap.start.wall)} to {clock(gap.end.wall)}")
        free = free_in(self.duties, gap)
        self.free[key] = [p for p in self.free.get(key, free) if p in free]
        self.found.setdefault(key, []).append(night)

    def troubles(self, fix: str, why: str) -> Iterator[Trouble]:
        for key, nights in self.found.items():
            at, what, hours = key
            free = f"; free then, of the roster: {', '.join(self.free[key]) or 'nobody'}"
            yield Trouble(at, f"{what} {hours} on the night of {listed(nights)}", fix + free, why)


def free_in(duties: Iterable[Duty], gap: TimeSpan) -> list[str]:
    """Who of the roster has no duty at any time of a gap."""
    people: dict[str, bool] = {}
    for d in duties:
        meets = d.span.start.real < gap.end.real and gap.start.real < d.span.end.real
        people[d.person] = people.get(d.person, False) or meets
    return [p for p, busy in people.items() if not busy]


def _uncovered(
    nights: Nights, duties: tuple[Duty, ...], what: str, counts: Callable[[Duty], bool], into: _Gaps
) -> None:
    counted_in = by_night(d for d in duties if counts(d))
    for night in nights.nights:
        own = counted_in[night.day]
        for on in night.gas:
            for gap in gaps(on, tuple(d.span for d in own)):
                into.add(where(own, gap), what, gap, night.day)


@rule(
    "operators.known_names",
    level="error",
    statement="Shifts and briefing name what is described, and an end that can be so",
    source=CHOICE,
    needs=(PEOPLE, EFFECTS, SHOW, PLACES),
    reads=("operators",),
)
def known_names(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    people, effects = {p.tag: p for p in ctx[PEOPLE]}, {e.tag: e for e in ctx[EFFECTS]}
    places, nights = ctx[PLACES], {d.isoformat(): d for d in ctx[SHOW].nights}

    def look(name: str, known: Mapping[str, object], at: str, what: str, root: str) -> Iterator[Trouble]:
        if name not in known:
            near = difflib.get_close_matches(name, known, 1, 0.6)
            words = f"did you mean {near[0]}? " if near else ""
            words += f"known under {root} {', '.join(known)}" if known else f"describe it under {root}"
            why = "a duty counts only for what is described"
            yield Trouble(at, f"{name!r} is not among the {what}", words, why)

    shifts = operators.child("shifts").children()
    for _, s in shifts:
        yield from look(s.text("person"), people, s.here("person"), "people", "people:")
        for i, tag in enumerate(s.texts("effects")):
            yield from look(tag, effects, s.here("effects", i), "effects", "effects:")
        if s.has("station"):
            yield from look(s.text("station"), places, s.here("station"), "places", "places:")
        for i, day in enumerate(s.texts("nights")):
            yield from look(day, nights, s.here("nights", i), "nights of the event", "event: dates:")
        yield from _breaks(s)
        for who, off in s.child("breaks").children():
            yield from look(who, people, off.at, "people", "people:")
        if s.text("from") == s.text("to"):
            yield Trouble(
                s.here("to"),
                f"the shift begins and ends at {s.text('from')}: it would last 24 h",
                "the time at which it ends",
                "a whole day covers every gap",
            )
    if operators.has("briefing"):
        briefing = operators.child("briefing")
        yield from look(briefing.text("by"), people, briefing.here("by"), "people", "people:")
    return passed(counted(len(shifts), "shift"))


def _breaks(shift: View) -> Iterator[Trouble]:
    """A break lies within its shift and leaves some of it, and somebody else stands in."""

    def hours(view: View) -> TimeSpan:
        return span(date(2000, 1, 1), view.text("from"), view.text("to"), (None, None), None)

    whole, breaks = hours(shift), shift.child("breaks").children()
    why = "a post that is empty for a while is found only where its hours are known"
    for who, off in breaks:
        if not within(hours(off), whole):
            told = f"{off.text('from')} to {off.text('to')}, is not within the shift"
            yield Trouble(off.at, f"the break in which {who} stands in, {told}", "times within the shift", why)
        if who == shift.text("person"):
            yield Trouble(off.at, f"{who} stands in for themselves", "the tag of somebody else", why)
    if breaks and not gaps(whole, tuple(hours(off) for _, off in breaks)):
        yield Trouble(shift.here("breaks"), "nothing is left of the shift beside its breaks", "shorter breaks", why)


@rule(
    "operators.valves_attended",
    level="error",
    statement="With gas on there is a lead, and a valve operator for each effect",
    source=Citation(
        "texas-34-826",
        "a licensed operator is on site for the whole event; a valve operator for each effect is common practice",
        "read",
    ),
    needs=(NIGHTS, DUTIES, EFFECTS, PEOPLE),
    reads=("operators",),
)
def valves_attended(ctx: Context) -> Verdict:
    nights, duties, people, effects = ctx[NIGHTS], ctx[DUTIES], ctx[PEOPLE], ctx[EFFECTS]
    if people and effects and not len(ctx.spec("operators")) and named_lead(people) is None:
        return found(
            [
                Trouble(
                    people[0].at,
                    "no one person is named as the lead operator, and no roster says who leads",
                    "role: lead operator for one of them, or a roster (operators:)",
                    "who says go, and whom everybody asks, is known before gas is let in",
                    "warning",
                )
            ],
            counted(len(people), "person"),
        )
    if stop := unknown(ctx, nights):
        return stop
    made = _Gaps(duties)
    _uncovered(nights, duties, "no lead operator is on duty", lambda d: d.role == "lead", made)
    for effect in effects:

        def works(duty: Duty, tag: str = effect.tag) -> bool:
            return duty.role == "valve" and (not duty.effects or tag in duty.effects)

        _uncovered(nights, duties, f"no valve operator is on duty for the effect {effect.tag}", works, made)
    return found(
        made.troubles("a shift that covers it", "somebody has to be able to stop each flame at once"),
        f"{counted(len(nights.nights), 'night')}, from start-up to the end of shutdown{by_clock(nights)}",
    )


@rule(
    "operators.watched",
    level="warning",
    statement="With gas on somebody watches the fuel, the public (named for no effect), and each effect that may burst",
    source=PRACTICE,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
)
def watched(ctx: Context) -> Verdict:
    nights, duties = ctx[NIGHTS], ctx[DUTIES]
    if stop := unknown(ctx, nights):
        return stop
    made = _Gaps(duties)
    _uncovered(nights, duties, "nobody is on fuel watch", lambda d: d.role == "fuel_watch", made)
    crowd = "no spotter watches the public (one named for no effect)"
    _uncovered(nights, duties, crowd, lambda d: d.role == "spotter" and not d.effects, made)
    spotting = by_night(d for d in duties if d.role == "spotter")
    for night in nights.nights:
        for effect, span_ in night.bursts:
            own = [d for d in spotting[night.day] if effect in d.effects]
            for gap in gaps(span_, tuple(d.span for d in own)):
                made.add(where(own, gap), f"no spotter is named for the bursts of {effect}", gap, night.day)
    return found(
        made.troubles(
            "a shift that covers it", "the valve operator looks at the flame, not at the cylinders or the crowd"
        ),
        f"{counted(len(nights.nights), 'night')}, from start-up to the end of shutdown{by_clock(nights)}",
    )


def short_of(need: TimeSpan, duties: tuple[Duty, ...], least: float) -> list[TimeSpan]:
    """Parts of `need` with at least one person, but fewer than `least`."""
    marks = {need.start.real: need.start, need.end.real: need.end}
    for duty in duties:
        for at in (duty.span.start, duty.span.end):
            if need.start.real < at.real < need.end.real:
                marks[at.real] = at
    made: list[TimeSpan] = []
    for start, end in itertools.pairwise(marks[k] for k in sorted(marks)):
        there = {d.person for d in duties if d.span.start.real <= start.real and d.span.end.real >= end.real}
        if 0 < len(there) < least:
            if made and made[-1].end == start:
                made[-1] = TimeSpan(made[-1].start, end)
            else:
                made.append(TimeSpan(start, end))
    return made


@rule(
    "operators.two_people",
    level="error",
    statement="At least two people are on duty while gas is on",
    source=PRACTICE,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
    limits=("operators.crew",),
)
def two_people(ctx: Context) -> Verdict:
    nights, duties = ctx[NIGHTS], ctx[DUTIES]
    if stop := unknown(ctx, nights):
        return stop
    least = ctx.limit("operators.crew").si
    made, on_duty = _Gaps(duties), by_night(duties)
    for night in nights.nights:
        own = tuple(on_duty[night.day])
        for gap in (g for on in night.gas for g in short_of(on, own, least)):
            who = next(d for d in own if d.span.start.real <= gap.start.real < d.span.end.real)
            at_work = tuple(d for d in own if d.role != "fire_watch")
            what = f"fewer than {least:g} people are on duty (only {who.person})"
            made.add(where(at_work, gap), what, gap, night.day)
    return found(
        made.troubles(f"at least {least:g} people", "one who is hurt cannot close the cylinder"),
        f"{counted(len(nights.nights), 'night')}{by_clock(nights)}",
    )


def _at_one_time(duties: Sequence[Duty]) -> list[tuple[Duty, Duty]]:
    """Each two of them of which one begins before the other has ended, in the order given."""
    met: list[tuple[int, int]] = []
    on: list[int] = []
    for i in sorted(range(len(duties)), key=lambda i: duties[i].span.start.real):
        on = [k for k in on if duties[k].span.end.real > duties[i].span.start.real]
        met += [(min(i, k), max(i, k)) for k in on if duties[i].span.end.real > duties[k].span.start.real]
        on.append(i)
    return [(duties[i], duties[k]) for i, k in sorted(met)]


def _most_at_once(duties: Sequence[Duty]) -> tuple[int, Duty]:
    """The most of them at one time, and the one that begins then."""
    ends: list[datetime] = []
    most, last = 0, duties[0]
    for duty in sorted(duties, key=lambda d: d.span.start.real):
        while ends and ends[0] <= duty.span.start.real:
            heapq.heappop(ends)
        heapq.heappush(ends, duty.span.end.real)
        if len(ends) > most:
            most, last = len(ends), duty
    return most, last


@rule(
    "operators.one_place",
    level="error",
    statement="Nobody is at two places at once; a fire watch does nothing else",
    source=Citation("osha-1915-504", "a fire watch has no other duties; for flame effects by analogy", "read"),
    needs=(DUTIES,),
    reads=("operators",),
)
def one_place(ctx: Context) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    duties = ctx[DUTIES]
    clashes: dict[tuple[str, str, str], tuple[Duty, Duty, list[date]]] = {}
    own: dict[str, list[Duty]] = defaultdict(list)
    for duty in duties:
        own[duty.person].append(duty)
    crowded = {who: worst for who, of in own.items() if (worst := _most_at_once(of))[0] > MOST_AT_ONCE}
    for who, (count, at_once) in crowded.items():
        yield Trouble(
            join(at_once.at, "person"),
            f"{who} has {count:,} shifts at {clock(at_once.span.start.wall)} on the night of "
            f"{listed([at_once.night])}; no two of so many are compared",
            f"at most {MOST_AT_ONCE} at one time",
            "nobody can be in two places",
        )
    for one, other in itertools.chain.from_iterable(_at_one_time(of) for who, of in own.items() if who not in crowded):
        if one.shift == other.shift:
            continue
        together = one.station and one.station == other.station and "fire_watch" not in (one.role, other.role)
        if not together:
            key = (one.person, *sorted((one.shift, other.shift)))
            clashes.setdefault((key[0], key[1], key[2]), (one, other, []))[2].append(other.night)
    for one, other, nights in clashes.values():
        begins = max(one.span.start, other.span.start, key=lambda m: m.real)
        watch = "fire_watch" in (one.role, other.role)
        yield Trouble(
            join(other.at, "person"),
            f"{one.person} is {ROLE_NAMES[one.role]} ({one.shift}) and {ROLE_NAMES[other.role]} "
            f"({other.shift}) at {clock(begins.wall)} on the night of {listed(nights)}",
            "another person for one of them"
            if watch or (one.station and other.station)
            else "another person for one of them, or one station: for both if they stand side by side",
            "a fire watch does nothing else" if watch else "nobody can be in two places",
        )
    return passed(f"the hours of {len(own)} people")


@rule(
    "operators.fire_watch",
    level="error",
    statement="A fire watch stays after the last flame of each night",
    source=Citation(
        "osha-1915-504",
        "at least 30 min after hot work; for flame effects by analogy, as no source of their own was found",
        "read",
    ),
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
    limits=("operators.fire_watch",),
)
def fire_watch(ctx: Context) -> Verdict:
    nights, duties = ctx[NIGHTS], ctx[DUTIES]
    if stop := unknown(ctx, nights):
        return stop
    lasts, zone = ctx.limit("operators.fire_watch"), zone_named(nights.zone)
    made, watches = _Gaps(duties), by_night(d for d in duties if d.role == "fire_watch")
    for night in nights.nights:
        own = watches[night.day]
        for n, on in enumerate(night.gas, 1):
            until = later(on.end, lasts.si, zone)
            if n < len(night.gas):  # in a pause, until gas is let in again
                until = min(until, night.gas[n].start, key=lambda m: m.real)
            for gap in gaps(TimeSpan(on.end, until), tuple(d.span for d in own)):
                made.add(where(own, gap), "nobody is on fire watch", gap, night.day)
    return found(
        made.troubles(
            f"a fire watch for {lasts.text} after the last flame",
            "what smolders is seen only when somebody stays and looks",
        ),
        f"{counted(len(nights.nights), 'night')}, {lasts.text} after the last flame{by_clock(nights)}",
    )


@rule(
    "operators.watch_alone",
    level="note",
    statement="A fire watch is not alone at the site",
    source=PRACTICE,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
)
def watch_alone(ctx: Context) -> Verdict:
    nights, duties = ctx[NIGHTS], ctx[DUTIES]
    if stop := unknown(ctx, nights):
        return stop
    made, on_duty = _Gaps(duties), by_night(duties)
    for night in nights.nights:
        own = tuple(on_duty[night.day])
        ends = (d.span.end for d in own if d.role == "fire_watch")
        until = max(ends, default=night.ends, key=lambda m: m.real)
        for gap in short_of(TimeSpan(night.ends, until), own, 2) if until.real > night.ends.real else ():
            made.add(where(own, gap), "one person alone is at the site", gap, night.day)
    return found(
        made.troubles("a second person until the fire watch ends", "one who is hurt or faints is found by nobody"),
        f"{counted(len(nights.nights), 'night')}, to the end of the fire watch{by_clock(nights)}",
    )


@rule(
    "operators.clock_change",
    level="error",
    statement="No time named is one that a clock change skips or repeats",
    source=CHOICE,
    needs=(NIGHTS, DUTIES, SHOW),
    reads=("operators", "event"),
)
def clock_change(ctx: Context) -> Judging:
    nights, event = ctx[NIGHTS], ctx.spec("event")
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    named = event.text_or("time_zone")
    if not named:
        return not_checked("no event: time_zone: is given, so a clock change is not checked", event.here("time_zone"))
    zone = zone_named(nights.zone)
    if zone is None:
        return found(
            (
                Trouble(
                    event.here("time_zone"),
                    f"{named!r} is not in the time zone database",
                    "a name such as America/Denver",
                    "without it durations go by the wall clock, and a clock change is not checked",
                ),
            )
        )
    times: dict[tuple[str, str], str] = {}  # place and time of day -> fault

    def look(at: str, wall: datetime, fault: str) -> None:
        if fault:
            times.setdefault((at, wall.strftime("%H:%M on %Y-%m-%d")), fault)

    for duty in ctx[DUTIES]:
        for key, m in (("from", duty.span.start), ("to", duty.span.end)):
            look(join(duty.at, key), m.wall, clock_fault(m.wall, zone))
    hours = (nights.opens, nights.closes)
    show = ctx[SHOW]
    for night, scene in itertools.product(show.nights, show.scenes):
        if scene.starts:  # its end is counted from there, and is never unclear
            wall = span(night, scene.starts, scene.starts, hours, zone).start.wall
            look(join(scene.at, "starts"), wall, clock_fault(wall, zone))
    for night in show.nights if show.opens else ():
        open_hours = span(night, show.opens, show.closes, hours, zone)
        for key, m in (("from", open_hours.start), ("to", open_hours.end)):
            look(event.here("hours", key), m.wall, clock_fault(m.wall, zone))
    yield from [
        Trouble(
            at,
            f"clocks in {named} skip {when}"
            if fault == "skipped"
            else f"clocks in {named} show {when.replace(' on ', ' twice on ')}",
            "a time outside the hour of the change",
            "people would come an hour apart",
        )
        for (at, when), fault in times.items()
    ]
    return passed(f"the clock of {named} over {counted(len(show.nights), 'night')}")


__all__ = ["NO_ROSTER", "SHIFTS", "by_clock", "short_of", "unknown", "where"]
