"""The whole system on one sheet, upright or lying, as a reader sees it first.

Small fittings are counted instead of drawn, and like branches drawn once, with a table of what differs. Under the
network stand the tables that tell of its zones and valves, and the key to its symbols. A network that no such sheet
holds with letters that can be read gets several, and before them an overview of what can close and what burns.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from specc.drawing.cells import Node, shifted
from specc.drawing.flow import ZoneLabel, laid_out
from specc.drawing.like import Group, Link, Reduced, counted_words, reduced, span, without
from specc.drawing.overview import overview
from specc.drawing.shapes import Drawing, Shape, Sheet
from specc.drawing.spare import filled, spare
from specc.drawing.strip import Listing, Panel, key, listing, placed, words
from specc.drawing.symbols import PASSED

UPRIGHT = (181.0, 190.0)  # of a page that stands, mm
LYING = (247.5, 142.0)  # of one that lies
_GAP = 3.0  # between the network and what stands under it
_NOTED = 60.0  # width of a note, mm
_MOST_BESIDE = 2  # panels that may stand beside the lines
_KEY_COLUMNS = (2, 3)
_UNIONS = frozenset({"union"})
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
    for small in _smaller(nodes, links):
        for size in (UPRIGHT, LYING):
            made = _on_one(small, zones, open_zone, key, title, beside, size)
            if made is not None:
                return made
    return _cut(reduced(nodes, links, 2), zones, open_zone, key, title, beside)


def _smaller(nodes: Sequence[Node], links: Sequence[Link]) -> Iterator[Reduced]:
    """The network made smaller and smaller: unions are fittings too, counted where a sheet has no room for them."""
    whole = [reduced(nodes, links, least) for least in (3, 2)]
    yield from whole
    yield from (without(small, _UNIONS) for small in whole if any(n.symbol == "union" for n in small.nodes))


def _cut(
    small: Reduced, zones: Mapping[str, ZoneLabel], open_zone: str, key: str, title: str, beside: Beside
) -> Drawing:
    """Several sheets, and before them an overview: the whole without what gas only passes through, where a sheet holds
    that; else the supply, and a box for each sheet."""
    wide, high = LYING
    panels = _panels(small, beside, _KEY_COLUMNS[0])
    before = 1
    while True:
        cut, held = laid_out(
            small.nodes, small.links, zones,
            open_zone=open_zone, key=key, title=title, width=wide, height=high - 20.0, before=before,
        )  # fmt: skip
        first = _plain(small, zones, open_zone, key, title, beside)
        first = first or overview(small, held, zones, open_zone=open_zone, size=LYING, before=before, beside=panels)
        if len(first) == before:
            return cut._replace(sheets=(*first, *cut.sheets))
        before = len(first)


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
        return laid_out((), (), zones, key=key, title=title).drawing
    wide, high = size
    ways = [_panels(small, beside, n) for n in _KEY_COLUMNS]
    tried = list(_ways_to_place(ways, wide))
    # Laid out twice at most, since that takes a while: with everything under it, and with as much room as there can be.
    for low in (tried[0][0].height, min(under.height for under, _ in tried)):
        whole = _whole(small, zones, open_zone, key, title, (wide, high - low - _GAP))
        for sheet in whole.sheets if whole is not None else ():
            free = spare(sheet)
            for under, among in tried:
                room = high - under.height - _GAP
                beside_lines = filled(free, among) if sheet.height <= room + 1e-6 else None
                if whole is not None and beside_lines is not None:
                    sheet = sheet._replace(shapes=(*sheet.shapes, *beside_lines))
                    return whole._replace(sheets=(_with(sheet, under, wide),))
    return None


def _whole(
    small: Reduced, zones: Mapping[str, ZoneLabel], open_zone: str, key: str, title: str, size: tuple[float, float]
) -> Drawing | None:
    """The network alone on one sheet; None where it does not fit."""
    wide, room = size
    if room < 60.0:
        return None
    drawn = laid_out(
        small.nodes, small.links, zones, open_zone=open_zone, key=key, title=title, width=wide, height=room, whole=True
    ).drawing
    fits = len(drawn.sheets) == 1 and drawn.sheets[0].width <= wide + 1e-6 and drawn.sheets[0].height <= room + 1e-6
    return drawn if fits else None


def _ways_to_place(ways: Sequence[Sequence[Panel]], wide: float) -> Iterator[tuple[Panel, tuple[Panel, ...]]]:
    """What stands under the network, and what where it leaves room beside its lines: first all under it, then one
    panel beside the lines, then two, the smallest first."""
    for count in range(_MOST_BESIDE + 1):
        tried = [
            (placed([p for n, p in enumerate(panels) if n not in some], wide), tuple(panels[n] for n in some))
            for panels in ways
            for some in combinations(range(len(panels)), count)
        ]
        yield from sorted(tried, key=lambda t: (sum(p.width * p.height for p in t[1]), t[0].height))


def _with(sheet: Sheet, under: Panel, wide: float) -> Sheet:
    lift = under.height + _GAP
    shapes: list[Shape] = [shifted(s, 0.0, lift) for s in sheet.shapes]
    shapes += [shifted(s, 0.0, under.height) for s in under.shapes]
    return Sheet(max(wide, sheet.width, under.width), sheet.height + lift, tuple(shapes))


def _panels(small: Reduced, beside: Beside, columns: int) -> list[Panel]:
    """The tables, the key to the symbols in so many columns, and the notes."""
    made = [listing(t) for t in (*beside.listings, *_differences(small.groups))]
    said = list(beside.notes)
    if small.counted:
        said.append(("Not drawn", f"{counted_words(small.counted)}: each at the pressure of its zone."))
    made.append(key({n.symbol for n in small.nodes}, columns))
    return [*made, *(words(title, [text], _NOTED) for title, text in said)]


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


def _plain(
    small: Reduced, zones: Mapping[str, ZoneLabel], open_zone: str, key: str, title: str, beside: Beside
) -> tuple[Sheet, ...]:
    """One sheet of what holds gas, what closes and what burns; none where not even that fits."""
    some = without(small, PASSED)
    for size in (UPRIGHT, LYING):
        made = _on_one(some, zones, open_zone, key, title, beside, size)
        if made is not None:
            return made.sheets
    return ()
