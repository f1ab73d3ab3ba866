"""What still air alone boils off for as long as one likes, beside the trade's rule: a second look, not a rule."""

from __future__ import annotations

from collections.abc import Mapping

from specc import CHOICE, Context, Equation, Symbol, Worked, figures
from specc.kinds.plumbing import NETWORK
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Scalar
from specc_fuel.calc import boiling, heat, propane
from specc_fuel.keys import CYLINDERS, STILL_AIR

_VOLUME = Equation(
    forms=(("", "~ propane over the filling density of 42 %, over that of water"),),
    symbols=(Symbol("V", "volume", "inside"), Symbol("m_c", "mass", "propane it holds when full")),
    citations=(CHOICE,),
)
_RESERVE = Equation(
    forms=(("", "m = x*m_c"),),
    symbols=(
        Symbol("m", "mass", "propane left in it"),
        Symbol("x", "ratio", "reserve"),
        Symbol("m_c", "mass", "propane it holds when full"),
    ),
    citations=(CHOICE,),
)
_AS_COLD = Equation(
    forms=(("", "~ the temperature at which the vapor pressure is what the regulators need, p_s gauge"),),
    symbols=(
        Symbol("T", "temperature", "coldest that the liquid may be"),
        Symbol("p_s", "gauge_pressure", "highest setting that it feeds"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
)
_NOTHING = Equation(
    forms=(("", "~ nothing: the liquid would have to be no colder than T, and the air is no warmer"),),
    symbols=(
        Symbol("Q", "power", "boiled off"),
        Symbol("T", "temperature", "coldest that the liquid may be"),
        Symbol("T_a", "temperature", "air"),
    ),
    citations=(CHOICE,),
)


@figures(
    STILL_AIR,
    title="Gas that still air alone boils off from {tag} at its reserve, as gross heat",
    unit="BTU/h",
    digits=2,
    worst="min",
    needs=(CYLINDERS, NETWORK, AIR_PRESSURE),
    per_case=True,
    limits=("fuel.reserve",),
)
def still_air(ctx: Context) -> Mapping[str, Worked]:
    """Of cylinders whose diameter is stated, with the liquid no colder than the regulators bear."""
    net, air, x = ctx[NETWORK], ctx[AIR_PRESSURE], ctx.limit("fuel.reserve")
    made = {}
    for part in ctx[CYLINDERS]:
        settings = [p.spec.quantity("set") for p in net.downstream(part.tag) if p.kind == "regulator"]
        if not settings or not part.spec.has("diameter"):
            continue
        need = max(settings, key=lambda q: q.si)
        capacity = part.spec.quantity("capacity")
        wall = Worked(
            propane.boiling_point(need.si + air.si),
            "temperature",
            _AS_COLD,
            (("p_s", need), ("p_a", air)),
            name="liquid",
        )
        if wall.si >= ctx.case.air.si:
            inputs: tuple[tuple[str, Scalar], ...] = (("T", wall), ("T_a", ctx.case.air))
            made[part.tag] = Worked(0.0, "power", _NOTHING, inputs, name=f"still air on {part.tag}")
            continue
        left = Worked(x.si * capacity.si, "mass", _RESERVE, (("x", x), ("m_c", capacity)), name="reserve")
        volume = Worked(boiling.inside_volume(capacity.si), "volume", _VOLUME, (("m_c", capacity),), name="inside")
        height = boiling.liquid_height.work(
            "height of the liquid",
            contents=left,
            volume=volume,
            diameter=part.spec.quantity("diameter"),
            temperature=wall,
        )
        area = boiling.wetted_area.work("wetted wall", diameter=part.spec.quantity("diameter"), height=height)
        flux = boiling.still_air_heat.work(
            "heat from still air", wall=wall, air=ctx.case.air, height=height, ambient=air
        )
        latent = propane.latent_heat.work("heat to boil it", temperature=wall)
        flow = boiling.steady_boil_off.work(f"still air on {part.tag}", heat_flux=flux, area=area, latent=latent)
        made[part.tag] = heat.gross_heat.work(f"still air on {part.tag}, as heat", flow=flow)
    return made
