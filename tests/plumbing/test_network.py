"""The one walk on a network: what is met, how far, and by which way."""

from __future__ import annotations

import pytest

from specc.kinds.plumbing import NETWORK, Network, Part, way_of
from specc.measure.reading import parse
from specc.model.view import View
from specc_plumbing.network import network_of, zones

KINDS = {"c": "cylinder", "r": "regulator", "v": "valve", "t": "fitting", "a": "accumulator", "b": "burner"}


def made(*links: str) -> Network:
    """A network from links such as "c1>r1": the first letter of a tag says its kind."""
    pairs = [(one.split(">")[0], one.split(">")[1]) for one in links]
    tags = dict.fromkeys(tag for pair in pairs for tag in pair)
    return network_of([Part(t, KINDS[t[0]], "", t, View({}), f"/{t}") for t in tags], (), pairs)


NET = made("c1>r1", "r1>t1", "t1>v1", "v1>b1", "t1>v2", "v2>a1", "a1>b1", "c2>b2")


def test_a_walk_goes_on_until_it_is_stopped_and_meets_what_stops_it() -> None:
    met = NET.walk(("c1",), NET.after, lambda p: p.kind == "valve")
    assert list(met) == ["c1", "r1", "t1", "v1", "v2"]
    assert (met["t1"], met["c1"]) == ("r1", "")


def test_a_way_is_the_shortest_in_flow_order() -> None:
    assert NET.way("c1", "b1") == ("c1", "r1", "t1", "v1", "b1")
    assert NET.way("c1", "b2") == ()
    assert way_of(NET.walk(("c1",), NET.after), "c1") == ("c1",)


@pytest.mark.parametrize(
    ("tag", "kinds", "first"),
    [
        ("b1", ("accumulator",), ["a1"]),
        ("b1", ("regulator", "accumulator"), ["a1", "r1"]),
        ("b2", ("regulator", "cylinder"), ["c2"]),
        ("r1", ("regulator",), []),
    ],
)
def test_what_is_met_first_on_each_way_up(tag: str, kinds: tuple[str, ...], first: list[str]) -> None:
    assert [p.tag for p in NET.first_above(tag, *kinds)] == first


def test_both_ways_at_once() -> None:
    assert set(NET.walk(("b1",), NET.near)) == {"c1", "r1", "t1", "v1", "v2", "a1", "b1"}


def test_a_circle_ends_and_a_part_is_not_before_itself() -> None:
    circle = made("v1>v2", "v2>v3", "v3>v1")
    assert [p.tag for p in circle.downstream("v1")] == ["v2", "v3"]
    assert [p.tag for p in circle.upstream("v1")] == ["v2", "v3"]
    assert [p.tag for p in circle.first_above("v1", "valve")] == ["v3"]


def test_what_two_regulators_feed_is_in_the_zone_of_the_one_set_higher_whatever_their_names() -> None:
    for low, high in (("r1", "r2"), ("r2", "r1")):
        net = made("c1>r1", "c1>r2", "r1>t1", "r2>t1", "t1>b1")
        settings = {low: "10 psi", high: "30 psi"}
        parts = [
            p._replace(spec=View({"set": parse(settings[p.tag], "gauge_pressure")}, p.at)) if p.tag in settings else p
            for p in net.parts
        ]
        found = zones.function({NETWORK: network_of(parts, (), list(net.links))})
        assert (found["t1"], found["b1"]) == (high, high)
