"""Rules on relief valves, and on what an outlet sees when a regulator fails open."""

from __future__ import annotations

import math

from specc import CHOICE, Context, Cure, Limit, Trouble, Unchecked, answers_of, not_applicable, psig, rule
from specc.kinds.gas import CYLINDER_PRESSURE, SECTION_FAILED_OPEN
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONE_PRESSURE, ZONES, regulators_into, zone_tag
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_fuel.keys import AT_REST
from specc_fuel.outlets.relief import RELIEVED
from specc_fuel.supply.cylinders import sun_unsaid
from specc_fuel.wording import rated_up

MARGIN = Limit(
    "fuel.relief_margin",
    "10 %",
    "ratio",
    "max",
    "how far above the lock-up pressure a relief valve opens, so that it does not weep",
    CHOICE,
)


def _opening(at: str, psi: float) -> Cure:
    return Cure(f"one that opens at {psi:.1f} psi would pass", ((at, f"{psi:.1f} psi"),))


@rule(
    "fuel.relief_setting",
    level="error",
    statement="A relief valve opens above the lock-up pressure where it stands, and below the lowest rating there",
    source=CHOICE,
    needs=(NETWORK, ZONES, AT_REST),
    wants=(CYLINDER_PRESSURE,),
    limits=("fuel.relief_margin",),
    rests_on=("plumbing.rating",),
)
def relief_setting(ctx: Context) -> Judging:
    net, zones = ctx[NETWORK], ctx[ZONES]
    reliefs = [p for p in net.of_kind("valve") if p.form == "relief" and zones.get(p.tag)]
    if not reliefs:
        return not_applicable("no relief valve is in a run")
    margin = ctx.limit(MARGIN.key)
    for part in reliefs:
        opens = part.spec.quantity_or_none("opens")
        if opens is None:
            said = f"{part.tag} does not say at which pressure it opens (opens:)"
            yield Unchecked(said, join(part.at, "opens"))
            continue
        zone = zones[part.tag]
        locked = [ctx[AT_REST][r.tag].si for r in regulators_into(net, zones, zone) if r.tag in ctx[AT_REST]]
        rest = ctx[CYLINDER_PRESSURE].si if zone == SUPPLY else max(locked, default=0.0)
        there = [p for p in net.parts if zones[p.tag] == zone]
        rated = [(p.spec.quantity("rating").si, p.tag) for p in there if p.spec.has("rating")]
        unrated = {p.tag: join(p.at, "rating") for p in there if not p.spec.has("rating")}
        if unrated:
            said = f"the rating of {several(list(unrated))}, which {part.tag} protects, is not stated"
            yield Unchecked(said, *unrated.values())
        lowest, weakest = min(rated, default=(float("inf"), ""))
        if opens.si < rest * (1 + margin.si) * (1 - 1e-9):
            yield Trouble(
                opens.at,
                f"{part.tag} opens at {opens.text}, and gas stands at up to {psig(rest)} there with no flow",
                "or a lower setting",
                "a relief valve that weeps lets gas out all night, and is soon plugged by somebody",
                cure=_opening(opens.at, math.ceil(rest * (1 + margin.si) / PSI * 10 - 1e-6) / 10),
            )
        elif opens.si > lowest * (1 + 1e-9):
            yield Trouble(
                opens.at,
                f"{part.tag} opens at {opens.text}, and {weakest}, which it protects, is rated {psig(lowest)}",
                "or parts rated for more",
                "the weakest part lets go before the relief valve does",
                cure=_opening(opens.at, math.floor(lowest / PSI * 10 + 1e-6) / 10),
            )
    return passed(counted(len(reliefs), "relief valve"))


def _ahead(ctx: Context, zone: str) -> float:
    """What stands at most in a zone in which nothing has failed, Pa gauge: that of the cylinders where it is not
    known."""
    pressures = ctx[ZONE_PRESSURE]
    held = pressures.get(zone_tag(zone, "highest")) or pressures.get(zone_tag(zone, "lock_up"))
    return held.si if held else ctx[CYLINDER_PRESSURE].si * (1 + ctx.limit("fuel.commercial_margin").si)


@rule(
    "fuel.rated_for_failure",
    level="warning",
    statement="What stands behind a regulator is rated for what it sees when that fails open, or for what a relief "
    "valve that passes all of it lets stand",
    source=CHOICE,
    needs=(NETWORK, ZONES, CYLINDER_PRESSURE, SECTION_FAILED_OPEN, RELIEVED, ZONE_PRESSURE),
    reads=("weather",),
    limits=("fuel.commercial_margin",),
    rests_on=("plumbing.rating",),
)
def rated_for_failure(ctx: Context) -> Judging:
    """One regulator fails at a time. Commercial propane, as for parts at cylinder pressure; outlets past their feed
    orifice see less, and are held to that."""
    net, zones, sections = ctx[NETWORK], ctx[ZONES], ctx[SECTION_FAILED_OPEN]
    unrated, looked, spared = [], 0, list[str]()
    if ctx[ZONES]:
        yield from sun_unsaid(ctx)
    for tag, figure in sections.items():
        looked += 1
        part, rating = net.by_tag[tag], net.by_tag[tag].spec.quantity_or_none("rating")
        if rating is None:
            unrated.append(tag)
        elif rating.si < figure.si:
            yield Trouble(
                join(part.at, "rating"),
                f"{tag} is rated {rating.text}, and sees up to {psig(figure.si)} when a regulator fails open",
                "or a feed orifice before it",
                "a diaphragm tears without a warning, and then nothing but the jets lets the pressure down",
                cure=rated_up(part, figure.si),
            )
    for zone in dict.fromkeys(zones.values()):
        regulators = regulators_into(net, zones, zone) if zone not in (SUPPLY, "") else ()
        behind = [p for p in net.parts if zones.get(p.tag) == zone and p.tag not in sections]
        if not behind or not regulators:
            continue
        looked += len(behind)
        # The zone at an inlet is the supply's or that of the regulator before it, which still holds, turned up.
        before, regulator = max(((_ahead(ctx, zones[r.tag]), r) for r in regulators), key=lambda one: one[0])
        relief = ctx[RELIEVED].get(zone)
        guards = relief.guards if relief is not None else frozenset()
        eased = min(before, relief.rises_to) if relief is not None and relief.keeps_up else before
        rated = [(r.si, p.tag, r.text) for p in behind if (r := p.spec.quantity_or_none("rating")) is not None]
        weak = sorted(one for one in rated if one[0] < (eased if one[1] in guards else before) * (1 - 1e-9))
        unrated += [p.tag for p in behind if not p.spec.has("rating")]
        kept = [tag for si, tag, _ in sorted(rated) if tag in guards and eased <= si * (1 + 1e-9) < before]
        if kept and relief is not None:
            keeps = "keeps" if len(relief.valves) == 1 else "keep"
            spared.append(
                f"; {several([v.tag for v in relief.valves])} alone {keeps} {several(kept)} within their ratings"
            )
        if weak and relief is not None and relief.keeps_up is None and all(tag in guards for _, tag, _ in weak):
            said = f"whether the relief valve behind {zone} passes all that comes: {relief.unsaid}"
            yield Unchecked(said, *answers_of(relief.unsaid))
        elif weak:
            listed = several([f"{tag} ({text})" for _, tag, text in weak])
            stands = psig(eased if all(tag in guards for _, tag, _ in weak) else before)
            yield Trouble(
                regulator.at,
                f"behind {regulator.tag} {listed} "
                f"{'is' if len(weak) == 1 else 'are'} rated less than {stands}, which stands there when "
                f"{regulator.tag} fails open and nothing burns",
                f"a relief valve there that passes what {regulator.tag} gives wide open, or parts rated "
                f"{stands} or more",
                "a regulator that fails open tells nobody until something behind it lets go",
            )
    if unrated:
        said = f"no rating is stated for {several(unrated, 5)}"
        yield Unchecked(said, *(join("/plumbing/parts", tag, "rating") for tag in unrated))
    return passed(counted(looked, "part") + "".join(spared))
