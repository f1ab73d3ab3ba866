"""What is read at a vessel: its gauges, and the air where it is let down."""

from __future__ import annotations

from specc_operators.device import Device


def gauges_at(device: Device, vessel: str) -> tuple[str, ...]:
    """The gauges that show what a vessel holds."""
    net = device.net
    behind = net.walk(net.down.get(vessel, ()), net.down, lambda p: p.kind == "valve" and p.form != "check")
    ahead = net.walk(net.before.get(vessel, ()), net.before, lambda p: p.kind in ("valve", "regulator", "orifice"))
    met = {*behind, *ahead}
    return tuple(p.tag for p in device.net.of_kind("gauge") if p.tag in met)


def vents(device: Device) -> list[str]:
    """Where vessels are let down by a bleed: gas lies there a while."""
    return list(dict.fromkeys(p for p in map(device.place, device.bleeds) if p))
