"""Numbers that no device has, on a good spec and on bad ones, as in test_rules."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, project, status_of

GOOD = Path(__file__).with_name("fuel_flow.yaml")
OTHERS = all_but("plumbing")
RULE = "plumbing.plausible"
MARK = f" # expect: {RULE}"
SLIT = "jets: {count: 1, width: 0.02 in, length: 2 in, discharge: 0.7}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    RULE: {
        "an orifice that lets next to nothing through": (
            (
                "      bore: 0.032 in\n      discharge: 0.85",
                f"      bore: 0.032 in\n      discharge: 0.3{MARK}",
            ),
        ),
        "jets that let next to nothing through": ((SLIT, f"{SLIT.replace('0.7', '0.39')}{MARK}"),),
        "an orifice larger than the tube before it": (
            ("      bore: 0.032 in\n      discharge", f"      bore: 0.32 in{MARK}\n      discharge"),
        ),
        "a valve that holds back what no open one does": (
            ("v1: {kind: valve, form: ball, rating", "v1: {kind: valve, form: ball, bore: 1/4 in, loss: 101, rating"),
            ("loss: 101, rating: 600 psi}", f"loss: 101, rating: 600 psi}}{MARK}"),
        ),
        "a slit wider than its tube": ((SLIT, f"tube: 1/2 OD type ACR\n      {SLIT.replace('0.02', '0.6')}{MARK}"),),
        "a site above all roads": (("elevation: 420 ft", "elevation: 15001 ft"),),
        "tested after the first gas": (("  runs:\n", f"  tested: 2027-06-20{MARK}\n  runs:\n"),),
    }
}


@pytest.mark.parametrize("what", list(BAD[RULE]))
def test_a_bad_number_is_found_once(tmp_path: Path, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[RULE][what])
    (one,) = (f for f in checked(spec, block=OTHERS).findings if f.rule == RULE)
    assert one.level == ("warning" if what.startswith("tested") else "error")
    lines = spec.read_text(encoding="utf-8").splitlines()
    marked = [n for n, line in enumerate(lines, start=1) if MARK in line or "elevation: 15001" in line]
    assert [one.place.line] == marked
    assert status_of(checked(spec, block=OTHERS), RULE) == "failed"


@pytest.mark.parametrize(
    "patch",
    [
        ("      bore: 0.032 in\n      discharge: 0.85", "      bore: 0.032 in\n      discharge: 0.4"),
        ("elevation: 420 ft", "elevation: 15000 ft"),
        ("v1: {kind: valve, form: ball, rating", "v1: {kind: valve, form: ball, bore: 1/4 in, loss: 100, rating"),
        ("  runs:\n", "  tested: 2027-06-19\n  runs:\n"),
    ],
)
def test_what_just_can_be_is_not_found(tmp_path: Path, patch: Patch) -> None:
    tube = (SLIT, f"tube: 1/2 OD type ACR\n      {SLIT}")
    assert status_of(checked(project(tmp_path, GOOD, patch, tube), block=OTHERS), RULE) == "passed"


BARE_TUBE: Patch = ("t1: {kind: tube, outside: 3/8 in, wall: 0.032 in, length: 6 ft", "t1: {kind: tube, length: 6 ft")
BIG_HOLE: Patch = ("      bore: 0.032 in\n      discharge", "      bore: 0.4 in\n      discharge")


def test_an_orifice_is_held_against_what_stands_past_a_part_without_a_bore(tmp_path: Path) -> None:
    """The hose of 3/8 in, two parts and a tube before it."""
    spec = project(tmp_path, GOOD, BARE_TUBE, BIG_HOLE)
    (found,) = (f for f in checked(spec, block=OTHERS).findings if f.rule == RULE)
    assert "larger than the bore of h1, 0.375 in" in found.message


def test_an_orifice_beside_which_no_bore_is_known_is_not_checked(tmp_path: Path) -> None:
    bare = ("      bore: 3/8 in\n      length: 30 ft\n", "      length: 30 ft\n")
    ring = ("      outside: 5/8 in\n      wall: 0.040 in\n", "")
    tube = (SLIT, f"tube: 1/2 OD type ACR\n      {SLIT}")
    assert status_of(project(tmp_path, GOOD, BARE_TUBE, bare, ring, tube), RULE, block=OTHERS) == "not checked"
