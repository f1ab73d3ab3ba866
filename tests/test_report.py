"""Reports: what a finding looks like, where its caret stands, and that a spec cannot drive the terminal."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from specc.model.findings import Finding, Place
from specc.model.result import Result, RuleOutcome
from specc.model.values import (
    PRACTICE,
    CaseValue,
    Citation,
    Constant,
    Equation,
    Figure,
    Quantity,
    Reference,
    Symbol,
    Worked,
)
from specc.report import descent, records, text
from specc.report.lines import columns, folded, safe, width, with_caret
from specc.spec import resources

HEAT = Equation(
    (("", "Q = w*h"),),
    (
        Symbol("Q", "power", "heat"),
        Symbol("w", "mass_flow", "flow"),
        Symbol("h", "specific_energy", "heating value"),
    ),
    (PRACTICE,),
    constants=(("h", Constant(5.0e7, "specific_energy", "50 MJ/kg", Citation("a-book", "table 1", "memory"))),),
)
FLOW = Quantity(0.001, "mass_flow", "1 g/s", "/flow")


def worked(flow: Any = FLOW) -> Worked:
    return Worked(50_000.0, "power", HEAT, (("w", flow),))


def figure(key: str = "fuel.heat", value: Worked | None = None, **more: Any) -> Figure:
    made = Figure(key, "Heat", "power", "kW", 3, (CaseValue("", value or worked()),), 0, "max", "fuel", "1.0")
    return made._replace(**more)


def result(**more: Any) -> Result:
    empty = Result("p.yaml", "P", "p", "1", "", (), "0" * 64, None, "0", (), (), (Reference("a-book", "A Book"),), ())
    return empty._replace(places=(("/flow", Place("p.yaml", 7, 9)),), **more)


def finding(**more: Any) -> Finding:
    made = Finding(
        "fuel.x", "error", "the bore is missing", Place("p.yaml", 3, 5), "/a", "bore: 1 in", "gas goes there"
    )
    return made._replace(**more)


def test_a_finding_reads_in_the_order_where_what_line_instead_why() -> None:
    assert text.finding(finding(), "    size: 1 in") == [
        "p.yaml:3:5: error fuel.x: the bore is missing",
        "  3 |     size: 1 in",
        "    |     ^",
        "  fix: bore: 1 in",
        "  why: gas goes there",
    ]


def test_a_waived_finding_says_by_what() -> None:
    assert text.finding(finding(waived="w1"))[0].startswith("p.yaml:3:5: error fuel.x (waived by w1): ")


@pytest.mark.parametrize(
    ("place", "said"), [(Place("a", 0, 0), "a"), (Place("a", 3, 0), "a:3"), (Place("a", 3, 4), "a:3:4")]
)
def test_a_place_says_what_is_known(place: Place, said: str) -> None:
    assert text.where(place) == said


@pytest.mark.parametrize(
    ("line", "column", "shown", "caret_under"),
    [
        ("a: b", 4, "a: b", "b"),
        ("\tkey: x", 2, "    key: x", "k"),
        ("火焰: x", 5, "火焰: x", "x"),
        ("e\u0301: x", 5, "e\u0301: x", "x"),
        ("a: \x1b[2Jz", 8, "a: \\x1b[2Jz", "z"),
        ("ab", 3, "ab", ""),
        ("ab", 99, "ab", ""),
    ],
)
def test_the_caret_stands_under_the_spot(line: str, column: int, shown: str, caret_under: str) -> None:
    printed, caret = with_caret(line, column)
    assert printed == shown
    column_at = width(caret) - 1
    before = ""
    for n, _ in enumerate(printed):
        if width(printed[:n]) == column_at and (n == 0 or width(printed[n]) > 0):
            before = printed[n]
            break
    assert before == caret_under


@given(st.text(st.characters(exclude_characters="\r\n"), max_size=400), st.integers(1, 420))
def test_an_excerpt_always_fits_with_its_caret_in_it(line: str, column: int) -> None:
    printed, caret = with_caret(line, column, room=60)
    # The widest single letter is an escape of six columns.
    assert width(printed) <= 60 + 6
    assert width(caret) <= width(printed) + 1 + (len(line) - len(line.rstrip())) * 6
    assert not any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 for c in printed + caret)


def test_a_long_line_is_cut_around_the_spot() -> None:
    printed, caret = with_caret("x" * 300 + "Y" + "z" * 300, 301)
    assert printed.startswith("…")
    assert printed.endswith("…")
    assert printed[len(caret) - 1] == "Y"


@given(st.text())
def test_no_control_character_survives(written: str) -> None:
    shown = safe(written)
    assert not any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or c in "\u202e\u2066\u2028" for c in shown)


def test_a_message_cannot_forge_a_line_or_color_the_screen() -> None:
    lines = text.finding(finding(message="a\nb.yaml:1:1: \x1b[32mnote x", fix="c\x9b2J"))
    assert "a\\x0ab.yaml:1:1: \\x1b[32mnote x" in lines[0]
    assert not any("\x1b" in line or "\x9b" in line or "\n" in line for line in lines)


def test_columns_line_up_whatever_the_letters() -> None:
    assert columns([("火", "a"), ("bb", "c"), ("d", "")]) == ["火  a", "bb  c", "d"]
    assert columns([("1", "a"), ("22", "b")], right=frozenset({0})) == [" 1  a", "22  b"]


def test_folding_loses_no_word() -> None:
    said = "one two three four five six seven"
    lines = folded(said, "  ", room=14, hang="  ")
    assert all(width(line) <= 14 for line in lines)
    assert " ".join(" ".join(lines).split()) == said
    assert lines[1].startswith("    ")


def test_the_summary_counts_every_status() -> None:
    def outcome(id: str, status: str) -> RuleOutcome:
        return RuleOutcome(id, "error", "s", PRACTICE, status, "", "fuel")

    made = result(
        findings=(
            finding(),
            finding(level="note"),
            finding(waived="w"),
        ),
        rules=(
            outcome("a", "passed"),
            outcome("b", "blocked"),
            outcome("c", "not checked"),
            outcome("d", "passed")._replace(citation=Citation("r", "", "memory")),
        ),
        exit_code=1,
    )
    assert text.summary(made, "p.yaml") == [
        "p.yaml: 1 error, 1 note, 1 waived",
        "4 rules: 1 passed, 1 passed with the source not verified, 1 not checked, 1 blocked; specc rules FILE says why",
    ]


# Figures followed down


def test_a_trace_shows_equation_numbers_place_and_source() -> None:
    lines = descent.text(figure(), result())
    assert "  Q = w·h" in lines
    assert "    = (1 g/s)·(50 MJ/kg)" in lines
    assert "    = 50 kW (171,000 BTU/h)" in lines or "    = 171,000 BTU/h (50 kW)" in lines
    assert "  w = 1 g/s, flow   at p.yaml:7:9" in lines
    assert "  h = 50 MJ/kg, heating value, from a-book, table 1 (from memory, not yet read in the source)" in lines
    assert "  a-book: A Book" in lines
    assert lines[-1] == text.CLOSING


def test_a_figure_used_twice_is_followed_once() -> None:
    below = figure("fuel.below")
    both = Worked(
        100_000.0,
        "power",
        Equation((("", "Q = sum(q)"),), (Symbol("q", "power", "each heat"),), (PRACTICE,)),
        (("q", (below, below)),),
    )
    lines = descent.text(figure("fuel.sum", both), result())
    assert sum("fuel.below" in line for line in lines) == 2
    assert sum("(above)" in line for line in lines) == 1
    assert sum("p.yaml:7:9" in line for line in lines) == 1


def test_records_keep_to_the_published_schema() -> None:
    schema = resources.schema("output/result.schema.json")
    Draft202012Validator.check_schema(schema)
    low_high = figure(low=40_000.0, high=60_000.0)
    made = result(findings=(finding(),), figures=(low_high,), exit_code=1)
    validator = Draft202012Validator(schema)
    whole = json.loads(records.document(files=[records.file("p.yaml", made, ["rules", "figures"])]))
    assert list(validator.iter_errors(whole)) == []
    shown = whole["files"][0]["figures"][0]
    assert (shown["value"], shown["unit"], shown["low"], shown["high"]) == (
        pytest.approx(50.0),
        "kW",
        pytest.approx(40.0),
        pytest.approx(60.0),
    )
    assert shown["si"] == {"value": 50_000.0, "unit": "W"}
    traced = json.loads(records.document(trace=descent.record(figure(), result())))
    assert list(validator.iter_errors(traced)) == []
    assert traced["trace"]["worked"]["inputs"][0]["location"] == {"file": "p.yaml", "line": 7, "column": 9}
    del whole["files"][0]["findings"][0]["rule"]
    assert list(validator.iter_errors(whole)) != []


def test_hours_and_minutes_are_a_number_of_hours_in_json() -> None:
    assert records.value(5400.0, "duration", "h min")["value"] == pytest.approx(1.5)
    assert records.value(5400.0, "duration", "h min")["unit"] == "h"
