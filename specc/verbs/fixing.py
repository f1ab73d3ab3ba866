"""`specc check --fix`: certain edits as a diff, or written; what would be left after them; and proposals."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from specc.engine.road import Ask
    from specc.model.findings import Edit
    from specc.model.result import Result


class Fixed(NamedTuple):
    """What certain edits come to: the files' old and new bytes by path, the edits, and the result after them."""

    before: dict[str, bytes]
    after: dict[str, bytes]
    made: tuple[Edit, ...]
    result: Result


def fixed(path: str, overlay: Sequence[str], asked: Ask, result: Result) -> Fixed:
    """Work the certain edits out, in memory, and the result after them. `result`: the one before; of it the findings
    of what is written are read, so that no pass has to be run for it.

    Only the spec and its includes are edited, never the private file.
    """
    from specc.engine.edits import edit
    from specc.engine.road import travel

    folder = os.path.dirname(path)
    before = {os.path.join(folder, f.name): f.data for f in result.files}
    edited = edit(result.findings, before)
    after = dict(edited.texts)
    left = travel(path, overlay, asked._replace(instead=tuple(sorted(after.items()))))
    return Fixed({name: before[name] for name in after}, after, edited.made, left)


def diff(made: Fixed) -> Iterator[str]:
    """The edits as a unified diff."""
    for path, after in sorted(made.after.items()):
        old, new = (data.decode("utf-8").splitlines() for data in (made.before[path], after))
        yield from difflib.unified_diff(old, new, path, path, lineterm="")


def write(made: Fixed) -> str:
    """Write the edited files. Gives "" or, in words, what could not be written."""
    from specc.verbs.writing import write_whole

    for path, data in sorted(made.after.items()):
        try:
            with open(path, "rb") as file:
                if file.read() != made.before[path]:
                    return f"{path} was changed meanwhile; check again"
        except OSError as e:
            return f"cannot read {path}: {e.strerror or e}"
        if wrong := write_whole(path, data):
            return wrong
    return ""


def proposals(result: Result) -> list[str]:
    """What somebody has to decide: each finding's fix, at its place."""
    from specc.report.lines import folded
    from specc.report.text import where

    lines = []
    for found in result.findings:
        if found.fix and not found.waived:
            lines += folded(f"{where(found.place)}: {found.message}", "  ")
            lines += folded(f"fix: {found.fix}", "    ")
    return lines
