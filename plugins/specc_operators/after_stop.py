"""After a stop: what still holds gas is let down, the lines are let out, and the night ends as any other does.

An emergency, a leak and a weather hold leave the plumbing alike: every valve shut, gas in each piece between two of
them. The same steps, by the same people, end each of the three.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc import View
from specc.kinds.procedures import AFTER_STOP, Act, Procedure, Step
from specc_operators.device import Device
from specc_operators.filling import two_carry
from specc_operators.in_words import listed
from specc_operators.readings import gauges_at
from specc_operators.rows import callers, row, written

NOT_SHUT = "One not shut stays connected, all back: fire service."
NOT_BEHIND = "Nothing is opened behind a cylinder that does not shut."
CALM = 70  # place in an emergency, and at a leak, from which nothing is in a hurry
LET_DOWN, LINES, OVER = 75, 77, 80  # places after it


def let_down(device: Device, vessels: Sequence[str], emergency: View) -> Step:
    """What still holds gas after an emergency: by whom and how it is let down, and what nobody does before. Whoever
    calls or meets help does that, and leaves it to a valve operator who is free sooner, where there is one."""
    below = {p.tag for v in vessels for p in device.net.downstream(v)}
    outlets = listed(p.tag for p in device.net.of_kind("burner") if p.tag in below)
    holds = f"{listed(vessels)} still {'holds' if len(vessels) == 1 else 'hold'} gas: nobody near {outlets or 'it'}."
    bleeds = [b for b in device.bleeds if any(b in {p.tag for p in device.net.downstream(v)} for v in vessels)]
    if not bleeds:
        text = f"{holds} No valve lets it down by hand: it is left to the fire service."
        return row(LET_DOWN, text, moment=AFTER_STOP, procedure="emergency")
    acts = [a for b in bleeds for a in _down(device, b, emergency)]
    behind, by_it = [v for v in device.shut_off() if v in below], dict[str, str]()
    by_whom = {a.tag: a.who for a in acts}
    for valve in behind:  # only now: what holds the burst back behind it may be stuck open
        by_it[valve] = next((b for b in bleeds if _joined(device, b, valve)), "")
        opened = [device.act("open", t) for t in (valve, by_it[valve]) if t]
        opened = [a._replace(who=by_whom.get(by_it[valve], a.who)) for a in opened]
        acts += [*opened, *(a._replace(action="close") for a in reversed(opened))] if by_it[valve] else []
    behind = [v for v in behind if by_it[v]]
    who = listed(dict.fromkeys(a.who for a in acts if a.who)) or "one person"
    met = written(emergency, "meet")
    lets = "lets it" if len(vessels) == 1 else "let them" if len({a.who for a in acts}) > 1 else "lets them"
    back = f", back from {met}," if met and written(emergency, "meets") == who else ""
    key = f", {listed(device.keys)} with the lead" if device.keys else ""
    then = f"; at 0 with {listed(behind)} open too, then both shut" if behind else ""
    then += ", plug back in"
    return row(
        LET_DOWN,
        f"{holds} When nothing burns, no thunder is heard{key} and the lead says so, {who}{back} {lets} down by "
        f"{listed(bleeds)} (plug out, valve cracked{then}), nothing lit near, by a way {clear_of(device, vessels)}; "
        "no such way: fire service.",
        acts,
        moment=AFTER_STOP,
        procedure="emergency",
    )


def steps_said(numbers: Sequence[int]) -> str:
    """Steps by their printed numbers: "steps 6 to 8", "steps 4 and 5"."""
    if len(numbers) < 2:
        return f"step {numbers[0] if numbers else '______'}"
    return f"steps {numbers[0]} {'to' if len(numbers) > 2 else 'and'} {numbers[-1]}"


def _joined(device: Device, bleed: str, valve: str) -> bool:
    """Whether a bleed and a valve stand behind the same vessel."""
    of = [{p.tag for p in device.net.upstream(t) if p.kind == "accumulator"} for t in (bleed, valve)]
    return bool(of[0] & of[1])


def _down(device: Device, bleed: str, emergency: View) -> list[Act]:
    own = device.act("bleed", bleed)
    busy = {*callers(emergency), written(emergency, "meets")}
    if own.who in busy:
        free = {h.person for h in device.crew.hands if h.role in ("valve", "fuel_watch")} - busy
        other = device.at_vessel(bleed, busy)
        own = own._replace(who=other) if other in free else own
    return [own, own._replace(action="close")]


def clear_of(device: Device, vessels: Sequence[str]) -> str:
    """Which way nobody comes to a vessel that may still blow: past its outlet, or where that would blow at them."""
    below = {p.tag for v in vessels for p in device.net.downstream(v)}
    outlets = listed(b for b in device.bursts if b in below)
    return f"that does not pass {outlets}, and not downwind of it" if outlets else "from upwind"


def lines_let_out(
    device: Device, order: int, procedure: Procedure, first: str, cylinders: Sequence[str] = ()
) -> list[Step]:
    """What stands between a closed cylinder and the next closed valve comes out at the first joint that is opened.
    `cylinders`: only behind these, where flames burned the others' lines empty."""
    if not device.cylinders():
        return []
    said, acts = device.lets_out(cylinders)
    moment = AFTER_STOP if procedure == "emergency" else ""
    if not said:
        text = f"{first} the lines: no hand valve lets them out. Nothing is taken off; supplier or fire service."
        return [row(order, text, moment=moment, procedure=procedure)]
    above = {p.tag for end in device.ways_out(cylinders) for p in device.net.upstream(end)}
    shown = {device.zones.get(g.tag, "") for g in device.net.of_kind("gauge")}
    backed = [p.tag for p in device.net.of_kind("regulator") if p.tag in above & shown and device.told(p.tag, "set")]
    off = f" ({listed(backed)} turned in if backed off)" if procedure != "stop" and backed else ""
    text = f"{first} let the lines out slowly, nothing lit near: open {said}{off}{_until(device)}; shut again. "
    text += NOT_BEHIND
    return [row(order, text, acts, moment=moment, procedure=procedure)]


def _until(device: Device) -> str:
    """What shows that the lines are empty: gauges that are no vessel's."""
    vessels = {g for v in device.net.of_kind("accumulator") for g in gauges_at(device, v.tag)}
    own = [g.tag for g in device.net.of_kind("gauge") if g.tag not in vessels]
    return f", until {listed(own)} {'shows' if len(own) == 1 else 'show'} nothing" if own else ""


def night_over(device: Device) -> tuple[str, list[Act]]:
    """The end of a night that no normal shutdown ended: the watch, the look at each valve, the cylinders off."""
    lead = (*device.crew.of_role("lead"), "")[0]
    valves = (*device.cylinders(), *device.hand(), *device.bleeds)
    watch = (*device.crew.of_role("fire_watch"), "")[0]
    acts = [Act("watch", "", device.stays or watch), Act("wait", "", device.stays)]
    for tag in valves:
        shut_by = device.who(tag)
        second = lead if lead != shut_by else device.crew.pick(device.place(tag), "valve", (), (shut_by,))
        acts.append(Act("check", tag, second))
    off = ""
    if device.cylinders_let_out():
        off = ", cylinders off but one that does not shut"
        acts += [device.act("disconnect", c) for c in device.cylinders()]
        acts += two_carry(device, device.cylinders())
    return f"fire watch ({device.watch}), every valve touched and named{off}", acts
