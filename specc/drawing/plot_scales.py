"""Where an axis has its ticks and what they say: numbers in steps of 1, 2 or 5, or the time of day."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil, floor, log10
from typing import NamedTuple

# Values farther out than this are refused: a plot in such a unit tells a reader nothing.
LARGEST = 1e100
_DAY = 86400
_CLOCK_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, _DAY)
_LONGEST = 9  # letters in a tick's label before it turns to powers of ten


class Scale(NamedTuple):
    """An axis from `low` to `high`; each tick is a value and its text."""

    low: float
    high: float
    ticks: tuple[tuple[float, str], ...]


def widened(low: float, high: float) -> tuple[float, float]:
    """The same range, or a wider one if it is too narrow to draw, as that of a constant is."""
    size = max(abs(low), abs(high))
    if high - low > max(size * 1e-9, 1e-200):
        return low, high
    pad = size * 0.05 or 0.5
    return low - pad, high + pad


def number_scale(low: float, high: float, about: int, outward: bool = True) -> Scale:
    """About so many ticks; `outward` moves the ends of the axis to the next ticks."""
    step = next(_steps((high - low) / max(about, 1)))
    if outward:
        low, high = floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step
    return Scale(low, high, _numbers(low, high, step))


def fitted_numbers(low: float, high: float, about: int, fits: Callable[[Scale], bool]) -> Scale:
    """The finest number scale from `low` to `high`, no finer than `about` ticks, whose labels fit."""
    scales = (Scale(low, high, _numbers(low, high, step)) for step in _steps((high - low) / max(about, 1)))
    return next(s for s in scales if len(s.ticks) < 2 or fits(s))


def fitted_clock(low: float, high: float, starts: str, about: int, fits: Callable[[Scale], bool]) -> Scale:
    """Times of day for seconds since `starts` ("20:30"), no finer than `about` ticks, whose labels fit."""
    start, slack = seconds_of(starts), (high - low) * 1e-6

    def ticks(step: float) -> Iterator[tuple[float, str]]:
        # A show that starts on the quarter hour is read from its start; else the ticks are round times.
        ahead = 0 if start % 900 == 0 and step >= 1800 else start
        for t in (k * step - ahead for k in _whole(low + ahead, high + ahead, step)):
            # Adding `start` rounds away what is far less than a second, so each is held against the axis itself.
            if low - slack <= t <= high + slack:
                yield t, clock(start + t, step, high - low > _DAY)

    scales = (Scale(low, high, tuple(ticks(step))) for step in _clock_steps((high - low) / max(about, 1)))
    return next(s for s in scales if len(s.ticks) < 2 or fits(s))


def seconds_of(time: str) -> int:
    """Seconds since midnight of a time of day such as "20:30". Raises ValueError for anything else."""
    hours, colon, minutes = time.partition(":")
    good = colon and hours.isascii() and hours.isdigit() and minutes.isascii() and minutes.isdigit()
    if not good or len(hours) > 2 or len(minutes) != 2 or int(hours) > 23 or int(minutes) > 59:
        raise ValueError(f"{time!r} is not a time of day; write it as 20:30")
    return int(hours) * 3600 + int(minutes) * 60


def clock(seconds: float, step: float, with_day: bool = False) -> str:
    """A time of day, with seconds if the step is less than a minute, and the day in plots longer than one."""
    day, rest = divmod(round(seconds), _DAY)
    text = f"{rest // 3600:02d}:{rest // 60 % 60:02d}"
    if step < 60:
        text += f":{rest % 60:02d}"
    return f"day {day + 1} {text}" if with_day else text


def _whole(low: float, high: float, step: float) -> range:
    """The whole multiples of `step` from `low` to `high`; an end that is off by rounding counts."""
    first, last = low / step, high / step
    # Far from zero the division itself is off by more than the fixed part.
    return range(ceil(first - max(1e-9, abs(first) * 1e-15)), floor(last + max(1e-9, abs(last) * 1e-15)) + 1)


def _steps(least: float) -> Iterator[float]:
    """1, 2 or 5 times a power of ten, from the first that is `least` or more, without end."""
    power = floor(log10(least))
    while True:
        for digit in (1, 2, 5):
            step = float(f"{digit}e{power}")
            if step >= least * (1 - 1e-9):
                yield step
        power += 1


def _clock_steps(least: float) -> Iterator[float]:
    yield from (step for step in _CLOCK_STEPS if step >= least)
    yield from (days * _DAY for days in _steps(max(least / _DAY, 2.0)))


def _numbers(low: float, high: float, step: float) -> tuple[tuple[float, str], ...]:
    values = [k * step for k in _whole(low, high, step)]
    decimals = max(0, -floor(log10(step) + 1e-9))
    texts = [_plain(value, decimals) for value in values]
    if max((len(text) for text in texts), default=0) > _LONGEST:
        # As many digits as tell one tick from the next, no more.
        digits = max(0, floor(log10(max(abs(v) for v in values))) - floor(log10(step) + 1e-9))
        texts = [_power(value, digits) for value in values]
    return tuple(zip(values, texts, strict=True))


def _plain(value: float, decimals: int) -> str:
    text = f"{value:,.{decimals}f}"
    return text.lstrip("-") if not text.strip("-0.,") else text.replace("-", "−")


def _power(value: float, digits: int) -> str:
    if value == 0:
        return "0"
    mantissa, _, exponent = f"{value:.{digits}e}".partition("e")
    return f"{mantissa}e{int(exponent)}".replace("-", "−")
