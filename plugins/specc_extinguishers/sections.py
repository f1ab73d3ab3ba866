"""The extinguishers' tables, section, cautions, and what the models leave out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from specc import (
    Caution,
    Citation,
    Column,
    Context,
    Fact,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
    gather,
    section,
    table,
)
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc_extinguishers.dates import event_days
from specc_extinguishers.units import ROOT, ListedUnit, described, units
from specc_extinguishers.upkeep import Standing, internal, maintenance, tested, thrown_away

_SEE = "see findings"
_GAS_FIRE = Citation("nfpa-10", "pressurized flammable gas fires; edition and section not yet read", "memory")


def _text(unit: ListedUnit, key: str) -> str:
    try:
        return unit.spec.text(key).replace("_", " ") if unit.spec.has(key) else "not stated"
    except Unreadable:
        return _SEE


def _holds(unit: ListedUnit) -> str:
    try:
        parts = [q.text for key in ("mass", "volume") if (q := unit.spec.quantity_or_none(key))]
    except Unreadable:
        return _SEE
    if unit.spec.has("agent"):
        parts.append(_text(unit, "agent"))
    return ", ".join(parts) or "not stated"


def _place(unit: ListedUnit) -> str:
    try:
        return unit.spec.text("place")  # a tag: kept as written
    except Unreadable:
        return _SEE


@table("extinguishers.units", title="Extinguishers", reads=(ROOT,))
def units_table(ctx: Context) -> Table:
    """One line a unit, in the order of the spec."""
    rows = []
    for unit in units(ctx):
        try:
            kind = _text(unit, "type") + (", non-rechargeable" if unit.disposable else "")
        except Unreadable:
            kind = _SEE
        rows.append(Row((unit.tag, kind, _text(unit, "rating"), _holds(unit), _place(unit))))
    return Table(
        "",
        "",
        (Column("tag"), Column("type", 2.2), Column("rating"), Column("holds", 1.8), Column("place", 1.3)),
        tuple(rows),
    )


def _good_to(s: Standing | None) -> str:
    if s is None:
        return "not due"
    if s.state == "good" and s.good_to:
        return f"good to {s.good_to}"
    if s.state == "overdue" and s.good_to:
        return f"ended {s.good_to}"
    return "not stated" if s.state == "missing" else _SEE


@table("extinguishers.upkeep", title="Looks, maintenance and tests", reads=(ROOT, "event"))
def upkeep_table(ctx: Context) -> Table:
    """One line a unit: its last look as written, and until when each kind of work holds."""
    try:
        days = event_days(ctx.spec("event"))
    except Unreadable:
        days = ()
    rows = []
    for unit in units(ctx):
        try:
            looks = ", ".join(look.text for look in unit.looks()) or "not stated"
            work = (
                (maintenance(unit, days), internal(unit, days), tested(unit, days) or thrown_away(unit, days))
                if days
                else None
            )
            cells = tuple(map(_good_to, work)) if work else (_SEE,) * 3
        except Unreadable:
            looks, cells = _SEE, (_SEE,) * 3
        rows.append(Row((unit.tag, _text(unit, "made"), looks, *cells)))
    return Table(
        "",
        "",
        (
            Column("tag"),
            Column("made"),
            Column("looked at", 1.3),
            Column("maintenance", 1.4),
            Column("internal service", 1.4),
            Column("pressure test", 1.4),
        ),
        tuple(rows),
        "Counted from the last work that is dated before the event, else from the date of make; a month without a "
        "day counts from its first. A non-rechargeable unit is not tested: the last column is the end of its 12 years.",
    )


@gather(SUMMARY_FACTS, reads=(ROOT,))
def facts(ctx: Context) -> Sequence[Fact]:
    listed = units(ctx)
    if not listed:
        return ()
    ratings = Counter(_text(u, "rating") for u in listed)
    tally = ", ".join(f"{n} of {rating}" for rating, n in ratings.items())
    return (Fact(60, str(len(listed)), "Extinguishers", tally, "extinguishers"),)


@gather(CAUTIONS, reads=(ROOT,))
def cautions(ctx: Context) -> Sequence[Caution]:
    # That a gas fire is stopped at the valve stands first among the core's own cautions; these add to it.
    if not units(ctx):
        return ()
    return (
        Caution(
            60,
            "Shut the gas first, then put out what is still burning. An extinguisher emptied on a gas flame leaves gas "
            "that flows unlit, and none for the fire that follows.",
            _GAS_FIRE,
        ),
        Caution(
            61,
            "Water is for wood, cloth and grass. Keep it off live electrical gear and burning liquid: take a unit "
            "marked B:C there.",
            Citation("nfpa-10", "classes of fire; section not yet read", "memory"),
        ),
    )


@gather(MODEL_LIMITS, reads=(ROOT,))
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    if not described(ctx):
        return ()
    return (
        ModelLimit(
            60,
            "Extinguishers",
            "Distances are straight lines between the coordinates of places; the way on foot is longer. Ratings and "
            "distances are those for solids and shallow liquid: no published rating was found for a jet of gas. "
            "Dates are taken as written; nobody has looked at the tags.",
        ),
    )


@section("extinguishers", title="Extinguishers", order=60, part="equipment", reads=(ROOT,))
def extinguishers_section(ctx: Context) -> Sequence[Block]:
    if not described(ctx):
        return [
            Para(
                "The spec says nothing of extinguishers, so none was looked at. Where authorities print a set for a "
                "temporary flame effect, it is at least two water units of 2-A and two units of 10-B:C.",
                citations=(Citation("frederick-flame-effects", "minimum set", "read"),),
            ),
        ]
    return [
        Para(
            "A gas fire is stopped at the valve. Its flame is not knocked down while gas flows: the unburned gas would "
            "collect and light again. The extinguishers are for what has caught fire around the effect.",
            citations=(_GAS_FIRE,),
        ),
        TableBlock("extinguishers.units"),
        TableBlock("extinguishers.upkeep"),
    ]


PASSES = (units_table, upkeep_table, facts, cautions, model_limits, extinguishers_section)
