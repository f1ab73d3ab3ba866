"""Flame: how large flames are, how hot it gets, how far away people and things keep."""

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
    text = Path(__file__).with_name("flame.schema.json").read_text(encoding="utf-8")
    return {"flame": json.loads(text)}


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_passes() -> Sequence[Pass | Limit]:
    from specc_flame import (
        contours,
        distances,
        drawings,
        fault_flames,
        heat,
        near,
        overhead,
        parts,
        pilots,
        reached,
        sections,
        sent,
        sizes,
        targets,
        things,
    )

    return passes_of(
        sizes,
        fault_flames,
        targets,
        heat,
        distances,
        near,
        sent,
        overhead,
        parts,
        pilots,
        things,
        reached,
        contours,
        drawings,
        sections,
    )


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_flame.calc import dose, envelope, fireball, flux, height, part, plume, reach, wind

    return calculators_of(height, fireball, reach, wind, flux, dose, plume, part, envelope)
