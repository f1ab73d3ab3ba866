"""Which sources reach a break or an outlet, and whether closures stop them, against networkx on random plumbing.

The graph there is built from the parts and links alone, by other words: two nodes a part, an edge for each way that gas
can take. Nothing of specc_plumbing.reach is used for it.
"""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc.kinds.faults import Fault, GasWay
from specc.kinds.plumbing import Network, Part
from specc.model.view import View
from specc_plumbing.faults import _power, ways_of
from specc_plumbing.network import network_of
from specc_plumbing.reach import FaultyNetwork

nx = pytest.importorskip("networkx")

KINDS = (
    ("valve", "ball", ""), ("valve", "ball", ""), ("valve", "solenoid", "closed"), ("valve", "solenoid", "open"),
    ("valve", "check", ""), ("valve", "needle", ""), ("regulator", "", ""), ("accumulator", "", ""), ("hose", "", ""),
    ("fitting", "tee", ""), ("fitting", "plug", ""), ("burner", "bar", ""), ("pilot", "", ""),
)  # fmt: skip


def part(tag: str, kind: str, form: str, normally: str = "") -> Part:
    spec = View({"normally": normally} if normally else {}, f"/{tag}")
    return Part(tag, kind, form, tag, spec, f"/{tag}")


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """One to three cylinders, then parts each fed by up to two that stand before it."""
    count = draw(st.integers(1, 3))
    parts = [part(f"t{i}", "cylinder", "") for i in range(count)]
    links: list[tuple[str, str]] = []
    for i in range(draw(st.integers(2, 12))):
        kind, form, normally = draw(st.sampled_from(KINDS))
        made = part(f"p{i:02d}", kind, form, normally)
        feeds = draw(st.lists(st.sampled_from([p.tag for p in parts]), min_size=1, max_size=2, unique=True))
        links += [(f, made.tag) for f in feeds]
        parts.append(made)
    return network_of(parts, (), links)


def every_fault(net: Network) -> list[Fault]:
    valves = [p.tag for p in net.of_kind("valve")]
    made = [Fault(f"{v}.stuck_open", "stuck_open", (v,), v, "") for v in valves]
    made += [Fault(f"{c.tag}.stuck_open", "stuck_open", (c.tag,), c.tag, "") for c in net.of_kind("cylinder")]
    made += [Fault(f"{a}-{b}.means_on", "means_on", (a, b), a, "") for a, b in itertools.combinations(valves, 2)]
    made += [Fault(f"{p.tag}.parted", "parted", (p.tag,), p.tag, "") for p in net.of_kind("hose")]
    made += [Fault(f"{a}-{b}.parted", "parted", (a, b), a, "") for a, b in net.links]
    made += [Fault(f"{p.tag}.failed_open", "failed_open", (p.tag,), p.tag, "") for p in net.of_kind("regulator")]
    return made


def as_graph(net: Network, fault: Fault) -> nx.DiGraph:
    """Gas may run from node to node: "tag<" is a part's inlet, "tag>" its outlet; "SRC tag" a source."""
    graph = nx.DiGraph()
    for p in net.parts:
        graph.add_nodes_from((f"{p.tag}<", f"{p.tag}>"))
        parted = fault.state == "parted" and fault.tags == (p.tag,)
        if not parted and p.form != "plug":
            graph.add_edge(f"{p.tag}<", f"{p.tag}>", closure=p.tag)
            if p.kind != "regulator" and p.form != "check":
                graph.add_edge(f"{p.tag}>", f"{p.tag}<", closure=p.tag)
        if p.kind in ("cylinder", "accumulator"):
            graph.add_edge(f"SRC {p.tag}", f"{p.tag}>", closure=f"own {p.tag}")
            graph.add_edge(f"SRC {p.tag}", f"{p.tag}<", closure=f"own {p.tag}")
    for a, b in net.links:
        if not (fault.state == "parted" and fault.tags == (a, b)):
            graph.add_edge(f"{a}>", f"{b}<", closure="")
            graph.add_edge(f"{b}<", f"{a}>", closure="")
    return graph


def reached_from(net: Network, graph: nx.DiGraph, node: str, shut: set[str]) -> set[str]:
    """The sources with a path to a node past no shut valve. A shut cylinder gives nothing; gas still passes by it."""
    valves = {p.tag for p in net.of_kind("valve")}
    closed = {s for s in shut if s in valves} | {f"own {s}" for s in shut if s not in valves}
    kept = nx.subgraph_view(graph, filter_edge=lambda a, b: graph.edges[a, b]["closure"] not in closed)
    before = nx.ancestors(kept, node)
    return {p.tag for p in net.of_kind("cylinder", "accumulator") if f"SRC {p.tag}" in before}


def is_a_bleed(net: Network, valve: Part) -> bool:
    """A hand valve behind which nothing but fittings stands, a plug among them, or nothing: it is shut until somebody
    lets gas down by it. Tees that end open are no plug."""
    below = [net.by_tag[t] for t in nx.descendants(nx.DiGraph([*net.links, (valve.tag, "end")]), valve.tag) - {"end"}]
    plugged = all(p.kind == "fitting" for p in below) and any(p.form == "plug" for p in below)
    return valve.form in ("ball", "needle") and bool(net.before.get(valve.tag)) and (not below or plugged)


def bleeds_of(net: Network) -> set[str]:
    return {p.tag for p in net.of_kind("valve") if is_a_bleed(net, p)}


def node_of(way: GasWay, net: Network) -> str:
    """Of a valve into the open, its outlet."""
    part = net.by_tag[way.where]
    past = way.side == "out" or (not way.side and part.kind == "valve" and part.form != "relief")
    return f"{way.where}>" if past else f"{way.where}<"


@settings(max_examples=120, deadline=None)
@given(networks())
def test_sources_and_what_stops_them(net: Network) -> None:
    bleeds = bleeds_of(net)
    for fault in every_fault(net):
        graph = as_graph(net, fault)
        failed = set(fault.tags) if fault.state in ("stuck_open", "means_on") else set()
        coils = [p for p in net.of_kind("valve") if p.form == "solenoid"]
        closed = [p for p in coils if p.spec.text_or("normally") == "closed"]
        if fault.state == "means_on":  # with power on it what is normally open stands shut
            held = [p for p in coils if p.spec.text_or("normally") == "open" and p.tag in failed]
            closed, failed = [*closed, *held], failed - {p.tag for p in held}
        shut = ({p.tag for p in closed} | bleeds) - failed
        for way in ways_of(net, fault):
            node = node_of(way, net)
            assert set(way.shut) == shut
            assert set(way.sources) == reached_from(net, graph, node, shut)
            if not way.sources:
                assert reached_from(net, graph, node, set(way.by_itself)) == set()
                for one in way.by_itself:  # none too many
                    assert reached_from(net, graph, node, set(way.by_itself) - {one})
                continue
            assert not failed & set(way.by_hand)
            left = reached_from(net, graph, node, shut | set(way.by_hand))
            assert set(way.unstopped) == left
            # Nothing that a hand could have closed lets a cylinder's gas through: what is left is stored.
            stored = {s for s in left if net.by_tag[s].kind == "accumulator"}
            hands = {p.tag for p in net.of_kind("valve") if p.form in ("ball", "needle")} | {
                p.tag for p in net.of_kind("cylinder")
            }
            assert left - stored == reached_from(net, graph, node, shut | (hands - failed)) - stored <= failed


@settings(max_examples=60, deadline=None)
@given(networks(), st.data())
def test_a_closure_more_never_lets_more_through_and_a_source_more_never_less(net: Network, data: st.DataObject) -> None:
    a, b = data.draw(st.sampled_from(net.links))
    valve, tank = part("extra", "valve", "ball"), part("t9", "cylinder", "")
    through = network_of((*net.parts, valve), (), [*(x for x in net.links if x != (a, b)), (a, "extra"), ("extra", b)])
    fed = network_of((*net.parts, tank), (), [*net.links, ("t9", b)])
    # The new valve stands open while nobody acts, so it changes nothing until it is closed. What is a bleed with it or
    # without it stands shut.
    bleeds, were = bleeds_of(through), bleeds_of(net)
    for fault in every_fault(net):
        if fault.tags == (a, b) and fault.state == "parted":
            continue
        before = {(w.where, w.side): w for w in ways_of(net, fault)}
        for w in ways_of(through, fault):
            was = set(before[w.where, w.side].sources)
            assert set(w.sources) <= was
            assert bleeds != were or set(w.sources) == was
            assert set(w.unstopped) <= set(before[w.where, w.side].unstopped)
        after = {(w.where, w.side): w for w in ways_of(fed, fault)}
        for key, w in before.items():
            assert set(w.sources) <= set(after[key].sources)


def line(*parts: Part) -> Network:
    return network_of(parts, (), list(itertools.pairwise(p.tag for p in parts)))


def test_a_closure_stuck_shut_lets_nothing_out_and_one_of_which_nothing_is_said_does_not_drop_shut() -> None:
    tank, ball, burner = part("t0", "cylinder", ""), part("v", "valve", "ball"), part("b", "burner", "bar")
    assert list(ways_of(line(tank, ball, burner), Fault("v.stuck_shut", "stuck_shut", ("v",), "v", ""))) == []
    for normally, sources in (("", ("t0",)), ("open", ("t0",)), ("closed", ())):
        net = line(tank, part("v", "valve", "solenoid", normally), burner)
        (fault,) = (f for f in _power(net) if f.state == "power_lost")
        assert [w.sources for w in ways_of(net, fault)] == [sources]


def test_a_cylinder_whose_own_valve_is_shut_gives_no_gas() -> None:
    net = line(part("t0", "cylinder", ""), part("v", "valve", "ball"), part("b", "burner", "bar"))
    assert ("b", "in") in FaultyNetwork(net).reach(("t0",), ())
    assert FaultyNetwork(net).reach(("t0",), {"t0"}) == set()
    assert FaultyNetwork(net).reaching([("b", "in")], {"t0"}) == ()


@settings(max_examples=120, deadline=None)
@given(networks())
def test_what_each_stops_all_gas_is_what_does_when_it_alone_is_shut(net: Network) -> None:
    """Only the closures on one way are asked by the code; here all are."""
    graph = as_graph(net, Fault("none", "stuck_open", (), "", ""))
    valves = [p.tag for p in net.of_kind("valve")]
    whole = FaultyNetwork(net)
    for end in net.of_kind("burner", "pilot"):
        node = f"{end.tag}<"
        without = {c: reached_from(net, graph, node, {c}) for c in valves}
        told = whole.each_stops([(end.tag, "in")], valves)
        sources = reached_from(net, graph, node, set())
        assert {s: set(stops) for s, stops in told.items()} == {
            s: {c for c in valves if s not in without[c]} for s in sources
        }
