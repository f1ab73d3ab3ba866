"""What a crew does in order, and looks at before lighting. Every plugin may add its own lines."""

from __future__ import annotations

from typing import Literal, NamedTuple

from specc.model.passes import Gathered
from specc.model.values import PRACTICE, Citation


class Step(NamedTuple):
    """One step of a procedure. Steps are numbered in the packet by `order`; leave room between them.

    "start" brings gas to the outlets (first fill and purge included), "stop" ends a night in good order,
    "emergency" is for when anything is wrong.
    """

    order: int
    procedure: Literal["start", "stop", "emergency"]
    text: str
    citation: Citation = PRACTICE


class Check(NamedTuple):
    """A line of the go and no-go list: all have to be so before gas is let in."""

    order: int
    text: str
    citation: Citation = PRACTICE


STEPS: Gathered[Step] = Gathered("procedures.steps", Step)
CHECKS: Gathered[Check] = Gathered("procedures.checks", Check)
