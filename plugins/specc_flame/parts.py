"""How hot cylinders, hoses, solenoid valves, accumulators and what holds burners up get, as the show is planned.

Steady flames for ever, and on top of that every burst of a night, each as long and as hot as the longest and hottest,
with the shortest pause that the show states between two. From a part that has stood in the sun on the hottest day.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import cast

from specc import (
    CHOICE,
    Citation,
    Constant,
    Context,
    FigureSet,
    Key,
    Limit,
    Quantity,
    Trouble,
    Verdict,
    Worked,
    figures,
    judged,
    not_applicable,
    rule,
    show,
)
from specc.kinds.gas import NET_HEAT
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import SHOW, TIMELINE
from specc.kinds.targets import FLUX
from specc.kinds.things import SUPPORTS
from specc.kinds.weather import CASES
from specc.model.passes import Judging, passed
from specc.model.values import Scalar
from specc.model.view import join
from specc.model.wording import counted
from specc_flame.calc import envelope
from specc_flame.calc.part import burst_warming, part_temperature
from specc_flame.heat import places_of
from specc_flame.keys import HEAT, LENGTH, OPEN, OUTLETS, UNKNOWN
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
SUPPORT: Key[FigureSet] = Key("flame.support_temperature", dict)
PART: Key[FigureSet] = Key("flame.part_temperature", dict)


def _parts(ctx: Context) -> Iterator[tuple[Part, str]]:
    for part in ctx[NETWORK].of_kind("cylinder", "hose", "valve", "accumulator"):
        if part.kind != "valve" or part.form == "solenoid":
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
    statement="Cylinders, hoses, solenoid valves and accumulators stay as cool as they have to while the show burns",
    source=HOSE.citation,
    needs=(NETWORK, FLUX, PART, OUTLETS, UNKNOWN),
    reads=("flame",),
    limits=("flame.cylinder_temperature", "flame.gas_flux", "flame.hose_temperature"),
    rests_on=("flame.hottest",),
)
def part_heat(ctx: Context) -> Verdict:
    """A part that gets no more than a cylinder may is hardly warmer than the sun makes it, and wants no limit."""
    listed = list(_parts(ctx))
    if not listed or not ctx[OUTLETS]:
        return not_applicable("no cylinder, hose, solenoid valve or accumulator near a flame")
    allowed, troubles, looked = ctx.spec("flame").child("hottest"), [], 0
    typed: dict[str, None] = {}
    unsaid = [f"the flame of {t} is not known" for t in ctx[UNKNOWN]]
    for part, place in listed:
        hot = ctx[PART].get(part.tag) or ctx[PART].get(f"{part.tag}.{place}")
        if hot is None:
            unsaid.append(f"nothing says where {part.tag} is")
            continue
        looked += 1
        own = {"hose": HOSE, "cylinder": CYLINDER}.get(part.kind)
        limit: Scalar | None = ctx.limit(own.key) if own else None
        if allowed.has(part.tag):
            said = allowed.quantity(part.tag)
            typed[part.tag] = None
            limit = said if limit is None or said.si < limit.si else limit  # a maker's word loosens no rule
        if limit is None:
            if ctx[FLUX][place].si > ctx.limit(GAS_FLUX.key).si:
                unsaid.append(
                    f"{part.tag} may get {show(hot.si, 'temperature', '°F')}, and nothing says how hot its maker lets "
                    f"it get (flame: hottest: {part.tag}:)"
                )
            continue
        if hot.si > limit.si:
            troubles.append(
                Trouble(
                    join(part.at, "place"),
                    f"{part.tag}, at {place}, may get {show(hot.si, 'temperature', '°F')}; the limit is "
                    f"{show(limit.si, 'temperature', '°F')}",
                    "farther from the flames, or a shield that is described; with every: of bursts, their pauses count",
                    "a hot cylinder lets gas out, a soft hose parts at its end, and a hot coil no longer works",
                )
            )
    places = f"{counted(looked, 'place')} of parts"
    return judged(troubles, list(dict.fromkeys(unsaid)), places)._replace(tags=tuple(typed) or ("",))


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
    yield from [f"the flame of {t} is not known" for t in ctx[UNKNOWN] if any(t in s.holds for s in listed)]
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
