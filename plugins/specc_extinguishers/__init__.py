"""Extinguishers: which stand where, what they are rated for, and whether they are looked after."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from specc import Limit, Reference, hookimpl, read_references
from specc.model.passes import Pass
from specc.model.things import passes_of

SPECC_CONTRACT = 2


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    text = Path(__file__).with_name("extinguishers.schema.json").read_text(encoding="utf-8")
    return {"extinguishers": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_extinguishers import by_class, cover, entries, first_aid, hazards, sections, upkeep

    return passes_of(hazards, entries, upkeep, cover, by_class, first_aid, sections)
