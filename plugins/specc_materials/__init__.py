"""Materials: what parts and joints are made of, and whether cylinders may be used."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from specc import Limit, Reference, hookimpl, read_references
from specc.model.passes import Pass
from specc.model.things import passes_of

SPECC_CONTRACT = 2


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_materials import (
        agree,
        brazing,
        cylinders,
        joined,
        near_flame,
        open_copper,
        piping,
        sections,
        threads,
        vessels,
    )

    return passes_of(joined, brazing, open_copper, agree, piping, threads, near_flame, cylinders, vessels, sections)
