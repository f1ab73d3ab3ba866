"""How findings count and list things."""

from __future__ import annotations

from collections.abc import Sequence

SHOWN = 3  # the few that a reader can take in; the rest are counted


def counted(number: int, thing: str) -> str:
    """A number of things in words.

    >>> counted(1, "run"), counted(3, "run")
    ('1 run', '3 runs')
    """
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def several(words: Sequence[str], shown: int = SHOWN, between: str = ", ") -> str:
    """The first few of a list, and how many more there are.

    >>> several(["a", "b", "c", "d", "e"])
    'a, b, c and 2 more'
    """
    comma = "" if between == ", " else between.strip()
    more = f"{comma} and {len(words) - shown} more" if len(words) > shown else ""
    return between.join(words[:shown]) + more
