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


def dated(day: str, issued: str) -> str:
    """A day as written, and that it is to come where the packet was issued before it.

    >>> dated("2027-09-15", "2027-09-01"), dated("2027-08-20", "2027-09-01"), dated("spring", "2027-09-01")
    ('planned 2027-09-15', '2027-08-20', 'spring')
    """
    return f"planned {day}" if day[:1].isdigit() and issued and day > issued else day


def says(text: str) -> bool:
    """Whether a typed text names somebody or something: neither a dash nor a word for nobody.

    >>> says("hot wire"), says("-"), says("unknown")
    (True, False, False)
    """
    word = text.strip().lower()
    return any(c.isalnum() for c in word) and word not in ("no", "none", "nobody", "nothing", "unknown", "tbd", "n/a")
