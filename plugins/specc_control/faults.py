"""Single faults of a circuit: each gives the circuit as it is with that one thing wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations
from typing import NamedTuple

from specc_control.circuit import Circuit, Edge


class WiringFault(NamedTuple):
    """`what` in words, at the part `tag` ("" for a supply or a node); `dead`: no supply is left."""

    tag: str
    what: str
    circuit: Circuit
    dead: bool = False


def _without(circuit: Circuit, *names: str) -> Circuit:
    return circuit._replace(edges=tuple(e for e in circuit.edges if e.name not in names))


def _closed(circuit: Circuit, *names: str) -> Circuit:
    """With some edges joined for good."""
    return circuit._replace(
        edges=tuple(e._replace(kind="wire", by="", breaks=False) if e.name in names else e for e in circuit.edges)
    )


def _joined(circuit: Circuit, a: str, b: str) -> Circuit:
    return circuit._replace(edges=(*circuit.edges, Edge(f"{a}~{b}", "", a, b, "wire")))


def single(circuit: Circuit, chassis: Collection[str] = (), direct: Collection[str] = ()) -> Iterator[WiringFault]:
    """Every single fault: something open, welded, shorted, touching plus or the chassis; a supply lost; a plug pulled.

    `chassis`: the nodes that metal parts are bonded to; where nothing is, one touch does nothing by itself.
    `direct`: parts with direct opening action, whose contacts are pushed apart: that all stay closed is left out.
    """
    for supply in circuit.supplies:
        left = tuple(s for s in circuit.supplies if s is not supply)
        yield WiringFault("", f"supply at {supply[0]} lost", circuit._replace(supplies=left), not left)
    # A coil that is open holds on at less than a relay does.
    drop = [
        e.name for e in circuit.edges if e.kind == "load" and e.tag in circuit.relays and e.tag not in circuit.stays
    ]
    if len(drop) > 1:
        yield WiringFault("", "supply low: every relay drops out", _without(circuit, *drop))
    by_tag: dict[str, list[Edge]] = {}
    for e in circuit.edges:
        by_tag.setdefault(e.tag, []).append(e)
        yield WiringFault(e.tag, f"{e.name} open", _without(circuit, e.name))
        if e.kind == "contact":
            yield WiringFault(e.tag, f"contact {e.name} welded or stuck closed", _closed(circuit, e.name))
        elif e.kind == "load":
            yield WiringFault(e.tag, f"{e.name} or its diode shorted", _closed(circuit, e.name))
    for tag, edges in by_tag.items():
        if len(edges) > 1:  # a relay with its coil, a plug with its poles
            yield WiringFault(tag, f"all of {tag} parted", _without(circuit, *(e.name for e in edges)))
        poles = [e for e in edges if e.kind != "load"]
        for first, second in combinations(poles, 2):
            yield WiringFault(tag, f"{first.name} touches {second.name}", _joined(circuit, first.b, second.b))
        if sum(e.kind == "contact" for e in edges) > 1:
            yield WiringFault(tag, f"{tag} stuck as when worked", _stuck(circuit, tag, worked=True))
            if tag not in direct:
                yield WiringFault(tag, f"{tag} stuck as at rest", _stuck(circuit, tag, worked=False))
    ends = {node for supply in circuit.supplies for node in supply}
    for node in sorted({n for e in circuit.edges for n in (e.a, e.b)} - ends):
        beside = sorted({e.name for e in circuit.edges if node in (e.a, e.b)})
        for plus, _ in circuit.supplies:
            yield WiringFault("", f"wire at {' and '.join(beside)} touches {plus}", _joined(circuit, node, plus))
        for frame in chassis:
            if node != frame:
                yield WiringFault(
                    "", f"wire at {' and '.join(beside)} touches the chassis", _joined(circuit, node, frame)
                )


def _stuck(circuit: Circuit, tag: str, *, worked: bool) -> Circuit:
    """With every contact of a part as it is when the part is worked, or at rest."""
    edges = []
    for e in circuit.edges:
        if e.tag == tag and e.kind == "contact":
            if e.breaks is worked:
                continue
            e = e._replace(kind="wire", by="", breaks=False)
        edges.append(e)
    return circuit._replace(edges=tuple(edges))
