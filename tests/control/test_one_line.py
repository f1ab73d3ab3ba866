"""The one-line drawing: every part and contact of the lines is in it, and the stop chain is heavy."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.drawing.shapes import Drawing, Line, Text
from specc.engine.road import Ask, travel
from specc.testing import project

GOOD = Path(__file__).parents[1] / "rules" / "control.yaml"


def drawing(path: Path) -> Drawing:
    made = dict(travel(str(path), ask=Ask(frozenset(), frozenset({"drawing control"}))).drawings)["control"]
    assert isinstance(made, Drawing)
    return made


def heavy(made: Drawing) -> int:
    return sum(isinstance(s, Line) and s.weight == 1.8 for sheet in made.sheets for s in sheet.shapes)


def test_every_part_is_in_it_and_nothing_leaves_its_sheet() -> None:
    made = drawing(GOOD)
    words = {s.text for sheet in made.sheets for s in sheet.shapes if isinstance(s, Text)}
    wanted = {"f1", "f2", "stop.1", "stop.2", "key.1", "key.2", "arm.1", "arm.2", "fire.1", "guest.1", "k1", "k1.1"}
    assert wanted | {"eye.1", "eye.2", "w1", "w2", "sv1", "c2", "bat+", "bat-", "armed"} <= words
    for sheet in made.sheets:
        for shape in sheet.shapes:
            if isinstance(shape, Line):
                assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in shape.points)


def test_the_stop_chain_is_heavy_and_without_a_stop_nothing_is(tmp_path: Path) -> None:
    assert heavy(drawing(GOOD)) > 20
    bare = project(tmp_path, GOOD, ("f1, stop.1, key.1", "f1, key.1"), ("f2, stop.2, key.2", "f2, key.2"))
    assert heavy(drawing(bare)) == 0


@pytest.mark.parametrize("old", ["one: [bat+, f1,", "two: [bat+, f2,"])
def test_lines_that_cannot_be_read_are_said(tmp_path: Path, old: str) -> None:
    made = drawing(project(tmp_path, GOOD, (old, old + " f9,")))
    assert any(isinstance(s, Text) and "cannot be read" in s.text for sheet in made.sheets for s in sheet.shapes)
