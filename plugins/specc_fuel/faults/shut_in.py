"""How much gas a stop shuts in, and how large a cloud it makes with air."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

from specc import CHOICE, Context, Equation, FigureSet, Limit, Symbol, Worked, figures
from specc.kinds.faults import SHUT_IN, ShutIn
from specc.kinds.gas import CYLINDER_PRESSURE, LET_DOWN_TIME, SHUT_IN_CLOUD, SHUT_IN_GAS
from specc.kinds.plumbing import FITTED, NETWORK, OUTLETS, SUPPLY, ZONE_PRESSURE, ZONES, Fitted, zone_tag
from specc.kinds.weather import AIR_PRESSURE
from specc.measure.units import PSI
from specc.model.values import Constant, Scalar
from specc_fuel.calc import propane
from specc_fuel.calc.accumulator import BLOWDOWN, accumulator_content
from specc_fuel.calc.amounts import total_gas
from specc_fuel.calc.first_fill import LOWER_LIMIT
from specc_fuel.calc.fittings import area_of_kv, kv_of_cv
from specc_fuel.calc.vessel import emptying_adiabatic, emptying_isothermal
from specc_fuel.keys import JET_AREA
from specc_fuel.network.from_plumbing import bore_of

FIRED_DOWN = Limit(
    "fuel.fired_down",
    "5 psi",
    "gauge_pressure",
    "max",
    "pressure that is left in an accumulator when it is fired down over a flame at the end of a night",
    CHOICE,
)
_ONCE = Constant(1.0, "count", "1", CHOICE)
_INSIDE = Equation(
    forms=(("", "V = pi*d**2/4*l"),),
    symbols=(Symbol("V", "volume", "inside"), Symbol("d", "length", "bore"), Symbol("l", "length", "length")),
    citations=(CHOICE,),
)
_LEAST = Equation(
    forms=(("", "~ the smaller of what stands in the zone, p_z, and where gas as warm as T turns liquid"),),
    symbols=(
        Symbol("p", "gauge_pressure", "pressure of the gas"),
        Symbol("p_z", "gauge_pressure", "lock-up pressure in the zone"),
        Symbol("T", "temperature", "air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
    validity="what turns liquid on a wall as cold as the air is not counted",
)
_NEEDLE = Constant(0.5 * PSI, "gauge_pressure", "0.5 psi", CHOICE)
_LET_DOWN = Equation(
    forms=(("", "~ the slower of isothermal and adiabatic emptying of V through the narrowest hole on the way"),),
    symbols=(
        Symbol("t", "duration", "time until p_e is left"),
        Symbol("V", "volume", "what is let down"),
        Symbol("p", "gauge_pressure", "pressure at the start"),
        Symbol("x", "ratio", "what the narrowest hole is known by: its Cv, bore or jets"),
        Symbol("T", "temperature", "air"),
        Symbol("p_a", "absolute_pressure", "air"),
        Symbol("p_e", "gauge_pressure", "a gauge shows nothing any more"),
    ),
    citations=(BLOWDOWN, CHOICE),
    validity="nothing flows in meanwhile; the valve open as far as its Cv says",
)
_CLOUD = Equation(
    forms=(("", "V = m/(rho*y_l)"),),
    symbols=(
        Symbol("V", "volume", "mixture at the lower flammable limit"),
        Symbol("m", "mass", "gas"),
        Symbol("rho", "density", "propane at the air's pressure and temperature"),
        Symbol("y_l", "ratio", "lower flammable limit, propane in air by volume"),
    ),
    citations=(LOWER_LIMIT.citation,),
    validity="all of it mixed evenly down to the limit: the largest cloud that can burn anywhere",
)
_DENSITY = Equation(
    forms=(("", "~ the density of propane vapor at p_a and T, from its equation of state"),),
    symbols=(
        Symbol("rho", "density", "propane at the air's pressure and temperature"),
        Symbol("p_a", "absolute_pressure", "air"),
        Symbol("T", "temperature", "air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
)


def inside_of(fit: Fitted) -> Scalar | None:
    """The volume of a vessel, or of what has a bore and a length; None where nobody says."""
    own = fit.part.spec.quantity_or_none("volume")
    if own is not None:
        return own
    bore, length = bore_of(fit), fit.part.spec.quantity_or_none("length")
    if bore is None or length is None:
        return None
    inputs = (("d", bore), ("l", length))
    return Worked(math.pi * bore.si**2 / 4 * length.si, "volume", _INSIDE, inputs, name=f"inside of {fit.part.tag}")


def _is_vapor(ctx: Context) -> bool:
    """Whether air as warm as this is within what the equation of state gives; beyond it nothing is computed."""
    try:
        propane.vapor_pressure(ctx.case.air.si)
        propane.vapor_density_value(ctx.case.air.si, ctx[AIR_PRESSURE].si)
    except ValueError:
        return False
    return True


def _pressure(ctx: Context, piece: ShutIn, zone: str) -> Scalar | None:
    behind = ctx[ZONE_PRESSURE].get(zone_tag(zone, "lock_up"))
    at_rest: Scalar | None = ctx[CYLINDER_PRESSURE] if zone == SUPPLY else behind
    if piece.fired_down:
        at_rest = ctx.limit(FIRED_DOWN.key)
    if at_rest is None:
        return None
    liquid = propane.vapor_pressure(ctx.case.air.si) - ctx[AIR_PRESSURE].si
    if at_rest.si < liquid:
        return at_rest
    inputs = (("p_z", at_rest), ("T", ctx.case.air))
    return Worked(liquid * (1 - 1e-6), "gauge_pressure", _LEAST, inputs, name="gas that stays gas")


@figures(
    SHUT_IN_GAS,
    title="Gas shut in, {tag}",
    unit="lb",
    digits=2,
    needs=(NETWORK, FITTED, ZONES, SHUT_IN, ZONE_PRESSURE, CYLINDER_PRESSURE, AIR_PRESSURE),
    per_case=True,
    limits=(FIRED_DOWN.key,),
)
def shut_in_gas(ctx: Context) -> Mapping[str, Worked]:
    """By piece of which every volume and pressure is known; what fittings and valves hold is little."""
    made: dict[str, Worked] = {}
    if not _is_vapor(ctx):
        return made
    for piece in (p for p in ctx[SHUT_IN] if not p.same_as):
        by_zone: dict[str, list[Scalar]] = {}
        for tag, zone in piece.zones:
            volume = inside_of(ctx[FITTED][tag])
            if volume is None and ctx[NETWORK].by_tag[tag].form == "manifold":
                continue  # said under the table
            pressure = _pressure(ctx, piece, zone)
            if volume is None or pressure is None:
                break
            content = accumulator_content.work(
                f"gas in {tag}",
                volume=volume,
                pressure=pressure,
                gas_temperature=ctx.case.air,
                ambient=ctx[AIR_PRESSURE],
            )
            by_zone.setdefault(zone, []).append(content)
        else:
            parts = tuple(c for contents in by_zone.values() for c in contents)
            if not parts:
                continue
            made[piece.key] = total_gas.work(f"gas shut in, {piece.key}", parts=parts, times=_ONCE)
    return made


@figures(
    SHUT_IN_CLOUD,
    title="Flammable volume of what is shut in, {tag}",
    unit="m³",
    digits=2,
    needs=(SHUT_IN_GAS, AIR_PRESSURE),
    per_case=True,
)
def shut_in_cloud(ctx: Context) -> Mapping[str, Worked]:
    return flammable(ctx, ctx[SHUT_IN_GAS])


def flammable(ctx: Context, gases: FigureSet) -> Mapping[str, Worked]:
    """By tag the volume that some gas makes flammable at most, in the air of the weather case."""
    air = ctx[AIR_PRESSURE]
    if not gases or not _is_vapor(ctx):
        return {}
    rho = Worked(
        propane.vapor_density_value(ctx.case.air.si, air.si),
        "density",
        _DENSITY,
        (("p_a", air), ("T", ctx.case.air)),
        name="density of propane in the open",
    )
    return {
        tag: Worked(
            gas.si / (rho.si * LOWER_LIMIT.si),
            "volume",
            _CLOUD,
            (("m", gas), ("rho", rho), ("y_l", LOWER_LIMIT)),
            name=f"flammable volume, {tag}",
        )
        for tag, gas in gases.items()
    }


def _way_out(ctx: Context, piece: ShutIn) -> tuple[Scalar, float] | None:
    """What the let-down passes, by its narrowest: the value that it follows from, and the effective area, m2. None
    where a valve on the way says nothing of what it passes."""
    net, found = ctx[NETWORK], list[tuple[float, Scalar]]()
    for tag in net.way(piece.vessels[0], piece.comes_out):
        part = net.by_tag[tag]
        if part.kind == "valve" and part.form != "check":
            cv = part.spec.quantity_or_none("cv")
            if cv is None:
                return None
            found.append((area_of_kv(kv_of_cv(cv.si)), cv))
        elif part.kind == "orifice":
            bore = part.spec.quantity("bore")
            found.append((part.spec.quantity("discharge").si * math.pi * bore.si**2 / 4, bore))
        elif part.kind in OUTLETS:
            jets = ctx[JET_AREA].get(tag)
            if jets is None:
                return None
            found.append((jets.si * part.spec.child("jets").quantity("discharge").si, jets))
    if not found:
        return None
    area, value = min(found, key=lambda one: one[0])
    return value, area


@lru_cache(maxsize=64)
def _runs_out(volume: float, pressure: float, warm: float, area: float, air: float) -> float:
    """Seconds until `_NEEDLE` is left, by the slower of the two ways to empty."""
    ways = (emptying_isothermal, emptying_adiabatic)
    return max(f(volume, pressure, warm, area, air).time_until(_NEEDLE.si, air) for f in ways)


@figures(
    LET_DOWN_TIME,
    title="Time to let down {tag}",
    unit="s",
    digits=2,
    needs=(NETWORK, FITTED, SHUT_IN, ZONE_PRESSURE, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA),
    per_case=True,
    limits=(FIRED_DOWN.key,),
)
def let_down_time(ctx: Context) -> Mapping[str, Worked]:
    """Of accumulators with what is open to them, at the one pressure of its zone."""
    made: dict[str, Worked] = {}
    air = ctx[AIR_PRESSURE]
    if not _is_vapor(ctx):
        return made
    for piece in (p for p in ctx[SHUT_IN] if not p.same_as):
        out = _way_out(ctx, piece) if piece.vessels and piece.comes_out else None
        volumes = [inside_of(ctx[FITTED][tag]) for tag, _ in piece.zones]
        pressure = _pressure(ctx, piece, dict(piece.zones)[piece.vessels[0]]) if piece.vessels else None
        if out is None or pressure is None or pressure.si <= _NEEDLE.si or any(v is None for v in volumes):
            continue
        known = tuple(v for v in volumes if v is not None)
        value, area = out
        time = _runs_out(sum(v.si for v in known), pressure.si, ctx.case.air.si, area, air.si)
        inputs = (("V", known), ("p", pressure), ("x", value), ("T", ctx.case.air), ("p_a", air), ("p_e", _NEEDLE))
        made[piece.key] = Worked(time, "duration", _LET_DOWN, inputs, name=f"time to let down {piece.key}")
    return made
