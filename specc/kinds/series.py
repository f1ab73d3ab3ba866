"""What changes over time, as numbers: for whoever draws, compares or checks it by other means."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.passes import Gathered


class Series(NamedTuple):
    """Values over time in one weather case ("" for all): `times` in s since gas was opened, `values` in the SI unit of
    `dim`, one for each time. `key` begins with the plugin's name, and ends with the tag of what it is about."""

    key: str
    title: str
    dim: str
    case: str
    times: tuple[float, ...]
    values: tuple[float, ...]


SERIES: Gathered[Series] = Gathered("core.series", Series)
"""In the order of the plugins that give them; the JSON of `specc check --all` has them."""
