"""Which joints are made with a torch, on the sheet of the system: inspectors ask what is brazed, and with what."""

from __future__ import annotations

from collections.abc import Sequence

from specc.kinds.plumbing import Joint
from specc.model.wording import counted, in_runs


def words(joints: Sequence[Joint]) -> str:
    """How many of each, where, and with which filler, as the makers typed it. What they see stands beside each zone."""
    by = {method: [j for j in joints if j.method == method] for method in ("brazed", "soldered", "welded")}
    said = [f"{method} {_where(some)}" for method, some in by.items() if some]
    none = [method for method, some in by.items() if not some]
    said += [f"{' or '.join(none)} none"] if none else []
    unsaid = sum(1 for j in joints if not j.method)
    said += [f"of {counted(unsaid, 'joint')} not stated"] if unsaid else []
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}, as typed."


def _where(some: Sequence[Joint]) -> str:
    within = in_runs(dict.fromkeys(j.parts[0].tag for j in some if len(j.parts) == 1))
    between = [f"{j.parts[0].tag} to {j.parts[1].tag}" for j in some if len(j.parts) > 1]
    where = [f"within {', '.join(within)}"] if within else []
    fillers = dict.fromkeys(j.spec.text_or("filler", "not stated") for j in some)
    return f"{counted(len(some), 'joint')}, {', '.join([*where, *between])} (filler {', '.join(fillers)})"


__all__ = ["words"]
