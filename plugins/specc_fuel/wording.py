"""How the sentences of the rules write a number."""

from __future__ import annotations

from specc import show


def psig(si: float) -> str:
    """Pa above the air's, as gauge pressure with three digits."""
    return show(si, "gauge_pressure", "psig", 3)
