"""Finding a size by the words that a spec or a person uses for it.

A name is read as steps ("1/2 x 1/4 in NPT" has two), each a number with words, and words that stand for the whole
("45 degrees", "schedule 40"). A text means a size if its steps have the same numbers in the same order and it says
nothing that the size's name or ends do not say. It may say less, as long as only one size is left.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import permutations
from typing import NamedTuple

from specc.kinds.plumbing import Family, Size
from specc_plumbing.ends import SKIPPED, WORDS, BadEnd, inches, parse_end, plain_text, size_pattern, written_size

_PHRASES = (
    (r"\bsch(?:edule|d)?\.?\s*(\d+)\b", r" s\1 "),
    (r"\btype\s+(k|l|acr|m|dwv)\b", r" type\1 "),
    (r"(?:\bno\.?|\bnumber|#)\s*(\d+)\b", r" no\1 "),
    (r"\bcga\s*-?\s*(\d+)\b", r" cga\1 "),
    (r"\bpol\b", " cga510 "),
    (r"\bqcc ?1?\b", " cga791 "),
    (r"\b(\d+)\s*(?:outlets?|ports?|ways?)\b", r" outlets\1 "),
    (r"(?<![./\d])45 ?(?:deg(?:rees?)?)?\b(?!\s*/)", " 45deg "),
    (r"(?<![./\d])90 ?deg(?:rees?)?\b", " "),
    (r"(\d\.\d+)(?: in)? wall\b", r" wall\1 "),
)
_HINT = r"sch|type|no|nu|#|cga|pol|qcc|outl|port|way|45|90|wall|close"
_CODE = r"\b(?:s|type|no|cga|outlets|wall)[\d.a-z]*\d\b|\btype(?:k|l|acr|m|dwv)\b|\b45deg\b|\bclose\b"
_NOISE = SKIPPED | {"drill", "drilled", "long", "fitting", "nominal"}
_GENDERS = {"male", "female"}
# What tells one end from another: a family's name does not say it of an end that is not so.
_OF_ENDS = frozenset(fact for facts in WORDS.values() for fact in facts) - {"swivel", "nut", "cylinder"}


class SizeStep(NamedTuple):
    """A number in inches (or a cylinder connection) with the words that belong to it."""

    number: float | str
    words: frozenset[str]


class _Read(NamedTuple):
    steps: tuple[SizeStep, ...]
    whole: frozenset[str]


class _Entry(NamedTuple):
    family: Family
    size: Size
    name: _Read
    ends: tuple[SizeStep, ...]
    also: tuple[frozenset[str], ...]  # by step, what the ends say as well
    about: frozenset[str]  # words of the family that say nothing of an end
    long: bool  # one of the steps is a length


@lru_cache(8192)
def _read(text: str) -> _Read:
    plain = plain_text(text).replace("×", " x ").replace("ø", " ")
    coded = re.search(_HINT, plain) is not None  # most names have no phrase, and are read much faster
    for pattern, put in _PHRASES if coded else ():
        plain = re.sub(pattern, put, plain)
    steps: list[SizeStep] = []
    whole: set[str] = set()
    for piece in re.split(r"(?<=[\s\d])x(?=[\s\d])|\bby\b|,|;", plain):
        codes = re.findall(_CODE, piece) if coded else []
        connection = [c for c in codes if c.startswith("cga")]
        whole |= {c for c in codes if not c.startswith("cga")}
        if codes:
            piece = re.sub(_CODE, " ", piece)
        numbers = [written_size(m)[0] for m in size_pattern().finditer(piece)]
        words = frozenset(_said(size_pattern().sub(" ", piece)))
        if not numbers and not connection:
            whole |= words
            continue
        first: float | str = connection[0] if connection else numbers[0]
        steps.append(SizeStep(first, words))
        steps += [SizeStep(n, frozenset()) for n in (numbers if connection else numbers[1:])]
    return _Read(_inherit(steps), frozenset(whole))


def _said(piece: str) -> Iterator[str]:
    for word in re.findall(r"[a-z]+", piece):
        if word in WORDS:
            yield from (f for f in WORDS[word] if f not in ("od", "nominal"))
        elif word not in _NOISE:
            yield word.removesuffix("s") if len(word) > 3 else word


def _inherit(steps: list[SizeStep]) -> tuple[SizeStep, ...]:
    """In "1/2 x 1/4 in NPT" the first step is NPT too; genders are not handed on."""
    made: list[SizeStep] = []
    later: frozenset[str] = frozenset()
    for step in reversed(steps):
        later = step.words or later
        made.append(step if step.words or isinstance(step.number, str) else SizeStep(step.number, later - _GENDERS))
    return tuple(reversed(made))


@lru_cache(4096)
def _end_says(text: str) -> SizeStep | None:
    end = parse_end(text)
    if isinstance(end, BadEnd):
        return None
    words = {end.family, end.gender} | ({"socket"} if (end.family, end.gender) == ("tube", "female") else set())
    return SizeStep(f"cga{end.size}" if end.family == "CGA" else inches(end.size), frozenset(words))


def _ends_say(i: int, number: float | str, ends: Sequence[SizeStep], steps: int) -> frozenset[str]:
    """What the ends say of a step: the end in its place if each step has one, else those of its number.

    Of several ends only what holds for all. A step that is no end's is a length, as in "1/2 in NPT x 3 in", and what
    is said there may be meant for the ends.
    """
    if len(ends) == steps and ends[i].number == number:
        return ends[i].words
    meant = [e.words for e in ends if e.number == number and len(ends) != steps]
    if meant or not ends:
        return frozenset.intersection(*meant) if meant else frozenset()
    return frozenset.intersection(*[e.words for e in ends]) - _GENDERS


def _about(family: Family) -> frozenset[str]:
    """Words of a family's name, kind and form."""
    return frozenset(_said(plain_text(f"{family.name} {family.kind} {family.form.replace('_', ' ')}")))


def _entry(family: Family, size: Size, about: frozenset[str]) -> _Entry:
    name = _read(size.name)
    ends = tuple(s for s in map(_end_says, size.ends) if s is not None)
    also = tuple(_ends_say(i, step.number, ends, len(name.steps)) for i, step in enumerate(name.steps))
    long = bool(ends) and not {s.number for s in name.steps} <= {e.number for e in ends}
    return _Entry(family, size, name, ends, also, about, long)


class _KnownSizes(NamedTuple):
    """A catalog's sizes by kind and form: by name, for those who write it as it is, and as read."""

    families: Sequence[Family]
    named: dict[tuple[str, str], dict[str, list[tuple[Family, Size]]]]
    read: dict[tuple[str, str], tuple[_Entry, ...]]


# The catalog last asked. Held by identity: comparing thousands of sizes would cost more than reading them.
_held: list[_KnownSizes] = []


def _hold(families: Sequence[Family]) -> _KnownSizes:
    if not _held or _held[0].families is not families:
        _held[:] = [_KnownSizes(families, {}, {})]
    return _held[0]


def _by_name(families: Sequence[Family], kind: str, form: str, text: str) -> list[tuple[Family, Size]]:
    """The sizes whose name is the text, but for case, commas and blanks."""
    named = _hold(families).named
    if (kind, form) not in named:
        names: dict[str, list[tuple[Family, Size]]] = {}
        for family in families:
            if family.kind == kind and form in ("", family.form):
                for size in family.sizes:
                    names.setdefault(" ".join(size.name.lower().split()), []).append((family, size))
        named[kind, form] = names
    return named[kind, form].get(" ".join(text.lower().replace(",", " ").split()), [])


def _entries(families: Sequence[Family], kind: str, form: str) -> tuple[_Entry, ...]:
    made = _hold(families).read
    if (kind, form) not in made:
        entries: list[_Entry] = []
        for family in families:
            if family.kind == kind and form in ("", family.form):
                about = (_about(family) - _OF_ENDS) | frozenset(_said(kind))
                entries += [_entry(family, size, about) for size in family.sizes]
        made[kind, form] = tuple(entries)
    return made[kind, form]


def _fits(entry: _Entry, asked: _Read) -> bool:
    """Whether the size's name, with what its ends say, says all that was asked."""
    steps = entry.name.steps
    if [s.number for s in steps] != [a.number for a in asked.steps]:
        return False
    if not asked.whole <= entry.name.whole | entry.about | frozenset(w for s in steps for w in s.words):
        return False
    everywhere = entry.about | (entry.name.whole - _OF_ENDS)
    return all(
        a.words <= s.words | also | everywhere for a, s, also in zip(asked.steps, steps, entry.also, strict=True)
    )


def _fits_by_ends(entry: _Entry, asked: _Read) -> bool:
    """Whether the text says each end, in some order: "1/2 MNPT x 1/2 FNPT" of a street elbow."""
    if not 2 <= len(asked.steps) == len(entry.ends) <= 4:
        return False
    everywhere = entry.about | (entry.name.whole - _OF_ENDS)
    if not asked.whole <= everywhere | entry.name.whole:
        return False
    return any(
        all(a.number == e.number and a.words <= e.words | everywhere for a, e in zip(asked.steps, ends, strict=True))
        for ends in permutations(entry.ends)
    )


def _no_more(entry: _Entry, asked: _Read) -> bool:
    """Whether a size's name says nothing that was not asked."""
    return entry.name.whole <= asked.whole and all(
        s.words <= a.words for s, a in zip(entry.name.steps, asked.steps, strict=True)
    )


def _readings(asked: _Read) -> Iterator[_Read]:
    """ "1/2 x 1/2 NPT" as the straight size, the text as it stands, and with its ends said the other way round."""
    if len(asked.steps) > 1 and len(set(asked.steps)) == 1:
        yield _Read(asked.steps[:1], asked.whole)
    yield asked
    yield _Read(tuple(reversed(asked.steps)), asked.whole)


def _candidates(entries: Sequence[_Entry], text: str) -> list[_Entry]:
    """The sizes that a text may mean. What says no more than was asked goes before what says more."""
    asked = _read(text)
    if not asked.steps and not asked.whole:
        return []
    for reading in _readings(asked):
        alike = [e for e in entries if e.name == reading]
        if alike:
            return alike[:1] if len({e.family.form for e in alike}) == 1 else alike
        # A length comes last: "1-1/2 x 1/2 NPT" is no nipple of 1/2 in that is 1-1/2 in long.
        turned = reading.steps != asked.steps and len(reading.steps) == len(asked.steps)
        fits = [e for e in entries if _fits(e, reading) and not (turned and e.long)]
        if fits:
            short = [e for e in fits if e.name.whole <= reading.whole]
            return [e for e in short if _no_more(e, reading)] or short or fits
    by_ends = [e for e in entries if _fits_by_ends(e, asked)]
    return [e for e in by_ends if e.name.whole <= asked.whole] or by_ends


def find_size(
    families: Sequence[Family], kind: str, form: str, size_text: str, *more: str
) -> tuple[Family, Size] | None:
    """The one size that a part's kind, form and `size:` mean, or None if none or several do.

    `more`: further words of the part, such as "schedule 40" or "type L", which tell apart what the size alone
    does not. An empty form asks all forms of the kind. Upper and lower case, "in", "x" or "×", fractions or
    decimals, MNPT or male NPT make no difference; a name that is the same goes before one that says more.
    """
    text = ", ".join(t for t in (size_text, *more) if t)
    named = _by_name(families, kind, form, text)
    if named and len({family.form for family, _ in named}) == 1:
        return named[0]
    found = _candidates(_entries(families, kind, form), text)
    return (found[0].family, found[0].size) if len(found) == 1 else None


def agreed_size(
    families: Sequence[Family], kind: str, form: str, size_text: str, *more: str
) -> tuple[Family, Size] | None:
    """What all the sizes agree on that a text may mean, such as the threads of a pipe whose schedule is not said.

    As `find_size`, but where several are meant and their ends are the same, a size of that name with those measures
    in which they do not differ. None if none is meant, or if their ends differ.
    """
    found = _candidates(_entries(families, kind, form), ", ".join(t for t in (size_text, *more) if t))
    if not found or len({e.size.ends for e in found}) > 1:
        return None
    first = found[0]
    rest = [{name: constant.si for name, constant in e.size.measures} for e in found[1:]]
    same = tuple((n, c) for n, c in first.size.measures if all(r.get(n) == c.si for r in rest))
    return first.family, Size(size_text, first.size.ends, same)


def meant_sizes(families: Sequence[Family], kind: str, form: str, size_text: str) -> tuple[tuple[Family, Size], ...]:
    """All that a text may mean, with their families: several where `find_size` found none for that."""
    return tuple((e.family, e.size) for e in _candidates(_entries(families, kind, form), size_text))


def near_sizes(families: Sequence[Family], kind: str, form: str, size_text: str, most: int = 3) -> tuple[str, ...]:
    """Names of the sizes nearest to a text that `find_size` did not find: first those it may mean."""
    ordered = near_pairs(families, kind, form, size_text)
    return tuple(dict.fromkeys(size.name for _, size in ordered))[:most]


def near_pairs(families: Sequence[Family], kind: str, form: str, size_text: str) -> tuple[tuple[Family, Size], ...]:
    """All sizes of a kind and form with their families, those nearest to a text first."""
    entries = _entries(families, kind, form)
    meant = _candidates(entries, size_text)
    asked = _read(size_text)

    def far(entry: _Entry) -> tuple[float, ...]:
        steps = entry.name.steps
        same = sum(a.number == b.number for a, b in zip(steps, asked.steps, strict=False))
        said = frozenset(w for s, also in zip(steps, entry.also, strict=True) for w in s.words | also)
        words = len((frozenset(w for s in asked.steps for w in s.words) | asked.whole) & (said | entry.name.whole))
        apart = sum(
            abs(a.number - b.number)
            for a, b in zip(steps, asked.steps, strict=False)
            if isinstance(a.number, float) and isinstance(b.number, float) and b.number == b.number
        )
        return (-words, abs(len(steps) - len(asked.steps)), -same, apart)

    ordered = [*meant, *sorted(entries, key=far)]
    return tuple(dict.fromkeys((e.family, e.size) for e in ordered))


def search(families: Sequence[Family], text: str) -> tuple[tuple[Family, Size], ...]:
    """All sizes that have every number and every word of a text, in the catalog's order.

    A word may be the start of the catalog's, such as "regul" or "bush".
    """
    asked = _read(text)
    numbers = [s.number for s in asked.steps]
    words = asked.whole | frozenset(w for s in asked.steps for w in s.words)
    if not numbers and not words:
        return ()
    found = []
    for kind in dict.fromkeys(f.kind for f in families):
        for entry in _entries(families, kind, ""):
            there = entry.name.whole | _about(entry.family)
            for step, also in zip(entry.name.steps, entry.also, strict=True):
                there |= step.words | also
            if _has(entry, numbers) and all(_said_there(w, there) for w in words):
                found.append((entry.family, entry.size))
    place = {id(f): i for i, f in enumerate(families)}
    return tuple(sorted(found, key=lambda pair: place[id(pair[0])]))


def _said_there(word: str, there: frozenset[str]) -> bool:
    return word in there or (len(word) > 2 and any(t.startswith(word) for t in there))


def _has(entry: _Entry, numbers: Sequence[float | str]) -> bool:
    """Whether a size has these numbers, in this order or another."""
    left = [s.number for s in entry.name.steps]
    for number in numbers:
        if number not in left:
            return False
        left.remove(number)
    return True


def near_families(families: Sequence[Family], words: Sequence[str]) -> tuple[str, ...]:
    """Names of families that have one of the words, or nearly."""
    from difflib import get_close_matches

    known: dict[str, str] = {}
    for family in families:
        for word in family.name.lower().split():
            known.setdefault(word, family.name)
    near = [m for w in words for m in get_close_matches(w.lower(), known, 2, 0.7)]
    return tuple(dict.fromkeys(known[n] for n in near))
