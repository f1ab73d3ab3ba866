"""What stands around every call into a plugin: its prints go to standard error, the watchdog knows whose it is, and a
crash says in which line. It guards against mistakes: a plugin runs with the user's rights (DEVELOPERS.md, Threats).
"""

from __future__ import annotations

import contextlib
import os
import sys
import traceback
from collections.abc import Iterator
from types import MappingProxyType
from typing import Any

from specc.engine import watch

whole_tracebacks: list[bool] = []
"""Not empty: print the whole traceback of each crash to standard error (`--traceback`)."""


@contextlib.contextmanager
def calling(what: str) -> Iterator[None]:
    """Around a call into a plugin; `what` names it for the watchdog."""
    watch.doing(what)
    try:
        with contextlib.redirect_stdout(sys.stderr):
            yield
    finally:
        watch.doing("")


def crash(e: BaseException) -> str:
    """Where an exception came from, as " (file.py:12)"; "" when that is not known."""
    if whole_tracebacks:
        traceback.print_exception(e, file=sys.stderr)
    frames = traceback.extract_tb(e.__traceback__)
    own = [f for f in frames if f"{os.sep}specc{os.sep}" not in f.filename] or frames
    return f" ({os.path.basename(own[-1].filename)}:{own[-1].lineno})" if own else ""


def read_only(value: Any) -> Any:
    """A shared value that its readers cannot change: mappings as read-only views, lists as tuples, also inside them.

    Records are NamedTuples or frozen already. Other objects are handed on as they are.
    """
    if isinstance(value, dict):
        return MappingProxyType({key: read_only(below) for key, below in value.items()})
    if type(value) is list:
        return tuple(read_only(below) for below in value)
    if type(value) is tuple and any(isinstance(below, dict | list) for below in value):
        return tuple(read_only(below) for below in value)
    if isinstance(value, set):
        return frozenset(value)
    return value


__all__ = ["calling", "crash", "read_only", "whole_tracebacks"]
