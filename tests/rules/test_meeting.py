"""Where help is met and the crew gathers: places of the plan, and none that heat, gas or water takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, findings_of, plugin_file, project, status_of
from specc_operators.meeting import downwind

BASE = Path(__file__).with_name("posts.yaml")
OTHERS = all_but("operators", "plumbing", "site")
RULE = "operators.meeting_place"
KEEPS_30_FT = """
from specc import PRACTICE, gather, hookimpl
from specc.kinds.targets import STANDOFFS, Standoff
from specc.model.values import Quantity
SPECC_CONTRACT = 2
@gather(STANDOFFS)
def keep(ctx):
    return [Standoff("audience", "glow", Quantity(30 * 0.3048, "length", "30 ft"), "heat of the bowl", PRACTICE)]
@hookimpl
def specc_passes():
    return [keep]
"""
# Beside what the good spec has, places that will not do; its usual wind blows over bowl and cylinder to the east.
GOOD: tuple[Patch, ...] = (
    (
        "  field: {at",
        "  grass: {at: [-60 ft, -50 ft]}\n"
        "  pond: {kind: low_place, area: [[-60 ft, 20 ft], [-40 ft, 20 ft], [-40 ft, 40 ft], [-60 ft, 40 ft]]}\n"
        "  bank: {at: [-45 ft, 15 ft]}\n  near: {at: [-20 ft, -20 ft]}\n"
        "  rack_side: {at: [40 ft, -15 ft]}\n  lee: {at: [70 ft, 10 ft]}\n  field: {at",
    ),
)
BAD = {
    "a pond": ("meet: gate", "meet: pond", "pond, where help is met, is of the kind low_place: nobody waits there"),
    "beside the pond": ("assembly: field", "assembly: bank", "gathers, is 5 ft from pond"),
    "a place that nobody describes": ("meet: gate", "meet: gate_2", "help is met, is not among the places"),
    "within the stand-off": ("assembly: field", "assembly: near", "is 28.3 ft from glow, within its 30 ft"),
    "beside a cylinder": ("assembly: field", "assembly: rack_side", "is 15 ft from tank; the limit is 20 ft"),
    "downwind": ("assembly: field", "assembly: lee", "lies downwind of glow, tank in the usual wind"),
    "within a building": ("assembly: field", "assembly: stage", "is of the kind building: nobody waits there"),
    "far from the lane": ("meet: gate", "meet: field", "met, is 58 ft from lane; the limit is 20 ft"),
    "in the lane": ("assembly: field", "assembly: grass", "grass, where the crew gathers, lies where engines come in"),
}  # fmt: skip


@pytest.fixture
def flames(tmp_path: Path) -> str:
    return plugin_file(tmp_path, "flames", KEEPS_30_FT)


def test_the_good_places_pass(tmp_path: Path, flames: str) -> None:
    assert status_of(checked(project(tmp_path, BASE, *GOOD), block=OTHERS, plugins=(flames,)), RULE) == "passed"


@pytest.mark.parametrize("what", BAD)
def test_a_place_that_does_not_do_is_found(tmp_path: Path, flames: str, what: str) -> None:
    old, new, message = BAD[what]
    spec = project(tmp_path, BASE, *GOOD, (old, new))
    found = findings_of(spec, RULE, block=OTHERS, plugins=(flames,))
    assert any(message in f.message for f in found), [f.message for f in found]
    assert all(f.at == f"/operators/emergency/{old.split(':')[0]}" for f in found)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("meet: gate, meets: cedar, ", "meets: cedar, "),
        ("meet: gate, meets: cedar, ", "meet: gate, "),
        (", assembly: field", ""),
        ("site: {north: 0 deg, wind_from: 270 deg}", "site: {north: 0 deg}"),
    ],
)
def test_what_is_not_stated_is_not_passed_over(tmp_path: Path, flames: str, old: str, new: str) -> None:
    spec = project(tmp_path, BASE, *GOOD, (old, new))
    assert status_of(checked(spec, block=OTHERS, plugins=(flames,)), RULE) == "not checked"


def test_without_a_stand_off_it_is_not_checked(tmp_path: Path) -> None:
    assert status_of(checked(project(tmp_path, BASE, *GOOD), block=OTHERS), RULE) == "not checked"


def test_who_is_walled_in_does_not_get_there(tmp_path: Path, flames: str) -> None:
    line = "[[35 ft, -5 ft], [45 ft, -5 ft], [45 ft, 5 ft], [35 ft, 5 ft], [35 ft, -5 ft]]"
    wall = f"  wall: {{kind: barrier, blocks: [walking], line: {line}}}\n"
    spec = project(tmp_path, BASE, *GOOD, ("  stage: {kind", wall + "  stage: {kind"))
    found = {f.message for f in findings_of(spec, RULE, block=OTHERS, plugins=(flames,))}
    assert found == {
        "cedar does not get on foot from rack to gate, where help is met",
        "cedar does not get on foot from rack to field, where the crew gathers",
    }


@pytest.mark.parametrize(("y", "crossed"), [(-66, True), (-70, False), (-75, False)])
def test_nobody_crosses_a_road_to_where_the_crew_gathers(tmp_path: Path, flames: str, y: int, crossed: bool) -> None:
    """The crew gathers at -70 ft: beyond the road, on it, and on this side of it."""
    road = f"  road: {{kind: public_way, line: [[-200 ft, {y} ft], [200 ft, {y} ft]]}}\n  stage: {{kind"
    spec = project(tmp_path, BASE, *GOOD, ("  stage: {kind", road))
    found = [f.message for f in findings_of(spec, RULE, block=OTHERS, plugins=(flames,))]
    assert any("crosses road on the way from" in m for m in found) == crossed


@pytest.mark.parametrize(
    ("there", "north", "wind", "is_downwind"),
    [
        ((10.0, 0.0), 0.0, 270.0, True),
        ((-10.0, 0.0), 0.0, 270.0, False),
        ((10.0, 9.0), 0.0, 270.0, True),
        ((9.0, 10.0), 0.0, 270.0, False),
        ((0.0, -10.0), 90.0, 270.0, True),  # north lies along x, so the west wind blows against y
        ((0.0, 10.0), 0.0, 180.0, True),
        ((0.0, 0.0), 0.0, 180.0, False),
    ],
)
def test_downwind(there: tuple[float, float], north: float, wind: float, is_downwind: bool) -> None:
    assert downwind((0.0, 0.0), there, north, wind) is is_downwind
