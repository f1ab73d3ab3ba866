"""Whether what lets gas out on purpose does so away from low places: propane is heavier than air, and runs there."""

from __future__ import annotations

from collections.abc import Iterator

from specc import PRACTICE, Context, Judging, Trouble, not_applicable, not_checked, rule, show
from specc.kinds.faults import CLOSING_ORDER
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, Network, Part
from specc.model.wording import counted
from specc_site.cylinders import LOW
from specc_site.plan import NO_PLAN, PLAN, apart, as_stood, ended, nearest, not_told, nowhere, stood

_THROUGH = ("valve", "hose", "pipe", "tube", "fitting")


def _lets_out(net: Network, bleeds: set[str]) -> Iterator[Part]:
    """Relief valves, bleeds, and whatever ends in the open: of a vent that is led away, its end."""
    for part in net.parts:
        ends_open = part.kind in _THROUGH and part.form not in ("plug", "cap")
        ends_open &= bool(net.before.get(part.tag)) and not net.after.get(part.tag)
        led_away = part.form == "relief" and net.after.get(part.tag)
        if ends_open or part.tag in bleeds or (part.form == "relief" and not led_away):
            yield part


@rule(
    "site.vents_from_low_places",
    level="error",
    statement="Each relief valve, bleed and vent lets gas out away from drains, pits and other low places",
    source=PRACTICE,
    needs=(PLAN, PLACES, NETWORK, CLOSING_ORDER),
    limits=(LOW.key,),
)
def vents_from_low_places(ctx: Context) -> Judging:
    """On the level, from where the valve or the end of its pipe stands; how the ground slopes is not known."""
    plan, net, least = ctx[PLAN], ctx[NETWORK], ctx.limit(LOW.key)
    bleeds = {c.tag for c in ctx[CLOSING_ORDER] if c.action == "bleed"}
    vents = list(_lets_out(net, bleeds))
    if not vents:
        net.all_read()
        return not_applicable("nothing is described that lets gas out on purpose")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    yield from not_told(plan, ("low_place",))
    looked = 0
    for part in vents:
        there = stood(part, ctx[PLACES])
        yield from nowhere([there])
        for spot in plan.of("low_place"):
            measured = nearest(there.shapes, spot.shape, f"{part.tag} to {spot.tag}") if spot.shape else None
            if measured is None:
                continue
            looked += 1
            if measured.si < least.si * (1 - 1e-9):
                yield Trouble(
                    part.at,
                    f"{part.tag} lets gas out {show(measured.si, 'length', 'ft')} from {spot.tag}, a low place; "
                    f"{show(least.si, 'length', 'ft')} is asked for",
                    "its outlet led away by pipe, up and into the open, or more distance",
                    "propane runs down into it, stays there unseen, and burns when a flame comes near",
                    moves=apart(there, as_stood(spot), least.si - measured.si, spot.kind),
                )
    return ended(plan, ("low_place",), f"{counted(looked, 'distance')}; how the ground slopes is not seen here")
