"""Rules on brazing fillers and solder."""

from __future__ import annotations

from collections.abc import Iterator

from specc import Citation, Context, Limit, Trouble, Verdict, not_applicable, not_checked, rule, show
from specc.kinds.plumbing import Joint
from specc.model.passes import judged
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.fillers import FROM_MEMORY, family_of
from specc_materials.joined import JOINED, bare_words, each_joint

_FILLER_RULE = Citation(
    "minnesota-1346-5403", "403.10.2: filler melts above 1,000 °F and holds at most 0.05 % phosphorus", "read"
)

PHOSPHORUS = Limit(
    "materials.braze_phosphorus", "0.05 %", "ratio", "min", "most phosphorus in a brazing filler", _FILLER_RULE
)
MELTS = Limit(
    "materials.braze_melts", "1000 °F", "temperature", "max", "least temperature at which a filler melts", _FILLER_RULE
)
_BY_SHEET = " by the data sheet as stated"
_MEMORY_WORDS = "this tool knows the filler from memory only"


def _filler_at(joint: Joint) -> str:
    return join(joint.at, "filler") if joint.spec.has("filler") else joint.at


@rule(
    "materials.braze_phosphorus",
    level="error",
    statement="No brazing filler on a gas joint holds more than 0.05 % phosphorus",
    source=_FILLER_RULE,
    needs=(JOINED,),
)
def braze_phosphorus(ctx: Context) -> Verdict:
    most = ctx.limit(PHOSPHORUS.key)

    def judge(joint: Joint) -> Iterator[Trouble | str]:
        filler = joint.spec.text_or("filler")
        stated = joint.spec.quantity_or_none("phosphorus")
        family = family_of(filler)
        if family and family.phosphorus[0] > most.si:
            yield Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {filler}, a {family.name} filler of about "
                f"{100 * family.phosphorus[0]:.0f} to {100 * family.phosphorus[1]:.0f} % phosphorus",
                f"a filler with at most {most.text} phosphorus, such as a silver filler without cadmium (BAg-5)",
                "sulfur in the gas attacks such a joint until it cracks, and the gas code bars it",
            )
        elif stated is not None and stated.si > most.si:
            yield Trouble(
                join(joint.at, "phosphorus"),
                f"the filler of {joint.words} holds {stated.text} phosphorus",
                f"a filler with at most {most.text}",
                "sulfur in the gas attacks such a joint until it cracks, and the gas code bars it",
            )
        elif stated is None:
            name = f"{filler}: {_MEMORY_WORDS}; state" if family else "state filler: and"
            yield f"{joint.words}: {name} phosphorus: from the filler's data sheet"

    return each_joint(ctx[JOINED], "brazed", judge, "brazed", "brazed joint", _BY_SHEET)


@rule(
    "materials.braze_melts",
    level="error",
    statement="Each brazing filler on a gas joint melts above 1000 °F",
    source=_FILLER_RULE,
    needs=(JOINED,),
)
def braze_melts(ctx: Context) -> Verdict:
    least = ctx.limit(MELTS.key)

    def judge(joint: Joint) -> Iterator[Trouble | str]:
        filler = joint.spec.text_or("filler")
        stated = joint.spec.quantity_or_none("melts")
        family = family_of(filler)
        why = "in a fire a joint that melts early lets the gas out and feeds it"
        if family and family.melts[1] <= least.si:
            yield Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {filler}, which is {family.name} and melts near "
                f"{show(family.melts[0], 'temperature', '°F', 2)}",
                f"a brazing filler that melts above {least.text}",
                why,
            )
        elif stated is not None and stated.si <= least.si:
            yield Trouble(
                join(joint.at, "melts"),
                f"the filler of {joint.words} melts at {stated.text}",
                f"a filler that starts to melt above {least.text}",
                why,
            )
        elif stated is None:
            name = f"{filler}: {_MEMORY_WORDS}; state" if family else "state filler: and"
            yield f"{joint.words}: {name} melts: from the filler's data sheet"

    return each_joint(ctx[JOINED], "brazed", judge, "brazed", "brazed joint", _BY_SHEET)


@rule(
    "materials.braze_cadmium",
    level="warning",
    statement="No brazing filler holds cadmium",
    source=FROM_MEMORY,
    needs=(JOINED,),
)
def braze_cadmium(ctx: Context) -> Verdict:
    def judge(joint: Joint) -> Iterator[Trouble | str]:
        filler = joint.spec.text_or("filler")
        family = family_of(filler)
        said = joint.spec["cadmium_free"] if joint.spec.has("cadmium_free") else None
        if (family and family.cadmium) or said is False:
            yield Trouble(
                _filler_at(joint),
                f"{joint.words} is made with {filler or 'a filler'}, which holds cadmium",
                "a filler free of cadmium; a joint made already: say so to whoever heats or grinds it",
                "its fumes are deadly to whoever brazes it, or heats it later, without strong ventilation",
            )
        elif family is None and said is None:
            yield f"{joint.words}: state filler:, or cadmium_free: from its data sheet"

    return each_joint(ctx[JOINED], "brazed", judge, "brazed", "brazed joint")


@rule(
    "materials.soft_solder",
    level="error",
    statement="No gas joint is soft-soldered",
    source=Citation("minnesota-1346-5403", "403.10.2: fillers melt above 1,000 °F, which no solder does", "read"),
    needs=(JOINED,),
)
def soft_solder(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    if not j.net.parts:
        return not_applicable("no plumbing is described")
    if not j.joints:
        return not_checked("; ".join(bare_words(j)) or "no joint is described")
    return judged(
        (
            Trouble(
                join(joint.at, "method"),
                f"{joint.words} is of soft solder",
                "flared, threaded, welded, or brazed with a filler that melts above 1000 °F",
                "solder lets go at the warmth of a grass fire, long before the gas is shut off",
            )
            for joint in j.by("soldered")
        ),
        bare_words(j),
        counted(len(j.joints), "joint"),
    )


PASSES = (PHOSPHORUS, MELTS, braze_phosphorus, braze_melts, braze_cadmium, soft_solder)
