"""Tolerances of inputs: low and high of decision figures, checked against specs that state the ends."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine import tolerances
from specc.model.values import Figure
from specc.testing import Patch, project, result_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
BORE: Patch = ("bore: 0.028 in", "bore: 0.028 in ± 0.002 in")
SET: Patch = ("set: 10 psi", "set: 10 psi ± 1 psi")
FLOW = "fuel.flow.ring"


def figure(tmp_path: Path, key: str, *patches: Patch, tolerance: bool = False) -> Figure:
    made = result_of(project(tmp_path, SAMPLE, *patches), tolerance=tolerance).figure(key)
    assert made is not None
    return made


def test_a_bores_tolerance_spreads_the_flow_as_direct_reruns_do(tmp_path: Path) -> None:
    spread = figure(tmp_path, FLOW, BORE, tolerance=True)
    small = figure(tmp_path, FLOW, ("bore: 0.028 in", "bore: 0.026 in"))
    large = figure(tmp_path, FLOW, ("bore: 0.028 in", "bore: 0.030 in"))
    assert spread.low is not None
    assert spread.high is not None
    assert spread.low < spread.si < spread.high
    assert spread.low == pytest.approx(small.si, rel=1e-9)
    assert spread.high == pytest.approx(large.si, rel=1e-9)
    assert [m.at for m in spread.movers] == ["/plumbing/parts/fo1/bore"]


def test_the_value_itself_is_that_without_tolerances(tmp_path: Path) -> None:
    assert figure(tmp_path, FLOW, BORE, tolerance=True).si == figure(tmp_path, FLOW).si


def test_movers_are_ranked_by_how_far_they_move_the_figure(tmp_path: Path) -> None:
    spread = figure(tmp_path, FLOW, BORE, SET, tolerance=True)
    assert [m.at for m in spread.movers] == ["/plumbing/parts/fo1/bore", "/plumbing/parts/pr1/set"]
    widths = [m.high - m.low for m in spread.movers]
    assert widths == sorted(widths, reverse=True)
    for patches, end in ((("set: 10 psi", "set: 9 psi"), "low"), (("set: 10 psi", "set: 11 psi"), "high")):
        assert getattr(spread.movers[1], end) == pytest.approx(figure(tmp_path, FLOW, patches).si, rel=1e-9)


def test_moves_add_up_the_worst_way(tmp_path: Path) -> None:
    alone = [figure(tmp_path, FLOW, patch, tolerance=True) for patch in (BORE, SET)]
    both = figure(tmp_path, FLOW, BORE, SET, tolerance=True)
    assert both.high is not None
    assert both.high - both.si == pytest.approx(sum((f.high or 0) - f.si for f in alone), rel=1e-9)
    assert both.low is not None
    assert both.si - both.low == pytest.approx(sum(f.si - (f.low or 0) for f in alone), rel=1e-9)


def test_a_figure_that_falls_when_its_input_rises(tmp_path: Path) -> None:
    """A larger bore leaves less in the cylinder."""
    key = "fuel.gas_left.tank_a"
    spread = figure(tmp_path, key, BORE, tolerance=True)
    assert spread.low == pytest.approx(figure(tmp_path, key, ("bore: 0.028 in", "bore: 0.030 in")).si, rel=1e-9)
    assert spread.high == pytest.approx(figure(tmp_path, key, ("bore: 0.028 in", "bore: 0.026 in")).si, rel=1e-9)


def test_uneven_tolerances_and_temperatures(tmp_path: Path) -> None:
    key = "fuel.cylinder_pressure_highest"
    spread = figure(tmp_path, key, ("high: 86 degF", "high: 86 degF +6/-2 degF"), tolerance=True)
    assert spread.low == pytest.approx(figure(tmp_path, key, ("high: 86 degF", "high: 84 degF")).si, rel=1e-9)
    assert spread.high == pytest.approx(figure(tmp_path, key, ("high: 86 degF", "high: 92 degF")).si, rel=1e-9)


def test_a_limits_tolerance_counts_too(tmp_path: Path) -> None:
    key, small = "fuel.run_time.tank_a", ("bore: 0.028 in", "bore: 0.014 in")  # it runs down to its reserve
    spread = figure(tmp_path, key, small, ("fuel.reserve: 30 %", "fuel.reserve: 30 % ± 5 %"), tolerance=True)
    assert spread.low == pytest.approx(figure(tmp_path, key, small, ("reserve: 30 %", "reserve: 35 %")).si, rel=1e-9)
    assert spread.high == pytest.approx(figure(tmp_path, key, small, ("reserve: 30 %", "reserve: 25 %")).si, rel=1e-9)
    assert [m.at for m in spread.movers] == ["/limits/fuel.reserve"]


def test_nothing_is_spread_without_tolerances_or_unasked(tmp_path: Path) -> None:
    assert [f.key for f in result_of(SAMPLE, tolerance=True).figures if f.low is not None] == []
    unasked = result_of(project(tmp_path, SAMPLE, BORE))
    assert [f.key for f in unasked.figures if f.low is not None] == []


def test_only_decision_figures_are_spread(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, SAMPLE, BORE), tolerance=True)
    spread = {f.key for f in result.figures if f.low is not None}
    assert FLOW in spread
    assert "fuel.gas_on_site" not in spread  # no way leads there from a bore
    assert all(f.decision for f in result.figures if f.key in spread)


def test_an_end_that_cannot_be_computed_gives_no_range(tmp_path: Path) -> None:
    spread = figure(tmp_path, FLOW, ("discharge: 0.85", "discharge: 0.85 ± 0.5"), tolerance=True)
    assert (spread.low, spread.high, spread.movers) == (None, None, ())


@pytest.mark.parametrize("most", [1, 2])
def test_more_tolerances_than_are_followed_are_counted_and_give_no_low_and_high(
    tmp_path: Path, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tolerances, "MOST", most)
    result = result_of(project(tmp_path, SAMPLE, BORE, SET), tolerance=True, only=("figure", "figures"))
    told = [f.message for f in result.findings if f.rule == "core.tolerances"]
    flow = result.figure(FLOW)
    assert flow is not None
    if most == 2:
        assert (told, flow.unsure) == ([], "")
        assert flow.low is not None
        return
    assert told == ["figures that decide come from 2 values with a tolerance, and 1 are followed at most"]
    assert flow.low is None
    assert "2 values with a tolerance" in flow.unsure


def test_a_show_that_is_long_for_its_tolerances_is_counted_and_not_followed_for_minutes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def told(most: int) -> list[str]:
        monkeypatch.setattr(tolerances, "MOST_EVENTS", most)
        result = result_of(project(tmp_path, SAMPLE, BORE, SET), tolerance=True)
        flow = result.figure(FLOW)
        assert flow is not None
        assert (flow.low is None) is (most == 3)
        return [f.message for f in result.findings if f.rule == "core.tolerances"]

    # Two scenes, each with one flame, on one night, for each of two values.
    assert told(4) == []
    show = "a show of 2 bursts and flames lit, and 1 are the most"
    assert told(3) == [f"figures that decide come from 2 values with a tolerance in {show}"]
