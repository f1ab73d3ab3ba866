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


class Move(NamedTuple):
    """A place of the spec that might stand elsewhere, so that a finding ends: where, the run tries by itself.

    `place` is its tag, `about` whom or what the finding holds it against. `way` is the direction on the level (x, y)
    to try first, (0, 0) where none is better; `by` how far at least, in m, 0 where nobody knows.
    """

    place: str
    about: str
    way: tuple[float, float] = (0.0, 0.0)
    by: float = 0.0


class Trouble(NamedTuple):
    """What a rule found: where (JSON pointer), what is wrong, how to mend it, and why it matters.

    A rule with a number in it says in `cure` which number would pass, so that the device is changed and not the number;
    one on distances says in `moves` which places might stand elsewhere, the one that is moved most easily first.
    """

    at: str
    message: str
    fix: str = ""
    why: str = ""
    level: Level | None = None  # only when it differs from the rule's own
    cure: Cure | None = None
    moves: tuple[Move, ...] = ()

    @property
    def fixes(self) -> str:
        """The cure and the fix as one text."""
        return (
            f"{self.cure.words}: {self.fix}" if self.cure and self.fix else self.cure.words if self.cure else self.fix
        )


class Unchecked(str):
    """Words for what could not be checked, and with them where in the spec it would be answered: JSON pointers, with
    "*" where any tag may stand. Without one it tells what happened, and no key would help.

    >>> Unchecked("h1: its length is not stated", "/plumbing/parts/h1/length").answers
    ('/plumbing/parts/h1/length',)
    """

    __slots__ = ("answers",)
    answers: tuple[str, ...]

    def __new__(cls, words: str, *answers: str) -> Unchecked:
        made = super().__new__(cls, words)
        made.answers = tuple(dict.fromkeys((*answers_of(words), *answers)))
        return made


def answers_of(*said: str) -> tuple[str, ...]:
    """Where in the spec the answers to all of these would stand, each once; plain words know of none."""
    return tuple(dict.fromkeys(at for words in said if isinstance(words, Unchecked) for at in words.answers))


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
    answers: tuple[str, ...] = ()  # where in the spec what was not checked would be answered
    left: tuple[str, ...] = ()  # what it could not check, in words, whatever the status


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
