"""Heat from all flames at a point of the site: an envelope over every lower flow, wind, side and head height.

Each flame lies straight at the target, level or rising, as far as its outlet's height allows, and none of its heat is
lost. So more gas, more flames or a nearer target never lowers it. Units: m, W, W/m2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from specc_flame.calc import fireball
from specc_flame.calc.flux import overhead, strength
from specc_flame.calc.height import buoyant
from specc_flame.calc.sources import BIAS

HEAD = 2.0  # m above the target's own ground: feet to raised heads


class FlameSource(NamedTuple):
    """A flame: where its outlet stands, its heat, mean length, how far its jets stand out, and its ball of gas."""

    tag: str
    x: float
    y: float
    z: float
    heat: float
    length: float
    offset: float = 0.0
    ball: float = 0.0  # kg
    heating_value: float = 46.35e6
    drift: float = 0.0  # m that the stop wind carries the ball while it burns


def surface(heat: float) -> float:
    """W/m2 at the flame's own surface: its radiation over a cylinder 0.17 of its length wide, as Heskestad has it."""
    length = buoyant(heat)
    return 4 * strength(heat) / (0.17 * length * length)


def flux(source: FlameSource, level: float, ground: float, head: float = HEAD) -> float:
    """W/m2 that one flame can send to somebody `level` m away on the level, who stands at height `ground`."""
    # Where somebody stands higher than the outlet, the flame rises straight at them.
    reach = math.hypot(level, max(0.0, ground - source.z)) - source.offset
    below = max(0.0, source.z - ground - head)
    most = surface(source.heat)
    if below <= 0 and reach <= source.length:
        worst = most
    else:
        worst = min(most, strength(source.heat) * overhead(max(reach, source.length / 2), below, source.length))
    return max(worst, ball_flux(source, level, ground, head)) if source.ball > 0 else worst


def ball_flux(source: FlameSource, level: float, ground: float, head: float = HEAD) -> float:
    width = fireball.diameter(source.ball)
    power = fireball.FIREBALL_SHARE.si * source.ball * source.heating_value / fireball.duration(source.ball)
    top = source.z + fireball.CENTER.si * width
    apart = max(0.0, source.z - ground - head, ground - top)
    away = math.hypot(max(0.0, level - source.offset - source.drift), apart)
    return BIAS.si * power / (4 * math.pi * max(away, width / 2) ** 2)


def stand_off(source: FlameSource, limit: float, ground: float = 0.0, head: float = HEAD) -> float:
    """m on the level from the outlet where one flame's heat has fallen to `limit`; rounded up by 1e-6 at most."""
    low, high = 0.0, 1.0
    while flux(source, high, ground, head) > limit:
        low, high = high, 2 * high
    if flux(source, 0.0, ground, head) <= limit:
        return 0.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        if flux(source, middle, ground, head) > limit:
            low = middle
        else:
            high = middle
    return high


def grid(
    sources: Sequence[FlameSource],
    west: float,
    south: float,
    step: float,
    columns: int,
    rows: int,
    ground: float | None = 0.0,
) -> list[list[float]]:
    """W/m2 on a grid of square cells, rows from the south: the most in each cell, so a contour of it lies never inside
    the true one. Each flame's heat is tabled by distance first; a cell takes the value at its nearest point or nearer.
    `ground`: None for that of each outlet, which gives height no credit.
    """
    field = [[0.0] * columns for _ in range(rows)]
    half, fine = step / 2, step / 4
    for s in sources:
        far = math.hypot(
            max(abs(s.x - west), abs(west + columns * step - s.x)),
            max(abs(s.y - south), abs(south + rows * step - s.y)),
        )
        foot = s.z if ground is None else ground
        table = [flux(s, i * fine, foot) for i in range(int(far / fine) + 2)]
        across = [max(0.0, abs(west + (i + 0.5) * step - s.x) - half) ** 2 for i in range(columns)]
        for j, row in enumerate(field):
            dy = max(0.0, abs(south + (j + 0.5) * step - s.y) - half) ** 2
            field[j] = [q + table[int(math.sqrt(dx + dy) / fine)] for q, dx in zip(row, across, strict=True)]
    return field
