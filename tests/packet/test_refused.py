"""A draft cannot be mistaken: no lighting, no refused limit, no lines to sign, and the dangerous errors first."""

from __future__ import annotations

import io
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from fake import fake
from pypdf import PdfReader

from specc.model.blocks import Bullets, Column, Fact, Heading, Para, Row, Table, TableBlock
from specc.model.findings import Finding, Place
from specc.model.result import SectionMade
from specc.packet import render
from specc.packet.desk import Desk
from specc.packet.refused import NO_LIMITS, NO_STEPS, by_danger, fact, left

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


def test_a_limit_with_an_error_against_it_is_not_printed() -> None:
    table, wind = TableBlock("club.stops"), Fact(1, "60 mph", "stop wind", "", "stop_wind")
    stops = Table("club.stops", "", (Column("what"),), (Row(("60 mph",)),), limits_at=("/weather", "/club/stops"))
    own = fake()._replace(tables=((stops.key, stops),), exit_code=1)
    bad = Desk(own._replace(findings=(error("flame.wind", "/weather/wind/stop"),)), False)
    assert left("crew", [Heading("Limits"), table], bad) == [Heading("Limits"), Para(NO_LIMITS)]
    found = fact(wind, bad)
    assert found is not None
    assert "60" not in found.value + found.note
    clubs = Desk(own._replace(findings=(error("club.stops", "/club/stops/wind"),)), False)
    assert left("crew", [table], clubs) == [Para(NO_LIMITS)]
    assert fact(wind, clubs) == wind
    other = Desk(own._replace(findings=(error("fuel.flow", "/weatherproof"),)), False)
    assert left("crew", [table], other) == [table]
    assert fact(wind, other) == wind


def test_errors_come_by_danger_and_not_by_line() -> None:
    some = [
        error(r) for r in ("spec.value", "operators.roster", "plumbing.rated", "fuel.flow", "core.scope", "club.own")
    ]
    order = [f.rule for f in by_danger(some)]
    assert order == ["core.scope", "fuel.flow", "plumbing.rated", "operators.roster", "club.own", "spec.value"]
