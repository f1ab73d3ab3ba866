"""What stands in the heat: metal that loses its strength there, what holds each burner, what piping carries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from specc import (
    Context,
    Limit,
    Quantity,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    judged,
    not_applicable,
    not_checked,
    rule,
    value,
)
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, OUTLETS
from specc.kinds.things import SUPPORTS, THINGS, Support
from specc.model.passes import Judging, passed
from specc.model.values import PRACTICE, Citation
from specc.model.view import join
from specc.model.wording import counted
from specc_structure.stands import STANDS, UP, Lump, Stand, no_stands

_STEEL = Citation("en-1993-1-2-rows", "yield stays to 400 °C; stiffness falls from 100 °C", "reprint")
_ALUMINUM = Citation("aluminum-hot-notes", "6061-T6: 91 % of yield at 150 °C, 6 % at 400 °C", "memory")
ALUMINUM = Limit(
    "structure.aluminum_hottest", "302 °F", "temperature", "min", "The hottest aluminum that holds", _ALUMINUM
)
STEEL = Limit("structure.steel_hottest", "752 °F", "temperature", "min", "The hottest steel that holds", _STEEL)
PIPING = ("pipe", "tube", "hose", "nipple", "fitting", "valve", "regulator", "orifice", "gauge")
_SOFT = ("wire_ties", "fabric", "wood")
_BURNS = ("wood", "pine", "plywood", "nylon", "plastic", "pvc", "canvas", "rope", "bamboo")
_FALLS = "what holds a burner up and burns lets it down burning"
_IN_FLAME = 0.05  # m: what is this near to a flame is in it


def _limits(ctx: Context) -> dict[str, Quantity]:
    aluminum, steel = ctx.limit("structure.aluminum_hottest"), ctx.limit("structure.steel_hottest")
    return {"aluminum": aluminum, "steel": steel, "stainless_steel": steel}


@value(
    SUPPORTS,
    needs=(STANDS,),
    limits=("structure.aluminum_hottest", "structure.steel_hottest"),
)
def supports(ctx: Context) -> Sequence[Support]:
    """What a flame touches is found here; how hot the others get is computed where flames are."""
    limits = _limits(ctx)
    return tuple(
        Support(p.tag, s.tag, metal.replace("_", " "), far, limits[metal], s.holds, far.at)
        for s in ctx[STANDS]
        for p in s.parts
        if p.spec.yes("carries", True) and p.spec.has("from_flame") and not p.spec.has("hottest")
        if (metal := p.spec.text_or("material")) in limits
        if (far := p.spec.quantity("from_flame")).si >= _IN_FLAME
    )


def _heat(s: Stand, p: Lump, most: Quantity) -> Trouble | None:
    material = p.spec.text("material").replace("_", " ")
    if p.spec.has("hottest"):
        hottest = p.spec.quantity("hottest")
        if hottest.si <= most.si:
            return None
        said = f"gets {hottest.text}; {material} holds up to {most.text}"
        at = hottest.at
    elif p.spec.has("from_flame") and p.spec.quantity("from_flame").si < _IN_FLAME:
        said, at = f"is {material} in the flame", p.spec.here("material")
    else:
        return None
    return Trouble(
        at,
        f"{p.tag} of {s.tag} {said}",
        "steel in place of aluminum, a shield, or a place outside the flame; then hottest:, as measured",
        "aluminum bends long before it glows, and gives no warning",
    )


@rule(
    "structure.hot_metal",
    level="error",
    statement="What carries load stays cool enough to keep its strength",
    source=_STEEL,
    needs=(STANDS, UP),
    limits=(
        "structure.aluminum_hottest",
        "structure.steel_hottest",
    ),
    rests_on=("structure.material", "structure.hottest", "structure.from_flame"),
)
def hot_metal(ctx: Context) -> Judging:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    limits = _limits(ctx)
    checked = 0
    for s in stands:
        for p in s.parts:
            if not p.spec.yes("carries", True):
                continue
            material = p.spec.text_or("material")
            if material not in limits:
                if not material:
                    yield Unchecked(f"{p.tag} of {s.tag}: its material is not stated", p.spec.here("material"))
                elif material not in ("concrete", "stone", "sand"):
                    said = f"{p.tag} of {s.tag}: how hot {material} may get is not published here"
                    yield Unchecked(said, p.spec.here("material"))
                continue
            checked += 1
            trouble = _heat(s, p, limits[material])
            if trouble:
                yield trouble
            elif not p.spec.has("hottest") and not p.spec.has("from_flame"):
                said = f"{p.tag} of {s.tag}: neither hottest: nor from_flame: is stated"
                yield Unchecked(said, p.spec.here("hottest"), p.spec.here("from_flame"))
    return passed(f"{counted(checked, 'metal part')}")


@rule(
    "structure.burners_held",
    level="error",
    statement="Each burner and pilot is held by something other than its own piping, which keeps its strength there",
    source=PRACTICE,
    needs=(STANDS, UP, NETWORK, THINGS),
    rests_on=("structure.holds", "things.holds"),
)
def burners_held(ctx: Context) -> Judging:
    network, stands = ctx[NETWORK], ctx[STANDS]
    burners = network.of_kind(*OUTLETS)
    if not stands and not any(p.tag in t.holds for p in burners for t in ctx[THINGS]):
        return no_stands(ctx)
    held = {tag for s in stands for tag in s.holds} | {tag for t in ctx[THINGS] for tag in t.holds}
    by_stand = {tag for s in stands for tag in s.holds if any(p.spec.yes("carries", True) for p in s.parts)}
    known = {p.tag for p in network.parts} | {t.tag for t in ctx[THINGS]}
    yield from (
        Trouble(
            p.at,
            f"nothing is said to hold {p.tag} up",
            f"{p.tag} under holds: of a stand or a thing",
            "what hangs on its pipe breaks it at the first joint",
        )
        for p in burners
        if p.tag not in held
    )
    yield from (
        Trouble(s.spec.here("holds", i), f"{s.tag} holds {tag}, which is no part and no thing", "the tag of one")
        for s in stands
        for i, tag in enumerate(s.holds)
        if tag not in known
    )
    for p in burners:
        if p.tag not in held or p.tag in by_stand:
            continue
        for t in (t for t in ctx[THINGS] if p.tag in t.holds):
            if t.kind in _SOFT or any(word in t.material.lower() for word in _BURNS):
                said = f"{p.tag} is held by {t.tag}, {t.material or t.kind.replace('_', ' ')}, which flames take"
                yield Trouble(t.at, said, "a metal frame, as a stand with from_flame: or hottest:", _FALLS)
            else:
                said = f"how hot {t.tag}, which holds {p.tag}, gets (describe it under structure: stands:)"
                yield Unchecked(said, join("/structure/stands", t.tag))
        yield from (
            Unchecked(
                f"what of {s.tag}, which holds {p.tag}, carries it: all its parts say carries: false",
                *(q.spec.here("carries") for q in s.parts),
            )
            for s in stands
            if p.tag in s.holds
        )
    return passed(counted(len(burners), "burner"))


@rule(
    "structure.things_held",
    level="error",
    statement="Each thing says its weight and what holds it; a stand that holds it counts it",
    source=PRACTICE,
    needs=(STANDS, THINGS),
    rests_on=("things.held_by", "things.weight"),
)
def things_held(ctx: Context) -> Judging:
    things, stands = ctx[THINGS], {s.tag: s for s in ctx[STANDS]}
    if not things:
        return not_applicable("no thing is described (things:)")
    missing = []
    for t in things:
        lacks = [key for key, said in (("weight", t.weight), ("held_by", t.held_by or t.tag in stands)) if not said]
        if lacks:
            said = f"{t.tag}: {' and '.join(f'{key}:' for key in lacks)}"
            missing.append(Unchecked(said, *(join(t.at, key) for key in lacks)))
        for s in (stands[tag] for tag in t.held_by if tag in stands):
            own = next((p for p in s.parts if p.tag == t.tag), None)
            if own is None or (t.weight is not None and own.mass.si < t.weight.si * (1 - 1e-9)):
                less = "is not among its parts" if own is None else "weighs less among its parts"
                yield Trouble(
                    t.at,
                    f"{t.tag} is held by {s.tag} and {less}: its weight, and the wind on it, do not count there",
                    f"{t.tag} under parts: of {s.tag}, with weight:, center:, area: and shape:",
                    "what hangs on a mast tips it",
                )
        if _holds_itself(t.tag, {x.tag: x.held_by for x in things}):
            yield Trouble(t.at, f"{t.tag} is held by what it holds itself", "what carries both to the ground")
    if missing:
        return not_checked(f"not stated: {'; '.join(missing)}", *answers_of(*missing))
    return passed(counted(len(things), "thing"))


def _holds_itself(tag: str, held_by: Mapping[str, Sequence[str]]) -> bool:
    met, due = set[str](), list(held_by.get(tag, ()))
    while due:
        here = due.pop()
        if here == tag:
            return True
        if here not in met:
            met.add(here)
            due.extend(held_by.get(here, ()))
    return False


@rule(
    "structure.piping_carries",
    level="error",
    statement="Piping carries nothing but itself: no thing, no guy and no accumulator hangs on it",
    source=PRACTICE,
    needs=(STANDS, NETWORK, THINGS, PLACES),
    rests_on=("things.held_by", "structure.tied_to", "structure.holds"),
)
def piping_carries(ctx: Context) -> Verdict:
    piping = {p.tag for p in ctx[NETWORK].parts if p.kind in PIPING}
    tied = [(s, tag, g) for s in ctx[STANDS] for tag, g in s.guys if g.has("tied_to")]
    vessels = ctx[NETWORK].of_kind("accumulator")
    if not ctx[THINGS] and not tied and not vessels:
        return not_applicable("no thing, guy or accumulator is described")
    fix = "hang it on the frame, and let the pipe lie in loose clamps"
    troubles = [
        Trouble(t.at, f"{t.tag} is held by {tag}, which is piping", fix, "a loaded joint leaks or breaks")
        for t in ctx[THINGS]
        for tag in t.held_by
        if tag in piping
    ]
    there = {*(p.tag for p in ctx[NETWORK].parts), *(t.tag for t in ctx[THINGS]), *ctx[PLACES]}
    there |= {s.tag for s in ctx[STANDS]}
    troubles += [
        Trouble(
            g.here("tied_to"),
            f"guy {tag} of {s.tag} is tied to {g.text('tied_to')}, which is nothing here",
            "the tag of a thing, a stand, a part or a place",
        )
        for s, tag, g in tied
        if g.text("tied_to") not in there
    ]
    troubles += [
        Trouble(g.here("tied_to"), f"guy {tag} of {s.tag} is tied to {g.text('tied_to')}, which is piping", fix)
        for s, tag, g in tied
        if g.text("tied_to") in piping
    ]
    stands = {s.tag for s in ctx[STANDS]}
    unsaid = [
        Unchecked(f"nothing says what holds {t.tag}", join(t.at, "held_by"))
        for t in ctx[THINGS]
        if not t.held_by and t.tag not in stands
    ]
    held = {tag for s in ctx[STANDS] for tag in s.holds} | {tag for t in ctx[THINGS] for tag in t.holds}
    unsaid += [
        Unchecked(
            f"nothing says what holds {p.tag} (holds: of a stand or a thing)",
            "/structure/stands/*/holds",
            "/things/*/holds",
        )
        for p in vessels
        if p.tag not in held
    ]
    return judged(troubles, unsaid, counted(len(ctx[THINGS]) + len(vessels), "thing"))
