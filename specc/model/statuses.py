"""The one list of how a rule can end. Command line, JSON and packet use these words and no others.

"passed" says that specc looked and found it so; "stated" and "shown" say that somebody else did, or nobody.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, get_args

Status: TypeAlias = Literal[
    "passed",
    "failed",
    "stated",
    "shown",
    "planned",
    "not applicable",
    "not checked",
    "waived",
    "blocked",
    "crashed",
    "authority to decide",
]
STATUSES: tuple[Status, ...] = get_args(Status)
"""In the order a reader cares for."""

MEANINGS: dict[Status, str] = {
    "passed": "what was asked was computed, or read from the spec, and found so",
    "failed": "what was asked is not so: see the findings",
    "stated": "it rests on what the maker typed, such as a rating or a marking; nobody has seen it",
    "shown": "an attached document shows the stated property of each tag, and says who looked and when",
    "planned": "it rests on a date after the day the packet was issued, so it has still to happen",
    "not applicable": "nothing of the kind is in the project",
    "not checked": "it could not be checked, and a person has to",
    "waived": "it failed, and somebody accepted that, by name, for a reason, until a day",
    "blocked": "what it needs could not be had, so nothing was judged",
    "crashed": "its plugin failed, so nothing was judged",
    "authority to decide": "only the authority can say",
}

RETURNED: tuple[Status, ...] = (
    "passed", "failed", "stated", "shown", "planned", "not applicable", "not checked", "authority to decide",
)  # fmt: skip
"""What a rule may return. The host adds waived, blocked and crashed."""

UNJUDGED: tuple[Status, ...] = ("not checked", "blocked", "crashed")
"""Nothing is known: a count of errors never stands without the count of these."""


def in_words(status: str, memory: bool, computed: bool = False) -> str:
    """A status as printed. `memory`: the rule's source is from memory. `computed`: say "computed" for passed by
    computation and "needs you" for what the authority decides, as the packet does."""
    word = status
    if computed:
        word = {"passed": "computed", "authority to decide": "needs you"}.get(status, status)
    return f"{word}, source not verified" if memory and status == "passed" else word


__all__ = ["MEANINGS", "RETURNED", "STATUSES", "UNJUDGED", "Status", "in_words"]

UNSEEN = "nobody has seen"  # of what: how a stated rule says what it rests on
