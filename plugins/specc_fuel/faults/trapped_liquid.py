"""Liquid between two closed valves: it has no room to expand, and bursts what holds it as it warms up."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from specc import Context, Trouble, not_applicable, not_checked, rule, show
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONES, Network, Part
from specc.kinds.weather import CASES
from specc.model.passes import Judging, passed
from specc.model.wording import counted, several
from specc_fuel.calc.condensing import trapped_liquid
from specc_fuel.calc.sources import LEMMON

_DEGREE_F = 1 / 1.8  # K


def _gives_liquid(part: Part) -> bool:
    return part.spec.text_or("withdrawal") == "liquid" or part.spec.yes("dip_tube")


def _closes(part: Part) -> bool:
    """What may hold liquid back: a check valve closes by itself, and a regulator locks up."""
    return part.kind in ("valve", "regulator", "cylinder") and part.form not in ("relief", "excess_flow")


def _pieces(net: Network, zones: Mapping[str, str], fed: Collection[str]) -> Iterator[tuple[list[str], list[str]]]:
    """Lines that may hold liquid between each two things that close, whichever stop closes them, and what does."""
    done: set[str] = set()
    for tag in fed:
        if tag in done or zones.get(tag) != SUPPLY or net.by_tag[tag].kind not in ("hose", "pipe", "tube"):
            continue
        met = sorted(net.walk((tag,), net.near, _closes), key=net.place.__getitem__)
        held = [t for t in met if net.by_tag[t].kind in ("hose", "pipe", "tube")]
        done.update(held)
        yield held, [t for t in met if _closes(net.by_tag[t])]


def _relieved(net: Network, tag: str) -> bool:
    """Whether a relief valve is open to a part: nothing between that closes or holds back."""
    met = net.walk((tag,), net.near, lambda p: p.kind in ("valve", "regulator", "cylinder"))
    return any(net.by_tag[t].form == "relief" for t in met)


@rule(
    "fuel.trapped_liquid",
    level="error",
    statement="Where a cylinder gives liquid, each line between two things that close has a relief valve of its own",
    source=LEMMON,
    needs=(NETWORK, ZONES, CASES),
)
def trapped(ctx: Context) -> Judging:
    """Liquid that warms up in a full line has no vapor to press together. Behind a regulator it has boiled."""
    net = ctx[NETWORK]
    cylinders = [c for c in net.of_kind("cylinder") if net.after.get(c.tag)]
    liquid = [c for c in cylinders if _gives_liquid(c)]
    if not cylinders:
        return not_applicable("no cylinder feeds anything")
    unsaid = [c.tag for c in cylinders if c not in liquid and not c.spec.has("withdrawal")]
    if not liquid and not unsaid:
        return not_applicable("every cylinder gives vapor")
    fed = tuple(dict.fromkeys(p.tag for c in liquid for p in net.downstream(c.tag)))
    warm = max((case.liquid for case in ctx[CASES]), key=lambda q: q.si)
    try:
        rise = trapped_liquid(warm.si - _DEGREE_F, _DEGREE_F).value
    except ValueError as e:
        return not_checked(str(e))
    looked = 0
    for held, closed in _pieces(net, ctx[ZONES], fed):
        looked += 1
        bare = [t for t in held if not _relieved(net, t)]
        if bare:
            yield Trouble(
                net.by_tag[bare[0]].at,
                f"liquid is shut in {several(bare)} by {several(closed)}, with no relief valve: about "
                f"{show(rise, 'pressure_difference', 'psi', 2)} for each °F that it warms up",
                "a hydrostatic relief valve between each two valves that close, or cylinders that give vapor",
                "a full line bursts in the sun within minutes, and throws liquid",
            )
    if liquid and not looked:
        names = several([c.tag for c in liquid])
        return not_checked(f"{names} gives liquid, and no line of a known length stands between valves there")
    yield from [f"whether {several(unsaid)} gives vapor or liquid (withdrawal:)"] if unsaid else []
    return passed(f"{counted(looked, 'piece')} of line that may hold liquid")
