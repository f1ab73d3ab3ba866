"""How hot `things:` get near the flames, each against its limit: zinc, aluminum, and what burns.

Where a thing is: straight above an outlet (`above:`, from the outlet), some distance from it (`distance:`), or at a
place. Steady: thin sheet over a steady flame is as hot as it gets within minutes. A burst heats for as long as it is
open, where the thing's thickness is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from specc import (
    Citation,
    Constant,
    Context,
    FigureSet,
    Key,
    Limit,
    Trouble,
    Verdict,
    Worked,
    figures,
    judged,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.gas import NET_HEAT
from specc.kinds.geometry import FLAT
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import TIMELINE
from specc.kinds.things import MADE_OF, THINGS, Thing
from specc.model.values import PRACTICE, Scalar
from specc.model.wording import counted
from specc_flame.calc import envelope
from specc_flame.calc.part import part_heat_up, part_temperature, time_alight
from specc_flame.heat import FAR
from specc_flame.keys import HEAT, LENGTH, OPEN, OUTLETS, TIP, UNKNOWN
from specc_flame.sizes import heat_of, offset_of
from specc_flame.targets import BURNS_FLUX, WOOD

TEMPERATURE: Key[FigureSet] = Key("flame.thing_temperature", dict)
ZINC = Limit(
    "flame.zinc_temperature",
    "392 °F",
    "temperature",
    "min",
    "hottest that a zinc coating may get for long",
    Citation("gaa-hot", "service at high temperature: 200 °C for long, 275 °C now and then", "reprint"),
)
ALUMINUM = Limit(
    "flame.aluminum_temperature",
    "400 °F",
    "temperature",
    "min",
    "hottest that aluminum may get: it loses more than half of its strength by 400 to 480 °F",
    Citation("", "", "practice"),
)


class ThingNear(NamedTuple):
    """A thing and an outlet: how far apart, and whether straight above."""

    outlet: str
    apart: Scalar
    above: bool


def near(ctx: Context, thing: Thing) -> tuple[ThingNear, ...]:
    """Each outlet whose distance is known, once: as the thing says it, the nearest, or else from its place."""
    named: dict[str, list[str]] = {}
    for tag, o in ctx[OUTLETS].items():
        for name in (tag, o.effect):
            if name:
                named.setdefault(name, []).append(tag)
    made: dict[str, ThingNear] = {}
    for listed, above in ((thing.distances, False), (thing.above, True)):
        for name, apart in listed:
            for tag in named.get(name, ()):
                if tag not in made or apart.si < made[tag].apart.si:
                    made[tag] = ThingNear(tag, apart, above)
    if thing.place:
        for tag in ctx[OUTLETS]:
            if (tag, thing.place) in ctx[FAR]:
                made.setdefault(tag, ThingNear(tag, ctx[FAR][tag, thing.place], False))
    return tuple(made.values())


def _flux(ctx: Context, thing: Thing, around: tuple[ThingNear, ...]) -> Worked:
    """All flames together, each leaning at it."""
    parts = tuple(
        envelope.flame_flux.work(
            f"heat on {thing.tag} by {n.outlet}",
            heat=heat_of(ctx, n.outlet),
            length=ctx[LENGTH][n.outlet],
            distance=n.apart,
            offset=FLAT if n.above else offset_of(ctx[NETWORK].by_tag[n.outlet]),
        )
        for n in around
    )
    return envelope.total_flux.work(f"heat on {thing.tag}", parts=parts)


# Of steel, zinc and aluminum, aluminum stores the least heat for its thickness: textbook values, rounded down.
_DENSITY = Constant(2700.0, "density", "2,700 kg/m³", PRACTICE)
_STORES = Constant(900.0, "specific_heat", "900 J/(kg·K)", PRACTICE)


@figures(
    TEMPERATURE,
    title="Temperature of {tag} near the flames",
    unit="°F",
    needs=(THINGS, OUTLETS, FAR, LENGTH, TIP, HEAT, OPEN, TIMELINE, NETWORK),
    wants=(NET_HEAT,),
    per_case=True,
)
def temperatures(ctx: Context) -> Mapping[str, Worked]:
    """In the heat of all flames and in the gas of the hottest that reaches it, leaning at it, in the end. Where its
    thickness is said, bursts heat it for as long as they are open, all of a night one after another."""
    made = {}
    for thing in ctx[THINGS]:
        around = near(ctx, thing)
        if not around:
            continue
        hot = _settled(ctx, thing, around)
        bursts = [n for n in around if n.outlet in ctx[OPEN]]
        if bursts and thing.thickness is not None:
            steady = tuple(n for n in around if n.outlet not in ctx[OPEN])
            short = _after_bursts(ctx, thing, around, _settled(ctx, thing, steady) if steady else ctx.case.air)
            hot = min(hot, short, key=lambda t: t.si)  # each is no less than it gets
        made[thing.tag] = hot
    return made


def _settled(ctx: Context, thing: Thing, around: tuple[ThingNear, ...]) -> Worked:
    gas = max((_gas(ctx, thing, n) for n in around), key=lambda g: g.si)
    flux = _flux(ctx, thing, around)
    return part_temperature.work(f"temperature of {thing.tag}", flux=flux, gas=gas, air=ctx.case.air)


def _after_bursts(ctx: Context, thing: Thing, around: tuple[ThingNear, ...], start: Scalar) -> Worked:
    """From what steady flames make of it, which is also taken for the air around, so that it loses less."""
    assert thing.thickness is not None
    shots = max(len(ctx[TIMELINE].shots), 1)
    time = time_alight.work(
        "all bursts of a night",
        times=Constant(float(shots), "count", f"{shots} (bursts of a night)", envelope.COUNTED),
        open_time=max(ctx[OPEN].values(), key=lambda t: t.si),
    )
    return part_heat_up.work(
        f"temperature of {thing.tag} after all bursts",
        flux=_flux(ctx, thing, around),
        time=time,
        thickness=thing.thickness,
        gas=max((_gas(ctx, thing, n) for n in around), key=lambda g: g.si),
        air=start,
        density=_DENSITY,
        heat=_STORES,
    )


def _gas(ctx: Context, thing: Thing, n: ThingNear) -> Scalar:
    """Beside a flame its gas comes only where wind lays it; above it, ever."""
    if not n.above and n.apart.si > ctx[TIP][n.outlet].si:
        return ctx.case.air
    name = f"gas at {thing.tag} by {n.outlet}"
    return envelope.hottest_gas.work(name, heat=heat_of(ctx, n.outlet), distance=n.apart, air=ctx.case.air)


@rule(
    "flame.things",
    level="error",
    statement="Things near the flames stay below what their coating or metal bears, and what burns stays out of flame",
    source=WOOD,
    needs=(THINGS, OUTLETS, UNKNOWN, FAR, LENGTH, TIP, TEMPERATURE, HEAT, NETWORK, OPEN),
    wants=(NET_HEAT, MADE_OF),
    limits=(
        "flame.aluminum_temperature",
        "flame.burns_flux",
        "flame.zinc_temperature",
    ),
)
def things_near(ctx: Context) -> Verdict:
    if not ctx[THINGS] or not ctx[OUTLETS]:
        return not_applicable("no thing is described near a flame")
    made = ctx.get(MADE_OF)
    if made is None:
        return not_checked("what things are made of is not known: nothing reads their materials")
    listed = [t for t in ctx[THINGS] if made[t.tag].zinc or made[t.tag].aluminum or made[t.tag].burns]
    troubles: list[Trouble] = []
    unsaid = [f"what {t.tag} is made of, or coated with" for t in ctx[THINGS] if made[t.tag].asked and t not in listed]
    if not listed and not unsaid:
        return not_applicable("no thing of zinc, aluminum or what burns is described near a flame")
    lost = ctx[UNKNOWN]
    for thing in listed:
        around = near(ctx, thing)
        known = {n.outlet for n in around}
        far = [t for t in ctx[OUTLETS] if t not in known] + [*lost]
        if far:
            more = f" and {len(far) - 2} more" if len(far) > 2 else ""
            unsaid.append(f"how far {thing.tag} is from {' and '.join(far[:2])}{more} (place:, distance: or above:)")
        if not around:
            continue
        if made[thing.tag].burns:
            troubles += _burning(ctx, thing, around)
        else:
            coated = made[thing.tag].zinc
            limit, what = (ctx.limit(ZINC.key), "zinc") if coated else (ctx.limit(ALUMINUM.key), "aluminum")
            brief = thing.thickness is None and any(n.outlet in ctx[OPEN] for n in around)
            hot = ctx[TEMPERATURE][thing.tag]
            if hot.si > limit.si:
                troubles.append(
                    Trouble(
                        thing.at,
                        f"{thing.tag}, of {what}, may get {show(hot.si, 'temperature', '°F')}: {_where(ctx, around)}; "
                        f"the limit is {limit.text}",
                        "farther from the flame, stainless or bare steel there, or a shield that is described"
                        + ("; with its thickness:, bursts count for as long as they burn" if brief else ""),
                        "hot zinc peels and burns to a fume that makes those who breathe it ill"
                        if what == "zinc"
                        else "aluminum loses its strength long before it melts",
                    )
                )
    return judged(troubles, [f"not said: {one}" for one in unsaid], counted(len(listed), "thing"))


def _where(ctx: Context, around: tuple[ThingNear, ...]) -> str:
    """Where it is, from what: above the outlet and above its tip are hundreds of degrees apart."""
    n = min(around, key=lambda n: n.apart.si)
    tip = ctx[TIP][n.outlet].si
    far = show(n.apart.si, "length", "ft", 2)
    if not n.above:
        return f"{far} from {n.outlet}" + (", within its leaning flame" if n.apart.si <= tip else "")
    if n.apart.si <= tip:
        return f"{far} above the outlet {n.outlet}, which is below the tip of its flame"
    return f"{far} above the outlet {n.outlet}, {show(n.apart.si - tip, 'length', 'ft', 2)} above the tip of its flame"


def _burning(ctx: Context, thing: Thing, around: tuple[ThingNear, ...]) -> Iterator[Trouble]:
    limit, q = ctx.limit(BURNS_FLUX.key), _flux(ctx, thing, around).si
    n = min(around, key=lambda n: n.apart.si - ctx[TIP][n.outlet].si)
    inside = n.apart.si <= ctx[TIP][n.outlet].si
    if inside or q > limit.si:
        reach = (
            "lies in the flame"
            if inside
            else f"may get {show(q, 'heat_flux', 'kW/m²', 2)} from all flames, nearest that"
        )
        yield Trouble(
            thing.at,
            f"{thing.tag} ({thing.kind}) {reach} of {n.outlet} when wind lays it flat, "
            f"{show(n.apart.si, 'length', 'ft', 2)} from it",
            f"out of the flame's reach, where it gets less than {limit.text}",
            "dry fabric and wood catch within seconds in a flame",
        )
