"""The catalog of generic parts: no makers, no ratings. Every number has its source beside it."""

from __future__ import annotations

from functools import cache

from specc.kinds.plumbing import Family
from specc_plumbing.catalog.finding import (
    agreed_size,
    find_size,
    meant_sizes,
    near_families,
    near_pairs,
    near_sizes,
    search,
)

__all__ = ["agreed_size", "families", "find_size", "meant_sizes", "near_families", "near_pairs", "near_sizes", "search"]


@cache
def families() -> tuple[Family, ...]:
    """All families of the built-in catalog, in the order in which they are listed. Made once."""
    from specc_plumbing.catalog.devices import devices
    from specc_plumbing.catalog.pipework import pipework
    from specc_plumbing.catalog.tubing import tubing

    made = (*pipework(), *tubing(), *devices())
    return tuple(family._replace(order=i) for i, family in enumerate(made, 1))
