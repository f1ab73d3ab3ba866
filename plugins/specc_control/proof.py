"""What proves that a burst will be lit: a wired sensor on its pilot, or a named person who sees it burn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc import (
    Citation,
    Context,
    Judging,
    Limit,
    Trouble,
    Unchecked,
    answers_of,
    authority_decides,
    gather,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
)
from specc.kinds.faults import FLAME_PROOFS, FlameProof
from specc.kinds.gas import GROSS_HEAT
from specc.kinds.plumbing import NETWORK, OUTLETS, Part
from specc.kinds.show import EFFECTS
from specc.kinds.site import SIGHT_LINES
from specc.model.view import join
from specc.model.wording import counted, several
from specc_control.entries import WIRING, ControlPart, Wiring
from specc_control.gas import LOGIC, Logic, how

_PROOF = Citation("nfpa-86-notes", "above 400,000 BTU/h a burner's shutoff is watched more closely", "reprint")
EYE = Limit(
    "control.proved_by_eye",
    "400 kBTU/h",
    "power",
    "min",
    "The most heat of a burst whose pilot somebody's eye may prove without the authority's word",
    _PROOF,
)


def lighter(part: Part) -> str:
    """The tag of what lights an outlet: its pilot, or its own igniter."""
    return part.spec.child("lit_by").text_or("pilot") or part.tag


def proven_by(w: Wiring, part: Part) -> tuple[ControlPart, ...]:
    """The flame sensors that see what lights an outlet."""
    return tuple(p for p in w.of_kind("flame_sensor") if lighter(part) in p.spec.texts("sees"))


def _sensed(w: Wiring, made: Logic, part: Part, sensor: ControlPart) -> Iterator[Trouble | str]:
    """What is wrong with a sensor that proves an outlet's pilot, or not said of it."""
    lacks = [key for key in ("sensor", "notices") if not sensor.spec.has(key)]
    if lacks:
        said = f"{' and '.join(f'{key}:' for key in lacks)} of {sensor.tag}, which sees {lighter(part)}"
        yield Unchecked(said, *map(sensor.spec.here, lacks))
    dark = next((d for d in made.demands if d.kind == "flame" and d.tag == sensor.tag), None)
    if made.too_large or part.tag not in made.outlets:
        said = f"no valve of the wiring stands before {part.tag}, so {sensor.tag} holds nothing back"
        yield made.too_large or Unchecked(said, "/control/parts/*/valve")
    elif dark is None or made.outlets[part.tag] & dark.states:
        states = made.outlets[part.tag] & dark.states if dark else made.outlets[part.tag]
        yield Trouble(
            sensor.at,
            f"{sensor.tag} sees no flame at {lighter(part)}, and gas still reaches {part.tag} "
            f"{how(states, made.circuit)}",
            "its contact in the line of each valve",
            "the burst opens on no flame, and what comes out burns all together later",
        )


@gather(FLAME_PROOFS, needs=(WIRING, LOGIC, NETWORK, EFFECTS))
def proofs(ctx: Context) -> Sequence[FlameProof]:
    """Those that leave nothing open: a sensor of which something is not said holds nothing back for sure."""
    w, made, net = ctx[WIRING], ctx[LOGIC], ctx[NETWORK]
    bursts = [p for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets if (p := net.part(t))]
    return [
        FlameProof(part.tag, lighter(part), sensor.tag)
        for part in bursts if part.kind in OUTLETS
        for sensor in proven_by(w, part) if not [*_sensed(w, made, part, sensor)]
    ]  # fmt: skip


@rule(
    "control.pilot_proved",
    level="error",
    statement="What lights a burst is proven before its valve opens: by a wired sensor, or by a named person's eye",
    source=_PROOF,
    needs=(WIRING, LOGIC, NETWORK, EFFECTS, SIGHT_LINES),
    wants=(GROSS_HEAT,),
    limits=(EYE.key,),
    rests_on=("control.notices", "control.sees", "plumbing.seen_by"),
)
def pilot_proved(ctx: Context) -> Judging:
    w, made, net = ctx[WIRING], ctx[LOGIC], ctx[NETWORK]
    bursts = [(e.tag, p) for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets if (p := net.part(t))]
    bursts = [(e, p) for e, p in bursts if p.kind in OUTLETS]
    if not bursts:
        return not_applicable("no burst is described")
    unsaid, asks = list[str](), list[str]()
    public = [p.tag for p in w.parts.values() if p.spec.text_or("who") == "public"]
    for effect, part in bursts:
        sensors = proven_by(w, part)
        said = part.spec.child("lit_by")
        for sensor in sensors:
            for one in _sensed(w, made, part, sensor):
                if isinstance(one, Trouble):
                    yield one
                else:
                    unsaid.append(one)
        if sensors:
            continue
        who, at = said.text_or("seen_by"), join(part.at, "lit_by", "seen_by")
        if not who:
            told = said.text_or("proven")
            what = (
                f"what proves {lighter(part)} before {part.tag} opens (a flame_sensor with sees:, or lit_by: seen_by:)"
                + (f"; stated: {told}" if told else "")
            )
            unsaid.append(Unchecked(what, at, "/control/parts/*/sees"))
            continue
        if public:
            yield Trouble(
                at,
                f"{effect} is set off by {several(public)}, which the public works, and {who}'s eye alone proves "
                f"{lighter(part)}",
                f"a flame_sensor with sees: [{lighter(part)}], its contact in the line of each valve",
                "whoever presses does not know whether the pilot burns",
            )
            continue
        looks = [s for s in ctx[SIGHT_LINES] if s.who == who and s.target == effect]
        if not looks:
            what = f"where {who} stands to see {effect} (operators: shifts: with a station)"
            unsaid.append(Unchecked(what, "/operators/shifts/*/station"))
        for look in looks:
            if look.blocked_by:
                yield Trouble(
                    at,
                    f"{who} at {look.place} does not see {effect}: {several(look.blocked_by)} is in the way",
                    "another post, another person, or a flame_sensor",
                )
        heat = (ctx.get(GROSS_HEAT) or {}).get(part.tag)
        if heat is None:
            unsaid.append(f"the heat of {part.tag}")
        elif heat.si > ctx.limit(EYE.key).si:
            asks.append(
                f"{who}'s eye alone proves {lighter(part)} before {effect}, {show(heat.si, 'power', 'kBTU/h')} gross "
                f"as it opens, over {ctx.limit(EYE.key).text}"
            )
    if unsaid:
        return not_checked(f"not stated: {'; '.join(dict.fromkeys(unsaid))}", *answers_of(*unsaid))
    if asks:
        return authority_decides("; ".join(dict.fromkeys(asks)) + ": the authority decides, or a flame sensor does")
    return passed(counted(len(bursts), "burst outlet"))
