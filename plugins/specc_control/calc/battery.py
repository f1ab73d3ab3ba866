"""Batteries: how long one lasts, and how large it has to be. And how long a contact lasts."""

from __future__ import annotations

from specc.dims import Charge, Count, Current, Duration, Ratio
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_positive
from specc.model.values import Answer, Citation, Equation, Symbol

PEUKERT = Citation("peukert-notes", "t = H*(C/(I*H))**k, with k 1.05 to 1.6 by kind of battery", "read")
COLD_DEPTH = Citation("battery-maker-notes", "flooded lead-acid: depth 50 %, factor 1.65 at -10 °C", "read")
B10 = Citation("iso-13849-1", "annex C, B10D to MTTFD; the text was not read", "memory")

_CAPACITY = Symbol("C", "charge", "capacity as rated, at H")
_DRAWN = Symbol("I", "current", "mean current drawn")
_RATE = Symbol("H", "duration", "time that the capacity is rated over")
_K = Symbol("k", "ratio", "Peukert's exponent: 1 says that capacity does not fall with current")
_COLD = Symbol("c", "ratio", "share of the capacity left in the cold")
_USED = Symbol("u", "ratio", "share of it that may be used, the rest being reserve")
_YEAR = 365.25 * 86400.0

LIFE = Equation(
    forms=(("rated", "t = c*u*H*(C/(I*H))**k"), ("slow", "t = c*u*C/I")),
    symbols=(_CAPACITY, _DRAWN, _RATE, _K, _COLD, _USED, Symbol("t", "duration", "time it lasts")),
    citations=(PEUKERT,),
    validity=(
        "a steady current, a battery in health; at less than the rated current no gain is counted; lithium iron"
        " phosphate: k = 1, and its protection may cut off without warning"
    ),
)
WANTED = Equation(
    forms=(("", "C = Q/(u*c)"),),
    symbols=(Symbol("Q", "charge", "charge the show draws"), _USED, _COLD, Symbol("C", "charge", "capacity to buy")),
    citations=(COLD_DEPTH,),
    validity="currents near the one the capacity is rated at; at more, use battery-life",
)
CONTACT = Equation(
    forms=(("", "t = B*Y/(0.1*n)"),),
    symbols=(
        Symbol("B", "count", "operations until a tenth of the parts fail dangerously (B10D)"),
        Symbol("n", "count", "operations a year"),
        Symbol("Y", "duration", "a year"),
        Symbol("t", "duration", "mean time to dangerous failure"),
    ),
    citations=(B10,),
    validity="parts in their rated use; a figure for comparing, not for promising",
)


@calculator("battery-life", LIFE, symbols="C I H k c u")
def battery_life(
    capacity: Charge,
    current: Current,
    rate: Duration = 72000.0,
    exponent: Ratio = 1.25,
    cold: Ratio = 1.0,
    usable: Ratio = 1.0,
) -> Answer:
    """How long a battery lasts at a steady current.

    t = c u H (C/(I H))^k. capacity: C (1 Ah is 3600 C), as rated over `rate` s (20 h). current: A. exponent: 1 to 2.
    cold, usable: shares, above 0 to 1. Returns s. Below the rated current no gain is counted (regime "slow").
    Errors: ValueError outside those ranges. Source: Peukert's law in the form that keeps the rating true.

    100 Ah rated over 20 h, 10 A, k 1.2:

    >>> round(battery_life(100 * 3600.0, 10.0, exponent=1.2).value / 3600, 2)
    8.71
    """
    check_positive(capacity=capacity, current=current, rated_time=rate, share_in_the_cold=cold, usable_share=usable)
    if not 1 <= exponent <= 2:
        raise ValueError("Peukert's exponent is 1 to 2")
    if cold > 1 or usable > 1:
        raise ValueError("a share is at most 100 %")
    if current * rate < capacity:
        return Answer(cold * usable * capacity / current, "slow")
    life: float = cold * usable * rate * (capacity / (current * rate)) ** exponent
    return Answer(life, "rated")


@calculator("battery-size", WANTED, symbols="Q u c")
def battery_size(drawn: Charge, usable: Ratio = 0.5, cold: Ratio = 1.0) -> Charge:
    """The capacity to buy for a charge that is drawn.

    C = Q/(u c). drawn: C (1 Ah is 3600 C). usable: share that may be used. cold: share left in the cold. Returns C.
    Errors: ValueError for shares outside 0 to 1. Source: a battery maker's sizing note.
    """
    check_positive(charge=drawn, usable_share=usable, share_in_the_cold=cold)
    if usable > 1 or cold > 1:
        raise ValueError("a share is at most 100 %")
    return drawn / (usable * cold)


@calculator("contact-life", CONTACT, symbols="B n Y", unit="d")
def contact_life(b10: Count, yearly: Count, year: Duration = _YEAR) -> Duration:
    """Mean time to dangerous failure of a part that wears by use.

    t = B10D/(0.1 n). b10: operations. yearly: operations a year. Returns s. Errors: ValueError for 0 or less.
    Source: ISO 13849-1 annex C, from memory.
    """
    check_positive(operations=b10, operations_a_year=yearly, year=year)
    return b10 * year / (0.1 * yearly)
