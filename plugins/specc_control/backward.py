"""Solenoid valves that gas may press on from behind: one that fills an accumulator, or one of two ways into a line."""

from __future__ import annotations

from collections.abc import Iterator

from specc import Citation, Context, Trouble, Unchecked, Verdict, not_applicable, rule, show
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONE_PRESSURE, ZONES, Network, Part, zone_tag
from specc.model.passes import judged
from specc.model.values import Figure
from specc.model.wording import counted, several

_LIFTS = Citation("valve-coil-guide", "a pressure behind a valve that is above the one ahead lifts its seat", "memory")


def _holds(part: Part) -> bool:
    """What lets no gas back: a check valve, and a regulator's seat, which is taken to."""
    return part.form == "check" or part.kind == "regulator"


def behind(net: Network, valve: Part) -> list[str]:
    """What can hold gas behind a shut valve, with nothing between that keeps it from there: accumulators that it fills,
    and whatever feeds the line by another way, unless that comes from the same open piece as the valve's own gas."""
    met = net.walk(net.after.get(valve.tag, ()), net.after, _holds)
    met.pop(valve.tag, None)
    ahead = net.walk(net.before.get(valve.tag, ()), net.before, _holds)
    made = []
    for tag in met:
        part = net.by_tag[tag]
        if part.kind == "accumulator":
            made.append(tag)
        if _holds(part):
            continue
        for other in net.before.get(tag, ()):
            if other == valve.tag or other in met:
                continue
            way = net.walk((other,), net.before, lambda p: p.tag == valve.tag)
            fed = any(net.by_tag[t].kind in ("cylinder", "accumulator") for t in way)
            if fed and not ahead.keys() & net.walk((other,), net.before, _holds).keys():
                made.append(other)
    return list(dict.fromkeys(made))


def _pressure(ctx: Context, tag: str) -> Figure | None:
    """The highest gauge pressure that stands at a part."""
    zone = ctx[ZONES].get(tag, "")
    if zone == SUPPLY:
        return ctx.get(CYLINDER_PRESSURE)
    return (ctx.get(ZONE_PRESSURE) or {}).get(zone_tag(zone, "lock_up"))


@rule(
    "control.holds_back",
    level="error",
    statement="Each solenoid valve that gas may press on from behind holds against it, or a check valve does",
    source=_LIFTS,
    needs=(NETWORK, ZONES),
    wants=(ZONE_PRESSURE, CYLINDER_PRESSURE),
    rests_on=("plumbing.holds_back",),
)
def holds_back(ctx: Context) -> Verdict:
    """With its supply shut, or fallen in the cold, what is ahead of a valve may stand at nothing."""
    net = ctx[NETWORK]
    solenoids = [p for p in net.of_kind("valve") if p.form == "solenoid"]
    pressed = [(p, them) for p in solenoids if (them := behind(net, p))]
    if not pressed:
        return not_applicable("no solenoid valve that gas may press on from behind")
    said = [one for part, them in pressed for one in _one(ctx, part, them)]
    troubles = [one for one in said if isinstance(one, Trouble)]
    return judged(troubles, [one for one in said if isinstance(one, str)], counted(len(pressed), "valve"))


def _one(ctx: Context, valve: Part, them: list[str]) -> Iterator[Trouble | str]:
    pressures = [_pressure(ctx, tag) for tag in them]
    known = [p for p in pressures if p is not None]
    if not valve.spec.has("holds_back"):
        said = f"holds_back: of {valve.tag}, which {several(them)} may press on from behind"
        yield Unchecked(said, valve.spec.here("holds_back"))
        return
    if not known or len(known) < len(pressures):
        yield Unchecked(f"the pressure of {several(them)} behind {valve.tag}", "/plumbing/runs")
        return
    holds, most = valve.spec.quantity("holds_back"), max(known, key=lambda p: p.si)
    if holds.si < most.si:
        needed = show(most.si, "gauge_pressure", "psi", 3)
        yield Trouble(
            holds.at,
            f"{valve.tag} holds {holds.text} from behind, and {several(them)} may press on it with {needed} while "
            "nothing stands ahead",
            "a check valve right behind it, or a valve that holds that much in both directions",
            "it opens by itself, and gas runs back into a line that is shut, or was taken apart",
        )
