"""Passes of earlier runs: the same answer as without, only to the same question, and never beside another's plugin."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from pathlib import Path
from types import MappingProxyType

import pytest

from specc.engine import remembered, road
from specc.engine.context import ContextOfPass
from specc.formulas.calculators import keep_answers
from specc.model.result import Result
from specc.model.view import View
from specc.testing import Patch, plugin_file, project, result_of

GARDEN = Path(__file__).parent / "samples" / "garden.yaml"
PATCHES: dict[str, tuple[Patch, ...]] = {
    "a place": (("places:\n", "places:\n  far_off: {at: [90 ft, 90 ft]}\n"),),
    "a limit": (("limits:\n", "limits:\n  fuel.lock_up: {value: 30 %, who: Ada Alder, source: her own}\n"),),
    "a value that is refused": (("elevation: ", "elevation: high, "),),
    # The network says that it lacks what this is: so it has to when it is handed out again.
    "a tag that no part describes": (("line: [pr1, h1, v1, fo1, ring]", "line: [pr1, h1, v1, what, fo1, ring]"),),
}
CLUB = """
from specc import *
SPECC_CONTRACT = 2
@rule('club.r', level='error', statement='s', source=CHOICE)
def f(ctx): return passed('l')
@hookimpl
def specc_passes(): return [f]
"""


@pytest.fixture(autouse=True)
def _afresh() -> Iterator[None]:
    remembered.forget()
    yield
    remembered.forget()


def told(result: Result) -> bytes:
    return repr(result).encode()


def variants(folder: Path) -> list[Path]:
    text = GARDEN.read_text(encoding="utf-8")
    made = [project(folder, GARDEN)]
    # One patch each, wherever its words first stand; the file keeps its name, so that places are the same.
    for what, ((old, new),) in PATCHES.items():
        (folder / what).mkdir()
        path = folder / what / "project.yaml"
        path.write_text(text.replace(old, new, 1) if old in text else text + new, encoding="utf-8")
        made.append(path)
    return made


def test_a_run_after_others_gives_what_it_gives_alone(tmp_path: Path) -> None:
    alone = []
    for path in variants(tmp_path):
        remembered.forget()
        alone.append((path, told(result_of(path, tolerance=True))))
    assert len({told_ for _, told_ in alone}) == len(alone)
    remembered.forget()
    for path, told_ in [*alone, *reversed(alone), *alone]:
        assert told(result_of(path, tolerance=True)) == told_, path


def test_what_reads_the_same_is_not_run_again_and_what_does_not_is(tmp_path: Path) -> None:
    calls: list[str] = []
    init = ContextOfPass.__init__

    def counted(self: ContextOfPass, run: object, held: object, case: object, *handed: object) -> None:
        if not handed:
            calls.append(held.pass_.id)  # type: ignore[attr-defined]
        init(self, run, held, case, *handed)  # type: ignore[arg-type]

    spec = project(tmp_path, GARDEN)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ContextOfPass, "__init__", counted)
        first = result_of(spec)
        whole = len(calls)
        calls.clear()
        again = result_of(spec)
        assert told(again) == told(first)
        assert len(calls) < 0.05 * whole  # what is blocked is tried again
        calls.clear()
        spec.write_text(GARDEN.read_text(encoding="utf-8").replace("elevation: ", "elevation: 1", 1), encoding="utf-8")
        result_of(spec)
        assert "core.air_pressure" in calls
        assert len(calls) < whole


def test_true_and_one_are_two_things() -> None:
    def memory(data: dict[str, object]) -> remembered.Memory:
        return remembered.Memory(data, frozenset(), {}, frozenset(), once=False)

    told_ = [memory({"show": {"n": n}})._roots["show"] for n in (1, True, 1.0, -0.0, 0.0, "1")]
    assert len(set(told_)) == len(told_)
    assert memory({"show": {"n": 1}})._roots["show"] == pickle.dumps({"n": 1}, pickle.HIGHEST_PROTOCOL)


def test_beside_another_s_plugin_every_pass_runs(tmp_path: Path) -> None:
    result_of(GARDEN)
    calls = []
    call = road.run.__globals__["Running"].call

    def counted(self: object, held: object) -> object:
        calls.append(held)
        return call(self, held)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(road.run.__globals__["Running"], "call", counted)
        result_of(GARDEN)
        few = len(calls)
        calls.clear()
        result_of(GARDEN, plugins=(plugin_file(tmp_path, "club", CLUB),))
    assert few < 20 < 200 < len(calls)


def test_no_more_runs_are_kept_than_are_said(tmp_path: Path) -> None:
    text = GARDEN.read_text(encoding="utf-8")
    for n in range(6):
        (tmp_path / "project.yaml").write_text(text.replace("elevation: ", f"elevation: {n}", 1), encoding="utf-8")
        result_of(tmp_path / "project.yaml")
    assert max(len(listed) for _, listed in remembered._GIVEN.values()) == remembered.MOST


def test_what_came_out_the_same_is_the_thing_of_the_run_before() -> None:
    before = MappingProxyType({"a": (1.0, "x"), "b": (2.0, "y")})
    assert remembered._as_before({"a": (1.0, "x"), "b": (2.0, "y")}, before) is before
    made = remembered._as_before({"a": (1.0, "x"), "b": (3.0, "y")}, before)
    assert made["a"] is before["a"]
    assert made["b"] == (3.0, "y")
    for one, other in ((True, 1), (1, 1.0), ((0.0,), (False,))):
        assert remembered._as_before(one, other) is one
    assert list(remembered._as_before({"a": 1, "b": 2}, {"b": 2, "a": 1})) == ["a", "b"]
    for data in ({"a": 1}, {}):  # what is read of it may depend on where it stands
        view = View(data)
        assert remembered._as_before(view, View(data)) is view


def test_spots_are_the_same_where_nothing_is_kept_of_a_try(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    spec = Path(__file__).parents[1] / "sample_projects/broken_mast/project.yaml"
    ask = road.Ask(kinds=road.CHECK, spots=True)
    kept = told(road.travel(str(spec), None, ask))
    assert b"would pass" in kept
    remembered.forget()
    monkeypatch.setattr(remembered, "_as_before", lambda value, before: value)
    monkeypatch.setattr(keep_answers, "__enter__", lambda self: self.kept.append({}) or self.kept.clear())
    monkeypatch.setattr(keep_answers, "__exit__", lambda *of_what: None)
    assert told(road.travel(str(spec), None, ask)) == kept
