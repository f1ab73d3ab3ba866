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
    Cure,
    Limit,
    Trouble,
    Unchecked,
    Worked,
    figures,
    not_applicable,
    rule,
)
from specc.kinds.gas import JET_PRESSURE
from specc.kinds.plumbing import FITTED, NETWORK, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.measure.units import INCH
from specc.model.passes import Judging, passed
from specc.model.values import Constant, Equation, Figure, Quantity, Symbol
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.calc.pipe import CAPACITY, DRAWN_TUBE
from specc_fuel.keys import EVENNESS, JET_AREA
from specc_fuel.wording import bore_edits

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


def _least_over_most(elements: list[Element], feeds: int, gauge: float, warm: float, air: float) -> tuple[float, float]:
    """The least jet's flow over the most, and what the solution leaves over; fed at `gauge` (Pa), gas at `warm` (K)."""
    from specc_fuel import network
    from specc_fuel.network import HeldNode, Hole

    holes = [e.tag for e in elements if isinstance(e, Hole)]
    nodes = [f"n{round(k * len(holes) / feeds) % len(holes):02d}" for k in range(feeds)]
    supplies = [HeldNode(f"s{k}", node, gauge + air) for k, node in enumerate(dict.fromkeys(nodes))]
    solution = network.solve(elements, supplies, network.propane(warm), air)
    flows = [solution.flow[tag] for tag in holes]
    return min(flows) / max(flows), solution.residual_mass


def _wider(part: Part, worst: Worked, feeds: int, least: float) -> Cure | None:
    """The bore of a burner's tube with which its jets burn alike, in steps of a sixteenth of an inch; None where four
    times its bore is not enough. The pressure where it is fed stays: the network takes the burner to lose nothing."""
    from specc_fuel.network import NotSettled

    given = {s: v.si for s, v in worst.inputs if isinstance(v, Quantity | Constant | Worked | Figure)}
    jets, ring = part.spec.child("jets"), part.form == "ring"
    area, count = given["A_j"] * jets.quantity("discharge").si, round(jets.quantity("count").si)
    around = given["D"] * math.pi if ring else given["D"]
    sixteenths = math.floor(given["d"] / INCH * 16) + 1
    for bore in range(sixteenths, 4 * sixteenths + 1):
        elements = _burner_network(ring, around, bore / 16 * INCH, area, count, feeds)
        try:
            even, _ = _least_over_most(elements, feeds, given["p"], given["T"], given["p_a"])
        except NotSettled:
            continue
        if even >= least:
            return Cure(f"a bore of {bore / 16:g} in would pass", bore_edits(part, bore / 16))
    return None


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
    from specc_fuel.network import NotSettled
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
        count = round(jets.quantity("count").si)
        air = ctx[AIR_PRESSURE].si
        try:
            even, residual = _least_over_most(
                _burner_network(part.form == "ring", around, bore.si, area, count, feeds),
                feeds,
                pressure.si,
                ctx.case.air.si,
                air,
            )
        except NotSettled as e:
            raise Cannot(f"how even {tag} burns cannot be found: {e}", part.at, "a burner that is described") from e
        inputs = (("p", pressure), ("d", bore), ("D", size), ("A_j", ctx[JET_AREA][tag]), ("T", ctx.case.air))
        made[tag] = Worked(
            even,
            "ratio",
            EVEN_EQUATION,
            (*inputs, ("p_a", ctx[AIR_PRESSURE])),
            also=(("e_m", residual),),
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
    recalls=(DRAWN_TUBE.citation,),
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
    net = ctx[NETWORK]
    for tag, figure in family.items():
        if figure.si < least.si * (1 - 1e-9):
            worst = min((c.worked for c in figure.cases), key=lambda worked: worked.si)
            yield Trouble(
                net.by_tag[tag].at,
                f"the least jet of {tag} gets {figure.si:.0%} of the most",
                f"at least {least.text}: a wider tube, smaller jets, or a second feed",
                "the far jets burn low and blow out first",
                cure=_wider(net.by_tag[tag], worst, max(len(net.before.get(tag, ())), 1), least.si),
            )
    left = [p.tag for p in wanted if p.tag not in family]
    if left:
        said = f"the tube of {left[0]} is not described (diameter: or length:, and outside: with wall:)"
        keys = ("diameter" if net.by_tag[left[0]].form == "ring" else "length", "outside", "wall")
        yield Unchecked(said, *(join(net.by_tag[left[0]].at, key) for key in keys))
    return passed(counted(len(family), "burner"))
