"""The schematic: the network with a symbol for each part, told apart by zone, with the pressure of each zone."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from specc import Context, drawn, psig, show
from specc.drawing.shapes import Drawing
from specc.kinds.faults import SHUT_IN
from specc.kinds.gas import FLOW, SECTION_BLOCKED
from specc.kinds.plumbing import (
    JOINTS,
    LINES,
    NETWORK,
    OPEN,
    OUTLETS,
    SUPPLY,
    ZONE_PRESSURE,
    ZONES,
    Network,
    Part,
    RegulatorState,
    zone_tag,
    zone_words,
)
from specc.model.values import Figure
from specc.model.view import Unreadable, View
from specc_plumbing import by_fire, system_tables
from specc_plumbing.as_written import in_flow

if TYPE_CHECKING:
    from specc.drawing.cells import Node

_SYMBOLS = {
    "burner": {
        "ring": "burner_ring",
        "bar": "burner_bar",
        "stem": "stem",
        "nozzle": "stem",
        "open_end": "stem",
    },
    "valve": {
        form: f"{form}_valve"
        for form in ("ball", "needle", "globe", "check", "solenoid", "excess_flow", "relief")
    },
    "fitting": {
        **{
            form: form
            for form in (
                "tee", "cross", "manifold", "union", "plug", "cap", "bushing", "nipple", "coupling", "elbow",
                "connector", "adapter", "flare_nut", "reducer",
            )
        },
        "street_elbow": "elbow",
    },
}  # fmt: skip

# Stops by hand: what a lost supply of power leaves charged, cylinders go on feeding.
_CLOSED = ("normal", "emergency", "leak")


def _symbol(part: Part) -> str:
    by_form = _SYMBOLS.get(part.kind)
    if by_form is None:
        return part.kind
    return by_form.get(part.form, "fitting" if part.kind == "fitting" else "unknown")


def _jets(spec: View) -> tuple[str, ...]:
    """An outlet's size, and its jets."""
    size = next((spec.quantity(k).text for k in ("diameter", "length") if spec.has(k)), spec.text_or("size"))
    jets = spec.child("jets")
    count = jets.quantity("count").text
    if jets.has("bore"):
        each = jets.quantity("bore").text
    elif jets.has("width") and jets.has("length"):
        each = f"{jets.quantity('width').text.partition(' ±')[0]} x {jets.quantity('length').text}"
    else:
        each = ""
    return tuple(t for t in (size, each if count == "1" else f"{count} of {each}" if each else "") if t)


def _labels(part: Part) -> tuple[str, ...]:
    """Short lines under a symbol: its size, and what tells it from its neighbors."""
    try:
        spec = part.spec
        if part.kind == "regulator":
            return (f"set {spec.quantity('set').text}",)
        if part.kind in LINES:
            size = spec.quantity("bore").text if spec.has("bore") else spec.text_or("size")
            if not size and spec.has("outside"):
                size = f"{spec.quantity('outside').text} OD"
            return tuple(t for t in (size, spec.quantity("length").text) if t)
        if part.kind == "orifice":
            return (spec.quantity("bore").text,)
        if part.kind == "cylinder":
            return (spec.quantity("capacity").text,)
        if part.kind == "accumulator":
            return (spec.quantity("volume").text,)
        if part.kind in OUTLETS:
            return _jets(spec)
        if part.kind == "gauge" and spec.has("reads_to"):
            return (f"to {spec.quantity('reads_to').text}",)
        size = spec.text_or("size")
        if part.form == "relief" and spec.has("opens"):
            return (f"opens {spec.quantity('opens').text}",)
        if part.kind == "valve":
            state = spec.text_or("normally")
            said = (size or part.form.replace("_", " "), state)
            return tuple(t for t in said if t)
        # Where lines only part or meet, its mark and tag are enough; sizes are in the list of parts.
        return (size,) if size and part.form not in ("tee", "cross") else ()
    except Unreadable:
        return ("see findings",)


def _set_to(regulator: Part) -> str:
    """A regulator's pressures as its zone's border has them."""
    try:
        said = [f"set {regulator.spec.quantity('set').text}"]
        if regulator.spec.has("highest"):
            said.append(f"at most {regulator.spec.quantity('highest').text}")
        return ", ".join(said)
    except Unreadable:
        return "see findings"


def _zone(net: Network, zone: str, figures: Mapping[str, Figure]) -> tuple[str, str]:
    """What a zone is called, and its pressure: the numbers of the table below, else what its regulator is set to."""
    states: tuple[tuple[RegulatorState, str], ...] = (("set", ""), ("highest", " turned up"))
    known = [(figures[zone_tag(zone, s)].si, how) for s, how in states if zone_tag(zone, s) in figures]
    if zone == SUPPLY:
        return "cylinder pressure", f"to {psig(known[0][0])}" if known else ""
    if zone == OPEN:
        return "open to the air", ""
    part = net.part(zone)
    if part is None:
        return "no gas", ""
    return zone_words(zone), ", ".join(f"{psig(si)}{how}" for si, how in known) or _set_to(part)


def _letter(number: int) -> str:
    return chr(ord("A") + number) if number < 26 else f"Z{number - 25}"


def _node(
    part: Part, zone: str, blocked: Mapping[str, Figure], flow: Mapping[str, Figure], charged: Collection[str]
) -> Node:
    """A part as it is drawn. Each open section has its own pressure, said at its outlet."""
    from specc.drawing.cells import Node

    labels, told = _labels(part), []
    if part.kind in OUTLETS:
        gas = flow.get(part.tag)
        if gas is not None:
            told.append(("gas, lb/h", show(gas.si, gas.dim, "lb/h", 3).partition(" ")[0]))
        told += [("place", ", ".join(_places(part)))]
        if part.tag in blocked:
            labels = (*labels, f"to {psig(blocked[part.tag].si, 2)}")
    more = tuple((k, v) for k, v in told if v)
    return Node(part.tag, _symbol(part), labels, zone, more, charged=part.tag in charged)


def _places(part: Part) -> Sequence[str]:
    try:
        return part.places
    except Unreadable:
        return ()


@drawn(
    "plumbing",
    title="Gas from cylinders to outlets",
    needs=(NETWORK, ZONES),
    wants=(SECTION_BLOCKED, ZONE_PRESSURE, FLOW, SHUT_IN, JOINTS),
)
def plumbing_drawing(ctx: Context) -> Drawing:
    # The layout takes a while to import, and `check` draws nothing.
    from specc.drawing.flow import ZoneLabel
    from specc.drawing.system import Beside, system

    net, zone = ctx[NETWORK], ctx[ZONES]
    pressures = ctx.get(ZONE_PRESSURE) or {}
    blocked, flow = ctx.get(SECTION_BLOCKED) or {}, ctx.get(FLOW) or {}
    charged = {t for p in ctx.get(SHUT_IN) or () if p.procedure in _CLOSED for t, _ in p.zones}
    nodes = [_node(p, zone[p.tag], blocked, flow, charged) for p in net.parts]
    ways = [z for z in dict.fromkeys(zone[p.tag] for p in in_flow(net)) if z]
    letters = {z: _letter(n) for n, z in enumerate(ways)}
    said = {z: _zone(net, z, pressures) for z in dict.fromkeys(z for z in zone.values() if z)}
    zones = {
        z: ZoneLabel(f"{letters.get(z, '')} {name}".strip(), pressure, letters.get(z, ""))
        for z, (name, pressure) in said.items()
    }
    names = {z: (letter, said[z][0]) for z, letter in letters.items()}
    by_zone = system_tables.zones(net, zone, names, pressures)
    if by_zone.note and (joints := ctx.get(JOINTS)):
        by_zone = by_zone._replace(note=f"{by_zone.note} {by_fire.words(joints)}")
    beside = [by_zone, system_tables.valves(net)]
    shown = tuple(table for table in beside if table.rows)
    title = "Gas from cylinders to outlets"
    return system(nodes, net.links, zones, open_zone=OPEN, key="plumbing", title=title, beside=Beside(shown))
