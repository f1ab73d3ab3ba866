"""What a plot is asked to show, and whether it can be shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from specc.drawing.plot_lines import STYLES, Run, runs_of
from specc.drawing.plot_scales import LARGEST, Scale, number_scale, widened


class PlotLine(NamedTuple):
    """A line through points of rising x; a y of None breaks it."""

    name: str
    points: Sequence[tuple[float, float | None]]


class PlotLimit(NamedTuple):
    """A level drawn across the plot."""

    value: float
    name: str


class PlotMark(NamedTuple):
    """A point with words."""

    x: float
    y: float
    text: str


class PlotSpan(NamedTuple):
    """A shaded stretch of the x axis, such as a scene."""

    start: float
    end: float
    name: str


class PlotBand(NamedTuple):
    """What goes up and down too often to be told apart as a line: between its highest points and its lowest."""

    upper: Sequence[tuple[float, float]]
    lower: Sequence[tuple[float, float]]


class SecondScale(NamedTuple):
    """A second unit, left of the first: its value is `factor` times the first's, plus `offset`."""

    label: str
    factor: float
    offset: float = 0.0


class Given(NamedTuple):
    """What is to be drawn: all of it can be. `runs` has the stretches between gaps, for each line."""

    names: tuple[str, ...]
    runs: tuple[list[Run], ...]
    limits: tuple[PlotLimit, ...]
    marks: tuple[PlotMark, ...]
    spans: tuple[PlotSpan, ...]
    x: tuple[float, float] | None  # the ends of the axis; None if there is no value
    y: Scale | None
    bands: tuple[PlotBand, ...] = ()


def checked(
    lines: Sequence[PlotLine],
    limits: Sequence[PlotLimit],
    marks: Sequence[PlotMark],
    spans: Sequence[PlotSpan],
    x_holds: Sequence[float],
    y_holds: Sequence[float],
    from_zero: bool,
    y_ticks: int,
) -> Given:
    """Raises ValueError for what cannot be drawn, and says what it is."""
    if len(lines) > len(STYLES):
        raise ValueError(f"{len(lines)} lines cannot be told apart in one plot; draw at most {len(STYLES)}")
    if len({line.name for line in lines}) < len(lines):
        raise ValueError("two lines of a plot have the same name")
    runs = tuple(runs_of(line.name, line.points) for line in lines)
    for what, values in [
        *((f"limit {limit.name!r}", (limit.value,)) for limit in limits),
        *((f"mark {mark.text!r}", (mark.x, mark.y)) for mark in marks),
        *((f"span {span.name!r}", (span.start, span.end)) for span in spans),
        ("what the axes have to hold", (*x_holds, *y_holds)),
    ]:
        check_numbers(what, *values)
    for span in spans:
        if span.end < span.start:
            raise ValueError(f"span {span.name!r} ends before it starts")
    xs = [*x_holds, *(mark.x for mark in marks), *(x for span in spans for x in (span.start, span.end))]
    ys = [*y_holds, *(limit.value for limit in limits), *(mark.y for mark in marks)]
    for run in (run for of_line in runs for run in of_line):
        xs += (run[0][0], run[-1][0])
        ys += (min(y for _, y in run), max(y for _, y in run))
    if ys and from_zero:
        ys.append(0.0)
    # With only what an axis "has to hold" there is still nothing to show, but an axis to show it on.
    return Given(
        tuple(line.name for line in lines), runs, tuple(limits), tuple(marks), tuple(spans),
        widened(min(xs), max(xs)) if xs else None,
        number_scale(*widened(min(ys), max(ys)), y_ticks) if ys else None,
    )  # fmt: skip


def check_numbers(what: str, *values: float) -> None:
    for value in values:
        if not -LARGEST <= value <= LARGEST:
            raise ValueError(f"{what}: {value} cannot be drawn")
