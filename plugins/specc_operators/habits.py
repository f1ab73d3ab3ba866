"""Numbers of the steps that no source publishes. A spec may set its own under limits:."""

from __future__ import annotations

from typing import NamedTuple

from specc import PRACTICE, Context, Limit

# The least that a gauge to 100 psi, good to a few percent of its scale, tells from nothing.
LET_DOWN = Limit(
    "operators.let_down",
    "5 psi",
    "gauge_pressure",
    "min",
    "a vessel that bursts shows at most this before a torch is lit",
    PRACTICE,
)
LIT_WITHIN = Limit(
    "operators.lit_within",
    "5 s",
    "duration",
    "min",
    "after gas is due at an outlet its flame burns within this, or its valve is closed",
    PRACTICE,
)
STANDS = Limit(
    "operators.gauge_stands",
    "5 min",
    "duration",
    "max",
    "a gauge is watched so long behind a valve that was shut, for leaks",
    PRACTICE,
)
GIVEN_UP = Limit(
    "operators.given_up",
    "45 min",
    "duration",
    "min",
    "after a hold of this without go the night is over",
    PRACTICE,
)
KEYS = (LET_DOWN.key, LIT_WITHIN.key, STANDS.key, GIVEN_UP.key)


class Habits(NamedTuple):
    """The same as the steps say them."""

    let_down: str = "5 psi"
    lit_within: str = "5 s"
    stands: str = "5 min"
    given_up: str = "45 min"
    stands_s: float = 300.0


def habits_of(ctx: Context) -> Habits:
    let_down, lit_within, stands, given_up = (ctx.limit(key) for key in KEYS)
    return Habits(let_down.text, lit_within.text, stands.text, given_up.text, stands.si)
