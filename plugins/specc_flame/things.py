"""How hot `things:` and parts get near the flames, each against its limit: zinc, lead, aluminum, paint, what burns.

Where a thing is: straight above an outlet (`above:`, from the outlet), some distance from it (`distance:`), or at a
place, as parts are. Steady: thin sheet over a steady flame is as hot as it gets within minutes. A burst heats for as
long as it is open, where a thing's thickness is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from specc import (
    Citation,
    Constant,
    Context,
    Cure,
    FigureSet,
    Judging,
    Key,
    Limit,
    Move,
    Trouble,
    Unchecked,
    Worked,
    answers_of,
    figures,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
    value,
)
from specc.formulas.distances import clear_distance
from specc.kinds.gas import NET_HEAT
from specc.kinds.geometry import FLAT
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.things import MADE_OF, PARTS_MADE_OF, THINGS, HeatHarm, InHeat, Thing
from specc.kinds.weather import CASES, WIND
from specc.measure.printing import past
from specc.model.values import PRACTICE, Quantity, Scalar
from specc.model.view import join
from specc.model.wording import counted, several
from specc_flame.calc import envelope
from specc_flame.calc.part import part_heat_up, part_temperature, time_alight
from specc_flame.calc.sources import STEFAN
from specc_flame.heat import STANDS, places_of
from specc_flame.keys import BALL, HEAT, LENGTH, OPEN, OUTLETS, TIP, UNKNOWN
from specc_flame.moves import MOVES_NEED, far_enough, off
from specc_flame.overhead import OVERHEAD
from specc_flame.sizes import heat_of, offset_of, stop_wind
from specc_flame.targets import BURNS_FLUX, WOOD

TEMPERATURE: Key[FigureSet] = Key("flame.thing_temperature", dict)
AT_PLACE: Key[FigureSet] = Key("flame.temperature_at", dict)
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
    PRACTICE,
)
LEAD = Limit(
    "flame.lead_temperature",
    "450 °F",
    "temperature",
    "min",
    "hottest that lead and cadmium may get: cadmium plate is used to 450 °F, and both melt from 610 °F on",
    PRACTICE,
)
BRASS = Limit(
    "flame.brass_temperature",
    "600 °F",
    "temperature",
    "min",
    "hottest that brass, or a bronze rich in zinc, may get: well below where it glows and gives off zinc",
    PRACTICE,
)
PAINT = Limit(
    "flame.paint_temperature",
    "250 °F",
    "temperature",
    "min",
    "hottest that paint, powder or plastic coats may get before they blister and smoke",
    PRACTICE,
)
BRAZED = Limit(
    "flame.brazed_temperature",
    "350 °F",
    "temperature",
    "min",
    "hottest that a brazed joint that holds gas may get in service",
    Citation("cda-a4015", "brazed joints of copper tube, service to 350 °F", "reprint"),
)
_FUME = "hot zinc peels and burns to a fume that makes those who breathe it ill"
_POISON = "lead melts and cadmium boils off in a flame, and their fumes poison whoever breathes them, for good"
# What a temperature harms, its limit, and why. Brass and paint are warned of: no published source has their limit.
HARMED: dict[HeatHarm, tuple[Limit, str]] = {
    "zinc": (ZINC, _FUME),
    "lead": (LEAD, _POISON),
    "cadmium": (LEAD, _POISON),
    "aluminum": (ALUMINUM, "aluminum loses its strength long before it melts"),
    "brazed": (BRAZED, "a joint that softens lets gas out beside the flame"),
    "brass": (BRASS, "brass that glows gives off its zinc as a fume"),
    "paint": (PAINT, "paint that blisters smokes, and burns by itself in a flame"),
}
_WARNED = ("brass", "paint")


class OutletNear(NamedTuple):
    """An outlet by something, and how far. `above`: straight above it, as said. `gas`: its hot gas counts wherever it
    is, not only as far as wind lays its flame: above it, or where no height is said. `aside`: how far is said, and
    neither above it nor beside it: it is judged as beside, and passes if above it would pass too."""

    outlet: str
    apart: Scalar
    above: bool
    gas: bool
    aside: bool = False


class HeatedItem(NamedTuple):
    """A thing, or a part at one of its places (`place`, else ""), with each outlet whose distance is known."""

    tag: str
    place: str
    at: str
    made: InHeat
    around: tuple[OutletNear, ...]
    thickness: Quantity | None


ITEMS: Key[Sequence[HeatedItem]] = Key("flame.in_heat", tuple)
UNPLACED: Key[Sequence[str]] = Key("flame.nowhere", tuple)
"""Parts that heat harms and that have no place with coordinates."""


def _beside(ctx: Context, place: str) -> tuple[OutletNear, ...]:
    """Each outlet by a place, as the crow flies; on the level where a height is not said."""
    stand = ctx[STANDS][place]
    made = []
    for tag, o in ctx[OUTLETS].items():
        if o.point is None:
            continue
        apart = clear_distance(o.point, stand.shape, FLAT, FLAT, f"{tag} to {place}")
        ground, low, z = stand.ground, stand.low, o.point.z
        gas = ground is None or low is None or z is None or max(ground.si, low.si) > z.si + 1e-9
        made.append(OutletNear(tag, apart, False, gas))
    return tuple(made)


def near(ctx: Context, thing: Thing) -> tuple[OutletNear, ...]:
    """Each outlet whose distance is known, once: as the thing says it, the nearest, or else from its place."""
    named: dict[str, list[str]] = {}
    places = {e.tag: e.place for e in ctx[EFFECTS]}
    for tag, o in ctx[OUTLETS].items():
        for name in dict.fromkeys((tag, o.effect, places.get(o.effect, ""))):
            if name:
                named.setdefault(name, []).append(tag)
    placed = {n.outlet: n for n in _beside(ctx, thing.place)} if thing.place in ctx[STANDS] else {}
    made: dict[str, OutletNear] = {}
    for listed, above in ((thing.distances, False), (thing.above, True)):
        for name, apart in listed:
            for tag in named.get(name, ()):
                if tag not in made or apart.si < made[tag].apart.si:
                    over = above or (tag in placed and placed[tag].gas)
                    made[tag] = OutletNear(tag, apart, above, over, not above and tag not in placed)
    for tag, one in placed.items():
        made.setdefault(tag, one)
    return tuple(made.values())


@value(ITEMS, needs=(THINGS, OUTLETS, STANDS, NETWORK, EFFECTS), wants=(MADE_OF, PARTS_MADE_OF))
def in_heat(ctx: Context) -> Sequence[HeatedItem]:
    """All things, and the parts that heat harms, at their places."""
    nothing, things = InHeat((), ""), ctx.get(MADE_OF) or {}
    made = [HeatedItem(t.tag, "", t.at, things.get(t.tag, nothing), near(ctx, t), t.thickness) for t in ctx[THINGS]]
    by_place: dict[str, tuple[OutletNear, ...]] = {}
    for tag, harmed in (ctx.get(PARTS_MADE_OF) or {}).items():
        part = ctx[NETWORK].by_tag[tag]
        for place in dict.fromkeys(places_of(part)) if harmed.harms else ():
            if place in ctx[STANDS]:
                around = by_place.setdefault(place, _beside(ctx, place)) if place not in by_place else by_place[place]
                made.append(HeatedItem(tag, place, join(part.at, "place"), harmed, around, None))
    return tuple(made)


@value(UNPLACED, needs=(NETWORK, STANDS), wants=(PARTS_MADE_OF,))
def unplaced(ctx: Context) -> Sequence[str]:
    lost = []
    for tag, harmed in (ctx.get(PARTS_MADE_OF) or {}).items():
        places = places_of(ctx[NETWORK].by_tag[tag])
        if harmed.harms and (not places or any(p not in ctx[STANDS] for p in places)):
            lost.append(tag)
    return tuple(lost)


def _flux(ctx: Context, tag: str, around: tuple[OutletNear, ...]) -> Worked:
    """All flames together, each leaning at it."""
    parts = tuple(
        envelope.flame_flux.work(
            f"heat on {tag} by {n.outlet}",
            heat=heat_of(ctx, n.outlet),
            length=ctx[LENGTH][n.outlet],
            distance=n.apart,
            offset=FLAT if n.above else offset_of(ctx[NETWORK].by_tag[n.outlet]),
        )
        for n in around
    )
    return envelope.total_flux.work(f"heat on {tag}", parts=parts)


# Of steel, zinc and aluminum, aluminum stores the least heat for its thickness: textbook values, rounded down.
_DENSITY = Constant(2700.0, "density", "2,700 kg/m³", PRACTICE)
_STORES = Constant(900.0, "specific_heat", "900 J/(kg·K)", PRACTICE)
_NEEDS = (ITEMS, OUTLETS, LENGTH, TIP, HEAT, OPEN, TIMELINE, NETWORK)


@figures(
    TEMPERATURE,
    title="Temperature of {tag} near the flames",
    unit="°F",
    needs=_NEEDS,
    wants=(NET_HEAT,),
    per_case=True,
)
def temperatures(ctx: Context) -> Mapping[str, Worked]:
    """In the heat of all flames and in the gas of the hottest that reaches it, leaning at it, in the end. Where its
    thickness is said, bursts heat it for as long as they are open, all of a night one after another."""
    made = {}
    for item in ctx[ITEMS]:
        if item.place or not item.around:
            continue
        hot = _settled(ctx, item.tag, item.around)
        bursts = [n for n in item.around if n.outlet in ctx[OPEN]]
        if bursts and item.thickness is not None:
            steady = tuple(n for n in item.around if n.outlet not in ctx[OPEN])
            short = _after_bursts(ctx, item, _settled(ctx, item.tag, steady) if steady else ctx.case.air)
            hot = min(hot, short, key=lambda t: t.si)  # each is no less than it gets
        made[item.tag] = hot
    return made


@figures(
    AT_PLACE,
    title="Temperature of thin metal at {tag}, where parts are that heat harms",
    unit="°F",
    needs=_NEEDS,
    wants=(NET_HEAT,),
    per_case=True,
)
def at_places(ctx: Context) -> Mapping[str, Worked]:
    """As if bursts lasted: how thick a part is, is not known."""
    around = {item.place: item.around for item in ctx[ITEMS] if item.place and item.around}
    return {place: _settled(ctx, place, near) for place, near in around.items()}


def _settled(ctx: Context, tag: str, around: tuple[OutletNear, ...]) -> Worked:
    gas = max((_gas(ctx, tag, n) for n in around), key=lambda g: g.si)
    return part_temperature.work(f"temperature of {tag}", flux=_flux(ctx, tag, around), gas=gas, air=ctx.case.air)


def _after_bursts(ctx: Context, item: HeatedItem, start: Scalar) -> Worked:
    """From what steady flames make of it, which is also taken for the air around, so that it loses less."""
    assert item.thickness is not None
    shots = max(len(ctx[TIMELINE].shots), 1)
    time = time_alight.work(
        "all bursts of a night",
        times=Constant(float(shots), "count", f"{shots} (bursts of a night)", envelope.COUNTED),
        open_time=max(ctx[OPEN].values(), key=lambda t: t.si),
    )
    return part_heat_up.work(
        f"temperature of {item.tag} after all bursts",
        flux=_flux(ctx, item.tag, item.around),
        time=time,
        thickness=item.thickness,
        gas=max((_gas(ctx, item.tag, n) for n in item.around), key=lambda g: g.si),
        air=start,
        density=_DENSITY,
        heat=_STORES,
    )


def _gas(ctx: Context, tag: str, n: OutletNear) -> Scalar:
    """Beside a flame its gas comes only where wind lays it; above it, ever."""
    if not n.gas and n.apart.si > ctx[TIP][n.outlet].si:
        return ctx.case.air
    name = f"gas at {tag} by {n.outlet}"
    return envelope.hottest_gas.work(name, heat=heat_of(ctx, n.outlet), distance=n.apart, air=ctx.case.air)


@rule(
    "flame.things",
    level="error",
    statement="Things and parts near flames stay below what their coating or metal bears, and what burns out of flame",
    source=WOOD,
    needs=(*_NEEDS, *MOVES_NEED, THINGS, UNPLACED, UNKNOWN, TEMPERATURE, AT_PLACE, CASES, BALL, WIND),
    wants=(NET_HEAT, MADE_OF, PARTS_MADE_OF),
    limits=(
        "flame.aluminum_temperature",
        "flame.brass_temperature",
        "flame.brazed_temperature",
        "flame.burns_flux",
        "flame.lead_temperature",
        "flame.overhead_temperature",
        "flame.paint_temperature",
        "flame.zinc_temperature",
    ),
    recalls=(STEFAN.citation,),
)
def things_near(ctx: Context) -> Judging:
    made, parts = ctx.get(MADE_OF), ctx.get(PARTS_MADE_OF)
    if not ctx[OUTLETS] or not (ctx[THINGS] or parts):
        return not_applicable("no thing is described near a flame")
    if made is None:
        return not_checked("what things are made of is not known: nothing reads their materials")
    asked = [m.asked for m in (*made.values(), *(parts or {}).values()) if m.asked]
    more = f"; so of {len(asked) - 1} more" if len(asked) > 1 else ""
    unsaid = [Unchecked(f"{asked[0]}{more}", *answers_of(*asked))] if asked else []
    if ctx[UNPLACED]:
        said = f"where {several(ctx[UNPLACED], 2)} {'is' if len(ctx[UNPLACED]) == 1 else 'are'} (place:)"
        unsaid.append(Unchecked(said, *(join("/plumbing/parts", tag, "place") for tag in ctx[UNPLACED])))
    listed = [item for item in ctx[ITEMS] if item.made.harms]
    if not listed and not unsaid:
        return not_applicable("nothing that heat harms is described near a flame")
    for item in listed:
        known = {n.outlet for n in item.around}
        far = [t for t in ctx[OUTLETS] if t not in known] + [*ctx[UNKNOWN]]
        if far:
            more = f" and {len(far) - 2} more" if len(far) > 2 else ""
            how = "" if item.place else " (place:, distance: or above:)"
            said = f"how far {item.tag} is from {' and '.join(far[:2])}{more}{how}"
            at = [item.at] if item.place else [join(item.at, key) for key in ("place", "distance", "above")]
            unsaid.append(Unchecked(said, *at))
        if item.around:
            found = list(_judged(ctx, item))
            yield from found
            if not found and (over := _if_above(ctx, item)):
                said = f"whether {item.tag} is above {over} or beside it (above: or place:)"
                unsaid.append(Unchecked(said, join(item.at, "above"), join(item.at, "place")))
    things = [i for i in listed if not i.place]
    looked = [counted(len(things), "thing")] if things else []
    looked += [counted(len(listed) - len(things), "place") + " of parts"] if len(listed) > len(things) else []
    yield from (Unchecked(f"not said: {one}", *answers_of(one)) for one in unsaid)
    return passed(" and ".join(looked) or "nothing")


def _judged(ctx: Context, item: HeatedItem) -> Iterator[Trouble]:
    harms = dict(item.made.harms)
    if "burns" in harms:
        yield from _burning(ctx, item)
        return
    hot = (ctx[AT_PLACE] if item.place else ctx[TEMPERATURE])[item.place or item.tag]
    over = [harm for harm in HARMED if harm in harms and hot.si > ctx.limit(HARMED[harm][0].key).si]
    if not over:
        return
    # The gravest is listed first.
    limit, why = ctx.limit(HARMED[over[0]][0].key), HARMED[over[0]][1]
    brief = not item.place and item.thickness is None and any(n.outlet in ctx[OPEN] for n in item.around)
    yield Trouble(
        item.at,
        f"{item.tag}, {harms[over[0]]}, may get {past(hot.si, limit.si, 'temperature', '°F')}: "
        f"{_where(ctx, item.around)}; the limit is {limit.text}",
        "farther from the flame, another metal or coating there, or a shield that is described"
        + ("; with its thickness:, bursts count for as long as they burn" if brief else ""),
        why,
        "warning" if over[0] in _WARNED else None,
        cure=_enough(item, lambda more: _metal(ctx, item.around, more) <= limit.si),
        moves=_moves(ctx, item, min(item.around, key=lambda n: n.apart.si).outlet),
    )


def _moves(ctx: Context, item: HeatedItem, outlet: str) -> tuple[Move, ...]:
    """Of what stands at a place; of a thing that is only said to be so far off there is none to move."""
    place = item.place or next((t.place for t in ctx[THINGS] if t.tag == item.tag), "")
    return off(ctx, place, outlet) if place else ()


def _if_above(ctx: Context, item: HeatedItem) -> str:
    """The outlet over which it may hang for all that is said, and would get too hot; "" for none."""
    air = max(c.air.si for c in ctx[CASES])
    gases = {
        n.outlet: envelope.hottest_gas(heat_of(ctx, n.outlet).si, n.apart.si, air).value for n in item.around if n.aside
    }
    if not gases:
        return ""
    outlet = max(gases, key=lambda tag: gases[tag])
    harms = dict(item.made.harms)
    if "burns" in harms:
        return outlet if gases[outlet] > ctx.limit(OVERHEAD.key).si else ""
    hot = part_temperature(_flux(ctx, item.tag, item.around).si, gases[outlet], air).value
    graver = [harm for harm in HARMED if harm in harms and harm not in _WARNED]
    return outlet if any(hot > ctx.limit(HARMED[harm][0].key).si for harm in graver) else ""


def _metal(ctx: Context, around: tuple[OutletNear, ...], more: float) -> float:
    """How hot metal gets that is moved straight away from all flames, in the hottest air, K."""
    air = max(c.air.si for c in ctx[CASES])
    flux, gas = 0.0, air
    for n in around:
        heat, far = heat_of(ctx, n.outlet).si, n.apart.si + more
        out = 0.0 if n.above else offset_of(ctx[NETWORK].by_tag[n.outlet]).si
        flux += envelope.flame_flux(heat, ctx[LENGTH][n.outlet].si, far, 0.0, 0.0, out).value
        if n.gas or n.aside or far <= ctx[TIP][n.outlet].si:
            gas = max(gas, envelope.hottest_gas(heat, far, air).value)
    return part_temperature(flux, gas, air).value


def _unburned(ctx: Context, around: tuple[OutletNear, ...], more: float) -> bool:
    """Whether what burns is out of every flame, its heat and its hot gas there."""
    air = max(c.air.si for c in ctx[CASES])
    moved = tuple(n._replace(apart=Quantity(n.apart.si + more, "length", "")) for n in around)
    return (
        all(n.apart.si > ctx[TIP][n.outlet].si for n in moved)
        and sum(_worst(ctx, n) for n in moved) <= ctx.limit(BURNS_FLUX.key).si
        and all(
            envelope.hottest_gas(heat_of(ctx, n.outlet).si, n.apart.si, air).value <= ctx.limit(OVERHEAD.key).si
            for n in moved
            if n.gas or n.aside
        )
    )


def _enough(item: HeatedItem, passes: Callable[[float], bool]) -> Cure | None:
    return far_enough([(n.outlet, n.apart, n.above) for n in item.around], passes)


def _where(ctx: Context, around: tuple[OutletNear, ...]) -> str:
    """Where it is, from what: above the outlet and above its tip are hundreds of degrees apart."""
    n = min(around, key=lambda n: n.apart.si)
    tip = ctx[TIP][n.outlet].si
    far = show(n.apart.si, "length", "ft", 2)
    if not n.above:
        return f"{far} from {n.outlet}" + (", within its leaning flame" if n.apart.si <= tip else "")
    if n.apart.si <= tip:
        return f"{far} above the outlet {n.outlet}, which is below the tip of its flame"
    return f"{far} above the outlet {n.outlet}, {show(n.apart.si - tip, 'length', 'ft', 2)} above the tip of its flame"


def _worst(ctx: Context, n: OutletNear) -> float:
    """W/m2 from one outlet: its flame, or the ball of gas of its burst, which burns too briefly to warm metal."""
    far, out = n.apart.si, 0.0 if n.above else offset_of(ctx[NETWORK].by_tag[n.outlet]).si
    flame = envelope.flame_flux(heat_of(ctx, n.outlet).si, ctx[LENGTH][n.outlet].si, far, 0.0, 0.0, out).value
    if n.outlet not in ctx[BALL]:
        return flame
    return max(flame, envelope.ball_flux(ctx[BALL][n.outlet].si, far, stop_wind(ctx).si, 0.0, 0.0, out).value)


def _burning(ctx: Context, item: HeatedItem) -> Iterator[Trouble]:
    """Out of the flame laid flat, out of its heat, and over it out of hot gas, by the level for what hangs there."""
    limit, q = ctx.limit(BURNS_FLUX.key), sum(_worst(ctx, n) for n in item.around)
    n = min(item.around, key=lambda n: n.apart.si - ctx[TIP][n.outlet].si)
    far, inside = show(n.apart.si, "length", "ft", 2), n.apart.si <= ctx[TIP][n.outlet].si
    what = f"{item.tag}, {dict(item.made.harms)['burns']},"
    fix = f"out of the flame's reach, where it gets less than {limit.text}"
    if inside or q > limit.si:
        reach = "lies in the flame" if inside else f"may get {show(q, 'heat_flux', 'kW/m²', 2)} from all, nearest that"
        said = f"{what} {reach} of {n.outlet} when wind lays it flat, {far} from it"
        why = "dry fabric and wood catch within seconds in a flame"
        cure = _enough(item, lambda more: _unburned(ctx, item.around, more))
        yield Trouble(item.at, said, fix, why, cure=cure, moves=_moves(ctx, item, n.outlet))
        return
    warm, air = ctx.limit(OVERHEAD.key), max(c.air.si for c in ctx[CASES])
    over = [(envelope.hottest_gas(heat_of(ctx, n.outlet).si, n.apart.si, air).value, n) for n in item.around if n.gas]
    if over:
        gas, n = max(over, key=lambda pair: pair[0])
        if gas > warm.si:
            apart = f"{show(n.apart.si, 'length', 'ft', 2)} {'above' if n.above else 'from'} {n.outlet}"
            yield Trouble(
                item.at,
                f"{what} is {apart}, in gas of {show(gas, 'temperature', '°F')}; the limit is {warm.text}",
                "more height between, or another material",
                "what hangs in hot gas dries, chars and then catches",
                cure=_enough(item, lambda more: _unburned(ctx, item.around, more)),
                moves=_moves(ctx, item, n.outlet),
            )
