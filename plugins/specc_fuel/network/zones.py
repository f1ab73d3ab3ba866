"""Where a pressure holds: burner zones, and the regulators that set a part's pressure."""

from __future__ import annotations

from typing import NamedTuple

from specc.kinds.plumbing import Network, Part

# A zone ends where the pressure is dropped, stored, or held back by a hand.
_ENDS = ("regulator", "orifice", "cylinder", "accumulator", "valve")


class OutletZone(NamedTuple):
    """Outlets that see one another's pressure, and all parts that gas stands in with them."""

    outlets: tuple[str, ...]
    parts: tuple[str, ...]


def zones_of(net: Network, outlets: tuple[str, ...]) -> tuple[OutletZone, ...]:
    made = []
    done: set[str] = set()
    for outlet in outlets:
        if outlet in done:
            continue
        seen, stack = {outlet}, [outlet]
        while stack:
            here = stack.pop()
            for tag in (*net.before.get(here, ()), *net.after.get(here, ())):
                if tag not in seen and net.by_tag[tag].kind not in _ENDS:
                    seen.add(tag)
                    stack.append(tag)
        done |= seen
        parts = tuple(sorted(seen, key=net.place.__getitem__))
        made.append(OutletZone(tuple(t for t in parts if t in outlets), parts))
    return tuple(made)


def nearest_regulators(net: Network, tag: str) -> tuple[Part, ...]:
    """The regulators that set a part's pressure: on each way up from it, the first one met."""
    met: dict[str, Part] = {}
    seen, stack = {tag}, list(net.before.get(tag, ()))
    while stack:
        here = stack.pop()
        if here in seen:
            continue
        seen.add(here)
        if net.by_tag[here].kind == "regulator":
            met[here] = net.by_tag[here]
        else:
            stack += net.before.get(here, ())
    return tuple(met.values())
