"""The ends of parts: reading what a fitter writes, which ends mate, and why two do not.

Sources of what is told here: threads from ASME B1.20.1 (NPT, NPSM) and, from memory, ISO 7-1 and ISO 228-1 (BSPT,
BSPP); flares from SAE J512; copper tube from ASTM B88 (outside diameter = nominal size + 1/8 in); cylinder
connections from CGA V-1, in reprints.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from specc.kinds.plumbing import End


class BadEnd(NamedTuple):
    """Why a text is no end, and what to write instead."""

    message: str
    fix: str


class Mating(NamedTuple):
    """How two ends join. `method` and `also` are the words of the joint schema, the usual one first."""

    method: str
    seal: str
    also: tuple[str, ...] = ()


_PIPE = ("1/16", "1/8", "1/4", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4")
_TUBE = ("1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "5/8", "3/4", "7/8", "1")

SIZES: dict[str, tuple[str, ...]] = {
    "NPT": _PIPE,
    "NPSM": _PIPE[1:],
    "BSPT": _PIPE,
    "BSPP": (*_PIPE[:5], "5/8", "3/4", "7/8", *_PIPE[6:]),
    "flare": _TUBE,  # SAE J512 and J513
    "CGA": ("510", "555", "600", "791"),  # those in use for propane
    "tube": (*_TUBE, "1-1/8", "1-3/8", "1-5/8", "2-1/8", "2-5/8"),  # by outside diameter
    "hose": ("1/8", "3/16", "1/4", "5/16", "3/8", "1/2", "5/8", "3/4", "1", "1-1/4", "1-1/2", "2"),
    "compression": _TUBE,
    "weld": _PIPE[1:],  # by the pipe's nominal size
}
"""The sizes of each family, smallest first, in inches as the trade writes them (a number for CGA)."""

NUTS = ("flare", "NPSM", "compression")
"""Families that may be held by a loose nut."""

ON_CYLINDER = {"510": "female", "555": "female", "600": "male", "791": "male"}
"""Which gender of a CGA connection is on the cylinder; the other is on the nut."""

# Threads per inch. NPT: ASME B1.20.1, read in a reprint up to 2 in. BSP: ISO 7-1, from memory.
_TURNS = {
    "NPT": dict(zip(_PIPE, ("27", "27", "18", "18", "14", "14", *["11.5"] * 4, "8", "8", "8"), strict=True)),
    "BSP": dict(zip(_PIPE, ("28", "28", "19", "19", "14", "14", *["11"] * 7), strict=True)),
}

# What the trade calls CGA 510 and CGA 791.
_CALLED = r"\b(pol|qcc ?1?|type (1|i))\b"

_EXAMPLES = 'write an end as "1/2 in male NPT", "3/8 in female flare", "5/8 in OD tube" or "CGA 510 male"'


def inches(size: str) -> float:
    """The number of inches in a size as the trade writes it: "1-1/4" is 1.25."""
    whole, _, part = size.partition("-") if "-" in size else ("0", "", size) if "/" in size else (size, "", "0/1")
    over, _, under = part.partition("/")
    return float(whole) + int(over) / int(under)


def every_end() -> tuple[End, ...]:
    """All ends there are, each family in each of its sizes."""
    found: list[End] = []
    for family, sizes in SIZES.items():
        for size in sizes:
            if family == "weld":
                found.append(End(family, size, ""))
                continue
            found += (End(family, size, "male"), End(family, size, "female"))
            if family in NUTS:
                found.append(End(family, size, "female", nut=True))
    return tuple(found)


# Reading

# Each word: the family it tells, if any, and what else it tells.
WORDS: dict[str, tuple[str, ...]] = {
    "npt": ("NPT",), "ipt": ("NPT",), "ips": ("NPT",), "npsm": ("NPSM",), "bspt": ("BSPT",), "bspp": ("BSPP",),
    "flare": ("flare",), "flared": ("flare",), "mfl": ("flare", "male"), "ffl": ("flare", "female"),
    "tube": ("tube",), "tubing": ("tube",), "od": ("tube", "od"),
    "socket": ("tube", "socket"), "cup": ("tube", "socket"), "sweat": ("tube", "socket", "nominal"),
    "copper": ("tube", "nominal"), "nominal": ("nominal",), "nom": ("nominal",),
    "barb": ("hose", "barb"), "barbed": ("hose", "barb"), "hose": ("hose",), "bare": ("hose",),
    "compression": ("compression",), "weld": ("weld",), "welded": ("weld",), "buttweld": ("weld",),
    "male": ("male",), "m": ("male",), "external": ("male",),
    "female": ("female",), "f": ("female",), "fem": ("female",), "internal": ("female",),
    "nut": ("nut",), "swivel": ("swivel",), "cylinder": ("cylinder",), "valve": ("cylinder",), "tank": ("cylinder",),
}  # fmt: skip
for _stem, _family in (("npt", "NPT"), ("ip", "NPT"), ("pt", "NPT"), ("ipt", "NPT"), ("ips", "NPT"), ("npsm", "NPSM"),
                       ("bspt", "BSPT"), ("bspp", "BSPP")):  # fmt: skip
    WORDS["m" + _stem] = (_family, "male")
    WORDS["f" + _stem] = (_family, "female")
WORDS["nptm"] = ("NPT", "male")

SKIPPED = frozenset((
    "in", "inch", "inches", "of", "for", "a", "an", "the", "on", "with", "and", "end", "ends", "thread", "threads",
    "threaded", "taper", "tapered", "parallel", "straight", "sae", "deg", "degree", "degrees", "size", "lh", "left",
    "hand", "handed", "butt",
))  # fmt: skip

# Ends that look like known ones and are not: what to say of each.
_TAKEN_FOR = {
    "nptf": "NPTF is the dryseal thread, the F is not for female",
    "jic": "a JIC flare has 37 degrees and does not seal on an SAE flare, which has 45",
    "inverted": "an inverted flare is not the SAE 45 degree flare",
    "ght": "a garden hose thread is not for gas",
    "bsp": "BSP may be taper (BSPT) or parallel (BSPP)",
    "nps": "NPS may be a straight thread (NPSM) or the nominal pipe size",
    "orb": "an O-ring boss is not an end that specc knows",
    "mm": "sizes are in inches, as the trade writes them",
}

_SIZE_WRITTEN = (
    r"(?<![\d./])(?:(?:(\d{1,2})(?:\s*-\s*|\s+))?(\d{1,3})/(\d{1,3})|(\d{0,3}\.\d{1,5}|\d{1,4}))(?![\d/]|\.\d)"
)
_VULGAR = {"⅛": " 1/8", "¼": " 1/4", "⅜": " 3/8", "½": " 1/2", "⅝": " 5/8", "¾": " 3/4", "⅞": " 7/8", "⁄": "/"}
_PLAIN = str.maketrans({**_VULGAR, '"': " in ", "″": " in ", "”": " in ", "°": " deg ", "‑": "-", "–": "-"})


@cache
def size_pattern() -> re.Pattern[str]:
    """What finds a size; `written_size` reads what it found. Compiled when first needed, not on import."""
    return re.compile(_SIZE_WRITTEN)


def plain_text(text: str) -> str:
    """Lower case, plain fractions and inch marks, single blanks."""
    plain = " ".join(text.lower().translate(_PLAIN).replace("o.d.", "od").split())
    return plain.replace("outside diameter", "od").replace("hosebarb", "hose barb")


def parse_end(text: str, at: str = "") -> End | BadEnd:
    """Read an end as a fitter writes it. `at` is the JSON pointer where it stands.

    Any order of size, gender and kind; upper or lower case; sizes as fraction, decimal or mixed number.
    Returns a BadEnd for what is no end, leaves the gender or the diameter open, or has a size that is not made.

    >>> parse_end("1/2 MNPT").words
    '1/2 in male NPT'
    >>> parse_end("1 1/4 in FIP").words
    '1-1/4 in female NPT'
    >>> parse_end("3/8 flare nut").words
    '3/8 in flare with nut'
    >>> parse_end("1/2 in copper").fix
    'write "5/8 in OD tube": copper tube measures 1/8 in more outside than its nominal size'
    """
    if len(text) > 80:
        return BadEnd("an end is said in a few words", _EXAMPLES)
    plain = plain_text(text)
    number = re.search(r"\bcga\s*-?\s*(\d{1,4})?", plain)
    if number or re.search(_CALLED, plain):
        return _cylinder_end(text, plain, number.group(1) if number else None, at)
    plain = re.sub(r"\b45 ?(deg(rees?)?\b)?(?= *(sae|flare|male|female))", " ", plain)
    angle = re.search(r"\b37 ?(deg|flare)", plain)
    if angle:
        return BadEnd(f"{text!r}: {_TAKEN_FOR['jic']}", _EXAMPLES)
    spots = list(size_pattern().finditer(plain))
    words = re.findall(r"[a-z]+", size_pattern().sub(" ", plain))
    for word in words:
        if word in _TAKEN_FOR:
            return BadEnd(f"{text!r}: {_TAKEN_FOR[word]}", _after_taken(word, words, spots))
    unknown = [w for w in words if w not in WORDS and w not in SKIPPED]
    if unknown:
        return _unknown(text, unknown[0])
    if len(spots) != 1:
        return BadEnd(f"{text!r} has {'no size' if not spots else 'more than one size'}; an end has one", _EXAMPLES)
    return _read(text, words, spots[0], at)


def _read(text: str, words: list[str], spot: re.Match[str], at: str) -> End | BadEnd:
    """The end that known words and one size tell."""
    told = {fact for w in words for fact in WORDS.get(w, ())}
    families = [f for f in SIZES if f in told]
    if "tube" in families and ("flare" in families or "compression" in families):
        families.remove("tube")  # a flare's or a compression fitting's size is that of its tube
    size, written = written_size(spot)
    if len(families) > 1:
        return BadEnd(f"{text!r} says two ways to join: {' and '.join(families)}", _EXAMPLES)
    if not families:
        return BadEnd(f"{text!r} does not say how it joins", f"add NPT, flare, OD tube or what it is; {_EXAMPLES}")
    family = families[0]
    if "male" in told and "female" in told:
        return BadEnd(f"{text!r} is said to be both male and female", _both(family, written))
    said = "male" if "male" in told else "female" if "female" in told else ""
    if family == "tube" and "od" not in told:
        return _no_outside(text, written, size, told)
    fits = _fit(size, written, family)
    if isinstance(fits, BadEnd):
        return BadEnd(f"{text!r}: {fits.message}", fits.fix)
    if "cylinder" in told:
        return BadEnd(f"{text!r}: only a CGA connection is said to be on a cylinder", _both(family, fits))
    nut = "nut" in told or (family == "flare" and "tube" in told)
    if nut and family not in NUTS:
        return BadEnd(f"{text!r}: no nut holds an end in {family}", _both(family, fits))
    gender = _gender(family, told, nut)
    if not gender and not said and family != "weld":
        return BadEnd(f"{text!r} does not say whether it is male or female", _both(family, fits))
    if said and family == "weld":
        return BadEnd(f"{text!r}: a weld end is neither male nor female", f'write "{fits} in weld end"')
    if said and gender and said != gender and not (family == "compression" and not nut):
        nearest = End(family, fits, gender, nut).words
        return BadEnd(f"{text!r} contradicts itself: it is {gender}, not {said}", f'write "{nearest}"')
    return End(family, fits, said or gender, nut, at)


def _gender(family: str, told: set[str], nut: bool) -> str:
    """The gender that the words tell without saying male or female, or ""."""
    if family == "tube":
        return "female" if "socket" in told else "male"
    if family == "hose":
        return "male" if "barb" in told else "female"
    if nut or ("swivel" in told and family in ("flare", "NPSM")):
        return "female"
    return "male" if family == "compression" else ""


def written_size(spot: re.Match[str]) -> tuple[float, str]:
    """The size in inches (nan where it divides by zero) and as it was written."""
    whole, over, under, plain = spot.groups()
    if plain:
        return float(plain), plain
    value = int(over) / int(under) if int(under) else float("nan")
    return float(whole or 0) + value, (f"{whole}-" if whole else "") + f"{over}/{under}"


def _fit(size: float, written: str, family: str) -> str | BadEnd:
    """The family's own size, or a BadEnd with the nearest. A decimal may be rounded to two or more places."""
    digits = len(written.partition(".")[2])
    slack = 0.5000001 * 10.0**-digits if digits >= 2 else 1e-9
    sizes = SIZES[family]
    for known in sizes:
        if abs(inches(known) - size) <= slack:
            return known
    near = sorted(sizes, key=lambda s: abs(inches(s) - size))[:2] if size == size else list(sizes[:2])
    near.sort(key=inches)
    ends = " or ".join(f'"{w}"' for w in (_sized(family, s) for s in near))
    return BadEnd(f"there is no {written} in {'OD tube' if family == 'tube' else family}", f"the nearest are {ends}")


def _sized(family: str, size: str) -> str:
    return f"{size} in OD tube" if family == "tube" else f"{size} in {family}"


def _both(family: str, size: str) -> str:
    if family == "weld":
        return f'write "{size} in weld end"'
    male, female = End(family, size, "male").words, End(family, size, "female").words
    return f'write "{male}" or "{female}"'


def _no_outside(text: str, written: str, size: float, told: set[str]) -> BadEnd:
    """A tube's size without OD may be nominal, which for copper is 1/8 in less than it measures outside."""
    gender = "female" if "socket" in told else "male"
    outside = next((s for s in SIZES["tube"] if abs(inches(s) - size - 0.125) < 1e-9), "")
    means = f'"{End("tube", outside, gender).words}"' if outside else ""
    why = "copper tube measures 1/8 in more outside than its nominal size"
    if "nominal" in told:
        return BadEnd(
            f"{text!r} is a nominal size; ends of tube go by their outside diameter",
            f"write {means}: {why}" if means else f"measure the outside diameter; {why}",
        )
    as_written = next((s for s in SIZES["tube"] if abs(inches(s) - size) < 1e-9), "")
    stands = f'"{End("tube", as_written, gender).words}" if it measures {as_written} in outside' if as_written else ""
    called = f"{means} if it is called {written} in but is copper to ASTM B88" if means else ""
    return BadEnd(
        f"{text!r} does not say that its size is the outside diameter (OD)",
        "write " + (", or ".join(p for p in (stands, called) if p) or '"5/8 in OD tube", say'),
    )


def _after_taken(word: str, words: list[str], spots: list[re.Match[str]]) -> str:
    if not spots:
        return _EXAMPLES
    size, written = written_size(spots[0])
    family = {"nptf": "NPT", "bsp": "BSPT", "nps": "NPSM", "jic": "flare", "inverted": "flare"}.get(word, "")
    fits = _fit(size, written, family) if family else ""
    if not isinstance(fits, str) or not fits:
        return _EXAMPLES
    told = {fact for w in words for fact in WORDS.get(w, ())}
    genders = [g for g in ("male", "female") if g in told] or ["male", "female"]
    families = ("BSPT", "BSPP") if family == "BSPT" else (family,)
    ends = " or ".join(f'"{End(f, fits, g).words}"' for f in families for g in genders)
    return f"write {ends}, if that is what it is"


def _unknown(text: str, word: str) -> BadEnd:
    """A word that is not known, with the nearest known one put in its place."""
    from difflib import get_close_matches

    near = get_close_matches(word, [w for w in WORDS if len(w) > 2], 1, 0.6)
    fix = _EXAMPLES
    if near:
        reading = parse_end(re.sub(rf"(?<![a-z]){word}(?![a-z])", near[0], text.lower()))
        fix = f'write "{reading.words}"' if isinstance(reading, End) else f"did you mean {near[0]}? {_EXAMPLES}"
    return BadEnd(f"{text!r}: {word!r} is not a word for an end", fix)


def _cylinder_end(text: str, plain: str, number: str | None, at: str) -> End | BadEnd:
    """A CGA connection, by its number or by what the trade calls it."""
    called = "510" if re.search(r"\bpol\b", plain) else "791" if re.search(_CALLED, plain) else None
    size = number or called
    if size is None:
        return BadEnd(f"{text!r} does not say which CGA connection", f'write "{End("CGA", "510", "male").words}", say')
    if number and called and number != called:
        return BadEnd(f"{text!r} names two connections, CGA {number} and CGA {called}", _both("CGA", number))
    if size not in SIZES["CGA"]:
        known = ", ".join(SIZES["CGA"])
        return BadEnd(f"CGA {size} is not a connection for propane that specc knows", f"those known are CGA {known}")
    rest = re.findall(r"[a-z]+", re.sub(r"\bcga\s*-?\s*\d*|" + _CALLED, " ", plain))
    unknown = [w for w in rest if w not in WORDS and w not in SKIPPED]
    if unknown:
        return BadEnd(f"{text!r}: {unknown[0]!r} is not a word for an end", _both("CGA", size))
    told = {fact for w in rest for fact in WORDS.get(w, ())}
    odd = [f for f in SIZES if f in told]
    if odd:
        return BadEnd(f"{text!r} says two ways to join: CGA and {odd[0]}", _both("CGA", size))
    on_cylinder = ON_CYLINDER[size]
    on_nut = "male" if on_cylinder == "female" else "female"
    said = {g for g in ("male", "female") if g in told}
    meant = said | ({on_cylinder} if "cylinder" in told and "nut" not in told else set())
    meant |= {on_nut} if "nut" in told else set()
    if len(meant) == 1:
        return End("CGA", size, meant.pop(), False, at)
    sides = f"CGA {size} is {on_cylinder} on the cylinder and {on_nut} on the nut"
    wrong = "does not say whether it is male or female" if not meant else "contradicts itself"
    return BadEnd(f"{text!r} {wrong}; {sides}", _both("CGA", size))


# Mating

_THREAD_SEAL = "thread compound or tape made for LP-gas"
_SHOULDER_SEAL = "a washer or the seat inside; the thread itself does not seal"


def mates(a: End, b: End) -> Mating | None:
    """How two ends join, or None. The order does not matter; `why_not` tells why.

    >>> mates(End("NPT", "1/2", "male"), End("NPT", "1/2", "female")).method
    'threaded'
    """
    if a.family == "compression" and b.family == "tube":
        a, b = b, a
    if a.family == "tube" and b.family == "compression":
        plain = a.gender == "male" and b.gender == "male" and a.size == b.size
        return Mating("compression", "a ferrule squeezed onto the tube") if plain else None
    if pol_in_791(a, b):
        return Mating("cylinder", "the seat of CGA 510 inside the valve")
    if a.family != b.family or a.size != b.size:
        return None
    if a.family == "weld":
        return Mating("welded", "weld metal")
    if {a.gender, b.gender} != {"male", "female"}:
        return None
    return _SAME.get(a.family)


_SAME = {
    "NPT": Mating("threaded", _THREAD_SEAL),
    "BSPT": Mating("threaded", _THREAD_SEAL),
    "NPSM": Mating("threaded", _SHOULDER_SEAL),
    "BSPP": Mating("threaded", _SHOULDER_SEAL),
    "flare": Mating("flared", "metal on metal, dry"),
    "CGA": Mating("cylinder", "the connection's own seat"),
    "tube": Mating("brazed", "filler metal all round the socket", ("soldered", "welded")),
    "hose": Mating("barb", "hose clamped or crimped on the barb"),
    "compression": Mating("compression", "a ferrule squeezed onto the tube"),
}


def pol_in_791(a: End, b: End) -> bool:
    """Whether a CGA 510 (POL) nut is screwed into a cylinder valve for CGA 791, which usually has that thread inside.

    The outer thread of CGA 791, and what its own nut does, are not used then. Read in public descriptions.
    """
    return {(e.family, e.size, e.gender) for e in (a, b)} == {("CGA", "791", "male"), ("CGA", "510", "male")}


def methods(a: End, b: End) -> tuple[str, ...]:
    """All methods that two ends allow, the usual one first; none when they do not mate."""
    found = mates(a, b)
    return (found.method, *found.also) if found else ()


def why_not(a: End, b: End) -> str:
    """One sentence that names both ends and says why they do not mate; "" when they do."""
    if mates(a, b):
        return ""
    return f"{a.words} and {b.words} do not mate: {_reason(a, b)}"


def _reason(a: End, b: End) -> str:
    if a.family != b.family:
        reason = _strangers(a, b)
        sized = {"NPT", "NPSM", "BSPT", "BSPP"}
        return reason + ("; the sizes differ as well" if {a.family, b.family} <= sized and a.size != b.size else "")
    if a.size != b.size:
        if a.family == "CGA":
            return "cylinder connections of different numbers are made so that they do not fit"
        return f"one is {a.size} in, the other {b.size} in"
    if a.family == "tube":
        return _TUBES[a.gender]
    if a.family == "hose":
        return "two hoses need a barb between them" if a.gender == "female" else "two barbs need a hose between them"
    return f"both are {a.gender}"


_TUBES = {
    "male": "two plain tube ends need a coupling with sockets between them",
    "female": "two sockets need a piece of tube between them",
}


def _strangers(a: End, b: End) -> str:
    """Why ends of two families do not mate."""
    pair = {a.family, b.family}
    if "CGA" in pair:
        return "a cylinder connection joins only its own number"
    if pair <= {"NPT", "NPSM", "BSPT", "BSPP"}:
        return _threads(a, b)
    if pair == {"flare", "compression"}:
        return "a flare seals metal on metal at a 45 degree cone, a compression fitting with a ferrule on plain tube"
    if pair == {"flare", "tube"}:
        tube = a if a.family == "tube" else b
        if tube.gender == "male":
            return "plain tube has to be flared, with a flare nut on it, before it holds on a flare"
        return "a socket takes plain tube and filler metal, a flare is screwed"
    if "flare" in pair and pair & {"NPT", "NPSM", "BSPT", "BSPP"}:
        return "a flare's thread is straight and only pulls the cone shut; it is not a pipe thread"
    if pair == {"tube", "compression"}:
        return "a compression fitting takes plain tube of its own size in its male end"
    if "hose" in pair:
        end = a if a.family == "hose" else b
        return "a bare hose goes only onto a barb" if end.gender == "female" else "a barb goes only into a hose"
    if "weld" in pair:
        return "a weld end is welded to a weld end of the same pipe size"
    if "tube" in pair:
        return "tube goes into a socket of its outside diameter, and has no thread"
    return f"{a.family} and {b.family} are different joints"


def _threads(a: End, b: End) -> str:
    """Why two kinds of pipe thread do not mate."""
    american, british = (a, b) if a.family.startswith("N") else (b, a)
    if a.family[0] == b.family[0]:
        taper, parallel = ("NPT", "NPSM") if a.family[0] == "N" else ("BSPT", "BSPP")
        return f"{taper} is taper and {parallel} parallel, which seals only on a washer or seat, not in the thread"
    text = f"{american.family} threads have an angle of 60 degrees and {british.family} of 55"
    size = american.size
    ours, theirs = _TURNS["NPT"].get(size, ""), _TURNS["BSP"].get(british.size, "")
    if size == british.size and ours == theirs:
        text += f"; at {size} in both have {ours} threads an inch and seem to go in, but leak"
    elif size == british.size:
        text += f", and {size} in has {ours} threads an inch against {theirs}"
    if american.family == "NPSM" and british.family == "BSPT":
        text += "; the first is parallel, the other taper"
    elif american.family == "NPT" and british.family == "BSPP":
        text += "; the first is taper, the other parallel"
    return text
