"""The extinguishers of a project: what stands where, as the spec and the label say it."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.passes import Key


class Extinguisher(NamedTuple):
    """A unit by tag. `type`, `rating` (10-B:C) and `place` are as written; "" for what is not said or refused."""

    tag: str
    type: str
    rating: str
    place: str
    at: str


EXTINGUISHERS: Key[tuple[Extinguisher, ...]] = Key("extinguishers.listed", tuple)
"""All units, in the spec's order."""
