"""Key and stop: who has the key, and when the controls have power. Before gas the key is out and the stop pressed."""

from __future__ import annotations

from collections.abc import Iterable

from specc.kinds.procedures import Act, Step
from specc_operators.device import Device, listed
from specc_operators.rows import row

KEY_IN, KEY_OUT = "stop released, key in", "stop pressed, key out, to the lead"


def power_on(device: Device, outlets: Iterable[str]) -> list[Step]:
    """Power for what a flame needs besides a hand valve: step one took it away."""
    needs = {c for o in outlets for c in device.on_the_way(o) if device.net.by_tag[c].form == "solenoid"}
    valves = [c for c in device.remote() if c in needs]
    if not valves:
        return []
    who = device.crew.pick(device.desk, "valve")
    looks = [Act("check", c, who, device.desk) for c in valves]
    if device.bursts:  # a torch comes next: nothing may be fired meanwhile
        text = f"Stop released, the key still out: the controls give power to {listed(valves)} and to no burst."
        no = "Power only with the key in: do not start."
    else:
        text, no = f"{KEY_IN[0].upper()}{KEY_IN[1:]}: the controls may now give power to {listed(valves)}.", ""
        looks = [Act("key_in", "", who, device.desk), *looks]
    return [row(69, text, looks, moment="Before any flame", if_not=no)]
