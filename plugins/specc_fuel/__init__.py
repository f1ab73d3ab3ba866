"""Fuel: how much gas, how fast, for how long, at which pressure, and whether the cylinders can give it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.calculators import Calculator
from specc.passes import Pass

SPECC_CONTRACT = 1


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_fuel import flows, rules, section_pressures, sections, show, supply

    return [*supply.PASSES, *flows.PASSES, *section_pressures.PASSES, *show.PASSES, *rules.PASSES, *sections.PASSES]


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_fuel.calc import CALCULATORS

    return CALCULATORS
