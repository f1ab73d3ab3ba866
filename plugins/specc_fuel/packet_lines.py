"""What the gas gives to parts of the packet that others make too: facts of page one, cautions, limits of the models."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Caution,
    Citation,
    Context,
    Fact,
    ModelLimit,
    gather,
    show,
)
from specc.kinds.gas import (
    CYLINDER_PRESSURE,
    GAS_ON_SITE,
    NET_HEAT,
    RUN_TIME,
)
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc_fuel.keys import (
    GAS_ON_SITE_LIQUID,
    SHOW_GAS,
)
from specc_fuel.supply.cylinders import stored
from specc_fuel.wording import said


@gather(
    SUMMARY_FACTS,
    needs=(NETWORK,),
    wants=(EFFECTS, GAS_ON_SITE, GAS_ON_SITE_LIQUID, NET_HEAT, RUN_TIME, SHOW_GAS, CYLINDER_PRESSURE),
    limits=("fuel.commercial_margin",),
    reads=("site",),
)
def facts(ctx: Context) -> Sequence[Fact]:
    made = []
    gas, liquid = ctx.get(GAS_ON_SITE), ctx.get(GAS_ON_SITE_LIQUID)
    if gas:
        kept = stored(ctx.spec("site"))
        count = len(ctx[NETWORK].of_kind("cylinder")) + len(kept)
        gallons = f"{said(liquid)} " if liquid else ""
        made.append(
            Fact(
                10,
                said(gas),
                "gas on site, full",
                f"{gallons}in {count} cylinder{'s' if count > 1 else ''}; {said(gas, 'kg')}",
                "gas_on_site",
            )
        )
        if kept:
            made.append(
                Fact(11, show(sum(q.si for q in kept), "mass", "lb"), "of it in store", f"{len(kept)} cylinders")
            )
    burned = ctx.get(SHOW_GAS)
    if burned:
        made.append(
            Fact(15, said(burned, "lb"), "Gas burned", f"over all nights, {burned.case or 'any'} case", "gas_burned")
        )
    bursts, heats = burst_outlets(ctx), ctx.get(NET_HEAT) or {}
    # A burst gives some hundred times the heat of what burns steadily: that alone would tell of a small device.
    for many, words in ((True, "heat of a burst as it opens, net"), (False, "heat of the largest steady outlet, net")):
        own = {tag: heat for tag, heat in heats.items() if (tag in bursts) == many}
        if own:
            tag, largest = max(own.items(), key=lambda item: item[1].si)
            made.append(Fact(20, said(largest, "kBTU/h"), words, f"{tag}; {said(largest, 'kW')}"))
    times = ctx.get(RUN_TIME)
    if times:
        tag, shortest = min(times.items(), key=lambda item: item[1].si)
        made.append(
            Fact(
                25,
                said(shortest, "h", 2),
                "shortest run time of a supply",
                f"{tag}, down to its reserve",
            )
        )
    hot = ctx.get(CYLINDER_PRESSURE)
    if hot:
        # The higher of the two is what a reader should take away: parts are judged by it.
        commercial = show(hot.si * (1 + ctx.limit("fuel.commercial_margin").si), hot.dim, hot.unit, 3)
        made.append(
            Fact(
                30,
                commercial,
                "highest cylinder pressure, commercial propane",
                f"pure propane {said(hot)}, case: {hot.case or 'any'}",
            )
        )
    return made


@gather(CAUTIONS)
def cautions(ctx: Context) -> Sequence[Caution]:
    return (
        Caution(
            20,
            "Draw gas from an upright cylinder only. Liquid in a vapor line burns many times higher than "
            "anything computed here.",
            Citation(basis="practice"),
        ),
        Caution(
            21,
            "A cylinder is full at 80 % by volume at 40 °F. Do not heat one with a flame, and do not leave a "
            "full one in closed sun or in a hot vehicle.",
            Citation("osha-1910-110", "(b), filling limits at 40 °F; heating: common practice", "reprint"),
        ),
    )


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return (
        ModelLimit(
            20,
            "Gas",
            "Flow, heat and cooling are those of pure propane. Commercial propane stands some 13 to 15 % higher in "
            "gauge pressure when warm; a few per cent of butane lowers the pressure at which gas condenses, which is "
            "counted where condensing is judged and nowhere else.",
        ),
        ModelLimit(
            21,
            "Flow",
            "Steady, at one temperature, with the losses that parts state or a catalog knows; short fittings and "
            "full-bore valves without one are taken to lose nothing. Speed is not turned back into pressure. The time "
            "that lines take to fill and to empty is not computed. A regulator holds its setting up to the flow and "
            "the inlet that it states (droop:, capacity:, seat:); one that states none is taken to hold it whatever "
            "is drawn.",
        ),
        ModelLimit(
            22,
            "Heat and flame",
            "Each effect is counted as burning alone, which gives it the most gas; what it gets while all burn is "
            "listed beside it.",
        ),
        ModelLimit(
            23,
            "Gas temperature",
            "Gas is taken as warm as the air at every hole. Colder gas flows more, by about 1 % for each 10 °F.",
        ),
        ModelLimit(
            24,
            "Cylinder",
            "Upright, in still air, liquid and wetted steel at one temperature. Wind and the dry wall bring more heat, "
            "a clear sky and thick frost take some. The trade's rule for tanks is shown beside it; no rule is "
            "published for small cylinders.",
        ),
        ModelLimit(
            25,
            "Bursts",
            "A burst is counted from an accumulator at rest, with what its lines hold and its feed brings; a valve is "
            "taken to open and close at once. Liquid in an accumulator is not covered: it gives far more gas.",
        ),
        ModelLimit(
            26,
            "Failures",
            "Gas let out, burning or not, and the length of its flame are computed for valves that stick, regulators "
            "that fail open and breaks; how hot it gets around that flame for bursts held open alone. Parts that leak "
            "are not computed. Whether an excess-flow device closes is computed for breaks alone.",
        ),
    )


def burst_outlets(ctx: Context) -> frozenset[str]:
    return frozenset(tag for e in ctx.get(EFFECTS) or () if e.kind == "burst" for tag in e.outlets)
