"""What the lines before and behind a relief valve take from it.

A valve that loses too much on the way in shuts as soon as it opens, and chatters; one with too much standing behind it
opens late. Both losses are computed at all that the valve passes, with the gas as warm, and so as thin, as it gets,
and with all lines as rough as hose is taken to be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from specc import Citation, Context, Cure, Limit, Quantity, show
from specc.kinds.plumbing import FITTED, LINES, NETWORK, Network, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.measure.units import INCH
from specc.model.view import join
from specc_fuel import network
from specc_fuel.calc.fittings import loss_of
from specc_fuel.calc.isothermal import IsothermalGas
from specc_fuel.calc.pipe import HOSE
from specc_fuel.network import Pipeline
from specc_fuel.network.from_plumbing import bore_of
from specc_fuel.wording import bore_edits, rounded_up

INLET_LOSS = Limit(
    "fuel.relief_inlet_loss",
    "3 %",
    "ratio",
    "min",
    "most of the pressure that a relief valve opens at which the way to it may take while it passes all that it can",
    Citation("api-520-2", "6.2: 3 % of the set pressure, not recovered", "reprint"),
)
BACK_PRESSURE = Limit(
    "fuel.relief_back_pressure",
    "10 %",
    "ratio",
    "min",
    "most of the pressure that a relief valve opens at which may stand behind it while it passes all that it can",
    Citation("api-520-1", "5.3.3.1.3: built-up back pressure at 10 % overpressure", "reprint"),
)
# K of a line that gas goes into by a sharp edge; common practice, no published source.
_ENTRANCE = 0.5
_FINE = 60  # halvings: to the last digit


def way_to(net: Network, valve: Part) -> Iterator[Part]:
    """What stands between a relief valve and the first place where lines meet, or what it guards."""
    above = net.before.get(valve.tag, ())
    while len(above) == 1:
        part = net.by_tag[above[0]]
        ends = part.kind in ("accumulator", "regulator", "cylinder") or part.form in ("tee", "cross", "manifold")
        if ends or len(net.after.get(part.tag, ())) > 1:
            return
        yield part
        above = net.before.get(part.tag, ())


def way_from(net: Network, valve: Part) -> list[Part]:
    """What stands behind it, in flow order."""
    return [net.by_tag[t] for t in net.walk(net.after.get(valve.tag, ()), net.after)]


def _unknown(ctx: Context, part: Part) -> str:
    """What of a line is not said, so that what it takes is not known."""
    bore, length = bore_of(ctx[FITTED][part.tag]), ctx[FITTED][part.tag].measures.get("length")
    if part.kind in LINES and (bore is None or length is None):
        return "of unknown bore" if bore is None else "of unknown length"
    return ""


def _laws(ctx: Context, parts: Sequence[Part], wider: float = 1.0) -> list[Pipeline]:
    """The laws of what gas passes in a row; what nobody says anything of takes nothing. `wider`: lines' bores."""
    made: list[Pipeline] = []
    entered = False
    for part in parts:
        measures = ctx[FITTED][part.tag].measures
        bore, length = bore_of(ctx[FITTED][part.tag]), measures.get("length")
        if bore is None:
            continue
        if part.kind in LINES and length is not None:
            made.append(Pipeline(part.tag, "", "b", bore.si * wider, length.si, HOSE.si, 0.0 if entered else _ENTRANCE))
            entered = True
        elif part.form == "nipple" and length is not None:
            made.append(Pipeline(part.tag, "", "b", bore.si, length.si, HOSE.si))
        elif (bores := measures.get("loss_bores")) is not None or measures.get("loss") is not None:
            k = loss_of(bores.si, bore.si, HOSE.si) if bores is not None else measures["loss"].si
            if k > 0:
                made.append(Pipeline(part.tag, "", "b", bore.si, 0.0, HOSE.si, k))
    return made


def _halved(low: float, high: float, enough: Callable[[float], bool]) -> float:
    """The least value that is enough; `high` is."""
    for _ in range(_FINE):
        mean = (low + high) / 2
        low, high = (low, mean) if enough(mean) else (mean, high)
    return high


def end_of(laws: Sequence[Pipeline], gas: IsothermalGas, air: float, flow: float, ahead: float) -> float | None:
    """Absolute pressure at the end of a way that a flow takes from a pressure; None where it does not pass it."""
    for law in laws:
        start = gas.at(ahead)

        def too_low(end: float, law: Pipeline = law, ahead: float = ahead) -> bool:
            return law.flow(gas, air, gas.at(ahead), gas.at(end)) < flow

        if law.flow(gas, air, start, gas.at(air)) < flow:
            return None
        ahead = _halved(air, ahead, too_low)
    return ahead


def start_of(laws: Sequence[Pipeline], gas: IsothermalGas, air: float, flow: float, most: float) -> float | None:
    """Absolute pressure at the start of a way that a flow takes into the open; None where `most` does not push it
    through."""
    behind = air
    for law in reversed(laws):

        def enough(start: float, law: Pipeline = law, behind: float = behind) -> bool:
            return law.flow(gas, air, gas.at(start), gas.at(behind)) >= flow

        if not enough(most):
            return None
        behind = _halved(behind, most, enough)
    return behind


def held_up(
    ctx: Context, valve: Part, passes: float | None, opens: Quantity | None, rises_to: float, warm: float
) -> tuple[str, Cure | None]:
    """What the lines at a relief valve take from it beyond what they may, in words, and what would pass; "" for
    nothing. `passes`: all that it lets out, kg/s; `rises_to`: Pa gauge; `warm`: K."""
    net, air = ctx[NETWORK], ctx[AIR_PRESSURE].si
    before, behind = list(way_to(net, valve)), way_from(net, valve)
    own = valve.spec.quantity_or_none("bore")
    for parts, where in ((before, "before"), (behind, "behind")):
        for part in parts:
            bore = bore_of(ctx[FITTED][part.tag])
            if where == "before" and bore is not None and own is not None and bore.si < own.si * (1 - 1e-9):
                wide = show(bore.si, "length", "in", 3)
                return f"{part.tag}, {wide} wide, stands before {valve.tag}, which is {own.text} wide", None
            if unsaid := _unknown(ctx, part):
                return f"{part.tag}, {unsaid}, stands {where} {valve.tag}: what it takes is not known", None
    lines = [p for p in (*before, *behind) if p.kind in LINES]
    if not lines or opens is None:
        return "", None  # that it does not say when it opens is said elsewhere
    if passes is None:
        return f"{lines[0].tag} stands at {valve.tag}: what it takes is not known without relieves: or bore:", None
    gas, relieving = network.propane(warm), rises_to + air
    laws = tuple(reversed(before)), tuple(behind)

    def lost(wider: float) -> float | None:
        end = end_of(_laws(ctx, laws[0], wider), gas, air, passes, relieving)
        return None if end is None else relieving - end

    def stands(wider: float) -> float | None:
        start = start_of(_laws(ctx, laws[1], wider), gas, air, passes, relieving)
        return None if start is None else start - air

    taken = _too_much(ctx, before, lost, ctx.limit(INLET_LOSS.key).si * opens.si)
    if taken:
        share = ctx.limit(INLET_LOSS.key).text
        return f"{taken[0]} before {valve.tag}, and takes {taken[1]}, over {share} of {opens.text}", taken[2]
    taken = _too_much(ctx, behind, stands, ctx.limit(BACK_PRESSURE.key).si * opens.si)
    if taken:
        share = ctx.limit(BACK_PRESSURE.key).text
        return f"{taken[0]} behind {valve.tag}, and holds {taken[1]}, over {share} of {opens.text}", taken[2]
    return "", None


def _too_much(
    ctx: Context, parts: Sequence[Part], taken: Callable[[float], float | None], most: float
) -> tuple[str, str, Cure | None] | None:
    """The longest line of a way that takes more than it may, how much that is, and what would pass."""
    found = taken(1.0)
    if found is not None and found <= most * (1 + 1e-9):
        return None
    lines = [p for p in parts if p.kind in LINES]
    if not lines:
        tags = ", ".join(p.tag for p in parts)
        return f"{tags} stands" if len(parts) == 1 else f"{tags} stand", _psi(found), None
    long, tag = max((ctx[FITTED][p.tag].measures["length"].si, p.tag) for p in lines)
    said = f"{tag}, {show(long, 'length', 'ft', 2)} long, stands"
    return said, _psi(found), _wider(ctx, lines, lambda w: (t := taken(w)) is not None and t <= most)


def _psi(found: float | None) -> str:
    return show(found, "pressure_difference", "psi", 3) if found is not None else "all of it"


def _wider(ctx: Context, lines: Sequence[Part], enough: Callable[[float], bool]) -> Cure | None:
    """The bores of the lines that would pass, all wider by the same."""
    if not enough(50.0):
        return None
    factor = _halved(1.0, 50.0, enough)
    words: list[str] = []
    edits: list[tuple[str, str]] = []
    for part in lines:
        bore = bore_of(ctx[FITTED][part.tag])
        if bore is not None:
            inches = float(rounded_up(bore.si * factor, INCH))
            words.append(f"a bore of {inches:g} in of {part.tag}")
            edits += bore_edits(part, inches) or ((join(part.at, "bore"), f"{inches:g} in"),)
    return Cure(f"{' and '.join(words)} would pass", tuple(edits))
