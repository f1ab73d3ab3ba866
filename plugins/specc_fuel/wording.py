"""How the sentences of the rules write a number."""

from __future__ import annotations

import math

from specc import Cure, show
from specc.kinds.plumbing import Part
from specc.measure.units import PSI
from specc.model.view import join


def psig(si: float) -> str:
    """Pa above the air's, as gauge pressure with three digits."""
    return show(si, "gauge_pressure", "psig", 3)


def rated_up(part: Part, reached: float) -> Cure:
    """A part's rating for what it sees (Pa gauge), in whole psi."""
    rating = f"{math.ceil(reached / PSI - 1e-6)} psi"
    return Cure(f"{rating} would pass", ((join(part.at, "rating"), rating),))
