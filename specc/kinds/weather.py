"""The weather cases and the air pressure that the site's elevation sets."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.passes import Key
from specc.model.values import Case, Figure, Quantity, Scalar, Worked

CASES: Key[tuple[Case, ...]] = Key("core.weather_cases", tuple)
"""Low, usual and high air, in this order. Every pass marked per_case runs once for each."""

AIR_PRESSURE: Key[Figure] = Key("core.air_pressure", Figure)
"""Absolute air pressure at the site's elevation."""


class WindSpeed(NamedTuple):
    """A wind speed with what it means. `gust`: the 3-second gust that it may bring, which is what pushes, leans and
    blows out. `kind`: "gust", "mean", or "" when not said; `averaging`: over which time it is averaged; `height`: above
    the ground. Gust and mean of the same wind differ by half as much again and more, so what is not said is not
    checked."""

    speed: Quantity
    gust: Worked
    kind: str
    averaging: Quantity | None
    height: Quantity | None
    at: str

    @property
    def strongest(self) -> Scalar:
        """As stated where that is the gust, else the gust in it."""
        return self.speed if self.gust.si == self.speed.si else self.gust

    @property
    def unsaid(self) -> tuple[str, ...]:
        """What is not said of it, in words."""
        said = (self.kind, self.averaging, self.height)
        words = ("whether it is a gust or a mean", "the time it is averaged over", "the height it is measured at")
        return tuple(word for word, value in zip(words, said, strict=True) if not value)


class Wind(NamedTuple):
    """The site's wind: the usual one, and the one that stops the show. None where the spec does not say."""

    usual: WindSpeed | None
    stop: WindSpeed | None
    at: str


WIND: Key[Wind] = Key("core.wind", Wind)
"""The site's wind, saying gust or mean, averaging time and height as far as stated."""
