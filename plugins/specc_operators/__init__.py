"""Operators: who does what and when, and the procedures of a night from the project's own valves."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from specc import Limit, Reference, hookimpl, read_references
from specc.model.passes import Pass
from specc.model.things import passes_of
from specc.spec.short_forms import Rewrite

SPECC_CONTRACT = 2


@hookimpl
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    text = Path(__file__).with_name("operators.schema.json").read_text(encoding="utf-8")
    return {"operators": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_operators import (
        arm_signals,
        clouds,
        crowd_hands,
        duty_rules,
        habits,
        help_rules,
        hours,
        in_the_dark,
        jobs,
        manned,
        meeting,
        on_plan,
        people_rules,
        plan_rules,
        posts,
        procedure_pages,
        procedures,
        relieved,
        sections,
        shutdown_time,
        start_up_time,
        time_table,
        to_valves,
        walks,
    )

    return passes_of(
        habits,
        clouds,
        hours,
        duty_rules,
        crowd_hands,
        people_rules,
        plan_rules,
        manned,
        posts,
        arm_signals,
        in_the_dark,
        to_valves,
        on_plan,
        meeting,
        jobs,
        help_rules,
        relieved,
        procedures,
        procedure_pages,
        start_up_time,
        shutdown_time,
        time_table,
        sections,
        walks,
    )


@hookimpl
def specc_short_forms() -> Sequence[Rewrite]:
    from specc_operators.short_forms import write_out

    return [write_out]
