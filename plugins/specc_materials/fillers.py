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
    known; `like` the class of A5.8 that an ISO name stands for."""

    name: str
    family: str
    phosphorus: float
    melts: float | None
    cadmium: bool = False
    like: str = ""
    basis: Basis = "reprint"


def _f(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


_MOST_PHOSPHORUS = 0.001  # above that of any class without it on purpose
_CUP, _AG, _CD = "copper-phosphorus", "silver", "silver with cadmium"
ALUMINUM_FILLER = "aluminum-silicon"
_BRASS, _AL, _NI = "brass for braze welding", ALUMINUM_FILLER, "nickel"
A58 = (
    Filler("BCuP-1", _CUP, 0.05, _f(1310)),
    Filler("BCuP-2", _CUP, 0.07, _f(1310)),
    Filler("BCuP-3", _CUP, 0.06, _f(1190)),
    Filler("BCuP-4", _CUP, 0.07, _f(1190)),
    Filler("BCuP-5", _CUP, 0.05, _f(1190)),
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
    Filler("BAg-20", _AG, 0, _f(1250)),
    Filler("BAg-24", _AG, 0, _f(1220)),
    Filler("BAg-28", _AG, 0, 650 + 273.15),
    Filler("BAg-34", _AG, 0, None, basis="memory"),
    Filler("BAg-36", _AG, 0, 640 + 273.15, basis="memory"),
    Filler("BAg-37", _AG, 0, None, basis="memory"),
    Filler("RBCuZn-A", _BRASS, 0, _f(1630)),
    Filler("RBCuZn-C", _BRASS, 0, _f(1590)),
    Filler("RBCuZn-D", _BRASS, 0, _f(1690)),
    Filler("BAlSi-2", _AL, 0, _f(1070), basis="memory"),
    Filler("BAlSi-3", _AL, 0, _f(970)),
    Filler("BAlSi-4", _AL, 0, _f(1070), basis="memory"),
    Filler("BNi-6", _NI, 0.12, _f(1610), basis="memory"),
    Filler("BNi-7", _NI, 0.105, _f(1630), basis="memory"),
    Filler("BCu-1", "copper", 0.00075, _f(1981), basis="memory"),
)
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
CLASSES = {re.sub(r"[^a-z0-9]", "", f.name.lower()): f for f in (*A58, *ISO)}
_CLASS = re.compile(
    r"\b(?:(BCuP|BAg|BAlSi|BNi|BCu|RBCuZn)[ -]?(\d{1,2}a?|[ACD])|(CuP|Ag|Cu)[ -]?(\d{3}a?))(?![0-9A-Za-z])",
    re.IGNORECASE,
)

# Soft solder by any of its names; "silver solder" alone may be a braze or a solder, and is neither here.
_SOLDER = re.compile(
    r"\b(soft|sweat|tin|lead|plumb\w*|electric\w*|rosin|acid[- ]core)\b.*\bsolder|\bsolder\b.*\b(soft|tin|lead)\b"
    r"|^\s*(plumber'?s\s+)?solder(ing)?\s*(wire|paste)?\s*$|\btin\b|\bsn ?\d|\bsn ?ag|\bsb ?5\b|\bsac ?\d|\bb32\b"
    r"|\b\d\d/\d\d\b|\b(50|60|63|95|96|97)[-/](50|40|37|5|4|3)\b|\blead[- ]free\b|\bpb ?\d",
    re.IGNORECASE,
)
SOLDER = Filler("soft solder", "soft solder", 0, _f(361), basis="reprint")
# Denials that say more of a class, and take nothing back: "BAg-5, no cadmium".
_FREE_OF = re.compile(
    r"\b(?:no|non|not|without|free of|free from|0 ?%)[ -](?:any )?(?:cadmium|cd|phosphorus|lead|flux)\b"
    r"|\b(?:cadmium|cd|phosphorus|phos)[ -]free\b",
    re.IGNORECASE,
)

# What none of the good classes holds: said beside one, one of the two is wrong.
_HOLDS = re.compile(r"\bphos|\bcadmium\b|\bcd\b", re.IGNORECASE)


def filler_of(text: str) -> Filler | None:
    """The class that a filler is said to be of; None when it names none. A tin solder is one, whatever stands beside.

    Two classes in one text ("BAg-5 or BCuP-5") give the one that is worse for gas. A class that is denied, doubted,
    only likened ("BAg-5 or similar") or contradicted ("BAg-5, cadmium-bearing") tells what it may be, and so can fail
    it, but never pass it.
    """
    if _SOLDER.search(text):
        return SOLDER
    found = []
    for m in _CLASS.finditer(text):
        key = re.sub(r"[^a-z0-9]", "", m[0].lower())
        if key in CLASSES:
            found.append(CLASSES[key])
    # A family without its number still tells what it cannot be without.
    if not found and re.search(r"\bB?CuP\b|phos", text, re.IGNORECASE):
        return Filler("copper-phosphorus", _CUP, 0.08, None, basis="memory")
    worst = max(found, key=lambda f: (f.phosphorus, f.cadmium), default=None)
    good = worst is not None and not worst.cadmium and worst.phosphorus <= _MOST_PHOSPHORUS
    more = _FREE_OF.sub("", text)
    return None if good and (takes_back(more) or _HOLDS.search(more)) else worst
