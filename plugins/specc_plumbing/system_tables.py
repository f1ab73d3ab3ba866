"""What stands under the picture of the system: its zones with their pressures, and what each valve stops."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from specc import Figure, psig
from specc.kinds.plumbing import OUTLETS, Network, RegulatorState, zone_tag
from specc_plumbing.as_written import in_flow
from specc_plumbing.reach import FaultyNetwork, closes
from specc_plumbing.zone_page import weakest

if TYPE_CHECKING:
    from specc.drawing.strip import Listing

_MOST = 12  # rows that a reader takes in at the picture's foot; all closures are in the appendix
_FEW = 3  # outlets behind a valve that are walked back from one by one


def zones(
    net: Network, zone: Mapping[str, str], names: Mapping[str, tuple[str, str]], figures: Mapping[str, Figure]
) -> Listing:
    """Every zone by its letter and name: its pressures, and the part that would give way first."""
    from specc.drawing.strip import Listing

    def psi(name: str, state: RegulatorState) -> str:
        figure = figures.get(zone_tag(name, state))
        return "–" if figure is None else _psi(figure.si)

    rows = []
    for one, (letter, name) in names.items():
        least, _ = weakest(net, [t for t, z in zone.items() if z == one])
        weak = "none rated" if least is None else f"{least[1]}, {_psi(least[0])}"
        rows.append((letter, name, psi(one, "set"), psi(one, "highest"), psi(one, "failed_open"), weak))
    heads = ("", "zone", "as set", "turned up", "failed", "weakest, rated")
    note = "As set: gas flows. Turned up: to its most, no flow. Failed: a regulator stuck open, or what its relief "
    note += "valve holds. At outlets, open to the air: turned up, some jets blocked. Commercial propane at its hottest."
    return Listing("Zones, psig", heads, tuple(rows), frozenset((2, 3, 4)), note if rows else "")


def _psi(si: float) -> str:
    return psig(si).removesuffix(" psig")


def valves(net: Network) -> Listing:
    """What each closure stops when it is shut alone, by the tags that procedures use."""
    from specc.drawing.like import span, stem
    from specc.drawing.strip import Listing

    whole = FaultyNetwork(net)
    cylinders = [p.tag for p in net.of_kind("cylinder")]
    outlets = [o.tag for o in net.of_kind(*OUTLETS)]
    vessels = [p.tag for p in net.of_kind("accumulator")]

    def fed(sources: list[str], shut: str = "") -> set[str]:
        met = whole.reach(sources, {shut} if shut else ())
        return {o for o in outlets if (o, "in") in met}

    in_order = {p.tag for c in cylinders for p in net.downstream(c)}
    apart = [o for o in outlets if o not in in_order]  # gas comes to them against the flow, by whatever way

    def stops(valve: str, of: set[str]) -> set[str]:
        """Of the outlets that are fed, those that are not once the valve is shut. Few are asked one by one, from the
        outlet back: the walk ends at the valve."""
        below = {p.tag for p in net.downstream(valve)} | set(apart)
        asked = of & below
        if len(asked) > _FEW:
            return of - fed(cylinders, valve)
        return {o for o in asked if not set(whole.reaching([(o, "in")], {valve})) & set(cylinders)}

    all_fed = fed(cylinders)
    stored = fed(vessels)

    def said(valve: str, gone: set[str]) -> str:
        """What no gas comes to with the valve shut: some of it only once the accumulators behind it are empty."""
        whose = span([o for o in outlets if o in gone])
        kept = fed(vessels, valve) & gone if stored & gone else set()
        if not kept:
            return "everything" if gone == all_fed else whose
        giving = set(whole.reaching([(o, "in") for o in kept], {valve}))
        hold = [v for v in vessels if v in giving]
        if gone == all_fed and kept != gone:
            return f"everything but what {span(hold)} {'holds' if len(hold) == 1 else 'hold'}"
        if kept == gone != all_fed:
            return f"filling {span(hold)}"
        late = "everything" if gone == all_fed and len(gone) > 1 else span([o for o in outlets if o in kept])
        later = f"{late}, once {span(hold)} {'is' if len(hold) == 1 else 'are'} empty"
        return "; ".join(x for x in (span([o for o in outlets if o in gone - kept]), later) if x)

    rows: dict[str, list[str]] = {}
    for valve in (p.tag for p in in_flow(net) if closes(p)):
        gone = stops(valve, all_fed)
        if gone:
            words = said(valve, gone)
        else:
            alone = [c for c in cylinders if fed([c]) and not fed([c], valve)]
            words = f"gas of {span(alone)}" if alone else ""
        if words:
            rows.setdefault(words, []).append(valve)
    made: list[tuple[str, str]] = []
    single = {some[0]: words for words, some in rows.items() if len(some) == 1 and words in outlets}
    for words, some in rows.items():
        # Like branches have each a valve of their own: one row for all of them.
        if some[0] not in single:
            made.append((span(some), words))
        like = [v for v in single if v.rstrip("0123456789") == some[0].rstrip("0123456789")]
        if some[0] in single and like[0] == some[0]:
            burners = [single[v] for v in like]
            made.append((span(like), f"its own {stem(burners)}" if len(like) > 1 else burners[0]))
    note = f"{len(made) - _MOST} more: section on closing." if len(made) > _MOST else ""
    return Listing("What one valve stops", ("valve", "stops"), tuple(made[:_MOST]), note=note)
