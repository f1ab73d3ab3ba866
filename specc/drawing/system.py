"""The whole system on one sheet, upright or lying, as a reader sees it first.

Small fittings are counted instead of drawn, and like branches drawn once, with a table of what differs. Under the
network stand the tables that tell of its zones and valves, and the key to its symbols. A network that no such sheet
holds with letters that can be read gets several, and before them an overview of what can close and what burns.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from specc.drawing.cells import Node, shifted
from specc.drawing.flow import ZoneLabel, schematic
from specc.drawing.like import Group, Link, Reduced, counted_words, reduced, span, without
from specc.drawing.shapes import Drawing, Shape, Sheet
from specc.drawing.strip import Listing, Panel, key, listing, placed
from specc.drawing.symbols import PASSED

UPRIGHT = (181.0, 190.0)  # of a page that stands, mm
LYING = (247.5, 142.0)  # of one that lies
_GAP = 3.0  # between the network and what stands under it
_MOST_LISTED = 24  # rows of a table of like branches


class Beside(NamedTuple):
    """What stands under the network beside the key: tables, and words under a title."""

    listings: tuple[Listing, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()


def system(
    nodes: Sequence[Node],
    links: Sequence[Link],
    zones: Mapping[str, ZoneLabel],
    *,
    open_zone: str,
    key: str,
    title: str,
    beside: Beside,
) -> Drawing:
    """The drawing of a network (see `flow.schematic` for `nodes`, `links`, `zones` and `open_zone`): its first sheet
    is the whole, or an overview of it."""
    made: Drawing | None = None
    for least in (3, 2):
        small = reduced(nodes, links, least)
        for size in (UPRIGHT, LYING):
            made = _on_one(small, zones, open_zone, key, title, beside, size)
            if made is not None:
                return made
    small = reduced(nodes, links, 2)
    wide, high = LYING
    overview = _overview(small, zones, open_zone, key, title, beside)
    cut = schematic(
        small.nodes, small.links, zones, open_zone=open_zone, key=key, title=title, width=wide, height=high - 20.0
    )
    return cut._replace(sheets=(*overview, *cut.sheets))


def _on_one(
    small: Reduced,
    zones: Mapping[str, ZoneLabel],
    open_zone: str,
    key: str,
    title: str,
    beside: Beside,
    size: tuple[float, float],
) -> Drawing | None:
    """The whole on one sheet of a size; None where it does not fit."""
    if not small.nodes:
        return schematic((), (), zones, key=key, title=title)
    wide, high = size
    under = _under(small, beside, wide)
    room = high - under.height - _GAP
    if room < 60.0:
        return None
    drawn = schematic(
        small.nodes, small.links, zones, open_zone=open_zone, key=key, title=title, width=wide, height=room, whole=True
    )
    if len(drawn.sheets) != 1 or any(s.width > wide + 1e-6 or s.height > room + 1e-6 for s in drawn.sheets):
        return None
    return drawn._replace(sheets=tuple(_with(s, under, wide) for s in drawn.sheets))


def _with(sheet: Sheet, under: Panel, wide: float) -> Sheet:
    lift = under.height + _GAP
    shapes: list[Shape] = [shifted(s, 0.0, lift) for s in sheet.shapes]
    shapes += [shifted(s, 0.0, under.height) for s in under.shapes]
    return Sheet(max(wide, sheet.width, under.width), sheet.height + lift, tuple(shapes))


def _under(small: Reduced, beside: Beside, wide: float) -> Panel:
    blocks = [listing(t) for t in (*beside.listings, *_differences(small.groups))]
    blocks.append(key({n.symbol for n in small.nodes}, 2))
    said = list(beside.notes)
    if small.counted:
        said.append(("Not drawn", f"{counted_words(small.counted)}: each at the pressure of its zone."))
    return placed(blocks, wide, said)


def _differences(groups: Sequence[Group]) -> Iterator[Listing]:
    for group in groups:
        if not group.differs:
            continue
        heads = tuple(name for name, _ in group.differs)
        rows = tuple(zip(group.ends, *(cells for _, cells in group.differs), strict=True))
        number = frozenset(n for n in range(1, len(heads) + 1) if all(r[n][:1].isdigit() for r in rows))
        alike = "; ".join(f"{name} {value}" for name, value in group.shared if value)
        note = f"Alike in all: {alike}." if alike else ""
        title = f"What differs: {span(group.ends)}"
        yield Listing(title, ("", *heads), rows[:_MOST_LISTED], number, note)


def _overview(
    small: Reduced, zones: Mapping[str, ZoneLabel], open_zone: str, key: str, title: str, beside: Beside
) -> tuple[Sheet, ...]:
    """One sheet of what holds gas, what closes and what burns; none where not even that fits."""
    some = without(small, PASSED)
    for size in (UPRIGHT, LYING):
        made = _on_one(some, zones, open_zone, key, title, beside, size)
        if made is not None:
            return made.sheets
    return ()
