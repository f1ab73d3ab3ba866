"""An excess-flow valve counts where a break passes its closing flow in the cold, and what is drawn stays below."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.blocks import Table
from specc.testing import Patch, expected_in, findings_at, project, result_of, status_of

GOOD = Path(__file__).with_name("excess_flow.yaml")
RULE = "fuel.excess_flow"
XF = "xf: {kind: valve, form: excess_flow, closing_flow: 400 kBTU/h, cv: 6, bore: 1/2 in}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    RULE: {
        # By hand 313 kBtu/h pass a seat of 1/16 in at 20 °F, with a discharge coefficient of 0.8.
        "a small seat in the cold": ((XF, f"{XF} # expect: {RULE}"), ("seat: 0.125 in", "seat: 0.0625 in")),
        "less than what burns": ((XF, f"{XF.replace('400 kBTU/h', '30 kBTU/h')} # expect: {RULE}"),),
    },
}


def parted(spec: Path) -> str:
    """What the table says stops the gas of the parted hose."""
    table = dict(result_of(spec, only=("table plumbing.faults",)).tables)["plumbing.faults"]
    assert isinstance(table, Table)
    return next(row.cells[2] for row in table.rows if row.cells[0] == "hose h1 parted")


def test_the_good_spec_passes_and_the_table_counts_it() -> None:
    assert status_of(GOOD, RULE) == "passed"
    assert parted(GOOD) == "tank's own valve; before that xf, by excess flow as typed"


@pytest.mark.parametrize("what", list(BAD[RULE]))
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[RULE][what])
    assert {at: n for at, n in findings_at(spec).items() if at[2] == RULE} == dict(expected_in(spec))
    assert parted(spec) == "tank's own valve; not caught by excess flow (xf)"


def test_what_is_not_said_does_not_count(tmp_path: Path) -> None:
    unsaid = project(tmp_path, GOOD, ("closing_flow: 400 kBTU/h, ", ""))
    assert status_of(unsaid, RULE) == "not checked"
    assert parted(unsaid) == "tank's own valve; not caught by excess flow (xf)"
    lossless = project(tmp_path, GOOD, (", cv: 6", ""))
    assert status_of(lossless, RULE) == "not checked"
    assert parted(lossless) == "tank's own valve; not caught by excess flow (xf)"


def test_filling_an_accumulator_looks_like_a_parted_hose(tmp_path: Path) -> None:
    acc = ("    h1: {kind", "    acc: {kind: accumulator, volume: 2 gal}\n    h1: {kind")
    spec = project(tmp_path, GOOD, acc, ("pr1, h1, b", "pr1, h1, acc, b"))
    assert status_of(spec, RULE) == "failed"
    assert "not caught by excess flow (xf)" in parted(spec)
