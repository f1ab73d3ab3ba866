"""One burst, from the call to the look after it, and what its vessel may show before it."""

from __future__ import annotations

from itertools import pairwise

from specc.kinds.procedures import Act, Step
from specc.kinds.show import Timeline
from specc_operators.device import Device, listed
from specc_operators.filling import gauges_at
from specc_operators.rows import WAIT, reads_nothing, row
from specc_operators.start_up import below, feeds_of, spoken


def least_spacing(line: Timeline) -> dict[str, float]:
    """By burst effect, the least time from one opening to the next in the show as planned, in s."""
    made: dict[str, float] = {}
    for effect in dict.fromkeys(s.effect for s in line.shots):
        at = sorted(s.at for s in line.shots if s.effect == effect)
        if gaps := [b - a for a, b in pairwise(at)]:
            made[effect] = min(gaps)
    return made


def _held(device: Device) -> str:
    """What is held down while it fires."""
    return (
        f"hold {listed(device.buttons)}{' together' if len(device.buttons) > 1 else ''}"
        if device.buttons
        else ("press and hold")
    )


def firing(device: Device, line: Timeline) -> list[Step]:
    """One burst, from the call to the look after it."""
    if not device.bursts:
        return []
    effects = tuple(dict.fromkeys(device.bursts.values()))
    who = device.crew.pick(device.desk, "valve", effects)
    longest: dict[str, float] = {}
    for shot in line.shots:
        longest[shot.effect] = max(longest.get(shot.effect, 0.0), shot.open.si)
    lighters, sparks = device.lighters(), device.sparks()
    burns = f" {listed(lighters)} burns?" if lighters else ""
    burns += f" {listed(sparks)} on and seen to work?" if sparks else ""
    made = [
        row(
            10,
            f"The lead looks at spotters and public, and gives the signal.{burns} No answer, no burst.",
            [
                Act("say", "", (*device.crew.of_role("lead"), "")[0]),
                *(Act("check", p, who, device.desk) for p in lighters),
            ],
            procedure="firing",
            if_not="Any doubt: stop pressed, key out.",
        )
    ]
    shut = listed(feeds_of(device)) or "the cylinders"
    made += _pressure_said(device, who, shut)
    for effect in effects:
        time = f" for {spoken(longest[effect])} at most" if effect in longest else ""
        made.append(
            row(
                20,
                f"Burst of {effect}: {_held(device)}{time}, let go.",
                [*(Act("press", b, who, device.desk) for b in device.buttons), Act("fire", effect, who, device.desk)],
                procedure="firing",
                look_for="it ends when let go",
                if_not=f"It burns on: stop, key out, close {shut}, everybody back; let it burn down.",
            )
        )
    planned = "; ".join(f"{e} {spoken(s)}" for e, s in least_spacing(line).items())
    text = f"Next burst not sooner than planned: {planned}." if planned else "See that it lit."
    made.append(
        row(
            30,
            text,
            [Act("wait", "", who, device.desk)],
            procedure="firing",
            # What did not light stands about the outlet as gas: nobody can fire, and nothing is lit or let out there.
            if_not=f"One did not light: stop pressed, key out, close {shut}; nobody near {listed(device.bursts)} or "
            f"downwind. {_never_again(device)}",
        )
    )
    return made


def alarms(device: Device) -> dict[str, str]:
    """By gauge of a vessel that bursts, what it shows at most while all is right: lock-up, else the setting."""
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    of = {g: device.zones.get(v, "") for v in held for g in gauges_at(device, v)}
    return {g: device.told(r, "lock_up") or device.told(r, "set") for g, r in of.items()}


def _pressure_said(device: Device, burster: str, shut: str) -> list[Step]:
    """Before each burst somebody at a post reads what it is fired from; nobody stands beside a charged
    vessel for it."""
    made = alarms(device)
    if not made:
        return []
    posts = {g: (*device.crew.at(device.place(g)), "")[0] for g in made}
    other = device.crew.pick(device.desk, "valve", (), (burster,)) or burster
    post = next((h.station for h in device.crew.hands if h.person == other), "") or device.desk
    acts = [Act("check", g, posts[g] or other, device.place(g) if posts[g] else post) for g in made]
    far = listed(g for g in made if not posts[g])
    how = f" ({far} from the post, with glasses if need be, nobody beside it)" if far else ""
    said = "; ".join(f"{g} not above {most or 'its setting'}" for g, most in made.items())
    no = f"Above it, or not to be read: no burst, stop pressed, key out, close {shut}; above it, as for a relief valve."
    return [
        row(15, f"Before each burst the pressure is read{how} and said back by the lead: {said}.", acts,
            procedure="firing", if_not=no)
    ]  # fmt: skip


def _never_again(device: Device) -> str:
    """After a burst that did not light: why is found where it came out, and nobody goes there beside a charged one."""
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    seen = f"{reads_nothing(device.detector)} there and the cause is found"
    if held:
        return f"No more bursts: normal shutdown, without one; nothing is lit until {listed(held)} is let down, {seen}."
    return f"Not armed again until, {WAIT} later (trade habit), {seen}."
