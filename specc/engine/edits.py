"""Edits of a spec's text that are certain: a key by its nearest, a unit by its nearest, an old word by the new one.

Never a safety value: see `specc.spec.certain`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from specc.model.findings import Edit, Finding
from specc.spec.source.files import line_starts


class Edited(NamedTuple):
    """The files' texts after edits, by path, and the edits that were made."""

    texts: Mapping[str, bytes]
    made: tuple[Edit, ...]


def edit(findings: Iterable[Finding], texts: Mapping[str, bytes]) -> Edited:
    """Make the findings' certain edits in the files' bytes. All other bytes are kept.

    An edit is left out when something else stands at its place, and when two would change one place differently.
    """
    wanted: dict[tuple[str, int, int], set[Edit]] = {}
    for found in findings:
        if found.edit is not None and not found.waived:
            place = found.edit.place
            wanted.setdefault((place.file, place.line, place.column), set()).add(found.edit)
    made: list[Edit] = []
    new = dict(texts)
    # From the end of each file, so that what stands before keeps its place.
    for key in sorted(wanted, reverse=True):
        edits = wanted[key]
        if len(edits) != 1:
            continue
        one = next(iter(edits))
        changed = _changed(new.get(one.place.file), one)
        if changed is not None:
            new[one.place.file] = changed
            made.append(one)
    return Edited({path: data for path, data in new.items() if data != texts[path]}, tuple(reversed(made)))


def _changed(data: bytes | None, one: Edit) -> bytes | None:
    """The bytes with the edit made, or None when the text at its place is not what it is to replace."""
    if data is None:
        return None
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    text = data[len(mark) :].decode("utf-8")
    starts = line_starts(text)
    if not 0 < one.place.line <= len(starts):
        return None
    at = starts[one.place.line - 1] + one.place.column - 1
    for quote in ("", '"', "'"):
        if text.startswith(quote + one.old + quote, at):
            end = at + len(one.old) + 2 * len(quote)
            if not quote and end < len(text) and text[end] not in ":,]} \t\r\n":
                return None
            return mark + (text[:at] + quote + one.new + quote + text[end:]).encode("utf-8")
    return None
