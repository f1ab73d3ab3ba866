"""Whether flames are lit and stay lit: what a pilot touches, what wind puts out, and what blows itself out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from specc import (
    CHOICE,
    Citation,
    Context,
    FigureSet,
    Judging,
    Key,
    Limit,
    Move,
    Quantity,
    Trouble,
    Unchecked,
    View,
    Worked,
    answers_of,
    distance,
    figure,
    figures,
    nearer,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
)
from specc.kinds.gas import FLOW, FLOW_TOGETHER, JET_PRESSURE
from specc.kinds.outlets import OutletPlace
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.things import THINGS
from specc.kinds.weather import WIND
from specc.model.values import Figure
from specc.model.view import join
from specc.model.wording import counted, dated, several
from specc_flame.calc import reach, wind
from specc_flame.calc.height import jet_speed
from specc_flame.calc.wind import KALGHATGI
from specc_flame.keys import LENGTH, OPEN, OUTLETS, UNKNOWN, flame_unknown
from specc_flame.moves import MOVES_NEED, burner_place
from specc_flame.sizes import offset_of, ring_of, stop_wind

PUSH: Key[Figure] = Key("flame.wind_push", Figure)
UNLIT: Key[FigureSet] = Key("flame.gas_unlit", dict)
_BESIDE = 0.01  # m: a pilot's jets this near the outlet stand at it
UNSEEN = Limit("flame.unseen", "5 min", "duration", "max", "time until somebody sees that a flame is out", CHOICE)
_PUSH_SOURCE = Citation("asce-7", "velocity pressure: wind against the pressure at jets", "reprint")


@figure(PUSH, title="Pressure of the stop wind at a jet", unit="Pa", needs=(WIND,))
def wind_push(ctx: Context) -> Worked:
    return wind.wind_pressure.work("pressure of the stop wind", wind=stop_wind(ctx))


@figures(
    UNLIT,
    title="Gas that leaves {tag} unlit until somebody sees that it is out",
    unit="oz",
    digits=2,
    needs=(OUTLETS, OPEN),
    wants=(FLOW,),
    per_case=True,
    limits=("flame.unseen",),
)
def gas_unlit(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: reach.let_out.work(f"gas unlit at {tag}", flow=ctx[FLOW][tag], time=ctx.limit(UNSEEN.key))
        for tag in ctx[OUTLETS]
        if tag not in ctx[OPEN]
    }


def _to(ctx: Context, pilot: OutletPlace, outlet: OutletPlace) -> tuple[Move, ...]:
    """The pilot's place moved to its outlet, where it is one of its own."""
    place = burner_place(ctx, pilot)
    if not place or place == burner_place(ctx, outlet) or pilot.point is None or outlet.point is None:
        return ()
    far = distance(pilot.point, outlet.point).si
    return (nearer(place, outlet.tag, pilot.point, outlet.point, far),)


@rule(
    "flame.pilot_reach",
    level="error",
    statement="Each outlet that a pilot lights is touched by that pilot's own flame, whichever side wind comes from",
    source=CHOICE,
    needs=(*MOVES_NEED, UNKNOWN, OPEN, LENGTH, WIND),
    reads=("flame",),
    rests_on=("flame.wind_shown",),
    dated=("flame.on",),
)
def pilot_reach(ctx: Context) -> Judging:
    """In still air by the pilot's mean flame length. Upwind it reaches nothing beside itself: a pilot that stands to
    one side wants a test of the outlet in the stop wind. Where a burst names no way at all, the nearest pilot counts.
    """
    pilots = [p.tag for p in ctx[NETWORK].of_kind("pilot") if p.tag in ctx[LENGTH]]
    unsaid = [flame_unknown(t) for t in ctx[UNKNOWN] if _lit_by(ctx, t)]
    lit = [(tag, named) for tag in ctx[OUTLETS] if (named := _lit_by(ctx, tag)) or _by_any(ctx, tag)]
    if not lit and not unsaid:
        return not_applicable("no outlet is lit by a pilot")
    yield from unsaid
    tried = []
    for tag, named in lit:
        here = ctx[OUTLETS][tag]
        listed = [named] if named else pilots
        if not any(p in ctx[LENGTH] for p in listed):
            said = f"no pilot is described that lights {tag} (lit_by: {{pilot: its tag}})"
            yield Unchecked(said, join(here.at, "lit_by"))
            continue
        gaps = [(gap, p) for p in listed if p in ctx[LENGTH] and p != tag and (gap := _gap(ctx, p, tag))]
        if not gaps:
            said = f"nothing says where {tag} or its pilot is, its height too (place: at: [.., .., ..])"
            yield Unchecked(said, join(here.at, "place"), "/places/*/at")
            continue
        gap, nearest = min(gaps)
        length, far = ctx[LENGTH][nearest], show(gap.apart, "length", "ft", 2)
        if gap.apart > length.si:
            yield Trouble(
                here.at,
                f"the pilot {nearest} is {far} from the jets of {tag}, and its flame is "
                f"{show(length.si, 'length', 'ft', 2)} long",
                "a pilot whose flame touches the outlet from every side that wind comes from",
                "gas that is not lit as it leaves is a cloud, and burns where it meets a flame",
                moves=_to(ctx, ctx[OUTLETS][nearest], here),
            )
        elif not gap.around:
            if _holds(ctx, tag):
                tried.append(tag)
            else:
                yield Unchecked(
                    f"{nearest} stands {far} to one side of the jets of {tag}, and from upwind its flame touches "
                    f"nothing: no test in the stop wind is given (flame: wind_shown: {tag}:)",
                    join("/flame/wind_shown", tag),
                )
    # Where no test is counted, none of those that are typed makes this one stated.
    return passed(counted(len(lit), "outlet"), tried or ("",))


def _lit_by(ctx: Context, tag: str) -> str:
    return ctx[NETWORK].by_tag[tag].spec.child("lit_by").text_or("pilot")


def _by_any(ctx: Context, tag: str) -> bool:
    """A burst that says of no torch and no igniter that it lights it."""
    said = ctx[NETWORK].by_tag[tag].spec.child("lit_by")
    return tag in ctx[OPEN] and not said.has("igniter") and not said.has("torch")


class JetGap(NamedTuple):
    """From a pilot's jets to an outlet's: m, and whether they stand at or around them."""

    apart: float
    around: bool


def _gap(ctx: Context, pilot: str, outlet: str) -> JetGap | None:
    """Jets of a ring stand on it, and not at its middle. None where a height is not said: a pilot at the foot of a
    riser has the same place on the plan as the outlet at its top."""
    here, there = ctx[OUTLETS][pilot].point, ctx[OUTLETS][outlet].point
    if here is None or there is None or here.z is None or there.z is None:
        return None
    own, ring = ring_of(ctx[NETWORK].by_tag[pilot]).si / 2, ring_of(ctx[NETWORK].by_tag[outlet]).si / 2
    middles = distance(here, there, f"{pilot} to {outlet}").si
    up = here.z.si - there.z.si
    apart = math.hypot(max(0.0, middles - own - ring, abs(own - ring) - middles), up)
    round_it = ring <= 0 and middles <= offset_of(ctx[NETWORK].by_tag[pilot]).si + _BESIDE and abs(up) <= _BESIDE
    return JetGap(apart, apart <= _BESIDE or round_it)


def _holds(ctx: Context, tag: str) -> bool:
    """Whether a dated test of the outlet, in the stop wind or more, is stated."""
    stop, tested = ctx[WIND].stop, _tested(ctx, tag)
    return stop is not None and tested is not None and tested.si >= stop.gust.si * (1 - 1e-9)


def _tested(ctx: Context, tag: str) -> Quantity | None:
    """The wind of a dated test of an outlet's flame, or its lighting; None without one."""
    said = ctx.spec("flame").child("wind_shown").child(tag)
    if said.text_or("by") != "test" or not said.has("on"):
        return None
    return said.quantity_or_none("wind")


def _least_pressure(ctx: Context, tag: str) -> float:
    """At an outlet's jets in the weather that gives it least, alone, less what the others of its scene take from it:
    so low a pressure goes with the square of the flow."""
    alone, together = ctx[FLOW][tag].cases, (ctx.get(FLOW_TOGETHER) or {}).get(tag)
    flows = {c.case: c.worked.si for c in together.cases} if together is not None else {}
    shares = [flows[c.case] / c.worked.si for c in alone if c.case in flows and c.worked.si > 0]
    return min(c.worked.si for c in ctx[JET_PRESSURE][tag].cases) * min((1.0, *shares)) ** 2


@rule(
    "flame.holds_in_wind",
    level="error",
    statement="Each flame that wind or its own jets can blow out holds in the stop wind, by a dated test or a shield",
    source=_PUSH_SOURCE,
    needs=(OUTLETS, UNKNOWN, OPEN, PUSH, UNLIT, WIND, NETWORK, THINGS, EFFECTS),
    wants=(JET_PRESSURE, FLOW, FLOW_TOGETHER),
    reads=("flame", "project"),
    limits=("flame.unseen",),
    rests_on=("flame.wind_shown",),
    dated=("flame.on",),
    recalls=(KALGHATGI,),
)
def holds_in_wind(ctx: Context) -> Judging:
    """Pilots, and steady flames whose jets have less pressure than the wind, or are so fast that they blow themselves
    out. A burst is lit by its pilot."""
    stop = ctx[WIND].stop
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    if all(tag in ctx[OPEN] for tag in ctx[OUTLETS]) and not ctx[UNKNOWN]:
        return not_applicable("each flame is a burst, lit anew every time")
    if stop is None:
        return not_checked("no wind is stated at which the show stops (weather: wind: stop:)", "/weather/wind/stop")
    shown = ctx.spec("flame").child("wind_shown")
    steady = [t for t in ctx[OUTLETS] if t not in ctx[OPEN]]
    weak = [t for t in steady if _least_pressure(ctx, t) < ctx[PUSH].si]
    fast = {t: f for t in steady if t not in weak and (f := _too_fast(ctx, t))}
    unshown = []
    for tag in (*weak, *fast):
        said = shown.child(tag)
        if said.has("by"):
            yield from _shielded(ctx, tag, said)
        if said.text_or("by") != "shield":
            tested = _tested(ctx, tag)
            if tested is None:
                unshown.append(tag)
            elif tested.si < stop.gust.si * (1 - 1e-9):
                gusts = stop.strongest is not stop.speed
                blows = show(stop.gust.si, "speed", "mph") if gusts else stop.speed.text
                yield Trouble(
                    said.here("wind"),
                    f"{tag} was tested in {tested.text}, and the show stops only at {stop.speed.text}"
                    + (f", a wind with gusts of {blows}" if gusts else ""),
                    f"a test at {blows} or more, from every side, or a lower wind to stop at",
                    "gas from a flame that has blown out collects until something lights it",
                )
    lost = ctx[UNKNOWN]
    if not unshown and lost:
        return not_checked(f"the flames of {' and '.join(lost)} are not known", *answers_of(*map(flame_unknown, lost)))
    if unshown:
        gas = max((ctx[UNLIT][t] for t in unshown), key=lambda f: f.si)
        push = show(ctx[PUSH].si, "pressure_difference", "Pa", 2)
        why = (
            [f"jets of {_few(low)} have less pressure than the stop wind's {push}"]
            if (low := [t for t in unshown if t in weak])
            else []
        )
        why += [fast[t] for t in unshown if t in fast][:2]
        return not_checked(
            f"{'; '.join(why)}; nothing shows that they hold (flame: wind_shown:), and one lets out "
            f"{show(gas.si, 'mass', 'oz', 2)} unlit before somebody sees it ({ctx.limit(UNSEEN.key).text})",
            *map(shown.here, unshown),
        )
    weak += fast
    strong = len(steady) - len(weak)
    alone = f"; {counted(strong, 'other')} by the pressure at its jets" if strong else ""
    issued = ctx.spec("project").text_or("issued")
    ways = "; ".join(dict.fromkeys(_words(shown.child(tag), issued) for tag in weak))
    looked = (
        f"{counted(len(weak), 'weak flame')}, by {ways}{alone}"
        if ways
        else f"{counted(len(weak), 'weak flame')}{alone}"
    )
    return passed(looked, weak or ("",))


def _shielded(ctx: Context, tag: str, said: View) -> Iterator[Trouble | Unchecked]:
    """What keeps the wind off a flame is there to be looked at: a thing or a part, and where the flame is."""
    named = said.text_or("shield")
    if not named:
        if said.text("by") == "shield":
            yield Unchecked(
                f"no part and no thing is what shields {tag} (flame: wind_shown: {tag}: shield:)", said.here("shield")
            )
        return
    effects = [e for e in ctx[EFFECTS] if tag in e.outlets]
    own, part = next((t for t in ctx[THINGS] if t.tag == named), None), ctx[NETWORK].part(named)
    if own is None and part is None:  # the schema has found it
        return
    beside = {where for where, _ in (*own.distances, *own.above)} if own is not None else set[str]()
    there = {t for t in (own.place,) if t} if own is not None else set(part.places if part is not None else ())
    home = set(ctx[NETWORK].by_tag[tag].places or [e.place for e in effects if e.place])
    if there & home or beside & {tag, *(e.tag for e in effects)}:
        return
    if not (there or beside) or not home:
        where = join(own.at if own is not None else "/plumbing/parts/" + named, "place")
        yield Unchecked(f"nothing says whether {named}, which shields {tag}, stands round it (place:)", where)
        return
    yield Trouble(
        said.here("shield"),
        f"{named} shields {tag}, which is at {several(sorted(home))}; {named} is at {several(sorted(there or beside))}",
        f"what stands round the jets of {tag}, at its place",
        "a shield that stands elsewhere keeps no wind off",
    )


def _few(tags: list[str]) -> str:
    return f"{', '.join(tags[:3])}{f' and {len(tags) - 3} more' if len(tags) > 3 else ''}"


def _too_fast(ctx: Context, tag: str) -> str:
    """Why the jets of an outlet may blow their own flame out; "" where they are slow enough. Of the weather cases the
    fastest. A slit counts by its width; where no width is said, nothing holds the jet back."""
    jets = ctx[NETWORK].by_tag[tag].spec.child("jets")
    width = jets.quantity_or_none("bore") or jets.quantity_or_none("width")
    speed = jet_speed(max(c.worked.si for c in ctx[JET_PRESSURE][tag].cases))
    limit = wind.blow_out_speed(width.si).value if width is not None else 0.0
    if speed <= limit:
        return ""
    return (
        f"the jets of {tag} leave at {show(speed, 'speed', 'ft/s', 2)}, and a bare one of their width blows its flame "
        f"out above {show(limit, 'speed', 'ft/s', 2)}"
    )


def _words(said: View, issued: str) -> str:
    shield = said.text_or("shield")
    if said.text("by") == "shield":
        return f"a shield ({shield})"
    return f"a test in {said.quantity('wind').text}, {dated(said.text('on'), issued)}"
