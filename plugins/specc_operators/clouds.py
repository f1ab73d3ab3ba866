"""Where gas is smelled, and how far that counts: nobody is told to leave a post and to stay at one beside it."""

from __future__ import annotations

import math

from specc import Citation, Limit
from specc_operators.device import Device

# A leak that is large goes farther: whoever smells it, or the detector, decides beyond this.
REACH = Limit(
    "operators.gas_reach",
    "15 ft",
    "length",
    "max",
    "gas at a place counts as gas at every place within this of it",
    Citation("nfpa-58-areas", "areas round where vapor is let out", "memory"),
)


def beside(device: Device, place: str) -> tuple[str, ...]:
    """The other places with hands at work that gas at a place counts as come to; none where one of the two has no
    coordinates."""
    here = device.spots.get(place)
    if here is None:
        return ()
    tags = (*device.cylinders(), *device.hand(), *device.bleeds)
    worked = dict.fromkeys((*map(device.place, tags), device.desk))
    most = device.gas_reach_m * (1 + 1e-9)
    others = [p for p in worked if p != place and p in device.spots]
    return tuple(p for p in others if math.dist(device.spots[p], here) <= most)


def as_far(device: Device, place: str) -> str:
    """A place with those that gas there counts as come to: "desk or box"."""
    return " or ".join([place or "the controls", *beside(device, place)])


def one_cloud(device: Device) -> str:
    """Places of which gas at one is gas at the others, in words; "" where all stand apart."""
    tags = (*device.cylinders(), *device.hand(), *device.bleeds)
    worked = dict.fromkeys(p for p in (*map(device.place, tags), device.desk) if p)
    groups: dict[frozenset[str], None] = {}
    for place in worked:
        near = beside(device, place)
        if near:
            groups[frozenset((place, *near))] = None
    said = [f"Gas at {' or '.join(p for p in worked if p in group)} is gas at {'both' if len(group) == 2 else 'each'}"
            for group in groups]  # fmt: skip
    return f" {'; '.join(said)} (within {device.gas_reach})." if said else ""


def not_where_smelled(device: Device) -> str:
    """Where gas is, a contact that opens may light it: said alike wherever a stop is called for."""
    if not device.remote():
        return ""
    cloud = {device.desk, *beside(device, device.desk)}
    others = [f"{tag} at {place}" for tag, place in device.stops_at.items() if place and place not in cloud]
    other = f"; {' or '.join(others)} is pressed if no gas is there" if others else ""
    at = f"at {as_far(device, device.desk)}" if device.desk else "there"
    return f" Gas smelled {at}: nothing is pressed or switched there{other}."


__all__ = ["REACH", "as_far", "beside", "not_where_smelled", "one_cloud"]
