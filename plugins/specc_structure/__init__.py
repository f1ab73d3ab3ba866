"""Structure: what keeps the thing standing. For now its calculators: wind, overturning, sliding, guys, lifting.

It reads nothing of a spec yet, and no packet says that structure was looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from specc import Reference, hookimpl, read_references
from specc.formulas.calculators import Calculator

SPECC_CONTRACT = 1


@hookimpl
def specc_references() -> Sequence[Reference]:
    return read_references(Path(__file__).with_name("references.yaml"))


@hookimpl
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    from specc_structure.calc import CALCULATORS

    return CALCULATORS
