"""What specc covers at all: effects out of doors that stand still, fed with vapor and fired by their crew."""

from __future__ import annotations

from collections.abc import Iterator

from specc.basics.told import told
from specc.model.findings import Trouble, Unchecked
from specc.model.passes import Context, Judging, rule, stated
from specc.model.values import CHOICE

_COVERED = ("outdoors", "standing")
_WORDS = {
    "indoors": "it burns indoors",
    "tent": "it burns in a tent or under a roof",
    "moving": "it burns while it moves",
    "worn": "it is worn or carried while it burns",
}
_FIX = (
    "another code and another kind of review: specc computes open air, still ground and nobody inside the flame's reach"
)
_WHY = "gas gathers under a roof, a moving flame goes where nobody measured, and what is worn burns its wearer"
_PLACES = {"tent": "in a tent", "building": "in a building"}
_LOOKED = "where it burns and how it is used"
_PROSE = (("project", "title"), ("project", "summary"), ("event", "site"))


def _asked(ctx: Context) -> Iterator[Unchecked]:
    """What the spec's prose and places say that its keys do not."""
    prose = [(ctx.spec(root), key, f"{root}: {key}:") for root, key in _PROSE]
    for tag, effect in ctx.spec("effects").children():
        prose += [(effect, key, f"{key}: of {tag}") for key in ("title", "note")]
    for view, key, name in prose:
        words = told(view.text_or(key))
        if words:
            said = f"{name} tells {words}, which specc does not cover, and the keys say otherwise"
            yield Unchecked(said, view.here(key))
    for tag, at, kind in _at_places(ctx):
        if kind == "vehicle":
            yield Unchecked(f"whether {tag} burns only while the vehicle stands is for the authority", at)


def _at_places(ctx: Context) -> Iterator[tuple[str, str, str]]:
    """Each effect with where it says so, and the kind of place at which it burns."""
    places = ctx.spec("places")
    for tag, effect in ctx.spec("effects").children():
        named = effect.text_or("at")
        if named and places.has(named):
            yield tag, effect.here("at"), places.child(named).text_or("kind")


@rule(
    "core.scope",
    level="error",
    statement="The effect is of a kind that specc covers: out of doors and standing still",
    source=CHOICE,
    reads=("event", "project", "effects", "places"),
    rests_on=("event.setting", "project.use"),
)
def scope(ctx: Context) -> Judging:
    """What nobody says is not taken as said."""
    missing: dict[str, str] = {}
    looked = "out of doors and standing still"
    for root, key in (("event", "setting"), ("project", "use")):
        view = ctx.spec(root)
        if not view.has(key):
            missing[f"{root}: {key}:"] = view.here(key)
        elif view.text(key) not in _COVERED:
            looked = _LOOKED
            yield Trouble(view.here(key), f"{_WORDS[view.text(key)]}, which specc does not cover", _FIX, _WHY)
    if missing:
        words = f"nobody says that it burns out of doors, standing still ({', '.join(missing)})"
        yield Unchecked(words, *missing.values())
    for tag, at, kind in _at_places(ctx):
        if kind in _PLACES:
            looked = _LOOKED
            yield Trouble(at, f"{tag} burns {_PLACES[kind]}, which specc does not cover", _FIX, _WHY)
    yield from _asked(ctx)
    return stated(looked)
