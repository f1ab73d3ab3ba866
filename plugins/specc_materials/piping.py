"""Rules on what pipes, tubes, fittings and hoses are made of and made for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from specc import Citation, Context, Trouble, Verdict, not_applicable, rule, show
from specc.kinds.plumbing import FITTED, Network, Part
from specc.measure.units import INCH
from specc.model.passes import each, judged
from specc.model.view import join
from specc.model.wording import counted, several
from specc_materials.joined import JOINED, material, says_gas

if TYPE_CHECKING:
    from specc.model.values import Constant, Quantity

_PIPES = ("pipe", "tube")
_GRADE = Citation("nfpa-54", "copper tube: ASTM B88 type K or L, or ASTM B280; read for another fuel only", "memory")
_WALLS = Citation("cda-tube-dimensions", "walls of types K and L; B280 from another public table", "read")
_AIR = Citation("california-8-474", "(b): LP-gas is kept out of devices made for air", "read")
_HOSE = Citation("event-hose-rule", "hose above 5 psi: 350 psi working, marked for LP-gas and pressure", "read")


class Wall(NamedTuple):
    """Nominal outside diameter and walls of copper tube, inches; 0 where the size is not made so."""

    outside: float
    k: float
    l: float  # noqa: E741  the grade's name
    acr: float


# Small sizes only, as flame effects use: CDA's table for K and L, a public B280 table for ACR.
WALLS = (
    Wall(0.250, 0, 0, 0.030),
    Wall(0.312, 0, 0, 0.032),
    Wall(0.375, 0.035, 0.030, 0.032),
    Wall(0.500, 0.049, 0.035, 0.032),
    Wall(0.625, 0.049, 0.040, 0.035),
    Wall(0.750, 0.049, 0.042, 0.035),
    Wall(0.875, 0.065, 0.045, 0.045),
    Wall(1.125, 0.065, 0.050, 0.050),
)


def _copper_lines(net: Network) -> tuple[Part, ...]:
    return tuple(p for p in net.of_kind(*_PIPES) if "copper" in material(p))


def _unstated(net: Network, *kinds: str) -> list[str]:
    """Parts of these kinds whose material is not stated, as words."""
    tags = [p.tag for p in net.of_kind(*kinds) if not material(p)]
    if not tags:
        return []
    return [f"the material of {several(tags, 1)} is not stated"]


def _grade(part: Part) -> str:
    """The grade of a copper tube as stated, or as its standard says."""
    said = part.spec.text_or("grade").upper().removeprefix("TYPE ").strip()
    if not said:
        # A size of the catalog says it too: "5/8 in OD, type L".
        in_size = re.search(r"\btype (k|l|m|acr|dwv)\b", part.spec.text_or("size").lower())
        said = in_size.group(1).upper() if in_size else ""
    return said or ("ACR" if "B280" in part.spec.text_or("standard").upper() else "")


@rule(
    "materials.copper_grade",
    level="error",
    statement="Copper tube for gas is ASTM B88 type K or L, or ASTM B280 (ACR)",
    source=_GRADE,
    needs=(JOINED,),
)
def copper_grade(ctx: Context) -> Verdict:
    net = ctx[JOINED].net
    lines = _copper_lines(net)
    unsaid = _unstated(net, *_PIPES)
    unsaid += [f"{p.tag}: state its grade:, as printed along the tube" for p in lines if not _grade(p)]
    if not lines and not unsaid:
        return not_applicable("no copper tube is described")
    return judged(
        (
            Trouble(
                join(p.at, "grade"),
                f"{p.tag} is copper tube of grade {_grade(p)}",
                "type K or L (green or blue print), or ACR tube to ASTM B280",
                "thinner tube is made for water and drains",
            )
            for p in lines
            if _grade(p) and _grade(p) not in ("K", "L", "ACR")
        ),
        unsaid,
        counted(len(lines), "copper tube"),
    )


@rule(
    "materials.copper_wall",
    level="error",
    statement="A copper tube's wall is at least that of its grade and size",
    source=_WALLS,
    needs=(JOINED,),
    wants=(FITTED,),
)
def copper_wall(ctx: Context) -> Verdict:
    fitted = ctx.get(FITTED) or {}
    lines = _copper_lines(ctx[JOINED].net)
    troubles, unsaid = [], _unstated(ctx[JOINED].net, *_PIPES)
    if not lines and not unsaid:
        return not_applicable("no copper tube is described")
    for p in lines:
        outside: Quantity | Constant | None = p.spec.quantity_or_none("outside")
        wall: Quantity | Constant | None = p.spec.quantity_or_none("wall")
        if outside is None and wall is None and p.tag in fitted:
            # What a size of the catalog is made to, has its grade's wall by that.
            outside, wall = fitted[p.tag].measures.get("outside"), fitted[p.tag].measures.get("wall")
        grade = _grade(p)
        if outside is None or wall is None or grade not in ("K", "L", "ACR"):
            unsaid.append(f"{p.tag}: its wall is not known without grade:, outside: and wall:")
            continue
        row = next((w for w in WALLS if abs(w.outside * INCH - outside.si) < 0.005 * INCH), None)
        least = 0.0 if row is None else {"K": row.k, "L": row.l, "ACR": row.acr}[grade]
        if not least:
            unsaid.append(f"{p.tag}: {outside.text} outside is no size of {grade} tube allowed")
        elif wall.si < (least - 0.0005) * INCH:  # half of the last digit that the table prints
            troubles.append(
                Trouble(
                    join(p.at, "wall"),
                    f"{p.tag} has a wall of {wall.text}; {grade} tube of this size has {least:.3f} in",
                    "tube with the wall of its grade, measured with a caliper at a cut end",
                    "tube thinner than its grade is another grade, or worn",
                )
            )
    return judged(troubles, unsaid, counted(len(lines), "copper tube"))


def _is_cast_iron(part: Part) -> bool:
    return bool(re.search(r"cast[ -]iron|gr[ae]y iron", material(part))) and "ductile" not in material(part)


def _of_no(
    what: str,
    bad: Callable[[Part], bool],
    parts: Sequence[Part],
    thing: str,
    none: str,
    fix: str,
    why: str,
) -> Verdict:
    """How a rule ends that none of some parts is of a material: one that does not state its own is not checked."""

    def judge(part: Part) -> Iterator[Trouble | str]:
        if bad(part):
            yield Trouble(join(part.at, "material"), f"{part.tag} is of {what}", fix, why)
        elif not material(part):
            yield f"the material of {part.tag} is not stated"

    return each(parts, judge, thing, none)


@rule(
    "materials.cast_iron_bushing",
    level="error",
    statement="No bushing is of cast iron",
    source=Citation("irc-2018", "G2414.10: cast-iron bushings are prohibited", "read"),
    needs=(JOINED,),
)
def cast_iron_bushing(ctx: Context) -> Verdict:
    return _of_no(
        "cast iron",
        _is_cast_iron,
        [p for p in ctx[JOINED].net.of_kind("fitting") if p.form == "bushing"],
        "bushing",
        "no bushing is described",
        "a bushing of steel, malleable iron or brass, or a reducing coupling",
        "its thin wall cracks when it is tightened",
    )


@rule(
    "materials.cast_iron_pipe",
    level="error",
    statement="No gas pipe is of cast iron",
    source=Citation("ifgc-1997", "403.2.1: cast-iron pipe is not used", "read"),
    needs=(JOINED,),
)
def cast_iron_pipe(ctx: Context) -> Verdict:
    return _of_no(
        "cast iron",
        _is_cast_iron,
        ctx[JOINED].net.of_kind(*_PIPES),
        "line",
        "no pipe or tube is described",
        "steel pipe, schedule 40 or heavier",
        "it breaks at a knock",
    )


def _aluminum(part: Part) -> bool:
    return bool(re.search(r"alumini?um", material(part)))


@rule(
    "materials.aluminum",
    level="error",
    statement="No fitting of aluminum alloy seals by its threads",
    source=Citation("minnesota-1346-5403", "403.10.4: threads of aluminum alloy fittings are not the seal", "read"),
    needs=(JOINED,),
    was=("materials.aluminium",),
)
def aluminum(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    fittings = [p for p in j.net.of_kind("fitting") if _aluminum(p)]
    unsaid = _unstated(j.net, "fitting")
    if not fittings and not unsaid:
        return not_applicable("no fitting of aluminum is described")
    bare = {tag for link in j.bare for tag in link}
    unsaid += [f"nothing is said of how {p.tag} is joined" for p in fittings if p.tag in bare]
    return judged(
        (
            Trouble(
                join(joint.at, "method"),
                f"{joint.words} seals on the threads of {p.tag}, which is of aluminum",
                "a fitting of steel or brass, or one that seals on a face or a flare",
                "soft threads gall and leak",
            )
            for joint in j.by("threaded")
            for p in joint.parts
            if p in fittings
        ),
        unsaid,
        counted(len(fittings), "aluminum fitting"),
    )


@rule(
    "materials.aluminum_pipe",
    level="warning",
    statement="Gas pipe and tube of aluminum is not used outdoors where it gets wet",
    source=Citation("nfpa-54", "aluminum pipe and tube, 5.6 in editions remembered", "memory"),
    needs=(JOINED,),
    was=("materials.aluminium_pipe",),
)
def aluminum_pipe(ctx: Context) -> Verdict:
    return _of_no(
        "aluminum",
        _aluminum,
        ctx[JOINED].net.of_kind(*_PIPES),
        "line",
        "no pipe or tube is described",
        "steel, copper or stainless steel; or a dry place, and the authority's word",
        "wet aluminum corrodes, and it melts at the warmth of a wood fire",
    )


_PLASTIC = re.compile(r"\b(plastic|pvc|cpvc|pe|pex|hdpe|mdpe|polyethylene|nylon|polyamide|abs|vinyl|acrylic)\b")


@rule(
    "materials.plastic",
    level="error",
    statement="Nothing above ground that holds or burns gas is of plastic, hoses apart",
    source=Citation("nfpa-54", "plastic pipe only underground outdoors; section not read", "memory"),
    needs=(JOINED,),
)
def plastic(ctx: Context) -> Verdict:
    return _of_no(
        "plastic",
        lambda part: bool(_PLASTIC.search(material(part))),
        ctx[JOINED].net.of_kind(*_PIPES, "fitting", "valve", "orifice", "accumulator", "burner", "pilot"),
        "part",
        "no part of the kind is described",
        "metal, or a hose marked for LP-gas",
        "plastic softens in the sun and is gone in a fire, with the gas behind it",
    )


_AIR_WORDS = re.compile(r"\b(air|pneumatic|compressor)\b", re.IGNORECASE)


@rule(
    "materials.air_rated",
    level="error",
    statement="Hoses, valves, regulators and gauges that hold gas are made for it, not for compressed air",
    source=_AIR,
    needs=(JOINED,),
)
def air_rated(ctx: Context) -> Verdict:
    parts = ctx[JOINED].net.of_kind("hose", "valve", "regulator", "gauge", "accumulator")
    if not parts:
        return not_applicable("no hose, valve, regulator, gauge or accumulator is described")
    troubles, unsaid = [], []
    for p in parts:
        made_for = p.spec.text_or("made_for")
        words = "; ".join(p.spec.text_or(key) for key in ("title", "material", "marking", "standard"))
        gas = any(says_gas(p.spec.text_or(key)) for key in ("title", "material", "marking", "standard"))
        air = bool(_AIR_WORDS.search(words))
        if made_for in ("lp_gas", "fuel_gas") and (gas or not air):
            continue
        if not made_for and gas and not air:
            continue
        # Its marking says air and nothing says gas, or its maker sells it for something else.
        if made_for not in ("", "lp_gas", "fuel_gas") or (air and not gas):
            troubles.append(
                Trouble(
                    join(p.at, "made_for") if made_for else p.at,
                    f"{p.tag} ({p.title}) is made for {'air' if air else made_for.replace('_', ' ')}",
                    "one that its maker sells for LP-gas",
                    "propane swells and cracks seals and linings that are made for something else",
                )
            )
        else:
            unsaid.append(f"{p.tag}: state what it is made for (made_for:)")
    return judged(troubles, unsaid, counted(len(parts), "part"))


_FIVE = 5 * 6894.757293168
_RATED = 350 * 6894.757293168


@rule(
    "materials.hose_marking",
    level="error",
    statement="Hose that may see more than 5 psig is rated 350 psi and marked for LP-gas with that pressure "
    "(an event's rule, taken as a good one for any)",
    source=_HOSE,
    needs=(JOINED,),
)
def hose_marking(ctx: Context) -> Verdict:
    net = ctx[JOINED].net
    hoses = net.of_kind("hose")
    if not hoses:
        return not_applicable("no hose is described")
    troubles, unsaid, may_see = [], [], 0
    for hose in hoses:
        sources = net.first_above(hose.tag, "regulator", "cylinder")
        regulators = [p for p in sources if p.kind == "regulator"]
        settings = [max(r.spec.quantity(k).si for k in ("set", "highest") if r.spec.has(k)) for r in regulators]
        from_cylinder = len(regulators) < len(sources)
        if not sources or (not from_cylinder and max(settings) <= _FIVE * (1 + 1e-9)):
            unstated = [r.tag for r in regulators if not r.spec.has("highest")]
            if unstated or not sources:
                what = f"highest: of {unstated[0]}" if unstated else "a run that feeds it"
                unsaid.append(f"{hose.tag}: what it may see is not known without {what}")
            continue
        may_see += 1
        rating, marking = hose.spec.quantity_or_none("rating"), hose.spec.text_or("marking")
        sees = "cylinder pressure" if from_cylinder else f"up to {show(max(settings), 'gauge_pressure', 'psig', 3)}"
        if rating is not None and rating.si < _RATED * (1 - 1e-9):
            troubles.append(
                Trouble(
                    join(hose.at, "rating"),
                    f"the hose {hose.tag} sees {sees}, above 5 psig, and is rated {rating.text}",
                    "LP-gas hose of 350 psi working pressure",
                    "a hose is the first part to fail when a regulator does",
                )
            )
        if marking and not (says_gas(marking) and re.search(r"\b350\b", marking)):
            troubles.append(
                Trouble(
                    join(hose.at, "marking"),
                    f"the hose {hose.tag} sees {sees} and is marked {marking!r}",
                    "hose marked along its length for LP-gas, with 350 psi",
                    "the marking is how anyone can tell it from air or water hose",
                )
            )
        if rating is None or not marking:
            what = " and ".join(w for w, absent in (("rating:", rating is None), ("marking:", not marking)) if absent)
            unsaid.append(f"{hose.tag}: state its {what}")
    if not may_see and not unsaid:
        return not_applicable("no hose sees more than 5 psig")
    return judged(troubles, unsaid, counted(may_see, "hose"))


PASSES = (
    copper_grade,
    copper_wall,
    cast_iron_bushing,
    cast_iron_pipe,
    aluminum,
    aluminum_pipe,
    plastic,
    air_rated,
    hose_marking,
)
