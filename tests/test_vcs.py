"""What git knows of the inputs, asked of real repositories made here."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from specc.model.result import GitState, InputFile
from specc.spec import git as vcs
from specc.spec.git import blob_id, git_state

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")


def git(folder: Path, *arguments: str) -> str:
    clean = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    clean |= {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    who = ("-c", "user.name=Test", "-c", "user.email=test@example.org", "-c", "commit.gpgsign=false")
    done = subprocess.run(["git", *who, *arguments], cwd=folder, env=clean, capture_output=True, check=True)
    return done.stdout.decode().strip()


def input_file(name: str, data: bytes) -> InputFile:
    return InputFile(name, data, hashlib.sha256(data).hexdigest())


def commit(folder: Path, files: dict[str, bytes], *how: str, under: str = "") -> str:
    folder.mkdir(exist_ok=True)
    git(folder, "init", "-q", *how)
    for name, data in files.items():
        path = folder / under / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    git(folder, "add", ".")
    git(folder, "commit", "-q", "-m", "first")
    return git(folder, "rev-parse", "HEAD")


@pytest.mark.parametrize(("how", "digits"), [("sha1", 40), ("sha256", 64)])
def test_says_what_differs(how: str, digits: int, tmp_path: Path) -> None:
    head = commit(tmp_path, {"project.yaml": b"a: 1\n", "more/b c é.yaml": b"b: 1\n"}, f"--object-format={how}")
    assert len(head) == digits
    same = [input_file("project.yaml", b"a: 1\n"), input_file("more/b c é.yaml", b"b: 1\n")]
    assert git_state(tmp_path, same) == GitState(head, ())
    changed = [input_file("project.yaml", b"a: 2\n"), same[1], input_file("new.yaml", b"")]
    assert git_state(tmp_path, changed) == GitState(head, ("project.yaml", "new.yaml"))


def test_folder_below_the_top(tmp_path: Path) -> None:
    head = commit(tmp_path, {"project.yaml": b"a: 1\n"}, under="sample/one")
    files = [input_file("project.yaml", b"a: 1\n")]
    assert git_state(tmp_path / "sample" / "one", files) == GitState(head, ())
    assert git_state(tmp_path / "sample", files) == GitState(head, ("project.yaml",))


def test_a_change_that_is_only_staged_differs(tmp_path: Path) -> None:
    head = commit(tmp_path, {"project.yaml": b"a: 1\n"})
    (tmp_path / "project.yaml").write_bytes(b"a: 2\n")
    git(tmp_path, "add", ".")
    assert git_state(tmp_path, [input_file("project.yaml", b"a: 2\n")]) == GitState(head, ("project.yaml",))


def test_names_that_would_break_the_question(tmp_path: Path) -> None:
    head = commit(tmp_path, {"project.yaml": b"a: 1\n"})
    files = [input_file("x\nHEAD", b""), input_file("project.yaml", b"a: 1\n"), input_file("a missing", b"")]
    assert git_state(tmp_path, files) == GitState(head, ("x\nHEAD", "a missing"))


def test_line_ends_that_git_changes_count_as_different(tmp_path: Path) -> None:
    git(tmp_path, "init", "-q")
    git(tmp_path, "config", "core.autocrlf", "input")
    head = commit(tmp_path, {"project.yaml": b"a: 1\r\n"})
    assert git_state(tmp_path, [input_file("project.yaml", b"a: 1\r\n")]) == GitState(head, ("project.yaml",))


def test_nothing_to_say(tmp_path: Path) -> None:
    files = [input_file("project.yaml", b"a: 1\n")]
    assert git_state(tmp_path, files) is None  # no repository
    assert git_state(tmp_path / "none", files) is None  # no folder
    git(tmp_path, "init", "-q")
    assert git_state(tmp_path, files) is None  # no commit yet
    bare = tmp_path / "bare"
    commit(tmp_path, {"project.yaml": b"a: 1\n"})
    git(tmp_path, "clone", "-q", "--bare", ".", str(bare))
    assert git_state(bare, files) is None


def test_no_git_and_a_git_that_hangs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    commit(tmp_path, {"project.yaml": b"a: 1\n"})
    files = [input_file("project.yaml", b"a: 1\n")]
    programs = tmp_path / "programs"
    programs.mkdir()
    monkeypatch.setenv("PATH", str(programs))
    assert git_state(tmp_path, files) is None
    slow = programs / "git"
    slow.write_text("#!/bin/sh\nexec /bin/sleep 20\n")
    slow.chmod(0o755)
    monkeypatch.setattr(vcs, "TIMEOUT", 0.2)
    assert git_state(tmp_path, files) is None


def test_git_variables_do_not_lead_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    head = commit(here, {"project.yaml": b"a: 1\n"})
    commit(there, {"project.yaml": b"a: 2\n"})
    monkeypatch.setenv("GIT_DIR", str(there / ".git"))
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    assert git_state(here, [input_file("project.yaml", b"a: 1\n")]) == GitState(head, ())


def test_a_replaced_commit_is_not_believed(tmp_path: Path) -> None:
    first = commit(tmp_path, {"project.yaml": b"a: 1\n"})
    (tmp_path / "project.yaml").write_bytes(b"a: 2\n")
    git(tmp_path, "commit", "-q", "-a", "-m", "second")
    second = git(tmp_path, "rev-parse", "HEAD")
    git(tmp_path, "replace", second, first)
    assert git_state(tmp_path, [input_file("project.yaml", b"a: 2\n")]) == GitState(second, ())


def test_one_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    head = commit(tmp_path, {f"{number}.yaml": b"%d" % number for number in range(20)})
    started = []
    run = subprocess.run

    def counted(*arguments: object, **options: object) -> object:
        started.append(arguments)
        return run(*arguments, **options)  # type: ignore[call-overload]

    monkeypatch.setattr(subprocess, "run", counted)
    files = [input_file(f"{number}.yaml", b"%d" % number) for number in range(20)]
    assert git_state(tmp_path, files) == GitState(head, ())
    assert len(started) == 1


def test_no_process_where_no_folder_above_is_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = [input_file("project.yaml", b"a: 1\n")]
    head = commit(tmp_path / "in", {"project.yaml": b"a: 1\n"})
    (tmp_path / "link").symlink_to(tmp_path / "in")  # git starts where the folder is, not where it is named
    assert git_state(tmp_path / "link", files) == GitState(head, ())

    def no_process(*_: object, **__: object) -> None:
        raise AssertionError("git was started")

    monkeypatch.setattr(subprocess, "run", no_process)
    assert git_state(tmp_path, files) is None


def test_blob_ids_are_gits_own(tmp_path: Path) -> None:
    git(tmp_path, "init", "-q")
    (tmp_path / "x").write_bytes(b"a: \xc3\xa9\n")
    assert blob_id(b"a: \xc3\xa9\n", 40) == git(tmp_path, "hash-object", "--no-filters", "x")
