"""The gust in a wind: what a wind that is measured as a mean may do for some seconds."""

from __future__ import annotations

from specc.dims import Ratio, Speed
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_not_below_zero
from specc.model.values import Citation, Constant, Equation, Quantity, Symbol, Worked

_CURVE = Citation("gust-curve-notes", "3-second gust over hourly mean 1.53", "read")
_TEN, _ONE = (
    Citation("gust-curve-notes", "over a mean of 10 minutes, by the ratios of two averaging times", "computed"),
    Citation("gust-curve-notes", "over a mean of 1 minute, by the ratios of two averaging times", "computed"),
)

GUST_EQUATION = Equation(
    forms=(("", "V = g*U"),),
    symbols=(
        Symbol("U", "speed", "mean wind"),
        Symbol("g", "ratio", "gust over mean"),
        Symbol("V", "speed", "3-second gust"),
    ),
    citations=(_CURVE,),
    validity="1.53 for an hourly mean over open ground; 1.43 for a mean of 10 minutes; near buildings more",
)
AS_IT_IS = Constant(1.0, "ratio", "1 (it is a gust)", _CURVE)


@calculator("wind-gust", GUST_EQUATION, symbols="U g", examples={"mean": "15 mph"})
def wind_gust(mean: Speed, factor: Ratio = 1.53) -> Speed:
    """The 3-second gust that belongs to a mean wind.

    V = g U. mean: m/s, hourly for 1.53. factor: 1 or more. Returns m/s. Errors: ValueError for a mean below 0 or a
    factor below 1. Source: the gust curve of ASCE 7, as engineers quote it.

    An hourly mean of 80 mph:

    >>> round(wind_gust(80.0), 1)
    122.4
    """
    check_not_below_zero(mean_wind=mean)
    if factor < 1:
        raise ValueError("a gust is not less than the mean: the factor is 1 or more")
    return factor * mean


def gust_of(speed: Quantity, kind: str, averaging: Quantity | None, name: str) -> Worked:
    """The 3-second gust that a stated wind may bring; where nobody says what it is, as if it were an hourly mean."""
    return wind_gust.work(name, mean=speed, factor=_factor(kind, averaging))


def _factor(kind: str, averaging: Quantity | None) -> Constant:
    over = averaging.si if averaging else None
    if kind == "gust" and (over is None or over <= 3):
        return AS_IT_IS
    if over is not None and over <= 60:
        return Constant(1.22, "ratio", "1.22", _ONE)
    if over is not None and over <= 600:
        return Constant(1.43, "ratio", "1.43", _TEN)
    return Constant(1.53, "ratio", "1.53" if kind else "1.53 (as if an hourly mean: not said)", _CURVE)
