"""How the packet looks: paper, margins, one typeface in three weights, four sizes, gray with one accent.

Lengths are in points. The left margin survives a ring binder, the top margin a two-hole punch.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

Weight: TypeAlias = Literal["light", "regular", "semibold"]
Color: TypeAlias = tuple[float, float, float]

INK: Color = (0.11, 0.13, 0.15)
GRAY: Color = (0.38, 0.41, 0.44)
PALE: Color = (0.80, 0.82, 0.84)
ACCENT: Color = (0.66, 0.20, 0.09)
DRAFT_TINT: Color = (0.93, 0.93, 0.93)

BIG, HEAD, BODY, SMALL = 26.0, 14.0, 9.5, 7.5
HAIR = 0.5  # weight of a thin rule
THICK = 1.0  # under a title or a table's head
INDENT = 14.0  # what hangs under a title


class Style(NamedTuple):
    """A way to set text. `leading` is from baseline to baseline."""

    size: float
    leading: float
    weight: Weight = "regular"
    color: Color = INK


TITLE = Style(BIG, 31, "semibold")
NUMBER = Style(BIG, 29, "light")
HEADING = Style(HEAD, 18, "semibold")
SUBHEADING = Style(BODY, 13, "semibold")
SUBTITLE = Style(HEAD, 18, "light", GRAY)
TEXT = Style(BODY, 13)
STRONG = Style(BODY, 13, "semibold")
ALARM = Style(BODY, 13, "semibold", ACCENT)
MUTED = Style(BODY, 13, "regular", GRAY)
FINE = Style(SMALL, 10)
FINE_STRONG = Style(SMALL, 10, "semibold")
FINE_ALARM = Style(SMALL, 10, "semibold", ACCENT)
QUIET = Style(SMALL, 10, "regular", GRAY)
RESULT = Style(HEAD, 18, "semibold")


class Paper(NamedTuple):
    """A sheet and its margins."""

    width: float
    height: float
    left: float = 66.0  # 0.92 in
    right: float = 48.0
    top: float = 56.0  # 0.78 in, to the top of the running head
    bottom: float = 34.0  # to the lowest line of the footer
    head: float = 30.0  # the running head takes this much
    foot: float = 36.0

    @property
    def measure(self) -> float:
        """The width for content."""
        return self.width - self.left - self.right

    @property
    def room(self) -> float:
        """The height for content."""
        return self.height - self.top - self.head - self.foot - self.bottom

    @property
    def first_line(self) -> float:
        """Where content starts, from the lower edge."""
        return self.height - self.top - self.head


PAPERS: dict[str, Paper] = {"letter": Paper(612.0, 792.0), "a4": Paper(595.28, 841.89)}

# Prose is set narrower than tables: some seventy to ninety letters to a line are easy to follow.
PROSE = 400.0
