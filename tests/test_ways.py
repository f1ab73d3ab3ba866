"""Ways on foot against a visibility graph of another make, and sight lines by hand.

The other graph stands on every corner itself, takes networkx's shortest path, and asks whether a piece of a way lies in
an obstacle by clipping it at the half-planes of convex shapes: nothing of it is shared with `specc.formulas.ways`.
"""

from __future__ import annotations

import math
import random
from itertools import combinations

import networkx
import pytest

from specc.formulas.sight import in_sight
from specc.formulas.ways import CLEAR, Ground, Obstacle, obstacles_of
from specc.kinds.geometry import Area, Point, Polyline
from specc.kinds.places import Spot as PlaceSpot
from specc.model.values import Quantity

Spot = tuple[float, float]
WALL = ((0.0, -5.0), (1.0, -5.0), (1.0, 5.0), (0.0, 5.0))


def turned_square(x: float, y: float, half: float, angle: float) -> tuple[Spot, ...]:
    return tuple(
        (x + half * math.cos(angle + k * math.pi / 2), y + half * math.sin(angle + k * math.pi / 2)) for k in range(4)
    )


def clipped(a: Spot, b: Spot, ring: tuple[Spot, ...]) -> bool:
    """Whether more than a hair of the piece from a to b lies within a convex ring (counter-clockwise)."""
    low, high = 0.0, 1.0
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        nx, ny = y1 - y2, x2 - x1  # points inward
        at_a = nx * (a[0] - x1) + ny * (a[1] - y1)
        at_b = nx * (b[0] - x1) + ny * (b[1] - y1)
        if at_a <= 1e-9 and at_b <= 1e-9:  # along its edge is beside it
            return False
        if at_a == at_b:
            continue
        t = at_a / (at_a - at_b)
        if at_a < at_b:
            low = max(low, t)
        else:
            high = min(high, t)
    return (high - low) * math.dist(a, b) > 1e-7


def is_free(a: Spot, b: Spot, rings: list[tuple[Spot, ...]]) -> bool:
    return not any(clipped(a, b, ring) for ring in rings)


def free_lines(spots: list[Spot], rings: list[tuple[Spot, ...]]) -> networkx.Graph:
    """The lines between these spots that pass no ring: the same for every end of a way."""
    graph = networkx.Graph()
    graph.add_nodes_from(spots)
    graph.add_weighted_edges_from((a, b, math.dist(a, b)) for a, b in combinations(spots, 2) if is_free(a, b, rings))
    return graph


def by_networkx(start: Spot, end: Spot, rings: list[tuple[Spot, ...]], lines: networkx.Graph) -> float:
    graph = lines.copy()
    graph.add_weighted_edges_from((a, end, math.dist(a, end)) for a in lines if is_free(a, end, rings))
    try:
        return float(networkx.shortest_path_length(graph, start, end, weight="weight"))
    except (networkx.NetworkXNoPath, networkx.NodeNotFound):
        return math.inf


@pytest.mark.parametrize("seed", range(25))
def test_ways_are_those_of_a_graph_of_another_make(seed: int) -> None:
    made = random.Random(seed)
    rings: list[tuple[Spot, ...]] = []
    circles: list[tuple[float, float, float]] = []
    while len(rings) < 12:
        x, y, half = made.uniform(0, 40), made.uniform(0, 40), made.uniform(1, 6)
        if all(math.hypot(x - u, y - v) > half + w + 0.2 for u, v, w in circles):
            circles.append((x, y, half))
            rings.append(turned_square(x, y, half, made.uniform(0, 2)))
    ground = Ground([Obstacle(str(i), (ring,)) for i, ring in enumerate(rings)])
    outside = [p for p in ((made.uniform(-2, 42), made.uniform(-2, 42)) for _ in range(30)) if not ground.inside(p)]
    start, ends = outside[0], outside[1:9]
    lines = free_lines([start, *(p for ring in rings for p in ring)], rings)
    turned = 0
    for end, walk in zip(ends, ground.walk(start, ends), strict=True):
        assert walk is not None
        assert sum(math.dist(p, q) for p, q in zip(walk.spots, walk.spots[1:], strict=False)) == pytest.approx(
            walk.length
        )
        theirs = by_networkx(start, end, rings, lines)
        assert theirs - 1e-6 <= walk.length <= theirs + 4 * CLEAR * len(walk.spots)
        turned += len(walk.spots) > 2
    assert turned or seed, "some way goes round something"


def test_a_wall_is_walked_round_and_a_closed_ring_is_not_left() -> None:
    ground = Ground([Obstacle("wall", (WALL,))])
    (walk,) = ground.walk((-3.0, 0.0), [(4.0, 0.0)])
    assert walk is not None
    assert walk.length == pytest.approx(2 * math.hypot(3, 5) + 1, abs=6 * CLEAR)
    moat = Obstacle(
        "moat",
        (((-9.0, -9.0), (9.0, -9.0), (9.0, 9.0), (-9.0, 9.0)), ((-8.0, -8.0), (-8.0, 8.0), (8.0, 8.0), (8.0, -8.0))),
    )
    assert Ground([moat]).walk((0.0, 0.0), [(20.0, 0.0), (5.0, 5.0)])[0] is None
    assert Ground([moat]).walk((0.0, 0.0), [(5.0, 5.0)])[0] is not None
    assert Ground([moat]).inside((8.5, 0.0)) == "moat"


def test_nobody_slips_between_two_obstacles_that_touch() -> None:
    left, right = ((0.0, 0.0), (2.0, 0.0), (2.0, 4.0), (0.0, 4.0)), ((2.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 4.0))
    (walk,) = Ground([Obstacle("a", (left,)), Obstacle("b", (right,))]).walk((2.0, -1.0), [(2.0, 5.0)])
    assert walk is not None
    assert walk.length > 6 + 2 * (math.sqrt(5) - 2)


def test_what_is_low_is_looked_over_and_what_says_no_height_is_not() -> None:
    eye, target = (-3.0, 0.0, 1.7), (4.0, 0.0, 1.7)
    assert in_sight(eye, target, [Obstacle("wall", (WALL,), 1.0)]) == ()
    assert in_sight(eye, target, [Obstacle("wall", (WALL,), 2.0)]) == ("wall",)
    assert in_sight(eye, target, [Obstacle("wall", (WALL,))]) == ("wall",)
    assert in_sight(eye, (4.0, 0.0, 30.0), [Obstacle("wall", (WALL,), 2.0)]) == ()
    assert in_sight(eye, (4.0, 20.0, 1.7), [Obstacle("wall", (WALL,))]) == ()
    assert in_sight((0.5, 0.0, 1.7), target, [Obstacle("tent", (WALL,))]) == ()


def test_a_spot_in_an_obstacle_is_reached_from_beside_it() -> None:
    ground = Ground([Obstacle("wall", (WALL,))])
    assert ground.beside((-3.0, 0.0)) == ((-3.0, 0.0),)
    within = (0.5, 0.0)
    spots = ground.beside(within)
    assert spots
    assert all(not ground.inside(s) for s in spots)
    assert math.dist(within, spots[0]) == pytest.approx(0.5, abs=3 * CLEAR)
    shut = Obstacle("pit", (((-9.0, -9.0), (9.0, -9.0), (9.0, 9.0), (-9.0, 9.0)),))
    assert Ground([Obstacle("wall", (WALL,)), shut]).beside(within) == ()


def fence(*points: Spot) -> PlaceSpot:
    ring = Area(tuple(Point(*(Quantity(v, "length", f"{v} m") for v in p)) for p in points))
    return PlaceSpot("fence", None, points, "", "/places/fence", ring, None, ("walking",), "barrier")


def test_a_barrier_drawn_as_an_area_is_a_fence_round_it() -> None:
    level = Ground(obstacles_of([fence((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))], "walking"))
    inside, outside = level.walk((2.0, 2.0), [(8.0, 8.0), (12.0, 5.0)])
    assert inside is not None
    assert inside.length == pytest.approx(math.hypot(6, 6))
    assert outside is None


def test_of_somebody_posted_at_a_line_the_worse_side_counts() -> None:
    line = PlaceSpot(
        "rope", None, None, "", "/places/rope",
        Polyline(tuple(Point(Quantity(0.0, "length", "0 m"), Quantity(y, "length", f"{y} m")) for y in (-5.0, 5.0))),
        None, ("walking",), "barrier",
    )  # fmt: skip
    (walk,) = Ground(obstacles_of([line], "walking")).walk((0.0, 0.0), [(3.0, 0.0)])
    assert walk is not None
    assert walk.length == pytest.approx(5 + math.hypot(3, 5), abs=0.1)
    shut = fence((-9.0, -5.0), (0.0, -5.0), (0.0, 5.0), (-9.0, 5.0))
    assert Ground(obstacles_of([shut], "walking")).walk((0.0, 0.0), [(3.0, 0.0)]) == (None,)


@pytest.mark.parametrize(
    ("eye", "target", "hidden"),
    [
        ((-5.0, 0.0), (1.0, 0.0), True),  # on its far side
        ((-5.0, 0.0), (0.0, 0.0), False),  # on its near side
        ((0.0, 0.0), (5.0, 0.0), True),  # the eye at its near side, and it lies between
        ((0.0, 0.0), (-5.0, 0.0), False),
        ((0.5, 0.0), (5.0, 0.0), False),  # in it
        ((-5.0, 0.0), (0.5, 0.0), False),
    ],
)
def test_what_only_touches_an_end_hides_where_the_line_runs_through_it(eye: Spot, target: Spot, hidden: bool) -> None:
    """A van that stands at the crowd's edge, exactly: what is behind it is not seen."""
    assert in_sight((*eye, 1.5), (*target, 1.5), [Obstacle("wall", (WALL,))]) == (("wall",) if hidden else ())
