"""Control: the wiring that holds the gas back, what it does in every state, and what one fault does to it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator, calculators_of
from specc.model.passes import Pass
from specc.model.things import passes_of
from specc.spec.short_forms import Rewrite

SPECC_CONTRACT = 2


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    text = Path(__file__).with_name("control.schema.json").read_text(encoding="utf-8")
    return {"control": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_control import (
        around,
        backward,
        burst_time,
        electric,
        electric_rules,
        entries,
        gas,
        one_line,
        proof,
        safety_rules,
        sections,
        valves,
        wire_lengths,
    )

    return passes_of(
        *(entries, gas, safety_rules, electric, electric_rules, around, proof, valves, backward, burst_time),
        *(one_line, wire_lengths, sections),
    )


@hookimpl
def specc_short_forms() -> Sequence[Rewrite]:
    from specc_control.short_forms import write_out

    return [write_out]


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_control.calc import battery, coil, wire

    return calculators_of(wire, coil, battery)
