"""Currents, voltages and times of the wiring: what each fuse and coil gets along the shortest way to it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

from specc import Citation, Constant, Context, FigureSet, Key, Limit, Quantity, Worked, figures, value
from specc.kinds.weather import CASES
from specc.model.values import PRACTICE, Scalar
from specc_control.calc import battery, coil, wire
from specc_control.circuit import Edge
from specc_control.entries import WIRING, ControlPart, Wiring

STRANDED = Citation("iec-60028-reprints", "strands over solid copper: 3 % covers AWG, 16 % class 5 by area", "computed")
HOT = Citation(basis="choice")
WARM_WIRE = Constant(333.15, "temperature", "60 °C, where the spec gives no other", HOT)
# What a wire stands of which nothing is said: the least of the usual insulations, in a box in the sun.
INSULATION = Constant(333.15, "temperature", "60 °C, where the spec gives no other", HOT)
BOX_AIR = Constant(323.15, "temperature", "50 °C, where the spec gives no other", HOT)
BUNDLES = Citation("bundle-notes", "3 wires 70 %, 4 to 6 60 %, 7 to 24 50 % of what one alone carries", "read")
_MOST_TRIED = 2000  # ways, whole or in part, to one load through one supply
ONE_WAY = Constant(1.0, "count", "1", HOT)
OUT_AND_BACK = Constant(2.0, "count", "2", HOT)
_SIZE = re.compile(r"(?P<gauge>[0-9]{1,2}|[1-4]/0) AWG|(?P<mm2>[0-9.]+) ?mm[2²]")


class Way(NamedTuple):
    """How current gets to a load: names of the edges before and after it, the supply, and how many are before it."""

    load: str
    edges: tuple[str, ...]
    supply: str
    before: int


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


def _routes(edges: Sequence[Edge], start: str, goal: str, shut: str) -> list[tuple[Edge, ...]] | None:
    """Every way from one point to another through all but loads, each point once and never through `shut`. A contact
    that makes and one that breaks by the same hand are never both closed. None for more than are looked through. The
    one walk along pipes comes to each point once; here each way to it counts."""
    beside: dict[str, list[tuple[str, Edge]]] = {}
    for e in edges:
        if e.kind != "load" and shut not in (e.a, e.b):
            beside.setdefault(e.a, []).append((e.b, e))
            beside.setdefault(e.b, []).append((e.a, e))
    found: list[tuple[Edge, ...]] = []
    todo: list[tuple[str, tuple[Edge, ...], frozenset[str]]] = [(start, (), frozenset((start,)))]
    tried = 0
    while todo:
        here, way, met = todo.pop()
        tried += 1
        if tried > _MOST_TRIED:
            return None
        if here == goal:
            found.append(way)
            continue
        for other, e in beside.get(here, ()):
            if other not in met and not (e.by and any(o.by == e.by and o.breaks != e.breaks for o in way)):
                todo.append((other, (*way, e), met | {other}))
    return found


def _ways_of(w: Wiring, load: Edge, supply: tuple[str, str]) -> list[Way] | None:
    """The ways through one supply to a load, alike in wires, fuses and outputs counted once, the shortest first."""
    plus, minus = supply
    made: dict[frozenset[str], Way] = {}
    for a, b in ((load.a, load.b), (load.b, load.a)):
        to, fro = _routes(w.circuit.edges, plus, a, minus), _routes(w.circuit.edges, b, minus, plus)
        if to is None or fro is None or len(to) * len(fro) > _MOST_TRIED:
            return None
        for before, after in product(to, fro):
            if {n for e in before for n in (e.a, e.b)} & {n for e in after for n in (e.a, e.b)}:
                continue  # they meet: a short beside the load
            edges = (*before, *after)
            told = frozenset(e.name for e in edges if w.parts[e.tag].kind in ("wire", "fuse", "controller"))
            way = Way(load.tag, tuple(e.name for e in edges), plus[:-1], len(before))
            if told not in made or len(way.edges) < len(made[told].edges):
                made[told] = way
    return sorted(made.values(), key=lambda way: len(way.edges))


@value(WAYS, needs=(WIRING,))
def ways(ctx: Context) -> tuple[Way, ...]:
    """All ways to each load, since the worst of them counts; none for one with more than are looked through."""
    w = ctx[WIRING]
    made: list[Way] = []
    for e in w.circuit.edges:
        if e.kind == "load" and not w.unknown:
            found = [_ways_of(w, e, supply) for supply in w.circuit.supplies]
            made += [] if None in found else [way for ways_ in found for way in ways_ or ()]
    return tuple(made)


def without_way(w: Wiring, listed: tuple[Way, ...]) -> list[str]:
    """The loads that no way leads to, or too many: nothing is known of what they draw from where."""
    led = {way.load for way in listed}
    return [e.tag for e in w.circuit.edges if e.kind == "load" and e.tag not in led]


def runs_of(w: Wiring, way: Way) -> list[ControlPart] | None:
    """The wires of a way, in order; None where one does not say its length and size, or where a valve's coil or an
    igniter has none: it is never in the box of what feeds it."""
    runs = [w.parts[n] for n in way.edges if n in w.parts and w.parts[n].kind == "wire"]
    if not all(map(stated, runs)) or (not runs and w.parts[way.load].kind in ("coil", "igniter")):
        return None
    return runs


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
    """By edge, the currents of all loads that it is on a way to, as if all were on at once. Edges on a way to one of
    which no current is stated are left out."""
    made: dict[str, dict[str, Worked | None]] = {}
    for way in listed:
        amps = draw(w.parts[way.load])
        for name in way.edges:
            made.setdefault(name, {})[way.load] = amps
    every = {name: tuple(a for a in loads.values() if a is not None) for name, loads in made.items()}
    return {name: amps for name, amps in every.items() if len(amps) == len(made[name])}


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
    """For each fuse the load behind it that the least short current reaches, of those whose wires are known."""
    w = ctx[WIRING]
    made: dict[str, Worked] = {}
    for way in ctx[WAYS]:
        supply, runs = w.parts[way.supply], runs_of(w, way)
        if not runs or not supply.spec.has("voltage"):
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


def unmeasured(w: Wiring, listed: tuple[Way, ...], edge: str) -> list[str]:
    """The loads behind an edge to which some wire is not known, or which no way is known to."""
    return list(
        dict.fromkeys(
            [way.load for way in listed if edge in way.edges and runs_of(w, way) is None] + without_way(w, listed)
        )
    )


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
    """By the worst way to each coil, where all are known."""
    w, listed = ctx[WIRING], ctx[WAYS]
    through = carried(w, listed)
    made: dict[str, Worked] = {}
    unknown: set[str] = set()
    for way in listed:
        if w.parts[way.load].kind != "coil":
            continue
        supply, runs = w.parts[way.supply], runs_of(w, way)
        if runs is None or not supply.spec.has("lowest") or not all(r.tag in through for r in runs):
            unknown.add(way.load)
            continue
        drops = []
        for r in runs:
            amps = coil.current_sum.work(f"current in {r.tag}", currents=through[r.tag])
            drops.append(wire.voltage_drop.work(f"drop in {r.tag}", current=amps, **_run(r)))
        one = coil.load_voltage.work(
            f"voltage at {way.load}", supply=supply.spec.quantity("lowest"), drops=tuple(drops)
        )
        if way.load not in made or one.si < made[way.load].si:
            made[way.load] = one
    return {load: one for load, one in made.items() if load not in unknown}


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
        parts = {way.load: w.parts[way.load] for way in ctx[WAYS] if way.supply == p.tag}
        drawn = []
        for part in parts.values():
            amps = draw(part)
            if amps is not None:
                share = part.spec.quantity_or_none("share_on")
                drawn.append(
                    coil.mean_current.work(f"mean current of {part.tag}", current=amps, share=share) if share else amps
                )
        known = len(drawn) == len(parts) and not without_way(w, ctx[WAYS])
        if not (chemistry and cold and drawn and known and p.spec.has("capacity")):
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
