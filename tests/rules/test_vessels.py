"""Vessels by what they do: plates, propane cylinders used as accumulators, and cylinders whose numbers do not fit."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, expected_in, findings_at, project, rules_of, status_of
from specc_materials import vessels

GOOD = Path(__file__).with_name("fuel_flow.yaml")
OTHERS = all_but("plumbing", "fuel", "materials")
ACC = "    acc:\n      kind: accumulator\n      volume: 5 gal\n      rating: 250 psi\n"
PLATE = "{pressure: 250 psi, temperature: 400 °F, maker: Tarnside Vessels, serial: 2-0417, year: 2024}"
USED = "form: propane_cylinder, marking: DOT-4BW240, altered: none, made: 2020-05"
TANK = "      tare: 70 lb\n"


def acc(more: str, *rules: str) -> Patch:
    expect = f" # expect: {', '.join('materials.' + r for r in rules)}" if rules else ""
    return ACC, f"    acc: {{kind: accumulator, volume: 5 gal, rating: 250 psi{more}}}{expect}\n"


PLATED = acc(f", plate: {PLATE}")

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "materials.vessel_marking": {
        "no plate": (acc("", "vessel_marking"),),
        "the word ASME alone": (acc(", marking: ASME", "vessel_marking"),),
        "no serial number": (acc(f", plate: {PLATE}".replace(", serial: 2-0417", ""), "vessel_marking"),),
        "a serial number that is a dash": (acc(f", plate: {PLATE}".replace("2-0417", '"-"'), "vessel_marking"),),
        "a plate that holds to less than the sun makes of it": (
            acc(f", plate: {PLATE}".replace("400 °F", "90 °F"), "vessel_marking"),
        ),
        "a plate of a year to come": (acc(f", plate: {PLATE}".replace("2024", "2031"), "vessel_marking"),),
        "rated more than its plate": (acc(f", plate: {PLATE}".replace("250", "150"), "vessel_marking"),),
    },
    "materials.cylinder_as_vessel": {
        "drilled": (acc(f", {USED}".replace("none", "drilled"), "cylinder_as_vessel"),),
        "bushed, and known by its marking alone": (
            acc(", marking: DOT-4BA240, altered: bushed, made: 2020-05", "cylinder_as_vessel"),
        ),
        "drilled, by its title alone": (
            acc(f", title: 'old propane tank, drilled', plate: {PLATE}, made: 2020-05", "cylinder_as_vessel"),
        ),
        "a cylinder that gas is drawn from, drilled": (
            PLATED,
            (TANK, f"{TANK}      altered: drilled # expect: materials.cylinder_as_vessel\n"),
        ),
        "out of date": (acc(f", {USED}".replace("2020", "2012"), "cylinder_as_vessel"),),
        "also filled": (acc(f", {USED}, filled: true", "cylinder_as_vessel"),),
    },
    "materials.cylinder_size": {
        "420 lb in the size of 100": (
            PLATED,
            ("capacity: 100 lb", "capacity: 420 lb # expect: materials.cylinder_size"),
            (TANK, "      tare: 270 lb\n"),
        ),
        "100 lb in the size of 420": (
            PLATED,
            ("diameter: 15 in", "diameter: 26 in # expect: materials.cylinder_size"),
        ),
        "a weight that is none": (PLATED, (TANK, "      tare: 7 lb # expect: materials.cylinder_size\n")),
    },
    "materials.cylinder_refilled": {
        "filled again": (
            PLATED,
            (TANK, f"{TANK}      marking: DOT-39\n      refilled: true # expect: materials.cylinder_refilled\n"),
        ),
    },
}
CASES = [(rule, what) for rule, listed in BAD.items() for what in listed]


def found(spec: Path) -> object:
    """What concerns vessels; the spec leaves most of the materials unsaid."""
    at = findings_at(spec, block=OTHERS)
    return type(at)({key: n for key, n in at.items() if not key[2].startswith("fuel.")})


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    assert rule in {r for _, _, r in expected_in(spec)}
    assert found(spec) == expected_in(spec)


def test_every_rule_has_a_bad_case() -> None:
    assert rules_of(vessels) == set(BAD)


@pytest.mark.parametrize(
    ("patches", "statuses"),
    [
        ((PLATED,), ("stated", "not applicable", "stated", "not checked")),
        ((acc(f", {USED}"),), ("not applicable", "authority to decide", "stated", "not checked")),
        (
            (acc(f", {USED}".replace(", altered: none", "")),),
            ("not applicable", "not checked", "stated", "not checked"),
        ),
        (
            (PLATED, (TANK, f"{TANK}      marking: DOT-39\n")),
            ("stated", "not applicable", "stated", "not checked"),
        ),
    ],
    ids=["a plate", "a propane cylinder", "it is not said whether it was altered", "DOT 39, nothing said"],
)
def test_how_they_end(tmp_path: Path, patches: tuple[Patch, ...], statuses: tuple[str, ...]) -> None:
    result = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    ends = tuple(status_of(result, rule).partition(",")[0] for rule in BAD)
    assert ends == statuses


def test_a_cylinder_that_gas_is_led_into_is_an_accumulator(tmp_path: Path) -> None:
    drum = "    drum: {kind: cylinder, capacity: 20 lb, altered: none, rating: 240 psi}\n"
    spec = project(tmp_path, GOOD, PLATED, ("    x1:", f"{drum}    x1:"), ("h2, acc, x1", "h2, drum, acc, x1"))
    result = checked(spec, block=OTHERS)
    assert "drum holds liquid propane" in " ".join(f.message for f in result.findings)
