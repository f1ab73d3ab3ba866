"""Gas that comes out unlit ahead of the valves at the outlets: who leaves, what is still shut, and from where."""

from __future__ import annotations

from collections.abc import Sequence

from specc import View
from specc.kinds.faults import Closing, seen_out
from specc.kinds.procedures import Act, Step
from specc_operators.after_stop import LET_DOWN, steps_said
from specc_operators.clouds import not_where_smelled, one_cloud
from specc_operators.device import Device
from specc_operators.in_words import listed
from specc_operators.power import key_out
from specc_operators.rows import reads_nothing, row, who_calls, written
from specc_operators.shutdown import (
    act_of,
    alike,
    each_place,
    hands_left,
    later_act,
    looks_at,
    moves,
    once_out,
    quick_first,
    with_the_wait,
)


def _pressed(device: Device) -> str:
    """Which stop is pressed, and where."""
    if not device.stops:
        return ""
    return f", {listed(device.stops)} pressed{f' at {device.desk}' if device.desk else ''}"


def _left_as_it_is(device: Device) -> str:
    """What is done about controls that nobody may touch: no hand on them, nobody beside what they could still fire."""
    if not device.remote():
        return ""
    at, outs = device.desk or "the controls", listed(device.bursts)
    lead = (*device.crew.of_role("lead"), "")[0]
    off = f" and {outs}" if outs else ""
    return f" {lead or 'The lead'}, upwind, keeps everybody off {at}{off}."


def _switched_late(device: Device) -> tuple[list[Act], str]:
    """What was not switched in the gas is switched once none is there."""
    if not device.remote():
        return [], ""
    who = device.crew.pick(device.desk, "valve", tuple(device.bursts.values()))
    at = f" at {device.desk}" if device.desk else ""
    acts = [Act("read", "", device.detector, device.desk), Act("key_out", "", who, device.desk)]
    return acts, f" Once it reads nothing{at} too: {key_out(device, lead=False)}, if left."


def _disarmed(device: Device, outs: Sequence[str]) -> list[Step]:
    """A leak beside an armed burst: its pilot may be put out by what is closed, and a burst then comes unlit."""
    if not (device.bursts and device.remote()):
        return []
    who = device.crew.pick(device.desk, "valve", tuple(device.bursts.values()))
    pressed = _pressed(device).removeprefix(", ")
    words = [w for w in ("the controls are let go of", pressed, "the key out" if device.keys else "") if w]
    called = f"; {listed(outs)} out is called" if outs else ""  # for those who wait for it
    text = f"No more bursts: {', '.join(words)}{called}."
    text += not_where_smelled(device) + _left_as_it_is(device)
    looks = [Act("check", o, who, device.desk) for o in outs]
    return [row(15, text, [Act("disarm", "", who, device.desk), *looks], procedure="leak")]


def _helped_in(told: View) -> str:
    """Who meets help: their own valves and controls first."""
    who, at = written(told, "meets"), written(told, "meet")
    return f"; {who or 'somebody'}, once free, leads help in from {at}" if at else ""


def leak(device: Device, order: Sequence[Closing], operators: View, after: Sequence[Step] = ()) -> list[Step]:
    """Gas that comes out unlit ahead of the valves at the outlets. `after`: the steps of an emergency, whose end
    this has too."""
    groups = alike(order)
    if not groups:
        return []
    first = groups[0][1]
    shut, kept, _ = with_the_wait(device, quick_first(device, [act_of(device, c) for c in first]), first)
    outs = tuple(dict.fromkeys(o for _, group in groups for c in group for o in c.waits_for))
    stopped = _disarmed(device, outs)
    wait = f"once {seen_out(first)}, " if kept else ""
    at_first = "; ".join(filter(None, [
        each_place(a for a in shut if a.action == "close" and a not in kept), wait + each_place(kept) if kept else "",
    ]))  # fmt: skip
    shut = [a for a in shut if a.action == "close" or not stopped]  # looked at already
    caller = who_calls(operators.child("emergency"))
    spotters = device.crew.spotters()
    made = [
        row(
            10,
            f"STOP by voice or hand. Nobody lights, presses, switches, plugs or radios near it.{one_cloud(device)} Who "
            f"is there leaves, upwind. {spotters or 'Whoever watches the public'} {moves(spotters)} people upwind, "
            f"never down; {caller or 'the lead'} telephones, out of it{_helped_in(operators.child('emergency'))}.",
            procedure="leak",
        ),
        *stopped,
        row(
            20,
            "It may come from ahead of the outlets' valves: the cylinders first, from upwind and clear of the gas, "
            f"else all stay back: {at_first}.",
            shut,
            procedure="leak",
        ),
    ]
    for n, (_, group) in enumerate(groups[1:], 3):
        acts = [later_act(device, c, operators.child("emergency")) for c in group]
        late = [c for c in group if c.waits_for]
        last = [a for a in acts if a.tag in {c.tag for c in late}]
        first_ = [a for a in acts if a not in last]
        wait = once_out(late, last)
        shut_here = "; ".join(filter(None, [each_place(first_), wait]))
        text = f"Then, at once, from upwind and clear of the gas, else not: {shut_here}."
        made.append(row(10 * n, text, [*first_, *looks_at(late, last), *last], procedure="leak"))
    made += hands_left(device, order, 10 * (len(groups) + 1) + 5, "leak")
    switched, if_left = _switched_late(device)
    made.append(
        row(
            10 * (len(groups) + 2),
            f"Nothing is burned off or let down. Nobody goes back until {reads_nothing(device.detector)} (the nose "
            f"alone does not tell) and the lead says so.{if_left}",
            switched,
            procedure="leak",
        )
    )
    if ends := [s for s in after if s.order >= LET_DOWN]:
        numbers = [n for n, s in enumerate(after, 1) if s.order >= LET_DOWN]
        text = f"Then as after an emergency, {steps_said(numbers)}."
        acts = [a for s in ends for a in s.acts]
        made.append(row(LET_DOWN, text, acts, procedure="leak"))
    return made
