"""What is drawn through a regulator and a cylinder's connection, against what their makers say they pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from specc import Citation, Context, Judging, Trouble, Unchecked, not_applicable, passed, rule, show
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, ZONES, Fitted, Joint, Part, regulators_into
from specc.model.view import join
from specc.model.wording import counted, says, several
from specc_fuel.calc.heat import gross_heating_value
from specc_fuel.network import supply_tag
from specc_fuel.network.burning import Burning
from specc_fuel.network.solved_effects import ALONE, TOGETHER
from specc_fuel.wording import heat_up

_RATED = Citation("ul-144-2021", "rated flow is at a named inlet and outlet pressure", "reprint")
_NUT = Citation("ansi-z21-81", "Type 1 (CGA 791) nuts close on excess flow, by their color; figures by maker", "memory")


def _heat(kg_per_s: float) -> str:
    return show(kg_per_s * gross_heating_value(), "power", "BTU/h", 3)


def _solved(ctx: Context) -> Iterator[tuple[Burning, str]]:
    """Each state of the network: what burns together in a scene, and each effect alone, in each weather case."""
    for key, what in ((TOGETHER, "the scene"), (ALONE, "alone:")):
        for case, by_name in ctx.all(key).items():
            for name, burning in by_name.items():
                yield burning, f"{what} {name}, case: {case}"


@rule(
    "fuel.regulator_capacity",
    level="warning",
    statement="No regulator passes more than its stated capacity",
    source=_RATED,
    needs=(TOGETHER, ALONE, NETWORK, ZONES),
    rests_on=("plumbing.capacity",),
)
def regulator_capacity(ctx: Context) -> Judging:
    """What fills an accumulator is left out: a regulator fills it as fast as it can, and slower does no harm. Of
    several that give into one zone, the one that is set a little higher may pass all."""
    most: dict[str, tuple[float, str]] = {}
    beside = _side_by_side(ctx)
    all_of_it: dict[str, float] = {}
    for burning, where in _solved(ctx):
        for group in {*beside.values()}:
            total = sum(abs(burning.solution.flow.get(tag, 0.0)) for tag in group)
            all_of_it.update((tag, max(total, all_of_it.get(tag, 0.0))) for tag in group)
        for tag in burning.solution.regulators:
            drawn = abs(burning.solution.flow[tag])
            if drawn >= most.get(tag, (0.0, ""))[0]:
                most[tag] = (drawn, where)
    if not most:
        ctx[NETWORK].all_read()
        return not_applicable("no regulator feeds what burns")
    net = ctx[NETWORK]
    for tag, (drawn, where) in most.items():
        part = net.by_tag[tag]
        capacity = part.spec.quantity_or_none("capacity")
        if capacity is None:
            said = f"{tag} does not say what it passes (capacity:); {_heat(drawn)} is drawn"
            yield Unchecked(said, join(part.at, "capacity"))
        elif drawn * gross_heating_value() > capacity.si * (1 + 1e-9):
            yield Trouble(
                join(part.at, "capacity"),
                f"{tag} passes {_heat(drawn)} gross ({where}), and is made for {capacity.text}",
                f"another regulator, or a draw of {capacity.text} at most",
                "beyond its capacity its pressure sags, and flames sink as more is lit",
                cure=heat_up(part, "capacity", drawn * gross_heating_value()),
            )
        elif all_of_it.get(tag, 0.0) * gross_heating_value() > capacity.si * (1 + 1e-9):
            others = several([t for t in beside[tag] if t != tag])
            shared = f"{_heat(all_of_it[tag])}, which one alone may come to pass"
            said = f"how {tag} ({capacity.text}) and {others} share {shared}"
            yield Unchecked(said, join(part.at, "capacity"))
    known = sum(net.by_tag[tag].spec.has("capacity") for tag in most)
    return passed(f"{counted(known, 'regulator')}; what fills an accumulator is not counted", most)


def _side_by_side(ctx: Context) -> Mapping[str, tuple[str, ...]]:
    """The regulators that give into one zone, by each of them."""
    net, zones = ctx[NETWORK], ctx[ZONES]
    groups = (tuple(r.tag for r in regulators_into(net, zones, zone)) for zone in dict.fromkeys(zones.values()))
    return {tag: group for group in groups if len(group) > 1 for tag in group}


def _is_791(part: Part, fit: Fitted, joints: Sequence[Joint]) -> bool | None:
    """Whether gas leaves a cylinder by a CGA 791 nut; None where nothing says by which connection. A POL nut in such a
    valve has no excess-flow part."""
    onto = [e for j in joints if part.tag in {p.tag for p in j.parts} for e in j.ends if e is not None]
    if any((e.family, e.size, e.gender) == ("CGA", "510", "male") for e in onto):
        return False
    typed = part.spec.text_or("connection")
    cga = [e for e in (*fit.ends, *onto) if e.family == "CGA"]
    if "791" in typed or any(e.size == "791" for e in cga):
        return True
    return False if cga or says(typed) else None


@rule(
    "fuel.connection_flow",
    level="warning",
    statement="No cylinder gives more than the excess-flow part in its CGA 791 connection lets pass",
    source=_NUT,
    needs=(TOGETHER, ALONE, NETWORK, FITTED, JOINTS),
    rests_on=("plumbing.connection_flow",),
)
def connection_flow(ctx: Context) -> Judging:
    """Cylinders whose gas meets at one point are taken to give all of it, each: one may be empty or shut."""
    net, joints = ctx[NETWORK], ctx[JOINTS]
    fed_from = [(p, _is_791(p, ctx[FITTED][p.tag], joints)) for p in net.of_kind("cylinder") if p.tag in net.after]
    here = [p for p, is_791 in fed_from if is_791]
    for part, is_791 in fed_from:
        if is_791 is None:
            said = f"{part.tag} does not say by which connection gas leaves it (connection:)"
            yield Unchecked(said, join(part.at, "connection"))
    if not here:
        ctx[NETWORK].all_read()
        return not_applicable("no cylinder is connected by CGA 791")
    most: dict[str, tuple[float, str]] = {}
    for burning, where in _solved(ctx):
        for part in here:
            drawn = burning.solution.flow.get(supply_tag(burning.piping.after.get(part.tag, "")), 0.0)
            if drawn >= most.get(part.tag, (0.0, ""))[0]:
                most[part.tag] = (drawn, where)
    for part in here:
        drawn, where = most.get(part.tag, (0.0, ""))
        limit = part.spec.quantity_or_none("connection_flow")
        if limit is None:
            said = f"{part.tag} does not say at which flow its nut closes (connection_flow:)"
            yield Unchecked(said, join(part.at, "connection_flow"))
        elif drawn * gross_heating_value() > limit.si * (1 + 1e-9):
            yield Trouble(
                join(part.at, "connection_flow"),
                f"{part.tag} gives {_heat(drawn)} gross ({where}), and its nut closes at {limit.text}",
                f"another nut, or a draw of {limit.text} at most",
                "the nut closes in the middle of the show and lets a trickle through, which looks like a cold "
                "cylinder and invites somebody to warm it",
                cure=heat_up(part, "connection_flow", drawn * gross_heating_value()),
            )
        elif any(p.kind == "accumulator" for p in net.downstream(part.tag)):
            yield f"{part.tag} gives {_heat(drawn)} to what burns, and more while an accumulator fills"
    return passed(counted(sum(p.spec.has("connection_flow") for p in here), "cylinder"))
