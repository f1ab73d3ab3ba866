"""What stands two beside one another: what can be read at half the measure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from specc.packet.figure_family import HeadedTable
from specc.packet.layout import PageItem, Snaking, Stack, inside
from specc.packet.mathset import EquationItem
from specc.packet.pictures import POINTS_PER_MM, TURNED, Picture
from specc.packet.style import (
    HALF,
    INDENT,
    PROSE,
)
from specc.packet.tables import Grid
from specc.packet.text import Paragraph


def beside(items: Iterable[PageItem]) -> Iterator[PageItem]:
    """What needs no more than half the measure stands two beside one another, with the headings and the words between:
    figures, plots and narrow tables. All else goes across it."""
    waiting: list[PageItem] = []
    for item in (*items, None):
        half = item is not None and _narrow(item)
        words = isinstance(item, Paragraph) and not item.new_page and not item.section
        if item is not None and (half or (words and waiting)):
            waiting.append(item)
            continue
        # What comes last before something wide belongs to that.
        tail: list[PageItem] = []
        while waiting and isinstance(waiting[-1], Paragraph):
            tail.insert(0, waiting.pop())
        halves = [i for i in waiting if not isinstance(i, Paragraph)]
        if len(halves) > 1 or any(isinstance(i, Grid) and i.height(HALF) > _TALLEST for i in halves):
            yield Snaking(waiting, before=8.0)
        else:
            yield from waiting
        yield from tail
        waiting = []
        if item is not None:
            yield item


def _narrow(item: PageItem) -> bool:
    """Whether something can be read at half the measure, and is not so tall that it would have to be cut there."""
    if isinstance(item, Picture):
        return item.drawing.kind == "schematic" and item.sheet.width * POINTS_PER_MM <= HALF * TURNED
    if isinstance(item, Grid):
        return item.headed and item.fits(HALF) and item.height(HALF) <= MORE * item.height(PROSE)
    if not isinstance(item, Stack):
        return False
    if isinstance(item, HeadedTable):
        grid = item.items[1]
        if not isinstance(grid, Grid) or not grid.fits(HALF):
            return False
    equations_fit = all(e.natural(HALF) <= HALF - INDENT for e in inside(item) if isinstance(e, EquationItem))
    return equations_fit and (isinstance(item, HeadedTable) or item.height(HALF) <= _TALLEST)


MORE = 1.5  # as high in half the measure: beside another it then takes three quarters of the room


_TALLEST = 330.0  # points, of what stands in half the measure
