"""A draft cannot be mistaken: no lighting, no refused limit, no lines to sign, and the dangerous errors first."""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from fake import fake
from pypdf import PdfReader

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
    return " ".join(" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(render(result))).pages)


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
    said = " ".join(" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(render(result))).pages)
    assert NO_LIMITS in said
    assert NO_LIGHTING in said
    for words in ("15 mph stop wind", "above 15 mph", "A lit torch", "Fire: ", "one burst may be fired"):
        assert words not in said, words
    assert "Weather hold: flames out" in said
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
