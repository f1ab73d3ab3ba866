"""What holds gas after some steps, read off their acts.

When a night ends, or gas is shut off between two scenes, what is let down is what was filled and not let down since:
whether a burst was planned, and what stands open then, does not tell.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import NamedTuple

from specc.kinds.procedures import Act, Step
from specc_operators.device import Device


class StillFull(NamedTuple):
    """`full`: accumulators at their pressure; `low`: those that were burned down to a few psi and not let down."""

    full: frozenset[str] = frozenset()
    low: frozenset[str] = frozenset()


def all_charged(device: Device) -> StillFull:
    """Where nobody knows what was filled, everything may be."""
    return StillFull(frozenset(p.tag for p in device.net.of_kind("accumulator")))


def charged_after(
    device: Device, acts: Iterable[Act], opened: Collection[str] = (), before: StillFull | None = None
) -> StillFull:
    """The accumulators that hold gas after some acts that begin with these closures open: one without a valve of its
    own fills with the lines."""
    vessels = {p.tag for p in device.net.of_kind("accumulator")}
    if not vessels:
        return StillFull()
    opened = {*opened}
    full, low = map(set, before or ((), ()))
    full |= {*device.filled(opened)}
    # Only what gas passes on its way to a vessel changes what is filled: a walk of all parts for each act takes long.
    near = {p.tag for v in vessels for p in device.net.upstream(v)}
    for act in acts:
        if act.tag in near and act.action in ("open", "switch_on"):
            opened.add(act.tag)
            full |= {*device.filled(opened)}
        elif act.tag in near and act.action in ("close", "switch_off"):
            opened.discard(act.tag)
        elif act.action == "bleed" or (act.action == "purge" and act.tag in device.bursts):
            down = {p.tag for p in device.net.upstream(act.tag)} & vessels
            full, low = full - down | {*device.filled(opened)}, low - down
        elif act.action == "fire" and act.tag in vessels and act.tag not in device.filled(opened):
            full.discard(act.tag)
            low.add(act.tag)
    return StillFull(frozenset(full), frozenset(low - full))


def each_night(device: Device, steps: Iterable[Step], then: Callable[[StillFull], Sequence[Step]]) -> list[Step]:
    """What is done after the start and the scenes so far, by what holds gas then. What is let out at the first fill
    alone is full on a later night: where that makes a difference, each has steps of its own."""
    own = sorted(
        (s for s in steps if s.procedure in ("start", "scene_change")),
        key=lambda s: (s.procedure == "scene_change", s.order),
    )
    first, later = (
        charged_after(device, (a for s in own if s.night in ("every", night) for a in s.acts))
        for night in ("first", "later")
    )
    made = [*then(first)]
    if later == first:
        return made
    more = then(later)
    return [
        *(s if s in more else s._replace(night="first") for s in made),
        *(s._replace(night="later") for s in more if s not in made),
    ]
