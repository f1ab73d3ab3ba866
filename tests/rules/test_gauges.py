"""Whether the gauges of a device read as far as what stands in them."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, expected_in, findings_at, project, result_of, status_of

GOOD = Path(__file__).with_name("gauges.yaml")
READS = "plumbing.gauge_reads"
OTHERS = ("flame", "site", "structure", "operators", "extinguishers", "control", "materials")
LINE = "g1: {kind: gauge, reads_to: 60 psi, rating: 200 psi}"
# The regulator before it is set to 10 psi, and can be turned up to 20.
BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    READS: {
        "less than it is set to": ((LINE, f"{LINE.replace('60', '5')} # expect: {READS}"),),
        "less than it can be turned up to": ((LINE, f"{LINE.replace('60', '15')} # expect: {READS}"),),
    },
}


@pytest.mark.parametrize("what", BAD[READS])
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[READS][what])
    result = result_of(spec, block=OTHERS)
    assert status_of(result, READS, block=OTHERS) == "failed"
    assert expected_in(spec) <= findings_at(result)


@pytest.mark.parametrize(("scale", "status"), [("reads_to: 60 psi, ", "stated"), ("", "not checked")])
def test_a_scale_is_stated_and_where_nobody_says_it_not_checked(tmp_path: Path, scale: str, status: str) -> None:
    spec = project(tmp_path, GOOD, ("reads_to: 60 psi, ", scale))
    assert status_of(spec, READS, block=OTHERS) == status
