"""What is said about a spec: a place in a file, a trouble, a rule's verdict, a finding."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

Level: TypeAlias = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


class Place(NamedTuple):
    """A spot in a file. Line and column count from 1; 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0


class Trouble(NamedTuple):
    """What a rule found: where (JSON pointer), what is wrong, what fix, and why it matters."""

    at: str
    message: str
    fix: str = ""
    why: str = ""
    level: Level | None = None  # only when it differs from the rule's own


Status: TypeAlias = Literal[
    "passed", "found", "not applicable", "not checked", "waived", "blocked", "crashed", "authority to decide"
]


class Verdict(NamedTuple):
    """What a rule returns: a status, what was looked at (or why not), and the troubles."""

    status: Status
    looked: str = ""
    troubles: tuple[Trouble, ...] = ()


class Finding(NamedTuple):
    """One thing to know about the spec. `rule` names who says so; `place` is where in the files."""

    rule: str
    level: Level
    message: str
    place: Place
    at: str = ""
    fix: str = ""
    why: str = ""
    plugin: str = ""
    waived: str = ""  # tag of the waiver that covers it
