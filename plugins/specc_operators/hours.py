"""When gas is on each night, and who is on duty when, as the spec says both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, time
from typing import NamedTuple

from specc import PRACTICE, Context, Key, Limit, Unchecked, gather, value
from specc.kinds.people import ROSTER, OnDuty, Person
from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS, SHOW
from specc.kinds.targets import TARGETS, Target
from specc.model.view import Unreadable, join
from specc_operators.clock import (
    Moment,
    TimeSpan,
    clock,
    gaps,
    is_morning_after,
    later,
    moment,
    read_time,
    span,
    zone_named,
)

EMERGENCY_PLACES = {"meet": "where help is met", "assembly": "where the crew gathers"}
ROLE_NAMES = {
    "lead": "lead operator",
    "valve": "valve operator",
    "fuel_watch": "fuel watch",
    "spotter": "spotter",
    "fire_watch": "fire watch",
}


def named_lead(people: Sequence[Person]) -> Person | None:
    """Who is named as the lead where no roster says it: the one person whose role, in the maker's words, begins with
    the word lead, as the schema says."""
    leads = [p for p in people if p.role.lower().split()[:1] == ["lead"]]
    return leads[0] if len(leads) == 1 else None


START_UP = Limit(
    "operators.start_up",
    "30 min",
    "duration",
    "max",
    "gas is let in so long before a scene",
    PRACTICE,
)
SHUT_DOWN = Limit(
    "operators.shut_down",
    "15 min",
    "duration",
    "max",
    "gas is off so long after a scene",
    PRACTICE,
)


BURN_OFF = Limit(
    "operators.burn_off",
    "5 min",
    "duration",
    "max",
    "what stands charged is burned off so long after a scene with bursts",
    PRACTICE,
)


class NightHours(NamedTuple):
    """A night of the event and the hours its gas is on, start-up and shutdown included: one span, or one on either side
    of each pause in which gas is off."""

    day: date
    gas: tuple[TimeSpan, ...]
    bursts: tuple[tuple[str, TimeSpan], ...] = ()  # when an effect may burst: its scenes, and what is burned off after

    @property
    def starts(self) -> Moment:
        return self.gas[0].start

    @property
    def ends(self) -> Moment:
        return self.gas[-1].end


class Nights(NamedTuple):
    """`why` says why the gas hours are not known, and then there are no nights. `zone` is "" if none counts."""

    nights: tuple[NightHours, ...]
    why: str
    zone: str
    opens: time | None
    closes: time | None


class Duty(NamedTuple):
    """A shift on one night, or what breaks leave of it; or such a break, of whoever stands in for somebody
    (`stands_in`) and does what the steps and the plan for emergencies say of them."""

    shift: str
    person: str
    role: str
    effects: tuple[str, ...]  # none: all of them
    station: str
    night: date
    span: TimeSpan
    at: str
    stands_in: str = ""

    @property
    def does_for(self) -> tuple[str, ...]:
        """Whose part is done as long as this duty lasts."""
        return (self.person, self.stands_in) if self.stands_in else (self.person,)


NIGHTS: Key[Nights] = Key("operators.nights", Nights)
DUTIES: Key[tuple[Duty, ...]] = Key("operators.duties", tuple)


def by_night(duties: Iterable[Duty]) -> Mapping[date, list[Duty]]:
    """The duties of each night, none where nobody has one: to look for them among all anew at each of hundreds of
    nights took minutes."""
    made: defaultdict[date, list[Duty]] = defaultdict(list)
    for duty in duties:
        made[duty.night].append(duty)
    return made


class _SceneSpan(NamedTuple):
    span: TimeSpan
    bursts: tuple[str, ...]
    gas_off: bool


def _together(scenes: Iterable[_SceneSpan]) -> list[list[_SceneSpan]]:
    """Scenes in order of time, parted where gas is off after one until the next begins, later than the one ends."""
    made: list[list[_SceneSpan]] = []
    for one in sorted(scenes, key=lambda s: s.span.start.real):
        ended = made and all(s.span.end.real < one.span.start.real for s in made[-1])
        if not made or (ended and max(made[-1], key=lambda s: s.span.end.real).gas_off):
            made.append([])
        made[-1].append(one)
    return made


@value(NIGHTS, needs=(SHOW, EFFECTS), reads=("event",), limits=(START_UP.key, SHUT_DOWN.key, BURN_OFF.key))
def nights(ctx: Context) -> Nights:
    """Gas counts as on from the start-up before the first scene to the end of the shutdown after the last, between
    scenes too: the lines stay under pressure, unless a scene says that gas is off after it. When a scene has no start,
    the event's hours count whole."""
    show, named = ctx[SHOW], ctx.spec("event").text_or("time_zone")
    zone = zone_named(named)
    opens = read_time(show.opens) if show.opens else None
    closes = read_time(show.closes) if show.closes else None
    before, after = ctx.limit(START_UP.key).si, ctx.limit(SHUT_DOWN.key).si
    rest = ctx.limit(BURN_OFF.key).si
    made, why = [], Unchecked("")
    if not ctx[EFFECTS] or not show.scenes:
        why = Unchecked("no effect burns in any scene", "/show/scenes" if ctx[EFFECTS] else "/effects")
    elif not show.opens and any(not s.starts for s in show.scenes):
        said = "neither the event's hours nor the start of each scene is stated"
        why = Unchecked(said, "/event/hours", *(join(s.at, "starts") for s in show.scenes if not s.starts))
    for day in show.nights if not why else ():
        spans = []
        for scene in show.scenes:
            if scene.starts:
                starts = read_time(scene.starts)
                late = is_morning_after(starts, opens, closes)
                begin = moment(date.fromordinal(day.toordinal() + late), starts, zone)
                burns = TimeSpan(begin, later(begin, scene.lasts.si, zone))
            else:
                burns = span(day, show.opens, show.closes, (opens, closes), zone)
            spans.append(_SceneSpan(burns, tuple(b.effect for b in scene.bursts), scene.gas_off_after))
        gas: list[TimeSpan] = []
        bursts: list[tuple[str, TimeSpan]] = []
        for group in _together(spans):
            ends = max((s.span.end for s in group), key=lambda m: m.real)
            off = later(ends, after, zone)
            one = TimeSpan(later(group[0].span.start, -before, zone), off)
            for effect in dict.fromkeys(e for s in group for e in s.bursts):
                # What is left is burned off in the shutdown.
                own = [s.span for s in group if effect in s.bursts]
                last = max(own, key=lambda t: t.end.real)
                kept = [
                    TimeSpan(t.start, later(t.end, rest, zone)) for t in own if t is not last or t.end.real < ends.real
                ]
                burned = TimeSpan(last.start if last.end.real == ends.real else ends, off)
                bursts += [(effect, t) for t in (*kept, burned)]
            if gas and one.start.real <= gas[-1].end.real:  # no time to shut it and start anew
                one = TimeSpan(gas.pop().start, off)
            gas.append(one)
        made.append(NightHours(day, tuple(gas), tuple(bursts)))
    return Nights(tuple(made), why, named if zone is not None else "", opens, closes)


@value(DUTIES, needs=(SHOW, NIGHTS), reads=("operators",))
def duties(ctx: Context) -> tuple[Duty, ...]:
    """Every shift on each of its nights. A shift's date that is no night of the event is left to its rule."""
    known = ctx[NIGHTS]
    zone, hours = zone_named(known.zone), (known.opens, known.closes)
    made: list[Duty] = []
    for tag, s in ctx.spec("operators").child("shifts").children():
        chosen = {date.fromisoformat(d) for d in s.texts("nights")}
        begins, ends, off = s.text("from"), s.text("to"), s.child("breaks").children()
        told = (tag, s.text("person"), s.text("role"), s.texts("effects"), s.text_or("station"))
        for day in ctx[SHOW].nights:
            if chosen and day not in chosen:
                continue
            whole = Duty(*told, day, span(day, begins, ends, hours, zone), s.at)
            breaks = [
                whole._replace(
                    person=who,
                    span=span(day, b.text("from"), b.text("to"), hours, zone),
                    at=b.at,
                    stands_in=whole.person,
                )
                for who, b in off
            ]
            made += _parted(whole, breaks) if breaks else [whole]
    return tuple(made)


def _parted(whole: Duty, breaks: Sequence[Duty]) -> list[Duty]:
    """A shift without its breaks, and who stands in; what is no break of it is left to its rule."""
    inner = [b for b in breaks if within(b.span, whole.span)]
    parts = [whole._replace(span=one) for one in gaps(whole.span, tuple(b.span for b in inner))]
    return [*parts, *inner] if parts else [whole]


def within(one: TimeSpan, whole: TimeSpan) -> bool:
    return whole.start.real <= one.start.real and one.end.real <= whole.end.real


@value(ROSTER, needs=(DUTIES,))
def roster(ctx: Context) -> tuple[OnDuty, ...]:
    """The shifts, for other plugins, by the clock on the wall."""
    return tuple(
        OnDuty(
            d.shift,
            d.person,
            d.role,
            d.effects,
            d.station,
            d.night,
            clock(d.span.start.wall),
            clock(d.span.end.wall),
            d.at,
        )
        for d in ctx[DUTIES]
    )


@gather(TARGETS, needs=(PLACES,), reads=("operators",))
def stations(ctx: Context) -> tuple[Target, ...]:
    """Where people of the roster stand while flames burn, and go in an emergency; a fire watch comes after them."""
    made: dict[str, Target] = {}
    for tag, s in ctx.spec("operators").child("shifts").children():
        with suppress(Unreadable):
            station = s.text_or("station")
            spot = ctx[PLACES].get(station)
            if spot and spot.shape and station not in made and s.text("role") != "fire_watch":
                what = f"the {ROLE_NAMES.get(s.text('role'), s.text('role'))} of shift {tag} at {station}"
                made[station] = Target(station, "operator", spot.shape, None, what, s.here("station"))
    emergency = ctx.spec("operators").child("emergency")
    go_there = []
    for key, what in EMERGENCY_PLACES.items():
        spot = ctx[PLACES].get(emergency.text_or(key))
        if spot and spot.shape:
            go_there.append(Target(spot.tag, "way_out", spot.shape, None, f"{spot.tag} ({what})", emergency.here(key)))
    return (*made.values(), *go_there)
