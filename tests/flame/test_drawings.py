"""Effects from the side and heat by distance, on lantern_reeds: to scale, whole, and with what is left out named."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from specc.drawing.shapes import Drawing, Line, Polygon, Text
from specc.engine.road import Ask, travel
from specc.testing import patched
from specc_flame.calc.field import FlameSource, stand_off

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
FOOT = 0.3048
BOTH = Ask(frozenset(), frozenset({"drawing flame.elevation", "drawing flame.heat_by_distance"}))


def drawings(path: Path) -> dict[str, Drawing]:
    return {d.key: d for _, d in travel(str(path), None, BOTH).drawings}


@pytest.fixture(scope="module")
def drawn() -> dict[str, Drawing]:
    return drawings(REEDS / "project.yaml")


def words(drawing: Drawing) -> list[str]:
    return [s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text)]


def test_like_effects_are_drawn_once_and_the_burst_beside_them(drawn: dict[str, Drawing]) -> None:
    said = words(drawn["flame.elevation"])
    assert {"reed_1 to reed_5", "wisp"} <= set(said)
    assert sum(w.startswith("visible tip") for w in said) == 2
    assert "visible tip 30.7 ft" in said
    assert "laid flat 21.8 ft" in said


def test_person_riser_and_flame_are_to_one_scale(drawn: dict[str, Drawing]) -> None:
    """9 ft of riser, 5.7 ft of person, and a tip of 21.8 ft, upright and laid flat."""
    (sheet,) = drawn["flame.elevation"].sheets
    right = [s for s in sheet.shapes if isinstance(s, Polygon | Line) and min(p[0] for p in s.points) > 91]
    (riser,) = [s for s in right if isinstance(s, Line) and s.weight == 1.4]
    scale = (riser.points[1][1] - riser.points[0][1]) / (9 * FOOT)
    dashed = [s for s in right if isinstance(s, Polygon) and s.dashed]
    longest = sorted(max(p[k] for p in s.points) - min(p[k] for p in s.points) for s in dashed for k in (0, 1))[-2:]
    assert [one / scale / FOOT for one in longest] == pytest.approx([21.8, 21.8], abs=0.2)
    (body,) = [s for s in right if isinstance(s, Polygon) and s.fill == "gray"]
    shoulders = max(p[1] for p in body.points) - min(p[1] for p in body.points)
    assert shoulders / scale == pytest.approx(0.82 * 1.75, rel=2e-3)  # sizes are rounded to three digits


def test_everything_lies_on_its_sheet(drawn: dict[str, Drawing]) -> None:
    for drawing in drawn.values():
        assert not any(sheet.clipped for sheet in drawing.sheets)


def test_an_effect_without_a_height_is_named(tmp_path: Path) -> None:
    shutil.copytree(REEDS, tmp_path / "reeds")
    path = tmp_path / "reeds" / "project.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(patched(text, ("mast: {at: [-10 ft, 38 ft, 9 ft]", "mast: {at: [-10 ft, 38 ft]")), encoding="utf-8")
    flat = drawings(path)
    assert "height or flame is not known: wisp" in flat["flame.elevation"].note
    assert "wisp" not in words(flat["flame.elevation"])


def test_heat_by_distance_shows_the_levels_and_ends_where_little_is_left(drawn: dict[str, Drawing]) -> None:
    plotted = drawn["flame.heat_by_distance"]
    assert {"nozzle", "pilot_1"} <= set(words(plotted))
    assert "the public 1.42 kW/m²" in plotted.told
    # By the burst's own curve at the right end of the plot: 0.2 kW/m2.
    far = max(float(w) for w in words(plotted) if w.replace(".", "").isdigit())
    assert far * FOOT <= stand_off(FlameSource("", 0, 0, 9 * FOOT, 1.56e6, 4.5, 0.0, 0.03, drift=1.0), 200.0, 9 * FOOT)
