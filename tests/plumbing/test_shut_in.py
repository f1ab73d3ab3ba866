"""What stays shut in after a stop, how much of it there is, and what lets it down."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from specc.drawing.shapes import Drawing, Polygon, Text
from specc.measure.units import POUND
from specc.model.blocks import Table
from specc.model.result import Result
from specc.testing import project, result_of, status_of

GOOD = Path(__file__).parents[1] / "rules" / "faults.yaml"
REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"


def rows(result: Result) -> list[tuple[str, ...]]:
    table = dict(result.tables)["plumbing.shut_in_gas"]
    assert isinstance(table, Table)
    return [row.cells for row in table.rows]


@pytest.fixture(scope="module")
def reeds(complete: Callable[[str], Result]) -> Result:
    return complete("lantern_reeds")


def test_in_the_reeds_the_accumulator_is_let_down_by_its_bleed_and_the_lines_by_their_valves(reeds: Result) -> None:
    told = [(r[0], r[1], r[5]) for r in rows(reeds)]
    assert told == [
        ("end of a night", "h2, acc1", "v_d (v_d+1 taken out first)"),
        # What stands behind the reeds' regulator does not come back through it to the bleed.
        ("emergency, leak", "h1, m1", "v_p, out at pilot_1"),
        ("emergency, leak", "h2, acc1", "v_d (v_d+1 taken out first)"),
        # Between v1, shut at once, and the reeds' valves, shut where they can be reached.
        ("emergency, leak", "m2", "v_r1, out at stem_1"),
        ("emergency, leak", "h_a", "v_a, then v_p, out at pilot_1"),
        ("emergency, leak", "h_b", "v_b, then v_p, out at pilot_1"),
        # The cylinders still feed it: nobody has closed anything.
        ("power lost", "h2, acc1", "v2 closed first, then v_d (v_d+1 taken out first)"),
    ]


def test_two_gallons_at_34_psi_hold_a_tenth_of_a_pound_and_make_a_cubic_meter_flammable(reeds: Result) -> None:
    """By hand for the accumulator alone, at 46 °F: 0.0076 m3 x 5.9 kg/m3 = 0.045 kg; over 1.9 kg/m3 and 2.1 %: 1.1 m3.
    The hoses add the rest."""
    gas = reeds.figure("fuel.shut_in_gas.emergency.acc1")
    cloud = reeds.figure("fuel.shut_in_cloud.emergency.acc1")
    assert gas is not None
    assert cloud is not None
    assert gas.si == pytest.approx(0.045, rel=0.4)
    assert 0.11 * POUND < gas.si < 0.15 * POUND
    assert cloud.si == pytest.approx(gas.si / (1.88 * 0.021), rel=0.02)
    fired = reeds.figure("fuel.shut_in_gas.normal.acc1")
    assert fired is not None
    assert fired.si < gas.si / 2


def test_what_is_open_to_a_pilot_runs_out_there(tmp_path: Path) -> None:
    """Only the hose between the two hand valves is shut in, and the second lets it down."""
    assert [(r[0], r[1], r[5]) for r in rows(result_of(GOOD))] == [("emergency, leak", "h1", "v2, out at pilot")]
    # A check valve ahead of the accumulator, and no bleed: its gas goes nowhere without power.
    check = (("v2, tee, acc", "v2, tee, cv, acc"), ("    acc: {", "    cv: {kind: valve, form: check}\n    acc: {"))
    told = [(r[0], r[1], r[5]) for r in rows(result_of(project(tmp_path, GOOD, *check)))]
    assert told == [
        ("end of a night", "acc", "nothing by hand"),
        ("emergency, leak", "h1", "v2, out at pilot"),
        ("emergency, leak", "acc", "nothing by hand"),
        ("power lost", "acc", "v2 closed first, then nothing by hand"),
    ]


def test_an_accumulator_is_let_down_where_by_whom_and_in_a_time_that_follows_from_the_bleed(reeds: Result) -> None:
    """By hand: 0.0073 m3 and 45 ft of hose at 34 psig hold 0.054 kg; a Cv of 0.05 passes 0.0012 kg/s at first, so a
    time constant of 45 s, and 34 psig is two of them above 0.5 psig."""
    table = dict(reeds.tables)["plumbing.letting_down"]
    assert isinstance(table, Table)
    assert [row.cells[:5] for row in table.rows] == [
        ("acc1", "end of a night", "v_d (v_d+1 taken out first)", "accumulator_stand", "valve operator"),
        ("acc1", "emergency, leak", "v_d (v_d+1 taken out first)", "accumulator_stand", "valve operator"),
        (
            "acc1",
            "power lost",
            "v2 closed first, then v_d (v_d+1 taken out first)",
            "accumulator_stand",
            "valve operator",
        ),
    ]
    whole, fired = (reeds.figure(f"fuel.let_down_time.{stop}.acc1") for stop in ("emergency", "normal"))
    assert whole is not None
    assert fired is not None
    assert 45 < whole.si < 135
    assert fired.si < whole.si / 2
    assert "never carried charged" in table.note


def test_how_long_is_not_computed_where_the_bleed_does_not_say_what_it_passes(tmp_path: Path) -> None:
    bleed = (("    acc: {", "    bl: {kind: valve, form: needle, place: mast}\n    acc: {"),
             ("    acc: {", "    pl: {kind: fitting, form: plug}\n    acc: {"),
             ("  runs:\n", "  runs:\n    bleed: {from: acc, line: [bl, pl]}\n"),
             ("v2, tee, acc", "v2, tee, cv, acc"),
             ("    tee: {", "    cv: {kind: valve, form: check}\n    tee: {"))  # fmt: skip
    table = dict(result_of(project(tmp_path, GOOD, *bleed)).tables)["plumbing.letting_down"]
    assert isinstance(table, Table)
    assert {row.cells[-1] for row in table.rows} == {"not computed: cv: of bl"}


BLEED = (("    acc: {", "    bl: {kind: valve, form: needle, cv: 0.05, place: mast}\n    acc: {"),
         ("    acc: {", "    pl: {kind: fitting, form: plug}\n    acc: {"),
         ("  runs:\n", "  runs:\n    bleed: {from: acc, line: [bl, pl]}\n"),
         ("v2, tee, acc", "v2, tee, cv, acc"),
         ("    tee: {", "    cv: {kind: valve, form: check}\n    tee: {"))  # fmt: skip


def test_a_bleed_into_an_open_nipple_stands_shut_until_it_is_opened(tmp_path: Path) -> None:
    """It was taken to drain the accumulator by itself at the end of a night."""
    spec = project(tmp_path, GOOD, *BLEED, ("form: plug", "form: nipple"))
    told = {(r[0], r[5]) for r in rows(result_of(spec)) if r[1] == "acc"}
    assert told == {("end of a night", "bl"), ("emergency, leak", "bl"), ("power lost", "v2 closed first, then bl")}


def test_a_plug_ahead_of_a_bleed_holds_the_gas(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, GOOD, *BLEED, ("line: [bl, pl]", "line: [pl, bl]")))
    assert {r[5].removeprefix("v2 closed first, then ") for r in rows(result) if r[1] == "acc"} == {"nothing by hand"}
    assert status_of(result, "plumbing.let_down") == "failed"


def test_a_manifold_between_closed_valves_stays_charged(tmp_path: Path) -> None:
    """Computed with its bore and length; without them nobody knows how much it holds."""
    long = ("form: manifold}", "form: manifold, bore: 2 in, length: 3 ft}")
    ahead = (
        ("line: [v1, pr1", "line: [v1, man, v0, pr1"),
        (
            "    tee: {",
            "    man: {kind: fitting, form: manifold}\n    v0: {kind: valve, form: ball, place: shed}\n    tee: {",
        ),
    )
    for patches, known in ((ahead, False), ((*ahead, long), True)):
        told = [r for r in rows(result_of(project(tmp_path, GOOD, *patches))) if r[1] == "man"]
        assert [r[5] for r in told] == ["v0, then v2, out at pilot"] * len(told)
        assert told
        assert all((r[3] == "not computed") != known for r in told)


def test_the_schematic_hatches_what_stays_charged_and_says_so(reeds: Result) -> None:
    drawing = dict(reeds.drawings)["plumbing"]
    assert isinstance(drawing, Drawing)
    hatched = [s for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Polygon) and s.hatch]
    charged = {tag for row in rows(reeds) if row[0] != "power lost" for tag in row[1].split(", ")}
    # What is alike is drawn once, under all its tags: "h_a, h_b".
    names = {s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text)}
    drawn = [name for name in names if charged & {*name.split(", ")}]
    assert {tag for name in drawn for tag in name.split(", ")} == charged
    assert len(hatched) == len(drawn)
    assert "hatched: stays charged" in drawing.note
