"""Hand valves that only shut accumulators off from their bursts, and whether somebody is posted at them.

Where nobody is, nobody goes there while the burst may blow: such a valve stops nothing then; it is shut once that is
out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping

from specc.kinds.people import OnDuty
from specc.kinds.places import Spot
from specc.kinds.plumbing import OUTLETS, Network, Part
from specc.measure.units import FOOT
from specc_plumbing.reach import by_hand, by_itself

_A_STEP = 10 * FOOT  # common practice, no published source: as from a post to the desk beside it


def posts(roster: tuple[OnDuty, ...], places: Mapping[str, Spot]) -> Callable[[str], bool]:
    """Whether somebody is posted at a place, or a step away from it; so it is taken where no post is known."""
    stations = {d.station for d in roster if d.station}
    at = [places[s].point for s in stations if s in places]

    def manned(place: str) -> bool:
        if not stations or not place or place in stations:
            return True
        here = places[place].point if place in places else None
        return here is not None and any(p is not None and math.dist(p[:2], here[:2]) <= _A_STEP for p in at)

    return manned


def anywhere(_place: str) -> bool:
    return True


def shuts_off(net: Network, valve: Part, bursts: Collection[str]) -> bool:
    """Whether a hand valve does no more than shut accumulators off from their bursts."""
    if not bursts or not net.of_kind("accumulator"):
        return False
    below = {p.tag for p in net.downstream(valve.tag)}
    outlets = {t for t in below if net.by_tag[t].kind in OUTLETS}
    if not outlets or not outlets <= {*bursts} or any(net.by_tag[t].kind == "accumulator" for t in below):
        return False
    # All that comes to it was stored before, and what holds the burst back until it is fired is another valve.
    stored = any(a.kind == "accumulator" for a in net.upstream(valve.tag)) and not any(
        valve.tag in net.walk([c.tag], net.after, net.stores) for c in net.of_kind("cylinder")
    )
    return stored and all(any(by_itself(v) for v in net.upstream(o)) for o in outlets)


def far(net: Network, bursts: Collection[str], manned: Callable[[str], bool], at: Callable[[Part], str]) -> set[str]:
    """Those where nobody is posted."""
    if not bursts or not net.of_kind("accumulator"):
        return set()
    return {
        v.tag for v in net.of_kind("valve")
        if by_hand(v) and not manned(at(v)) and shuts_off(net, v, bursts)
    }  # fmt: skip
