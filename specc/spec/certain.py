"""When a misspelled word of a spec can only mean one other: what may be fixed without asking."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

# What these say is nobody's to guess, nor is a key that would set one.
SAFETY = frozenset(
    {
        "rating", "rating_basis", "set", "highest", "opens", "lock_up", "marking", "service_pressure", "made",
        "requalified", "requalified_by", "tested", "reassembled", "inspected", "serviced", "overfill_device", "secured",
        "upright", "withdrawal", "sober", "cleaned", "bore", "wall", "outside", "seat", "cv", "discharge", "filler",
        "phosphorus", "melts", "cadmium_free", "normally", "until", "who", "rule", "about", "reason",
    }
)  # fmt: skip
_CLOSE = 0.8  # of difflib's ratio
_SHORT = 4  # letters; among shorter words too many are near


def certain(wrong: str, near: str, known: Iterable[str]) -> bool:
    """Whether a misspelled word can only mean one of those known."""
    if len(wrong) < _SHORT or near in SAFETY:
        return False
    ratio = difflib.SequenceMatcher(None, wrong, near).ratio()
    others = (difflib.SequenceMatcher(None, wrong, k).ratio() for k in known if k != near)
    return ratio >= _CLOSE and max(others, default=0.0) < ratio - 0.1


def certain_unit(wrong: str, near: str) -> bool:
    """Whether a misspelled unit can only mean one: "feets", never "mn"."""
    long = {"ft": ("feet", "foot"), "in": ("inch", "inches"), "lb": ("pound", "pounds"), "s": ("second", "seconds")}
    words = (near, *long.get(near, ()))
    return len(wrong) >= _SHORT and any(
        difflib.SequenceMatcher(None, wrong.lower(), word).ratio() >= _CLOSE for word in words
    )
