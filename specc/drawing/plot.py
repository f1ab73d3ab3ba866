"""Plots: lines over time or over any number, as shapes in millimeters of paper.

    plot("fuel.pressures", "Cylinder pressure over the first night",
         [PlotLine("usual air, 60 °F", points)], x_label="", y_label="psig", x_ticks="clock", starts="20:30",
         limits=[PlotLimit(25.0, "regulator needs 25")], marks=[PlotMark(5400.0, 61.0, "cylinder change")],
         spans=[PlotSpan(0.0, 3600.0, "gates open")], second=SecondScale("kPa gauge", 6.894757))

Names stand beside their lines, never in a box of their own. Lines differ by weight and pattern. No extreme of the
data is lost by thinning or falls into the gap of a dash, and the axes take in every value that is given.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple, TypeAlias

from specc.drawing.plot_given import (
    Given,
    PlotBand,
    PlotLimit,
    PlotLine,
    PlotMark,
    PlotSpan,
    SecondScale,
    check_numbers,
    checked,
)
from specc.drawing.plot_labels import PlotLabel, Room, Segment, rows_of, spread, words
from specc.drawing.plot_lines import COLUMN, LIMIT, STYLES, LineStyle, Run, stroked, thinned
from specc.drawing.plot_scales import Scale, fitted_clock, fitted_numbers, number_scale, seconds_of
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Sheet, Text
from specc.drawing.text import ASCENT, Box, text_width
from specc.drawing.tones import MM_PER_POINT

__all__ = ["PlotBand", "PlotLimit", "PlotLine", "PlotMark", "PlotSpan", "SecondScale", "Ticks", "plot"]

Ticks: TypeAlias = Literal["number", "clock"]
Crowded: TypeAlias = tuple[Literal["line", "mark"], int]

_NAME, _SMALL = 7.5, 7.0  # sizes of type, points
_HAIR, _AXIS = 0.35, 0.5  # weights, points
_TICK_ROW = 5.1  # mm under the frame for the labels of its ticks
_OVER = 1.3  # mm by which a label may stand over the frame's top or bottom
_PLAIN_LEAD, _SAMPLE_LEAD = 1.6, 11.4  # mm from the frame to the names, without and with a sample of the line
_SAMPLE = (3.8, 10.6)  # where the sample begins and ends in that room
_DOT = 0.85  # mm, radius of a mark
_STEM = 0.8  # mm between a stem and its label
_LEAST_FRAME = 0.6  # of the height asked for: the rest is for what stands over it
_BETWEEN_SCALES = 3.4  # mm from the labels of one scale to those of the other, with its axis and its ticks
_NEAR_END = 6.0  # mm: a line that ends this near to the frame's right is named in the column there


class Look(NamedTuple):
    """How the axes are to be written, and the size of the sheet in mm."""

    x_label: str
    y_label: str
    x_ticks: Ticks
    starts: str
    second: SecondScale | None
    width: float
    height: float


class Frame(NamedTuple):
    """The rectangle of the data: its edges in mm, and the values there."""

    left: float
    bottom: float
    right: float
    top: float
    x_ends: tuple[float, float]
    y_ends: tuple[float, float]

    def x(self, value: float) -> float:
        low, high = self.x_ends
        return self.left + (value - low) / (high - low) * (self.right - self.left)

    def y(self, value: float) -> float:
        low, high = self.y_ends
        return self.bottom + (value - low) / (high - low) * (self.top - self.bottom)


class EdgeName(NamedTuple):
    """A name in the column at the right. `x` and `y` are the value it stands for: no x, the right edge; no y,
    nothing."""

    words: PlotLabel
    style: LineStyle
    x: float | None
    y: float | None


class Flag(NamedTuple):
    """A label in the band over the frame, on a stem. A span has an `end`, a mark a `foot`, both values."""

    words: PlotLabel
    x: float  # mm
    foot: float | None = None
    end: float | None = None


def plot(
    key: str,
    title: str,
    lines: Sequence[PlotLine],
    x_label: str,
    y_label: str,
    limits: Sequence[PlotLimit] = (),
    marks: Sequence[PlotMark] = (),
    spans: Sequence[PlotSpan] = (),
    bands: Sequence[PlotBand] = (),
    *,
    x_ticks: Ticks = "number",
    starts: str = "00:00",
    from_zero: bool = True,
    y_holds: Sequence[float] = (),
    x_holds: Sequence[float] = (),
    second: SecondScale | None = None,
    width: float = 180.0,
    height: float = 80.0,
    note: str = "",
) -> Drawing:
    """A plot on one sheet `width` mm wide and `height` mm high, or higher if its labels need the room.

    The axes take in every point, limit, mark and span, the values in `y_holds` and `x_holds`, and, with
    `from_zero`, y = 0; nothing can be left outside. With `x_ticks="clock"` x is in seconds since `starts`, a time
    of day. `y_label` and `x_label` name the units. Errors: ValueError for a value that is not a number or is
    beyond 1e100, a line that goes back in x, two lines of one name, more lines than there are styles (8), a second
    scale whose values do not differ over the axis, and a sheet too small.
    """
    if not 80 <= width <= 2000 or not 40 <= height <= 2000:
        raise ValueError("a plot is 80 to 2000 mm wide and 40 to 2000 mm high: a smaller one cannot be read")
    if second:
        check_numbers(f"second scale {second.label!r}", second.factor, second.offset)
        if second.factor == 0:
            raise ValueError(f"second scale {second.label!r} has a factor of 0")
    seconds_of(starts)
    held = [point for band in bands for point in (*band.upper, *band.lower)]
    given = checked(
        lines,
        limits,
        marks,
        spans,
        (*x_holds, *(x for x, _ in held)),
        (*y_holds, *(y for _, y in held)),
        from_zero,
        max(2, round((height - 16) / 12)),
    )._replace(bands=tuple(bands))
    look = Look(x_label, y_label, x_ticks, starts, second, width, height)
    # Marks and line ends without room beside them are told in the band above and in the column at the right.
    # The leader of a label that went there may cross one that stayed: all is placed anew until none has to go.
    moved: set[Crowded] = set()
    while (page := _Page(given, look, moved)).crowded:
        moved |= page.crowded
    told = (*given.names, *(limit.name for limit in given.limits))
    return Drawing(key, title, "schematic", (Sheet(width, page.tall, (*page.behind, *page.over)),), note, told)


class _Page:
    """One try at a sheet. The marks and lines in `moved` are told in the band and in the column.

    It sets the shapes `behind` and `over`, the height `tall`, and what had no room where it is: `crowded`.
    """

    def __init__(self, given: Given, look: Look, moved: set[Crowded]) -> None:
        self.given, self.look, self.moved = given, look, moved
        self.behind: list[Shape] = []
        self.over: list[Shape] = []
        self.crowded: set[Crowded] = set()
        self.own_room = 7.0  # mm for the labels of the first scale
        self.y_ends = (given.y.low, given.y.high) if given.y else (0.0, 1.0)
        self.left, self.second_ticks = self._side_ticks()
        names = self._names()
        self.lead = self._lead(names)
        level = Frame(self.left, 0.0, self._right(names), 1.0, given.x or (0.0, 1.0), self.y_ends)
        # Lines that end well before the frame does are named at their end.
        early = {i for i, runs in enumerate(given.runs) if runs and level.x(runs[-1][-1][0]) < level.right - _NEAR_END}
        self.inner = sorted(i for i in early if ("line", i) not in moved)
        column = [name for i, name in enumerate(names) if i not in self.inner]
        flags = self._flags(level)
        f = self.frame = self._frame(level, column, flags)
        drawn = [self._on_paper(runs) for runs in given.runs]
        self._axes()
        self._spans()
        for runs, style in zip(drawn, STYLES, strict=False):
            self.over += stroked(runs, style)
        for limit in given.limits:
            self.over += stroked([[(f.left, f.y(limit.value)), (f.right, f.y(limit.value))]], LIMIT)
        leaders = self._write_column(column) + self._write_band(flags)
        self._write_inside(names, [run for runs in drawn for run in runs], leaders)

    # Measuring.

    def _side_ticks(self) -> tuple[float, tuple[tuple[float, str], ...]]:
        """Room for the labels at the left, and the ticks of the second scale as first values and texts. Both scales
        stand there: the names of the lines would part one at the right from what it measures."""
        given, second = self.given, self.look.second
        if given.y is None:
            return 7.0, ()
        left = max(7.0, 2.6 + max((text_width(text, _SMALL) for _, text in given.y.ticks), default=0.0))
        self.own_room = left
        if second is None:
            return left, ()
        ends = sorted(value * second.factor + second.offset for value in (given.y.low, given.y.high))
        if not ends[1] - ends[0] > 1e-9 * max(abs(ends[0]), abs(ends[1])):
            raise ValueError(f"second scale {second.label!r}: its values do not differ over the axis")
        scale = number_scale(ends[0], ends[1], len(given.y.ticks) + 1, outward=False)
        left += _BETWEEN_SCALES + max((text_width(text, _SMALL) for _, text in scale.ticks), default=0.0)
        return left, tuple(((value - second.offset) / second.factor, text) for value, text in scale.ticks)

    def _names(self) -> list[EdgeName]:
        """Of the lines, in their order, then of the limits."""
        wide, given = 0.24 * self.look.width, self.given
        names = []
        for name, runs, style in zip(given.names, given.runs, STYLES, strict=False):
            x, y = runs[-1][-1] if runs else (None, None)
            names.append(EdgeName(words(name if runs else f"{name} (no values)", _NAME, wide), style, x, y))
        for limit in given.limits:
            names.append(EdgeName(words(limit.name, _NAME, wide, tone="gray"), LIMIT, None, limit.value))
        return names

    def _lead(self, names: Sequence[EdgeName]) -> float:
        """Room between the frame and the names: names that will be moved are joined to a sample of their line."""
        f = Frame(0.0, 0.0, 1.0, self.look.height - 20.0, (0.0, 1.0), self.y_ends)
        wanted = [(f.y(name.y), name.words.height) for name in names if name.y is not None]
        middles = spread(wanted, -_OVER, f.top + _OVER)
        moved = any(abs(middle - want[0]) > 0.3 for middle, want in zip(middles, wanted, strict=True))
        return _SAMPLE_LEAD if moved else _PLAIN_LEAD

    def _right(self, names: Sequence[EdgeName]) -> float:
        """The frame's right edge."""
        room = max((self.lead + name.words.width for name in names), default=0.0) + 1.0
        if self.given.spans or self.given.marks:
            room = max(room, 18.0)
        return self.look.width - max(room, 5.4)  # half of a time with its seconds

    def _flags(self, level: Frame) -> list[Flag]:
        flags = []
        for span in self.given.spans:
            x = level.x(span.start)
            flags.append(Flag(words(span.name, _SMALL, self._beside_stem(x), tone="gray"), x, end=span.end))
        for i, mark in enumerate(self.given.marks):
            if ("mark", i) in self.moved:
                x = level.x(mark.x)
                flags.append(Flag(words(mark.text, _SMALL, self._beside_stem(x)), x, foot=mark.y))
        return [flag for flag in flags if flag.words.lines]

    def _beside_stem(self, x: float) -> float:
        return min(44.0, self.look.width - x - _STEM)

    def _frame(self, level: Frame, column: Sequence[EdgeName], flags: Sequence[Flag]) -> Frame:
        """The frame, as high as the labels round it leave; the sheet grows if that is not enough."""
        look = self.look
        bottom = _TICK_ROW + (words(look.x_label, _SMALL, look.width - self.left).height if look.x_label else 0.0)
        self.row_of = rows_of([(flag.x, _STEM + flag.words.width) for flag in flags])
        self.rows = [
            max((flag.words.height for flag, at in zip(flags, self.row_of, strict=True) if at == row), default=0.0)
            + 1.5
            for row in range(max(self.row_of, default=-1) + 1)
        ]
        heads = (look.y_label, look.second.label if look.second else "")
        self.heads = [words(head, _SMALL, look.width * 0.45, tone="gray") for head in heads]
        # A unit stands beside the band if it is short enough, else over it; the second's over the first's if need be.
        first, second = self.heads
        band = sum(self.rows)
        at = 0.0 if first.width <= self.own_room - 1.0 else band
        apart = second.width <= self.left - self.own_room and first.width <= self.own_room - 1.0
        self.head_at = [at, 0.0 if apart or not second.lines else at + first.height]
        over = max(band, *(at + head.height for at, head in zip(self.head_at, self.heads, strict=True)))
        over += _OVER + 0.5
        needed = sum(name.words.height for name in column) - 2 * _OVER
        high = max(look.height - bottom - over, _LEAST_FRAME * look.height, needed)
        self.tall = bottom + high + over
        return level._replace(bottom=bottom, top=bottom + high)

    def _on_paper(self, runs: list[Run]) -> list[Run]:
        f = self.frame
        low, high = f.x_ends
        fine = thinned(runs, low, (high - low) * COLUMN / (f.right - f.left))
        return [[(f.x(x), f.y(y)) for x, y in run] for run in fine]

    # Drawing.

    def _axes(self) -> None:
        f, given, look = self.frame, self.given, self.look
        mid = (ASCENT - 0.24) / 2 * _SMALL * MM_PER_POINT  # from a baseline to the middle of a figure
        for value, text in given.y.ticks if given.y else ():
            y = f.y(value)
            axis = value == 0 and f.y_ends[0] < 0
            self.behind.append(Line(((f.left, y), (f.right, y)), _AXIS if axis else _HAIR, "gray" if axis else "pale"))
            self.over.append(Text(f.left - 1.4, y - mid, text, _SMALL, "end", "gray"))
        edge = self.left - self.own_room
        for value, text in self.second_ticks:
            y = f.y(value)
            self.over.append(Line(((edge - 1.0, y), (edge, y)), _AXIS, "gray"))
            self.over.append(Text(edge - 1.4, y - mid, text, _SMALL, "end", "gray"))
        if self.second_ticks:
            self.over.append(Line(((edge, f.bottom), (edge, f.top)), _AXIS, "gray"))
        for value, text in self._x_ticks().ticks if given.x else ():
            x = f.x(value)
            self.over.append(Line(((x, f.bottom), (x, f.bottom - 1.0)), _AXIS, "gray"))
            self.over.append(Text(x, f.bottom - _TICK_ROW + 1.2, text, _SMALL, "middle", "gray"))
        self.over.append(Line(((f.left, f.top), (f.left, f.bottom), (f.right, f.bottom)), _AXIS, "gray"))
        if look.x_label:
            name = words(look.x_label, _SMALL, look.width - f.left, tone="gray")
            middle = max((f.left + f.right) / 2, name.width / 2)
            self.over += name.at(min(middle, look.width - name.width / 2), 0.0, "middle")
        first, second = self.heads
        base = f.top + _OVER + 0.5
        self.over += first.at(max(0.0, f.left - 1.4 - first.width), base + self.head_at[0])
        self.over += second.at(max(0.0, edge - 1.4 - second.width), base + self.head_at[1])

    def _x_ticks(self) -> Scale:
        f, look = self.frame, self.look

        def fits(scale: Scale) -> bool:
            """Labels part from one another, and none sticks out of the sheet."""
            reach = 0.0
            for value, text in scale.ticks:
                half = text_width(text, _SMALL) / 2
                if f.x(value) - half < reach or f.x(value) + half > look.width:
                    return False
                reach = f.x(value) + half + 2.0
            return True

        wide = f.right - f.left
        if look.x_ticks == "clock":
            return fitted_clock(*f.x_ends, look.starts, max(2, round(wide / 14)), fits)
        return fitted_numbers(*f.x_ends, max(2, round(wide / 10)), fits)

    def _spans(self) -> None:
        f = self.frame
        for span in self.given.spans:
            a, b = f.x(span.start), f.x(span.end)
            corners = ((a, f.bottom), (b, f.bottom), (b, f.top), (a, f.top))
            self.behind.insert(0, Polygon(corners, 0.0, "tint", "tint"))
            self.behind += [Line(((x, f.bottom), (x, f.top)), _HAIR, "pale") for x in (a, b)]
        for band in self.given.bands:
            ring = tuple((f.x(x), f.y(y)) for x, y in (*band.upper, *reversed(band.lower)))
            self.behind.append(Polygon(ring, _AXIS, "ink", "shade"))

    def _write_column(self, column: Sequence[EdgeName]) -> list[Segment]:
        """Names at the right, pushed apart; gives the leaders that run inside the frame."""
        f = self.frame
        wanted = [(f.y(n.y) if n.y is not None else f.bottom, n.words.height) for n in column]
        middles = spread(wanted, f.bottom - _OVER, f.top + _OVER)
        leaders: list[Segment] = []
        start = f.right + self.lead
        for name, middle, (y, tall) in zip(column, middles, wanted, strict=True):
            self.over += name.words.at(start, middle - tall / 2)
            x = f.right if name.x is None else f.x(name.x)
            if self.lead == _SAMPLE_LEAD:
                sample = [(f.right + _SAMPLE[0], middle), (f.right + _SAMPLE[1], middle)]
                self.over += stroked([sample], name.style)
            if name.y is None:
                continue
            if x < f.right - 0.5:
                leaders.append((x + 0.5, y, f.right, y))
                self.over.append(Line(((x + 0.5, y), (f.right, y)), _HAIR, "gray"))
            if self.lead == _SAMPLE_LEAD:
                self.over.append(Line(((f.right + 0.6, y), (f.right + _SAMPLE[0] - 0.5, middle)), _HAIR, "gray"))
            elif abs(middle - y) > 0.3:
                self.over.append(Line(((f.right + 0.3, y), (start - 0.3, middle)), _HAIR, "gray"))
        return leaders

    def _write_band(self, flags: Sequence[Flag]) -> list[Segment]:
        """Names of spans and flagged marks over the frame; gives the stems that run inside it."""
        f = self.frame
        stems: list[Segment] = []
        for flag, row in zip(flags, self.row_of, strict=True):
            base = f.top + _OVER + 0.5 + sum(self.rows[:row])
            self.over += flag.words.at(flag.x + _STEM, base + 0.5)
            top = base + 0.5 + flag.words.height
            foot = f.top
            if flag.foot is not None:
                foot = f.y(flag.foot) + _DOT
                stems.append((flag.x, foot, flag.x, f.top))
            self.behind.append(Line(((flag.x, foot), (flag.x, top)), _HAIR, "gray"))
            if flag.end is not None:
                self.behind.append(Line(((flag.x, base), (f.x(flag.end), base)), 0.9, "gray"))
        return stems

    def _write_inside(self, names: Sequence[EdgeName], runs: list[Run], leaders: list[Segment]) -> None:
        """Marks, and ends of lines, with their words beside them; notes those that find no room."""
        f, given = self.frame, self.given
        if given.y is None:
            middle = (f.left + f.right) / 2, (f.bottom + f.top) / 2
            self.over.append(Text(*middle, "no values", _SMALL, "middle", "gray"))
        marks = [(f.x(mark.x), f.y(mark.y)) for mark in given.marks]
        dots = [(x - _DOT, y - _DOT, x + _DOT, y + _DOT) for x, y in marks]
        self.over += [Circle(x, y, _DOT, 0.8, "ink", "white") for x, y in marks]
        # What is to be written there: what it is, its point, its words, its own dot, and how many distances to try.
        due: list[tuple[Crowded, tuple[float, float], PlotLabel, Box | None, int]] = []
        for i in self.inner:
            x, y = given.runs[i][-1][-1]
            due.append((("line", i), (f.x(x), f.y(y)), names[i].words, None, 2))
        for i, mark in enumerate(given.marks):
            label = words(mark.text, _SMALL, 34.0)
            if ("mark", i) not in self.moved and label.lines:
                due.append((("mark", i), marks[i], label, dots[i], 6))
        if not due:
            return
        levels = [f.y(limit.value) for limit in given.limits] + ([f.y(0.0)] if f.y_ends[0] < 0 else [])
        edges = [f.x(x) for span in given.spans for x in (span.start, span.end)]
        room = Room((f.left + 0.3, f.bottom + 0.3, f.right, f.top), runs, levels, edges)
        room.boxes += dots
        room.leaders += leaders
        for what, point, label, own, reach in due:
            found = room.place(*point, label, own, reach)
            if found is None:
                self.crowded.add(what)
                continue
            box, leader = found
            self.over += label.at(box[0], box[1])
            if leader:
                self.behind.append(Line((leader[:2], leader[2:]), _HAIR, "gray"))
