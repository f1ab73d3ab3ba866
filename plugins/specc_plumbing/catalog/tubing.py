"""Copper tube, 45 degree flares, sockets to braze, hoses and barbs. Sizes are the tube's outside diameter."""

from __future__ import annotations

from collections.abc import Iterator

from specc.kinds.copper import COPPER_TUBES
from specc.kinds.plumbing import End, Family, Size
from specc_plumbing.catalog import tables
from specc_plumbing.catalog.making import family, female, flare, male, size, socket
from specc_plumbing.catalog.tables import FLARE, Measures, length
from specc_plumbing.ends import inches

# Which pipe thread a flare of each size is made with: common in the trade, remembered.
_FLARE_TO_PIPE: dict[str, tuple[str, ...]] = {
    "1/8": ("1/8",), "3/16": ("1/8", "1/4"), "1/4": ("1/8", "1/4", "3/8", "1/2"), "5/16": ("1/8", "1/4", "3/8"),
    "3/8": ("1/8", "1/4", "3/8", "1/2", "3/4"), "1/2": ("1/4", "3/8", "1/2", "3/4"), "5/8": ("3/8", "1/2", "3/4"),
    "3/4": ("1/2", "3/4", "1"), "7/8": ("3/4",), "1": ("3/4", "1"),
}  # fmt: skip
_NEXT_SMALLER = {"1/4": ("3/16",), "3/8": ("1/4", "5/16"), "1/2": ("3/8",), "5/8": ("3/8", "1/2"), "3/4": ("5/8",)}
# Which pipe thread a socket for tube is made with, by outside diameter.
_SOCKET_TO_PIPE: dict[str, tuple[str, ...]] = {
    "1/4": ("1/8", "1/4"), "3/8": ("1/8", "1/4", "3/8", "1/2"), "1/2": ("1/4", "3/8", "1/2"),
    "5/8": ("3/8", "1/2", "3/4"), "3/4": ("1/2", "3/4"), "7/8": ("1/2", "3/4", "1"), "1-1/8": ("3/4", "1", "1-1/4"),
}  # fmt: skip
_BARB_TO_PIPE: dict[str, tuple[str, ...]] = {
    "3/16": ("1/8",), "1/4": ("1/8", "1/4", "3/8"), "5/16": ("1/8", "1/4", "3/8"), "3/8": ("1/8", "1/4", "3/8", "1/2"),
    "1/2": ("1/4", "3/8", "1/2", "3/4"), "5/8": ("1/2", "3/4"), "3/4": ("1/2", "3/4", "1"), "1": ("3/4", "1"),
}  # fmt: skip
_MALE = "NPT without more is male here"
_HOSES = ("1/4", "3/8", "1/2", "3/4")


def _thread(tube: str) -> Measures:
    across, text = FLARE[tube]
    return (("thread", length(across, tables.FLARES, text)),)


def _pairs(table: dict[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    return [(a, b) for a, others in table.items() for b in others]


def _tubes() -> Iterator[Family]:
    sizes: list[Size] = []
    for od, tube in COPPER_TUBES.items():
        types = [t for t, _, _ in tube.walls]
        for kind, wall, bore in tube.walls:
            citation = tables.ACR_TUBES if kind == "ACR" else tables.TUBES
            name = f"{od} in OD type {kind}" + (f" {wall:.3f} in wall" if types.count(kind) > 1 else "")
            named = (("outside", tube.outside), ("wall", wall), ("bore", bore))
            end = End("tube", od, "male")
            sizes.append(size(name, end, end, more=tuple((n, length(v, citation)) for n, v in named), bored=False))
    yield family("copper tube", "tube", "", sizes, tables.TUBES, note="nominal size = outside diameter - 1/8 in (B88)")


def _flares() -> Iterator[Family]:
    to_pipe, down = _pairs(_FLARE_TO_PIPE), _pairs(_NEXT_SMALLER)
    yield family(
        "flare connector", "fitting", "connector",
        [size(f"{f} flare x {p} NPT", flare(f), male(p), more=_thread(f)) for f, p in to_pipe],
        tables.FLARES, adapter=True, note=_MALE,
    )  # fmt: skip
    yield family(
        "flare connector for male pipe", "fitting", "connector",
        [size(f"{f} flare x {p} FNPT", flare(f), female(p), more=_thread(f)) for f, p in to_pipe],
        tables.FLARES, adapter=True,
    )  # fmt: skip
    yield family(
        "flare swivel connector", "fitting", "connector",
        [size(f"{f} female flare x {p} NPT", flare(f, "female"), male(p), more=_thread(f)) for f, p in to_pipe],
        tables.FLARES, adapter=True, note="its swivel nut belongs to it",
    )  # fmt: skip
    unions = [size(f"{f} in flare", flare(f), flare(f), more=_thread(f)) for f in FLARE]
    unions += [size(f"{f} x {s} in flare", flare(f), flare(s)) for f, s in down]
    yield family("flare union", "fitting", "union", unions, tables.FLARES, adapter=True)
    swivels = [size(f"{f} in female flare", flare(f, "female"), flare(f, "female"), more=_thread(f)) for f in FLARE]
    yield family("flare swivel union", "fitting", "union", swivels, tables.FLARES, adapter=True)
    reducing = [size(f"{f} female flare x {s} flare", flare(f, "female"), flare(s)) for f, s in down]
    reducing += [size(f"{s} female flare x {f} flare", flare(s, "female"), flare(f)) for f, s in down]
    yield family("flare swivel reducer", "fitting", "reducer", reducing, tables.FLARES, adapter=True)
    elbows = [size(f"{f} in flare", flare(f), flare(f), more=_thread(f)) for f in FLARE]
    elbows += [size(f"{f} flare x {p} NPT", flare(f), male(p), more=_thread(f)) for f, p in to_pipe]
    yield family("flare elbow", "fitting", "elbow", elbows, tables.FLARES)
    tees = [size(f"{f} in flare", *[flare(f)] * 3, more=_thread(f)) for f in FLARE]
    tees += [
        size(f"{f} flare x {f} flare x {p} NPT", flare(f), flare(f), male(p), more=_thread(f), bored=False)
        for f, p in to_pipe
    ]
    yield family("flare tee", "fitting", "tee", tees, tables.FLARES)
    for name, gender in (("cap", "female"), ("plug", "male")):
        sizes = [size(f"{f} in flare", flare(f, gender), more=_thread(f), bored=False) for f in FLARE]
        yield family(f"flare {name}", "fitting", name, sizes, tables.FLARES)
    nuts = [size(f"{f} in flare", flare(f, "female"), more=_thread(f), bored=False) for f in FLARE]
    yield family("flare nut", "fitting", "flare_nut", nuts, tables.FLARES)


def _sockets() -> Iterator[Family]:
    to_pipe = _pairs(_SOCKET_TO_PIPE)
    cite = tables.TUBES
    couplings = [size(f"{od} in OD socket", socket(od), socket(od)) for od in COPPER_TUBES]
    yield family("socket coupling", "fitting", "coupling", couplings, cite, adapter=True)
    ods = tuple(COPPER_TUBES)
    reducers = [
        size(f"{a} x {b} in OD socket", socket(a), socket(b))
        for i, a in enumerate(ods)
        for b in reversed(ods[max(0, i - 2) : i])
    ]
    yield family("socket reducer", "fitting", "reducer", reducers, cite, adapter=True)
    yield family(
        "socket adapter", "fitting", "adapter",
        [size(f"{od} in OD socket x {p} NPT", socket(od), male(p)) for od, p in to_pipe], cite, adapter=True,
    )  # fmt: skip
    yield family(
        "socket adapter for male pipe", "fitting", "adapter",
        [size(f"{od} in OD socket x {p} FNPT", socket(od), female(p)) for od, p in to_pipe], cite, adapter=True,
    )  # fmt: skip
    yield family(
        "flare socket adapter", "fitting", "adapter",
        [size(f"{f} flare x {f} in OD socket", flare(f), socket(f)) for f in COPPER_TUBES if f in FLARE],
        cite, adapter=True,
    )  # fmt: skip
    for name, form, count in (("socket elbow", "elbow", 2), ("socket tee", "tee", 3)):
        sizes = [size(f"{od} in OD socket", *[socket(od)] * count) for od in COPPER_TUBES]
        yield family(name, "fitting", form, sizes, cite)
    caps = [size(f"{od} in OD socket", socket(od), bored=False) for od in COPPER_TUBES]
    yield family("socket cap", "fitting", "cap", caps, cite)


def _hose(name: str, bore: str, end: End) -> Size:
    return size(name, end, end, more=(("bore", length(inches(bore), tables.HOSES, f"{bore} in")),), bored=False)


def _hoses() -> Iterator[Family]:
    swivels = [_hose(f"{b} in with flare swivels", b, flare(b, "female")) for b in _HOSES]
    swivels.insert(1, _hose("1/4 in with 3/8 in flare swivels", "1/4", flare("3/8", "female")))
    yield family("hose with flare swivels", "hose", "", swivels, note="inside diameter first")
    pipe = [_hose(f"{b} in with MNPT", b, male(b)) for b in _HOSES]
    yield family("hose with pipe threads", "hose", "", pipe, note="inside diameter first")
    bare = [_hose(f"{b} in bare", b, End("hose", b, "female")) for b in ("1/4", "5/16", *_HOSES[1:])]
    yield family("bare hose", "hose", "", bare, note="for barbs")
    barb = {b: End("hose", b, "male") for b in _BARB_TO_PIPE}
    note = "how a hose is held on a barb, and whether it may be, is for the hose's maker to say"
    yield family(
        "barb adapter", "fitting", "adapter",
        [size(f"{b} barb x {p} NPT", barb[b], male(p), bored=False) for b, p in _pairs(_BARB_TO_PIPE)],
        adapter=True, note=note,
    )  # fmt: skip
    yield family(
        "barb adapter for male pipe", "fitting", "adapter",
        [size(f"{b} barb x {p} FNPT", barb[b], female(p), bored=False) for b, p in _pairs(_BARB_TO_PIPE)],
        adapter=True, note=note,
    )  # fmt: skip
    yield family(
        "flare swivel barb", "fitting", "adapter",
        [size(f"{b} barb x {b} female flare", barb[b], flare(b, "female"), bored=False) for b in barb],
        adapter=True, note=note,
    )  # fmt: skip


def tubing() -> tuple[Family, ...]:
    """Copper tube, flare fittings, socket fittings, hoses and barbs."""
    return (*_tubes(), *_flares(), *_sockets(), *_hoses())
