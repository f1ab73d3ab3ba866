"""What specc covers at all: effects out of doors that stand still, fed with vapor and fired by their crew."""

from __future__ import annotations

from specc.model.findings import Trouble, Verdict
from specc.model.passes import Context, found, not_checked, rule, stated
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


@rule(
    "core.scope",
    level="error",
    statement="The effect is of a kind that specc covers: out of doors and standing still",
    source=CHOICE,
    reads=("event", "project"),
    rests_on=("event.setting", "project.use"),
)
def scope(ctx: Context) -> Verdict:
    """What nobody says is not taken as said."""
    said = [(ctx.spec(root), key) for root, key in (("event", "setting"), ("project", "use"))]
    troubles = [
        Trouble(view.here(key), f"{_WORDS[view.text(key)]}, which specc does not cover", _FIX, _WHY)
        for view, key in said
        if view.has(key) and view.text(key) not in _COVERED
    ]
    if troubles:
        return found(troubles, "where it burns and how it is used")
    missing = {f"{view.at.strip('/')}: {key}:": view.here(key) for view, key in said if not view.has(key)}
    if missing:
        words = f"nobody says that it burns out of doors, standing still ({', '.join(missing)})"
        return not_checked(words, *missing.values())
    return stated("out of doors and standing still")
