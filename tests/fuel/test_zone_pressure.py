"""The highest pressure in each zone, by what its regulators do."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.measure.units import PSI
from specc.model.result import Result
from specc.testing import Patch, checked, findings_of, project

GOOD = Path(__file__).parents[1] / "rules" / "leak_tests.yaml"


def psi(result: Result) -> dict[str, float]:
    start = "fuel.zone_pressure."
    return {f.key.removeprefix(start): f.si / PSI for f in result.figures if f.key.startswith(start)}


@pytest.fixture(scope="module")
def whole() -> dict[str, float]:
    return psi(checked(GOOD))


def test_each_zone_in_each_state(whole: dict[str, float]) -> None:
    """Set, locked up, and locked up at the highest setting; open, the supply stands behind a regulator, or what its
    relief valve lets stand: 10 % above 60 psi."""
    supply = whole["cylinder_pressure.set"]
    assert supply == pytest.approx(163, abs=10)  # commercial propane at 86 °F
    assert {k: v for k, v in whole.items() if not k.startswith(("open", "cylinder"))} == pytest.approx(
        {
            "pr1.set": 10, "pr1.lock_up": 12, "pr1.highest": 22, "pr1.failed_open": supply,
            "pr2.set": 30, "pr2.lock_up": 34, "pr2.highest": 44, "pr2.failed_open": 66,
        }
    )  # fmt: skip
    assert 0 < whole["open_to_the_air.set"] < whole["open_to_the_air.highest"] < whole["open_to_the_air.failed_open"]


SECOND = (
    "    h1: {kind: hose",
    "    pr3: {kind: regulator, set: 5 psi, highest: 6 psi, lock_up: 6 psi}\n    h1: {kind: hose",
)


@pytest.mark.parametrize(
    ("patches", "expected"),
    [
        # What is not stated is not known: it is left out, and is not nothing.
        ((("set: 10 psi, highest: 20 psi, lock", "set: 10 psi, lock"),), {"pr1.highest": None, "pr1.lock_up": 12}),
        # Without its lock-up a regulator is taken to stand 20 % above its setting, whatever that is.
        ((("highest: 20 psi, lock_up: 12 psi", "highest: 20 psi"),), {"pr1.lock_up": 12, "pr1.highest": 24}),
        # A relief valve that does not pass what comes holds nothing.
        ((("relieves: 240 lb/h", "relieves: 2 lb/h"),), {"pr2.failed_open": "supply"}),
        # Behind another regulator: that one open and this one holding, or this one open and that one turned up.
        (
            (SECOND, ("line: [v0, t0, pr1, h1,", "line: [v0, t0, pr1, pr3, h1,")),
            {"pr3.set": 5, "pr3.highest": 7, "pr3.failed_open": 22, "pr1.failed_open": "supply"},
        ),
        # Of two in a row the one that does not say how far it is turned up holds nothing when the other fails.
        (
            (
                (SECOND[0], SECOND[1].replace("highest: 6 psi, ", "")),
                ("line: [v0, t0, pr1, h1,", "line: [v0, t0, pr1, pr3, h1,"),
            ),
            {"pr3.highest": None, "pr3.failed_open": "supply"},
        ),
        (
            (
                SECOND,
                ("line: [v0, t0, pr1, h1,", "line: [v0, t0, pr1, pr3, h1,"),
                ("highest: 20 psi, lock_up: 12", "lock_up: 12"),
            ),
            {"pr1.highest": None, "pr3.highest": None, "pr3.failed_open": "supply"},
        ),
    ],
)
def test_what_changes_a_zone(
    tmp_path: Path, patches: tuple[Patch, ...], expected: dict[str, float | str | None]
) -> None:
    found = psi(checked(project(tmp_path, GOOD, *patches)))
    for tag, value in expected.items():
        wanted = found["cylinder_pressure.set"] if value == "supply" else value
        assert found.get(tag) == (wanted if wanted is None else pytest.approx(wanted)), tag


# Another regulator, and its hose, into the tee of the burst.
BESIDE = (
    (
        "    h1: {kind: hose",
        "    pr3: {kind: regulator, set: 5 psi, highest: 6 psi, lock_up: 6 psi, seat: SEAT, rating: 250 psi}\n"
        "    h3: {kind: hose, bore: 3/8 in, length: 10 ft, rating: 42 psi}\n    h1: {kind: hose",
    ),
    (
        "    relief: {from: t2, line: [rv]}",
        "    relief: {from: t2, line: [rv]}\n    beside: {from: t0, line: [pr3, h3, t2]}",
    ),
)


def beside(folder: Path, seat: str, *patches: Patch) -> Result:
    return checked(project(folder, GOOD, (BESIDE[0][0], BESIDE[0][1].replace("SEAT", seat)), BESIDE[1], *patches))


def found_at(result: Result, rule: str) -> str:
    return " ".join(f.message for f in result.findings if f.rule == rule)


def test_gas_that_comes_back_against_the_flow_sets_the_pressure_of_a_line(tmp_path: Path) -> None:
    """30 psi stands in the tee that both regulators feed, and so in the hose from the one that is set to 5."""
    result = beside(tmp_path, "0.05 in")
    zones = psi(result)
    assert "pr3.set" not in zones
    assert zones["pr2.set"] == pytest.approx(30)
    # Turned up to 40 psi it locks up 4 psi above that, as it does above its setting.
    assert found_at(result, "fuel.rated_for_setting") == "h3 is rated 42 psi, and may see 44 psig"
    enough = beside(tmp_path, "0.05 in", ("length: 10 ft, rating: 42 psi", "length: 10 ft, rating: 44 psi"))
    assert found_at(enough, "fuel.rated_for_setting") == ""
    low = beside(tmp_path, "0.05 in", ("length: 10 ft, rating: 42 psi", "length: 10 ft, rating: 20 psi"))
    assert found_at(low, "fuel.rated_for_setting") == "h3 is rated 20 psi, and may see 44 psig"


def test_a_check_valve_keeps_the_higher_pressure_from_the_line_ahead_of_it(tmp_path: Path) -> None:
    cut = ("line: [pr3, h3, t2]", "line: [pr3, h3, cv, t2]")
    valve = ("    h3: {kind", "    cv: {kind: valve, form: check, rating: 250 psi}\n    h3: {kind")
    low = (BESIDE[0][0], BESIDE[0][1].replace("SEAT", "0.05 in").replace("42 psi", "20 psi"))
    result = checked(project(tmp_path, GOOD, low, BESIDE[1], cut, valve))
    assert psi(result)["pr3.highest"] == pytest.approx(7)
    assert found_at(result, "fuel.rated_for_setting") == ""


def test_a_relief_valve_has_to_pass_what_any_of_its_regulators_gives(tmp_path: Path) -> None:
    """It is sized for the one that names the zone; the other, with the wider seat, may fail as well."""
    small, wide = beside(tmp_path, "0.05 in"), beside(tmp_path, "0.25 in")
    assert found_at(small, "fuel.relief_capacity") == ""
    assert psi(small)["pr2.failed_open"] == pytest.approx(66)
    assert "and pr3 gives" in found_at(wide, "fuel.relief_capacity")
    assert psi(wide)["pr2.failed_open"] == pytest.approx(psi(wide)["cylinder_pressure.set"])


def test_each_value_says_what_sets_it(tmp_path: Path) -> None:
    named = {f.key: f.worked.name for f in beside(tmp_path, "0.05 in").figures}
    assert named["fuel.zone_pressure.pr2.failed_open"].endswith("open: rv relieves")
    assert named["fuel.zone_pressure.pr1.failed_open"] == "pr1 open: the cylinders"
    assert named["fuel.zone_pressure.pr2.highest"] == "pr2 turned up, no flow"


@pytest.mark.parametrize("lock_up", ["", "lock_up: 12 psi, ", "lock_up: 14 psi, "])
def test_a_zone_turned_up_is_what_its_parts_are_rated_against(tmp_path: Path, lock_up: str) -> None:
    """The zone said 22 psig, the rule on ratings 24, and the leak test followed the lower."""
    spec = project(tmp_path, GOOD, ("lock_up: 12 psi, ", lock_up))
    stands = psi(checked(spec))["pr1.highest"]
    assert stands is not None
    said = [f"{stands:g} psig" in f.message for f in findings_of(_rated(spec, stands - 0.5), "fuel.rated_for_setting")]
    assert said
    assert all(said)
    assert not findings_of(_rated(spec, stands + 0.01), "fuel.rated_for_setting")


def _rated(spec: Path, psig: float) -> Path:
    """The spec with the hose behind pr1 rated so much."""
    hose = "h1: {kind: hose, bore: 3/8 in, length: 10 ft, rating: "
    return project(spec.parent, spec, (f"{hose}350 psi", f"{hose}{psig} psi"), name=f"rated_{psig}.yaml")
