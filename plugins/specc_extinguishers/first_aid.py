"""Help for somebody who burns: a blanket, cool water and a kit, each at a place, and how far they are on foot."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from math import inf

from specc import (
    Citation,
    Context,
    Judging,
    Limit,
    Move,
    Trouble,
    Unchecked,
    ground,
    not_checked,
    obstacles_of,
    rule,
    show,
    stated,
)
from specc.kinds.charged import LAID_FLAT, charged
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, Network
from specc.kinds.show import EFFECTS
from specc.model.view import Unreadable, View, join
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
    "water": "cool running water for 20 minutes",
    "kit": "first aid for burns",
}


@rule(
    "extinguishers.first_aid",
    level="warning",
    statement="A fire blanket, cool running water and first aid for burns stand at places that are described, a short "
    "walk from every effect, past no burst and nothing charged",
    source=BURNS,
    needs=(PLACES, COVER, EFFECTS),
    wants=(LAID_FLAT, NETWORK),
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
    rounds = list(charged(ctx[EFFECTS], places, ctx.get(NETWORK), ctx.get(LAID_FLAT) or {}))
    burns = _burns_at(ctx)
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
                    moves=tuple(Move(tag, effect.tag, (x - spot[0], y - spot[1])) for x, y in effect.spots[:1]),
                )
                break
        for start, here in burns.items() if rounds else ():
            walks = [w for w in level.walk(here, level.beside(spot)) if w]
            walk = min(walks, key=lambda w: w.length, default=None)
            met = [r for r in rounds if walk and not r.holds(here) and (r.holds(spot) or r.met(walk.spots))]
            if met:
                yield Trouble(
                    told.here(key),
                    f"the way from {start} to {what} at {tag} leads {met[0].what}",
                    "a place on the near side",
                    "after STOP a burst may still come, and nobody goes near what is charged",
                    moves=(Move(tag, start, (here[0] - spot[0], here[1] - spot[1])),),
                )
                break
    return stated("blanket, water and first aid")


def _burns_at(ctx: Context) -> dict[str, tuple[float, float]]:
    """Where somebody may burn: at the effects, and at the valves and cylinders beside which crew stand."""
    net: Network | None = ctx.get(NETWORK)
    tags = [e.place for e in ctx[EFFECTS]]
    for part in (*net.of_kind("valve"), *net.of_kind("cylinder")) if net else ():
        with suppress(Unreadable):  # reported where it stands
            tags += part.places[:1]
    return {t: spot for t in dict.fromkeys(tags) if (spot := spot_of(ctx[PLACES].get(t)))}


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
