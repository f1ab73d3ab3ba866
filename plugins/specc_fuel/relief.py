"""Rules on relief valves, and on what an outlet sees when a regulator fails open."""

from __future__ import annotations

from specc import CHOICE, Context, Limit, Trouble, Verdict, found, not_applicable, not_checked, rule, show
from specc.kinds.gas import CYLINDER_PRESSURE, SECTION_FAILED_OPEN
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONES
from specc.quantities import counted
from specc.view import join
from specc_fuel.keys import AT_REST

MARGIN = Limit(
    "fuel.relief_margin",
    "10 %",
    "ratio",
    "max",
    "how far above the pressure at rest a relief valve opens, so that it does not weep",
    CHOICE,
)


def _psig(si: float) -> str:
    return show(si, "gauge_pressure", "psig", 3)


@rule(
    "fuel.relief_setting",
    level="error",
    statement="A relief valve opens above the pressure at rest where it stands, and below the lowest rating there",
    source=CHOICE,
    needs=(NETWORK, ZONES, AT_REST, CYLINDER_PRESSURE),
)
def relief_setting(ctx: Context) -> Verdict:
    net, zones = ctx[NETWORK], ctx[ZONES]
    reliefs = [p for p in net.of_kind("valve") if p.form == "relief" and zones.get(p.tag)]
    if not reliefs:
        return not_applicable("no relief valve is in a run")
    margin, troubles, unsaid = ctx.limit(MARGIN.key), [], []
    for part in reliefs:
        opens = part.spec.quantity_or_none("opens")
        if opens is None:
            unsaid.append(f"{part.tag} does not say at which pressure it opens (opens:)")
            continue
        zone = zones[part.tag]
        rest = ctx[CYLINDER_PRESSURE].si if zone == SUPPLY else ctx[AT_REST][zone].si if zone in ctx[AT_REST] else 0.0
        there = (p for p in net.parts if zones[p.tag] == zone and p.spec.has("rating"))
        rated = [(p.spec.quantity("rating").si, p.tag) for p in there]
        lowest, weakest = min(rated, default=(float("inf"), ""))
        if opens.si < rest * (1 + margin.si) * (1 - 1e-9):
            troubles.append(
                Trouble(
                    opens.at,
                    f"{part.tag} opens at {opens.text}, and gas stands at up to {_psig(rest)} there at rest",
                    f"one that opens at {_psig(rest * (1 + margin.si))} or more, or a lower setting",
                    "a relief valve that weeps lets gas out all night, and is soon plugged by somebody",
                )
            )
        elif opens.si > lowest * (1 + 1e-9):
            troubles.append(
                Trouble(
                    opens.at,
                    f"{part.tag} opens at {opens.text}, and {weakest}, which it protects, is rated {_psig(lowest)}",
                    f"one that opens at {_psig(lowest)} at most",
                    "the weakest part lets go before the relief valve does",
                )
            )
    left = "; ".join(unsaid)
    if unsaid and not troubles:
        return not_checked(left)
    return found(troubles, counted(len(reliefs), "relief valve") + (f"; not looked at: {left}" if left else ""))


@rule(
    "fuel.rated_for_failure",
    level="warning",
    statement="An outlet is rated for the pressure before its jets when its regulator fails open",
    source=CHOICE,
    needs=(NETWORK, SECTION_FAILED_OPEN),
)
def rated_for_failure(ctx: Context) -> Verdict:
    net, sections = ctx[NETWORK], ctx[SECTION_FAILED_OPEN]
    if not sections:
        return not_applicable("no outlet is fed")
    troubles, unrated = [], []
    for tag, figure in sections.items():
        rating = net.by_tag[tag].spec.quantity_or_none("rating")
        if rating is None:
            unrated.append(tag)
        elif rating.si < figure.si:
            troubles.append(
                Trouble(
                    join(net.by_tag[tag].at, "rating"),
                    f"{tag} is rated {rating.text}, and sees up to {_psig(figure.si)} when its regulator fails open",
                    "a feed orifice before it, or a part rated for that",
                    "a diaphragm tears without a warning, and then nothing but the jets lets the pressure down",
                )
            )
    left = f"no rating is stated for {', '.join(unrated)}" if unrated else ""
    if left and not troubles:
        return not_checked(left)
    return found(troubles, counted(len(sections), "outlet") + (f"; not looked at: {left}" if left else ""))


PASSES = (MARGIN, relief_setting, rated_for_failure)
