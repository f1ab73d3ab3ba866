"""Wherever a step sends somebody, the heat there is judged by what burns by then."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.model.result import Result
from specc.testing import patched

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
STAND = "accumulator_stand: {at: [26 ft, 32 ft, 2 ft]"
DESK = "desk: {at: [28 ft, 12 ft, 3 ft]"
ASK = Ask(kinds=frozenset(), ids=frozenset({"rule flame.sent"}))


def of(tmp_path: Path, *edits: tuple[str, str, str], ask: Ask = ASK) -> Result:
    folder = tmp_path / "reeds"
    shutil.copytree(REEDS, folder)
    for name, old, new in edits:
        path = folder / name
        path.write_text(patched(path.read_text(encoding="utf-8"), (old, new)), encoding="utf-8")
    return travel(str(folder / "project.yaml"), None, ask)


def said(result: Result) -> tuple[str, list[str]]:
    (outcome,) = (r for r in result.rules if r.id == "flame.sent")
    return outcome.status, [f.message for f in result.findings if f.rule == "flame.sent"]


def test_the_accumulator_is_gone_to_while_no_burst_can_come(tmp_path: Path) -> None:
    """With everything burning it is too hot there for crew; nobody is sent there then."""
    result = of(tmp_path)
    assert said(result) in (("passed", []), ("passed, source not verified", []))
    (outcome,) = (r for r in result.rules if r.id == "flame.sent")
    assert "8 places, at most" in outcome.looked
    assert "ways from a post" in outcome.looked
    assert "at desk" in outcome.looked


@pytest.mark.parametrize(
    ("edit", "has"),
    [
        (("control.yaml", DESK, "desk: {at: [8 ft, 30 ft, 3 ft]"), "sends cedar to desk"),
        (("control.yaml", DESK, "desk: {at: [-30 ft, 46 ft, 3 ft]"), "on the way from the post"),
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


def test_a_flame_beside_the_torch_does_not_hide_the_heat_of_others(tmp_path: Path) -> None:
    """How far from stem_3 somebody keeps who lights stem_4 is not stated; what the others give there is known."""
    beds = ("bed_4: {at: [5 ft, 2 ft, 6 ft]", "bed_4: {at: [0 ft, 1 ft, 6 ft]")
    near = (("bed_1: {at: [-10 ft, 0 ft, 6 ft]", "bed_1: {at: [-2 ft, 3 ft, 6 ft]"),
            ("bed_2: {at: [-5 ft, 2 ft, 6 ft]", "bed_2: {at: [2 ft, 3 ft, 6 ft]"))  # fmt: skip
    result = of(tmp_path, *(("project.yaml", *edit) for edit in (beds, *near)))
    status, messages = said(result)
    assert status == "failed"
    assert any("to bed_4" in m and "may get" in m for m in messages), messages


@pytest.mark.parametrize(
    ("name", "old", "new", "what"),
    [
        ("site.yaml", "kit: box", "kit: bed_3", "first aid for burns at bed_3"),
        ("crew.yaml", "meet: gate_east", "meet: mast", "mast (where help is met)"),
    ],
)
def test_first_aid_and_where_help_is_met_are_reached_in_the_heat(
    name: str, old: str, new: str, what: str, tmp_path: Path
) -> None:
    result = of(tmp_path, (name, old, new), ask=Ask(kinds=frozenset(), ids=frozenset({"rule flame.ways_clear"})))
    messages = [f.message for f in result.findings if f.rule == "flame.ways_clear"]
    assert any(m.startswith(f"{what} cannot be reached") for m in messages), messages
