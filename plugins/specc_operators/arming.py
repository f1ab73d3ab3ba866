"""Arming: what bursts is filled, what lights it is seen to burn, and then power is given to it."""

from __future__ import annotations

from collections.abc import Collection

from specc.kinds.procedures import Act, Procedure, Step
from specc.measure.printing import show
from specc_operators.device import Device
from specc_operators.each_valve import each_over_flame
from specc_operators.filling import read_out, watching
from specc_operators.in_words import first_up, listed
from specc_operators.power import key_in, safe
from specc_operators.rows import Blocked, OpenAndLit, row


def below(device: Device, tag: str) -> set[str]:
    return {p.tag for p in device.net.downstream(tag)}


def opening_of(device: Device, closure: str, but: Collection[str] = ()) -> Act:
    if device.net.by_tag[closure].form == "solenoid":
        return Act("switch_on", closure, device.crew.pick(device.desk, "valve", (), but), device.desk)
    return device.act("open", closure, but)


def feeds(device: Device, state: OpenAndLit) -> list[str]:
    """What still has to be opened until a burst can be fired."""
    needed: dict[str, None] = {}
    for burst in device.bursts:
        held = device.held_by(burst)
        if not held:
            raise Blocked(f"nothing holds {burst}, a burst, back until it is fired")
        needed.update(dict.fromkeys(device.needs(burst, (*state.opened, *needed), held)))
    # What shuts a vessel off from its burst is opened before that is filled: nobody goes there once it is charged.
    shut_off = device.shut_off()
    return sorted(needed, key=lambda c: c not in shut_off)


def arm(
    device: Device, state: OpenAndLit, order: int, procedure: Procedure = "start", first: bool = True
) -> tuple[list[Step], OpenAndLit]:
    """Fill what bursts, see the flame that lights them, then power. Nobody is near an outlet from then on. `first`: not
    armed yet that night, so that each valve is tried alone."""
    made: list[Step] = []
    filled: list[Act] = []
    moment = "Arm the bursts" if procedure == "start" else ""
    for valve in feeds(device, state):
        before = device.filled(state.opened)
        after = (*state.opened, valve)
        if new := [o for o in device.fed(after) if o not in state.lit]:
            raise Blocked(f"{valve} fills what bursts, and lets gas out unlit at {listed(new)}")
        vessels = [v for v in device.filled(after) if v not in before]
        opening = opening_of(device, valve)
        looks = watching(device, vessels, opening, afar=True)
        acts = [*looks, opening]
        filled += acts if vessels else []
        text = f"Open {valve} slowly" + (f": fills {listed(vessels)}" if vessels else "")
        text = f"{read_out(device, looks)}{text[0].lower() if looks else text[0]}{text[1:]}"
        no = ""
        for tag in dict.fromkeys(device.zones.get(v, "") for v in vessels):
            gauges = device.gauges(tag, after) if tag in device.net.by_tag else ()
            if not gauges:
                continue
            # What flows ends when the vessel is full: a regulator turned then is set against a closed end.
            if setting := device.told(tag, "set"):
                text += f", {listed(gauges)} to {setting}, {tag} not turned"
            if most := device.told(tag, "lock_up"):
                no = f"Above {most} (lock-up): STOP, {valve} first, nobody near {listed(vessels)}."
        made.append(row(order, text + ".", acts, moment=moment, if_not=no, procedure=procedure))
        state = OpenAndLit(after, state.lit)
    bursts = [*device.bursts]
    lighters, sparks = device.lighters(), device.sparks()
    who, where = device.fires()
    acts = [Act("check", p, who, where) for p in lighters]
    powered = any(map(device.by_power, bursts))
    seen = f"{listed(lighters)} seen to burn, " if lighters else ""
    seen += f"{listed(sparks)} on and seen to work, " if sparks else ""
    by_hand = any(device.lit_by(o)[0] == "torch" for o in device.effects if o not in device.bursts)
    seen += "every torch out and away, " if by_hand else ""
    first_word = seen  # a tag stays as it is
    seen += f"nobody near {listed(bursts)}, spotters answer clear"
    tried = each_over_flame(device, order + 1, procedure, seen, filled) if first else []
    made += [s._replace(moment=moment) for s in tried]
    text = f"{seen}."
    text = f"{text[0] if first_word else text[0].upper()}{text[1:]}"
    if powered:
        given = f"The lead hands over {listed(device.keys)}: " if device.keys else ""
        text += f" {given}{key_in(device)} and turned. Armed." if given else f" {first_up(key_in(device))}. Armed."
        # All answer from their posts first: whoever was at an outlet has left it.
        acts += [Act("say", "", (*device.crew.of_role("lead"), "")[0]), Act("arm", "", who, where)]
    if bursts:
        made.append(
            row(
                order + 2,
                text,
                acts or [Act("say", "", who, where)],
                moment=moment,
                if_not=first_up(safe(device))
                + (f", close {listed(feeds_of(device))}." if feeds_of(device) else ", wait."),
                procedure=procedure,
            )
        )
    return made, state


def feeds_of(device: Device) -> list[str]:
    """What is opened to fill bursts and lights nothing."""
    steady = device.steady()
    needed: dict[str, None] = {}
    shut_off = device.shut_off()
    for burst in device.bursts:
        held = device.held_by(burst)
        own = (c for c in device.on_the_way(burst) if c not in (*held, *shut_off) and c not in steady)
        needed.update(dict.fromkeys(own))
    return [c for c in needed if device.net.by_tag[c].kind != "cylinder"]


def spoken(seconds: float) -> str:
    return show(seconds, "duration", "s", 2)
