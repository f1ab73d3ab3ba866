"""Rules on vessels: the plate of an accumulator, propane cylinders used as one, cylinders whose numbers do not fit."""

from __future__ import annotations

import contextlib
import math
import re

from specc import (
    Citation,
    Context,
    Cure,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    authority_decides,
    not_applicable,
    rule,
    show,
)
from specc.kinds.plumbing import Network, Part
from specc.kinds.show import SHOW
from specc.kinds.weather import CASES
from specc.model.passes import Judging, judged, passed
from specc.model.view import Unreadable, View, join
from specc.model.wording import counted, says, takes_back
from specc_materials.cylinders import cylinder_type, last_day, next_due
from specc_materials.joined import JOINED

_PLATE = Citation("asme-viii-1", "UG-116, UG-119: marks on the vessel or its nameplate", "memory")
_REBUILT = Citation("cfr-49-180", "180.211(a): a cylinder is repaired or rebuilt only under an approval", "read")
_ONCE = Citation("cfr-49-178", "178.65: DOT 39 cylinders are not refilled", "reprint")

# What a stamped vessel shows, in the spec's words and in a reader's.
PLATE = {
    "pressure": "its pressure",
    "temperature": "the temperature at which that holds",
    "maker": "its maker",
    "serial": "its serial number",
    "year": "the year it was made",
}
_DOT = re.compile(r"\b(?:DOT|TC|ICC|CTC)[ -]*(?:4|39)", re.IGNORECASE)
_FILL = 0.42  # kg of propane to each kg of water that a cylinder holds; U-4 of WAC 296-307-41037 has 41 to 43 %
_WATER = 1000.0  # kg/m3
# Empty weight over what it holds: common cylinders of 1 to 100 lb have 0.65 to 1.5 (no published source).
_LIGHT, _HEAVY = 0.4, 2.5
# What it holds over what its outside would: common cylinders of 1 to 420 lb have 0.55 to 0.8 (no published source).
_ROOMY = 0.4


# A propane cylinder in plain words, and what was done to it.
_IN_WORDS = re.compile(r"\b(?:propane|LP(?:-?gas|G)?|BBQ|grill)\b[ -]*(?:cylinder|tank|bottle)", re.IGNORECASE)
_ALTERED = re.compile(r"\b(drilled|tapped|welded|bushed|bung)\b", re.IGNORECASE)
_HOLED = re.compile(r"\b(drilled|tapped|bushed|bung)\b", re.IGNORECASE)


def _words(part: Part) -> str:
    return " ".join(part.spec.text_or(key) for key in ("title", "material", "note", "marking"))


def is_cylinder(part: Part) -> bool:
    """Whether an accumulator is a propane cylinder: by its form, its marking, or what it is called."""
    called = _DOT.search(part.spec.text_or("marking")) or _IN_WORDS.search(_words(part))
    return part.form == "propane_cylinder" or bool(called)


def _altered(part: Part) -> str:
    """What was done to it, as `altered:` or its title and note have it; "" when nothing is said."""
    said, in_words = (
        part.spec.text_or("altered"),
        _ALTERED.search(f"{part.spec.text_or('title')} {part.spec.text_or('note')}"),
    )
    return in_words[1].lower() if in_words and said in ("", "none") else said


def _supply_altered(part: Part) -> str:
    """What was done to a cylinder that gas is drawn from. Its maker may call it welded."""
    said, in_words = part.spec.text_or("altered"), _HOLED.search(part.spec.text_or("title"))
    return in_words[1].lower() if in_words and said in ("", "none") else said


def _fed_cylinders(net: Network) -> tuple[Part, ...]:
    """Cylinders that gas is led into, behind a regulator: they are accumulators by what they do."""
    return tuple(c for c in net.of_kind("cylinder") if any(p.kind == "regulator" for p in net.upstream(c.tag)))


def _stamped(plate: View, key: str) -> bool:
    """Whether what a plate is said to have is told, and neither denied nor doubted."""
    return key not in ("maker", "serial") or (says(plate.text(key)) and not takes_back(plate.text(key)))


@rule(
    "materials.vessel_marking",
    level="error",
    statement="Each accumulator carries a plate with its pressure, temperature, maker, serial number and year",
    source=_PLATE,
    needs=(JOINED, SHOW, CASES),
    rests_on=("plumbing.plate",),
)
def vessel_marking(ctx: Context) -> Judging:
    """The word ASME in a marking is no stamp. A propane cylinder used as an accumulator has a rule of its own."""
    last, cases = last_day(ctx[SHOW]), ctx[CASES]
    hottest = max(cases, key=lambda case: case.liquid.si)
    vessels = [p for p in ctx[JOINED].net.of_kind("accumulator") if not is_cylinder(p)]
    if not vessels:
        ctx[JOINED].net.all_read()
        return not_applicable("no accumulator but a propane cylinder is described")
    for part in vessels:
        plate = part.spec.child("plate")
        lacking = [words for key, words in PLATE.items() if not plate.has(key) or not _stamped(plate, key)]
        stamped, rating = plate.quantity_or_none("pressure"), part.spec.quantity_or_none("rating")
        holds_to, year = plate.quantity_or_none("temperature"), plate.text_or("year")
        if lacking:
            yield Trouble(
                join(part.at, "plate") if part.spec.has("plate") else part.at,
                f"the plate of {part.tag} is not described: {', '.join(lacking)}",
                "plate: {pressure:, temperature:, maker:, serial:, year:} as stamped; a vessel without a plate is "
                "not used",
                "a vessel that nobody stands behind with a number may hold, or burst, and nobody can tell",
            )
        if stamped is not None and rating is not None and rating.si > stamped.si * (1 + 1e-9):
            yield Trouble(
                join(part.at, "rating"),
                f"{part.tag} is rated {rating.text} here, and its plate says {stamped.text}",
                f"rating: {stamped.text}, as on the plate",
            )
        if holds_to is not None and holds_to.si < hottest.liquid.si:
            yield Trouble(
                join(part.at, "plate", "temperature"),
                f"the plate of {part.tag} holds to {holds_to.text}, and the sun may warm it to "
                f"{show(hottest.liquid.si, 'temperature', '°F')}",
                "the temperature that the plate gives beside its pressure; or a vessel for more",
                "above it nobody stands behind the pressure",
            )
        if year.isdigit() and last is not None and int(year) > last.year:
            yield Trouble(
                join(part.at, "plate", "year"),
                f"the plate of {part.tag} is of {year}, after the event",
                "the year on the plate",
            )
    return passed(f"{counted(len(vessels), 'vessel')}; what a plate says is stated, not seen")


@rule(
    "materials.cylinder_as_vessel",
    level="error",
    statement="A propane cylinder is as its maker made it; as an accumulator, also in date and never filled, and the "
    "authority decides",
    source=_REBUILT,
    needs=(JOINED, SHOW),
)
def cylinder_as_vessel(ctx: Context) -> Judging:
    net, last = ctx[JOINED].net, last_day(ctx[SHOW])
    fed = _fed_cylinders(net)
    used = (*(p for p in net.of_kind("accumulator") if is_cylinder(p)), *fed)
    unsaid = []
    for part in (*used, *(c for c in net.of_kind("cylinder") if c not in fed)):
        altered = _altered(part) if part in used else _supply_altered(part)
        if altered not in ("", "none"):
            yield Trouble(
                join(part.at, "altered") if part.spec.has("altered") else part.at,
                f"{part.tag}, a propane cylinder, is {altered}",
                "a vessel with a plate; a cylinder with other holes or welds than its maker's is scrap",
                "its marks hold for the cylinder as it was made, and nobody has tested this one",
            )
    if not used:
        ctx[JOINED].net.all_read()
        return not_applicable("no propane cylinder is used as an accumulator")
    for part in used:
        if not _altered(part):
            unsaid.append(
                Unchecked(f"{part.tag}: state altered: (none, drilled, welded or bushed)", join(part.at, "altered"))
            )
        if part in fed or part.spec.yes("filled"):
            yield Trouble(
                join(part.at, "filled") if part.spec.yes("filled") else part.at,
                f"{part.tag} holds liquid propane, and gas is led into it as into an accumulator",
                "a vessel of its own for the gas, never one that is filled",
                "a burst from it throws liquid, which burns many times larger than gas",
            )
        due = next_due(part)
        if due.on is None:
            unsaid.append(Unchecked(f"{part.tag}: {due.why}", *answers_of(due.why)))
        elif last is not None and due.on <= last:
            yield Trouble(
                join(part.at, "requalified" if part.spec.has("requalified") else "made"),
                f"{part.tag}, a propane cylinder, was due for requalification in {due.on:%Y-%m}",
                "one that is in date on the event's last day",
            )
    if unsaid:
        yield from unsaid
        return passed(counted(len(used), "cylinder"))
    return authority_decides(
        f"{', '.join(p.tag for p in used)}: as an accumulator, a propane cylinder is outside what it is marked for"
    )


@rule(
    "materials.cylinder_size",
    level="error",
    statement="What a cylinder is said to hold goes into its size, and fits its empty weight",
    source=Citation("wac-296-307", "Table U-4: propane at most 42 % of the water it holds", "read"),
    needs=(JOINED,),
    rests_on=("plumbing.capacity", "plumbing.diameter", "plumbing.height", "plumbing.tare"),
)
def cylinder_size(ctx: Context) -> Judging:
    cylinders = ctx[JOINED].net.of_kind("cylinder")
    if not cylinders:
        ctx[JOINED].net.all_read()
        return not_applicable("no cylinder is described")
    for c in cylinders:
        capacity = c.spec.quantity("capacity")
        d, h = c.spec.quantity_or_none("diameter"), c.spec.quantity_or_none("height")
        holds, tare = c.spec.quantity_or_none("contents"), None
        with contextlib.suppress(Unreadable):  # reported where it stands; the size is judged all the same
            tare = c.spec.quantity_or_none("tare")
            if tare is None:
                yield Unchecked(f"{c.tag}: state its tare:", join(c.at, "tare"))
        if holds is not None and holds.si > capacity.si * (1 + 1e-9):
            yield Trouble(
                holds.at,
                f"{c.tag} is said to be brought with {holds.text} in it, and {capacity.text} is its capacity",
                "what it weighs as brought, less its tare",
                "liquid that fills a cylinder opens its relief valve as soon as the sun warms it",
                cure=Cure(f"{capacity.text} would pass", ((holds.at, capacity.text),)),
            )
        if d is not None and h is not None:
            most = _FILL * _WATER * math.pi * d.si**2 / 4 * h.si
            if capacity.si > most * (1 + 1e-9):
                yield Trouble(
                    join(c.at, "capacity"),
                    f"{c.tag} is said to hold {capacity.text}, and {d.text} by {h.text} hold at most "
                    f"{show(most, 'mass', 'lb', 2)}",
                    "what is stamped or painted on it, and its size outside",
                    "gas that is not there is counted on",
                )
            elif capacity.si < _ROOMY * most:
                yield Trouble(
                    join(c.at, "diameter"),
                    f"{c.tag} is said to hold {capacity.text}, and {d.text} by {h.text} hold up to "
                    f"{show(most, 'mass', 'lb', 2)}: it would be mostly air",
                    "its size outside, measured, and what is stamped on it",
                    "its wall takes in the warmth that boils gas off: one that is too large on paper gives too much",
                )
        else:
            yield Unchecked(f"{c.tag}: state its diameter: and height:", join(c.at, "diameter"), join(c.at, "height"))
        if tare is not None and not _LIGHT * capacity.si <= tare.si <= _HEAVY * capacity.si:
            yield Trouble(
                join(c.at, "tare"),
                f"{c.tag} is said to weigh {tare.text} empty and to hold {capacity.text}",
                f"the TW stamped on its collar: {_LIGHT:g} to {_HEAVY:g} times what it holds",
                "its steel is counted on for heat, and its weight for what is left",
            )
    looked = f"{counted(len(cylinders), 'cylinder')}; empty weights and sizes by common practice"
    return passed(looked, (c.tag for c in cylinders))


@rule(
    "materials.cylinder_refilled",
    level="error",
    statement="No DOT 39 cylinder was filled again",
    source=_ONCE,
    needs=(JOINED,),
    rests_on=("plumbing.refilled",),
)
def cylinder_refilled(ctx: Context) -> Verdict:
    cylinders = ctx[JOINED].net.of_kind("cylinder", "accumulator")
    once = [c for c in cylinders if cylinder_type(c) == "39"]
    untold = [
        Unchecked(f"{c.tag}: state its marking:, by which a cylinder for one filling is known", join(c.at, "marking"))
        for c in cylinders
        if not cylinder_type(c) and (c.kind == "cylinder" or is_cylinder(c))
    ]
    if not once and not untold:
        ctx[JOINED].net.all_read()
        return not_applicable("no DOT 39 cylinder is described")
    return judged(
        (
            Trouble(
                join(c.at, "refilled") if c.spec.has("refilled") else c.at,
                f"{c.tag} is a DOT 39 cylinder, and "
                + ("was filled again" if c.kind == "cylinder" else "gas is led into it"),
                "a cylinder made to be filled again, such as DOT-4BW240",
                "its wall and valve are made for one filling; the valve leaks after it",
            )
            for c in once
            if c.spec.yes("refilled") or c.kind == "accumulator"
        ),
        untold + [f"{c.tag}: state refilled:" for c in once if c.kind == "cylinder" and not c.spec.has("refilled")],
        counted(len(once), "cylinder"),
    )
