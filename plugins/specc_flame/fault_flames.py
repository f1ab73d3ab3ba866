"""How large the flame is that goes on under a fault: as the outlet's own, with the gas and pressure of then."""

from __future__ import annotations

from collections.abc import Iterator

from specc import Context, value
from specc.kinds.faults import FAULT_FLAMES, FAULTS, RELEASES, FaultFlame
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.view import Unreadable
from specc_flame.calc import reach
from specc_flame.calc.height import HEAT_RATIO
from specc_flame.keys import FAILED_FLAMES, OPEN
from specc_flame.sizes import flame_length, offset_of


@value(
    FAULT_FLAMES,
    needs=(RELEASES, FAULTS, NETWORK, AIR_PRESSURE, CASES),
    wants=(FAILED_FLAMES, OPEN),
    recalls=(HEAT_RATIO.citation,),
)
def fault_flames(ctx: Context) -> tuple[FaultFlame, ...]:
    return tuple(_flames(ctx))


def _flames(ctx: Context) -> Iterator[FaultFlame]:
    air = {case.name: case.air for case in ctx[CASES]}
    regulators = {f.key: f.tags for f in ctx[FAULTS] if f.state == "failed_open"}
    failed, bursts = ctx.get(FAILED_FLAMES) or {}, ctx.get(OPEN) or {}
    for release in ctx[RELEASES]:
        if release.flow is None or release.heat is None or release.pressure is None or release.heat.si <= 0:
            continue  # it does not burn, or how much comes out is not computed
        part = ctx[NETWORK].by_tag[release.where]
        try:
            gas = (release.heat, release.flow, release.pressure)
            what = f"mean flame length of {part.tag}"
            length = flame_length(what, part, gas, ctx[AIR_PRESSURE], air[release.case])
            # Behind a regulator that is open the public's distance counts commercial propane: the flame here too.
            hottest = failed.get(part.tag) if release.fault in regulators and part.tag not in bursts else None
            seen = max(_tip(part, length.si), hottest.tip.si if hottest else 0.0)
            yield FaultFlame(release.fault, part.tag, seen)
        except (Unreadable, ValueError):
            continue
    for outlet in bursts.keys() & failed.keys():
        key = next((k for k, tags in regulators.items() if tags == (failed[outlet].regulator,)), None)
        if key is not None:
            yield FaultFlame(key, outlet, failed[outlet].tip.si, fired=True)


def _tip(part: Part, length: float) -> float:
    return float(reach.visible_tip(length, offset_of(part).si))
