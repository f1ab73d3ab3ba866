"""Pressure in a burner section, between its feed orifice and its jets, when something is not as set.

Three states: the regulator turned up as far as it goes, the same with part of the jets blocked, and a
regulator that has failed open. The gas is taken as warm as the liquid in the cylinder, at both holes: the
section's pressure hardly depends on it, and gas so warm does not condense on the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc import CHOICE, Cannot, Context, Equation, Limit, Symbol, Worked, figures
from specc.kinds.gas import CYLINDER_PRESSURE, JET_PRESSURE, SECTION_BLOCKED, SECTION_FAILED_OPEN, SECTION_HIGHEST
from specc.kinds.plumbing import NETWORK, REACHES, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Constant, Scalar
from specc_fuel.calc.amounts import hole_area
from specc_fuel.calc.orifice import pressure_between_holes
from specc_fuel.keys import JET_AREA
from specc_fuel.outlets.flow import as_given, jets_of, ways_of

BLOCKED = Limit(
    "fuel.jets_blocked",
    "50 %",
    "ratio",
    "max",
    "share of the jets' area taken as blocked when the pressure of a burner section is judged",
    CHOICE,
)

_ONE_HOLE = Constant(1.0, "count", "1", CHOICE)

_OPEN_SHARE = Equation(
    forms=(("", "A = (1 - s)*A_j"),),
    symbols=(
        Symbol("A", "area", "area of the jets left open"),
        Symbol("s", "ratio", "share of the area taken as blocked"),
        Symbol("A_j", "area", "area of all the jets"),
    ),
    citations=(CHOICE,),
)


class _Section(NamedTuple):
    """The outlets that share a feed orifice, or one outlet without."""

    outlets: tuple[str, ...]
    orifice: Part | None
    regulator: Part | None
    jets: Scalar
    discharge: Scalar


def _sections(ctx: Context) -> tuple[_Section, ...]:
    _ = ctx[JET_PRESSURE]
    ways = ways_of(ctx[NETWORK], {r.outlet: r.path for r in ctx[REACHES]})
    computed = ctx[JET_AREA]
    areas: Mapping[str, Scalar] = dict(computed)
    groups: dict[str, list[int]] = {}
    for i, way in enumerate(ways):
        groups.setdefault(way.orifice.tag if way.orifice else f"outlet {way.outlet.tag}", []).append(i)
    made = []
    for members in groups.values():
        sharing = [ways[i] for i in members]
        jets, discharge = jets_of(sharing, areas)
        first = sharing[0]
        made.append(_Section(tuple(w.outlet.tag for w in sharing), first.orifice, first.regulator, jets, discharge))
    return tuple(made)


def _pressure(ctx: Context, section: _Section, upstream: Scalar, blocked: bool) -> Worked:
    if section.orifice is None:
        # Nothing holds the gas back before the jets: the section sees what feeds it, blocked or not.
        return as_given("pressure in the section", upstream)
    jets = section.jets
    if blocked:
        share = ctx.limit(BLOCKED.key)
        if not share.si < 1:
            raise Cannot(
                f"{share.text} of the jets blocked leaves no way out",
                share.at,
                "a share below 100 %, such as 50 %",
            )
        jets = Worked(
            (1 - share.si) * jets.si, "area", _OPEN_SHARE, (("s", share), ("A_j", jets)), name="jets left open"
        )
    spec = section.orifice.spec
    return pressure_between_holes.work(
        "pressure between the feed orifice and the jets",
        upstream=upstream,
        feed_area=hole_area.work("area of the feed orifice", count=_ONE_HOLE, bore=spec.quantity("bore")),
        feed_discharge=spec.quantity("discharge"),
        jet_area=jets,
        jet_discharge=section.discharge,
        gas_temperature=ctx.case.liquid,
        ambient=ctx[AIR_PRESSURE],
    )


def _highest(section: _Section, supply: Scalar) -> Scalar | None:
    """The most that a regulator which works lets through; None when its highest setting is not stated."""
    if section.regulator is None:
        return supply
    spec = section.regulator.spec
    if not spec.has("highest"):
        return None
    setting = max(spec.quantity("highest"), spec.quantity("set"), key=lambda q: q.si)
    return setting if setting.si <= supply.si else supply


def _as_set(ctx: Context, blocked: bool) -> Mapping[str, Worked]:
    made = {}
    for section in _sections(ctx):
        upstream = _highest(section, ctx[CYLINDER_PRESSURE])
        if upstream is not None:
            worked = _pressure(ctx, section, upstream, blocked)
            made.update(dict.fromkeys(section.outlets, worked))
    return made


# JET_PRESSURE is needed so that a faulty section is reported once, there.
_NEEDS = (NETWORK, REACHES, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, JET_PRESSURE)


@figures(
    SECTION_HIGHEST,
    title="Pressure before the jets of {tag}, regulator at its highest setting",
    unit="psig",
    needs=_NEEDS,
    per_case=True,
)
def at_highest(ctx: Context) -> Mapping[str, Worked]:
    """By outlet whose regulator's highest setting is stated."""
    return _as_set(ctx, blocked=False)


@figures(
    SECTION_BLOCKED,
    title="Pressure before the jets of {tag}, highest setting and part of the jets blocked",
    unit="psig",
    needs=_NEEDS,
    per_case=True,
)
def at_highest_blocked(ctx: Context) -> Mapping[str, Worked]:
    """By outlet whose regulator's highest setting is stated."""
    return _as_set(ctx, blocked=True)


@figures(
    SECTION_FAILED_OPEN,
    title="Pressure before the jets of {tag}, regulator failed open",
    unit="psig",
    needs=_NEEDS,
    per_case=True,
)
def failed_open(ctx: Context) -> Mapping[str, Worked]:
    """By outlet, with the cylinder's pressure ahead of the feed orifice."""
    made = {}
    for section in _sections(ctx):
        worked = _pressure(ctx, section, ctx[CYLINDER_PRESSURE], blocked=False)
        made.update(dict.fromkeys(section.outlets, worked))
    return made


PASSES = (BLOCKED, at_highest, at_highest_blocked, failed_open)
