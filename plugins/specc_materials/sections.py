"""The materials section of the packet: joints, cylinders, pressures in burner sections, rules."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Caution,
    Citation,
    Column,
    Context,
    Fact,
    FigureList,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
    gather,
    section,
    table,
)
from specc.kinds.gas import SECTION_BLOCKED, SECTION_FAILED_OPEN, SECTION_HIGHEST
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.plumbing import Part
from specc.kinds.show import SHOW
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc_materials.cylinders import cylinder_type, last_day, next_due, service_words
from specc_materials.joined import JOINED
from specc_materials.made import made_of
from specc_materials.vessels import PLATE

_NOT = "not stated"


def _said(part: Part, key: str) -> str:
    try:
        if not part.spec.has(key):
            return _NOT
        value = part.spec[key]
        return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
    except Unreadable:
        return "see findings"


def _due(part: Part) -> str:
    try:
        due = next_due(part)
    except Unreadable:
        return "see findings"
    return f"{due.on:%Y-%m}" if due.on else due.why


def _aluminum(cylinder: Part) -> bool:
    try:
        return cylinder_type(cylinder) == "4E" or made_of(cylinder).of("aluminum")
    except Unreadable:
        return False  # what is refused has its own finding


def _marking(part: Part) -> str:
    try:
        return ", ".join(t for t in (part.spec.text_or("marking"), service_words(part)) if t) or _NOT
    except Unreadable:
        return "see findings"


@table("materials.cylinders", title="Cylinders", needs=(JOINED,))
def cylinders_table(ctx: Context) -> Table:
    rows = tuple(
        Row(
            (
                c.tag,
                _marking(c),
                _said(c, "made"),
                _said(c, "requalified"),
                _due(c),
                _said(c, "overfill_device"),
                _said(c, "secured"),
            )
        )
        for c in ctx[JOINED].net.of_kind("cylinder")
    )
    return Table(
        "",
        "",
        (
            Column("tag"),
            Column("marking", 1.4),
            Column("made"),
            Column("requalified", 1.1),
            Column("requalification due", 1.3),
            Column("overfill device", 1.1),
            Column("secured", 1.6),
        ),
        rows,
        "Requalification due: the first month in which it may not be filled, by 49 CFR 180.209 as read here; the "
        "filling plant decides.",
    )


@table("materials.heated", title="Aluminum cylinders and heat", needs=(JOINED,))
def heated_table(ctx: Context) -> Table:
    """What heat spoils unseen: the walk asks for it."""
    said = (
        "no part of it has been at 350 °F or hotter, by what its owner knows and its paint shows; else it counts as "
        "overheated and is out of service (49 CFR 180.203)"
    )
    some = [c.tag for c in ctx[JOINED].net.of_kind("cylinder") if _aluminum(c)]
    return Table("", "", (Column("tag"), Column("")), tuple(Row((tag, said)) for tag in some))


@table("materials.plates", title="Plates of accumulators", needs=(JOINED,))
def plates_table(ctx: Context) -> Table:
    """What the spec says is stamped on each, to be read on the night: the walk asks for it."""
    vessels = ctx[JOINED].net.of_kind("accumulator")
    rows = tuple(Row((v.tag, *(_on_plate(v, key) for key in PLATE))) for v in vessels)
    return Table("", "", tuple(Column(name) for name in ("tag", *PLATE)), rows)


def _on_plate(vessel: Part, key: str) -> str:
    try:
        plate = vessel.spec.child("plate")
        return str(getattr(plate[key], "text", plate[key])) if plate.has(key) else _NOT
    except Unreadable:
        return "see findings"


@gather(SUMMARY_FACTS, needs=(JOINED,), wants=(SHOW,))
def facts(ctx: Context) -> Sequence[Fact]:
    """Whether cylinders are in date on the event's last day, as far as the spec says when they were made and tested."""
    cylinders = ctx[JOINED].net.of_kind("cylinder")
    if not cylinders:
        return ()
    the_show = ctx.get(SHOW)
    last = last_day(the_show) if the_show else None
    good: dict[str, list[str]] = {}
    other: list[str] = []
    for c in cylinders:
        try:
            due = next_due(c)
        except Unreadable:
            other.append(f"{c.tag} see findings")
            continue
        if due.on and last and due.on > last:
            good.setdefault(f"{due.on:%Y-%m}", []).append(c.tag)
        elif due.on and last:
            other.append(f"{c.tag} NOT in date, due since {due.on:%Y-%m}")
        else:
            other.append(f"{c.tag} not known" + (f": {due.why}" if due.why else ""))
    said = [f"{', '.join(tags)} in date, due {on}" for on, tags in good.items()]
    return (Fact(5, f"cylinders: {'; '.join([*other, *said])}", "In date", "", "in_date"),)


@gather(CAUTIONS)
def cautions(ctx: Context) -> Sequence[Caution]:
    return (
        Caution(
            30,
            "Keep zinc out of flames. Fumes of hot zinc bring metal fume fever some hours later, like a flu for a day "
            "or two. Do not weld, braze or burn galvanized parts without strong ventilation.",
            Citation("aws-fact-sheet-25", "metal fume fever of zinc oxide: hours later, over in 24 to 48 h", "read"),
        ),
        Caution(
            31,
            "A cylinder that is dented, cut, burned, badly rusted or leaking does not go on site, whatever its date.",
            Citation("phmsa-propane-leaflet", "reasons to condemn or reject", "read"),
        ),
    )


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return (
        ModelLimit(
            30,
            "Joints",
            "Judged as described. Whether a joint was made well is for whoever looks at it and tests it.",
        ),
        ModelLimit(
            31,
            "Brazed copper",
            "The pressure of a burner section is computed for pure propane; commercial propane stands some 13 to 15 % "
            "higher ahead of a regulator that failed open. Ice, soot and insects that block more than the stated share "
            "of the jets are not covered.",
        ),
        ModelLimit(
            32,
            "Near flames",
            "Zinc, aluminum and hose are judged by the distance between places, on the level. There flame size, wind "
            "and the temperature of parts play no part; how hot parts get is judged with the flames.",
        ),
    )


@section("cylinders", title="Cylinders", order=10, part="equipment", needs=(JOINED,))
def cylinders_section(ctx: Context) -> Sequence[Block]:
    if not ctx[JOINED].net.of_kind("cylinder"):
        return [Para("No cylinder is described, so none was checked.")]
    return [TableBlock("materials.cylinders")]


@section(
    "materials",
    title="Pressure before the jets",
    order=31,
    needs=(JOINED,),
    wants=(SECTION_HIGHEST, SECTION_BLOCKED, SECTION_FAILED_OPEN),
)
def materials_section(ctx: Context) -> Sequence[Block]:
    keys = [
        f"{key.name}.{tag}"
        for key in (SECTION_HIGHEST, SECTION_BLOCKED, SECTION_FAILED_OPEN)
        for tag in (ctx.get(key) or ())
    ]
    if not keys:
        return []
    return [
        Para(
            "Brazed copper is kept to burner sections that are open to the air and carry no pressure. That limit "
            "is specc default; the gas code allows more."
        ),
        FigureList(tuple(keys)),
    ]
