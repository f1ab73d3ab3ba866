"""Whether a relief valve passes what a regulator gives that has failed open.

A relief valve makes nothing pass by being there. What it lets out is stated, or computed from its bore as vapor that
runs at the speed of sound; what the regulator gives is computed from its seat, wide open at the hottest supply, with
nothing else in the way. Fire around a vessel is not sized.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from specc import (
    CHOICE,
    Citation,
    Context,
    Cure,
    Judging,
    Key,
    Limit,
    Trouble,
    Unchecked,
    answers_of,
    not_applicable,
    not_checked,
    passed,
    psig,
    rule,
    show,
)
from specc import value as shared
from specc.kinds.plumbing import FITTED, NETWORK, SUPPLY, ZONES, Network, Part, regulators_into
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.measure.units import HOUR, INCH, POUND
from specc.model.view import join
from specc.model.wording import counted
from specc_fuel.calc import nozzle, propane
from specc_fuel.keys import WARMEST_SUPPLY
from specc_fuel.outlets.relief_lines import BACK_PRESSURE, INLET_LOSS, held_up, way_to
from specc_fuel.supply.cylinders import warmest_liquid
from specc_fuel.wording import rounded_up

VAPOR = Citation("api-520-1", "vapor at critical flow, W = C A Kd P1 sqrt(M/(T Z))", "reprint")
ACCUMULATION = Limit(
    "fuel.relief_accumulation",
    "10 %",
    "ratio",
    "max",
    "how far above its setting a relief valve is taken to let the pressure rise while it passes its capacity",
    Citation("asme-viii-1", "UG-125(c): 10 % or 3 psi", "reprint"),
)
DISCHARGE = Limit(
    "fuel.relief_discharge",
    "62 %",
    "ratio",
    "min",
    "discharge coefficient of a relief valve whose capacity and discharge: are not stated",
    CHOICE,
)
FIRE = "a vessel in a fire is not sized"


_LIMITS = ("fuel.relief_accumulation", "fuel.relief_discharge", INLET_LOSS.key, BACK_PRESSURE.key)


class Relieved(NamedTuple):
    """Relief in one zone. `lets_out` and `comes`: kg/s, None where not known; `unsaid` then says what to state. What
    comes is the most that one of the regulators into the zone gives wide open, `opened`; the others hold meanwhile.
    `guards`: what it keeps from the full pressure, with nothing between that may be shut or that throttles."""

    valves: tuple[Part, ...]
    guards: frozenset[str]
    rises_to: float
    lets_out: float | None
    comes: float | None
    opened: str
    unsaid: str

    @property
    def keeps_up(self) -> bool | None:
        """Whether it lets out at least what comes; None where that is not known."""
        if self.lets_out is None or self.comes is None:
            return None
        return self.lets_out >= self.comes * (1 - 1e-9)


RELIEVED: Key[Mapping[str, Relieved]] = Key("fuel.relieved", dict)
"""By zone with a relief valve in it, behind regulators."""


def relief_flow(bore: float, discharge: float, pressure: float, temperature: float) -> float:
    """Vapor through a relief valve, kg/s: Kd A times the critical flux from rest.

    bore: m. discharge: Kd. pressure: Pa absolute ahead, relieving. temperature: K, no lower than where the gas is
    vapor. Source: API 520 part I, vapor at critical flow; its C sqrt(M/(T Z)) is the same isentropic flux.
    """
    gas = nozzle.propane_at(pressure, temperature)
    return discharge * math.pi * bore**2 / 4 * nozzle.flux(pressure, pressure, gas.rho, gas.k)


def _whole_bore(bore: float, relieving: float) -> float:
    """The most that a hole so wide could pass, without any loss and with gas as cold, and so as dense, as it gets."""
    return relief_flow(bore, 1.0, relieving, propane.boiling_point(relieving) + 0.1)


def _warm(ctx: Context, relieving: float) -> float:
    """Warm gas is thinner and runs out less by weight; it is vapor there."""
    hottest = warmest_liquid(ctx, max((case.liquid for case in ctx[CASES]), key=lambda q: q.si)).si
    return max(hottest, propane.boiling_point(relieving) + 0.1)


def _lets_out(ctx: Context, valve: Part, relieving: float) -> float | None:
    stated, bore = valve.spec.quantity_or_none("relieves"), valve.spec.quantity_or_none("bore")
    if stated is not None:
        # What is said of its capacity counts no further than its bore could pass.
        return stated.si if bore is None else min(stated.si, _whole_bore(bore.si, relieving))
    return _by_bore(ctx, valve, bore.si, relieving) if bore is not None else None


def _by_bore(ctx: Context, valve: Part, bore: float, relieving: float) -> float:
    own = valve.spec.quantity_or_none("discharge")
    return relief_flow(bore, own.si if own else ctx.limit(DISCHARGE.key).si, relieving, _warm(ctx, relieving))


@shared(
    RELIEVED,
    needs=(NETWORK, FITTED, ZONES, WARMEST_SUPPLY, AIR_PRESSURE, CASES),
    reads=("gas",),
    limits=_LIMITS,
)
def relieved(ctx: Context) -> Mapping[str, Relieved]:
    net, zones, air, supply = ctx[NETWORK], ctx[ZONES], ctx[AIR_PRESSURE].si, ctx[WARMEST_SUPPLY].si
    made = {}
    for zone in dict.fromkeys(zones.values()):
        regulators = regulators_into(net, zones, zone) if zone not in (SUPPLY, "") else ()
        valves = tuple(p for p in net.of_kind("valve") if p.form == "relief" and zones.get(p.tag) == zone)
        # One that a valve may shut off, or that gas comes to with difficulty, does not count.
        valves = tuple(v for v in valves if shut_off(net, v) is None and not _held_up(ctx, v)[0])
        if not valves or not regulators:
            continue
        guards = _guarded(net, regulators, valves)
        opens = {v.tag: q for v in valves if (q := v.spec.quantity_or_none("opens")) is not None}
        if len(opens) < len(valves):
            lacking = next(v.tag for v in valves if v.tag not in opens)
            at = join("/plumbing/parts", lacking, "opens")
            unread = Unchecked(f"{lacking} does not say when it opens (opens:)", at)
            made[zone] = Relieved(valves, guards, 0.0, None, None, regulators[0].tag, unread)
            continue
        rises_to = max(q.si for q in opens.values()) * (1 + ctx.limit(ACCUMULATION.key).si)
        each = {v.tag: _lets_out(ctx, v, rises_to + air) for v in valves}
        seats = {r.tag: r.spec.quantity_or_none("seat") for r in regulators}
        parts = "/plumbing/parts"
        unsaid = [
            Unchecked(f"what {t} lets out (relieves:, or bore:)", join(parts, t, "relieves"), join(parts, t, "bore"))
            for t, flow in each.items()
            if flow is None
        ]
        unsaid += [
            Unchecked(f"what {t} gives wide open (seat:, the bore of its seat)", join(parts, t, "seat"))
            for t, seat in seats.items()
            if not seat
        ]
        widest, seat = max(((t, q.si) for t, q in seats.items() if q), key=lambda one: one[1], default=("", 0.0))
        comes = None
        if all(seats.values()):
            gas = nozzle.propane_at(supply + air, propane.boiling_point(supply + air) + 0.1)
            comes = math.pi * seat**2 / 4 * nozzle.flux(supply + air, max(supply - rises_to, 0.0), gas.rho, gas.k)
        lets = None if any(f is None for f in each.values()) else sum(f for f in each.values() if f is not None)
        why = Unchecked(f"not stated: {', '.join(unsaid)}", *answers_of(*unsaid)) if unsaid else ""
        made[zone] = Relieved(valves, guards, rises_to, lets, comes, widest or regulators[0].tag, why)
    return made


def _closes(part: Part) -> bool:
    """Whether it may hold gas back from a relief valve: shut, or throttling. A check valve lets it come."""
    return part.kind in ("regulator", "cylinder", "orifice") or (
        part.kind == "valve" and part.form not in ("check", "relief")
    )


def _guarded(net: Network, regulators: tuple[Part, ...], valves: tuple[Part, ...]) -> frozenset[str]:
    """What stands behind regulators and in open connection with each of the relief valves, and what gas comes to only
    through that, whichever of the regulators it comes from."""
    open_to = [{t for t in net.walk((v.tag,), net.near, _closes) if not _closes(net.by_tag[t])} for v in valves]
    core = set.intersection(*open_to)
    below = {p.tag for r in regulators for p in net.downstream(r.tag)}
    full = net.walk((t for r in regulators for t in net.after.get(r.tag, ())), net.after, lambda p: p.tag in core)
    return frozenset((below | core) - (set(full) - core))


def shut_off(net: Network, valve: Part) -> Part | None:
    """What closes or throttles before a relief valve, or closes behind it."""
    for part in way_to(net, valve):
        if part.kind == "orifice" or (part.kind == "valve" and part.form != "relief"):
            return part
    behind = (net.by_tag[t] for t in net.walk(net.after.get(valve.tag, ()), net.after))
    return next((p for p in behind if _closes(p) or p.form in ("plug", "cap", "check")), None)


def _held_up(ctx: Context, valve: Part) -> tuple[str, Cure | None]:
    """What the lines at a relief valve take from it beyond what they may, in words, and what would pass."""
    opens = valve.spec.quantity_or_none("opens")
    rises_to = opens.si * (1 + ctx.limit(ACCUMULATION.key).si) if opens else 0.0
    relieving = rises_to + ctx[AIR_PRESSURE].si
    stated, bore = valve.spec.quantity_or_none("relieves"), valve.spec.quantity_or_none("bore")
    # What is stated is what it passes at least: by its bore it may be more.
    passes = [stated.si] if stated is not None else []
    if bore is not None:
        passes.append(_by_bore(ctx, valve, bore.si, relieving))
    return held_up(ctx, valve, max(passes, default=None), opens, rises_to, _warm(ctx, relieving))


def _lb_h(si: float) -> str:
    return show(si, "mass_flow", "lb/h", 3)


def _larger(relief: Relieved) -> Cure | None:
    """One relief valve that passes what comes, by what is said of it; none where several stand there."""
    if len(relief.valves) != 1 or not relief.lets_out or relief.comes is None:
        return None
    part, new = relief.valves[0], {}
    stated, bore = part.spec.quantity_or_none("relieves"), part.spec.quantity_or_none("bore")
    if stated is not None and stated.si < relief.comes:
        new["relieves"] = f"{rounded_up(relief.comes, POUND / HOUR)} lb/h"
    if bore is not None and (stated is None or relief.lets_out < stated.si):
        new["bore"] = f"{rounded_up(bore.si * math.sqrt(relief.comes / relief.lets_out), INCH)} in"
    if not new:
        return None
    words = " and ".join(f"{key}: {value}" for key, value in new.items())
    return Cure(f"one with {words} would pass", tuple((join(part.at, key), value) for key, value in new.items()))


@rule(
    "fuel.relief_capacity",
    level="error",
    statement="Each relief valve behind a regulator passes what that regulator gives when it fails open, with nothing "
    "at it that may be shut; fire is not sized",
    source=VAPOR,
    needs=(RELIEVED, NETWORK, FITTED, ZONES, AIR_PRESSURE, CASES),
    reads=("gas",),
    limits=_LIMITS,
    rests_on=("plumbing.relieves",),
)
def relief_capacity(ctx: Context) -> Judging:
    net, zones = ctx[NETWORK], ctx[ZONES]
    yield from [
        Trouble(
            valve.at,
            f"{closes.tag} ({closes.title}) stands at {valve.tag}, which lets nothing out once that is shut",
            "the relief valve on the line itself, with nothing before or behind it that closes or throttles",
            "the pressure rises although a relief valve is there",
        )
        for valve in net.of_kind("valve")
        if valve.form == "relief" and zones.get(valve.tag) and (closes := shut_off(net, valve)) is not None
    ]
    yield from [
        Trouble(
            valve.at,
            held,
            "the relief valve on the line itself, or shorter and wider lines at it",
            "it chatters or opens late, and lets out less than is written on it",
            cure=cure,
        )
        for valve in net.of_kind("valve")
        if valve.form == "relief" and zones.get(valve.tag) not in (None, "", SUPPLY)
        for held, cure in (_held_up(ctx, valve),)
        if held and shut_off(net, valve) is None
    ]
    if not ctx[RELIEVED]:
        there = [p.tag for p in net.of_kind("valve") if p.form == "relief" and zones.get(p.tag) == SUPPLY]
        ctx[NETWORK].all_read()
        return not_applicable(
            f"no relief valve stands behind a regulator{'; at cylinder pressure none is sized' if there else ''}"
        )
    unsaid, words = [], []
    for relief in ctx[RELIEVED].values():
        if relief.lets_out is None or relief.comes is None:
            unsaid.append(relief.unsaid)
            continue
        named = ", ".join(v.tag for v in relief.valves)
        words.append(
            f"{named}: {_lb_h(relief.lets_out)} against {_lb_h(relief.comes)} by the seat of {relief.opened} alone; "
            "the failure table counts its lines too"
        )
        if not relief.keeps_up:
            yield Trouble(
                relief.valves[0].at,
                f"{named} lets out {_lb_h(relief.lets_out)} at {psig(relief.rises_to)}, and {relief.opened} gives "
                f"{_lb_h(relief.comes)} when it fails open",
                f"relief valves of {_lb_h(relief.comes)} of propane together, or a regulator with a smaller seat",
                "the pressure goes on rising although the relief valve is open",
                cure=_larger(relief),
            )
    looked = "; ".join([*words, FIRE])
    if unsaid:
        return not_checked("; ".join([*unsaid, FIRE]), *answers_of(*unsaid))
    return passed(f"{looked}; {counted(len(words), 'zone')}")
