"""Key and stop: who has the key, and when the controls have power. Before gas the key is out and the stop pressed."""

from __future__ import annotations

from collections.abc import Iterable

from specc.kinds.procedures import Act, Step
from specc_operators.device import Device
from specc_operators.in_words import listed
from specc_operators.rows import row


def key_in(device: Device) -> str:
    """How the controls get power, in words: what of stop and key is there."""
    there = [word for word, own in (("stop released", device.stops), ("key in", device.keys)) if own]
    return ", ".join(there) or "power on"


def key_out(device: Device, lead: bool = True) -> str:
    """How the controls lose power. The stop is pressed besides: a key that is stuck looks as if it were out."""
    there = [word for word, own in (("stop pressed", device.stops), ("key out", device.keys)) if own]
    return ", ".join([*(there or ["power off"]), *(["to the lead"] if lead and device.keys else [])])


def safe(device: Device, lead: bool = False) -> str:
    """What is done so that no burst comes: power away from those that it holds, the hand valve of the others shut."""
    hands = device.by_hand()
    words = [key_out(device, lead)] if any(map(device.by_power, device.bursts)) else []
    return ", ".join([*words, *([f"{listed(hands)} shut"] if hands else [])])


def made_safe(device: Device) -> list[Act]:
    """The same as acts, each where it is done."""
    who, where = device.fires([b for b in device.bursts if device.by_power(b)])
    powered = any(map(device.by_power, device.bursts))
    acts = [Act("disarm", "", who, where)] if powered else []
    return [*acts, *(device.act("close", v) for v in device.by_hand())]


def power_on(device: Device, outlets: Iterable[str]) -> list[Step]:
    """Power for what a flame needs besides a hand valve: step one took it away."""
    needs = {c for o in outlets for c in device.on_the_way(o) if device.net.by_tag[c].form == "solenoid"}
    valves = [c for c in device.remote() if c in needs]
    if not valves:
        return []
    who = device.crew.pick(device.desk, "valve")
    looks = [Act("check", c, who, device.desk) for c in valves]
    if any(map(device.by_power, device.bursts)):  # a torch comes next: nothing may be fired meanwhile
        text = f"Stop released, the key still out: the controls give power to {listed(valves)} and to no burst."
        no = "Power only with the key in: do not start."
    else:
        text, no = f"{key_in(device).capitalize()}: the controls may now give power to {listed(valves)}.", ""
        looks = [Act("key_in", "", who, device.desk), *looks]
    return [row(69, text, looks, moment="Before any flame", if_not=no)]
