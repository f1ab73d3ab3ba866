"""Tags that sound alike over a radio, and how their letters are said so that they do not.

The words are those of the Radio Regulations' spelling alphabet. Which letters sound alike is common practice:
those whose names end on the same sound, or begin with it and are short.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable

_SPELLING = (
    "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november oscar papa quebec romeo "
    "sierra tango uniform victor whiskey x-ray yankee zulu"
)
WORDS = {word[0]: word for word in _SPELLING.split()}
ALPHABET = "ITU Radio Regulations, Appendix 14, from memory"
# What somebody opens or closes who hears its tag.
SAID_KINDS = ("cylinder", "valve")
_SPELLED = 2  # so many letters before a number are spelled, more are read as a word
_RHYMES = ("bcdegptvz", "mn", "fsx", "ajk", "ah", "iy", "quw")


def alike(one: str, other: str) -> bool:
    """Whether two tags sound alike: they differ in letters alone that stand by themselves and rhyme.

    >>> alike("v_b", "v_d"), alike("v_b", "v_1"), alike("valve_b", "valve_d"), alike("bed", "ped")
    (True, False, True, False)
    """
    a, b = _parts(one), _parts(other)
    pairs = [(x, y) for x, y in zip(a, b, strict=False) if x != y]
    return len(a) == len(b) and bool(pairs) and all(_rhyme(x, y) for x, y in pairs)


def _parts(tag: str) -> list[str]:
    return re.findall(r"[a-z]+|\d+", tag.lower())


def _rhyme(x: str, y: str) -> bool:
    return len(x) == len(y) == 1 and any(x in some and y in some for some in _RHYMES)


def spoken(tags: Iterable[str]) -> dict[str, str]:
    """How those of some tags are said that sound like another one: their letters by words.

    >>> spoken(["v_b", "v_d", "v_1", "tank"])
    {'v_b': 'bravo', 'v_d': 'delta'}
    """
    by_shape: dict[tuple[str, ...], list[str]] = {}
    for tag in dict.fromkeys(tags):
        by_shape.setdefault(tuple(p if len(p) > 1 or p.isdigit() else "?" for p in _parts(tag)), []).append(tag)
    made: dict[str, str] = {}
    for some in by_shape.values():
        for one, other in itertools.combinations(some, 2):
            if alike(one, other):
                differ = [n for n, (x, y) in enumerate(zip(_parts(one), _parts(other), strict=True)) if x != y]
                for tag in (one, other):
                    made[tag] = " ".join(WORDS[_parts(tag)[n]] for n in differ)
    return {tag: made[tag] for some in by_shape.values() for tag in some if tag in made}


def same_number(tags: Iterable[str]) -> dict[str, str]:
    """How those are said that have a number in common with another one, and spelled letters of which one is in both:
    by radio "r v one" is soon heard as "v r one". One tag stands for all with its letters.

    >>> same_number(["rv1", "v_r1", "v_r2", "sv_1", "v1", "bed_1"])
    {'rv1': 'romeo victor', 'v_r1': 'victor romeo', 'sv_1': 'sierra victor', 'v1': 'victor'}
    """
    by_number: dict[str, dict[str, str]] = {}  # of each number, by letters the tag
    for tag in tags:
        *letters, number = _parts(tag) or [""]
        said = "".join(letters)
        if number.isdigit() and 0 < len(said) <= _SPELLED:
            by_number.setdefault(number, {}).setdefault(said, tag)
    made: dict[str, str] = {}
    for own in by_number.values():
        for said, tag in own.items():
            words = " ".join(WORDS[letter] for letter in said)
            if words not in made.values() and any({*said} & {*other} for other in own if other != said):
                made[tag] = words
    return made


__all__ = ["ALPHABET", "SAID_KINDS", "WORDS", "alike", "same_number", "spoken"]
