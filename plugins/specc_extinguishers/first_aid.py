"""Help for somebody who burns: a blanket, cool water and a kit, each at a place, and how far they are on foot."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from specc import (
    Citation,
    Context,
    Judging,
    Limit,
    Trouble,
    Unchecked,
    ground,
    not_checked,
    obstacles_of,
    rule,
    show,
    stated,
)
from specc.kinds.places import PLACES
from specc.model.view import View, join
from specc_extinguishers.hazards import COVER, spot_of
from specc_extinguishers.units import NO_ROOT, ROOT, described

BURNS = Citation("burn-first-aid", "cool running water for 20 min, then a clean loose cover", "read")
WALK = Limit(
    "extinguishers.first_aid",
    "150 ft",
    "length",
    "min",
    "walk from each effect to blanket, cool water and first aid for burns: half a minute at a brisk walk",
    Citation("", "specc default; no source gives a distance", "choice"),
)
WATER_LASTS = Limit(
    "extinguishers.burn_water",
    "20 min",
    "duration",
    "max",
    "how long cool water runs over a burn",
    BURNS,
)
HELP = {
    "blanket": "a fire blanket",
    "water": "cool water, enough to run for 20 minutes",
    "kit": "first aid for burns",
}


@rule(
    "extinguishers.first_aid",
    level="warning",
    statement="A fire blanket, cool running water and first aid for burns stand at places that are described, a short "
    "walk from every effect",
    source=BURNS,
    needs=(PLACES, COVER),
    reads=(ROOT,),
    limits=("extinguishers.first_aid", "extinguishers.burn_water"),
)
def first_aid(ctx: Context) -> Judging:
    places, cover = ctx[PLACES], ctx[COVER]
    told = ctx.spec(ROOT).child("first_aid")
    if not described(ctx):
        return not_checked(NO_ROOT)
    if not len(told):
        said = "nothing says where a fire blanket, water and first aid for burns are (first_aid:)"
        return not_checked(said, told.at)
    yield from _water_lasts(ctx, told)
    limit = ctx.limit(WALK.key)
    level = ground(obstacles_of(places.values(), "walking"))
    for key, what in HELP.items():
        if not told.has(key):
            yield Unchecked(f"nothing says where there is {what} ({key}:)", told.here(key))
            continue
        tag = told.text(key)
        if tag not in places:
            yield Trouble(
                told.here(key),
                f"{what} is at {tag!r}, which is not among the places",
                "the tag of one of them",
                "who burns has seconds",
            )
            continue
        spot = spot_of(places[tag])
        if spot is None:
            yield Unchecked(f"{tag} has no coordinates", join("/places", tag, "at"))
            continue
        for effect in cover.effects:
            reached = (level.walk(spot, level.beside(there)) for there in effect.spots)
            way = max(min((w.length for w in some if w), default=inf) for some in reached)
            if way > limit.si * (1 + 1e-9):
                far = "cannot be walked to" if way == inf else f"is {show(way, 'length', 'ft')} away on foot"
                yield Trouble(
                    told.here(key),
                    f"{what} at {tag} {far} from the effect {effect.tag}; the limit is {limit.text}",
                    "a place nearer to it",
                    "who burns has seconds",
                )
                break
    return stated("blanket, water and first aid")


def _water_lasts(ctx: Context, told: View) -> Iterator[Trouble | Unchecked]:
    """A tap runs on; a can does not."""
    least = ctx.limit(WATER_LASTS.key)
    if not told.has("water"):
        return
    if not told.has("water_lasts"):
        yield Unchecked("nothing says how long the water for burns runs (water_lasts:)", told.here("water_lasts"))
    elif (lasts := told.quantity("water_lasts")).si < least.si * (1 - 1e-9):
        yield Trouble(
            told.here("water_lasts"),
            f"the water for burns runs for {lasts.text}; the limit is {least.text}",
            "a tap, or more water",
            "a burn deepens until it is cooled through",
        )
