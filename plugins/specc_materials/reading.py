"""A material as somebody wrote it, read word by word against the lists of names.

Each word has to be accounted for: it is a name of a list, or says nothing of what a thing is made of ("body", "hard"),
or it is unknown. What is unknown is asked about; it never makes a thing harmless.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from specc import Citation
from specc_materials.coatings import BY_TITLE, COATINGS, OF_KEY, OF_METAL, Coating
from specc_materials.stuffs import STUFFS, UNS, Family, Stuff, by_uns
from specc_materials.tubes import BY_NUMBER, GRADES, Standard

NAMES = Citation("metal-names", "which metal, coating or standard a name or number means", "memory")
_WORD = re.compile(r"[^\W_]+(?:\.[0-9]+)*|[%?]")  # a question mark is a doubt, and on no list


def _set(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Words that say nothing of what a thing is made of, beside a name that does.
_HARMLESS = _set(
    """a an the and with of in on for to by from or at its per as all both inside outside over under
    body bodies tube tubes tubing pipe pipes hose sheet plate bar rod wire mesh frame tie ties part parts fitting
    fittings valve seat stem head cap shell housing jacket cover braid braided ring bolt bolts screw screws
    strap straps chain angle channel section profile stock post pole column cable
    soft hard drawn annealed half temper coil coils coiled roll straight flexible length lengths
    seamless welded brazed forged machined cast spun extruded rolled wrought
    hot cold bent stamped pressed threaded perforated expanded tempered
    round square flat thin thick light heavy standard new used clean polished brushed satin solid black bright plain
    red blue green white yellow orange clear matte gloss
    type grade class sch schedule series alloy metal wall od id
    astm ansi asme ams iso en aw ac din ul csa aws uns jis aisi sae sus bs tp
    propane gas lp lpg liquefied petroleum fuel refill recycled reclaimed salvaged scrap
    erw hss tig mig"""
)
_TEMPER = re.compile(r"t\d{1,4}|h\d{2,3}")  # of aluminum: T6, T651, H14
# A number is a measure when one of these stands after it, or a class when one of the others stands before it.
_UNITS = _set("in inch inches mm cm m ft ga gauge thou mil mils psi bar lb oz % swg awg")
# Of these, the ones that are no word besides: "304 in sheet" is a metal, "304 mm" is a length.
_MEASURES = _UNITS - {"in", "m", "ga"}
_COUNTED = _set("sch schedule class type grade series no gauge alloy lot size gr")
_NOT = _set("not no non never without un nothing")
# The other spelling of words that stand in names.
_SAME = (
    (re.compile(r"alumini(um|zed|sed)"), lambda m: "aluminum" if m[1] == "um" else "aluminized"),
    (re.compile(r"(galvan|anod|sherard|oxid|passiv)is(ed|ing)"), r"\1iz\2"),
    (re.compile(r"colou?r"), "color"),
    (re.compile(r"gr[ea]y"), "gray"),
    (re.compile(r"fib(re|er)"), "fiber"),
    (re.compile(r"enamel+ed"), "enameled"),
    (re.compile(r"\bwire[ -]rope"), "cable"),  # of metal, and no rope that burns
    (re.compile(r"\bs[./]s\b\.?"), "ss"),
)
# Letters and digits that are written apart or together, each made one way: "ASTM B 88", "C360" for UNS C36000,
# "EN 1057", "A53B" with its grade, "6061T6" with its temper.
_TOGETHER = (
    (re.compile(r"\b([abcdefgklsz])[ -](\d{2,5})\b"), r"\1\2"),
    (re.compile(r"\bc(\d{3})\b(?![.]\d)"), r"c\g<1>00"),
    (re.compile(r"\b(en|as|bs)[ -](\d{4,5})\b"), r"\1\2"),
    (re.compile(r"\b(a53|a106)([abc])\b"), r"\1 \2"),
    (re.compile(r"\b([1-7]\d{3})([th]\d{1,4})\b"), r"\1 \2"),
    (re.compile(r"\bun(galvani[sz]ed|coated|painted|plated)\b"), r"not \1"),
)
_PLATED = _set("plated plating coated coating clad cladding dipped electroplated plate finish finished lined")


def words(text: str) -> tuple[str, ...]:
    """The words of a text, in small letters, "ASTM B 88" and "UNS C 12200" as one word each."""
    low = re.sub(r"\bun-", "not ", text.lower()).replace("’", "'")
    for other, ours in _SAME:
        low = other.sub(ours, low)
    for apart, together_ in _TOGETHER:
        low = apart.sub(together_, low)
    return tuple(_WORD.findall(low))


class Reading(NamedTuple):
    """What a text says: materials, coatings, standards and grades, what it denies, and the words on no list."""

    stuffs: tuple[Stuff, ...] = ()
    coatings: tuple[Coating, ...] = ()
    standards: tuple[Standard, ...] = ()
    grades: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()

    def of(self, *families: Family) -> bool:
        """Whether it is of one of these families, by name or by its standard."""
        named = {s.family for s in self.stuffs} | {s.family for s in self.standards}
        if named & set(families):
            return True
        # The grades are those of copper tube; a coating's name may say that there is steel under it.
        bare = not self.stuffs and not self.standards
        return bare and (("copper" in families and bool(self.grades)) or ("steel" in families and self.under))

    @property
    def under(self) -> bool:
        """Whether a coating's name says that there is steel under it: EMT, galvanized."""
        return any(c.steel for c in self.coatings)


def _index() -> dict[str, list[tuple[tuple[str, ...], Stuff | Coating]]]:
    """Names by their first word, the longest first."""
    index: dict[str, list[tuple[tuple[str, ...], Stuff | Coating]]] = {}
    listed: tuple[Stuff | Coating, ...] = (*STUFFS, *COATINGS)
    for one in listed:
        for name in one.names:
            split = words(name)
            index.setdefault(split[0], []).append((split, one))
    for names in index.values():
        names.sort(key=lambda pair: -len(pair[0]))
    return index


_INDEX = _index()


def _match(typed: tuple[str, ...], at: int) -> tuple[int, tuple[Stuff | Coating, ...]]:
    """How many words from here on are the longest name, and what goes by it (a metal, a coating, or both)."""
    longest, found = 0, []
    for name, one in _INDEX.get(typed[at], ()):
        if len(name) < longest:
            break
        if typed[at : at + len(name)] == name:
            longest = len(name)
            found.append(one)
    return longest, tuple(found)


@lru_cache(maxsize=4096)
def read(text: str) -> Reading:
    """Read one text. Words on no list stand in `unknown`, in order."""
    typed = words(text)
    stuffs: list[Stuff] = []
    coatings: list[Coating] = []
    standards: list[Standard] = []
    grades: list[str] = []
    without: list[str] = []
    unknown: list[str] = []
    at, denied = 0, False
    while at < len(typed):
        word = typed[at]
        after = typed[at + 1] if at + 1 < len(typed) else ""
        before = typed[at - 1] if at else ""
        if word in _NOT and not (word == "no" and after in ("coating", "")):
            denied, at = True, at + 1
            continue
        if word == "free" and after in ("of", "from"):
            denied, at = True, at + 2
            continue
        taken, names = _match(typed, at)
        if taken == 1 and word.isdigit() and after in _MEASURES:
            taken, names = 0, ()
        number = word.removeprefix("astm").upper()
        if taken and at + taken < len(typed) and typed[at + taken] == "free":  # "lead-free"
            without += [n.title for n in names]
            at, denied = at + taken + 1, False
            continue
        if taken and denied:
            without += [n.title for n in names]
            at += taken
            denied = at < len(typed) and typed[at] in ("or", "nor")  # "no zinc or cadmium"; "no paint, and galvanized"
            at += denied
            continue
        row = BY_NUMBER.get(number)
        stuff = by_uns(word) if row is None and UNS.fullmatch(word) else None
        if row is not None or stuff:
            if row is not None:
                standards.append(row)
            elif stuff:
                stuffs.append(stuff)
            # Some standards are names of a metal or a coating too.
            coatings += [n for n in names if isinstance(n, Coating) and n not in coatings]
            at, denied = at + 1, False
            continue
        grade = _grade(word, after, before)
        if grades and before in ("or", "and", "to") and word in ("k", "l", "m"):
            grade = word.upper()  # "type L or M"
        if grade:
            grades.append(grade)
            at += 2 if word == "type" else 1
            continue
        if taken:
            following = typed[at + taken] if at + taken < len(typed) else ""
            # "steel coated with copper": copper is what is on it.
            covers = before in ("with", "in") and at > 1 and typed[at - 2] in _PLATED
            listed = _sort(names, "plated" if covers else following, before, stuffs, coatings)
            unknown += () if listed else (word,)
            at, denied = at + taken, False
            continue
        if not (_says_nothing(word, after, before) or word in _PLATED):
            unknown.append(word)
        at, denied = at + 1, False
    # "Die-cast" alone is zinc; beside aluminum it is how that was cast.
    if "die" in typed and any(s.family == "aluminum" for s in stuffs) and not {"zinc", "zn", "zamak"} & set(typed):
        stuffs = [s for s in stuffs if s.family != "zinc"]
    return Reading(
        tuple(dict.fromkeys(stuffs)),
        tuple(dict.fromkeys(coatings)),
        tuple(dict.fromkeys(standards)),
        tuple(dict.fromkeys(grades)),
        tuple(dict.fromkeys(without)),
        tuple(dict.fromkeys(unknown)),
    )


def _sort(
    names: tuple[Stuff | Coating, ...], following: str, before: str, stuffs: list[Stuff], coatings: list[Coating]
) -> bool:
    """Sort what goes by a name into materials and coatings. What is both ("zinc", "tin") is a coating beside "plated",
    "coated with" or after another metal ("steel, zinc"); by itself it is what the thing is made of. False where it is
    a coat of something that is on no list of coats."""
    metal = [n for n in names if isinstance(n, Stuff)]
    cover = [n for n in names if isinstance(n, Coating)]
    covering = following in _PLATED or before in _PLATED or (before in ("with", "in") and bool(stuffs))
    if metal and cover:
        if covering or stuffs or following in ("steel", "brass", "iron"):
            coatings += cover
        else:
            stuffs += metal
    elif metal and following in _PLATED and metal[0].family not in ("steel", "stainless", "iron", "cast iron"):
        coat = OF_METAL.get(metal[0].family)  # "bronze dipped"
        coatings += [coat] if coat else []
        return coat is not None
    else:
        stuffs += metal
        coatings += cover
    return True


def _grade(word: str, after: str, before: str) -> str:
    """A grade of copper tube: "type L", "ACR", "DWV", or a letter beside "grade" or "copper"."""
    if word == "type" and after.upper() in GRADES:
        return after.upper()
    if word in ("acr", "dwv"):
        return word.upper()
    if word in ("k", "l", "m") and (before in ("grade", "copper", "tube", "b88") or after in ("copper", "cu")):
        return word.upper()
    return ""


def _says_nothing(word: str, after: str, before: str) -> bool:
    if word in _HARMLESS or word in _UNITS or _TEMPER.fullmatch(word):
        return True
    if word.replace(".", "").isdigit():
        return after in _UNITS or before in _COUNTED or before.isdigit() or after.isdigit()
    return len(word) == 1 and word != "?"  # the letters of a grade, "A53 grade B"


def read_coating(text: str) -> Reading:
    """What `coating:` says: its usual names, a metal ("Zn") being a plating of it. Else its words are unknown."""
    usual = BY_TITLE.get(OF_KEY.get(text.strip().lower(), ""))
    if usual is not None:
        return Reading(coatings=(usual,))
    said = read(text)
    if not said.coatings and not said.without:
        said = read(f"{text} plated")
    metals = tuple(OF_METAL[s.family] for s in said.stuffs if s.family in OF_METAL)
    coatings = tuple(dict.fromkeys((*said.coatings, *metals)))
    if coatings or said.without:
        return Reading(coatings=coatings, without=said.without, unknown=said.unknown)
    return Reading(unknown=words(text))


def together(readings: Iterable[Reading]) -> Reading:
    """Several readings of one thing as one."""
    listed = tuple(readings)
    return Reading(
        tuple(dict.fromkeys(x for r in listed for x in r.stuffs)),
        tuple(dict.fromkeys(x for r in listed for x in r.coatings)),
        tuple(dict.fromkeys(x for r in listed for x in r.standards)),
        tuple(dict.fromkeys(x for r in listed for x in r.grades)),
        tuple(dict.fromkeys(x for r in listed for x in r.without)),
        tuple(dict.fromkeys(x for r in listed for x in r.unknown)),
    )
