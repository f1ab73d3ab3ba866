"""A rule on how many cylinders stand on the site: connected, spare and in store."""

from __future__ import annotations

from specc import CHOICE, Context, Trouble, not_applicable, rule
from specc.kinds.plumbing import NETWORK
from specc.model.passes import Judging, passed
from specc.model.wording import counted
from specc_fuel.keys import CYLINDERS_NEEDED, SUPPLIES
from specc_fuel.supply.cylinders import beside_show


@rule(
    "fuel.no_more_than_needed",
    level="note",
    statement="No more cylinders stand on site, those in store too, than the show needs, for its gas and against the "
    "cold",
    source=CHOICE,
    needs=(CYLINDERS_NEEDED, SUPPLIES, NETWORK),
    reads=("site",),
)
def no_more_than_needed(ctx: Context) -> Judging:
    """A supply that falls short of the show has no number of cylinders that it needs, and its own findings."""
    spare = [p for p in ctx[NETWORK].of_kind("cylinder") if p.spec.yes("spare")]
    needed = {tag: round(f.si) for tag, f in ctx[CYLINDERS_NEEDED].items()}
    if not needed:
        ctx[NETWORK].all_read()
        return not_applicable("no supply is known to carry the show")
    there = sum(len(ctx[SUPPLIES][tag]) for tag in needed)
    yield from [
        Trouble(
            group[0].at,
            f"the supply of {tag} has {counted(len(group), 'cylinder')}, and the show needs {needed[tag]}",
            f"{needed[tag]} on site, or a waiver that says why more",
            "what is not there cannot leak or burn",
        )
        for tag, group in ctx[SUPPLIES].items()
        if tag in needed and len(group) > max(needed[tag], 1)
    ]
    stores = [(tag, s) for tag, s in beside_show(ctx.spec("site")) if s.whole("count")]
    waiting = [(p.at, f"{p.tag} is a spare") for p in spare]
    waiting += [
        (s.at, f"{counted(n := s.whole('count'), 'cylinder')} {'stand' if n > 1 else 'stands'} in store ({tag})")
        for tag, s in stores
    ]
    yield from [
        Trouble(
            at,
            f"{what}, and the cylinders that are connected carry the show",
            "no spare on site, or a waiver that says why one",
            "what is not there cannot leak or burn",
        )
        for at, what in waiting
        if len(needed) == len(ctx[SUPPLIES]) and all(n <= len(ctx[SUPPLIES][t]) for t, n in needed.items())
    ]
    connected = sum(map(len, ctx[SUPPLIES].values()))
    own = [(tag, s) for tag, s in ctx.spec("site").child("stores").children() if s.yes("of_the_show")]
    yield from [
        Trouble(
            s.here("count"),
            f"{counted(n, 'cylinder')} of the show {'are' if n > 1 else 'is'} in store ({tag}) between the nights, and "
            f"{connected} {'are' if connected > 1 else 'is'} connected",
            f"count: {connected}; the others are a store of their own",
            "cylinders that nobody counts are on site all the same",
        )
        for tag, s in own
        if (n := s.whole("count")) > connected
    ]
    there += len(spare) + sum(s.whole("count") for _, s in stores)
    return passed(f"{counted(there, 'cylinder')}, {sum(needed.values())} needed")
