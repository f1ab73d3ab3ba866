"""Plumbing: parts and runs, how they hang together, the parts list and the schematic."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator, calculators_of
from specc.model.passes import Pass
from specc.model.things import passes_of
from specc.model.verb import Verb
from specc.spec.short_forms import Rewrite

SPECC_CONTRACT = 2


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    text = Path(__file__).with_name("plumbing.schema.json").read_text(encoding="utf-8")
    return {"plumbing": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_plumbing import (
        bending,
        bill,
        breakdown,
        burners,
        closing_order,
        cuts,
        fault_page,
        fault_rules,
        fault_table,
        faults,
        fitted,
        gauges,
        ignition,
        joint_schedule,
        joints,
        leak_test_page,
        leak_test_rules,
        leak_test_window,
        leak_tests,
        lighting,
        mating,
        network,
        outlets,
        plausible,
        rules,
        schematic,
        sections,
        shared_means,
        shut_in,
        source_rules,
        undated,
        zone_page,
    )

    return passes_of(
        network,
        outlets,
        shared_means,
        fitted,
        joints,
        leak_tests,
        leak_test_window,
        leak_test_rules,
        leak_test_page,
        gauges,
        faults,
        fault_table,
        fault_rules,
        fault_page,
        closing_order,
        shut_in,
        source_rules,
        zone_page,
        rules,
        plausible,
        ignition,
        lighting,
        mating,
        burners,
        bending,
        cuts,
        breakdown,
        bill,
        joint_schedule,
        schematic,
        undated,
        sections,
    )


@hookimpl
def specc_verbs() -> Sequence[Verb]:
    from specc_plumbing.parts_verb import PARTS

    return [PARTS]


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_plumbing.calc import bends, cuts, rings

    return calculators_of(rings, bends, cuts)


@hookimpl
def specc_short_forms() -> Sequence[Rewrite]:
    from specc_plumbing.short_forms import write_out

    return [write_out]
