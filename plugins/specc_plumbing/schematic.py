"""The schematic: the network with a symbol for each part, told apart by zone, with the pressure of each zone."""

from __future__ import annotations

from collections.abc import Mapping

from specc import Context, FigureSet, drawn, show
from specc.drawing.shapes import Drawing
from specc.kinds.gas import CYLINDER_PRESSURE, SECTION_BLOCKED
from specc.kinds.plumbing import NETWORK, OPEN, OUTLETS, SUPPLY, ZONES, Network, Part
from specc.model.view import Unreadable, View

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
        if part.kind in ("hose", "pipe", "tube"):
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
        size = spec.text_or("size")
        if part.kind == "valve":
            state = spec.text_or("normally")
            opens = f"opens {spec.quantity('opens').text}" if spec.has("opens") else ""
            said = (size or part.form.replace("_", " "), f"normally {state}" if state else "", opens)
            return tuple(t for t in said if t)
        return (size,) if size else ()
    except Unreadable:
        return ("see findings",)


def _set_to(regulator: Part) -> str:
    """A regulator's pressures as its zone's border has them."""
    try:
        said = [regulator.spec.quantity("set").text]
        if regulator.spec.has("highest"):
            said.append(f"at most {regulator.spec.quantity('highest').text}")
        return ", ".join(said)
    except Unreadable:
        return "see findings"


def _zone(net: Network, zone: str, supply: str, opened: str) -> tuple[str, str]:
    """What a zone is called at its border, and its pressure."""
    if zone == SUPPLY:
        return "cylinder pressure", supply
    if zone == OPEN:
        return "open to the air", opened
    part = net.part(zone)
    return (f"regulated by {zone}", _set_to(part)) if part is not None else ("no gas", "")


def _most(family: FigureSet | None, zone: Mapping[str, str]) -> str:
    """The highest of the open sections' pressures, as the border of the zone has it."""
    found = [figure.si for tag, figure in (family or {}).items() if zone.get(tag) == OPEN]
    return f"at most {show(max(found), 'gauge_pressure', 'psig', 2)}, half blocked" if found else ""


@drawn(
    "plumbing",
    title="Gas from cylinders to outlets",
    needs=(NETWORK, ZONES),
    wants=(CYLINDER_PRESSURE, SECTION_BLOCKED),
)
def plumbing_drawing(ctx: Context) -> Drawing:
    # The layout takes a while to import, and `check` draws nothing.
    from specc.drawing.flow import Node, ZoneLabel, schematic

    net, zone = ctx[NETWORK], ctx[ZONES]
    hot = ctx.get(CYLINDER_PRESSURE)
    supply = f"up to {show(hot.si, hot.dim, 'psig', 3)}, pure propane" if hot else ""
    opened = _most(ctx.get(SECTION_BLOCKED), zone)
    nodes = [Node(p.tag, _symbol(p), _labels(p), zone[p.tag]) for p in net.parts]
    ways = dict.fromkeys(z for z in zone.values() if z)
    zones = {z: ZoneLabel(*_zone(net, z, supply, opened)) for z in ways}
    return schematic(nodes, net.links, zones, open_zone=OPEN, key="plumbing", title="Gas from cylinders to outlets")


PASSES = (plumbing_drawing,)
