"""How cylinders and pieces are carried, lifted and stored."""

from __future__ import annotations

import math

from specc import (
    Citation,
    Column,
    Constant,
    Context,
    Cure,
    FigureList,
    FigureSet,
    Key,
    Limit,
    Quantity,
    Row,
    Table,
    TableBlock,
    Trouble,
    Unchecked,
    Verdict,
    View,
    Worked,
    figures,
    found,
    not_applicable,
    not_checked,
    rule,
    section,
    show,
    table,
)
from specc.kinds.plumbing import NETWORK, Network
from specc.model.blocks import Block
from specc.model.passes import Judging, judged, passed
from specc.model.values import PRACTICE
from specc.model.view import join
from specc.model.wording import counted, holds
from specc_structure.calc import handling
from specc_structure.stands import STANDS

ROOT = "transport"
NONE = "no transport is described"
_AGENCY = Citation("land-agency-handbook", "carrying propane cylinders: by weight, body and valves", "read")
_HELD = Citation(
    "cfr-49-177-840", "cylinders upright or flat, held so that they cannot shift, tip or be thrown", "read"
)
_GRIPS = {"good": 1.0, "fair": 0.95, "poor": 0.9}
_AHEAD = Constant(0.254, "length", "10 in, the nearest that is told apart", handling.NIOSH)
_FROM = Constant(0.0, "length", "0 in, from the ground, where not given", Citation(basis="choice"))
_TO = Constant(0.762, "length", "30 in, a tailgate, where not given", Citation(basis="choice"))
_FORWARD = Constant(0.8, "ratio", "0.8", handling.SECURE)

EACH = Limit(
    "transport.cylinder", "220 lb", "mass", "min", "The heaviest cylinder carried in a private vehicle", _AGENCY
)
ALL = Limit("transport.cylinders", "440 lb", "mass", "min", "The most that all cylinders on a vehicle weigh", _AGENCY)
_ANY_LIFT = 51 * 0.45359237  # kg: load constant of the NIOSH equation (handling.NIOSH): more for no lift
_ABOUT = 0.9  # a piece of nearly its weight is taken to be it
LIFTS: Key[FigureSet] = Key("transport.lift", dict)
STRAPS: Key[FigureSet] = Key("transport.strap_force", dict)


def _gross(network: Network, tag: str) -> tuple[Quantity, ...]:
    """What a cylinder weighs full: its gas and itself; () for what does not say."""
    part = network.part(tag)
    if part is None or part.kind != "cylinder" or not (part.spec.has("tare") and part.spec.has("capacity")):
        return ()
    return part.spec.quantity("capacity"), part.spec.quantity("tare")


def _vehicles(ctx: Context) -> tuple[tuple[str, View], ...]:
    return ctx.spec(ROOT).child("vehicles").children()


def _unsaid(ctx: Context) -> Verdict:
    """How a rule on transport ends where no vehicle is described: every cylinder comes on some vehicle."""
    vessels = ctx[NETWORK].of_kind("cylinder", "accumulator")
    why = Unchecked("no vehicle is described", "/transport/vehicles")
    return not_checked(why) if vessels else not_applicable("there is no cylinder to carry")


@figures(STRAPS, title="What the straps on {tag} hold, forward", unit="lbf", needs=(NETWORK,), reads=(ROOT,))
def strap_force(ctx: Context) -> dict[str, Worked]:
    made = {}
    for tag, v in _vehicles(ctx):
        masses = tuple(q for c in v.texts("carries") for q in _gross(ctx[NETWORK], c))
        if masses:
            total = handling.mass_sum.work("cylinders, full", masses=masses)
            made[tag] = handling.cargo_force.work(f"straps of {tag}", mass=total, share=_FORWARD)
    return made


@figures(LIFTS, title="What one person may lift of {tag}", unit="lb", worst="min", reads=(ROOT,))
def lifts(ctx: Context) -> dict[str, Worked]:
    made = {}
    for tag, p in ctx.spec(ROOT).child("pieces").children():
        start, end = p.quantity_or_none("from") or _FROM, p.quantity_or_none("to") or _TO
        grip = p.text_or("grip", "fair")
        made[tag] = handling.lift_between.work(
            f"lift of {tag}",
            ahead=p.quantity_or_none("ahead") or _AHEAD,
            start=start,
            end=end,
            grip=Constant(_GRIPS[grip], "ratio", f"{_GRIPS[grip]} ({grip})", handling.NIOSH),
        )
    return made


@rule(
    "structure.transport_lift",
    level="warning",
    statement="Nobody lifts more than the NIOSH equation gives for that lift",
    source=handling.NIOSH,
    needs=(LIFTS, NETWORK, STANDS),
    reads=(ROOT,),
)
def lift(ctx: Context) -> Judging:
    pieces = ctx.spec(ROOT).child("pieces").children()
    cylinders = ctx[NETWORK].of_kind("cylinder")
    if not pieces:
        none = Unchecked("no piece is described (transport: pieces:)", "/transport/pieces")
        return not_checked(none) if ctx.spec(ROOT) or ctx[STANDS] or cylinders else not_applicable(NONE)
    described = [p.quantity("weight").si for _, p in pieces]
    loads = [(f"{c.tag}, {{}} full", sum(q.si for q in _gross(ctx[NETWORK], c.tag))) for c in cylinders]
    loads += [(f"{p.tag} of {s.tag}, {{}}", p.mass.si) for s in ctx[STANDS] for p in s.parts]
    for words, mass in loads:
        if mass > _ANY_LIFT and not any(_ABOUT * mass <= one <= mass / _ABOUT for one in described):
            said = f"who lifts {words.format(show(mass, 'mass', 'lb'))} (a piece of that weight)"
            yield Unchecked(said, "/transport/pieces")
    for tag, p in pieces:
        people = p.quantity("people").si if p.has("people") else 1.0
        if not p.has("ahead"):
            yield Unchecked(f"how far ahead of the ankles {tag} is held (ahead:)", p.here("ahead"))
        limit, each = ctx[LIFTS][tag].si, p.quantity("weight").si / people
        if each > limit:
            need = int(p.quantity("weight").si / limit) + 1
            yield Trouble(
                p.here("weight"),
                f"{tag} is {show(each, 'mass', 'lb')} for each who lifts it; one may lift {show(limit, 'mass', 'lb')}",
                f"{need} people, a cart, or smaller pieces",
            )
    heavy = max(pieces, key=lambda piece: piece[1].quantity("weight").si)
    by = f"{heavy[1].quantity('people').si:.0f} people" if heavy[1].has("people") else "one"
    most = heavy[1].quantity("weight").text
    return passed(f"{counted(len(pieces), 'piece')}; the heaviest is {heavy[0]}, {most}, by {by}")


@rule(
    "structure.transport_carried",
    level="error",
    statement="Each cylinder is on a vehicle, and each vehicle names cylinders and accumulators that are there",
    source=_AGENCY,
    needs=(NETWORK,),
    reads=(ROOT,),
    rests_on=("transport.carries",),
)
def carried(ctx: Context) -> Judging:
    vehicles = _vehicles(ctx)
    vessels = {p.tag: p for p in ctx[NETWORK].of_kind("cylinder", "accumulator")}
    if not vehicles:
        return _unsaid(ctx)
    loaded = {tag for _, v in vehicles for tag in v.texts("carries")}
    yield from [
        Trouble(v.here("carries", i), f"{name} carries {tag}, which is no cylinder or accumulator", "the tag of one")
        for name, v in vehicles
        for i, tag in enumerate(v.texts("carries"))
        if tag not in vessels
    ]
    yield from [
        Trouble(p.at, f"{p.tag} is on no vehicle", f"{p.tag} under carries: of one")
        for p in vessels.values()
        if p.kind == "cylinder" and p.tag not in loaded
    ]
    return passed(counted(len(vehicles), "vehicle"))


@rule(
    "structure.transport_open_body",
    level="error",
    statement="Cylinders are never carried in a closed body or with people",
    source=_AGENCY,
    needs=(NETWORK,),
    reads=(ROOT,),
    rests_on=("transport.body", "transport.apart_from_people"),
)
def open_body(ctx: Context) -> Verdict:
    vehicles = _vehicles(ctx)
    if not vehicles:
        return _unsaid(ctx)
    why = "one valve that weeps fills a van in minutes, and the starter lights it"
    troubles = [
        Trouble(v.here("body"), f"{tag} has a closed body", "an open bed or trailer", why)
        for tag, v in vehicles
        if v.text("body") == "closed"
    ]
    missing = [
        Unchecked(f"{tag}: apart_from_people: is not stated", v.here("apart_from_people"))
        for tag, v in vehicles
        if not v.has("apart_from_people")
    ]
    troubles += [
        Trouble(v.here("apart_from_people"), f"people ride with the cylinders on {tag}", "nobody beside them", why)
        for tag, v in vehicles
        if v.has("apart_from_people") and not v.yes("apart_from_people")
    ]
    return judged(troubles, missing, counted(len(vehicles), "vehicle"))


@rule(
    "structure.transport_weight",
    level="warning",
    statement="Cylinders and all of a vehicle's together weigh no more than the limits",
    source=_AGENCY,
    needs=(NETWORK,),
    reads=(ROOT,),
    limits=(
        "transport.cylinder",
        "transport.cylinders",
    ),
    rests_on=("plumbing.tare",),
)
def weight(ctx: Context) -> Judging:
    vehicles = _vehicles(ctx)
    if not vehicles:
        return _unsaid(ctx)
    each, whole = ctx.limit("transport.cylinder"), ctx.limit("transport.cylinders")
    for name, v in vehicles:
        total = 0.0
        for i, tag in enumerate(v.texts("carries")):
            gross = sum(q.si for q in _gross(ctx[NETWORK], tag))
            part = ctx[NETWORK].part(tag)
            if not gross and part is not None and part.kind == "cylinder":
                yield Unchecked(f"{tag}: its tare is not stated", part.spec.here("tare"))
            if gross > each.si:
                said = f"{tag} is {show(gross, 'mass', 'lb')} full; the limit is {each.text}"
                yield Trouble(v.here("carries", i), said, "a smaller cylinder, or a carrier who may")
            total += gross
        if total > whole.si:
            yield Trouble(
                v.here("carries"),
                f"the cylinders on {name} are {show(total, 'mass', 'lb')} full; the limit is {whole.text}",
                "a second trip; from 1,001 lb a placard and a licensed driver",
            )
    return passed(counted(len(vehicles), "vehicle"))


@rule(
    "structure.transport_secured",
    level="error",
    statement="Cylinders ride upright, valves shut and capped, in straps that hold them; the driver knows",
    source=_HELD,
    needs=(STRAPS, NETWORK),
    reads=(ROOT,),
    rests_on=("transport.upright", "transport.valves", "transport.driver_told", "transport.breaking"),
)
def secured(ctx: Context) -> Judging:
    vehicles = _vehicles(ctx)
    if not vehicles:
        return _unsaid(ctx)
    for tag, v in vehicles:
        for key, words, fix in (
            ("upright", "are not upright", "upright, relief valve in the vapor"),
            ("driver_told", "are not told to the driver", "driver_told: true, once it is so"),
        ):
            if not v.has(key):
                yield Unchecked(f"{tag}: {key}: is not stated", v.here(key))
            elif not v.yes(key):
                yield Trouble(v.here(key), f"the cylinders on {tag} {words}", fix)
        if not v.has("valves"):
            yield Unchecked(f"{tag}: valves: is not stated", v.here("valves"))
        elif v.text("valves") != "shut and capped":
            said = f"the valves on {tag} are {v.text('valves')}"
            yield Trouble(v.here("valves"), said, "shut, disconnected, and plugged or capped")
        if not v.has("straps") or tag not in ctx[STRAPS]:
            said = f"{tag}: straps:, or the weight of what they hold, is not stated"
            yield Unchecked(said, v.here("straps"), *(join("/plumbing/parts", c, "tare") for c in v.texts("carries")))
            continue
        straps = v.child("straps")
        holds = straps.quantity("count").si * straps.quantity("breaking").si
        if holds < ctx[STRAPS][tag].si:
            needed = show(ctx[STRAPS][tag].si, "force", "lbf")
            said = f"the straps on {tag} break at {show(holds, 'force', 'lbf')}; braking pulls {needed}"
            count = straps.quantity("count")
            enough = str(math.ceil(ctx[STRAPS][tag].si / straps.quantity("breaking").si - 1e-9))
            cure = Cure(f"{enough} of them would pass", ((count.at, enough),))
            yield Trouble(straps.here("breaking"), said, "or stronger straps", cure=cure)
    return passed(counted(len(vehicles), "vehicle"))


@rule(
    "structure.transport_empty",
    level="error",
    statement="Accumulators are carried and stored empty",
    source=PRACTICE,
    needs=(NETWORK,),
    reads=(ROOT,),
    rests_on=("transport.accumulators",),
)
def empty(ctx: Context) -> Verdict:
    spec = ctx.spec(ROOT)
    if not spec.has("accumulators"):
        if not ctx[NETWORK].of_kind("accumulator"):
            return not_applicable("there is no accumulator")
        return not_checked("whether accumulators are empty is not stated (accumulators:)", spec.here("accumulators"))
    if spec.text("accumulators") == "empty":
        return found([], "all")
    return found([Trouble(spec.here("accumulators"), "accumulators travel under pressure", "burn them off first")])


@rule(
    "structure.transport_stored",
    level="error",
    statement="Between nights cylinders stand outdoors or in a ventilated cage, secured, valves shut and capped",
    source=PRACTICE,
    needs=(NETWORK,),
    reads=(ROOT,),
    rests_on=("transport.cylinders", "transport.secured"),
)
def stored(ctx: Context) -> Judging:
    spec = ctx.spec(ROOT).child("storage")
    if not spec:
        why = Unchecked("no storage is described (transport: storage:)", spec.at)
        cylinders = ctx[NETWORK].of_kind("cylinder")
        return not_checked(why) if cylinders else not_applicable("there is no cylinder to store")
    if spec.text("cylinders") == "indoors":
        yield Trouble(spec.here("cylinders"), "cylinders are kept indoors", "outdoors or in a ventilated cage")
    if not holds(spec.text_or("secured")):
        yield Unchecked("how they are secured is not stated (secured:)", spec.here("secured"))
    if not spec.has("valves"):
        yield Unchecked("valves: is not stated", spec.here("valves"))
    elif spec.text("valves") != "shut and capped":
        yield Trouble(spec.here("valves"), f"their valves are {spec.text('valves')}", "shut and capped")
    return passed("all that is said of it")


@table("transport.lifts", title="Lifting by hand", needs=(LIFTS,), reads=(ROOT,))
def lift_table(ctx: Context) -> Table:
    """Each piece by the people who lift it, and by how many it would have to be; the heaviest first."""
    pieces = sorted(ctx.spec(ROOT).child("pieces").children(), key=lambda p: -p[1].quantity("weight").si)
    rows = []
    for tag, p in pieces:
        weight, limit = p.quantity("weight"), ctx[LIFTS][tag].si
        people = p.quantity("people").si if p.has("people") else 1.0
        rows.append(
            Row(
                (
                    tag,
                    weight.text,
                    f"{people:g}",
                    show(weight.si / people, "mass", "lb", 2),
                    show(limit, "mass", "lb", 2),
                    str(math.ceil(weight.si / limit - 1e-9)),
                ),
                strong=tag == pieces[0][0],
            )
        )
    columns = (Column("piece", 1.4), *map(Column, ("weight", "people", "each lifts", "one may lift", "people needed")))
    note = (
        "By the NIOSH equation for one; that several share a weight alike is taken for granted. A cart takes the rest."
    )
    return Table("", "", columns, tuple(rows), note, shows=tuple(f.key for f in ctx[LIFTS].values()))


@section("transport", title="Transport and storage", order=92, wants=(LIFTS, STRAPS), reads=(ROOT,))
def transport_section(ctx: Context) -> list[Block]:
    """Of a spec that says nothing of transport the list of what was not checked says so."""
    keys = [f.key for k in (STRAPS, LIFTS) for f in (ctx.get(k) or {}).values()]
    blocks: list[Block] = [TableBlock("transport.lifts")] if ctx.get(LIFTS) else []
    return [*blocks, FigureList(tuple(keys))] if keys else blocks
