"""Rules on joints that are screwed together: compression, sealant on tapers, dry flares."""

from __future__ import annotations

from collections.abc import Iterator

from specc import PRACTICE, Citation, Context, Trouble, Unchecked, Verdict, rule
from specc.kinds.plumbing import Joint
from specc.model.view import join
from specc.model.wording import says, takes_back
from specc_materials.joined import JOINED, each_joint, says_gas

_NO_SEALANT = ("none", "dry", "no")


@rule(
    "materials.compression",
    level="warning",
    statement="Compression fittings are used only inside their maker's limits, or by the authority's word",
    source=Citation("cda-fuel-gas", "compression fittings; IRC 2018 G2414.10 asks for the maker's limits", "read"),
    needs=(JOINED,),
    rests_on=("plumbing.allowed_by",),
)
def compression(ctx: Context) -> Verdict:
    def judge(joint: Joint) -> Iterator[Trouble | str]:
        allowed = joint.spec.text_or("allowed_by")
        if not says(allowed) or takes_back(allowed):
            yield Trouble(
                join(joint.at, "method"),
                f"{joint.words} is not shown to be allowed on gas",
                "a flare; or allowed_by: with the maker's paper for LP-gas at this pressure, or the authority's word",
                "it lets go when the tube is pulled, bent or shaken, as traveling gear is",
            )

    by = "; ".join(joint.spec.text_or("allowed_by") for joint in ctx[JOINED].by("compression"))
    return each_joint(
        ctx[JOINED], "compression", judge, "a compression fitting", "compression fitting", f", allowed by: {by}"
    )


@rule(
    "materials.sealant",
    level="warning",
    statement="Each taper thread is sealed with a compound or tape that is made for LP-gas",
    source=Citation("irc-2018", "G2414.9.3: thread compound resists LP-gas", "read"),
    needs=(JOINED,),
    rests_on=("plumbing.sealant",),
)
def sealant(ctx: Context) -> Verdict:
    def judge(joint: Joint) -> Iterator[Trouble | str]:
        if not joint.sealant:
            yield Unchecked(f"{joint.words}: state its sealant:", joint.where("sealant"), "/plumbing/seals/threaded")
        elif not says_gas(joint.sealant):
            yield Trouble(
                joint.sealant_at,
                f"{joint.words} is sealed with {joint.sealant!r}, which is not said to be for LP-gas",
                "a compound or tape whose maker names LP-gas or propane",
                "propane dissolves common pipe dope",
            )

    return each_joint(ctx[JOINED], "threaded", judge, "a taper thread", "taper thread")


@rule(
    "materials.flare_dry",
    level="warning",
    statement="Flares are made up dry: no compound and no tape",
    source=PRACTICE,
    needs=(JOINED,),
)
def flare_dry(ctx: Context) -> Verdict:
    def judge(joint: Joint) -> Iterator[Trouble | str]:
        if not joint.sealant:
            yield Unchecked(f"{joint.words}: state sealant: none", joint.where("sealant"), "/plumbing/seals/flared")
        elif joint.sealant.strip().lower() not in _NO_SEALANT:
            yield Trouble(
                joint.sealant_at,
                f"{joint.words} has {joint.sealant!r} on it",
                "a clean, dry flare; a new flare where it leaks",
                "a flare seals metal on metal, and compound hides one that does not",
            )

    return each_joint(ctx[JOINED], "flared", judge, "flared", "flare")
