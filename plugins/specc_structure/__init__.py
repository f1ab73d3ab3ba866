"""Structure: what keeps the thing standing, in wind and heat and with people at it; how it is carried and stored."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator, calculators_of
from specc.model.passes import Pass
from specc.model.things import passes_of

SPECC_CONTRACT = 2
ROOTS = ("structure", "transport")


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    here = Path(__file__).parent
    return {root: json.loads((here / f"{root}.schema.json").read_text(encoding="utf-8")) for root in ROOTS}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_structure import elevation, hot, loads, sections, stand_rules, stands, transport

    return passes_of(stands, loads, stand_rules, hot, elevation, transport, sections)


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_structure.calc import handling, plan, stand, wind

    return calculators_of(wind, plan, stand, handling)
