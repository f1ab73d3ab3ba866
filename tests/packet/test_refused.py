"""A draft cannot be mistaken: no lighting, no refused limit, no lines to sign, and the dangerous errors first."""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

import pytest
from fake import ERROR, fake
from pdf_text import read_pages

from specc.basics.pages import NO_WINDS
from specc.engine.road import COMPILE, Ask, travel
from specc.model.blocks import Bullets, Column, Fact, Heading, Para, Row, Table, TableBlock
from specc.model.findings import Finding, Place
from specc.model.result import SectionMade
from specc.packet import render
from specc.packet.desk import Desk
from specc.packet.refused import NO_LIGHTING, NO_LIMITS, NO_STEPS, by_danger, fact, left

STEPS = SectionMade("operators_start_up", "Start-up", 50, (Bullets(("Light the ring",)),), "operators", (), "start-up")


def error(rule: str, at: str = "/plumbing") -> Finding:
    return Finding(rule, "error", f"{rule} is broken", Place("project.yaml", 3, 1), at, "fix it", "", "fuel")


def words(*findings: Finding) -> str:
    result = fake()._replace(findings=findings, exit_code=1 if findings else 0, sections=(STEPS,))
    return " ".join(read_pages(render(result)))


def test_a_draft_lights_nothing_and_is_not_signed() -> None:
    said = words(error("fuel.flow"))
    assert "Light the ring" not in said
    assert NO_STEPS in said
    assert "For the authority" not in said
    assert "A draft is not signed" in said


def test_what_has_no_error_lights_and_is_signed() -> None:
    said = words()
    assert "Light the ring" in said
    assert "For the authority" in said


def test_a_draft_prints_no_limit_wherever_its_error_stands() -> None:
    table, wind = TableBlock("club.stops"), Fact(1, "60 mph", "stop wind", "", "stop_wind")
    stops = Table("club.stops", "", (Column("what"),), (Row(("60 mph",)),), withheld="limits")
    own = fake()._replace(tables=((stops.key, stops),))
    # What refutes a wind may stand at the test of a burner in wind.
    for at in ("/weather/wind/stop", "/flame/wind_shown/ring"):
        bad = Desk(own._replace(findings=(error("flame.holds_in_wind", at),), exit_code=1), False)
        assert left("crew", [Heading("Limits"), table], bad) == [Heading("Limits"), Para(NO_LIMITS)]
        found = fact(wind, bad)
        assert found is not None
        assert "60" not in found.value + found.note
    good = Desk(own, False)
    assert left("crew", [table], good) == [table]
    assert fact(wind, good) == wind


def test_the_draft_of_a_sample_says_no_limit_and_no_step_that_lights(tmp_path: Path) -> None:
    folder = tmp_path / "reeds"
    shutil.copytree(Path(__file__).parents[2] / "sample_projects" / "lantern_reeds", folder)
    spec = folder / "project.yaml"
    text = spec.read_text(encoding="utf-8")
    assert "clear_overhead: 70 ft" in text
    spec.write_text(text.replace("clear_overhead: 70 ft", "clear_overhead: 20 ft"), encoding="utf-8")
    result = travel(str(spec), None, Ask(COMPILE))
    assert [f.rule for f in result.findings if f.level == "error"] == ["flame.overhead"]
    said = " ".join(read_pages(render(result)))
    assert NO_LIMITS in said
    assert NO_LIGHTING in said
    for words in ("15 mph stop wind", "above 15 mph", "A lit torch", "Fire: ", "one burst may be fired"):
        assert words not in said, words
    # Nor the wind that stops the show as one of those that were computed for.
    assert "Computed for three weather cases" in said
    assert ", wind 15 mph" not in said
    assert NO_WINDS.strip() in said
    assert "Weather hold: all shut at once, as after STOP" in said
    assert "Emergency shutdown" in said


def test_errors_come_by_danger_and_not_by_line() -> None:
    some = [
        error(r)
        for r in (
            "spec.value",
            "operators.roster",
            "fuel.flow",
            "plumbing.rated",
            "flame.sent",
            "core.scope",
            "club.own",
        )
    ]
    order = [f.rule for f in by_danger(some)]
    # Somebody in a flame comes before a rating that nobody states.
    assert order[:4] == ["core.scope", "flame.sent", "plumbing.rated", "fuel.flow"]
    assert order[4:] == ["operators.roster", "club.own", "spec.value"]


# Kinds of error: a height, a wind, what lights, a unit, a rating, a word nobody knows, an age, a date that is past.
BROKEN = {
    "flame.overhead": ("project.yaml", "clear_overhead: 70 ft", "clear_overhead: 20 ft"),
    "flame.holds_in_wind": ("project.yaml", "stop: 15 mph", "stop: 45 mph"),
    "plumbing.lit_by": ("plumbing.yaml", "lit_by: {pilot: pilot_1, ", "lit_by: {"),
    "spec.quantity": ("plumbing.yaml", "set: 10 psi, highest", "set: 10 parsecs, highest"),
    "fuel.rated_for_setting": (
        "plumbing.yaml",
        "1/2 FNPT, 1/4 FNPT], rating: 250 psi",
        "1/2 FNPT, 1/4 FNPT], rating: 20 psi",
    ),
    "spec.unknown_key": ("project.yaml", "format: 1", "format: 1\nflamme: {}"),
    "operators.operator_age": ("crew.yaml", "age: 47", "age: 15"),
    "operators.certificates": ("crew.yaml", "until: 2028-04-30", "until: 2027-04-30"),
}


@pytest.mark.parametrize("rule", BROKEN)
def test_whatever_its_error_a_draft_is_one_on_every_page_and_can_neither_be_signed_nor_lit(
    rule: str, tmp_path: Path
) -> None:
    folder = tmp_path / "reeds"
    shutil.copytree(Path(__file__).parents[2] / "sample_projects" / "lantern_reeds", folder)
    name, was, now = BROKEN[rule]
    text = (folder / name).read_text(encoding="utf-8")
    assert was in text
    (folder / name).write_text(text.replace(was, now, 1), encoding="utf-8")
    result = travel(str(folder / "project.yaml"), None, Ask(COMPILE))
    assert rule in {f.rule for f in result.findings if f.level == "error"}
    # The front alone: the rest of it is long, and holds no steps.
    data = render(result, only=["summary", "findings", "effects", "crew", "start-up", "shutdown", "changes"])
    pages = read_pages(data)
    said = " ".join(pages)
    assert all("DRAFT" in page for page in pages)
    assert "Who says go? nobody: a draft is not lit" in said
    assert NO_STEPS in said
    worst = by_danger(f for f in result.findings if f.level == "error")[0]
    assert re.search(rf"Errors? 1( to \d+)? {worst.rule}", said)
    for words in (
        "For the authority",
        "This signature",
        "lit torch",
        "hold arm and fire",
        "Gas is let in only",
        "above 15",
    ):
        assert words not in said, words
    assert not re.search(r", wind \d+ mph|\d mph stop wind", said)


def like(n: int, rule: str, why: str = "gas leaks", waived: str = "") -> Finding:
    return ERROR._replace(
        rule=rule, message=f"{rule} fails at h{n}.", fix=f"a coupling at h{n}", why=why, waived=waived,
        place=Place("project.yaml", 40 + n, 7),
    )  # fmt: skip


def test_many_findings_of_one_rule_stand_together_with_their_reason_once() -> None:
    """Twenty like warnings took five pages, and on page one nineteen of them hid what else was found."""
    many = [like(n, "plumbing.ends_mate") for n in range(20)]
    others = [like(50, "plumbing.other", "another"), like(51, "plumbing.ends_mate", "gas leaks", "w1")]
    draft = fake(draft=True)._replace(findings=(*many, *others))
    pages = read_pages(render(draft))
    text = " ".join(pages)
    assert text.count("Errors 1 to 20 plumbing.ends_mate") == 1
    assert text.count("gas leaks") == 2  # once for the twenty, once for the one that is covered by a waiver
    for f in (*many, *others):
        assert f.message in text
        assert f.fix in text
        assert f"project.yaml:{f.place.line}:7" in text
    assert "Error 21 plumbing.other" in text
    assert "plumbing.ends_mate fails at h0." in pages[0]
    assert "and 19 more like it" in pages[0]
    assert "plumbing.other fails at h50." in pages[0]


def test_two_findings_of_one_rule_stand_by_themselves() -> None:
    draft = fake(draft=True)._replace(findings=(like(1, "plumbing.ends_mate"), like(2, "plumbing.ends_mate")))
    text = " ".join(read_pages(render(draft)))
    assert "Error 1 plumbing.ends_mate" in text
    assert "Error 2 plumbing.ends_mate" in text
