"""Flame: how long flames are, how hot it gets, and how far off its heat falls to a level. Calculators only, so far."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from specc import Limit, Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator
from specc.model.passes import Pass

SPECC_CONTRACT = 1


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    return []


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_flame.calc import CALCULATORS

    return CALCULATORS
