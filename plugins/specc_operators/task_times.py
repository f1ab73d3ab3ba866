"""How long the acts of a procedure take, one after another: what start-up and shutdown are counted with.

Nobody publishes such times. They are common practice, for people who know the device and answer each other, and rather
long; two who work side by side count one after the other. Each joint is soaped and looked at once, whoever does it. A
vessel counts with one time, whatever its size, and so do lines that burn empty.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import show
from specc.kinds.places import Spot
from specc.kinds.procedures import Act, Action, Step
from specc_operators.posts import spot_of

_Seconds = Mapping[Action, float]


class Task(NamedTuple):
    """What some actions are called together, and how many s one of them takes."""

    words: str
    seconds: float
    actions: tuple[Action, ...]


JOINT = Task("joint soaped", 30, ("soap",))
TASKS = (
    JOINT,
    Task("line looked along", 30, ("look",)),
    Task("valve or key worked or named", 10, ("open", "close", "check", "key_in", "key_out",
        "switch_on", "switch_off", "press", "arm", "disarm", "put_out")),
    Task("fuse or lead out or in", 30, ("pull", "put_back")),
    Task("regulator set or backed off", 60, ("screw_out", "screw_in", "set")),
    Task("line purged", 60, ("purge",)),
    Task("vessel let or burned down", 180, ("bleed", "fire")),
    Task("part made ready for air, or put back", 60, ("make_ready", "put_as_was", "air_in", "air_out")),
    Task("gas detector read", 20, ("read",)),
    Task("outlet lit", 60, ("light",)),
    Task("cylinder on, or off and away", 240, ("connect", "disconnect")),
)  # fmt: skip
# Until what stands in the lines has burned: once for all flames of a step of the shutdown.
BURNS_ON = Task("lines burned empty", 120, ())
# Before gas: what is asked of everybody, and each line of the list.
LINE = Task("line of go or no go", 15, ())


def seconds_each(steps: Iterable[Step], joints: int) -> _Seconds:
    """How long each act takes. The joints are shared out among the acts that soap them; where none are known, or fewer
    than that, each such act is one joint."""
    soaped = sum(a.action == "soap" for s in steps for a in s.acts)
    made = {action: task.seconds for task in TASKS for action in task.actions}
    return {**made, "soap": JOINT.seconds * max(1.0, joints / soaped if soaped else 1.0)}


def walked(steps: Sequence[Step], places: Mapping[str, Spot]) -> float:
    """How far people walk in all, in m: each in a straight line from one place to the next, at first from the first."""
    at: dict[str, str] = {}
    made = 0.0
    for act in (a for s in steps for a in s.acts if a.who and a.where):
        before = at.get(act.who, act.where)
        here, there = spot_of(places.get(before)), spot_of(places.get(act.where))
        made += math.dist(here, there) if here and there else 0.0
        at[act.who] = act.where
    return made


class Takes(NamedTuple):
    """What some steps take, in s."""

    waits: float
    tasks: float
    walks: float

    @property
    def total(self) -> float:
        return self.waits + self.tasks + self.walks

    @property
    def words(self) -> str:
        return f"{minutes(self.waits)} of waits, {minutes(self.tasks)} of tasks, {minutes(self.walks)} on foot"


def takes(steps: Sequence[Step], each: _Seconds, places: Mapping[str, Spot], speed: float) -> Takes:
    waits, tasks = sum(s.lasts for s in steps), sum(each.get(a.action, 0.0) for s in steps for a in s.acts)
    far = walked(steps, places)
    return Takes(waits, tasks, far / speed if far else 0.0)


class Done(NamedTuple):
    """An act, and how many s after the first of its procedure began it is done."""

    act: Act
    after: float


def timed(steps: Sequence[Step], each: _Seconds, places: Mapping[str, Spot], speed: float) -> list[Done]:
    """Each act of a shutdown with a place, one after another, with the ways between: each person straight from one
    place to the next. What has no place is the fire watch, which goes on beside the rest."""
    made: list[Done] = []
    at: dict[str, str] = {}
    now = 0.0
    for step in steps:
        watched = False
        now += step.lasts
        for act in step.acts:
            if not act.where:
                continue
            here, there = spot_of(places.get(at.get(act.who, act.where))), spot_of(places.get(act.where))
            now += math.dist(here, there) / speed if here and there else 0.0
            at[act.who] = act.where
            if act.action == "watch":
                now += 0.0 if watched else BURNS_ON.seconds
                watched = True
            else:
                now += each.get(act.action, 0.0)
            made.append(Done(act, now))
    return made


def tally(steps: Iterable[Step], joints: int) -> dict[str, int]:
    """How often each task is in some steps, by its words."""
    acts = Counter(a.action for s in steps for a in s.acts)
    made = {t.words: sum(acts[a] for a in t.actions) for t in TASKS}
    return {**made, JOINT.words: max(joints, made[JOINT.words]) if made[JOINT.words] else 0}


def whole_minutes(seconds: float) -> float:
    """Up to the next whole minute, in s."""
    return 60.0 * math.ceil(seconds / 60.0 - 1e-9)


def minutes(seconds: float) -> str:
    return show(60.0 * round(seconds / 60.0), "duration", "min")


__all__ = ["BURNS_ON", "LINE", "TASKS", "Done", "Takes", "minutes", "seconds_each", "takes", "tally", "timed"]
