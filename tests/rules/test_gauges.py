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


# The same regulator fills a vessel that bursts: 12 psi, its lock-up, is to be told from 10 psi.
FILLS = (
    ("t1, fo, b]", "t1, acc, fo, b]"),
    ("    fo: {kind", "    acc: {kind: accumulator, volume: 2 gal, rating: 250 psi}\n    fo: {kind"),
)


@pytest.mark.parametrize(
    ("scale", "status"),
    [
        ("reads_to: 60 psi", "not checked"),  # of no known accuracy
        ("reads_to: 60 psi, accuracy: B", "failed"),  # 1.8 psi off either way
        ("reads_to: 60 psi, accuracy: A", "failed"),
        ("reads_to: 60 psi, accuracy: 1A", "stated"),
        ("reads_to: 30 psi, accuracy: B", "stated"),  # 0.9 psi
        ("reads_to: 100 psi, accuracy: 1A", "failed"),  # 1 psi: the two touch
    ],
)
def test_an_accumulators_gauge_tells_lock_up_from_the_setting(tmp_path: Path, scale: str, status: str) -> None:
    spec = project(tmp_path, GOOD, *FILLS, ("reads_to: 60 psi", scale))
    assert status_of(spec, READS, block=OTHERS) == status
