"""What a crew does in order, and looks at before lighting. Every plugin may add its own lines."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.passes import Gathered, Key
from specc.model.values import PRACTICE, Citation

Action: TypeAlias = Literal[
    "", "open", "close", "light", "put_out", "set", "press", "arm", "disarm", "connect", "disconnect", "purge", "bleed",
    "fire", "key_in", "key_out", "switch_on", "switch_off", "check", "look", "soap", "watch", "wait", "say",
    "pull", "put_back", "carry", "read", "leave", "screw_out", "screw_in",
    "make_ready", "air_in", "air_out", "put_as_was",
]  # fmt: skip
"""What is done in a step; "" where only its text says so. With "key_in" the stop is released and the key in, with
"key_out" the stop is pressed and the key out. "screw_out" and "screw_in" are done to a regulator: until it gives
nothing, and until a gauge shows its setting. "pull" and "put_back" are done to the fuse or lead of a powered valve,
"carry" and "read" with the gas detector ("read" at the outlet or vessel of its tag); with "leave" all go under cover
until the next "wait" is over. For a test with air a part is made ready (taken out, plugged or held open), air is let in
and out again where its tag says, and the part is put as it was."""


AIR_OUT = "First fill: no flame, no spark, nobody downwind, no low place"
"""The `moment` at which what held air is filled and let out unlit."""


AFTER_STOP = "When nothing burns any more"
"""The `moment` after an emergency at which what still holds gas is let out, and the night ends, with no hurry."""


class Act(NamedTuple):
    """One thing done by one person: the `action` on `tag` (a part, effect, thing, or control, "" for all controls),
    by `who` (a role or a tag of people, "" for nobody named), at `where` (a tag of places, "" for not stated)."""

    action: Action
    tag: str = ""
    who: str = ""
    where: str = ""


OnNight: TypeAlias = Literal["every", "first", "later", "last"]
Procedure: TypeAlias = Literal[
    "start", "firing", "scene_change", "pilot_out", "cylinder_change", "hand_over", "hold",
    "stop", "emergency", "leak", "incident", "test",
]  # fmt: skip


class Step(NamedTuple):
    """One step of a procedure. Steps are numbered in the packet by `order`; leave room between them.

    "start" brings gas to the outlets (first fill and purge included), "stop" ends a night in good order,
    "emergency" is for when anything is wrong; an "incident" is one thing that is seen (`look_for`), and what is done
    then; the others are what their names say.

    The text is what a person reads. The rest says the same as data, so that a procedure can be simulated and turned
    into cards: the `action` on `tag` (a part, effect, thing, or control), `who` does it (a role or a tag of people),
    `where` (a tag of places), what is done in the same step after it (`more`), what to `look_for`, what to do
    `if_not`, on which `night` it is due, the `moment` that some steps make up ("Leak test"), and for how many s it says
    to wait (`lasts`).
    """

    order: int
    procedure: Procedure
    text: str
    citation: Citation = PRACTICE
    action: Action = ""
    tag: str = ""
    who: str = ""
    where: str = ""
    look_for: str = ""
    if_not: str = ""
    night: OnNight = "every"
    more: tuple[Act, ...] = ()
    moment: str = ""
    lasts: float = 0.0

    @property
    def acts(self) -> tuple[Act, ...]:
        """All that is done in it, in order; () where only the text says it."""
        first = (Act(self.action, self.tag, self.who, self.where),) if self.action else ()
        return (*first, *self.more)


class Check(NamedTuple):
    """A line of the go and no-go list: all have to be so before gas is let in."""

    order: int
    text: str
    citation: Citation = PRACTICE


STEPS: Gathered[Step] = Gathered("procedures.steps", Step, signed="text")
"""Steps of all procedures, in words and as data."""
CHECKS: Gathered[Check] = Gathered("procedures.checks", Check, signed="text")
"""Lines of the go and no-go list."""


class Visit(NamedTuple):
    """A step sends somebody to a place (`who`, "" for nobody named). `burning`: the outlets that may burn while they
    are there, other than what they light there (`lighting`, with a torch in the hand); `all_out`: an emergency, when
    everything may burn out of control. `step` says which it is, as printed."""

    place: str
    who: str
    step: str
    burning: tuple[str, ...] = ()
    lighting: tuple[str, ...] = ()
    all_out: bool = False


VISITS: Key[tuple[Visit, ...]] = Key("procedures.visits", tuple)
"""Where the steps send people, and what may burn meanwhile."""
