"""What git knows of the project folder: the commit checked out, and which inputs differ from it.

One process is started, ``git cat-file``, and nothing is written. Files are compared by the id that git
would give their bytes. Where git changes bytes on the way in (line ends, filters), the ids differ though git
itself would call the file unchanged; it is then said to differ, which errs on the careful side.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
from collections.abc import Sequence
from pathlib import Path

from specc.model.result import GitState, InputFile

TIMEOUT = 10.0  # seconds

_COMMAND = (
    "git",
    "--no-replace-objects",  # the commit itself, not what somebody put in its place
    "-c",
    "protocol.allow=never",  # a partial clone would fetch what it lacks: no network
    "cat-file",
    "--batch-check=%(objectname) %(objecttype)",
)
_FOUND = re.compile(r"(?P<id>[0-9a-f]{40}|[0-9a-f]{64}) (?P<kind>commit|blob)")
_LOCALE = frozenset({"LANG", "LANGUAGE"})


def git_state(folder: Path, files: Sequence[InputFile]) -> GitState | None:
    """The commit id of HEAD and the names of the files that differ from it, are new, or are not in git.

    File names are paths from `folder`. None when there is no git, no work tree, no commit yet, or git fails
    or takes longer than TIMEOUT.
    """
    # A name with a line break cannot be asked for line by line; it counts as one that differs.
    asked = [file for file in files if "\n" not in file.name]
    # "./" makes git start from the folder it runs in rather than from the top of the repository.
    questions = ["HEAD^{commit}", *(f"HEAD:./{file.name}" for file in asked)]
    answers = _ask(folder, questions)
    if answers is None or len(answers) != len(questions):
        return None
    head = _FOUND.fullmatch(answers[0])
    if head is None or head["kind"] != "commit":
        return None
    same = {
        file.name
        for file, answer in zip(asked, answers[1:], strict=True)
        if answer == f"{blob_id(file.data, len(head['id']))} blob"
    }
    return GitState(head["id"], tuple(file.name for file in files if file.name not in same))


def blob_id(data: bytes, digits: int) -> str:
    """The id git gives a file's bytes: SHA-1 in a repository with ids of 40 digits, SHA-256 with 64."""
    kind = "sha256" if digits == 64 else "sha1"
    return hashlib.new(kind, b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()


def _ask(folder: Path, questions: list[str]) -> list[str] | None:
    """One answer a question, or None when git cannot say."""
    try:
        if not _is_in_a_repository(folder):
            return None
        done = subprocess.run(
            _COMMAND,
            cwd=folder,
            input="".join(f"{question}\n" for question in questions).encode("utf-8", "surrogateescape"),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(),
            timeout=TIMEOUT,
            check=False,
        )
    except (OSError, ValueError, subprocess.SubprocessError):
        return None
    if done.returncode != 0:
        return None
    return done.stdout.decode("utf-8", "surrogateescape").split("\n")[:-1]


def _is_in_a_repository(folder: Path) -> bool:
    """Where git itself would look for one: most folders are in none, and to be told so takes a process."""
    here = Path(os.path.realpath(folder))
    return any(os.path.exists(above / ".git") for above in (here, *here.parents))


def folder_at(folder: str, revision: str, into: str) -> bool:
    """Write a folder as it was at a revision into another. False where git cannot: no such revision, or no git."""
    import io
    import tarfile

    if revision.startswith("-"):
        return False
    command = (*_COMMAND[:-2], "archive", "--format=tar", revision, "--", ".")
    try:
        done = subprocess.run(
            command,
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(),
            timeout=TIMEOUT,
            check=False,
        )
        if done.returncode != 0:
            return False
        with tarfile.open(fileobj=io.BytesIO(done.stdout)) as whole:
            whole.extractall(into, filter="data")
    except (OSError, ValueError, subprocess.SubprocessError, tarfile.TarError):
        return False
    return True


def _environment() -> dict[str, str]:
    """The environment without git's own variables, which can point at another repository, and the locale."""
    # Git needs PATH and HOME. This is not a pass, and nothing of the environment reaches a figure.
    kept = {
        name: value
        for name, value in os.environ.items()  # noqa: TID251
        if not name.startswith(("GIT_", "LC_")) and name not in _LOCALE
    }
    # Git's own variables for: never ask for a password, never fetch.
    return {**kept, "GIT_TERMINAL_PROMPT": "0", "GIT_NO_LAZY_FETCH": "1"}
