"""What stands around every call into a plugin: its prints go to standard error, the watchdog knows whose it is, and a
crash says in which line. It guards against mistakes: a plugin runs with the user's rights (DEVELOPERS.md, Threats).
"""

from __future__ import annotations

import os
import sys
import traceback
from operator import is_not
from types import MappingProxyType
from typing import Any

from specc.engine import watch
from specc.model.values import Constant, Figure, Quantity, Worked

whole_tracebacks: list[bool] = []
"""Not empty: print the whole traceback of each crash to standard error (`--traceback`)."""


class calling:
    """Around a call into a plugin; `what` names it for the watchdog. Each pass is called so: it is kept thin."""

    def __init__(self, what: str) -> None:
        self._what = what

    def __enter__(self) -> None:
        watch.doing(self._what)
        self._output = sys.stdout
        sys.stdout = sys.stderr

    def __exit__(self, *of_what: object) -> None:
        sys.stdout = self._output
        watch.doing("")


_OURS = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "")


def crash(e: BaseException) -> str:
    """Where an exception came from, as " (file.py:12)"; "" when that is not known."""
    if whole_tracebacks:
        traceback.print_exception(e, file=sys.stderr)
    frames = traceback.extract_tb(e.__traceback__)
    own = [f for f in frames if not f.filename.startswith(_OURS)] or frames
    return f" ({os.path.basename(own[-1].filename)}:{own[-1].lineno})" if own else ""


_FIXED = frozenset({str, int, float, bool, type(None), Worked, Quantity, Constant, Figure, MappingProxyType, frozenset})


Fixed = dict[int, Any]
"""Tuples in which nothing can be changed, by id: one run's values hold each other's records, and none is gone through
twice. The tuple itself is kept, so that no other can come to have its id."""


def read_only(value: Any, fixed: Fixed | None = None) -> Any:
    """A shared value that its readers cannot change: mappings as read-only views, lists as tuples, also inside records.

    A record is made anew only if something in it could be changed. Other objects are handed on as they are. `fixed`:
    what was found to be so in this run; this call adds to it.
    """
    return _read_only(value, {}, {} if fixed is None else fixed)


def _read_only(value: Any, seen: dict[int, tuple[Any, Any]], fixed: Fixed) -> Any:
    if type(value) in _FIXED or id(value) in fixed:  # nearly all there is: thousands of records pass here in a run
        return value
    if id(value) in seen:  # what is held twice stays one thing
        return seen[id(value)][1]
    made = value
    if isinstance(value, tuple):
        parts = [
            below if type(below) in _FIXED or id(below) in fixed else _read_only(below, seen, fixed) for below in value
        ]
        if not any(map(is_not, parts, value)):
            fixed[id(value)] = value
            return value
        made = value._make(parts) if hasattr(value, "_make") else tuple(parts)
    elif isinstance(value, dict):
        made = MappingProxyType({key: _read_only(below, seen, fixed) for key, below in value.items()})
    elif isinstance(value, list):
        made = tuple(_read_only(below, seen, fixed) for below in value)
    elif isinstance(value, set):
        made = frozenset(value)
    seen[id(value)] = value, made  # the old one is held, so that no other can come to have its id
    return made


__all__ = ["Fixed", "calling", "crash", "read_only", "whole_tracebacks"]
