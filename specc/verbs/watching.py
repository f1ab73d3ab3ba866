"""Does something again whenever one of the files it read changes. By looking, which works on every system."""

from __future__ import annotations

import gc
import os
import sys
import time  # noqa: TID251 (a verb, not a pass)
from collections.abc import Callable, Iterable

from specc.model.exit_codes import ExitCode

PAUSE = 0.5  # s between two looks


def stamps(paths: Iterable[str]) -> dict[str, tuple[int, int] | None]:
    """When each file was last written and how long it is; None for one that is not there."""
    found: dict[str, tuple[int, int] | None] = {}
    for path in paths:
        try:
            status = os.stat(path)
            found[path] = (status.st_mtime_ns, status.st_size)
        except OSError:
            found[path] = None
    return found


def watch(once: Callable[[], tuple[ExitCode, list[str]]], rounds: int = 0) -> ExitCode:
    """Run, and again when a file changes, until interrupted. `once` gives an exit code and the files to look at.

    `rounds`: stop after so many runs; 0 for never.
    """
    from specc.verbs.common import say

    done = 0
    while True:
        code, read = once()
        done += 1
        if done == rounds:
            return code
        gc.collect()  # what a check left behind would add up over a day of edits, and now nobody waits
        before = stamps(read)
        say("watching; Ctrl-C ends it")
        sys.stdout.flush()
        while stamps(read) == before:
            time.sleep(PAUSE)
