"""The measured numbers of the catalog, each table beside its source. Lengths are in inches here, in SI outside.

Nothing here is a rating: what a part may carry is stamped on the part itself.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from specc.measure.drills import INCHES
from specc.measure.units import INCH
from specc.model.values import PRACTICE, Citation, Constant

PIPES = Citation("asme-b36-10", "dimensions of welded and seamless pipe, schedules 40 and 80", "reprint")
THREADS = Citation("asme-b1-20-1", "table 2, basic dimensions: L1; L3 is three threads up to 2 in", "reprint")
TUBES = Citation("cda-tube-dimensions", "table 2, types K and L (ASTM B88)", "read")
ACR_TUBES = Citation("astm-b280", "annealed coils, by outside diameter", "reprint")
FLARES = Citation("sae-j512", "threads read in a reprint, which tube each belongs to from memory", "memory")
FLARE_BORES = Citation("sae-j512", "bore of flare ends", "memory")
MALLEABLE = Citation("asme-b16-3", "class 150, center to end", "memory")
MALLEABLE_LENGTHS = Citation("asme-b16-3", "class 150, end to end of straight couplings", "memory")
NIPPLES = Citation("astm-a733", "lengths of close nipples", "memory")
LENGTHS = PRACTICE
HOSES = PRACTICE
LOSSES = Citation("irc-2018-appendix-a", "table A.2.2: resistance of screwed fittings", "read")
CRANE = Citation("crane-tp-410", "length over diameter of valves", "memory")
DRILLS = Citation("number-drills", "number sizes", "reprint")
DRILLS_RECALLED = Citation("number-drills", "number sizes", "memory")
HOLES = Citation("moss-air-holes", "discharge coefficients of round holes", "reprint")
CONNECTIONS = Citation("cga-v-1", "connection number, use and thread", "reprint")

# A fitting's own bore is in no standard. It is taken as that of pipe which goes into a female end (schedule 40), and
# as that of heavy pipe (schedule 80) where the end is male, which is the narrower reading.
FITTING_BORE = Citation(
    "asme-b36-10", "taken as the bore of pipe: schedule 40 for a female end, 80 for a male one", "choice"
)
SOCKET_BORE = Citation("cda-tube-dimensions", "taken as the bore of type K tube, the narrowest", "choice")


class PipeSize(NamedTuple):
    """Outside diameter, and wall and bore of schedules 40 and 80, as printed, in inches."""

    outside: float
    wall_40: float
    bore_40: float
    wall_80: float
    bore_80: float


PIPE: dict[str, PipeSize] = {
    "1/8": PipeSize(0.405, 0.068, 0.269, 0.095, 0.215),
    "1/4": PipeSize(0.540, 0.088, 0.364, 0.119, 0.302),
    "3/8": PipeSize(0.675, 0.091, 0.493, 0.126, 0.423),
    "1/2": PipeSize(0.840, 0.109, 0.622, 0.147, 0.546),
    "3/4": PipeSize(1.050, 0.113, 0.824, 0.154, 0.742),
    "1": PipeSize(1.315, 0.133, 1.049, 0.179, 0.957),
    "1-1/4": PipeSize(1.660, 0.140, 1.380, 0.191, 1.278),
    "1-1/2": PipeSize(1.900, 0.145, 1.610, 0.200, 1.500),
    "2": PipeSize(2.375, 0.154, 2.067, 0.218, 1.939),
}
NPS = tuple(PIPE)
"""Nominal pipe sizes of the catalog, smallest first."""

# Threads an inch, and hand-tight engagement L1. L3, wrench make-up, is three threads.
THREAD: dict[str, tuple[float, float]] = {
    "1/8": (27, 0.162), "1/4": (18, 0.228), "3/8": (18, 0.240), "1/2": (14, 0.320), "3/4": (14, 0.339),
    "1": (11.5, 0.400), "1-1/4": (11.5, 0.420), "1-1/2": (11.5, 0.420), "2": (11.5, 0.436),
}  # fmt: skip


# SAE 45 degree flare, by tube: outside diameter of the thread in inches, and the thread.
FLARE: dict[str, tuple[float, str]] = {
    "1/8": (0.3125, "5/16-24"), "3/16": (0.375, "3/8-24"), "1/4": (0.4375, "7/16-20"), "5/16": (0.5, "1/2-20"),
    "3/8": (0.625, "5/8-18"), "7/16": (0.6875, "11/16-16"), "1/2": (0.75, "3/4-16"), "5/8": (0.875, "7/8-14"),
    "3/4": (1.0625, "1-1/16-14"), "7/8": (1.25, "1-1/4-12"), "1": (1.375, "1-3/8-12"),
}  # fmt: skip
# Those that are remembered for sure; the others are left out.
FLARE_BORE: dict[str, float] = {"1/4": 0.188, "5/16": 0.219, "3/8": 0.281, "1/2": 0.406, "5/8": 0.500, "3/4": 0.625}

# Class 150 malleable iron: elbow (also tee and cross), 45 degree elbow, male end of a street elbow, coupling.
ELBOW_90 = dict(zip(NPS, (0.69, 0.81, 0.95, 1.12, 1.31, 1.50, 1.75, 1.94, 2.25), strict=True))
ELBOW_45 = dict(zip(NPS[1:], (0.73, 0.80, 0.88, 0.98, 1.12, 1.29, 1.43, 1.68), strict=True))
STREET_MALE = dict(zip(NPS, (1.00, 1.19, 1.44, 1.63, 1.89, 2.14, 2.45, 2.69, 3.26), strict=True))
COUPLING = dict(zip(NPS, (0.96, 1.06, 1.16, 1.34, 1.52, 1.67, 1.93, 2.15, 2.53), strict=True))

CLOSE = dict(zip(NPS, ("3/4", "7/8", "1", "1-1/8", "1-3/8", "1-1/2", "1-5/8", "1-3/4", "2"), strict=True))
LONGER = ("1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "4-1/2", "5", "5-1/2", "6", "8", "10", "12")

# Loss coefficient, and length over bore that loses as much.
LOSS = {"elbow_45": (0.42, 14), "elbow_90": (0.90, 30), "tee": (1.80, 60)}
GLOBE_LENGTHS = 340

# Number drills, in inches: those whose size was read in a table, and those that are remembered.
DRILL = {n: INCHES[n] for n in (*range(80, 56, -1), 55, 54)}
DRILL_RECALLED = {n: size for n, size in INCHES.items() if n not in DRILL}

Measures = tuple[tuple[str, Constant], ...]


@cache
def length(value: float, citation: Citation, text: str = "", digits: int = 3) -> Constant:
    """A length from inches. `digits` are the decimals that the source prints."""
    return Constant(value * INCH, "length", text or f"{value:.{digits}f} in", citation)


@cache
def ratio(value: float, citation: Citation) -> Constant:
    return Constant(float(value), "ratio", f"{value:g}", citation)


@cache
def hand_tight(size: str) -> Constant:
    """How far a hand-tight NPT thread goes in: L1 of ASME B1.20.1. KeyError for a size not in the catalog."""
    return length(THREAD[size][1], THREADS)


@cache
def engaged(size: str) -> Constant:
    """How far an NPT thread goes in once made up by wrench: L1 + L3. KeyError for a size not in the catalog.

    The standard allows one turn more or less.
    """
    turns, by_hand = THREAD[size]
    return length(by_hand + 3 / turns, THREADS)


@cache
def loss(form: str) -> Measures:
    """Loss coefficient and the the length in bores that loses as much, for a screwed fitting."""
    coefficient, lengths = LOSS[form]
    return (("loss", ratio(coefficient, LOSSES)), ("loss_bores", ratio(lengths, LOSSES)))
