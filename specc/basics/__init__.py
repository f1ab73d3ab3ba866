"""The core's own passes: weather cases, air pressure, effects, show, and what every packet says.

It is loaded like a plugin, under the name "core", and uses nothing that a plugin could not. One module a subject.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from specc.basics import air, effects, nights, pages, people, places, scope, show, things, weather
from specc.formulas import gust
from specc.formulas.calculators import Calculator, calculators_of
from specc.hookspecs import hookimpl
from specc.model.passes import Limit, Pass
from specc.model.things import passes_of
from specc.model.values import Reference

SPECC_CONTRACT = 2


@hookimpl
def specc_references() -> Sequence[Reference]:
    return (
        Reference(
            "us-standard-atmosphere-1976",
            "U.S. Standard Atmosphere, 1976",
            "NOAA, NASA and U.S. Air Force",
            "1976",
            "constants and table rows read in copies",
        ),
        Reference(
            "gust-curve-notes",
            "Ratios of gust and mean wind speeds, from the curve in ASCE 7's commentary",
            "structural engineers' discussions",
            "as read 2026-11",
        ),
        Reference(
            "nfpa-10",
            "NFPA 10, Standard for Portable Fire Extinguishers",
            "National Fire Protection Association",
        ),
        Reference(
            "nist-webbook",
            "NIST Chemistry WebBook, NIST Standard Reference Database 69: propane, ID C74986",
            "National Institute of Standards and Technology",
            "as read 2026-11",
        ),
    )


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    return passes_of(scope, weather, air, effects, show, people, places, things, pages, nights)


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    return calculators_of(air, gust, weather)
