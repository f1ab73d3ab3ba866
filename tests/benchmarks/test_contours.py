"""Rings around ten flames on a site of 100 m by 100 m, in cells of 0.5 m. Measured 2026-11-29: 0.3 s."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from measures import busy

from specc_flame.calc.contours import CellGrid, around, flux_rings, reach_rings
from specc_flame.calc.field import FlameSource

pytestmark = pytest.mark.benchmark
SECONDS = 1.0
# Ten bursts of an ounce: at the corners of 80 m by 80 m, on its sides and within it.
PLACES = [(10, 10), (90, 10), (90, 90), (10, 90), (50, 10), (90, 50), (50, 90), (10, 50), (40, 45), (62, 58)]
FLAMES = [
    FlameSource(str(i), float(x), float(y), 3.0, 1.6e6, 4.5, 0.0, 0.03, drift=1.0) for i, (x, y) in enumerate(PLACES)
]


def test_ten_effects_on_a_hectare_are_contoured_in_time() -> None:
    box = around([(f.x, f.y, 8.0) for f in FLAMES], 0.5)
    assert box.step == 0.5
    assert box.columns >= 190  # 96 m
    assert isinstance(box, CellGrid)

    def both() -> None:
        assert len(flux_rings(FLAMES, 1420.0)) >= 1
        assert len(reach_rings([(f.x, f.y, 6.7) for f in FLAMES])) == 10

    assert min(busy(both) for _ in range(3)) < SECONDS
