"""Quantities printed: SI values as text in a unit, in US customary and in metric.

The units and their factors are in `specc.measure.units`.
"""

from __future__ import annotations

import math
from functools import lru_cache

from specc.dims import DIMENSIONS
from specc.measure import units
from specc.measure.units import Unit


# Thousands of figures are printed in a dozen units.
@lru_cache(maxsize=256)
def _unit(unit: str, dim: str) -> Unit | None:
    """The unit to print in; None for plain numbers. Raises ValueError if the dimension has no such unit."""
    if not unit:
        return None
    found = units.find(unit, dim)
    if found is None:
        raise ValueError(f"{unit!r} is not a unit of {dim}")
    return found


def to_unit(si: float, unit: str, dim: str = "") -> float:
    """An SI value in `unit`. "°F", "°C" are temperatures unless `dim` says a difference.

    Raises ValueError for a unit that does not exist.
    """
    if not unit:
        return si
    found = next((u for d in ([dim] if dim else DIMENSIONS) if (u := units.find(unit, d))), None)
    if found is None:
        raise ValueError(f"{unit!r} is not a unit" + (f" of {dim}" if dim else ""))
    return si / found.factor - found.shift


def _significant(value: float, digits: int, most: int = 400) -> str:
    """Significant digits with no exponent from a millionth to a million million; at most `most` decimals."""
    value = round(value, most)
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be printed as a quantity")
    if value == 0:
        return "0"
    rounded = f"{value:.{digits - 1}e}"
    power = int(rounded.split("e")[1])
    if not -7 < power < 12:
        return rounded
    decimals = min(max(0, digits - 1 - power), most)
    number = float(rounded)
    text = f"{number:,.{decimals}f}"
    return text if abs(number) >= 10_000 else text.replace(",", "")


_OF_JETS = 689.5  # Pa, 0.1 psi


def show(si: float, dim: str, unit: str = "", digits: int = 3) -> str:
    """An SI value as text in `unit` (by default the dimension's US unit), with significant digits.

    A count prints whole; a temperature in °F or °C never with more than `digits` - 2 decimals, as its
    zero is arbitrary; the unit "h min" prints an hour or more as "28 h 50 min". Zeros that end a decimal are left out:
    what was typed as "20 lb" would get them, and nobody weighed it so finely. A gauge pressure under a tenth of a psi
    gets two digits at most: it is that of jets, whose holes tell no more. Raises ValueError for a unit of another
    dimension or a value that is not finite.

    >>> show(0.0016884, "mass_flow"), show(68947.6, "gauge_pressure", "psig"), show(9.0718474, "mass", "lb")
    ('13.4 lb/h', '10 psig', '20 lb')
    """
    if dim == "count" and math.isfinite(si) and si == int(si):
        return f"{int(si):,}" if abs(si) >= 10_000 else str(int(si))
    if unit == "h min":
        return _hours(si, digits)
    found = _unit(unit or DIMENSIONS[dim].us, dim)
    if dim == "gauge_pressure" and abs(si) < _OF_JETS and not (found and found.name == "in w.c."):
        digits = min(digits, 2)
    if found is None:
        return _significant(si, digits)
    # An offset unit's zero is a large SI value: its last digits are rounding, not temperature.
    most = max(digits - 2, 0) if found.shift else 400
    text = _significant(si / found.factor - found.shift, digits, most)
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return text + ("°" if found.name == "°" else f" {found.name}")


def cut(value: float, digits: int = 3) -> float:
    """A value with so many digits, never rounded up: of a factor of safety, or of what else is worst where it is least.

    >>> cut(1.4999), cut(20.97), cut(6.1), cut(0.0)
    (1.49, 20.9, 6.1, 0.0)
    """
    if value <= 0 or not math.isfinite(value):
        return value
    step = digits - 1 - math.floor(math.log10(value))
    scaled = value * 10.0**step
    return math.floor(scaled * (1 + 1e-12)) / 10.0**step


def as_printed(si: float, dim: str, worst: str, digits: int) -> float:
    """A figure's value as it is printed: a ratio that is worst where it is least is a factor of safety, and cut."""
    return cut(si, digits) if dim == "ratio" and worst == "min" else si


def past(si: float, limit: float, dim: str, unit: str = "", digits: int = 3) -> str:
    """A value that a limit forbids, as `show` prints it, with as many digits more as tell it from that limit.

    "may get 4.73 kW/m²; the limit is 4.73 kW/m²" says nothing to whoever has to move something.

    >>> past(30.486, 30.48, "length", "ft", 2), past(35.0, 30.48, "length", "ft", 2)
    ('100.02 ft', '110 ft')
    """
    most = next((d for d in range(digits, 9) if show(si, dim, unit, d) != show(limit, dim, unit, d)), digits)
    return show(si, dim, unit, most)


def psig(si: float, digits: int = 3) -> str:
    """Gauge pressure (Pa) as psig, no finer than it is known: hundredths, and below one of them only that.

    Holes are drilled and slits sawn to a few per cent at best, and pressure goes with the square of that.

    >>> psig(24.05), psig(2846.4), psig(68947.6), psig(75842.3)
    ('< 0.01 psig', '0.41 psig', '10 psig', '11 psig')
    """
    pounds = to_unit(si, "psig", "gauge_pressure")
    if 0 < pounds < 0.01:
        return "< 0.01 psig"
    return f"{pounds:.2f} psig" if 0 < pounds < 1 else show(si, "gauge_pressure", "psig", digits)


def of_figure(si: float, dim: str, unit: str = "", digits: int = 3) -> str:
    """A figure as every page has it: `show`, but of pressures no more than `psig` prints of them, in psig and in kPa.

    >>> of_figure(24.05, "gauge_pressure", "psig"), of_figure(24.05, "gauge_pressure", "kPa")
    ('< 0.01 psig', '< 0.07 kPa')
    """
    found = _unit(unit or DIMENSIONS[dim].us, dim) if dim == "gauge_pressure" else None
    if found is None or found.name not in ("psig", "kPa") or not 0 < to_unit(si, "psig", dim) < 1:
        return show(si, dim, unit, digits)
    if found.name == "psig":
        return psig(si, digits)
    return "< 0.07 kPa" if to_unit(si, "psig", dim) < 0.01 else show(si, dim, unit, digits)


def _hours(si: float, digits: int) -> str:
    """Hours and minutes, to the nearest minute; under an hour, minutes or seconds."""
    whole = round(si / 60)
    if whole >= 60:
        hours, left = divmod(whole, 60)
        return f"{_significant(hours, 12).split('.')[0]} h" + (f" {left} min" if left else "")
    return show(si, "duration", "min" if abs(si) >= 60 else "s", digits)


def both(si: float, dim: str, unit: str = "", digits: int = 3) -> tuple[str, str]:
    """A value in US customary and in metric units. `unit` is either one; its fellow is chosen to fit.

    The two are equal where one unit serves both (ratios, counts, times).
    """
    if unit == "h min" or dim in ("ratio", "count"):
        text = show(si, dim, unit, digits)
        return text, text
    wanted = DIMENSIONS[dim]
    if not unit:
        return of_figure(si, dim, wanted.us, digits), of_figure(si, dim, wanted.metric, digits)
    found = units.find(unit, dim)
    if found is None:
        raise ValueError(f"{unit!r} is not a unit of {dim}")
    pair = (found.name, found.other or found.name)
    us, metric = pair if found.us else pair[::-1]
    return of_figure(si, dim, us, digits), of_figure(si, dim, metric, digits)
