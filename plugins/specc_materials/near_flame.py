"""Rules on what stands in or near a flame: zinc, lead, cadmium, aluminum, hose and what burns, by distance for now.

Parts and things are judged alike. Distances are those that a thing states, else those between places as described, on
the level: flames stand above their burner, so height is not counted in favor of what stands beside one. They do not
grow with the flame, and temperature is not computed: what hangs straight above a flame is never passed by its distance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from specc import CHOICE, Citation, Context, Cure, Limit, Trouble, Verdict, not_applicable, rule, show, value
from specc.formulas.distances import distance
from specc.kinds.geometry import Point
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import Part
from specc.kinds.show import EFFECTS, Effect
from specc.kinds.things import MADE_OF, THINGS, Thing, ThingMadeOf
from specc.model.passes import judged
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.joined import JOINED
from specc_materials.made import MadeOf, made_of, thing_made_of

ZINC = Limit(
    "materials.zinc_distance", "3 ft", "length", "max", "least distance from a flame to zinc or a zinc coating", CHOICE
)
RICH = Limit(
    "materials.zinc_rich",
    "10 %",
    "ratio",
    "min",
    "zinc in a brass or bronze from which it is kept out of flames as brass is",
    CHOICE,
)
BRASS = Limit(
    "materials.brass_distance",
    "6 in",
    "length",
    "max",
    "least distance from a flame to a thing of brass, or of a bronze rich in zinc",
    CHOICE,
)
LEAD = Limit(
    "materials.lead_distance", "3 ft", "length", "max", "least distance from a flame to lead or cadmium", CHOICE
)
ALUMINUM = Limit(
    "materials.aluminum_distance",
    "3 ft",
    "length",
    "max",
    "least distance from a flame to an aluminum part or thing",
    CHOICE,
    was=("materials.aluminium_distance",),
)
BURNS = Limit(
    "materials.burns_distance",
    "10 ft",
    "length",
    "max",
    "least distance from a flame to what burns: wood, fabric, plastic",
    CHOICE,
)
HOSE = Limit("materials.hose_distance", "5 ft", "length", "max", "least distance from a flame to a hose", CHOICE)
IN_FLAME = ("burner", "pilot")


class Near(NamedTuple):
    """A part or a thing as these rules see it. `stated` and `above` are distances in m by tag, as a thing gives them;
    `where` is what a finding about its distance points to."""

    tag: str
    made: MadeOf
    places: tuple[str, ...]
    at: str
    stated: Mapping[str, float]
    above: Mapping[str, float]
    hose: bool
    thing: bool

    def where(self, key: str) -> str:
        return join(self.at, key)


def _of_part(part: Part) -> Near:
    return Near(part.tag, made_of(part), part.places, part.at, {}, {}, part.kind == "hose", False)


def _of_thing(thing: Thing) -> Near:
    stated = {tag: q.si for tag, q in thing.distances}
    above = {tag: q.si for tag, q in thing.above}
    places = (thing.place,) if thing.place else ()
    return Near(thing.tag, thing_made_of(thing), places, thing.at, stated, above, False, True)


def _all(ctx: Context) -> list[Near]:
    """Parts that are no outlet, whose metal is judged by itself, and things."""
    parts = [_of_part(p) for p in ctx[JOINED].net.parts if p.kind not in IN_FLAME]
    return parts + [_of_thing(t) for t in ctx[THINGS]]


class KnownDistance(NamedTuple):
    """How far something is from a flame, in m, and the key of the spec that says so. `cure` gives the place of the
    value to change, and its text for a distance in m and as written; None where no one value does it."""

    meters: float
    key: str
    cure: Callable[[float, str], tuple[str, str]] | None = None


def _ways(near: Near, effect: Effect, places: Mapping[str, Spot], unsaid: list[str]) -> list[KnownDistance]:
    """Every distance that is known from something to the flame of an effect. What is not known goes to `unsaid`."""
    named = (effect.tag, *effect.outlets, *((effect.place,) if effect.place else ()))
    ways = [
        KnownDistance(near.stated[t], "distance", _as_stated(near, "distance", t)) for t in named if t in near.stated
    ]
    ways += [KnownDistance(near.above[t], "above", _as_stated(near, "above", t)) for t in named if t in near.above]
    if ways:
        return ways
    if not near.places:
        unsaid.append(f"{near.tag}: how far it is from the flame of {effect.tag} (distance: {{{effect.tag}: 3 ft}})")
        return []
    flame = places[effect.place].shape if effect.place in places else None
    if flame is None:
        unsaid.append(f"the effect {effect.tag} has no place with coordinates")
        return []
    for tag in near.places:
        shape = places[tag].shape if tag in places else None
        if shape is None:
            unsaid.append(f"{near.tag}: the place {tag} has no coordinates")
        else:
            ways.append(KnownDistance(distance(shape, flame).si, "place", _moved(places[tag], places[effect.place])))
    return ways


def _as_stated(near: Near, key: str, tag: str) -> Callable[[float, str], tuple[str, str]]:
    return lambda _, text: (join(near.at, key, tag), text)


def _moved(here: Spot, flame: Spot) -> Callable[[float, str], tuple[str, str]] | None:
    """The place moved straight away from the flame, where both are points and not one place."""
    if here.tag == flame.tag or not (isinstance(here.shape, Point) and isinstance(flame.shape, Point)):
        return None
    x, y = here.shape.x.si - flame.shape.x.si, here.shape.y.si - flame.shape.y.si
    long = math.hypot(x, y)
    way = (x / long, y / long) if long > 0 else (1.0, 0.0)
    z = () if here.shape.z is None else (here.shape.z.si,)

    def moved(least: float, _: str) -> tuple[str, str]:
        far = least * (1 + 1e-4)  # more than the text below rounds off
        spot = (flame.shape.x.si + way[0] * far, flame.shape.y.si + way[1] * far, *z)  # type: ignore[union-attr]
        return join(here.at, "at"), "[" + ", ".join(f"{v / 0.3048:.5f} ft" for v in spot) + "]"

    return moved


def _judge(
    near: Near, effects: tuple[Effect, ...], places: Mapping[str, Spot], least: float, words: str, what: str
) -> tuple[list[Trouble], list[str]]:
    """Troubles and what cannot be said of one part or thing, against all effects."""
    ends = 2 if near.hose else 1
    told = near.places or near.stated or near.above
    if not told or (near.hose and len(near.places) < ends):
        key = "place: or distance:" if near.thing else "place:"
        return [], [f"{near.tag}: name the place{' of both ends' if ends > 1 else ''} ({key})"]
    troubles: list[Trouble] = []
    unsaid: list[str] = []
    for effect in effects:
        ways = _ways(near, effect, places, unsaid)
        if not ways:
            continue
        nearest = min(ways, key=lambda w: w.meters)
        over = " straight above" if nearest.key == "above" else " from"
        if nearest.meters < least * (1 - 1e-9):
            missing = least - nearest.meters
            troubles.append(
                Trouble(
                    near.where(nearest.key),
                    f"{near.tag}, {what}, is {show(nearest.meters, 'length', 'ft', 2)}{over} the flame of {effect.tag}",
                    f"move it {_feet_up(missing)} farther, or "
                    + ("use metal tube for the last stretch" if near.hose else "use another material"),
                    cure=Cure(
                        f"{words} would pass (specc default)", (nearest.cure(least, words),) if nearest.cure else ()
                    ),
                )
            )
        elif any(w.key == "above" for w in ways):
            unsaid.append(f"{near.tag} hangs over the flame of {effect.tag}, whose height and heat are not computed")
    return troubles, list(dict.fromkeys(unsaid))


def _feet_up(meters: float) -> str:
    """A length in feet, rounded up to a tenth, so that moving by it is enough."""
    return f"{math.ceil(meters / 0.3048 * 10 - 1e-6) / 10:.1f} ft"


def _near(
    ctx: Context,
    least: Limit,
    what: Callable[[MadeOf], str],
    ask: Callable[[MadeOf], str],
    why: str,
    listed: Iterable[Near] | None = None,
    none: str = "",
) -> Verdict:
    """Judge all that is of a kind. `what` gives the words for it ("zinc-coated"), or "" for what is not of the kind;
    `ask` what has to be said before that is known."""
    effects, places = ctx[EFFECTS], ctx[PLACES]
    everything = _all(ctx) if listed is None else list(listed)
    if not ctx[JOINED].net.parts and not everything:
        return not_applicable("neither plumbing nor things are described")
    if not effects:
        return not_applicable("no effect is described")
    chosen = [(n, what(n.made)) for n in everything]
    asked = [q for n, words in chosen if not words and (q := ask(n.made))]
    kept = [(n, words) for n, words in chosen if words]
    unsaid = [f"{asked[0]}{f'; so of {len(asked) - 1} more' if len(asked) > 1 else ''}"] if asked else []
    if not kept and not unsaid:
        return not_applicable(f"nothing that stands near is {none}")
    troubles: list[Trouble] = []
    limit = ctx.limit(least.key)
    for near, words in kept:
        more, left = _judge(near, effects, places, limit.si, limit.text, words)
        troubles += [t._replace(why=why) for t in more]
        unsaid += [x for x in left if x not in unsaid]
    bursts = " (bursts reach farther than this distance covers)" if any(e.kind == "burst" for e in effects) else ""
    parts = sum(not n.thing for n, _ in kept)
    things = len(kept) - parts
    looked = " and ".join(counted(n, word) for n, word in ((parts, "part"), (things, "thing")) if n) or "nothing"
    return judged(troubles, unsaid, f"{looked} at least {limit.text} away{bursts}")


def _zinc(made: MadeOf) -> str:
    coating = made.coating("zinc")
    if coating:
        return "zinc-coated" if coating.title == "hot-dip zinc" else f"zinc-coated ({coating.title})"
    return "of zinc alloy" if made.of("zinc") else ""


_NEEDS = (JOINED, EFFECTS, PLACES, THINGS)


@rule(
    "materials.zinc_near_flame",
    level="warning",
    statement="Zinc and zinc-coated parts and things keep their distance from flames (the distance is specc default)",
    source=Citation("gaa-heat", "a coating holds to about 200 °C, with short spells to 275 °C", "read"),
    needs=_NEEDS,
    limits=("materials.zinc_distance",),
)
def zinc_near_flame(ctx: Context) -> Verdict:
    why = "hot zinc peels and burns to a fume that makes those who breathe it ill for a day or two"
    return _near(ctx, ZINC, _zinc, lambda m: m.zinc_asked, why, none="of zinc or zinc-coated")


def _lead(made: MadeOf) -> str:
    for what in ("cadmium", "lead"):
        coating = made.coating(what)
        if coating:
            return f"coated with {what}" if coating.title == what else f"coated with {what} ({coating.title})"
        if made.of("cadmium" if what == "cadmium" else "lead"):
            return f"of {what}"
    return ""


@rule(
    "materials.lead_near_flame",
    level="warning",
    statement="Lead and cadmium, as metals or as coatings, keep their distance from flames (specc default)",
    source=CHOICE,
    needs=_NEEDS,
    limits=("materials.lead_distance",),
)
def lead_near_flame(ctx: Context) -> Verdict:
    why = "lead melts and cadmium boils off in a flame, and their fumes poison whoever breathes them, for good"
    return _near(ctx, LEAD, _lead, lambda m: m.asked, why, none="of lead or cadmium")


def _aluminum(made: MadeOf) -> str:
    return "of aluminum" if made.of("aluminum") else ""


@rule(
    "materials.aluminum_near_flame",
    level="warning",
    statement="Aluminum parts and things keep their distance from flames (the distance is specc default)",
    source=CHOICE,
    needs=_NEEDS,
    was=("materials.aluminium_near_flame",),
    limits=("materials.aluminum_distance",),
)
def aluminum_near_flame(ctx: Context) -> Verdict:
    why = "aluminum loses its strength long before it melts, and it melts in any open flame"
    return _near(ctx, ALUMINUM, _aluminum, lambda m: m.asked, why, none="of aluminum")


@rule(
    "materials.brass_near_flame",
    level="warning",
    statement="Things of brass, or of a bronze rich in zinc, stay out of flames (the distance is specc default)",
    source=CHOICE,
    needs=_NEEDS,
    limits=("materials.brass_distance", "materials.zinc_rich"),
)
def brass_near_flame(ctx: Context) -> Verdict:
    """Of things only: the places of parts are too coarse for inches, and a brass outlet is judged by its metal."""
    rich = ctx.limit(RICH.key).si

    def brass(made: MadeOf) -> str:
        return f"with up to {100 * made.zinc_share:.0f} % zinc" if made.zinc_share >= rich else ""

    things = [_of_thing(t) for t in ctx[THINGS]]
    if not things:
        return not_applicable("no thing that stands near is described")
    why = "brass that glows gives off its zinc as a fume"
    return _near(ctx, BRASS, brass, lambda m: m.asked, why, things, "of brass")


def _burns(made: MadeOf) -> str:
    return f"of {next(s.family for s in made.stuffs if s.family in _BURNING)}" if made.burns else ""


_BURNING = ("wood", "fabric", "plastic", "rubber")


@rule(
    "materials.burns_near_flame",
    level="warning",
    statement="What burns keeps its distance from flames: wood, fabric, plastic (the distance is specc default)",
    source=CHOICE,
    needs=_NEEDS,
    limits=("materials.burns_distance",),
)
def burns_near_flame(ctx: Context) -> Verdict:
    """Hoses have a rule of their own."""
    why = "it takes fire from the heat of a flame that does not touch it, and then burns by itself"
    listed = [n for n in _all(ctx) if not n.hose]
    return _near(ctx, BURNS, _burns, lambda m: m.asked, why, listed, "of wood, fabric or plastic")


@rule(
    "materials.hose_near_flame",
    level="warning",
    statement="Hoses keep their distance from flames, at both ends (the distance is specc default)",
    source=CHOICE,
    needs=_NEEDS,
    limits=("materials.hose_distance",),
)
def hose_near_flame(ctx: Context) -> Verdict:
    why = "hose is made for 140 °F at most (UL 21), and one that burns through feeds the fire at full flow"
    listed = [n for n in _all(ctx) if n.hose]
    return _near(ctx, HOSE, lambda m: "a hose", lambda m: "", why, listed, "a hose")


@rule(
    "materials.burner_metal",
    level="error",
    statement="No burner or pilot is galvanized, or of zinc, lead, cadmium, aluminum or what burns; brass is warned of",
    source=CHOICE,
    needs=(JOINED,),
    limits=("materials.zinc_rich",),
)
def burner_metal(ctx: Context) -> Verdict:
    burners = ctx[JOINED].net.of_kind(*IN_FLAME)
    if not burners:
        return not_applicable("no burner or pilot is described")
    troubles, unsaid = [], []
    rich = ctx.limit(RICH.key)
    for part in burners:
        made = made_of(part)
        what = _zinc(made) or _lead(made) or _aluminum(made) or _burns(made)
        if what:
            why = "it stands in the flame: a zinc coat burns to a fume, and soft metals melt"
            at = join(part.at, "coating") if what.startswith("zinc-coated") and part.spec.has("coating") else None
            at = at or (join(part.at, "material") if part.spec.has("material") else part.at)
            troubles.append(Trouble(at, f"{part.tag} is {what}, in the flame", "bare or stainless steel there", why))
        elif made.zinc_share >= rich.si:
            share = f"{100 * made.zinc_share:.0f} %"
            troubles.append(
                Trouble(
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
            )
        elif made.zinc_asked:
            unsaid.append(made.zinc_asked)
    return judged(troubles, unsaid, f"{counted(len(burners), 'outlet')}, in the flame")


@value(MADE_OF, needs=(THINGS,))
def things_made_of(ctx: Context) -> Mapping[str, ThingMadeOf]:
    made = {t.tag: thing_made_of(t) for t in ctx[THINGS]}
    return {
        tag: ThingMadeOf(bool(_zinc(m)), bool(_aluminum(m)), bool(_burns(m)), m.zinc_asked or m.asked)
        for tag, m in made.items()
    }
