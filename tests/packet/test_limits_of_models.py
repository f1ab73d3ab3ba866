"""Limits of the models: what a packet's own tables compute is not said there to be left out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from specc.model.result import Result


@pytest.fixture(scope="module")
def told(complete: Callable[[str], Result]) -> tuple[str, str, set[str]]:
    made = complete("lantern_reeds")
    cells = " ".join(c for k, t in made.tables if k == "plumbing.if_this_fails" for r in t.rows for c in r.cells)
    limits = " ".join(" ".join(m.text.split()) for m in made.model_limits)
    return cells, limits, {f.key for f in made.figures}


def test_failures_that_are_computed_are_not_called_left_out(told: tuple[str, str, set[str]]) -> None:
    cells, limits, _ = told
    assert "flame to" in cells
    assert "failed open" in cells
    assert "not as a flame" not in limits
    assert "only the pressure before the jets" not in limits
    assert "the length of its flame are computed for valves that stick, regulators that fail open" in limits


def test_parts_beside_a_burst_held_open_are_computed(told: tuple[str, str, set[str]]) -> None:
    _, limits, figures = told
    assert any(key.startswith("flame.temperature_held_open") for key in figures)
    assert "with a burst held open is not computed" not in limits
    assert "Beside a burst held open those are computed" in limits


def test_excess_flow_is_computed_as_far_as_said(told: tuple[str, str, set[str]]) -> None:
    _, limits, _ = told
    assert "excess-flow valves, are not computed" not in limits
    assert "Whether an excess-flow device closes is computed for breaks alone" in limits
