"""Whether gas turns liquid in a cold vessel, hose or riser behind a regulator, and how high it may be set that night.

The danger is a warm supply (afternoon sun, a water bath) that feeds something colder, at dawn above all. What
stands at rest behind a regulator is the smaller of its lock-up and the warmest supply's own pressure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from specc import (
    CHOICE,
    Citation,
    Context,
    Cure,
    Equation,
    Limit,
    Quantity,
    Symbol,
    Trouble,
    Unchecked,
    Worked,
    answers_of,
    figure,
    figures,
    not_applicable,
    psig,
    rule,
    show,
)
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONES, Network, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.calc import condensing
from specc_fuel.keys import AT_REST, DEW_PRESSURE, HIGHEST_SETTING, WARMEST_SUPPLY
from specc_fuel.outlets.relief import FIRE, RELIEVED, shut_off

BUTANE = Limit(
    "fuel.n_butane",
    "2.5 %",
    "ratio",
    "max",
    "n-butane taken to be in the vapor where the spec does not state what the gas is made of",
    Citation("gpa-2140", "HD-5 propane: butane and heavier, at most 2.5 % of the liquid", "memory"),
)
MARGIN = Limit(
    "fuel.dew_margin",
    "5 psi",
    "pressure_difference",
    "max",
    "how far a regulator's lock-up is kept below the condensation pressure",
    CHOICE,
)

_COMMERCIAL = Equation(
    forms=(("", "p_v = p*(1 + x)"),),
    symbols=(
        Symbol("p_v", "gauge_pressure", "pressure of the warmest supply, of commercial propane"),
        Symbol("p", "gauge_pressure", "the same of pure propane"),
        Symbol("x", "ratio", "how much higher commercial propane stands"),
    ),
    citations=(Citation("lp-gas-handbook", "vapor pressure of commercial propane, 70 °F to 130 °F", "reprint"),),
)

_LOCKED = Equation(
    forms=(("stated", "p = p_l"), ("taken", "p = p_s*(1 + x)")),
    symbols=(
        Symbol("p", "gauge_pressure", "lock-up pressure behind the regulator"),
        Symbol("p_l", "gauge_pressure", "its lock-up as stated"),
        Symbol("p_s", "gauge_pressure", "its highest setting, or its setting"),
        Symbol("x", "ratio", "how far lock-up is taken to stand above the setting"),
    ),
    citations=(CHOICE,),
)


def _coldest(ctx: Context) -> Quantity:
    stated = ctx.spec("gas").quantity_or_none("coldest_wall")
    return stated or min((c.air for c in ctx[CASES]), key=lambda q: q.si)


def _shares(ctx: Context) -> tuple[Quantity, Quantity]:
    """n-butane and isobutane in the vapor: as stated, or as commercial propane may have it."""
    gas = ctx.spec("gas")
    none = Quantity(0.0, "ratio", "0 %")
    n_butane = gas.quantity_or_none("n_butane")
    iso = gas.quantity_or_none("isobutane")
    return n_butane or ctx.limit(BUTANE.key), iso or none


@figure(
    DEW_PRESSURE,
    title="Condensation pressure at the coldest surface: above it gas turns liquid there",
    unit="psig",
    worst="min",
    decision=True,
    needs=(AIR_PRESSURE, CASES),
    reads=("gas",),
    limits=("fuel.n_butane",),
)
def dew(ctx: Context) -> Worked:
    n_butane, iso = _shares(ctx)
    return condensing.dew_pressure.work(
        "condensation pressure",
        wall_temperature=_coldest(ctx),
        n_butane=n_butane,
        isobutane=iso,
        ambient=ctx[AIR_PRESSURE],
    )


@figure(
    WARMEST_SUPPLY,
    title="Pressure of the warmest supply, commercial propane",
    unit="psig",
    needs=(CYLINDER_PRESSURE,),
    limits=("fuel.commercial_margin",),
)
def warmest(ctx: Context) -> Worked:
    """Of the hottest case's liquid, or of a water bath that is warmer."""
    hot, x = ctx[CYLINDER_PRESSURE], ctx.limit("fuel.commercial_margin")
    return Worked(hot.si * (1 + x.si), "gauge_pressure", _COMMERCIAL, (("p", hot), ("x", x)), name="warmest supply")


def holding(net: Network, regulator: Part) -> tuple[Part, ...]:
    """What holds gas at rest behind a regulator: up to the first valve and past it, up to the next regulator."""
    further = {p.tag for r in net.downstream(regulator.tag) if r.kind == "regulator" for p in net.downstream(r.tag)}
    return tuple(p for p in net.downstream(regulator.tag) if p.tag not in further and p.kind != "regulator")


@figures(AT_REST, title="Lock-up pressure behind {tag}", unit="psig", needs=(NETWORK,), limits=("fuel.lock_up",))
def at_rest(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for r in ctx[NETWORK].of_kind("regulator"):
        stated = r.spec.quantity_or_none("lock_up")
        name = f"lock-up of {r.tag}"
        if stated is not None and stated.si >= r.spec.quantity("set").si:
            made[r.tag] = Worked(stated.si, "gauge_pressure", _LOCKED, (("p_l", stated),), "stated", name=name)
        else:
            x, setting = ctx.limit("fuel.lock_up"), r.spec.quantity("set")
            si = setting.si * (1 + x.si)
            made[r.tag] = Worked(si, "gauge_pressure", _LOCKED, (("p_s", setting), ("x", x)), "taken", name=name)
    return made


@figures(
    HIGHEST_SETTING,
    title="Highest setting of {tag} that keeps gas from turning liquid that night",
    unit="psig",
    worst="min",
    needs=(AT_REST, DEW_PRESSURE, NETWORK),
    limits=("fuel.dew_margin", "fuel.lock_up"),
)
def highest_setting(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for tag, locked in ctx[AT_REST].items():
        setting = ctx[NETWORK].by_tag[tag].spec.quantity("set")
        margin = ctx.limit(MARGIN.key)
        if locked.worked.regime == "taken":
            # Lock-up is taken as a share above any setting, so that a lower setting locks up lower too.
            x = ctx.limit("fuel.lock_up")
            si = (ctx[DEW_PRESSURE].si - margin.si) / (1 + x.si)
            if si > 0:
                inputs = (("p_d", ctx[DEW_PRESSURE]), ("p_m", margin), ("x", x))
                made[tag] = Worked(si, "gauge_pressure", _SHARED, inputs, name=f"highest setting of {tag}")
            continue
        rise = Worked(
            locked.si - setting.si, "pressure_difference", _RISE, (("p_l", locked), ("p_s", setting)), name="rise"
        )
        if ctx[DEW_PRESSURE].si - ctx.limit(MARGIN.key).si - rise.si <= 0:
            continue  # none is safe, as the rule on condensing says
        made[tag] = condensing.highest_setting.work(
            f"highest setting of {tag}", dew=ctx[DEW_PRESSURE], margin=ctx.limit(MARGIN.key), lock_up_rise=rise
        )
    return made


_SHARED = Equation(
    forms=(("", "p = (p_d - p_m)/(1 + x)"),),
    symbols=(
        Symbol("p", "gauge_pressure", "highest set pressure, gauge"),
        Symbol("p_d", "gauge_pressure", "condensation pressure at the coldest surface"),
        Symbol("p_m", "pressure_difference", "margin that is kept"),
        Symbol("x", "ratio", "how far lock-up is taken to stand above a setting"),
    ),
    citations=(CHOICE,),
    validity="for the condensation pressure at the coldest surface of that night; the margin is the reader's choice",
)

_RISE = Equation(
    forms=(("", "p_r = p_l - p_s"),),
    symbols=(
        Symbol("p_r", "pressure_difference", "how far lock-up stands above the setting"),
        Symbol("p_l", "gauge_pressure", "lock-up"),
        Symbol("p_s", "gauge_pressure", "setting"),
    ),
    citations=(CHOICE,),
)


def _relieved(net: Network, part: Part) -> bool:
    """Whether a relief valve stands on a vessel with nothing that closes between, or behind it."""
    stops = ("valve", "regulator", "cylinder")
    met = net.walk((part.tag,), net.near, lambda p: p.form == "relief" or p.kind in stops)
    return any(p.form == "relief" and shut_off(net, p) is None for p in map(net.by_tag.__getitem__, met))


def _collects(ctx: Context, part: Part, locked: float) -> str:
    """How much liquid an accumulator may collect, in words."""
    n_butane, iso = _shares(ctx)
    liquid = condensing.fed_liquid.work(
        f"liquid in {part.tag}",
        volume=part.spec.quantity("volume"),
        lock_up=ctx[AT_REST][_regulator_of(ctx[NETWORK], part).tag],
        supply_pressure=ctx[WARMEST_SUPPLY],
        wall_temperature=_coldest(ctx),
        n_butane=n_butane,
        isobutane=iso,
        ambient=ctx[AIR_PRESSURE],
    )
    return f"{part.tag} could collect up to {show(liquid.si, 'mass', 'lb', 2)} of liquid"


def _regulator_of(net: Network, part: Part) -> Part:
    return max((p for p in net.upstream(part.tag) if p.kind == "regulator"), key=lambda r: r.spec.quantity("set").si)


@rule(
    "fuel.condensation",
    level="error",
    statement="Behind each regulator, lock-up or the warmest supply stays below the condensation pressure of the night",
    source=Citation("lemmon-2009", "vapor pressure; blends by Raoult's law", "computed"),
    needs=(AT_REST, HIGHEST_SETTING, WARMEST_SUPPLY, DEW_PRESSURE, NETWORK, ZONES, AIR_PRESSURE, CASES),
    reads=("gas",),
    limits=("fuel.n_butane",),
)
def no_condensation(ctx: Context) -> Judging:
    net, dew_point, warmest = ctx[NETWORK], ctx[DEW_PRESSURE], ctx[WARMEST_SUPPLY]
    unregulated = [p for p in net.of_kind("accumulator") if ctx[ZONES].get(p.tag) == SUPPLY]
    if not ctx[AT_REST] and not unregulated:
        return not_applicable("no regulator is described")
    yield from (
        Trouble(
            part.at,
            f"{part.tag} is filled without a regulator, up to {psig(warmest.si)}, and gas turns liquid above "
            f"{psig(dew_point.si)} on a wall of {_coldest(ctx).text}",
            "a regulator before it, set to what stays gas that night",
            "a burst throws the liquid, which burns as a falling pool some 270 times its volume",
        )
        for part in unregulated
        if warmest.si > dew_point.si
    )
    for tag, locked in ctx[AT_REST].items():
        part = net.by_tag[tag]
        highest = min(locked.si, warmest.si)
        if highest <= dew_point.si:
            continue
        held = holding(net, part)
        accumulators = [p for p in held if p.kind == "accumulator"]
        best = ctx[HIGHEST_SETTING].get(tag)
        safe = best.si if best is not None else 0.0
        psi = math.floor(safe / PSI * 10 + 1e-6) / 10
        at = join(part.at, "set")
        edits = [(at, f"{psi:.1f} psi")]
        if part.spec.has("lock_up"):
            # What it rises by at no flow stays; the lock-up that was read goes with the setting.
            rise = (part.spec.quantity("lock_up").si - part.spec.quantity("set").si) / PSI
            edits.append((join(part.at, "lock_up"), f"{psi + rise:.1f} psi"))
        cure = Cure(f"a setting of {psi:.1f} psi that night would pass", tuple(edits)) if psi > 0 else None
        low = "" if cure else "no flame or burst from it in such cold; "
        words = [_collects(ctx, s, locked.si) for s in accumulators]
        bare = [s.tag for s in accumulators if not _relieved(net, s)]
        if bare:
            words.append(f"{bare[0]} has no relief valve, and liquid shut in bursts what holds it as it warms")
        yield Trouble(
            at,
            f"behind {tag} gas may stand at {psig(highest)}, and turns liquid above {psig(dew_point.si)} on a "
            f"wall of {_coldest(ctx).text}" + ("; " + "; ".join(words) if words else ""),
            f"{low}a warmer {accumulators[0].tag if accumulators else 'line'}, or a supply that is not warmed",
            "a burst throws the liquid, which burns as a falling pool some 270 times its volume",
            cure=cure,
        )
    return passed(f"{counted(len(ctx[AT_REST]), 'regulator')} against {psig(dew_point.si)}")


@rule(
    "fuel.store_relief",
    level="warning",
    statement="A relief valve stands on each accumulator, with nothing between that could close",
    source=CHOICE,
    needs=(NETWORK, ZONES),
    wants=(RELIEVED,),
)
def store_relief(ctx: Context) -> Judging:
    """That one is there is not enough: what it lets out has to be known, and is judged by fuel.relief_capacity."""
    net, relieved = ctx[NETWORK], ctx.get(RELIEVED) or {}
    accumulators = net.of_kind("accumulator")
    if not accumulators:
        return not_applicable("no accumulator is described")
    yield from [
        Trouble(
            s.at,
            f"no relief valve stands on {s.tag} ({s.title})",
            "a relief valve for LP-gas that opens below the lowest rating there, its outlet up and away",
            "liquid shut in rises tens of psi with each degree, and a fire nearby does the same to gas",
        )
        for s in accumulators
        if not _relieved(net, s)
    ]
    unsized = [z for s in accumulators if (z := ctx[ZONES].get(s.tag, "")) in relieved and relieved[z].keeps_up is None]
    if unsized:
        why = relieved[min(unsized)].unsaid
        yield Unchecked(f"they stand there, and what they let out is not known: {why}", *answers_of(why))
    return passed(f"{counted(len(accumulators), 'accumulator')}; {FIRE}")
