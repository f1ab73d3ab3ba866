"""What a plugin gives is looked at field by field: the quick test and the one with words agree."""

from __future__ import annotations

import typing
from pathlib import Path
from typing import Any

import pytest

from specc.engine import type_check
from specc.model.blocks import Bullets, Fact, Para, Row, Table
from specc.model.findings import Trouble
from specc.model.passes import SectionFacts
from specc.model.values import CHOICE, Citation, Constant, Equation, Figure, Quantity, Symbol, Worked
from specc.testing import result_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
SAID = Equation((("", "m = m_1"),), (Symbol("m", "mass", "gas"),), (CHOICE,))
ONE = Constant(1.0, "mass", "1 kg", CHOICE)

SOUND: tuple[tuple[Any, Any], ...] = (
    (Para("t", citations=(CHOICE,)), Para),
    (Fact(1, "v", "l"), Fact),
    (Trouble("", "m", level="note"), Trouble),
    (Trouble("", "m"), Trouble),
    (Row(("a",), None), Row),
    (Quantity(1, "length", "1 m"), Quantity),
    (Worked(1.0, "mass", SAID, (("m_1", ONE), ("m_2", (ONE, ONE)))), Worked),
    (SectionFacts("t", 1, ("B5",)), SectionFacts),
)
WRONG: tuple[tuple[Any, Any, str], ...] = (
    (Para(5), Para, "x.text"),  # type: ignore[arg-type]
    (Para("t", quiet=0), Para, "x.quiet"),  # type: ignore[arg-type]
    (Para("t", citations=(Citation("a", "b", "heard"),)), Para, "x.citations[0].basis"),  # type: ignore[arg-type]
    (Bullets(["a"]), Bullets, "x.items"),  # type: ignore[arg-type]
    (Fact(True, "v", "l"), Fact, "x.order"),
    (Row(("a", 5)), Row, "x.cells[1]"),  # type: ignore[arg-type]
    (Table("", "", (), ({},)), Table, "x.rows[0]"),  # type: ignore[arg-type]
    (Trouble("", "m", level="fatal"), Trouble, "x.level"),  # type: ignore[arg-type]
    (Quantity(float("nan"), "length", "?"), Quantity, "x.si"),
    (Quantity(True, "length", "?"), Quantity, "x.si"),
    (Worked(1.0, "weight", SAID, ()), Worked, "x.dim"),
    (Worked(1.0, "mass", SAID, (("m_1", 5.0),)), Worked, "x.inputs[0][1]"),  # type: ignore[arg-type]
    (Worked(1.0, "mass", SAID, (("m_1",),)), Worked, "x.inputs[0]"),  # type: ignore[arg-type]
    (Worked(1.0, "mass", SAID, (("m_1", ONE._replace(si=float("inf"))),)), Worked, "x.inputs[0][1].si"),
)


@pytest.mark.parametrize(("thing", "kind"), SOUND, ids=lambda x: type(x).__name__)
def test_sound(thing: Any, kind: Any) -> None:
    assert type_check.wrong(thing, kind, "x") == ""
    assert type_check._wrong(thing, kind, "x", set()) == ""


@pytest.mark.parametrize(("thing", "kind", "where"), WRONG, ids=lambda x: str(x)[:40])
def test_wrong_says_where(thing: Any, kind: Any, where: str) -> None:
    assert type_check.wrong(thing, kind, "x").startswith(where + " ")


def test_all_that_the_built_ins_make_is_sound_by_both_ways() -> None:
    result = result_of(SAMPLE)
    for table_or_drawing in (*result.tables, *result.drawings):
        thing = table_or_drawing[1]
        assert type_check._wrong(thing, type(thing), "x", set()) == ""
    for section in result.sections:
        for block in section.blocks:
            assert type_check._wrong(block, type(block), "x", set()) == ""
    for figure in result.figures:
        for case in figure.cases:
            assert type_check._wrong(case.worked, Worked, "x", set()) == ""


def test_a_figure_is_not_looked_into() -> None:
    """Only the host makes figures, of values it has looked at."""
    assert typing.get_type_hints(Figure)
    odd = Figure("k", "t", "mass", "lb", 3, (), 0, "max", "p", "1")._replace(title=5)  # type: ignore[arg-type]
    assert type_check.wrong(odd, Figure, "x") == ""
