"""Solenoid valves as the wiring works them: what they open against, their listing and enclosure, and letting go."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from specc import (
    PRACTICE,
    Citation,
    Column,
    Constant,
    Context,
    FigureSet,
    Judging,
    Key,
    Limit,
    Row,
    Table,
    Trouble,
    Unchecked,
    Verdict,
    Worked,
    answers_of,
    figures,
    found,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
    table,
)
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, SUPPLY, ZONE_PRESSURE, ZONES, Network, Part, zone_tag
from specc.measure.units import PSI
from specc.model.values import Figure, Scalar
from specc.model.wording import counted, several, takes_back
from specc_control.backward import behind
from specc_control.calc import coil
from specc_control.electric import WAYS, draw, without_way
from specc_control.entries import WIRING, ControlPart, Wiring, nothing

_STANDARDS = Citation("gas-valve-notes", "automatic gas valves: up to 60 psi; EN 161: up to 5 bar", "reprint")
_DIFFERENCE = Citation("valve-coil-guide", "pressure differences between which a solenoid valve opens", "read")
_LET_GO = Citation("output-leakage-notes", "leakage under a tenth of the coil's current", "read")
MOST_LISTED = Constant(5e5, "gauge_pressure", "5 bar, the more of the two", _STANDARDS)
DROP_OUT = Limit(
    "control.drop_out",
    "10 %",
    "ratio",
    "min",
    "The most of a coil's current that an output may leak while it is off, where the coil gives no drops_out:",
    _LET_GO,
)
RELEASE = Limit(
    "control.release_time", "0.2 s", "duration", "min", "The longest that a coil may hold on by its own diode", PRACTICE
)
LEAKS: Key[FigureSet] = Key("control.leakage_share", dict)
RELEASES: Key[FigureSet] = Key("control.release", dict)
_DIODE = Constant(0.7, "voltage", "0.7 V, a plain diode", coil.LEAKAGE)
_TENTH = Constant(0.1, "ratio", "10 %, where the coil gives no drops_out:", _LET_GO)


def _accumulators_by(net: Network, valve: Part) -> tuple[list[str], list[str]]:
    """Accumulators ahead of a valve and behind it with no regulator or orifice between."""

    def ends(part: Part) -> bool:
        return part.kind in ("regulator", "orifice")

    def accumulators(met: Iterable[str]) -> list[str]:
        return [t for t in met if net.by_tag[t].kind == "accumulator"]

    ahead = net.walk(net.up.get(valve.tag, ()), net.up, ends)
    behind = net.walk(net.after.get(valve.tag, ()), net.after, ends)
    return accumulators(ahead), accumulators(behind)


def _pressures(ctx: Context, valve: Part) -> tuple[Scalar | Figure, float] | None:
    """The highest gauge pressure ahead of a valve, and the least that the zone has at work; None where not known."""
    zone = ctx[ZONES].get(valve.tag, "")
    figures_ = ctx.get(ZONE_PRESSURE) or {}
    highest: Figure | None = ctx.get(CYLINDER_PRESSURE) if zone == SUPPLY else figures_.get(zone_tag(zone, "lock_up"))
    at_work = highest if zone == SUPPLY else figures_.get(zone_tag(zone, "set"))
    if highest is None or at_work is None:
        return None
    return highest, min(c.worked.si for c in at_work.cases)


# A gas, or a standard for automatic gas valves (their numbers from memory).
_GAS_LISTING = re.compile(r"\b(gas|LP[ -]?gas|LPG|propane|EN ?161|UL ?429|Z21\.21|CSA ?6\.5)\b", re.IGNORECASE)


_NAMED_PRESSURE = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?(psi|bar|kPa)", re.IGNORECASE)
_PASCALS = {"psi": PSI, "bar": 1e5, "kpa": 1e3}


def _pressure_named(text: str) -> float | None:
    """The highest pressure that the text of a listing names, Pa; None where it names none."""
    return max((float(n) * _PASCALS[unit.lower()] for n, unit in _NAMED_PRESSURE.findall(text)), default=None)


def _is_listed(text: str) -> bool:
    """Whether a text names a listing for gas, and neither denies nor doubts it."""
    return bool(_GAS_LISTING.search(text)) and not takes_back(text)


def _keeps_rain_out(enclosure: str) -> bool:
    """By the second digit of IEC 60529 (splashing water from all sides is 4), or a type of NEMA 250 for outdoors. Both
    from memory; types 1, 2, 5, 12 and 13 are for indoors."""
    name, _, kind = enclosure.partition(" ")
    return kind[:1] in ("3", "4", "6") if name == "NEMA" else enclosure[3] not in "0123X"


def _valve(ctx: Context, valve: Part) -> Iterator[Trouble | str]:
    spec, net = valve.spec, ctx[NETWORK]
    asked = ("greatest_difference", "least_difference", "enclosure", "arrow", "listed_to")
    lacks = [key for key in asked if not spec.has(key)]
    lacks += [] if _is_listed(spec.text_or("listed")) else ["listed"]
    if lacks:
        yield Unchecked(f"{', '.join(f'{key}:' for key in lacks)} of {valve.tag}", *map(spec.here, lacks))
    if (coil_in := spec.text_or("enclosure")) and not _keeps_rain_out(coil_in):
        yield Trouble(
            spec.here("enclosure"),
            f"the coil of {valve.tag} is {coil_in}, which rain gets into",
            "IP54, NEMA 3R or better out of doors",
        )
    if spec.text_or("arrow") == "against the gas":
        yield Trouble(
            spec.here("arrow"),
            f"{valve.tag} is mounted with its arrow against the gas",
            "turn it round, so that the arrow points to the outlet",
            "what lies ahead of it lifts its seat: it leaks, or opens by itself",
        )
    known = _pressures(ctx, valve)
    if known is None:
        yield Unchecked(f"the pressure ahead of {valve.tag}", "/plumbing/runs")
        return
    highest, least = known
    most = show(highest.si, "gauge_pressure", "psi")
    if spec.has("greatest_difference") and (opens := spec.quantity("greatest_difference")).si < highest.si:
        yield Trouble(
            opens.at,
            f"{valve.tag} opens against {opens.text} at most, and {most} stand ahead of it",
            f"a valve that opens against {most} and more, or a lower setting ahead of it",
            "it stays shut, or hangs half open",
        )
    if spec.has("listed_to") and (listed := spec.quantity("listed_to")).si < highest.si:
        yield Trouble(
            listed.at,
            f"{valve.tag} is listed up to {listed.text}, and {most} stand ahead of it",
            f"a valve listed for {most} and more, or a lower setting ahead of it",
            "a listing says nothing of a pressure that it was never tried at",
        )
    named = _pressure_named(spec.text_or("listed"))
    if named is not None and spec.has("listed_to") and named < spec.quantity("listed_to").si * (1 - 1e-6):
        yield Trouble(
            spec.here("listed"),
            f"{valve.tag} is listed as {spec.text('listed')!r}, and listed_to: says {spec.quantity('listed_to').text}",
            "the pressure that stands on its plate, in both",
            "which of the two is true decides what it may hold",
        )
    if _is_listed(spec.text_or("listed")) and highest.si > MOST_LISTED.si:
        yield Trouble(
            spec.here("listed"),
            f"{most} stand ahead of {valve.tag}; no listing of gas valves goes above 60 psi, or 5 bar",
            "the valve behind a regulator of at most 60 psi",
            "a listing says nothing of a pressure that it was never tried at",
        )
    if spec.has("least_difference") and (needs := spec.quantity("least_difference")).si > 0:
        ahead, behind = _accumulators_by(net, valve)
        if ahead or behind:
            how = f"falls as {several(ahead)} empties" if ahead else f"is nothing once {several(behind)} is full"
            yield Trouble(
                needs.at,
                f"{valve.tag} needs {needs.text} of difference to open and stay open, which {how}",
                "a direct-acting valve (least_difference: 0 psi)",
                "a pilot-operated valve without its difference flutters, or does not open",
            )
        elif needs.si > least:
            yield Trouble(
                needs.at,
                f"{valve.tag} needs {needs.text} of difference to open; {show(least, 'gauge_pressure', 'psi', 2)} "
                "stand ahead of it at work",
                "a direct-acting valve (least_difference: 0 psi)",
                "it does not open, or not wholly",
            )


@rule(
    "control.valve_fits",
    level="error",
    statement="Each solenoid valve is listed for gas, opens at the most and the least pressure ahead of it, has its "
    "arrow the way gas flows, and keeps rain out",
    source=_DIFFERENCE,
    needs=(NETWORK, ZONES),
    wants=(ZONE_PRESSURE, CYLINDER_PRESSURE),
    rests_on=(
        *("plumbing.greatest_difference", "plumbing.least_difference"),
        *("plumbing.listed", "plumbing.listed_to", "plumbing.enclosure", "plumbing.arrow"),
    ),
)
def valve_fits(ctx: Context) -> Verdict:
    """What stands in each zone with its regulators at rest."""
    solenoids = [p for p in ctx[NETWORK].of_kind("valve") if p.form == "solenoid"]
    if not solenoids:
        return not_applicable("no solenoid valve is in the plumbing")
    said = [one for part in solenoids for one in _valve(ctx, part)]
    troubles = [one for one in said if isinstance(one, Trouble)]
    missing = [one for one in said if isinstance(one, str)]
    if missing and not troubles:
        return not_checked(f"not stated: {'; '.join(missing)}", *answers_of(*missing))
    return found(troubles, counted(len(solenoids), "valve"))


_BETWEEN = ("fitting", "nipple", "pipe", "tube", "hose")


def _next(net: Network, valve: Part, ways: Mapping[str, tuple[str, ...]]) -> str:
    """The first part on the way from a valve that is more than a way for the gas: by what a person finds it."""
    met = net.walk(ways.get(valve.tag, ()), ways, lambda p: p.kind not in _BETWEEN)
    return next((tag for tag in met if net.by_tag[tag].kind not in _BETWEEN), next(iter(met), "nothing"))


@table("control.valves", title="Solenoid valves as they are mounted", needs=(NETWORK,))
def mounted(ctx: Context) -> Table:
    """For whoever mounts or looks at them: which way the arrow points, and what presses from behind."""
    net = ctx[NETWORK]
    rows = []
    for p in (p for p in net.of_kind("valve") if p.form == "solenoid"):
        pressing = behind(net, p)
        holds = (
            f"it holds {p.spec.quantity('holds_back').text}" if p.spec.has("holds_back") else "not stated what it holds"
        )
        rows.append(
            Row(
                (
                    p.tag,
                    p.spec.text_or("place", "place not stated"),
                    f"from {_next(net, p, net.before)} to {_next(net, p, net.after)}",
                    p.spec.text_or("arrow", "not stated"),
                    f"{several(pressing)} may press; {holds}" if pressing else "nothing presses",
                )
            )
        )
    columns = (Column("tag"), Column("place"), Column("gas", 2), Column("arrow"), Column("from behind", 2))
    return Table("", "", columns, tuple(rows))


@figures(LEAKS, title="Leakage through coil {tag} while it is off, of its current", worst="max", needs=(WIRING, WAYS))
def leakage(ctx: Context) -> dict[str, Worked]:
    """Of coils and relays behind outputs of a controller, all of them leaking together; contacts leak nothing."""
    w = ctx[WIRING]
    made = {}
    for part in _held(w):
        outputs = _outputs(ctx, part.tag)
        leaks = tuple(w.parts[o].spec.quantity("leakage") for o in outputs if w.parts[o].spec.has("leakage"))
        if not outputs or len(leaks) < len(outputs) or not (part.spec.has("voltage") and part.spec.has("power")):
            continue
        volts = part.spec.quantity("voltage")
        ohms = coil.coil_resistance.work(f"resistance of {part.tag}", voltage=volts, power=part.spec.quantity("power"))
        together = leaks[0] if len(leaks) == 1 else coil.current_sum.work(f"leaks to {part.tag}", currents=leaks)
        made[part.tag] = coil.leakage_share.work(
            f"leakage through {part.tag}", leakage=together, resistance=ohms, voltage=volts
        )
    return made


def _held(w: Wiring) -> tuple[ControlPart, ...]:
    """What a leak may hold: coils of valves, and relays, whose contacts then feed them."""
    return w.of_kind("coil", "relay", "timer")


def _outputs(ctx: Context, load: str) -> tuple[str, ...]:
    """Controllers on the way to a load."""
    w = ctx[WIRING]
    of = {e.name: e.tag for e in w.circuit.edges}
    tags = [of[name] for way in ctx[WAYS] if way.load == load for name in way.edges]
    return tuple(dict.fromkeys(t for t in tags if w.parts[t].kind == "controller"))


@figures(RELEASES, title="Coil {tag} holds on by its own diode", unit="ms", needs=(WIRING,))
def releases(ctx: Context) -> dict[str, Worked]:
    made = {}
    for p in ctx[WIRING].of_kind("coil"):
        amps = draw(p)
        if amps is None or not p.spec.has("inductance") or p.spec.text_or("suppression") != "diode":
            continue
        ohms = coil.coil_resistance.work(
            f"resistance of {p.tag}", voltage=p.spec.quantity("voltage"), power=p.spec.quantity("power")
        )
        made[p.tag] = coil.coil_release.work(
            f"release of {p.tag}",
            inductance=p.spec.quantity("inductance"),
            resistance=ohms,
            current=amps,
            suppression=_DIODE,
            share=p.spec.quantity_or_none("drops_out") or _TENTH,
        )
    return made


@rule(
    "control.lets_go",
    level="error",
    statement="Each coil and relay lets go when it is switched off: no leak and no diode holds it",
    source=_LET_GO,
    needs=(WIRING, WAYS, LEAKS, RELEASES),
    limits=(DROP_OUT.key, RELEASE.key),
    rests_on=("control.leakage", "control.suppression"),
)
def lets_go(ctx: Context) -> Judging:
    coils = ctx[WIRING].of_kind("coil")
    if not coils:
        return nothing(ctx[WIRING], "no coil is wired")
    lost = [t for t in without_way(ctx[WIRING], ctx[WAYS]) if ctx[WIRING].parts[t].kind in ("coil", "relay", "timer")]
    missing = [Unchecked(f"the way to {several(lost)}", "/control/lines")] if lost else []
    longest = ctx.limit(RELEASE.key)
    for p in _held(ctx[WIRING]):
        least = p.spec.quantity_or_none("drops_out") or ctx.limit(DROP_OUT.key)
        outputs = _outputs(ctx, p.tag)
        if outputs and p.tag not in ctx[LEAKS]:
            keys = [ctx[WIRING].parts[tag].spec.here("leakage") for tag in outputs]
            keys += map(p.spec.here, ("voltage", "power"))
            missing.append(Unchecked(f"leakage: of {several(outputs)}, or voltage: and power: of {p.tag}", *keys))
        elif outputs and ctx[LEAKS][p.tag].si > least.si:
            yield Trouble(
                p.at,
                f"{several(outputs)} leaks {ctx[LEAKS][p.tag].si:.0%} of the current of {p.tag} while off; it lets "
                f"go at {least.text}",
                "a relay's contact in its place, or a resistor beside the coil",
                "the valve stays open with its output off",
            )
        if p.kind != "coil":
            continue
        held = p.spec.text_or("suppression")
        if not held:
            missing.append(Unchecked(f"suppression: of {p.tag}", p.spec.here("suppression")))
        elif held == "diode" and p.tag not in ctx[RELEASES]:
            said = f"inductance: of {p.tag}, by which its diode holds it on"
            missing.append(Unchecked(said, p.spec.here("inductance")))
        elif held == "diode" and ctx[RELEASES][p.tag].si > longest.si:
            yield Trouble(
                p.spec.here("suppression"),
                f"its diode holds {p.tag} on for {show(ctx[RELEASES][p.tag].si, 'duration', 's', 2)}; the limit is "
                f"{longest.text}",
                "suppression: zener",
                "the valve closes late at every stop, and welding contacts come of it",
            )
    if missing:
        return not_checked(f"not stated: {'; '.join(missing)}", *answers_of(*missing))
    return passed(counted(len(coils), "coil"))
