"""Ways out in a gas leak: propane runs down, so an exit that leads down is none while gas comes out unlit."""

from __future__ import annotations

from specc import PRACTICE, Context, Trouble, Unchecked, distance, not_applicable, not_checked, rule, show
from specc.kinds.places import Spot
from specc.model.passes import Judging, passed
from specc.model.view import View
from specc.model.wording import counted, several
from specc_site.plan import KIND, NO_PLAN, PEOPLE_KINDS, PLAN, Plan, unplaced
from specc_site.ways_out import EXITS, WIDTH, kept_exits


def leads_down(out: Spot, plan: Plan, places: View) -> bool:
    """As its spec says, or as it stands in a low place."""
    if places.child(out.tag).text_or("leads") == "down":
        return True
    return any(out.shape and low.shape and distance(out.shape, low.shape).si == 0.0 for low in plan.of("low_place"))


@rule(
    "site.exits_in_leak",
    level="warning",
    statement="In a gas leak the exits that do not lead down are enough",
    source=PRACTICE,
    needs=(PLAN,),
    reads=("places", "operators"),
    limits=(EXITS.key, WIDTH.key),
)
def exits_in_leak(ctx: Context) -> Judging:
    plan, places = ctx[PLAN], ctx.spec("places")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    areas = plan.of(*PEOPLE_KINDS)
    if not areas:
        return not_applicable("no place says kind: audience")
    outs = [o for o in plan.of("exit") if o.tag not in kept_exits(ctx, plan)]
    if not outs:
        return not_checked("no place says kind: exit", KIND)
    yield from unplaced(plan, (*PEOPLE_KINDS, "exit", "low_place"))
    free = [o for o in outs if not leads_down(o, plan, places)]
    least, each = ctx.limit(EXITS.key), ctx.limit(WIDTH.key)
    down = several([o.tag for o in outs if o not in free])
    at = next((o.at for o in outs if o not in free), outs[0].at)
    people = sum(places.child(a.tag).whole("people") for a in areas if places.child(a.tag).has("people"))
    widths = [w.si for o in free if (w := places.child(o.tag).quantity_or_none("width"))]
    if len(free) < least.si <= len(outs):
        yield Trouble(
            at,
            f"in a gas leak {down} leads down, where propane runs, and {counted(len(free), 'exit')} is left; at least "
            f"{least.si:g} are needed",
            "another exit that leads up or on the level",
            "people who flee the gas would meet it there",
        )
    elif down and len(widths) == len(free) and sum(widths) < people * each.si * (1 - 1e-9):
        yield Trouble(
            at,
            f"in a gas leak, without {down}, the exits are {show(sum(widths), 'length', 'ft')} wide for {people} "
            f"people; {show(people * each.si, 'length', 'ft')} are asked for",
            "wider exits that lead up or on the level",
            "people who flee the gas would meet it there",
        )
    if bare := [o.tag for o in outs if not places.child(o.tag).has("leads")]:
        yield Unchecked(
            f"whether {several(bare)} {'leads' if len(bare) == 1 else 'lead'} up, down or level is not stated "
            "(places: leads:)",
            *(places.here(tag, "leads") for tag in bare),
        )
    return passed(f"up or level: {several([o.tag for o in free])}" + (f"; down: {down}" if down else ""))


__all__ = ["exits_in_leak", "leads_down"]
