"""Gas that nothing lights: how much, the cloud it makes, and how long to wait, against sums by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import checked, project, status_of

GOOD = Path(__file__).parents[1] / "rules" / "control.yaml"
OTHERS = ("flame", "materials", "operators", "site", "structure", "extinguishers")
GAS_CONSTANT, PROPANE, LOWER = 8.314, 0.0441, 0.021  # J/(mol K); kg/mol; 29 CFR 1910 and makers' sheets


@pytest.fixture(scope="module")
def made() -> object:
    return checked(GOOD, block=OTHERS)


def test_a_burst_without_its_pilot_lets_out_a_whole_opening(made) -> None:  # type: ignore[no-untyped-def]
    figures = {f.key: f for f in made.figures}
    gas, cloud = figures["fuel.unlit_gas.torch"], figures["fuel.unlit_cloud.torch"]
    flow = figures["fuel.flow.torch"]
    assert gas.si == pytest.approx(max(c.worked.si for c in flow.cases) * 1.0, rel=1e-6)
    # An ideal gas at 500 ft: within 3 % of the equation of state, in each weather.
    pressure = 101325 * (1 - 2.25577e-5 * 152.4) ** 5.25588
    for kg, m3, warm in zip(gas.cases, cloud.cases, (284.26, 288.71, 297.04), strict=True):  # low, usual, high
        assert m3.worked.si == pytest.approx(
            kg.worked.si * GAS_CONSTANT * warm / (PROPANE * pressure * LOWER), rel=0.03
        )
    # The trade's five minutes are longer than so small a cloud needs, 4 times its width at 1 ft/s.
    assert figures["fuel.purge_wait"].si == 300
    assert status_of(made, "fuel.purge_wait_enough") == "passed"


def test_one_that_takes_its_time_to_light_lets_out_what_flows_until_then(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("lit_by: {torch: Ada}", "lit_by: {torch: Ada, within: 8 s}"))
    figures = {f.key: f for f in checked(spec, block=OTHERS).figures}
    assert figures["fuel.unlit_gas.pilot"].si == pytest.approx(8 * figures["fuel.flow.pilot"].si, rel=1e-6)
