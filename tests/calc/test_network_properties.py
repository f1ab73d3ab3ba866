"""What holds for every network, tried on networks that hypothesis makes up."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from specc_fuel.calc import isothermal
from specc_fuel.network import AIR, CheckValve, HeldNode, Hole, Pipeline, Regulator, Shut, Throttle, judge, solve

SEA = 101325.0
GAS = isothermal.propane(310.0)
TRIES = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class Network(NamedTuple):
    elements: tuple[Any, ...]
    supplies: tuple[HeldNode, ...]


# Made once each: what draws is checked when it is first used, which takes longer than to draw from it.
whole = cache(st.integers)
one_of = cache(st.sampled_from)
EITHER = st.booleans()


@cache
def decades(low: float, high: float) -> Any:
    return st.floats(low, high).map(lambda x: 10**x)


@st.composite
def joins(draw: Any, tag: str, start: str, end: str, kinds: str) -> Any:
    kind = draw(one_of(kinds))
    if kind == "l":
        loss = draw(one_of((0.0, 1.0, 6.0)))
        return Pipeline(tag, start, end, draw(decades(-2.6, -1.5)), draw(decades(-0.5, 1.5)), 1.5e-6, loss)
    if kind == "h":
        return Hole(tag, start, end, draw(decades(-7, -4.5)))
    if kind == "t":
        return Throttle(tag, start, end, draw(decades(-2, 1)))
    if kind == "c":
        return CheckValve(tag, start, end, draw(decades(-6, -4)))
    if kind == "r":
        held = draw(decades(3.3, 5.5))
        return Regulator(tag, start, end, held, held * 1.2, draw(one_of((0.0, 1e5, 1e7))), draw(decades(-6, -4)))
    return Shut(tag, start, end)


@st.composite
def networks(draw: Any, kinds: str = "lllllhtcrs", loops: bool = True, supplies: int = 3) -> Network:
    """A tree of 2 to 12 nodes with jets, loops and further supplies."""
    count = draw(whole(2, 12))
    elements = []
    for i in range(1, count):
        ends = [f"n{draw(whole(max(0, i - 3), i - 1))}", f"n{i}"]
        element = draw(joins(f"e{i:02}", *ends, kinds))
        if isinstance(element, Pipeline | Hole | Throttle) and draw(EITHER):
            element = element._replace(start=element.end, end=element.start)
        elements.append(element)
        if i == count - 1 or draw(EITHER):
            elements.append(Hole(f"j{i:02}", f"n{i}", AIR, draw(decades(-7.5, -4.5))))
    if loops and count > 2:
        for i in range(draw(whole(0, 2))):
            a = draw(whole(0, count - 2))
            b = draw(whole(a + 1, count - 1))
            elements.append(draw(joins(f"x{i}", f"n{a}", f"n{b}", "llct")))
    fed = [0, *sorted({draw(whole(1, count - 1)) for _ in range(draw(whole(0, supplies - 1)))})]
    held = tuple(HeldNode(f"s{i:02}", f"n{i}", SEA + draw(decades(2.5, 5.9))) for i in fed)
    return Network(tuple(elements), held)


@TRIES
@given(networks())
def test_every_network_balances(network: Network) -> None:
    found = solve(network.elements, network.supplies, GAS, SEA)
    largest = max(abs(q) for q in found.flow.values())
    net: dict[str, float] = {}
    for e in network.elements:
        net[e.start] = net.get(e.start, 0.0) - found.flow[e.tag]
        net[e.end] = net.get(e.end, 0.0) + found.flow[e.tag]
    for s in network.supplies:
        net[s.node] = net.get(s.node, 0.0) + found.flow[s.tag]
    assert all(abs(off) <= 1e-12 * largest for node, off in net.items() if node != AIR)
    # What the supplies give is what the air gets.
    assert abs(net.get(AIR, 0.0) - sum(found.flow[s.tag] for s in network.supplies)) <= 1e-12 * largest
    assert found.residual_mass <= judge.MASS
    assert found.residual_loop <= judge.LAWS
    # All pressures lie between the air's and the highest supply's, but for lower supplies.
    highest = max(s.pressure for s in network.supplies)
    assert all(SEA * (1 - 1e-12) <= p <= highest * (1 + 1e-12) for p in found.pressure.values())
    for e in network.elements:
        q = found.flow[e.tag]
        if isinstance(e, CheckValve | Regulator) or e.end == AIR:
            assert q >= 0
        if isinstance(e, Shut):
            assert q == 0
        # Gas runs from the higher pressure to the lower.
        if e.end != AIR and abs(q) > 1e-9 * largest:
            assert (q > 0) == (found.pressure[e.start] >= found.pressure[e.end])


@TRIES
@given(networks(), st.randoms(use_true_random=False))
def test_order_makes_no_difference(network: Network, shuffle: Any) -> None:
    elements, supplies = list(network.elements), list(network.supplies)
    found = solve(elements, supplies, GAS, SEA)
    shuffle.shuffle(elements)
    shuffle.shuffle(supplies)
    assert solve(elements, supplies, GAS, SEA) == found


@TRIES
@given(networks(kinds="llllht", supplies=2), st.randoms(use_true_random=False))
def test_names_make_no_difference(network: Network, shuffle: Any) -> None:
    """Other tags put the parts, and so the steps, in another order: the state is the same to 1e-7."""
    found = solve(network.elements, network.supplies, GAS, SEA)
    names = [f"m{i}" for i in range(len(network.elements))]
    shuffle.shuffle(names)
    renamed = [e._replace(tag=n) for e, n in zip(network.elements, names, strict=True)]
    other = solve(renamed, network.supplies, GAS, SEA)
    for node, p in found.pressure.items():
        assert abs(other.pressure[node] - p) <= 1e-7 * p


def part_of(network: Network, kind: type, pick: int) -> Any:
    some = [e for e in network.elements if isinstance(e, kind) and (kind is Pipeline or e.end == AIR)]
    assume(some)
    return some[pick % len(some)]


def given_out(found: Any, network: Network) -> float:
    return sum(found.flow[s.tag] for s in network.supplies)


@TRIES
@given(networks(supplies=1), st.integers(0, 9), st.floats(1.01, 10.0))
def test_a_longer_hose_passes_no_more(network: Network, pick: int, times: float) -> None:
    line = part_of(network, Pipeline, pick)
    longer = [e._replace(length=e.length * times) if e.tag == line.tag else e for e in network.elements]
    before, after = (solve(e, network.supplies, GAS, SEA) for e in (network.elements, longer))
    largest = max(abs(q) for q in before.flow.values())
    assert abs(after.flow[line.tag]) <= abs(before.flow[line.tag]) * (1 + 1e-7) + 1e-9 * largest


@TRIES
@given(networks(loops=False, supplies=1), st.integers(0, 9), st.floats(1.01, 10.0))
def test_a_longer_hose_in_a_tree_never_raises_the_whole(network: Network, pick: int, times: float) -> None:
    line = part_of(network, Pipeline, pick)
    longer = [e._replace(length=e.length * times) if e.tag == line.tag else e for e in network.elements]
    before, after = (given_out(solve(e, network.supplies, GAS, SEA), network) for e in (network.elements, longer))
    assert after <= before * (1 + 1e-8)


@TRIES
@given(networks(), st.integers(0, 9), st.floats(1.01, 10.0))
def test_a_bigger_jet_never_passes_less(network: Network, pick: int, times: float) -> None:
    jet = part_of(network, Hole, pick)
    bigger = [e._replace(area=e.area * times) if e.tag == jet.tag else e for e in network.elements]
    before, after = (solve(e, network.supplies, GAS, SEA) for e in (network.elements, bigger))
    largest = max(abs(q) for q in before.flow.values())
    assert after.flow[jet.tag] >= before.flow[jet.tag] * (1 - 1e-7) - 1e-9 * largest


@TRIES
@given(networks(kinds="lllhtc"), st.floats(1.001, 3.0))
def test_more_pressure_never_lowers_a_pressure(network: Network, times: float) -> None:
    first = network.supplies[0]
    more = first._replace(pressure=SEA + (first.pressure - SEA) * times)
    before = solve(network.elements, network.supplies, GAS, SEA)
    after = solve(network.elements, [more, *network.supplies[1:]], GAS, SEA)
    assert all(after.pressure[n] >= p * (1 - 1e-9) for n, p in before.pressure.items())
