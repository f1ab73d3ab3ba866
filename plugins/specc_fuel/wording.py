"""How the sentences of the rules write a number."""

from __future__ import annotations

import math

from specc import Cure, Figure, show
from specc.kinds.plumbing import Part
from specc.measure.units import BTU, HOUR, INCH, PSI
from specc.model.view import join

KBTU_H = 1000 * BTU / HOUR  # W


def rounded_up(si: float, unit: float, digits: int = 3) -> str:
    """A value in a unit (given in SI), with so many digits, and never less than it is."""
    value = si / unit
    step = 10.0 ** (math.floor(math.log10(value)) + 1 - digits)
    return f"{math.ceil(value / step - 1e-9) * step:.10g}"


def heat_up(part: Part, key: str, si: float) -> Cure:
    """A part that takes so much gross heat (W), as its `key:` would then say."""
    heat = f"{rounded_up(si, KBTU_H)} kBTU/h"
    return Cure(f"one for {heat} would pass", ((join(part.at, key), heat),))


def bore_edits(part: Part, inches: float) -> tuple[tuple[str, str], ...]:
    """What a line or a burner's tube would say with another bore; () where nothing that it says gives its bore."""
    if part.spec.has("bore"):
        return ((join(part.at, "bore"), f"{inches:g} in"),)
    if part.spec.has("outside") and part.spec.has("wall"):
        outside = inches + 2 * part.spec.quantity("wall").si / INCH
        return ((join(part.at, "outside"), f"{outside:.3f} in"),)
    return ()


def rated_up(part: Part, reached: float) -> Cure:
    """A part's rating for what it sees (Pa gauge), in whole psi."""
    rating = f"{math.ceil(reached / PSI - 1e-6)} psi"
    return Cure(f"{rating} would pass", ((join(part.at, "rating"), rating),))


def said(figure: Figure, unit: str = "", digits: int = 3) -> str:
    return show(figure.si, figure.dim, unit or figure.unit, digits)
