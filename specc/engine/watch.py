"""A watchdog: names the pass that does not end, and leaves as for a failed plugin before anything is written.

It counts its own ticks of a second and reads no clock. It runs from the command line only, in a thread of its own; a
plugin that never lets go of the interpreter (one huge power, say) is not caught.
"""

from __future__ import annotations

import os
import sys
import threading

from specc.model.exit_codes import ExitCode

PATIENCE = 120
"""Ticks, of a second each, that one pass, hook or import may take: the slowest built-in pass takes about one."""

TICK = 1.0  # s

_now: list[str] = [""]
_patience: list[int] = []  # not empty: this process is watched


def doing(what: str) -> None:
    """Say what runs now; "" for the core's own work."""
    _now[0] = what


def is_on() -> bool:
    """Whether this process, or the one that it was split from, is watched."""
    return bool(_patience)


def start(patience: int = 0, quiet: bool = False) -> threading.Event:
    """Begin to watch, with the same patience as before if none is given. Set the event that comes back to stop."""
    done = threading.Event()
    patience = patience or next(iter(_patience), PATIENCE)
    _patience[:] = [patience]

    def watch() -> None:
        last, ticks = "", 0
        while not done.wait(TICK):
            now = _now[0]
            ticks = ticks + 1 if now and now is last else 0
            last = now
            if ticks >= patience:
                text = f"specc: {now} does not end; it was stopped after {patience * TICK:g} s, and nothing was written"
                if not quiet:
                    print(text, file=sys.stderr, flush=True)
                os._exit(ExitCode.FAILED)

    threading.Thread(target=watch, name="watchdog", daemon=True).start()
    return done
