"""A unit as the spec describes it: its rating, its dates and where it stands.

Values are read when asked for, so that a refused one stops only the rules that read it.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from specc import Context, Unchecked, View
from specc.model.view import join
from specc_extinguishers.dates import Dated, dated

ROOT = "extinguishers"
NO_ROOT = Unchecked("the spec says nothing of extinguishers", "/extinguishers")
NO_UNITS = "no extinguisher is described"
NOT_KNOWN = "not known"

WATER = "stored_pressure_water"
DRY_CHEMICAL = ("stored_pressure_dry_chemical", "cartridge_dry_chemical")
WORK = ("serviced", "internal_examination", "hydrostatic_test")
WORDS = {
    "made": "date of make",
    "inspected": "monthly inspection",
    "serviced": "yearly maintenance",
    "internal_examination": "internal examination",
    "hydrostatic_test": "hydrostatic test",
}


class Rating(NamedTuple):
    """A rating in its parts: numbers for A and B (0 when not rated), and the letters without a number."""

    a: int
    b: int
    letters: frozenset[str]


_PART = re.compile(r"(\d{1,3})-?([AB])|([CDK])")
_GAPS = re.compile(r"[\s:]+")


def rating_of(text: str) -> Rating | None:
    """A rating such as 2-A, 10-B:C, 4-A:80-B:C or 2A10BC; None when it cannot be read.

    >>> rating_of("4-A:80-B:C")
    Rating(a=4, b=80, letters=frozenset({'C'}))
    >>> rating_of("B:C") is None
    True
    """
    left = _GAPS.sub("", text.upper())
    a = b = 0
    letters: set[str] = set()
    while left:
        match = _PART.match(left)
        if match is None:
            return None
        number, numbered, letter = match.groups()
        if numbered is not None and int(number) == 0:
            return None
        if (numbered == "A" and a) or (numbered == "B" and b) or letter in letters:
            return None
        if numbered == "A":
            a = int(number)
        elif numbered == "B":
            b = int(number)
        else:
            letters.add(letter)
        left = left[match.end() :].removeprefix("-")
    return Rating(a, b, frozenset(letters)) if a or b or letters else None


class ListedUnit(NamedTuple):
    tag: str
    spec: View

    @property
    def type(self) -> str:
        return self.spec.text("type")

    @property
    def rating(self) -> Rating | None:
        return rating_of(self.rated)

    @property
    def rated(self) -> str:
        """The rating as written; what is left out is not known."""
        return self.spec.text_or("rating", NOT_KNOWN)

    @property
    def non_rechargeable(self) -> bool:
        return self.spec.yes("non_rechargeable")

    def at(self, key: str) -> str:
        return join(self.spec.at, key)

    def when(self, key: str) -> Dated | None:
        """The date under a key, None when not given."""
        return dated(self.spec.text(key), self.at(key)) if self.spec.has(key) else None

    def looks(self) -> tuple[Dated, ...]:
        """Each monthly inspection that is given."""
        if not self.spec.has("inspected"):
            return ()
        if isinstance(self.spec["inspected"], list):
            listed = self.spec.list_of("inspected")
            return tuple(dated(str(text), join(self.at("inspected"), i)) for i, text in enumerate(listed))
        return (dated(self.spec.text("inspected"), self.at("inspected")),)

    def all_dates(self) -> tuple[tuple[str, Dated], ...]:
        """Every date given, with its key."""
        single = [(key, self.when(key)) for key in ("made", *WORK)]
        return (
            *((key, when) for key, when in single if when),
            *(("inspected", look) for look in self.looks()),
        )


def described(ctx: Context) -> bool:
    """Whether the spec has the root at all."""
    return ctx.spec(ROOT).has("units")


def units(ctx: Context) -> tuple[ListedUnit, ...]:
    return tuple(ListedUnit(tag, spec) for tag, spec in ctx.spec(ROOT).child("units").children())
