"""The section with the plan: the drawing, the distances that govern, and what is not described."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from specc import (
    Column,
    Context,
    DrawingBlock,
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
from specc.kinds.packet import MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.site import PLAN_NOTES
from specc.kinds.targets import REACHED
from specc.measure.printing import to_unit
from specc.model.blocks import Block
from specc.model.values import BASIS_WORDS
from specc.model.wording import counted, dated, several
from specc_site.cylinders import CYLINDERS, RELIEFS
from specc_site.distances import MANY_TIMES, drawn_of, from_flames, governing_of, spare, times
from specc_site.drawing import NUMBERED
from specc_site.outlines import in_meters
from specc_site.people import AUDIENCE
from specc_site.plan import PLAN, ROOT, Apart, in_feet
from specc_site.stored import STORED

_ALL = (AUDIENCE, CYLINDERS, RELIEFS, STORED)
_FROM_FLAMES = (REACHED,)


def _status(one: Apart) -> str:
    if one.needed is None:
        return "not checked"
    if one.short:
        return "too near"
    return "source not verified" if one.citation.basis in ("memory", "reprint") else "computed"


@table("site.distances", title="Distances on the plan", needs=(PLAN, *_ALL), wants=_FROM_FLAMES)
def distance_table(ctx: Context) -> Table:
    """For each place the distance with the least to spare, those that fall short first. What one thing keeps from
    several for one reason is one row: the nearest of them, and how far the others are."""
    return Table(
        "",
        "",
        _COLUMNS,
        tuple(row for _, row in _every(ctx, whole=True)),
        "On the level, between the nearest spots that the spec gives.",
    )


@table("site.nearest", title="Distances with the least to spare", needs=(PLAN, *_ALL), wants=_FROM_FLAMES)
def nearest_table(ctx: Context) -> Table:
    """What a marshal measures first: all that fall short or could not be checked, the audience's, and the nearest of
    the others."""
    rows = _every_row(ctx)
    first = _nearest(ctx, rows)
    left = len(rows) - len(first)
    note = f"{left} more, none of them too near, stand in the appendix." if left else ""
    return Table("", "", _COLUMNS, first, note)


@table("site.numbers", title="What the numbers on the plan are", needs=(NUMBERED, PLAN))
def number_table(ctx: Context) -> Table:
    """Where names have no room on the plan."""
    meters = in_meters(ctx[PLAN].places.values())
    rows = [
        Row((one.number, one.name, one.what, *(in_feet(v, meters=meters) for v in (one.x, one.y))))
        for one in ctx[NUMBERED]
    ]
    columns = (
        Column("no.", 0.4, "right"),
        Column("place", 1.4),
        Column("what is there", 2.2),
        Column("x", 0.7, "right"),
        Column("y", 0.7, "right"),
    )
    return Table("", "", columns, tuple(rows))


@table("site.farther", title="More distances on the plan", needs=(PLAN, *_ALL), wants=_FROM_FLAMES)
def farther_table(ctx: Context) -> Table:
    """Those that the front does not show, in short: what each limit says stands among the limits."""
    rows = _every_row(ctx)
    first = _nearest(ctx, rows)
    note = "On the level, between the nearest spots that the spec gives."
    told = [(one, short) for row, (one, short) in zip(rows, _every(ctx, short=True), strict=True) if row not in first]
    near = tuple(short for one, short in told if one.needed is None or times(one) < MANY_TIMES)
    if left := len(told) - len(near):
        note += f" {left} more are over {MANY_TIMES} times what they need: specc table FILE site.distances."
    return Table("", "", _COLUMNS, near, note)


def _every_row(ctx: Context) -> tuple[Row, ...]:
    return tuple(row for _, row in _every(ctx))


def _every(ctx: Context, *, short: bool = False, whole: bool = False) -> tuple[tuple[Apart, Row], ...]:
    public, cylinders, reliefs, stored = ctx[AUDIENCE], ctx[CYLINDERS], ctx[RELIEFS], ctx[STORED]
    some = [*governing_of(public), *governing_of(cylinders), *governing_of(reliefs), *stored]
    reached = from_flames(ctx)
    shown = 1 if short else 0 if whole else ALONGSIDE
    meters = in_meters(ctx[PLAN].places.values())
    return _with_nearest([*some, *reached], (*public, *reached), short=short, shown=shown, meters=meters)


def _nearest(ctx: Context, rows: Sequence[Row]) -> tuple[Row, ...]:
    public, cylinders = ctx[AUDIENCE], (*ctx[CYLINDERS], *ctx[RELIEFS])
    audience = {f"{a.start} to {a.end}" for a in governing_of(public)}
    first = [
        row for row in rows if row.cells[5] in ("too near", "not checked") or row.cells[0].partition(";")[0] in audience
    ]
    pairs = {f"{a.start} to {a.end}" for a in drawn_of(ctx[PLAN], cylinders)}
    first += [row for row in rows if row not in first and row.cells[0].partition(";")[0] in pairs]
    first += [row for row in rows if row not in first][: max(0, FIRST - len(first))]
    # What the authority is asked stands first: the public, that which is the fewest times what it needs ahead.
    asked = [f"{a.start} to {a.end}" for a in sorted(governing_of(public), key=times)]
    own = {row: n for n, pair in enumerate(asked) for row in first if row.cells[0].partition(";")[0] == pair}
    bad = [row for row in first if row.cells[5] in ("too near", "not checked")]
    ordered = [*bad, *sorted(own, key=own.__getitem__), *(row for row in rows if row in first)]
    return tuple(dict.fromkeys(ordered))


def _with_nearest(
    listed: Iterable[Apart], own: Sequence[Apart], *, short: bool = False, shown: int = 0, meters: bool = False
) -> tuple[tuple[Apart, Row], ...]:
    """Each row with the nearest of the distances that it tells of.

    `shown`: how many others a row names, 0 for all; `own`: distances that no code has and specc computes, whatever its
    levels were read in."""
    ours = {id(one) for one in own}
    alike: dict[tuple[object, ...], list[Apart]] = {}
    for one in sorted(listed, key=lambda a: (not a.short, a.needed is not None and spare(a))):
        # What falls short is never one of several.
        reason = (one.start, one.why, one.needed and one.needed.si, _status(one), one.end if one.short else "")
        alike.setdefault(reason, []).append(one)
    rows = []
    for one, *others in alike.values():
        each = [f"{a.end} {show(a.measured.si, 'length', 'ft')}" for a in others]
        farther = several(each, shown or len(each))
        on_plan = show(one.measured.si, "length", "ft")
        needed = show(one.needed.si, "length", "ft") if one.needed is not None else ""
        # As fine as the distance that it is taken from.
        fine = len(on_plan.removesuffix(" ft").partition(".")[2])
        basis = OWN if id(one) in ours else BASIS_WORDS[one.citation.basis]
        # What lacks is never printed as nothing: a digit more, where it is so little.
        while one.short and fine < 3 and round(abs(to_unit(spare(one), "ft")), fine) == 0:
            fine += 1
        margin = f"{to_unit(spare(one), 'ft'):.{fine}f} ft" if one.needed is not None else ""
        row = (
            one,
            Row(
                (
                    f"{one.start} to {one.end}" + (f"; {farther}" if farther else ""),
                    in_feet(one.measured.si, meters=meters),
                    needed,
                    margin,
                    f"{(short and one.what) or one.why} ({basis})",
                    _status(one),
                )
            ),
        )
        rows.append(row)
    return tuple(rows)


OWN = BASIS_WORDS["choice"]
ALONGSIDE = 6  # others of a row that the front names
FIRST = 6  # rows that the front shows where no more fall short
_COLUMNS = (
    Column("from, to", 1.5),
    Column("on plan", 0.7, "right"),
    Column("needed", 0.7, "right"),
    Column("margin", 0.7, "right"),
    Column("needed because", 3.0),
    Column("status", 0.9),
)


@gather(SUMMARY_FACTS, reads=("site",))
def stored_dates(ctx: Context) -> Sequence[Fact]:
    """Cylinders in a store have no tags, so no date of theirs is known."""
    stores = ctx.spec("site").child("stores").children()
    count = sum(s.whole("count") for _, s in stores if not s.yes("of_the_show"))
    if not count:
        return ()
    return (
        Fact(
            15,
            f"{counted(count, 'cylinder')} in store: no date stated",
            "In date",
            "",
            "in_date",
        ),
    )


def _measured(ctx: Context) -> str:
    """Whether anybody is said to have measured the ground: margins that are computed read as if somebody had."""
    said = ctx.spec(ROOT).child("measured")
    if not said.has("on"):
        return "Not measured on the ground, as far as the spec says: tape what has little to spare before gas."
    issued = ctx.spec("project").text_or("issued")
    how = f", with {said.text('with')}" if said.has("with") else ""
    return f"Measured on the ground (stated): {dated(said.text('on'), issued)}, by {said.text('by')}{how}."


@gather(MODEL_LIMITS, needs=(PLAN,))
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    if not ctx[PLAN].kinds:
        return ()
    return (
        ModelLimit(
            45,
            "Site plan",
            "What the spec does not describe is not on it, and specc has measured nothing. Distances are on the "
            "level unless they say otherwise; the ground is taken as flat. Cylinders that a truck fills on the "
            "site (NFPA 58-2017, 6.3.4.4: 10 ft from what ignites) are not covered.",
        ),
    )


@section(
    "site",
    title="Site plan",
    order=15,
    part="site",
    needs=(PLAN, NUMBERED),
    wants=(PLAN_NOTES,),
    reads=("flame", ROOT, "project"),
)
def site_section(ctx: Context) -> Sequence[Block]:
    plan = ctx[PLAN]
    if not plan.kinds:
        flame = ctx.spec("flame")
        named = [t for key in ("audience", "performers", "exits", "dry", "overhead") for t in flame.texts(key)]
        but = (
            f" Flames were held against {several(named)} alone, by coordinates; no other side and nothing else was."
            if named
            else " Distances were not checked."
        )
        return [Para(f"No area is described, so there is no plan.{but}")]
    made: list[Block] = [DrawingBlock("site"), TableBlock("site.nearest")]
    if ctx[NUMBERED]:
        made.append(TableBlock("site.numbers"))
    absent = ", ".join(k.replace("_", " ") for k in plan.absent)
    looked = f" Looked for by the makers and not there (stated): {absent}." if absent else ""
    return [*made, *(Para(note.text) for note in ctx[PLAN_NOTES]), Para(_measured(ctx) + looked)]


@section("distances", title="Distances on the plan", order=88, needs=(PLAN, *_ALL), wants=_FROM_FLAMES)
def distances_section(ctx: Context) -> Sequence[Block]:
    rows = _every_row(ctx)
    more = ctx[PLAN].kinds and len(_nearest(ctx, rows)) < len(rows)
    return [TableBlock("site.farther")] if more else []
