"""When gas is on each night, and who is on duty when, as the spec says both."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import date, time
from typing import NamedTuple

from specc import Context, Key, gather, value
from specc.kinds.people import ROSTER, OnDuty, Person
from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS, SHOW
from specc.kinds.targets import TARGETS, Target
from specc.model.view import Unreadable
from specc_operators.clock import TimeSpan, is_morning_after, later, moment, read_time, span, zone_named

ROLE_NAMES = {
    "lead": "lead operator",
    "valve": "valve operator",
    "fuel_watch": "fuel watch",
    "spotter": "spotter",
    "fire_watch": "fire watch",
}


def named_lead(people: Sequence[Person]) -> Person | None:
    """Who is named as the lead where no roster says it: the one person whose role begins so."""
    leads = [p for p in people if p.role.lower().startswith("lead")]
    return leads[0] if len(leads) == 1 else None


class NightHours(NamedTuple):
    """A night of the event and the hours its gas is on: from the first scene to the end of the last."""

    day: date
    gas: TimeSpan
    bursts: tuple[tuple[str, TimeSpan], ...] = ()  # scenes in which an effect may burst


class Nights(NamedTuple):
    """`why` says why the gas hours are not known, and then there are no nights. `zone` is "" if none counts."""

    nights: tuple[NightHours, ...]
    why: str
    zone: str
    opens: time | None
    closes: time | None


class Duty(NamedTuple):
    """A shift on one night."""

    shift: str
    person: str
    role: str
    effects: tuple[str, ...]  # none: all of them
    station: str
    night: date
    span: TimeSpan
    at: str


NIGHTS: Key[Nights] = Key("operators.nights", Nights)
DUTIES: Key[tuple[Duty, ...]] = Key("operators.duties", tuple)


@value(NIGHTS, needs=(SHOW, EFFECTS), reads=("event",))
def nights(ctx: Context) -> Nights:
    """Gas counts as on from the first scene's start to the end of the last, between scenes too: the lines
    stay under pressure. When a scene has no start, the event's hours count whole."""
    show, named = ctx[SHOW], ctx.spec("event").text_or("time_zone")
    zone = zone_named(named)
    opens = read_time(show.opens) if show.opens else None
    closes = read_time(show.closes) if show.closes else None
    made, why = [], ""
    if not ctx[EFFECTS] or not show.scenes:
        why = "no effect burns in any scene"
    elif not show.opens and any(not s.starts for s in show.scenes):
        why = "neither the event's hours nor the start of each scene is stated"
    for day in show.nights if not why else ():
        spans = []
        for scene in show.scenes:
            if scene.starts:
                starts = read_time(scene.starts)
                late = is_morning_after(starts, opens, closes)
                begin = moment(date.fromordinal(day.toordinal() + late), starts, zone)
                spans.append(TimeSpan(begin, later(begin, scene.lasts.si, zone)))
            else:
                spans.append(span(day, show.opens, show.closes, (opens, closes), zone))
        first = min((s.start for s in spans), key=lambda m: m.real)
        last = max((s.end for s in spans), key=lambda m: m.real)
        bursts = tuple((b.effect, s) for scene, s in zip(show.scenes, spans, strict=True) for b in scene.bursts)
        made.append(NightHours(day, TimeSpan(first, last), bursts))
    return Nights(tuple(made), why, named if zone is not None else "", opens, closes)


@value(DUTIES, needs=(SHOW, NIGHTS), reads=("operators",))
def duties(ctx: Context) -> tuple[Duty, ...]:
    """Every shift on each of its nights. A shift's date that is no night of the event is left to its rule."""
    known = ctx[NIGHTS]
    zone = zone_named(known.zone)
    made = []
    for tag, s in ctx.spec("operators").child("shifts").children():
        chosen = {date.fromisoformat(d) for d in s.texts("nights")}
        for day in ctx[SHOW].nights:
            if chosen and day not in chosen:
                continue
            time_span = span(day, s.text("from"), s.text("to"), (known.opens, known.closes), zone)
            made.append(
                Duty(
                    tag,
                    s.text("person"),
                    s.text("role"),
                    s.texts("effects"),
                    s.text_or("station"),
                    day,
                    time_span,
                    s.at,
                )
            )
    return tuple(made)


@value(ROSTER, needs=(DUTIES,), reads=("operators",))
def roster(ctx: Context) -> tuple[OnDuty, ...]:
    """The shifts, for other plugins: with the clock on the wall as it is written."""
    shifts = ctx.spec("operators").child("shifts")
    return tuple(
        OnDuty(
            d.shift,
            d.person,
            d.role,
            d.effects,
            d.station,
            d.night,
            shifts.child(d.shift).text("from"),
            shifts.child(d.shift).text("to"),
            d.at,
        )
        for d in ctx[DUTIES]
    )


@gather(TARGETS, needs=(PLACES,), reads=("operators",))
def stations(ctx: Context) -> tuple[Target, ...]:
    """Where people of the roster stand while flames burn; a fire watch comes after them."""
    made: dict[str, Target] = {}
    for tag, s in ctx.spec("operators").child("shifts").children():
        with suppress(Unreadable):
            station = s.text_or("station")
            spot = ctx[PLACES].get(station)
            if spot and spot.shape and station not in made and s.text("role") != "fire_watch":
                what = f"the {ROLE_NAMES.get(s.text('role'), s.text('role'))} of shift {tag} at {station}"
                made[station] = Target(station, "operator", spot.shape, None, what, s.here("station"))
    return tuple(made.values())
