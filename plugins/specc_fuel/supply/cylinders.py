"""The cylinders: what they hold, their pressure by weather case, and how much gas they can boil off."""

from __future__ import annotations

from collections.abc import Mapping

from specc import CHOICE, Cannot, Context, Limit, Quantity, Unchecked, View, Worked, figure, figures, value
from specc.kinds.gas import CYLINDER_PRESSURE, GAS_ON_SITE, LOWEST_PRESSURE
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc_fuel.calc import cylinder, filling, propane
from specc_fuel.calc.amounts import heat_together
from specc_fuel.keys import BOIL_OFF, BOIL_OFF_ALL, CYLINDERS, GAS_ON_SITE_LIQUID, LATENT_HEAT, SUPPLIES, VAPOR_DENSITY

RESERVE = Limit(
    "fuel.reserve",
    "20 %",
    "ratio",
    "max",
    "share of each cylinder's content that is not counted on",
    CHOICE,
)


@value(CYLINDERS, needs=(NETWORK,))
def cylinders(ctx: Context) -> tuple[Part, ...]:
    """The cylinders. Found here once, so that a spec without any is told so once."""
    found = ctx[NETWORK].of_kind("cylinder")
    ctx[NETWORK].all_read()
    if not found:
        raise Cannot(
            "no cylinder is described, so nothing can be said of the gas",
            "/plumbing/parts",
            "a part of kind: cylinder with its capacity:",
        )
    return found


def stored(site: View) -> list[Quantity]:
    """What each cylinder holds that is kept on the site beside those of the show: an empty one counts as full."""
    return [s.quantity("each") for _, s in beside_show(site) if s.has("each") for _ in range(s.whole("count"))]


def beside_show(site: View) -> list[tuple[str, View]]:
    """The stores whose cylinders are none of the connected ones."""
    return [(tag, s) for tag, s in site.child("stores").children() if not s.yes("of_the_show")]


@figure(
    GAS_ON_SITE,
    title="Gas on site, all cylinders full, those in store too",
    unit="lb",
    decision=True,
    needs=(CYLINDERS,),
    reads=("site",),
)
def gas_on_site(ctx: Context) -> Worked:
    connected = [c.spec.quantity("capacity") for c in ctx[CYLINDERS]]
    return cylinder.gas_on_site.work("gas on site", contents=(*connected, *stored(ctx.spec("site"))))


@figure(GAS_ON_SITE_LIQUID, title="Gas on site as liquid at 60 °F", unit="gal", needs=(GAS_ON_SITE,))
def gas_on_site_liquid(ctx: Context) -> Worked:
    return filling.liquid_volume.work("gas on site as liquid", gas=ctx[GAS_ON_SITE])


def warmest_liquid(ctx: Context, liquid: Worked | Quantity) -> Worked | Quantity:
    """How warm a cylinder's liquid gets: in the air and the sun, or in a water bath that is warmer."""
    bath = ctx.spec("gas").quantity_or_none("bath")
    return bath if bath is not None and bath.si > liquid.si else liquid


def _pressure(ctx: Context, liquid: Worked | Quantity) -> Worked:
    return cylinder.cylinder_pressure.work("cylinder pressure", liquid_temperature=liquid, ambient=ctx[AIR_PRESSURE])


@figure(
    CYLINDER_PRESSURE,
    title="Highest cylinder pressure, pure propane",
    unit="psig",
    worst="max",
    decision=True,
    needs=(AIR_PRESSURE, CASES),
    reads=("gas",),
    per_case=True,
)
def highest_pressure(ctx: Context) -> Worked:
    """A water bath counts in the hottest case alone: in the others the cylinders may stand without it."""
    hottest = max(case.liquid.si for case in ctx[CASES])
    liquid = ctx.case.liquid
    return _pressure(ctx, warmest_liquid(ctx, liquid) if liquid.si >= hottest else liquid)


def sun_unsaid(ctx: Context) -> tuple[Unchecked, ...]:
    """What to ask where nobody says how much the sun warms a cylinder: the hot case is then no hotter than the air."""
    said = "how much warmer than the air the sun makes a cylinder (weather: sun:; 0 °F where it never stands in it)"
    return () if ctx.spec("weather").has("sun") else (Unchecked(said, "/weather/sun"),)


@figure(
    LOWEST_PRESSURE,
    title="Lowest cylinder pressure before gas is drawn, pure propane",
    unit="psig",
    worst="min",
    decision=True,
    needs=(AIR_PRESSURE,),
    per_case=True,
)
def lowest_pressure(ctx: Context) -> Worked:
    return _pressure(ctx, ctx.case.liquid)


@figure(LATENT_HEAT, title="Heat to boil off the liquid", unit="BTU/lb", worst="max", per_case=True)
def latent_heat(ctx: Context) -> Worked:
    return propane.latent_heat.work("heat to boil off the liquid", temperature=ctx.case.liquid)


@figure(
    VAPOR_DENSITY,
    title="Density of the vapor in a cylinder",
    unit="lb/ft³",
    worst="max",
    per_case=True,
)
def vapor_density(ctx: Context) -> Worked:
    saturated = propane.vapor_pressure.work("saturation pressure", temperature=ctx.case.liquid)
    return propane.vapor_density.work("vapor in the cylinder", temperature=ctx.case.liquid, pressure=saturated)


@figures(
    BOIL_OFF,
    title="Gas that {tag} can boil off when down to its reserve, as gross heat",
    unit="BTU/h",
    digits=2,
    worst="min",
    needs=(CYLINDERS,),
    per_case=True,
    limits=("fuel.reserve",),
)
def boil_off(ctx: Context) -> Mapping[str, Worked]:
    """By the trade's rule, for cylinders whose size is given, part-full as the reserve leaves them.

    The share by mass stands for the share by volume: the same within a few per cent near 40 °F.
    """
    made = {}
    for part in ctx[CYLINDERS]:
        if part.spec.has("diameter") and part.spec.has("height"):
            made[part.tag] = cylinder.vaporization.work(
                f"boil-off of {part.tag}",
                diameter=part.spec.quantity("diameter"),
                length=part.spec.quantity("height"),
                filled=ctx.limit("fuel.reserve"),
                air_temperature=ctx.case.air,
            )
    return made


@figures(
    BOIL_OFF_ALL,
    title="Gas that the supply of {tag} can boil off, all its cylinders together, as gross heat",
    unit="BTU/h",
    digits=2,
    worst="min",
    needs=(BOIL_OFF, SUPPLIES),
    per_case=True,
)
def boil_off_together(ctx: Context) -> Mapping[str, Worked]:
    each, made = ctx[BOIL_OFF], {}
    for tag, group in ctx[SUPPLIES].items():
        left = [p for p in group if p.tag not in each]
        if left:
            raise Cannot(
                f"what {left[0].tag} can boil off in the cold cannot be computed without its size",
                left[0].at,
                "diameter: and height: of the cylinder, outside",
                "a cold cylinder gives far less gas than its content suggests",
            )
        made[tag] = heat_together.work(f"boil-off of the supply of {tag}", heats=tuple(each[p.tag] for p in group))
    return made
