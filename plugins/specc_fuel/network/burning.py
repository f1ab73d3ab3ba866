"""Outlets that burn, as a network built and solved: what the solver gives and its readers share."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from specc import CHOICE, Limit, Worked
from specc.model.values import Citation, Equation, Symbol
from specc_fuel.calc.sources import CHOKED, LEMMON, NOZZLE

if TYPE_CHECKING:
    from specc.kinds.plumbing import Part
    from specc_fuel.network import Solution
    from specc_fuel.network.from_plumbing import Piping

LOCK_UP = Limit(
    "fuel.lock_up",
    "20 %",
    "ratio",
    "max",
    "how far above its setting a regulator is taken to stand with no flow, where its lock_up: is not stated",
    CHOICE,
)


def locked_at(regulator: Part, turned: float, share: float) -> float:
    """Where a regulator that is turned to a setting stands with no flow, Pa gauge: as far above it as it says of its
    own setting, else by `share`. One rule for zones, burners and stores, so that all print one pressure."""
    own, stated = regulator.spec.quantity("set").si, regulator.spec.quantity_or_none("lock_up")
    if stated is None or stated.si < own:
        return turned * (1 + share)
    return turned + stated.si - own


NETWORK_SOLVED = Equation(
    forms=(
        (
            "",
            "~ solved: at every meeting of parts as much gas comes in as goes out; each pipe and hose loses "
            "pressure by friction (isothermal flow, Churchill), each orifice and jet passes isentropic flow from rest, "
            "each regulator holds its setting less its droop. The answer was checked by its own left-over",
        ),
    ),
    symbols=(
        Symbol("e", "ratio", "most that a part misses its law by, over its pressure drop"),
        Symbol("p_c", "gauge_pressure", "pressure of the supply"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("T", "temperature", "gas, as warm as the air"),
        Symbol("p_s", "gauge_pressure", "settings of the regulators"),
        Symbol("d", "length", "bores of pipes, tubes and hoses (or outsides and walls)"),
        Symbol("L", "length", "their lengths"),
        Symbol("d_o", "length", "bores of the orifices"),
        Symbol("C_o", "ratio", "their discharge coefficients"),
        Symbol("C_v", "ratio", "flow coefficients of the valves"),
        Symbol("A_j", "area", "areas of the jets"),
        Symbol("C_j", "ratio", "their discharge coefficients"),
        Symbol("e_m", "ratio", "most that comes in and does not go out, over the flow"),
    ),
    citations=(
        Citation("churchill-1977", "friction factor for all flow regimes", "memory"),
        CHOKED,
        NOZZLE,
        LEMMON,
    ),
    validity=(
        "steady flow of pure propane at one temperature; speed is not turned back into pressure. Parts whose loss "
        "nobody states are taken to lose nothing: they are listed in the table of the network"
    ),
)


class Burning(NamedTuple):
    """The network while some outlets burn, as built and as solved. `lit` are the outlets."""

    lit: tuple[str, ...]
    piping: Piping
    solution: Solution
    supply: float  # Pa gauge
    worked: Worked  # what it leaves over, with all that it was solved from

    def gauge(self, node: str, air: float) -> float:
        return self.solution.pressure[node] - air
