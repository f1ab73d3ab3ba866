"""The rules on posts: who stands where, what they see, and how far they are from what stops the gas."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from specc.drawing.shapes import Text
from specc.engine.road import Ask, travel
from specc.kinds.geometry import Area, Point
from specc.model.result import Result
from specc.model.values import Quantity
from specc.testing import Patch, all_but, checked, expected_in, findings_at, findings_of, project, result_of
from specc_operators.posts import nearest_spot

GOOD = Path(__file__).with_name("posts.yaml")
OTHERS = all_but("operators", "plumbing", "site")
RULES = ("posts", "in_sight", "at_valves", "time_to_valves", "role_duties")


def post(shift: str, station: str, *rules: str) -> Patch:
    """A shift at another station, expected to be found by some rules."""
    text = GOOD.read_text(encoding="utf-8")
    line = next(s for s in text.splitlines() if s.startswith(f"    {shift}: {{person"))
    here = line.split("station: ")[1].split(",")[0]
    expect = f" # expect: {', '.join('operators.' + r for r in rules)}" if rules else ""
    return line, line.replace(f"station: {here}", f"station: {station}") + expect


def marked(old: str, new: str, *rules: str) -> Patch:
    return old, f"{new} # expect: {', '.join('operators.' + r for r in rules)}"


TANK = "tank: {kind: cylinder, capacity: 20 lb, place: rack}"
V1 = "v1: {kind: valve, form: ball, bore: 3/8 in, place: box}"
BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "operators.in_sight": {
        "a lead behind the stage": (post("lead", "back", "in_sight", "in_sight"),),
        # From the box to the edge of the crowd nearest to the bowl: 15 ft across, 42 ft down.
        "a crowd that is lost in haze": (
            ("visibility: {below: 80 ft", "visibility: {below: 40 ft"),
            post("lead", "box", "in_sight"),
            post("glow", "box", "in_sight"),
        ),
    },
    "operators.signals_reach": {
        "a lead behind the stage, and no radios": (
            (", radios: one at each post}", "}"),
            post("lead", "back", "in_sight", "in_sight"),
            post("glow", "box", "signals_reach"),
            post("eyes", "rope", "signals_reach"),
        ),
    },
    "operators.at_valves": {
        "a valve operator across the yard": (post("glow", "west", "at_valves"),),
        "a fuel watch at the valve box": (post("fuel", "box", "at_valves"),),
        "the crowd's spotter far from the crowd": (post("eyes", "back", "at_valves", "in_sight"),),
    },
    "operators.time_to_valves": {
        "a valve behind a wall that runs all round it": (
            (
                "  stage: {kind: building,",
                "  wall: {kind: barrier, blocks: [walking], line: [[35 ft, -5 ft], [45 ft, -5 ft], "
                "[45 ft, 5 ft], [35 ft, 5 ft], [35 ft, -5 ft]]}\n  stage: {kind: building,",
            ),
            post("fuel", "box", "at_valves"),
            marked(TANK, TANK, "time_to_valves"),
        ),
        "a valve behind a fence that says no more than that it is one": (
            (
                "  stage: {kind: building,",
                "  wire: {kind: barrier, area: [[35 ft, -5 ft], [45 ft, -5 ft], [45 ft, 5 ft], [35 ft, 5 ft]]}\n"
                "  stage: {kind: building,",
            ),
            post("fuel", "box", "at_valves"),
            marked(TANK, TANK, "time_to_valves"),
        ),
        "everybody is at the rope": (
            post("lead", "rope"),
            post("glow", "rope", "at_valves"),
            post("fuel", "rope", "at_valves"),
            marked(TANK, TANK, "time_to_valves"),
            marked(V1, V1, "time_to_valves"),
        ),
    },
}
FUEL = "fuel: {person: cedar, role: fuel_watch, station: box"
CASES = [(rule, what) for rule, cases in BAD.items() for what in cases]


def ends(result: Result) -> dict[str, tuple[str, str]]:
    return {
        r.id.removeprefix("operators."): (r.status, r.looked) for r in result.rules if r.id.startswith("operators.")
    }


@pytest.fixture(scope="module")
def whole() -> Result:
    return result_of(GOOD, block=OTHERS)


def test_the_good_spec_passes(whole: Result) -> None:
    assert [f for f in whole.findings if f.rule.startswith("operators.")] == []
    assert {ends(whole)[r][0] for r in RULES} == {"passed"}


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_post_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    found = findings_at(spec, block=OTHERS)
    assert {k: n for k, n in found.items() if k[2].startswith("operators.")} == expected


def test_who_has_no_post_or_no_duty_is_not_passed_over(tmp_path: Path) -> None:
    bare = ends(checked(project(tmp_path, GOOD, ("role: lead, station: box", "role: lead")), block=OTHERS))
    assert bare["posts"] == ("not checked", "no station: for lead")
    assert bare["in_sight"][0] == "not checked"
    nowhere = project(tmp_path, GOOD, ("rack: {at: [40 ft, 0 ft, 2 ft]}", "rack: {note: somewhere}"), name="b.yaml")
    statuses = ends(checked(nowhere, block=OTHERS))
    assert {statuses[r][0] for r in ("posts", "at_valves", "time_to_valves")} == {"not checked"}
    silent = project(tmp_path, GOOD, ("    spotter: {duties: looks at the public and the wind}\n", ""), name="c.yaml")
    assert "nothing says what is asked of the spotter" in ends(checked(silent, block=OTHERS))["role_duties"][1]


@pytest.mark.parametrize(("more", "shut"), [("", True), (", crew_passes: true", False), (", blocks: [sight]", True)])
def test_a_barrier_is_in_the_way_unless_the_crew_is_said_to_pass_it(tmp_path: Path, more: str, shut: bool) -> None:
    # Between the box and the rack, from one end of the yard to the other.
    rope = f"  chain: {{kind: barrier, height: 3 ft, line: [[27 ft, -900 ft], [27 ft, 900 ft]]{more}}}\n"
    spec = project(tmp_path, GOOD, ("  stage: {kind: building,", rope + "  stage: {kind: building,"))
    spec = project(tmp_path, spec, ("fuel: {person: cedar, role: fuel_watch, station: rack", FUEL), name="far.yaml")
    assert bool(list(findings_of(spec, "operators.time_to_valves", block=OTHERS))) == shut


WALL = "area: [[12 ft, -2 ft], [14 ft, -2 ft], [14 ft, 2 ft], [12 ft, 2 ft]]"


@pytest.mark.parametrize(
    ("what", "hides"),
    [
        ("kind: building", True),
        ("kind: vehicle", True),
        ("kind: tent", True),
        ("kind: building, blocks: []", False),
        ("kind: building, blocks: [walking]", False),
        ("kind: building, height: 3 ft", False),
        ("kind: generator", False),
    ],
)
def test_a_building_hides_what_is_behind_it_whether_or_not_that_is_said(tmp_path: Path, what: str, hides: bool) -> None:
    hut = f"  hut: {{{what}, {WALL}}}\n  stage: {{kind: building,"
    found = findings_of(project(tmp_path, GOOD, ("  stage: {kind: building,", hut)), "operators.in_sight", block=OTHERS)
    assert [f.message.endswith("hut is in the way") for f in found] == ([True, True] if hides else [])


@pytest.mark.parametrize(
    ("kind", "on_it", "longer"), [("building", False, True), ("building", True, True), ("vehicle", False, True),
                                  ("vehicle", True, True), ("tent", False, False)],
)  # fmt: skip
def test_nobody_walks_through_a_building_nor_a_car(tmp_path: Path, kind: str, on_it: bool, longer: bool) -> None:
    """Between the fuel watch's post and the cylinder, and 60 ft long."""
    long = f"  long: {{kind: {kind}, area: [[34 ft, -30 ft], [37 ft, -30 ft], [37 ft, 30 ft], [34 ft, 30 ft]]}}\n"
    seat = "  seat: {at: [36 ft, 0 ft]}\n" if on_it else ""
    spec = project(tmp_path, GOOD, ("  stage: {kind: building,", f"{long}{seat}  stage: {{kind: building,"),
                   ("fuel: {person: cedar, role: fuel_watch, station: rack", FUEL))  # fmt: skip
    assert bool(findings_of(spec, "operators.time_to_valves", block=OTHERS)) == longer


def test_a_valve_on_a_fence_is_reached_from_the_worse_side(tmp_path: Path) -> None:
    """Nothing says on which side of the fence it is. Who is posted at the same place stands beside it."""
    fence = "  fence: {kind: barrier, line: [[40 ft, -30 ft], [40 ft, 30 ft]]}\n  stage: {kind: building,"
    spec = project(tmp_path, GOOD, ("  stage: {kind: building,", fence))
    assert not findings_of(spec, "operators.time_to_valves", block=OTHERS)
    away = project(tmp_path, spec, ("fuel: {person: cedar, role: fuel_watch, station: rack", FUEL), name="away.yaml")
    (found,) = findings_of(away, "operators.time_to_valves", block=OTHERS)
    assert "20 s from tank" in found.message  # 39 ft to its end, round it, and 30 ft back
    assert found.message.endswith("it stands on the line of fence, and the worse side counts")
    shut = project(tmp_path, away, ("[[40 ft, -30 ft], [40 ft, 30 ft]]",
        "[[40 ft, -30 ft], [40 ft, 30 ft], [90 ft, 0 ft], [40 ft, -30 ft]]"), name="shut.yaml")  # fmt: skip
    (found,) = findings_of(shut, "operators.time_to_valves", block=OTHERS)
    assert found.message.startswith("nobody gets from their post to tank on foot")


def test_who_is_posted_at_a_valve_in_a_building_is_at_it(tmp_path: Path) -> None:
    """Out of it nobody is seen to get, until something says that one walks in and out."""
    walls = "area: [[13 ft, -2 ft], [17 ft, -2 ft], [17 ft, 2 ft], [13 ft, 2 ft]]"
    hut = f"  hut: {{{{kind: building{{}}, {walls}}}}}\n  stage: {{{{kind"
    inside = project(tmp_path, GOOD, ("  stage: {kind", hut.format("")))
    assert not findings_of(inside, "operators.time_to_valves", block=OTHERS)
    assert findings_of(inside, "operators.meeting_place", block=OTHERS)
    open_ = project(tmp_path, GOOD, ("  stage: {kind", hut.format(", blocks: [sight]")), name="open.yaml")
    assert not findings_of(open_, "operators.meeting_place", block=OTHERS)


@pytest.mark.parametrize(
    ("door", "out"),
    [
        ("{kind: opening, width: 3 ft, at: [15 ft, 2 ft]}", True),
        ("{kind: exit, width: 3 ft, at: [15 ft, 2 ft]}", True),
        ("{kind: opening, at: [15 ft, 2 ft]}", False),  # perhaps a window
        ("{kind: opening, width: 3 ft, at: [15 ft, 5 ft]}", False),  # another wall's
        ("{kind: opening, width: 0.5 ft, at: [15 ft, 2 ft]}", False),
    ],
)
def test_one_gets_out_of_a_building_by_its_doors(tmp_path: Path, door: str, out: bool) -> None:
    hut = "  hut: {kind: building, area: [[13 ft, -2 ft], [17 ft, -2 ft], [17 ft, 2 ft], [13 ft, 2 ft]]}\n"
    spec = project(tmp_path, GOOD, ("  stage: {kind", f"{hut}  hut_door: {door}\n  stage: {{kind"))
    said = [f.message for f in findings_of(spec, "operators.meeting_place", block=OTHERS)]
    assert any("birch does not get on foot from box" in m for m in said) != out, said


def test_who_is_posted_on_a_truck_gets_off_it_at_the_worse_side(tmp_path: Path) -> None:
    """The truck is 40 ft long and stands across the way to the cylinder: from its far side one walks round it."""
    truck = "  truck: {kind: vehicle, area: [[20 ft, -20 ft], [28 ft, -20 ft], [28 ft, 20 ft], [20 ft, 20 ft]]}\n"
    seat = "  seat: {at: [24 ft, 0 ft]}\n"
    on_it = FUEL.replace("station: box", "station: seat")
    posted = ("fuel: {person: cedar, role: fuel_watch, station: rack", on_it)
    near = project(tmp_path, GOOD, ("  stage: {kind", f"{seat}  stage: {{kind"), posted)
    on = project(tmp_path, GOOD, ("  stage: {kind", f"{truck}{seat}  stage: {{kind"), posted, name="on.yaml")
    assert not findings_of(near, "operators.time_to_valves", block=OTHERS)
    (found,) = findings_of(on, "operators.time_to_valves", block=OTHERS)
    assert "from tank" in found.message


def test_where_a_place_has_a_spot_and_a_line_one_stands_at_the_spot(tmp_path: Path) -> None:
    spot = ("rope: {at: [0 ft, -40 ft]}", "rope: {at: [0 ft, -40 ft], line: [[-200 ft, -40 ft], [200 ft, -40 ft]]}")
    result = result_of(project(tmp_path, GOOD, spot), block=OTHERS)
    assert {ends(result)[r][0] for r in RULES} == {"passed"}


@pytest.mark.parametrize(("below", "found"), [("99 ft", False), ("101 ft", True)])
def test_a_mark_is_seen_from_where_its_watcher_stands(tmp_path: Path, below: str, found: bool) -> None:
    """100 ft off, and not from the piece of a rope that lies nearest to the mark."""
    rope = "rope: {at: [0 ft, -40 ft], line: [[-40 ft, -20 ft], [0 ft, -40 ft], [40 ft, -20 ft]]}"
    seen = f"visibility: {{below: {below}, mark: back, from: rope, who: the club}}"
    spec = project(tmp_path, GOOD, ("rope: {at: [0 ft, -40 ft]}", rope),
                   ("visibility: {below: 80 ft, who: the club}", seen))  # fmt: skip
    assert bool(findings_of(spec, "operators.go_no_go", block=OTHERS)) == found


def test_who_comes_later_to_a_post_is_marked_with_the_hour(tmp_path: Path) -> None:
    early = 'eyes: {person: dogwood, role: spotter, station: rope, from: "20:15", to: "22:00"}'
    late = (f'{early.replace("22:00", "21:30")}\n    late: {{person: fir, role: spotter, station: rope, '
            'from: "21:30", to: "22:00"}')  # fmt: skip
    result = result_of(project(tmp_path, GOOD, (early, late)), block=OTHERS)
    (sheet,) = dict(result.drawings)["site"].sheets
    texts = [s.text for s in sheet.shapes if isinstance(s, Text)]
    assert any("dogwood, fir from 21:30" in text for text in texts), texts


def test_a_part_of_the_crowd_that_nobody_sees_is_found(tmp_path: Path) -> None:
    """A truck hides the crowd's west end from everybody, and what is nearest to each post is in the open."""
    truck = (
        "  truck: {{kind: vehicle{}, area: [[-30 ft, -50 ft], [-28 ft, -50 ft], [-28 ft, -20 ft], [-30 ft, -20 ft]]}}\n"
    )
    for height, hides in (("", True), (", height: 4 ft", False)):
        spec = project(
            tmp_path, GOOD, ("  stage: {kind", truck.format(height) + "  stage: {kind"), name=f"{hides}.yaml"
        )
        found = findings_of(spec, "operators.in_sight", block=OTHERS)
        said = "nobody at a post sees crowd at -40 ft, "
        assert [(f.level, f.message.startswith(said)) for f in found] == ([("warning", True)] if hides else [])


def test_what_is_low_is_looked_over(tmp_path: Path) -> None:
    low = project(tmp_path, GOOD, post("lead", "back"), ("height: 10 ft, blocks", "height: 3 ft, blocks"),
                  ("visibility: {below: 80 ft", "visibility: {below: 110 ft"))  # fmt: skip
    assert ends(checked(low, block=OTHERS))["in_sight"][0] == "passed"


def test_posts_and_sight_lines_are_on_the_plan(whole: Result) -> None:
    drawing = dict(whole.drawings)["site"]
    texts = [getattr(s, "text", "") for s in drawing.sheets[0].shapes]
    for name in ("ash", "birch", "cedar", "dogwood"):
        assert any(name in t for t in texts), (name, texts)
    assert "sight line of a post" in texts


def test_a_gap_says_who_is_free_then(tmp_path: Path) -> None:
    early = project(
        tmp_path, GOOD, ('station: rope, from: "20:15", to: "22:00"', 'station: rope, from: "20:15", to: "21:30"')
    )
    (found,) = list(findings_of(early, "operators.watched", block=OTHERS))
    assert "from 21:30 to 22:00" in found.message
    assert found.fix.endswith("free then, of the roster: dogwood, elm")


def test_the_walk_to_a_valve_counts_in_what_a_fault_lets_out(tmp_path: Path) -> None:
    """From the rack it is 25 ft to v1, 7.1 s at 3.5 ft/s beside the 10 s of the limit; from the rope 43 ft, 12 s."""

    def times(spec: Path) -> dict[str, str]:
        ask = Ask(kinds=frozenset(), ids=frozenset({"table plumbing.faults"}), block=("flame", "materials"))
        rows = dict(travel(str(spec), None, ask).tables)["plumbing.faults"].rows
        return {r.cells[0]: r.cells[3] for r in rows}

    near = times(GOOD)
    assert near["ring off v1"] == near["v1 off h1"] == near["nobody at rack"] == "10 s, assumed"
    far = times(project(tmp_path, GOOD, post("lead", "west"), post("glow", "west")))
    assert far["ring off v1"] == "17 s, assumed"
    assert far["v1 off h1"] == "10 s, assumed"
    # Who is gone does not walk.
    assert far["nobody at rack"] == "22 s, assumed"


@pytest.mark.parametrize("seed", range(8))
def test_the_nearest_spot_of_an_area_is_shapelys(seed: int) -> None:
    shapely = pytest.importorskip("shapely")
    made = random.Random(seed)
    ring = [(10 * math.cos(a) * made.uniform(0.3, 1), 10 * math.sin(a) * made.uniform(0.3, 1)) for a in range(6)]
    spot = (made.uniform(-20, 20), made.uniform(-20, 20))
    area = Area(tuple(Point(Quantity(x, "length", ""), Quantity(y, "length", "")) for x, y in ring))
    near = math.dist(nearest_spot(area, spot), spot)
    outline = shapely.LinearRing(ring) if not shapely.Polygon(ring).is_valid else shapely.Polygon(ring)
    assert near == pytest.approx(shapely.distance(shapely.Point(spot), outline), abs=1e-9) or near == 0


def test_without_a_plan_the_corners_of_a_line_are_printed(tmp_path: Path) -> None:
    """A marshal who sees no plan asks whether the cylinder stands within the rope."""
    bare = (Path(__file__).parents[2] / "sample_projects" / "garden_brazier" / "project.yaml").read_text("utf-8")
    result = result_of(project(tmp_path, bare), only=("section",))
    texts = [str(block) for section in result.sections for block in section.blocks]
    assert any("rope (guests stay behind it) from -40, 25 ft to 40, 25 ft" in text for text in texts), texts


def test_the_walk_from_each_post_to_each_valve_is_printed(tmp_path: Path) -> None:
    """25 ft and 40 ft at 3.5 ft/s; to the rope along a slant, and back to a place that a fence shuts in no way."""
    rows = dict(result_of(GOOD, block=OTHERS, only=("table operators.walks",)).tables)["operators.walks"].rows
    assert [row.cells for row in rows] == [
        ("rack", "tank", "rack 0 s, box 7.1 s, rope 16 s"),
        ("box", "v1", "box 0 s, rack 7.1 s, rope 12 s"),
    ]
    fence = (
        "  pen: {kind: barrier, area: [[35 ft, -5 ft], [45 ft, -5 ft], [45 ft, 5 ft], [35 ft, 5 ft]]}\n  stage: {kind"
    )
    spec = project(tmp_path, GOOD, ("  stage: {kind", fence))
    rows = dict(result_of(spec, block=OTHERS, only=("table operators.walks",)).tables)["operators.walks"].rows
    assert rows[0].cells[2] == "rack 0 s, box: no way, rope: no way"


def test_where_arms_are_not_seen_radios_are_said_to_be_the_only_way(tmp_path: Path, whole: Result) -> None:
    """They are stated, and a lead behind the stage is seen from nowhere: the rule names the posts that only hear."""
    assert "radio alone" not in ends(whole)["signals_reach"][1]
    spec = project(tmp_path, GOOD.read_text(encoding="utf-8"), post("lead", "back"))
    status, looked = ends(result_of(spec, block=OTHERS))["signals_reach"]
    assert status == "stated"
    assert "the radio alone reaches" in looked
    assert "box (stage)" in looked


def test_the_plan_draws_how_the_fuel_watch_sees_a_signal(whole: Result) -> None:
    """Who has to see no flame has to see the lead's arms: that line was on no plan."""
    from specc.kinds.site import SIGHT_LINES

    lines = [i.item for i in whole.items(SIGHT_LINES.name)]
    leads = {k.place for k in lines if k.who == "ash"}  # type: ignore[attr-defined]
    fuel = [k for k in lines if k.who == "cedar"]  # type: ignore[attr-defined]
    assert fuel
    assert all(k.target in leads and not k.blocked_by for k in fuel)  # type: ignore[attr-defined]


def shift(text: str, begins: str, ends: str) -> str:
    return text.replace('from: "20:15", to: "22:00"', f'from: "{begins}", to: "{ends}"')


def test_a_post_that_is_left_before_the_last_flame_counts_only_until_then(tmp_path: Path) -> None:
    """The fuel watch goes over to the west at 21:15: from then on nobody is near the cylinder."""
    text = GOOD.read_text(encoding="utf-8").replace(
        "operators:\n", "limits: {operators.time_to_valve: 5 s}\noperators:\n", 1
    )
    (fuel,) = [line for line in text.splitlines() if line.startswith("    fuel: {")]
    moves = shift(fuel, "20:15", "21:15"), shift(fuel, "21:15", "22:00").replace("fuel:", "fuel_2:")
    stays = project(tmp_path, text, (fuel, "\n".join(moves)))
    assert not findings_of(stays, "operators.time_to_valves", block=OTHERS)
    goes = project(tmp_path, text, (fuel, "\n".join((moves[0], moves[1].replace("rack", "west")))), name="goes.yaml")
    found = findings_of(goes, "operators.time_to_valves", block=OTHERS)
    assert [f.message.split(";")[0].split(", ")[-1] for f in found] == ["from 21:15 on the night of 2027-06-19"]


def test_who_watches_only_early_sees_nothing_later(tmp_path: Path) -> None:
    """A truck hides the crowd's west end from everybody but a spotter in the west, who leaves at 21:15."""
    truck = "  truck: {kind: vehicle, area: [[-30 ft, -50 ft], [-28 ft, -50 ft], [-28 ft, -20 ft], [-30 ft, -20 ft]]}\n"
    place = ("  stage: {kind", f"{truck}  far_west: {{at: [-45 ft, -40 ft]}}\n  stage: {{kind")
    for ends, seen in (("22:00", True), ("21:15", False)):
        more = f'fir_early: {{person: elm, role: spotter, station: far_west, from: "20:15", to: "{ends}"}}'
        spec = project(tmp_path, GOOD, place, ("    after: {", f"    {more}\n    after: {{"), name=f"{seen}.yaml")
        found = [f.message for f in findings_of(spec, "operators.in_sight", block=OTHERS) if "nobody at" in f.message]
        assert (not found) == seen
        assert all(", from 21:15 on the night of 2027-06-19: truck is in the way" in m for m in found)


@pytest.mark.parametrize(
    ("openings", "sees"),
    [
        ("", False),
        ("  w: {kind: opening, at: [-28 ft, 0 ft]}\n  s: {kind: opening, width: 3 ft, at: [-30 ft, -2 ft]}\n", True),
        ("  w: {kind: opening, at: [-28 ft, 0 ft]}\n", False),  # the bowl, and not the public
        ("  w: {kind: opening, at: [-32 ft, 0 ft]}\n  s: {kind: opening, at: [-30 ft, 2 ft]}\n", False),
    ],
)
def test_out_of_a_building_one_sees_by_its_openings_alone(tmp_path: Path, openings: str, sees: bool) -> None:
    hut = f"  hut: {{kind: building, {HUT}}}\n{openings}  stage: {{kind"
    spec = project(tmp_path, GOOD, post("eyes", "west"), ("  stage: {kind", hut))
    found = [f.message for f in findings_of(spec, "operators.in_sight", block=OTHERS) if "west" in f.message]
    assert (not found) == sees, found
    assert all(m.endswith("hut is in the way") for m in found)


HUT = "area: [[-32 ft, -2 ft], [-28 ft, -2 ft], [-28 ft, 2 ft], [-32 ft, 2 ft]]"
