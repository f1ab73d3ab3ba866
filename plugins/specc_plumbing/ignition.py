"""What lights each outlet: that it is there, may be used for that, and burns whenever its effect can fire.

How far a pilot's flame reaches is the flame plugin's to say, and what proves it, the control's.
"""

from __future__ import annotations

import math
from bisect import bisect_right

from specc import (
    PRACTICE,
    Context,
    Judging,
    Trouble,
    Unchecked,
    not_applicable,
    not_checked,
    passed,
    rule,
    stated,
)
from specc.kinds.faults import FLAME_PROOFS
from specc.kinds.people import PEOPLE
from specc.kinds.plumbing import NETWORK, OUTLETS, REACHES, Network, Part
from specc.kinds.show import EFFECTS, TIMELINE, Shot, Timeline
from specc.model.view import join
from specc.model.wording import counted, holds, several


def _ways(part: Part) -> tuple[str, ...]:
    lit_by = part.spec.child("lit_by")
    return tuple(key for key in ("pilot", "torch", "igniter") if holds(lit_by.text_or(key)))


@rule(
    "plumbing.lit_by",
    level="error",
    statement="Each outlet names what lights it, and a burst is lit by a flame, or an igniter and how that is proven: "
    "a hand torch is for steady flames alone",
    source=PRACTICE,
    needs=(NETWORK, EFFECTS),
    wants=(PEOPLE,),
    rests_on=("plumbing.lit_by",),
)
def lit_by(ctx: Context) -> Judging:
    net, people = ctx[NETWORK], tuple(name for p in ctx.get(PEOPLE) or () for name in (p.tag, p.role) if name)
    outlets = net.of_kind(*OUTLETS)
    if not outlets:
        return not_applicable("no outlet is described")
    bursts = {t: e.tag for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets}
    for part in outlets:
        at, ways = join(part.at, "lit_by"), _ways(part)
        lights, wrong = net.part(part.spec.child("lit_by").text_or("pilot")), ""
        fix = "lit_by: {pilot: its tag}, {torch: who holds it} or {igniter: what, proven: how}"
        if len(ways) != 1:
            at = at if part.spec.has("lit_by") else part.at
            wrong = f"nothing lights {part.tag}" if not ways else f"{part.tag} names {' and '.join(ways)}"
        elif ways[0] == "torch" and part.tag in bursts:
            wrong = f"{part.tag}, an outlet of the burst {bursts[part.tag]}, is lit by a hand torch"
            fix = "a pilot that burns at every opening, or a proven igniter; nobody stands at a burst with a torch"
        elif ways[0] == "torch" and people and part.spec.child("lit_by").text("torch") not in people:
            wrong = (
                f"who holds the torch at {part.tag}, {part.spec.child('lit_by').text('torch')!r}, is not a person here"
            )
            fix = f"one of: {', '.join(people)}"
        elif ways[0] == "igniter" and part.tag in bursts and not holds(part.spec.child("lit_by").text_or("proven")):
            wrong = f"nothing proves that the igniter of {part.tag} works before each burst"
            fix = "proven: how the flame or spark is seen before the valve opens"
        elif ways[0] == "pilot" and lights is None:
            wrong = f"{part.tag} is lit by {part.spec.child('lit_by').text('pilot')!r}, which is not among the parts"
            fix = "the tag of a pilot"
        elif lights is not None and (lights.kind not in OUTLETS or lights.tag == part.tag or lights.tag in bursts):
            wrong = f"{part.tag} is lit by {lights.tag}, which is no flame that burns"
            fix = "a pilot, or a burner that burns all the while"
        elif lights is not None and part.tag in _lighters(net, lights):
            wrong = f"{part.tag} is lit by {lights.tag}, and that in the end by {part.tag}"
            fix = "a torch or an igniter at one of them"
        elif ways[0] == "torch" and not people:
            said = (
                f"who holds the torch at {part.tag}, {part.spec.child('lit_by').text('torch')!r}: people: names nobody"
            )
            yield Unchecked(said, "/people")
        if wrong:
            yield Trouble(at, wrong, fix, "gas that is not lit at once gathers, and burns all together later")
    return passed(f"{counted(len(outlets), 'outlet')}; that it is so is stated")


def _lighters(net: Network, part: Part) -> set[str]:
    """A flame, what lights it, what lights that, and so on."""
    met: set[str] = set()
    here: Part | None = part
    while here is not None and here.tag not in met:
        met.add(here.tag)
        here = net.part(here.spec.child("lit_by").text_or("pilot"))
    return met


def _dark(timeline: Timeline, effect: str, lighter: str) -> bool:
    """Whether an effect burns or fires at a moment at which the effect of its lighter does not burn."""
    lit = sorted((one.starts, one.starts + one.lasts.si) for one in timeline.lit if one.effect == lighter)
    # A burst can fire from its first opening in a scene to its last: somebody may press a little late.
    shots: dict[str, list[Shot]] = {}
    for shot in timeline.shots:
        if shot.effect == effect:
            shots.setdefault(shot.scene, []).append(shot)
    moments = [(min(s.at for s in own), max(s.at + s.open.si for s in own)) for own in shots.values()]
    moments += [(one.starts, one.starts + one.lasts.si) for one in timeline.lit if one.effect == effect]
    joined: list[tuple[float, float]] = []
    for begin, end in lit:
        if joined and begin <= joined[-1][1] + 1e-6:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))

    def is_lit(begin: float, end: float) -> bool:
        n = bisect_right(joined, (begin + 1e-6, math.inf))
        return n > 0 and end <= joined[n - 1][1] + 1e-6

    return not all(is_lit(begin, end) for begin, end in moments)


@rule(
    "plumbing.pilot_burns",
    level="error",
    statement="The flame that lights an effect burns through every moment at which the effect can fire",
    source=PRACTICE,
    needs=(NETWORK, REACHES, EFFECTS, TIMELINE),
)
def pilot_burns(ctx: Context) -> Judging:
    """Pilots are taken to burn whenever gas is on; what belongs to an effect burns when that does."""
    net, fed = ctx[NETWORK], {r.outlet for r in ctx[REACHES]}
    effect_of = {t: e.tag for e in ctx[EFFECTS] for t in e.outlets}
    looked = 0
    for part, lighter in _piloted(net):
        looked += 1
        at = join(part.at, "lit_by", "pilot")
        if lighter.tag not in fed:
            yield Trouble(
                at,
                f"{lighter.tag}, which lights {part.tag}, gets no gas",
                "a run that leads to it",
                "the effect opens on no flame",
            )
        elif (lighter.kind != "pilot" or lighter.tag in effect_of) and part.tag in effect_of:
            other = effect_of.get(lighter.tag, "")
            if _dark(ctx[TIMELINE], effect_of[part.tag], other):
                yield Trouble(
                    at,
                    f"{lighter.tag}, which lights {part.tag}, is dark at times when {effect_of[part.tag]} fires",
                    "a pilot of its own, or a show in which the one burns whenever the other may fire",
                    "the effect opens on no flame",
                )
    if not looked:
        return not_applicable("no outlet is lit by a pilot")
    return passed(f"{counted(looked, 'outlet')} lit by a flame; a pilot is taken to burn whenever gas is on")


def _piloted(net: Network) -> list[tuple[Part, Part]]:
    """Outlets that are lit by a flame that is described, each with it."""
    made = []
    for part in net.of_kind(*OUTLETS):
        lights = net.part(part.spec.child("lit_by").text_or("pilot"))
        if lights is not None and lights.kind in OUTLETS and lights.tag != part.tag:
            made.append((part, lights))
    return made


@rule(
    "plumbing.pilot_kept",
    level="error",
    statement="No stop or valve puts a pilot out and leaves the burst that it lights armed",
    source=PRACTICE,
    needs=(NETWORK, EFFECTS),
    wants=(FLAME_PROOFS,),
)
def pilot_kept(ctx: Context) -> Judging:
    """A pilot's own valve is another matter where a wired sensor holds the burst back, over every state of the wiring,
    the fire circuit drops with it, or a step at the same post disarms first: that is stated, not passed. So is the
    shutoff of the supply: what an accumulator holds can still be fired when the pilot's gas has ended."""
    net = ctx[NETWORK]
    bursts = {t for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets}
    pairs = [(part, lighter) for part, lighter in _piloted(net) if part.tag in bursts]
    if not pairs:
        return not_applicable("no burst is lit by a pilot")
    kept, firm = list[str](), True
    sensed: dict[tuple[str, str], list[str]] = {}
    for proof in ctx[FLAME_PROOFS]:
        sensed.setdefault((proof.outlet, proof.lighter), []).append(proof.sensor)
    held = list[str]()
    for part, lighter in pairs:
        all_above = {p.tag for p in net.upstream(part.tag)}
        # What shuts these leaves nothing to fire: no store lies between.
        both = set(net.walk(net.before.get(part.tag, ()), net.before, net.stores))
        said = part.spec.child("lit_by").child("if_shut")
        keeps = [f"{key}: {how}" for key in ("drops", "sensor", "step") if holds(how := said.text_or(key))]
        unkept = list[str]()
        for valve in net.upstream(lighter.tag):
            if valve.tag in both or not _shuts(valve) or not _puts_out(net, valve, lighter):
                continue
            feeds = [p.tag for p in net.downstream(valve.tag) if p.kind in OUTLETS]
            if feeds == [lighter.tag] or valve.tag in all_above or valve.kind == "cylinder":
                if sensors := sensed.get((part.tag, lighter.tag)):
                    held += sensors
                elif keeps:
                    firm = firm and any(holds(said.text_or(key)) for key in ("drops", "sensor"))
                    kept.append(f"{valve.tag} puts out {lighter.tag} and leaves {part.tag} armed ({'; '.join(keeps)})")
                else:
                    unkept.append(valve.tag)
                continue
            yield Trouble(
                join(part.at, "lit_by", "pilot"),
                f"{valve.tag} puts out {lighter.tag}, which lights {part.tag}, and leaves {part.tag} armed",
                f"gas to {lighter.tag} from before {valve.tag}, or {valve.tag} before both",
                "whoever closes it for another reason leaves a burst that opens on no flame",
            )
        if unkept:
            yield Trouble(
                join(part.at, "lit_by", "pilot"),
                f"{several(unkept)} {'puts' if len(unkept) == 1 else 'each put'} out {lighter.tag}, which lights "
                f"{part.tag}, and nothing is said to disarm {part.tag} then",
                "if_shut: beside pilot:, as it is built: {drops: what shuts the burst off with it}, {sensor: what "
                "blocks it} or {step: who disarms it first}",
                "a burst that stays armed without its pilot lets out gas that nothing lights, or something late",
            )
    if kept:
        firmer = "" if firm else "; firmer: what shuts the burst off with its pilot, or a sensor that blocks it"
        return not_checked(f"{'; '.join(kept)}: stated, to be shown on site{firmer}")
    looked = counted(len(pairs), "burst outlet")
    if held:  # how its contacts stand in the lines is computed; that it sees the flame, and in time, is typed
        return stated(f"{looked}; no gas while {several(list(dict.fromkeys(held)))} sees no flame")
    return passed(looked)


def _puts_out(net: Network, shut: Part, lighter: Part) -> bool:
    """Whether no cylinder feeds a pilot any more once one thing is shut."""
    others = [p.tag for p in net.of_kind("cylinder") if p.tag != shut.tag]
    return lighter.tag not in net.walk(others, net.after, lambda p: p.tag == shut.tag)


def _shuts(part: Part) -> bool:
    """Whether somebody, or a stop, may close it. A cylinder closes by its own valve, or is empty."""
    return part.kind == "cylinder" or (part.kind == "valve" and part.form not in ("check", "relief"))
