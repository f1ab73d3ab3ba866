"""Dates as people know them: to the day, to the month, or to the year. Nothing here knows what day it is."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, timedelta
from typing import Literal, NamedTuple

from specc import View

_WRITTEN = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")


class Dated(NamedTuple):
    """A date as written, the days it may stand for (`first` to `last`), and how closely it is known.

    `first` counts when asked how long ago, `last` when asked whether it lies before the event: each is the
    strict end. A date that does not exist is "none", with both ends at 9999-12-31, and must not be used.
    """

    text: str
    at: str
    first: date
    last: date
    known: Literal["day", "month", "year", "none"]

    @property
    def read_as(self) -> str:
        """The text for a message, with the day it is read as when it gives none."""
        return self.text if self.known in ("day", "none") else f"{self.text}, read as {self.first}"


def dated(text: str, at: str = "") -> Dated:
    """Read a date.

    >>> dated("2024-02").last
    datetime.date(2024, 2, 29)
    >>> dated("2027-02-30").known
    'none'
    """
    nothing = Dated(text, at, date.max, date.max, "none")
    match = _WRITTEN.fullmatch(text)
    if match is None:
        return nothing
    year, month, day = match.groups()
    try:
        if day:
            exact = date(int(year), int(month), int(day))
            return Dated(text, at, exact, exact, "day")
        if month:
            end = monthrange(int(year), int(month))[1]
            return Dated(text, at, date(int(year), int(month), 1), date(int(year), int(month), end), "month")
        return Dated(text, at, date(int(year), 1, 1), date(int(year), 12, 31), "year")
    except ValueError:
        return nothing


def years_later(start: date, years: int) -> date:
    """The same day some years on; from 29 February to 28 February where there is no 29th.

    >>> years_later(date(2024, 2, 29), 5)
    datetime.date(2029, 2, 28)
    """
    if start.year + years > date.max.year:
        return date.max
    try:
        return start.replace(year=start.year + years)
    except ValueError:
        return start.replace(year=start.year + years, day=28)


def event_days(event: View) -> tuple[date, ...]:
    """The days of the event in order. Hours that run past midnight add the morning after each night.

    Raises Unreadable when the dates or hours are refused or missing.
    """
    days = {date.fromisoformat(d) for d in event.texts("dates")}
    hours = event.child("hours")
    if hours.has("from") and hours.has("to") and hours.text("to") < hours.text("from"):
        days |= {day + timedelta(days=1) for day in days if day < date.max}
    return tuple(sorted(days))
