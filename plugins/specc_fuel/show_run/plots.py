"""Plots of the last night, when the cylinders are at their coldest and emptiest: pressure, liquid, accumulators."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from specc import Context, drawn, gather
from specc.drawing.shapes import HALF_HIGH, HALF_WIDE, Drawing, Sheet, Text
from specc.kinds.plumbing import NETWORK
from specc.kinds.series import SERIES, Series
from specc.kinds.show import TIMELINE, Timeline
from specc.measure.printing import to_unit
from specc_fuel.accumulators.bursts import FULL
from specc_fuel.accumulators.fed import FED_ACCUMULATORS
from specc_fuel.keys import SUPPLY_LOWEST
from specc_fuel.show_run.simulated_show import SIMULATED_SHOW, SimulatedShow

if TYPE_CHECKING:
    from specc.drawing.plot import PlotBand
    from specc_fuel.show_run.simulation import Opened, SupplyHistory, SupplyState

_FREEZING = 273.15
_KPA = ("kPa", 6.894757, 0.0)  # beside psig
_CLOSE = 25  # bursts nearer than this part of the night cannot be told apart on the plot
_MANY = 3  # such bursts are drawn as a band
_AHEAD, _LONGEST = 1.0, 60.0  # s of one burst, before it begins and after
# Things worth a mark on a line, in few words.
_MARKED = {"reserve": "{tag} at its reserve", "changed": "{tag} changed", "short": "under what {tag} needs"}


def _psig(si: float) -> float:
    return to_unit(si, "psig")


def _fahrenheit(kelvin: float) -> float:
    return to_unit(kelvin, "°F")


def _last_night(simulated: SimulatedShow, line: Timeline) -> tuple[float, float]:
    """From when to when the last night runs, in s of the simulated."""
    begin = simulated.history.starts[-1][1]
    return begin, begin + max((s.ends for s in line.stretches), default=0.0)


def _within(
    one: SupplyHistory, begin: float, end: float, of: Callable[[SupplyState], float | None]
) -> list[tuple[float, float | None]]:
    return [(p.time - begin, of(p)) for p in one.points if begin - 1e-6 <= p.time <= end + 1e-6]


def _supply(shows: Mapping[str, SimulatedShow], tag: str) -> Iterator[tuple[str, SimulatedShow, SupplyHistory]]:
    for case, simulated in shows.items():
        for one in simulated.history.supplies:
            if one.supply == tag:
                yield case, simulated, one


def _lowest(ctx: Context) -> str:
    """The supply that comes lowest: the one to look at."""
    family = ctx[SUPPLY_LOWEST]
    return min(family, key=lambda tag: family[tag].si) if family else ""


def _plot(
    ctx: Context,
    key: str,
    title: str,
    label: str,
    of: Callable[[SupplyState], float],
    limits: list[tuple[float, str]],
    second: tuple[str, float, float],
    note: str,
    from_zero: bool,
) -> Drawing:
    # The layout takes a while to import, and `check` draws nothing.
    from specc.drawing.plot import PlotLimit, PlotLine, PlotMark, PlotSpan, SecondScale, plot

    line, tag = ctx[TIMELINE], _lowest(ctx)
    lines, marks = [], []
    for case, simulated, one in _supply(ctx.all(SIMULATED_SHOW), tag):
        begin, end = _last_night(simulated, line)
        points = _within(one, begin, end, of)
        lines.append(PlotLine(case, points))
        for event in one.events:
            if event.what in _MARKED and begin <= event.time <= end and points:
                x = event.time - begin
                y = min(points, key=lambda p: abs(p[0] - x))[1]
                marks.append(PlotMark(x, y or 0.0, f"{case}: {_MARKED[event.what].format(tag=event.tag)}"))
    return plot(
        key,
        title,
        lines,
        "time" if line.clock else "time since gas was opened",
        label,
        [PlotLimit(value, name) for value, name in limits],
        marks[:8],
        [PlotSpan(s.starts, s.ends, s.scene) for s in line.stretches],
        x_ticks="clock",
        starts=line.clock or "00:00",
        from_zero=from_zero,
        second=SecondScale(*second),
        width=HALF_WIDE,
        height=HALF_HIGH,
        note=f"Supply of {tag}, last night, by weather case. {note}",
    )


@gather(SERIES, needs=(SIMULATED_SHOW, TIMELINE))
def series(ctx: Context) -> list[Series]:
    """Pressure and coldest liquid of each supply over the last night, the numbers behind the plots."""
    made = []
    kinds: tuple[tuple[str, str, str, Callable[[SupplyState], float | None]], ...] = (
        ("pressure", "gauge pressure of the supply", "gauge_pressure", lambda p: p.pressure),
        (
            "liquid",
            "coldest liquid of the supply",
            "temperature",
            lambda p: min((t for _, t in p.temperatures), default=None),
        ),
    )
    shows = ctx.all(SIMULATED_SHOW)
    for tag in dict.fromkeys(h.supply for s in shows.values() for h in s.history.supplies):
        for case, simulated, one in _supply(shows, tag):
            begin, end = _last_night(simulated, ctx[TIMELINE])
            for key, title, dim, of in kinds:
                points = [(t, v) for t, v in _within(one, begin, end, of) if v is not None]
                times, values = tuple(t for t, _ in points), tuple(v for _, v in points)
                made.append(Series(f"fuel.{key}_over_time.{tag}", f"{title} of {tag}", dim, case, times, values))
    return made


@drawn(
    "fuel.pressure_over_time",
    title="Pressure of the supply over the last night",
    needs=(SIMULATED_SHOW, TIMELINE, NETWORK, SUPPLY_LOWEST),
)
def pressure_over_time(ctx: Context) -> Drawing:
    settings: dict[float, list[str]] = {}
    net = ctx[NETWORK]
    tag = _lowest(ctx)
    for part in net.downstream(tag) if tag else ():
        if part.kind == "regulator":
            settings.setdefault(part.spec.quantity("set").si, []).append(part.tag)
    limits = [(_psig(si), f"{', '.join(tags)} set") for si, tags in sorted(settings.items())]
    return _plot(
        ctx,
        "fuel.pressure_over_time",
        "Pressure of the supply over the last night",
        "psig",
        lambda p: _psig(p.pressure),
        limits,
        _KPA,
        "Below a regulator's setting its flames sink.",
        True,
    )


@drawn(
    "fuel.temperature_over_time",
    title="Temperature of the coldest liquid over the last night",
    needs=(SIMULATED_SHOW, TIMELINE, SUPPLY_LOWEST),
)
def temperature_over_time(ctx: Context) -> Drawing:
    return _plot(
        ctx,
        "fuel.temperature_over_time",
        "Temperature of the coldest liquid over the last night",
        "°F",
        lambda p: _fahrenheit(min((t for _, t in p.temperatures), default=_FREEZING)),
        [(_fahrenheit(_FREEZING), "freezing: frost below")],
        ("°C", 1 / 1.8, -32 / 1.8),
        "Frost stands as high as the liquid.",
        False,
    )


@drawn(
    "fuel.accumulators_over_time",
    title="Pressure in the accumulators over the last night, low case",
    needs=(SIMULATED_SHOW, TIMELINE, FED_ACCUMULATORS),
    limits=("fuel.burst_full",),
)
def accumulators_over_time(ctx: Context) -> Drawing:
    from specc.drawing.plot import PlotLimit, PlotLine, PlotMark, PlotSpan, SecondScale, plot

    line = ctx[TIMELINE]
    case, simulated = next(iter(ctx.all(SIMULATED_SHOW).items()))
    fed = ctx.all(FED_ACCUMULATORS)[case]
    begin, end = _last_night(simulated, line)
    lines, marks, limits, bands = [], [], [], []
    for one in simulated.history.supplies:
        tags = [tag for tag, _ in one.accumulated]
        for i, tag in enumerate(tags):
            points: list[tuple[float, float | None]] = [
                # Emptied to the air's own pressure, it may come out a hair below by rounding.
                (p.time - begin, max(_psig(p.accumulators[i]), 0.0))
                for p in one.points
                if begin <= p.time <= end
            ]
            some = _bands([b for b in one.bursts if b.accumulator == tag and begin <= b.time <= end], begin, end)
            bands += some
            lines.append(PlotLine(tag, _outside(points, some)))
            full = _psig(fed[simulated.vessels[tag]].setting.si * ctx.limit(FULL.key).si)
            limits.append(PlotLimit(full, f"{tag}: {ctx.limit(FULL.key).text} of its setting"))
        for burst in one.bursts:
            if burst.weak and begin <= burst.time <= end:
                marks.append(PlotMark(burst.time - begin, _psig(burst.before), "weak"))
    return plot(
        "fuel.accumulators_over_time",
        "Pressure in the accumulators over the last night, low case",
        lines[:8],
        "time" if line.clock else "time since gas was opened",
        "psig",
        limits[:4],
        marks[:6],
        [PlotSpan(s.starts, s.ends, s.scene) for s in line.stretches],
        bands,
        x_ticks="clock",
        starts=line.clock or "00:00",
        second=SecondScale(*_KPA),
        width=HALF_WIDE,
        height=HALF_HIGH,
        note=f"Case: {case}. A burst that begins below the limit is weaker than those shown to the authority."
        + (
            " Dark: bursts one after another, from before each to after it; one is enlarged in the next figure."
            if bands
            else ""
        )
        + (f" {len(marks)} begin weak; the first {min(len(marks), 6)} are marked." if marks else ""),
    )


def _bands(bursts: Sequence[Opened], begin: float, end: float) -> list[PlotBand]:
    """Bursts that follow one another so closely that their lines would run together."""
    from specc.drawing.plot import PlotBand

    groups: list[list[Opened]] = []
    for burst in bursts:
        if groups and burst.time - groups[-1][-1].time < (end - begin) / _CLOSE:
            groups[-1].append(burst)
        else:
            groups.append([burst])
    return [
        PlotBand(
            [(b.time - begin, max(_psig(b.before), 0.0)) for b in some],
            [(b.time + b.open - begin, max(_psig(b.after), 0.0)) for b in some],
        )
        for some in groups
        if len(some) >= _MANY
    ]


def _outside(
    points: Sequence[tuple[float, float | None]], bands: Sequence[PlotBand]
) -> list[tuple[float, float | None]]:
    """The points that no band stands for."""
    return [(x, None if any(b.upper[0][0] < x < b.lower[-1][0] for b in bands) else y) for x, y in points]


@drawn(
    "fuel.burst_enlarged",
    title="One burst of the last night, enlarged, low case",
    needs=(SIMULATED_SHOW, TIMELINE),
)
def burst_enlarged(ctx: Context) -> Drawing:
    """The burst that leaves the least in its accumulator, from just before it until the next or until it is full."""
    from specc.drawing.plot import PlotLine, PlotSpan, SecondScale, plot

    case, simulated = next(iter(ctx.all(SIMULATED_SHOW).items()))
    begin, end = _last_night(simulated, ctx[TIMELINE])
    last = [(b, one) for one in simulated.history.supplies for b in one.bursts if begin <= b.time <= end]
    if not last:
        return Drawing("", "", "schematic", (Sheet(60, 10, (Text(2, 4, "No burst in the last night.", 7.5),)),))
    burst, one = min(last, key=lambda pair: pair[0].after)
    n = [tag for tag, _ in one.accumulated].index(burst.accumulator)
    after = [b.time for b in one.bursts if b.accumulator == burst.accumulator and b.time > burst.time]
    until = min([burst.time + _LONGEST, *after])
    points: list[tuple[float, float | None]] = [(-_AHEAD, _psig(burst.before))]
    for p in one.points:
        if burst.time <= p.time <= until:
            points.append((p.time - burst.time, max(_psig(p.accumulators[n]), 0.0)))
            if p.time > burst.time + burst.open and p.accumulators[n] >= 0.99 * burst.before:
                break
    return plot(
        "fuel.burst_enlarged",
        "One burst of the last night, enlarged, low case",
        [PlotLine(burst.accumulator, points)],
        "s since its valve opens",
        "psig",
        [],
        [],
        [PlotSpan(0.0, burst.open, "valve open")],
        second=SecondScale(*_KPA),
        width=HALF_WIDE,
        height=HALF_HIGH,
        note=f"Case: {case}. The one that leaves the least in its accumulator, in {burst.scene}.",
    )
