"""How far apart bursts have to come, of a show with thousands of them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from specc_fuel.show_run import spacing
from specc_fuel.show_run.simulation import Opened


def weak_burst(number: int, opened: float) -> Opened:
    return Opened("1", "wisps", "tank", 10.0 * number, opened, 1e5, 5e4, 0.01, 0.0, True, True, f"/bursts/{opened}")


def test_bursts_that_are_alike_are_computed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []

    def refilling(vessel: object, opened: float, share: float, supply: float) -> float:
        asked.append(opened)
        return 10 * opened

    monkeypatch.setattr(spacing, "_refilling", refilling)
    bursts = [weak_burst(n, 0.5) for n in range(500)]
    bursts[0] = bursts[0]._replace(weak=False, late=False)  # a full accumulator
    bursts += [weak_burst(n, 0.9) for n in range(500, 1000)]
    history: Any = SimpleNamespace(bursts=bursts, lowest=2e5)
    supply: Any = SimpleNamespace(accumulators=(SimpleNamespace(tag="tank"),))
    # The first long burst follows a short one, so that no time between long ones alone would do.
    assert spacing.apart(history, supply, 0.9) == {"/bursts/0.5": pytest.approx(5.5)}
    assert asked == [0.5, 0.9]
