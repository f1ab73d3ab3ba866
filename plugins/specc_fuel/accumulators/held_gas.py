"""What holds gas ahead of a burst's valve is a vessel by what it does, whatever kind is written."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from specc import CHOICE, Context, Cure, Limit, Trouble, not_applicable, rule, show
from specc.kinds.plumbing import FITTED, NETWORK, OUTLETS, Network, Part
from specc.kinds.show import EFFECTS
from specc.measure.units import INCH
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.network.from_plumbing import bore_of

VESSEL = Limit(
    "fuel.vessel_volume",
    "0.2 gal",
    "volume",
    "min",
    "inside volume from which pipes, tubes and hoses that fill ahead of a burst's valve count as a vessel",
    CHOICE,
)
FEEDS = Limit(
    "fuel.vessel_share",
    "25 %",
    "ratio",
    "min",
    "what a line that fills an accumulator holds, of that accumulator, from which it counts as a vessel itself",
    CHOICE,
)
_LINES = ("pipe", "tube", "hose")
_ENDS = ("regulator", "orifice", "cylinder")


def _shuts(part: Part) -> bool:
    return part.kind == "valve" and part.form not in ("check", "relief")


def _burst_valves(net: Network, outlets: tuple[str, ...]) -> dict[str, None]:
    """The valves that are met first on each way up from the outlets of bursts: behind them a riser is open."""
    met = net.walk(outlets, net.before, _shuts)
    return {t: None for t in met if _shuts(net.by_tag[t])}


class HoldingLines(NamedTuple):
    """Lines that stand under pressure together ahead of a burst's valve. `feeds`: the accumulators that they fill, of
    which they are the way in; none for lines that themselves are what the burst takes from."""

    lines: tuple[Part, ...]
    feeds: tuple[Part, ...]


def _stretches(net: Network, valves: dict[str, None]) -> list[HoldingLines]:
    """Up to the regulators or orifices that fill them: what the valve takes from, and what only fills accumulators."""
    starts = [b for tag in valves for b in net.before.get(tag, ())]
    near = net.walk(starts, net.before, lambda p: p.kind in (*_ENDS, "accumulator"))
    accumulators = tuple(p for p in net.of_kind("accumulator") if p.tag in near)
    above = [b for p in accumulators for b in net.before.get(p.tag, ())]
    behind = net.walk(above, net.before, lambda p: p.kind in _ENDS)
    taken = set(near) | _dead_ends(net, near)
    fills = (set(behind) | _dead_ends(net, behind)) - taken
    made = [HoldingLines(_holding(net, taken), ()), HoldingLines(_holding(net, fills), accumulators)]
    return [s for s in made if s.lines]


def _dead_ends(net: Network, tags: Iterable[str]) -> set[str]:
    """What branches off and leads to no outlet: plugged, it holds gas like the rest."""
    off = net.walk([t for tag in tags for t in net.after.get(tag, ())], net.after, lambda p: p.kind in _ENDS)
    return {t for t in off if not any(p.kind in OUTLETS for p in net.downstream(t))}


def _holding(net: Network, tags: set[str]) -> tuple[Part, ...]:
    """Lines, and fittings that are described as long as lines."""
    return tuple(
        p
        for p in net.parts
        if p.tag in tags and (p.kind in _LINES or (p.kind == "fitting" and p.spec.has("bore") and p.spec.has("length")))
    )


def _inside(ctx: Context, part: Part) -> float | None:
    """m3, None where bore or length is not known."""
    bore, length = bore_of(ctx[FITTED][part.tag]), part.spec.quantity_or_none("length")
    return None if bore is None or length is None else math.pi * bore.si**2 / 4 * length.si


def _shorter(lines: list[Part], share: float) -> Cure | None:
    """All of them cut to a share of their length, in whole tenths of an inch, so that they hold less than a vessel."""
    lengths = [(math.ceil(p.spec.quantity("length").si * share / INCH * 10 - 1e-6) - 1) / 10 for p in lines]
    if min(lengths) <= 0:
        return None
    words = " and ".join(f"{inches:g} in of {p.tag}" for p, inches in zip(lines, lengths, strict=True))
    edits = tuple((join(p.at, "length"), f"{inches:g} in") for p, inches in zip(lines, lengths, strict=True))
    return Cure(f"{words} would pass", edits)


@rule(
    "fuel.held_gas",
    level="error",
    statement="What holds gas ahead of a burst's valve is described as the vessel that it is",
    source=CHOICE,
    needs=(NETWORK, FITTED, EFFECTS),
    limits=("fuel.vessel_share", "fuel.vessel_volume"),
)
def held_gas(ctx: Context) -> Judging:
    """Lines count together: four short pipes hold what one long one holds."""
    net = ctx[NETWORK]
    outlets = tuple(t for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets)
    stretches = _stretches(net, _burst_valves(net, outlets)) if outlets else []
    if not stretches:
        net.all_read()
        return not_applicable("no line fills ahead of the valve of a burst")
    least, share = ctx.limit(VESSEL.key), ctx.limit(FEEDS.key)
    for lines, feeds in stretches:
        held = {p.tag: inside for p in lines if (inside := _inside(ctx, p)) is not None}
        yield from [f"what {p.tag} holds: state its bore: and length:" for p in lines if p.tag not in held]
        most = max(least.si, share.si * sum(p.spec.quantity("volume").si for p in feeds))
        whole = sum(held.values())
        if whole < most or not held:
            continue
        part = max((p for p in lines if p.tag in held), key=lambda p: held[p.tag])
        others = f" with {counted(len(held) - 1, 'line')} beside it" if len(held) > 1 else ""
        yield Trouble(
            part.at,
            f"{part.tag}{others} holds {show(whole, 'volume', 'gal', 2)} of gas ahead of the valve of a burst: it "
            f"is a vessel, though described as a {part.kind}",
            "kind: accumulator, with its volume:, plate: and relief valve; or thinner or shorter lines",
            "what stores gas under pressure bursts as a vessel does, and a burst takes all that it holds",
            cure=_shorter([p for p in lines if p.tag in held], most / whole),
        )
    number = sum(len(s.lines) for s in stretches)
    return passed(f"{counted(number, 'line')} against {least.text}; an open riser is none")
