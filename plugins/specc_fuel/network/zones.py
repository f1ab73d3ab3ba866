"""Where a pressure holds: burner zones."""

from __future__ import annotations

from typing import NamedTuple

from specc.kinds.plumbing import Network, walked

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

        def beside(here: str) -> list[str]:
            near = (*net.before.get(here, ()), *net.after.get(here, ()))
            return [tag for tag in near if net.by_tag[tag].kind not in _ENDS]

        seen = walked({}, (outlet,), beside, "")
        done |= seen.keys()
        parts = tuple(sorted(seen, key=net.place.__getitem__))
        made.append(OutletZone(tuple(t for t in parts if t in outlets), parts))
    return tuple(made)
