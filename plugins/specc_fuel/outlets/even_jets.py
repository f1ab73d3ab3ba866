"""How evenly a ring or bar burns: its tube solved as a network of its own, cut at each jet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from specc import (
    CHOICE,
    Cannot,
    Citation,
    Context,
    Limit,
    Trouble,
    Worked,
    figures,
    not_applicable,
    rule,
)
from specc.kinds.gas import JET_PRESSURE
from specc.kinds.plumbing import FITTED, NETWORK
from specc.kinds.weather import AIR_PRESSURE
from specc.model.passes import Judging, passed
from specc.model.values import Equation, Symbol
from specc.model.wording import counted
from specc_fuel.calc.pipe import CAPACITY, DRAWN_TUBE
from specc_fuel.keys import EVENNESS, JET_AREA

if TYPE_CHECKING:
    from specc_fuel.network import Element

EVEN = Limit("fuel.even_jets", "90 %", "ratio", "max", "least flow of a burner's jet over its most", CHOICE)

EVEN_EQUATION = Equation(
    forms=(
        (
            "",
            "~ solved: the burner's tube cut at each jet, friction between them, fed where it is; the least jet's flow "
            "over the most",
        ),
    ),
    symbols=(
        Symbol("r", "ratio", "least over most"),
        Symbol("p", "gauge_pressure", "pressure where the burner is fed"),
        Symbol("d", "length", "bore of its tube, or its outside"),
        Symbol("D", "length", "diameter of the ring, or length of the bar"),
        Symbol("A_j", "area", "area of its jets"),
        Symbol("T", "temperature", "gas temperature"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("e_m", "ratio", "most that comes in and does not go out, over the flow"),
    ),
    citations=(CAPACITY.citations[0], Citation("churchill-1977", "friction factor for all flow regimes", "memory")),
    validity="jets evenly spaced and alike; speed is not turned back into pressure, which evens out a little",
)
# More jets than these are taken in groups.
_MOST_JETS = 48


def _burner_network(ring: bool, around: float, bore: float, area: float, count: int, feeds: int) -> list[Element]:
    """A burner's tube cut at each jet (or group of jets)."""
    from specc_fuel.network import AIR, Hole, Pipeline

    made: list[Element] = []
    pieces = max(min(count, _MOST_JETS), 2 * feeds)
    gap = around / pieces
    for i in range(pieces):
        made.append(Hole(f"j{i:02d}", f"n{i:02d}", AIR, area / pieces))
        if i + 1 < pieces or ring:
            made.append(Pipeline(f"t{i:02d}", f"n{i:02d}", f"n{(i + 1) % pieces:02d}", bore, gap, DRAWN_TUBE.si))
    return made


@figures(
    EVENNESS,
    title="Least jet of {tag} over its most",
    unit="%",
    worst="min",
    needs=(JET_PRESSURE, JET_AREA, NETWORK, FITTED, AIR_PRESSURE),
    per_case=True,
)
def evenness(ctx: Context) -> Mapping[str, Worked]:
    """Of rings and bars with several jets whose tube is known."""
    from specc_fuel import network
    from specc_fuel.network import HeldNode, Hole, NotSettled
    from specc_fuel.network.from_plumbing import bore_of

    net, made = ctx[NETWORK], {}
    for tag, pressure in ctx[JET_PRESSURE].items():
        part = net.by_tag[tag]
        size = part.spec.quantity_or_none("diameter" if part.form == "ring" else "length")
        jets = part.spec.child("jets")
        bore = bore_of(ctx[FITTED][tag])
        if part.form not in ("ring", "bar") or size is None or bore is None or jets.quantity("count").si < 2:
            continue
        if pressure.si <= 0:
            continue
        feeds = max(len(net.before.get(tag, ())), 1)
        area = ctx[JET_AREA][tag].si * jets.quantity("discharge").si
        around = size.si * math.pi if part.form == "ring" else size.si
        elements = _burner_network(part.form == "ring", around, bore.si, area, round(jets.quantity("count").si), feeds)
        pieces = sum(isinstance(e, Hole) for e in elements)
        air = ctx[AIR_PRESSURE].si
        nodes = [f"n{round(k * pieces / feeds) % pieces:02d}" for k in range(feeds)]
        supplies = [HeldNode(f"s{k}", node, pressure.si + air) for k, node in enumerate(dict.fromkeys(nodes))]
        try:
            solution = network.solve(elements, supplies, network.propane(ctx.case.air.si), air)
        except NotSettled as e:
            raise Cannot(f"how even {tag} burns cannot be found: {e}", part.at, "a burner that is described") from e
        flows = [solution.flow[e.tag] for e in elements if isinstance(e, Hole)]
        inputs = (("p", pressure), ("d", bore), ("D", size), ("A_j", ctx[JET_AREA][tag]), ("T", ctx.case.air))
        made[tag] = Worked(
            min(flows) / max(flows),
            "ratio",
            EVEN_EQUATION,
            (*inputs, ("p_a", ctx[AIR_PRESSURE])),
            also=(("e_m", solution.residual_mass),),
            name=f"evenness of {tag}",
        )
    return made


@rule(
    "fuel.even_jets",
    level="warning",
    statement="The jets of a ring or bar burn alike",
    source=CHOICE,
    needs=(EVENNESS, NETWORK),
    limits=("fuel.even_jets",),
)
def even_jets(ctx: Context) -> Judging:
    least, family = ctx.limit(EVEN.key), ctx[EVENNESS]
    wanted = [
        p
        for p in ctx[NETWORK].of_kind("burner")
        if p.form in ("ring", "bar") and p.spec.child("jets").quantity("count").si >= 2
    ]
    if not wanted:
        return not_applicable("no ring or bar with several jets")
    yield from [
        Trouble(
            ctx[NETWORK].by_tag[tag].at,
            f"the least jet of {tag} gets {figure.si:.0%} of the most",
            f"at least {least.text}: a wider tube, smaller jets, or a second feed",
            "the far jets burn low and blow out first",
        )
        for tag, figure in family.items()
        if figure.si < least.si * (1 - 1e-9)
    ]
    left = [p.tag for p in wanted if p.tag not in family]
    unsaid = f"the tube of {left[0]} is not described (diameter: or length:, and outside: with wall:)" if left else ""
    if unsaid:
        yield unsaid
    return passed(counted(len(family), "burner"))
