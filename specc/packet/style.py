"""How the packet looks: paper, margins, one typeface, four sizes, gray with one accent.

Lengths are in points. The left margin survives a two-hole punch. DEVELOPERS.md says the style in words, and
`tests/packet/test_looks.py` measures it.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

Weight: TypeAlias = Literal["light", "regular", "semibold"]
Color: TypeAlias = tuple[float, float, float]

INK: Color = (0.10, 0.10, 0.10)
GRAY: Color = (0.33, 0.33, 0.33)
PALE: Color = (0.66, 0.66, 0.66)
ACCENT: Color = (0.72, 0.25, 0.05)  # with a pennant, its number and "needs you", and nothing else
DRAFT_TINT: Color = (0.93, 0.93, 0.93)

TITLE_SIZE, BODY, SMALL, DRAWN = 20.0, 9.5, 8.5, 7.5
HAIR = 0.35  # between rows
THICK = 0.75  # over a section, under a table's head
INDENT = 9.0  # what hangs under a title


class Style(NamedTuple):
    """A way to set text. `leading` is from baseline to baseline."""

    size: float
    leading: float
    weight: Weight = "regular"
    color: Color = INK


TITLE = Style(TITLE_SIZE, 24, "semibold")
NUMBER = Style(TITLE_SIZE, 23, "light")
HEADING = Style(TITLE_SIZE, 24, "semibold")
SUBHEADING = Style(BODY, 12, "semibold")
TEXT = Style(BODY, 12)
STRONG = Style(BODY, 12, "semibold")
ALARM = STRONG  # an error is said in words and by its mark: color is for what needs the reader
MUTED = Style(BODY, 12, "regular", GRAY)
FINE = Style(SMALL, 10.2)
FINE_STRONG = Style(SMALL, 10.2, "semibold")
FINE_ALARM = FINE_STRONG
FINE_NEEDS_YOU = Style(SMALL, 10.2, "semibold", ACCENT)
QUIET = Style(SMALL, 10.2, "regular", GRAY)
RESULT = STRONG


class Paper(NamedTuple):
    """A sheet and its margins."""

    width: float
    height: float
    left: float = 63.0  # 0.875 in: holes are punched here
    right: float = 36.0
    top: float = 27.0  # to the top of the running head
    bottom: float = 22.0  # to the lowest line of the footer
    head: float = 20.0  # the running head takes this much
    foot: float = 27.0
    larger: str = ""  # of SHEETS: the whole system stands on such a sheet

    @property
    def measure(self) -> float:
        """The width for content."""
        return self.width - self.left - self.right

    @property
    def room(self) -> float:
        """The height for content."""
        return self.height - self.top - self.head - self.foot - self.bottom

    @property
    def lying(self) -> Paper:
        """The same sheet, or a larger one, on its side, to be turned to the right: its punched margin is then at the
        top."""
        if self.larger:
            return SHEETS[self.larger].lying
        return Paper(self.height, self.width, left=self.bottom + 2, right=54.0, top=self.left, bottom=self.bottom)

    @property
    def first_line(self) -> float:
        """Where content starts, from the lower edge."""
        return self.height - self.top - self.head


PAPERS: dict[str, Paper] = {"letter": Paper(612.0, 792.0), "a4": Paper(595.28, 841.89)}
# One drawing by itself also goes on a larger sheet.
SHEETS: dict[str, Paper] = {**PAPERS, "tabloid": Paper(792.0, 1224.0)}

# Prose is no wider than this, which is the measure of Letter.
PROSE = 513.0
HALF = (PROSE - 16.0) / 2  # a column where two stand beside one another
