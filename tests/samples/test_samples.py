"""The sample builds clean, the bare spec has no errors, and each fault of the faulty one is found where it is."""

from __future__ import annotations

from pathlib import Path

from specc.testing import expected_in, findings_at, result_of

HERE = Path(__file__).parent
PROJECTS = HERE.parents[1] / "sample_projects"
BARE, FAULTY = HERE / "bare.yaml", HERE / "faulty.yaml"


def test_garden_brazier_is_clean() -> None:
    result = result_of(PROJECTS / "garden_brazier" / "project.yaml", tolerance=True)
    assert result.findings == ()
    assert (result.exit_code, result.draft) == (0, False)
    assert {"description", "plumbing", "fuel"} <= {s.id for s in result.sections}
    assert not {r.status for r in result.rules} & {"failed", "waived", "blocked", "crashed"}


def test_bare_has_no_errors_and_what_is_absent_is_said() -> None:
    result = result_of(BARE)
    assert result.errors == 0
    assert result.exit_code == 0
    statuses = {r.id: r.status for r in result.rules}
    assert statuses["plumbing.shutoff"] == "not applicable"
    assert statuses["fuel.regulated"] == "not applicable"
    # Each rule that did not pass says what is absent.
    assert [r.id for r in result.rules if not r.status.startswith("passed") and not r.looked] == []
    text = " ".join(str(b) for s in result.sections for b in s.blocks)
    assert "authority: not stated" in text
    assert "wind not stated" in text


def test_bare_is_the_smallest(tmp_path: Path) -> None:
    """Without any one of its lines after the first three it has an error, or no document is left."""
    lines = BARE.read_text(encoding="utf-8").splitlines(keepends=True)
    start = next(i for i, line in enumerate(lines) if line.startswith("format:"))
    for i in range(start, len(lines)):
        spec = tmp_path / "project.yaml"
        spec.write_text("".join(lines[:i] + lines[i + 1 :]), encoding="utf-8")
        assert result_of(spec).exit_code in (1, 2), lines[i]


def test_each_fault_is_found_at_its_line_and_nothing_else_is() -> None:
    expected = expected_in(FAULTY)
    assert expected.total() >= 15
    roots = {rule.partition(".")[0] for _, _, rule in expected}
    assert {"spec", "core", "plumbing", "fuel", "limits", "waivers"} <= roots
    assert findings_at(FAULTY) == expected


def test_the_faulty_packet_is_a_draft_with_the_sections_that_could_be_made() -> None:
    result = result_of(FAULTY)
    assert (result.exit_code, result.draft) == (1, True)
    assert {"plumbing", "fuel"} <= {s.id for s in result.sections}
