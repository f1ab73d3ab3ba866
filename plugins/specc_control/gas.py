"""From coils to gas: in which states gas can reach each outlet, with the wiring whole and with one thing wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc import Context, Key, Unchecked, gather, value
from specc.kinds.faults import SHARED_MEANS, SharedMeans
from specc.kinds.plumbing import NETWORK, Network
from specc.model.wording import several
from specc_control.circuit import MOST_VARIABLES, Circuit, Seen, look, spread, words
from specc_control.entries import WIRING, ControlPart, Wiring
from specc_control.faults import single


class Demand(NamedTuple):
    """One thing that has to hold gas back: in these states no gas may flow. `words`: with it so, however all else."""

    kind: str  # "stop", "key", "held", "flame", "public"
    tag: str
    words: str
    states: int


class Failed(NamedTuple):
    """A single fault that lets gas through where a demand forbids it."""

    tag: str
    what: str
    outlet: str
    demand: Demand


class Logic(NamedTuple):
    """What the wiring does. `outlets`: in which states gas can reach each outlet that a coil's valve stands before.
    `together`: by the part that fails, the valves that it holds open with nobody at the buttons, two or more."""

    circuit: Circuit
    seen: Seen
    demands: tuple[Demand, ...]
    outlets: dict[str, int]
    failed: tuple[Failed, ...]
    faults: int  # how many were tried
    too_large: str = ""
    together: tuple[tuple[str, tuple[str, ...]], ...] = ()


LOGIC: Key[Logic] = Key("control.logic", Logic)


Wired = Mapping[str, tuple[str, ...]]


def valves(w: Wiring, network: Network) -> Wired:
    """Tag of a solenoid valve in the plumbing to those of the coils that open it; more than one is a finding."""
    solenoids = {p.tag for p in network.of_kind("valve") if p.form == "solenoid"}
    made: dict[str, tuple[str, ...]] = {}
    for p in w.of_kind("coil"):
        if p.valve in solenoids:
            made[p.valve] = (*made.get(p.valve, ()), p.tag)
    return made


def coils_of(wired: Wired) -> tuple[str, ...]:
    return tuple(coil for coils in wired.values() for coil in coils)


def _fed(seen: Seen, coils: tuple[str, ...]) -> int:
    """States in which one of some coils is on, or may be."""
    states = 0
    for coil in coils:
        states |= seen.on.get(coil, 0) | seen.maybe.get(coil, 0)
    return states


def gas(network: Network, wired: Wired, seen: Seen) -> dict[str, int]:
    """For each outlet the states in which an open way leads to it. Hand valves, and coils nobody wired, count as open,
    and each accumulator as full: valves before it do not hold back what it has.

    A coil that may be fed counts as open too; a valve that is open without power is so in every state in which its
    coil is off.
    """
    opened: dict[str, int] = {}
    for valve, coils in wired.items():
        part = network.part(valve)
        stays_open = part is not None and part.spec.text_or("normally") == "open"
        off = seen.all
        for coil in coils:
            off &= ~seen.on.get(coil, 0)
        opened[valve] = off if stays_open else _fed(seen, coils)
    reached = spread(
        {p.tag: seen.all for p in network.of_kind("cylinder", "accumulator")},
        lambda here: ((after, opened.get(here, seen.all)) for after in network.down.get(here, ())),
    )
    held = {p.tag for valve in wired for p in network.downstream(valve)}
    return {p.tag: reached.get(p.tag, 0) & seen.stands for p in network.of_kind("burner") if p.tag in held}


def holding(w: Wiring) -> list[ControlPart]:
    """Buttons that spring back when an operator lets go. One that says of nobody is taken for an operator's here."""
    buttons = (p for p in w.of_kind("button") if p.spec.text_or("who", "operator") == "operator")
    return [p for p in buttons if not p.spec.yes("latches")]


def demands(w: Wiring, seen: Seen) -> tuple[Demand, ...]:
    """What must agree before gas flows: each stop, each key, an operator's held button, each flame sensor."""
    on = {name: states for name, states in seen.variables.items()}
    made = [Demand("stop", p.tag, f"{p.tag} pressed", on[p.tag]) for p in w.of_kind("stop") if p.tag in on]
    made += [Demand("key", p.tag, f"{p.tag} off", seen.all & ~on[p.tag]) for p in w.of_kind("key") if p.tag in on]
    held = [p for p in holding(w) if p.tag in on]
    idle = seen.all
    for p in held:
        idle &= ~on[p.tag]
    names = " or ".join(p.tag for p in held)
    said = f"nobody holds {names}" if held else "nobody holds a button"
    made.append(Demand("held", held[0].tag if held else "", said, idle))
    made += [
        Demand("flame", p.tag, f"{p.tag} sees no flame", seen.all & ~on[p.tag])
        for p in w.of_kind("flame_sensor")
        if p.tag in on
    ]
    return tuple(made)


@value(LOGIC, needs=(WIRING, NETWORK))
def logic(ctx: Context) -> Logic:
    """Every state of the circuit, and every single fault in every state."""
    w, network = ctx[WIRING], ctx[NETWORK]
    wired = valves(w, network)
    coils = coils_of(wired)
    nothing = Seen(0, 0, {}, {}, 0, {}, 0)
    count = len(w.circuit.variables)
    if w.unknown or not w.circuit.edges:
        why = Unchecked("the lines cannot be read whole", *(t.at for t in w.unknown)) if w.unknown else w.bare
        return Logic(w.circuit, nothing, (), {}, (), 0, why)
    if count > MOST_VARIABLES:
        why = f"{count} inputs and relays are more than the {MOST_VARIABLES} that are looked through"
        return Logic(w.circuit, nothing, (), {}, (), 0, why)
    solenoids = [p.tag for p in network.of_kind("valve") if p.form == "solenoid"]
    if solenoids and not wired:
        why = Unchecked(f"no coil of the wiring opens {several(solenoids)}", "/control/parts/*/valve")
        return Logic(w.circuit, nothing, (), {}, (), 0, why)
    seen = look(w.circuit, watched=coils)
    wanted = demands(w, seen)
    outlets = gas(network, wired, seen)
    failed: list[Failed] = []
    tried = 0
    together: dict[str, dict[str, None]] = {}
    idle = next((d.states for d in wanted if d.kind == "held"), 0)
    direct = [p.tag for p in w.of_kind("stop") if p.spec.yes("direct_opening")]
    for fault in single(w.circuit, w.chassis, direct):
        tried += 1
        after = look(fault.circuit, watched=coils, dead=fault.dead)
        fed = [v for v, cs in wired.items() if _fed(after, cs) & idle & after.stands]
        if fault.tag and len(fed) > 1:
            together.setdefault(fault.tag, {}).update(dict.fromkeys(fed))
        for outlet, states in gas(network, wired, after).items():
            failed += [
                Failed(fault.tag, fault.what, outlet, d)
                for d in wanted
                if states & d.states and not outlets[outlet] & d.states
            ]
    for valve in wired:  # dirt under a seat: open, whatever its coil says
        tried += 1
        rest = {v: c for v, c in wired.items() if v != valve}
        for outlet in outlets:
            states = gas(network, rest, seen).get(outlet, seen.stands)
            failed += [
                Failed(wired[valve][0], f"valve {valve} stuck open", outlet, d)
                for d in wanted
                if states & d.states and not outlets[outlet] & d.states
            ]
    return Logic(
        w.circuit,
        seen,
        wanted,
        outlets,
        tuple(failed),
        tried,
        together=tuple((tag, tuple(valves)) for tag, valves in together.items()),
    )


@gather(SHARED_MEANS, needs=(WIRING, LOGIC, NETWORK))
def means(ctx: Context) -> Sequence[SharedMeans]:
    """Each coil with its valve, and each part of the wiring that holds several open when it fails."""
    w, made = ctx[WIRING], ctx[LOGIC]
    wired = valves(w, ctx[NETWORK])
    coils = [SharedMeans("coil", c, (v,), "control", w.parts[c].at) for v, cs in wired.items() for c in cs]
    shared = [SharedMeans("contact", tag, them, "control", w.parts[tag].at) for tag, them in made.together]
    return [*coils, *(one for one in shared if one.tag not in {c.tag for c in coils})]


def how(states: int, circuit: Circuit) -> str:
    """One state of a set in words."""
    on = words(states, circuit)
    return f"with {', '.join(on)} on" if on else "with everything at rest"
