"""The weather cases, from the air of the event's days and the sun."""

from __future__ import annotations

from specc.dims import Temperature, TemperatureDifference
from specc.formulas.calculators import calculator
from specc.formulas.gust import gust_of
from specc.kinds.weather import CASES, WIND, Wind, WindSpeed
from specc.model.findings import Trouble, Unchecked
from specc.model.passes import Cannot, Context, Judging, not_applicable, passed, rule, value
from specc.model.values import CHOICE, Case, Equation, Quantity, Symbol
from specc.model.view import Unreadable, View, join

LIQUID_EQUATION = Equation(
    forms=(("", "T = T_a + r"),),
    symbols=(
        Symbol("T", "temperature", "liquid in a cylinder that stands in the sun"),
        Symbol("T_a", "temperature", "air"),
        Symbol("r", "temperature_difference", "rise above the air in the sun, as the spec states it"),
    ),
    citations=(CHOICE,),
)


@calculator("cylinder-in-the-sun", LIQUID_EQUATION, symbols="T_a r")
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
    if rise is not None and rise.si < 0:
        raise Cannot(
            f"the sun is said to warm a cylinder by {rise.text}",
            rise.at,
            "the rise above the air, 0 °F or more; 0 °F only where it stands in the shade all day",
            "a cylinder is hottest, and its pressure highest, in the sun",
        )
    warm = cylinder_in_the_sun.work("liquid in the sun", air=high, rise=rise) if rise else high
    return (
        Case("low", low, low, stop_wind, "part-full"),
        Case("usual", usual, usual, usual_wind, "part-full"),
        Case("high", high, warm, stop_wind, "full"),
    )


# A gust is read over some seconds; the shortest time in use for a mean wind is a minute.
_SHORTEST_MEAN = 60.0


def _speed(wind: View, which: str) -> WindSpeed | None:
    speed = wind.quantity_or_none(which)
    if speed is None:
        return None
    own = wind.child(f"{which}_is")

    def of(key: str) -> View:
        return own if own.has(key) else wind

    kind, averaging = of("kind").text_or("kind"), of("averaging").quantity_or_none("averaging")
    name = "gust in the wind that stops it" if which == "stop" else "gust in the usual wind"
    return WindSpeed(
        speed,
        gust_of(speed, kind, averaging, name),
        kind,
        averaging,
        of("height").quantity_or_none("height"),
        wind.here(which),
    )


@value(WIND, reads=("weather",))
def wind(ctx: Context) -> Wind:
    stated = ctx.spec("weather").child("wind")
    return Wind(_speed(stated, "usual"), _speed(stated, "stop"), stated.at)


@rule(
    "core.wind_stated",
    level="error",
    statement="Each wind says whether it is a gust or a mean, over which time, and at which height",
    source=CHOICE,
    needs=(WIND,),
)
def wind_stated(ctx: Context) -> Judging:
    the_wind = ctx[WIND]
    named = [(words, w) for words, w in (("usual wind", the_wind.usual), ("stop wind", the_wind.stop)) if w]
    if not named:
        return not_applicable("the spec states no wind (weather: wind:)")
    for words, one in named:
        if one.kind and one.averaging and (one.kind == "mean") != (one.averaging.si >= _SHORTEST_MEAN):
            yield Trouble(
                one.at,
                f"the {words} is called a {one.kind} and averaged over {one.averaging.text}",
                "a gust is averaged over seconds, a mean over a minute or more",
                "a gust pushes more than twice as hard as the mean wind it comes with",
            )
    if the_wind.usual and the_wind.stop and the_wind.usual.kind == the_wind.stop.kind:
        usual, stop = the_wind.usual.speed, the_wind.stop.speed
        if usual.si >= stop.si:
            yield Trouble(
                the_wind.usual.at,
                f"the usual wind, {usual.text}, is no less than the wind that stops the show, {stop.text}",
                "the wind of a usual evening, and the one at which the show stops",
            )
    if len(named) == 1:  # what stands alone cannot be held against the other
        lacking = "stop" if the_wind.usual else "usual"
        yield Unchecked(f"the {lacking} wind (weather: wind: {lacking}:)", join("/weather/wind", lacking))
    unsaid = [f"of the {words}, {', '.join(w.unsaid)}" for words, w in named if w.unsaid]
    if unsaid:
        keys = [key for key in ("kind", "averaging", "height") if not all(getattr(w, key) for _, w in named)]
        yield Unchecked("not said: " + "; ".join(unsaid), *(join("/weather/wind", key) for key in keys))
    return passed(" and ".join(words for words, _ in named))
