"""Fillers by class: what AWS A5.8 and ISO 17672 call them, and what each class holds.

A filler counts by its class, or by the data sheet that is attached for it. A trade name, a share of silver or a typed
composition tells nothing: "15 % silver" has a hundred times the phosphorus allowed, "45 % silver" may hold cadmium.

Compositions and melting points of the A5.8 classes: Machinery's Handbook, 31st edition, tables after A5.8-1981, which
a later edition moves by a few degrees. ISO 17672's tables were not read: its rows are from memory, as are the A5.8
rows that say so.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from specc import Citation
from specc.model.values import Basis
from specc.model.wording import takes_back

TABLE = Citation("machinery-31", "brazing fillers, tables after AWS A5.8-1981", "reprint")
FROM_MEMORY = Citation("aws-a5-8", "filler classifications, edition not read; ISO 17672 likewise", "memory")


class Filler(NamedTuple):
    """A class of filler. `phosphorus` is the most of it, as a share of mass; `melts` its solidus in K, None when not
    known; `silver` its share of mass, None when not known; `like` the class of A5.8 that an ISO name stands for."""

    name: str
    family: str
    phosphorus: float
    melts: float | None
    cadmium: bool = False
    like: str = ""
    basis: Basis = "reprint"
    silver: float | None = None


def _f(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


_MOST_PHOSPHORUS = 0.001  # above that of any class without it on purpose
_CUP, _AG, _CD = "copper-phosphorus", "silver", "silver with cadmium"
ALUMINUM_FILLER = "aluminum-silicon"
_BRASS, _AL, _NI = "brass for braze welding", ALUMINUM_FILLER, "nickel"
_CLASSES = (
    Filler("BCuP-1", _CUP, 0.05, _f(1310)),
    Filler("BCuP-2", _CUP, 0.07, _f(1310)),
    Filler("BCuP-3", _CUP, 0.06, _f(1190)),
    Filler("BCuP-4", _CUP, 0.07, _f(1190)),
    Filler("BCuP-5", _CUP, 0.05, _f(1190)),
    Filler("BCuP-8", _CUP, 0.062, _f(1190), basis="memory"),
    Filler("BCuP-9", _CUP, 0.063, _f(1178), basis="memory"),
    Filler("BCuP-6", _CUP, 0.07, _f(1190)),
    Filler("BCuP-7", _CUP, 0.068, _f(1190)),
    Filler("BAg-1", _CD, 0, _f(1125), True),
    Filler("BAg-1a", _CD, 0, _f(1160), True, basis="memory"),
    Filler("BAg-2", _CD, 0, _f(1125), True, basis="memory"),
    Filler("BAg-2a", _CD, 0, _f(1125), True),
    Filler("BAg-3", _CD, 0, _f(1170), True),
    Filler("BAg-27", _CD, 0, _f(1125), True, basis="memory"),
    Filler("BAg-33", _CD, 0, _f(1125), True, basis="memory"),
    Filler("BAg-4", _AG, 0, _f(1240)),
    Filler("BAg-5", _AG, 0, _f(1250)),
    Filler("BAg-6", _AG, 0, _f(1270)),
    Filler("BAg-7", _AG, 0, _f(1145)),
    Filler("BAg-8", _AG, 0, _f(1435), basis="memory"),
    Filler("BAg-9", _AG, 0, _f(1240), basis="memory"),
    Filler("BAg-10", _AG, 0, _f(1275), basis="memory"),
    Filler("BAg-13", _AG, 0, _f(1325), basis="memory"),
    Filler("BAg-13a", _AG, 0, _f(1420), basis="memory"),
    Filler("BAg-18", _AG, 0, _f(1115), basis="memory"),
    Filler("BAg-21", _AG, 0, _f(1275), basis="memory"),
    Filler("BAg-22", _AG, 0, _f(1260), basis="memory"),
    Filler("BAg-23", _AG, 0, _f(1760), basis="memory"),
    Filler("BAg-26", _AG, 0, _f(1305), basis="memory"),
    Filler("BAg-35", _AG, 0, _f(1265), basis="memory"),
    Filler("BAg-20", _AG, 0, _f(1250)),
    Filler("BAg-24", _AG, 0, _f(1220)),
    Filler("BAg-28", _AG, 0, 650 + 273.15),
    Filler("BAg-34", _AG, 0, None, basis="memory"),
    Filler("BAg-36", _AG, 0, 640 + 273.15, basis="memory"),
    Filler("BAg-37", _AG, 0, None, basis="memory"),
    Filler("RBCuZn-A", _BRASS, 0, _f(1630)),
    Filler("RBCuZn-B", _BRASS, 0, _f(1590), basis="memory"),
    Filler("RBCuZn-C", _BRASS, 0, _f(1590)),
    Filler("RBCuZn-D", _BRASS, 0, _f(1690)),
    Filler("BAlSi-2", _AL, 0, _f(1070), basis="memory"),
    Filler("BAlSi-3", _AL, 0, _f(970)),
    Filler("BAlSi-4", _AL, 0, _f(1070), basis="memory"),
    Filler("BNi-6", _NI, 0.12, _f(1610), basis="memory"),
    Filler("BNi-7", _NI, 0.105, _f(1630), basis="memory"),
    Filler("BCu-1", "copper", 0.00075, _f(1981), basis="memory"),
)
# The share of silver, in %, of the classes that have some; of those in the handbook's tables by them, else from memory.
_SILVER = {
    "BCuP-3": 5, "BCuP-4": 6, "BCuP-5": 15, "BCuP-6": 2, "BCuP-7": 5, "BCuP-8": 18,
    "BAg-1": 45, "BAg-1a": 50, "BAg-2": 35, "BAg-2a": 30, "BAg-3": 50, "BAg-27": 25, "BAg-33": 25,
    "BAg-4": 40, "BAg-5": 45, "BAg-6": 50, "BAg-7": 56, "BAg-8": 72, "BAg-9": 65, "BAg-10": 70, "BAg-13": 54,
    "BAg-13a": 56, "BAg-18": 60, "BAg-20": 30, "BAg-21": 63, "BAg-22": 49, "BAg-23": 85, "BAg-24": 50, "BAg-26": 25,
    "BAg-28": 40, "BAg-34": 38, "BAg-35": 35, "BAg-36": 45, "BAg-37": 25,
}  # fmt: skip
A58 = tuple(f._replace(silver=_SILVER[f.name] / 100 if f.name in _SILVER else None) for f in _CLASSES)
_BY_NAME = {f.name.lower(): f for f in A58}


def _iso(name: str, like: str) -> Filler:
    f = _BY_NAME[like.lower()]
    return f._replace(name=name, like=like, basis="memory")


# Without a class of A5.8 that it stands for, the number's group tells what is in it, and nothing of its melting point.
ISO = (
    *(Filler(f"CuP {n}", _CUP, 0.08, None, basis="memory") for n in (178, 179, 180, 181, 182, 279, 385, 386)),
    _iso("CuP 280", "BCuP-6"),
    _iso("CuP 281", "BCuP-3"),
    _iso("CuP 282", "BCuP-7"),
    _iso("CuP 283", "BCuP-4"),
    _iso("CuP 284", "BCuP-5"),
    *(Filler(f"Ag {n}", _AG, 0, None, basis="memory") for n in (125, 130, 134, 138, 155, 244, 440, 449)),
    _iso("Ag 140", "BAg-28"),
    _iso("Ag 145", "BAg-36"),
    _iso("Ag 156", "BAg-7"),
    _iso("Ag 230", "BAg-20"),
    _iso("Ag 245", "BAg-5"),
    _iso("Ag 272", "BAg-8"),
    _iso("Ag 450", "BAg-24"),
    Filler("Ag 340", _CD, 0, None, True, basis="memory"),
    _iso("Ag 330", "BAg-2a"),
    _iso("Ag 335", "BAg-2"),
    _iso("Ag 345", "BAg-1"),
    _iso("Ag 350", "BAg-1a"),
    _iso("Ag 351", "BAg-3"),
    *(Filler(f"Cu {n}", _BRASS, 0, None, basis="memory") for n in ("470", "470a", "680", "681", "773")),
)
# UNS numbers of fillers, from memory: what a class is called on a certificate.
_UNS = {
    "C55180": "BCuP-1", "C55181": "BCuP-2", "C55281": "BCuP-3", "C55283": "BCuP-4", "C55284": "BCuP-5",
    "C55280": "BCuP-6", "C55282": "BCuP-7", "C55285": "BCuP-8", "C55385": "BCuP-9",
    "P07450": "BAg-1", "P07500": "BAg-1a", "P07350": "BAg-2", "P07300": "BAg-2a", "P07501": "BAg-3", "P07251": "BAg-27",
    "P07252": "BAg-33", "P07400": "BAg-4", "P07453": "BAg-5", "P07503": "BAg-6", "P07563": "BAg-7", "P07720": "BAg-8",
    "P07301": "BAg-20", "P07505": "BAg-24", "P07401": "BAg-28", "P07380": "BAg-34", "P07454": "BAg-36",
    "P07253": "BAg-37", "C47000": "RBCuZn-A", "C68000": "RBCuZn-B", "C68100": "RBCuZn-C", "C77300": "RBCuZn-D",
}  # fmt: skip
BY_UNS = tuple(_iso(number, like) for number, like in _UNS.items())
CLASSES = {re.sub(r"[^a-z0-9]", "", f.name.lower()): f for f in (*A58, *ISO, *BY_UNS)}
_CLASS = re.compile(
    r"\b(?:(BCuP|BAg|BAlSi|BNi|BCu|RBCuZn)[ -]?(\d{1,2}a?|[ABCD])|(CuP|Ag|Cu)[ -]?(\d{3}a?)|[CP]\d{5})(?![0-9A-Za-z])",
    re.IGNORECASE,
)

# Soft solder by any of its names; "silver solder" alone may be a braze or a solder, and is neither here.
_SOLDER = re.compile(
    r"\b(soft|sweat|tin|lead|plumb\w*|electric\w*|rosin|acid[- ]core)\b.*\bsolder|\bsolder\b.*\b(soft|tin|lead)\b"
    r"|^\s*(plumber'?s\s+)?solder(ing)?\s*(wire|paste)?\s*$|\btin\b|\bsn ?\d|\bsn ?ag|\bsb ?5\b|\bsac ?\d|\bb32\b"
    r"|\b\d\d/\d\d\b|\b(50|60|63|95|96|97)[-/](50|40|37|5|4|3)\b|\blead[- ]free\b|\bpb ?\d",
    re.IGNORECASE,
)
# Beside a class that may hold tin, or much silver, these words tell of a braze still: "BAg-7, tin-bearing, lead-free".
_BRAZES_WITH = re.compile(
    r"\b(?:tin|sn)[ -]bearing\b|(?:\b(?:with|contains|and|no)|,)[ -]+(?:tin|sn)\b(?![ -]*(?:solder|silver|ag)\b)"
    r"|\b(?:lead|tin)[ -]free\b(?![ -]*solder)",
    re.IGNORECASE,
)
_SHARE = re.compile(
    r"\b(\d{1,2}(?:\.\d)?) ?%?[ -]?(?:silver|ag)\b|\b(?:silver|ag)[ :-]+(\d{1,2}(?:\.\d)?)(?: ?%|\b(?!\d))",
    re.IGNORECASE,
)
SOLDER = Filler("soft solder", "soft solder", 0, _f(361), basis="reprint")
# Denials that say more of a class, and take nothing back: "BAg-5, no cadmium".
_FREE_OF = re.compile(
    r"\b(?:no|non|not|without|free of|free from|0 ?%)[ -](?:any )?(?:cadmium|cad|cd|phosphorus|lead|flux)\b"
    r"|\b(?:cadmium|cad|cd|phosphorus|phos)[ -]free\b",
    re.IGNORECASE,
)

# What none of the good classes holds: said beside one, one of the two is wrong.
_HOLDS = re.compile(r"\bphos|\bcadmium\b|\bcad\b|\bcd\b|\bself[ -]?flux", re.IGNORECASE)
_ABOUT = re.compile(r"\b(?:BAg|RBCuZn|Ag)\S*(?:ish|like|type)\b", re.IGNORECASE)


def silver_of(text: str) -> float | None:
    """The share of silver that a text names, "45 % silver"; None when it names none, or several."""
    shares = {float(a or b) / 100 for a, b in _SHARE.findall(text)}
    return shares.pop() if len(shares) == 1 else None


def _is_solder(text: str) -> bool:
    """A class or much silver tells a braze that holds tin from a solder; the word solder makes it one all the same."""
    braze = bool(_CLASS.search(text)) or (silver_of(text) or 0.0) >= _MUCH
    return bool(_SOLDER.search(_BRAZES_WITH.sub(" ", text) if braze else text))


_MUCH = 0.2  # no tin solder holds this much silver


def class_of(text: str) -> Filler | None:
    """The class that a text names, whatever else it says; of two the one that is worse for gas. A tin solder is one."""
    if _is_solder(text):
        return SOLDER
    found = []
    for m in _CLASS.finditer(text):
        key = re.sub(r"[^a-z0-9]", "", m[0].lower())
        if key in CLASSES:
            found.append(CLASSES[key])
    # A family without its number still tells what it cannot be without.
    if not found and re.search(r"\bB?CuP\b|\bCP ?[12]\d\d\b|phos", _FREE_OF.sub("", text), re.IGNORECASE):
        return Filler("copper-phosphorus", _CUP, 0.08, None, basis="memory")
    if not found and re.search(r"\bAg ?3\d\d\b", text, re.IGNORECASE):  # their group in ISO 17672 and EN 1044
        return Filler("silver with cadmium", _CD, 0, None, True, basis="memory")
    return max(found, key=lambda f: (f.phosphorus, f.cadmium), default=None)


def other_silver(text: str, filler: Filler) -> bool:
    """Whether a text names another share of silver than its class has."""
    share = silver_of(text)
    return share is not None and filler.silver is not None and abs(share - filler.silver) > _ROUGHLY


_ROUGHLY = 0.011  # a class allows one point of silver to either side


def filler_of(text: str) -> Filler | None:
    """The class that a filler is said to be of; None when it names none. A tin solder is one, whatever stands beside.

    Two classes in one text ("BAg-5 or BCuP-5") give the one that is worse for gas. A class that is denied, doubted,
    only likened ("BAg-5 or similar") or contradicted ("BAg-5, cadmium-bearing", "BAg-5, 15 % silver") tells what it may
    be, and so can fail it, but never pass it.
    """
    worst = class_of(text)
    if worst is None or worst is SOLDER or worst.cadmium or worst.phosphorus > _MOST_PHOSPHORUS:
        return worst
    more = _FREE_OF.sub("", text)
    doubted = takes_back(more) or _HOLDS.search(more) or _ABOUT.search(text) or other_silver(text, worst)
    return None if doubted else worst


# How far a typed melting point may lie from where a class starts to melt: an edition moves it by a few degrees, and
# some type where it is all liquid, at most 285 °F above in the handbook's table.
_BELOW, _ABOVE = 50 / 1.8, 350 / 1.8


def against(filler: Filler, phosphorus: float | None, melts: float | None, cadmium_free: bool | None) -> str:
    """The key of a typed composition that cannot be of a filler's class; "" where all may be."""
    if phosphorus is not None and (phosphorus > _MOST_PHOSPHORUS) != (filler.phosphorus > _MOST_PHOSPHORUS):
        return "phosphorus"
    if melts is not None and filler.melts and not filler.melts - _BELOW < melts < filler.melts + _ABOVE:
        return "melts"
    return "cadmium_free" if cadmium_free is not None and cadmium_free == filler.cadmium else ""
