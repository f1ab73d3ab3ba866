"""Currents, voltages and times of the wiring: what each fuse and coil gets along the shortest way to it."""

from __future__ import annotations

import re
from collections import deque
from typing import NamedTuple

from specc import Citation, Constant, Context, FigureSet, Key, Limit, Quantity, Worked, figures, value
from specc.kinds.weather import CASES
from specc.model.values import PRACTICE, Scalar
from specc_control.calc import battery, coil, wire
from specc_control.circuit import Circuit
from specc_control.entries import WIRING, ControlPart, Wiring

STRANDED = Citation("iec-60028-reprints", "strands over solid copper: 3 % covers AWG, 16 % class 5 by area", "computed")
HOT = Citation(basis="choice")
WARM_WIRE = Constant(333.15, "temperature", "60 °C, where the spec gives no other", HOT)
# What a wire stands of which nothing is said: the least of the usual insulations, in a box in the sun.
INSULATION = Constant(333.15, "temperature", "60 °C, where the spec gives no other", HOT)
BOX_AIR = Constant(323.15, "temperature", "50 °C, where the spec gives no other", HOT)
BUNDLES = Citation("bundle-notes", "3 wires 70 %, 4 to 6 60 %, 7 to 24 50 % of what one alone carries", "read")
ONE_WAY = Constant(1.0, "count", "1", HOT)
OUT_AND_BACK = Constant(2.0, "count", "2", HOT)
_SIZE = re.compile(r"(?P<gauge>[0-9]{1,2}|[1-4]/0) AWG|(?P<mm2>[0-9.]+) ?mm[2²]")


class Way(NamedTuple):
    """How current gets to a load: names of the edges before and after it, and the supply."""

    load: str
    edges: tuple[str, ...]
    supply: str


WAYS: Key[tuple[Way, ...]] = Key("control.ways", tuple)
CURRENT: Key[FigureSet] = Key("control.fuse_current", dict)
CLEARS: Key[FigureSet] = Key("control.fuse_short", dict)
AT_COIL: Key[FigureSet] = Key("control.coil_voltage", dict)
NEEDED: Key[FigureSet] = Key("control.coil_needs", dict)
LASTS: Key[FigureSet] = Key("control.battery_life", dict)
CARRIES: Key[FigureSet] = Key("control.wire_carries", dict)

FUSE_LOAD = Limit(
    "control.fuse_load", "80 %", "ratio", "min", "The most of its rating that a fuse carries all night", PRACTICE
)
FUSE_SHORT = Limit(
    "control.fuse_short",
    "2",
    "ratio",
    "max",
    "The least current of a dead short at the far end, in times of the fuse's rating",
    wire.UL_FUSE,
)


def _route(circuit: Circuit, start: str, goal: str, without: str) -> tuple[str, ...] | None:
    """The shortest way through all but loads, as if every contact were closed."""
    beside: dict[str, list[tuple[str, str]]] = {}
    for e in circuit.edges:
        if e.kind != "load" and e.name != without:
            beside.setdefault(e.a, []).append((e.b, e.name))
            beside.setdefault(e.b, []).append((e.a, e.name))
    came: dict[str, tuple[str, str]] = {start: ("", "")}
    todo = deque([start])
    while todo:
        here = todo.popleft()
        if here == goal:
            names = []
            while came[here][1]:
                names.append(came[here][1])
                here = came[here][0]
            return tuple(reversed(names))
        for other, name in beside.get(here, ()):
            if other not in came:
                came[other] = (here, name)
                todo.append(other)
    return None


@value(WAYS, needs=(WIRING,))
def ways(ctx: Context) -> tuple[Way, ...]:
    """The way to each load, through the supply whose two terminals reach it."""
    w = ctx[WIRING]
    made = []
    for e in w.circuit.edges:
        if e.kind != "load" or w.unknown:
            continue
        for plus, minus in w.circuit.supplies:
            for a, b in ((e.a, e.b), (e.b, e.a)):
                before, after = _route(w.circuit, plus, a, e.name), _route(w.circuit, b, minus, e.name)
                if before is not None and after is not None and not set(before) & set(after):
                    made.append(Way(e.tag, (*before, *after), plus[:-1]))
                    break
            else:
                continue
            break
    return tuple(made)


def area(part: ControlPart) -> Quantity:
    """Copper area of a wire from its size as written."""
    text = part.spec.text("size")
    found = _SIZE.fullmatch(text)
    assert found is not None
    if found["mm2"]:
        return Quantity(float(found["mm2"]) * 1e-6, "area", text, part.spec.here("size"))
    gauge = found["gauge"]
    number = 1.0 - float(gauge[0]) if "/" in gauge else float(gauge)
    return Quantity(wire.wire_area(number), "area", text, part.spec.here("size"))


def draw(part: ControlPart) -> Worked | None:
    """The current of a load at its rating, or None where it is not stated."""
    if not (part.spec.has("power") and part.spec.has("voltage")):
        return None
    return coil.coil_current.work(
        f"current of {part.tag}", power=part.spec.quantity("power"), voltage=part.spec.quantity("voltage")
    )


def _allowance(part: ControlPart) -> Constant:
    if "mm" in part.spec.text("size"):
        return Constant(1.16, "ratio", "1.16", STRANDED)
    return Constant(1.03, "ratio", "1.03", STRANDED)


def _run(part: ControlPart) -> dict[str, Scalar]:
    return {
        "length": part.spec.quantity("length"),
        "area": area(part),
        "temperature": part.spec.quantity_or_none("warm") or WARM_WIRE,
        "ways": ONE_WAY if part.spec.has("ways") and part.spec.whole("ways") == 1 else OUT_AND_BACK,
        "allowance": _allowance(part),
    }


def stated(part: ControlPart) -> bool:
    return part.spec.has("length") and part.spec.has("size")


def carried(w: Wiring, listed: tuple[Way, ...]) -> dict[str, tuple[Worked, ...]]:
    """By edge, the currents of all loads whose way it is on, as if all were on at once."""
    made: dict[str, tuple[Worked, ...]] = {}
    for way in listed:
        amps = draw(w.parts[way.load])
        if amps is not None:
            for name in way.edges:
                made[name] = (*made.get(name, ()), amps)
    return made


@figures(CURRENT, title="Current through fuse {tag}", unit="A", needs=(WIRING, WAYS))
def fuse_current(ctx: Context) -> dict[str, Worked]:
    w = ctx[WIRING]
    through = carried(w, ctx[WAYS])
    return {
        p.tag: coil.current_sum.work(f"current through {p.tag}", currents=through[p.tag])
        for p in w.of_kind("fuse")
        if p.tag in through
    }


@figures(CLEARS, title="Short at the far end, over the rating of fuse {tag}", worst="min", needs=(WIRING, WAYS))
def fuse_short(ctx: Context) -> dict[str, Worked]:
    """For each fuse the load behind it that the least short current reaches."""
    w = ctx[WIRING]
    made: dict[str, Worked] = {}
    for way in ctx[WAYS]:
        supply = w.parts[way.supply]
        runs = [w.parts[n] for n in way.edges if n in w.parts and w.parts[n].kind == "wire"]
        if not runs or not all(map(stated, runs)) or not supply.spec.has("voltage"):
            continue
        volts = supply.spec.quantity_or_none("lowest") or supply.spec.quantity("voltage")
        resistances = tuple(wire.wire_resistance.work(f"resistance of {r.tag}", **_run(r)) for r in runs)
        loop = wire.resistance_sum.work(f"loop to {way.load} and back", resistances=resistances)
        for name in way.edges:
            part = w.parts.get(name)
            if part is None or part.kind != "fuse" or not part.spec.has("rating"):
                continue
            one = wire.fuse_clears.work(
                f"short at {way.load}", voltage=volts, resistance=loop, rating=part.spec.quantity("rating")
            )
            if name not in made or one.si < made[name].si:
                made[name] = one
    return made


def share_bundled(count: float) -> Constant | None:
    """What is left of a wire's current among others; None for more together than was published. A pair, out and back,
    is not told apart in the source from three."""
    for most, share in ((1, 1.0), (3, 0.7), (6, 0.6), (24, 0.5)):
        if count <= most:
            return Constant(share, "ratio", f"{share:.0%} ({count:g} together)", BUNDLES)
    return None


@figures(CARRIES, title="Current that wire {tag} may carry, hot and bundled", unit="A", worst="min", needs=(WIRING,))
def wire_carries(ctx: Context) -> dict[str, Worked]:
    made = {}
    for p in ctx[WIRING].of_kind("wire"):
        together = p.spec.quantity("bundled").si if p.spec.has("bundled") else 3.0
        share = share_bundled(together)
        if p.spec.has("size") and share is not None:
            made[p.tag] = wire.wire_ampacity.work(
                f"current that {p.tag} may carry",
                area=area(p),
                insulation=p.spec.quantity_or_none("insulation") or INSULATION,
                air=p.spec.quantity_or_none("air") or BOX_AIR,
                bundled=share,
                allowance=_allowance(p),
            )
    return made


@figures(AT_COIL, title="Voltage at coil {tag}, supply low, all loads on", unit="V", worst="min", needs=(WIRING, WAYS))
def at_coil(ctx: Context) -> dict[str, Worked]:
    w, listed = ctx[WIRING], ctx[WAYS]
    through = carried(w, listed)
    made = {}
    for way in listed:
        supply = w.parts[way.supply]
        runs = [w.parts[n] for n in way.edges if n in w.parts and w.parts[n].kind == "wire"]
        if w.parts[way.load].kind != "coil" or not supply.spec.has("lowest") or not all(map(stated, runs)):
            continue
        if not all(r.tag in through for r in runs):
            continue
        drops = []
        for r in runs:
            amps = coil.current_sum.work(f"current in {r.tag}", currents=through[r.tag])
            drops.append(wire.voltage_drop.work(f"drop in {r.tag}", current=amps, **_run(r)))
        made[way.load] = coil.load_voltage.work(
            f"voltage at {way.load}", supply=supply.spec.quantity("lowest"), drops=tuple(drops)
        )
    return made


@figures(NEEDED, title="Voltage that coil {tag} needs to pull in, warm", unit="V", needs=(WIRING,))
def coil_needs(ctx: Context) -> dict[str, Worked]:
    made = {}
    for p in ctx[WIRING].of_kind("coil"):
        if p.spec.has("pull_in") and p.spec.has("voltage") and p.spec.has("warm"):
            cold = coil.pull_in_cold.work(
                f"pull-in of {p.tag}, cold", voltage=p.spec.quantity("voltage"), share=p.spec.quantity("pull_in")
            )
            made[p.tag] = coil.coil_pull_in.work(
                f"pull-in of {p.tag}, warm", pull_in=cold, warm=p.spec.quantity("warm")
            )
    return made


_COLD = Citation("battery-cold-notes", "-12 % at 10 °C, -20 % at 0 °C; flooded: 61 % left at -10 °C", "read")
_IRON = Citation("battery-cold-notes", "lithium iron phosphate about 80 % at 0 °C, 70 % at -20 °C", "read")
_K = Citation("peukert-notes", "flooded 1.2 to 1.6, AGM 1.05 to 1.15, gel 1.1 to 1.25: the highest of each", "read")
_DEPTH = Citation("battery-maker-notes", "flooded lead-acid: plan on 50 %", "read")
EXPONENTS = {"flooded": 1.6, "agm": 1.15, "gel": 1.25, "lifepo4": 1.0}
TWENTY_HOURS = Constant(72000.0, "duration", "20 h", _K)


def cold_share(chemistry: str, air: float) -> Constant | None:
    """What is left of the capacity in the cold, at the next lower step that was published; None below them all."""
    steps: tuple[tuple[float, float], ...] = ((283.15, 0.88), (273.15, 0.80), (263.15, 0.61))
    citation = _COLD
    if chemistry == "lifepo4":
        steps, citation = ((273.15, 0.80), (253.15, 0.70)), _IRON
    for least, share in steps:
        if air >= least:
            return Constant(share, "ratio", f"{share:.0%}", citation)
    return None


@figures(
    LASTS,
    title="How long battery {tag} lasts, cold, with its reserve",
    unit="h min",
    worst="min",
    needs=(WIRING, WAYS, CASES),
)
def battery_lasts(ctx: Context) -> dict[str, Worked]:
    w = ctx[WIRING]
    air = min(c.air.si for c in ctx[CASES])
    made = {}
    for p in w.of_kind("battery"):
        chemistry = p.spec.text_or("chemistry")
        cold = cold_share(chemistry, air)
        drawn = []
        for way in ctx[WAYS]:
            part = w.parts[way.load]
            amps = draw(part) if way.supply == p.tag else None
            if amps is not None:
                share = part.spec.quantity_or_none("share_on")
                drawn.append(
                    coil.mean_current.work(f"mean current of {part.tag}", current=amps, share=share) if share else amps
                )
        if not (chemistry and cold and drawn and p.spec.has("capacity")):
            continue
        usable = (
            Constant(0.8, "ratio", "80 %", Citation(basis="choice"))
            if chemistry == "lifepo4"
            else Constant(0.5, "ratio", "50 %", _DEPTH)
        )
        made[p.tag] = battery.battery_life.work(
            f"life of {p.tag}",
            capacity=p.spec.quantity("capacity"),
            current=coil.current_sum.work("mean current of all loads", currents=tuple(drawn)),
            rate=TWENTY_HOURS,
            exponent=Constant(EXPONENTS[chemistry], "ratio", str(EXPONENTS[chemistry]), _K),
            cold=cold,
            usable=usable,
        )
    return made
