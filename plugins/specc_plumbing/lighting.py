"""Rules on what can be lit and put out by itself, and on what shuts when the power fails."""

from __future__ import annotations

from specc import CHOICE, PRACTICE, Context, Trouble, Verdict, found, not_applicable, not_checked, rule
from specc.kinds.plumbing import NETWORK, REACHES
from specc.kinds.show import EFFECTS, TIMELINE, lit_at
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted

# Valves that somebody, or a coil, closes on purpose.
_SHUTS = ("ball", "needle", "globe", "solenoid")


@rule(
    "plumbing.effects_apart",
    level="error",
    statement="What is dark while something else burns has a valve of its own",
    source=CHOICE,
    needs=(NETWORK, REACHES, EFFECTS, TIMELINE),
)
def effects_apart(ctx: Context) -> Judging:
    """A valve of its own: one that gas to it passes, and gas to what burns does not. Pilots burn all the time."""
    net, line = ctx[NETWORK], ctx[TIMELINE]
    fed = {r.outlet for r in ctx[REACHES]}
    outlets = {e.tag: tuple(t for t in e.outlets if t in fed) for e in ctx[EFFECTS]}
    pilots = tuple(p.tag for p in net.of_kind("pilot") if p.tag in fed)
    at = {e.tag: e.at for e in ctx[EFFECTS]}
    valves: dict[str, set[str]] = {}

    def before(tag: str) -> set[str]:
        if tag not in valves:
            valves[tag] = {p.tag for p in net.upstream(tag) if p.kind == "valve" and p.form in _SHUTS}
        return valves[tag]

    moments = sorted({one.starts for one in line.lit} | {one.starts + one.lasts.si for one in line.lit})
    # Hundreds of cues have few states between them.
    states = dict.fromkeys(tuple(dict.fromkeys(one.effect for one in lit)) for lit in lit_at(line.lit, moments))
    bursts = {shot.effect for shot in line.shots}
    looked = 0
    for effect, own in outlets.items():
        if not own:
            continue
        dark_beside: dict[str, None] = dict.fromkeys(pilots)
        for lit in states:
            if effect not in lit and (lit or effect in bursts):
                dark_beside.update((t, None) for other in lit for t in outlets.get(other, ()))
        looked += bool(dark_beside)
        for other in dark_beside:
            shared = [t for t in own if t != other and not before(t) - before(other)]
            if shared:
                yield Trouble(
                    at[effect],
                    f"{effect} ({shared[0]}) cannot be dark while {other} burns: no valve stands before it alone",
                    f"a valve before {shared[0]} that does not also feed {other}",
                    "gas comes out unlit at the one as soon as the other is lit, and both go out together",
                )
                break
    if not looked:
        return not_applicable("nothing is dark while something else burns")
    return passed(f"{counted(looked, 'effect')}")


@rule(
    "plumbing.shut_without_power",
    level="error",
    statement="Where solenoid valves stand before an outlet, one of them at least is closed without power",
    source=PRACTICE,
    needs=(NETWORK, REACHES),
    rests_on=("plumbing.normally",),
)
def shut_without_power(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    looked = 0
    troubles: dict[str, Trouble] = {}
    unsaid: dict[str, str] = {}
    for reach in ctx[REACHES]:
        on_the_way = [p for p in map(net.part, reach.path) if p is not None and p.form == "solenoid"]
        states = [p.spec.text_or("normally") for p in on_the_way]
        looked += bool(states)
        if not states or "closed" in states:
            continue
        if "" in states:
            silent = on_the_way[states.index("")]
            unsaid[silent.tag] = join(silent.at, "normally")
            continue
        part = on_the_way[-1]
        troubles[part.tag] = Trouble(
            join(part.at, "normally"),
            f"{part.tag} is open without power, and no other valve before {reach.outlet} shuts when power fails",
            "a solenoid valve with normally: closed",
            "letting go of the control, a torn cable and an empty battery all have to stop the flame",
        )
    if not looked:
        return not_applicable("no solenoid valve stands before an outlet")
    if unsaid and not troubles:
        said = f"{', '.join(unsaid)} does not say what it is without power (normally:)"
        return not_checked(said, *unsaid.values())
    return found(troubles.values(), counted(looked, "outlet"))
