"""What of parts and things heat harms, and of what burners are made: zinc, lead, cadmium, aluminum, and what burns.

How near to a flame each may stand is computed elsewhere, from how hot it gets there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from specc import CHOICE, Context, Cure, Limit, Trouble, not_applicable, rule, value
from specc.kinds.things import MADE_OF, PARTS_MADE_OF, THINGS, HeatHarm, InHeat
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.joined import JOINED
from specc_materials.made import MadeOf, made_of, thing_made_of
from specc_materials.reading import NAMES

RICH = Limit(
    "materials.zinc_rich",
    "10 %",
    "ratio",
    "min",
    "zinc in a brass or bronze from which it is kept out of flames as brass is",
    CHOICE,
)
IN_FLAME = ("burner", "pilot")
_BURNING = ("wood", "fabric", "plastic", "rubber")


def _zinc(made: MadeOf) -> str:
    coating = made.coating("zinc")
    if coating:
        return "zinc-coated" if coating.title == "hot-dip zinc" else f"zinc-coated ({coating.title})"
    return "of zinc alloy" if made.of("zinc") else ""


def _poison(made: MadeOf, what: HeatHarm) -> str:
    coating = made.coating(what)
    if coating:
        return f"coated with {what}" if coating.title == what else f"coated with {what} ({coating.title})"
    return f"of {what}" if made.of("cadmium" if what == "cadmium" else "lead") else ""


def _lead(made: MadeOf) -> str:
    return _poison(made, "cadmium") or _poison(made, "lead")


def _aluminum(made: MadeOf) -> str:
    return "of aluminum" if made.of("aluminum") else ""


def _burns(made: MadeOf) -> str:
    return f"of {next(s.family for s in made.stuffs if s.family in _BURNING)}" if made.burns else ""


def _paint(made: MadeOf) -> str:
    soft = [c.title for c in made.reading.coatings if c.title in ("paint", "plastic")]
    return f"coated with {soft[0]}" if soft else ""


def _harms(made: MadeOf, rich: float) -> Iterable[tuple[HeatHarm, str]]:
    yield "zinc", _zinc(made)
    yield "lead", _poison(made, "lead")
    yield "cadmium", _poison(made, "cadmium")
    yield "aluminum", _aluminum(made)
    yield "brass", f"with up to {100 * made.zinc_share:.0f} % zinc" if made.zinc_share >= rich else ""
    yield "paint", _paint(made)
    yield "burns", _burns(made)


def _in_heat(made: MadeOf, rich: float) -> InHeat:
    """Zinc under paint is not asked for: paint stands less heat than zinc does, and is held to that."""
    asked = made.asked if _paint(made) else made.zinc_asked or made.asked
    return InHeat(tuple((harm, words) for harm, words in _harms(made, rich) if words), asked)


@value(
    MADE_OF,
    needs=(THINGS,),
    limits=("materials.zinc_rich",),
    recalls=(NAMES,),
)
def things_made_of(ctx: Context) -> Mapping[str, InHeat]:
    return {t.tag: _in_heat(thing_made_of(t), ctx.limit(RICH.key).si) for t in ctx[THINGS]}


@value(
    PARTS_MADE_OF,
    needs=(JOINED,),
    recalls=(NAMES,),
)
def parts_made_of(ctx: Context) -> Mapping[str, InHeat]:
    """Brass is not counted: valves and fittings are of it everywhere, at places too coarse for the inches that matter.
    Nor are the rubber of hoses and the paint of vessels, which have lower limits of their own."""
    brazed = {p.tag for j in ctx[JOINED].by("brazed") for p in j.parts}
    found = {}
    for part in ctx[JOINED].net.parts:
        if part.kind in IN_FLAME:
            continue
        made = _in_heat(made_of(part), float("inf"))
        own = {"hose": "burns", "cylinder": "paint", "accumulator": "paint"}.get(part.kind)
        harms = tuple((harm, words) for harm, words in made.harms if harm != own)
        if part.tag in brazed:
            harms = (*harms, ("brazed", "brazed"))
        if harms or made.asked:
            found[part.tag] = InHeat(harms, made.asked)
    return found


@rule(
    "materials.burner_metal",
    level="error",
    statement="No burner or pilot is galvanized, or of zinc, lead, cadmium, aluminum or what burns; brass is warned of",
    source=CHOICE,
    needs=(JOINED,),
    limits=("materials.zinc_rich",),
    recalls=(NAMES,),
)
def burner_metal(ctx: Context) -> Judging:
    burners = ctx[JOINED].net.of_kind(*IN_FLAME)
    if not burners:
        return not_applicable("no burner or pilot is described")
    rich = ctx.limit(RICH.key)
    for part in burners:
        made = made_of(part)
        what = _zinc(made) or _lead(made) or _aluminum(made) or _burns(made)
        if what:
            why = "it stands in the flame: a zinc coat burns to a fume, and soft metals melt"
            at = join(part.at, "coating") if made.coating("zinc") and part.spec.has("coating") else None
            at = at or (join(part.at, "material") if part.spec.has("material") else part.at)
            yield Trouble(at, f"{part.tag} is {what}, in the flame", "bare or stainless steel there", why)
        elif made.zinc_share >= rich.si:
            share = f"{100 * made.zinc_share:.0f} %"
            yield Trouble(
                join(part.at, "material"),
                f"{part.tag} is of {next(s.title for s in made.stuffs if s.zinc >= rich.si)}, up to {share} zinc",
                "another burner or pilot",
                "brass that glows gives off its zinc as a fume",
                "warning",
                Cure(
                    f"stainless steel, or an alloy with less than {rich.text} zinc, would pass",
                    ((join(part.at, "material"), "stainless steel"),) if part.spec.has("material") else (),
                ),
            )
        elif made.zinc_asked:
            yield made.zinc_asked
    return passed(f"{counted(len(burners), 'outlet')}, in the flame")
