"""Whether enough gas arrives while all burn: flow, speed, and what the lines lose.

What the lines lose is worked out in line_losses.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from specc import (
    CHOICE,
    PRACTICE,
    Column,
    Context,
    Cure,
    Limit,
    Row,
    Table,
    Trouble,
    Unchecked,
    Verdict,
    Worked,
    figures,
    found,
    not_applicable,
    psig,
    rule,
    show,
    table,
)
from specc.kinds.gas import FLOW, FLOW_TOGETHER
from specc.kinds.plumbing import LINES, NETWORK, Network, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.measure.units import FOOT, INCH
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_fuel.calc.heat import net_heat
from specc_fuel.calc.pipe import CAPACITY, DRAWN_TUBE, PSI
from specc_fuel.network.burning import Burning
from specc_fuel.network.solved_effects import ALONE, TOGETHER, worked
from specc_fuel.outlets.line_losses import losses_behind_regulators, own_loss
from specc_fuel.wording import bore_edits

if TYPE_CHECKING:
    from specc_fuel.network import Element

TOGETHER_SHARE = Limit(
    "fuel.together_share",
    "80 %",
    "ratio",
    "max",
    "least share of its flow alone that an outlet gets while all of a scene burn",
    CHOICE,
)
LINE_LOSS = Limit(
    "fuel.line_loss",
    "10 %",
    "ratio",
    "min",
    "most of a regulator's setting that may be lost in the lines between it and the last orifice",
    CHOICE,
)
MACH = Limit("fuel.line_mach", "30 %", "ratio", "min", "highest speed in a line, as a share of that of sound", CHOICE)
SPEED = Limit(
    "fuel.line_speed", "100 ft/s", "speed", "min", "highest speed of gas in a line that burns steadily", PRACTICE
)

_TELLS = "length:, and bore: or a size with its schedule, type or bore, such as 1/2 in NPT schedule 40"


def _unknown_losses(net: Network, burning: Burning) -> tuple[Part, ...]:
    """What stands on the way to an outlet and loses what nobody says: a line without its bore, a valve without its Cv.
    Short fittings and ball valves are taken to lose nothing."""
    silent = (net.by_tag[tag] for tag in burning.piping.silent)
    return tuple(p for p in silent if p.kind in LINES or (p.kind == "valve" and p.form != "ball"))


@figures(
    FLOW_TOGETHER,
    title="Gas through {tag} while all of a scene burn, at least",
    unit="lb/h",
    worst="min",
    needs=(TOGETHER,),
    per_case=True,
)
def flow_together(ctx: Context) -> Mapping[str, Worked]:
    least: dict[str, Worked] = {}
    for scene, burning in ctx[TOGETHER].items():
        for tag in burning.lit:
            flow = burning.solution.flow[f"jets of {tag}"]
            if tag not in least or flow < least[tag].si:
                least[tag] = worked(ctx, burning, flow, "mass_flow", f"gas through {tag} in {scene}")
    return least


@rule(
    "fuel.enough_together",
    level="warning",
    statement="While all of a scene burn, each outlet gets nearly what it gets alone",
    source=CHOICE,
    needs=(FLOW, FLOW_TOGETHER, NETWORK, ALONE, TOGETHER, CASES, AIR_PRESSURE),
    limits=("fuel.together_share",),
    recalls=(DRAWN_TUBE.citation,),
)
def enough_together(ctx: Context) -> Judging:
    share, net = ctx.limit(TOGETHER_SHARE.key), ctx[NETWORK]
    together, alone = ctx[FLOW_TOGETHER], ctx[FLOW]
    if not together:
        return not_applicable("no scene burns anything steadily")
    yield from _not_counted(ctx, of_throttles=True)
    lowest = 1.0
    for tag, least in together.items():
        by_case = {c.case: c.worked.si for c in alone[tag].cases} if tag in alone else {}
        shares = [(c.worked.si / by_case[c.case], c.case) for c in least.cases if by_case.get(c.case, 0.0) > 0]
        got, case = min(shares, default=(1.0, ""))
        lowest = min(lowest, got)
        if got < share.si * (1 - 1e-9):
            yield Trouble(
                net.by_tag[tag].at,
                f"{tag} gets {got:.0%} of what it gets alone while all burn",
                f"at least {share.text}: wider or shorter lines, or a regulator of its own",
                "its flame changes whenever another is lit or put out, and may go out",
                cure=_wider_for_all(ctx, tag, case, share.si),
            )
    return passed(f"{counted(len(together), 'outlet')}, the least with {lowest:.0%} of its flow alone")


def _not_counted(ctx: Context, *, of_throttles: bool) -> Iterator[str]:
    """What cannot be judged of a scene's lines, since nobody says what they lose."""
    net = ctx[NETWORK]
    lost = {
        p.tag: None
        for scenes in ctx.all(TOGETHER).values()
        for burning in scenes.values()
        for p in _unknown_losses(net, burning)
        if of_throttles or p.form != "needle"
    }
    if lost:
        lose = "loses" if len(lost) == 1 else "lose"
        keys = ((tag, key) for tag in lost for key in ("cv", "bore", "length") if not net.by_tag[tag].spec.has(key))
        said = f"what {several(list(lost))} {lose} is not known (cv:, or bore: and length:)"
        yield Unchecked(said, *(join("/plumbing/parts", *steps) for steps in keys))


def _wider_for_all(ctx: Context, outlet: str, case: str, share: float) -> Cure | None:
    """The bore of the line that loses most while all burn with which an outlet gets its share, in steps of a sixteenth
    of an inch, by solving the network again; None where four times its bore is not enough, as where a valve loses."""
    from specc_fuel.network import NotSettled, Pipeline

    net, air = ctx[NETWORK], ctx[AIR_PRESSURE].si
    warm = next(c.air.si for c in ctx[CASES] if c.name == case)
    scenes = [b for b in ctx.all(TOGETHER)[case].values() if outlet in b.lit]
    least = min(scenes, key=lambda b: b.solution.flow[f"jets of {outlet}"])
    pressure = least.solution.pressure
    lines = [
        (abs(pressure[e.start] - pressure[e.end]), e)
        for e in least.piping.elements
        if isinstance(e, Pipeline) and (p := net.part(e.tag)) is not None and p.kind in LINES
    ]
    if not lines:
        return None
    _, line = max(lines, key=lambda one: one[0])
    sixteenths = math.floor(line.bore / INCH * 16) + 1
    for bore in range(sixteenths, 4 * sixteenths + 1):
        try:
            got, alone = (
                _flow_with(burning, outlet, line.tag, bore / 16 * INCH, warm, air)
                for burning in (least, ctx.all(ALONE)[case][outlet])
            )
        except NotSettled:
            continue
        # A hundredth more, since another scene or case may then be the worst.
        if got >= 1.01 * share * alone:
            edits = bore_edits(net.by_tag[line.tag], bore / 16)
            return Cure(f"a bore of {bore / 16:g} in for {line.tag} would pass", edits)
    return None


def _flow_with(burning: Burning, outlet: str, line: str, bore: float, warm: float, air: float) -> float:
    """The flow (kg/s) through an outlet with another bore (m) of one line, all else as it was solved."""
    from specc_fuel import network
    from specc_fuel.network import Pipeline, held_node, supply_tag

    elements = [
        e._replace(bore=bore) if isinstance(e, Pipeline) and e.tag == line else e for e in burning.piping.elements
    ]
    solved = burning.solution
    supplies = [held_node(node, p) for node, p in solved.pressure.items() if supply_tag(node) in solved.flow]
    return network.solve(elements, supplies, network.propane(warm), air).flow[f"jets of {outlet}"]


class _Passing(NamedTuple):
    """A part that gas passes in one solved state."""

    part: Part
    element: Element
    burning: Burning
    case: str
    steady: bool  # in a scene; else in a burst, alone
    name: str

    @property
    def what(self) -> str:
        return f"{'scene' if self.steady else 'alone'} {self.name}"


def _passing(ctx: Context) -> Iterator[_Passing]:
    """Every part with a law, in every scene, and in every burst alone, in every weather case."""
    net = ctx[NETWORK]
    for key, steady in ((TOGETHER, True), (ALONE, False)):
        for case, solved in ctx.all(key).items():
            seen: set[int] = set()
            for name, burning in solved.items():
                if id(burning) in seen:
                    continue
                seen.add(id(burning))
                for element in burning.piping.elements:
                    part = net.part(element.tag)
                    if part is not None:
                        yield _Passing(part, element, burning, case, steady, name)


def _wider(part: Part, element: Element, over: float) -> Cure | None:
    """The bore that brings the speed down by `over`. Speed goes with one over the square of the bore while the flow
    stays, and a wider line passes more: a tenth is added for that."""
    from specc_fuel.network import Pipeline

    if not isinstance(element, Pipeline):
        return None
    inches = math.ceil(element.bore * math.sqrt(over) * 1.1 / INCH * 100) / 100
    return Cure(f"a bore of {inches:g} in would pass", bore_edits(part, inches))


@rule(
    "fuel.line_speed",
    level="warning",
    statement="Gas in the lines stays well below the speed of sound, and slow where it burns steadily",
    source=PRACTICE,
    needs=(TOGETHER, ALONE, NETWORK),
    limits=("fuel.line_mach", "fuel.line_speed"),
)
def line_speed(ctx: Context) -> Judging:
    most_mach, most_speed = ctx.limit(MACH.key), ctx.limit(SPEED.key)
    worst: dict[str, tuple[float, Trouble]] = {}
    fastest, mach_of = 0.0, 0.0
    looked = set()
    for p in _passing(ctx):
        speed, mach = p.burning.solution.speed.get(p.part.tag), p.burning.solution.mach.get(p.part.tag)
        if speed is None or mach is None or p.part.kind not in LINES:
            continue
        looked.add(p.part.tag)
        fastest, mach_of = max(fastest, speed), max(mach_of, mach)
        over = max(mach / most_mach.si, speed / most_speed.si if p.steady else 0.0)
        if over > 1 + 1e-9 and over > worst.get(p.part.tag, (0.0, None))[0]:
            limit = f"Mach {most_mach.si:g}" + (f" and {most_speed.text}" if p.steady else "")
            worst[p.part.tag] = (
                over,
                Trouble(
                    p.part.at,
                    f"gas runs at {show(speed, 'speed', 'ft/s', 3)}, {_mach(mach)}, in {p.part.tag} "
                    f"({p.what}, case: {p.case})",
                    f"at most {limit}, in a wider line",
                    "fast gas is loud, wears what it meets, and loses pressure that the far end then lacks",
                    cure=_wider(p.part, p.element, over),
                ),
            )
    yield from (trouble for _, trouble in worst.values())
    if lost := _bores_unknown(ctx):
        words = f"how fast gas runs in {several(lost)} (bore: and length:)"
        yield Unchecked(words, *(join("/plumbing/parts", tag, key) for tag in lost for key in ("bore", "length")))
    if not looked:
        return not_applicable("no line with a known bore carries gas")
    return passed(f"{counted(len(looked), 'line')}, up to {show(fastest, 'speed', 'ft/s', 3)} and {_mach(mach_of)}")


def _mach(number: float) -> str:
    return "under Mach 0.01" if 0 < number < 0.01 else f"Mach {number:.2f}"


def _bores_unknown(ctx: Context) -> list[str]:
    """Lines that gas runs through, and nobody says how wide or long they are."""
    burnings = [b for key in (TOGETHER, ALONE) for solved in ctx.all(key).values() for b in solved.values()]
    silent = dict.fromkeys(tag for burning in burnings for tag in burning.piping.silent)
    return [tag for tag in silent if ctx[NETWORK].by_tag[tag].kind in LINES]


def _shorter(
    net: Network, burning: Burning, outlet: str, regulator: Part, got: float, share: float, air: float
) -> Cure | None:
    """The length of the line that loses most, with which the rest may lose what it does; None where that is not enough.

    More gas runs when less is lost: losses are taken to grow as the square of the flow through a hole that does not
    choke, pressure over the air's times absolute pressure, which is more than a choked one passes; a twentieth is
    taken off for the rest.
    """
    setting = regulator.spec.quantity("set").si
    at_end, then = setting * (1 - got), setting * (1 - share)
    if at_end <= 0:
        return None
    grows = then / at_end * (then + air) / (at_end + air)
    elements = {e.tag: e for e in burning.piping.elements}
    between = {p.tag for p in net.downstream(regulator.tag)} & {p.tag for p in net.upstream(outlet)}
    losses = [
        (own_loss(burning, elements.get(p.tag), p, air).most, p)
        for p in net.parts
        if p.tag in between and p.kind in LINES and p.spec.has("length")
    ]
    if not losses:
        return None
    own, part = max(losses, key=lambda one: one[0])
    left = share * setting - (got * setting - own) * grows
    feet = 0.95 * left / (own * grows) * part.spec.quantity("length").si / FOOT if own > 0 else 0.0
    feet = math.floor(feet * 10) / 10
    if feet <= 0:
        return None
    return Cure(f"{feet:g} ft of {part.tag} would pass", ((join(part.at, "length"), f"{feet:g} ft"),))


@rule(
    "fuel.line_capacity",
    level="warning",
    statement="The lines from a regulator to its outlets lose little of its setting, by friction and by the code",
    source=CAPACITY.citations[0],
    needs=(TOGETHER, NETWORK, AIR_PRESSURE),
    limits=("fuel.line_loss",),
)
def line_capacity(ctx: Context) -> Judging:
    net, share, air = ctx[NETWORK], ctx.limit(LINE_LOSS.key), ctx[AIR_PRESSURE].si
    worst: dict[str, tuple[float, str, str, Burning]] = {}
    looked = set()
    for case, scenes in ctx.all(TOGETHER).items():
        for scene, burning in scenes.items():
            for outlet, ways in losses_behind_regulators(net, burning, air).items():
                for regulator, loss in ways.items():
                    looked.add(outlet)
                    got = loss.most / net.by_tag[regulator].spec.quantity("set").si
                    if outlet not in worst or got > worst[outlet][0]:
                        worst[outlet] = (got, f"{scene}, case: {case}", regulator, burning)
    if not looked:
        return not_applicable("no outlet that burns steadily stands behind a regulator")
    yield from _not_counted(ctx, of_throttles=False)
    yield from [
        Trouble(
            net.by_tag[outlet].at,
            f"the lines from {regulator} to {outlet} lose {got:.0%} of its setting ({where})",
            f"at most {share.text}: wider or shorter lines",
            "flames then depend on each other, and on how the hose lies",
            cure=_shorter(net, burning, outlet, net.by_tag[regulator], got, share.si, air),
        )
        for outlet, (got, where, regulator, burning) in worst.items()
        if got > share.si * (1 + 1e-9)
    ]
    most = max((w[0] for w in worst.values()), default=0.0)
    return passed(f"{counted(len(looked), 'outlet')}, at most {most:.1%} lost")


@rule(
    "fuel.regulators_hold",
    level="warning",
    statement="Each regulator holds its setting while all of a scene burn",
    source=CHOICE,
    needs=(TOGETHER, NETWORK),
)
def regulators_hold(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    open_in: dict[str, str] = {}
    looked: dict[str, None] = {}
    for case, scenes in ctx.all(TOGETHER).items():
        for scene, burning in scenes.items():
            for tag, state in burning.solution.regulators.items():
                looked[tag] = None
                # One set above the supply has a rule of its own.
                if state == "wide open" and net.by_tag[tag].spec.quantity("set").si < burning.supply:
                    open_in.setdefault(tag, f"the scene {scene}, case: {case}")
    if not looked:
        return not_applicable("no regulator feeds what burns steadily")
    for tag, where in open_in.items():
        yield Trouble(
            join(net.by_tag[tag].at, "set"),
            f"{tag} stands wide open in {where}, and passes less than it is set to",
            "a lower setting, a larger regulator, or a warmer supply",
            "its flames burn lower than meant, and rise when others are put out",
        )
    # With neither it is taken to pass whatever is asked of it.
    if bare := [tag for tag in looked if not any(net.by_tag[tag].spec.has(key) for key in ("seat", "capacity"))]:
        words = f"how much {several(bare)} {'passes' if len(bare) == 1 else 'pass'} at most (seat: or capacity:)"
        yield Unchecked(words, *(join(net.by_tag[tag].at, key) for tag in bare for key in ("seat", "capacity")))
    return passed(counted(len(looked), "regulator"))


@rule(
    "fuel.losses_known",
    level="note",
    statement="What each part in flow order loses is known",
    source=CHOICE,
    needs=(ALONE, NETWORK),
)
def losses_known(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    silent: set[str] = set()
    unknown: dict[str, Part] = {}
    passed_by: set[str] = set()
    for solved in ctx.all(ALONE).values():
        for burning in solved.values():
            silent.update(burning.piping.silent)
            unknown.update({p.tag: p for p in _unknown_losses(net, burning)})
            passed_by.update(burning.piping.before)
    if not passed_by:
        return not_applicable("no gas reaches an outlet")
    troubles = [
        Trouble(
            part.at,
            f"what {part.tag} ({part.title}) loses is not known, and is left out of the flow",
            _TELLS if part.kind in LINES else "cv: from its data sheet",
            "what arrives is less than computed, so that flames are not shown to be large enough",
            "warning" if part.kind in LINES else None,
        )
        for part in unknown.values()
    ]
    small = len(silent) - len(troubles)
    words = f"{counted(len(passed_by), 'part')}; {small} short fittings and full-bore valves taken to lose nothing"
    return found(troubles, words)


@table(
    "fuel.network",
    title="The network as solved, usual weather, in the scene in which most burns",
    needs=(TOGETHER, NETWORK, AIR_PRESSURE),
)
def network_table(ctx: Context) -> Table:
    from specc_fuel.network import AIR

    net, air = ctx[NETWORK], ctx[AIR_PRESSURE].si
    scenes = ctx.all(TOGETHER).get("usual", {})
    columns = (
        Column("part", 1.6),
        Column("gas", 1.0, "right"),
        Column("before", 1.0, "right"),
        Column("after", 1.0, "right"),
        Column("lost", 1.0, "right"),
        Column("speed", 1.0, "right"),
        Column("heat, net", 1.2, "right"),
    )
    if not scenes:
        return Table("", "", columns, ())
    scene, burning = max(scenes.items(), key=lambda item: len(item[1].lit))
    solution = burning.solution
    rows, losses = [], []
    for element in burning.piping.elements:
        part = net.part(element.tag)
        start = solution.pressure[element.start] - air
        end = (solution.pressure[element.end] if element.end != AIR else air) - air
        speed = solution.speed.get(element.tag)
        lost = start - end
        if part is not None and part.kind not in ("regulator", "orifice"):
            losses.append((lost, element.tag))
        rows.append(
            Row(
                (
                    element.tag,
                    show(solution.flow[element.tag], "mass_flow", "lb/h", 3),
                    psig(start),
                    psig(end),
                    _psi(lost),
                    show(speed, "speed", "ft/s", 2) if speed is not None else "",
                    # What burns, burns at the jets.
                    show(net_heat(solution.flow[element.tag]), "power", "BTU/h", 3) if element.end == AIR else "",
                )
            )
        )
    most = max(losses, default=None)
    note = (
        f"Scene {scene}. "
        + (f"Of lines, valves and fittings {most[1]} takes the most, {_psi(most[0])}. " if most else "")
        + (f"Taken to lose nothing: {', '.join(burning.piping.silent)}." if burning.piping.silent else "")
    )
    return Table("", "", columns, tuple(rows), note)


def _psi(si: float) -> str:
    """A loss, no finer than the pressures that it lies between."""
    return "< 0.01 psi" if 0 < abs(si) < 0.01 * PSI else show(si, "pressure_difference", "psi", 2)
