"""Where the steps send people, and what may burn while they are there: the night gone through act by act.

Somebody stays where an act is done until their next act elsewhere, or the end of the step. What was lit burns until a
step shuts its valve or watches it out; a burst may come from arming to disarming, or, with no power to it, as long as
gas stands before its valve.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from specc.kinds.plumbing import OUTLETS
from specc.kinds.procedures import Act, Procedure, Step, Visit
from specc_operators.after_stop import CALM
from specc_operators.device import Device

_NAMES: dict[str, str] = {
    "start": "start-up",
    "firing": "firing",
    "scene_change": "scene change",
    "pilot_out": "pilot out",
    "hold": "weather hold",
    "hand_over": "hand-over",
    "cylinder_change": "cylinder change",
    "stop": "normal shutdown",
    "emergency": "emergency",
    "leak": "gas leak",
    "incident": "what is seen",
}
_NIGHTLY: tuple[Procedure, ...] = ("start", "scene_change", "stop")
_ANY_TIME: tuple[Procedure, ...] = ("firing", "pilot_out", "hold", "hand_over")
_ALL_OUT: tuple[Procedure, ...] = ("emergency", "leak", "incident")


class _Night:
    """What is open and burns; `armed`: whoever has power can fire."""

    def __init__(
        self, device: Device, opened: Iterable[str] = (), lit: Iterable[str] = (), armed: bool = False
    ) -> None:
        self.device = device
        self.opened = dict.fromkeys(opened)
        self.lit = dict.fromkeys(lit)
        self.armed = armed
        self.closures = {*device.hand(), *device.remote()}
        self.held = {burst: device.held_by(burst) for burst in device.bursts}  # asked at each act
        self.by_pilot: dict[str, str] = {}  # steady outlets to the pilot that lights them
        for part in device.net.of_kind(*OUTLETS):
            way, what, _ = device.lit_by(part.tag)
            if way == "pilot" and part.tag not in device.bursts:
                self.by_pilot[part.tag] = what

    def bursts(self) -> list[str]:
        made = []
        for burst, held in self.held.items():
            powered = any(self.device.net.by_tag[c].form == "solenoid" for c in held)
            if self.armed if powered else burst in self.device.fed((*self.opened, *held)):
                made.append(burst)
        return made

    def burning(self) -> tuple[str, ...]:
        return (*self.lit, *(b for b in self.bursts() if b not in self.lit))

    def do(self, act: Act, procedure: str) -> None:
        device, tag = self.device, act.tag
        match act.action:
            case "light":
                self.lit[tag] = None
            case "open" | "switch_on":
                self.opened[tag] = None
                waits = [o for o, pilot in self.by_pilot.items() if pilot in self.lit and o not in self.lit]
                self.lit.update({o: None for o in waits if device.comes_to(o, self.opened)})
            case "close" | "switch_off":
                self.opened.pop(tag, None)
                # Behind a cylinder, and at a night's end, the lines burn on until somebody sees them out.
                if procedure != "stop" and tag in self.closures:
                    below = {p.tag for p in device.net.downstream(tag)}
                    self.lit = {o: None for o in self.lit if o not in below or device.comes_to(o, self.opened)}
            case "watch" if procedure == "stop" and tag in self.lit:
                self.lit.pop(tag)
            case "arm":
                self.armed = True
            case "disarm":
                self.armed = False


def _of_step(step: Step, number: int, night: _Night) -> Iterator[Visit]:
    """The places of a step, each with all that burns from somebody's act there until their next act elsewhere."""
    name = f"{_NAMES.get(step.procedure, step.procedure)}, step {number}"
    acts = step.acts
    before: list[tuple[str, ...]] = []
    for act in acts:
        before.append(night.burning())
        night.do(act, step.procedure)
    before.append(night.burning())
    latest: dict[str, Act] = {}  # by person
    for i, act in enumerate(acts):
        last, latest[act.who] = latest.get(act.who), act
        # Still there, and nothing lit by their own torch: the visit that began earlier sees all that this one does.
        if not act.where or (last is not None and last.where == act.where and last.action != "light"):
            continue
        leaves = (n for n in range(i + 1, len(acts)) if acts[n].who == act.who and acts[n].where != act.where)
        until = next(leaves, len(acts))
        burning = dict.fromkeys(o for state in before[i : until + 1] for o in state)
        lit = [
            a.tag
            for a in acts[i:until]
            if a.action == "light" and a.where == act.where and a.who == act.who and _by_torch(night.device, a.tag)
        ]
        yield Visit(act.where, act.who, name, tuple(o for o in burning if o not in lit), tuple(lit))


def _by_torch(device: Device, outlet: str) -> bool:
    return outlet in device.net.by_tag and device.lit_by(outlet)[0] == "torch"


def visits_of(steps: Sequence[Step], device: Device) -> list[Visit]:
    def own(*procedures: str) -> list[tuple[int, Step]]:
        return [pair for p in procedures for pair in enumerate((s for s in steps if s.procedure == p), 1)]

    night = _Night(device)
    made: list[Visit] = []
    ever: dict[str, None] = {}
    for number, step in own(*_NIGHTLY):
        made += _of_step(step, number, night)
        ever.update(dict.fromkeys(night.burning()))
    for procedure in _ANY_TIME:  # they may come at any time of the show
        whole = _Night(device, (*device.cylinders(), *device.hand()), (o for o in ever if o not in device.bursts), True)
        for number, step in own(procedure):
            made += _of_step(step, number, whole)
    # What comes after an emergency or a leak is done when nothing burns any more.
    for number, step in (pair for pair in own(*_ALL_OUT) if pair[1].order < CALM or pair[1].procedure == "incident"):
        name = f"{_NAMES[step.procedure]}, step {number}"
        made += [Visit(a.where, a.who, name, all_out=True) for a in step.acts if a.where]
    return list(dict.fromkeys(v for v in made if v.burning or v.lighting or v.all_out))
