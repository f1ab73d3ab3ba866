"""What holds gas ahead of a burst's valve is a vessel by what it does, whatever kind is written."""

from __future__ import annotations

import math

from specc import CHOICE, Context, Cure, Limit, Trouble, Verdict, not_applicable, rule, show
from specc.kinds.plumbing import FITTED, NETWORK, Network, Part
from specc.kinds.show import EFFECTS
from specc.measure.units import INCH
from specc.model.passes import judged
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.network.from_plumbing import bore_of

VESSEL = Limit(
    "fuel.vessel_volume",
    "0.2 gal",
    "volume",
    "min",
    "inside volume from which a pipe, tube or hose that fills ahead of a burst's valve counts as a vessel",
    CHOICE,
)
_LINES = ("pipe", "tube", "hose")


def _shuts(part: Part) -> bool:
    return part.kind == "valve" and part.form not in ("check", "relief")


def _burst_valves(net: Network, outlets: tuple[str, ...]) -> dict[str, None]:
    """The valves that are met first on each way up from the outlets of bursts: behind them a riser is open."""
    met = net.walk(outlets, net.before, _shuts)
    return {t: None for t in met if _shuts(net.by_tag[t])}


def _ahead(net: Network, valves: dict[str, None]) -> tuple[Part, ...]:
    """The lines that stand under pressure ahead of burst valves, up to the regulator or orifice that fills them."""
    starts = [b for tag in valves for b in net.before.get(tag, ())]
    met = net.walk(starts, net.before, lambda p: p.kind in ("regulator", "orifice", "cylinder"))
    return tuple(p for p in net.parts if p.tag in met and p.kind in _LINES)


def _shorter(part: Part, less: float) -> Cure | None:
    """The longest, in whole tenths of an inch, that holds less than a vessel."""
    inches = (math.ceil(less / INCH * 10 - 1e-6) - 1) / 10
    length = f"{inches:g} in"
    return Cure(f"{length} of it would pass", ((join(part.at, "length"), length),)) if inches > 0 else None


@rule(
    "fuel.held_gas",
    level="error",
    statement="What holds gas ahead of a burst's valve is described as the vessel that it is",
    source=CHOICE,
    needs=(NETWORK, FITTED, EFFECTS),
    limits=("fuel.vessel_volume",),
)
def held_gas(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    outlets = tuple(t for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets)
    lines = _ahead(net, _burst_valves(net, outlets)) if outlets else ()
    if not lines:
        net.all_read()
        return not_applicable("no line fills ahead of the valve of a burst")
    least, troubles, unsaid = ctx.limit(VESSEL.key), [], []
    for part in lines:
        bore, length = bore_of(ctx[FITTED][part.tag]), part.spec.quantity_or_none("length")
        if bore is None or length is None:
            unsaid.append(f"what {part.tag} holds: state its {'bore:' if bore is None else 'length:'}")
            continue
        inside = math.pi * bore.si**2 / 4 * length.si
        if inside >= least.si:
            troubles.append(
                Trouble(
                    part.at,
                    f"{part.tag} holds {show(inside, 'volume', 'gal', 2)} of gas ahead of the valve of a burst: it is "
                    f"a vessel, though described as a {part.kind}",
                    "kind: accumulator, with its volume:, plate: and relief valve; or a thinner or shorter line",
                    "what stores gas under pressure bursts as a vessel does, and a burst takes all that it holds",
                    cure=_shorter(part, length.si * least.si / inside),
                )
            )
    return judged(troubles, unsaid, f"{counted(len(lines), 'line')} against {least.text}; an open riser is none")
