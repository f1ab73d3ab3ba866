"""Wires reach from one thing that has a place to the next, or are found too short, or not checked."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, findings_of, project, result_of, status_of

OTHERS = all_but("control", "plumbing", "core")
RULE = "control.wire_lengths"
# The valve is 30 ft east and 40 ft north of the desk and 12 ft above it: 50 ft on the level, 51.4 ft straight.
DESK_AND_VALVE = """format: 1
project: {title: Far Valve}
event: {name: Test night, dates: [2027-06-19], elevation: 500 ft}
places: {desk: {at: [0 ft, 0 ft, 3 ft]}, mast: {at: [30 ft, 40 ft, 15 ft]}, yard: {note: not measured}}
plumbing:
  parts:
    tank: {kind: cylinder, capacity: 20 lb}
    sv: {kind: valve, form: solenoid, normally: closed, place: mast}
    torch: {kind: burner, form: open_end}
  runs:
    main: {from: tank, line: [sv, torch]}
control:
  parts:
    bat: {kind: battery, voltage: 12 V, place: desk}
    f: {kind: fuse, rating: 3 A, place: desk}
    key: {kind: key, place: desk}
    w: {kind: wire, length: 52 ft, size: 16 AWG}
    c: {kind: coil, valve: sv, voltage: 12 V, power: 10 W}
  lines:
    one: [bat+, f, key, w, c, bat-]
"""


def ended(tmp_path: Path, *patches: Patch) -> tuple[str, tuple[str, ...]]:
    spec = project(tmp_path, DESK_AND_VALVE, *patches)
    made = result_of(spec, block=OTHERS)
    return status_of(made, RULE), tuple(f.message for f in made.findings if f.rule == RULE)


def test_a_wire_that_reaches_passes(tmp_path: Path) -> None:
    assert ended(tmp_path) == ("passed", ())


def test_what_a_valve_lies_higher_counts(tmp_path: Path) -> None:
    status, said = ended(tmp_path, ("length: 52 ft", "length: 51 ft"))
    assert status == "failed"
    assert said == ("w is 51 ft, and the straight line from desk to mast is 51.4 ft: 0.42 ft too short",)


def test_feet_typed_for_meters_is_found(tmp_path: Path) -> None:
    status, _ = ended(tmp_path, ("at: [30 ft, 40 ft, 15 ft]", "at: [30 m, 40 m, 15 ft]"))
    assert status == "failed"


JOINED: tuple[Patch, ...] = (
    ("    w: {kind", "    v: {kind: wire, length: 30 ft, size: 16 AWG}\n    joint: {kind: plug}\n    w: {kind"),
    ("key, w, c", "key, w, joint, v, c"),
)


@pytest.mark.parametrize(("length", "status"), [("22 ft", "passed"), ("21 ft", "failed")])
def test_two_cords_and_the_plug_between_count_together(length: str, status: str, tmp_path: Path) -> None:
    assert ended(tmp_path, *JOINED, ("length: 52 ft", f"length: {length}"))[0] == status


def test_each_cord_reaches_to_a_plug_that_has_its_place(tmp_path: Path) -> None:
    """Both together are long enough, and one of them is not."""
    patches = (*JOINED, ("{kind: plug}", "{kind: plug, place: mast}"), ("length: 52 ft", "length: 22 ft"))
    assert ended(tmp_path, *patches)[0] == "failed"


def test_a_wire_on_to_another_line_is_followed(tmp_path: Path) -> None:
    patches = (("one: [bat+, f, key, w, c, bat-]", "one: [bat+, f, key, armed]\n    two: [armed, w, c, bat-]"),)
    assert ended(tmp_path, *patches)[0] == "passed"
    assert ended(tmp_path, *patches, ("length: 52 ft", "length: 25 ft"))[0] == "failed"


BOX: tuple[Patch, ...] = (
    ("control:\n  parts", "control:\n  place: desk\n  parts"),
    *((f"{told}, place: desk", told) for told in ("voltage: 12 V", "rating: 3 A", "kind: key")),
)


@pytest.mark.parametrize(("length", "status"), [("22 ft", "passed"), ("21 ft", "failed")])
def test_a_plug_is_not_in_the_box_that_the_rest_is_in(length: str, status: str, tmp_path: Path) -> None:
    assert ended(tmp_path, *BOX, *JOINED, ("length: 52 ft", f"length: {length}"))[0] == status


def test_a_coil_is_not_in_the_box_where_its_valve_has_no_place(tmp_path: Path) -> None:
    """A wire of one foot passed."""
    assert ended(tmp_path, *BOX, ("length: 52 ft", "length: 1 ft"))[0] == "failed"
    nowhere = (", place: mast}", "}")
    assert ended(tmp_path, *BOX, ("length: 52 ft", "length: 1 ft"), nowhere)[0] == "not checked"


@pytest.mark.parametrize(
    ("patch", "said"),
    [
        ((", size: 16 AWG}", ", size: 16 AWG, ways: 1}"), "by which wire c at mast is joined to bat at desk"),
        (("key, w, c", "key, c"), "by which wire"),
        (("length: 52 ft, size", "size"), "how long w is"),
        (("place: mast}", "place: yard}"), "where what w joins has its place"),
        (("closed, place: mast}", "closed}"), "where what w joins has its place"),
    ],
)
def test_what_is_not_said_is_not_checked(patch: Patch, said: str, tmp_path: Path) -> None:
    made = result_of(project(tmp_path, DESK_AND_VALVE, patch), block=OTHERS)
    (rule,) = [r for r in made.rules if r.id == RULE]
    assert rule.status == "not checked"
    assert said in rule.looked


@pytest.mark.parametrize(("back", "status"), [("52 ft", "passed"), ("5 ft", "failed")])
def test_a_return_of_its_own_is_a_wire_too(back: str, status: str, tmp_path: Path) -> None:
    single = f", ways: 1}}\n    back: {{kind: wire, length: {back}, size: 16 AWG, ways: 1}}"
    assert ended(tmp_path, (", size: 16 AWG}", f", size: 16 AWG{single}"), ("c, bat-", "c, back, bat-"))[0] == status


def test_the_length_that_is_told_passes(tmp_path: Path) -> None:
    (found,) = findings_of(project(tmp_path, DESK_AND_VALVE, ("length: 52 ft", "length: 8 ft")), RULE, block=OTHERS)
    assert found.cure is not None
    assert [edit for _, edit in found.cure.edits] == ["52 ft"]
