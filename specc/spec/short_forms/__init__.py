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
from specc.spec.short_forms.tree import Tree, come_from, copied, spot_for

Rewrite = Callable[[Tree, list[Said]], None]

_HOURS = re.compile(r"\s*(\d\d:\d\d)\s+to\s+(\d\d:\d\d)\s*")
# Maps by tag whose entries may be like one another. A plugin's own rewriting sees to its other maps.
_ALIKE = (("show", "scenes"), ("extinguishers", "units"))

__all__ = ["Rewrite", "Said", "Tree", "come_from", "copied", "hours_of", "spot_for", "write_out"]


def write_out(whole: Tree, rewrites: Iterable[Rewrite]) -> list[Said]:
    """Rewrite a spec's short forms in place, and say what cannot be."""
    said: list[Said] = []
    ranges.expand(whole, said)
    for rewrite in rewrites:
        rewrite(whole, said)
    for root, name in _ALIKE:
        alike.resolve(whole.map(root).map(name), said)
    hours(whole.map("event"))
    return said


def hours_of(words: Any) -> tuple[str, str] | None:
    """From and to of a text such as "19:55 to 23:50"; None for anything else."""
    read = _HOURS.fullmatch(words) if isinstance(words, str) else None
    return (read[1], read[2]) if read else None


def hours(entry: Tree) -> None:
    """`hours: 19:55 to 23:50` as from: and to:."""
    read = hours_of(entry.data.get("hours")) if entry.is_map else None
    if read:
        below = entry.child("hours")
        value = {"from": read[0], "to": read[1]}
        entry.put("hours", value, spot_for(value, below.spot.value, below.spot.key))
