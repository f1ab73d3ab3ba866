"""What plugins put on the site plan beside the places themselves: marks at places, and who sees what."""

from __future__ import annotations

from typing import Literal, NamedTuple

from specc.model.passes import Gathered


class Mark(NamedTuple):
    """Something that stands at a place (its tag): drawn there with its title and, smaller, a note."""

    tag: str
    kind: Literal["person", "extinguisher", "cylinder", "accumulator", "valve", "stop", "aid"]
    place: str
    title: str
    note: str = ""
    order: int = 0


class SightLine(NamedTuple):
    """Who looks from a place at what (a tag of places or of an effect), and the tags of what is in the way."""

    who: str
    place: str
    target: str
    blocked_by: tuple[str, ...] = ()
    order: int = 0


class PlanNote(NamedTuple):
    """A sentence below the site plan, on what is drawn there."""

    text: str
    order: int = 0


MARKS: Gathered[Mark] = Gathered("site.marks", Mark, signed="title")
"""People, extinguishers and parts that the site plan shows at their places."""
FIRED_FROM: Gathered[Mark] = Gathered("site.fired_from", Mark, signed="title")
"""Who fires from a place that is no post of theirs: it follows from the steps, and only the plan shows it."""
SIGHT_LINES: Gathered[SightLine] = Gathered("site.sight_lines", SightLine)
"""Who has to see what, and from where: the site plan draws the line, and what is in its way."""
PLAN_NOTES: Gathered[PlanNote] = Gathered("site.plan_notes", PlanNote, signed="text")
"""What others say below the plan of what it shows, such as who stands inside the line that the public keeps behind."""
