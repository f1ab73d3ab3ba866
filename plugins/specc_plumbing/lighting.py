"""A rule on what can be lit and put out by itself."""

from __future__ import annotations

from specc import CHOICE, Context, Trouble, Verdict, found, not_applicable, rule
from specc.kinds.plumbing import NETWORK, REACHES
from specc.kinds.show import EFFECTS, TIMELINE
from specc.quantities import counted

# Valves that somebody, or a coil, closes on purpose.
_SHUTS = ("ball", "needle", "globe", "solenoid")


@rule(
    "plumbing.effects_apart",
    level="error",
    statement="What is dark while something else burns has a valve of its own",
    source=CHOICE,
    needs=(NETWORK, REACHES, EFFECTS, TIMELINE),
)
def effects_apart(ctx: Context) -> Verdict:
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
    bursts = {shot.effect for shot in line.shots}
    troubles, looked = [], 0
    for effect, own in outlets.items():
        if not own:
            continue
        dark_beside: dict[str, None] = dict.fromkeys(pilots)
        for moment in moments:
            lit = {one.effect for one in line.lit if one.starts <= moment < one.starts + one.lasts.si}
            if effect not in lit and (lit or effect in bursts):
                dark_beside.update((t, None) for other in lit for t in outlets.get(other, ()))
        looked += bool(dark_beside)
        for other in dark_beside:
            shared = [t for t in own if t != other and not before(t) - before(other)]
            if shared:
                troubles.append(
                    Trouble(
                        at[effect],
                        f"{effect} ({shared[0]}) cannot be dark while {other} burns: no valve stands before it alone",
                        f"a valve before {shared[0]} that does not also feed {other}",
                        "gas comes out unlit at the one as soon as the other is lit, and both go out together",
                    )
                )
                break
    if not looked:
        return not_applicable("nothing is dark while something else burns")
    return found(troubles, f'{counted(looked, "effect")}')


PASSES = (effects_apart,)
