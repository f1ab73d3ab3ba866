"""A small simulator of a night: it does what the steps say, act by act, on parts and links alone, and tells what goes
wrong. It knows nothing of how the steps were made.

Gas is where an open way leads from an open cylinder, or from an accumulator that was filled. Gas at an outlet with no
flame there is a fault, but for the moment of a purge. A flame whose cylinder was shut burns on until it is watched out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from specc.kinds.plumbing import Network
from specc.kinds.procedures import Act, Step

HAND = ("ball", "needle", "globe")


class Wrong(AssertionError):
    """What a step did that nobody should."""


class Plant:
    """`bursts`: by outlet its effect. `crew`: by person the place of the post; `lies`: places of an outlet or of a
    control beside what parts say; `walks`: whether one gets on foot from one place to another."""

    def __init__(
        self,
        net: Network,
        bursts: Mapping[str, str],
        crew: Mapping[str, str] | None = None,
        lies: Mapping[str, str] | None = None,
        walks: Callable[[str, str], bool] = lambda a, b: True,
        watchers: Iterable[str] = (),
        desk: str = "",
    ) -> None:
        self.part = {p.tag: p for p in net.parts}
        self.links = list(net.links)
        self.bursts, self.crew, self.lies, self.walks = dict(bursts), dict(crew or {}), dict(lies or {}), walks
        self.desk = desk
        self.watchers = set(watchers)  # people whose eyes are not to be taken off the public
        # As somebody may have left them: all open but the cylinders, which nobody connects open.
        self.open: set[str] = {t for t, p in self.part.items() if self.closes(t) and p.kind != "cylinder"}
        self.on: set[str] = set()
        self.connected: set[str] = set()
        self.charged: set[str] = set()
        self.few_psi: set[str] = set()  # fired down, and not let down yet
        self.calm = True  # the end of a night in good order, where the lines burn off first
        self.flame: set[str] = set()
        self.dying: set[str] = set()  # flames whose cylinders are shut
        self.waiting: dict[str, str] = {}  # a torch or spark at an outlet, and who holds it
        self.purging: set[str] = set()
        self.armed = False
        self.moved: set[str] = set()  # valves worked in this step

    def closes(self, tag: str) -> bool:
        p = self.part[tag]
        return p.kind == "cylinder" or (p.kind == "valve" and p.form in HAND)

    def lit_by(self, outlet: str) -> tuple[str, str]:
        told = self.part[outlet].spec.child("lit_by")
        return next(((k, told.text(k)) for k in ("pilot", "torch", "igniter") if told.has(k)), ("torch", ""))

    # -- gas

    def shut(self, tag: str, fired: set[str]) -> bool:
        p = self.part[tag]
        if p.kind != "valve" or p.form in ("check", "relief", "excess_flow"):
            return False
        return tag not in self.on | fired if p.form == "solenoid" else tag not in self.open | fired

    def gas(self, fired: set[str] = frozenset()) -> set[str]:  # type: ignore[assignment]
        """All parts that gas comes to."""
        todo = [t for t, p in self.part.items() if p.kind == "cylinder" and t in self.open & self.connected]
        todo += list(self.charged)
        met = set(todo)
        while todo:
            here = todo.pop()
            if self.shut(here, fired):
                continue
            for a, b in self.links:
                if a == here and b not in met:
                    met.add(b)
                    todo.append(b)
        return met

    def outlets(self, met: set[str]) -> list[str]:
        return [t for t in met if self.part[t].kind in ("burner", "pilot")]

    def below(self, tag: str) -> set[str]:
        met, todo = {tag}, [tag]
        while todo:
            here = todo.pop()
            for a, b in self.links:
                if a == here and b not in met:
                    met.add(b)
                    todo.append(b)
        return met - {tag}

    def settle(self, fired: set[str] = frozenset(), who: str = "") -> None:  # type: ignore[assignment]
        met = self.gas(fired)
        for outlet in self.outlets(met):
            if outlet in self.flame or outlet in self.purging:
                continue
            way, what = self.lit_by(outlet)
            if outlet in self.waiting or (way == "pilot" and what in self.flame) or (fired and way == "igniter"):
                self.flame.add(outlet)
            else:
                raise Wrong(f"gas comes out unlit at {outlet}")
        for outlet in [o for o in self.flame if o not in met and o not in self.dying]:
            self.flame.discard(outlet)
        self.charged |= {t for t in met if self.part[t].kind == "accumulator"}

    # -- people

    def reach(self, act: Act) -> None:
        places = self.part[act.tag].places if act.tag in self.part else ()
        here = {*places, self.lies.get(act.tag, "")} - {""}
        if act.action in ("switch_on", "switch_off", "arm", "disarm", "fire"):
            here = {self.desk} if self.desk and act.where == self.desk else here
        elif act.action == "light" and self.lit_by(act.tag)[0] != "torch":
            here = set()  # a spark is switched on from the valve
        elif act.action not in ("open", "close", "bleed", "connect", "disconnect", "light"):
            here = set()  # seen from afar
        if act.where and here and act.where not in here:
            raise Wrong(f"{act.action} {act.tag} is done at {act.where}, and it is at {sorted(here)}")
        if not self.crew:
            return
        if act.action in ("open", "close", "bleed", "connect", "disconnect", "light", "arm", "disarm", "fire"):
            if act.who not in self.crew:
                raise Wrong(f"nobody of the crew does: {act.action} {act.tag} ({act.who!r})")
            if act.who in self.watchers:
                raise Wrong(f"{act.who} watches the public and is sent to {act.action} {act.tag}")
        post = self.crew.get(act.who, "")
        if act.where and post and not self.walks(post, act.where):
            raise Wrong(f"{act.who} does not get from {post} to {act.where}")

    # -- acts

    def do(self, act: Act) -> None:
        self.reach(act)
        tag = act.tag
        match act.action:
            case "connect":
                if tag in self.open:
                    raise Wrong(f"{tag} is connected while it is open")
                self.connected.add(tag)
            case "disconnect":
                if tag in self.open or self.flame:
                    raise Wrong(f"{tag} is taken off while it is open or something burns")
                self.connected.discard(tag)
            case "open":
                if tag in self.open:
                    raise Wrong(f"{tag} is opened and was open")
                if self.part[tag].kind == "cylinder" and tag not in self.connected:
                    raise Wrong(f"{tag} is opened and not connected")
                for outlet, holder in self.waiting.items():
                    places = {*self.part[outlet].places, self.lies.get(outlet, "")} - {""}
                    if holder and holder == act.who and act.where and places and act.where not in places:
                        raise Wrong(f"{holder} holds a torch at {outlet} and opens {tag} at {act.where}")
                self.open.add(tag)
                self.moved.add(tag)
                self.settle()
            case "close":
                if self.calm and self.dying & self.below(tag) and self.part[tag].kind != "cylinder":
                    raise Wrong(f"{tag} is closed and shuts in what {self.dying & self.below(tag)} still burns off")
                before = set(self.flame)
                self.open.discard(tag)
                if self.part[tag].kind == "cylinder" and not any(
                    p.kind == "cylinder" and t in self.open for t, p in self.part.items()
                ):
                    self.dying |= before & self.below(tag)
                self.settle()
            case "switch_on":
                self.on.add(tag)
                self.settle()
            case "switch_off":
                self.on.discard(tag)
                self.settle()
            case "light":
                if self.armed:
                    raise Wrong(f"somebody is at {tag} with a torch while bursts are armed")
                if tag in self.flame:
                    raise Wrong(f"{tag} burns already")
                if tag in self.bursts and self.lit_by(tag)[0] == "torch":
                    raise Wrong(f"{tag}, a burst, is lit by hand")
                self.waiting[tag] = act.who if self.lit_by(tag)[0] == "torch" else ""
            case "purge":
                if self.flame or self.waiting:
                    raise Wrong(f"{tag} is purged beside a flame")
                self.purging.add(tag)
            case "check" if tag in self.part and self.part[tag].kind == "pilot":
                if tag not in self.flame:
                    raise Wrong(f"{tag} is to be seen burning and does not")
            case "set":
                met = self.gas()
                if tag not in met or not any(self.part[t].kind == "gauge" for t in self.below(tag) & met):
                    raise Wrong(f"{tag} is set with no gas at a gauge behind it")
                filled = any(self.part[t].kind == "accumulator" for t in self.below(tag) & met) and self.moved
                if not self.flame & self.below(tag) and not filled:
                    raise Wrong(f"{tag} is set with no gas flowing")
            case "arm":
                for outlet in self.bursts:
                    way, what = self.lit_by(outlet)
                    if way == "pilot" and what not in self.flame:
                        raise Wrong(f"armed while {what} does not burn")
                self.armed = True
            case "disarm":
                self.armed = False
            case "fire":
                self.fire(tag)
            case "watch" if tag in self.part and self.part[tag].kind in ("burner", "pilot"):
                if tag not in self.flame:
                    raise Wrong(f"{tag} is to burn off and does not burn")
                self.flame.discard(tag)
                self.dying.discard(tag)
            case "bleed":
                if self.flame:
                    raise Wrong(f"{tag} lets gas down beside a flame")
                vessels = {t for t in self.charged | self.few_psi if tag in self.below(t)}
                if not vessels:
                    raise Wrong(f"nothing is let down by {tag}")
                fed = {t for t in self.gas() if self.part[t].kind == "accumulator"} - self.charged
                self.charged -= vessels
                self.few_psi -= vessels
                if fed or vessels & self.gas():
                    raise Wrong(f"{tag} lets down what is still fed")

    def fire(self, tag: str) -> None:
        outlets = [o for o, e in self.bursts.items() if e == tag or (tag in self.part and o in self.below(tag))]
        if not outlets:
            raise Wrong(f"nothing is fired by {tag}")
        for outlet in outlets:
            steady = {o for o in self.part if self.part[o].kind in ("burner", "pilot") and o not in self.bursts}
            shared = {v for v in self.part if steady & self.below(v)}
            held = {v for v in self.part if self.part[v].kind == "valve" and outlet in self.below(v)} - shared
            powered = {v for v in held if self.part[v].form == "solenoid"}
            if powered and not self.armed:
                raise Wrong(f"{outlet} is fired without power")
            last = powered or {v for v in held if not {w for w in held if w in self.below(v)}}
            if outlet not in self.gas(last):
                raise Wrong(f"{outlet} is fired and no gas comes")
            self.settle(last)
            self.flame.discard(outlet)
        if tag in self.part:  # fired down
            self.charged.discard(tag)
            self.few_psi.add(tag)
            if tag in self.gas():
                raise Wrong(f"{tag} is fired down and is filled up again")

    def run(self, steps: Sequence[Step]) -> None:
        for step in steps:
            self.calm = step.procedure == "stop"
            try:
                for act in step.acts:
                    self.do(act)
                for outlet in self.purging:
                    if outlet in self.gas():
                        raise Wrong(f"{outlet} is not shut after its purge")
            except Wrong as wrong:
                raise Wrong(f"{step.procedure} {step.order} ({step.text}): {wrong}") from None
            self.waiting.clear()
            self.purging.clear()
            self.moved.clear()

    def at_rest(self) -> None:
        """At the end of a night."""
        if self.flame or self.open or self.on or self.armed:
            raise Wrong(f"left burning {self.flame}, open {self.open}, on {self.on}, armed {self.armed}")


def of_night(steps: Iterable[Step], procedure: str, night: str) -> list[Step]:
    """The steps of one procedure on the first or a later night, in order."""
    kept = ("every", night) if night != "only" else ("every", "first", "last")
    own = [s for s in steps if s.procedure == procedure and s.night in kept]
    return sorted(own, key=lambda s: s.order)
