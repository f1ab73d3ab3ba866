"""The flame section of the packet: sizes with every form beside the one that governs, heat, distances, rules."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from specc import (
    Column,
    Context,
    DrawingBlock,
    Fact,
    FigureList,
    Heading,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
    distance,
    gather,
    section,
    show,
    table,
)
from specc.kinds.faults import FAULT_FLAMES
from specc.kinds.packet import MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.show import EFFECTS
from specc.kinds.targets import FLUX, STANDOFFS, TARGETS, Standoff, Target, governing
from specc.model.blocks import Block
from specc.model.values import Figure, beyond_range
from specc_flame.keys import (
    BALL_SIZE,
    CLEAR,
    DOSE,
    DOSES,
    EXPECTED,
    FORMS,
    LENGTH,
    OUTLETS,
    PUBLIC,
    STEADY_FLUX,
    TIP,
    TOP,
    WIDTH,
)
from specc_flame.parts import PART
from specc_flame.targets import GAS_FLUX, LEVEL_LIMITS, LEVELS


def _ft(si: float) -> str:
    return show(si, "length", "ft")


@table("flame.forms", title="Flame lengths by each published form", needs=(FORMS, LENGTH))
def forms_table(ctx: Context) -> Table:
    rows = []
    for tag, flame in ctx[FORMS].items():
        for form in flame.forms:
            role = "governs" if form.name == flame.governing else "beside it" if form.used else "out of range"
            rows.append(Row((tag, form.name, _ft(form.length), role, form.range)))
        if ctx[LENGTH][tag].worked.beyond:
            rows.append(Row((tag, "outside its range", "", "", ctx[LENGTH][tag].worked.beyond)))
    columns = (
        Column("outlet"),
        Column("form", 2),
        Column("mean length", align="right"),
        Column("role"),
        Column("range", 3),
    )
    return Table("", "", columns, tuple(rows))


@table(
    "flame.heat",
    title="Heat where people and things are",
    needs=(FLUX, STEADY_FLUX, TARGETS),
    limits=(*LEVEL_LIMITS, GAS_FLUX.key),
)
def heat_table(ctx: Context) -> Table:
    rows = []
    for target in ctx[TARGETS]:
        if target.tag not in ctx[FLUX]:
            continue
        level = target.level or ctx.limit(LEVELS[target.kind])
        rows.append(
            Row(
                (
                    target.what,
                    show(ctx[FLUX][target.tag].si, "heat_flux", "kW/m²", 2),
                    show(ctx[STEADY_FLUX][target.tag].si, "heat_flux", "kW/m²", 2),
                    show(level.si, "heat_flux", "kW/m²"),
                )
            )
        )
    columns = (
        Column("who or what", 2),
        Column("as the show burns", align="right"),
        Column("every burst held open", align="right"),
        Column("limit", align="right"),
    )
    if all(row.cells[1] == row.cells[2] for row in rows):
        kept = tuple(Row((row.cells[0], row.cells[1], row.cells[3])) for row in rows)
        return Table("", "", (*columns[:2], columns[3]), kept, "With every burst held open the same.")
    return Table("", "", columns, tuple(rows))


@table("flame.standoffs", title="Distances of the public, each with its reason", needs=(STANDOFFS, OUTLETS))
def standoffs_table(ctx: Context) -> Table:
    governs = governing(ctx[STANDOFFS])
    listed = sorted((s for s in ctx[STANDOFFS] if s.what == "audience"), key=lambda s: (s.start, -s.distance.si))
    outlets = ctx[OUTLETS]
    outlet = re.compile(rf"\b({'|'.join(map(re.escape, outlets)) or 'no outlet'})\b")
    # Of like effects with one outlet each only the outlet's tag differs.
    alike: dict[tuple[str, ...], list[Standoff]] = {}
    for s in listed:
        reason = (
            _ft(s.distance.si),
            outlet.sub("its outlet", s.why),
            "governs" if governs[s.what, s.start] is s else "",
        )
        alike.setdefault(reason, []).append(s)
    rows = tuple(
        Row((", ".join(s.start for s in some), far, some[0].why if len(some) == 1 else why, role))
        for (far, why, role), some in alike.items()
    )
    return Table("", "", (Column("effect"), Column("distance", align="right"), Column("why", 4), Column("")), rows)


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return [
        ModelLimit(
            30,
            "Flame lengths",
            "Published forms for steady flames in still air; seven of them differ by 15 %, and more for weak flames. "
            "Tips are seen at 1.3 to 1.5 times the mean (practice); 1.5 is used. The time a flame takes to grow is "
            "never used to shrink it. The blow-out of bursts, liquid in the gas, walls beside a flame and a roof that "
            "holds its gas are not counted.",
        ),
        ModelLimit(
            31,
            "Heat",
            "Radiation is an envelope: each flame leans at the target at once. It counts 32 % of the net heat as "
            "radiated and a factor of 1.25 for the measured bias of the model, which covers gauges to 2 m from a "
            "propane burner and is an extrapolation beyond. The air takes none of it; the sun, up to about 1 kW/m², "
            "is not counted. Hot gas that blows at people is not counted apart from the flame laid flat, nor at hoses, "
            "valves and accumulators. Beside a burst held open those are computed until somebody has closed the gas.",
        ),
        ModelLimit(
            32,
            "Distance for the public",
            "1.42 kW/m² is a level for siting of housing beside plants, used by analogy. Radiation is taken without "
            "credit for the outlet's height. A regulator failed open counts, and a burst fired then; liquid that then "
            "collects does not. Barriers, crowd pressure and what falls or flies farther than the sculpture is high "
            "are not counted.",
        ),
    ]


EXTRAPOLATED = " (extrapolated)"


def _from_audience(ctx: Context) -> list[tuple[float, float | None, str, str]]:
    """For each effect and place of the audience: how far apart on the plan, the distance computed, effect, place."""
    made = []
    for effect in ctx[EFFECTS]:
        wanted = (ctx.get(PUBLIC) or {}).get(effect.tag)
        for target in ctx[TARGETS]:
            points = [(o.point, t) for t, o in ctx[OUTLETS].items() if o.effect == effect.tag and o.point]
            if target.kind != "audience" or not points:
                continue
            apart = min(distance(p, target.where, f"{t} to {target.tag}").si for p, t in points)
            made.append((apart, wanted.si if wanted else None, effect.tag, target.tag))
    return made


@table(
    "flame.in_short",
    title="Flames, and how far the public stands",
    needs=(EFFECTS, OUTLETS, TARGETS),
    wants=(PUBLIC, TOP, TIP, EXPECTED),
)
def in_short(ctx: Context) -> Table:
    """One line for effects of which the same is said."""
    tops, tips, expected = (ctx.get(k) or {} for k in (TOP, TIP, EXPECTED))
    apart: dict[str, tuple[float, float | None, str]] = {}
    for si, wanted, of, place in sorted(_from_audience(ctx), key=lambda a: -a[0]):
        apart[of] = (si, wanted, place)
    alike: dict[tuple[str, ...], list[str]] = {}
    for effect in ctx[EFFECTS]:
        own = [t for t, o in ctx[OUTLETS].items() if o.effect == effect.tag]

        def most(figures: Mapping[str, Figure], own: list[str] = own) -> str:
            known = [figures[t].si for t in own if t in figures]
            return _ft(max(known)) if known else "not known"

        found = apart.get(effect.tag)
        cells = (
            most(tops),
            most(tips),
            most(expected),
            _ft(found[1]) if found and found[1] is not None else "not known",
            _ft(found[0]) if found else "not known",
            found[2] if found else "no place of the audience is described",
        )
        alike.setdefault(cells, []).append(effect.tag)
    columns = (
        Column("effect", 2),
        Column("top of flame above ground", 1, "right"),
        Column("reach laid flat", 1, "right"),
        Column("expected reach in the stop wind", 1, "right"),
        Column("public: computed distance", 1, "right"),
        Column("by coordinates", 1, "right"),
        Column("to", 1),
    )
    note = "Laid flat is the farthest that flame is seen, in any direction. No national distance exists: you decide."
    return Table("", "", columns, tuple(Row((", ".join(tags), *cells)) for cells, tags in alike.items()), note)


def _failed_top(ctx: Context) -> float | None:
    """The top of the tallest flame under a single fault, m above ground, as if it stood upright."""
    known = []
    for flame in ctx.get(FAULT_FLAMES) or ():
        place = ctx[OUTLETS].get(flame.where)
        if place is not None and place.point is not None and place.point.z is not None:
            known.append(place.point.z.si + flame.length)
    return max(known, default=None)


@gather(SUMMARY_FACTS, needs=(EFFECTS, OUTLETS, TARGETS), wants=(PUBLIC, TOP, LENGTH, FAULT_FLAMES, STANDOFFS))
def facts(ctx: Context) -> Sequence[Fact]:
    """The tallest flame, and the audience where it stands nearest for what is computed."""
    made = []
    tops, lengths = ctx.get(TOP) or {}, ctx.get(LENGTH) or {}
    tag, top = max(tops.items(), key=lambda pair: pair[1].si, default=("", None))
    # The longest flame of those whose outlet stands nobody knows how high: its top may be the highest.
    low, longest = max(
        ((t, f) for t, f in lengths.items() if t not in tops), key=lambda pair: pair[1].si, default=("", None)
    )
    if longest is not None and (top is None or longest.si > top.si):
        lacks = f"height: at {low}" if ctx[OUTLETS][low].point else f"place: and height: at {low}"
        note = f"{low}; still air, {longest.case or 'any'} case; {lacks} would give its top"
        made.append(
            Fact(5, f"{_ft(longest.si)} long", "longest flame; top above ground not known", note, "tallest_flame", low)
        )
    elif top is not None:
        past_top = EXTRAPOLATED if tag in lengths and beyond_range(lengths[tag]) else ""
        note = f"{tag}; still air, {top.case or 'any'} case{past_top}"
        if (failed := _failed_top(ctx)) and failed > top.si:
            note += f"; under a single fault up to {_ft(failed)}"
        if len(tops) < len(ctx[OUTLETS]):
            note += f"; {len(ctx[OUTLETS]) - len(tops)} outlets not known"
        made.append(Fact(5, _ft(top.si), "tallest flame, above ground", note, "tallest_flame", tag))
    apart = _from_audience(ctx)
    if apart:
        near = min(one[0] for one in apart)
        # All that are as near, as they are printed; then what has least to spare, if that is another.
        nearest = [one for one in apart if _ft(one[0]) == _ft(near)]
        names = list(dict.fromkeys(one[2] for one in nearest))
        needs = max((one[1] for one in nearest if one[1]), default=None)
        wanted_there = _ft(needs) if needs else "not known"
        to_each: dict[str, list[str]] = {}  # one flame may be as near to one place as another is to another
        for name in names:  # where one is as near to two, the first: a rope along the edge of its area
            to_each.setdefault(next(one[3] for one in nearest if one[2] == name), []).append(name)
        between = ", ".join(f"{', '.join(of)} to {place}" for place, of in to_each.items())
        note = f"{between}, from the middle; computed: {wanted_there}"
        known = [(si / wanted, si, wanted, effect) for si, wanted, effect, _ in apart if wanted]
        governs = governing(ctx[STANDOFFS])

        def past(*effects: str) -> str:
            """Beside a distance that a formula gave where it was not made for: as precise, it reads as sure."""
            asked = (governs.get(("audience", effect)) for effect in effects)
            return EXTRAPOLATED if any(a and beyond_range(a.distance) for a in asked) else ""

        note += past(*names)
        if known and (least := min(known))[3] not in names:
            note += f". {least[3]}: {_ft(least[1])}, computed: {_ft(least[2])}{past(least[3])}"
        made.append(Fact(5, _ft(near), "nearest flame to the audience", note, "audience_distance", between))
    return made


@section("flame_in_short", title="Flames", order=20, part="effects", needs=(OUTLETS, EFFECTS))
def flames_in_short(ctx: Context) -> Sequence[Block]:
    if not ctx[OUTLETS]:
        return [Para("No outlet's gas is known, so no flame is.")]
    return [TableBlock("flame.in_short")]


@section(
    "flame_distances",
    title="Heat",
    order=25,
    part="effects",
    needs=(OUTLETS, TARGETS),
    wants=(FLUX,),
    limits=(*LEVEL_LIMITS, GAS_FLUX.key),
)
def distances_section(ctx: Context) -> Sequence[Block]:
    """The most heat anywhere against each limit; the appendix lists every person and thing."""
    fluxes = ctx.get(FLUX) or {}
    hottest: dict[float, Target] = {}
    for target in ctx[TARGETS]:
        level = (target.level or ctx.limit(LEVELS[target.kind])).si
        if target.tag in fluxes and fluxes[target.tag].si > (fluxes[hottest[level].tag].si if level in hottest else -1):
            hottest[level] = target
    if not ctx[OUTLETS] or not hottest:
        return []
    said = (
        f"{t.what} {show(fluxes[t.tag].si, 'heat_flux', 'kW/m²', 2)} of {show(level, 'heat_flux', 'kW/m²')}"
        for level, t in sorted(hottest.items())
    )
    return [
        Para(f"The most heat, all flames at once, of the level it is held against (whose: limits): {'; '.join(said)}.")
    ]


@section(
    "flame",
    title="Flames, heat and distances",
    order=35,
    needs=(OUTLETS,),
    wants=(LENGTH, WIDTH, TIP, TOP, BALL_SIZE, CLEAR, EXPECTED, PUBLIC, FLUX, STEADY_FLUX, DOSE, DOSES, PART),
)
def flame_section(ctx: Context) -> Sequence[Block]:
    if not ctx[OUTLETS]:
        return []
    blocks: list[Block] = [Heading("Flame sizes")]
    for key in (LENGTH, TIP, EXPECTED, TOP, CLEAR, WIDTH, BALL_SIZE):
        listed = ctx.get(key)
        if listed:
            blocks.append(FigureList(tuple(f.key for f in listed.values())))
    blocks += [
        DrawingBlock("flame.elevation"),
        Para(
            "Laid flat is the farthest that flame is seen, in any direction from the outlet; the expected reach in the "
            "stop wind stands beside it."
        ),
        TableBlock("flame.forms"),
        Heading("Distance of the public"),
    ]
    if ctx.get(PUBLIC):
        blocks += [FigureList(tuple(f.key for f in (ctx.get(PUBLIC) or {}).values())), TableBlock("flame.standoffs")]
    if ctx.get(FLUX):
        blocks.append(TableBlock("flame.heat"))
        for fluxes in (FLUX, STEADY_FLUX):
            blocks.append(FigureList(tuple(f.key for f in (ctx.get(fluxes) or {}).values())))
    blocks.append(DrawingBlock("flame.heat_by_distance"))
    for key in (DOSE, DOSES, PART):
        listed = ctx.get(key)
        if listed:
            blocks.append(FigureList(tuple(f.key for f in listed.values())))
    return blocks
