"""Accumulators in one weather case: what stands in them, and what their feed and those beside them bring."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import CHOICE, Cannot, Context, Equation, Key, Symbol, Worked, show, value
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Scalar
from specc_fuel.calc.propane import vapor_pressure
from specc_fuel.keys import JET_AREA
from specc_fuel.network.burning import Burning
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import ALONE

_TOGETHER = Equation(
    forms=(("", "x = sum(x_i)"),),
    symbols=(
        Symbol("x", "volume", "what empties together"),
        Symbol("x_i", "volume", "each accumulator, and each line"),
    ),
    citations=(CHOICE,),
    validity="joined by pipe, tube, hose and fittings alone, or emptied as one, which lets out no less",
)
# By how much more than its feed brings those beside it make it fill, so that its refilling is not computed; common
# practice, no published source.
_HELPED = 1.05


class FedAccumulator(NamedTuple):
    """An accumulator in one weather case, with those that are one with it: what stands in it, and what its feed brings
    at most (kg/s) into an empty one and into one nearly full. `setting` is that of its regulator, Pa gauge. `volume`:
    of all that are one. `beside`: those that give to it through what holds them back or may be shut; `rush` is what
    comes into it, empty, with these at rest."""

    part: Part
    held: float
    held_from: Scalar
    setting: Scalar
    feed: Burning
    empty: float
    nearly: float
    volume: Scalar
    together: tuple[Part, ...]
    beside: tuple[Part, ...]
    rushing: Burning
    rush: float

    @property
    def helped(self) -> bool:
        return self.rush > _HELPED * self.empty


FED_ACCUMULATORS: Key[Mapping[str, FedAccumulator]] = Key("fuel.fed_accumulators", dict)
NEARLY = 0.9


def _all_gas(ctx: Context, part: Part, held: float) -> None:
    """Refuse an accumulator in which gas as cold as the air would be liquid."""
    most = vapor_pressure(ctx.case.air.si) - ctx[AIR_PRESSURE].si
    if held > most:
        raise Cannot(
            f"in air of {ctx.case.air.text} ({ctx.case.name} case) gas turns liquid in {part.tag} above "
            f"{show(most, 'gauge_pressure', 'psig', 3)}, and it may stand at {show(held, 'gauge_pressure', 'psig', 3)}",
            part.at,
            "a regulator whose lock-up stays below that",
            "liquid in an accumulator is thrown by a burst, and burns many times larger than gas",
        )


def volume_of(parts: Iterable[Part], lines: Iterable[Scalar] = ()) -> Scalar:
    volumes = (*(p.spec.quantity("volume") for p in parts), *lines)
    if len(volumes) == 1:
        return volumes[0]
    return Worked(sum(q.si for q in volumes), "volume", _TOGETHER, (("x_i", volumes),), name="what empties together")


@value(
    FED_ACCUMULATORS,
    needs=(NETWORK, PIECES, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, ALONE),
    per_case=True,
    was=("fuel.stores",),
    limits=("fuel.lock_up",),
)
def fed_accumulators(ctx: Context) -> Mapping[str, FedAccumulator]:
    from specc_fuel.network.piece_solver import Solver

    _ = ctx[ALONE]  # what stops the supply is reported there, once
    solver = Solver(ctx)
    made = {}
    for part in ctx[NETWORK].of_kind("accumulator"):
        sources = solver.stores.around(part.tag).sources
        if not any(p.kind == "cylinder" for s in sources for p in (s, *solver.net.upstream(s.tag))):
            continue  # fed by nothing, which has a rule of its own
        held, held_from = solver.held_pressure(part.tag)
        regulators = [p for p in sources if p.kind == "regulator"]
        _all_gas(ctx, part, held)
        setting: Scalar = solver.cylinders
        if regulators:
            highest = max((r.spec.quantity("set") for r in regulators), key=lambda q: q.si)
            setting = highest if highest.si <= solver.cylinders.si else solver.cylinders
        feed, empty = solver.filling(part.tag, 0.0)
        _, nearly = solver.filling(part.tag, NEARLY * setting.si)
        own, beside = solver.stores.together(part.tag), solver.stores.around(part.tag).helping
        rushing, rush = solver.filling(part.tag, 0.0, helped=True) if beside else (feed, empty)
        if rush == math.inf:  # nobody says what stands between loses, so that they empty as one
            own, beside, rushing, rush = (*own, *beside), (), feed, empty
        made[part.tag] = FedAccumulator(
            part, held, held_from, setting, feed, empty, nearly, volume_of(own), own, beside, rushing, rush
        )
    return made


def not_followed(ctx: Context, stores: Iterable[str | None]) -> Iterator[str]:
    """Of accumulators that others help, in words, that it is not followed how these empty and fill again."""
    fed = ctx.all(FED_ACCUMULATORS)
    for store in sorted(s for s in stores if s is not None):
        helped = [own[store] for own in fed.values() if store in own and own[store].helped]
        if helped:
            beside = ", ".join(p.tag for p in helped[0].beside)
            yield f"{store} is filled by {beside} too, and how these empty and fill again is not followed"
