"""Months as they are stamped on cylinders, and when a cylinder is next due.

Precision is a month, so the earliest day is meant: a cylinder made in June may have been made on the 1st.
"""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple


class Month(NamedTuple):
    year: int
    month: int

    def first(self, years: int = 0) -> date:
        """The first day of the month, some years on."""
        return date(self.year + years, self.month, 1)

    def __str__(self) -> str:
        return f"{self.year}-{self.month:02}"


class NotAMonth(NamedTuple):
    """Why a text is no month, and what to write."""

    message: str
    fix: str


_NAMES = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"


def read_month(text: str) -> Month | NotAMonth:
    """A month written as year-month.

    >>> read_month("2019-04")
    Month(year=2019, month=4)
    >>> read_month("2019").message
    'a year without its month'
    >>> read_month("04").message
    'a month without its year'
    """
    text = text.strip()
    whole = re.fullmatch(r"(19\d\d|20\d\d)-(0[1-9]|1[0-2])", text)
    if whole:
        return Month(int(whole[1]), int(whole[2]))
    if re.fullmatch(r"(19|20)\d\d", text):
        return NotAMonth("a year without its month", f"the month stamped beside the year, such as {text}-04")
    if re.fullmatch(rf"0?[1-9]|1[0-2]|({_NAMES})[a-z]*", text, re.IGNORECASE):
        return NotAMonth("a month without its year", "the year stamped beside the month, such as 2019-04")
    return NotAMonth("no month", "year and month, such as 2019-04")
