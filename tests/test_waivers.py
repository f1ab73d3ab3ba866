"""Waivers: used, unused, ended, not waivable, and only about what they name."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.findings import Finding
from specc.model.result import Result
from specc.testing import checked, project, status_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
# Two parts rated too low for what they may see.
WEAK = (
    ("rating: 600 psi\n      material: brass\n      note", "rating: 5 psi\n      material: brass\n      note"),
    ("rating: 125 psi", "rating: 6 psi"),
)
RULE = "fuel.rated_for_setting"


def waive(tmp_path: Path, rule: str = RULE, about: str = "", until: str = "2027-06-30", weak: bool = True) -> Result:
    text = f"waivers:\n  w1:\n    rule: {rule}\n    reason: seen by the club\n    who: A. Person\n    until: {until}\n"
    if about:
        text += f"    about: {about}\n"
    return checked(project(tmp_path, SAMPLE, *(WEAK if weak else ()), ("limits:\n", text + "limits:\n")))


def about(result: Result, rule: str) -> dict[str, Finding]:
    return {f.at.split("/")[3]: f for f in result.findings if f.rule == rule}


def line_of(result: Result, tmp_path: Path, finding: Finding) -> str:
    return (tmp_path / "project.yaml").read_text(encoding="utf-8").splitlines()[finding.place.line - 1].strip()


def test_without_a_waiver_both_are_errors(tmp_path: Path) -> None:
    result = checked(project(tmp_path, SAMPLE, *WEAK))
    assert set(about(result, RULE)) == {"v1", "ring"}
    assert (result.exit_code, status_of(result, RULE)) == (1, "failed")


def test_a_waiver_covers_all_findings_of_its_rule_and_they_stay_in_sight(tmp_path: Path) -> None:
    result = waive(tmp_path)
    assert {f.waived for f in about(result, RULE).values()} == {"w1"}
    assert set(about(result, RULE)) == {"v1", "ring"}
    assert (result.exit_code, result.errors, status_of(result, RULE)) == (0, 0, "waived")
    (shown,) = result.waivers
    assert (shown.tag, shown.rule, shown.reason, shown.who, shown.until, shown.used) == (
        "w1", RULE, "seen by the club", "A. Person", "2027-06-30", 2,
    )  # fmt: skip


def test_a_waiver_about_a_part_covers_that_part_only(tmp_path: Path) -> None:
    result = waive(tmp_path, about="v1")
    found = about(result, RULE)
    assert (found["v1"].waived, found["ring"].waived) == ("w1", "")
    assert (result.exit_code, status_of(result, RULE)) == (1, "failed")
    assert result.waivers[0].used == 1


def test_about_is_a_whole_tag_not_a_piece_of_one(tmp_path: Path) -> None:
    result = waive(tmp_path, about="v")
    assert {f.waived for f in about(result, RULE).values()} == {""}
    assert "waivers.unused" in {f.rule for f in result.findings}


def test_a_waiver_of_a_rule_that_there_is_not_is_told_the_nearest(tmp_path: Path) -> None:
    (found,) = waive(tmp_path, "fuel.boil_of", "", weak=False).findings
    assert (found.rule, found.level, found.fix) == ("waivers.unknown", "warning", "did you mean fuel.boil_off?")


@pytest.mark.parametrize("who", ['""', '" "'])
def test_nobody_waives_nothing(tmp_path: Path, who: str) -> None:
    spec = project(
        tmp_path,
        SAMPLE,
        ("weather:", f"waivers: {{w: {{rule: {RULE}, reason: r, who: {who}, until: 2030-01-01}}}}\nweather:"),
    )
    result = checked(spec)
    assert [(f.rule, f.at) for f in result.findings if f.level == "error"] == [("spec.value", "/waivers/w/who")]
    assert result.draft


@pytest.mark.parametrize(("rule", "about_"), [(RULE, ""), ("fuel.boil_off", "tank_a")])
def test_an_unused_waiver_is_a_finding(tmp_path: Path, rule: str, about_: str) -> None:
    result = waive(tmp_path, rule, about_, weak=False)
    (found,) = result.findings
    assert (found.rule, found.level) == ("waivers.unused", "warning")
    assert rule in found.message
    assert result.waivers[0].used == 0
    assert result.exit_code == 0


def test_a_waiver_that_ends_before_the_last_night_covers_nothing(tmp_path: Path) -> None:
    result = waive(tmp_path, until="2027-06-18")
    assert {f.waived for f in about(result, RULE).values()} == {""}
    (ended,) = [f for f in result.findings if f.rule == "waivers.ended"]
    assert ended.level == "error"
    assert line_of(result, tmp_path, ended) == "until: 2027-06-18"
    assert status_of(result, RULE) == "failed"


def test_a_waiver_until_the_last_night_itself_holds(tmp_path: Path) -> None:
    assert waive(tmp_path, until="2027-06-19").exit_code == 0


@pytest.mark.parametrize("rule", ["spec.quantity", "plugin.crash", "waivers.ended", "limits.laxer"])
def test_what_nobody_can_waive(tmp_path: Path, rule: str) -> None:
    result = waive(tmp_path, rule, weak=False)
    (found,) = result.findings
    assert (found.rule, found.level) == ("waivers.not_waivable", "error")
    assert line_of(result, tmp_path, found) == f"rule: {rule}"
    assert result.waivers == ()


@pytest.mark.parametrize("key", ["rule", "reason", "who", "until"])
def test_a_waiver_without_one_of_its_four_covers_nothing(tmp_path: Path, key: str) -> None:
    lines = {"rule": RULE, "reason": "seen", "who": "A. Person", "until": "2027-06-30"}
    del lines[key]
    text = "waivers:\n  w1: {" + ", ".join(f"{k}: {v}" for k, v in lines.items()) + "}\nlimits:\n"
    result = checked(project(tmp_path, SAMPLE, *WEAK, ("limits:\n", text)))
    assert {f.waived for f in about(result, RULE).values()} == {""}
    assert "spec.missing_key" in {f.rule for f in result.findings}
    assert result.exit_code == 1
