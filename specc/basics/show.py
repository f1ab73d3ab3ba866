"""The show as the spec says it: nights, hours and scenes."""

from __future__ import annotations

from datetime import date

from specc.basics.nights import cues_of
from specc.kinds.show import SHOW, Bursts, Scene, Show
from specc.model.findings import Trouble, Unchecked
from specc.model.passes import Context, Judging, not_checked, passed, rule, value
from specc.model.values import CHOICE
from specc.model.view import Unreadable, View, join
from specc.model.wording import counted, several


def _hours(event: View) -> tuple[str, str]:
    """The event's hours, or blanks. Refused ones are reported by the schema, and no gas figure rests on them."""
    try:
        hours = event.child("hours")
        return hours.text_or("from"), hours.text_or("to")
    except Unreadable:
        return "", ""


@value(SHOW, reads=("show", "event"))
def show(ctx: Context) -> Show:
    event, scenes = ctx.spec("event"), ctx.spec("show").child("scenes")
    opens, closes = _hours(event)
    return Show(
        tuple(sorted(date.fromisoformat(d) for d in event.texts("dates"))),
        opens,
        closes,
        tuple(
            Scene(
                tag,
                s.text_or("starts"),
                s.quantity("lasts"),
                s.texts("steady"),
                tuple(
                    Bursts(effect, b.quantity("times"), b.quantity("open"), b.at, b.quantity_or_none("every"))
                    for effect, b in s.child("bursts").children()
                ),
                s.at,
                cues_of(s),
                s.yes("gas_off_after"),
            )
            for tag, s in scenes.children()
        ),
        event.here("dates"),
    )


def _minutes(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:])


@rule(
    "core.scenes_in_hours",
    level="warning",
    statement="The scenes run within the event's hours",
    source=CHOICE,
    needs=(SHOW,),
)
def scenes_in_hours(ctx: Context) -> Judging:
    """Hours that end no later than they begin run past midnight, and so does a scene that starts before them."""
    the_show = ctx[SHOW]
    if not the_show.opens or not the_show.closes:
        return not_checked("the event's hours are not stated (event: hours:)", "/event/hours")
    timed = [s for s in the_show.scenes if s.starts]
    if not timed:
        at = [join(s.at, "starts") for s in the_show.scenes] or ["/show/scenes"]
        return not_checked("no scene says when it starts (starts:)", *at)
    opens, closes = _minutes(the_show.opens), _minutes(the_show.closes)
    closes += 1440 if closes <= opens else 0
    for scene in timed:
        starts = _minutes(scene.starts)
        if starts < opens and starts + 1440 < closes:
            starts += 1440
        if starts < opens or starts + scene.lasts.si / 60 > closes + 1e-6:
            yield Trouble(
                join(scene.at, "starts"),
                f"the scene {scene.tag} starts at {scene.starts} and lasts {scene.lasts.text}; the event's hours "
                f"are {the_show.opens} to {the_show.closes}",
                "a scene within the hours, or the hours that the event really has",
                "the packet would show the authority hours that the show does not keep",
            )
    if untimed := [s for s in the_show.scenes if not s.starts]:
        begin = "begins" if len(untimed) == 1 else "begin"
        said = f"when {several([s.tag for s in untimed])} {begin} is not stated (starts:)"
        yield Unchecked(said, *(join(s.at, "starts") for s in untimed))
    return passed(counted(len(timed), "scene"))
