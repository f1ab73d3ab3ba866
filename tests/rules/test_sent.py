"""Wherever a step sends somebody, the heat there is judged by what burns by then."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.model.result import Result
from specc.testing import patched

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
STAND = "accumulator_stand: {at: [17 ft, 38 ft, 2 ft]"
DESK = "desk: {at: [21 ft, 17 ft, 3 ft]"
ASK = Ask(kinds=frozenset(), ids=frozenset({"rule flame.sent"}))


def of(tmp_path: Path, *edits: tuple[str, str, str]) -> Result:
    folder = tmp_path / "reeds"
    shutil.copytree(REEDS, folder)
    for name, old, new in edits:
        path = folder / name
        path.write_text(patched(path.read_text(encoding="utf-8"), (old, new)), encoding="utf-8")
    return travel(str(folder / "project.yaml"), None, ASK)


def said(result: Result) -> tuple[str, list[str]]:
    (outcome,) = (r for r in result.rules if r.id == "flame.sent")
    return outcome.status, [f.message for f in result.findings if f.rule == "flame.sent"]


def test_the_accumulator_is_gone_to_while_no_burst_can_come(tmp_path: Path) -> None:
    """With everything burning it is too hot there for crew; nobody is sent there then."""
    result = of(tmp_path)
    assert said(result) in (("passed", []), ("passed, source not verified", []))
    (outcome,) = (r for r in result.rules if r.id == "flame.sent")
    assert "8 places, at most" in outcome.looked
    assert "at desk" in outcome.looked


@pytest.mark.parametrize(
    ("edit", "has"),
    [
        (("control.yaml", DESK, "desk: {at: [8 ft, 30 ft, 3 ft]"), "sends cedar to desk"),
        (
            ("project.yaml", STAND, "accumulator_stand: {at: [6 ft, 2 ft, 2 ft]"),
            "in the flame of stem_4",
        ),
    ],
)
def test_a_place_beside_what_burns_then_is_found(edit: tuple[str, str, str], has: str, tmp_path: Path) -> None:
    status, messages = said(of(tmp_path, edit))
    assert status == "failed"
    assert any(has in m for m in messages), messages


def test_what_has_no_coordinates_is_not_checked(tmp_path: Path) -> None:
    status, messages = said(of(tmp_path, ("control.yaml", DESK + ", note:", "desk: {note:")))
    assert (status, messages) == ("not checked", [])
