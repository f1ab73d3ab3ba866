"""The extinguishers' tables, section, cautions, and what the models leave out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from math import inf
from typing import Literal, NamedTuple

from specc import (
    Bullets,
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
    show,
    table,
)
from specc.kinds.faults import CLOSING_ORDER, while_it_blows
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.site import MARKS, Mark
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc.model.wording import dated, in_runs, several
from specc_extinguishers.by_class import A_BY_HAZARD, B_BY_HAZARD, a_does, b_does, c_does, has_a, has_b, has_c
from specc_extinguishers.dates import dated as dated_as
from specc_extinguishers.dates import event_days
from specc_extinguishers.first_aid import HELP
from specc_extinguishers.hazards import COVER, Cover, Hazard
from specc_extinguishers.units import ROOT, WORDS, ListedUnit, described, units
from specc_extinguishers.upkeep import (
    INSPECTION_DAYS,
    Standing,
    bare_days,
    internal,
    maintenance,
    tested,
    thrown_away,
)

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
            kind = _text(unit, "type") + (", non-rechargeable" if unit.non_rechargeable else "")
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
        return str(s.good_to)
    if s.state == "overdue" and s.good_to:
        return f"ended {s.good_to}"
    return "not stated" if s.state == "missing" else _SEE


def _done_and_to(s: Standing | None, issued: str) -> str:
    """The date that stands on the tag beside until when it holds: who reads the tag compares that one."""
    if s is None or s.done is None:
        return _good_to(s)
    done = "made" if s.key == "made" else dated(s.done.text, issued)
    return f"{done}; {'to ' if s.state == 'good' else ''}{_good_to(s)}"


@table("extinguishers.upkeep", title="Inspection, maintenance and tests", reads=(ROOT, "event", "project"))
def upkeep_table(ctx: Context) -> Table:
    """One line a unit: its last look as written, and of each kind of work the last, and until when that holds."""
    try:
        days = event_days(ctx.spec("event"))
    except Unreadable:
        days = ()
    rows = []
    issued = ctx.spec("project").text_or("issued")
    for unit in units(ctx):
        try:
            looks = ", ".join(dated(look.text, issued) for look in unit.looks()) or "not stated"
            cells: tuple[str, ...] = (_SEE,) * 3
            if days:
                ends = thrown_away(unit, days)
                last = f"none; its 12 years: {_good_to(ends)}" if ends else _done_and_to(tested(unit, days), issued)
                work = (maintenance(unit, days), internal(unit, days))
                cells = (*(_done_and_to(s, issued) for s in work), last)
        except Unreadable:
            looks, cells = _SEE, (_SEE,) * 3
        rows.append(Row((unit.tag, _text(unit, "made"), looks, *cells)))
    return Table(
        "",
        "",
        (
            Column("tag"),
            Column("made"),
            Column("inspected", 1.3),
            Column("maintained", 1.4),
            Column("examined inside", 1.4),
            Column("hydrostatic test", 1.4),
        ),
        tuple(rows),
        "The last work stated before the event, else the make.",
    )


class HazardLine(NamedTuple):
    """What is asked for near a hazard, for one class of fire; the units that do, or else the nearest of its kind; how
    far on foot, m."""

    hazard: Hazard
    letter: str
    status: Literal["stated", "gap", "not checked"] = "not checked"
    asked: str = ""
    there: tuple[str, ...] = ()
    far: float = inf

    @property
    def unit(self) -> str:
        return several(self.there) or ("none" if self.status == "gap" else "")

    @property
    def way(self) -> str:
        return (show(self.far, "length", "ft") if self.far < inf else "no way") if self.there else ""


def _near(cover: Cover, hazard: Hazard, letter: str, grade: str) -> HazardLine:
    fits: Callable[[ListedUnit], bool] = has_c
    if letter == "C":
        asked, does = "C within 50 ft", c_does(cover, hazard)
    elif not grade:
        return HazardLine(hazard, letter, asked=f"class {letter}: hazard: not graded")
    elif letter == "A":
        least = A_BY_HAZARD[grade]
        asked, fits, does = f"{least}-A within 75 ft", has_a(least), a_does(cover, hazard, least)
    else:
        least = B_BY_HAZARD[grade]
        asked = f"{least}-B within 30 ft or {2 * least}-B within 50 ft"
        fits, does = has_b(least), b_does(cover, hazard, least)
    unit, way = cover.nearest(hazard, fits)
    if does and (unit is None or does != (unit.tag,)):
        way = max((cover.on_foot[hazard.at, u.tag] for u, _ in cover.units if u.tag in does), default=inf)
    there = does or ((unit.tag,) if unit else ())
    return HazardLine(hazard, letter, "stated" if does else "gap", asked, there, way)


def hazard_lines(ctx: Context) -> list[HazardLine]:
    cover = ctx[COVER]
    grade = ctx.spec(ROOT).text_or("hazard")
    lines = []
    for letter in "ABC":
        for hazard in cover.hazards:
            if letter not in hazard.classes:
                continue
            placed = hazard.shape is not None
            lines.append(_near(cover, hazard, letter, grade) if placed else HazardLine(hazard, letter))
    return lines


# What no spec says, for whoever walks the site: NFPA 10 as other pages have it.
_TO_SEE = (
    "Hung up: the top at 5 ft or lower (3.5 ft where the unit weighs more than 40 lb), the bottom at least 4 in up "
    "(NFPA 10, as reprinted).",
)
_SHELL = (
    "Aluminum shell: no part of it has been hotter than 350 °F; else out of service until its hydrostatic test "
    "(NFPA 10, 8.1.5, as reprinted): "
)
_FUEL_AREA = (
    "By stored fuel: one 40-B for each 55 gal, in sight, 8 to 10 ft from it (a Florida event's guide, 2019; other "
    "authorities have their own): "
)


@table("extinguishers.to_see", title="To see at the extinguishers", needs=(COVER,), reads=(ROOT,))
def to_see(ctx: Context) -> Table:
    """Published numbers on how a unit hangs and stands, of which a spec says nothing: the walk asks for each."""
    listed = units(ctx)
    shells = [u.tag for u in listed if u.spec.text_or("shell") == "aluminum"]
    stores = [h.tag for h in ctx[COVER].hazards if h.what == "fuel store"]
    said = [
        *(_TO_SEE if listed else ()),
        *([_SHELL + ", ".join(shells)] if shells else ()),
        *([_FUEL_AREA + ", ".join(stores)] if listed and stores else ()),
    ]
    return Table("", "", (Column("", 1),), tuple(Row((text,)) for text in said))


@table("extinguishers.hazards", title="What can burn, and what stands near it", needs=(COVER,), reads=(ROOT,))
def hazard_table(ctx: Context) -> Table:
    """One line for each hazard and class of fire, and what does for it; where nothing does, the nearest. Hazards that
    are alike and have what they ask for from the same units share a line, with the farthest of them."""
    alike: dict[tuple[object, ...], list[HazardLine]] = {}
    for line in hazard_lines(ctx):
        own = (line.hazard.what, line.letter, line.asked, line.there, line.status == "stated" or line.hazard.tag)
        alike.setdefault(own, []).append(line)
    rows = []
    for some in alike.values():
        x, tags = max(some, key=lambda line: line.far), ", ".join(in_runs(line.hazard.tag for line in some))
        rows.append(Row((tags, x.hazard.what, x.letter, x.asked, x.unit, x.way, x.status)))
    columns = (
        Column("hazard", 1.2),
        Column("what", 1.8),
        Column("class", 0.5),
        Column("asked for", 2.2),
        Column("nearest", 1.2),
        Column("on foot", 0.7, "right"),
        Column("status", 0.8),
    )
    note = (
        "Class A: wood, cloth, grass. B: gas and liquid fuel; the ratings are sized for shallow liquid, and no rating "
        "for a jet of gas is published. C: live electrical gear. On foot, round what the spec says blocks walking, to "
        "the spot of the hazard that is farthest away; of several in a row, to the farthest."
    )
    return Table("", "", columns, tuple(rows), note)


@table("extinguishers.by_class", title="By class of fire", needs=(COVER,), reads=(ROOT,))
def class_table(ctx: Context) -> Table:
    """One line for each class: how many hazards, what they ask for, and those without."""
    rows = []
    listed = hazard_lines(ctx)
    for letter in dict.fromkeys(line.letter for line in listed):
        mine = [line for line in listed if line.letter == letter]
        lacking = [line for line in mine if line.status != "stated"]
        # The farthest on foot of those that have what they ask for.
        far = max((line for line in mine if line.status == "stated"), default=None, key=lambda line: line.far)
        asked = "; ".join(dict.fromkeys(line.asked for line in mine if line.asked)) or "not graded"
        rows.append(
            Row(
                (
                    letter,
                    f"{len(mine)}",
                    asked,
                    f"{far.way}, {far.unit} to {far.hazard.tag}" if far else "none",
                    ", ".join(f"{line.hazard.tag} ({line.status})" for line in lacking) or "none",
                )
            )
        )
    columns = (
        Column("class", 0.5),
        Column("hazards", 0.7, "right"),
        Column("asked for", 2),
        Column("farthest on foot", 1.6),
        Column("without", 1.2),
    )
    return Table("", "", columns, tuple(rows), "Each hazard stands in the appendix.")


@section("hazards", title="What can burn", order=60, needs=(COVER,), reads=(ROOT,))
def hazards_section(ctx: Context) -> Sequence[Block]:
    return [TableBlock("extinguishers.hazards")] if described(ctx) else []


_SHORT = {"kit": "first aid"}


@gather(MARKS, reads=(ROOT,))
def marks(ctx: Context) -> Sequence[Mark]:
    """Each unit on the site plan, with its rating, and what is there for burns."""
    made = []
    for unit in units(ctx):
        with suppress(Unreadable):
            made.append(Mark(unit.tag, "extinguisher", unit.spec.text("place"), unit.rated, order=30))
    aid = ctx.spec(ROOT).child("first_aid")
    made += [Mark(key, "aid", aid.text_or(key), _SHORT.get(key, key), order=35) for key in HELP if aid.has(key)]
    return made


@gather(SUMMARY_FACTS, reads=(ROOT, "event", "project"), limits=("extinguishers.inspection_days",))
def facts(ctx: Context) -> Sequence[Fact]:
    listed = units(ctx)
    if not listed:
        return ()
    ratings = Counter(_text(u, "rating") for u in listed)
    tally = ", ".join(f"{n} of {rating}" for rating, n in ratings.items())
    return (
        Fact(60, str(len(listed)), "Extinguishers", tally, "extinguishers"),
        Fact(60, f"extinguishers: {_in_date(ctx, listed)}", "In date", "", "in_date"),
    )


def _in_date(ctx: Context, listed: Sequence[ListedUnit]) -> str:
    """Until when all of the listed units' work holds, or which are out of date or not known."""
    try:
        days = event_days(ctx.spec("event"))
    except Unreadable:
        return "not known: the event's dates cannot be read"
    stated = ctx.spec("project").text_or("issued")
    issued = dated_as(stated).last if stated else None
    limit = ctx.limit(INSPECTION_DAYS.key).si
    good, lacking, to_come = [], [], dict[str, None]()
    for unit in listed:
        try:
            work = [s for s in (maintenance(unit, days), internal(unit, days), tested(unit, days)) if s]
            work += [s] if (s := thrown_away(unit, days)) else []
        except Unreadable:
            lacking.append(f"{unit.tag} (see findings)")
            continue
        looks = unit.looks()
        if bad := [s for s in work if s.state != "good" or s.good_to is None]:
            lacking.append(f"{unit.tag} ({_good_to(bad[0])})")
        elif bare_days(looks, days, limit):
            lacking.append(f"{unit.tag} (inspection {'does not cover each day' if looks else 'not stated'})")
        else:
            good += [s.good_to for s in work if s.good_to]
            # What counts, and is dated after the day of issue, has still to happen.
            counts = [(WORDS[s.key], s.done) for s in work if s.done]
            past = [k for k in looks if issued and k.last <= issued]
            if bare_days(past, days, limit):
                counts += [("inspection", k) for k in looks if k not in past]
            to_come |= dict.fromkeys(f"{what} planned {d.text}" for what, d in counts if issued and d.last > issued)
    if lacking:
        return f"NOT in date, or not known: {', '.join(lacking)}"
    if issued is None:
        return "not known: the day of issue is not stated (project: issued:), so dates may be still to come"
    due = f"in date to {min(good)}" if good else "in date"
    return f"{', '.join(to_come)}; the rest {due}" if to_come else due


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
            "Distances are on foot between coordinates, round what blocks walking (buildings, vehicles, barriers that "
            "the crew does not pass); a crowd or the dark is not counted, nor a building's own extinguishers. Ratings "
            "are for solids and shallow liquid: none was found for a jet of gas. Nobody has seen the tags.",
        ),
    )


def _order_of_action(ctx: Context) -> Bullets:
    """What is done first when something burns that should not: the nearest valve, and the one that stops all."""
    order = ctx[CLOSING_ORDER]
    wait = while_it_blows(c for c in order if c.procedure == "emergency")
    wait += ". " if wait else ""
    main = next((f.value for f in ctx[SUMMARY_FACTS] if f.slot == "main_shutoff"), "the cylinder's own valve")
    return Bullets(
        (
            f"STOP by voice; then shut the gas by hand, nearest valve first; all of it at {main}. {wait}Nobody goes "
            "near what stays charged. Call for help meanwhile.",
            "A person who burns: down, roll or wrap in the blanket, then cool running water for 20 min.",
            "Keep everybody away, and leave a gas flame that cannot be shut off burning: cool what is beside it.",
            "With the gas off and a way out behind you, put out what still burns: water on wood, cloth and grass; B:C "
            "on fuel; a unit marked C on live gear.",
            "Watch it until nothing smolders; an emptied unit no longer counts.",
        ),
        numbered=True,
    )


@section(
    "extinguishers",
    title="Extinguishers",
    order=60,
    part="equipment",
    needs=(COVER,),
    wants=(SUMMARY_FACTS, CLOSING_ORDER),
    reads=(ROOT,),
)
def extinguishers_section(ctx: Context) -> Sequence[Block]:
    if not described(ctx):
        return [
            Para(
                "The spec says nothing of extinguishers, so none was checked. Where authorities print a set for a "
                "temporary flame effect, it is at least two water units of 2-A and two units of 10-B:C.",
                citations=(Citation("frederick-flame-effects", "minimum set", "read"),),
            ),
        ]
    told = ctx.spec(ROOT).child("first_aid")
    first_aid = [
        f"{what} at {told.text(key)}" if told.has(key) else f"{what}: not stated" for key, what in HELP.items()
    ]
    return [
        Para(
            "For what has caught fire around the effect; a gas fire is stopped at the valve.",
            citations=(_GAS_FIRE,),
        ),
        _order_of_action(ctx),
        TableBlock("extinguishers.by_class"),
        TableBlock("extinguishers.units"),
        TableBlock("extinguishers.upkeep"),
        Para("For burns: " + "; ".join(first_aid) + "."),
    ]
