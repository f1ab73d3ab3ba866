"""Standards of tube and pipe by number, and the grades of copper tube.

A standard says what metal a thing is of, whatever word stands beside it. B88 with its grades, B280, B306 and B837, A53
and A106 were read as the standards of what stands beside them; the print's colors in reprints; the rest is from memory.
"""

from __future__ import annotations

from typing import NamedTuple

from specc.model.values import Basis


class Standard(NamedTuple):
    """A standard of tube, pipe or fittings: what is made to it, of which family of metals, and its grades."""

    number: str
    what: str
    family: str
    grades: tuple[str, ...] = ()
    basis: Basis = "memory"


STANDARDS = (
    Standard("B88", "copper water tube, types K, L and M", "copper", ("K", "L", "M"), "read"),
    Standard("B280", "copper tube for air conditioning and refrigeration", "copper", ("ACR",), "read"),
    Standard("B306", "copper drainage tube", "copper", ("DWV",), "read"),
    Standard("B837", "copper tube for natural gas and LP-gas", "copper", ("G", "GAS"), "read"),
    Standard("B68", "bright annealed copper tube", "copper"),
    Standard("B75", "copper tube", "copper"),
    Standard("B42", "copper pipe", "copper"),
    Standard("B302", "threadless copper pipe", "copper"),
    Standard("B360", "copper capillary tube", "copper"),
    Standard("B447", "welded copper tube", "copper"),
    Standard("B743", "coiled copper tube", "copper"),
    Standard("B819", "copper tube for medical gas", "copper", ("K", "L")),
    Standard("B88M", "copper water tube, metric", "copper"),
    Standard("EN1057", "copper tube", "copper"),
    Standard("EN12735", "copper tube for refrigeration", "copper"),
    Standard("EN13348", "copper tube for medical gas", "copper"),
    Standard("EN13349", "copper tube with a plastic coat", "copper"),
    Standard("AS1432", "copper tube", "copper"),
    Standard("BS2871", "copper tube", "copper"),
    Standard("B43", "red brass pipe", "copper alloy"),
    Standard("B135", "brass tube", "copper alloy"),
    Standard("B16", "free-cutting brass", "copper alloy"),
    Standard("B62", "leaded red brass castings", "copper alloy"),
    Standard("A53", "steel pipe, black or zinc-coated", "steel", basis="read"),
    Standard("A106", "seamless steel pipe", "steel", basis="read"),
    Standard("A500", "structural steel tube", "steel"),
    Standard("A513", "steel tube", "steel"),
    Standard("A135", "steel pipe", "steel"),
    Standard("A795", "steel pipe for sprinklers, black or zinc-coated", "steel"),
    Standard("EN10255", "steel pipe for threads, black or zinc-coated", "steel"),
    Standard("EN10216", "seamless steel pipe", "steel"),
    Standard("EN10217", "welded steel pipe", "steel"),
    Standard("EN10219", "structural steel tube", "steel"),
    Standard("EN10305", "precision steel tube", "steel"),
    Standard("A254", "copper-brazed steel tube", "steel"),
    Standard("A234", "steel fittings", "steel"),
    Standard("A213", "stainless tube", "stainless"),
    Standard("A249", "stainless tube", "stainless"),
    Standard("A554", "stainless tube", "stainless"),
    Standard("A269", "stainless tube", "stainless"),
    Standard("A270", "stainless tube", "stainless"),
    Standard("A312", "stainless pipe", "stainless"),
    Standard("A197", "malleable iron", "iron"),
    Standard("A395", "ductile iron", "iron"),
    Standard("A536", "ductile iron", "iron"),
    Standard("A126", "gray iron castings", "cast iron"),
    Standard("B210", "aluminum tube", "aluminum"),
    Standard("B241", "aluminum pipe", "aluminum"),
)
BY_NUMBER = {s.number: s for s in STANDARDS}


class Grade(NamedTuple):
    """A grade of copper tube: the color of its print, and whether it is for gas."""

    name: str
    what: str
    print: str
    gas: bool


GRADES = {
    g.name: g
    for g in (
        Grade("K", "the heaviest water tube", "green", True),
        Grade("L", "medium water tube", "blue", True),
        Grade("M", "light water tube", "red", False),
        Grade("DWV", "drain, waste and vent tube", "yellow", False),
        Grade("ACR", "air conditioning and refrigeration tube", "blue", True),
        # Made for gas, yet in no list of the gas code that was read: asked about, neither passed nor failed.
        Grade("G", "fuel gas tube", "yellow coat", True),
    )
}
