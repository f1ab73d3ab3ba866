"""Wall-clock times on the event's nights, and how long it really is from one to the next.

With a time zone, durations are real ones, also across a clock change. Without one they go by the wall
clock, and whoever prints them says so.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

# A shift or scene that starts before this belongs to the night that began the evening before.
EARLY = time(6, 0)


class Moment(NamedTuple):
    """A time as the clock on the wall shows it, and the same in UTC (or again the wall's, without a zone)."""

    wall: datetime
    real: datetime


class TimeSpan(NamedTuple):
    start: Moment
    end: Moment

    @property
    def seconds(self) -> float:
        """How long it lasts, in s."""
        return (self.end.real - self.start.real).total_seconds()


def zone_named(name: str) -> ZoneInfo | None:
    """The time zone, or None when the name is empty or not in the database."""
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # a folder of the database raises OSError
        return None


def moment(day: date, at: time, zone: ZoneInfo | None) -> Moment:
    """The moment a wall clock shows `at` on `day`: the first, when it shows it twice."""
    wall = datetime.combine(day, at)
    return Moment(wall, wall if zone is None else wall.replace(tzinfo=zone).astimezone(UTC).replace(tzinfo=None))


def later(start: Moment, seconds: float, zone: ZoneInfo | None) -> Moment:
    """The moment so many s after `start`."""
    real = start.real + timedelta(seconds=seconds)
    wall = real if zone is None else real.replace(tzinfo=UTC).astimezone(zone).replace(tzinfo=None)
    return Moment(wall, real)


def clock_fault(wall: datetime, zone: ZoneInfo) -> str:
    """ "skipped" or "twice" for a wall-clock time that a clock change makes unclear; else ""."""
    there = wall.replace(tzinfo=zone)
    if there.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != wall:
        return "skipped"
    return "twice" if there.utcoffset() != there.replace(fold=1).utcoffset() else ""


def read_time(text: str) -> time:
    """A time of day as written, "20:30". The schema has judged it."""
    return time.fromisoformat(text)


def is_morning_after(start: time, opens: time | None, closes: time | None) -> bool:
    """Whether a time belongs to the calendar day after the night's date.

    It does when it is early, or before the event closes past midnight; never from the event's opening on.
    """
    if opens is not None and start >= opens:
        return False
    past_midnight = opens is not None and closes is not None and closes <= opens
    return start < EARLY or (past_midnight and closes is not None and start < closes)


def span(night: date, start: str, end: str, hours: tuple[time | None, time | None], zone: ZoneInfo | None) -> TimeSpan:
    """From a start to an end on a night. An end that is not later than the start is on the next day."""
    begins, ends = read_time(start), read_time(end)
    day = night + timedelta(days=1) if is_morning_after(begins, *hours) else night
    last = day + timedelta(days=1) if ends <= begins else day
    return TimeSpan(moment(day, begins, zone), moment(last, ends, zone))


def gaps(need: TimeSpan, given: tuple[TimeSpan, ...]) -> tuple[TimeSpan, ...]:
    """The parts of `need` that none of `given` covers, in order."""
    open_from, found = need.start, []
    for one in sorted(given, key=lambda s: s.start.real):
        if one.end.real <= open_from.real:
            continue
        if one.start.real >= need.end.real:
            break
        if one.start.real > open_from.real:
            found.append(TimeSpan(open_from, one.start))
        open_from = one.end
    if open_from.real < need.end.real:
        found.append(TimeSpan(open_from, need.end))
    return tuple(found)


def clock(at: datetime) -> str:
    """The time of day, "20:30"."""
    return at.strftime("%H:%M")


def length(seconds: float) -> str:
    """A duration in hours and minutes, "4 h 30 min"."""
    minutes = round(seconds / 60)
    parts = [f"{minutes // 60} h"] if minutes >= 60 else []
    parts += [f"{minutes % 60} min"] if minutes % 60 or not parts else []
    return " ".join(parts)


def listed(days: tuple[date, ...] | list[date]) -> str:
    """Dates for a message: "2027-06-19 and 2027-06-20"."""
    texts = [d.isoformat() for d in sorted(set(days))]
    return texts[0] if len(texts) == 1 else ", ".join(texts[:-1]) + " and " + texts[-1]
