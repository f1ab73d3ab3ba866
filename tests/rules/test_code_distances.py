"""Distances and numbers of published codes, each beside its source: the limit has the number and names where it stands,
and the rule finds what is a hair nearer and not what is a hair farther.

The numbers are written here a second time, from the sources, and the spots are placed by hand: nothing is measured by
what is tested.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import all_but, checked, project
from specc_site import lanes, ways_out
from specc_site.lanes import HEIGHT
from specc_site.ways_out import DOOR

OTHERS = all_but("site", "plumbing")
HAIR = 0.02  # ft
# A cylinder in the middle, a relief valve 300 ft north of it, a store 300 ft south, an effect 300 ft west, and beside
# one of them, to its east, what it keeps away from.
SITE = """format: 1
project: {title: Beside the codes}
event: {name: Trial evening, dates: [2027-06-19], elevation: 420 ft}
places:
  middle: {at: [0 ft, 0 ft, 0 ft]}
  north: {at: [0 ft, 300 ft, 0 ft]}
  south: {kind: fuel_store, at: [0 ft, -300 ft]}
  west: {at: [-300 ft, 0 ft, 0 ft]}
  near: NEAR
effects: {glow: {kind: steady, outlets: [ring], at: west}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 20 lb, place: middle}
    relief: {kind: valve, form: relief, opens: 60 psi, place: north, vents: {way: up}}
    split: {kind: fitting, form: tee}
    ring: {kind: burner, form: ring, place: west, jets: {count: 24, bore: 1/16 in, discharge: 0.7}}
  runs: {main: {from: tank, line: [split, ring]}, vent: {from: split, line: [relief]}}
site: {north: 0 deg, stores: {spare: {place: south, count: 4, each: 20 lb ONE_EXIT}}}
"""
AT = {"tank": (0, 0), "relief": (0, 300), "spare": (0, -300), "glow": (-300, 0)}

_58 = "nfpa-58-2017-annex-i"
_61 = "ohio-ifc-61"
_USFA = "usfa-2019-07-26"
_EVENT = "florida-event-fuel"
# From what, to what kind of place, feet, by which rule and limit, and where the number stands: the reference, words of
# the place in it, and how it is known.
ROWS = [
    # NFPA 58-2017, figure I.1(a) and Table 6.3.4.3: 3 ft to an opening below, 5 ft to ignition sources.
    ("tank", "opening", 3, "cylinders_apart", "site.cylinder_to_opening", _58, "figure I.1(a)", "read"),
    ("tank", "ignition", 5, "cylinders_apart", "site.relief_to_ignition", _58, "6.3.4.3", "read"),
    ("tank", "generator", 5, "cylinders_apart", "site.relief_to_ignition", _58, "6.3.4.3", "read"),
    ("relief", "ignition", 5, "relief_discharge", "site.relief_to_ignition", _58, "6.3.4.3", "read"),
    ("spare", "generator", 5, "stores", "site.relief_to_ignition", _58, "6.3.4.3", "read"),
    # IFC Table 6104.3 as Ohio has it, containers under 125 gal of water: 5 ft to buildings and the property line.
    ("tank", "building", 5, "cylinders_apart", "site.cylinder_to_building", _61, "6104.3", "read"),
    ("tank", "property_line", 5, "cylinders_apart", "site.cylinder_to_property_line", _61, "6104.3", "read"),
    # That it counts for public ways too is from memory, and says so.
    ("tank", "public_way", 5, "cylinders_apart", "site.cylinder_to_public_way", _61, "6104.3", "memory"),
    # IFC 2015, 3104.16: 10 ft from tents for 500 gal or less.
    ("tank", "tent", 10, "cylinders_apart", "site.cylinder_to_tent", "ifc-2015-3104-16", "3104.16", "read"),
    ("relief", "tent", 10, "relief_discharge", "site.cylinder_to_tent", "ifc-2015-3104-16", "3104.16", "read"),
    # An event's fuel rules: 10 ft from public areas and vehicles.
    ("tank", "audience", 10, "cylinders_apart", "site.cylinder_to_people", _EVENT, "10 ft", "read"),
    ("tank", "vehicle", 10, "cylinders_apart", "site.cylinder_to_people", _EVENT, "10 ft", "read"),
    ("relief", "audience", 10, "relief_discharge", "site.cylinder_to_people", _EVENT, "10 ft", "read"),
    ("spare", "queue", 10, "stores", "site.store_to_people", _EVENT, "10 ft", "read"),
    ("spare", "vehicle", 10, "stores", "site.store_to_people", _EVENT, "10 ft", "read"),
    ("spare", "tent", 10, "stores", "site.store_to_people", _EVENT, "10 ft", "read"),
    ("spare", "exit", 10, "stores", "site.store_to_people", _EVENT, "10 ft", "read"),
    ("tank", "exit", 10, "cylinders_apart", "site.cylinder_to_people", _EVENT, "10 ft", "read"),
    ("relief", "exit", 10, "relief_discharge", "site.cylinder_to_people", _EVENT, "10 ft", "read"),
    ("relief", "opening", 5, "relief_discharge", "site.relief_to_ignition", _58, "6.3.4.3", "read"),
    ("relief", "combustible", 10, "relief_discharge", "site.cylinder_to_combustibles", _USFA, "combustibles", "read"),
    ("spare", "fuel_store", 100, "stores", "site.stores_apart", _EVENT, "100 ft", "read"),
    # United States Fire Administration, 720 lb or less awaiting use: 5, 10, 10 and 20 ft.
    ("spare", "opening", 5, "stores", "site.store_to_opening", _USFA, "720 lb", "read"),
    ("spare, one exit", "opening", 10, "stores", "site.store_to_only_exit", _USFA, "720 lb", "read"),
    ("spare", "combustible", 10, "stores", "site.store_to_combustibles", _USFA, "720 lb", "read"),
    ("spare", "fuel_dispenser", 20, "stores", "site.store_to_fuel_dispenser", _USFA, "720 lb", "read"),
    ("tank", "combustible", 10, "cylinders_apart", "site.cylinder_to_combustibles", _USFA, "combustibles", "read"),
    # Chicago, vendors' propane: 10 ft from appliances that give heat.
    ("spare", "effect", 10, "stores", "site.store_to_flame", "chicago-vendor-propane", "10 ft", "read"),
    # 41 Ill. Adm. Code 230.270(b): 10 ft to an overhead obstruction.
    ("glow", "wires", 10, "clear_height", "site.overhead", "illinois-41-230", "230.270(b)", "read"),
    # Habit of the trade, with no published source.
    ("tank", "low_place", 10, "cylinders_apart", "site.cylinder_to_low_place", "", "", "practice"),
    ("spare", "low_place", 10, "stores", "site.cylinder_to_low_place", "", "", "practice"),
]
IDS = [f"{start} to {kind}" for start, kind, *_ in ROWS]


def beside(folder: Path, start: str, kind: str, feet: float) -> Result:
    """The spec with a place of a kind so far to the east of something."""
    x, y = AT[start.split(",")[0]]
    one_exit = ", one_exit: true" if "," in start else ""
    if kind == "effect":
        near = f"{{at: [{x + feet} ft, {y} ft]}}"
    elif kind == "wires":
        near = f"{{kind: wires, line: [[{x + feet} ft, {y - 5} ft], [{x + feet} ft, {y + 5} ft]]}}"
    elif kind in ("property_line", "public_way"):
        near = f"{{kind: {kind}, line: [[{x + feet} ft, {y - 5} ft], [{x + feet} ft, {y + 5} ft]]}}"
    else:
        near = f"{{kind: {kind}, at: [{x + feet} ft, {y} ft]}}"
    text = SITE.replace("NEAR", near).replace(" ONE_EXIT", one_exit)
    if kind == "effect":
        text = text.replace("at: west}", "at: near}").replace("form: ring, place: west", "form: ring, place: near")
    return checked(project(folder, text), block=OTHERS)


@pytest.mark.parametrize(("start", "kind", "feet", "rule", "limit", "reference", "where", "basis"), ROWS, ids=IDS)
def test_a_hair_nearer_is_found_and_a_hair_farther_is_not(
    tmp_path: Path, start: str, kind: str, feet: float, rule: str, limit: str, reference: str, where: str, basis: str
) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "out").mkdir()
    inside = beside(tmp_path / "in", start, kind, feet - HAIR)
    outside = beside(tmp_path / "out", start, kind, feet + HAIR)
    named = "glow" if kind == "effect" else "near"
    found = [f for f in inside.findings if f.rule == f"site.{rule}" and named in f.message]
    assert found, [f.message for f in inside.findings]
    assert not [f for f in outside.findings if f.rule == f"site.{rule}" and named in f.message]
    shown = next(x for x in inside.limits if x.key == limit)
    assert shown.value is not None
    assert shown.value.si / 0.3048 == pytest.approx(feet)
    assert (shown.citation.reference, shown.citation.basis) == (reference, basis)
    assert where in shown.citation.where
    if reference:
        assert reference in {r.id for r in inside.references}


def test_relief_valves_of_the_plumbing_keep_ten_feet_from_flames(tmp_path: Path) -> None:
    """Twice what NFPA 58's table has for a cylinder's own: a regulator's opens in the middle of a show."""
    for feet, status in ((9.9, "failed"), (10.1, "passed")):
        (tmp_path / status).mkdir()
        text = SITE.replace("NEAR", "{at: [0 ft, 300 ft]}").replace(" ONE_EXIT", "")
        text = text.replace("west: {at: [-300 ft, 0 ft, 0 ft]}", f"west: {{at: [{feet} ft, 300 ft]}}")
        result = checked(project(tmp_path / status, text), block=OTHERS)
        found = [f for f in result.findings if f.rule == "site.relief_discharge" and "glow" in f.message]
        assert bool(found) == (status == "failed")


# What other rules hold, in the words of the source: the limit, its value, the reference and how it is known.
OTHER_NUMBERS = [
    # 29 CFR 1915.504(b): a fire watch stays 30 min; by analogy, as nothing was found for flame effects.
    ("operators.fire_watch", "30 min", "osha-1915-504", "read"),
    # IFC 2018, chapter 31: 20 ft from tents to other structures, vehicles and engines.
    ("site.tent_apart", "20 ft", "ifc-2018-minnesota", "read"),
    ("site.fire_lane_width", "20 ft", _EVENT, "read"),
    # Written for rooms: 20 ft between groups of manifolded cylinders.
    ("site.cylinder_groups_apart", "20 ft", _61, "reprint"),
    # IFC 2018 as Minnesota has it, chapter 10: width for each person on stairs, and standing space.
    ("site.exit_width_each", "0.3 in", "ifc-2018-minnesota", "read"),
    ("site.standing_space", "5 ft²", "ifc-2018-minnesota", "read"),
    ("extinguishers.high_flow_walk", "50 ft", "ifc-2018-minnesota", "read"),
    ("extinguishers.burn_water", "20 min", "burn-first-aid", "read"),
    ("operators.assistant_age", "18", "nfpa-160", "memory"),
    ("operators.rest", "8 h", "osha-extended-shifts", "memory"),
    ("operators.longest_day", "8 h", "osha-extended-shifts", "memory"),
    ("extinguishers.inspection_days", "30 d", "ifc-2018-minnesota", "read"),
    # A city's rule on outdoor fires, as no number was found for flame effects.
    ("operators.wind", "20 mph", "city-wind-rule", "reprint"),
    ("operators.operator_age", "21", "nfpa-160", "reprint"),
]


@pytest.mark.parametrize(("key", "value", "reference", "basis"), OTHER_NUMBERS)
def test_a_limit_has_the_number_of_its_source(tmp_path: Path, key: str, value: str, reference: str, basis: str) -> None:
    text = SITE.replace("NEAR", "{at: [1 ft, 1 ft]}").replace(" ONE_EXIT", "")
    shown = next(x for x in checked(project(tmp_path, text)).limits if x.key == key)
    assert shown.value is not None
    assert (shown.value.text, shown.citation.reference, shown.citation.basis) == (value, reference, basis)


@pytest.mark.parametrize(("pounds", "known"), [(419, True), (421, False)])
def test_a_container_larger_than_the_table_is_for_is_not_passed(tmp_path: Path, pounds: int, known: bool) -> None:
    """IFC Table 6104.3: under 125 gal of water, 1,042 lb of it, by 0.42 some 438 lb of propane; here it ends at 420."""
    text = (
        SITE.replace("NEAR", "{at: [1 ft, 1 ft]}")
        .replace(" ONE_EXIT", "")
        .replace("capacity: 20 lb", f"capacity: {pounds} lb")
    )
    result = checked(project(tmp_path, text), block=OTHERS)
    looked = next(r.looked for r in result.rules if r.id == "site.cylinders_apart")
    assert ("larger than the table" in looked) == (not known)


def test_numbers_from_memory_that_no_limit_holds_say_so_where_they_are_found() -> None:
    """The fire code's 503.2.1 (13 ft 6 in above a fire lane) and 1010.1.1 (a door 32 in clear); neither was read."""
    assert pytest.approx(13.5) == HEIGHT / 0.3048
    assert pytest.approx(32) == DOOR / 0.0254
    for module in (lanes, ways_out):
        assert "from memory)" in Path(module.__file__).read_text(encoding="utf-8")
