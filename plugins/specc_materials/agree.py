"""What is said twice and cannot both be true: two grades, a standard of another metal, air hose for gas, a filler for
aluminum on copper."""

from __future__ import annotations

import re
from typing import NamedTuple

from specc import CHOICE, Context, Trouble, not_applicable, rule
from specc.kinds.plumbing import Joint, Part
from specc.kinds.things import THINGS
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, takes_back
from specc_materials.cylinders import cylinder_type
from specc_materials.fillers import ALUMINUM_FILLER, SOLDER, against, class_of, filler_of, other_silver
from specc_materials.joined import JOINED, says_gas
from specc_materials.made import MadeOf, made_of, thing_made_of
from specc_materials.reading import NAMES
from specc_materials.stuffs import Family

# What else a part is sold for, by the words that name it; the others speak of hoses alone (a gauge may be oil-filled).
_AIR = ("air", re.compile(r"\b(air|pneumatic|compressor)\b", re.IGNORECASE))
# Of a fitting, a hole for air is none that is made for compressed air.
_OF_FITTINGS = (
    (
        "air",
        re.compile(
            r"\b(compressed[ -]air|pneumatic|compressor|air[ -](?:line|hose|tool|brake|coupl\w+|quick|chuck|plug))\b",
            re.IGNORECASE,
        ),
    ),
)
_OF_HOSES = (
    _AIR,
    ("water", re.compile(r"\b(garden|water|potable|irrigation|washing machine|shower)\b", re.IGNORECASE)),
    ("oxygen or acetylene", re.compile(r"\b(oxygen|acetylene|oxy|(?:grade|type)[ -]rm?)\b", re.IGNORECASE)),
    ("refrigerant", re.compile(r"\b(refrigerant|r[ -]?(?:12|22|134a|290|410a)|freon)\b", re.IGNORECASE)),
    ("oil, gasoline or steam", re.compile(r"\b(hydraulic|oil|gasoline|petrol|diesel|steam)\b", re.IGNORECASE)),
    ("natural gas alone", re.compile(r"\bnatural[ -]gas only\b", re.IGNORECASE)),
)


_FITTINGS = ("fitting", "pipe", "tube", "orifice", "burner", "pilot")


def other_use(part: Part, text: str) -> str:
    """What else than gas a text says that a part is for; "" for nothing."""
    uses = _OF_HOSES if part.kind == "hose" else _OF_FITTINGS if part.kind in _FITTINGS else (_AIR,)
    return next((use for use, words in uses if words.search(text)), "")


def _not_its_type(cylinder: Part) -> str:
    """The metal that a cylinder's type is made of, where its material is said to be another: 4E is of aluminum, the
    other 4-series of steel (49 CFR 178.50 to 178.68)."""
    kind, made = cylinder_type(cylinder), made_of(cylinder)
    metal: Family | None = "aluminum" if kind == "4E" else "steel" if kind.startswith("4B") else None
    return metal if metal is not None and made.stated and not made.of(metal) else ""


class TwoUses(NamedTuple):
    """What says that a part is for something else (`use`), and what says that it is for gas."""

    use: str
    other: str
    gas: str


def for_two_uses(part: Part) -> TwoUses | None:
    """None unless two sayings differ. One text that names both ("LP-GAS OR AIR") is not taken for two sayings."""
    texts = [part.spec.text_or(key) for key in ("title", "material", "marking", "standard")]
    made_for = part.spec.text_or("made_for")
    gas = next((t for t in texts if says_gas(t)), f"made_for: {made_for}" if made_for in ("lp_gas", "fuel_gas") else "")
    other = next((t for t in texts if other_use(part, t) and not says_gas(t)), "")
    # A note speaks of air in many ways; of a hose for air in few.
    noted = part.spec.text_or("note")
    of_note = next((use for use, words in _OF_FITTINGS if words.search(noted) and not takes_back(noted)), "")
    use = other_use(part, other) or of_note
    return TwoUses(use, other or noted, gas) if use and gas else None


def _of_filler(joint: Joint) -> tuple[str, str, str] | None:
    """What is said of a joint's filler that cannot be true of its class: where, and the two sayings."""
    said, note = joint.spec.text_or("filler"), joint.spec.text_or("note")
    filler, other = class_of(said), class_of(note)
    if filler is None or filler is SOLDER:  # which is found by itself, whatever stands beside
        return None
    if other_silver(said, filler):
        return "filler", filler.name, f"{said!r}, with another share of silver"
    if other is not None and other.name != filler.name and not takes_back(note):
        return "note", said, f"in its note {other.name}"
    typed = {k: q for k in ("phosphorus", "melts") if (q := joint.spec.quantity_or_none(k)) is not None}
    free = joint.spec.yes("cadmium_free") if joint.spec.has("cadmium_free") else None
    phosphorus, melts = (typed[k].si if k in typed else None for k in ("phosphorus", "melts"))
    key = against(filler, phosphorus, melts, free)
    value = typed[key].text if key in typed else str(free).lower()
    return (key, f"of {filler.name}", f"{key}: {value}") if key else None


@rule(
    "materials.agree",
    level="error",
    statement="What a spec says of a part's material, grade, standard, coating, filler and use agrees, and a filler's "
    "data sheet that it names is attached",
    source=CHOICE,
    needs=(JOINED, THINGS),
    reads=("attachments",),
    recalls=(NAMES,),
)
def agree(ctx: Context) -> Judging:
    """Nothing is judged by the better of two sayings: rules take the worse, and this one finds that they differ."""
    listed: list[tuple[MadeOf, str, bool]] = [(made_of(p), p.at, p.spec.has("material")) for p in ctx[JOINED].net.parts]
    listed += [(thing_made_of(t), t.at, bool(t.material)) for t in ctx[THINGS]]
    if not any(made.stated or made.reading.coatings for made, _, _ in listed):
        return not_applicable("nothing says what any part is made of")
    why = "one of the two is wrong, and the tool cannot tell which"
    for made, at, stated in listed:
        for one, other in made.disagreements[:1]:
            where = join(at, "material") if stated else at
            message = f"{made.tag} is said to be {one} and {other}"
            yield Trouble(where, message, "what is stamped or printed on it", why)
        if made.hinted:
            yield made.hinted
    for part in ctx[JOINED].net.of_kind("cylinder"):
        other = _not_its_type(part)
        if other:
            message = f"{part.tag} is marked {part.spec.text('marking')!r}, a type of {other}"
            yield Trouble(
                join(part.at, "material"), f"{message}, and of another metal here", "what is stamped on it", why
            )
    for part in ctx[JOINED].net.parts:
        sayings = for_two_uses(part)
        if sayings:
            message = f"{part.tag} is said to be for {sayings.use} ({sayings.other!r}) and for gas ({sayings.gas!r})"
            where = join(part.at, "material") if part.spec.text_or("material") == sayings.other else part.at
            yield Trouble(where, message, "what its maker sells it for, as printed on it", why)
    for joint in ctx[JOINED].joints:
        filler = filler_of(joint.spec.text_or("filler"))
        other = next((p.tag for p in joint.parts if made_of(p).stated and not made_of(p).of("aluminum")), "")
        if filler is not None and filler.family == ALUMINUM_FILLER and other:
            message = (
                f"{joint.words} is made with {filler.name}, a filler for aluminum, and {other} is of another metal"
            )
            yield Trouble(join(joint.at, "filler"), message, "the class stamped on the rod or its packet", why)
        differs = _of_filler(joint)
        if differs:
            key, one, two = differs
            message = f"the filler of {joint.words} is said to be {one} and {two}"
            yield Trouble(join(joint.at, key), message, "the class stamped on the rod or its packet", why)
        sheet = joint.spec.text_or("sheet")
        if sheet and not ctx.spec("attachments").has(sheet):
            message = f"{joint.words} names the data sheet {sheet!r}, which is not attached"
            fix = "the tag of an entry under attachments:"
            yield Trouble(join(joint.at, "sheet"), message, fix, "others have to be able to read it")
    return passed(f"what is said of {counted(len(listed), 'part')} and what stands near")
