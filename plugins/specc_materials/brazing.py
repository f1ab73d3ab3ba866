"""Rules on brazing fillers and solder.

A filler counts by its class (AWS A5.8, ISO 17672) or by the data sheet attached for it (sheet:), never by a trade name
or by a composition that was only typed. What was typed can fail a filler, and cannot pass one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from specc import Citation, Context, Cure, Limit, Trouble, Unchecked, Verdict, not_checked, rule, show
from specc.kinds.plumbing import Joint
from specc.model.passes import judged, parted
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.fillers import FROM_MEMORY, SOLDER, Filler, filler_of
from specc_materials.joined import JOINED, JoinedParts, bare_words, no_such, nothing

_FILLER_RULE = Citation(
    "minnesota-1346-5403", "403.10.2: filler melts above 1,000 °F and holds at most 0.05 % phosphorus", "read"
)

PHOSPHORUS = Limit(
    "materials.braze_phosphorus", "0.05 %", "ratio", "min", "most phosphorus in a brazing filler", _FILLER_RULE
)
MELTS = Limit(
    "materials.braze_melts", "1000 °F", "temperature", "max", "least temperature at which a filler melts", _FILLER_RULE
)


def _brazed(j: JoinedParts) -> tuple[Joint, ...]:
    return j.by("brazed")


def _filler_at(joint: Joint) -> str:
    return join(joint.at, "filler") if joint.spec.has("filler") else joint.at


def _sheet(ctx: Context, joint: Joint) -> str:
    """The tag of the data sheet that is attached for a joint's filler, "" when none is."""
    tag = joint.spec.text_or("sheet")
    return tag if tag and ctx.spec("attachments").has(tag) else ""


def _ask(joint: Joint, what: str) -> str:
    """What to say of a filler whose class is not known."""
    said = joint.spec.text_or("filler")
    if not said:
        return Unchecked(f"{joint.words}: state filler: by its class, such as BAg-5", joint.where("filler"))
    return Unchecked(
        f"{joint.words}: {said!r} is no class of AWS A5.8 or ISO 17672 on its lists, so its {what} is not known; name "
        "the class, or attach its data sheet (sheet:)",
        joint.where("filler"),
        joint.where("sheet"),
    )


def _classes(ctx: Context, joints: tuple[Joint, ...]) -> str:
    """How the fillers are known, for the verdict."""
    known = sorted({f.name + (" (from memory)" if f.basis == "memory" else "") for j in joints if (f := _class(j))})
    sheets = sorted({s for j in joints if (s := _sheet(ctx, j))})
    said = [f"by class: {', '.join(known)}"] if known else []
    return "; ".join(said + ([f"by sheet: {', '.join(sheets)}"] if sheets else []))


def _with_bag5(joint: Joint) -> Cure:
    """Another filler, with what was typed of the old one replaced by the handbook's figures for it."""
    new = {"filler": "BAg-5", "phosphorus": "0 %", "melts": "1250 °F"}
    edits = tuple((join(joint.at, key), text) for key, text in new.items() if joint.spec.has(key))
    return Cure("BAg-5 would pass", edits)


def _class(joint: Joint) -> Filler | None:
    return filler_of(joint.spec.text_or("filler"))


def _recalled(joints: Iterable[Joint]) -> bool:
    """Whether what is known of some filler comes from memory."""
    return any(f.basis == "memory" for joint in joints if (f := _class(joint)))


def _each(ctx: Context, judge: Callable[[Joint, Filler | None], Trouble | str | None]) -> Verdict:
    """Judge each brazed joint: a trouble, words for what is not known, or None for nothing to say."""
    j = ctx[JOINED]
    joints = _brazed(j)
    if not joints:
        return no_such(j, "brazed")
    troubles, unsaid = parted(said for joint in joints if (said := judge(joint, _class(joint))))
    unsaid = [*bare_words(j), *unsaid]
    words = f"{counted(len(joints), 'brazed joint')}, {_classes(ctx, joints)}"
    return judged(troubles, unsaid, words)._replace(unverified=_recalled(joints) and not troubles and not unsaid)


@rule(
    "materials.braze_phosphorus",
    level="error",
    statement="No brazing filler on a gas joint holds more than 0.05 % phosphorus",
    source=_FILLER_RULE,
    needs=(JOINED,),
    reads=("attachments",),
    limits=("materials.braze_phosphorus",),
    rests_on=("plumbing.filler",),
)
def braze_phosphorus(ctx: Context) -> Verdict:
    most = ctx.limit(PHOSPHORUS.key)
    why = "sulfur in the gas attacks such a joint until it cracks, and the gas code bars it"

    def judge(joint: Joint, filler: Filler | None) -> Trouble | str | None:
        stated = joint.spec.quantity_or_none("phosphorus")
        if filler and filler.phosphorus > most.si:
            return Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {joint.spec.text_or('filler')}, a {filler.family} filler of about "
                f"{100 * filler.phosphorus:.2g} % phosphorus",
                f"a filler with at most {most.text} phosphorus; this one is silver, without cadmium",
                why,
                cure=_with_bag5(joint),
            )
        if stated is not None and stated.si > most.si:
            return Trouble(
                join(joint.at, "phosphorus"),
                f"the filler of {joint.words} holds {stated.text} phosphorus",
                f"a filler with at most {most.text}, by its data sheet",
                why,
                cure=_with_bag5(joint),
            )
        if filler is None and not (_sheet(ctx, joint) and stated is not None):
            return _ask(joint, "phosphorus")
        return None

    return _each(ctx, judge)


@rule(
    "materials.braze_melts",
    level="error",
    statement="Each brazing filler on a gas joint melts above 1000 °F",
    source=_FILLER_RULE,
    needs=(JOINED,),
    reads=("attachments",),
    limits=("materials.braze_melts",),
    rests_on=("plumbing.filler",),
)
def braze_melts(ctx: Context) -> Verdict:
    least = ctx.limit(MELTS.key)
    why = "in a fire a joint that melts early lets the gas out and feeds it"

    def judge(joint: Joint, filler: Filler | None) -> Trouble | str | None:
        stated = joint.spec.quantity_or_none("melts")
        if filler and filler.melts is not None and filler.melts <= least.si:
            return Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {joint.spec.text_or('filler')}, which is {filler.family} and starts to "
                f"melt near {show(filler.melts, 'temperature', '°F', 2)}",
                f"a brazing filler that melts above {least.text}",
                why,
                cure=_with_bag5(joint),
            )
        if stated is not None and stated.si <= least.si:
            return Trouble(
                join(joint.at, "melts"),
                f"the filler of {joint.words} melts at {stated.text}",
                f"a filler that starts to melt above {least.text}, by its data sheet",
                why,
                cure=_with_bag5(joint),
            )
        if (filler is None or filler.melts is None) and not (_sheet(ctx, joint) and stated is not None):
            return _ask(joint, "melting point")
        return None

    return _each(ctx, judge)


@rule(
    "materials.braze_cadmium",
    level="warning",
    statement="No brazing filler holds cadmium",
    source=FROM_MEMORY,
    needs=(JOINED,),
    reads=("attachments",),
    rests_on=("plumbing.filler",),
)
def braze_cadmium(ctx: Context) -> Verdict:
    def judge(joint: Joint, filler: Filler | None) -> Trouble | str | None:
        said = joint.spec["cadmium_free"] if joint.spec.has("cadmium_free") else None
        if (filler and filler.cadmium) or said is False:
            return Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {joint.spec.text_or('filler') or 'a filler'}, which holds cadmium",
                "a filler free of cadmium; a joint made already: say so to whoever heats or grinds it",
                "its fumes are deadly to whoever brazes it, or heats it later, without strong ventilation",
            )
        if filler is None and not (_sheet(ctx, joint) and said is not None):
            return _ask(joint, "cadmium")
        return None

    return _each(ctx, judge)


@rule(
    "materials.soft_solder",
    level="error",
    statement="No gas joint is soft-soldered",
    source=Citation("minnesota-1346-5403", "403.10.2: fillers melt above 1,000 °F, which no solder does", "read"),
    needs=(JOINED,),
    reads=("attachments",),
)
def soft_solder(ctx: Context) -> Verdict:
    """Brazed with what is on no list ("silver solder") may be soft-soldered: asked, as the rules on fillers ask."""
    j = ctx[JOINED]
    if not j.joints:
        return nothing(j) or not_checked("; ".join(bare_words(j)) or "no joint is described", "/plumbing/joints")
    soft = [(joint, "method") for joint in j.by("soldered")]
    soft += [(joint, "filler") for joint in j.joints if joint.method != "soldered" and _class(joint) is SOLDER]
    unsaid = [_ask(joint, "kind") for joint in _brazed(j) if _class(joint) is None and not _sheet(ctx, joint)]
    return judged(
        (
            Trouble(
                join(joint.at, key),
                f"{joint.words} is of soft solder"
                + (f" ({joint.spec.text_or('filler')}), whatever its method is called" if key == "filler" else ""),
                "flared, threaded, welded, or brazed with a filler that melts above 1000 °F",
                "solder lets go at the warmth of a grass fire, long before the gas is shut off",
            )
            for joint, key in soft
        ),
        [*bare_words(j), *unsaid],
        counted(len(j.joints), "joint"),
    )._replace(unverified=_recalled(j.joints) and not soft)
