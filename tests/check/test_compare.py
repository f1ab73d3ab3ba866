"""`specc compare`: each kind of change is told, equal specs are equal, and revisions of git are read with includes."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from specc.cli import main

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_projects" / "garden_brazier"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The project in a folder of a repository, as it mostly is."""
    shutil.copytree(SAMPLE, tmp_path / "works" / "brazier")
    (tmp_path / "works" / "other.txt").write_text("beside it")
    return tmp_path / "works" / "brazier"


def git(folder: Path, *words: str) -> None:
    who = ("-c", "user.name=A. Nobody", "-c", "user.email=nobody@example.invalid")
    subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True)


def compared(capsys: pytest.CaptureFixture[str], old: str, new: str, code: int) -> dict[str, dict[str, dict[str, str]]]:
    assert main(["compare", old, new, "--format", "json"]) == code
    made: dict[str, dict[str, dict[str, str]]] = {}
    for change in json.loads(capsys.readouterr().out)["changes"]:
        made.setdefault(change["kind"], {})[change["what"]] = change
    return made


def test_a_spec_is_as_itself(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = str(folder / "project.yaml")
    assert main(["compare", spec, str(folder)]) == 0
    assert "nothing changed" in capsys.readouterr().out


def test_what_changed_since_a_commit_is_told_by_kind(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    git(folder.parent, "init", "-q")
    git(folder.parent, "add", "-A")
    git(folder.parent, "commit", "-qm", "as approved")
    spec = folder / "project.yaml"
    text = spec.read_text()
    for old, new in (
        ("No. 70 orifice", "No. 60 orifice"),
        ("at: [16 ft, -5 ft]", "at: [10 ft, -5 ft]"),
        ("elevation: 420 ft", "elevation: 900 ft"),
        ("revision: 1", "revision: 2"),
    ):
        assert old in text
        text = text.replace(old, new)
    spec.write_text(text)
    made = compared(capsys, f"{spec}@HEAD", str(spec), 0)
    flow = made["figure"]["fuel.flow.ring"]
    assert flow["by"].startswith("+")
    assert flow["review"] == "gas"
    assert flow["was"] != flow["now"]
    assert made["place"]["post"]["review"] == "distance"
    assert "420 ft" in made["event"]["elevation"]["was"]
    assert "fo1" in made["part"]
    # The other way round nothing is lost.
    back = compared(capsys, str(spec), f"{spec}@HEAD", 0)
    assert back["figure"]["fuel.flow.ring"]["was"] == flow["now"]


def test_findings_gained_and_cured(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    worse = tmp_path / "worse"
    shutil.copytree(folder, worse)
    spec = worse / "project.yaml"
    spec.write_text(
        spec.read_text()
        .replace("revision: 1", "revision: 2")
        .replace("overfill_device: true", "overfill_device: false")
    )
    gained = compared(capsys, str(folder), str(worse), 0)
    assert any(not c["was"] and c["now"] for c in gained["finding"].values())
    cured = compared(capsys, str(worse), str(folder), 0)
    assert any(c["was"] and not c["now"] for c in cured["finding"].values())
    assert gained["rule"]


def test_two_that_differ_and_name_one_revision_are_found(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other"
    shutil.copytree(folder, other)
    spec = other / "project.yaml"
    spec.write_text(spec.read_text().replace("elevation: 420 ft", "elevation: 430 ft"))
    assert main(["compare", str(folder), str(other)]) == 1
    assert "both name the revision 1" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["none.yaml", "project.yaml@no-such-revision", "project.yaml@--output=x"])
def test_what_is_not_there_is_said(folder: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(folder / name), str(folder)]) == 2
    assert capsys.readouterr().err
