"""Rules on what stands near a flame: zinc, aluminum and hose, by distance on the level for now.

Distances are between places as described, on the level: flames stand above their burner, so height is not
counted in a part's favor. They do not grow with the flame, and temperature is not computed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from specc import CHOICE, Citation, Context, Limit, Trouble, Verdict, not_applicable, rule, show
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import Part
from specc.kinds.show import EFFECTS, Effect
from specc.model.passes import judged
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.joined import JOINED, material

ZINC = Limit(
    "materials.zinc_distance", "3 ft", "length", "max", "least distance from a flame to a zinc-coated part", CHOICE
)
ALUMINUM = Limit(
    "materials.aluminum_distance",
    "3 ft",
    "length",
    "max",
    "least distance from a flame to an aluminum part",
    CHOICE,
    was=("materials.aluminium_distance",),
)
HOSE = Limit("materials.hose_distance", "5 ft", "length", "max", "least distance from a flame to a hose", CHOICE)


def _point(places: Mapping[str, Spot], tag: str) -> tuple[float, float] | None:
    """A place on the level, in meters; None when it has no coordinates."""
    return places[tag].ground if tag in places else None


def _places_of(part: Part) -> tuple[str, ...]:
    if not part.spec.has("place"):
        return ()
    return part.spec.texts("place") if isinstance(part.spec["place"], list) else (part.spec.text("place"),)


def _judge(
    part: Part,
    effects: tuple[Effect, ...],
    places: Mapping[str, Spot],
    least: Limit,
    ctx: Context,
    what: str,
    ends: int = 1,
) -> tuple[list[Trouble], list[str]]:
    """Troubles and what cannot be said of one part, against all effects."""
    for effect in effects:
        if part.tag in effect.outlets:
            where = f"{part.tag}, {what}, is in the flame of {effect.tag}"
            return [Trouble(part.at, where, "bare or stainless steel there")], []
    named = _places_of(part)
    if len(named) < ends:
        return [], [f"{part.tag}: name the place{' of both ends' if ends > 1 else ''} (place:)"]
    troubles, unsaid = [], []
    limit = ctx.limit(least.key)
    for effect in effects:
        flame = _point(places, effect.place)
        if flame is None:
            unsaid.append(f"the effect {effect.tag} has no place with coordinates")
            continue
        for tag in named:
            here = _point(places, tag)
            if here is None:
                unsaid.append(f"{part.tag}: the place {tag} has no coordinates")
                continue
            distance = math.dist(here, flame)
            if distance < limit.si * (1 - 1e-9):
                troubles.append(
                    Trouble(
                        join(part.at, "place"),
                        f"{part.tag}, {what}, is {show(distance, 'length', 'ft', 2)} from the flame of {effect.tag}",
                        f"at least {limit.text} on the level (specc default), or "
                        + ("metal tube for the last stretch" if part.kind == "hose" else "another material"),
                    )
                )
                break
    return troubles, list(dict.fromkeys(unsaid))


def _near(
    ctx: Context,
    chosen: Callable[[Part], bool],
    unknown: Callable[[Part], bool],
    least: Limit,
    what: str,
    why: str,
    ends: int = 1,
) -> Verdict:
    j, effects, places = ctx[JOINED], ctx[EFFECTS], ctx[PLACES]
    if not j.net.parts:
        return not_applicable("no plumbing is described")
    if not effects:
        return not_applicable("no effect is described")
    parts = [p for p in j.net.parts if chosen(p)]
    vague = [p.tag for p in j.net.parts if not chosen(p) and unknown(p)]
    unsaid = []
    if vague:
        more_vague = f", nor {len(vague) - 1} more" if len(vague) > 1 else ""
        unsaid.append(f"whether {vague[0]} is {what} is not stated{more_vague}")
    if not parts and not unsaid:
        return not_applicable(f"nothing is {what}")
    troubles: list[Trouble] = []
    for part in parts:
        more, left = _judge(part, effects, places, least, ctx, what, ends)
        troubles += [t._replace(why=why) for t in more]
        unsaid += [x for x in left if x not in unsaid]
    burst = any(e.kind == "burst" for e in effects)
    bursts = " (bursts reach farther than this distance covers)" if burst else ""
    return judged(troubles, unsaid, f"{counted(len(parts), 'part')} at least {ctx.limit(least.key).text} away{bursts}")


def _zinc(part: Part) -> bool:
    return part.spec.text_or("coating") == "zinc" or bool(re.search(r"galvan|\bzinc\b|\bzamak\b", material(part)))


def _perhaps_zinc(part: Part) -> bool:
    """Plain steel or iron, or a metal not stated, whose coating is not stated."""
    words = material(part)
    if part.spec.has("coating") or part.kind == "hose":
        return False
    return not words or (bool(re.search(r"\b(steel|iron)\b", words)) and "stainless" not in words)


@rule(
    "materials.zinc_near_flame",
    level="warning",
    statement="Zinc-coated parts keep their distance from flames (the distance is specc default)",
    source=Citation("gaa-heat", "a coating holds to about 200 °C, with short spells to 275 °C", "read"),
    needs=(JOINED, EFFECTS, PLACES),
)
def zinc_near_flame(ctx: Context) -> Verdict:
    why = "hot zinc peels and burns to a fume that makes those who breathe it ill for a day or two"
    return _near(ctx, _zinc, _perhaps_zinc, ZINC, "zinc-coated", why)


def _aluminum(part: Part) -> bool:
    return bool(re.search(r"alumini?um", material(part)))


@rule(
    "materials.aluminum_near_flame",
    level="warning",
    statement="Aluminum parts keep their distance from flames (the distance is specc default)",
    source=CHOICE,
    needs=(JOINED, EFFECTS, PLACES),
    was=("materials.aluminium_near_flame",),
)
def aluminum_near_flame(ctx: Context) -> Verdict:
    why = "aluminum loses its strength long before it melts, and it melts in any open flame"
    return _near(ctx, _aluminum, lambda p: not material(p), ALUMINUM, "of aluminum", why)


@rule(
    "materials.hose_near_flame",
    level="warning",
    statement="Hoses keep their distance from flames, at both ends (the distance is specc default)",
    source=CHOICE,
    needs=(JOINED, EFFECTS, PLACES),
)
def hose_near_flame(ctx: Context) -> Verdict:
    why = "hose is made for 140 °F at most (UL 21), and one that burns through feeds the fire at full flow"
    return _near(ctx, lambda p: p.kind == "hose", lambda p: False, HOSE, "a hose", why, ends=2)


PASSES = (ZINC, ALUMINUM, HOSE, zinc_near_flame, aluminum_near_flame, hose_near_flame)
