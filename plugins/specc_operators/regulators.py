"""Regulators are set while gas flows, on a gauge that shows it there; what no gauge shows is left as it is."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from specc.kinds.procedures import Act, Procedure, Step
from specc_operators.device import Device, listed
from specc_operators.rows import OpenAndLit, row


def _on_ways(device: Device, outlets: Iterable[str]) -> list[str]:
    above = {p.tag for o in outlets for p in device.net.upstream(o)}
    return [p.tag for p in device.net.of_kind("regulator") if p.tag in above]


def set_regulators(
    device: Device,
    state: OpenAndLit,
    order: int = 85,
    moment: str = "Flames",
    procedure: Procedure = "start",
    before: Collection[str] = (),
) -> list[Step]:
    """Those that no flame of `before` burned behind: with gas flowing and a gauge that shows it there, read out by
    somebody at it; what no gauge shows is left as it is."""
    acts: list[Act] = []
    words, unseen = [], []
    done = _on_ways(device, before)
    for tag in (t for t in _on_ways(device, state.lit) if t not in done):
        gauges, setting = device.gauges(tag, state.opened), device.told(tag, "set")
        if gauges and setting:
            turns = device.act("set", tag)
            reads = []
            for gauge in gauges:
                place = device.place(gauge)
                but = (turns.who,) if place != turns.where else ()
                reads.append(Act("watch", gauge, device.who(gauge, but), place))
            acts += [*reads, turns]
            words.append(f"{tag} to {setting} on {listed(gauges)}")
        else:
            unseen.append(tag)
    when = "Before the first scene, with" if procedure == "start" else "With"
    text = f"{when} these flames burning, set {listed(words)}. " if words else ""
    if unseen:
        text += f"No gauge shows what {listed(unseen)} {'gives' if len(unseen) == 1 else 'give'}: not turned here, "
        text += "left as at the leak test; look at the flames' height."
        acts += [Act("check", tag, device.who(tag)) for tag in unseen]
    return (
        [
            row(
                order,
                text.strip(),
                acts,
                moment=moment,
                if_not="Too tall, or leaping: close it and stop.",
                procedure=procedure,
            )
        ]
        if text
        else []
    )
