"""Marks beside a status: full, dotted, half, open, cross and a pennant, told apart in gray as in color.

A mark never stands without its word. The pennant alone has the accent: it is for what needs the reader.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from specc.model.statuses import in_words
from specc.packet.press import Press
from specc.packet.style import ACCENT, INK

Mark: TypeAlias = Literal["", "full", "dotted", "half", "open", "cross", "dash", "pennant"]

OF_STATUS: dict[str, Mark] = {
    "passed": "full",
    "passed, source not verified": "dotted",
    "failed": "cross",
    "stated": "half",
    "shown": "half",
    "planned": "half",
    "not applicable": "dash",
    "not checked": "open",
    "waived": "cross",
    "blocked": "open",
    "crashed": "cross",
    "authority to decide": "pennant",
}


def of_rule(status: str, memory: bool) -> Mark:
    """What passed on a source that nobody verified is not marked as what passed on one that was read."""
    return OF_STATUS.get(in_words(status, memory), "open")


def wide(size: float) -> float:
    """The width that a mark takes beside text of this size, its gap included."""
    return size * 1.15


def draw(press: Press, mark: Mark, x: float, y: float, size: float) -> None:
    """A mark with its left at x, for text with the baseline y."""
    c, r = press.canvas, size * 0.31
    middle_x, middle_y = x + r + 0.4, y + size * 0.31
    c.saveState()
    c.setLineWidth(0.9)
    c.setStrokeColorRGB(*INK)
    c.setFillColorRGB(*INK)
    if mark in ("full", "dotted", "half", "open"):
        c.circle(middle_x, middle_y, r, stroke=1, fill=int(mark == "full"))
    if mark == "dotted":
        c.circle(middle_x, middle_y, r * 0.45, stroke=0, fill=1)
    if mark == "half":
        path = c.beginPath()
        path.moveTo(middle_x, middle_y - r)
        path.arcTo(middle_x - r, middle_y - r, middle_x + r, middle_y + r, 270, -180)
        path.close()
        c.drawPath(path, stroke=0, fill=1)
    if mark == "cross":
        c.setLineWidth(1.6)
        c.line(middle_x - r, middle_y - r, middle_x + r, middle_y + r)
        c.line(middle_x - r, middle_y + r, middle_x + r, middle_y - r)
    if mark == "dash":
        c.line(middle_x - r, middle_y, middle_x + r, middle_y)
    if mark == "pennant":
        c.setStrokeColorRGB(*ACCENT)
        c.setFillColorRGB(*ACCENT)
        c.line(x + 0.6, y - size * 0.1, x + 0.6, y + size * 0.72)
        path = c.beginPath()
        path.moveTo(x + 0.6, y + size * 0.74)
        path.lineTo(x + size * 0.82, y + size * 0.5)
        path.lineTo(x + 0.6, y + size * 0.26)
        path.close()
        c.drawPath(path, stroke=0, fill=1)
    c.restoreState()
