"""Fuel: how much gas, how fast, for how long, at which pressure, and whether the cylinders can give it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator
from specc.model.passes import Pass

SPECC_CONTRACT = 1


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, Any]]:
    return {"gas": json.loads(Path(__file__).with_name("fuel.schema.json").read_text(encoding="utf-8"))}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_fuel import sections
    from specc_fuel.accumulators import bursts as stores
    from specc_fuel.network import solved_effects as solved
    from specc_fuel.outlets import (
        burner_pressure as section_pressures,
    )
    from specc_fuel.outlets import (
        even_jets,
    )
    from specc_fuel.outlets import (
        failed_regulator as relief,
    )
    from specc_fuel.outlets import (
        flow as flows,
    )
    from specc_fuel.outlets import (
        line_capacity as enough,
    )
    from specc_fuel.show_run import (
        cylinder_figures as over_time,
    )
    from specc_fuel.show_run import (
        each_case as followed,
    )
    from specc_fuel.show_run import (
        gas_used as show,
    )
    from specc_fuel.show_run import (
        plots,
    )
    from specc_fuel.supply import condensation, rules, still_air
    from specc_fuel.supply import cylinders as supply

    modules = (
        supply,
        solved,
        flows,
        section_pressures,
        enough,
        even_jets,
        stores,
        condensation,
        show,
        followed,
        over_time,
        plots,
        still_air,
        relief,
        rules,
        sections,
    )
    return [thing for module in modules for thing in module.PASSES]


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_fuel.calc import CALCULATORS

    return CALCULATORS
