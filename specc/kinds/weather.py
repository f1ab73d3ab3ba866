"""The weather cases and the air pressure that the site's elevation sets."""

from __future__ import annotations

from specc.model import Case, Figure
from specc.passes import Key

CASES: Key[tuple[Case, ...]] = Key("core.weather_cases", tuple)
"""Low, usual and high air, in this order. Every pass marked per_case runs once for each."""

AIR_PRESSURE: Key[Figure] = Key("core.air_pressure", Figure)
"""Absolute air pressure at the site's elevation."""
