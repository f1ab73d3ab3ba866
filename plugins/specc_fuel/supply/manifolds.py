"""Supplies: cylinders joined by pipe, without a regulator between, are one; and which gives how much of what burns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc import CHOICE, Context, Equation, Symbol, Unchecked, Worked, value
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONES, Network, Part, walked
from specc.model.view import join
from specc_fuel.accumulators.fed import FED_ACCUMULATORS, FedAccumulator
from specc_fuel.keys import SHARES, SUPPLIES
from specc_fuel.network import supply_tag
from specc_fuel.network.burning import Burning
from specc_fuel.network.solved_effects import ALONE

_SHARE = Equation(
    forms=(("", "~ read from the network as solved, N: what comes from the supply, of all that comes"),),
    symbols=(
        Symbol("x", "ratio", "share of the gas that comes from the supply"),
        Symbol("N", "ratio", "the network as solved, and what it leaves over"),
    ),
    citations=(CHOICE,),
)


def manifolds(net: Network, zones: Mapping[str, str]) -> tuple[tuple[Part, ...], ...]:
    """The cylinders that share a manifold, group by group: joined without a regulator between."""
    groups: list[tuple[Part, ...]] = []
    seen: set[str] = set()
    for cylinder in net.of_kind("cylinder"):
        if cylinder.tag in seen or cylinder.tag not in net.after:
            continue

        def joined(here: str) -> list[str]:
            after = () if net.by_tag[here].kind == "regulator" else net.after.get(here, ())
            return [tag for tag in (*net.before.get(here, ()), *after) if zones.get(tag) == SUPPLY]

        within = walked({}, (cylinder.tag,), joined, "")
        group = tuple(p for p in net.of_kind("cylinder") if p.tag in within)
        seen.update(p.tag for p in group)
        groups.append(group)
    return tuple(groups)


def ties(net: Network, zones: Mapping[str, str], supplies: Mapping[str, tuple[Part, ...]]) -> Iterator[str]:
    """What could not be judged of supplies that a valve makes one: with it shut, or against a check valve, each has to
    do alone. One that gas needs on its way to a regulator is none of these, nor one that is normally: open."""
    shared = [group for group in supplies.values() if len(group) > 1]
    near = net.near if shared else {}
    valves = [v for v in net.of_kind("valve") if v.form != "relief" and zones.get(v.tag) == SUPPLY] if shared else []
    for group in shared:
        for valve in valves:
            if valve.spec.text_or("normally") == "open":
                continue

            def ends(part: Part, shut: str = valve.tag) -> bool:
                return part.tag == shut or part.kind == "regulator"

            sides = {c.tag: net.walk((c.tag,), near, ends) for c in group}
            far = next((tag for tag, met in sides.items() if group[0].tag not in met), "")
            if not far or not all(any(net.by_tag[t].kind == "regulator" for t in met) for met in sides.values()):
                continue
            between = f"{valve.tag} stands between the cylinders {group[0].tag} and {far}"
            if valve.form == "check":
                yield f"{between}, which are computed as one supply, and lets gas one way only"
            else:
                said = f"{between}, and whether it is open in the show is not said (normally: open)"
                yield Unchecked(said, join(valve.at, "normally"))


@value(SUPPLIES, needs=(NETWORK, ZONES))
def supplies(ctx: Context) -> Mapping[str, tuple[Part, ...]]:
    return {group[0].tag: group for group in manifolds(ctx[NETWORK], ctx[ZONES])}


def _given(
    burning: Burning, net: Network, supply_of: Mapping[str, str], stores: Mapping[str, FedAccumulator]
) -> dict[str, float]:
    """By supply, the share of the gas that runs in a solved network. What comes out of an accumulator came in by its
    feed before."""
    given: dict[str, float] = {}
    nodes: set[str] = set()
    for tag, node in burning.piping.after.items():
        out = burning.solution.flow.get(supply_tag(node), 0.0)
        if net.by_tag[tag].kind not in ("cylinder", "accumulator") or node in nodes or out <= 0:
            continue
        nodes.add(node)
        of = {supply_of[tag]: 1.0} if tag in supply_of else {}
        if tag in stores:
            of = _given(stores[tag].feed, net, supply_of, {})
        for supply, share in of.items():
            given[supply] = given.get(supply, 0.0) + out * share
    total = sum(given.values())
    return {supply: out / total for supply, out in given.items()} if total > 0 else {}


@value(SHARES, needs=(SUPPLIES, ALONE, FED_ACCUMULATORS, NETWORK), per_case=True)
def shares(ctx: Context) -> Mapping[str, Mapping[str, Worked]]:
    supply_of = {p.tag: tag for tag, group in ctx[SUPPLIES].items() for p in group}
    made = {}
    for outlet, burning in ctx[ALONE].items():
        given = _given(burning, ctx[NETWORK], supply_of, ctx[FED_ACCUMULATORS])
        made[outlet] = {
            supply: Worked(share, "ratio", _SHARE, (("N", burning.worked),), name=f"share of {supply} in {outlet}")
            for supply, share in given.items()
        }
    return made


def shares_of_feed(ctx: Context, accumulator: str) -> Mapping[str, float]:
    """By supply, what it brings of the gas that fills an accumulator."""
    supply_of = {p.tag: tag for tag, group in ctx[SUPPLIES].items() for p in group}
    return _given(ctx[FED_ACCUMULATORS][accumulator].feed, ctx[NETWORK], supply_of, {})
