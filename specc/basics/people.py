"""The people of a project, with what certificates they hold."""

from __future__ import annotations

from datetime import date

from specc.kinds.people import PEOPLE, Certificate, Person
from specc.model.passes import Context, value
from specc.model.view import View


def _day(view: View, key: str) -> date | None:
    return date.fromisoformat(view.text(key)) if view.has(key) else None


@value(PEOPLE, reads=("people",))
def people(ctx: Context) -> tuple[Person, ...]:
    return tuple(
        Person(
            tag,
            p.text_or("name"),
            p.text_or("phone"),
            p.text_or("role"),
            p.whole("age") if p.has("age") else None,
            _day(p, "born"),
            p.yes("sober") if p.has("sober") else None,
            tuple(
                Certificate(name, c.text("kind"), _day(c, "from"), _day(c, "until"), c.at)
                for name, c in p.child("certificates").children()
            ),
            p.at,
        )
        for tag, p in ctx.spec("people").children()
    )
