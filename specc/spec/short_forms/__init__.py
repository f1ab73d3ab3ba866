"""Short forms of a spec, rewritten into the long one: after includes merge and before the schema judges.

The long form is the meaning. Each value keeps the place where it is written, so findings stand at the short file's
lines. What every root has is rewritten here (ranges, `like:`, hours); what a plugin's root has besides, by the plugin,
through the hook `specc_short_forms`. The long form of the long form is itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from specc.spec.short_forms import alike, ranges
from specc.spec.short_forms.said import Said
from specc.spec.short_forms.tree import OWN_TEXT, Tree, come_from, copied, filled_in, spot_for
from specc.spec.source.places import SpecSpot

Rewrite = Callable[[Tree, list[Said]], None]

_HOURS = re.compile(r"\s*(\d\d:\d\d)\s+to\s+(\d\d:\d\d)\s*")
# Maps by tag whose entries may be like one another. A plugin's own rewriting sees to its other maps.
_ALIKE = (("show", "scenes"), ("extinguishers", "units"))

__all__ = [
    "OWN_TEXT", "Rewrite", "Said", "Tree", "come_from", "copied", "filled_in", "hours_of", "spot_for", "write_out",
]  # fmt: skip


def write_out(whole: Tree, rewrites: Iterable[Rewrite]) -> list[Said]:
    """Rewrite a spec's short forms in place, and say what cannot be."""
    said: list[Said] = []
    ranges.expand(whole, said)
    for rewrite in rewrites:
        rewrite(whole, said)
    for root, name in _ALIKE:
        alike.resolve(whole.map(root).map(name), said)
    hours(whole.map("event"))
    for _, place in whole.map("places").children():
        rectangle(place)
    return said


def hours_of(words: Any) -> tuple[str, str] | None:
    """From and to of a text such as "19:55 to 23:50"; None for anything else."""
    read = _HOURS.fullmatch(words) if isinstance(words, str) else None
    return (read[1], read[2]) if read else None


def rectangle(place: Tree) -> None:
    """Two corners of an `area:` as the four of the rectangle that they span along x and y, in order round it."""
    if not place.has("area"):
        return
    corners = place.child("area").items()
    if len(corners) != 2 or any(not c.is_list or len(c.data) < 2 for c in corners):
        return
    first, last = (c.items() for c in corners)
    made = [(first[0], first[1]), (last[0], first[1]), (last[0], last[1]), (first[0], last[1])]
    value = [[x.data, y.data] for x, y in made]
    spots = [SpecSpot(x.spot.value, None, [SpecSpot(x.spot.value), SpecSpot(y.spot.value)]) for x, y in made]
    below = place.child("area")
    place.put("area", value, SpecSpot(below.spot.value, below.spot.key, spots))


def hours(entry: Tree) -> None:
    """`hours: 19:55 to 23:50` as from: and to:."""
    read = hours_of(entry.data.get("hours")) if entry.is_map else None
    if read:
        below = entry.child("hours")
        value = {"from": read[0], "to": read[1]}
        entry.put("hours", value, spot_for(value, below.spot.value, below.spot.key))
