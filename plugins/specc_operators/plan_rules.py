"""Rules on what the crew agrees on beforehand: briefing, limits of weather and crowd, signals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Cure,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    Worked,
    distance,
    judged,
    not_checked,
    rule,
    show,
    stated,
)
from specc.kinds.geometry import Point, corners
from specc.kinds.people import PEOPLE
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import STEPS
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import View, join
from specc.model.wording import counted, says, several
from specc_operators.clock import clock, is_morning_after, later, listed, moment, read_time, zone_named
from specc_operators.duty_rules import NO_ROSTER, unknown
from specc_operators.hours import DUTIES, NIGHTS, ROLE_NAMES, Duty, Nights, by_night
from specc_operators.rows import in_the_watch, second_of
from specc_operators.watches import all_alone

WIND = Limit(
    "operators.wind",
    "20 mph",
    "speed",
    "min",
    "wind that stops every flame, by a city's rule for outdoor fires",
    Citation("city-wind-rule", "305.6: no outdoor fires of any fuel at sustained wind over 20 mph", "reprint"),
)

# The topics that each go and no-go list has, with the key of its limit.
TOPICS = (("wind", "above"), ("visibility", "below"), ("crowd", "when"))
# What has to be said beside each limit, or nobody can hold it that night.
SAYS = (("wind", ("at", "instrument", "how")), ("visibility", ("mark", "from", "how")), ("crowd", ("line", "how")))
# What is asked for on each day, of somebody off the site, and what is watched for: who does, and whom they ask.
ON_THE_DAY = (
    ("burn_ban", "burn ban", ("by", "of")),
    ("red_flag", "red-flag day", ("by", "of")),
    ("lightning", "lightning", ("by",)),
)
# Where each is measured or seen, and the keys that name places there.
MARKS = (("wind", ("at", "read_at")), ("visibility", ("mark", "from")), ("crowd", ("line",)))
# What measures the wind, as the crew reads it in the list of go or no go.
INSTRUMENTS = {
    "vane": "vane anemometer",
    "cup": "cup anemometer",
    "ultrasonic": "ultrasonic anemometer",
    "hot_wire": "hot-wire anemometer",
    "forecast": "a forecast",
    "by_eye": "by eye",
}
# What the wind may be taken from that is no measurement where the flames are.
UNMEASURED = {"forecast": "taken from a forecast", "by_eye": "judged by eye"}


@rule(
    "operators.briefing",
    level="warning",
    statement="The crew is briefed on each night before gas is let in",
    source=Citation("frederick-flame-effects", "performers and crew are told of the hazard before the show", "read"),
    needs=(NIGHTS,),
    reads=("operators",),
)
def briefing(ctx: Context) -> Judging:
    operators, nights = ctx.spec("operators"), ctx[NIGHTS]
    if stop := unknown(ctx, nights):
        return stop
    if not operators.has("briefing"):
        yield Trouble(
            operators.at,
            "no briefing is planned",
            "briefing: with at: and by:, before gas is let in",
            "signals and limits are agreed on before they are needed",
        )
        return passed("")
    own, zone, late = operators.child("briefing"), zone_named(nights.zone), []
    at, lasts = read_time(own.text("at")), own.quantity_or_none("lasts")
    for night in nights.nights:
        day = date.fromordinal(night.day.toordinal() + is_morning_after(at, nights.opens, nights.closes))
        begins = moment(day, at, zone)
        over = later(begins, lasts.si, zone) if lasts else begins
        if begins.real >= night.starts.real or over.real > night.starts.real:
            late.append(night.day)
    if late:
        yield Trouble(
            own.here("at"),
            f"the briefing is at {clock(moment(late[0], at, None).wall)}{f' for {lasts.text}' if lasts else ''}, and "
            f"gas is on from {clock(nights.nights[0].starts.wall)} on the night of {listed(late)}",
            "a time before gas is let in",
            "whoever handles gas has to know the plan first",
        )
    return passed(f"{counted(len(nights.nights), 'night')}, led by {own.text('by')}")


@rule(
    "operators.go_no_go",
    level="warning",
    statement="Wind, visibility and crowd have a limit, whose it is and how it is seen; marks are on the plan, wind is "
    "read off an instrument; burn ban, red-flag day and lightning are asked about; nobody does it all alone",
    source=PRACTICE,
    needs=(PLACES,),
    wants=(DUTIES,),
    reads=("operators", "people"),
)
def go_no_go(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    limits = operators.child("go_no_go")
    for topic, key in TOPICS:
        if not limits.has(topic):
            yield Trouble(
                limits.at if len(limits) else operators.at,
                f"nothing says at what {topic} the show stops",
                f"go_no_go: {topic}: with {key}: and who:",
                "a limit that is agreed on beforehand is easier to keep",
            )
    for topic, keys in MARKS:
        own = limits.child(topic)
        for key in keys:
            if own.has(key) and own.text(key) not in ctx[PLACES]:
                yield Trouble(
                    own.here(key),
                    f"{own.text(key)!r} is not among the places",
                    "describe it under places:",
                    "whoever looks there has to find it",
                )
    yield from [
        Unchecked(
            f"not stated of {topic}: {', '.join(f'{key}:' for key in missing)}",
            *(limits.here(topic, key) for key in missing),
        )
        for topic, keys in SAYS
        if limits.has(topic) and (missing := [k for k in keys if not says(limits.child(topic).text_or(k))])
    ]
    duties = ctx.get(DUTIES)
    yield from _wind_read(limits.child("wind"), duties or ())
    yield from _on_the_day(limits, {tag for tag, _ in ctx.spec("people").children()}, duties or ())
    yield from all_alone(limits, duties or ())
    sight = limits.child("visibility")
    apart = seen_from(ctx[PLACES], sight)
    if apart is None and sight.has("mark"):
        said = "how far it is to the mark for visibility is not known"
        ends = ((key, sight.text_or(key)) for key in ("mark", "from"))
        yield Unchecked(said, *(join("/places", place, "at") if place else sight.here(key) for key, place in ends))
    if apart is not None and apart.si < sight.quantity("below").si * (1 - 1e-9):
        far = show(apart.si, "length", "ft", 3)
        yield Trouble(
            sight.here("mark"),
            f"{sight.text('mark')} is {far} from {sight.text('from')}, and the show stops when one sees less than "
            f"{sight.quantity('below').text}",
            "a mark at least as far as the limit",
            "a nearer mark is still seen when the air is too thick",
        )
    return passed(", ".join(topic for topic, _ in TOPICS))


def how_measured(wind: View) -> str:
    """With what the wind of a limit is measured, and how."""
    told = [INSTRUMENTS[wind.text("instrument")]] if wind.has("instrument") else []
    return ", ".join([*told, *([wind.text("how")] if wind.has("how") else [])])


def _on_the_day(limits: View, people: set[str], duties: Sequence[Duty]) -> Iterator[Trouble | Unchecked]:
    """Who asks whom about a burn ban and a red-flag day, and who watches for lightning while gas is on."""
    on_duty = {duty.person for duty in duties if duty.role != "fire_watch"}
    for key, words, asked in ON_THE_DAY:
        told = limits.child(key)
        if missing := [k for k in asked if not says(told.text_or(k))]:
            yield Unchecked(
                f"not stated of {words}: {', '.join(f'{k}:' for k in missing)}",
                *(limits.here(key, k) for k in missing),
            )
        who = told.text_or("by")
        if says(who) and who not in people:
            yield Trouble(
                told.here("by"),
                f"{who!r} is not among the people",
                "the tag of one of them",
                "what nobody is to ask is asked by nobody",
            )
        elif says(who) and key == "lightning" and on_duty and who not in on_duty:
            yield Trouble(
                told.here("by"),
                f"{who} watches for lightning, and is on no shift while gas is on",
                "somebody on the roster",
                "thunder that nobody listens for stops nothing",
            )


def _wind_read(wind: View, duties: Sequence[Duty]) -> Iterator[Trouble]:
    """A wind that nothing measures, or that nobody who is posted can read."""
    if (told := UNMEASURED.get(wind.text_or("instrument"))) is not None:
        yield Trouble(
            wind.here("instrument"),
            f"the wind that stops the show is {told}: nothing measures it where the flames are",
            "instrument: vane, cup, ultrasonic or hot_wire, read at a post",
            "a gust over the flames stands in no forecast, and nobody sees the limit in miles per hour",
        )
    posts = {duty.station for duty in duties if duty.station and duty.role != "fire_watch"}
    key = "read_at" if wind.has("read_at") else "at"
    if posts and wind.has(key) and wind.text(key) not in posts:
        yield Trouble(
            wind.here(key),
            f"the wind is read at {wind.text(key)}, and nobody is posted there",
            "read_at: the post of somebody on the roster",
            "a limit that nobody reads during the show stops nothing",
        )


def seen_from(places: Mapping[str, Spot], sight: View) -> Worked | None:
    """How far the mark for visibility is, where it stands on the plan with whoever looks: from where they stand."""
    mark, post = places.get(sight.text_or("mark")), places.get(sight.text_or("from"))
    if not (mark and mark.shape and post and post.shape):
        return None
    own = corners(post.shape)[0]
    if post.point:
        own = Point(*(Quantity(v, "length", f"{v:g} m") for v in post.point[:2]))
    return distance(mark.shape, own, "the mark for visibility")


def _wind(operators: View) -> View | None:
    limits = operators.child("go_no_go")
    return limits.child("wind") if limits.has("wind") else None


@rule(
    "operators.wind_limit",
    level="error",
    statement="The show stops at no more wind than its figures are computed for",
    source=CHOICE,
    reads=("operators", "weather"),
    limits=("operators.wind",),
)
def wind_limit(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    own = _wind(operators)
    if own is None:
        return not_checked("no wind that stops the show is stated", "/operators/go_no_go/wind")
    above, most = own.quantity("above"), ctx.limit(WIND.key)
    computed = ctx.spec("weather").child("wind").quantity_or_none("stop")
    if computed is not None and above.si > computed.si * (1 + 1e-9):
        yield Trouble(
            own.here("above"),
            f"the show stops above {above.text}, and weather: wind: stop: is {computed.text}",
            "or figures for more wind",
            "above that wind nothing in this packet has been computed",
            cure=Cure(f"{computed.text} would pass", ((own.here("above"), computed.text),)),
        )
    elif above.si > most.si * (1 + 1e-9):
        yield Trouble(
            own.here("above"),
            f"the show stops above {above.text} only",
            "or the authority's word for more",
            "a city's rule for outdoor fires of any fuel stops there; none was found for flame effects",
            "warning",
            Cure(f"{most.text} would pass", ((own.here("above"), most.text),)),
        )
    if computed is None:
        yield Unchecked("weather: wind: stop: is not stated, so there is nothing to compare with", "/weather/wind/stop")
    return passed(above.text)


@rule(
    "operators.signals",
    level="warning",
    statement="A stop signal is agreed on",
    source=Citation(
        "southeast-regional-event-flame-effects",
        "spotters and operator keep in touch; which signals is common practice",
        "read",
    ),
    reads=("operators",),
)
def signals(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    listed_ = operators.child("signals")
    yield from () if listed_.has("stop") else (
        Trouble(
            listed_.at if len(listed_) else operators.at,
            "no signal is called stop",
            "signals: stop: with given: and means:",
            "anybody who sees danger has to be able to stop the flame",
        ),
    )  # fmt: skip
    return passed(counted(len(listed_), "signal"))


@rule(
    "operators.role_duties",
    level="warning",
    statement="Each role on the roster says what it asks of a person",
    source=PRACTICE,
    needs=(DUTIES,),
    reads=("operators",),
)
def role_duties(ctx: Context) -> Verdict:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    roles = list(dict.fromkeys(d.role for d in ctx[DUTIES]))
    told = operators.child("roles")
    silent = [r for r in roles if not (told.has(r) and told.child(r).has("duties"))]
    said = f"nothing says what is asked of the {several([ROLE_NAMES.get(r, r) for r in silent])} (roles: duties:)"
    unsaid = [Unchecked(said, *(told.here(r, "duties") for r in silent))] if silent else []
    return judged((), unsaid, counted(len(roles), "role"))


# What a call for help needs, and where it is written.
_CALL = {
    "call": "whom to call, and how",
    "caller": "who calls",
    "address": "the address as it is said on the telephone",
    "access": "where engines come in",
    "assembly": "where the crew gathers and is counted",
}


def _jobs(told: View, nights: Nights, duties: tuple[Duty, ...], people: set[str]) -> Iterator[Trouble]:
    """Whoever calls and whoever meets help is there while gas is on, and no spotter, who moves people away. Valves are
    closed in seconds, so whoever closes them calls after."""
    meets = told.text_or("meets")
    callers = [(k, told.text(k)) for k in ("caller", "second_caller") if told.has(k)]
    said: set[tuple[str, str]] = set()
    on_duty = by_night(duties)
    for night in nights.nights:
        own = on_duty[night.day]
        marks = sorted({m.real: m for d in own for m in (d.span.start, d.span.end)}.items())
        moments = [night.starts, *(m for at, m in marks if night.starts.real < at < night.ends.real)]
        for m in moments if callers else ():
            there = [d for d in own if d.span.start.real <= m.real < d.span.end.real]
            present = {p for d in there for p in d.does_for}
            spotters = {d.person for d in there if d.role == "spotter"}
            key, caller = next(((k, p) for k, p in callers if p in present), callers[0])
            wrong = [(key, f"{caller} calls for help", caller)]
            wrong += [("meets", f"{meets} goes to meet help", meets)] if meets else []
            for at, job, person in wrong:
                why = (
                    "is not on duty" if person not in present
                    else "is a spotter, who moves people away" if person in spotters
                    else "calls for help too" if at == "meets" and person == caller
                    else ""
                )  # fmt: skip
                if why and person in people and (at, why) not in said:
                    said.add((at, why))
                    yield Trouble(
                        told.here(at),
                        f"{job}, and {why} at {clock(m.wall)} on the night of {night.day.isoformat()}",
                        "somebody on duty then who has no other job once the valves are closed",
                        "one person does one thing at a time, and the first minutes are short",
                    )


def _calls_in_the_watch(told: View, nights: Nights, duties: tuple[Duty, ...]) -> Iterator[Trouble]:
    """What smolders is found when the gas is off: one of those who call is there until the fire watch ends."""
    called, on_duty = in_the_watch(told), by_night(duties)
    for night in nights.nights if called else ():
        own = on_duty[night.day]
        watch = [d.span.end for d in own if d.role == "fire_watch"]
        last = max(watch, key=lambda m: m.real, default=night.ends)
        marks = sorted({m.real: m for d in own for m in (d.span.start, d.span.end)}.items())
        for m in (night.ends, *(m for at, m in marks if night.ends.real < at < last.real)):
            there = [d for d in own if d.span.start.real <= m.real < d.span.end.real]
            watched = any(d.role == "fire_watch" for d in there)  # where not, another rule says so
            if watched and not {d.person for d in there} & {*called}:
                yield Trouble(
                    told.here("caller"),
                    f"nobody who calls for help is on duty at {clock(m.wall)} on the night of {night.day.isoformat()}, "
                    f"and the fire watch lasts until {clock(last.wall)}",
                    "watch_caller: with somebody on the fire watch until it ends",
                    "what smolders is found in the watch, and somebody has to call then",
                )
                return


@rule(
    "operators.emergency_plan",
    level="warning",
    statement="Call, address, way in and where the crew gathers are stated; who calls, to the end of the fire watch, "
    "and who meets help are there, and no spotters",
    source=Citation("ohio-flame-effects-plan", "emergency procedures; what a call needs is common practice", "read"),
    needs=(DUTIES, NIGHTS, PEOPLE),
    reads=("operators",),
)
def emergency_plan(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    told = operators.child("emergency")
    people = {d.person for d in ctx[DUTIES]}
    yield from [
        Trouble(
            told.here(key),
            f"{told.text(key)!r}, who calls for help, is on no shift",
            f"one of: {', '.join(sorted(people))}",
            "whoever is not there calls nobody",
        )
        for key in ("caller", "second_caller", "watch_caller", "meets")
        if told.has(key) and told.text(key) not in people
    ]
    yield from _jobs(told, ctx[NIGHTS], ctx[DUTIES], people)
    if not unknown(ctx, ctx[NIGHTS]) and {*in_the_watch(told)} <= people:
        yield from _calls_in_the_watch(told, ctx[NIGHTS], ctx[DUTIES])
    missing = [key for key in _CALL if not says(told.text_or(key))]
    said = f"not stated: {'; '.join(_CALL[key] for key in missing)} (emergency:)"
    yield from [Unchecked(said, *map(told.here, missing))] if missing else []
    leading = {d.person for d in ctx[DUTIES] if d.role == "lead"}
    lead_phones = [p.phone for p in ctx[PEOPLE] if p.tag in leading]
    if not says(operators.text_or("phone")) and not any(lead_phones):
        said = "by which telephone the lead is reached is not stated (phone:, or the lead's own in the private file)"
        yield Unchecked(said, operators.here("phone"))
    leads = tuple(dict.fromkeys(d.person for d in ctx[DUTIES] if d.role == "lead" and not d.stands_in))
    if leads and not second_of(leads, told):
        said = "who takes the lead's key, gas detector and telephone when the lead is silent or hurt is not stated"
        yield Unchecked(f"{said} (second_caller:)", told.here("second_caller"))
    return passed("the call, its words and the meeting place, as stated")


@rule(
    "operators.equipment",
    level="note",
    statement="A gas detector, who carries it, lamps without mains and how a far gauge is read are stated",
    source=PRACTICE,
    needs=(DUTIES, NIGHTS, STEPS),
    wants=(NETWORK, PLACES),
    reads=("operators",),
)
def equipment(ctx: Context) -> Judging:
    """What the steps ask for: the nose alone does not tell that gas has blown away, and valves are shut in the dark."""
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    told = operators.child("equipment")
    wanted = {"gas_detector": "a gas detector for propane", "lamps": "lamps at the valves"}
    wanted["detector_by"] = "who carries the detector"
    yield from _carried(told, ctx[NIGHTS], ctx[DUTIES])
    yield from _read_afar(ctx)
    missing = [key for key in wanted if not says(told.text_or(key))]
    if missing:
        said = f"not stated: {several([wanted[key] for key in missing])} (equipment:)"
        yield Unchecked(said, *map(told.here, missing))
    return stated("detector and lamps, as the makers say")


def _read_afar(ctx: Context) -> Iterator[Unchecked]:
    """Before each burst a gauge is read in the dark, and nobody stands beside it: from where, and by what."""
    net, places = ctx.get(NETWORK), ctx.get(PLACES) or {}
    read = {a.tag: a for s in ctx[STEPS] if s.procedure == "firing" for a in s.acts if a.action == "check"}
    for gauge in net.of_kind("gauge") if net else ():
        if gauge.tag not in read or says(gauge.spec.text_or("read_by")):
            continue
        here = places.get(read[gauge.tag].where)
        its = places.get((*gauge.places, "")[0])
        far = distance(here.shape, its.shape) if here and its and here.shape and its.shape else None
        off = f", {show(far.si, 'length', 'ft')} off," if far else ""
        said = f"how {gauge.tag} is read by night from {read[gauge.tag].where or 'the post'}{off} before each burst"
        yield Unchecked(f"{said} is not stated (read_by:)", join(gauge.at, "read_by"))


def _carried(told: View, nights: Nights, duties: tuple[Duty, ...]) -> Iterator[Trouble]:
    """One detector is with one person, who goes where a step asks for it: on duty from the first gas to the last."""
    person, on_duty = told.text_or("detector_by"), by_night(duties)
    for night in nights.nights if says(person) else ():
        own = on_duty[night.day]
        marks = sorted({m.real: m for d in own for m in (d.span.start, d.span.end)}.items())
        for m in (night.starts, *(m for at, m in marks if night.starts.real < at < night.ends.real)):
            there = [d for d in own if person in d.does_for and d.span.start.real <= m.real < d.span.end.real]
            why = "is not on duty" if not there else "looks at the public" if there[0].role == "spotter" else ""
            if why:
                yield Trouble(
                    told.here("detector_by"),
                    f"{person} carries the gas detector, and {why} at {clock(m.wall)} on the night of "
                    f"{night.day.isoformat()}",
                    "somebody on duty while gas is on, and no spotter",
                    "the steps send the detector to the outlets, and nobody else has one",
                )
                return
