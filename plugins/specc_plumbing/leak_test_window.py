"""Between which pressures a zone is tested: what it takes at least, and what opens or breaks first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from specc import Citation, Context, FigureSet, Limit, Unchecked
from specc.kinds.plumbing import OPEN, SUPPLY, ZONE_PRESSURE, Network, Part, RegulatorState, zone_tag
from specc.model.view import join

LEVEL = Citation("nfpa-54", "pressure test at 1.5 times the highest working pressure, not under 3 psig", "reprint")

TIMES = Limit(
    "plumbing.test_times",
    "1.5",
    "ratio",
    "max",
    "how many times the highest working pressure of its zone a pressure test is made at, at least",
    LEVEL,
)
LEAST = Limit("plumbing.test_least", "3 psi", "gauge_pressure", "max", "the lowest pressure of a pressure test", LEVEL)


class Window(NamedTuple):
    """The pressures at which a zone may be tested with a gas that does not burn. `least`: None where the zone's highest
    working pressure is not known; `unsaid` then says what to state. `most`: what it stays below, and `by` why; None
    where nothing is said that bounds it. `unrated`: parts without a rating; `unbounded`: what else is not said that
    would bound it."""

    least: float | None
    most: float | None
    by: str
    unsaid: str
    unrated: tuple[str, ...]
    unbounded: tuple[str, ...] = ()

    @property
    def crosses(self) -> bool:
        return self.least is not None and self.most is not None and self.least >= self.most


def working(zone: str, pressures: FigureSet | None) -> float | None:
    """The highest pressure that a zone sees while nothing has failed, Pa gauge; None where it is not known."""
    states: tuple[RegulatorState, ...] = (
        ("set",) if zone == SUPPLY else ("set", "highest") if zone == OPEN else ("set", "highest", "lock_up")
    )
    figures = [(pressures or {}).get(zone_tag(zone, state)) for state in states]
    return max(f.si for f in figures if f is not None) if all(figures) else None


def window(net: Network, named: tuple[str, ...], parts: frozenset[str], ctx: Context) -> Window:
    """`parts`: what stands in the test gas. Needs ZONE_PRESSURE and the limits of the least pressure."""
    least: float | None = ctx.limit(LEAST.key).si
    unsaid = Unchecked("")
    for zone in named:
        reached = working(zone, ctx.get(ZONE_PRESSURE))
        if reached is None:
            said = f"the highest working pressure of {zone} is not known (highest: of its regulator)"
            least, unsaid = None, Unchecked(said, "/plumbing/parts/*/highest")
            break
        least = max(least or 0.0, ctx.limit(TIMES.key).si * reached)
    bounds: list[tuple[float, str]] = []
    unrated, unbounded = list[str](), list[str]()
    for tag in sorted(parts, key=net.place.__getitem__):
        part = net.by_tag[tag]
        bounds += bounds_of(part)
        if not part.spec.has("rating"):
            unrated.append(tag)
        if part.form == "relief" and not part.spec.has("opens"):
            unbounded.append(Unchecked(f"at what {tag} opens (opens:)", join(part.at, "opens")))
        if part.kind == "gauge" and not part.spec.has("reads_to"):
            unbounded.append(Unchecked(f"how far {tag} reads (reads_to:)", join(part.at, "reads_to")))
    most, by = min(bounds, default=(None, ""))
    return Window(least, most, by, unsaid, tuple(unrated), tuple(unbounded))


def bounds_of(part: Part) -> Iterator[tuple[float, str]]:
    opens, rating = part.spec.quantity_or_none("opens"), part.spec.quantity_or_none("rating")
    if part.form == "relief" and opens is not None:
        yield opens.si, f"{part.tag} opens at {opens.text}"
    if rating is not None:
        yield rating.si, f"{part.tag} is rated {rating.text}"
    stamped = part.spec.child("plate").quantity_or_none("pressure")
    if stamped is not None:
        yield stamped.si, f"the plate of {part.tag} says {stamped.text}"
    reads = part.spec.quantity_or_none("reads_to") if part.kind == "gauge" else None
    if reads is not None:
        yield reads.si, f"{part.tag} reads to {reads.text}"
