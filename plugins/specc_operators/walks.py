"""How long it takes on foot from each post to what is closed by hand."""

from __future__ import annotations

from specc import Column, Context, Row, Table, show, table
from specc.kinds.faults import CLOSING_TIMES
from specc.kinds.plumbing import NETWORK
from specc_operators.posts import SPEED, place_of


@table(
    "operators.walks",
    title="On foot to what is closed by hand",
    needs=(CLOSING_TIMES,),
    wants=(NETWORK,),
    limits=("operators.walking_speed",),
)
def walks_table(ctx: Context) -> Table:
    """One row for what stands at one place; the nearest post first."""
    net, speed = ctx.get(NETWORK), ctx.limit(SPEED.key)
    valves: dict[str, dict[str, None]] = {}
    ways: dict[str, dict[str, float | None]] = {}
    for one in ctx[CLOSING_TIMES]:
        place = place_of(net.by_tag[one.valve]) if net is not None else ""
        valves.setdefault(place, {})[one.valve] = None
        ways.setdefault(place, {})[one.post] = one.time.si if one.time else None
    rows = [Row((place, ", ".join(tags), _each(ways[place]))) for place, tags in valves.items()]
    columns = (Column("at", 1.0), Column("closed by hand", 2.0), Column("from each post", 3.5))
    note = f"At {speed.text}, round what is in the way; the dark, a crowd and the time to see why are not counted."
    return Table("", "", columns, tuple(rows), note)


def _each(ways: dict[str, float | None]) -> str:
    known = sorted((seconds, post) for post, seconds in ways.items() if seconds is not None)
    told = [f"{post} {show(seconds, 'duration', 's', 2)}" for seconds, post in known]
    return ", ".join([*told, *(f"{post}: no way" for post, seconds in ways.items() if seconds is None)])
