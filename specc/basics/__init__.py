"""The core's own passes: weather cases, air pressure, effects, show, and what every packet says.

It is loaded like a plugin, under the name "core", and uses nothing that a plugin could not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from typing import Any

from specc.basics import nights
from specc.basics import pages as core_pages
from specc.basics.air import HIGHEST, LOWEST, air_pressure
from specc.basics.nights import cues_of
from specc.dims import Temperature, TemperatureDifference
from specc.formulas.calculators import Calculator, calculator
from specc.hookspecs import hookimpl
from specc.kinds.people import PEOPLE, Certificate, Person
from specc.kinds.places import PLACES, Spot
from specc.kinds.show import EFFECTS, SHOW, Bursts, Effect, Scene, Show
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.measure.printing import counted
from specc.model.findings import Trouble, Verdict
from specc.model.passes import (
    Cannot,
    Context,
    Limit,
    Pass,
    figure,
    found,
    not_applicable,
    not_checked,
    rule,
    value,
)
from specc.model.values import CHOICE, Case, Equation, Quantity, Reference, Symbol, Worked
from specc.model.view import Unreadable, View, join

SPECC_CONTRACT = 1

LIQUID_EQUATION = Equation(
    forms=(("", "T = T_a + r"),),
    symbols=(
        Symbol("T", "temperature", "liquid in a cylinder that stands in the sun"),
        Symbol("T_a", "temperature", "air"),
        Symbol("r", "temperature_difference", "rise above the air in the sun, as the spec states it"),
    ),
    citations=(CHOICE,),
)


@calculator("cylinder-in-the-sun", LIQUID_EQUATION, symbols={"air": "T_a", "rise": "r"}, result="T")
def cylinder_in_the_sun(air: Temperature, rise: TemperatureDifference) -> Temperature:
    """How warm the liquid in a cylinder in the sun is taken to be.

    T = T_a + r, all in K. The rise is stated, not computed. Source: specc default.
    """
    return air + rise


def _wind(weather: View, which: str) -> Quantity | None:
    """A wind speed, or None. A refused one is reported by the schema, and no gas figure rests on it."""
    try:
        return weather.child("wind").quantity_or_none(which)
    except Unreadable:
        return None


def _hours(event: View) -> tuple[str, str]:
    """The event's hours, or blanks. Refused ones are reported by the schema, and no gas figure rests on them."""
    try:
        hours = event.child("hours")
        return hours.text_or("from"), hours.text_or("to")
    except Unreadable:
        return "", ""


@value(CASES, reads=("weather",))
def cases(ctx: Context) -> tuple[Case, ...]:
    weather = ctx.spec("weather")
    if not weather.has("air"):
        raise Cannot(
            "the spec gives no air temperatures",
            "/weather",
            "weather: air: {low: 40 °F, usual: 60 °F, high: 90 °F}, for the days of the event",
            "cylinder pressure, gas flow and what a cylinder can give all follow the weather",
        )
    air = weather.child("air")
    low, usual, high = air.quantity("low"), air.quantity("usual"), air.quantity("high")
    if not low.si <= usual.si <= high.si:
        raise Cannot("the air temperatures are not in order", air.at, "low, usual, high, from cold to warm")
    usual_wind, stop_wind = _wind(weather, "usual"), _wind(weather, "stop")
    rise = weather.quantity_or_none("sun")
    warm = cylinder_in_the_sun.work("liquid in the sun", air=high, rise=rise) if rise else high
    return (
        Case("low", low, low, stop_wind, "part-full"),
        Case("usual", usual, usual, usual_wind, "part-full"),
        Case("high", high, warm, stop_wind, "full"),
    )


@figure(AIR_PRESSURE, title="Air pressure at the site", unit="psia", digits=4, reads=("event",))
def site_air_pressure(ctx: Context) -> Worked:
    elevation = ctx.spec("event").quantity("elevation")
    if not LOWEST <= elevation.si <= HIGHEST:
        raise Cannot(
            f"no air pressure can be given for {elevation.text}",
            elevation.at,
            "the site's height above sea level",
        )
    return air_pressure.work("air pressure at the site", elevation=elevation)


@value(EFFECTS, reads=("effects",))
def effects(ctx: Context) -> tuple[Effect, ...]:
    return tuple(
        Effect(tag, e.text("kind"), e.text_or("title", tag), e.texts("outlets"), e.text_or("at"), e.at)
        for tag, e in ctx.spec("effects").children()
    )


@value(SHOW, reads=("show", "event"))
def show(ctx: Context) -> Show:
    event, scenes = ctx.spec("event"), ctx.spec("show").child("scenes")
    opens, closes = _hours(event)
    return Show(
        tuple(sorted(date.fromisoformat(d) for d in event.texts("dates"))),
        opens,
        closes,
        tuple(
            Scene(
                tag,
                s.text_or("starts"),
                s.quantity("lasts"),
                s.texts("steady"),
                tuple(
                    Bursts(effect, b.quantity("times"), b.quantity("open"), b.at, b.quantity_or_none("every"))
                    for effect, b in s.child("bursts").children()
                ),
                s.at,
                cues_of(s),
            )
            for tag, s in scenes.children()
        ),
        event.here("dates"),
    )


def _day(view: View, key: str) -> date | None:
    return date.fromisoformat(view.text(key)) if view.has(key) else None


@value(PEOPLE, reads=("people",))
def people(ctx: Context) -> tuple[Person, ...]:
    return tuple(
        Person(
            tag,
            p.text_or("name"),
            p.text_or("phone"),
            p.text_or("role"),
            p.whole("age") if p.has("age") else None,
            _day(p, "born"),
            p.yes("sober") if p.has("sober") else None,
            tuple(
                Certificate(name, c.text("kind"), _day(c, "from"), _day(c, "until"), c.at)
                for name, c in p.child("certificates").children()
            ),
            p.at,
        )
        for tag, p in ctx.spec("people").children()
    )


@value(PLACES, reads=("places",))
def places(ctx: Context) -> Mapping[str, Spot]:
    """The places. One whose coordinates were refused is there without them, so that the others still count."""
    made = {}
    for tag, p in ctx.spec("places").children():
        point, area, note = None, None, ""
        with suppress(Unreadable):
            note = p.text_or("note")
            at = [q.si for q in p.quantities("at")]
            point = (at[0], at[1], at[2] if len(at) > 2 else 0.0) if len(at) >= 2 else None
            area = _corners(p)
        made[tag] = Spot(tag, point, area, note, p.at)
    return made


def _corners(place: View) -> tuple[tuple[float, float], ...] | None:
    """The corners of a place's area on the ground, in m."""
    corners = []
    for corner in place.list_of("area"):
        across, along, *_ = (q.si for q in corner if isinstance(q, Quantity))  # type: ignore[attr-defined]
        corners.append((across, along))
    return tuple(corners) or None


@rule(
    "core.effect_outlets",
    level="error",
    statement="Each outlet belongs to one effect, and each effect is used in the show as its kind allows",
    source=CHOICE,
    needs=(EFFECTS, SHOW),
)
def effects_fit(ctx: Context) -> Verdict:
    listed, the_show = ctx[EFFECTS], ctx[SHOW]
    if not listed and not the_show.scenes:
        return not_applicable("no effects and no scenes")
    troubles = []
    owner: dict[str, str] = {}
    for effect in listed:
        for i, outlet in enumerate(effect.outlets):
            if outlet in owner:
                troubles.append(
                    Trouble(
                        join(effect.at, "outlets", i),
                        f"the outlet {outlet} already belongs to the effect {owner[outlet]}",
                        "name each outlet under one effect, so that its gas counts once",
                    )
                )
            owner[outlet] = effect.tag
    kinds = {e.tag: e.kind for e in listed}
    for scene in the_show.scenes:
        uses = [(tag, join(scene.at, "steady", i), "steady") for i, tag in enumerate(scene.steady)]
        uses += [(b.effect, b.at, "burst") for b in scene.bursts]
        for cue in scene.cues:
            uses += [(tag, join(cue.at, "light", i), "steady") for i, tag in enumerate(cue.light)]
            uses += [(tag, join(cue.at, "out", i), "steady") for i, tag in enumerate(cue.out)]
            uses += [(cue.bursts.effect, join(cue.at, "burst"), "burst")] if cue.bursts else []
        for tag, at, kind in uses:
            if tag not in kinds:
                troubles.append(
                    Trouble(
                        at,
                        f"the scene {scene.tag} uses the effect {tag!r}, which is not there",
                        "one of: " + ", ".join(kinds) if kinds else "describe it under effects:",
                        "its gas would go uncounted",
                    )
                )
            elif kinds[tag] != kind:
                troubles.append(
                    Trouble(
                        at,
                        f"the effect {tag} is {kinds[tag]}, and the scene {scene.tag} uses it as {kind}",
                        f"list it under {'steady:' if kinds[tag] == 'steady' else 'bursts:'}",
                    )
                )
    return found(troubles, f"{counted(len(listed), 'effect')} in {counted(len(the_show.scenes), 'scene')}")


@rule(
    "core.effect_place",
    level="error",
    statement="Each effect that names a place names one that is described",
    source=CHOICE,
    needs=(EFFECTS, PLACES),
)
def effect_places(ctx: Context) -> Verdict:
    known = tuple(ctx[PLACES].keys())
    placed = [e for e in ctx[EFFECTS] if e.place]
    if not placed:
        return not_applicable("no effect names a place")
    return found(
        (
            Trouble(
                join(e.at, "at"),
                f"the effect {e.tag} stands at {e.place!r}, which is not among the places",
                "one of: " + ", ".join(known) if known else "describe it under places:",
                "distances are taken from where an effect stands",
            )
            for e in placed
            if e.place not in known
        ),
        f"{counted(len(placed), 'effect')}",
    )


def _minutes(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:])


@rule(
    "core.scenes_in_hours",
    level="warning",
    statement="The scenes run within the event's hours",
    source=CHOICE,
    needs=(SHOW,),
)
def scenes_in_hours(ctx: Context) -> Verdict:
    """Hours that end no later than they begin run past midnight, and so does a scene that starts before them."""
    the_show = ctx[SHOW]
    if not the_show.opens or not the_show.closes:
        return not_checked("the event's hours are not stated (event: hours:)")
    timed = [s for s in the_show.scenes if s.starts]
    if not timed:
        return not_checked("no scene says when it starts (starts:)")
    opens, closes = _minutes(the_show.opens), _minutes(the_show.closes)
    closes += 1440 if closes <= opens else 0
    troubles = []
    for scene in timed:
        starts = _minutes(scene.starts)
        if starts < opens and starts + 1440 < closes:
            starts += 1440
        if starts < opens or starts + scene.lasts.si / 60 > closes + 1e-6:
            troubles.append(
                Trouble(
                    join(scene.at, "starts"),
                    f"the scene {scene.tag} starts at {scene.starts} and lasts {scene.lasts.text}; the event's hours "
                    f"are {the_show.opens} to {the_show.closes}",
                    "a scene within the hours, or the hours that the event really has",
                    "the packet would show the authority hours that the show does not keep",
                )
            )
    untimed = len(the_show.scenes) - len(timed)
    return found(troubles, counted(len(timed), "scene") + (f"; {untimed} more say no start" if untimed else ""))


@hookimpl
def specc_references() -> Sequence[Reference]:
    return (
        Reference(
            "us-standard-atmosphere-1976",
            "U.S. Standard Atmosphere, 1976",
            "NOAA, NASA and U.S. Air Force",
            "1976",
            "constants and table rows read in copies",
        ),
        Reference(
            "nfpa-10",
            "NFPA 10, Standard for Portable Fire Extinguishers",
            "National Fire Protection Association",
        ),
        Reference(
            "nist-webbook",
            "NIST Chemistry WebBook, NIST Standard Reference Database 69: propane, ID C74986",
            "National Institute of Standards and Technology",
            "as read 2026-11",
        ),
    )


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    own = [thing for thing in globals().values() if isinstance(thing, (Pass, Limit))]
    return [*own, *core_pages.PASSES, *nights.PASSES]


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    return [air_pressure]
