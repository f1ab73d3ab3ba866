"""Site: what stands where, how far apart it is, and the plan drawn to scale."""

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
    text = Path(__file__).with_name("site.schema.json").read_text(encoding="utf-8")
    return {"site": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_site import (
        after_exits,
        cylinders,
        drawing,
        exits_in_leak,
        hoses,
        kept_out,
        lanes,
        lines,
        outlines,
        people,
        plan,
        sections,
        signs,
        stored,
        vents,
        walls,
        ways_out,
    )

    return passes_of(
        plan,
        outlines,
        people,
        kept_out,
        walls,
        cylinders,
        stored,
        hoses,
        lines,
        lanes,
        ways_out,
        after_exits,
        exits_in_leak,
        vents,
        signs,
        drawing,
        sections,
    )
