"""What is remembered of networks and shows that were solved before: the same answer, and only to the same question."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine import remembered
from specc.model.result import Result
from specc.testing import result_of
from specc_fuel.network import piece_solver
from specc_fuel.show_run.simulation import all_supplies

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "garden_brazier" / "project.yaml"
FIGURES = ("figure", "figures")


def forget() -> None:
    remembered.forget()
    piece_solver._SOLVED.clear()
    all_supplies._remembered.cache_clear()


def told(result: Result) -> list[tuple[str, object]]:
    return [(f.key, [(c.case, c.worked.si) for c in f.cases]) for f in result.figures]


@pytest.fixture
def changed(tmp_path: Path) -> Path:
    """The sample on a warmer day: another gas, other pressures in the cylinders, the same parts."""
    text = SAMPLE.read_text(encoding="utf-8")
    assert "high: 86 °F" in text
    path = tmp_path / "project.yaml"
    path.write_text(text.replace("high: 86 °F", "high: 95 °F", 1), encoding="utf-8")
    return path


def test_a_run_after_others_gives_what_it_gives_alone(changed: Path) -> None:
    alone = {}
    for path in (SAMPLE, changed):
        forget()
        alone[path] = told(result_of(path, only=FIGURES))
    forget()
    for path in (SAMPLE, changed, SAMPLE, changed):
        assert told(result_of(path, only=FIGURES)) == alone[path]
    assert alone[SAMPLE] != alone[changed]


def test_what_is_asked_again_is_not_solved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    forget()
    first = told(result_of(SAMPLE, only=FIGURES))

    def never(*_: object, **__: object) -> None:
        raise AssertionError("solved again")

    monkeypatch.setattr(piece_solver, "_solve", never)
    monkeypatch.setattr(all_supplies.SupplyRun, "nights", never)
    assert told(result_of(SAMPLE, only=FIGURES)) == first
    forget()
    assert any(f.rule == "plugin.crash" for f in result_of(SAMPLE, only=FIGURES).findings)


def test_no_more_is_kept_than_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    forget()
    result_of(SAMPLE, only=FIGURES)
    sizes = [len(s.pressure) + len(s.flow) for s in piece_solver._SOLVED.values()]
    forget()
    most = sum(sizes) // 2
    assert most > max(sizes)
    monkeypatch.setattr(piece_solver, "_MOST_KEPT", most)
    result_of(SAMPLE, only=FIGURES)
    assert 0 < sum(len(s.pressure) + len(s.flow) for s in piece_solver._SOLVED.values()) <= most
