"""Ways on foot round what stands in the way.

A shortest way round obstacles turns only at their corners, so those are the only spots that are tried. A way keeps
`CLEAR` off every corner: it never slips through where two obstacles touch, and is never shorter than the true one by
more than a hair.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from specc.formulas.distances import distance
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges
from specc.kinds.places import Door, Spot
from specc.measure.units import FOOT
from specc.model.findings import Unchecked
from specc.model.wording import several

Spot2: TypeAlias = tuple[float, float]
Ring: TypeAlias = tuple[Spot2, ...]

CLEAR = 0.01
"""How far a way keeps off a corner, and half the width that a line (a rope, a fence) is given, in m."""


BESIDE_LANE = 20 * 0.3048
"""An exit so near a fire lane opens onto it, in m; specc default."""


NARROW = 0.3048
"""What nobody gets through, in m; specc default."""


AT_WALL = FOOT
"""How far off a wall the coordinates of its door may lie, in m: they are paced off; specc default."""

MOST_KEPT, FEW_ENDS = 4000, 4  # kept spots and ways: ground that many runs ask about does not grow without end


class Obstacle(NamedTuple):
    """What stands in the way: closed rings on the level (an area with its holes, or a line made CLEAR wide to both
    sides), in m. `top`: how high it reaches above the site's zero, None when that is not said. `climbed`: who is on it
    gets off at any side, and nobody walks through it. `openings`: of a building, by which alone one sees out and in."""

    tag: str
    rings: tuple[Ring, ...]
    top: float | None = None
    climbed: bool = False
    openings: tuple[Door, ...] | None = None


class Walk(NamedTuple):
    """A way on foot: its length in m and the spots it turns at, with both ends."""

    length: float
    spots: tuple[Spot2, ...]


def not_placed(places: Iterable[Spot], what: str) -> Iterator[Unchecked]:
    """Places that block something and have no coordinates: nobody knows whether they are in the way."""
    lost = [spot.tag for spot in places if what in spot.blocks and spot.shape is None]
    if lost:
        said = f"where {several(lost)} {'is' if len(lost) == 1 else 'are'}, in the way of {what} (area: or line:)"
        yield Unchecked(said, *(f"/places/{tag}/{key}" for tag in lost for key in ("area", "line")))


def obstacles_of(places: Iterable[Spot], what: str) -> tuple[Obstacle, ...]:
    """The places that block something ("walking", "sight"). A point blocks nothing: it has no size. An area of kind
    barrier is a fence round it: one walks about inside, and neither in nor out."""
    made = []
    for spot in places:
        if what not in spot.blocks or spot.shape is None:
            continue
        if what == "walking" and spot.kind == "barrier" and isinstance(spot.shape, Area):
            made += [Obstacle(spot.tag, (_thick(_flat(edge)),)) for edge in edges(spot.shape)]
        elif what == "walking" and spot.doors and isinstance(spot.shape, Area):
            walls = (piece for edge in edges(spot.shape) for piece in _between_doors(_flat(edge), spot.doors))
            made += [Obstacle(spot.tag, (_thick(piece),)) for piece in walls]
        elif rings := _rings(spot.shape):
            openings = spot.openings if what == "sight" and spot.kind == "building" else None
            made.append(Obstacle(spot.tag, rings, _top(spot), spot.climbed and what == "walking", openings))
    return tuple(made)


def _between_doors(wall: Ring, doors: Sequence[Door]) -> Iterator[Ring]:
    """What is left of a straight wall beside the doors that are in it."""
    a, b = wall
    size = math.dist(a, b)
    if not size:
        return
    ux, uy = _unit(a, b)
    gaps = []
    for door in doors:
        along = (door.at[0] - a[0]) * ux + (door.at[1] - a[1]) * uy
        off = abs((door.at[0] - a[0]) * uy - (door.at[1] - a[1]) * ux)
        if off <= AT_WALL * (1 + 1e-9) and -AT_WALL <= along <= size + AT_WALL:
            gaps.append((along - door.width / 2, along + door.width / 2))
    begin = 0.0
    for low, high in [*sorted(gaps), (size, size)]:
        if low > begin:
            yield tuple((a[0] + ux * t, a[1] + uy * t) for t in (begin, min(low, size)))
        begin = max(begin, high)


def _flat(points: Iterable[Point]) -> Ring:
    return tuple((p.x.si, p.y.si) for p in points)


def _top(spot: Spot) -> float | None:
    if spot.height is None or spot.shape is None:
        return None
    return max((p.z.si if p.z else 0.0) for p in corners(spot.shape)) + spot.height.si


def _rings(shape: Shape) -> tuple[Ring, ...]:
    if isinstance(shape, Area):
        outlines = (shape.outline, *shape.holes)
        return tuple(_turned(tuple((p.x.si, p.y.si) for p in ring), i > 0) for i, ring in enumerate(outlines))
    if isinstance(shape, Polyline):
        return (_thick(tuple((p.x.si, p.y.si) for p in shape.points)),)
    return ()


def _turned(ring: Ring, clockwise: bool) -> Ring:
    """The ring counter-clockwise (a hole clockwise), so that what is blocked lies on its left."""
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    return ring[::-1] if (area < 0) != clockwise else ring


def _thick(line: Ring) -> Ring:
    """A line made CLEAR wide to both sides and longer by it at both ends, as a ring."""
    points = [p for i, p in enumerate(line) if i == 0 or math.dist(p, line[i - 1]) > CLEAR / 10]
    if len(points) < 2:
        x, y = points[0]
        return ((x - CLEAR, y - CLEAR), (x + CLEAR, y - CLEAR), (x + CLEAR, y + CLEAR), (x - CLEAR, y + CLEAR))
    ways = [_unit(a, b) for a, b in itertools.pairwise(points)]
    first, last = ways[0], ways[-1]
    points[0] = (points[0][0] - first[0] * CLEAR, points[0][1] - first[1] * CLEAR)
    points[-1] = (points[-1][0] + last[0] * CLEAR, points[-1][1] + last[1] * CLEAR)
    right, left = [], []
    for i, (x, y) in enumerate(points):
        a, b = ways[max(i - 1, 0)], ways[min(i, len(ways) - 1)]
        # Square to the middle of both directions, longer at a bend; never so long that a spike grows out of it.
        nx, ny = -(a[1] + b[1]), a[0] + b[0]
        size = math.hypot(nx, ny)
        nx, ny = (nx / size, ny / size) if size > 0.2 else (-b[1], b[0])
        reach = CLEAR / max(0.2, nx * -b[1] + ny * b[0])
        left.append((x + nx * reach, y + ny * reach))
        right.append((x - nx * reach, y - ny * reach))
    return _turned((*right, *reversed(left)), clockwise=False)


def _unit(a: Spot2, b: Spot2) -> Spot2:
    size = math.dist(a, b)
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)


class Ground:
    """The level with its obstacles, for many ways: what is seen from where is worked out once."""

    def __init__(self, obstacles: Sequence[Obstacle]) -> None:
        self.obstacles = tuple(obstacles)
        self._edges: list[tuple[float, float, float, float, float, float, float, float]] = []
        self._boxes: list[tuple[float, float, float, float, int, int]] = []
        self._turns: list[tuple[Spot2, Spot2, Spot2]] = []
        for one in self.obstacles:
            first = len(self._edges)
            for ring in one.rings:
                for i, b in enumerate(ring):
                    a, c = ring[i - 1], ring[(i + 1) % len(ring)]
                    self._edges.append(
                        (a[0], a[1], b[0], b[1], min(a[0], b[0]), max(a[0], b[0]), min(a[1], b[1]), max(a[1], b[1]))
                    )
                    if _side(a, b, c) > 0:
                        self._turns.append((_off(a, b, c), a, c))
            flat = [p for ring in one.rings for p in ring]
            xs, ys = [p[0] for p in flat], [p[1] for p in flat]
            self._boxes.append((min(xs), max(xs), min(ys), max(ys), first, len(self._edges)))
        self._turns = [t for t in self._turns if not self.inside(t[0])]
        self._seen: dict[tuple[int, int], bool] = {}
        self._next: dict[int, tuple[tuple[int, float], ...]] = {}
        self._near: dict[Spot2, dict[int, float]] = {}
        self._walked: dict[tuple[Spot2, Spot2], Walk | None] = {}

    def inside(self, spot: Spot2) -> str:
        """The tag of an obstacle that a spot lies in, or ""."""
        x, y = spot
        for one, (x1, x2, y1, y2, first, end) in zip(self.obstacles, self._boxes, strict=True):
            if not (x1 <= x <= x2 and y1 <= y <= y2):
                continue
            odd = False
            for ax, ay, bx, by, *_ in self._edges[first:end]:
                if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                    odd = not odd
            if odd:
                return one.tag
        return ""

    def beside(self, spot: Spot2) -> tuple[Spot2, ...]:
        """Where one stands to reach a spot: there itself; of one that lies in an obstacle (a thing that stands in the
        way of others, or a line's own end) the nearest spots just out of it, none where others shut it in."""
        if not (tag := self.inside(spot)):
            return (spot,)
        made = []
        for one, (*_, first, end) in zip(self.obstacles, self._boxes, strict=True):
            for ax, ay, bx, by, *_ in self._edges[first:end] if one.tag == tag else ():
                dx, dy = bx - ax, by - ay
                size = math.hypot(dx, dy)
                if size == 0:
                    continue
                t = min(1.0, max(0.0, ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / size**2))
                # What is blocked lies to the left of an edge.
                out = (ax + t * dx + dy / size * 2 * CLEAR, ay + t * dy - dx / size * 2 * CLEAR)
                if not self.inside(out):
                    made.append((math.dist(spot, out), out))
        return tuple(out for _, out in sorted(made)[:4])

    def _off_it(self, spot: Spot2) -> list[Spot2]:
        """Where one stands who gets off what is climbed, at each side of it; none for a spot that is on no such."""
        tag = self.inside(spot)
        return list(self.beside(spot)) if any(o.climbed for o in self.obstacles if o.tag == tag) else []

    def sides(self, spot: Spot2) -> tuple[Spot2, ...]:
        """The spots beside a line that another spot lies on; none of one that lies on no line."""
        return tuple(s for s in self.beside(spot) if 0 < math.dist(s, spot) < 4 * CLEAR)

    def on_line(self, spot: Spot2) -> str:
        """Words for a finding where a spot lies on a line; else ""."""
        return f"; it stands on the line of {self.inside(spot)}, and the worse side counts" if self.sides(spot) else ""

    def free(self, a: Spot2, b: Spot2) -> bool:
        """Whether nothing stands between two spots, of which none lies in an obstacle. What is only touched by a
        corner on its own side is not in the way."""
        ax, ay = a
        bx, by = b
        dx, dy = bx - ax, by - ay
        low_x, high_x = (ax, bx) if ax < bx else (bx, ax)
        low_y, high_y = (ay, by) if ay < by else (by, ay)
        for x1, x2, y1, y2, first, end in self._boxes:
            if x1 > high_x or x2 < low_x or y1 > high_y or y2 < low_y:
                continue
            # All four corners of the box on one side of the line: nothing in it is met.
            p, q = dx * (y1 - ay), dx * (y2 - ay)
            r, s = dy * (x1 - ax), dy * (x2 - ax)
            sides = (p - r >= 0, p - s >= 0, q - r >= 0, q - s >= 0)
            if sides[0] == sides[1] == sides[2] == sides[3]:
                continue
            for cx, cy, ex, ey, low, high, low2, high2 in self._edges[first:end]:
                if low > high_x or high < low_x or low2 > high_y or high2 < low_y:
                    continue
                if (dx * (cy - ay) - dy * (cx - ax) >= 0) == (dx * (ey - ay) - dy * (ex - ax) >= 0):
                    continue
                gx, gy = ex - cx, ey - cy
                if (gx * (ay - cy) - gy * (ax - cx) >= 0) != (gx * (by - cy) - gy * (bx - cx) >= 0):
                    return False
        return True

    def walk(self, start: Spot2, ends: Sequence[Spot2]) -> tuple[Walk | None, ...]:
        """The shortest way from a spot to each of some ends; None where there is none, or one of both lies in an
        obstacle. The direct way is tried first; else corners are visited nearest first until all ends are. On which
        side of a line somebody or something stands that is put on it is not said: the worse side counts, but for what
        is at the same spot."""
        found: dict[int, Walk | None] = {}
        open_: set[int] = set()
        if outs := self._off_it(start):
            return self._climbed(start, outs, ends)
        if self.inside(start):
            sides = self.sides(start)
            walks = zip(*(self.walk(side, ends) for side in sides), strict=True) if sides else ((),) * len(ends)
            here = Walk(0.0, (start, start))
            return tuple(here if end == start else _worst(some) for end, some in zip(ends, walks, strict=True))
        for i, end in enumerate(ends):
            if self.inside(end):
                if (outs := self._off_it(end)) and (walk := self._climbed(end, outs, (start,))[0]):
                    found[i] = Walk(walk.length, walk.spots[::-1])
                elif (sides := self.sides(end)) and (walk := _worst(self.walk(start, sides))):
                    found[i] = walk
                continue
            if self.free(start, end):
                found[i] = Walk(math.dist(start, end), (start, end))
            elif (start, end) in self._walked:  # many rules ask, and each again for a spot that is tried for a place
                found[i] = self._walked[start, end]
            else:
                open_.add(i)
        if open_:
            asked = tuple(open_)
            self._search(start, ends, open_, found)
            if len(self._walked) >= MOST_KEPT:
                self._walked.clear()
            self._walked |= {(start, ends[i]): found.get(i) for i in asked}
        return tuple(found.get(i) for i in range(len(ends)))

    def leads(self, starts: Sequence[Spot2], ends: Sequence[Spot2]) -> bool:
        """Whether there is any way from one of some spots to one of others. Which is the shortest costs far more; spots
        that lie in an obstacle are left out."""
        starts = [s for s in starts if not self.inside(s)]
        ends = [e for e in ends if not self.inside(e)]
        if any(self.free(start, end) for start in starts for end in ends):
            return True
        met = {k for start in starts for k in self._corners_near(start)} if ends else set()
        left = list(met)
        while left:
            k = left.pop()
            here = self._turns[k][0]
            if any(self.free(end, here) for end in ends):
                return True
            new = [j for j, _ in self._corners_from(k) if j not in met]
            met.update(new)
            left += new
        return False

    def _climbed(self, start: Spot2, outs: Sequence[Spot2], ends: Sequence[Spot2]) -> tuple[Walk | None, ...]:
        """Ways from a spot on what is climbed: at which side one gets off is not said, so the longest way counts."""
        made: list[Walk | None] = []
        on = self.inside(start)
        by_out = [self.walk(out, [e for e in ends if self.inside(e) != on]) for out in outs]
        walks = iter(zip(*by_out, strict=True))
        for end in ends:
            if self.inside(end) == on:
                made.append(Walk(math.dist(start, end), (start, end)))
                continue
            known = [
                Walk(math.dist(start, out) + w.length, (start, *w.spots))
                for out, w in zip(outs, next(walks), strict=True)
                if w is not None
            ]
            made.append(max(known, default=None, key=lambda w: w.length))
        return tuple(made)

    def _search(self, start: Spot2, ends: Sequence[Spot2], open_: set[int], found: dict[int, Walk | None]) -> None:
        """From the start over corners until all ends are reached or nothing is left, those first by which a way would
        be shortest if it went on straight to the nearest end (A*; with many ends that saves nothing)."""
        best = [math.inf] * len(self._turns)
        before = [-1] * len(self._turns)
        done = [False] * len(self._turns)
        reach: dict[int, tuple[float, int]] = {}
        queue: list[tuple[float, int, int]] = []  # at least so far in all, 0 for a corner or 1 for an end, which
        last = {i: self._corners_near(ends[i]) for i in open_}
        aims = [ends[i] for i in sorted(open_)] if len(open_) <= FEW_ENDS else []
        near: Iterable[tuple[int, float]] = self._corners_near(start).items()
        length, k = 0.0, -1
        while True:
            for j, further in near:
                far = length + further
                if far < best[j] and not done[j]:
                    best[j], before[j] = far, k
                    least = min((math.dist(self._turns[j][0], aim) for aim in aims), default=0.0)
                    heapq.heappush(queue, (far + least, 0, j))
            near = ()
            if not (queue and open_):
                return
            whole, is_end, k = heapq.heappop(queue)
            if is_end:
                if k in open_ and whole == reach[k][0]:
                    open_.discard(k)
                    found[k] = Walk(whole, _back(start, ends[k], reach[k][1], before, self._turns))
            elif not done[k]:
                done[k] = True
                length = best[k]
                for i in open_:
                    whole = length + last[i].get(k, math.inf)
                    if whole < reach.get(i, (math.inf, 0))[0]:
                        reach[i] = (whole, k)
                        heapq.heappush(queue, (whole, 1, i))
                near = self._corners_from(k)

    def _corners_near(self, spot: Spot2) -> dict[int, float]:
        """The corners that are seen from a spot, with how far they are: worked out once a spot."""
        if spot not in self._near:
            if len(self._near) >= MOST_KEPT:
                self._near.clear()
            self._near[spot] = {
                k: math.dist(spot, there) for k, (there, _, _) in enumerate(self._turns) if self.free(spot, there)
            }
        return self._near[spot]

    def _corners_from(self, k: int) -> tuple[tuple[int, float], ...]:
        """The corners that a way may turn at next after one, with how far they are: worked out once a corner, and for
        those alone that a way gets to."""
        if k not in self._next:
            here = self._turns[k][0]
            self._next[k] = tuple(
                (j, math.dist(here, there))
                for j, (there, a, c) in enumerate(self._turns)
                if j != k and _round(here, there, a, c) and self._sees(k, j)
            )
        return self._next[k]

    def _sees(self, i: int, k: int) -> bool:
        key = (i, k) if i < k else (k, i)
        if key not in self._seen:
            self._seen[key] = self.free(self._turns[i][0], self._turns[k][0])
        return self._seen[key]


def _worst(walks: Sequence[Walk | None]) -> Walk | None:
    """The longest of some ways; None where there is none from somewhere."""
    known = [w for w in walks if w is not None]
    return max(known, default=None, key=lambda w: w.length) if len(known) == len(walks) else None


def _side(a: Spot2, b: Spot2, c: Spot2) -> float:
    """More than 0 where c lies to the left of the line from a through b."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _off(a: Spot2, b: Spot2, c: Spot2) -> Spot2:
    """A spot beside a corner b, out of the obstacle, CLEAR off both of its edges (nearer to a very sharp tip's)."""
    u, v = _unit(a, b), _unit(c, b)
    x, y = u[0] + v[0], u[1] + v[1]
    size = math.hypot(x, y)
    if size < 1e-9:
        return (b[0] + u[1] * CLEAR, b[1] - u[0] * CLEAR)
    sine = abs(u[0] * y - u[1] * x) / size
    reach = CLEAR / max(sine, 0.2)
    return (b[0] + x / size * reach, b[1] + y / size * reach)


def _round(here: Spot2, spot: Spot2, a: Spot2, c: Spot2) -> bool:
    """Whether a way from `here` can be a shortest one that turns at a corner: it must touch the corner from outside,
    not run at its tip head on with both neighbors on different sides."""
    left, right = _side(here, spot, a), _side(here, spot, c)
    return left * right >= 0 or min(abs(left), abs(right)) < 4 * CLEAR * max(1.0, math.dist(here, spot))


def _back(
    start: Spot2, end: Spot2, last: int, before: Sequence[int], turns: Sequence[tuple[Spot2, Spot2, Spot2]]
) -> tuple[Spot2, ...]:
    spots = [end]
    while last >= 0:
        spots.append(turns[last][0])
        last = before[last]
    return (start, *reversed(spots)) if spots[-1] != start else tuple(reversed(spots))


@lru_cache(maxsize=8)
def ground(obstacles: tuple[Obstacle, ...], gap: float = NARROW) -> Ground:
    """The ground with these obstacles, made once for all who ask about the same ones. What is no wider than `gap`
    between two of them is closed: nobody gets through it with an extinguisher."""
    return Ground((*obstacles, *_closed(obstacles, gap)))


def _closed(obstacles: Sequence[Obstacle], gap: float) -> Iterator[Obstacle]:
    """What closes the narrow gaps between obstacles; those that touch leave none."""
    most = gap * (1 + 1e-9) - 2 * CLEAR  # a line is drawn so much wider
    boxes = [_box([p for ring in one.rings for p in ring]) for one in obstacles]
    for (one, a), (other, b) in itertools.combinations(zip(obstacles, boxes, strict=True), 2):
        if a[0] > b[1] + gap or b[0] > a[1] + gap or a[2] > b[3] + gap or b[2] > a[3] + gap:
            continue
        apart, here, there = _between(one.rings, other.rings, gap)
        if CLEAR / 10 < apart <= most:
            yield Obstacle(f"{one.tag} to {other.tag}", (_thick((here, there)),))


def _box(spots: Sequence[Spot2]) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in spots], [p[1] for p in spots]
    return min(xs), max(xs), min(ys), max(ys)


@lru_cache(maxsize=2048)
def _between(one: tuple[Ring, ...], other: tuple[Ring, ...], gap: float) -> tuple[float, Spot2, Spot2]:
    """The least distance from a corner of rings to an edge of others, either way, and its ends; infinite where it is
    more than the gap that is asked about. Kept, since one ground is another with a thing more."""
    best = (math.inf, (0.0, 0.0), (0.0, 0.0))
    for mine, theirs in ((one, other), (other, one)):
        low_x, high_x, low_y, high_y = _box([p for ring in theirs for p in ring])
        pairs = (pair for ring in theirs for pair in itertools.pairwise((ring[-1], *ring)))
        edges = [(*a, b[0] - a[0], b[1] - a[1]) for a, b in pairs]
        for spot in (p for ring in mine for p in ring):
            x, y = spot
            if x < low_x - gap or x > high_x + gap or y < low_y - gap or y > high_y + gap:
                continue
            for ax, ay, dx, dy in edges:
                size = dx * dx + dy * dy
                t = max(0.0, min(1.0, ((x - ax) * dx + (y - ay) * dy) / size)) if size else 0.0
                foot = (ax + t * dx, ay + t * dy)
                if (far := math.dist(spot, foot)) < best[0]:
                    best = (far, spot, foot)
            if best[0] <= CLEAR / 10:  # they touch: nothing is nearer in a way that counts
                return best
    return best


def kept_for_help(spots: Sequence[Spot], meet: str) -> list[str]:
    """Exits where help comes in: where it is met, or beside the fire lane; none where there is no other exit."""
    lanes = [s.shape for s in spots if s.kind == "fire_lane" and s.shape]
    exits = [s for s in spots if s.kind == "exit"]
    kept = [
        s.tag for s in exits
        if s.tag == meet or (s.shape and any(distance(s.shape, lane).si < BESIDE_LANE for lane in lanes))
    ]  # fmt: skip
    return kept if len(kept) < len(exits) else []


__all__ = ["CLEAR", "Ground", "Obstacle", "Walk", "ground", "kept_for_help", "obstacles_of"]
