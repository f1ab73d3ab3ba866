"""One burst, from the call to the look after it, and what its vessel may show before it."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from specc.kinds.procedures import Act, Step
from specc.kinds.show import Timeline
from specc.measure.printing import show
from specc.model.view import Unreadable
from specc_operators.arming import below, feeds_of, spoken
from specc_operators.device import Device
from specc_operators.filling import read_by
from specc_operators.in_words import listed
from specc_operators.power import safe
from specc_operators.readings import gauges_at
from specc_operators.rows import WAIT, reads_nothing, row

_FILLED = 0.9  # of its setting a vessel shows at least before a burst: common practice, no published source


def second_eye(device: Device, fires: str) -> Act | None:
    """Who else sees, before each burst, that what lights it burns: its spotter, else another than who fires; None where
    nobody is on a roster, or where sensors see it."""
    if not device.crew.hands or all(map(device.blind, device.bursts)):
        return None
    effects = {*device.bursts.values()}
    hands = device.crew.hands
    own = next((h for h in hands if h.role == "spotter" and {*h.effects} & effects), None)
    other = own.person if own else device.crew.pick("", "valve", (), (fires,))
    return Act("check", "", other, next((h.station for h in hands if h.person == other), ""))


def least_spacing(line: Timeline) -> dict[str, float]:
    """By burst effect, the least time from one opening to the next in the show as planned, in s."""
    made: dict[str, float] = {}
    for effect in dict.fromkeys(s.effect for s in line.shots):
        at = sorted(s.at for s in line.shots if s.effect == effect)
        if gaps := [b - a for a, b in pairwise(at)]:
            made[effect] = min(gaps)
    return made


def _fired(device: Device, bursts: Collection[str], time: str) -> str:
    """How a burst is fired, and for how long: by what is held down, else by its hand valve."""
    if hands := [c for b in bursts if not device.by_power(b) for c in device.held_by(b)]:
        return f"open {listed(hands)}{time}, then shut"
    held = f"hold {listed(device.buttons)}" if device.buttons else "press and hold"
    return f"{held}{' together' if len(device.buttons) > 1 else ''}{time}, let go"


def firing(device: Device, line: Timeline) -> list[Step]:
    """One burst, from the call to the look after it."""
    if not device.bursts:
        return []
    effects = tuple(dict.fromkeys(device.bursts.values()))
    (who, where), off = device.fires(), safe(device)
    longest: dict[str, float] = {}
    for shot in line.shots:
        longest[shot.effect] = max(longest.get(shot.effect, 0.0), shot.open.si)
    lighters, sparks = device.lighters(), device.sparks()
    said = [f"{listed(lighters)} {'burns' if len(lighters) == 1 else 'burn'}"] if lighters else []
    said += [f"{listed(sparks)} is on and seen to work"] if sparks else []
    second = second_eye(device, who) if lighters else None
    at = f" at {second.where}" if second and second.where else ""
    other = f"{f'the spotter{at}' if device.crew.watches(second.who) else second.who or '______'}" if second else ""
    too = f", {other} says so too" if second else ""
    proves = f"{who or 'Whoever fires'} says that {' and '.join(said)}{too}, spotters" if said else "Spotters say"
    made = [
        row(
            10,
            f"{proves} that all is clear; only then the lead gives the signal.",
            [
                *(Act("check", p, who, where) for p in lighters),
                *([second._replace(tag=p) for p in lighters] if second else []),
                Act("say", "", (*device.crew.of_role("lead"), "")[0]),
            ],
            procedure="firing",
            if_not=f"Any doubt: {off}.",
        )
    ]
    shut = listed(feeds_of(device)) or "the cylinders"
    made += _pressure_said(device, who, where, shut)
    for effect in effects:
        time = f" for {spoken(longest[effect])} at most" if effect in longest else ""
        own = [b for b, e in device.bursts.items() if e == effect]
        fires, at = device.fires(own)
        pressed = device.buttons if any(map(device.by_power, own)) else ()
        made.append(
            row(
                20,
                f"Burst of {effect}: {_fired(device, own, time)}.",
                [*(Act("press", b, fires, at) for b in pressed), Act("fire", effect, fires, at)],
                procedure="firing",
                look_for="it ends when let go" if any(map(device.by_power, own)) else "it ends when shut",
                if_not="It burns on: STOP, everybody back; let it burn down.",
            )
        )
    planned = "; ".join(f"{e} {spoken(s)}" for e, s in least_spacing(line).items())
    held = [p.tag for p in device.net.of_kind("accumulator") if device.own_feed(p.tag)]
    but = f" (but to empty {listed(held)})" if held else ""
    text = f"Next burst not sooner than this packet counts with: {planned}{but}." if planned else "See that it lit."
    text += " A burst that is late is left out."
    made.append(
        row(
            30,
            text,
            [Act("wait", "", who, where)],
            procedure="firing",
            # What did not light stands about the outlet as gas: nobody can fire, and nothing is lit or let out there.
            if_not=f"One did not light: STOP, everybody back; nobody near {listed(device.bursts)} or downwind. "
            f"{_never_again(device)}",
        )
    )
    return made


def alarms(device: Device) -> dict[str, str]:
    """By gauge of a vessel that bursts, what it shows at most while all is right: lock-up, else the setting."""
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    of = {g: device.zones.get(v, "") for v in held for g in gauges_at(device, v)}
    return {g: device.told(r, "lock_up") or device.told(r, "set") for g, r in of.items()}


def _pressure_said(device: Device, burster: str, where: str, shut: str) -> list[Step]:
    """Before each burst somebody at a post reads what it is fired from; nobody stands beside a charged
    vessel for it."""
    made = alarms(device)
    if not made:
        return []
    posts = {g: (*device.crew.at(device.place(g)), "")[0] for g in made}
    other = device.crew.pick(where, "valve", (), (burster,)) or burster
    post = next((h.station for h in device.crew.hands if h.person == other), "") or where
    acts = [Act("check", g, posts[g] or other, device.place(g) if posts[g] else post) for g in made]
    far = listed(g for g in made if not posts[g])
    by = listed(read_by(device, g) or "______" for g in made if not posts[g])
    how = f" ({far} from the post, by {by}, nobody beside it)" if far else ""
    said = "; ".join(
        f"{g} not above {most or 'its setting'}" + (f", nor under {least}" if (least := _least(device, g)) else "")
        for g, most in made.items()
    )
    no = f"Not so, or not to be read: no burst, {safe(device)}, close {shut}, none until it is so; above it: STOP, "
    no += f"{shut} first."
    return [
        row(5, f"Before each burst the pressure is read{how} and said back by the lead: {said}.", acts,
            procedure="firing", if_not=no)
    ]  # fmt: skip


def _least(device: Device, gauge: str) -> str:
    """What a vessel shows at least before a burst, in the unit of its regulator's setting; "" where that is not told.
    Below it what feeds it has run low, or something leaks."""
    tag = device.zones.get(gauge, "")
    try:
        setting = device.net.by_tag[tag].spec.quantity_or_none("set") if tag in device.net.by_tag else None
    except Unreadable:  # reported where it stands
        return ""
    return show(setting.si * _FILLED, "gauge_pressure", "psi", 2) if setting is not None else ""


def _never_again(device: Device) -> str:
    """After a burst that did not light: why is found where it came out, and nobody goes there beside a charged one."""
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    seen = f"{reads_nothing(device.detector)} there and the cause is found"
    if held:
        return (
            f"No more bursts; nothing is lit until {listed(held)} {'is' if len(held) == 1 else 'are'} let down, {seen}."
        )
    return f"Not armed again until, {WAIT} later, {seen}."
