"""How much gas a stop shuts in, and how large a cloud it makes with air."""

from __future__ import annotations

import math
from collections.abc import Mapping

from specc import CHOICE, Context, Equation, Limit, Symbol, Worked, figures
from specc.kinds.faults import SHUT_IN, ShutIn
from specc.kinds.gas import CYLINDER_PRESSURE, SHUT_IN_CLOUD, SHUT_IN_GAS
from specc.kinds.plumbing import FITTED, NETWORK, SUPPLY, ZONE_PRESSURE, ZONES, Fitted, zone_tag
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Constant, Scalar
from specc_fuel.calc import propane
from specc_fuel.calc.accumulator import accumulator_content
from specc_fuel.calc.amounts import total_gas
from specc_fuel.calc.first_fill import LOWER_LIMIT
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
        Symbol("p_z", "gauge_pressure", "in the zone, at rest"),
        Symbol("T", "temperature", "air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
    validity="what turns liquid on a wall as cold as the air is not counted",
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


def _volume(fit: Fitted) -> Scalar | None:
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
    if piece.fired_down:
        return ctx.limit(FIRED_DOWN.key)
    behind = ctx[ZONE_PRESSURE].get(zone_tag(zone, "lock_up"))
    at_rest: Scalar | None = ctx[CYLINDER_PRESSURE] if zone == SUPPLY else behind
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
    needs=(NETWORK, FITTED, ZONES, SHUT_IN, ZONE_PRESSURE, CYLINDER_PRESSURE, AIR_PRESSURE),
    per_case=True,
    limits=(FIRED_DOWN.key,),
)
def shut_in_gas(ctx: Context) -> Mapping[str, Worked]:
    """By piece of which every volume and pressure is known; what fittings and valves hold is little."""
    made: dict[str, Worked] = {}
    if not _is_vapor(ctx):
        return made
    for piece in ctx[SHUT_IN]:
        by_zone: dict[str, list[Scalar]] = {}
        for tag, zone in piece.zones:
            volume = _volume(ctx[FITTED][tag])
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
    air = ctx[AIR_PRESSURE]
    if not ctx[SHUT_IN_GAS]:
        return {}
    rho = Worked(
        propane.vapor_density_value(ctx.case.air.si, air.si),
        "density",
        _DENSITY,
        (("p_a", air), ("T", ctx.case.air)),
        name="density of propane in the open",
    )
    return {
        key: Worked(
            gas.si / (rho.si * LOWER_LIMIT.si),
            "volume",
            _CLOUD,
            (("m", gas), ("rho", rho), ("y_l", LOWER_LIMIT)),
            name=f"flammable volume, {key}",
        )
        for key, gas in ctx[SHUT_IN_GAS].items()
    }


PASSES = (FIRED_DOWN, shut_in_gas, shut_in_cloud)
