"""Solenoid valves that gas may press on from behind: what holds it, or says nothing of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, expected_in, findings_at, project, status_of

GOOD = Path(__file__).with_name("backward.yaml")
RULE = "control.holds_back"
BLOCK = all_but("control", "plumbing", "fuel")
HOLDS = ", holds_back: 45 psi}"
TEE = "    tee: {kind: fitting, form: tee}\n"
MAIN = "line: [sv1, tin, sv2, torch]}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    RULE: {
        # 30 psi, with what lock-up adds to it.
        "one that lifts": ((HOLDS, f", holds_back: 31 psi}} # expect: {RULE}"),),
    },
}


def before_tee(text: str) -> Patch:
    return (TEE, f"    {text}\n{TEE}")


def end(tmp_path: Path, *patches: Patch) -> tuple[str, str]:
    """How the rule ends, and what it looked at or could not check."""
    (one,) = (r for r in checked(project(tmp_path, GOOD, *patches), block=BLOCK).rules if r.id == RULE)
    return one.status, one.looked


def test_what_holds_passes_as_its_maker_says() -> None:
    assert status_of(GOOD, RULE, block=BLOCK) == "stated"


@pytest.mark.parametrize("what", list(BAD[RULE]))
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[RULE][what])
    assert {at: n for at, n in findings_at(spec, block=BLOCK).items() if at[2] == RULE} == dict(expected_in(spec))


def test_one_that_says_nothing_is_not_checked(tmp_path: Path) -> None:
    assert end(tmp_path, (HOLDS, "}")) == ("not checked", "holds_back: of sv1, which tin may press on from behind")


def test_a_check_valve_after_it_keeps_that_gas_away(tmp_path: Path) -> None:
    check = before_tee("cv: {kind: valve, form: check}")
    assert end(tmp_path, check, (HOLDS, "}"), (MAIN, "line: [sv1, cv, tin, sv2, torch]}"))[0] == "not applicable"
    # Before it, the check valve keeps nothing from its seat.
    assert end(tmp_path, check, (HOLDS, "}"), (MAIN, "line: [cv, sv1, tin, sv2, torch]}"))[0] == "not checked"


def test_another_supply_presses_on_it_too(tmp_path: Path) -> None:
    patches = (
        before_tee("tank2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in}"),
        ("    pr: {kind", "    pr2: {kind: regulator, set: 20 psi, highest: 40 psi}\n    pr: {kind"),
        ("    sv1: {kind", "    join: {kind: fitting, form: tee}\n    sv1: {kind"),
        ("    tin: {kind: accumulator, volume: 1 gal}\n", ""),
        (MAIN, "line: [sv1, join, sv2, torch]}\n    second: {from: tank2, line: [pr2, join]}"),
    )
    unsaid = end(tmp_path, *patches, (HOLDS, "}"))
    assert unsaid == ("not checked", "holds_back: of sv1, which pr2 may press on from behind")
    assert end(tmp_path, *patches, (HOLDS, ", holds_back: 5 psi}"))[0] == "failed"


def test_a_way_beside_it_from_the_same_tee_presses_on_nothing(tmp_path: Path) -> None:
    patches = (
        before_tee("by: {kind: valve, form: ball}"),
        ("    sv1: {kind", "    join: {kind: fitting, form: tee}\n    sv1: {kind"),
        ("    tin: {kind: accumulator, volume: 1 gal}\n", ""),
        (MAIN, "line: [sv1, join, sv2, torch]}\n    past: {from: tee, line: [by, join]}"),
    )
    assert end(tmp_path, *patches, (HOLDS, "}"))[0] == "not applicable"
