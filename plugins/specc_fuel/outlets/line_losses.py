"""What the lines from a regulator to its outlets lose: by friction as solved, and by the fuel gas code's sizing
equation. Who judges a line takes the larger of the two.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from specc.kinds.plumbing import LINES, Network, Part
from specc_fuel.calc.heat import gross_heating_value
from specc_fuel.calc.pipe import CODE_AIR, CODE_HEAT, CR, HIGH_FROM, PSI, WATER_INCH, Y
from specc_fuel.network.burning import Burning

if TYPE_CHECKING:
    from specc_fuel.network import Element


def code_drop(bore: float, length: float, inlet: float, heat: float) -> float:
    """The pressure (Pa) that a line loses by the code's sizing equation: `pipe_capacity` turned round.

    bore, length: m. inlet: Pa gauge. heat: W gross. Returns at most `inlet`. Source: as `pipe_capacity`.
    """
    if heat <= 0:
        return 0.0
    d, feet, cubic_feet = bore / 0.0254, length / 0.3048, heat / CODE_HEAT.si
    if inlet < HIGH_FROM * (1 - 1e-9):
        water = (cubic_feet / (2313 * d**2.623)) ** (1 / 0.541) * CR.si * feet
        return float(min(water * WATER_INCH, inlet))
    squares = (cubic_feet / (2237 * d**2.623)) ** (1 / 0.541) * CR.si * feet / Y.si
    high = (inlet + CODE_AIR) / PSI
    low = high**2 - squares
    return float(min((high - math.sqrt(low)) * PSI, inlet)) if low > 0 else inlet


class Loss(NamedTuple):
    """Pressure lost on the worst ways from a regulator: by friction as solved, and by the code's sizing equation."""

    friction: float = 0.0
    code: float = 0.0

    def and_(self, other: Loss) -> Loss:
        return Loss(self.friction + other.friction, self.code + other.code)

    def or_(self, other: Loss | None) -> Loss:
        return self if other is None else Loss(max(self.friction, other.friction), max(self.code, other.code))

    @property
    def most(self) -> float:
        return max(self.friction, self.code)


Ways: TypeAlias = dict[str, Loss]  # by regulator, the worst of the ways from it


def _worst(all_of_them: Sequence[Ways]) -> Ways:
    if len(all_of_them) == 1:
        return all_of_them[0]
    made: Ways = {}
    for ways in all_of_them:
        for tag, loss in ways.items():
            made[tag] = loss.or_(made.get(tag))
    return made


def own_loss(burning: Burning, element: Element | None, part: Part, air: float) -> Loss:
    from specc_fuel.network import Pipeline

    if element is None:
        return Loss()
    start, end = burning.solution.pressure[element.start], burning.solution.pressure[element.end]
    friction = code = abs(start - end)
    if part.kind in LINES and isinstance(element, Pipeline) and element.length > 0 and max(start, end) > air:
        flow = abs(burning.solution.flow[part.tag])
        code = code_drop(element.bore, element.length, max(start, end) - air, flow * gross_heating_value())
    return Loss(friction, code)


def _in_flow_order(net: Network, within: Collection[str]) -> Iterator[str]:
    """Each after all that lead to it; what runs in a circle comes last, as it is written."""
    waiting = {tag: sum(b in within for b in net.before.get(tag, ())) for tag in within}
    ready = [tag for tag, count in waiting.items() if not count]
    while waiting:
        tag = ready.pop() if ready else min(waiting, key=net.place.__getitem__)
        if waiting.pop(tag, None) is None:
            continue
        yield tag
        for after in net.after.get(tag, ()):
            if after in waiting:
                waiting[after] -= 1
                if not waiting[after]:
                    ready.append(after)


def losses_behind_regulators(net: Network, burning: Burning, air: float) -> dict[str, Ways]:
    """By lit outlet and regulator, what is lost on the worst of all ways from it to the last orifice before the outlet,
    or to the outlet itself on a way without one. What an orifice takes is meant to be."""
    elements = {e.tag: e for e in burning.piping.elements}
    since: dict[str, Ways] = {}  # since the last orifice, or the regulator
    free: dict[str, Ways] = {}  # on ways that met no orifice
    before_it: dict[str, Ways] = {}  # up to the last orifice
    for tag in _in_flow_order(net, net.walk(burning.lit, net.before)):
        part, above = net.by_tag[tag], net.before.get(tag, ())
        so_far, without, until = (_worst([of[b] for b in above if b in of]) for of in (since, free, before_it))
        if part.kind == "regulator":
            so_far, without, until = {tag: Loss()}, {tag: Loss()}, {}
        elif part.kind == "orifice":
            so_far, without, until = dict.fromkeys(so_far, Loss()), {}, _worst((so_far, until))
        elif part.form == "needle":
            pass  # a throttle, set by hand to what the flame shall be
        else:
            own = own_loss(burning, elements.get(tag), part, air)
            so_far = {r: loss.and_(own) for r, loss in so_far.items()}
            without = {r: loss.and_(own) for r, loss in without.items()}
        since[tag], free[tag], before_it[tag] = so_far, without, until
    return {outlet: _worst((free[outlet], before_it[outlet])) for outlet in burning.lit}
