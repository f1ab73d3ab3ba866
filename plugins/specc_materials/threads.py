"""Rules on joints that are screwed together: compression, sealant on tapers, dry flares."""

from __future__ import annotations

from specc import PRACTICE, Citation, Context, Trouble, Verdict, rule
from specc.measure.printing import counted
from specc.model.view import join
from specc_materials.joined import JOINED, bare_words, ended, no_such, nothing, says_gas

_NO_SEALANT = ("none", "dry", "no")


@rule(
    "materials.compression",
    level="warning",
    statement="Compression fittings are used only inside their maker's limits, or by the authority's word",
    source=Citation("cda-fuel-gas", "compression fittings; IRC 2018 G2414.10 asks for the maker's limits", "read"),
    needs=(JOINED,),
)
def compression(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    none = nothing(j)
    if none:
        return none
    squeezed = j.by("compression")
    if not squeezed:
        return no_such(j, "a compression fitting")
    return ended(
        (
            Trouble(
                join(joint.at, "method"),
                f"{joint.words} is not shown to be allowed on gas",
                "a flare; or allowed_by: with the maker's paper for LP-gas at this pressure, or the authority's word",
                "it lets go when the tube is pulled, bent or shaken, as traveling gear is",
            )
            for joint in squeezed
            if not joint.spec.text_or("allowed_by").strip()
        ),
        bare_words(j),
        f"{counted(len(squeezed), 'compression fitting')}, allowed by: "
        + "; ".join(joint.spec.text_or("allowed_by") for joint in squeezed),
    )


@rule(
    "materials.sealant",
    level="warning",
    statement="Each taper thread is sealed with a compound or tape that is made for LP-gas",
    source=Citation("irc-2018", "G2414.9.3: thread compound resists LP-gas", "read"),
    needs=(JOINED,),
)
def sealant(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    none = nothing(j)
    if none:
        return none
    threaded = j.by("threaded")
    if not threaded:
        return no_such(j, "a taper thread")
    troubles, unsaid = [], list(bare_words(j))
    told: set[str] = set()  # what is said once of all joints is found once
    for joint in threaded:
        said = joint.sealant
        if not said:
            unsaid.append(f"{joint.words}: state its sealant:")
        elif not says_gas(said) and joint.sealant_at not in told:
            told.add(joint.sealant_at)
            troubles.append(
                Trouble(
                    joint.sealant_at,
                    f"{joint.words} is sealed with {said!r}, which is not said to be for LP-gas",
                    "a compound or tape whose maker names LP-gas or propane",
                    "propane dissolves common pipe dope",
                )
            )
    return ended(troubles, unsaid, counted(len(threaded), "taper thread"))


@rule(
    "materials.flare_dry",
    level="warning",
    statement="Flares are made up dry: no compound and no tape",
    source=PRACTICE,
    needs=(JOINED,),
)
def flare_dry(ctx: Context) -> Verdict:
    j = ctx[JOINED]
    none = nothing(j)
    if none:
        return none
    flared = j.by("flared")
    if not flared:
        return no_such(j, "flared")
    troubles, unsaid = [], list(bare_words(j))
    told: set[str] = set()
    for joint in flared:
        said = joint.sealant
        if not said:
            unsaid.append(f"{joint.words}: state sealant: none")
        elif said.strip().lower() not in _NO_SEALANT and joint.sealant_at not in told:
            told.add(joint.sealant_at)
            troubles.append(
                Trouble(
                    joint.sealant_at,
                    f"{joint.words} has {said!r} on it",
                    "a clean, dry flare; a new flare where it leaks",
                    "a flare seals metal on metal, and compound hides one that does not",
                )
            )
    return ended(troubles, unsaid, counted(len(flared), "flare"))


PASSES = (compression, sealant, flare_dry)
