"""Each zone's highest pressure by what its regulators do, every part's margin to it, and where relief valves let go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc import (
    CHOICE,
    Column,
    Context,
    Cure,
    Figure,
    Limit,
    Row,
    Table,
    Trouble,
    Unchecked,
    Verdict,
    psig,
    rule,
    show,
    table,
)
from specc.kinds.plumbing import (
    NETWORK,
    OPEN,
    SUPPLY,
    ZONE_PRESSURE,
    ZONES,
    Network,
    Part,
    RegulatorState,
    zone_tag,
    zone_words,
)
from specc.measure.units import PSI
from specc.model.passes import each
from specc.model.view import Unreadable, join
from specc_plumbing.as_written import in_flow

_STATES: tuple[RegulatorState, ...] = ("set", "lock_up", "highest", "failed_open")
_SETS: dict[RegulatorState, str] = {
    "set": "as set, gas flowing",
    "lock_up": "as set, no flow: lock-up",
    "highest": "turned up, no flow",
    "failed_open": "a regulator open",
}
FROM_FLAME = Limit(
    "plumbing.vent_from_flame",
    "10 ft",
    "length",
    "max",
    "how far from the nearest flame or pilot a relief valve lets gas out",
    CHOICE,
)


def _rating(part: Part) -> float | None:
    try:
        rating = part.spec.quantity_or_none("rating")
    except Unreadable:
        return None
    return rating.si if rating is not None else None


def weakest(net: Network, tags: list[str]) -> tuple[tuple[float, str] | None, int]:
    """The lowest rating with its part, and how many say none."""
    rated = [(si, t) for t in tags if (si := _rating(net.by_tag[t])) is not None]
    return min(rated, default=None), len(tags) - len(rated)


def _by_case(figure: Figure) -> str:
    cases = [f"{c.case} {psig(c.worked.si)}" for c in figure.cases if c.case]
    same = len({psig(c.worked.si) for c in figure.cases}) == 1
    return "the same in each" if same else ", ".join(cases)


@table("plumbing.zones", title="Highest pressure in each zone", needs=(NETWORK, ZONES), wants=(ZONE_PRESSURE,))
def zones_table(ctx: Context) -> Table:
    net, zones, pressures = ctx[NETWORK], ctx[ZONES], ctx.get(ZONE_PRESSURE) or {}
    rows = []
    for zone in dict.fromkeys(z for z in zones.values() if z):
        tags = [t for t, z in zones.items() if z == zone]
        least, unrated = weakest(net, tags)
        for state in _STATES:
            figure = pressures.get(zone_tag(zone, state))
            if figure is None and (zone == SUPPLY or (zone == OPEN and state == "lock_up")):
                continue
            rows.append(
                Row(
                    (
                        zone_words(zone),
                        _set_by(zone, state, figure),
                        "not known" if figure is None else psig(figure.si),
                        "" if figure is None else _by_case(figure),
                        "none rated" if least is None else f"{least[1]}, {psig(least[0])}",
                        _margin(least[0] if least else None, figure),
                        str(unrated),
                    )
                )
            )
    columns = (
        Column("zone", 1.2),
        Column("what sets it", 1.6),
        Column("highest", 0.9, "right"),
        Column("by weather case", 1.8),
        Column("weakest part", 1.2),
        Column("margin", 0.9, "right"),
        Column("unrated", 0.6, "right"),
    )
    lacks = any(row.cells[2] == "not known" for row in rows)
    note = "Not known: a highest setting or an outlet's pressure is not stated." if lacks else ""
    return Table("", "", columns, tuple(rows), note, tuple(figure.key for figure in pressures.values()))


def _set_by(zone: str, state: RegulatorState, figure: Figure | None) -> str:
    """In which state, and what then sets it, in the weather case that governs."""
    if zone == SUPPLY:
        return "the cylinders, commercial propane"
    if figure is None:
        return _SETS[state]
    if zone != OPEN:
        return figure.worked.name
    return f"{'up, partly blocked' if state == 'highest' else _SETS[state]}: {figure.worked.name}"


def _margin(rating: float | None, figure: Figure | None) -> str:
    if rating is None or figure is None:
        return "not known"
    left = rating - figure.si
    if left < 0:
        return "none: above its rating"
    # A difference of two that are known to a pound or so.
    return show(left, "pressure_difference", "psi", 3 if left >= 100 * PSI else 2)


@table("plumbing.zone_margins", title="Each part's margin in its zone", needs=(NETWORK, ZONES), wants=(ZONE_PRESSURE,))
def margins_table(ctx: Context) -> Table:
    """One line a part: to the highest while nothing has failed, and with a regulator open."""
    net, zones, pressures = ctx[NETWORK], ctx[ZONES], ctx.get(ZONE_PRESSURE) or {}
    rows = []
    for part in in_flow(net):
        zone = zones.get(part.tag, "")
        if not zone:
            continue
        rating = _rating(part)
        failed: RegulatorState = "set" if zone == SUPPLY else "failed_open"
        cells = [
            _margin(rating, figure) for figure in (_working(zone, pressures), pressures.get(zone_tag(zone, failed)))
        ]
        rated = "not stated" if rating is None else psig(rating)
        rows.append(Row((part.tag, zone_words(zone), rated, *cells)))
    columns = (
        Column("part"),
        Column("zone", 1.2),
        Column("rated", 0.8, "right"),
        Column("margin, nothing failed", 1.2, "right"),
        Column("margin, a regulator open", 1.2, "right"),
    )
    return Table("", "", columns, tuple(rows))


def _working(zone: str, pressures: Mapping[str, Figure]) -> Figure | None:
    """The highest while nothing has failed; None where one of the states is not known."""
    states: tuple[RegulatorState, ...] = ("set",) if zone == SUPPLY else ("set", "highest")
    figures = [pressures.get(zone_tag(zone, s)) for s in states]
    known = [f for f in figures if f is not None]
    return max(known, key=lambda f: f.si) if len(known) == len(figures) else None


@rule(
    "plumbing.relief_vents",
    level="error",
    statement="Each relief valve lets gas out upward, and well away from every flame and pilot",
    source=CHOICE,
    needs=(NETWORK,),
    limits=(FROM_FLAME.key,),
    rests_on=("plumbing.from_flame", "plumbing.way"),
)
def relief_vents(ctx: Context) -> Verdict:
    """The effect itself is what would light it."""
    least = ctx.limit(FROM_FLAME.key)

    def judge(valve: Part) -> Iterator[Trouble | str]:
        vents = valve.spec.child("vents")
        far = vents.quantity_or_none("from_flame")
        if far is not None and far.si < least.si * (1 - 1e-9):
            yield Trouble(
                far.at,
                f"{valve.tag} lets gas out {far.text} from the nearest flame",
                "its outlet led away by pipe of its own size, up and into the open",
                "a relief valve opens when something has failed already, and then feeds a flame as long as it is open",
                cure=Cure(f"{least.text} would pass", ((join(vents.at, "from_flame"), least.text),)),
            )
        way = vents.text_or("way")
        if way and way != "up":
            yield Trouble(
                vents.here("way"),
                f"{valve.tag} lets gas out {'to one side' if way == 'aside' else 'downward'}",
                "its outlet led up and into the open",
                "propane is heavier than air: blown down or aside it runs along the ground and gathers, and lit it "
                "is a jet of fire at whatever stands there",
                cure=Cure("up would pass", ((join(vents.at, "way"), "up"),)),
            )
        lacking = [key for key in ("way", "from_flame") if not vents.has(key)]
        if lacking:
            said = f"where {valve.tag} lets gas out is not said (vents: {', '.join(f'{key}:' for key in lacking)})"
            yield Unchecked(said, *map(vents.here, lacking))

    reliefs = [v for v in ctx[NETWORK].of_kind("valve") if v.form == "relief"]
    if not reliefs:
        ctx[NETWORK].all_read()
    return each(reliefs, judge, "relief valve", "no relief valve is described")
