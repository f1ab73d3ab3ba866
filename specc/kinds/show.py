"""Nights, effects and scenes: what burns, when, and for how long."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from specc.model.passes import Key
from specc.model.values import Quantity, Scalar


class Effect(NamedTuple):
    """A flame effect. `outlets` are tags of parts in the plumbing; `place` a tag in `places`, or ""."""

    tag: str
    kind: str  # "steady" or "burst"
    title: str
    outlets: tuple[str, ...]
    place: str
    at: str


class Bursts(NamedTuple):
    """How often a burst effect opens in a scene, and for how long each time."""

    effect: str
    times: Quantity
    open: Quantity
    at: str
    every: Quantity | None = None  # from one to the next; None: spread evenly over the scene


class Cue(NamedTuple):
    """What changes within a scene: steady effects lit or put out, or bursts from then on."""

    after: Quantity  # since the scene began
    light: tuple[str, ...]
    out: tuple[str, ...]
    bursts: Bursts | None
    at: str


class Scene(NamedTuple):
    """A stretch of the show, the same on each night. Steady effects burn all through it."""

    tag: str
    starts: str  # "20:30", or ""
    lasts: Quantity
    steady: tuple[str, ...]
    bursts: tuple[Bursts, ...]
    at: str
    cues: tuple[Cue, ...] = ()
    gas_off_after: bool = False  # all gas is shut off after it, until the start-up before the next scene


class Show(NamedTuple):
    """`nights` are the event's dates; the scenes run on each."""

    nights: tuple[date, ...]
    opens: str
    closes: str
    scenes: tuple[Scene, ...]
    nights_at: str


class Lit(NamedTuple):
    """A steady effect that burns from `starts` on, in s since the night's first scene began."""

    effect: str
    scene: str
    starts: float
    lasts: Scalar  # a duration that knows where it comes from


def lit_at(lit: Sequence[Lit], moments: Sequence[float]) -> list[list[Lit]]:
    """What burns at each of the moments, which are in order: one walk over what begins and ends, as there may be
    thousands of both."""
    begins: list[list[int]] = [[] for _ in range(len(moments) + 1)]
    ends: list[list[int]] = [[] for _ in range(len(moments) + 1)]
    for n, one in enumerate(lit):
        begins[bisect_left(moments, one.starts)].append(n)
        ends[bisect_left(moments, one.starts + one.lasts.si)].append(n)
    found = []
    now: set[int] = set()
    for i in range(len(moments)):
        now.update(begins[i])
        now.difference_update(ends[i])
        found.append([lit[n] for n in sorted(now)])
    return found


class Shot(NamedTuple):
    """One opening of a burst effect, `at` s since the night's first scene began."""

    effect: str
    scene: str
    at: float
    open: Quantity


class Stretch(NamedTuple):
    """Where a scene lies in the night, in s since the first one began."""

    scene: str
    starts: float
    ends: float


class Timeline(NamedTuple):
    """One night, in order of time. `clock` is when the first scene begins ("20:30"), or ""."""

    clock: str
    stretches: tuple[Stretch, ...]
    lit: tuple[Lit, ...]
    shots: tuple[Shot, ...]


EFFECTS: Key[tuple[Effect, ...]] = Key("core.effects", tuple)
"""All effects, in the spec's order."""
SHOW: Key[Show] = Key("core.show", Show)
"""The nights and their scenes."""
TIMELINE: Key[Timeline] = Key("core.timeline", Timeline)
"""What burns when, each night: scenes, cues and bursts put in order of time."""
