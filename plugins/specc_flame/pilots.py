"""Whether flames are lit and stay lit: what a pilot touches, and what wind puts out."""

from __future__ import annotations

from collections.abc import Mapping

from specc import (
    CHOICE,
    Citation,
    Context,
    FigureSet,
    Key,
    Limit,
    Quantity,
    Trouble,
    Verdict,
    View,
    Worked,
    authority_decides,
    distance,
    figure,
    figures,
    found,
    judged,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.gas import FLOW, JET_PRESSURE
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.weather import WIND
from specc.model.values import Figure
from specc.model.wording import counted
from specc_flame.calc import reach, wind
from specc_flame.keys import LENGTH, OPEN, OUTLETS, UNKNOWN
from specc_flame.sizes import offset_of, stop_wind

PUSH: Key[Figure] = Key("flame.wind_push", Figure)
UNLIT: Key[FigureSet] = Key("flame.gas_unlit", dict)
_BESIDE = 0.01  # m: a pilot's jets this near the outlet stand at it
UNSEEN = Limit("flame.unseen", "5 min", "duration", "max", "time until somebody sees that a flame is out", CHOICE)
_PUSH_SOURCE = Citation("asce-7", "velocity pressure: wind against the pressure at jets", "reprint")


@figure(PUSH, title="Pressure of the stop wind at a jet", unit="Pa", needs=(WIND,))
def wind_push(ctx: Context) -> Worked:
    return wind.wind_pressure.work("pressure of the stop wind", wind=stop_wind(ctx))


@figures(
    UNLIT,
    title="Gas that leaves {tag} unlit until somebody sees that it is out",
    unit="oz",
    digits=2,
    needs=(OUTLETS, OPEN),
    wants=(FLOW,),
    per_case=True,
    limits=("flame.unseen",),
)
def gas_unlit(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: reach.let_out.work(f"gas unlit at {tag}", flow=ctx[FLOW][tag], time=ctx.limit(UNSEEN.key))
        for tag in ctx[OUTLETS]
        if tag not in ctx[OPEN]
    }


@rule(
    "flame.pilot_reach",
    level="error",
    statement="Each burst is lit by a pilot whose own flame touches its outlet",
    source=CHOICE,
    needs=(OUTLETS, OPEN, LENGTH, NETWORK, EFFECTS, WIND),
    reads=("flame",),
)
def pilot_reach(ctx: Context) -> Verdict:
    """In still air by the pilot's mean flame length. Upwind it reaches nothing beside itself: a pilot that stands to
    one side wants a test of the outlet in the stop wind."""
    if not ctx[OPEN]:
        return not_applicable("no effect is a burst")
    stop = ctx[WIND].stop
    pilots = [p.tag for p in ctx[NETWORK].of_kind("pilot") if p.tag in ctx[LENGTH]]
    troubles, unsaid = [], []
    for tag in ctx[OPEN]:
        o = ctx[OUTLETS][tag]
        named = ctx[NETWORK].by_tag[tag].spec.child("lit_by").text_or("pilot")
        listed = [named] if named else pilots
        if not any(p in ctx[LENGTH] for p in listed):
            unsaid.append(f"no pilot is described that lights {tag} (lit_by: {{pilot: its tag}})")
            continue
        placed = [(p, ctx[OUTLETS][p].point) for p in listed if p in ctx[OUTLETS]]
        known = [(distance(point, o.point, f"{p} to {tag}"), p) for p, point in placed if point and o.point]
        if not known:
            unsaid.append(f"nothing says where {tag} or its pilot is")
            continue
        apart, nearest = min(known, key=lambda k: k[0].si)
        length = ctx[LENGTH][nearest]
        if apart.si > length.si:
            troubles.append(
                Trouble(
                    o.at,
                    f"the pilot {nearest} is {show(apart.si, 'length', 'ft', 2)} from {tag}, and its flame is "
                    f"{show(length.si, 'length', 'ft', 2)} long",
                    "a pilot whose flame touches the outlet from every side that wind comes from",
                    "a burst that is not lit as it leaves is a cloud, and burns where it meets a flame",
                )
            )
            continue
        tested = _tested(ctx, tag)
        around = apart.si <= offset_of(ctx[NETWORK].by_tag[nearest]).si + _BESIDE
        if not around and (stop is None or tested is None or tested.si < stop.speed.si * (1 - 1e-9)):
            unsaid.append(
                f"{nearest} stands {show(apart.si, 'length', 'ft', 2)} to one side of {tag}, and from upwind its flame "
                f"touches nothing: no test in the stop wind is given (flame: wind_shown: {tag}:)"
            )
    return judged(troubles, unsaid, counted(len(ctx[OPEN]), "burst outlet"))


def _tested(ctx: Context, tag: str) -> Quantity | None:
    """The wind of a dated test of an outlet's flame, or its lighting; None without one."""
    said = ctx.spec("flame").child("wind_shown").child(tag)
    if said.text_or("by") != "test" or not said.has("on"):
        return None
    return said.quantity_or_none("wind")


@rule(
    "flame.holds_in_wind",
    level="error",
    statement="Each flame that wind can blow out holds in the stop wind, by a dated test or a shield",
    source=_PUSH_SOURCE,
    needs=(OUTLETS, UNKNOWN, OPEN, PUSH, UNLIT, WIND),
    wants=(JET_PRESSURE,),
    reads=("flame",),
    limits=("flame.unseen",),
)
def holds_in_wind(ctx: Context) -> Verdict:
    """Pilots, and steady flames whose jets have less pressure than the wind. A burst is lit by its pilot."""
    stop = ctx[WIND].stop
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    if stop is None:
        return not_checked("no wind is stated at which the show stops (weather: wind: stop:)")
    shown = ctx.spec("flame").child("wind_shown")
    steady = [t for t in ctx[OUTLETS] if t not in ctx[OPEN]]
    # The least of the weather cases. Each burns alone in them, which gives it the most.
    weak = [t for t in steady if min(c.worked.si for c in ctx[JET_PRESSURE][t].cases) < ctx[PUSH].si]
    troubles, unshown = [], []
    for tag in weak:
        said = shown.child(tag)
        if said.text_or("by") != "shield":
            tested = _tested(ctx, tag)
            if tested is None:
                unshown.append(tag)
            elif tested.si < stop.speed.si * (1 - 1e-9):
                troubles.append(
                    Trouble(
                        said.here("wind"),
                        f"{tag} was tested in {tested.text}, and the show stops only at {stop.speed.text}",
                        f"a test at {stop.speed.text} or more, from every side, or a lower wind to stop at",
                        "gas from a flame that has blown out collects until something lights it",
                    )
                )
    lost = ctx[UNKNOWN]
    if not troubles and not unshown and lost:
        return not_checked(f"the flames of {' and '.join(lost)} are not known")
    if not troubles and unshown:
        gas = max((ctx[UNLIT][t] for t in unshown), key=lambda f: f.si)
        push = show(ctx[PUSH].si, "pressure_difference", "Pa", 2)
        more = f" and {len(unshown) - 3} more" if len(unshown) > 3 else ""
        return not_checked(
            f"jets of {', '.join(unshown[:3])}{more} have less pressure than the stop wind's {push}, and nothing shows "
            f"that they hold (flame: wind_shown:); one lets out {show(gas.si, 'mass', 'oz', 2)} unlit before "
            f"somebody sees it ({ctx.limit(UNSEEN.key).text})"
        )
    strong = len(steady) - len(weak)
    alone = f"; {counted(strong, 'other')} by the pressure at its jets, each alone" if strong else ""
    if not troubles and weak:
        ways = "; ".join(dict.fromkeys(_words(shown.child(tag)) for tag in weak))
        return authority_decides(
            f"do {', '.join(weak)} hold in {stop.speed.text}? Their jets have less pressure than that wind. The "
            f"maker states, and nobody else has seen: {ways}{alone}"
        )
    return found(troubles, f"{counted(len(weak), 'weak flame')}{alone}")


def _words(said: View) -> str:
    if said.text("by") == "shield":
        return "a shield"
    return f"a test in {said.quantity('wind').text} on {said.text('on')}"


PASSES = (UNSEEN, wind_push, gas_unlit, pilot_reach, holds_in_wind)
