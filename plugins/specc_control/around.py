"""Rules on where the electrics are: not among gas joints; mains and generators safe to touch."""

from __future__ import annotations

import re

from specc import PRACTICE, Context, Judging, Trouble, Unchecked, Verdict, answers_of, found, not_checked, passed, rule
from specc.kinds.plumbing import NETWORK, Network
from specc.kinds.things import THINGS
from specc.model.values import Citation
from specc.model.wording import counted, holds, several, takes_back
from specc_control.entries import ROOT, WIRING, ControlPart, Wiring, nothing

_MAINS = Citation("nec-525-notes", "525.23: protection of 125 V receptacles within reach", "reprint")
_BONDED = Citation("nec-250-notes", "metal that may become live is bonded to the grounding conductor", "memory")
# What opens or closes a contact, or makes a spark, in use. A coil, a lamp and a wire do neither.
SPARKS = ("switch", "key", "button", "stop", "relay", "timer", "controller", "plug", "igniter", "fuse")
MAINS = ("mains_supply", "generator")
_PASSES_UNBROKEN = ("pipe", "tube", "hose")  # they have no joint between their ends


def place_of(ctx: Context, part: ControlPart) -> str:
    return part.spec.text_or("place") or ctx.spec(ROOT).text_or("place")


def _gas_at(net: Network) -> dict[str, list[str]]:
    made: dict[str, list[str]] = {}
    for part in net.parts:
        both = part.spec.texts("place") if part.spec.has("place") and not isinstance(part.spec["place"], str) else ()
        one = (part.spec.text("place"),) if part.spec.has("place") and not both else ()
        for place in (*both, *(one if part.kind not in _PASSES_UNBROKEN else ())):
            made.setdefault(place, []).append(part.tag)
    return made


# How equipment for places with gas is listed (NEC classes and zones, ATEX, IECEx; from memory).
_GAS_AROUND = re.compile(r"\b(class I|group D|zone [012]|II[AB]|ATEX|IECEx|intrinsic\w*|explosion\w*)\b", re.IGNORECASE)


def _for_gas_around(listing: str) -> bool:
    return bool(_GAS_AROUND.search(listing)) and not takes_back(listing)


@rule(
    "control.gas_box",
    level="error",
    statement="What sparks in use (switches, relays, fuses) shares no box with gas joints, unless listed for it",
    source=PRACTICE,
    needs=(WIRING, NETWORK),
    reads=(ROOT,),
    rests_on=("control.box", "control.listing"),
)
def gas_box(ctx: Context) -> Judging:
    """A box that holds both fills with gas from one loose joint, and a contact lights it. In the open air, or in a box
    of its own, it may stand beside a valve: which it is has to be said where the places are the same. An igniter
    belongs at its burner: beside it only a valve, a regulator or a vessel counts."""
    w, net = ctx[WIRING], ctx[NETWORK]
    if not w.parts:
        return nothing(w)
    gas = _gas_at(net)
    unsaid, looked = [], 0
    for part in _sparking(w):
        looked += 1
        place, box = place_of(ctx, part), part.spec.text_or("box") or ctx.spec(ROOT).text_or("box")
        there = gas.get(place, [])
        if part.kind == "igniter":
            there = [t for t in there if net.by_tag[t].kind in ("valve", "regulator", "accumulator", "cylinder")]
        listing = part.spec.text_or("listing")
        if box == "with gas" and not _for_gas_around(listing):
            yield Trouble(
                part.spec.here("box") if part.spec.has("box") else part.at,
                f"{part.tag} ({part.kind}) is in a box with gas joints"
                + (f": {several(there[:3])} at {place}" if there else ""),
                "a box of its own with no gas in it, or listing: for gas around it (Class I, group D)",
                "one loose joint fills a closed box with gas, and the next contact that opens lights it",
            )
        elif not box and not place:
            unsaid.append(Unchecked(f"where {part.tag} is (place:)", part.spec.here("place")))
        elif not box and there:
            said = f"whether {part.tag}, at {place} like {several(there[:2])}, shares a box with them (box:)"
            unsaid.append(Unchecked(said, part.spec.here("box")))
    if unsaid:
        return not_checked(f"not said: {'; '.join(unsaid)}", *answers_of(*unsaid))
    return passed(counted(looked, "part") + " that may spark")


def _sparking(w: Wiring) -> list[ControlPart]:
    return [p for p in w.parts.values() if p.kind in SPARKS]


@rule(
    "control.mains",
    level="error",
    statement="Mains and generators in people's reach are behind a GFCI, and their frame is grounded or bonded",
    source=_MAINS,
    needs=(WIRING,),
    rests_on=("control.gfci", "control.grounded"),
)
def mains(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    supplies = w.of_kind(*MAINS)
    if not supplies:
        return nothing(w, "no mains supply or generator is in the wiring")
    troubles = [
        Trouble(
            p.spec.here("gfci") if p.spec.has("gfci") else p.at,
            f"{p.tag} ({p.kind.replace('_', ' ')}) {'has no GFCI' if p.spec.has('gfci') else 'says of no GFCI'}",
            "gfci: true, when its outlets trip at 4 to 6 mA of leakage",
            "wet ground and a damaged cord kill at a hand that only touches",
        )
        for p in supplies
        if not p.spec.yes("gfci", False)
    ]
    unsaid = [p for p in supplies if not holds(p.spec.text_or("grounded"))]
    if unsaid and not troubles:
        said = f"how the frame of {several([p.tag for p in unsaid])} is grounded or bonded is not said (grounded:)"
        return not_checked(said, *(p.spec.here("grounded") for p in unsaid))
    return found(troubles, f"{len(supplies)} of mains or generator")


@rule(
    "control.bonded",
    level="error",
    statement="Beside mains, a generator or a spark, metal masts, frames and vessels are bonded to ground",
    source=_BONDED,
    needs=(WIRING, NETWORK, THINGS),
    reads=(ROOT, "structure"),
    rests_on=("control.bonded",),
)
def bonded(ctx: Context) -> Verdict:
    """A fault of the mains, or a spark that strays, puts a mast that nothing grounds at a voltage that hands meet."""
    w, said = ctx[WIRING], ctx.spec(ROOT).child("bonded")
    metal = [p.tag for p in ctx[NETWORK].of_kind("accumulator")]
    metal += [t.tag for t in ctx[THINGS] if t.kind in ("frame", "column", "stand")]
    metal += [tag for tag, _ in ctx.spec("structure").child("stands").children()]
    known = {*metal, *(p.tag for p in ctx[NETWORK].parts), *(t.tag for t in ctx[THINGS]), *w.parts}
    why = "a mast that nothing grounds is live when a cord's insulation wears through on it"
    troubles = [
        Trouble(
            said.here(tag), f"{tag}, which is bonded, is nothing here", "the tag of a stand, a thing or a part", why
        )
        for tag in said
        if tag not in known
    ]
    live = w.of_kind(*MAINS, "igniter")
    if not live and not troubles:
        return nothing(w, "no mains, generator or igniter is in the wiring")
    if not metal and not troubles:
        return not_checked("no mast, frame or vessel is described that could be bonded", "/structure/stands", "/things")
    bare = [tag for tag in dict.fromkeys(metal) if not holds(said.text_or(tag))]
    if bare and live and not troubles:
        return not_checked(f"how {several(bare)} is bonded to ground is not said (bonded:)", *map(said.here, bare))
    return found(troubles, counted(len(metal), "piece"))
