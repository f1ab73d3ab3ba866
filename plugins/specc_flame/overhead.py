"""What hangs over the flames: canopy, branches, wires, rigging. Clear of the visible flame, of its heat and of hot gas.

The outlets of one effect burn as one plume, from the highest of them. A flame that leans is taken as hot as an upright
one, and a burst as if it lasted: its gas is never as hot for long.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from specc import (
    Citation,
    Context,
    Cure,
    FigureSet,
    Judging,
    Key,
    Limit,
    Trouble,
    Unchecked,
    Worked,
    figures,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
)
from specc.kinds.gas import NET_HEAT
from specc.kinds.show import EFFECTS
from specc.kinds.targets import FLUX, TARGETS, Target
from specc.measure.printing import past
from specc.measure.units import FOOT
from specc.model.values import Scalar
from specc.model.view import join
from specc.model.wording import counted
from specc_flame.calc import envelope, plume
from specc_flame.heat import FAR, STANDS
from specc_flame.keys import BALL_SIZE, CLEAR, HEAT, OUTLETS, TIP, TOP, UNKNOWN, flame_unknown
from specc_flame.moves import MOVES_NEED, off
from specc_flame.near import nowhere
from specc_flame.sizes import heat_of
from specc_flame.targets import BURNS_FLUX

OVERHEAD = Limit(
    "flame.overhead_temperature",
    "140 °F",
    "temperature",
    "min",
    "hottest gas at what hangs over the flames: the least rating of insulation of building wire",
    Citation("nfpa-70", "article 310, conductors rated 60 °C", "memory"),
)
PLUME: Key[FigureSet] = Key("flame.plume_heat", dict)
COOL: Key[FigureSet] = Key("flame.cool_height", dict)


@figures(
    PLUME,
    title="Heat of all outlets of {tag} as one plume",
    unit="BTU/h",
    needs=(OUTLETS, EFFECTS, HEAT),
    wants=(NET_HEAT,),
    per_case=True,
)
def plume_heats(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for effect in ctx[EFFECTS]:
        heats = tuple(heat_of(ctx, tag) for tag in effect.outlets if tag in ctx[OUTLETS])
        if heats:
            made[effect.tag] = plume.joined_heat.work(f"heat of {effect.tag}", parts=heats)
    return made


@figures(
    COOL,
    title="Height over the outlets of {tag} where its gas has cooled to what may hang there",
    unit="ft",
    digits=2,
    needs=(PLUME,),
    per_case=True,
    limits=("flame.overhead_temperature",),
)
def cool_heights(ctx: Context) -> Mapping[str, Worked]:
    limit = ctx.limit(OVERHEAD.key)
    return {
        tag: plume.cool_height.work(f"cool above {tag}", heat=heat, limit=limit, air=ctx.case.air)
        for tag, heat in ctx[PLUME].items()
        if limit.si > ctx.case.air.si
    }


@figures(
    CLEAR,
    title="Height above the ground that {tag} wants clear, for its flame and its hot gas",
    unit="ft",
    digits=2,
    needs=(COOL, OUTLETS, EFFECTS, TOP),
)
def clear_heights(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for effect in ctx[EFFECTS]:
        tags = [t for t in effect.outlets if t in ctx[TOP]]
        if effect.tag not in ctx[COOL] or not tags:
            continue
        heights = [o.point.z for t in tags if (o := ctx[OUTLETS][t]).point and o.point.z is not None]
        highest: Scalar = max(heights, key=lambda z: z.si)
        top: Scalar = max((ctx[TOP][t] for t in tags), key=lambda f: f.si)
        gas = envelope.added_length.work(f"cool gas over {effect.tag}", parts=(highest, ctx[COOL][effect.tag]))
        made[effect.tag] = envelope.largest_length.work(f"clear over {effect.tag}", parts=(top, gas))
    return made


@rule(
    "flame.overhead",
    level="error",
    statement="What hangs over the flames is clear of them, of their heat and of their hot gas, upright and leaning",
    source=OVERHEAD.citation,
    needs=(*MOVES_NEED, CLEAR, COOL, TARGETS, UNKNOWN, TIP, BALL_SIZE, FLUX),
    reads=("flame",),
    limits=("flame.burns_flux", "flame.overhead_temperature"),
    rests_on=("flame.clear_overhead",),
)
def overhead(ctx: Context) -> Judging:
    flame = ctx.spec("flame")
    hung = [t for t in ctx[TARGETS] if t.kind == "overhead"]
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    if not hung and not flame.has("clear_overhead"):
        return not_checked(
            "nothing says what hangs over the flames (flame: overhead: with tags of places, or clear_overhead: with "
            "the height below which nothing does)",
            "/flame/overhead",
            "/flame/clear_overhead",
        )
    yield from (flame_unknown(t) for t in ctx[UNKNOWN])
    yield from nowhere(ctx, "wires")
    low = (e for e in ctx[EFFECTS] if e.tag not in ctx[CLEAR])
    yield from (Unchecked(f"nothing says how high {e.tag} is", join(e.at, "at"), "/places/*/at") for e in low)
    if flame.has("clear_overhead"):
        clear = flame.quantity("clear_overhead")
        for tag, wanted in ctx[CLEAR].items():
            if clear.si < wanted.si * (1 - 1e-9):
                height = past(wanted.si, clear.si, "length", "ft", 2)
                enough = f"{math.ceil(max(w.si for w in ctx[CLEAR].values()) / FOOT - 1e-9)} ft"
                yield Trouble(
                    clear.at,
                    f"{tag} wants {height} clear above the ground, and something may hang at {clear.text}",
                    "more height above it, or a smaller flame; or what hangs there, one by one, under overhead:",
                    "branches, canopies and wires catch or melt over a flame",
                    cure=Cure(f"nothing lower than {enough} would pass", ((clear.at, enough),)),
                )
    for target in hung:
        yield from _hung(ctx, target)
    return passed(f"{counted(len(hung), 'thing')} overhead, as listed")


def _hung(ctx: Context, target: Target) -> Iterator[Trouble | str]:
    """What is wrong with one thing overhead: the worst; and what is not known of it."""
    fix, why = "take it away, or more height between", "branches, canopies and wires catch or melt over a flame"
    low, moves = ctx[STANDS][target.tag].low, off(ctx, target.tag)
    for effect in ctx[EFFECTS]:
        for tag in effect.outlets:
            point = ctx[OUTLETS][tag].point if tag in ctx[OUTLETS] else None
            far, tip = ctx[FAR].get((tag, target.tag)), ctx[TIP].get(tag)
            if point is None or far is None or tip is None:
                said = f"how far {target.what} is from the flame of {tag} is not known"
                yield Unchecked(said, "/places/*/at", join("/plumbing/parts", tag, "place"))
                continue
            # A height that is not said is not counted: far off on the level it is clear whatever its height.
            up = max(0.0, low.si - point.z.si) if low is not None and point.z is not None else 0.0
            apart = math.hypot(far.si, up)
            ball = 1.25 * ctx[BALL_SIZE][tag].si if tag in ctx[BALL_SIZE] else 0.0
            hot = max(tip.si, ball, ctx[COOL][effect.tag].si if effect.tag in ctx[COOL] else 0.0)
            if low is None and apart <= hot:
                yield Unchecked(f"nothing says how high {target.what} is", "/places/*/at")
                return
            if apart <= max(tip.si, ball):
                said = f"{target.what} is {show(apart, 'length', 'ft', 2)} from {tag}, within its flame"
                yield Trouble(target.at, said, fix, why, moves=moves)
                return
            if effect.tag in ctx[COOL] and apart < ctx[COOL][effect.tag].si:
                cool = show(ctx[COOL][effect.tag].si, "length", "ft", 2)
                said = (
                    f"{target.what} is {show(apart, 'length', 'ft', 2)} from {tag}, whose gas is hotter than "
                    f"{ctx.limit(OVERHEAD.key).text} to {cool}"
                )
                yield Trouble(target.at, said, fix, why, moves=moves)
                return
    q, level = ctx[FLUX].get(target.tag), target.level or ctx.limit(BURNS_FLUX.key)
    if q is None:
        yield Unchecked(f"how hot it gets at {target.what} is not known", "/places/*/at")
        return
    if q.si > level.si * (1 + 1e-9):
        limit_text = show(level.si, "heat_flux", "kW/m²")
        said = f"{target.what} may get {past(q.si, level.si, 'heat_flux', 'kW/m²', 2)}; the limit is {limit_text}"
        yield Trouble(target.at, said, fix, why, moves=moves)
