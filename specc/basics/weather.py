"""The weather cases, from the air of the event's days and the sun."""

from __future__ import annotations

from specc.dims import Temperature, TemperatureDifference
from specc.formulas.calculators import calculator
from specc.kinds.weather import CASES
from specc.model.passes import Cannot, Context, value
from specc.model.values import CHOICE, Case, Equation, Quantity, Symbol
from specc.model.view import Unreadable, View

LIQUID_EQUATION = Equation(
    forms=(("", "T = T_a + r"),),
    symbols=(
        Symbol("T", "temperature", "liquid in a cylinder that stands in the sun"),
        Symbol("T_a", "temperature", "air"),
        Symbol("r", "temperature_difference", "rise above the air in the sun, as the spec states it"),
    ),
    citations=(CHOICE,),
)


@calculator("cylinder-in-the-sun", LIQUID_EQUATION, symbols={"air": "T_a", "rise": "r"}, result="T")
def cylinder_in_the_sun(air: Temperature, rise: TemperatureDifference) -> Temperature:
    """How warm the liquid in a cylinder in the sun is taken to be.

    T = T_a + r, all in K. The rise is stated, not computed. Source: specc default.
    """
    return air + rise


def _wind(weather: View, which: str) -> Quantity | None:
    """A wind speed, or None. A refused one is reported by the schema, and no gas figure rests on it."""
    try:
        return weather.child("wind").quantity_or_none(which)
    except Unreadable:
        return None


@value(CASES, reads=("weather",))
def cases(ctx: Context) -> tuple[Case, ...]:
    weather = ctx.spec("weather")
    if not weather.has("air"):
        raise Cannot(
            "the spec gives no air temperatures",
            "/weather",
            "weather: air: {low: 40 °F, usual: 60 °F, high: 90 °F}, for the days of the event",
            "cylinder pressure, gas flow and what a cylinder can give all follow the weather",
        )
    air = weather.child("air")
    low, usual, high = air.quantity("low"), air.quantity("usual"), air.quantity("high")
    if not low.si <= usual.si <= high.si:
        raise Cannot("the air temperatures are not in order", air.at, "low, usual, high, from cold to warm")
    usual_wind, stop_wind = _wind(weather, "usual"), _wind(weather, "stop")
    rise = weather.quantity_or_none("sun")
    warm = cylinder_in_the_sun.work("liquid in the sun", air=high, rise=rise) if rise else high
    return (
        Case("low", low, low, stop_wind, "part-full"),
        Case("usual", usual, usual, usual_wind, "part-full"),
        Case("high", high, warm, stop_wind, "full"),
    )


PASSES = (cases,)
