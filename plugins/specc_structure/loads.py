"""What pushes each stand over and what holds it: in the wind that stops the show with people at it, and left alone.

Wind comes from the worst side of each base; the edge with the least factor of safety counts.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from specc import CHOICE, Citation, Constant, Context, FigureSet, Key, Unchecked, Worked, figures, show, value
from specc.formulas.calculators import Refused
from specc.formulas.gust import AS_IT_IS, wind_gust
from specc.kinds.targets import FALLEN
from specc.kinds.weather import WIND
from specc.measure.printing import cut
from specc.model.values import Scalar
from specc_structure.calc import plan, stand, wind
from specc_structure.calc.sources import STATICS
from specc_structure.stands import COEFFICIENTS, ROOT, STANDS, ZERO, Lump, Stand, friction

SHOW, LEFT = "show", "left"
_LOW = 0.3048  # m: what lies this near to the ground may say that wind finds no area
_HAND = Constant(1.8288, "length", "6 ft, at which one holds an instrument; where the spec gives no height", CHOICE)
_CODE = Constant(10.0, "length", "33 ft, the height of published gusts", Citation("asce-7-sheets", "33 ft", "reprint"))


class Guyed(NamedTuple):
    """One guy's pull, with the lift at its anchor."""

    tag: str
    pull: Worked
    lift: float


class Load(NamedTuple):
    """A stand in one state. `lacks`: what the spec does not say. `tips` and `holds` are about its weakest edge.

    `inside`: how far the middle of the base is from that edge. `factor` is None for a guyed one, `slide` and the rest
    while anything is lacking.
    """

    stand: Stand
    when: str
    lacks: tuple[str, ...]
    push: Worked | None = None
    weight: Worked | None = None
    tips: tuple[Worked, ...] = ()
    holds: tuple[Worked, ...] = ()
    inside: float = 0.0
    factor: Worked | None = None
    slide: Worked | None = None
    guys: tuple[Guyed, ...] = ()
    unguyed: str = ""  # why its guys hold nothing from some side


def times(factor: float) -> str:
    """A factor of safety as the list of figures prints it, never rounded up: one number on every page.

    >>> times(1.4999), times(20.97), times(6.1)
    ('1.49', '20.9', '6.10')
    """
    return show(cut(factor), "ratio")


LOADS: Key[tuple[Load, ...]] = Key("structure.loads", tuple)
GUSTS: Key[FigureSet] = Key("structure.gust", dict)
PUSHES: Key[FigureSet] = Key("structure.push", dict)
FACTORS: Key[FigureSet] = Key("structure.overturning", dict)
SLIDES: Key[FigureSet] = Key("structure.sliding", dict)
PULLS: Key[FigureSet] = Key("structure.guy_tension", dict)
FALLS: Key[FigureSet] = Key("structure.fall_radius", dict)


@figures(GUSTS, title="Gust that loads are counted from: {tag}", unit="mph", needs=(WIND,), reads=(ROOT,))
def gusts(ctx: Context) -> dict[str, Worked]:
    """`show`: the wind that stops it. `left`: what it has to stand with nobody there."""
    made: dict[str, Worked] = {}
    stop, left = ctx[WIND].stop, ctx.spec(ROOT).quantity_or_none("left_standing")
    if not ctx.spec(ROOT):
        return made
    if stop is not None:
        made[SHOW] = stop.gust
    if left is not None:
        made[LEFT] = wind_gust.work("gust with nobody there", mean=left, factor=AS_IT_IS)
    return made


def _coefficient(part: Lump) -> Scalar | None:
    if part.spec.has("coefficient"):
        return part.spec.quantity("coefficient")
    return COEFFICIENTS.get(part.spec.text_or("shape"))


def _lacks(s: Stand, when: str, gust: object) -> tuple[str, ...]:
    alone = Unchecked("left_standing:", "/structure/left_standing")
    said = [Unchecked("the wind that stops the show", "/weather/wind/stop") if when == SHOW else alone]
    said = [] if gust else said
    said += [Unchecked(f"area of {p.tag}", p.spec.here("area")) for p in s.parts if not p.spec.has("area")]
    said += [
        Unchecked(f"shape of {p.tag}", p.spec.here("shape"), p.spec.here("coefficient"))
        for p in s.parts
        if p.spec.has("area") and p.spec.quantity("area").si > 0 and _coefficient(p) is None
    ]
    # A plate on the ground may lie in the lee; what stands up has a face.
    said += [
        Unchecked(
            f"area of {p.tag} (it says {p.spec.quantity('area').text}, {show(p.z.si, 'length', 'ft')} up)",
            p.spec.here("area"),
        )
        for p in s.parts
        if p.spec.has("area") and p.spec.quantity("area").si == 0 and p.z.si > _LOW
    ]
    if when == SHOW and not s.reach:
        said.append(Unchecked("who can reach it (reach:)", s.spec.here("reach")))
    return tuple(said)


def _pushes(ctx: Context, s: Stand, when: str, gust: Scalar, measured: Scalar) -> list[tuple[Scalar, Lump]]:
    """Wind on each part, and who leans on it, each with where it acts."""
    rise = wind.wind_rise.work("wind at the top", top=s.top, measured=measured)
    pressure = wind.wind_pressure.work("pressure of the gust", gust=gust, height=rise)
    made: list[tuple[Scalar, Lump]] = []
    for p in s.parts:
        coefficient, area = _coefficient(p), p.spec.quantity("area")
        if coefficient is not None and area.si > 0:
            force = wind.wind_force.work(f"wind on {p.tag}", pressure=pressure, coefficient=coefficient, area=area)
            made.append((force, p))
    if when == SHOW and s.reach in ("crew", "public"):
        lean = ctx.limit("structure.lean_crew" if s.reach == "crew" else "structure.lean_public")
        high = min(ctx.limit("structure.lean_height"), s.top, key=lambda q: q.si)  # nobody pushes above its top
        made.append((lean, s.parts[0]._replace(tag="people", z=high, x=ZERO, y=ZERO)))
    return made


Edge = tuple[tuple[Scalar, Scalar], tuple[Scalar, Scalar]] | None


def _edges(s: Stand) -> list[Edge]:
    """Each two neighboring feet; None for the rim of a round base."""
    return [None] if s.round else [(s.feet[i - 1], s.feet[i]) for i in range(len(s.feet))]


def _inside(s: Stand, edge: Edge, x: Scalar, y: Scalar, name: str) -> Worked:
    if edge is None:
        off = plan.offset.work("off the center", x=x, y=y)
        return plan.base_distance.work(name, width=s.base.quantity("diameter"), toward=off)
    (ax, ay), (bx, by) = edge
    return plan.edge_distance.work(name, x1=ax, y1=ay, x2=bx, y2=by, x=x, y=y)


def _turned(edge: Edge) -> Edge:
    return None if edge is None else (edge[1], edge[0])


def _about(
    s: Stand, edge: Edge, pushes: list[tuple[Scalar, Lump]], weights: list[tuple[Worked, Lump]]
) -> tuple[tuple[Worked, ...], tuple[Worked, ...]]:
    """What tips the stand about an edge, and what holds it."""
    slope = s.base.quantity_or_none("slope")
    tips, holds = [], []
    for force, lump in pushes:
        tips.append(plan.moment.work(f"{lump.tag} pushes over", force=force, arm=lump.z))
        arm = _inside(s, edge, lump.x, lump.y, f"{lump.tag} inside the edge") if slope is not None else None
        if slope is not None and arm is not None and arm.si > 0:
            lift = plan.slope_push.work(f"{lump.tag} lifts on the slope", force=force, slope=slope)
            tips.append(plan.moment.work(f"{lump.tag} lifts", force=lift, arm=arm))
    for weight, lump in weights:
        arm = _inside(s, edge, lump.x, lump.y, f"{lump.tag} inside the edge")
        if arm.si >= 0:
            holds.append(plan.moment.work(f"{lump.tag} holds down", force=weight, arm=arm))
        else:
            out = _inside(s, _turned(edge), lump.x, lump.y, f"{lump.tag} outside the edge")
            tips.append(plan.moment.work(f"{lump.tag} hangs over", force=weight, arm=out))
        if slope is not None:
            down = plan.slope_push.work(f"{lump.tag} pushes downhill", force=weight, slope=slope)
            tips.append(plan.moment.work(f"{lump.tag} leans downhill", force=down, arm=lump.z))
    return tuple(tips), tuple(holds)


def _guyed(s: Stand, tips: tuple[Worked, ...]) -> tuple[tuple[Guyed, ...], str]:
    """The pull in each guy, the mast as if on a hinge; or why its guys hold nothing from some side."""
    ordered = sorted(s.guys, key=lambda g: math.atan2(*(q.si for q in reversed(g[1].quantities("anchor")))))
    if len(ordered) < 3:
        return (), f"{len(ordered)} of them"
    total = plan.moment_sum.work("moments about the foot", moments=tips)
    spreads: list[Worked] = []
    for i, (_, guy) in enumerate(ordered):
        (x1, y1), (x2, y2) = ordered[i - 1][1].quantities("anchor"), guy.quantities("anchor")
        try:
            spreads.append(plan.guy_spread.work("spread of two guys", x1=x1, y1=y1, x2=x2, y2=y2))
        except Refused as e:
            return (), e.reason
    made = []
    for i, (tag, guy) in enumerate(ordered):
        spread = min(spreads[i], spreads[(i + 1) % len(spreads)], key=lambda w: w.si)
        x, y = guy.quantities("anchor")
        push = plan.guy_push.work(f"push that {tag} takes", moment=total, height=guy.quantity("height"), spread=spread)
        out = plan.offset.work(f"anchor of {tag} from the foot", x=x, y=y)
        pull = plan.guy_pull.work(f"pull in {tag}", push=push, height=guy.quantity("height"), out=out)
        made.append(Guyed(tag, pull, dict(pull.also)["L"]))
    return tuple(made), ""


def _load(ctx: Context, s: Stand, when: str, gust: Scalar | None, measured: Scalar) -> Load:
    lacks = _lacks(s, when, gust)
    if gust is None or lacks or s.flat:
        return Load(s, when, lacks)
    pushes = _pushes(ctx, s, when, gust, measured)
    weights = [(plan.weight.work(f"weight of {lump.tag}", mass=lump.mass), lump) for lump in s.lumps]
    weight = plan.force_sum.work("weight on the feet", forces=tuple(w for w, _ in weights))
    slides: list[Scalar] = [force for force, _ in pushes]
    slope = s.base.quantity_or_none("slope")
    if slope is not None:
        slides += [plan.slope_push.work(f"{p.tag} pushes downhill", force=w, slope=slope) for w, p in weights]
    push = plan.force_sum.work(f"push on {s.tag}", forces=tuple(slides))
    if push.si <= 0:
        return Load(s, when, ("anything that pushes it: wind on it, or people",))
    slide = stand.sliding.work(f"{s.tag} against sliding", friction=friction(s), weight=weight, push=push)
    tried = []
    for edge in _edges(s):
        tips, holds = _about(s, edge, pushes, weights)
        factor = stand.overturning.work(f"{s.tag} against tipping", holds=holds, tips=tips)
        tried.append((factor, tips, holds, _inside(s, edge, ZERO, ZERO, "middle inside the edge").si))
    factor, tips, holds, inside = min(tried, key=lambda t: t[0].si)
    load = Load(s, when, (), push, weight, tips, holds, inside, factor, slide)
    if not s.guys:
        return load
    guys, unguyed = _guyed(s, tips)
    return load._replace(factor=None, guys=guys, unguyed=unguyed)


@value(
    LOADS,
    needs=(STANDS, WIND, GUSTS),
    limits=(
        "structure.lean_crew",
        "structure.lean_public",
        "structure.lean_height",
    ),
    recalls=(STATICS,),
)
def loads(ctx: Context) -> tuple[Load, ...]:
    stop = ctx[WIND].stop
    made = []
    for s in ctx[STANDS]:
        made.append(_load(ctx, s, SHOW, ctx[GUSTS].get(SHOW), (stop.height if stop else None) or _HAND))
        if not s.spec.yes("taken_down"):
            made.append(_load(ctx, s, LEFT, ctx[GUSTS].get(LEFT), _CODE))
    return tuple(made)


def _tag(load: Load) -> str:
    return load.stand.tag if load.when == SHOW else f"{load.stand.tag}.{LEFT}"


@figures(PUSHES, title="Push on {tag}", unit="lbf", needs=(LOADS,))
def pushes(ctx: Context) -> dict[str, Worked]:
    return {_tag(one): one.push for one in ctx[LOADS] if one.push is not None}


@figures(FACTORS, title="Factor of safety against tipping, {tag}", worst="min", needs=(LOADS,))
def factors(ctx: Context) -> dict[str, Worked]:
    return {_tag(one): one.factor for one in ctx[LOADS] if one.factor is not None}


@figures(SLIDES, title="Factor of safety against sliding, {tag}", worst="min", needs=(LOADS,))
def slides(ctx: Context) -> dict[str, Worked]:
    return {_tag(one): one.slide for one in ctx[LOADS] if one.slide is not None}


@figures(PULLS, title="Pull in guy {tag}", unit="lbf", needs=(LOADS,))
def pulls(ctx: Context) -> dict[str, Worked]:
    made: dict[str, Worked] = {}
    for one in ctx[LOADS]:
        for guy in one.guys:
            key = f"{one.stand.tag}.{guy.tag}"
            if key not in made or guy.pull.si > made[key].si:
                made[key] = guy.pull
    return made


@figures(FALLS, title="How far {tag} reaches when it falls", unit="ft", needs=(STANDS,))
def falls(ctx: Context) -> dict[str, Worked]:
    made = {}
    for s in ctx[STANDS]:
        if s.flat:
            continue
        if s.round:
            rim = plan.base_distance.work("rim", width=s.base.quantity("diameter"))
        else:
            x, y = max(s.feet, key=lambda p: math.hypot(p[0].si, p[1].si))
            rim = plan.offset.work("farthest foot", x=x, y=y)
        made[s.tag] = plan.fall_radius.work(f"reach of {s.tag}", edge=rim, top=s.top)
    return made


@value(FALLEN, needs=(STANDS, FALLS))
def fallen(ctx: Context) -> FigureSet:
    """A flame up there falls with it, past its feet: farther than it stands high."""
    reach = [(s, ctx[FALLS][s.tag]) for s in ctx[STANDS] if s.tag in ctx[FALLS]]
    return {place: length for s, length in reach for place in s.spec.texts("places") or (s.tag,)}
