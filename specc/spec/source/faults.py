"""What can be wrong with a spec as a file, before anybody looks at what it says."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.findings import Place

# A file that is wrong all over should not fill the memory with complaints about it.
FAULTS_LIMIT = 500


class FileFault(NamedTuple):
    """One thing wrong with the files of a spec. `fatal`: no trustworthy document is left."""

    rule: str
    message: str
    fix: str
    place: Place
    at: str = ""  # JSON pointer
    why: str = ""
    fatal: bool = False


class Faults:
    """A growing list of faults. Past the limit it only counts, and says so at the end."""

    def __init__(self) -> None:
        self._kept: list[FileFault] = []
        self._more = 0
        self._more_fatal = False

    def add(self, fault: FileFault) -> None:
        if len(self._kept) < FAULTS_LIMIT:
            self._kept.append(fault)
        else:
            self._more += 1
            self._more_fatal = self._more_fatal or fault.fatal

    def all(self) -> tuple[FileFault, ...]:
        if not self._more:
            return tuple(self._kept)
        last = self._kept[-1]
        note = FileFault(
            last.rule,
            f"{self._more} more faults like these are not listed",
            "mend the listed ones and run again",
            last.place,
            fatal=self._more_fatal,
        )
        return (*self._kept, note)


def shown(text: str, longest: int = 40) -> str:
    """A name for a message, in quotes and cut to a bearable length."""
    return f'"{text}"' if len(text) <= longest else f'"{text[:longest]}..."'
