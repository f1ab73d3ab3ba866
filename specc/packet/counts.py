"""How many rules ended how, in a row of marks on page one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from specc.model.statuses import STATUSES, Status, in_words
from specc.packet import marks
from specc.packet.desk import Desk
from specc.packet.layout import PageItem
from specc.packet.press import Press
from specc.packet.style import FINE, FINE_NEEDS_YOU
from specc.packet.text import wide

LEAST_GAP = 4.0  # between two counts


class Counts(PageItem):
    """How many rules ended how, each with its mark."""

    def __init__(self, some: Sequence[tuple[str, int, str]], before: float = 8.0) -> None:
        self.some, self.before = tuple(some), before

    def _rows(self, width: float) -> list[list[tuple[str, int, str, float]]]:
        """Each with its width, in as many rows as it takes."""
        rows: list[list[tuple[str, int, str, float]]] = []
        room = 0.0
        for status, n, words in self.some:
            style = FINE_NEEDS_YOU if status == "authority to decide" else FINE
            taken = 11 + wide(f"{n}", style._replace(weight="semibold")) + wide(f" {words}", style)
            if not rows or taken > room:
                rows.append([])
                room = width
            rows[-1].append((status, n, words, taken))
            room -= taken + LEAST_GAP
        return rows

    def height(self, width: float) -> float:
        return 3.0 + 11 * len(self._rows(width))

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        left = x
        for row in self._rows(width):
            x = left
            gap = min(18.0, (width - sum(taken for *_, taken in row)) / max(len(row) - 1, 1))
            for status, n, words, _ in row:
                style = FINE_NEEDS_YOU if status == "authority to decide" else FINE
                marks.draw(press, marks.OF_STATUS[status], x, y - 10, FINE.size)
                x += 11
                x += press.text(x, y - 10, f"{n}", style._replace(weight="semibold"))
                x += press.text(x, y - 10, f" {words}", style) + gap
            y -= 11


def counts_of(desk: Desk) -> list[tuple[str, int, str]]:
    rules = desk.result.rules
    counts = Counter(rule.status for rule in rules)
    order: tuple[Status, ...] = ("authority to decide", *(s for s in STATUSES if s != "authority to decide"))
    words = {"authority to decide": "needs you"}
    always = ("failed", "not checked", "passed", "stated")
    unread = sum(1 for rule in rules if rule.status == "passed" and rule.from_memory)
    # Most that passed only read the spec: how many computed something stands beside their number.
    worked = Counter(rule.from_memory for rule in rules if rule.status == "passed" and rule.figures)
    said: list[tuple[str, int, str]] = []
    for s in order:
        # What passed on a number from memory is never counted as a plain pass.
        if counts[s] or s in always:
            computed = f" ({worked[False]} computed)" if s == "passed" and counts[s] else ""
            said.append((s, counts[s] - (unread if s == "passed" else 0), words.get(s, in_words(s, False)) + computed))
        if s == "passed" and unread:
            said.append((in_words(s, True), unread, f"{in_words(s, True)} ({worked[True]} computed)"))
    return said
