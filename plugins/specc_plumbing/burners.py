"""Burners made of tube: what their rings take, where their jets stand, and whether tube and jets can be so."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from specc import (
    CHOICE,
    PRACTICE,
    Column,
    Context,
    Cure,
    FigureBlock,
    FigureSet,
    Heading,
    Key,
    Para,
    Quantity,
    Row,
    Table,
    TableBlock,
    Trouble,
    Unchecked,
    Verdict,
    Worked,
    figures,
    found,
    not_applicable,
    rule,
    show,
    table,
)
from specc.kinds.plumbing import FITTED, NETWORK, Fitted, Part
from specc.measure.units import INCH
from specc.model.blocks import Block
from specc.model.passes import Judging, judged, passed
from specc.model.values import Scalar
from specc.model.view import Unreadable, View, join
from specc.model.wording import counted
from specc_plumbing.as_written import NOT_STATED, said
from specc_plumbing.calc.cuts import tube_bore
from specc_plumbing.calc.rings import jet_area_ratio, jet_spacing, ring_length, slit_area_ratio

RING_CUT: Key[FigureSet] = Key("plumbing.ring_cut", dict)
JET_SPACING: Key[FigureSet] = Key("plumbing.jet_spacing", dict)
JET_RATIO: Key[FigureSet] = Key("plumbing.jet_area_ratio", dict)

# Forms that are a length of tube with jets in it; in a ring and a bar they stand in a row.
_TUBES = ("ring", "bar", "stem")
_SIZES = ("bore", "outside", "wall")
# How far the sizes of a tube may contradict each other and still be rounding: specc default.
_ROUNDING = 0.005 * INCH


def _tubes(ctx: Context) -> tuple[Part, ...]:
    return tuple(p for p in ctx[NETWORK].of_kind("burner") if p.form in _TUBES)


def _ring(part: Part) -> Worked | None:
    """The tube that a ring takes; None for what is no ring, or states no diameter."""
    spec = part.spec
    if part.form != "ring" or not spec.has("diameter"):
        return None
    within = spec.child("fittings")
    if not within.has("count"):
        return ring_length.work(f"tube in the ring {part.tag}", diameter=spec.quantity("diameter"))
    return ring_length.work(
        f"tube in the ring {part.tag}",
        diameter=spec.quantity("diameter"),
        fittings=within.quantity("count"),
        take=within.quantity("take"),
    )


def ring_tube(part: Part) -> Worked | None:
    """The tube in a ring, as `plumbing.ring_cut` has it; None where it is not a ring, or not stated well enough."""
    try:
        return _ring(part)
    except (Unreadable, ValueError):
        return None  # reported where it stands


def _spread(part: Part) -> Scalar | None:
    """What the jets have room in: a ring's whole circumference, or a bar's or stem's length."""
    spec = part.spec
    if part.form == "ring" and spec.has("diameter"):
        return ring_length.work(f"circumference of {part.tag}", diameter=spec.quantity("diameter"))
    return spec.quantity("length") if part.form != "ring" and spec.has("length") else None


def bore_of(fitted: Fitted) -> Scalar | None:
    """A part's bore: stated or of the catalog, or what its wall leaves; None when none of it is known."""
    measures = fitted.measures
    if "bore" in measures:
        return measures["bore"]
    if "outside" in measures and "wall" in measures:
        return tube_bore.work(f"bore of {fitted.part.tag}", outside=measures["outside"], wall=measures["wall"])
    return None


@figures(RING_CUT, title="Tube to cut for the ring {tag}", unit="in", needs=(NETWORK,))
def ring_cuts(ctx: Context) -> Mapping[str, Worked]:
    made = {p.tag: _ring(p) for p in ctx[NETWORK].of_kind("burner")}
    return {tag: worked for tag, worked in made.items() if worked is not None}


@figures(JET_SPACING, title="Jets of {tag}, center to center", unit="in", needs=(NETWORK,))
def spacings(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for part in _tubes(ctx):
        # Along a stem they may stand anyhow.
        spread = _spread(part) if part.form != "stem" else None
        count = part.spec.child("jets").quantity("count")
        if spread is not None and count.si > 1:
            made[part.tag] = jet_spacing.work(f"spacing of the jets of {part.tag}", length=spread, count=count)
    return made


@figures(JET_RATIO, title="Area of the jets of {tag} over its bore", needs=(NETWORK, FITTED))
def ratios(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for part in _tubes(ctx):
        feed, jets = bore_of(ctx[FITTED][part.tag]), part.spec.child("jets")
        name = f"jets of {part.tag} over its bore"
        if feed is not None and jets.has("bore"):
            made[part.tag] = jet_area_ratio.work(
                name, count=jets.quantity("count"), bore=jets.quantity("bore"), feed=feed
            )
        elif feed is not None and jets.has("width") and jets.has("length"):
            made[part.tag] = slit_area_ratio.work(
                name,
                count=jets.quantity("count"),
                width=jets.quantity("width"),
                length=jets.quantity("length"),
                feed=feed,
            )
    return made


# Bores and jets


def _bore_troubles(fitted: Fitted) -> list[Trouble]:
    part, m = fitted.part, fitted.measures
    bore, outside, wall = (m.get(k) for k in _SIZES)
    own = {k for k in _SIZES if isinstance(m.get(k), Quantity)}
    if not own:
        return []

    def at(*keys: str) -> str:
        """Where the first of these stands in the spec: what the catalog gives cannot be mended there."""
        return join(part.at, next(k for k in (*keys, *_SIZES) if k in own))

    why = "one of the sizes is a slip, and bends, weights and flows follow from them"
    if bore is not None and outside is not None and bore.si >= outside.si:
        message = f"{part.tag} has a bore of {bore.text} in {outside.text} outside"
        return [Trouble(at("bore", "outside"), message, "a bore that leaves a wall", why)]
    if wall is not None and outside is not None and 2 * wall.si >= outside.si:
        message = f"{part.tag} has a wall of {wall.text} in {outside.text} outside, which leaves no bore"
        return [Trouble(at("wall", "outside"), message, "a wall of less than half the outside diameter", why)]
    if bore is None or outside is None or wall is None:
        return []
    off = bore.si + 2 * wall.si - outside.si
    slack = sum(q.minus + q.plus for q in (bore, outside, wall) if isinstance(q, Quantity)) + _ROUNDING
    if len(own) == 3 and abs(off) > slack:
        sizes = f"a bore of {bore.text} and two walls of {wall.text} make {show(bore.si + 2 * wall.si, 'length', 'in')}"
        return [
            Trouble(at("bore"), f"{part.tag}: {sizes}, and {outside.text} outside is stated", "sizes that agree", why)
        ]
    # A wall as made may be an eighth under its nominal size (12 1/2 % as a mill tolerance, in a reprint of B36.10).
    if own == {"bore"} and part.kind in ("pipe", "tube") and bore.si > outside.si - 1.75 * wall.si + slack:
        most = show(outside.si - 1.75 * wall.si, "length", "in")
        message = f"{part.tag} has a bore of {bore.text}; its size leaves {most} at most, with a wall an eighth thin"
        return [Trouble(at("bore"), message, "the bore that belongs to the size, or the size that it has", why)]
    return []


@rule(
    "plumbing.bore_possible",
    level="error",
    statement="Bore, wall and outside diameter of a part can be so together",
    source=CHOICE,
    needs=(FITTED,),
)
def bore_possible(ctx: Context) -> Verdict:
    stated = [
        f
        for f in ctx[FITTED].values()
        if f.part.kind in ("burner", "tube", "pipe")
        and sum(k in f.measures for k in _SIZES) > 1
        and any(isinstance(f.measures.get(k), Quantity) for k in _SIZES)
    ]
    if not stated:
        return not_applicable("no pipe, tube or burner has two of bore, wall and outside diameter to compare")
    return found((t for f in stated for t in _bore_troubles(f)), counted(len(stated), "part"))


def _jet_troubles(part: Part, spread: float, feed: Scalar | None) -> list[Trouble]:
    jets = part.spec.child("jets")
    across = "circumference" if part.form == "ring" else "length"
    size = show(spread, "length", "in")
    count = jets.quantity("count")
    if jets.has("bore"):
        bore = jets.quantity("bore")
        if count.si * bore.si >= spread:
            message = f"{count.text} jets of {bore.text} side by side are as long as the {across} of {part.tag}, {size}"
            most = math.ceil(spread / bore.si - 1e-9) - 1
            cure = Cure(f"{most} jets would fit", ((jets.here("count"), str(most)),)) if most > 0 else None
            return [Trouble(jets.here("count"), message, "fewer or smaller jets, or a longer tube", cure=cure)]
        if feed is not None and bore.si > feed.si:
            message = f"the jets of {part.tag} are wider than the bore of its tube"
            widest = show(math.floor(feed.si / INCH * 1e4) / 1e4 * INCH, "length", "in", 4)
            cure = Cure(f"{widest} would fit", ((jets.here("bore"), widest),))
            return [Trouble(jets.here("bore"), message, "jets no wider than the tube they are drilled in", cure=cure)]
    elif jets.has("length") and jets.quantity("length").si > spread:
        message = f"a slit of {jets.quantity('length').text} is longer than the {across} of {part.tag}, {size}"
        cure = Cure(f"{size} would fit", ((jets.here("length"), f"{math.floor(spread / INCH * 100) / 100:g} in"),))
        return [Trouble(jets.here("length"), message, "a slit that the tube has room for", cure=cure)]
    return []


@rule(
    "plumbing.jets_fit",
    level="error",
    statement="The jets of a ring, bar or stem have room in it, in one row",
    source=CHOICE,
    needs=(NETWORK, FITTED),
)
def jets_fit(ctx: Context) -> Judging:
    # A stem that states no length has its jets at its end, for all that is known.
    rows = [p for p in _tubes(ctx) if p.form != "stem" or p.spec.has("length")]
    if not rows:
        return not_applicable("no ring, bar or stem burner is described")
    for part in rows:
        whole = ring_tube(part) or _spread(part)
        if whole is None:
            key = "diameter" if part.form == "ring" else "length"
            yield Unchecked(f"{part.tag} does not say its {key}", join(part.at, key))
            continue
        yield from _jet_troubles(part, whole.si, bore_of(ctx[FITTED][part.tag]))
    return passed(counted(len(rows), "burner"))


def _fewer(jets: View, over: float) -> Cure | None:
    """The most jets, or the longest slit, whose area is no more than the bore's; it is `over` times that now."""
    if not jets.has("bore") and jets.has("length"):
        length = f"{math.floor(jets.quantity('length').si / over / INCH * 100) / 100:g} in"
        return Cure(f"a slit of {length} would pass", ((jets.here("length"), length),))
    most = math.floor(jets.quantity("count").si / over + 1e-9)
    return Cure(f"{most} jets would pass", ((jets.here("count"), str(most)),)) if most > 0 else None


@rule(
    "plumbing.jets_feed",
    level="warning",
    statement="The jets of a ring, bar or stem together have less area than the bore of its tube",
    source=PRACTICE,
    needs=(NETWORK, JET_RATIO),
)
def jets_feed(ctx: Context) -> Verdict:
    rows = _tubes(ctx)
    if not rows:
        return not_applicable("no ring, bar or stem burner is described")
    known = ctx[JET_RATIO]
    return judged(
        (
            Trouble(
                p.spec.child("jets").at,
                f"the jets of {p.tag} have {show(known[p.tag].si, 'ratio', digits=2)} times the area of its bore",
                "or smaller jets, or a wider tube",
                "the jets far from the feed starve: their flames are lower than those near it, or go out in the wind",
                cure=_fewer(p.spec.child("jets"), known[p.tag].si),
            )
            for p in rows
            if p.tag in known and known[p.tag].si > 1
        ),
        [
            Unchecked(
                f"{p.tag} does not say the bore of its tube", *(join(p.at, k) for k in ("bore", "outside", "wall"))
            )
            for p in rows
            if p.tag not in known
        ],
        counted(len(rows), "burner"),
    )


# What the packet shows


def _shown(family: FigureSet | None, tag: str) -> str:
    figure = family.get(tag) if family else None
    return show(figure.si, figure.dim, figure.unit, figure.digits) if figure else "not known"


@table(
    "plumbing.burner_geometry",
    title="Tube burners",
    needs=(NETWORK, FITTED),
    wants=(RING_CUT, JET_SPACING, JET_RATIO),
)
def geometry_table(ctx: Context) -> Table:
    """One line for each ring, bar and stem."""
    rows = []
    for part in _tubes(ctx):
        measures = ctx[FITTED][part.tag].measures
        outside, wall = measures.get("outside"), measures.get("wall")
        across = said(part.spec, "diameter" if part.form == "ring" else "length")
        jets = part.spec.child("jets")
        size = said(jets, "bore", f"{said(jets, 'width')} by {said(jets, 'length')}")
        rows.append(
            Row(
                (
                    part.tag,
                    f"{part.form}, {across}",
                    outside.text if outside else NOT_STATED,
                    wall.text if wall else NOT_STATED,
                    _shown(ctx.get(RING_CUT), part.tag) if part.form == "ring" else across,
                    f"{said(jets, 'count')} of {size}",
                    "single" if said(jets, "count") == "1" else _shown(ctx.get(JET_SPACING), part.tag),
                    _shown(ctx.get(JET_RATIO), part.tag),
                )
            )
        )
    columns = (
        Column("burner", 0.9),
        Column("form", 1.3),
        Column("outside", 0.9, "right"),
        Column("wall", 0.9, "right"),
        Column("tube to cut", 1.0, "right"),
        Column("jets", 1.3),
        Column("apart", 1.0, "right"),
        Column("area over bore", 0.8, "right"),
    )
    rings = any(part.form == "ring" for part in _tubes(ctx))
    note = "Leave some over when cutting a ring, and trim it when it has been bent." if rings else ""
    return Table("", "", columns, tuple(rows), note)


def blocks(ctx: Context) -> Sequence[Block]:
    """Of the plumbing section: tube burners. Its pass needs NETWORK and wants RING_CUT, JET_SPACING, JET_RATIO."""
    if not _tubes(ctx):
        return ()
    families = [family for key in (RING_CUT, JET_SPACING, JET_RATIO) if (family := ctx.get(key))]
    # The first of each kind in full, so that the calculation can be followed; the table has them all.
    full = [next(iter(family.values())).key for family in families]
    return [
        Heading("Tube burners", "tube_burners"),
        Para(
            "Rings, bars and stems are tube with holes or slits. The tube to cut is that along the center line. "
            "Where the jets together have more area than the bore, those far from the feed starve."
        ),
        TableBlock("plumbing.burner_geometry"),
        *(FigureBlock(key) for key in full),
    ]


WANTED = (RING_CUT, JET_SPACING, JET_RATIO)
