"""Wind, standing and lifting against published sheets and textbook cases; units are named in each test.

Moments and forces are counted in pounds and feet where a source does: the calculators only multiply and divide them.
"""

from __future__ import annotations

import math

import pytest

from specc.formulas.gust import wind_gust
from specc_structure.calc import handling, stand, wind

FOOT, INCH, MPH, POUND = 0.3048, 0.0254, 0.44704, 0.45359237
PSF = POUND * 9.80665 / FOOT**2
TERRAIN = {"B": (1200 * FOOT, 7.0), "C": (900 * FOOT, 9.5), "D": (700 * FOOT, 11.5)}


def psf(mph: float, height_ft: float = 0.0, terrain: str = "", direction: float = 1.0) -> float:
    factor = wind.wind_height(height_ft * FOOT, *TERRAIN[terrain]) if terrain else 1.0
    return wind.wind_pressure(mph * MPH, factor, direction=direction) / PSF


@pytest.mark.parametrize(("terrain", "at_15", "at_30"), [("B", 0.575, 0.701), ("C", 0.849, 0.982), ("D", 1.03, 1.16)])
def test_height_and_terrain(terrain: str, at_15: float, at_30: float) -> None:
    gradient, exponent = TERRAIN[terrain]
    for feet, factor in ((15, at_15), (30, at_30), (3, at_15)):
        assert wind.wind_height(feet * FOOT, gradient, exponent) == pytest.approx(factor, abs=0.005)


def test_height_in_a_published_metric_case() -> None:
    # A structural program's public check, terrain C: 5 m 0.8650, 6.5 m 0.9142 (gradient taken as 274.32 m).
    assert wind.wind_height(5.0) == pytest.approx(0.8650, abs=0.0006)
    assert wind.wind_height(6.5) == pytest.approx(0.9142, abs=0.0006)


@pytest.mark.parametrize(
    ("mph", "feet", "terrain", "direction", "expected"),
    [
        (115, 15, "C", 0.85, 24.46),  # a published table, three rows
        (115, 15, "B", 0.85, 16.40),
        (115, 30, "D", 0.85, 33.38),
        (90, 35, "C", 0.85, 17.80),  # a sign maker's sheet
    ],
)
def test_pressure_in_published_sheets(mph: float, feet: float, terrain: str, direction: float, expected: float) -> None:
    # The sheets round K to two or three decimals: 1 % covers a factor of 0.57 that stands for 0.575.
    assert psf(mph, feet, terrain, direction) == pytest.approx(expected, rel=0.01)


def test_pressure_with_factors_given() -> None:
    # A public test: 115 mph, K 0.98: 33.18 psf.
    assert wind.wind_pressure(115 * MPH, 0.98) / PSF == pytest.approx(33.18, abs=0.005)
    table = {10: 0.256, 15: 0.576, 20: 1.02, 25: 1.60, 30: 2.30, 35: 3.14, 40: 4.10, 50: 6.40, 60: 9.22}
    for mph, expected in table.items():
        assert psf(mph) == pytest.approx(expected, rel=5e-3)


def test_force_on_a_published_sign() -> None:
    # 7.48 ft², 155 mph, terrain D, coefficient 1.8, gust effect 0.85: q 56.62 psf, 648 lb; 389 lb times 0.6.
    push = wind.wind_force(56.62, 1.8, 7.48)
    assert push == pytest.approx(648, abs=0.5)
    assert 0.6 * push == pytest.approx(389, abs=0.5)


def test_gusts() -> None:
    # The gust curve: an hourly mean of 80 mph is a gust of 122.4; the pressure is 2.3 times.
    assert wind_gust(80.0) == pytest.approx(122.4, abs=0.05)
    assert psf(wind_gust(20.0)) / psf(20.0) == pytest.approx(2.3, abs=0.05)
    # A fastest mile of 80 mph (1.28 of the hourly mean) is 95.6 mph.
    assert wind_gust(80.0 / 1.28) == pytest.approx(95.6, abs=0.05)


def test_overturning_in_a_study_guide() -> None:
    # 420 kip at 10 ft against 24 kip at 42 ft: 4.17 (it prints 4.2).
    assert stand.overturning((420 * 10.0,), (24 * 42.0,)) == pytest.approx(4.17, abs=0.005)


def test_overturning_of_a_citys_sign() -> None:
    # 24.7 psf on 16 ft² at 5 ft and 4.5 ft² at 1.5 ft; 2,696 lb on 2.58 ft square: 2.1 and 3.5 kip-ft, factor 1.62.
    tips, holds = (24.7 * 16 * 5, 24.7 * 4.5 * 1.5), 2696 * 2.58 / 2
    assert sum(tips) == pytest.approx(2100, abs=50)
    assert holds == pytest.approx(3500, abs=50)
    assert stand.overturning((holds,), tips) == pytest.approx(1.62, abs=0.005)


def test_lift_counts_among_what_tips() -> None:
    # A footing of 15 kip, 8 ft wide, 10 kip of lift at its center and 3 kip at 2 ft: 1.30, where netting says 3.33.
    assert stand.overturning((15 * 4.0,), (10 * 4.0, 3 * 2.0)) == pytest.approx(1.30, abs=0.005)
    assert pytest.approx(3.33, abs=0.005) == (15 * 4.0 - 10 * 4.0) / (3 * 2.0)


def test_a_mast_with_a_plate() -> None:
    """12 ft of 1-1/2 in pipe (1.9 in outside) in 40 mph with a plate of 1 ft² on top, worked by hand for this tool."""
    pipe = wind.wind_force(psf(40), 1.2, 12 * 1.9 / 12)
    plate = wind.wind_force(psf(40), 1.8, 1.0)
    assert (pipe, plate) == (pytest.approx(7.9, abs=0.05), pytest.approx(6.3, abs=0.05))
    tips = pipe * 6, plate * 12
    assert sum(tips) == pytest.approx(123, abs=0.5)
    # On a base 3 ft square, 123 lb in all give the factor 1.5.
    assert stand.overturning((123 * 1.5,), tips) == pytest.approx(1.5, abs=0.01)


def test_ballast_for_tipping_and_for_sliding() -> None:
    # 150 lb, 3 ft square, 60 lb at 6 ft: factor 0.625, 210 lb more for 1.5. Sliding wants 225 lb (0.4) or 450 (0.2).
    assert stand.overturning((150 * 1.5,), (60 * 6.0,)) == pytest.approx(0.625)
    grips = stand.ballast(225.0, 360.0, 150.0, 60.0, 0.4, 1.5)
    assert (grips.regime, grips.value) == ("overturning", pytest.approx(210))
    slips = stand.ballast(225.0, 360.0, 150.0, 60.0, 0.2, 1.5)
    assert (slips.regime, slips.value + 150) == ("sliding", pytest.approx(450))
    assert stand.sliding(0.2, slips.value + 150, 60.0) == pytest.approx(1.5)
    # A person who leans with 200 lb at 3.5 ft on a base 3 ft wide: 700 lb in all.
    leans = stand.ballast(0.0, 700.0, 0.0, 0.0, 0.2, 1.5)
    assert (leans.regime, leans.value) == ("overturning", pytest.approx(700))
    assert stand.ballast(2000.0, 360.0, 1500.0, 60.0, 0.4, 1.5) == (0.0, "none", "", ())


@pytest.mark.parametrize(("degrees", "pull", "lift"), [(45, 1414, 1000), (70, 2924, 2747)])
def test_guys_in_an_antenna_builders_letter(degrees: float, pull: float, lift: float) -> None:
    found = stand.guy_tension(1000.0, math.radians(degrees))
    assert found.value == pytest.approx(pull, abs=0.5)
    assert dict(found.also)["L"] == pytest.approx(lift, abs=0.5)


def test_a_guy_by_its_legs() -> None:
    # 32 lb at 10 ft, anchor 7 ft out: 55.8 lb, lift and thrust 45.7 lb.
    found = stand.guy_tension(32.0, math.atan2(10, 7))
    assert found.value == pytest.approx(55.8, abs=0.05)
    assert dict(found.also)["L"] == pytest.approx(45.7, abs=0.05)
    # Pythagoras: push and lift make up the pull.
    assert math.hypot(32.0, dict(found.also)["L"]) == pytest.approx(found.value)


@pytest.mark.parametrize(("ahead", "height", "travel", "limit"), [(15, 30, 30, 28.4), (12, 18, 12, 35.6)])
def test_lifting_by_the_niosh_equation(ahead: float, height: float, travel: float, limit: float) -> None:
    found = handling.lift_limit(ahead * INCH, height * INCH, travel * INCH) / POUND
    assert found == pytest.approx(limit, abs=0.05)


def test_the_best_lift_is_51_pounds() -> None:
    assert handling.lift_limit(10 * INCH, 30 * INCH, 10 * INCH, grip=1.0) / POUND == pytest.approx(51)
    # Turned by 90 degrees: 1 - 0.0032 x 90.
    turned = handling.lift_limit(10 * INCH, 30 * INCH, 10 * INCH, math.pi / 2, grip=1.0) / POUND
    assert turned == pytest.approx(51 * 0.712)


def test_straps_on_a_cylinder() -> None:
    # 170 lb: 136 lb forward, 85 to the side, 34 down.
    for share, pounds in ((0.8, 136), (0.5, 85), (0.2, 34)):
        force = handling.cargo_force(170 * POUND, share)
        assert force / (POUND * 9.80665) == pytest.approx(pounds)


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_what_cannot_be_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="wind"):
        wind.wind_pressure(bad)
    with pytest.raises(ValueError, match="area"):
        wind.wind_force(1.0, 1.0, bad)
    with pytest.raises(ValueError, match="moment"):
        stand.overturning((1.0,), (bad,))
    with pytest.raises(ValueError, match="weight"):
        stand.sliding(0.2, bad, 1.0)
    with pytest.raises(ValueError, match="push"):
        stand.guy_tension(bad, 0.5)
    with pytest.raises(ValueError, match="mass"):
        handling.cargo_force(bad)
    with pytest.raises(ValueError, match="ahead"):
        handling.lift_limit(bad, 0.5, 0.5)


def test_a_base_of_no_width_and_a_guy_straight_up_are_refused() -> None:
    with pytest.raises(ValueError, match="distance to the edge"):
        stand.ballast(0.0, 1.0, 1.0, 1.0, 0.2, 0.0)
    with pytest.raises(ValueError, match="guy"):
        stand.guy_tension(1.0, math.pi / 2)
    with pytest.raises(ValueError, match="one person"):
        handling.lift_limit(30 * INCH, 30 * INCH, 10 * INCH)
    with pytest.raises(ValueError, match="above the range"):
        wind.wind_height(500.0)
    with pytest.raises(ValueError, match="1 or more"):
        wind_gust(10.0, 0.9)
    with pytest.raises(ValueError, match="tips"):
        stand.overturning((1.0,), (0.0,))
