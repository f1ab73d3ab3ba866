"""What an unquoted word means: the YAML 1.2 core schema, a little stricter.

So `no`, `on`, `12:30`, `1_000` and `2024-05-01` are text. Stricter in one way: a number written with a
leading zero (`012`, `007.5`) stays text. The core schema would read twelve and the zero would be lost,
though it is part of what was written (a serial number, a house number); older YAML would read ten.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple, TypeAlias

DIGITS_LIMIT = 40  # digits of a whole number; none in a spec comes near

Scalar: TypeAlias = str | int | float | bool | None

_WORDS: dict[str, bool | None] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True,
    "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_NUMBER_START = frozenset("+-.0123456789")
_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_OTHER_BASE = re.compile(r"0o(?P<octal>[0-7]+)|0x(?P<hexadecimal>[0-9a-fA-F]+)")
_REAL = re.compile(r"[-+]?(?P<digits>\.[0-9]+|(?:0|[1-9][0-9]*)(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")


class NotANumber(NamedTuple):
    """An unquoted word in a number's form that no finite number here can hold."""

    message: str


def meaning(word: str) -> Scalar | NotANumber:
    """The value of an unquoted scalar.

    >>> [meaning(word) for word in ("no", "12:30", "012", "0x1F", "1e3", "~")]
    ['no', '12:30', '012', 31, 1000.0, None]
    """
    if word in _WORDS:
        return _WORDS[word]
    if word[0] not in _NUMBER_START:
        return word
    if _WHOLE.fullmatch(word):
        return _whole(word, word.lstrip("+-"), 10)
    other = _OTHER_BASE.fullmatch(word)
    if other:
        return _whole(word, word[2:], 8 if other["octal"] else 16)
    if _NOT_FINITE.fullmatch(word):
        return NotANumber(f"{word} is not a finite number")
    real = _REAL.fullmatch(word)
    return _real(word, real["digits"]) if real else word


def _whole(word: str, digits: str, base: int) -> int | NotANumber:
    if len(digits) > DIGITS_LIMIT:
        return NotANumber(f"a whole number of {len(digits)} digits is more than the {DIGITS_LIMIT} allowed")
    return -int(digits, base) if word[0] == "-" else int(digits, base)


def _real(word: str, digits: str) -> float | NotANumber:
    value = float(word)
    if math.isinf(value):
        return NotANumber("this number is too large to hold")
    if value == 0 and digits.strip("0."):
        return NotANumber("this number is too small to hold; it would be read as 0")
    return value
