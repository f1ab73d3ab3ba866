"""Rules on what pipes, tubes, fittings and hoses are made of and made for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from specc import Citation, Context, Cure, Trouble, Unchecked, Verdict, answers_of, not_applicable, rule, show
from specc.kinds.copper import COPPER_TUBES
from specc.kinds.plumbing import FITTED, Network, Part
from specc.measure.units import INCH, PSI, find
from specc.model.passes import Judging, judged, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.agree import other_use
from specc_materials.joined import JOINED, says_gas
from specc_materials.made import made_of
from specc_materials.reading import NAMES, read
from specc_materials.stuffs import Family
from specc_materials.tubes import GRADES

if TYPE_CHECKING:
    from specc.model.values import Constant, Quantity

_PIPES = ("pipe", "tube")
_GRADE = Citation("nfpa-54", "copper tube: ASTM B88 type K or L, or ASTM B280; read for another fuel only", "memory")
_WALLS = Citation("cda-tube-dimensions", "walls of types K and L; B280 from another public table", "read")
_AIR = Citation("california-8-474", "(b): LP-gas is kept out of devices made for air", "read")
_HOSE = Citation("event-hose-rule", "hose above 5 psi: 350 psi working, marked for LP-gas and pressure", "read")


def _copper_lines(net: Network) -> tuple[Part, ...]:
    return tuple(p for p in net.of_kind(*_PIPES) if made_of(p).copper)


def _unstated(parts: Iterable[Part]) -> list[str]:
    """What has to be asked of these parts' materials: what is not stated, and what is on no list of names."""
    asked = [q for p in parts if (q := made_of(p).asked)]
    more = f"; so of {len(asked) - 1} more" if len(asked) > 1 else ""
    return [Unchecked(f"{asked[0]}{more}", *answers_of(*asked))] if asked else []


def _grade(part: Part) -> str:
    """The grade of a copper tube as its grade, material, size or standard says it, "" when none does. Of several the
    first; that they disagree is found by itself."""
    reading = made_of(part).reading
    if reading.grades:
        return reading.grades[0]
    said = part.spec.text_or("grade").upper().removeprefix("TYPE ").strip()
    by_standard = [s.grades[0] for s in reading.standards if len(s.grades) == 1]
    return said or (by_standard[0] if by_standard else "")


_FOR_GAS = ("K", "L", "ACR", "G")


def _worst_grade(part: Part) -> str:
    """The grade, and where two are said the one that is not for gas."""
    said = (*made_of(part).reading.grades, _grade(part))
    return next((g for g in said if g not in _FOR_GAS), said[0])


def _says_grade(part: Part) -> str:
    """The key that says it."""
    by_name = _worst_grade(part) in read(part.spec.text_or("material")).grades
    return "material" if by_name or not part.spec.has("grade") else "grade"


def _is_g(part: Part) -> bool:
    return _worst_grade(part) in ("G", "GAS")


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
    unsaid = _unstated(net.of_kind(*_PIPES))
    unsaid += [
        Unchecked(f"{p.tag}: state its grade:, as printed along the tube", join(p.at, "grade"))
        for p in lines
        if not _grade(p)
    ]
    unsaid += [
        Unchecked(f"{p.tag}: {p.spec.text_or('grade')!r} is no grade on its lists, as printed along the tube", p.at)
        for p in lines
        if _worst_grade(p) not in ("", "GAS", *GRADES)
    ]
    unsaid += [asked for p in lines if (asked := made_of(p).hinted)]
    # Made for gas, and in none of the lists that were read.
    unsaid += [f"{p.tag}: whether fuel gas tube (ASTM B837) is allowed is for the authority" for p in lines if _is_g(p)]
    if not lines and not unsaid:
        return not_applicable("no copper tube is described")
    return judged(
        (
            Trouble(
                join(p.at, _says_grade(p)),
                f"{p.tag} is copper tube of grade {_worst_grade(p)}",
                "type K or L (green or blue print), or ACR tube to ASTM B280",
                "thinner tube is made for water and drains",
            )
            for p in lines
            if not _is_g(p) and _worst_grade(p) in GRADES and _worst_grade(p) not in _FOR_GAS
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
    recalls=(NAMES,),
)
def copper_wall(ctx: Context) -> Judging:
    fitted = ctx.get(FITTED) or {}
    lines = _copper_lines(ctx[JOINED].net)
    unsaid = _unstated(ctx[JOINED].net.of_kind(*_PIPES))
    if not lines and not unsaid:
        return not_applicable("no copper tube is described")
    yield from unsaid
    for p in lines:
        outside: Quantity | Constant | None = p.spec.quantity_or_none("outside")
        wall: Quantity | Constant | None = p.spec.quantity_or_none("wall")
        if outside is None and wall is None and p.tag in fitted:
            # What a size of the catalog is made to, has its grade's wall by that.
            outside, wall = fitted[p.tag].measures.get("outside"), fitted[p.tag].measures.get("wall")
        grade = _grade(p)
        if outside is None or wall is None or grade not in ("K", "L", "ACR"):
            keys = ("grade", "outside", "wall")
            lacks = [key for key in keys if not p.spec.has(key)] or keys
            said = f"{p.tag}: its wall is not known without grade:, outside: and wall:"
            yield Unchecked(said, *(join(p.at, key) for key in lacks))
            continue
        made = next((t for t in COPPER_TUBES.values() if abs(t.outside * INCH - outside.si) < 0.005 * INCH), None)
        least = min((w.wall for w in made.walls if w.type == grade), default=0.0) if made else 0.0
        if not least:
            said = f"{p.tag}: {outside.text} outside is no size of {grade} tube allowed"
            yield Unchecked(said, join(p.at, "outside"))
        elif wall.si < (least - 0.0005) * INCH:  # half of the last digit that the table prints
            yield Trouble(
                join(p.at, "wall"),
                f"{p.tag} has a wall of {wall.text}; {grade} tube of this size has {least:.3f} in",
                "tube with the wall of its grade, measured with a caliper at a cut end",
                "tube thinner than its grade is another grade, or worn",
                cure=Cure(f"{least:.3f} in would pass", ((join(p.at, "wall"), f"{least:.3f} in"),)),
            )
    return passed(counted(len(lines), "copper tube"))


def _none_of(material: Family, parts: Sequence[Part], thing: str, none: str, fix: str, why: str) -> Verdict:
    """How a rule ends by which no part of these is of a material. `thing` counts them; `none`: there are none."""
    if not parts:
        return not_applicable(none)
    return judged(
        (
            Trouble(join(p.at, "material"), f"{p.tag} is of {material}", fix, why)
            for p in parts
            if made_of(p).of(material)
        ),
        _unstated(parts),
        counted(len(parts), thing),
    )


@rule(
    "materials.cast_iron_bushing",
    level="error",
    statement="No bushing is of cast iron",
    source=Citation("irc-2018", "G2414.10: cast-iron bushings are prohibited", "read"),
    needs=(JOINED,),
    recalls=(NAMES,),
)
def cast_iron_bushing(ctx: Context) -> Verdict:
    bushings = [p for p in ctx[JOINED].net.of_kind("fitting") if p.form == "bushing"]
    fix = "a bushing of steel, malleable iron or brass, or a reducing coupling"
    why = "its thin wall cracks when it is tightened"
    return _none_of("cast iron", bushings, "bushing", "no bushing is described", fix, why)


@rule(
    "materials.cast_iron_pipe",
    level="error",
    statement="No gas pipe is of cast iron",
    source=Citation("ifgc-1997", "403.2.1: cast-iron pipe is not used", "read"),
    needs=(JOINED,),
    recalls=(NAMES,),
)
def cast_iron_pipe(ctx: Context) -> Verdict:
    pipes = ctx[JOINED].net.of_kind(*_PIPES)
    fix, why = "steel pipe, schedule 40 or heavier", "it breaks at a knock"
    return _none_of("cast iron", pipes, "line", "no pipe or tube is described", fix, why)


@rule(
    "materials.aluminum",
    level="error",
    statement="No fitting of aluminum alloy seals by its threads",
    source=Citation("minnesota-1346-5403", "403.10.4: threads of aluminum alloy fittings are not the seal", "read"),
    needs=(JOINED,),
    was=("materials.aluminium",),
    recalls=(NAMES,),
)
def aluminum(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    fittings = [p for p in j.net.of_kind("fitting") if made_of(p).of("aluminum")]
    unsaid = _unstated(j.net.of_kind("fitting"))
    if not fittings and not unsaid:
        return not_applicable("no fitting of aluminum is described")
    bare = {tag for link in j.bare for tag in link}
    unjoined = (p for p in fittings if p.tag in bare)
    unsaid += [Unchecked(f"nothing is said of how {p.tag} is joined", "/plumbing/joints") for p in unjoined]
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
    pipes = ctx[JOINED].net.of_kind(*_PIPES)
    fix = "steel, copper or stainless steel; or a dry place, and the authority's word"
    why = "wet aluminum corrodes, and it melts at the warmth of a wood fire"
    return _none_of("aluminum", pipes, "line", "no pipe or tube is described", fix, why)


@rule(
    "materials.plastic",
    level="error",
    statement="Nothing above ground that holds or burns gas is of plastic, hoses apart",
    source=Citation("nfpa-54", "plastic pipe only underground outdoors; section not read", "memory"),
    needs=(JOINED,),
)
def plastic(ctx: Context) -> Verdict:
    kinds = (*_PIPES, "fitting", "valve", "orifice", "accumulator", "burner", "pilot")
    fix = "metal, or a hose marked for LP-gas"
    why = "plastic softens in the sun and is gone in a fire, with the gas behind it"
    return _none_of("plastic", ctx[JOINED].net.of_kind(*kinds), "part", "no part of the kind is described", fix, why)


# What gas is piped in, and what is too soft for it, breaks or burns. A regulator's body may be a zinc casting.
_STRONG: tuple[Family, ...] = ("steel", "stainless", "iron", "cast iron", "copper", "copper alloy", "aluminum")
_WEAK: tuple[Family, ...] = ("zinc", "lead", "cadmium", "rubber", "wood", "fabric", "mineral")


@rule(
    "materials.gas_metal",
    level="error",
    statement="What gas is piped in is of steel, iron, brass, bronze, copper or aluminum, none of zinc alloy or lead",
    source=Citation("nfpa-54", "materials of pipe, fittings and valves; sections not read", "memory"),
    needs=(JOINED,),
)
def gas_metal(ctx: Context) -> Judging:
    parts = ctx[JOINED].net.of_kind(*_PIPES, "fitting", "valve", "orifice", "accumulator")
    if not parts:
        return not_applicable("no part of the kind is described")
    for p in parts:
        made = made_of(p)
        weak = next((s for s in made.stuffs if s.family in _WEAK), None)
        strange = next((s for s in made.stuffs if s.family == "other metal"), None)
        strong = made.copper or made.of(*_STRONG)
        if weak and not strong:
            yield Trouble(
                join(p.at, "material"),
                f"{p.tag} holds gas and is of {weak.title}",
                "one of steel, malleable iron or brass",
                "castings of zinc and lead crack at their threads and melt early in a fire",
            )
        elif weak and weak.family in ("zinc", "lead", "cadmium"):
            yield Unchecked(f"{p.tag}: say which of {made.said!r} holds the gas", join(p.at, "material"))
        elif strange and not strong:
            yield f"{p.tag}: whether {strange.title} may hold gas is for the authority"
        elif made.asked:
            yield made.asked
    return passed(counted(len(parts), "part"))


_SAYS_USE = ("title", "material", "marking", "standard", "listing")


def _for_air(part: Part) -> bool:
    """Whether a fitting is said to be for something else than gas: an air coupler, a fitting for refrigerant."""
    says = [part.spec.text(key) for key in _SAYS_USE if part.spec.has(key)]
    return part.spec.text_or("made_for") not in ("", "lp_gas", "fuel_gas") or (
        bool(other_use(part, "; ".join(says))) and not any(says_gas(text) for text in says)
    )


@rule(
    "materials.air_rated",
    level="error",
    statement="Hoses, valves, regulators and gauges that hold gas are made for it, not for compressed air",
    source=_AIR,
    needs=(JOINED,),
    rests_on=("plumbing.made_for", "plumbing.marking"),
)
def air_rated(ctx: Context) -> Judging:
    """Fittings are sold for gas and air alike, and need not say what for; one that says air is found."""
    net = ctx[JOINED].net
    fittings = [p for p in net.of_kind("fitting", "pipe", "tube", "orifice") if _for_air(p)]
    parts = (*net.of_kind("hose", "valve", "regulator", "gauge", "accumulator"), *fittings)
    if not parts:
        return not_applicable("no hose, valve, regulator, gauge or accumulator is described")
    for p in parts:
        made_for = p.spec.text_or("made_for")
        words = "; ".join(p.spec.text_or(key) for key in _SAYS_USE)
        gas = any(says_gas(p.spec.text_or(key)) for key in _SAYS_USE)
        other = other_use(p, words)
        if made_for in ("lp_gas", "fuel_gas") and (gas or not other):
            continue
        if not made_for and gas and not other:
            continue
        # Its marking says air and nothing says gas, or its maker sells it for something else.
        if made_for not in ("", "lp_gas", "fuel_gas") or (other and not gas):
            yield Trouble(
                join(p.at, "made_for") if made_for else p.at,
                f"{p.tag} ({p.title}) is made for {other or made_for.replace('_', ' ')}",
                "one that its maker sells for LP-gas",
                "propane swells and cracks seals and linings that are made for something else",
            )
        else:
            yield Unchecked(f"{p.tag}: state what it is made for (made_for:)", join(p.at, "made_for"))
    return passed(counted(len(parts), "part"))


_FIVE = 5 * PSI
_RATED = 350 * PSI
_NUMBER = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?)\s*([A-Za-z]+)\b")
_TO_BURST = re.compile(r"\b(?:burst|test|proof)\w*\W*(?:pressure|at)?\W*$", re.IGNORECASE)
_OF_BURST = re.compile(r"\W*(?:min(?:imum)?\W*)?(?:burst|test|proof)", re.IGNORECASE)
_ROUNDED = 0.01  # 350 psi is also printed as 24 bar and 2.4 MPa


def _works_at(marking: str) -> float | None:
    """The pressure that a marking has the hose work at, Pa; what it bursts or was tested at is none."""
    for number in _NUMBER.finditer(marking):
        unit = find(number[2], "gauge_pressure")
        before, after = marking[: number.start()], marking[number.end() :]
        if unit is not None and not _TO_BURST.search(before) and not _OF_BURST.match(after):
            return float(number[1]) * unit.factor
    return None


@rule(
    "materials.hose_marking",
    level="error",
    statement="Hose that may see more than 5 psig is rated 350 psi and marked for LP-gas with that pressure "
    "(an event's rule, taken as a good one for any)",
    source=_HOSE,
    needs=(JOINED,),
    rests_on=("plumbing.rating", "plumbing.marking"),
)
def hose_marking(ctx: Context) -> Judging:
    net = ctx[JOINED].net
    hoses = net.of_kind("hose")
    if not hoses:
        return not_applicable("no hose is described")
    above, below = 0, 0  # hoses known to see more than 5 psig, and known not to
    for hose in hoses:
        sources = net.first_above(hose.tag, "regulator", "cylinder")
        regulators = [p for p in sources if p.kind == "regulator"]
        settings = [max(r.spec.quantity(k).si for k in ("set", "highest") if r.spec.has(k)) for r in regulators]
        from_cylinder = len(regulators) < len(sources)
        if not sources or (not from_cylinder and max(settings) <= _FIVE * (1 + 1e-9)):
            unstated = [r.tag for r in regulators if not r.spec.has("highest")]
            if unstated or not sources:
                what = f"highest: of {unstated[0]}" if unstated else "a run that feeds it"
                at = [join("/plumbing/parts", tag, "highest") for tag in unstated] or ["/plumbing/runs"]
                yield Unchecked(f"{hose.tag}: what it may see is not known without {what}", *at)
            else:
                below += 1
            continue
        above += 1
        rating, marking = hose.spec.quantity_or_none("rating"), hose.spec.text_or("marking")
        sees = "cylinder pressure" if from_cylinder else f"up to {show(max(settings), 'gauge_pressure', 'psig', 3)}"
        if rating is not None and rating.si < _RATED * (1 - 1e-9):
            yield Trouble(
                join(hose.at, "rating"),
                f"the hose {hose.tag} sees {sees}, above 5 psig, and is rated {rating.text}",
                "LP-gas hose of that working pressure",
                "a hose is the first part to fail when a regulator does",
                cure=Cure("350 psi would pass", ((join(hose.at, "rating"), "350 psi"),)),
            )
        if marking and not (says_gas(marking) and (_works_at(marking) or 0.0) >= _RATED * (1 - _ROUNDED)):
            yield Trouble(
                join(hose.at, "marking"),
                f"the hose {hose.tag} sees {sees} and is marked {marking!r}",
                "hose marked along its length for LP-gas, with its pressure",
                "the marking is how anyone can tell it from air or water hose",
                cure=Cure("LP-GAS 350 PSI would pass", ((join(hose.at, "marking"), "LP-GAS 350 PSI"),)),
            )
        if rating is None or not marking:
            lacks = [key for key, absent in (("rating", rating is None), ("marking", not marking)) if absent]
            said = f"{hose.tag}: state its {' and '.join(f'{key}:' for key in lacks)}"
            yield Unchecked(said, *(join(hose.at, key) for key in lacks))
    if below == len(hoses):
        return not_applicable("no hose sees more than 5 psig")
    return passed(counted(above, "hose"))._replace(tags=tuple(h.tag for h in hoses))
