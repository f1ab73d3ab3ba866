"""What procedures are made of: a row of steps as data, what is open and lit, and why a step cannot be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from specc.kinds.procedures import Act, OnNight, Procedure, Step
from specc.model.values import PRACTICE, Citation
from specc.model.view import Unreadable, View

NWS = Citation("nws-lightning", "solid building or hard-topped vehicle, until 30 min after the last thunder", "reprint")
AFTER_THUNDER = "30 min"
WAIT_S = 300.0
WAIT = "5 min"  # after a light that failed: trade habit, no published source


def written(spec: View, key: str) -> str:
    """What a spec says under a key; "" where it says nothing, or what cannot be read, which is reported where it
    stands: the steps are there all the same."""
    try:
        return spec.text_or(key)
    except Unreadable:
        return ""


def callers(emergency: View) -> tuple[str, ...]:
    """Who calls for help, and who if they cannot."""
    return tuple(p for p in (written(emergency, "caller"), written(emergency, "second_caller")) if p)


def who_calls(emergency: View) -> str:
    return ", else ".join(callers(emergency))


def second_of(leads: tuple[str, ...], emergency: View) -> str:
    """Who takes the lead's key, gas detector and telephone when the lead is silent or hurt: another lead, else who
    calls where the first caller cannot; "" where the spec has neither."""
    return (*leads[1:], *(p for p in reversed(callers(emergency)) if p not in leads), "")[0]


def reads_nothing(carrier: str) -> str:
    """The gas detector in the hands of `carrier`, who has it from the first step on and is not named again."""
    return "the gas detector reads nothing"


def in_the_watch(emergency: View) -> tuple[str, ...]:
    """Who may call for help until the fire watch ends: who is named for it, else who calls before."""
    named = written(emergency, "watch_caller")
    return (*((named,) if named else ()), *callers(emergency))


class Blocked(Exception):
    """Why gas cannot be brought to an outlet without letting it out unlit somewhere."""


class OpenAndLit(NamedTuple):
    """What is open, and what burns; `off`: all was shut in good order."""

    opened: tuple[str, ...] = ()
    lit: tuple[str, ...] = ()
    off: bool = False


def row(
    order: int,
    text: str,
    acts: Sequence[Act] = (),
    *,
    moment: str = "",
    if_not: str = "",
    look_for: str = "",
    night: OnNight = "every",
    citation: Citation = PRACTICE,
    procedure: Procedure = "start",
    lasts: float = 0.0,
) -> Step:
    first = acts[0] if acts else Act("")
    return Step(
        order, procedure, text, citation, *first, look_for=look_for, if_not=if_not, night=night,
        more=tuple(acts[1:]), moment=moment, lasts=lasts,
    )  # fmt: skip
