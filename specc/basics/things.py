"""What is not plumbing and stands near: `things:`."""

from __future__ import annotations

from specc.kinds.things import THINGS, Thing
from specc.model.findings import Trouble, Verdict
from specc.model.passes import Context, found, not_applicable, rule, value
from specc.model.values import CHOICE, Quantity
from specc.model.view import View
from specc.model.wording import counted


def _lengths(view: View) -> tuple[tuple[str, Quantity], ...]:
    return tuple((tag, view.quantity(tag)) for tag in view)


@value(THINGS, reads=("things",))
def things(ctx: Context) -> tuple[Thing, ...]:
    return tuple(
        Thing(
            tag,
            t.text("kind"),
            t.text_or("title", tag),
            t.text_or("material"),
            t.text_or("coating"),
            t.text_or("place"),
            _lengths(t.child("distance")),
            _lengths(t.child("above")),
            t.texts("holds"),
            t.texts("held_by"),
            t.quantity_or_none("weight"),
            t.quantity_or_none("thickness"),
            t.text_or("note"),
            t.at,
        )
        for tag, t in ctx.spec("things").children()
    )


@rule(
    "core.thing_where",
    level="warning",
    statement="Each thing that stands near says where it is: its place, or its distance from what burns",
    source=CHOICE,
    needs=(THINGS,),
)
def thing_where(ctx: Context) -> Verdict:
    listed = ctx[THINGS]
    if not listed:
        return not_applicable("the spec describes no things")
    return found(
        (
            Trouble(
                t.at,
                f"nothing says where {t.tag} is",
                "place: with a tag of places:, or distance: {tag of a burner: 3 ft}",
                "what heat does to it, and whether it is too near, cannot be checked",
            )
            for t in listed
            if not (t.place or t.distances or t.above)
        ),
        counted(len(listed), "thing"),
    )
