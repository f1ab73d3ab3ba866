"""specc compiles the spec of a propane flame effect into a safety packet for the fire marshal.

This module is the public API for plugins, and nothing else is public. Names are imported when they are
first used, so that `specc --help` stays quick.
"""

from __future__ import annotations

import importlib

TYPE_CHECKING = False  # true for a type checker; the name in `typing` costs 8 ms of every start
if TYPE_CHECKING:
    from typing import Any

__version__ = "0.1.0"

_WHERE = {
    "specc.hookspecs": ("CONTRACT", "hookimpl"),
    "specc.model.values": (
        "CHOICE", "PRACTICE", "Answer", "Case", "Citation", "Constant", "Equation", "Figure", "Quantity", "Reference",
        "Symbol", "Worked",
    ),
    "specc.model.findings": ("Cure", "Finding", "Trouble", "Verdict"),
    "specc.model.passes": (
        "Cannot", "Context", "FigureSet", "Gathered", "Key", "Limit", "Pass", "authority_decides", "drawn", "each",
        "figure", "figures", "found", "gather", "judged", "not_applicable", "not_checked", "passed", "planned", "rule",
        "section", "shown", "stated", "table", "value",
    ),
    "specc.model.blocks": (
        "Block", "Bullets", "Caution", "Column", "DrawingBlock", "Fact", "Facts", "FigureBlock", "FigureList",
        "Heading", "ModelLimit", "Para", "Row", "RulesBlock", "Table", "TableBlock",
    ),
    "specc.model.verb": ("Verb",),
    "specc.model.view": ("View",),
    "specc.model.wording": ("counted", "several"),
    "specc.formulas.calculators": ("Calculator", "calculator"),
    "specc.formulas.distances": ("clear_distance", "distance"),
    "specc.formulas.ways": ("Ground", "ground", "in_sight", "obstacles_of"),
    "specc.measure.printing": ("both", "show"),
    "specc.spec.resources": ("read_references",),
    "specc.spec.short_forms": ("Said", "Tree", "spot_for"),
}  # fmt: skip
_HOME = {name: module for module, names in _WHERE.items() for name in names}
__all__ = [
    "CHOICE",
    "CONTRACT",
    "PRACTICE",
    "Answer",
    "Block",
    "Bullets",
    "Calculator",
    "Cannot",
    "Case",
    "Caution",
    "Citation",
    "Column",
    "Constant",
    "Context",
    "Cure",
    "DrawingBlock",
    "Equation",
    "Fact",
    "Facts",
    "Figure",
    "FigureBlock",
    "FigureList",
    "FigureSet",
    "Finding",
    "Gathered",
    "Ground",
    "Heading",
    "Key",
    "Limit",
    "ModelLimit",
    "Para",
    "Pass",
    "Quantity",
    "Reference",
    "Row",
    "RulesBlock",
    "Said",
    "Symbol",
    "Table",
    "TableBlock",
    "Tree",
    "Trouble",
    "Verb",
    "Verdict",
    "View",
    "Worked",
    "__version__",
    "authority_decides",
    "both",
    "calculator",
    "clear_distance",
    "counted",
    "distance",
    "drawn",
    "each",
    "figure",
    "figures",
    "found",
    "gather",
    "ground",
    "hookimpl",
    "in_sight",
    "judged",
    "not_applicable",
    "not_checked",
    "obstacles_of",
    "passed",
    "planned",
    "read_references",
    "rule",
    "section",
    "several",
    "show",
    "shown",
    "spot_for",
    "stated",
    "table",
    "value",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"specc has no {name!r}")
    return getattr(importlib.import_module(_HOME[name]), name)


if TYPE_CHECKING:
    from specc.formulas.calculators import Calculator, calculator
    from specc.formulas.distances import clear_distance, distance
    from specc.formulas.ways import Ground, ground, in_sight, obstacles_of
    from specc.hookspecs import CONTRACT, hookimpl
    from specc.measure.printing import both, show
    from specc.model.blocks import (
        Block,
        Bullets,
        Caution,
        Column,
        DrawingBlock,
        Fact,
        Facts,
        FigureBlock,
        FigureList,
        Heading,
        ModelLimit,
        Para,
        Row,
        RulesBlock,
        Table,
        TableBlock,
    )
    from specc.model.findings import Cure, Finding, Trouble, Verdict
    from specc.model.passes import (
        Cannot,
        Context,
        FigureSet,
        Gathered,
        Key,
        Limit,
        Pass,
        authority_decides,
        drawn,
        each,
        figure,
        figures,
        found,
        gather,
        judged,
        not_applicable,
        not_checked,
        passed,
        planned,
        rule,
        section,
        shown,
        stated,
        table,
        value,
    )
    from specc.model.values import (
        CHOICE,
        PRACTICE,
        Answer,
        Case,
        Citation,
        Constant,
        Equation,
        Figure,
        Quantity,
        Reference,
        Symbol,
        Worked,
    )
    from specc.model.verb import Verb
    from specc.model.view import View
    from specc.model.wording import counted, several
    from specc.spec.resources import read_references
    from specc.spec.short_forms import Said, Tree, spot_for
