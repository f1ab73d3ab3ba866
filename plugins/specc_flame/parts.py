"""How hot cylinders, hoses, solenoid valves and accumulators get at their places, while the show burns as planned.

Steady flames for ever, and on top of that every burst of a night, each as long and as hot as the longest and hottest,
with the shortest pause that the show states between two. From a part that has stood in the sun on the hottest day.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import cast

from specc import (
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
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import SHOW, TIMELINE
from specc.kinds.targets import FLUX
from specc.kinds.weather import CASES
from specc.model.values import Scalar
from specc.model.view import join
from specc.model.wording import counted
from specc_flame.calc import envelope
from specc_flame.calc.part import burst_warming, part_temperature
from specc_flame.heat import places_of
from specc_flame.keys import OPEN, OUTLETS, UNKNOWN
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
PART: Key[FigureSet] = Key("flame.part_temperature", dict)
_NONE = Quantity(0.0, "duration", "0 s (no burst)")


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
    warm: Scalar = max((c.liquid for c in ctx[CASES]), key=lambda t: t.si)
    placed = [o.tag for o in ctx[OUTLETS].values() if o.point]
    shots = len(ctx[TIMELINE].shots)
    longest: Scalar = max(ctx[OPEN].values(), key=lambda t: t.si) if ctx[OPEN] and shots else _NONE
    pause = _pause(ctx)
    times = Constant(float(max(shots, 1)), "count", f"{max(shots, 1)} (bursts of a night)", envelope.COUNTED)
    for part, place in _parts(ctx):
        if place not in ctx[FLUX]:
            continue
        parts = cast("tuple[Scalar, ...]", dict(ctx[FLUX][place].worked.inputs)["q_i"])
        steady = tuple(q for tag, q in zip(placed, parts, strict=True) if tag not in ctx[OPEN])
        bursts = tuple(q for tag, q in zip(placed, parts, strict=True) if tag in ctx[OPEN])
        tag = part.tag if len(set(places_of(part))) == 1 else f"{part.tag}.{place}"
        settled: Worked = part_temperature.work(
            f"{tag} beside steady flames",
            flux=envelope.total_flux.work(f"steady flames at {place}", parts=steady) if steady else _DARK,
            gas=warm,
            air=warm,
        )
        if bursts and longest.si > 0:
            settled = burst_warming.work(
                f"{tag} after all bursts",
                flux=envelope.total_flux.work(f"bursts at {place}", parts=bursts),
                time=longest,
                times=times,
                pause=pause,
                steady=envelope.total_flux.work(f"steady flames at {place}", parts=steady) if steady else _DARK,
                air=warm,
            )
        made[tag] = settled
    return made


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
                    f"{part.tag}, at {place}, may get {show(hot.si, 'temperature', '°F')}; it may get "
                    f"{show(limit.si, 'temperature', '°F')}",
                    "farther from the flames, or a shield that is described; with every: of bursts, their pauses count",
                    "a hot cylinder lets gas out, a soft hose parts at its end, and a hot coil no longer works",
                )
            )
    places = f"{counted(looked, 'place')} of parts"
    return judged(troubles, list(dict.fromkeys(unsaid)), places)._replace(tags=tuple(typed) or ("",))
