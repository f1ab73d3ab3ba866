"""Rules on the supply: enough gas, enough boil-off in the cold, and parts rated for the hot cylinder."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from specc import (
    CHOICE,
    Citation,
    Context,
    Cure,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    found,
    not_applicable,
    not_checked,
    psig,
    rule,
    show,
)
from specc.kinds.gas import CYLINDER_PRESSURE, LOWEST_PRESSURE
from specc.kinds.plumbing import (
    NETWORK,
    OPEN,
    RATED_BY_CLASS,
    SUPPLY,
    UNREAD,
    ZONES,
    Network,
    Part,
    regulators_into,
)
from specc.kinds.weather import CASES
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.values import Figure, Scalar
from specc.model.view import join
from specc.model.wording import counted, takes_back
from specc_fuel.calc.boiling import BATH_LIMIT
from specc_fuel.keys import BOIL_OFF_ALL, CYLINDERS, DRAW_HEAT, SUPPLIES, SUPPLY_GAS
from specc_fuel.outlets.turned_up import turned_up
from specc_fuel.show_run.simulated_show import CARRIED, HOLDS_AT_RESERVE
from specc_fuel.supply.cylinders import sun_unsaid, warmest_liquid
from specc_fuel.supply.manifolds import ties
from specc_fuel.wording import rated_up

# Handbook pressures of commercial propane stand 13 to 15 % above those of pure propane, in psig.
MARGIN = Limit(
    "fuel.commercial_margin",
    "15 %",
    "ratio",
    "max",
    "how much higher than pure propane's the pressure of commercial propane is taken, where high is unsafe",
    Citation("lp-gas-handbook", "vapor pressure of commercial propane, 70 °F to 130 °F", "reprint"),
)

_RATED = Citation(
    "ul-144-2021", "clause 7.1, least inlet rating of a regulator at cylinder pressure: 250 psig", "reprint"
)


_SERVICE = Citation("california-13-933", "DOT containers for LP-gas: service pressure at least 240 psi", "read")

LEAST_RATING = Limit(
    "fuel.least_rating", "250 psi", "gauge_pressure", "max", "least rating of a part at cylinder pressure", _RATED
)
SERVICE = Limit(
    "fuel.service_pressure", "240 psi", "gauge_pressure", "max", "least service pressure of a cylinder", _SERVICE
)
HOTTEST = Limit(
    "fuel.liquid_hottest",
    "125 °F",
    "temperature",
    "min",
    "warmest that a cylinder's liquid may be computed to get",
    BATH_LIMIT.citation,
)
_LISTED_TO = 300 * 6894.757293168  # Pa: up to here a listing for cylinder pressure stands in for a rating (our choice)
# What a listing names: the gas, or a standard for what stands at its cylinder pressure (hoses, valves, relief valves,
# regulators, pigtails, connections; the numbers but for UL 21, 144 and 569 and CSA 8.3 from memory).
_LISTING = re.compile(r"\b(LP[ -]?gas|LPG|propane|UL[ -]?(21|125|132|144|569|2061)|CSA[ -]?8\.[13])\b", re.IGNORECASE)


def _is_listing(text: str) -> bool:
    """Whether a text names a listing for LP-gas, and neither denies nor doubts it."""
    return bool(_LISTING.search(text)) and not takes_back(text)


def _f(figure: Figure) -> str:
    case = f" (case: {figure.case})" if figure.case else ""
    return show(figure.si, figure.dim, figure.unit, figure.digits) + case


def _usable(ctx: Context, cylinder: Part) -> float:
    """kg in a cylinder as it is brought, less the reserve."""
    capacity = cylinder.spec.quantity("capacity").si
    holds = cylinder.spec.quantity("contents").si if cylinder.spec.has("contents") else capacity
    return max(min(holds, capacity) - ctx.limit("fuel.reserve").si * capacity, 0.0)


@rule(
    "fuel.enough_gas",
    level="error",
    statement="Each supply holds the gas that it gives over all nights, with the reserve left in each cylinder",
    source=CHOICE,
    needs=(SUPPLY_GAS, SUPPLIES, NETWORK, ZONES),
    reads=("gas",),
    limits=("fuel.reserve",),
)
def enough_gas(ctx: Context) -> Judging:
    supplies = ctx[SUPPLIES]
    if not supplies:
        return not_applicable("no cylinder feeds anything")
    yield from ties(ctx[NETWORK], ctx[ZONES], supplies)
    waiting = [p for p in ctx[NETWORK].of_kind("cylinder") if p.spec.yes("spare")]
    waiting = waiting if ctx.spec("gas").yes("changes") else []
    words = []
    for i, (tag, group) in enumerate(supplies.items()):
        # Spares are dealt out in turn, as the show is followed with them.
        there = (*group, *waiting[i :: len(supplies)])
        usable, burned = sum(_usable(ctx, p) for p in there), ctx[SUPPLY_GAS][tag].si
        give = f"{counted(len(there), 'cylinder')} give{'s' if len(there) == 1 else ''} down to the reserve"
        words.append(f"{tag}: {_lb(burned)} of the {_lb(usable)} that {give}")
        if burned <= usable * (1 + 1e-9):
            continue
        smallest = min(there, key=lambda p: p.spec.quantity("capacity").si).spec.quantity("capacity")
        each = (1 - ctx.limit("fuel.reserve").si) * smallest.si
        more = f"{math.ceil((burned - usable) / each - 1e-9)} more of {smallest.text}" if each > 0 else "more cylinders"
        yield Trouble(
            group[0].at,
            f"the supply of {tag} gives {_lb(burned)} over the show, and its {counted(len(there), 'cylinder')} "
            f"hold {_lb(usable)} with a reserve of {ctx.limit('fuel.reserve').text}",
            f"{more}, full, or scenes that take {math.floor(100 * usable / burned)} % of the gas",
            "a supply that runs low burns weak and late, and tempts somebody to change cylinders in the show",
        )
    return passed("; ".join(words))


@rule(
    "fuel.boil_off",
    level="error",
    statement="The cylinders of each supply, down to their reserve in the low air (above 20 °F counted as 20 °F) and "
    "without a bath, boil off what each scene draws on average",
    source=Citation("lp-gas-dlk-rule", "vaporization by diameter, length and K", "reprint"),
    needs=(BOIL_OFF_ALL, DRAW_HEAT, SUPPLIES, NETWORK, ZONES),
    wants=(CARRIED, HOLDS_AT_RESERVE),
    reads=("gas",),
)
def boil_off_holds(ctx: Context) -> Judging:
    """A warning only where the show as followed holds, from its beginning and from the reserve."""
    if not ctx[SUPPLIES]:
        return not_applicable("no cylinder feeds anything")
    yield from ties(ctx[NETWORK], ctx[ZONES], ctx[SUPPLIES])
    carried = ctx.get(CARRIED)
    from_reserve = {tag for tags in ctx.all(HOLDS_AT_RESERVE).values() for tag in tags} if carried is not None else ()
    bath = ctx.spec("gas").has("bath")
    words = []
    for tag, group in ctx[SUPPLIES].items():
        gives, draws = ctx[BOIL_OFF_ALL][tag], ctx[DRAW_HEAT][tag]
        words.append(f"{tag}: {_f(gives)} boiled off against {_f(draws)} drawn, both gross")
        if gives.si >= draws.si:
            continue
        more = ""
        if gives.si > 0:
            more = f"{math.ceil(draws.si / gives.si * len(group))} such cylinders, drawn from together; "
        holds = carried is not None and tag in carried
        if holds:
            outcome = ", yet holds when it is followed from the reserve on"
        elif carried is None:
            outcome = ", and could not be followed"
        elif tag in from_reserve:
            outcome = ", and falls short when the show is followed"
        else:
            outcome = ", and falls short when it is followed from the reserve on, in the low air"
            outcome += " without its water bath" if bath else ""
        yield Trouble(
            group[0].at,
            f"the supply of {tag} boils off {_f(gives)} and the show draws {_f(draws)} on it{outcome}",
            f"{more}larger ones, or a draw of {_f(gives)}",
            "a cylinder drawn from too hard frosts over, and its pressure falls in the middle of the show",
            level="warning" if holds else None,
        )
    return passed("; ".join(words))


def _lb(si: float) -> str:
    return show(si, "mass", "lb", 3)


@rule(
    "fuel.regulator_supplied",
    level="warning",
    statement="Before gas is drawn, the cylinder's lowest pressure stands a margin above each regulator's setting",
    source=CHOICE,
    needs=(LOWEST_PRESSURE, NETWORK),
    limits=("fuel.inlet_margin",),
)
def regulator_supplied(ctx: Context) -> Verdict:
    lowest, regulators = ctx[LOWEST_PRESSURE], ctx[NETWORK].of_kind("regulator")
    if not regulators:
        return not_applicable("no regulator is described")
    margin = ctx.limit("fuel.inlet_margin")
    return found(
        (
            Trouble(
                join(r.at, "set"),
                f"{r.tag} is set to {r.spec.quantity('set').text}, and the cylinder may stand at {_f(lowest)}",
                "or a warmer supply",
                "below its setting a regulator passes what it gets, and flames burn lower than computed",
                cure=_lower_setting(r, lowest.si - margin.si),
            )
            for r in regulators
            if r.spec.quantity("set").si + margin.si >= lowest.si
        ),
        f"{counted(len(regulators), 'regulator')}, lowest cylinder pressure {_f(lowest)} before gas is drawn",
    )


def _lower_setting(regulator: Part, below: float) -> Cure | None:
    """The highest whole tenth of a psi that is below a pressure (Pa gauge); None when there is none."""
    psi = math.ceil(below / PSI * 10 - 1e-6) / 10 - 0.1
    at = join(regulator.at, "set")
    return Cure(f"a setting of {psi:.1f} psi would pass", ((at, f"{psi:.1f} psi"),)) if psi > 0 else None


def supply_parts(net: Network, zones: Mapping[str, str]) -> tuple[Part, ...]:
    """The parts that see cylinder pressure: from the cylinders up to each regulator's inlet, and what gas gets to from
    there against the flow."""
    ends = ("regulator", UNREAD)  # what cannot be read may be a regulator, and is reported
    seen = set(net.walk((p.tag for p in net.of_kind("cylinder")), net.after, lambda p: p.kind in ends))
    if not net.unread:
        seen |= {tag for tag, zone in zones.items() if zone == SUPPLY}
    return tuple(p for p in net.parts if p.tag in seen and p.kind != UNREAD)


@rule(
    "fuel.rated_for_supply",
    level="error",
    statement="Each part at cylinder pressure is rated 250 psig or more, and for the hottest cylinder, of commercial "
    "propane",
    source=_RATED,
    needs=(CYLINDER_PRESSURE, NETWORK, ZONES),
    reads=("weather",),
    limits=("fuel.commercial_margin", "fuel.least_rating"),
    rests_on=("plumbing.rating",),
)
def rated_for_supply(ctx: Context) -> Judging:
    """Cylinders are held to their service pressure, apart (fuel.service_pressure). Above 250 psig a part that is listed
    for LP-gas at cylinder pressure will do up to 300 psig, with a warning."""
    parts = tuple(p for p in supply_parts(ctx[NETWORK], ctx[ZONES]) if p.kind != "cylinder")
    if not parts:
        ctx[NETWORK].all_read()
        return not_applicable("nothing stands at cylinder pressure")
    yield from sun_unsaid(ctx)
    highest, least = ctx[CYLINDER_PRESSURE], ctx.limit(LEAST_RATING.key)
    computed = highest.si * (1 + ctx.limit("fuel.commercial_margin").si)
    reached = max(computed, least.si)
    for part in parts:
        rating = part.spec.quantity_or_none("rating")
        if rating is None:
            yield Trouble(
                part.at,
                f"{part.tag} sees cylinder pressure, and its rating is not stated",
                f"rating: as stamped on the part; at least {psig(reached)} is needed",
                "a part nobody knows the rating of cannot be shown to hold",
            )
        elif rating.si < reached * (1 - 1e-9):
            listed = part.spec.text_or("listing")
            for_gas = _is_listing(listed)
            excused = for_gas and computed <= _LISTED_TO * (1 + 1e-9) and rating.si >= least.si * (1 - 1e-9)
            yield Trouble(
                join(part.at, "rating"),
                f"{part.tag} is rated {rating.text}, and {least.text} is the least at cylinder pressure"
                if computed <= least.si
                else f"{part.tag} is rated {rating.text}, and may see {psig(computed)}"
                + (f"; it is listed ({listed}) for LP-gas at cylinder pressure" if excused else "")
                + (f"; {listed!r} is no listing for LP-gas" if listed and not for_gas else ""),
                "a part with that rating stamped on it",
                f"the cylinder may reach {_f(highest)} with pure propane, more with commercial",
                level="warning" if excused else None,
                cure=rated_up(part, reached),
            )
    ctx[NETWORK].all_read()
    return passed(f"{counted(len(parts), 'part')} against {psig(reached)}", (p.tag for p in parts))


@rule(
    "fuel.service_pressure",
    level="error",
    statement="Each cylinder has a service pressure of at least 240 psig",
    source=_SERVICE,
    needs=(CYLINDERS,),
    limits=("fuel.service_pressure",),
    rests_on=("plumbing.service_pressure", "plumbing.rating", "plumbing.marking"),
)
def service_pressure(ctx: Context) -> Judging:
    """By the lowest that is stated: `service_pressure:`, or `rating:`."""
    least, unsaid = ctx.limit(SERVICE.key), []
    for part in ctx[CYLINDERS]:
        stated = {
            key: q for key in ("service_pressure", "rating") if (q := part.spec.quantity_or_none(key)) is not None
        }
        if not stated:
            unsaid.append(part)
        yield from (
            Trouble(
                join(part.at, key),
                f"{part.tag} has a service pressure of {quantity.text}",
                "a propane cylinder with that stamped on it",
                "its relief valve is set by it, and opens when the sun warms a cylinder that is made for less",
                cure=Cure(f"{least.text} would pass", ((join(part.at, key), least.text),)),
            )
            for key, quantity in stated.items()
            if quantity.si < least.si * (1 - 1e-9)
        )
    if unsaid:
        said = f"the service pressure of {', '.join(p.tag for p in unsaid)} is not stated (service_pressure:)"
        yield Unchecked(said, *(join(p.at, "service_pressure") for p in unsaid))
    return passed(counted(len(ctx[CYLINDERS]), "cylinder"), (c.tag for c in ctx[CYLINDERS]))


@rule(
    "fuel.liquid_temperature",
    level="error",
    statement="No cylinder's liquid is computed warmer than 125 °F",
    source=BATH_LIMIT.citation,
    needs=(CYLINDERS, CASES),
    reads=("gas", "weather"),
    limits=("fuel.liquid_hottest",),
)
def liquid_temperature(ctx: Context) -> Judging:
    most, cases = ctx.limit(HOTTEST.key), ctx[CASES]
    hottest = max(cases, key=lambda case: case.liquid.si)
    liquid = warmest_liquid(ctx, hottest.liquid)
    warm = show(liquid.si, "temperature", "°F", 3)
    if liquid.si > most.si * (1 + 1e-9):
        bathed = liquid.si > hottest.liquid.si
        sun = "/weather/sun" if hottest.liquid.si > hottest.air.si else "/weather/air"
        yield Trouble(
            "/gas/bath" if bathed else sun,
            f"the liquid may be {warm} warm ({'in its bath' if bathed else f'case: {hottest.name}'}), and {most.text} "
            "is the most",
            "a cooler bath"
            if bathed
            else "cylinders in the shade, or under a wet cloth, and the rise in the sun that is then measured",
            "a full cylinder that warms fills with liquid, and then its relief valve opens",
        )
    yield from sun_unsaid(ctx)
    return passed(f"at most {warm}")


def _highest_setting(regulators: tuple[Part, ...], share: Scalar) -> float:
    """What the highest of them lets stand with no flow, turned up all the way."""
    return max(w.si for r in regulators if (w := turned_up(r, share)) is not None)


def _unrated(parts: list[tuple[Part, float]]) -> Iterator[Trouble]:
    """Parts whose rating nobody states. Those that one line under ratings: would answer are one finding."""
    by_class: dict[str, list[tuple[Part, float]]] = {}
    for part, reached in parts:
        by_class.setdefault(part.kind if part.kind in RATED_BY_CLASS else part.tag, []).append((part, reached))
    for kind, some in by_class.items():
        part, reached = some[0][0], max(reached for _, reached in some)
        if len(some) == 1:
            message = f"{part.tag} may see {psig(reached)}, and its rating is not stated"
            fix = "rating: as stamped on the part"
        else:
            tags = ", ".join(p.tag for p, _ in some)
            message = f"{len(some)} parts of kind {kind} may see up to {psig(reached)}, unrated: {tags}"
            fix = f"ratings: {{{kind}: ..., basis: where it is read}}, or rating: at each as stamped there"
        why = "a part nobody knows the rating of cannot be shown to hold"
        yield Trouble(part.at, message, fix, why, level="warning")


@rule(
    "fuel.rated_for_setting",
    level="error",
    statement="Each part behind a regulator is rated for what stands there, with no flow, at its highest setting",
    source=CHOICE,
    needs=(NETWORK, ZONES),
    limits=("fuel.lock_up",),
    rests_on=("plumbing.rating",),
)
def rated_for_setting(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    regulators = net.of_kind("regulator")
    if not regulators:
        return not_applicable("no regulator is described")
    unsaid = [r for r in regulators if not r.spec.has("highest")]
    if unsaid:
        said = f"the highest setting of {unsaid[0].tag} is not stated (highest:)"
        return not_checked(said, *(join(r.at, "highest") for r in unsaid))
    lock_up = ctx.limit("fuel.lock_up")
    at_supply = {p.tag for p in supply_parts(net, ctx[ZONES])}
    behind = [p for p in net.parts if p.tag not in at_supply and p.kind != UNREAD]
    unrated: list[tuple[Part, float]] = []
    for part in behind:
        # A part that no regulator feeds is not connected: it is held to the highest of all.
        zone = ctx[ZONES][part.tag]
        near = (
            regulators_into(net, ctx[ZONES], zone) if zone not in (OPEN, "") else net.first_above(part.tag, "regulator")
        )
        reached = _highest_setting(near or regulators, lock_up)
        rating = part.spec.quantity_or_none("rating")
        if rating is None:
            unrated.append((part, reached))
        elif rating.si < reached * (1 - 1e-9):
            yield Trouble(
                join(part.at, "rating"),
                f"{part.tag} is rated {rating.text}, and may see {psig(reached)}",
                "a part with that rating stamped on it",
                "somebody may turn the regulator all the way up, by mistake or to see a taller flame",
                cure=rated_up(part, reached),
            )
    yield from _unrated(unrated)
    net.all_read()
    return passed(
        f"{counted(len(behind), 'part')}, each against the regulator before it, up to "
        f"{psig(_highest_setting(regulators, lock_up))}; a regulator that fails open is not covered",
    )


@rule(
    "fuel.regulated",
    level="error",
    statement="A regulator stands between each cylinder and each outlet",
    source=CHOICE,
    needs=(NETWORK, ZONES),
)
def regulated(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    outlets = net.of_kind("burner", "pilot")
    if not outlets:
        net.all_read()
        return not_applicable("no outlets are described")
    at_supply = {p.tag for p in supply_parts(net, ctx[ZONES])}
    if not any(p.tag in at_supply for p in outlets):
        net.all_read()
    return found(
        (
            Trouble(
                p.at,
                f"{p.tag} sees cylinder pressure",
                "a regulator before it",
                "its flow and flame would follow the weather",
            )
            for p in outlets
            if p.tag in at_supply
        ),
        f"{counted(len(outlets), 'outlet')}",
    )
