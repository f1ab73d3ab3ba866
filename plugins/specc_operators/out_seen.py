"""Whether whoever waits in an emergency until a burst has ended sees its outlet from where the steps have them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from specc import Trouble, in_sight, obstacles_of
from specc.kinds.places import Spot
from specc.kinds.plumbing import OUTLETS, Network
from specc.kinds.procedures import Step
from specc.model.view import Unreadable
from specc.model.wording import several


def out_in_sight(
    steps: Iterable[Step], net: Network | None, places: Mapping[str, Spot], eye: float
) -> Iterator[Trouble]:
    """A pilot's gas is shut off only when what it lights is seen out: nobody sees that through a hedge."""
    obstacles = obstacles_of(places.values(), "sight")
    acts = [a for s in steps if s.procedure in ("emergency", "leak") for a in s.acts if a.action == "check"]
    for act in dict.fromkeys((a.tag, a.who, a.where) for a in acts if net and a.tag in net.by_tag):
        tag, who, where = act
        part = net.by_tag[tag] if net else None
        if part is None or part.kind not in OUTLETS:
            continue
        try:
            outlet = places.get((*part.places, "")[0])
        except Unreadable:  # reported where it stands
            continue
        post = places.get(where)
        here = post.stands if post else None
        if here is None or outlet is None or outlet.point is None:
            continue
        if hidden := in_sight((*here, eye), outlet.point, obstacles):
            yield Trouble(
                outlet.at,
                f"in an emergency {who or 'somebody'} at {where} waits until {tag} is seen out, and does not see it: "
                f"{several(list(hidden))} is in the way",
                "another post, or valves within sight of it",
                "gas shut off too soon takes the pilot, and what still comes out is not lit",
            )


__all__ = ["out_in_sight"]
