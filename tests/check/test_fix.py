"""`check --fix`: certain edits, all other bytes kept, and exactly the findings left that were announced."""

from __future__ import annotations

import json
import random
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from specc.cli import main
from specc.spec.certain import SAFETY, certain, certain_unit

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
FAULTY = SAMPLES.parent / "tests" / "samples" / "faulty.yaml"
KEY = re.compile(r"(?<=[{, ])([a-z_]{5,})(?=: )")
LENGTH = re.compile(r"(?<=\d )ft(?=[,\]}])")


def copied(tmp_path: Path, sample: str) -> Path:
    if sample == "faulty":
        (tmp_path / sample).mkdir()
        return shutil.copy(FAULTY, tmp_path / sample / "project.yaml")
    shutil.copytree(SAMPLES / sample, tmp_path / sample)
    return tmp_path / sample / "project.yaml"


def spoiled(text: str, chance: random.Random) -> str:
    """A text with a few keys and units misspelt."""
    for _ in range(chance.randint(1, 5)):
        pattern, make = chance.choice([(KEY, _misspelt), (LENGTH, lambda _word, _chance: "feets")])
        spots = [m for m in pattern.finditer(text) if "#" not in text[text.rfind("\n", 0, m.start()) : m.start()]]
        if spots:
            spot = chance.choice(spots)
            text = text[: spot.start()] + make(spot[0], chance) + text[spot.end() :]
    return text


def _misspelt(word: str, chance: random.Random) -> str:
    i = chance.randrange(1, len(word) - 1)
    return chance.choice(
        [word[:i] + word[i + 1 :], word[: i + 1] + word[i:], word[:i] + word[i + 1] + word[i] + word[i + 2 :]]
    )


def files(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    main(["check", *words, "--format", "json"])
    shown: dict[str, Any] = json.loads(capsys.readouterr().out)["files"][0]
    return shown


@pytest.mark.parametrize("sample", ["garden_brazier", "lantern_reeds", "faulty", "broken_mast"])
@pytest.mark.parametrize("seed", range(4))
def test_what_is_left_is_what_was_announced(
    sample: str, seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = copied(tmp_path, sample)
    chance = random.Random(seed)
    before = {}
    for path in spec.parent.glob("*.yaml"):
        if "private" not in path.name:
            path.write_text(spoiled(path.read_text(encoding="utf-8"), chance), encoding="utf-8")
            before[path] = path.read_bytes()
    announced = files(capsys, str(spec), "--fix")
    assert {path: path.read_bytes() for path in before} == before
    written = files(capsys, str(spec), "--fix", "--write")
    left = files(capsys, str(spec))
    assert announced["findings"] == written["findings"] == left["findings"]
    assert announced["edits"] == written["edits"]
    # Edits alone have changed: put back, each file is as it was.
    for path, data in before.items():
        lines = path.read_text(encoding="utf-8").split("\n")
        for edit in reversed(announced["edits"]):
            if edit["location"]["file"] == str(path):
                n, column = edit["location"]["line"] - 1, edit["location"]["column"] - 1
                # An earlier edit on the line has moved it.
                for other in announced["edits"]:
                    same = other["location"]["file"], other["location"]["line"]
                    if same == (str(path), n + 1) and other["location"]["column"] < edit["location"]["column"]:
                        column += len(other["new"]) - len(other["old"])
                line = lines[n]
                assert line[column:].lstrip("\"'").startswith(edit["new"])
                column += len(line[column:]) - len(line[column:].lstrip("\"'"))
                lines[n] = line[:column] + edit["old"] + line[column + len(edit["new"]) :]
        assert "\n".join(lines).encode("utf-8") == data


def test_certain_edits_are_made_and_comments_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = copied(tmp_path, "garden_brazier")
    good = spec.read_bytes()
    bad = good.replace(b"summary: >", b"sumary: >").replace(b"material: steel", b"materal: steel", 1)
    bad = bad.replace(b"[28 ft, -9 ft]", b"[28 feets, -9 ft]").replace(b"\n", b"\r\n")
    spec.write_bytes(bad)
    assert main(["check", str(spec), "--fix"]) == 0
    shown = capsys.readouterr().out
    assert "-  sumary: >" in shown
    assert "+  summary: >" in shown
    assert "3 certain edits (not made; --write makes them)" in shown
    assert spec.read_bytes() == bad
    assert main(["check", str(spec), "--fix", "--write"]) == 0
    assert spec.read_bytes() == good.replace(b"\n", b"\r\n")


def test_what_is_not_certain_is_proposed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = copied(tmp_path, "garden_brazier")
    bad = spec.read_text(encoding="utf-8").replace("3/8 flare x 3/8 MNPT connector", "3/8 flare x 1/2 MNPT connector")
    spec.write_text(bad, encoding="utf-8")
    main(["check", str(spec), "--fix", "--write"])
    shown = capsys.readouterr().out
    assert "no edit is certain" in shown
    assert "for you to decide" in shown
    assert spec.read_text(encoding="utf-8") == bad


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("rating: 600 psi", "ratng: 600 psi"), ("rating: 600 psi", "rating: 600 psii"), ("marking: DOT", "markng: DOT"),
        ("made: 2023-08", "maed: 2023-08"), ("highest: 20 psi", "highst: 20 psi"),
        ("bore: 1/16 in", "bore: 1/16 inchs"), ("overfill_device: true", "overfil_device: true"),
    ],
)  # fmt: skip
def test_no_safety_value_is_ever_edited(old: str, new: str, tmp_path: Path) -> None:
    spec = copied(tmp_path, "garden_brazier")
    bad = spec.read_text(encoding="utf-8").replace(old, new, 1)
    assert new in bad
    spec.write_text(bad, encoding="utf-8")
    main(["check", str(spec), "--fix", "--write", "--quiet"])
    assert spec.read_text(encoding="utf-8") == bad


def test_what_is_certain() -> None:
    assert certain("materal", "material", ["material", "marking", "made"])
    assert not certain("colour", "color", ["color", "colours"])  # two are near
    assert not certain("bor", "bore", ["bore"])
    assert not any(certain(key[:-1], key, [key]) for key in SAFETY)
    assert certain_unit("feets", "ft")
    assert not certain_unit("mn", "mm")


def test_write_goes_with_fix(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "x.yaml", "--write"]) == 2
    assert "--fix --write" in capsys.readouterr().err
