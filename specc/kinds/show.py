"""Nights, effects and scenes: what burns, when, and for how long."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from specc.model import Quantity
from specc.passes import Key


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


class Scene(NamedTuple):
    """A stretch of the show, the same on each night. Steady effects burn all through it."""

    tag: str
    starts: str  # "20:30", or ""
    lasts: Quantity
    steady: tuple[str, ...]
    bursts: tuple[Bursts, ...]
    at: str


class Show(NamedTuple):
    """`nights` are the event's dates; the scenes run on each."""

    nights: tuple[date, ...]
    opens: str
    closes: str
    scenes: tuple[Scene, ...]
    nights_at: str


EFFECTS: Key[tuple[Effect, ...]] = Key("core.effects", tuple)
SHOW: Key[Show] = Key("core.show", Show)
