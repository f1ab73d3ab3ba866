"""Rings, jets, bends, cut lengths and weights of tube: against published rows, sums by hand, and what has to hold."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import specc_plumbing
from specc.formulas.calculators import Calculator, Refused
from specc.formulas.evaluating import evaluate
from specc.measure.units import INCH, POUND
from specc.model.values import Input, Quantity
from specc_plumbing.calc.bends import smallest_bend, smallest_bend_hard, smallest_bend_spring
from specc_plumbing.calc.cuts import (
    DENSITIES,
    density_of,
    pipe_cut,
    thread_engagement,
    tube_bore,
    tube_wall,
    tube_weight,
)
from specc_plumbing.calc.rings import jet_area_ratio, jet_spacing, ring_length, slit_area_ratio
from specc_plumbing.catalog.tables import THREAD, engaged

FOOT = 12 * INCH
CALCULATORS = specc_plumbing.specc_calculators()
BY_NAME = {c.name: c for c in CALCULATORS}
IN_WORDS = {"smallest-bend", "smallest-bend-hard"}
CASES: list[tuple[str, dict[str, float]]] = [
    ("ring-length", {"diameter": 0.6, "fittings": 2, "take": 0.02}),
    ("jet-spacing", {"length": 1.9, "count": 36}),
    ("jet-area-ratio", {"count": 12, "bore": 1.6e-3, "feed": 0.014}),
    ("slit-area-ratio", {"count": 2, "width": 5e-4, "length": 0.025, "feed": 0.014}),
    ("smallest-bend-spring", {"outside": 0.015}),
    ("thread-engagement", {"hand_tight": 0.008, "pitch": 0.0018}),
    (
        "pipe-cut",
        {
            "centers": 0.3,
            "first_take_out": 0.028,
            "second_take_out": 0.022,
            "first_engaged": 0.013,
            "second_engaged": 0.01,
        },
    ),
    ("tube-bore", {"outside": 0.016, "wall": 0.001}),
    ("tube-wall", {"outside": 0.016, "bore": 0.014}),
    ("tube-weight", {"outside": 0.016, "wall": 0.001, "length": 3, "density": 8940}),
]
sizes = st.floats(0.001, 10.0)


def inputs(calculator: Calculator[..., Any], plain: dict[str, float]) -> dict[str, Input]:
    dims = {p.name: p.dim for p in calculator.parameters}
    return {name: Quantity(float(v), dims[name], str(v)) for name, v in plain.items()}


@pytest.mark.parametrize(("name", "plain"), CASES)
def test_the_printed_equation_gives_the_value(name: str, plain: dict[str, float]) -> None:
    worked = BY_NAME[name].work(**inputs(BY_NAME[name], plain))
    assert worked.si != 0
    assert evaluate(BY_NAME[name].equation, worked) == pytest.approx(worked.si, rel=1e-12)


def test_every_calculator_is_tried_or_in_words() -> None:
    assert {name for name, _ in CASES} | IN_WORDS == set(BY_NAME)
    assert len(BY_NAME) == len(CALCULATORS)


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda c: c.name)
def test_record_is_whole(calculator: Calculator[..., Any]) -> None:
    equation = calculator.equation
    named = {s.name: s.dim for s in equation.symbols}
    assert named[calculator.result] == calculator.dim
    assert all(named[p.symbol] == p.dim for p in calculator.parameters)
    assert {name for name, _ in equation.constants} <= set(named)
    assert equation.validity
    assert equation.citations
    assert calculator.purpose.endswith(".")


# Rings. 24 in x 3.14159 = 75.398 in; 32 in: 100.531; 16 in: 50.265.


@pytest.mark.parametrize(("diameter", "circumference"), [(16, 50.265), (24, 75.398), (32, 100.531)])
def test_a_ring_by_hand(diameter: float, circumference: float) -> None:
    assert ring_length(diameter * INCH) / INCH == pytest.approx(circumference, abs=0.0006)


def test_a_ring_less_its_fittings() -> None:
    # 75.398 in less two fittings of 1 1/8 in is 73.148 in.
    assert ring_length(24 * INCH, 2, 1.125 * INCH) / INCH == pytest.approx(73.148, abs=0.0006)


@pytest.mark.parametrize(
    ("given_", "words"),
    [
        ((0.0, 0, 0.0), "diameter has to be above zero"),
        ((0.6, -1, 0.02), "below zero"),
        ((0.6, 1.5, 0.02), "whole number"),
        ((0.6, 1, -0.02), "below zero"),
        ((0.1, 4, 0.08), "no tube is left"),
        ((math.inf, 0, 0.0), "above zero"),
    ],
)
def test_a_ring_that_cannot_be(given_: tuple[float, float, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        ring_length(*given_)


@given(sizes, sizes)
def test_a_larger_ring_takes_more_tube(a: float, b: float) -> None:
    small, large = sorted((a, b))
    assert ring_length(small) <= ring_length(large)


# Jets.


def test_jets_by_hand() -> None:
    # 36 jets round 75.398 in stand 2.0944 in apart.
    assert jet_spacing(ring_length(24 * INCH), 36) / INCH == pytest.approx(2.0944, abs=1e-4)


@given(sizes, st.integers(1, 2000))
def test_spaces_add_up_to_the_circumference(diameter: float, count: int) -> None:
    around = ring_length(diameter)
    assert jet_spacing(around, count) * count == pytest.approx(math.pi * diameter, rel=1e-12)


@pytest.mark.parametrize("count", [0, -1, 2.5, math.nan])
def test_jets_are_counted_in_whole_numbers(count: float) -> None:
    with pytest.raises(ValueError, match="number of jets"):
        jet_spacing(1.0, count)


def test_areas_by_hand() -> None:
    # 12 x 0.0625^2 / 0.545^2 = 0.046875 / 0.297025 = 0.157815
    assert jet_area_ratio(12, 0.0625, 0.545) == pytest.approx(0.157815, abs=5e-7)
    # One slit of 0.020 x 1 in in a bore of 0.545 in: 0.020 / 0.23328 = 0.08573
    assert slit_area_ratio(1, 0.020, 1.0, 0.545) == pytest.approx(0.08573, abs=5e-6)


@given(st.integers(1, 500), sizes)
def test_as_many_jets_as_make_the_bore_have_a_ratio_of_one(count: int, feed: float) -> None:
    assert jet_area_ratio(count, feed / math.sqrt(count), feed) == pytest.approx(1.0)


@given(sizes, sizes)
def test_a_slit_as_large_as_the_bore_has_a_ratio_of_one(width: float, feed: float) -> None:
    assert slit_area_ratio(1, width, math.pi * feed**2 / 4 / width, feed) == pytest.approx(1.0)


# Bends. CDA A4015, table 4.1, bending guide: nominal size (outside diameter 1/8 in more), radius in inches.


@pytest.mark.parametrize(
    ("nominal", "radius"), [(0.25, 0.75), (0.375, 1.5), (0.5, 2.25), (0.75, 3.0), (1.0, 4.0), (1.25, 9.0)]
)
def test_the_guide_for_annealed_tube(nominal: float, radius: float) -> None:
    assert smallest_bend((nominal + 0.125) * INCH) / INCH == pytest.approx(radius)


@pytest.mark.parametrize(("nominal", "radius"), [(0.375, 1.75), (0.5, 2.5), (0.75, 3.0)])
def test_the_guide_for_drawn_tube(nominal: float, radius: float) -> None:
    assert smallest_bend_hard((nominal + 0.125) * INCH) / INCH == pytest.approx(radius)


def test_between_the_sizes_of_the_guide_the_next_larger_counts() -> None:
    assert smallest_bend(0.25 * INCH) == smallest_bend(0.375 * INCH)
    assert smallest_bend(0.75 * INCH) == smallest_bend(0.875 * INCH)
    assert smallest_bend(0.6251 * INCH) == smallest_bend(0.875 * INCH)
    assert smallest_bend(15.875e-3) == smallest_bend(0.625 * INCH)  # 5/8 in in millimeters


@pytest.mark.parametrize("outside", [1.5, 0.0, -1.0])
def test_no_guide_beyond_its_sizes(outside: float) -> None:
    with pytest.raises(ValueError):
        smallest_bend(outside * INCH)


@pytest.mark.parametrize("outside", [0.375, 1.125])
def test_drawn_tube_has_fewer_sizes(outside: float) -> None:
    with pytest.raises(ValueError, match="anneal"):
        smallest_bend_hard(outside * INCH)


def test_a_spring() -> None:
    # The textbook's 15 mm tube: 4 diameters are 60 mm, as it says; 5, the larger it names, are 75 mm.
    assert smallest_bend_spring(0.015) == pytest.approx(0.075)
    with pytest.raises(ValueError, match="springs"):
        smallest_bend_spring(28e-3)


@given(st.floats(0.01, 1.375), st.floats(0.01, 1.375))
def test_thicker_tube_never_bends_tighter(a: float, b: float) -> None:
    small, large = sorted((a, b))
    assert smallest_bend(small * INCH) <= smallest_bend(large * INCH)


# Threads: ASME B1.20.1 in reprints, L1 and L1 + L3 in inches (facts/gas.md, 4d).

B1_20_1 = [
    ("1/8", 27, 0.162, 0.273),
    ("1/4", 18, 0.228, 0.395),
    ("3/8", 18, 0.240, 0.407),
    ("1/2", 14, 0.320, 0.534),
    ("3/4", 14, 0.339, 0.553),
    ("1", 11.5, 0.400, 0.661),
    ("1-1/4", 11.5, 0.420, 0.681),
    ("1-1/2", 11.5, 0.420, 0.681),
    ("2", 11.5, 0.436, 0.697),
]


@pytest.mark.parametrize(("size", "turns", "by_hand", "together"), B1_20_1)
def test_thread_engagement(size: str, turns: float, by_hand: float, together: float) -> None:
    assert thread_engagement(by_hand * INCH, INCH / turns) / INCH == pytest.approx(together, abs=0.0006)
    # The catalog has the same standard in it.
    assert THREAD[size] == (turns, by_hand)
    assert engaged(size).si == pytest.approx(thread_engagement(by_hand * INCH, INCH / turns))


def test_a_pipe_by_hand() -> None:
    # 1/2 in pipe, 12 in between the centers of two elbows of 1.12 in: 12 - 2.24 + 2 (0.320 + 3/14) = 10.8286 in.
    into = thread_engagement(0.320, 1 / 14)
    assert pipe_cut(12, 1.12, 1.12, into, into) == pytest.approx(10.8286, abs=1e-4)


def test_fittings_too_close_for_a_pipe() -> None:
    with pytest.raises(ValueError, match="faces would meet"):
        pipe_cut(2.0, 1.12, 1.12, 0.5, 0.5)
    with pytest.raises(ValueError, match="below zero"):
        pipe_cut(12.0, -1.12, 1.12, 0.5, 0.5)


@given(st.floats(3, 100), st.floats(0, 50), st.floats(0, 1), st.floats(0, 1))
def test_a_pipe_grows_as_its_centers_do(centers: float, more: float, take_out: float, into: float) -> None:
    first = pipe_cut(centers, take_out, take_out, into, into)
    assert pipe_cut(centers + more, take_out, take_out, into, into) == pytest.approx(first + more)
    assert pipe_cut(centers, take_out + 0.1, take_out, into, into) < first
    assert pipe_cut(centers, take_out, take_out, into, into + 0.1) > first


# Weights, in pounds to the foot. Copper: CDA table 14.2f, as read. Steel: ASME B36.10 in reprints of its chart.

COPPER = [(0.375, 0.030, 0.126), (0.625, 0.049, 0.344), (0.625, 0.040, 0.285), (0.875, 0.065, 0.641)]
STEEL = [(0.840, 0.109, 0.85), (0.840, 0.147, 1.09), (4.500, 0.237, 10.79)]


@pytest.mark.parametrize(
    ("metal", "outside", "wall", "pounds"),
    [*(("copper", *row) for row in COPPER), *(("steel", *row) for row in STEEL)],
)
def test_weight_of_a_foot(metal: str, outside: float, wall: float, pounds: float) -> None:
    weight = tube_weight(outside * INCH, wall * INCH, FOOT, DENSITIES[metal].si) / POUND
    # Half of the last digit printed, and 0.1 % for the density that the table was made with.
    last = 0.0005 if pounds < 0.7 else 0.005
    assert weight == pytest.approx(pounds, abs=last + 0.001 * pounds)


@given(st.floats(0.01, 1), st.floats(0.01, 0.49), sizes)
def test_weight_is_that_of_the_ring_between_two_circles(outside: float, share: float, length: float) -> None:
    wall = outside * share
    section = math.pi / 4 * (outside**2 - tube_bore(outside, wall) ** 2)
    assert tube_weight(outside, wall, length, 8000) == pytest.approx(section * length * 8000)
    assert tube_wall(outside, tube_bore(outside, wall)) == pytest.approx(wall)


@pytest.mark.parametrize("given_", [(0.01, 0.005, 1, 8000), (0.01, 0, 1, 8000), (0.01, 0.001, 0, 8000), (0, 0, 1, 1)])
def test_no_weight_of_what_is_no_tube(given_: tuple[float, ...]) -> None:
    with pytest.raises(ValueError):
        tube_weight(*given_)


def test_walls_and_bores_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="twice the wall"):
        tube_bore(0.01, 0.005)
    with pytest.raises(ValueError, match="not below"):
        tube_wall(0.01, 0.01)


@pytest.mark.parametrize(
    ("said", "metal"),
    [
        ("copper", "copper"),
        ("annealed copper, type L", "copper"),
        ("Black Steel", "steel"),
        ("stainless steel tube", "stainless"),
        ("brass", "brass"),
        ("copper-nickel", ""),
        ("copper-coated steel", ""),
        ("aluminum bronze", ""),
        ("malleable iron", ""),
        ("LP-gas hose", ""),
        ("", ""),
    ],
)
def test_the_metal_that_a_part_is_said_to_be(said: str, metal: str) -> None:
    assert density_of(said) == (DENSITIES[metal] if metal else None)


def test_densities_lie_within_their_source() -> None:
    # wermac.org: copper 8940, drawn brass 8430 to 8730; supplier's table: 304 7930, 316 8000; 490 lb/ft3 for steel.
    assert DENSITIES["steel"].si == pytest.approx(490 * POUND / 0.3048**3, rel=1e-3)
    assert 8430 <= DENSITIES["brass"].si <= 8730
    # 10.68 lb/ft for each square inch of (D - t) t, in a reprint of the pipe formula.
    assert math.pi * DENSITIES["steel"].si * INCH**2 * FOOT / POUND == pytest.approx(10.68, abs=0.015)
    # A maker's formula for copper tube: 12.1768 lb/ft.
    assert math.pi * DENSITIES["copper"].si * INCH**2 * FOOT / POUND == pytest.approx(12.1768, rel=1e-3)


def test_what_a_calculator_refuses_points_to_the_spec() -> None:
    with pytest.raises(Refused) as refused:
        ring_length.work("tube in the ring", diameter=Quantity(0.0, "length", "0 in", "/plumbing/parts/ring/diameter"))
    assert refused.value.at == "/plumbing/parts/ring/diameter"
