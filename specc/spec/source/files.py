"""Reads the bytes of one file and turns them into text, with care: a spec may come from a stranger."""

from __future__ import annotations

import codecs
import os
import re
import stat
import sys
from typing import NamedTuple

from specc.model.findings import Place
from specc.spec.source.faults import FileFault

STDIN = "<stdin>"  # the name in places of what is read from standard input
SIZE_LIMIT = 4 * 1024 * 1024  # bytes

# Line breaks as YAML 1.2 has them. str.splitlines() also breaks at form feeds and others.
_LINE_BREAK = re.compile("\r\n|\r|\n")

# Everything that is not printable, tab or line break. U+0085, U+2028 and U+2029 are among them because
# YAML 1.1 parsers (libyaml) take them as line breaks and YAML 1.2 does not: nobody should have to guess.
CONTROL = re.compile("[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")

_OTHER_ENCODINGS = (  # UTF-32 first: its little-endian mark begins with that of UTF-16
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_SAVE_AS_UTF8 = "save the file as UTF-8"


class Bytes(NamedTuple):
    """A file's bytes and which file it is on disk (device and inode), however it was named."""

    data: bytes
    identity: tuple[int, int]


def line_starts(text: str) -> list[int]:
    """Where each line of a text begins."""
    return [0, *(found.end() for found in _LINE_BREAK.finditer(text))]


def split_lines(text: str) -> list[str]:
    """The lines of a text, without their line breaks."""
    return _LINE_BREAK.split(text)


def read_bytes(path: str, place: Place) -> Bytes | FileFault:
    """The bytes of a regular file up to the size limit, or a fault at `place`."""
    try:
        # Looked at before it is opened: opening a pipe or a device can wait for ever.
        wrong = _not_regular(os.stat(path).st_mode)
        if wrong:
            return _not_a_file(path, wrong, place)
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        with open(os.open(path, flags), "rb") as file:
            # And looked at again: it may have been swapped in between.
            status = os.fstat(file.fileno())
            wrong = _not_regular(status.st_mode)
            if wrong:
                return _not_a_file(path, wrong, place)
            data: bytes | None = file.read(SIZE_LIMIT + 1)
    except (FileNotFoundError, NotADirectoryError):
        fix = "check the path and its spelling"
        return FileFault("spec.missing_file", f'there is no file "{path}"', fix, place, fatal=True)
    except PermissionError:
        fix = "allow this user to read the file"
        return FileFault("spec.missing_file", f"no permission to read {path}", fix, place, fatal=True)
    except (OSError, ValueError) as trouble:  # ValueError: a name no file can have, such as one with NUL
        return FileFault(
            "spec.missing_file",
            f"the file {path!a} cannot be read",
            "name a file that can be read",
            place,
            why=f"The system says: {trouble}",
            fatal=True,
        )
    if data is None:  # one of the system's own files (as in /proc) that would keep the reader waiting
        return _not_a_file(path, "a file of the system that has nothing to read now", place)
    if len(data) > SIZE_LIMIT:
        return FileFault(
            "spec.too_large",
            f"{path} is larger than {SIZE_LIMIT // 1024 // 1024} MiB",
            "a spec is text written by hand; split it into includes, and attach large files instead",
            place,
            fatal=True,
        )
    return Bytes(data, (status.st_dev, status.st_ino))


# What standard input was: it can be read once, and a verb may load its spec twice.
_stdin: list[tuple[object, bytes]] = []


def read_stdin(place: Place) -> Bytes | FileFault:
    """All of standard input up to the size limit, or a fault at `place`."""
    if sys.stdin is None:  # as after <&- in a shell
        return FileFault(
            "spec.missing_file", "standard input is closed", "name a file, or pipe one in", place, fatal=True
        )
    if not _stdin or _stdin[0][0] is not sys.stdin:
        _stdin[:] = [(sys.stdin, sys.stdin.buffer.read(SIZE_LIMIT + 1))]
    data = _stdin[0][1]
    if len(data) > SIZE_LIMIT:
        message = f"standard input is larger than {SIZE_LIMIT // 1024 // 1024} MiB"
        return FileFault("spec.too_large", message, "a spec is text written by hand", place, fatal=True)
    return Bytes(data, (-1, -1))


def _not_regular(mode: int) -> str:
    """What the thing is instead of a regular file; "" for a regular file."""
    if stat.S_ISREG(mode):
        return ""
    kinds = (
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISSOCK, "a socket"),
        (stat.S_ISCHR, "a device"),
        (stat.S_ISBLK, "a device"),
    )
    return next((words for is_kind, words in kinds if is_kind(mode)), "not a regular file")


def _not_a_file(path: str, kind: str, place: Place) -> FileFault:
    fix = "name the file itself"
    return FileFault("spec.not_a_file", f"{path} is {kind}, not a file with contents", fix, place, fatal=True)


def decode(data: bytes, file: str) -> str | FileFault:
    """The text of a UTF-8 file without its byte order mark, or a fault at the first bad byte or character."""
    other = _other_encoding(data)
    if other:
        message = f"the file is {other}, not UTF-8"
        return FileFault("spec.encoding", message, _SAVE_AS_UTF8, Place(file, 1, 1), fatal=True)
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as trouble:
        return FileFault(
            "spec.encoding",
            f"the byte 0x{data[trouble.start]:02X} here is not UTF-8",
            _SAVE_AS_UTF8,
            _place_after(data[: trouble.start].decode("utf-8"), file),
            why="It was probably saved in an older encoding such as Windows-1252; ° and é would be misread.",
            fatal=True,
        )
    found = CONTROL.search(text)
    if found:
        return FileFault(
            "spec.control_character",
            f"the invisible character U+{ord(found[0]):04X} stands here",
            "delete it; type the line again if it cannot be seen",
            _place_after(text[: found.start()], file),
            fatal=True,
        )
    return text


def _other_encoding(data: bytes) -> str:
    for mark, name in _OTHER_ENCODINGS:
        if data.startswith(mark):
            return name
    # Without a mark: a spec begins with plain letters, so UTF-16 shows as a NUL beside each of the first two.
    nuls = tuple(byte == 0 for byte in data[:4])
    return "UTF-16" if nuls in ((False, True, False, True), (True, False, True, False)) else ""


def _place_after(before: str, file: str) -> Place:
    """The place of the character that follows `before`."""
    lines = split_lines(before)
    return Place(file, len(lines), len(lines[-1]) + 1)
