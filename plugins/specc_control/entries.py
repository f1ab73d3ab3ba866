"""The wiring as the spec gives it: parts, lines, and the circuit that they make."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, permutations
from typing import NamedTuple

from specc import Context, Key, Trouble, Unchecked, Verdict, found, not_applicable, not_checked, rule, value
from specc.kinds.plumbing import NETWORK
from specc.model.values import Citation
from specc.model.view import View
from specc.model.wording import several
from specc_control.circuit import Circuit, Edge

ROOT = "control"
NONE = "the spec describes no wiring (control:)"
SUPPLIES = ("battery", "mains_supply", "generator")
LOADS = ("coil", "relay", "timer", "igniter", "lamp")
HANDS = ("switch", "key", "button", "stop")
MOVED = (*HANDS, "flame_sensor", "controller")  # set from outside, each freely
WITHOUT_POWER = Citation("iec-60617", "contacts are drawn and counted as without power", "memory")


class ControlPart(NamedTuple):
    tag: str
    kind: str
    spec: View

    @property
    def at(self) -> str:
        return self.spec.at

    @property
    def contacts(self) -> tuple[str, ...]:
        return self.spec.texts("contacts") or (("break",) if self.kind == "stop" else ("make",))

    @property
    def valve(self) -> str:
        return self.spec.text_or("valve", self.tag)


class Wiring(NamedTuple):
    """`unknown`: what could not be read of the lines; then `circuit` leaves it out and nothing is judged by it.
    `chassis`: the points that metal parts are bonded to; where nothing is said, every supply's minus. `bare`: of a spec
    without wiring, what its solenoid valves leave open."""

    parts: dict[str, ControlPart]
    circuit: Circuit
    places: dict[str, str]  # edge or node to the pointer of its first item in a line
    unknown: tuple[Trouble, ...]
    loose: tuple[Trouble, ...]
    chassis: tuple[str, ...]
    bare: str = ""

    def of_kind(self, *kinds: str) -> tuple[ControlPart, ...]:
        return tuple(p for p in self.parts.values() if p.kind in kinds)


WIRING: Key[Wiring] = Key("control.wiring", Wiring)


def nothing(w: Wiring, said: str = NONE) -> Verdict:
    """How a rule ends that has nothing to look at: solenoid valves of which no wiring is described are never fine."""
    return not_checked(w.bare) if w.bare else not_applicable(said if w.parts else NONE)


def _together(circuit: Circuit, parts: dict[str, ControlPart], places: dict[str, str]) -> list[Trouble]:
    """Supplies joined plus to minus, by any contact too, or unlike ones plus to plus: what both together do is not
    looked through."""
    kinds = {plus: parts[plus[:-1]].kind.replace("_", " ") for plus, _ in circuit.supplies}
    joined: dict[str, set[str]] = {}
    for e in circuit.edges:
        if e.kind != "load":
            both = joined.get(e.a, {e.a}) | joined.get(e.b, {e.b})
            joined |= dict.fromkeys(both, both)
    return [
        Trouble(
            places.get(a[0], f"/{ROOT}/lines"),
            f"{a[0]} is joined to {b[1]}: what two supplies in a row feed is not followed",
            "one supply of their voltage together in their place",
        )
        for a, b in permutations(circuit.supplies, 2)
        if b[1] in joined.get(a[0], ()) and a[1] not in joined.get(a[0], ())
    ] + [
        Trouble(
            places.get(a[0], f"/{ROOT}/lines"),
            f"{a[0]} is joined to {b[0]}: what a {kinds[a[0]]} pushes into a {kinds[b[0]]} is not followed",
            "the one that is there in the show, alone; what charges it is taken off before",
        )
        for a, b in combinations(circuit.supplies, 2)
        if b[0] in joined.get(a[0], ()) and kinds[a[0]] != kinds[b[0]]
    ]


def edge_of(item: str, parts: dict[str, ControlPart]) -> Edge | None:
    """The edge that an item of a line stands for, its ends still open; None for what names no part's two ends."""
    tag, dot, number = item.partition(".")
    part = parts.get(tag)
    if part is None:
        return None
    if part.kind in ("wire", "fuse"):
        amps = part.spec.quantity("rating").si if part.kind == "fuse" and part.spec.has("rating") else 0.0
        return None if dot else Edge(item, tag, "", "", "fuse" if part.kind == "fuse" else "wire", amps=amps)
    if part.kind in LOADS and not dot:
        return Edge(item, tag, "", "", "load")
    if part.kind == "plug":
        return Edge(item, tag, "", "", "wire")
    if part.kind in SUPPLIES or part.kind in ("coil", "igniter", "lamp"):
        return None
    contacts = part.contacts
    which = int(number) if number.isdecimal() else (1 if not dot else 0)
    if not 1 <= which <= len(contacts):
        return None
    # A controller does with each of its outputs what it likes.
    by = f"{tag}.{which}" if part.kind == "controller" else tag
    return Edge(f"{tag}.{which}", tag, "", "", "contact", by, contacts[which - 1] == "break")


@value(WIRING, reads=(ROOT,), wants=(NETWORK,))
def wiring(ctx: Context) -> Wiring:
    """The circuit of all lines."""
    spec = ctx.spec(ROOT)
    parts = {tag: ControlPart(tag, view.text("kind"), view) for tag, view in spec.child("parts").children()}
    supplies = {tag: (f"{tag}+", f"{tag}-") for tag, p in parts.items() if p.kind in SUPPLIES}
    terminals = {node for pair in supplies.values() for node in pair}
    edges: list[Edge] = []
    places: dict[str, str] = {}
    unknown: list[Trouble] = []
    lines = [(tag, spec.child("lines").texts(tag)) for tag in spec.child("lines")]
    ends = Counter(item for _, line in lines if line for item in (line[0], line[-1]))
    for tag, line in lines:
        at = [spec.child("lines").here(tag, i) for i in range(len(line))]
        before = line[0]
        places.setdefault(before, at[0])
        for i in (0, len(line) - 1):
            if edge_of(line[i], parts) or (line[i].endswith(("+", "-")) and line[i] not in terminals):
                side = "ends" if i else "begins"
                unknown.append(
                    Trouble(
                        at[i],
                        f"line {tag} {side} at {line[i]}, which is no terminal or point",
                        "a terminal such as bat+, or a point that another line begins or ends at",
                    )
                )
        for i, item in enumerate(line[1:], 1):
            last = i == len(line) - 1
            edge = None if last else edge_of(item, parts)
            if last or (edge is None and (item in terminals or ends[item])):
                places.setdefault(item, at[i])
                if edges and edges[-1].b == "":
                    edges[-1] = edges[-1]._replace(b=item)
                before = item
                continue
            if edge is None:
                known = ", ".join(sorted(parts)) or "none"
                unknown.append(
                    Trouble(
                        at[i],
                        f"{item} in line {tag} is no part with two ends",
                        f"a tag of control: parts: ({known}); a contact as tag.1",
                    )
                )
                continue
            if edge.name in places:
                unknown.append(
                    Trouble(
                        at[i],
                        f"{edge.name} appears twice in the lines",
                        "each part and each contact stands in one line once",
                    )
                )
                continue
            node = before
            if edges and edges[-1].b == "":
                node = f"{tag}:{i}"
                edges[-1] = edges[-1]._replace(b=node)
            places[edge.name] = at[i]
            edges.append(edge._replace(a=node))
        if edges and edges[-1].b == "":
            edges[-1] = edges[-1]._replace(b=line[-1])
    inputs = []
    for p in parts.values():
        if p.kind == "controller":
            inputs += [f"{p.tag}.{n}" for n in range(1, len(p.contacts) + 1)]
        elif p.kind in MOVED:
            inputs.append(p.tag)
    moved = {e.by for e in edges if e.by}
    circuit = Circuit(
        tuple(supplies.values()),
        tuple(edges),
        tuple(i for i in inputs if i in moved),
        tuple(p.tag for p in parts.values() if p.kind in ("relay", "timer")),
        tuple(p.tag for p in parts.values() if p.kind == "relay" and p.spec.yes("latches")),
        tuple(p.tag for p in parts.values() if p.kind == "timer"),
    )
    unknown += _together(circuit, parts, places)
    touched = Counter(n for e in edges for n in (e.a, e.b))
    loose = [
        Trouble(
            places[node],
            f"nothing else joins {node}: the line ends in the air",
            "the same name where another line begins or ends, or a terminal",
        )
        for node in ends
        if node in places and node not in terminals and touched[node] < 2 and not edge_of(node, parts)
    ]
    used = {e.tag for e in edges} | {t for t, pair in supplies.items() if touched[pair[0]] and touched[pair[1]]}
    loose += [
        Trouble(p.at, f"{p.tag} ({p.kind.replace('_', ' ')}) is wired to nothing", "put it into one of the lines")
        for p in parts.values()
        if p.tag not in used
    ]
    bonded = spec.text_or("chassis")
    if bonded and bonded not in ("none", *terminals, *ends):
        unknown.append(
            Trouble(
                spec.here("chassis"),
                f"the chassis is bonded to {bonded}, which is no terminal or point of the lines",
                "a terminal such as bat-, or none where nothing is bonded",
            )
        )
    chassis = tuple(pair[1] for pair in supplies.values()) if not bonded else (bonded,) if bonded != "none" else ()
    net = ctx.get(NETWORK)
    solenoids = [p.tag for p in net.of_kind("valve") if p.form == "solenoid"] if net and not parts else []
    what = f"{'valves' if len(solenoids) > 1 else 'valve'} {several(solenoids)}"
    bare = Unchecked(f"what opens the solenoid {what} is not described", "/control") if solenoids else ""
    return Wiring(parts, circuit, places, tuple(unknown), tuple(loose), chassis, bare)


@rule(
    "control.lines_readable",
    level="error",
    statement="Lines name parts and contacts that are there, each once, and begin and end at a terminal or point",
    source=WITHOUT_POWER,
    needs=(WIRING,),
)
def lines_readable(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    if not w.parts:
        return nothing(w)
    return found(w.unknown, f"{len(w.circuit.edges)} parts and contacts in lines")


@rule(
    "control.wired",
    level="error",
    statement="Every part of the wiring is in a line, and no line ends in the air",
    source=WITHOUT_POWER,
    needs=(WIRING,),
)
def wired(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    if not w.parts:
        return nothing(w)
    return found(w.loose, f"{len(w.parts)} parts")
