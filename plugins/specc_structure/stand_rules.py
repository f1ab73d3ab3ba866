"""Whether things stand: bases, tipping, sliding, guys, ballast, who can reach them, and where an engineer decides."""

from __future__ import annotations

import math

from specc import (
    Context,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    authority_decides,
    found,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.measure.units import GRAVITY
from specc.model.passes import Judging, judged, passed
from specc.model.values import PRACTICE, Citation
from specc.model.wording import counted, holds
from specc_structure.calc import stand as calc
from specc_structure.calc.sources import FACTOR, STATICS
from specc_structure.loads import GUSTS, LOADS, SHOW, Load
from specc_structure.stands import STANDS, UP, Stand, friction, no_stands

_GUYS = Citation("guy-notes", "an anchor out by at least half the height, better three quarters", "read")


def weight_text(newtons: float) -> str:
    """As ballast is bought: up to the next 10 lb."""
    return f"{math.ceil(newtons / GRAVITY / 0.45359237 / 10) * 10:,} lb"


def beyond(s: Stand, height: float) -> str:
    """Why a stand is more than the simple stiff thing that is computed here, or ""."""
    reasons = [*s.special] + ([f"{show(s.top.si, 'length', 'ft')} high"] if s.top.si > height else [])
    return ", ".join(reasons)


def _state(load: Load) -> str:
    return "in the wind that stops the show" if load.when == SHOW else "left standing"


def _unsafe(s: Stand, ctx: Context) -> str:
    """Why a stand is for an engineer: it is beyond simple shapes."""
    why = beyond(s, ctx.limit("structure.simple_height").si)
    return f"{s.tag} ({why}): a structural engineer decides" if why else ""


def cure(load: Load, limit: float) -> str:
    """What would make a stand hold: ballast, or guys."""
    assert load.weight is not None
    assert load.push is not None
    answer = calc.ballast(
        sum(w.si for w in load.holds),
        sum(w.si for w in load.tips),
        load.weight.si,
        load.push.si,
        friction(load.stand).si,
        max(load.inside, 1e-3),
        limit,
    )
    where = "at the feet" if load.stand.base.has("feet") else "on the base"
    said = f"{weight_text(answer.value)} more ballast {where}, tied to it" if answer.value > 0 else "a wider base"
    high = load.stand.top.si * 2 / 3
    pull = 2 * sum(w.si for w in load.tips) / (high * math.sin(math.radians(120)))
    return (
        f"{said}; or three guys at 60 degrees, tied at {show(high, 'length', 'ft')}, "
        f"each anchored for {show(limit * pull, 'force', 'lbf')}"
    )


@rule(
    "structure.base",
    level="error",
    statement="Each stand has a base with an area, its feet not in a line, and no part or guy above its top",
    source=STATICS,
    needs=(STANDS, UP),
)
def base(ctx: Context) -> Judging:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    for s in stands:
        if s.flat:
            at = s.base.here("feet") if s.base.has("feet") else s.base.at
            said = "its feet stand in a line" if s.base.has("feet") else "its base has no size, diameter or feet"
            yield Trouble(
                at,
                f"{s.tag} has nothing to stand on: {said}",
                "size: [3 ft, 3 ft], diameter:, or feet: at three corners or more",
                "it falls over the line that its feet make",
            )
        if not s.spec.has("places"):
            said = f"where {s.tag} stands (places:), from where it is counted how far it falls"
            yield Unchecked(said, s.spec.here("places"))
        high = s.top.si * (1 + 1e-9)
        above = [(p.tag, p.spec.here("center")) for p in s.parts if p.z.si > high]
        above += [(f"guy {tag}", guy.here("height")) for tag, guy in s.guys if guy.quantity("height").si > high]
        yield from [
            Trouble(
                at,
                f"{tag} of {s.tag} is higher than the top of {s.tag}, {s.top.text}",
                "top: as high as its highest point",
                "wind, people and how far it reaches when it falls are counted up to its top",
            )
            for tag, at in above
        ]
    return passed(counted(len(stands), "stand"))


def _not_stated(load: Load) -> Unchecked:
    said = f"{load.stand.tag} {_state(load)}: not stated: {', '.join(load.lacks)}"
    return Unchecked(said, *answers_of(*load.lacks))


def _judged(ctx: Context, what: str) -> Judging:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    limit = ctx.limit("structure.factor").si
    checked = 0
    for load in ctx[LOADS]:
        s = load.stand
        unsafe = _unsafe(s, ctx)
        ratio = load.factor if what == "tipping" else load.slide
        if what == "tipping" and s.guys:
            continue
        if s.flat:
            yield Unchecked(f"{s.tag} has no base to stand on", s.spec.here("base"))
            continue
        if ratio is None:
            yield _not_stated(load)
            continue
        if ratio.si < limit:
            yield Trouble(
                s.at,
                f"{s.tag} {_state(load)} has a factor of {ratio.si:.2f} against {what}; it has to be {limit:g}",
                cure(load, limit),
                "what falls carries its flame, its gas and its weight onto whoever is near",
            )
        elif unsafe:
            yield unsafe
        elif not s.base.has("slope"):
            said = f"{s.tag} stands only if its ground is level: slope: of its base is not stated"
            yield Unchecked(said, s.base.here("slope"))
        checked += 1
    return passed(f"{checked} states of {counted(len(stands), 'stand')}")


@rule(
    "structure.tipping",
    level="error",
    statement="No stand tips over any edge in the wind it has to stand, leaned on by whoever can reach it",
    source=FACTOR,
    needs=(STANDS, UP, LOADS),
    limits=(
        "structure.factor",
        "structure.simple_height",
    ),
    recalls=(STATICS,),
)
def tipping(ctx: Context) -> Verdict | Judging:
    if ctx[STANDS] and all(s.guys for s in ctx[STANDS]):
        return not_applicable("each stand is held by guys")
    return _judged(ctx, "tipping")


@rule(
    "structure.sliding",
    level="error",
    statement="No stand slides in the wind it has to stand, leaned on by whoever can reach it",
    source=FACTOR,
    needs=(STANDS, UP, LOADS),
    limits=(
        "structure.factor",
        "structure.simple_height",
    ),
    recalls=(STATICS,),
)
def sliding(ctx: Context) -> Verdict | Judging:
    return _judged(ctx, "sliding")


@rule(
    "structure.guys",
    level="error",
    statement="Guys hold from every side; each anchor holds its pull with the factor, each rope its pull",
    source=_GUYS,
    needs=(STANDS, LOADS),
    limits=("structure.factor",),
    rests_on=("structure.holds", "structure.rated"),
)
def guys(ctx: Context) -> Verdict:
    guyed = [s for s in ctx[STANDS] if s.guys]
    if not guyed:
        return not_applicable("no guy is described")
    limit = ctx.limit("structure.factor").si
    troubles: dict[tuple[str, str], Trouble] = {}
    missing = []
    for load in ctx[LOADS]:
        s = load.stand
        if not s.guys:
            continue
        if load.lacks:
            missing.append(_not_stated(load))
        if load.unguyed:
            troubles[s.tag, ""] = Trouble(
                s.spec.here("guys"),
                f"the guys of {s.tag} do not hold it from every side: {load.unguyed}",
                "three guys or more, 120 degrees apart",
            )
        views = dict(s.guys)
        for guy in load.guys:
            spec = views[guy.tag]
            pull = show(guy.pull.si, "force", "lbf")
            for key, least, words in (
                ("holds", limit * guy.pull.si, "its anchor holds"),
                ("rated", guy.pull.si, "it is rated for"),
            ):
                if not spec.has(key):
                    said = f"guy {guy.tag} of {s.tag} pulls {pull}; what {words} is not stated ({key}:)"
                    missing.append(Unchecked(said, spec.here(key)))
                elif spec.quantity(key).si < least:
                    stated = spec.quantity(key)
                    troubles[guy.tag, key] = Trouble(
                        stated.at,
                        f"guy {guy.tag} of {s.tag} pulls {pull} {_state(load)}; {words} {stated.text}",
                        f"{show(least, 'force', 'lbf')} or more, or an anchor farther out",
                    )
    return judged(list(troubles.values()), list(dict.fromkeys(missing)), counted(len(guyed), "stand") + " with guys")


@rule(
    "structure.ballast_tied",
    level="warning",
    statement="Ballast is tied or bolted to the base it holds down",
    source=PRACTICE,
    needs=(STANDS,),
    rests_on=("structure.tied",),
)
def ballast_tied(ctx: Context) -> Verdict:
    pieces = [(s, b) for s in ctx[STANDS] for b in s.ballast]
    if not pieces:
        return not_applicable("no ballast is described")
    return found(
        [
            Trouble(
                b.spec.at,
                f"ballast {b.tag} of {s.tag} does not say that it is tied, and is not counted",
                "tied: true, when it is strapped or bolted to the base",
                "a loose weight stays on the ground while the base lifts off it",
            )
            for s, b in pieces
            if not b.spec.yes("tied")
        ],
        counted(len(pieces), "weight"),
    )


@rule(
    "structure.reach",
    level="error",
    statement="It is said who can lean on each stand, and what keeps the others off",
    source=PRACTICE,
    needs=(STANDS, UP),
    rests_on=("structure.kept_off_by",),
)
def reach(ctx: Context) -> Verdict:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    troubles = [
        Trouble(
            s.at,
            f"{s.tag} is said to be out of {'everybody' if s.reach == 'nobody' else 'the public'}'s reach, not by what",
            "kept_off_by: such as the rope, 12 ft away",
            "a crowd that leans pushes harder than any wind here",
        )
        for s in stands
        if s.reach in ("nobody", "crew") and not holds(s.spec.text_or("kept_off_by"))
    ]
    bare = [s for s in stands if not s.reach]
    missing = [Unchecked(f"{s.tag}: who can reach it is not stated (reach:)", s.spec.here("reach")) for s in bare]
    return judged(troubles, missing, counted(len(stands), "stand"))


@rule(
    "structure.left_standing",
    level="error",
    statement="What stays up when nobody is there is judged at a stated gust, or it is taken down",
    source=PRACTICE,
    needs=(STANDS, UP, GUSTS),
    reads=("structure",),
    rests_on=("structure.taken_down",),
)
def left_standing(ctx: Context) -> Verdict:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    up = [s for s in stands if not s.spec.yes("taken_down")]
    if not up:
        return found([], f"{counted(len(stands), 'stand')}, all taken down")
    if ctx.spec("structure").has("left_standing"):
        gust, show_gust = ctx.spec("structure").quantity("left_standing"), ctx[GUSTS].get(SHOW)
        less = show_gust is not None and gust.si < show_gust.si * (1 - 1e-9)
        return found(
            [
                Trouble(
                    gust.at,
                    f"what is left alone is held to {gust.text}, less than the "
                    f"{show(show_gust.si if show_gust else 0.0, 'speed', 'mph')} that stop the show",
                    "left_standing: the strongest gust of such a night, or taken_down: true",
                    "nobody is there when the wind comes up at night",
                )
            ]
            if less
            else [],
            f"{counted(len(up), 'stand')} at {gust.text}",
        )
    said = f"{', '.join(s.tag for s in up)}: no gust is stated for it (left_standing: or taken_down: true)"
    return not_checked(said, "/structure/left_standing", *(s.spec.here("taken_down") for s in up))


@rule(
    "structure.engineer",
    level="error",
    statement="What is more than a simple stiff thing is for a structural engineer to decide",
    source=Citation(basis="choice"),
    needs=(STANDS, UP),
    limits=("structure.simple_height",),
)
def engineer(ctx: Context) -> Verdict:
    stands = ctx[STANDS]
    if not stands:
        return no_stands(ctx)
    height = ctx.limit("structure.simple_height").si
    more = [(s, beyond(s, height)) for s in stands if beyond(s, height)]
    if not more:
        return found([], counted(len(stands), "stand") + ", each simple")
    return authority_decides(
        "; ".join(
            f"{s.tag} ({why}) is beyond what is computed here: a structural engineer decides"
            + (f"; stated: {s.spec.text('engineer')}" if s.spec.has("engineer") else "; none is named")
            for s, why in more
        )
    )
