"""How the catalog's sizes are put together: ends, and the measures that follow from them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from specc.kinds.copper import COPPER_TUBES
from specc.kinds.plumbing import End, Family, Size
from specc.model.values import PRACTICE, Citation, Constant
from specc_plumbing.catalog import tables
from specc_plumbing.catalog.tables import Measures, length

# What is made in the trade, and in which sizes, is remembered; dimensions have their own sources.
COMMON = PRACTICE


def male(size: str) -> End:
    return End("NPT", size, "male")


def female(size: str) -> End:
    return End("NPT", size, "female")


def flare(size: str, gender: str = "male") -> End:
    return End("flare", size, gender)


def socket(size: str) -> End:
    return End("tube", size, "female")


@cache
def end_bore(end: End) -> Constant | None:
    """The narrowest bore that is taken for a fitting with this end, or None where no number is known."""
    if end.family == "NPT" and end.size in tables.PIPE:
        pipe = tables.PIPE[end.size]
        return length(pipe.bore_40 if end.gender == "female" else pipe.bore_80, tables.FITTING_BORE)
    if end.family == "weld" and end.size in tables.PIPE:
        return length(tables.PIPE[end.size].bore_80, tables.FITTING_BORE)
    if end.family == "flare" and end.size in tables.FLARE_BORE:
        return length(tables.FLARE_BORE[end.size], tables.FLARE_BORES)
    if end.family == "tube" and end.size in COPPER_TUBES:
        return length(min(bore for _, _, bore in COPPER_TUBES[end.size].walls), tables.SOCKET_BORE)
    return None


@cache
def bore(ends: tuple[End, ...]) -> Measures:
    """The narrowest bore over all ends; nothing when that of one end is not known."""
    bores = [end_bore(end) for end in ends]
    known = [b for b in bores if b is not None]
    return (("bore", min(known, key=lambda b: b.si)),) if known and len(known) == len(bores) else ()


@cache
def engagement(ends: tuple[End, ...]) -> Measures:
    """`engaged` and `hand_tight` of NPT ends. Where the ends differ, each has its number: `engaged_2`."""
    threaded = [end.family == "NPT" and end.size in tables.THREAD for end in ends]
    if not any(threaded):
        return ()
    if all(threaded) and len({end.size for end in ends}) == 1:
        return (("engaged", tables.engaged(ends[0].size)), ("hand_tight", tables.hand_tight(ends[0].size)))
    found: list[tuple[str, Constant]] = []
    for i, end in enumerate(ends, 1):
        if threaded[i - 1]:
            found += [(f"engaged_{i}", tables.engaged(end.size)), (f"hand_tight_{i}", tables.hand_tight(end.size))]
    return tuple(found)


@cache
def _words(ends: tuple[End, ...]) -> tuple[str, ...]:
    return tuple(end.words for end in ends)


@cache
def _measures(ends: tuple[End, ...], bored: bool) -> Measures:
    return (*(bore(ends) if bored else ()), *engagement(ends))


def size(name: str, *ends: End, more: Measures = (), bored: bool = True) -> Size:
    """A size with its ends and measures. `bored`: the bore follows from the ends (a fitting, not a valve)."""
    return Size(name, _words(ends), _measures(ends, bored) + more)


def family(
    name: str,
    kind: str,
    form: str,
    sizes: Iterable[Size],
    citation: Citation = COMMON,
    *,
    ordered: bool = False,
    adapter: bool = False,
    note: str = "",
) -> Family:
    return Family(name, kind, form, tuple(sizes), citation, ordered, adapter, note)


def smaller(size: str, steps: int) -> tuple[str, ...]:
    """The pipe sizes below one, down to `steps` sizes smaller, largest first."""
    i = tables.NPS.index(size)
    return tuple(reversed(tables.NPS[max(0, i - steps) : i]))
