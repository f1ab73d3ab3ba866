"""How far from a burst the heat falls to a level: the published point source, what the envelope adds, and the sample.

Worked by hand for a burst of an ounce in 0.9 s (1,650 kW, net; mean flame 4.55 m; nozzle at 12 ft): 1.42 kW/m2 at
6.08 m from the flame's middle with the factor 1.25, 5.44 m without; on the ground 8.13 m (26.7 ft) from the nozzle, the
flame as one point at half of its length, tilted every way from upright to level, heads up to 2 m.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from specc.model.result import Result
from specc_flame.calc import flux
from specc_flame.calc.field import FlameSource, stand_off
from specc_flame.calc.field import flux as field_flux

FOOT = 0.3048
REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"


@pytest.mark.parametrize(
    ("kilowatts", "share", "factor", "meters"),
    [
        (1650, 0.32, 1.25, 6.08),
        (1650, 0.32, 1.0, 5.44),
        (1650, 0.30, 1.25, 5.89),
        (1650, 0.35, 1.25, 6.36),
        (42_000, 0.32, 1.25, 30.7),
        (42_000, 0.32, 1.0, 27.4),
    ],
)
def test_the_distance_from_a_point_is_the_published_form(
    kilowatts: float, share: float, factor: float, meters: float
) -> None:
    """q = X_r Q/(4 pi R^2), NUREG-1805 chapter 5, solved for R with a calculator: its rounding is 0.05 m of 30.7."""
    assert flux.distance_for_flux(kilowatts * 1e3, 1420.0, 0.0, share, factor).value == pytest.approx(meters, abs=0.05)


def by_point(heat: float, length: float, nozzle: float) -> float:
    """m: the same, told apart: one point at half length, tilts of 0 to 90 degrees, heads of 0 to 2 m."""
    radius = math.sqrt(1.25 * 0.32 * heat / (4 * math.pi * 1420.0))
    worst = 0.0
    for tilt in range(91):
        out = length / 2 * math.sin(math.radians(tilt))
        up = nozzle + length / 2 * math.cos(math.radians(tilt))
        apart = max(0.0, up - 2.0)
        if apart < radius:
            worst = max(worst, out + math.sqrt(radius * radius - apart * apart))
    return worst


@pytest.mark.parametrize(("nozzle", "feet"), [(12, 26.7), (9, 27.3)])
def test_the_envelope_lies_above_the_point_source_by_a_foot_or_two(nozzle: float, feet: float) -> None:
    """A flame that points at somebody has half of its length nearer than its middle: a row of points is more."""
    point = by_point(1650e3, 4.55, nozzle * FOOT)
    assert point / FOOT == pytest.approx(feet, abs=0.1)
    row = stand_off(FlameSource("burst", 0, 0, nozzle * FOOT, 1650e3, 4.55), 1420.0)
    assert point < row < point + 2 * FOOT


@pytest.mark.parametrize("level", [5.0, 7.0, 10.0, 30.0])
@pytest.mark.parametrize("nozzle", [0.5, 2.0, 3.66, 8.0])
def test_the_row_of_points_is_the_sum_of_its_points(level: float, nozzle: float) -> None:
    """By adding up 20,000 points of the plain form along a level flame that points at the target."""
    heat, length, count = 1650e3, 4.55, 20_000
    below = max(0.0, nozzle - 2.0)
    total = sum(
        1.25 * 0.32 * heat / count / (4 * math.pi * ((level - (i + 0.5) / count * length) ** 2 + below**2))
        for i in range(count)
    )
    assert field_flux(FlameSource("burst", 0, 0, nozzle, heat, length), level, 0.0) == pytest.approx(total, rel=1e-4)


@pytest.fixture(scope="module")
def reeds(complete: Callable[[str], Result]) -> Result:
    return complete("lantern_reeds")


def test_the_burst_of_the_sample_and_why_it_is_a_foot_more(reeds: Result) -> None:
    """26 to 28 ft is expected of such a burst as one point. The sample prints more, by three steps that are kept on
    purpose: no credit for the nozzle's height; the row of points; and what the reeds leave of the level."""
    value = {f.key: f.si for f in reeds.figures}
    heat, length = value["flame.burst_heat.nozzle"], value["flame.length.nozzle"]
    strength = 1.25 * 0.32 * heat / (4 * math.pi)
    point = by_point(heat, length, 9 * FOOT)
    flat = length / 2 + math.sqrt(strength / 1420.0)
    row = length / 2 + math.sqrt(length**2 / 4 + strength / 1420.0)
    assert 26 * FOOT <= point <= flat <= 28 * FOOT
    assert 0 <= row - flat <= 1.5 * FOOT
    (printed,) = [
        float(r.cells[1].partition(" ")[0])
        for t in dict(reeds.tables).values()
        for r in t.rows
        if r.cells[0] == "wisp" and r.cells[2] == "radiation of the flame of nozzle"
    ]
    assert row / FOOT - 0.5 <= printed <= row / FOOT + 1
