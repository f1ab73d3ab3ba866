"""Rules on what one failure lets through."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, expected_in, findings_at, project, result_of, status_of

GOOD = Path(__file__).with_name("faults.yaml")
ONE, BURST = "plumbing.one_failure", "plumbing.burst_closures"
SV1 = "sv1: {kind: valve, form: solenoid, normally: closed, cv: 3, driven_by: {relay: k1}}"
SV2 = "sv2: {kind: valve, form: solenoid, normally: closed, cv: 3, driven_by: {relay: k2}}"
TANK = "tank: {kind: cylinder, capacity: 20 lb, place: shed}"
NOZZLE = "nozzle: {kind: burner, form: nozzle, jets: {count: 1, bore: 3/8 in, discharge: 0.8}}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    ONE: {
        "every valve at one place": (
            ("v2: {kind: valve, form: ball, place: mast}", "v2: {kind: valve, form: ball, place: shed}"),
            (TANK, f"{TANK} # expect: {ONE}"),
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
}


def test_the_good_spec_passes() -> None:
    result = result_of(GOOD)
    assert {r: status_of(result, r) for r in (ONE, BURST)} == {ONE: "passed", BURST: "passed"}


@pytest.mark.parametrize(("rule", "what"), [(rule, what) for rule, bad in BAD.items() for what in bad])
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    own = {at: n for at, n in findings_at(spec).items() if at[2] in (ONE, BURST)}
    assert own == dict(expected_in(spec))


def test_what_moves_a_valve_and_is_not_said_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (", driven_by: {relay: k2}", ""))
    assert status_of(result_of(spec), BURST) == "not checked"


def test_whether_a_valve_drops_shut_and_is_not_said_is_not_checked(tmp_path: Path) -> None:
    bare = SV2.replace("normally: closed, ", "")
    assert status_of(result_of(project(tmp_path, GOOD, (SV2, bare))), BURST) == "not checked"


def test_arm_on_one_and_fire_on_the_other_passes_and_one_button_on_both_does_not(tmp_path: Path) -> None:
    assert (
        status_of(
            result_of(project(tmp_path, GOOD, ("relay: k1", "contact: arm"), ("relay: k2", "contact: fire"))), BURST
        )
        == "passed"
    )
    spec = project(tmp_path, GOOD, ("relay: k1", "contact: fire"), ("relay: k2", "contact: fire"))
    assert status_of(result_of(spec), BURST) == "found"
