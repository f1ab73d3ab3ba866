"""A few mutated samples in each run of the suite, and every case that once failed. `.ci/run` searches for a minute."""

from __future__ import annotations

import shutil
import sys
import threading
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import fuzzing
from fuzzing import ODD, ROOT, Fault, case, fault_of, nodes, structured

# Here only a hang without end counts: beside other tests on a busy machine, ten seconds of the processor can pass.
fuzzing.HANG = 60

# What was found once: in which sample, what was written instead of what.
KEPT = [
    ("garden_brazier", "method: welded", "method: é"),
    ("garden_brazier", "made: 2023-08", "made: -0.0"),
    ("garden_brazier", "      - h1: {is", "      - [1 ft, 2 ft]\n      - h1: {is"),
    ("lantern_reeds", "lasts: 30 min", "lasts: 499999 min"),
    ("lantern_reeds", "2027-09-18]", "9999-12-31]"),
    ("broken_mast", "age: 44", "age: -0.0"),
    ("broken_mast", "stray: {kind: burner", "stray: {kind: -1"),
    ("broken_mast", "place: [locker, rail]", "place: [locker, rail, locker]"),
    ("broken_mast", "lamps: {from: m1, ", "lamps: {from: {m1: 1}, "),
    ("lantern_reeds", "out: [pr2, rv1]", "out: [pr00000, rv1]"),
]


@pytest.mark.parametrize(("sample", "old", "new"), KEPT)
def test_a_fault_that_was_found_stays_mended(sample: str, old: str, new: str, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sample_projects" / sample, tmp_path / sample)
    spec = tmp_path / sample / "project.yaml"
    told = [f for f in spec.parent.glob("*.yaml") if old in f.read_text(encoding="utf-8")]
    assert told
    for file in told:
        file.write_text(file.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    assert fault_of(["check", str(spec), "--format", "json"]) is None


def test_of_a_part_of_no_known_kind_nothing_is_read(tmp_path: Path) -> None:
    """What its keys mean hangs on its kind: a bill of parts read the plain number there and crashed."""
    shutil.copytree(ROOT / "sample_projects" / "broken_mast", tmp_path / "broken_mast")
    spec = tmp_path / "broken_mast" / "project.yaml"
    text = spec.read_text(encoding="utf-8")
    spec.write_text(text.replace("kind: burner, form: open_end", "kind: -1, form: open_end"), encoding="utf-8")
    assert fault_of(["compile", str(spec), "-o", str(tmp_path / "out.pdf")]) is None


def test_a_plan_without_a_stand_off_has_room_for_its_contours(tmp_path: Path) -> None:
    """Where a distance was not read no stand-off was known, and the edge of the flames ran off the plan's sheet."""
    shutil.copytree(ROOT / "sample_projects" / "broken_mast", tmp_path / "broken_mast")
    spec = tmp_path / "broken_mast" / "project.yaml"
    text = spec.read_text(encoding="utf-8")
    assert ", distance: {lamp_1: 3 in}" in text
    spec.write_text(text.replace("distance: {lamp_1: 3 in}", "distance: null"), encoding="utf-8")
    assert fault_of(["compile", str(spec), "-o", str(tmp_path / "out.pdf")]) is None


@pytest.mark.parametrize(("seed", "number"), [(20, n) for n in range(12)])
def test_a_mutated_sample_ends_in_findings(seed: int, number: int, tmp_path: Path) -> None:
    _, words = case(seed, number, tmp_path)
    assert fault_of(words) is None, f"tests/fuzz/fuzzing.py --seed {seed} --case {number}"


def test_a_case_is_the_same_each_time(tmp_path: Path) -> None:
    made = [case(5, 3, tmp_path / name)[0].read_bytes() for name in ("a", "b")]
    assert made[0] == made[1]
    assert made[0] != case(5, 4, tmp_path / "c")[0].read_bytes()


def test_mutations_change_values_at_every_depth() -> None:
    from random import Random

    data = {"a": {"b": [1, {"c": "2 ft"}]}}
    assert ("a", "b", 1, "c") in set(nodes(data))
    made = [structured(data, Random(n)) for n in range(90)]
    assert data == {"a": {"b": [1, {"c": "2 ft"}]}}
    assert sum(one != data for one in made) > 50
    assert sum(repr(odd) in repr(made) for odd in ODD if isinstance(odd, str) and len(odd) > 3) > 5


def test_a_crash_of_a_built_in_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    import specc_materials.joined as joined

    spec = ROOT / "sample_projects/garden_brazier/project.yaml"
    monkeypatch.setattr(joined, "JoinedParts", None)
    fault = fault_of(["check", str(spec), "--format", "json"])
    assert isinstance(fault, Fault)
    assert "materials.joined" in fault.kind


@pytest.mark.parametrize(
    ("runs", "kind"),
    [
        ("while True: pass", "longer than"),
        ("threading.Event().wait()", "longer than"),
        ("return 4", "exit code 4"),
        ("raise KeyError(1)", "KeyError"),
        ("print('Traceback (most recent call last):', file=sys.stderr); return 1", "a traceback"),
    ],
)
def test_what_a_run_may_not_do_is_a_fault(runs: str, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    import specc.cli

    made: dict[str, object] = {"sys": sys, "threading": threading}
    exec(f"def main(words):\n    {runs}", made)
    monkeypatch.setattr(specc.cli, "main", made["main"])
    monkeypatch.setattr(fuzzing, "HANG", 0.2)
    monkeypatch.setattr(fuzzing, "WAIT", 0.5)
    fault = fault_of(["check", "project.yaml"])
    assert fault
    assert fault.kind.startswith(kind)


def test_a_scene_without_effects_is_still_laid_out(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sample_projects/broken_mast", tmp_path / "mast")
    spec = tmp_path / "mast/project.yaml"
    text = spec.read_text(encoding="utf-8")
    old = ", steady: [deck_lamp, bow_lamp]"
    assert old in text
    spec.write_text(text.replace(old, ""), encoding="utf-8")
    assert fault_of(["compile", str(spec), "-o", str(tmp_path / "out.pdf")]) is None
