"""The effects: what they are, that they fit the show, and that their places are described."""

from __future__ import annotations

from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS, SHOW, Effect
from specc.model.findings import Trouble, Unchecked, Verdict
from specc.model.passes import Context, Judging, judged, not_applicable, passed, rule, value
from specc.model.values import CHOICE
from specc.model.view import join
from specc.model.wording import counted


@value(EFFECTS, reads=("effects",))
def effects(ctx: Context) -> tuple[Effect, ...]:
    return tuple(
        Effect(tag, e.text("kind"), e.text_or("title", tag), e.texts("outlets"), e.text_or("at"), e.at)
        for tag, e in ctx.spec("effects").children()
    )


@rule(
    "core.effect_outlets",
    level="error",
    statement="Each outlet belongs to one effect, and each effect is used in the show as its kind allows",
    source=CHOICE,
    needs=(EFFECTS, SHOW),
)
def effects_fit(ctx: Context) -> Judging:
    listed, the_show = ctx[EFFECTS], ctx[SHOW]
    if not listed and not the_show.scenes:
        return not_applicable("no effects and no scenes")
    owner: dict[str, str] = {}
    for effect in listed:
        for i, outlet in enumerate(effect.outlets):
            if outlet in owner:
                yield Trouble(
                    join(effect.at, "outlets", i),
                    f"the outlet {outlet} already belongs to the effect {owner[outlet]}",
                    "name each outlet under one effect, so that its gas counts once",
                )
            owner[outlet] = effect.tag
    kinds = {e.tag: e.kind for e in listed}
    for scene in the_show.scenes:
        uses = [(tag, join(scene.at, "steady", i), "steady") for i, tag in enumerate(scene.steady)]
        uses += [(b.effect, b.at, "burst") for b in scene.bursts]
        for cue in scene.cues:
            uses += [(tag, join(cue.at, "light", i), "steady") for i, tag in enumerate(cue.light)]
            uses += [(tag, join(cue.at, "out", i), "steady") for i, tag in enumerate(cue.out)]
            uses += [(cue.bursts.effect, join(cue.at, "burst"), "burst")] if cue.bursts else []
        for tag, at, kind in uses:
            if tag not in kinds:
                yield Trouble(
                    at,
                    f"the scene {scene.tag} uses the effect {tag!r}, which is not there",
                    "one of: " + ", ".join(kinds) if kinds else "describe it under effects:",
                    "its gas would go uncounted",
                )
            elif kinds[tag] != kind:
                yield Trouble(
                    at,
                    f"the effect {tag} is {kinds[tag]}, and the scene {scene.tag} uses it as {kind}",
                    f"list it under {'steady:' if kinds[tag] == 'steady' else 'bursts:'}",
                )
    return passed(f"{counted(len(listed), 'effect')} in {counted(len(the_show.scenes), 'scene')}")


@rule(
    "core.effect_place",
    level="error",
    statement="Each effect that names a place names one that is described",
    source=CHOICE,
    needs=(EFFECTS, PLACES),
)
def effect_places(ctx: Context) -> Verdict:
    known = tuple(ctx[PLACES].keys())
    placed = [e for e in ctx[EFFECTS] if e.place]
    if not placed:
        return not_applicable("no effect names a place")
    bare = [Unchecked(f"where {e.tag} burns (at:)", join(e.at, "at")) for e in ctx[EFFECTS] if not e.place]
    return judged(
        (
            Trouble(
                join(e.at, "at"),
                f"the effect {e.tag} stands at {e.place!r}, which is not among the places",
                "one of: " + ", ".join(known) if known else "describe it under places:",
                "distances are taken from where an effect stands",
            )
            for e in placed
            if e.place not in known
        ),
        bare,
        counted(len(placed), "effect"),
    )
