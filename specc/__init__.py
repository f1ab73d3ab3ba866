"""specc compiles the spec of a propane flame effect into a safety packet for the fire marshal.

This module is the public API for plugins, and nothing else is public. Names are imported when they are
first used, so that `specc --help` stays quick.
"""

# ruff: noqa: E402  (a signal is set before anything of specc is imported)

from __future__ import annotations

import sys

# As a library, nothing is touched. With `python -m specc` the first word is "-m" until the module has been found.
_STARTED = (sys.argv or [""])[0]
COMMAND = _STARTED.endswith(("specc", "specc.exe", "cli.py", "__main__.py")) or (
    _STARTED == "-m" and not {"specc", "specc.cli"}.isdisjoint(word.removeprefix("-m") for word in sys.orig_argv)
)
if COMMAND:
    # Here begins what is ours of a command. Ctrl-C before `main` can answer for it ends the process without a word;
    # before this line it is Python's own to answer.
    try:
        import signal

        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            signal.signal(signal.SIGINT, signal.SIG_DFL)
    except KeyboardInterrupt:
        from specc.model.exit_codes import ExitCode

        raise SystemExit(ExitCode.INTERRUPTED) from None

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
    "specc.model.findings": ("Cure", "Finding", "Move", "Trouble", "Unchecked", "Verdict", "answers_of"),
    "specc.model.passes": (
        "Cannot", "Context", "FigureSet", "Gathered", "Judging", "Key", "Limit", "Pass", "authority_decides", "drawn",
        "each", "figure", "figures", "found", "gather", "judged", "not_applicable", "not_checked", "passed", "planned",
        "rule", "section", "shown", "stated", "table", "value",
    ),
    "specc.model.blocks": (
        "Block", "Bullets", "Caution", "Column", "DrawingBlock", "Fact", "Facts", "FigureBlock", "FigureList",
        "Heading", "ModelLimit", "Para", "Row", "RulesBlock", "Table", "TableBlock",
    ),
    "specc.model.verb": ("Verb",),
    "specc.model.view": ("View",),
    "specc.model.wording": ("counted", "several"),
    "specc.formulas.calculators": ("Calculator", "calculator"),
    "specc.formulas.distances": ("clear_distance", "distance", "farther", "nearer"),
    "specc.formulas.sight": ("in_sight",),
    "specc.formulas.ways": ("Ground", "ground", "obstacles_of"),
    "specc.measure.printing": ("both", "psig", "show"),
    "specc.spec.resources": ("read_references",),
    "specc.spec.short_forms": ("Said", "Tree", "spot_for"),
}  # fmt: skip
_HOME = {name: module for module, names in _WHERE.items() for name in names}
__all__ = ["__version__", *_HOME]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"specc has no {name!r}")
    return getattr(importlib.import_module(_HOME[name]), name)


if TYPE_CHECKING:
    from specc.formulas.calculators import Calculator as Calculator
    from specc.formulas.calculators import calculator as calculator
    from specc.formulas.distances import clear_distance as clear_distance
    from specc.formulas.distances import distance as distance
    from specc.formulas.distances import farther as farther
    from specc.formulas.distances import nearer as nearer
    from specc.formulas.sight import in_sight as in_sight
    from specc.formulas.ways import Ground as Ground
    from specc.formulas.ways import ground as ground
    from specc.formulas.ways import obstacles_of as obstacles_of
    from specc.hookspecs import CONTRACT as CONTRACT
    from specc.hookspecs import hookimpl as hookimpl
    from specc.measure.printing import both as both
    from specc.measure.printing import psig as psig
    from specc.measure.printing import show as show
    from specc.model.blocks import Block as Block
    from specc.model.blocks import Bullets as Bullets
    from specc.model.blocks import Caution as Caution
    from specc.model.blocks import Column as Column
    from specc.model.blocks import DrawingBlock as DrawingBlock
    from specc.model.blocks import Fact as Fact
    from specc.model.blocks import Facts as Facts
    from specc.model.blocks import FigureBlock as FigureBlock
    from specc.model.blocks import FigureList as FigureList
    from specc.model.blocks import Heading as Heading
    from specc.model.blocks import ModelLimit as ModelLimit
    from specc.model.blocks import Para as Para
    from specc.model.blocks import Row as Row
    from specc.model.blocks import RulesBlock as RulesBlock
    from specc.model.blocks import Table as Table
    from specc.model.blocks import TableBlock as TableBlock
    from specc.model.findings import Cure as Cure
    from specc.model.findings import Finding as Finding
    from specc.model.findings import Move as Move
    from specc.model.findings import Trouble as Trouble
    from specc.model.findings import Unchecked as Unchecked
    from specc.model.findings import Verdict as Verdict
    from specc.model.findings import answers_of as answers_of
    from specc.model.passes import Cannot as Cannot
    from specc.model.passes import Context as Context
    from specc.model.passes import FigureSet as FigureSet
    from specc.model.passes import Gathered as Gathered
    from specc.model.passes import Judging as Judging
    from specc.model.passes import Key as Key
    from specc.model.passes import Limit as Limit
    from specc.model.passes import Pass as Pass
    from specc.model.passes import authority_decides as authority_decides
    from specc.model.passes import drawn as drawn
    from specc.model.passes import each as each
    from specc.model.passes import figure as figure
    from specc.model.passes import figures as figures
    from specc.model.passes import found as found
    from specc.model.passes import gather as gather
    from specc.model.passes import judged as judged
    from specc.model.passes import not_applicable as not_applicable
    from specc.model.passes import not_checked as not_checked
    from specc.model.passes import passed as passed
    from specc.model.passes import planned as planned
    from specc.model.passes import rule as rule
    from specc.model.passes import section as section
    from specc.model.passes import shown as shown
    from specc.model.passes import stated as stated
    from specc.model.passes import table as table
    from specc.model.passes import value as value
    from specc.model.values import CHOICE as CHOICE
    from specc.model.values import PRACTICE as PRACTICE
    from specc.model.values import Answer as Answer
    from specc.model.values import Case as Case
    from specc.model.values import Citation as Citation
    from specc.model.values import Constant as Constant
    from specc.model.values import Equation as Equation
    from specc.model.values import Figure as Figure
    from specc.model.values import Quantity as Quantity
    from specc.model.values import Reference as Reference
    from specc.model.values import Symbol as Symbol
    from specc.model.values import Worked as Worked
    from specc.model.verb import Verb as Verb
    from specc.model.view import View as View
    from specc.model.wording import counted as counted
    from specc.model.wording import several as several
    from specc.spec.resources import read_references as read_references
    from specc.spec.short_forms import Said as Said
    from specc.spec.short_forms import Tree as Tree
    from specc.spec.short_forms import spot_for as spot_for
