"""The rules on extinguishers, on a good spec and on bad ones, and their numbers beside their sources.

The good spec is extinguishers.yaml beside this file: two days, 2027-06-18 and 19.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specc.engine.derived import citations_in
from specc.engine.host import find
from specc.model.result import Result
from specc.testing import Patch, all_but, checked, expected_in, findings_at, findings_of, project, result_of
from specc_extinguishers.by_class import A_BY_HAZARD, A_TRAVEL, B_FAR, FLOOR, FLOOR_MOST, reaches_b
from specc_extinguishers.cover import EACH, MINIMUM_A, MINIMUM_B, _widest, angle_between
from specc_extinguishers.dates import dated, years_later
from specc_extinguishers.units import rating_of
from specc_extinguishers.upkeep import needs_internal_examination, years_between_tests

GOOD = Path(__file__).with_name("extinguishers.yaml")
OTHERS = all_but("extinguishers")
FT = 0.3048


def bad(old: str, new: str, *rules: str) -> Patch:
    """A patch whose new line is expected to be found by some rules."""
    return (old, f"{new} # expect: {', '.join('extinguishers.' + r for r in rules)}")


def asked(old: str, new: str) -> Patch:
    """Another line in the authority's list, which is then not met."""
    return bad(ASKED, ASKED.replace(old, new), "authority_list")


def lacking(kind: str, next_line: str, rule: str) -> Patch:
    """What a unit lacks is found at its first line, that of its type."""
    line = f"type: stored_pressure_{kind}"
    return (f"{line}\n      {next_line}", f"{line} # expect: extinguishers.{rule}\n      {next_line}")


def meadow(low: float, high: float) -> str:
    """What burns over 120 ft, from low to high."""
    spots = ((-60, low), (60, low), (60, high), (-60, high))
    return f"hay: {{kind: combustible, area: [{', '.join(f'[{x} ft, {y} ft]' for x, y in spots)}]}}"


LARGE = "a small unit by a large store"
ASKED = 'powder: {least: "10-B:C", count: 1, within: 40 ft, of: bowl}'
HUT = "hut: {kind: fuel_store, at: [30 ft, 0 ft]}"
HAY = "hay: {kind: combustible, at: [20 ft, 45 ft]}"
MAINS = "mains: {kind: generator, at: [-30 ft, 0 ft]}"
FENCE = ("[[-4 ft, 12 ft], [4 ft, 12 ft]]", "[[15 ft, -200 ft], [15 ft, 200 ft]]")
SCREEN = "screen: {line: [[-4 ft, 12 ft], [4 ft, 12 ft]], blocks: [walking]}"
ROPE = "screen: {kind: barrier, line: [[15 ft, -200 ft], [15 ft, 200 ft]]}"
FAR = """    powder_far: {type: stored_pressure_dry_chemical, rating: "60-B:C", mass: 20 lb, discharge: 1.3 lb/s,
      shell: mild_steel, place: yard, made: 2024-05, inspected: 2027-06-03, serviced: 2027-01-16}
"""
SOUTH_WATER = "volume: 2.5 gal\n      place: south"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "rating_readable": {
        "letters alone": (
            bad("rating: 10-B:C", "rating: B and C", "rating_readable"),
            bad("    water_n:", "    water_n:", "minimum_set"),
        ),
        "left out": (
            bad("dry_chemical\n      rating: 10-B:C", "dry_chemical", "rating_readable"),
            bad("    water_n:", "    water_n:", "minimum_set"),
        ),
    },
    "rating_fits_type": {
        "water for electrical gear": (bad("rating: 2-A\n      agent: water", "rating: 2-A:C", "rating_fits_type"),),
        "carbon dioxide for wood": (
            ("type: stored_pressure_dry_chemical\n      rating: 10-B:C", "type: carbon_dioxide\n      rating: X"),
            bad("rating: X", "rating: 1-A:10-B:C", "rating_fits_type"),
            ("      non_rechargeable: true\n", ""),
            ("made: 2018-08-20", "made: 2023-08-20"),
        ),
        "water out of a powder unit": (
            ("agent: ammonium phosphate", "agent: Water # expect: extinguishers.rating_fits_type"),
        ),
        "powder of a bicarbonate for wood": (
            ("agent: ammonium phosphate", "agent: sodium bicarbonate # expect: extinguishers.rating_fits_type"),
        ),
    },
    "place_known": {
        "a place that is not there": (
            bad("shell: mild_steel\n      place: north", "shell: mild_steel\n      place: nort", "place_known"),
        ),
    },
    "date_complete": {
        "a year only": (bad("internal_examination: 2022-05-11", "internal_examination: 2022", "date_complete"),),
        "a year of make only": (bad("made: 2018-08-20", "made: 2018", "date_complete"),),
        "a day that does not exist": (bad("serviced: 2027-01-17", "serviced: 2027-02-29", "date_complete"),),
        "a year only, in a list": (
            (
                "inspected: 2027-06-04",
                "inspected:\n        - 2027-06-04\n        - 2026 # expect: extinguishers.date_complete",
            ),
        ),
    },
    "done_before": {
        "tested the day after the event": (
            bad("hydrostatic_test: 2024-02", "hydrostatic_test: 2027-06-20", "done_before"),
        ),
        "tested on the second day": (bad("hydrostatic_test: 2024-02", "hydrostatic_test: 2027-06-19", "done_before"),),
        "tested in the event's month, no day": (
            bad("hydrostatic_test: 2024-02", "hydrostatic_test: 2027-06", "done_before"),
        ),
        "made after the event": (bad("made: 2018-08-20", "made: 2028-08-20", "done_before"),),
        "looked at after the event": (bad("inspected: 2027-06-04", "inspected: 2027-06-20", "done_before"),),
    },
    "after_made": {
        "serviced before it was made": (
            bad("made: 2026-11-30", "made: 2026-11-30\n      serviced: 2026-10", "after_made"),
        ),
    },
    "monthly_inspection": {
        "31 days before the last day": (bad("inspected: 2027-06-04", "inspected: 2027-05-19", "monthly_inspection"),),
        "the month before, no day": (bad("inspected: 2027-06-04", "inspected: 2027-05", "monthly_inspection"),),
        "between the two days": (bad("inspected: 2027-06-04", "inspected: 2027-06-19", "monthly_inspection"),),
        "never": (
            ("      inspected: 2027-06-04\n", ""),
            lacking("dry_chemical", "rating: 10-B:C", "monthly_inspection"),
        ),
    },
    "yearly_maintenance": {
        "a year and a day": (bad("serviced: 2027-01-17", "serviced: 2026-06-18", "yearly_maintenance"),),
        "a year less some days, no day": (bad("serviced: 2027-01-17", "serviced: 2026-06", "yearly_maintenance"),),
        "made too long ago": (bad("made: 2026-11-30", "made: 2026-06-01", "yearly_maintenance"),),
    },
    "six_year_service": {
        "a day over": (
            bad("internal_examination: 2022-05-11", "internal_examination: 2021-06-18", "six_year_service"),
        ),
        "never": (
            ("\n      internal_examination: 2022-05-11", ""),
            bad("made: 2016-05-10", "made: 2016-05-10", "six_year_service"),
        ),
    },
    "pressure_test": {
        "water, five years": (bad("hydrostatic_test: 2024-02", "hydrostatic_test: 2022-06-18", "pressure_test"),),
        "water, five years, no day": (bad("hydrostatic_test: 2024-02", "hydrostatic_test: 2022-06", "pressure_test"),),
        "powder, twelve years": (bad("made: 2016-05-10", "made: 2015-06-18", "pressure_test"),),
        "powder, shell not stated": (
            ("      shell: mild_steel\n", ""),
            bad("made: 2016-05-10", "made: 2016-05-10", "pressure_test"),
        ),
        "powder in stainless": (
            ("shell: mild_steel", "shell: stainless"),
            bad("made: 2016-05-10", "made: 2016-05-10", "pressure_test"),
        ),
        "no date at all": (
            ("      made: 2026-11-30\n", "      serviced: 2027-01-18\n"),
            lacking("water", "rating: 2-A\n      volume", "pressure_test"),
        ),
    },
    "non_rechargeable": {
        "twelve years and a day": (bad("made: 2018-08-20", "made: 2015-06-18", "non_rechargeable"),),
        "twelve years, no day": (bad("made: 2018-08-20", "made: 2015-06", "non_rechargeable"),),
        "age not known": (
            ("      made: 2018-08-20\n", ""),
            lacking("dry_chemical", "rating: 10-B:C", "non_rechargeable"),
        ),
    },
    "minimum_set": {
        "a small water unit": (
            ("rating: 2-A\n      volume", "rating: 1-A\n      volume"),
            bad("    water_n:", "    water_n:", "minimum_set"),
        ),
        "no second B": (
            ("rating: 10-B:C", "rating: 5-B:C"),
            bad("    water_n:", "    water_n:", "minimum_set"),
        ),
        "B without C": (
            ("rating: 10-B:C", "rating: 10-B"),
            bad("    water_n:", "    water_n:", "minimum_set"),
        ),
    },
    "opposite_sides": {
        "both waters north": (
            (SOUTH_WATER, "volume: 2.5 gal\n      place: north"),
            bad("at: bowl}", "at: bowl}", "opposite_sides"),
        ),
        "119 degrees": (
            # Seen from the bowl, 119 degrees from north: 29 below the line west, and tan 29 is 13.858 / 25.
            ("south: {at: [0 ft, -25 ft]}", "south: {at: [-25 ft, -13.858 ft]}"),
            bad("at: bowl}", "at: bowl}", "opposite_sides", "opposite_sides"),
        ),
    },
    "class_a": {
        "dry hay too far from water": (bad(HAY, "hay: {kind: combustible, at: [20 ft, 98 ft]}", "class_a"),),
        "76 ft away": (
            ("north: {at: [0 ft, 25 ft]}", "north: {at: [0 ft, 75.9 ft]}"),  # and a hair round the screen
            ("south: {at: [0 ft, -25 ft]}", "south: {at: [0 ft, -76 ft]}"),
            bad(HUT, HUT, "class_b"),
            bad(MAINS, MAINS, "class_b", "class_c"),
            asked("count: 1", "count: 1"),
            bad("at: bowl}", "at: bowl}", "class_a", "class_b", "high_flow", "opposite_sides", "opposite_sides"),
        ),
        # 6-A stand to the north, for 9,000 ft2 at ordinary hazard.
        "hay over 10,080 ft2": (bad(HAY, meadow(-19, 65), "class_a"),),
        "hay over 6,120 ft2 at extra hazard": (
            ("hazard: ordinary", "hazard: extra"),
            bad(HAY, meadow(14, 65), "class_a"),
        ),
        "extra hazard without 4-A": (
            ("hazard: ordinary", "hazard: extra"),
            ("rating: 4-A:80-B:C", "rating: 3-A:80-B:C"),
            (SOUTH_WATER, "place: south"),
            bad(HAY, HAY, "class_a"),
            bad("at: bowl}", "at: bowl}", "class_a"),
        ),
    },
    "class_b": {
        "a store behind a fence": (FENCE, bad(HUT, HUT, "class_b"), bad(HAY, HAY, "class_a")),
        "a store behind a rope that says nothing": (
            (SCREEN, ROPE),
            bad(HUT, HUT, "class_b"),
            bad(HAY, HAY, "class_a"),
        ),
        LARGE: (
            bad(HUT, HUT, "class_b"),
            ("at: bowl}\nshow", "at: bowl} # expect: plumbing.effects_have_outlets\nshow"),
            ("effects:\n", "site: {stores: {spare: {place: hut, count: 40, each: 20 lb}}}\neffects:\n"),
        ),
        "31 ft away and too small for that": (
            ("south: {at: [0 ft, -25 ft]}", "south: {at: [0 ft, -31 ft]}"),
            ("rating: 4-A:80-B:C", "rating: 4-A:10-B:C"),
            ("north: {at: [0 ft, 25 ft]}", "north: {at: [0 ft, 31 ft]}"),
            bad(HUT, HUT, "class_b"),
            bad(MAINS, MAINS, "class_b"),
            bad("at: bowl}", "at: bowl}", "class_b"),
        ),
    },
    "class_c": {
        "a generator far from all": (bad(MAINS, "mains: {kind: generator, at: [-60 ft, 0 ft]}", "class_b", "class_c"),),
    },
    "first_aid": {
        "a blanket at no place": (bad("blanket: south", "blanket: nowhere", "first_aid"),),
        "water too far away": (
            ("  hut: {kind", "  pump: {at: [0 ft, 160 ft]}\n  hut: {kind"),
            bad("water: north", "water: pump", "first_aid"),
        ),
        "water for a few minutes": (bad("water_lasts: 30 min", "water_lasts: 19.9 min", "first_aid"),),
    },
    "authority_list": {
        "two are asked for": (asked("count: 1", "count: 3"),),
        "larger than there are": (asked("10-B:C", "90-B:C"),),
        "of a type that is not there": (asked("count: 1", "type: carbon_dioxide, count: 1"),),
    },
    "high_flow": {
        "slow": (("discharge: 1.1 lb/s", "discharge: 0.8 lb/s"), bad("    water_n:", "    water_n:", "high_flow")),
        "small": (("mass: 10 lb", "mass: 9 lb"), bad("    water_n:", "    water_n:", "high_flow")),
        "the large one 62 ft from the effect": (
            ("mass: 10 lb", "mass: 9 lb"),
            ("hay: {", "yard: {at: [62 ft, 0 ft]}\n  hay: {"),
            ("    powder_s:\n", FAR + "    powder_s:\n"),
            bad("at: bowl}", "at: bowl}", "high_flow"),
        ),
    },
}
CASES = [(rule, what) for rule, cases in BAD.items() for what in cases]


def ends(path: Path) -> dict[str, tuple[str, str]]:
    """Each own rule's status and what it says it looked at."""
    result = checked(path, block=OTHERS)
    return {r.id.partition(".")[2]: (r.status, r.looked) for r in result.rules if r.id.startswith("extinguishers.")}


def patched_ends(folder: Path, *patches: Patch) -> dict[str, tuple[str, str]]:
    return ends(project(folder, GOOD, *patches))


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert f"extinguishers.{rule}" in {r for _, _, r in expected}
    assert (
        findings_at(spec, block=tuple(p for p in OTHERS if what != LARGE or p not in ("site", "plumbing"))) == expected
    )


def test_a_good_spec_passes_every_rule_but_the_one_that_is_the_authoritys() -> None:
    result = checked(GOOD, block=OTHERS)
    assert result.findings == ()
    assert result.exit_code == 0
    statuses = {r: status for r, (status, _) in ends(GOOD).items()}
    assert statuses.pop("class_b") == "authority to decide"
    words = {r.id.partition(".")[2]: r.words for r in result.rules if r.id.startswith("extinguishers.")}
    assert {r for r, s in words.items() if s == "passed, source not verified"} == {"rating_fits_type", "high_flow"}
    rated = {"class_a", "class_c", "minimum_set", "authority_list"}
    assert {r for r, s in statuses.items() if s == "stated"} == {*rated, "first_aid"}
    assert set(statuses.values()) == {"passed", "stated"}
    assert "no deeper than 1/4 in and says nothing of gas under pressure" in ends(GOOD)["class_b"][1]


def test_every_rule_has_a_bad_case() -> None:
    own = {h.pass_.id for h in find().passes if h.plugin == "extinguishers" and h.pass_.kind == "rule"}
    assert own == {f"extinguishers.{rule}" for rule in BAD}


def test_a_citation_names_a_reference_that_is_there() -> None:
    result = checked(GOOD, block=OTHERS)
    known = {r.id for r in result.references}
    assert [c for _, c in citations_in(result) if c.reference and c.reference not in known] == []


def test_a_rope_that_the_crew_gets_over_is_in_nobodys_way(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (SCREEN, ROPE.replace("barrier,", "barrier, crew_passes: true,")))
    assert checked(spec, block=OTHERS).findings == ()
    assert ends(spec)["class_a"][1].count("that the crew passes them, extinguisher in hand, is only typed: screen") == 1


def test_what_says_that_it_blocks_walking_does_though_the_crew_is_said_to_pass(tmp_path: Path) -> None:
    over = ROPE.replace("barrier,", "barrier, crew_passes: true, blocks: [walking],")
    assert {r for _, _, r in findings_at(project(tmp_path, GOOD, (SCREEN, over)), block=OTHERS)}


def test_each_unit_of_a_is_for_so_much_ground(tmp_path: Path) -> None:
    """IFC 2018 as Minnesota has it, Table 906.3(1): 3,000, 1,500 and 1,000 ft2 of floor to each unit of A, and no more
    than 11,250 to one extinguisher."""
    assert {k: round(v / 0.3048**2) for k, v in FLOOR.items()} == {"light": 3000, "ordinary": 1500, "extra": 1000}
    assert round(FLOOR_MOST / 0.3048**2) == 11250
    spec = project(tmp_path, GOOD, (HAY, meadow(-9, 65)))  # 8,880 ft2
    assert checked(spec, block=OTHERS).findings == ()


def test_an_extinguisher_on_a_fence_is_on_its_worse_side(tmp_path: Path) -> None:
    fence = "screen: {kind: barrier, line: [[-90 ft, 25 ft], [90 ft, 25 ft]]}"
    found = findings_of(project(tmp_path, GOOD, (SCREEN, fence)), "extinguishers.high_flow", block=OTHERS)
    assert any("it stands on the line of screen, and the worse side counts" in f.message for f in found)


@pytest.mark.parametrize(("feet", "passes"), [(0.5, False), (0.99, False), (1.02, True)])
def test_nobody_gets_through_a_gap_of_less_than_a_foot(tmp_path: Path, feet: float, passes: bool) -> None:
    fence = (f"screen: {{kind: barrier, line: [[-400 ft, 12 ft], [4 ft, 12 ft]]}}\n"
             f"  screen_2: {{kind: barrier, line: [[{4 + feet} ft, 12 ft], [400 ft, 12 ft]]}}")  # fmt: skip
    spec = project(tmp_path, GOOD, (SCREEN, fence))
    assert (findings_of(spec, "extinguishers.high_flow", block=OTHERS) == ()) == passes


def without_root(folder: Path) -> Path:
    text = GOOD.read_text(encoding="utf-8")
    return project(folder, text[: text.index("extinguishers:\n  hazard")])


def test_a_spec_without_extinguishers_is_clean_and_says_that_nobody_looked(tmp_path: Path) -> None:
    spec = without_root(tmp_path)
    assert checked(spec, block=OTHERS).findings == ()
    found = ends(spec)
    assert {status for status, _ in found.values()} == {"not checked", "not applicable"}
    dates = ("monthly_inspection", "yearly_maintenance", "six_year_service", "pressure_test", "non_rechargeable")
    for rule in ("minimum_set", "opposite_sides", "class_a", "class_b", "high_flow", *dates):
        assert found[rule] == ("not checked", "the spec says nothing of extinguishers")


def test_a_root_without_units_lacks_the_set(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8")
    spec = project(tmp_path, text[: text.index("  units:\n")] + "  units: {}\n")
    assert {r for _, _, r in findings_at(spec, block=OTHERS)} >= {"extinguishers.minimum_set"}


def test_two_units_of_one_tag_cannot_be(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("    water_s:\n", "    water_n:\n"))
    result = checked(spec, block=OTHERS)
    assert any(f.level == "error" and "water_n" in f.message for f in result.findings), result.findings


def message_of(result: Result, rule: str) -> str:
    (one,) = [f for f in result.findings if f.rule == f"extinguishers.{rule}"]
    return one.message


def test_a_test_to_come_is_said_to_lie_after_the_event(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("hydrostatic_test: 2024-02", "hydrostatic_test: 2027-06-20"))
    said = message_of(checked(spec, block=OTHERS), "done_before")
    assert "2027-06-20, lies after the event, which ends on 2027-06-19, so it does not count" in said
    assert ends(spec)["pressure_test"][0] == "not checked"


def test_hours_past_midnight_add_the_morning_after(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ('to: "23:30"', 'to: "01:30"'), ("inspected: 2027-06-04", "inspected: 2027-05-20"))
    assert "2027-06-20" in message_of(checked(spec, block=OTHERS), "monthly_inspection")
    same_day = project(tmp_path, GOOD, ("inspected: 2027-06-04", "inspected: 2027-05-20"), name="other.yaml")
    assert checked(same_day, block=OTHERS).findings == ()


def test_the_last_good_day_is_good(tmp_path: Path) -> None:
    last_good = (
        ("hydrostatic_test: 2024-02", "hydrostatic_test: 2022-06-19"),
        ("made: 2016-05-10", "made: 2015-06-19"),
        ("internal_examination: 2022-05-11", "internal_examination: 2021-06-19"),
        ("serviced: 2027-01-16", "serviced: 2026-06-19"),
        ("made: 2018-08-20", "made: 2015-06-19"),
    )
    assert checked(project(tmp_path, GOOD, *last_good), block=OTHERS).findings == ()


def test_a_month_without_a_day_is_said(tmp_path: Path) -> None:
    assert "no day given, so counted from the first" in ends(GOOD)["pressure_test"][1]
    spec = project(tmp_path, GOOD, ("hydrostatic_test: 2024-02", "hydrostatic_test: 2022-06"))
    assert "2022-06, read as 2022-06-01" in message_of(checked(spec, block=OTHERS), "pressure_test")


def test_a_looser_look_is_shown_as_looser(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        ("inspected: 2027-06-04", "inspected: 2027-05-19"),
        ("show: {", "limits: {extinguishers.inspection_days: 31 d}\nshow: {"),
    )
    assert {r for _, _, r in findings_at(spec, block=OTHERS)} == {"limits.laxer"}


def test_without_coordinates_sides_and_distances_are_not_looked_at(tmp_path: Path) -> None:
    no_effect = patched_ends(tmp_path, ("bowl: {at: [0 ft, 0 ft]}", "bowl: {note: by the pond}"))
    assert no_effect["opposite_sides"] == ("not checked", "no coordinates (places: at:) for the effects glow")
    assert no_effect["class_a"] == ("not checked", "no coordinates (places: at:) for glow")
    assert "without coordinates, so not checked: glow" in no_effect["class_b"][1]
    no_south = patched_ends(tmp_path, ("south: {at: [0 ft, -25 ft]}", "south: {note: by the hedge}"))
    assert no_south["opposite_sides"][0] == "not checked"
    assert "water_s, powder_s" in no_south["opposite_sides"][1]


def test_without_a_hazard_ratings_are_not_judged(tmp_path: Path) -> None:
    found = patched_ends(tmp_path, ("  hazard: ordinary\n", ""))
    assert found["class_a"][0] == found["class_b"][0] == "not checked"
    assert "grades no hazard" in found["class_a"][1]


@pytest.mark.parametrize("agent", ["", "agent: fine powder"])
def test_a_powder_that_nobody_names_is_not_passed_for_wood(agent: str, tmp_path: Path) -> None:
    made = checked(project(tmp_path, GOOD, ("agent: ammonium phosphate", agent)), block=OTHERS)
    (own,) = (r for r in made.rules if r.id == "extinguishers.rating_fits_type")
    assert own.status == "not checked"
    assert "ordinary solids" in own.looked


def test_a_powder_unit_of_unknown_flow_is_not_called_high_flow(tmp_path: Path) -> None:
    status, why = patched_ends(tmp_path, ("      discharge: 1.1 lb/s\n", ""))["high_flow"]
    assert status == "not checked"
    assert "powder_n" in why


def test_a_large_unit_near_enough_or_perhaps_so_is_told_apart(tmp_path: Path) -> None:
    far = (("mass: 10 lb", "mass: 9 lb"), ("hay: {", "yard: {at: [49 ft, 0 ft]}\n  hay: {"))
    patches = (*far, ("    powder_s:\n", FAR + "    powder_s:\n"))
    assert patched_ends(tmp_path, *patches)["high_flow"][0] == "passed"
    status, why = patched_ends(tmp_path, *patches, ("mass: 20 lb, discharge: 1.3 lb/s", "mass: 20 lb"))["high_flow"]
    assert (status, "powder_far" in why) == ("not checked", True)
    status, why = patched_ends(tmp_path, *patches, ("yard: {at: [49 ft, 0 ft]}", "yard: {note: yard}"))["high_flow"]
    assert (status, "powder_far" in why) == ("not checked", True)


def test_water_that_nobody_says_how_long_it_runs_is_not_checked(tmp_path: Path) -> None:
    status, why = patched_ends(tmp_path, ("    water_lasts: 30 min\n", ""))["first_aid"]
    assert (status, "how long the water for burns runs" in why) == ("not checked", True)
    assert patched_ends(tmp_path, ("water_lasts: 30 min", "water_lasts: 20 min"))["first_aid"][0] == "stated"


def test_two_full_size_waters_stand_in_for_4a(tmp_path: Path) -> None:
    # IFC 2018 Table 906.3(1), note a: two 2.5 gal water units do as one 4-A.
    spec = project(tmp_path, GOOD, ("hazard: ordinary", "hazard: extra"), ("rating: 4-A:80-B:C", "rating: 3-A:80-B:C"))
    assert checked(spec, block=OTHERS).findings == ()


@pytest.mark.parametrize("text", ["", "A", "0-A", "2-A:2-A", "10-X", "C:C", "B:C", "2-A or 3-A"])
def test_what_is_no_rating_is_not_read(text: str) -> None:
    assert rating_of(text) is None


def test_ratings_are_read_as_labels_have_them() -> None:
    for text in ("2-A:10-B:C", "2A10BC", "2-a 10-b c", "2A-10BC"):
        rating = rating_of(text)
        assert rating is not None
        assert (rating.a, rating.b, set(rating.letters)) == (2, 10, {"C"})


# Beside the sources


@pytest.mark.parametrize(
    ("hazard", "near", "far"),
    [("light", 5, 10), ("ordinary", 10, 20), ("extra", 40, 80)],  # IFC 2018 Table 906.3(2): at 30 ft, at 50 ft
)
def test_class_b_is_the_fire_codes_table(hazard: str, near: int, far: int) -> None:
    from specc_extinguishers.by_class import B_BY_HAZARD

    least = B_BY_HAZARD[hazard]
    assert reaches_b(least, near, 30 * FT)
    assert not reaches_b(least, near - 1, 30 * FT)
    assert not reaches_b(least, near, 30.1 * FT)
    assert reaches_b(least, far, 50 * FT)
    assert not reaches_b(least, far - 1, 50 * FT)
    assert not reaches_b(least, 640, 50.1 * FT)


def test_class_a_is_the_fire_codes_table() -> None:
    # IFC 2018 Table 906.3(1): 2-A, 2-A, 4-A, at most 75 ft to walk.
    assert A_BY_HAZARD == {"light": 2, "ordinary": 2, "extra": 4}
    assert pytest.approx(75) == A_TRAVEL / FT


def test_walks_are_no_longer_than_oshas_table() -> None:
    # 29 CFR 1910.157(d)(2) and (d)(4), as summarized: 75 ft for class A, 50 ft for class B. Outdoors it does not bind.
    assert pytest.approx(75) == A_TRAVEL / FT
    assert pytest.approx(50) == B_FAR / FT
    assert not reaches_b(5, 640, 50.1 * FT)


def test_the_minimum_set_is_the_countys_page() -> None:
    # Frederick County 4257 and 4260, read: two water units of 2-A and two of 10-B:C, one of each on opposite sides.
    assert (EACH, MINIMUM_A, MINIMUM_B) == (2, 2, 10)
    rules = {r.id: r for r in checked(GOOD, block=OTHERS).rules}
    for rule in ("extinguishers.minimum_set", "extinguishers.opposite_sides"):
        assert (rules[rule].citation.reference, rules[rule].citation.basis) == ("frederick-flame-effects", "read")


# Limits of the plugin: the number, where it stands and how it is known.
LIMITS = [
    ("extinguishers.burn_water", "20 min", "burn-first-aid", "read"),  # Victorian burns service
    ("extinguishers.high_flow_walk", "50 ft", "ifc-2018-minnesota", "read"),
]


@pytest.mark.parametrize(("key", "value", "reference", "basis"), LIMITS)
def test_a_limit_has_the_number_of_its_source(key: str, value: str, reference: str, basis: str) -> None:
    one = next(x for x in checked(GOOD, block=OTHERS).limits if x.key == key)
    assert one.value is not None
    assert (one.value.text, one.citation.reference, one.citation.basis) == (value, reference, basis)


# Reprints of NFPA 10's table of hydrostatic test intervals.
TWELVE = [
    ("stored_pressure_dry_chemical", "mild_steel"),
    ("stored_pressure_dry_chemical", "brazed_brass"),
    ("stored_pressure_dry_chemical", "aluminum"),
    ("cartridge_dry_chemical", "mild_steel"),
    ("halogenated", ""),
    ("dry_powder", ""),
]
FIVE = [
    ("stored_pressure_dry_chemical", "stainless"),
    ("carbon_dioxide", ""),
    ("stored_pressure_water", "stainless"),
    ("loaded_stream", ""),
    ("wetting_agent", ""),
    ("foam", ""),
    ("wet_chemical", ""),
]


def test_hydrostatic_intervals_are_the_reprinted_tables() -> None:
    assert {years_between_tests(*unit) for unit in TWELVE} == {12}
    assert {years_between_tests(*unit) for unit in FIVE} == {5}


def test_six_year_service_goes_with_twelve_year_tests_of_stored_pressure_units() -> None:
    assert [u for u in TWELVE + FIVE if needs_internal_examination(*u)] == [
        u for u in TWELVE if u[0] != "cartridge_dry_chemical"
    ]


def test_dates_keep_both_ends() -> None:
    assert (dated("2024-02").first, dated("2024-02").last) == (date(2024, 2, 1), date(2024, 2, 29))
    assert (dated("2023").first, dated("2023").last) == (date(2023, 1, 1), date(2023, 12, 31))
    assert dated("2023-02-29").known == "none"
    assert years_later(date(2016, 2, 29), 12) == date(2028, 2, 29)
    assert years_later(date(2016, 2, 29), 5) == date(2021, 2, 28)
    assert years_later(date(9990, 1, 1), 12) == date.max


def test_units_out_of_reach_do_not_make_up_the_set(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("south: {at: [0 ft, -25 ft]}", "south: {at: [0 ft, -900 ft]}"))
    found = list(findings_of(spec, "extinguishers.minimum_set"))
    assert len(found) == 2  # the second of each kind stands there
    assert all("within 150 ft" in f.message and "water_s" in f.message for f in found)
    nearer = project(tmp_path, GOOD, ("south: {at: [0 ft, -25 ft]}", "south: {at: [0 ft, -149 ft]}"))
    assert not list(findings_of(nearer, "extinguishers.minimum_set"))


def rows(spec: Path) -> dict[tuple[str, str], tuple[str, ...]]:
    """The table of hazards: by tag and class what is asked for, the unit, the way and the status."""
    made = dict(result_of(spec, block=OTHERS, only=("table extinguishers.hazards",)).tables)["extinguishers.hazards"]
    return {(r.cells[0], r.cells[2]): r.cells[3:] for r in made.rows}


def test_the_table_says_for_each_hazard_what_does_and_how_far_it_is_on_foot(tmp_path: Path) -> None:
    good = rows(GOOD)
    assert good["glow", "A"] == ("2-A within 75 ft", "water_s", "25 ft", "stated")
    assert good["mains", "C"] == ("C within 50 ft", "powder_n", "39.1 ft", "stated")
    assert set(good) == {("glow", "A"), ("hay", "A"), ("glow", "B"), ("hut", "B"), ("mains", "B"), ("mains", "C")}
    far = rows(project(tmp_path, GOOD, (HAY, "hay: {kind: combustible, at: [20 ft, 98 ft]}")))
    assert far["hay", "A"] == ("2-A within 75 ft", "water_n", "75.7 ft", "gap")


def test_the_farthest_corner_counts_and_a_hazard_in_the_way_is_reached_from_beside_it(tmp_path: Path) -> None:
    hedge = "hay: {kind: combustible, line: [[-30 ft, 45 ft], [30 ft, 45 ft]], blocks: [walking]}"
    # Its ends are 36.1 ft from the water to the north, sqrt(30^2 + 20^2), and its own thickness is not counted.
    assert rows(project(tmp_path, GOOD, (HAY, hedge)))["hay", "A"][2] == "36.1 ft"
    corners = "[10 ft, 35 ft], [30 ft, 35 ft], [30 ft, 55 ft], [10 ft, 55 ft], [10 ft, 35 ft]"
    pen = f"{HAY}\n  pen: {{blocks: [walking], line: [{corners}]}}"
    assert rows(project(tmp_path, GOOD, (HAY, pen)))["hay", "A"][2:] == ("no way", "gap")


def test_wiring_is_a_hazard_where_it_stands(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8") + "control: {parts: {bat: {kind: battery, voltage: 12 V, place: hut}}}\n"
    spec = project(tmp_path, text)
    made = dict(result_of(spec, block=tuple(p for p in OTHERS if p not in ("control", "plumbing"))).tables)
    assert ("hut", "electrical gear", "C") in {r.cells[:3] for r in made["extinguishers.hazards"].rows}


def test_old_words_still_read(tmp_path: Path) -> None:
    """The trade's words came after the tool's own: old keys, a waiver's old rule and an old limit read as before."""
    old = {"internal_examination": "internal_service", "hydrostatic_test": "pressure_test"}
    old |= {"non_rechargeable": "disposable"}
    edits = tuple((f"      {new}:", f"      {word}:") for new, word in old.items())
    made = checked(project(tmp_path, GOOD, *edits), block=OTHERS)
    notes = {f.message for f in made.findings if f.rule == "spec.renamed"}
    assert len(notes) == len(old)
    assert all(any(f"{word!r} is now {new!r}" in note for note in notes) for new, word in old.items())
    assert [(r.id, r.status, r.looked) for r in made.rules] == [
        (r.id, r.status, r.looked) for r in checked(GOOD, block=OTHERS).rules
    ]


@pytest.mark.parametrize("word", ["hydrostatic_test", "pressure_test"])
def test_like_takes_over_no_date_by_its_old_word_either(tmp_path: Path, word: str) -> None:
    twin = "    twin: {like: water_n, place: south, inspected: 2027-06-01, serviced: 2027-01-15}\n    water_s:\n"
    spec = project(tmp_path, GOOD, ("    water_s:\n", twin), ("hydrostatic_test:", f"{word}:"))
    assert "twin" in message_of(checked(spec, block=OTHERS), "pressure_test")


def test_beside_until_when_work_holds_stands_the_day_on_the_tag(complete: Callable[[str], Result]) -> None:
    """Whoever reads a tag compares the day that stands on it: only the day on which it runs out was printed."""
    rows = {row.cells[0]: row.cells for row in dict(complete("lantern_reeds").tables)["extinguishers.upkeep"].rows}
    assert rows["powder_east"][3:] == ("2027-03-11; to 2028-03-11", "2024-06-20; to 2030-06-20", "made; to 2030-06-01")
    assert rows["water_west"][3:] == ("2027-03-11; to 2028-03-11", "not due", "2026-03-12; to 2031-03-12")
    assert rows["powder_pickup"][-1] == "none; its 12 years: 2037-05-01"


@given(st.lists(st.tuples(st.integers(-3, 3), st.integers(-3, 3)), max_size=8))
def test_the_widest_angle_is_that_of_any_two(spots: list[tuple[int, int]]) -> None:
    near = [(float(x), float(y)) for x, y in spots]
    angles = [angle_between((0.0, 0.0), a, b) or 0.0 for a, b in combinations(near, 2)]
    assert _widest((0.0, 0.0), near) == pytest.approx(max(angles, default=0.0), abs=1e-7)
