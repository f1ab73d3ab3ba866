"""The highest pressure in each zone, by what its regulators do."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.measure.units import PSI
from specc.model.result import Result
from specc.testing import Patch, checked, project

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
        # Without its lock-up a regulator is taken to stand 20 % above its setting.
        ((("highest: 20 psi, lock_up: 12 psi", "highest: 20 psi"),), {"pr1.lock_up": 12, "pr1.highest": 22}),
        # A relief valve that does not pass what comes holds nothing.
        ((("relieves: 240 lb/h", "relieves: 2 lb/h"),), {"pr2.failed_open": "supply"}),
        # Behind another regulator: that one open and this one holding, or this one open at the lock-up before it.
        (
            (SECOND, ("line: [v0, t0, pr1, h1,", "line: [v0, t0, pr1, pr3, h1,")),
            {"pr3.set": 5, "pr3.highest": 7, "pr3.failed_open": 12, "pr1.failed_open": "supply"},
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
