"""Fuel: how much gas, how fast, for how long, at which pressure, and whether the cylinders can give it."""

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


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    return {"gas": json.loads(Path(__file__).with_name("fuel.schema.json").read_text(encoding="utf-8"))}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_fuel import packet_lines, sections
    from specc_fuel.accumulators import bursts, failed_bursts, fed, feeding, held_gas
    from specc_fuel.faults import excess_flow, releases, shut_in, trapped_liquid, unlit
    from specc_fuel.network import burning, from_plumbing, solved_effects
    from specc_fuel.outlets import (
        burner_pressure,
        even_jets,
        failed_regulator,
        flow,
        kept_flow,
        line_capacity,
        relief,
        relief_lines,
        smaller_feed,
        zone_pressure,
    )
    from specc_fuel.show_run import cylinder_figures, each_case, gas_used, plots, simulated_show
    from specc_fuel.supply import condensation, connections, cylinders, manifolds, on_site, rules, still_air

    return passes_of(
        cylinders,
        manifolds,
        from_plumbing,
        solved_effects,
        burning,
        flow,
        kept_flow,
        burner_pressure,
        line_capacity,
        even_jets,
        bursts,
        failed_bursts,
        fed,
        feeding,
        held_gas,
        condensation,
        gas_used,
        each_case,
        cylinder_figures,
        plots,
        simulated_show,
        still_air,
        relief,
        relief_lines,
        smaller_feed,
        failed_regulator,
        zone_pressure,
        connections,
        releases,
        excess_flow,
        shut_in,
        unlit,
        trapped_liquid,
        rules,
        on_site,
        packet_lines,
        sections,
    )


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_fuel.calc import (
        accumulator,
        amounts,
        boiling,
        charging,
        condensing,
        cylinder,
        filling,
        first_fill,
        heat,
        mixture,
        orifice,
        pipe,
        propane,
        refilled,
    )

    return calculators_of(
        propane,
        heat,
        orifice,
        cylinder,
        filling,
        amounts,
        accumulator,
        refilled,
        charging,
        mixture,
        condensing,
        first_fill,
        pipe,
        boiling,
    )
