"""The weather cases and the air pressure that the site's elevation sets."""

from __future__ import annotations

from specc.model.passes import Key
from specc.model.values import Case, Figure

CASES: Key[tuple[Case, ...]] = Key("core.weather_cases", tuple)
"""Low, usual and high air, in this order. Every pass marked per_case runs once for each."""

AIR_PRESSURE: Key[Figure] = Key("core.air_pressure", Figure)
"""Absolute air pressure at the site's elevation."""
