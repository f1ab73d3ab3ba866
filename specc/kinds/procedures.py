"""What a crew does in order, and looks at before lighting. Every plugin may add its own lines."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.passes import Gathered
from specc.model.values import PRACTICE, Citation

Action: TypeAlias = Literal[
    "", "open", "close", "light", "put_out", "set", "press", "arm", "disarm", "connect", "disconnect", "purge", "bleed",
    "fire", "switch_on", "switch_off", "check", "watch", "wait", "say",
]  # fmt: skip
"""What is done in a step; "" where only its text says so."""


class Step(NamedTuple):
    """One step of a procedure. Steps are numbered in the packet by `order`; leave room between them.

    "start" brings gas to the outlets (first fill and purge included), "stop" ends a night in good order,
    "emergency" is for when anything is wrong; the others are what their names say, and stand after these.

    The text is what a person reads. The rest says the same as data, so that a procedure can be simulated and turned
    into cards: the `action` on `tag` (a part, effect, thing, or control), `who` does it (a role or a tag of people),
    `where` (a tag of places), what to `look_for`, what to do `if_not`, and on which `night` it is due.
    """

    order: int
    procedure: Literal[
        "start", "stop", "emergency", "leak", "fire", "scene_change", "cylinder_change", "hand_over", "hold", "test"
    ]
    text: str
    citation: Citation = PRACTICE
    action: Action = ""
    tag: str = ""
    who: str = ""
    where: str = ""
    look_for: str = ""
    if_not: str = ""
    night: Literal["every", "first", "later", "last"] = "every"


class Check(NamedTuple):
    """A line of the go and no-go list: all have to be so before gas is let in."""

    order: int
    text: str
    citation: Citation = PRACTICE


STEPS: Gathered[Step] = Gathered("procedures.steps", Step)
"""Steps of all procedures, in words and as data."""
CHECKS: Gathered[Check] = Gathered("procedures.checks", Check)
"""Lines of the go and no-go list."""
