"""What holds gas ahead of a burst's valve is a vessel by what it does, whatever kind is written."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import NamedTuple

from specc import CHOICE, Context, Cure, Limit, Trouble, Unchecked, not_applicable, rule, show
from specc.kinds.plumbing import FITTED, LINES, NETWORK, OUTLETS, Network, Part
from specc.kinds.show import EFFECTS
from specc.measure.units import INCH
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.calc.fittings import area_of_kv, kv_of_cv
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
_ENDS = ("regulator", "cylinder")  # an orifice is none: what stands ahead of it empties through it as well
# How long a fitting or valve is taken to be inside, in times its widest end: a cross with its four arms, or a ball
# valve, holds no more. Common practice, no published source. A manifold may be as long as anything.
_ENDS_LONG = 5.0
_WIDER_THAN_CV = 2.0  # how much wider a valve is than the hole that its Cv stands for; common practice as well
# What holds no gas by the way: a gauge's tube is as thin as a straw, and what burns stands behind the valve.
_HOLDS_NONE = ("gauge", "accumulator", *_ENDS, *OUTLETS)


def _shuts(part: Part) -> bool:
    return part.kind == "valve" and part.form not in ("check", "relief")


def _burst_valves(net: Network, outlets: tuple[str, ...]) -> dict[str, None]:
    """The valves that are met first on each way up from the outlets of bursts: behind them a riser is open."""
    met = net.walk(outlets, net.before, _shuts)
    return {t: None for t in met if _shuts(net.by_tag[t])}


class HoldingLines(NamedTuple):
    """What stands under pressure together ahead of a burst's valve. `feeds`: the accumulators that it fills, of
    which it is the way in; none for what the burst itself takes from."""

    parts: tuple[Part, ...]
    feeds: tuple[Part, ...]


def _stretches(net: Network, valves: dict[str, None]) -> list[HoldingLines]:
    """Up to the regulators or orifices that fill them: what the valve takes from, and what only fills accumulators."""
    starts = [b for tag in valves for b in net.before.get(tag, ())]
    near = net.walk(starts, net.before, lambda p: p.kind in _ENDS or net.stores(p))
    stored = {s for t in near for s in (t, *net.stores_at.get(t, ()))}  # on a branch it is filled by the same line
    accumulators = tuple(p for p in net.of_kind("accumulator") if p.tag in stored)
    above = [b for p in accumulators for b in net.before.get(p.tag, ())]
    behind = net.walk(above, net.before, lambda p: p.kind in _ENDS)
    taken = set(near) | _dead_ends(net, near)
    fills = (set(behind) | _dead_ends(net, behind)) - taken
    made = [HoldingLines(_all_inside(net, taken), ()), HoldingLines(_all_inside(net, fills), accumulators)]
    return [s for s in made if s.parts]


def _dead_ends(net: Network, tags: Iterable[str]) -> set[str]:
    """What branches off and leads to no outlet: plugged, it holds gas like the rest. What leads to another outlet
    does so up to its first valve or hole."""
    starts = [t for tag in tags for t in net.after.get(tag, ())]
    off = net.walk(starts, net.after, lambda p: p.kind in (*_ENDS, "orifice"))
    ended = {t for t in off if not any(p.kind in OUTLETS for p in net.downstream(t))}
    open_to = net.walk(starts, net.after, lambda p: p.kind in (*_ENDS, "orifice", "accumulator", "valve"))
    return ended | {t for t in open_to if net.by_tag[t].kind not in ("orifice", "valve")}


def _holding(net: Network, tags: set[str]) -> tuple[Part, ...]:
    """Lines, manifolds of whatever size, and fittings that are described as long as lines."""
    return tuple(
        p
        for p in net.parts
        if p.tag in tags
        and (
            p.kind in LINES
            or (p.kind == "fitting" and (p.form == "manifold" or (p.spec.has("bore") and p.spec.has("length"))))
        )
    )


def _is_line(part: Part) -> bool:
    return part.kind in LINES or part.form == "manifold"


def _inside(ctx: Context, part: Part) -> float | None:
    """m3, None where it is not known: of what is described as long as a line by that, of any other by its widest end.
    A plug or cap holds nothing."""
    fit = ctx[FITTED][part.tag]
    bore, length = bore_of(fit), part.spec.quantity_or_none("length")
    if bore is not None and length is not None:
        return math.pi * bore.si**2 / 4 * length.si
    if part.form in ("plug", "cap"):
        return 0.0
    if _is_line(part):
        return None
    across = [bore.si] if bore is not None else []
    across += [inches * INCH for e in fit.ends if e.family != "CGA" and (inches := _inches(e.size)) is not None]
    cv = part.spec.quantity_or_none("cv") if part.kind == "valve" else None
    if cv is not None and not across:
        across = [_WIDER_THAN_CV * math.sqrt(4 / math.pi * area_of_kv(kv_of_cv(cv.si)))]
    if not across:
        return None
    return math.pi * max(across) ** 2 / 4 * _ENDS_LONG * max(across)


def _inches(size: str) -> float | None:
    """Of a nominal size, "1-1/2"."""
    try:
        return float(sum(Fraction(word) for word in size.replace("-", " ").split()))
    except (ValueError, ZeroDivisionError):
        return None


def _lacks(part: Part) -> str:
    keys, between = (("bore", "length"), " and ") if _is_line(part) else (("ends", "bore"), " or ")
    said = f"what {part.tag} holds: state its {between.join(f'{key}:' for key in keys)}"
    return Unchecked(said, *(join(part.at, key) for key in keys if not part.spec.has(key)))


def _all_inside(net: Network, tags: set[str]) -> tuple[Part, ...]:
    """Lines first, then whatever else has an inside: fittings, valves and holes of every kind."""
    lines = _holding(net, tags)
    rest = tags - {p.tag for p in lines}
    return (*lines, *(p for p in net.parts if p.tag in rest and p.kind not in _HOLDS_NONE))


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
    for parts, feeds in stretches:
        held = {p.tag: inside for p in parts if (inside := _inside(ctx, p)) is not None}
        yield from [_lacks(p) for p in parts if p.tag not in held]
        most = max(least.si, share.si * sum(p.spec.quantity("volume").si for p in feeds))
        whole = sum(held.values())
        if whole < most or not held:
            continue
        part = max((p for p in parts if p.tag in held), key=lambda p: held[p.tag])
        others = f" with {counted(len(held) - 1, 'part')} beside it" if len(held) > 1 else ""
        yield Trouble(
            part.at,
            f"{part.tag}{others} holds {show(whole, 'volume', 'gal', 2)} of gas ahead of the valve of a burst: it "
            f"is a vessel, though described as a {part.kind}",
            "kind: accumulator, with its volume:, plate: and relief valve; or thinner or shorter lines",
            "what stores gas under pressure bursts as a vessel does, and a burst takes all that it holds",
            cure=_shorter_lines(parts, held, most),
        )
    net.all_read()  # what cannot be read may be the vessel
    number = sum(len(s.parts) for s in stretches)
    return passed(f"{counted(number, 'part')} against {least.text}; an open riser is none")


def _shorter_lines(parts: Iterable[Part], held: Mapping[str, float], most: float) -> Cure | None:
    """Of what has a length: the rest stays as it is."""
    lines = [p for p in parts if p.tag in held and p.spec.has("length")]
    cut = sum(held[p.tag] for p in lines)
    left = most - (sum(held.values()) - cut)
    return _shorter(lines, left / cut) if lines and left > 0 else None
