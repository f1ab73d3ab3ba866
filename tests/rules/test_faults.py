"""Rules on what one failure lets through."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.kinds.faults import RELEASES
from specc.testing import (
    Patch,
    checked,
    expected_in,
    findings_at,
    findings_of,
    plugin_file,
    project,
    result_of,
    status_of,
)

GOOD = Path(__file__).with_name("faults.yaml")
ONE, BURST, DOWN = "plumbing.one_failure", "plumbing.burst_closures", "plumbing.let_down"
SOURCE, SECOND = "plumbing.source_valve", "plumbing.second_shutoff"
SHUT, LIQUID = "plumbing.shut_in", "fuel.trapped_liquid"
HOSE = "h1: {kind: hose, bore: 1/4 in, length: 30 ft}"
SV1 = "sv1: {kind: valve, form: solenoid, normally: closed, cv: 3, driven_by: {relay: k1}}"
SV2 = "sv2: {kind: valve, form: solenoid, normally: closed, cv: 3, driven_by: {relay: k2}}"
TANK = "tank: {kind: cylinder, capacity: 20 lb, withdrawal: vapor, place: shed}"
ACC = "acc: {kind: accumulator, volume: 2 gal}"
NOZZLE = "nozzle: {kind: burner, form: nozzle, jets: {count: 1, bore: 3/8 in, discharge: 0.8}}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    ONE: {
        "every valve at one place": (
            ("v2: {kind: valve, form: ball, place: mast}", "v2: {kind: valve, form: ball, place: shed}"),
            (TANK, f"{TANK} # expect: {ONE}, {SECOND}"),
        ),
    },
    BURST: {
        "one relay for both": ((SV1, f"{SV1} # expect: {BURST}"), ("relay: k2", "relay: k1")),
        "one coil's valve alone": (
            ("acc, sv1, sv2, nozzle", "acc, sv1, nozzle"),
            # it sticks, and its relay welds
            (SV1, f"{SV1} # expect: {BURST}, {BURST}"),
            (f"    {SV2}\n", ""),
        ),
        "one of them opens when power is lost": ((SV2, f"{SV2.replace('closed', 'open')} # expect: {BURST}"),),
        "both open when power is lost": (
            (SV1, f"{SV1.replace('closed', 'open')} # expect: {BURST}"),
            (SV2, f"{SV2.replace('closed', 'open')} # expect: {BURST}"),
            (NOZZLE, f"{NOZZLE} # expect: {BURST}"),
        ),
        "hand valves alone": (
            ("acc, sv1, sv2, nozzle", "acc, nozzle"),
            (f"    {SV1}\n    {SV2}\n", ""),
            (NOZZLE, f"{NOZZLE} # expect: {BURST}"),
        ),
    },
    SOURCE: {
        "the first valve 30 ft off": (
            ("v1: {kind: valve, form: ball, place: shed}", "v1: {kind: valve, form: ball, place: mast}"),
            (TANK, f"{TANK} # expect: {SOURCE}"),
        ),
        "a needle valve there": (
            ("v1: {kind: valve, form: ball, place: shed}", "v1: {kind: valve, form: needle, place: shed}"),
            ("pr1, h1, v2", "h9, pr1, h1, v2"),
            (HOSE, "\n    ".join([HOSE, HOSE.replace("h1:", "h9:")])),
            (TANK, f"{TANK} # expect: {SOURCE}"),
        ),
        "behind a second hose": (
            ("v1: {kind: valve, form: ball, place: shed}", "v1: {kind: valve, form: ball, place: mast}"),
            ("line: [v1, pr1, h1", "line: [h8, pr1, h9, v1, h1"),
            (HOSE, "\n    ".join([HOSE, HOSE.replace("h1:", "h8:"), HOSE.replace("h1:", "h9:")])),
            (TANK, f"{TANK} # expect: {SOURCE}"),
        ),
        "at the end of a pipe of 20 ft": (
            (
                "v1: {kind: valve, form: ball, place: shed}",
                "v1: {kind: valve, form: ball, place: mast}\n"
                "    p9: {kind: pipe, length: 20 ft, size: 1/4 NPT, schedule: 40}",
            ),
            ("line: [v1, pr1", "line: [p9, v1, pr1"),
            (TANK, f"{TANK} # expect: {SOURCE}"),
        ),
        "one of two cylinders without": (
            (TANK, f"{TANK}\n    {TANK.replace('tank:', 'tank_2:')} # expect: {SOURCE}"),
            ("line: [v1, pr1", "line: [v1, m1, pr1"),
            ("    light: {from", "    other: {from: tank_2, line: [m1]}\n    light: {from"),
            (HOSE, f"{HOSE}\n    m1: {{kind: fitting, form: manifold}}"),
        ),
    },
    SECOND: {
        "5 ft from the first": (
            ("mast: {at: [30 ft, 0 ft]}", "mast: {at: [5 ft, 0 ft]}"),
            (TANK, f"{TANK} # expect: {SECOND}"),
        ),
        "none for the pilot": (
            ("v1, pr1, h1, v2, tee", "v1, pr1, h1, tee, v2"),
            (TANK, f"{TANK} # expect: {SECOND}, {ONE}"),
        ),
    },
    SHUT: {
        "a hose with nothing open by hand behind it": (
            ("    light: {from: tee, line: [fo, pilot]}\n", ""),
            (HOSE, f"{HOSE} # expect: {SHUT}"),
            (ACC, f"{ACC} # expect: {DOWN}"),
        ),
    },
    LIQUID: {
        "a dip tube, and a hose between two valves": (
            (TANK, TANK.replace("withdrawal: vapor", "withdrawal: liquid")),
            ("line: [v1, pr1", "line: [v1, h0, v0, pr1"),
            (
                HOSE,
                f"{HOSE}\n    h0: {{kind: hose, bore: 1/4 in, length: 3 ft}} # expect: {LIQUID}\n"
                "    v0: {kind: valve, form: ball, place: mast}",
            ),
        ),
    },
    DOWN: {
        "a check valve ahead of it": (
            ("v2, tee, acc", "v2, tee, cv, acc"),
            (f"    {ACC}", f"    cv: {{kind: valve, form: check}}\n    {ACC} # expect: {DOWN}"),
        ),
        "a plug without a valve": (
            ("v2, tee, acc", "v2, tee, cv, acc"),
            ("  runs:\n", "  runs:\n    bleed: {from: acc, line: [pl]}\n"),
            (
                f"    {ACC}",
                "    cv: {kind: valve, form: check}\n    pl: {kind: fitting, form: plug}\n"
                f"    {ACC} # expect: {DOWN}",
            ),
        ),
        "by a solenoid valve alone": (
            ("v2, tee, acc", "v2, tee, cv, acc"),
            ("  runs:\n", "  runs:\n    bleed: {from: acc, line: [sv3, pl]}\n"),
            (
                f"    {ACC}",
                "    cv: {kind: valve, form: check}\n    pl: {kind: fitting, form: plug}\n"
                f"    sv3: {{kind: valve, form: solenoid, normally: closed}}\n    {ACC} # expect: {DOWN}",
            ),
        ),
    },
}


def test_the_good_spec_passes() -> None:
    result = checked(GOOD)
    assert {r: status_of(result, r) for r in BAD} == dict.fromkeys(BAD, "passed") | {
        LIQUID: "not applicable",
        BURST: "stated",
        ONE: "authority to decide",
    }


def test_with_a_quarter_turn_valve_behind_its_accumulator_nothing_is_asked(tmp_path: Path) -> None:
    (asked,) = (r for r in checked(GOOD).rules if r.id == ONE)
    assert asked.looked == "Only sv1, sv2 hold acc back from nozzle: is that enough?"
    parted = ("acc, sv1,", "acc, v9, sv1,")
    part = (
        "    acc: {",
        "    v9: {kind: valve, form: ball, normally: closed, place: mast}\n    acc: {",
    )
    (left,) = (r for r in checked(project(tmp_path, GOOD, parted, part)).rules if r.id == ONE)
    assert left.looked == "nobody is posted anywhere, so whose hand is elsewhere is not known"
    # A needle valve is none: nobody shuts it in one move.
    needle = (part[0], part[1].replace("form: ball", "form: needle"))
    assert status_of(project(tmp_path, GOOD, parted, needle), ONE) == "authority to decide"


@pytest.mark.parametrize(("rule", "what"), [(rule, what) for rule, bad in BAD.items() for what in bad])
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    own = {at: n for at, n in findings_at(spec).items() if at[2] in BAD}
    assert own == dict(expected_in(spec))


def test_what_moves_a_valve_and_is_not_said_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (", driven_by: {relay: k2}", ""))
    assert status_of(checked(spec), BURST) == "not checked"


def test_a_bleed_with_a_plug_that_comes_off_lets_it_down(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        ("v2, tee, acc", "v2, tee, cv, acc"),
        ("  runs:\n", "  runs:\n    bleed: {from: acc, line: [bl, pl]}\n"),
        (
            f"    {ACC}",
            "    cv: {kind: valve, form: check}\n    pl: {kind: fitting, form: plug}\n"
            f"    bl: {{kind: valve, form: needle}}\n    {ACC}",
        ),
    )
    assert status_of(checked(spec), DOWN) == "passed"


def test_a_valve_at_the_end_of_its_own_hose_is_the_source_s_and_what_is_ahead_is_said(tmp_path: Path) -> None:
    """Cylinder, regulator, hose, then the quarter-turn valve."""
    spec = project(
        tmp_path,
        GOOD,
        ("v1: {kind: valve, form: ball, place: shed}", "v1: {kind: valve, form: ball, place: mast}"),
        ("line: [v1, pr1, h1, v2", "line: [pr1, h1, v1, v2"),
    )
    (rule,) = (r for r in result_of(spec, only=(f"rule {SOURCE}",)).rules if r.id == SOURCE)
    assert rule.status == "passed"
    assert "tank's own valve alone stops pr1, h1" in str(rule) or "pr1 and h1" in str(rule)


def test_a_cylinder_that_stands_nowhere_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (TANK, "tank: {kind: cylinder, capacity: 20 lb, withdrawal: vapor}"))
    result = checked(spec)
    assert {r: status_of(result, r) for r in (ONE, SECOND)} == dict.fromkeys((ONE, SECOND), "not checked")
    assert status_of(result, SOURCE) == "passed"  # nothing lies between it and its valve


def test_how_far_off_a_shutoff_is_takes_coordinates(tmp_path: Path) -> None:
    result = checked(project(tmp_path, GOOD, ("mast: {at: [30 ft, 0 ft]}", "mast: {note: by the hedge}")))
    assert (status_of(result, SOURCE), status_of(result, SECOND)) == ("passed", "not checked")


def test_whether_a_valve_drops_shut_and_is_not_said_is_not_checked(tmp_path: Path) -> None:
    bare = SV2.replace("normally: closed, ", "")
    assert status_of(checked(project(tmp_path, GOOD, (SV2, bare))), BURST) == "not checked"


def test_arm_on_one_and_fire_on_the_other_passes_and_one_button_on_both_does_not(tmp_path: Path) -> None:
    assert (
        status_of(
            checked(project(tmp_path, GOOD, ("relay: k1", "contact: arm"), ("relay: k2", "contact: fire"))), BURST
        )
        == "stated"
    )
    spec = project(tmp_path, GOOD, ("relay: k1", "contact: fire"), ("relay: k2", "contact: fire"))
    assert status_of(checked(spec), BURST) == "failed"


def test_liquid_is_shut_in_by_valves_that_no_emergency_names(tmp_path: Path) -> None:
    """Both stand at one place, where closing the first is enough; somebody closes both."""
    spec = project(
        tmp_path,
        GOOD,
        (TANK, TANK.replace("withdrawal: vapor", "withdrawal: liquid")),
        ("line: [v1, pr1", "line: [v1, h0, v0, pr1"),
        (HOSE, f"{HOSE}\n    h0: {{kind: hose, bore: 1/4 in, length: 3 ft}}\n"
         "    v0: {kind: valve, form: ball, place: shed}"),
    )  # fmt: skip
    assert status_of(checked(spec), LIQUID) == "failed"


def test_liquid_with_a_relief_valve_between_passes_and_what_a_cylinder_gives_has_to_be_said(tmp_path: Path) -> None:
    liquid = (TANK, TANK.replace("withdrawal: vapor", "withdrawal: liquid"))
    relieved = (
        liquid,
        ("line: [v1, pr1", "line: [v1, t0, h0, v0, pr1"),
        ("    light: {from", "    r: {from: t0, line: [rv]}\n    light: {from"),
        (HOSE, f"{HOSE}\n    h0: {{kind: hose, bore: 1/4 in, length: 3 ft, rating: 500 psi}}\n"
         "    t0: {kind: fitting, form: tee, rating: 600 psi}\n"
         "    rv: {kind: valve, form: relief, opens: 400 psi}\n    v0: {kind: valve, form: ball, place: mast}"),
    )  # fmt: skip
    assert status_of(checked(project(tmp_path, GOOD, *relieved)), LIQUID) == "passed"
    for change, status in ((("opens: 400 psi", "opens: 550 psi"), "failed"), ((", opens: 400 psi", ""), "not checked"),
                           ((", rating: 500 psi", ""), "not checked")):  # fmt: skip
        assert status_of(checked(project(tmp_path, GOOD, *relieved, change)), LIQUID) == status, change
    unsaid = (TANK, TANK.replace("withdrawal: vapor, ", ""))
    assert status_of(checked(project(tmp_path, GOOD, unsaid)), LIQUID) == "not checked"


def test_liquid_fills_what_another_cylinder_feeds_and_fittings_too(tmp_path: Path) -> None:
    """Both ways through the tee, up to a check valve that holds it back."""
    spec = (
        (TANK, f"{TANK}\n    wet: {{kind: cylinder, capacity: 20 lb, withdrawal: liquid, place: shed}}\n"
         "    va: {kind: valve, form: ball, place: shed}\n    vw: {kind: valve, form: ball, place: shed}\n"
         "    hd: {kind: hose, bore: 1/4 in, length: 3 ft}\n    t0: {kind: fitting, form: tee}"),
        ("line: [v1, pr1", "line: [hd, va, t0, v1, pr1"),
        ("    light: {from", "    other: {from: wet, line: [vw, t0]}\n    light: {from"),
    )  # fmt: skip
    told = [f.message.split(",")[0] for f in findings_of(project(tmp_path, GOOD, *spec), LIQUID)]
    assert told == ["liquid is shut in hd by tank", "liquid is shut in t0 by va"]
    check = (*spec, ("line: [hd, va, t0", "line: [hd, cv, t0"), ("    va:", "    cv:"),
             ("form: ball, place: shed}\n    vw", "form: check}\n    vw"))  # fmt: skip
    told = [f.message.split(",")[0] for f in findings_of(project(tmp_path, GOOD, *check), LIQUID)]
    assert told == ["liquid is shut in t0 by cv"]


@pytest.mark.parametrize(("round_it", "by"), [("hv", "hv"), ("hh", "hh"), ("t9", "t9")])
def test_a_way_round_the_closures_of_a_burst_is_named(tmp_path: Path, round_it: str, by: str) -> None:
    spec = project(
        tmp_path,
        GOOD,
        ("sv1, sv2, nozzle]", "sv1, sv2, nz, nozzle]"),
        ("    light: {from", f"    by: {{from: acc, line: [{round_it}, nz]}}\n    light: {{from"),
        (f"    {ACC}", "    hv: {kind: valve, form: ball}\n    hh: {kind: hose, bore: 1/4 in, length: 3 ft}\n"
         f"    t9: {{kind: fitting, form: tee}}\n    nz: {{kind: fitting, form: tee}}\n    {ACC}"),
    )  # fmt: skip
    (found,) = findings_of(spec, BURST)
    assert found.message == f"with no power gas still reaches nozzle: a way goes round sv1, sv2, by {by}"


ALONE = (
    ("v2, tee, acc", "v2, tee, vb, acc"),
    (f"    {ACC}", f"    vb: {{kind: valve, form: ball, place: mast}}\n    {ACC}"),
)


@pytest.mark.parametrize(
    ("patches", "status"),
    [
        ((), "failed"),  # v2 feeds the pilot too
        (ALONE, "passed"),
        ((*ALONE, ("vb: {kind: valve, form: ball", "vb: {kind: valve, form: check")), "failed"),
        # Another way in past it.
        ((*ALONE, ("    light: {from", "    in: {from: h1, line: [v9, acc]}\n    light: {from"),
          (f"    {ACC}", f"    v9: {{kind: valve, form: solenoid, normally: closed}}\n    {ACC}")), "failed"),
        # With no flame but the burst, any valve ahead of it is its own.
        ((("    light: {from: tee, line: [fo, pilot]}\n", ""),), "passed"),
    ],
)  # fmt: skip
def test_what_fills_a_burst_has_a_hand_valve_of_its_own(
    tmp_path: Path, patches: tuple[Patch, ...], status: str
) -> None:
    assert status_of(checked(project(tmp_path, GOOD, *patches)), "plumbing.burst_valve") == status


WALKS = """
from specc import *
from specc.kinds.faults import CLOSING_TIMES, ClosingTime
from specc.model.values import Constant
SPECC_CONTRACT = 2
@gather(CLOSING_TIMES)
def walks(ctx):
    tags = ("tank", "v1", "v2")
    walk = {walk}
    return [ClosingTime(t, walk, "ash", "box", n) for n, t in enumerate(tags)]
@hookimpl
def specc_passes():
    return [walks]
"""


def test_what_nobody_gets_to_runs_for_five_minutes(tmp_path: Path) -> None:
    def lasts(walk: str) -> float:
        toy = plugin_file(tmp_path, f"walks_{len(walk)}", WALKS.format(walk=walk))
        own = [i.item for i in result_of(GOOD, plugins=(toy,)).items(RELEASES.name)]
        return max(r.duration.si for r in own if r.fault == "h1.parted" and r.duration)  # type: ignore[attr-defined]

    alone = [i.item for i in result_of(GOOD).items(RELEASES.name)]
    reaction = max(r.duration.si for r in alone if r.fault == "h1.parted" and r.duration)  # type: ignore[attr-defined]
    assert lasts("Constant(5.0, 'duration', '5 s', CHOICE)") == pytest.approx(reaction + 5.0)
    assert lasts("None") == 300.0
