"""Regulators give nothing when gas first comes to them, and are turned in on a gauge; they are set while gas flows.
What no gauge shows is left as it is."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from specc.kinds.procedures import Act, OnNight, Procedure, Step
from specc_operators.device import Device
from specc_operators.in_words import listed
from specc_operators.rows import OpenAndLit, row


def backed_off(device: Device, later: Iterable[Step]) -> list[Step]:
    """Before any cylinder is opened, what is turned in on a gauge later: a setting that somebody
    changed, or a seat that leaks, then shows on the gauge and not at a flame."""
    nights: dict[OnNight, dict[str, None]] = {}
    for step in later:
        nights.setdefault(step.night, {}).update({a.tag: None for a in step.acts if a.action == "screw_in"})
    every = nights.get("every", {})
    made = []
    for night, tags in nights.items():
        own = [t for t in tags if night == "every" or t not in every]
        if own:
            acts = [device.act("screw_out", t) for t in own]
            text = f"Back off {listed(own)}: the screw out until it turns freely, so that nothing passes yet."
            made.append(row(33, text, acts, moment="Before gas", night=night))
    return made


def never_shown(device: Device) -> list[Step]:
    """Regulators that no gauge of the device shows: what they give is known only as far as nobody turned them since
    they were set on a gauge."""
    shown = {device.zones.get(g.tag) for g in device.net.of_kind("gauge")}
    unseen = [p.tag for p in device.net.of_kind("regulator") if p.tag in device.flow and p.tag not in shown]
    if not unseen:
        return []
    set_to = [t for tag in unseen if (t := device.told(tag, "set"))]
    at = f" at {listed(dict.fromkeys(set_to))}" if set_to else ""
    one = len(unseen) == 1
    return [
        row(
            32,
            f"No gauge shows what {listed(unseen)} {'gives' if one else 'give'}: screw unmoved, by its mark, since it "
            f"was set{at} on a test gauge.",
            [Act("check", t, device.who(t), device.place(t)) for t in unseen],
            moment="Before gas",
            if_not="Moved, or never set: no gas before it is.",
        )
    ]


def turn_in(
    device: Device, gauges: Iterable[str], before: Collection[str], looks: Sequence[Act] = ()
) -> tuple[list[Act], str]:
    """Each regulator that a gauge shows for the first time, from nothing up to its setting. `looks`: who reads gauges
    already."""
    by: dict[str, list[str]] = {}
    for gauge in gauges:
        regulator = device.zones.get(gauge, "")
        # One whose gauge stands behind another valve has to give gas before it shows: its joints are soaped first.
        if device.told(regulator, "set") and not device.comes_to(regulator, before):
            by.setdefault(regulator, []).append(gauge)
    acts, words = [], []
    for regulator, own in sorted(by.items(), key=lambda one: device.flow.get(one[0], 0)):
        place = device.place(regulator)
        read = {a.tag: a for a in looks}
        for gauge in own:
            if gauge not in read:
                read[gauge] = device.act("watch", gauge)
                acts.append(read[gauge])
        but = [read[g].who for g in own if read[g].where != place]
        acts.append(device.act("screw_in", regulator, but))
        words.append(f"turn {regulator} in slowly to {device.told(regulator, 'set')} on {listed(own)}")
    return acts, "; ".join(words)


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
    way = ": screw in to raise, out to lower, a little at a time. "
    text = f"{when} these flames burning, set {listed(words)}{way}" if words else ""
    if unseen:
        text += f"{listed(unseen)} {'is' if len(unseen) == 1 else 'are'} not turned: look at the flames' height. "
        acts += [Act("check", tag, device.who(tag)) for tag in unseen]
    return (
        [
            row(
                order,
                text.strip(),
                acts,
                moment=moment,
                if_not="Too tall, or leaping: STOP.",
                procedure=procedure,
            )
        ]
        if text
        else []
    )
