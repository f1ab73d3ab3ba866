"""The exit codes of `specc`: each has its number, its name and its words here, and nowhere else.

`specc --help` prints the words, and a test holds README's table to them. Which code a Result has is said in
`of_result`; which of several counts, in `worst`.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum


class ExitCode(IntEnum):
    CLEAN = 0
    FINDINGS = 1
    UNUSABLE = 2
    FAILED = 3
    INTERRUPTED = 130  # 128 and the signal's number, as a shell shows it: SIGINT is 2
    READER_GONE = 141  # likewise: SIGPIPE is 13

    @property
    def means(self) -> str:
        return _MEANS[self]

    @property
    def judged(self) -> bool:
        """Whether the spec was read and every rule that was due could end."""
        return self in (ExitCode.CLEAN, ExitCode.FINDINGS)


_MEANS = {
    ExitCode.CLEAN: "clean",
    ExitCode.FINDINGS: "findings at error level, or at the level that --fail-on names",
    ExitCode.UNUSABLE: "the input or the call cannot be used, or the output cannot be written",
    ExitCode.FAILED: "a plugin failed, or specc itself",
    ExitCode.INTERRUPTED: "interrupted (Ctrl-C)",
    ExitCode.READER_GONE: "what read the output went away before its end",
}

# From what counts least to what counts most: an input that cannot be used says nothing of what would fail on it.
_RANK = (
    ExitCode.CLEAN,
    ExitCode.FINDINGS,
    ExitCode.FAILED,
    ExitCode.UNUSABLE,
    ExitCode.INTERRUPTED,
    ExitCode.READER_GONE,
)


def worst(codes: Iterable[ExitCode]) -> ExitCode:
    """One exit code for several: what cannot be used counts before what failed, and that before findings."""
    return max(codes, key=_RANK.index, default=ExitCode.CLEAN)


def of_result(errors: bool, failed: bool, usable: bool) -> ExitCode:
    """The exit code of a Result: open findings at error level, a plugin that failed, a spec that can be read."""
    return worst(
        (
            ExitCode.FINDINGS if errors else ExitCode.CLEAN,
            ExitCode.FAILED if failed else ExitCode.CLEAN,
            ExitCode.CLEAN if usable else ExitCode.UNUSABLE,
        )
    )
