"""Gas that comes out and is not lit: how much, the cloud it makes with air, and how long to wait before lighting again.

A burst whose pilot is out lets out a whole opening, and an outlet that says how long lighting takes (`lit_by: within:`)
what flows until then. What a flame that blows out lets out until somebody sees it is the flame plugin's figure.
"""

from __future__ import annotations

from collections.abc import Mapping

from specc import (
    CHOICE,
    Constant,
    Context,
    Equation,
    Symbol,
    Trouble,
    Verdict,
    Worked,
    figure,
    figures,
    found,
    not_applicable,
    rule,
    show,
)
from specc.kinds.gas import FLOW, PURGE_WAIT, UNLIT_CLOUD, UNLIT_GAS
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import PRACTICE, Scalar
from specc.model.wording import counted
from specc_fuel.faults.shut_in import flammable
from specc_fuel.keys import BURST

_CHANGES = Constant(4.0, "count", "4", CHOICE)
_DRIFT = Constant(0.3, "speed", "1 ft/s, air that is all but still", CHOICE)
_NONE = Constant(0.0, "volume", "none computed", CHOICE)
_HABIT = Constant(300.0, "duration", "5 min", PRACTICE)
_OUT = Equation(
    forms=(("", "m = w*t"),),
    symbols=(
        Symbol("m", "mass", "gas out unlit"),
        Symbol("w", "mass_flow", "flow"),
        Symbol("t", "duration", "time from opening until it is lit or shut"),
    ),
    citations=(CHOICE,),
    validity="the flow of a lit outlet that burns alone",
)
_WAIT = Equation(
    forms=(("", "t = max(t_0, n*V**(1/3)/u)"),),
    symbols=(
        Symbol("t", "duration", "wait"),
        Symbol("t_0", "duration", "least wait: trade habit"),
        Symbol("n", "count", "changes of air"),
        Symbol("V", "volume", "largest cloud that can burn"),
        Symbol("u", "speed", "drift of the air"),
    ),
    citations=(PRACTICE, CHOICE),
    validity="open ground; in hollows, pits and tents only a detector tells",
)


@figures(
    UNLIT_GAS,
    title="Gas of {tag} that comes out before it is lit, or unlit",
    unit="oz",
    digits=2,
    needs=(FLOW, NETWORK, EFFECTS, TIMELINE),
    wants=(BURST,),
    per_case=True,
)
def unlit_gas(ctx: Context) -> Mapping[str, Worked]:
    made: dict[str, Worked] = {}
    effect_of = {t: e for e in ctx[EFFECTS] for t in e.outlets}
    for tag, flow in ctx[FLOW].items():
        effect = effect_of.get(tag)
        time: Scalar | None = ctx[NETWORK].by_tag[tag].spec.child("lit_by").quantity_or_none("within")
        if effect is not None and effect.kind == "burst":
            shots = [s.open for s in ctx[TIMELINE].shots if s.effect == effect.tag]
            longest = max(shots, key=lambda q: q.si, default=None)
            if longest is None:
                continue
            if tag in (ctx.get(BURST) or {}):
                continue  # a figure of its own
            time = longest
        if time is not None:
            made[tag] = Worked(flow.si * time.si, "mass", _OUT, (("w", flow), ("t", time)), name=f"gas of {tag} unlit")
    return made


@figures(
    UNLIT_CLOUD,
    title="Flammable volume of what {tag} lets out unlit",
    unit="ft³",
    digits=2,
    needs=(UNLIT_GAS, AIR_PRESSURE),
    wants=(BURST,),
    per_case=True,
)
def unlit_cloud(ctx: Context) -> Mapping[str, Worked]:
    """Of a burst from an accumulator by what its longest lets out."""
    gases = dict(ctx[UNLIT_GAS].items())
    gases.update((ctx.get(BURST) or {}).items())
    return flammable(ctx, gases)


@figure(PURGE_WAIT, title="Wait before lighting again what did not light", unit="min", needs=(UNLIT_CLOUD,))
def purge_wait(ctx: Context) -> Worked:
    """At least the trade's 5 min, or what the largest of these clouds needs to be carried away, the longer."""
    largest: Scalar = max(ctx[UNLIT_CLOUD].values(), key=lambda f: f.si, default=_NONE)
    time = max(_HABIT.si, _CHANGES.si * largest.si ** (1 / 3) / _DRIFT.si)
    inputs = (("t_0", _HABIT), ("n", _CHANGES), ("V", largest), ("u", _DRIFT))
    return Worked(time, "duration", _WAIT, inputs, name="wait before lighting again")


@rule(
    "fuel.purge_wait_enough",
    level="error",
    statement="What comes out unlit has blown away after the 5 min that the procedures wait",
    source=PRACTICE,
    needs=(PURGE_WAIT, UNLIT_CLOUD),
)
def purge_wait_enough(ctx: Context) -> Verdict:
    clouds, wait = ctx[UNLIT_CLOUD], ctx[PURGE_WAIT]
    if not clouds:
        return not_applicable("no burst, and no outlet that says how long lighting takes (lit_by: within:)")
    if wait.si <= _HABIT.si:
        return found([], f"{counted(len(clouds), 'outlet')}, on open ground")
    largest = max(clouds, key=lambda tag: clouds[tag].si)
    return found(
        [
            Trouble(
                f"/plumbing/parts/{largest}",
                f"what {largest} lets out unlit makes {show(clouds[largest].si, 'volume', 'ft³')} that burns, and "
                f"needs {show(wait.si, 'duration', 'min')} to blow away; the procedures wait 5 min",
                "lit_by: within: a shorter time, or a shorter opening",
                "lit again too soon, the whole cloud burns at once",
            )
        ]
    )
