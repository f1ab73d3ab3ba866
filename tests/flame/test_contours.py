"""Rings for the site plan: around all that is above a level, never inside the true line, and not far outside it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc.engine.road import Ask, travel
from specc.kinds.targets import CONTOURS, Contour
from specc_flame.calc.contours import CellGrid, Ring, flux_rings, reach_rings, rings
from specc_flame.calc.field import FlameSource, flux

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"


def inside(x: float, y: float, listed: tuple[Ring, ...]) -> bool:
    """By how often a ray east crosses the rings: a ring within another is a hole."""
    crossed = False
    for ring in listed:
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
            if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                crossed = not crossed
    return crossed


FLAMES = st.lists(
    st.builds(
        lambda x, y, heat, ball: FlameSource("f", x, y, 2.0, heat, 0.235 * (heat / 1e3) ** 0.4, 0.1, ball, drift=1.0),
        st.floats(-20, 20),
        st.floats(-20, 20),
        st.sampled_from([7e3, 6e4, 1.5e6]),
        st.sampled_from([0.0, 0.03]),
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=20, deadline=None)
@given(FLAMES, st.sampled_from([1420.0, 4730.0]))
def test_no_ring_of_heat_lies_inside_the_true_line(flames: list[FlameSource], level: float) -> None:
    """Looked at on spokes from each flame, where heat falls outward: two cells of 0.5 m outside it at most."""
    drawn = flux_rings(flames, level)

    def heat(x: float, y: float) -> float:
        return sum(flux(f, math.hypot(x - f.x, y - f.y), f.z) for f in flames)

    for f in flames:
        for k in range(12):
            dx, dy = math.cos(k * math.pi / 6 + 0.1), math.sin(k * math.pi / 6 + 0.1)
            for far in (0.3, 0.9, 2.0, 4.0, 6.5, 9.0, 12.0, 18.0):
                x, y = f.x + far * dx, f.y + far * dy
                if heat(x, y) > level:
                    assert inside(x, y, drawn)
                elif all(heat(x + a, y + b) <= level for a in (-1.5, 0, 1.5) for b in (-1.5, 0, 1.5)):
                    near = min(math.hypot(x - g.x, y - g.y) for g in flames)
                    assert near < 2.0 or not inside(x, y, drawn)


def test_rings_of_reach_hold_their_circles_and_leave_their_hole() -> None:
    circles = [(8 * math.cos(k * math.pi / 4), 8 * math.sin(k * math.pi / 4), 4.0) for k in range(8)]
    drawn = reach_rings(circles)
    assert len(drawn) == 2  # eight circles in a circle: around them, and the hole in their middle
    for x, y, radius in circles:
        for k in range(36):
            assert inside(x + 0.999 * radius * math.cos(k / 5.7), y + 0.999 * radius * math.sin(k / 5.7), drawn)
    assert not inside(0.0, 0.0, drawn)
    assert not inside(14.0, 0.0, drawn)


def test_cells_that_touch_at_a_corner_make_one_ring() -> None:
    cells = [[0.0] * 6 for _ in range(6)]
    cells[2][2] = cells[3][3] = 1.0
    assert len(rings(cells, CellGrid(0.0, 0.0, 1.0, 6, 6), 0.5)) == 1
    assert rings(cells, CellGrid(0.0, 0.0, 1.0, 6, 6), 2.0) == ()
    filled = rings([[1.0] * 3] * 3, CellGrid(0.0, 0.0, 1.0, 3, 3), 0.5)
    assert len(filled) == 1  # closed at the grid's edge
    assert inside(0.01, 0.01, filled)


@pytest.fixture(scope="module")
def contours() -> dict[str, tuple[Ring, ...]]:
    result = travel(
        str(REEDS),
        None,
        Ask(frozenset(), frozenset({"drawing site"})),
    )
    return {i.item.key: i.item.rings for i in result.items(CONTOURS.name) if isinstance(i.item, Contour)}


def test_the_sample_gives_both_rings_to_the_site_plan(contours: dict[str, tuple[Ring, ...]]) -> None:
    foot = 0.3048
    for listed in contours.values():
        assert inside(-6 * foot, 30 * foot, listed)  # the mast
        assert not inside(0.0, -40 * foot, listed)  # the rope
