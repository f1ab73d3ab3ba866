"""The three orders of closing: on the sample, on small networks, and what they hold on random plumbing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from specc.kinds.faults import Closing
from specc.kinds.plumbing import OUTLETS, Network, Part
from specc.model.blocks import Table
from specc.model.result import Result
from specc.model.view import View
from specc_plumbing.closing_order import emergency, first_met, leak_upstream, normal
from specc_plumbing.network import network_of
from specc_plumbing.reach import FaultyNetwork, by_hand
from specc_plumbing.system_tables import valves

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"
KINDS = {
    "t": ("cylinder", ""), "r": ("regulator", ""), "v": ("valve", "ball"), "s": ("valve", "solenoid"),
    "c": ("valve", "check"), "x": ("fitting", "tee"), "e": ("fitting", "plug"), "a": ("accumulator", ""),
    "b": ("burner", "bar"), "p": ("pilot", ""),
}  # fmt: skip


def part(tag: str, place: str = "") -> Part:
    kind, form = KINDS[tag[0]]
    return Part(tag, kind, form, tag, View({"place": place} if place else {}, f"/{tag}"), f"/{tag}")


def made(*lines: str, **places: str) -> Network:
    """A network from lines of tags: the first letter says what each is."""
    links = list(dict.fromkeys(pair for line in lines for pair in zip(line.split(), line.split()[1:], strict=False)))
    tags = dict.fromkeys(t for line in lines for t in line.split())
    return network_of([part(t, places.get(t, "")) for t in tags], (), links)


def told(order: object) -> list[tuple[int, str, str]]:
    assert isinstance(order, list)
    listed: list[Closing] = order
    return [(c.order, c.action, c.tag) for c in sorted(listed, key=lambda c: c.order)]


BURST = ("t1 v1 r1 x1 v2 a1 s1 b1", "x1 v3 p1", "x1 v4 b2", "a1 v5 e1")


def test_at_the_end_of_a_night_the_burst_is_let_down_first_and_the_pilot_goes_out_last() -> None:
    assert told(list(normal(made(*BURST)))) == [
        (10, "close", "v2"),
        (20, "fire_down", "a1"),
        (30, "switch_off", "s1"),
        (40, "close", "t1"),
        (50, "burn_off", "b2"),
        (60, "close", "v4"),
        (70, "burn_off", "p1"),
        (80, "close", "v1"),
        (80, "close", "v3"),
        (90, "bleed", "v5"),
    ]


def test_without_a_valve_for_its_feed_alone_an_accumulator_is_fired_down_after_the_cylinders() -> None:
    order = told(list(normal(made("t1 v1 r1 x1 a1 s1 b1", "x1 p1"))))
    assert (
        order.index((40, "close", "t1")) < order.index((45, "fire_down", "a1")) < order.index((48, "switch_off", "s1"))
    )


def test_in_an_emergency_all_is_done_at_once_by_place_and_what_is_behind_another_valve_there_is_left() -> None:
    net = made(*BURST, t1="post", v1="post", v2="box", v3="box", v4="box", v5="box")
    order = list(emergency(net))
    assert {c.order for c in order} == {10}
    assert {(c.tag, c.where) for c in order if c.action == "close"} == {
        ("t1", "post"), ("v1", "post"), ("v2", "box"), ("v3", "box"), ("v4", "box"),
    }  # fmt: skip
    assert [c.tag for c in order if c.action == "switch_off"] == ["s1"]
    behind = list(emergency(made("t1 v1 x1 v2 b1", "x1 v3 b2", v1="box", v2="box", v3="box")))
    assert [c.tag for c in behind if c.where == "box"] == ["v1"]


def test_in_an_emergency_a_pilot_away_from_the_cylinders_burns_until_nothing_can_be_fired() -> None:
    plain = made(*BURST, t1="post", v1="post", v2="box", v3="box", v4="box", v5="box")
    lit = part("b1")._replace(spec=View({"lit_by": {"pilot": "p1"}}, "/b1"))
    net = network_of(
        [lit if p.tag == "b1" else p for p in plain.parts], (), [(a, b) for a in plain.after for b in plain.after[a]]
    )
    orders = {c.tag: c.order for c in emergency(net) if c.action == "close"}
    assert orders == {"t1": 10, "v1": 10, "v2": 10, "v4": 10, "v3": 20}


def test_in_an_emergency_what_fills_a_burst_is_shut_even_behind_another_valve() -> None:
    net = made("t1 v1 x1 v2 a1 s1 b1", "x1 v3 p1", t1="post", v1="post", v2="post", v3="box")
    assert [c.tag for c in emergency(net) if c.where == "post"] == ["t1", "v1", "v2"]


def test_a_leak_ahead_of_the_valves_is_stopped_at_the_cylinders_first() -> None:
    net = made(*BURST, t1="post", v1="post", v2="box", v3="box", v4="box")
    assert told(list(leak_upstream(net))) == [
        (10, "close", "t1"), (10, "close", "v1"), (20, "close", "v2"), (20, "close", "v3"), (20, "close", "v4"),
    ]  # fmt: skip


def test_a_cylinder_that_stands_by_is_not_closed() -> None:
    net = network_of([part("t1"), part("t2"), part("b1")], (), [("t1", "b1")])
    assert [c.tag for c in normal(net)] == ["t1", "b1"]


def test_the_table_has_all_three(complete: Callable[[str], Result]) -> None:
    table = dict(complete("lantern_reeds").tables)["plumbing.closing_order"]
    assert isinstance(table, Table)
    assert [(r.cells[1], r.cells[2]) for r in table.rows if r.cells[0].startswith("emergency")] == [
        ("switch off", "sv_1, sv_2"),
        ("close", "v2, v1"),
        ("close", "tank_a's own valve, tank_b's own valve, v_a, v_b"),
        ("close", "v_p"),
        ("close", "v3"),
    ]
    assert [r.cells[4] for r in table.rows if r.cells[2] == "v_p" and r.cells[0] == "emergency: then"] == [
        "once nozzle can no longer be fired and is seen out: pilot_1 lights it"
    ]


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """One or two cylinders, then parts fed by up to two before them, each valve at one of two places."""
    parts = [part(f"t{i}") for i in range(draw(st.integers(1, 2)))]
    links: list[tuple[str, str]] = []
    for i in range(draw(st.integers(2, 12))):
        one = part(f"{draw(st.sampled_from('vvvvscrxabp'))}{i:02d}", draw(st.sampled_from(("here", "there"))))
        feeds = draw(st.lists(st.sampled_from([p.tag for p in parts]), min_size=1, max_size=2, unique=True))
        links += [(f, one.tag) for f in feeds]
        parts.append(one)
    return network_of(parts, (), links)


@settings(max_examples=40, deadline=None)
@given(networks())
def test_the_closures_named_at_a_place_hold_all_that_every_valve_there_holds(net: Network) -> None:
    """Gas runs both ways: a valve behind another one may still hold what comes round the other way."""
    whole = FaultyNetwork(net)
    outlets = [(p.tag, "in") for p in net.of_kind(*OUTLETS)]
    for place in ("here", "there"):
        valves = [v for v in net.of_kind("valve") if by_hand(v) and v.spec.text_or("place") == place]
        few = {v.tag for v in first_met(net, valves)}
        assert few <= {v.tag for v in valves}
        for spot in outlets:
            assert whole.reaching([spot], few) == whole.reaching([spot], {v.tag for v in valves})


@settings(max_examples=40, deadline=None)
@given(networks())
def test_each_order_names_each_fed_cylinder_once_and_in_an_emergency_stops_all_of_them(net: Network) -> None:
    fed = [c.tag for c in net.of_kind("cylinder") if net.after.get(c.tag)]
    for order in (list(normal(net)), list(emergency(net)), list(leak_upstream(net))):
        closed = [c.tag for c in order if c.action == "close"]
        assert [t for t in closed if t in fed] == fed
        assert len(set(closed)) == len(closed)
    pilots = [c.order for c in normal(net) if net.by_tag[c.tag].kind == "pilot"]
    burners = [c.order for c in normal(net) if net.by_tag[c.tag].kind == "burner"]
    assert min(pilots, default=99) > max(burners, default=0)


def test_a_valve_ahead_of_an_accumulator_stops_only_its_being_filled() -> None:
    """Behind it the accumulator gives to the nozzle until it is empty; a solenoid valve behind it stops it at once."""
    behind_check = made("t1 v1 r1 x1 v2 c1 a1 s1 b1", "x1 v3 p1")
    assert dict(valves(behind_check).rows) == {
        "v1": "everything but what a1 holds",
        "v2": "filling a1",
        "v3": "p1",
        "s1": "b1",
    }
    # Without a check valve what a1 holds comes back to the pilot as well.
    assert dict(valves(made("t1 v1 r1 x1 v2 a1 s1 b1", "x1 v3 p1")).rows)["v1"] == "everything, once a1 is empty"
    assert dict(valves(made("t1 v1 x1 v2 b1", "x1 v3 p1")).rows)["v1"] == "everything"
    two = made("t1 v1 x1 c1 a1 s1 b1", "x1 c2 a2 s2 b2")
    assert dict(valves(two).rows)["v1"] == "everything, once a1 to 2 are empty"
