"""How hot cylinders, hoses, regulators, valves, accumulators and what holds burners up get.

As the show is planned: steady flames for ever, and on top of that every burst of a night, each as long and as hot as
the longest and hottest, with the shortest pause that the show states between two. And with every burst held open until
somebody has closed the gas. From a part that has stood in the sun on the hottest day.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from typing import cast

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Constant,
    Context,
    FigureSet,
    Key,
    Limit,
    Quantity,
    Trouble,
    Unchecked,
    Worked,
    figures,
    not_applicable,
    rule,
    show,
)
from specc.kinds.faults import CLOSING_TIMES
from specc.kinds.gas import NET_HEAT
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import SHOW, TIMELINE
from specc.kinds.targets import FLUX
from specc.kinds.things import SUPPORTS
from specc.kinds.weather import CASES
from specc.measure.printing import past
from specc.model.passes import Judging, passed
from specc.model.values import Scalar
from specc.model.view import join
from specc.model.wording import counted
from specc_flame.calc import envelope
from specc_flame.calc.part import burst_warming, part_temperature
from specc_flame.calc.sources import STEFAN
from specc_flame.heat import GAS_KINDS, places_of
from specc_flame.keys import HEAT, LENGTH, OPEN, OUTLETS, STEADY_FLUX, UNKNOWN, flame_unknown
from specc_flame.moves import MOVES_NEED, off
from specc_flame.near import unplaced
from specc_flame.sizes import heat_of
from specc_flame.targets import GAS_FLUX

HOSE = Limit(
    "flame.hose_temperature",
    "125 °F",
    "temperature",
    "min",
    "hottest that a hose for LP-gas may get",
    Citation("wac-296-307", "296-307-41023: hose is not exposed to more than 125 °F", "read"),
)
CYLINDER = Limit(
    "flame.cylinder_temperature",
    "125 °F",
    "temperature",
    "min",
    "hottest that a cylinder may get",
    Citation("cga-p-1", "no part of a cylinder is heated above 125 °F", "memory"),
)
HOSE_FAULT = Limit(
    "flame.hose_temperature_held_open",
    "140 °F",
    "temperature",
    "min",
    "hottest that a hose may get before somebody has closed the gas of a burst that stays open",
    Citation("ul-21", "scope: hose for LP-gas, for use up to 140 °F", "reprint"),
)
FITTING = Limit(
    "flame.fitting_temperature",
    "200 °F",
    "temperature",
    "min",
    "hottest that regulators and valves (but solenoids) may get: their seats are of rubber, used to 212 °F",
    PRACTICE,
)
SUPPORT: Key[FigureSet] = Key("flame.support_temperature", dict)
PART: Key[FigureSet] = Key("flame.part_temperature", dict)
HELD_PART: Key[FigureSet] = Key("flame.temperature_held_open", dict)
"""By place of a part: how hot a thin one gets there until somebody has closed the gas of a burst that stays open."""


def _parts(ctx: Context) -> Iterator[tuple[Part, str]]:
    """Those whose bursts of a night are counted one by one."""
    for part in ctx[NETWORK].of_kind("cylinder", "hose", "valve", "accumulator"):
        if part.kind != "valve" or part.form == "solenoid":
            for place in places_of(part):
                yield part, place


def _judged(ctx: Context) -> Iterator[tuple[Part, str]]:
    for part in ctx[NETWORK].of_kind(*GAS_KINDS):
        for place in places_of(part):
            yield part, place


@figures(
    PART,
    title="Temperature of {tag} while the show burns",
    unit="°F",
    needs=(NETWORK, FLUX, OUTLETS, OPEN, TIMELINE, SHOW, CASES),
)
def temperatures(ctx: Context) -> Mapping[str, Worked]:
    """Key: the part's tag, and its place where it has two."""
    made: dict[str, Worked] = {}
    placed = [o.tag for o in ctx[OUTLETS].values() if o.point]
    for part, place in _parts(ctx):
        if place in ctx[FLUX]:
            parts = cast("tuple[Scalar, ...]", dict(ctx[FLUX][place].worked.inputs)["q_i"])
            tag = part.tag if len(set(places_of(part))) == 1 else f"{part.tag}.{place}"
            made[tag] = _warmed(ctx, tag, place, dict(zip(placed, parts, strict=True)))
    return made


def _warmed(ctx: Context, tag: str, where: str, heat: Mapping[str, Scalar]) -> Worked:
    """How hot a thin part gets in so much heat of each outlet: steady flames for ever, and all bursts of a night."""
    warm: Scalar = max((c.liquid for c in ctx[CASES]), key=lambda t: t.si)
    steady = tuple(q for o, q in heat.items() if o not in ctx[OPEN])
    bursts = tuple(q for o, q in heat.items() if o in ctx[OPEN])
    always = envelope.total_flux.work(f"steady flames at {where}", parts=steady) if steady else _DARK
    shots = len(ctx[TIMELINE].shots)
    if not bursts or not shots:
        return part_temperature.work(f"{tag} beside steady flames", flux=always, gas=warm, air=warm)
    return burst_warming.work(
        f"{tag} after all bursts",
        flux=envelope.total_flux.work(f"bursts at {where}", parts=bursts),
        time=max(ctx[OPEN].values(), key=lambda t: t.si),
        times=Constant(float(shots), "count", f"{shots} (bursts of a night)", envelope.COUNTED),
        pause=_pause(ctx),
        steady=always,
        air=warm,
    )


_DARK = Quantity(0.0, "heat_flux", "0 kW/m²")


@figures(
    HELD_PART,
    title="Temperature of a thin part at {tag} with every burst held open until somebody has closed the gas",
    unit="°F",
    needs=(NETWORK, STEADY_FLUX, OUTLETS, OPEN, CASES),
    wants=(CLOSING_TIMES,),
    limits=("fuel.reaction_time",),
)
def held_open(ctx: Context) -> Mapping[str, Worked]:
    places = dict.fromkeys(place for _, place in _judged(ctx) if place in ctx[STEADY_FLUX])
    return {place: _held(ctx, place, until_closed(ctx)) for place in places}


def _held(ctx: Context, place: str, time: Scalar) -> Worked:
    warm: Scalar = max((c.liquid for c in ctx[CASES]), key=lambda t: t.si)
    heats = cast("tuple[Scalar, ...]", dict(ctx[STEADY_FLUX][place].worked.inputs)["q_i"])
    heat = dict(zip((o.tag for o in ctx[OUTLETS].values() if o.point), heats, strict=True))
    steady = tuple(q for o, q in heat.items() if o not in ctx[OPEN])
    bursts = tuple(q for o, q in heat.items() if o in ctx[OPEN])
    always = envelope.total_flux.work(f"steady flames at {place}", parts=steady) if steady else _DARK
    if not bursts:
        return part_temperature.work(f"a thin part at {place}", flux=always, gas=warm, air=warm)
    flux = envelope.total_flux.work(f"bursts held open at {place}", parts=bursts)
    name = f"a thin part at {place}, bursts held open"
    return burst_warming.work(name, flux=flux, time=time, steady=always, air=warm)


def _burning_on(ctx: Context) -> str:
    """How hot it gets where it gets hottest if nobody closes the gas: told, and no limit is on it."""
    held = ctx[HELD_PART]
    place = max(held, key=lambda one: held[one].si, default="")
    hot = _held(ctx, place, _FIVE_MINUTES).si if place else 0.0
    return f" (in {_FIVE_MINUTES.text} {show(hot, 'temperature', '°F')} at {place})" if place else ""


def until_closed(ctx: Context) -> Quantity | Constant:
    """Until somebody has noticed and closed what feeds a burst: the limit, and the farthest walk from the nearest post
    to a closure by hand ahead of it; five minutes where there are posts, and nobody gets to any."""
    reaction = ctx.limit("fuel.reaction_time")
    ahead = {p.tag for outlet in ctx[OPEN] for p in ctx[NETWORK].upstream(outlet)}
    walks: dict[str, float] = {}
    for one in ctx[CLOSING_TIMES]:
        if one.valve in ahead:
            walk = math.inf if one.time is None else one.time.si
            walks[one.valve] = min(walks.get(one.valve, math.inf), walk)
    known = [walk for walk in walks.values() if math.isfinite(walk)]
    if walks and not known:
        return _FIVE_MINUTES
    seconds = reaction.si + max(known, default=0.0)
    return Constant(seconds, "duration", f"{seconds:.3g} s", CHOICE) if seconds > reaction.si else reaction


_FIVE_MINUTES = Constant(300.0, "duration", "5 min", CHOICE)


def _pause(ctx: Context) -> Quantity:
    """The shortest pause between two bursts of a night, as stated; none where a set of bursts has no spacing."""
    sets = [
        b
        for s in ctx[SHOW].scenes
        for b in (*s.bursts, *(c.bursts for c in s.cues if c.bursts and c.bursts.times.si > 1))
    ]
    shots = sorted(ctx[TIMELINE].shots, key=lambda s: s.at)
    if any(b.every is None for b in sets):
        return _NO_PAUSE
    shortest = min((b.at - a.at - a.open.si for a, b in itertools.pairwise(shots)), default=0.0)
    return Quantity(shortest, "duration", f"{shortest:.3g} s (as the show runs)") if shortest > 0 else _NO_PAUSE


_NO_PAUSE = Quantity(0.0, "duration", "0 s (no spacing is said: every:)")


@rule(
    "flame.part_heat",
    level="error",
    statement="Cylinders, hoses, regulators, valves and accumulators stay cool enough, beside bursts held open too",
    source=HOSE.citation,
    needs=(*MOVES_NEED, FLUX, STEADY_FLUX, PART, HELD_PART, OPEN, UNKNOWN, CASES),
    wants=(CLOSING_TIMES,),
    reads=("flame", "weather"),
    limits=(
        "flame.cylinder_temperature",
        "flame.gas_flux",
        "flame.fitting_temperature",
        "flame.hose_temperature",
        "flame.hose_temperature_held_open",
        "fuel.reaction_time",
    ),
    rests_on=("flame.hottest",),
    recalls=(STEFAN.citation,),
)
def part_heat(ctx: Context) -> Judging:
    """A part that gets no more than a cylinder may is hardly warmer than the sun makes it, and wants no limit."""
    listed = list(_judged(ctx))
    if not listed or not ctx[OUTLETS]:
        return not_applicable("no cylinder, hose, regulator, valve or accumulator near a flame")
    allowed, looked = ctx.spec("flame").child("hottest"), 0
    typed: dict[str, None] = {}
    yield from unplaced(ctx, GAS_KINDS)
    for hose in ctx[NETWORK].of_kind("hose"):
        if len(places_of(hose)) == 1:
            said = f"where the other end of {hose.tag} is (place: with two tags, one twice where both are there)"
            yield Unchecked(said, join(hose.at, "place"))
    if not ctx.spec("weather").has("sun"):
        yield Unchecked("how much the sun alone warms them (weather: sun:)", "/weather/sun")
    burning = f" with every burst held open for {until_closed(ctx).text}" if ctx[OPEN] else ""
    for part, place in listed:
        held = ctx[HELD_PART].get(place)
        if held is None:  # told with what has no place at all
            continue
        looked += 1
        planned = ctx[PART].get(part.tag) or ctx[PART].get(f"{part.tag}.{place}") or held
        bears = list(_bears(ctx, part))
        if allowed.has(part.tag):  # a maker's word loosens no rule
            typed[part.tag] = None
            bears.append((allowed.quantity(part.tag), allowed.quantity(part.tag)))
        over: list[tuple[Scalar, Scalar, str]] = []
        for usual, fault in bears:
            over += [one for one in ((planned, usual, ""), (held, fault, burning)) if one[0].si > one[1].si]
        if over:
            hot, most, when = max(over, key=lambda one: one[0].si - one[1].si)
            yield Trouble(
                join(part.at, "place"),
                f"{part.tag}, at {place}, may get {past(hot.si, most.si, 'temperature', '°F')}{when}; the limit is "
                f"{show(most.si, 'temperature', '°F')}",
                "farther from the flames, or a shield that is described; with every: of bursts, their pauses count",
                "a hot cylinder lets gas out, a soft hose parts at its end, and a hot coil no longer works",
                moves=off(ctx, place),
            )
        elif not bears and max(ctx[FLUX][place].si, ctx[STEADY_FLUX][place].si) > ctx.limit(GAS_FLUX.key).si:
            hottest = max(planned.si, held.si)
            yield Unchecked(
                f"{part.tag} may get {show(hottest, 'temperature', '°F')}, and nothing says how hot its maker lets "
                f"it get (flame: hottest: {part.tag}:)",
                allowed.here(part.tag),
            )
    places = f"{counted(looked, 'place')} of parts"
    if burning:
        places += f",{burning} too{_burning_on(ctx)}"
    return passed(places, typed or ("",))


def _bears(ctx: Context, part: Part) -> Iterator[tuple[Scalar, Scalar]]:
    """How hot it may get as the show is planned, and with a burst held open; nothing where only its maker knows."""
    if part.kind == "hose":
        yield ctx.limit(HOSE.key), ctx.limit(HOSE_FAULT.key)
    elif part.kind == "cylinder":
        yield ctx.limit(CYLINDER.key), ctx.limit(CYLINDER.key)
    elif part.kind == "regulator" or (part.kind == "valve" and part.form != "solenoid"):
        yield ctx.limit(FITTING.key), ctx.limit(FITTING.key)
    elif part.kind == "accumulator" and (marked := part.spec.child("plate").quantity_or_none("temperature")):
        yield marked, marked


@figures(
    SUPPORT,
    title="Temperature of {tag}, which carries load near a flame, while the show burns",
    unit="°F",
    needs=(OUTLETS, OPEN, LENGTH, HEAT, TIMELINE, SHOW, CASES),
    wants=(SUPPORTS, NET_HEAT),
)
def support_temperatures(ctx: Context) -> Mapping[str, Worked]:
    """With every flame that its stand holds as near as the nearest, lying at it."""
    made = {}
    for s in ctx.get(SUPPORTS) or ():
        heat: dict[str, Scalar] = {}
        for tag in (t for t in s.holds if t in ctx[OUTLETS]):
            name, length = f"heat of {tag} at {s.tag}", ctx[LENGTH][tag]
            far = envelope.added_length.work(f"from {tag} past its flame to {s.tag}", parts=(s.far, length))
            heat[tag] = envelope.flame_flux.work(name, heat=heat_of(ctx, tag), length=length, distance=far)
        if heat:
            made[f"{s.stand}.{s.tag}"] = _warmed(ctx, s.tag, s.tag, heat)
    return made


@rule(
    "flame.supports",
    level="error",
    statement="What holds a burner up stays cool enough near its flame to keep its strength",
    source=CHOICE,
    needs=(OUTLETS, UNKNOWN, SUPPORT),
    wants=(SUPPORTS,),
    rests_on=("structure.from_flame",),
)
def supports_hold(ctx: Context) -> Judging:
    burners = {*ctx[OUTLETS], *ctx[UNKNOWN]}
    listed = [s for s in ctx.get(SUPPORTS) or () if burners.intersection(s.holds)]
    if not listed:
        return not_applicable(
            "nothing that holds a burner up has its distance from the flame said (structure: from_flame:)"
        )
    yield from [flame_unknown(t) for t in ctx[UNKNOWN] if any(t in s.holds for s in listed)]
    for s in listed:
        hot = ctx[SUPPORT].get(f"{s.stand}.{s.tag}")
        if hot is not None and hot.si > s.bears.si:
            yield Trouble(
                s.at,
                f"{s.tag} of {s.stand}, of {s.metal}, {s.far.text} from the flame, may get "
                f"{show(hot.si, 'temperature', '°F')}; it holds up to {s.bears.text}",
                "farther from the flame, steel in place of aluminum, or hottest:, as measured",
                "metal that softens lets a burning burner down, and gives no warning",
            )
    return passed(f"{counted(len(listed), 'piece')} that carry load, as far from flames as stated")
