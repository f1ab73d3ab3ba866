"""Reads a project spec: YAML with positions, its includes and the private file. Faults are values.

``load(path)`` never raises for a fault in the input and never hangs on one: the `Source` it returns holds
what could be read, where each value stands, and all that is wrong.
"""

from __future__ import annotations

from specc.spec.source.faults import FileFault
from specc.spec.source.files import STDIN
from specc.spec.source.loading import INCLUDES_LIMIT, Overlays, Source, excerpt, load
from specc.spec.source.places import Places, join, steps_of

__all__ = [
    "INCLUDES_LIMIT",
    "STDIN",
    "FileFault",
    "Overlays",
    "Places",
    "Source",
    "excerpt",
    "join",
    "load",
    "steps_of",
]
