"""Liquid between two closed valves: it has no room to expand, and bursts what holds it as it warms up."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from specc import Context, Trouble, Unchecked, not_applicable, not_checked, rule, show
from specc.kinds.plumbing import LINES, NETWORK, SUPPLY, ZONES, Network, Part, walked
from specc.kinds.weather import CASES
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_fuel.calc.condensing import trapped_liquid
from specc_fuel.calc.sources import LEMMON

_DEGREE_F = 1 / 1.8  # K
_HOLDS = (*LINES, "fitting", "accumulator")


def _gives_liquid(part: Part) -> bool:
    return part.spec.text_or("withdrawal") == "liquid" or part.spec.yes("dip_tube")


def _closes(part: Part) -> bool:
    """What may hold liquid back: a check valve closes by itself, and a regulator locks up."""
    return part.kind in ("valve", "regulator", "cylinder") and part.form not in ("relief", "excess_flow")


def _wetted(net: Network, zones: Mapping[str, str], liquid: Collection[Part]) -> list[str]:
    """Where liquid gets to ahead of the regulators: either way, into what another cylinder feeds too, but for a check
    valve from behind."""

    def beside(here: str) -> list[str]:
        part = net.by_tag[here]
        if part.kind == "regulator" or (part.kind == "cylinder" and part not in liquid):
            return []
        before = [b for b in net.before.get(here, ()) if net.by_tag[b].form != "check"]
        return [t for t in (*net.after.get(here, ()), *before) if zones.get(t) == SUPPLY]

    return list(walked({}, (c.tag for c in liquid), beside, ""))


def _pieces(net: Network, wetted: Collection[str]) -> Iterator[tuple[list[str], list[str]]]:
    """What may hold liquid between each two things that close, whichever stop closes them, and what does. A fitting
    that is full of it bursts as a line does."""
    done: set[str] = set()
    for tag in wetted:
        if tag in done or net.by_tag[tag].kind not in _HOLDS:
            continue
        met = sorted(net.walk((tag,), net.near, _closes), key=net.place.__getitem__)
        held = [t for t in met if net.by_tag[t].kind in _HOLDS]
        done.update(held)
        yield held, [t for t in met if _closes(net.by_tag[t])]


def _relieved(net: Network, tag: str) -> bool | str:
    """Whether a relief valve is open to a part, nothing between that closes or holds back, that opens before the part
    bursts; what is not said of it, where that decides."""
    met = net.walk((tag,), net.near, lambda p: p.kind in ("valve", "regulator", "cylinder"))
    rating, unsaid = net.by_tag[tag].spec.quantity_or_none("rating"), ""
    for relief in (net.by_tag[t] for t in met if net.by_tag[t].form == "relief"):
        opens = relief.spec.quantity_or_none("opens")
        if opens is None:
            unsaid = Unchecked(f"at what {relief.tag} opens (opens:)", join(relief.at, "opens"))
        elif rating is None:
            unsaid = unsaid or Unchecked(f"what {tag} is rated (rating:)", join("/plumbing/parts", tag, "rating"))
        elif opens.si <= rating.si * (1 + 1e-9):
            return True
    return unsaid or False


@rule(
    "fuel.trapped_liquid",
    level="error",
    statement="What holds a cylinder's liquid between two things that close has a relief valve of its own",
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
    warm = max((case.liquid for case in ctx[CASES]), key=lambda q: q.si)
    try:
        rise = trapped_liquid(warm.si - _DEGREE_F, _DEGREE_F).value
    except ValueError as e:
        return not_checked(str(e))
    looked = 0
    for held, closed in _pieces(net, _wetted(net, ctx[ZONES], liquid)):
        looked += 1
        relieved = {t: _relieved(net, t) for t in held}
        bare = [t for t, by in relieved.items() if by is False]
        if bare:
            yield Trouble(
                net.by_tag[bare[0]].at,
                f"liquid is shut in {several(bare)} by {several(closed)}, with no relief valve that opens "
                f"before it bursts: about {show(rise, 'pressure_difference', 'psi', 2)} for each °F that it "
                "warms up",
                "a hydrostatic relief valve between each two valves that close, or cylinders that give vapor",
                "a full line bursts in the sun within minutes, and throws liquid",
            )
        yield from dict.fromkeys(by for by in relieved.values() if isinstance(by, str))
    if liquid and not looked:
        names = several([c.tag for c in liquid])
        said = f"{names} gives liquid, and nothing that holds it stands between valves there"
        return not_checked(said, "/plumbing/runs")
    said = f"whether {several(unsaid)} gives vapor or liquid (withdrawal:)"
    yield from [Unchecked(said, *(join("/plumbing/parts", tag, "withdrawal") for tag in unsaid))] if unsaid else []
    return passed(f"{counted(looked, 'piece')} of line that may hold liquid")
