"""What of the crew and the gas stands near the farthest that a flame gets: the rows, the ring and the line below the
plan, for a burst that is fired with a regulator failed open."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.drawing.shapes import Text
from specc.engine.road import COMPILE, Ask, travel
from specc.model.blocks import Para
from specc.model.result import Result
from specc.testing import Patch, project, status_of

SPEC = """format: 1
project: {title: One store, use: standing}
event: {name: Trial evening, dates: [2027-06-19], hours: 20:00 to 23:00, elevation: 0 ft, setting: outdoors}
weather: {air: {low: 64 °F, usual: 64 °F, high: 64 °F}, sun: 20 °F, wind: {usual: 5 mph, stop: 15 mph}}
places:
  mast: {at: [0 ft, 0 ft, 2 ft]}
  stand: {at: [48 ft, 0 ft, 2 ft]}
  post: {at: [0 ft, 70 ft, 0 ft]}
  crowd: {at: [0 ft, -90 ft, 0 ft], kind: audience}
people: {ann: {role: lead operator}}
operators: {shifts: {lead: {person: ann, role: lead, station: post, from: "20:00", to: "23:00"}}}
effects: {puff: {kind: burst, outlets: [nozzle], at: mast}}
show: {scenes: {dusk: {starts: "21:00", lasts: 10 min, bursts: {puff: {times: 2, open: 0.5 s}}}}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, rating: 250 psi, place: stand}
    pr: {kind: regulator, set: 10 psi, highest: 10 psi, lock_up: 12 psi, rating: 250 psi, seat: 1/16 in, place: stand}
    acc: {kind: accumulator, volume: 2 gal, rating: 250 psi, place: stand}
    sv: {kind: valve, form: solenoid, normally: closed, rating: 250 psi, place: stand}
    nozzle: {kind: burner, form: nozzle, rating: 250 psi, aim: {tilt: 0 deg}, jets: {count: 1, bore: 3/8 in,
      discharge: 0.8}}
  runs:
    main: {from: tank, line: [pr, acc, sv, nozzle]}
"""


def compiled(folder: Path, *patches: Patch) -> Result:
    return travel(str(project(folder, SPEC, *patches)), None, Ask(COMPILE))


def nearest(result: Result) -> dict[str, tuple[str, ...]]:
    table = dict(result.tables)["site.nearest"]
    return {str(row.cells[0]): tuple(map(str, row.cells[1:])) for row in table.rows}


def below_the_plan(result: Result) -> str:
    site = next(s for s in result.sections if s.id == "site")
    return " ".join(str(b.text) for b in site.blocks if isinstance(b, Para))


POST = "post: {at: [0 ft, 70 ft, 0 ft]}"


def nearer(feet: int) -> Patch:
    return POST, f"post: {{at: [0 ft, {feet} ft, 0 ft]}}"


def test_the_flame_of_a_failed_regulator_is_on_the_plan_and_among_its_distances(tmp_path: Path) -> None:
    result = compiled(tmp_path)
    row = next(cells for of, cells in nearest(result).items() if of.startswith("puff to stand"))
    assert row[:3] == ("48 ft", "44.8 ft", "3 ft")
    assert row[3].startswith("the flame of nozzle, fired with a regulator failed open")
    plan = dict(result.drawings)["site"].sheets[0]
    assert [s for s in plan.shapes if isinstance(s, Text) and s.text == "the same, a regulator failed open"]


def test_without_a_regulator_that_gives_more_the_plan_has_no_such_ring(tmp_path: Path) -> None:
    """Behind a relief valve that passes all of it nothing stands higher than as set."""
    result = compiled(
        tmp_path,
        (
            "set: 10 psi, highest: 10 psi, lock_up: 12 psi, rating: 250 psi, seat: 1/16 in",
            "set: 300 psi, rating: 400 psi",
        ),
    )
    plan = dict(result.drawings)["site"].sheets[0]
    assert not [s for s in plan.shapes if isinstance(s, Text) and s.text == "the same, a regulator failed open"]


@pytest.mark.parametrize(("feet", "status"), [(70, "passed"), (43, "authority to decide"), (22, "failed")])
def test_a_post_that_such_a_flame_reaches_is_asked_about(tmp_path: Path, feet: int, status: str) -> None:
    spec = project(tmp_path, SPEC, nearer(feet))
    assert status_of(spec, "flame.posts") == status


@pytest.mark.parametrize(
    ("feet", "said"),
    [
        (75, ("1 cylinder", "")),
        (70, ("ann (post)", "no flame comes to them, with its stand fallen over or a regulator failed open too")),
        (43, ("ann (post)", "a flame can come to post: the authority is asked")),
    ],
)
def test_below_the_plan_stands_who_is_nearer_than_the_public_may_be(
    tmp_path: Path, feet: int, said: tuple[str, str]
) -> None:
    told = below_the_plan(compiled(tmp_path, nearer(feet)))
    assert "Inside the line that the public keeps behind: " in told
    assert [w for w in said if w not in told] == [], told
    assert ("ann" in told) == (feet < 72.8)


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ("", "not checked"),
        ("site: {none: [combustible]}\n", "not applicable"),
        ("flame: {dry: [stand]}\n", "passed"),
    ],
)
def test_what_burns_near_a_flame_is_asked_until_somebody_has_looked(tmp_path: Path, more: str, status: str) -> None:
    """A garden "behind the long hedge" described no hedge, and the rule did not apply."""
    assert status_of(project(tmp_path, SPEC, ("effects:", f"{more}effects:")), "flame.dry") == status
