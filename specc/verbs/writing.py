"""Writes a file whole or not at all."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable


def refusal(out: str, inputs: Iterable[str]) -> str:
    """Why `out` must not be written, in words; "" when it may."""
    if not os.path.basename(out) or os.path.isdir(out):
        return f"{out} is a folder; name the file to write, with -o"
    folder = os.path.dirname(out) or "."
    if not os.path.isdir(folder):
        return f"the folder {folder} does not exist"
    for path in inputs:
        if _same(out, path):
            return f"{out} is an input of this project, and would be lost; write to another file with -o"
    try:
        if os.path.exists(out) and not stat.S_ISREG(os.stat(out).st_mode):
            return f"{out} is not an ordinary file"
    except OSError as e:
        return f"{out}: {e.strerror or e}"
    return ""


def _same(a: str, b: str) -> bool:
    try:
        return os.path.samefile(a, b)
    except (OSError, ValueError):
        return os.path.realpath(a) == os.path.realpath(b)


def write_whole(out: str, data: bytes) -> str:
    """Write to a temporary name in the same folder, then move it into place.

    Gives "" or, in words, why it could not be written; then nothing is left behind, and an older file is
    as it was. A link is followed, and stays a link.
    """
    final = os.path.realpath(out)
    part = os.path.join(os.path.dirname(final), f".specc-{os.getpid()}.part")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    except OSError as e:
        return f"cannot write {out}: {e.strerror or e}"
    try:
        with open(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, final)
    except OSError as e:
        os.unlink(part)
        return f"cannot write {out}: {e.strerror or e}"
    except BaseException:
        os.unlink(part)
        raise
    return ""


def inputs_of(path: str, overlay: str | None, names: Iterable[str], plugins: Iterable[str]) -> list[str]:
    """The files a run reads: the spec, its includes, its overlay, plugin files."""
    folder = os.path.dirname(path)
    return [
        path,
        *([overlay] if overlay else []),
        *(os.path.join(folder, name) for name in names),
        *plugins,
    ]
