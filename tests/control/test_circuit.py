"""Circuits against an independent simulator: currents in a net of conductances, one state at a time."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc_control.circuit import MOST_VARIABLES, Circuit, Edge, look, words
from specc_control.faults import single

PLUS, MINUS = "bat+", "bat-"
SUPPLY = ((PLUS, MINUS),)
VOLTS, CLOSED, LEAK = 12.0, 1e5, 1e-8


def contact(name: str, a: str, b: str, by: str = "", breaks: bool = False) -> Edge:
    return Edge(name, name.partition(".")[0], a, b, "contact", by or name.partition(".")[0], breaks)


def wire(name: str, a: str, b: str) -> Edge:
    return Edge(name, name, a, b, "wire")


def load(name: str, a: str, b: str) -> Edge:
    return Edge(name, name, a, b, "load")


def fuse(name: str, a: str, b: str, amps: float) -> Edge:
    return Edge(name, name, a, b, "fuse", amps=amps)


def volts(circuit: Circuit, setting: dict[str, bool]) -> tuple[bool, dict[str, float]]:
    """One state by currents: whether it is shorted, and the voltage across each load. Loads are all unlike."""
    nodes = sorted({n for e in circuit.edges for n in (e.a, e.b)} | {PLUS, MINUS})
    at = {n: i for i, n in enumerate(nodes)}
    net = np.eye(len(nodes)) * LEAK
    loads = [e for e in circuit.edges if e.kind == "load"]
    conducts = {}
    for e in circuit.edges:
        if e.kind == "load":
            value = 0.01 * (1 + 0.37 * loads.index(e))
        else:
            value = CLOSED if not e.by or setting[e.by] != e.breaks else 0.0
        conducts[e.name] = value
        i, j = at[e.a], at[e.b]
        net[i, i] += value
        net[j, j] += value
        net[i, j] -= value
        net[j, i] -= value
    free = [i for i, n in enumerate(nodes) if n not in (PLUS, MINUS)]
    potential = np.zeros(len(nodes))
    potential[at[PLUS]] = VOLTS
    if free:
        push = -net[np.ix_(free, [at[PLUS]])][:, 0] * VOLTS
        potential[free] = np.linalg.solve(net[np.ix_(free, free)], push)
    drawn = sum(
        conducts[e.name] * (VOLTS - potential[at[e.a] if e.b == PLUS else at[e.b]])
        for e in circuit.edges
        if PLUS in (e.a, e.b) and e.a != e.b
    )
    return bool(drawn > 1e4), {e.tag: abs(float(potential[at[e.a]] - potential[at[e.b]])) for e in loads}


def same(circuit: Circuit) -> int:
    """Compares every state with the simulator; gives how many loads were on."""
    tags = tuple(e.tag for e in circuit.edges if e.kind == "load")
    seen = look(circuit, watched=tags)
    on = 0
    for n, bits in enumerate(product((False, True), repeat=len(circuit.variables))):
        setting = dict(zip(reversed(circuit.variables), bits, strict=True))
        shorted, across = volts(circuit, setting)
        assert bool(seen.shorted >> n & 1) is shorted, setting
        if shorted:
            continue
        for tag, v in across.items():
            full, partly = bool(seen.on[tag] >> n & 1), bool(seen.maybe[tag] >> n & 1)
            assert full is (v > 0.999 * VOLTS), (tag, setting, v)
            # In a bridge that happens to be balanced nothing flows: maybe means no more than maybe.
            assert full or partly or v < 1e-3, (tag, setting, v)
            on += full
        stands = all((across.get(r, 0.0) > 6) is setting[r] for r in circuit.relays)
        if not any(seen.maybe.values()):
            assert bool(seen.stands >> n & 1) is stands
    return on


BOX = Circuit(
    SUPPLY,
    (
        fuse("f1", PLUS, "n1", 5),
        contact("stop.1", "n1", "n2", breaks=True),
        contact("key", "n2", "n3"),
        contact("arm", "n3", "n4"),
        contact("fire", "n4", "armed"),
        load("sv_1", "armed", MINUS),
        load("sv_2", "armed", MINUS),
    ),
    ("stop", "key", "arm", "fire"),
    (),
)


def test_a_box_with_two_buttons_and_two_valves() -> None:
    assert same(BOX) == 2
    seen = look(BOX)
    assert seen.on["sv_1"].bit_count() == 1
    assert words(seen.on["sv_1"], BOX) == ("key", "arm", "fire")


SEAL_IN = Circuit(  # start button, held by its own relay until the stop opens
    SUPPLY,
    (
        contact("stop.1", PLUS, "n1", breaks=True),
        contact("start", "n1", "n2"),
        contact("k1.1", "n1", "n2", by="k1"),
        load("k1", "n2", MINUS),
        contact("k1.2", "n1", "n3", by="k1"),
        load("valve", "n3", MINUS),
    ),
    ("stop", "start"),
    ("k1",),
)


def test_a_relay_that_holds_itself_has_two_ways_to_stand() -> None:
    same(SEAL_IN)
    seen = look(SEAL_IN)
    idle = seen.all & ~seen.variables["stop"] & ~seen.variables["start"]
    assert (seen.stands & idle).bit_count() == 2
    assert seen.on["valve"] & seen.stands & idle
    assert not seen.on["valve"] & seen.stands & seen.variables["stop"]
    assert seen.chatters == 0


def test_a_loop_of_relays_that_cannot_stand_is_seen() -> None:
    buzzer = Circuit(SUPPLY, (contact("k1.1", PLUS, "n1", "k1", breaks=True), load("k1", "n1", MINUS)), (), ("k1",))
    assert look(buzzer).chatters == 1
    # Three in a ring, each breaking the next; with the key off all rest.
    ring = Circuit(
        SUPPLY,
        (
            contact("key", PLUS, "n0"),
            contact("a.1", "n0", "n1", "a", breaks=True),
            load("b", "n1", MINUS),
            contact("b.1", "n0", "n2", "b", breaks=True),
            load("c", "n2", MINUS),
            contact("c.1", "n0", "n3", "c", breaks=True),
            load("a", "n3", MINUS),
        ),
        ("key",),
        ("a", "b", "c"),
    )
    same(ring)
    assert words(look(ring).chatters, ring) == ("key",)


def test_solenoid_logic_of_a_published_exercise() -> None:
    """A handbook's logic diagram: (OPEN or (full-open and AUTO and no safety)) and not CLOSE: 5 of its 12 rows are on.

    There OPEN beats the safety signal, so with the signal present a held OPEN still opens it.
    """
    circuit = Circuit(
        SUPPLY,
        (
            contact("close", PLUS, "n1", breaks=True),
            contact("open", "n1", "n2"),
            contact("full", "n1", "n3"),
            contact("auto", "n3", "n4"),
            contact("safety", "n4", "n2", breaks=True),
            load("valve", "n2", MINUS),
        ),
        ("close", "open", "full", "auto", "safety"),
        (),
    )
    same(circuit)
    seen = look(circuit)
    rows = 0
    for command, limit, signal in product(("open", "auto", "close"), (False, True), (False, True)):
        setting = {"full": limit, "safety": signal, **{name: name == command for name in ("open", "auto", "close")}}
        n = sum(setting[name] << k for k, name in enumerate(circuit.inputs))
        rows += seen.on["valve"] >> n & 1
    assert rows == 5
    assert seen.on["valve"] & seen.variables["safety"] & seen.variables["open"]


def test_fan_logic_of_a_published_exercise() -> None:
    """A handbook's diagram: a signal of ten minutes starts a fan in AUTO, and once started it runs until STOP.

    How long is not computed, so a timer counts both ways: the signal of 9 minutes (no start) and that of 12 (it runs on
    when the signal is gone) both stand.
    """
    circuit = Circuit(
        SUPPLY,
        (
            contact("stop", PLUS, "n1", breaks=True),
            contact("auto", "n1", "n2"),
            contact("signal", "n2", "n3"),
            load("t", "n3", MINUS),
            contact("t.1", "n2", "n4", "t"),
            contact("k.1", "n1", "n4", "k"),
            load("k", "n4", MINUS),
            load("fan", "n4", MINUS),
        ),
        ("stop", "auto", "signal"),
        ("t", "k"),
        late=("t",),
    )
    seen = look(circuit)
    v = seen.variables
    gone = seen.stands & ~v["stop"] & v["auto"] & ~v["signal"] & ~v["t"]
    assert gone & v["k"] & seen.on["fan"]  # after 12 minutes
    assert gone & ~v["k"] & ~seen.on["fan"]  # after 9
    assert not seen.stands & v["stop"] & seen.on["fan"]
    never = seen.stands & ~v["auto"] & ~v["k"]
    assert not never & seen.on["fan"]


def test_a_short_opens_the_smallest_fuse_on_its_way_and_no_other() -> None:
    circuit = Circuit(
        SUPPLY,
        (
            fuse("main", PLUS, "n1", 10),
            fuse("branch", "n1", "n2", 3),
            contact("fault", "n2", MINUS),
            load("lost", "n2", MINUS),
            load("kept", "n1", MINUS),
        ),
        ("fault",),
        (),
    )
    seen = look(circuit)
    assert (seen.on["lost"], seen.on["kept"], seen.shorted) == (0b01, 0b11, 0)
    bare = circuit._replace(edges=tuple(e._replace(kind="wire") if e.kind == "fuse" else e for e in circuit.edges))
    assert look(bare).shorted == 0b10


def test_current_that_comes_by_way_of_another_load_is_maybe() -> None:
    # A lamp and a coil in a row.
    circuit = Circuit(SUPPLY, (load("lamp", PLUS, "n"), contact("b", "n", MINUS), load("coil", "n", MINUS)), ("b",), ())
    same(circuit)
    seen = look(circuit, watched=("coil",))
    assert (seen.on["coil"], seen.maybe["coil"]) == (0, 0b01)


def test_no_current_comes_through_a_rail_from_the_other() -> None:
    """Two coils side by side on one minus: the one that is on does not feed the other from behind."""
    circuit = Circuit(
        SUPPLY,
        (contact("a", PLUS, "n1"), load("one", "n1", MINUS), contact("b", PLUS, "n2"), load("two", "n2", MINUS)),
        ("a", "b"),
        (),
    )
    assert look(circuit, watched=("one", "two")).maybe == {"one": 0, "two": 0}
    # With their common minus cut, a lamp from the other plus would.
    cut = circuit._replace(edges=tuple(e._replace(b="common") if e.kind == "load" else e for e in circuit.edges))
    cut = cut._replace(edges=(*cut.edges, load("lamp", "n2", MINUS)))
    same(cut)
    assert look(cut, watched=("one",)).maybe["one"] == 0b01 << 1


def test_more_than_can_be_looked_through_is_refused() -> None:
    names = tuple(f"s{i}" for i in range(MOST_VARIABLES + 1))
    with pytest.raises(ValueError, match="more than"):
        look(Circuit(SUPPLY, (), names, ()))


NODES = (PLUS, MINUS, "n1", "n2", "n3", "n4")


@st.composite
def circuits(draw: st.DrawFn) -> Circuit:
    edges = []
    inputs = ("i1", "i2", "i3")
    relays = ("k1", "k2")
    for relay in relays:
        a, b = draw(st.lists(st.sampled_from(NODES), min_size=2, max_size=2, unique=True))
        edges.append(load(relay, a, b))
    for n in range(draw(st.integers(3, 10))):
        a, b = draw(st.lists(st.sampled_from(NODES), min_size=2, max_size=2, unique=True))
        kind = draw(st.sampled_from(("wire", "load", "contact", "contact", "contact")))
        if kind == "contact":
            edges.append(contact(f"e{n}", a, b, draw(st.sampled_from((*inputs, *relays))), draw(st.booleans())))
        else:
            edges.append(Edge(f"e{n}", f"e{n}", a, b, kind))  # type: ignore[arg-type]
    return Circuit(SUPPLY, tuple(edges), inputs, relays)


@settings(max_examples=60, deadline=None)
@given(circuits())
def test_any_circuit_agrees_with_the_simulator_in_every_state(circuit: Circuit) -> None:
    same(circuit)


# Faults, by brute force: every edge open or closed for good, every node joined to plus, one and two at a time.


def brute(circuit: Circuit, tag: str) -> dict[str, bool]:
    """Whether a load can be on while all inputs are at rest, by fault, one state by currents at a time."""
    idle = dict.fromkeys(circuit.inputs, False)
    nodes = sorted({n for e in circuit.edges for n in (e.a, e.b)} - {PLUS, MINUS})
    changed: dict[str, Circuit] = {}
    for e in circuit.edges:
        rest = tuple(o for o in circuit.edges if o is not e)
        changed[f"{e.name} open"] = circuit._replace(edges=rest)
        if e.kind == "contact":
            closed = (*rest, wire(e.name, e.a, e.b))
            changed[f"contact {e.name} welded or stuck closed"] = circuit._replace(edges=closed)
    for node in nodes:
        beside = " and ".join(sorted({e.name for e in circuit.edges if node in (e.a, e.b)}))
        changed[f"wire at {beside} touches {PLUS}"] = circuit._replace(
            edges=(*circuit.edges, wire("touch", node, PLUS))
        )
    return {what: not volts(c, idle)[0] and volts(c, idle)[1].get(tag, 0.0) > 11.9 for what, c in changed.items()}


@pytest.mark.parametrize("box", [BOX, BOX._replace(edges=(*BOX.edges[2:], wire("w", PLUS, "n2")))])
def test_single_and_double_faults_against_brute_force(box: Circuit) -> None:
    def by_look(circuit: Circuit) -> dict[str, bool]:
        return {f.what: bool(look(f.circuit, dead=f.dead).on.get("sv_1", 0) & 1) for f in single(circuit)}

    first, found = brute(box, "sv_1"), by_look(box)
    assert set(first) <= set(found)
    assert {what: found[what] for what in first} == first
    assert sum(first.values()) == 1  # the node at the coils touches plus, and nothing else by itself
    both = 0
    for fault in single(box):
        if fault.dead or "shorted" in fault.what:
            continue
        again, seconds = brute(fault.circuit, "sv_1"), by_look(fault.circuit)
        assert {what: seconds[what] for what in again} == again, fault.what
        both += sum(again.values())
    assert both > sum(first.values())


def opened_by(circuit: Circuit, tag: str) -> list[str]:
    """The single faults that turn a load on with every input at rest, where without them it is off."""
    rest = look(circuit)
    idle = rest.all
    for name in circuit.inputs:
        idle &= ~rest.variables[name]
    assert not rest.on[tag] & rest.stands & idle
    seen = ((f.what, look(f.circuit, dead=f.dead)) for f in single(circuit))
    return [what for what, after in seen if after.on.get(tag, 0) & after.stands & idle]


def held_off_by_two(*coils: Edge) -> Circuit:
    """A load behind the break contacts of two relays side by side, which hold it off while they have power."""
    relays = (load("k1", coils[0].b, MINUS), load("k2", coils[-1].b, MINUS))
    breaks = (contact("k1.1", PLUS, "n", "k1", breaks=True), contact("k2.1", "n", "v", "k2", breaks=True))
    return Circuit(SUPPLY, (*coils, *relays, *breaks, load("valve", "v", MINUS)), (), ("k1", "k2"))


def test_a_plug_parts_all_its_poles_at_once() -> None:
    poles = [Edge(f"p.{i}", "p", PLUS, f"m{i}", "wire") for i in (1, 2)]
    assert "all of p parted" in opened_by(held_off_by_two(*poles), "valve")


def test_a_low_supply_drops_all_relays_and_not_the_valve() -> None:
    poles = [wire("a", PLUS, "m1"), wire("b", PLUS, "m2")]
    assert "supply low: every relay drops out" in opened_by(held_off_by_two(*poles), "valve")


def test_a_touch_of_the_chassis_closes_a_coil_that_is_switched_on_its_minus_side() -> None:
    low = Circuit(SUPPLY, (load("coil", PLUS, "n1"), contact("fire", "n1", MINUS)), ("fire",), ())
    high = Circuit(SUPPLY, (contact("fire", PLUS, "n1"), load("coil", "n1", MINUS)), ("fire",), ())
    opened = {
        name: [f.what for f in single(c, (MINUS,)) if "chassis" in f.what and look(f.circuit).on["coil"] & 1]
        for name, c in (("low", low), ("high", high))
    }
    assert opened == {"low": ["wire at coil and fire touches the chassis"], "high": []}
