"""Writes a file whole or not at all."""

from __future__ import annotations

import os
import re
import signal
import stat
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TypeAlias

_Handler: TypeAlias = Callable[[int, FrameType | None], object] | int | signal.Handlers | None
_PIECE = 1 << 20  # bytes written between two looks at whether to stop
_MASKS = hasattr(signal, "pthread_sigmask")  # POSIX


def refusal(out: str, inputs: Iterable[str]) -> str:
    """Why `out` must not be written, in words; "" when it may."""
    if not out:
        return "-o names no file; write its name after it"
    if not os.path.basename(out) or os.path.isdir(out):
        return f"{out} is a folder; name the file to write, with -o"
    folder = os.path.dirname(out) or "."
    if not os.path.isabs(out) and not _has_working_folder():
        return f"the folder that specc runs in is gone, so {out} has no place; name a whole path with -o"
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


_LAST_SECOND = 253402300799  # of the year 9999, the last that a PDF can write


def bad_epoch() -> str:
    """What is wrong with SOURCE_DATE_EPOCH in the environment, in words; "" where nothing is.

    A packet takes no date from it or from any clock; but whoever sets it means it, and its own specification
    (reproducible-builds.org/specs/source-date-epoch, from memory) has a malformed value refused.
    """
    text = os.environ.get("SOURCE_DATE_EPOCH", "")  # noqa: TID251
    if not text or (re.fullmatch(r"[0-9]{1,12}", text) and int(text) <= _LAST_SECOND):
        return ""
    due = f"a whole number of seconds since 1970, from 0 to {_LAST_SECOND}"
    return f"SOURCE_DATE_EPOCH is {text[:40]!r}, not {due}; a packet takes no date from it, so unset it or write one"


def _same(a: str, b: str) -> bool:
    try:
        return os.path.samefile(a, b)
    except (OSError, ValueError):
        pass
    try:
        return os.path.realpath(a) == os.path.realpath(b)
    except OSError:  # a name that leads from a folder that is gone
        return False


def _has_working_folder() -> bool:
    try:
        os.getcwd()
    except OSError:
        return False
    return True


def unfit(out: str, inputs: Iterable[str], spec: str, *, named: bool) -> str:
    """Why a document of a spec must not be written to `out`, in words; "" when it may. `named`: somebody typed it."""
    return refusal(out, inputs) or ("" if named else not_own(out, os.path.dirname(spec) or "."))


def default_name(path: str, project_id: str) -> str:
    """A PDF's name beside the spec. The id may be the spec's own name, which can hold anything."""
    name = re.sub(r"[^\w.-]+", "_", project_id).strip("._") or "packet"
    return os.path.join(os.path.dirname(path), name + ".pdf")


def not_own(out: str, folder: str) -> str:
    """Why a packet whose name nobody typed must not go to `out`, in words; "" when it may.

    It goes through no link that leaves the spec's `folder`, and over no file that specc did not make.
    """
    final, home = os.path.realpath(out), os.path.realpath(folder)
    if os.path.dirname(final) != home and not final.startswith(os.path.join(home, "")):
        return f"{out} is a link to {final}, outside the project; name the file to write with -o"
    try:
        with open(final, "rb") as file:
            made = file.read()
    except FileNotFoundError:
        return ""
    except OSError as e:
        return f"{out}: {e.strerror or e}"
    # What is embedded in a packet is compressed, so only its own entry can be met here.
    if not made.startswith(b"%PDF-") or b"/Creator (specc " not in made:
        return f"{out} was not made by specc, and would be lost; name the file to write with -o"
    return ""


class _Ended(BaseException):
    """A signal that ends the program came in while a file was written."""


@contextmanager
def _held() -> Iterator[list[int]]:
    """Notes the signals that would end the program, and hands them on at the end.

    A half written file can then be removed first. Away from the main thread Python has no say in signals.
    """
    noted: list[int] = []
    names = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP", "SIGINT") if hasattr(signal, name)]
    before: dict[int, _Handler] = {}
    if threading.current_thread() is threading.main_thread():
        before = {n: signal.signal(n, lambda number, _: noted.append(number)) for n in names}
    try:
        yield noted
    except _Ended:
        pass
    finally:
        # Python forgets a signal that came in and whose handler is taken away before it ran, so none may come
        # in between; one that does is handed on when the mask goes.
        mask = signal.pthread_sigmask(signal.SIG_BLOCK, before) if before and _MASKS else None
        for n, handler in before.items():
            signal.signal(n, handler)
        for number in noted:
            signal.raise_signal(number)
        if mask is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, mask)


def write_whole(out: str, data: bytes) -> str:
    """Write to a temporary name in the same folder, then move it into place.

    Gives "" or, in words, why it could not be written; then nothing is left behind, and an older file is
    as it was. A link is followed, and stays a link; the older file's mode is kept, and one that nobody may
    write is refused.
    """
    final = os.path.realpath(out)
    try:
        mode: int | None = stat.S_IMODE(os.stat(final).st_mode)
    except OSError:
        mode = None
    # Root may write what nobody is to write; others, what is not theirs to write, by putting a new file in its place.
    if mode is not None and not (mode & 0o222 and os.access(final, os.W_OK)):
        return f"cannot write {out}: it is read-only"
    with _held() as noted:
        try:
            handle, part = tempfile.mkstemp(".part", ".specc-", os.path.dirname(final))
        except OSError as e:
            return f"cannot write {out}: {e.strerror or e}"
        moved = False
        try:
            with open(handle, "wb") as file:
                for start in range(0, len(data), _PIECE):
                    file.write(data[start : start + _PIECE])
                    if noted:
                        raise _Ended
                file.flush()
                os.fsync(file.fileno())
            os.chmod(part, _usual_mode() if mode is None else mode)
            if noted:
                raise _Ended
            os.replace(part, final)
            moved = True
        except OSError as e:
            return f"cannot write {out}: {e.strerror or e}"
        finally:
            if not moved:
                os.unlink(part)
    return ""


def _usual_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def inputs_of(path: str, overlays: Iterable[str], names: Iterable[str], plugins: Iterable[str]) -> list[str]:
    """The files a run reads: the spec, its includes, its private files, plugin files."""
    folder = os.path.dirname(path)
    return [
        path,
        *overlays,
        *(os.path.join(folder, name) for name in names),
        *plugins,
    ]
