"""What a finding says fix, for mistakes that newcomers made."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import checked, findings_of, project, status_of

BASE = Path(__file__).parent / "samples" / "garden.yaml"


@pytest.mark.parametrize(
    ("old", "new", "rule", "hint"),
    [
        ("elevation: 420 ft", "elevation: 420", "spec.quantity", 'for example "400 ft"'),
        ("elevation: 420 ft", "elevation: 420 lb", "spec.quantity", 'for example "400 ft"'),
        ("elevation: 420 ft", "elevation: 0,5 ft", "spec.quantity", "0.5"),
        ("dates: [2027-06-19]", "dates: 2027-06-19", "spec.value", "[2027-06-19]"),
        ("1 h, steady: [ring_of_flame]", "1 h, bursts: {ring_of_flame: 10}", "spec.value", "{times: 10, open: 0.5 s}"),
        ("kind: hose", "kind: tee", "spec.value", "kind: fitting with form: tee"),
        ("discharge: 0.85", "discharge: 8.5", "spec.quantity", "more than 0 and at most 1"),
        ("bore: 3/8 in", "bore: 0 in", "spec.quantity", "more than 0"),
        ("length: 15 ft", "lenght: 15 ft", "spec.unknown_key", "did you mean 'length'"),
        # A right key in the wrong place: an effect's flame is lit at its burner, a hose has no jets.
        (
            "dates: [2027-06-19]",
            "dates: [2027-06-19]\n  lit_by: {torch: a}",
            "spec.unknown_key",
            "under plumbing: parts: TAG:",
        ),
        ("length: 15 ft", "length: 15 ft\n      jets: {}", "spec.unknown_key", "(kind: burner or pilot)"),
        # A word for nothing where somebody will act on what stands there.
        ("dates: [2027-06-19]", "dates: [2027-06-19]\n  authority: none", "spec.value", "leave it out"),
        ("site: lower lawn, behind the long hedge", "site: '-'", "spec.value", "leave it out"),
    ],
)
def test_what_would_be_right(tmp_path: Path, old: str, new: str, rule: str, hint: str) -> None:
    found = findings_of(project(tmp_path, BASE, (old, new)), rule)
    assert any(hint in f.fix for f in found), [f.fix for f in found]


def test_a_wrong_kind_does_not_hide_a_wrong_key_beside_it(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ("kind: hose", "kind: hoze"), ("length: 15 ft", "lenght: 15 ft"))
    found = {f.rule for f in findings_of(spec)}
    assert {"spec.value", "spec.unknown_key"} <= found


def test_a_fault_of_the_file_stands_first(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ("elevation: 420 ft", "elevation: 420"))
    spec.write_text(spec.read_text(encoding="utf-8") + "event: {}\n", encoding="utf-8")
    assert findings_of(spec)[0].rule == "spec.duplicate_key"


def test_a_half_read_file_is_not_judged(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE)
    text = spec.read_text(encoding="utf-8")
    spec.write_text(text.replace("    pr1:\n", "\tpr1:\n"), encoding="utf-8")
    assert {f.rule for f in findings_of(spec)} == {"spec.tab"}
    spec.write_text(text.replace("[bowl", "bowl").replace("title: Garden Brazier", 'title: "Garden'), encoding="utf-8")
    assert {f.rule for f in findings_of(spec)} == {"spec.yaml"}


def test_bad_hours_and_wind_block_no_gas_figure(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ("stop: 15 mph", "stop: 15"), ('from: "20:00"', "from: 25"))
    assert {f.rule for f in findings_of(spec)} == {"spec.quantity", "spec.value"}


def test_one_place_with_bad_coordinates_leaves_the_others_standing(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ("at: [0 ft, 0 ft, 3 ft]", "at: [0 ft, 0, 3 ft]"))
    result = checked(spec)
    assert {f.rule for f in result.findings} == {"spec.quantity"}
    assert status_of(result, "core.effect_place") == "passed"
