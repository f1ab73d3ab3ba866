"""What is said about a spec: a place in a file, a trouble, a rule's verdict, a finding."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.statuses import Status

Level: TypeAlias = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


class Place(NamedTuple):
    """A spot in a file. Line and column count from 1; 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0


class Cure(NamedTuple):
    """What would end a finding: words for it, printed before the fix ("3 ft would pass"), and what to write where.

    `edits` are pairs of a JSON pointer to a value that the spec has, and the text that takes its place. A test
    makes them in every bad spec, and the finding is gone.
    """

    words: str
    edits: tuple[tuple[str, str], ...] = ()


class Trouble(NamedTuple):
    """What a rule found: where (JSON pointer), what is wrong, how to mend it, and why it matters.

    A rule with a number in it says in `cure` which number would pass, so that the device is changed and not the number.
    """

    at: str
    message: str
    fix: str = ""
    why: str = ""
    level: Level | None = None  # only when it differs from the rule's own
    cure: Cure | None = None

    @property
    def fixes(self) -> str:
        """The cure and the fix as one text."""
        return (
            f"{self.cure.words}: {self.fix}" if self.cure and self.fix else self.cure.words if self.cure else self.fix
        )


class Verdict(NamedTuple):
    """What a rule returns: a status, what was looked at (or why not), and the troubles.

    `unverified` is true when it passed on a number from memory, although the rule itself was read in its source; for a
    limit that it read, the host sees to that.
    `figures` and `limits` are the keys that the rule read; the host fills them in, whatever the rule says.
    """

    status: Status
    looked: str = ""
    troubles: tuple[Trouble, ...] = ()
    unverified: bool = False
    figures: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()  # whose stated properties it rests on, if not on all


class Edit(NamedTuple):
    """What to write instead of a piece of text at a place."""

    place: Place
    old: str
    new: str


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
    cure: Cure | None = None
    edit: Edit | None = None  # where the fix is certain
