"""A quarter-turn valve at each source, and a second shutoff away from it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Literal

from specc import CHOICE, PRACTICE, Context, Limit, Trouble, Unchecked, Verdict, distance, not_applicable, rule
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import LINES, NETWORK, OUTLETS, UNREAD, Network, Part, way_of
from specc.model.passes import each
from specc.model.view import join
from specc.model.wording import several
from specc_plumbing.faults import drops_shut, place_of
from specc_plumbing.reach import by_hand

AT_SOURCE = Limit(
    "plumbing.at_source",
    "6 ft",
    "length",
    "min",
    "how far from a cylinder its quarter-turn valve may stand and be at the source",
    CHOICE,
)
REMOTE = Limit(
    "plumbing.remote_shutoff",
    "10 ft",
    "length",
    "max",
    "how far from a cylinder a second shutoff stands that counts as remote from it",
    CHOICE,
)
_Where = Literal["near", "far", "between", "unknown"]


def fed_from(net: Network) -> tuple[Part, ...]:
    """Cylinders that feed something: a spare stands by."""
    return tuple(p for p in net.of_kind("cylinder") if net.after.get(p.tag))


def quarter_turn(part: Part) -> bool:
    return part.kind == "valve" and part.form == "ball"


def _where(
    places: Mapping[str, Spot], cylinder: Part, valve: Part, near: float | None = None, far: float | None = None
) -> _Where:
    """Where a valve stands to a cylinder. Two places without coordinates are as far apart as nobody knows."""
    one, other = place_of(cylinder), place_of(valve)
    if not one or not other:
        return "unknown"
    if one == other:
        return "near"
    shapes = [s.shape for t in (one, other) if (s := places.get(t)) is not None and s.shape is not None]
    if len(shapes) < 2:
        return "unknown"
    apart = distance(shapes[0], shapes[1]).si
    if near is not None and apart <= near * (1 + 1e-9):
        return "near"
    if far is not None and apart >= far * (1 - 1e-9):
        return "far"
    return "between"


def met_from(net: Network, cylinder: Part, shut: Collection[str]) -> tuple[str, ...]:
    """What gas of a cylinder comes to with some valves shut, in the way of the flow, without the cylinder."""
    met = net.walk((cylinder.tag,), net.after, lambda p: p.tag in shut or p.kind == UNREAD)
    return tuple(t for t in met if t != cylinder.tag and t not in shut)


def _open_to(net: Network, tags: Collection[str]) -> list[str]:
    return [t for t in tags if net.by_tag[t].kind in (*OUTLETS, "accumulator")]


def ahead_of_valves(net: Network, cylinder: Part) -> tuple[str, ...]:
    """What stands before the first quarter-turn valve on each way: stopped by the cylinder's own valve alone."""
    return met_from(net, cylinder, {v.tag for v in net.of_kind("valve") if quarter_turn(v)})


@rule(
    "plumbing.source_valve",
    level="error",
    statement="On each way from each cylinder stands a quarter-turn valve, near it or at the end of its own hose",
    source=PRACTICE,
    needs=(NETWORK, PLACES),
    limits=(AT_SOURCE.key,),
)
def source_valve(ctx: Context) -> Verdict:
    """What lies ahead of it is stopped by the cylinder's own valve alone, and said in the outcome and on the page of
    the faults. So small devices are built, and rightly: cylinder, regulator, hose, then the valve at the operator's
    hand. A second hose ahead of it, or a valve that another cylinder shares, is no longer this cylinder's own."""
    net, near = ctx[NETWORK], ctx.limit(AT_SOURCE.key)
    balls = [v for v in net.of_kind("valve") if quarter_turn(v)]

    def judge(cylinder: Part) -> Iterator[Trouble | str]:
        where = {v.tag: _where(ctx[PLACES], cylinder, v, near=near.si) for v in balls}
        at_it = {t for t, w in where.items() if w == "near"} | _ends_own_hose(net, cylinder, where, near.si)
        if not _open_to(net, met_from(net, cylinder, at_it)):
            return
        perhaps = at_it | {t for t, w in where.items() if w == "unknown"}
        if not _open_to(net, met_from(net, cylinder, perhaps)):
            lost = [t for t, w in where.items() if w == "unknown"]
            yield _unplaced(cylinder, lost)
            return
        ahead = ahead_of_valves(net, cylinder)
        if _outlets(net, ahead):  # found by plumbing.shutoff
            said = f"no quarter-turn valve stands on some way from {cylinder.tag} at all"
            yield Unchecked(said, "/plumbing/runs")
            return
        lines = [t for t in ahead if net.by_tag[t].kind in LINES]
        yield Trouble(
            cylinder.at,
            f"no quarter-turn valve stands at {cylinder.tag} on some way from it"
            + (f": {several(lines)} before the first of them" if lines else ""),
            f"a valve of form: ball within {near.text} of it, or at the end of its own first hose",
            "what lies ahead of the first valve is stopped by the cylinder's own valve alone, which takes many turns",
        )

    verdict = _each_source(net, judge)
    told = [f"{c.tag}'s own valve alone stops {several(lines)}" for c in fed_from(net) if (lines := _lines(net, c))]
    return verdict._replace(looked="; ".join([verdict.looked, *told])) if verdict.status == "passed" else verdict


def _lines(net: Network, cylinder: Part) -> list[str]:
    return [t for t in ahead_of_valves(net, cylinder) if net.by_tag[t].kind in (*LINES, "regulator")]


def _ends_own_hose(net: Network, cylinder: Part, where: Mapping[str, _Where], longest: float) -> set[str]:
    """Quarter-turn valves that gas of this cylinder alone comes to, behind at most one hose and little pipe."""
    balls = {v.tag for v in net.of_kind("valve") if quarter_turn(v)}
    met = net.walk((cylinder.tag,), net.after, lambda p: p.tag in balls or p.kind == UNREAD)
    ended = set()
    for ball in balls & met.keys():
        way = [net.by_tag[t] for t in way_of(met, ball)]
        lines = [p.spec.quantity_or_none("length") for p in way if p.kind in ("pipe", "tube")]
        short = all(n is not None for n in lines) and sum(n.si for n in lines if n is not None) <= longest * (1 + 1e-9)
        alone = [p for p in net.upstream(ball) if p.kind == "cylinder"] == [cylinder]
        hoses = sum(p.kind == "hose" for p in way)
        if alone and short and (hoses == 1 or (hoses == 0 and where[ball] == "unknown")):
            ended.add(ball)
    return ended


@rule(
    "plumbing.second_shutoff",
    level="error",
    statement="A second shutoff stands on each way from each cylinder to an outlet, away from the cylinder",
    source=PRACTICE,
    needs=(NETWORK, PLACES),
    limits=(REMOTE.key,),
)
def second_shutoff(ctx: Context) -> Verdict:
    """A solenoid valve that drops shut counts wherever it stands: it is closed from afar."""
    net, far = ctx[NETWORK], ctx.limit(REMOTE.key)
    hands = [v for v in net.of_kind("valve") if by_hand(v)]
    own = {v.tag for v in net.of_kind("valve") if drops_shut(v)}

    def judge(cylinder: Part) -> Iterator[Trouble | str]:
        where = {v.tag: _where(ctx[PLACES], cylinder, v, far=far.si) for v in hands}
        closed = own | {t for t, w in where.items() if w == "far"}
        left = _outlets(net, met_from(net, cylinder, closed))
        if not left:
            return
        lost = [t for t, w in where.items() if w == "unknown"]
        if not _outlets(net, met_from(net, cylinder, {*closed, *lost})):
            yield _unplaced(cylinder, lost)
            return
        ways = {p.tag for t in left for p in net.upstream(t)} & {p.tag for p in net.downstream(cylinder.tag)}
        tried = [t for t, w in where.items() if w != "far" and t in ways]
        yield Trouble(
            cylinder.at,
            f"between {cylinder.tag} and {several(left)} nothing shuts the gas off {far.text} or more away"
            + (f": {several(tried)} {'is' if len(tried) == 1 else 'are'} nearer" if tried else ""),
            f"a quarter-turn valve {far.text} or more from it, or a solenoid valve that is normally: closed",
            "a fire at the source keeps everybody from all that stands beside it",
        )

    return _each_source(net, judge)


def _unplaced(cylinder: Part, lost: Collection[str]) -> Unchecked:
    if not place_of(cylinder):
        return Unchecked(f"where {cylinder.tag} stands is not said (place:)", join(cylinder.at, "place"))
    are = "is" if len(lost) == 1 else "are"
    said = f"how far {several(list(lost))} {are} from {cylinder.tag} is not said (place:, with coordinates)"
    return Unchecked(said, *(join("/plumbing/parts", tag, "place") for tag in lost), "/places/*/at")


def _each_source(net: Network, judge: Callable[[Part], Iterator[Trouble | str]]) -> Verdict:
    sources = fed_from(net)
    if not sources:
        return not_applicable("no cylinder feeds anything")
    verdict = each(sources, judge, "cylinder", "")
    if not verdict.troubles:
        net.all_read()
    return verdict


def _outlets(net: Network, tags: Collection[str]) -> list[str]:
    return [t for t in tags if net.by_tag[t].kind in OUTLETS]
