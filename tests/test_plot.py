"""Plots: nothing on a label, no extreme lost, names at their lines, the same each time, whatever is plotted."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from itertools import combinations, pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from specc.drawing.plot import PlotBand, PlotLimit, PlotLine, PlotMark, PlotSpan, SecondScale, plot
from specc.drawing.plot_labels import crosses, meet, rows_of, spread
from specc.drawing.plot_lines import COLUMN, STYLES, pieces, runs_of, thinned
from specc.drawing.plot_scales import clock, fitted_clock, number_scale, seconds_of, widened
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Sheet, Text
from specc.drawing.svg import to_svg
from specc.drawing.text import Box, text_box

HAIR = 1e-6
Points = list[tuple[float, float | None]]


def sheet_of(drawing: Drawing) -> Sheet:
    assert drawing.kind == "schematic"
    (sheet,) = drawing.sheets
    return sheet


def texts(sheet: Sheet) -> list[Text]:
    return [s for s in sheet.shapes if isinstance(s, Text)]


def said(drawing: Drawing) -> list[str]:
    return [t.text for t in texts(sheet_of(drawing))]


def corners_of(shape: Shape) -> list[tuple[float, float]]:
    if isinstance(shape, Line | Polygon):
        return list(shape.points)
    if isinstance(shape, Circle):
        r = shape.radius
        return [(shape.x - r, shape.y - r), (shape.x + r, shape.y + r)]
    assert isinstance(shape, Text)
    left, low, right, high = text_box(shape)
    return [(left, low), (right, high)]


def overlap(a: Box, b: Box) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > HAIR and min(a[3], b[3]) - max(a[1], b[1]) > HAIR


def frame(sheet: Sheet) -> Box:
    """The axes are the one line of three points: up the left side and along the bottom."""
    (axes,) = (
        s.points for s in sheet.shapes
        if isinstance(s, Line) and s.weight == 0.5 and len(s.points) == 3 and s.points[1][1] == s.points[2][1]
    )  # fmt: skip
    return axes[0][0], axes[1][1], axes[2][0], axes[0][1]


def check_clear(sheet: Sheet) -> None:
    """All on the sheet; no words on other words, on the frame's edges, or on the dot of a mark."""
    for shape in sheet.shapes:
        for x, y in corners_of(shape):
            assert -HAIR <= x <= sheet.width + HAIR, shape
            assert -HAIR <= y <= sheet.height + HAIR, shape
    boxes = [(t, text_box(t)) for t in texts(sheet)]
    for (one, a), (two, b) in combinations(boxes, 2):
        assert not overlap(a, b), (one, two)
    left, bottom, right, top = frame(sheet)
    dots = [s for s in sheet.shapes if isinstance(s, Circle) and s.fill == "white"]
    for text, box in boxes:
        assert not (box[0] < left < box[2] and box[1] < top and box[3] > bottom), text
        assert not (box[1] < bottom < box[3] and box[0] < right and box[2] > left), text
        for dot in dots:
            r = dot.radius - HAIR
            assert not overlap(box, (dot.x - r, dot.y - r, dot.x + r, dot.y + r)), (text, dot)


def check_words_free(sheet: Sheet) -> None:
    """No line runs over words, but for the faint ones: grid and edges of spans."""
    segments = [
        (*a, *b)
        for s in sheet.shapes
        if isinstance(s, Line) and s.tone != "pale"
        for a, b in pairwise(s.points)
        if a != b
    ]
    for text in texts(sheet):
        left, low, right, high = text_box(text)
        inner = (left + 0.05, low + 0.05, right - 0.05, high - 0.05)
        for segment in segments:
            assert not crosses(segment, inner), (text, segment)


def value_scale(sheet: Sheet) -> tuple[float, float]:
    """Read off two ticks of the left axis: y in mm is a + b times the value."""
    left, bottom, _, top = frame(sheet)
    ticks = [t for t in texts(sheet) if t.anchor == "end" and t.x < left and bottom - 2 < t.y < top]
    ticks = [t for t in ticks if t.x == max(u.x for u in ticks)]  # a second scale stands left of the first
    values = sorted((float(t.text.replace("−", "-").replace(",", "")), t.y) for t in ticks)
    (v1, y1), (v2, y2) = values[0], values[-1]
    b = (y2 - y1) / (v2 - v1)
    return bottom - b * values[0][0] + (y1 - min(y for _, y in values)), b


def drawn_line(sheet: Sheet, number: int) -> list[tuple[float, float]]:
    """The corners of what is drawn of a line inside the frame."""
    style, right = STYLES[number], frame(sheet)[2]
    found = []
    for s in sheet.shapes:
        if isinstance(s, Line) and (s.weight, s.tone) == (style.weight, style.tone):
            found += [p for p in s.points if p[0] <= right + HAIR]
        elif isinstance(s, Circle) and s.fill == style.tone:
            found.append((s.x, s.y))
    return found


# Made once each: what draws is checked when it is first used, which takes longer than to draw from it.
WORDS = st.sampled_from(
    ["tank", "usual air, 60 °F", "a", "", "a name of many words that goes on and on until it has to be cut", "W" * 70]
)  # fmt: skip
NUMBERS = st.floats(-1000, 1000).map(lambda v: round(v, 3)) | st.sampled_from([0.0, 5.0, 1e6, -1e6])
STEPS = st.floats(0, 50).map(lambda v: round(v, 2))
NAMES = st.lists(WORDS, max_size=8, unique=True)
BEGINS = st.floats(-100, 100)
MANY_STEPS = st.lists(STEPS, max_size=40)
VALUES = st.none() | NUMBERS
FEW, SOME = st.integers(0, 4), st.integers(0, 12)
SPANS = st.lists(NUMBERS, max_size=6)
TICKS, STARTS = st.sampled_from(["number", "clock"]), st.sampled_from(["20:30", "00:00", "23:59"])
EITHER = st.booleans()
SECOND = st.none() | st.just(SecondScale("kPa gauge", 6.894757)) | st.just(SecondScale("°C", -0.5, 9.0))
WIDTHS, HEIGHTS = st.sampled_from([90.0, 180.0]), st.sampled_from([40.0, 80.0])


@st.composite
def point_lists(draw: st.DrawFn) -> Points:
    x = draw(BEGINS)
    points: Points = []
    for step in draw(MANY_STEPS):
        x += step
        points.append((x, draw(VALUES)))
    return points


POINTS = point_lists()


@st.composite
def plots(draw: st.DrawFn) -> Drawing:
    names = draw(NAMES)
    return plot(
        "k", "t", [PlotLine(name, draw(POINTS)) for name in names], draw(WORDS), draw(WORDS),
        [PlotLimit(draw(NUMBERS), draw(WORDS)) for _ in range(draw(FEW))],
        [PlotMark(draw(NUMBERS), draw(NUMBERS), draw(WORDS)) for _ in range(draw(SOME))],
        [PlotSpan(a, a + draw(STEPS), draw(WORDS)) for a in draw(SPANS)],
        x_ticks=draw(TICKS),
        starts=draw(STARTS),
        from_zero=draw(EITHER),
        second=draw(SECOND),
        width=draw(WIDTHS), height=draw(HEIGHTS),
    )  # fmt: skip


@settings(max_examples=250, deadline=None)
@given(plots())
def test_whatever_is_plotted_is_on_the_sheet_and_words_are_clear(drawing: Drawing) -> None:
    sheet = sheet_of(drawing)
    check_clear(sheet)
    check_words_free(sheet)
    ET.fromstring(to_svg(drawing))


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 1e-150), (1e-20, 2e-20), (-1e-12, 0.0), (1e6, 1e6 + 0.002), (3.0, 3.0)]
)
def test_the_ticks_of_a_clock_stay_on_an_axis_of_less_than_a_second(low: float, high: float) -> None:
    drawing = plot("k", "t", [PlotLine("it", [(low, 1.0), (high, 2.0)])], "", "", x_ticks="clock", starts="20:30")
    check_clear(sheet_of(drawing))
    check_words_free(sheet_of(drawing))
    scale = fitted_clock(*widened(low, high), "20:30", 7, lambda scale: True)
    wide = scale.high - scale.low
    assert all(scale.low - wide * 1e-5 <= t <= scale.high + wide * 1e-5 for t, _ in scale.ticks)


def night(dip: float = 0.0) -> Points:
    """Ten thousand points that fall slowly; one of them is deep."""
    points: Points = [(i * 1.44, 50 + 40 * math.exp(-i / 3000)) for i in range(10_000)]
    points[7001] = (7001 * 1.44, dip)
    return points


def test_a_dip_of_one_point_in_ten_thousand_is_drawn_in_every_style() -> None:
    for number, style in enumerate(STYLES):
        others = [PlotLine(f"other {i}", [(0.0, 80.0), (14400.0, 80.0)]) for i in range(number)]
        sheet = sheet_of(plot("k", "t", [*others, PlotLine("tank", night(3.0))], "", "psig", y_holds=[100.0]))
        a, b = value_scale(sheet)
        lowest = min(y for _, y in drawn_line(sheet, number))
        assert (lowest - a) / b == pytest.approx(3.0, abs=1e-6), style


@settings(max_examples=100, deadline=None)
@given(point_lists(), st.integers(0, len(STYLES) - 1))
@example([(0.0, 1.0), (1.0, None), (2.0, 9.0), (3.0, None), (3.0, 4.0), (3.0, 2.0)], 3)
def test_what_is_drawn_reaches_as_far_as_the_points(points: Points, number: int) -> None:
    values = [y for _, y in points if y is not None]
    if len(set(values)) < 2 or max(values) - min(values) < 0.01:
        return
    others = [PlotLine(f"other {i}", []) for i in range(number)]
    sheet = sheet_of(plot("k", "t", [*others, PlotLine("it", points)], "", "", from_zero=False))
    low, high = widened(min(values), max(values))
    scale = number_scale(low, high, 5)
    _, bottom, _, top = frame(sheet)
    ys = [bottom + (v - scale.low) / (scale.high - scale.low) * (top - bottom) for v in (min(values), max(values))]
    drawn = [y for _, y in drawn_line(sheet, number)]
    assert [min(drawn), max(drawn)] == pytest.approx(ys, abs=1e-5)


@settings(max_examples=100)
@given(point_lists(), st.floats(0.1, 30))
def test_thinning_keeps_each_columns_extremes_and_ends(points: Points, column: float) -> None:
    runs = runs_of("it", points)
    for before, after in zip([r for r in runs if len(r) > 1], [r for r in thinned(runs, -100, column) if len(r) > 1],
                             strict=True):  # fmt: skip
        assert (after[0], after[-1]) == (before[0], before[-1])
        for at in {int((x + 100) / column) for x, _ in before}:
            old = [p[1] for p in before if int((p[0] + 100) / column) == at]
            new = [p[1] for p in after if int((p[0] + 100) / column) == at]
            assert (min(new), max(new)) == (min(old), max(old))
            assert len(new) <= 4


@settings(max_examples=200)
@given(
    st.lists(st.tuples(STEPS, st.floats(0, 60)), min_size=2, max_size=30), st.sampled_from([s.dashes for s in STYLES])
)
@example([(0.0, 5.0), (8.0, 5.0)], (2.6, 1.4))
@example([(0.0, 5.0), (1.4, 5.0)], (0.2, 1.2))
@example([(0.0, 0.0), (6.4, 0.0), (6.4, 6.4)], (4.0, 1.2, 0.2, 1.2))
def test_dashes_lie_on_the_line_and_cover_every_turn(
    steps: list[tuple[float, float]], dashes: tuple[float, ...]
) -> None:
    x, run = 0.0, []
    for step, y in steps:
        x += step
        run.append((x, y))
    drawn = [p for piece in pieces(run, dashes) for p in piece]
    turns = [b for a, b, c in zip(run, run[1:], run[2:], strict=False) if (b[1] - a[1]) * (c[1] - b[1]) < 0]
    for turn in [run[0], *turns, run[-1]]:
        assert any(math.dist(turn, p) < 1e-6 for p in drawn), turn
    for px, py in drawn:
        near = min(_distance((px, py), a, b) for a, b in pairwise(run))
        assert near < 1e-6


def _distance(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    share = 0.0 if size == 0 else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size))
    return math.dist(p, (a[0] + share * dx, a[1] + share * dy))


def test_dashes_leave_gaps_of_the_pattern_on_a_straight_line() -> None:
    drawn = pieces([(0.0, 0.0), (20.0, 0.0)], (2.0, 1.0))
    assert [(a[0], b[0]) for a, b in drawn[:3]] == [(0.0, 2.0), (3.0, 5.0), (6.0, 8.0)]
    assert drawn[-1][-1] == (20.0, 0.0)


def test_the_styles_differ() -> None:
    assert len(set(STYLES)) == len(STYLES)
    for one, two in combinations(STYLES, 2):
        same_pattern = one.dashes == two.dashes
        assert not same_pattern or one.weight != two.weight or one.tone != two.tone


def test_a_gap_breaks_the_line_and_a_lone_point_is_a_dot() -> None:
    points: Points = [(0, 1), (1, 2), (2, None), (3, 4), (4, None), (5, 1), (6, 2)]
    sheet = sheet_of(plot("k", "t", [PlotLine("it", points)], "", ""))
    left, _, right, _ = frame(sheet)
    bold = [s.points for s in sheet.shapes if isinstance(s, Line) and s.weight == STYLES[0].weight]
    spread_in_x = [[round((x - left) / (right - left) * 6, 6) for x, _ in p] for p in bold if p[0][0] < right]
    assert spread_in_x == [[0, 1], [5, 6]]
    (dot,) = (s for s in sheet.shapes if isinstance(s, Circle))
    assert (dot.x - left) / (right - left) * 6 == pytest.approx(3)


def test_a_vertical_drop_is_drawn() -> None:
    sheet = sheet_of(plot("k", "t", [PlotLine("it", [(0, 10), (5, 10), (5, 2), (9, 2)])], "", ""))
    bold = [s.points for s in sheet.shapes if isinstance(s, Line) and s.weight == STYLES[0].weight]
    assert any(a[0] == b[0] and a[1] - b[1] > 20 for points in bold for a, b in pairwise(points))


def test_names_stand_at_the_ends_of_their_lines_and_limits() -> None:
    sheet = sheet_of(
        plot("k", "t", [PlotLine("upper", [(0, 9), (9, 90)]), PlotLine("lower", [(0, 9), (9, 20)])], "", "psig",
             [PlotLimit(50, "limit of 50")])
    )  # fmt: skip
    a, b = value_scale(sheet)
    right = frame(sheet)[2]
    for name, value in (("upper", 90), ("lower", 20), ("limit of 50", 50)):
        (text,) = (t for t in texts(sheet) if t.text == name)
        assert 0 < text.x - right < 3
        assert abs(text.y - (a + b * value)) < 1.5
    # Nothing was moved, so there is no leader.
    assert not [s for s in sheet.shapes if isinstance(s, Line) and s.weight == 0.35 and s.tone == "gray"]


def test_names_of_lines_that_end_together_are_parted_and_each_has_a_leader_and_a_sample() -> None:
    lines = [PlotLine(f"tank {i}", [(0, 10 * i), (9, 50)]) for i in range(8)]
    sheet = sheet_of(plot("k", "t", lines, "", "", [PlotLimit(50, "limit")]))
    check_clear(sheet)
    right = frame(sheet)[2]
    leaders = [s for s in sheet.shapes if isinstance(s, Line) and s.weight == 0.35 and s.tone == "gray"]
    assert len(leaders) == 9
    assert not any(meet((*p.points[0], *p.points[1]), (*q.points[0], *q.points[1]))
                   for p, q in combinations(leaders, 2) if p.points[0] != q.points[0])  # fmt: skip
    heights = {name: t.y for t in texts(sheet) if t.x > right for name in [t.text]}
    for i, style in enumerate(STYLES):
        samples = [s for s in sheet.shapes if isinstance(s, Line) and s.points[0][0] > right
                   and (s.weight, s.tone) == (style.weight, style.tone)]  # fmt: skip
        assert any(abs(s.points[0][1] - heights[f"tank {i}"]) < 1.5 for s in samples), i


def test_a_line_that_ends_early_is_named_where_it_ends() -> None:
    lines = [PlotLine("short", [(0, 50), (30, 50)]), PlotLine("long", [(0, 10), (90, 10)])]
    sheet = sheet_of(plot("k", "t", lines, "", ""))
    left, _, right, _ = frame(sheet)
    (text,) = (t for t in texts(sheet) if t.text == "short")
    assert 0 < text.x - (left + (right - left) / 3) < 3
    # Hemmed in by another line, it goes to the column, with a leader.
    zigzag: Points = [(i / 4, 50 + (-1) ** i * 40) for i in range(360)]
    sheet = sheet_of(plot("k", "t", [lines[0], PlotLine("wild", zigzag)], "", ""))
    (text,) = (t for t in texts(sheet) if t.text == "short")
    assert text.x > frame(sheet)[2]
    check_clear(sheet)


def test_crowded_marks_all_keep_their_words() -> None:
    zigzag: Points = [(i / 4, 50 + (-1) ** i * 40) for i in range(360)]
    marks = [PlotMark(i * 4.0, 50.0, f"burst {i}") for i in range(20)]
    drawing = plot("k", "t", [PlotLine("wild", zigzag)], "", "", [], marks, [PlotSpan(10, 60, "scene")])
    assert {m.text for m in marks} | {"scene"} <= set(said(drawing))
    check_clear(sheet_of(drawing))
    _, bottom, _, top = frame(sheet_of(drawing))
    assert top - bottom >= 48


def test_words_never_lie_on_a_limit() -> None:
    marks = [PlotMark(float(x), 25.2, "a mark close to it") for x in range(5, 95, 18)]
    sheet = sheet_of(
        plot("k", "t", [PlotLine("tank", [(0, 90), (100, 30)])], "", "", [PlotLimit(25, "needs 25")], marks)
    )
    a, b = value_scale(sheet)
    for text in texts(sheet):
        low, high = text_box(text)[1::2]
        if text.x < frame(sheet)[2] and text.text.startswith("a mark"):
            assert not low < a + 25 * b < high


@pytest.mark.parametrize("width", [90.0, 120.0, 180.0])
@pytest.mark.parametrize("low", [0.0, 1823.0])
def test_clock_ticks_of_a_few_minutes_have_seconds(low: float, width: float) -> None:
    line = PlotLine("it", [(low, 1), (low + 160, 2)])
    drawing = plot("k", "t", [line], "", "psig", x_ticks="clock", starts="20:30", width=width)
    ticks = [t for t in said(drawing) if ":" in t]
    assert len(ticks) >= 5
    assert len(set(ticks)) == len(ticks)
    assert all(len(t) == 8 and t[2] == t[5] == ":" for t in ticks)
    assert ("20:30:30" if low == 0 else "21:00:30") in ticks


def test_what_is_read_aloud_of_a_plot_is_its_lines_and_no_ticks() -> None:
    lines = [PlotLine("usual air", [(0, 90), (100, 30)]), PlotLine("cold night", [(0, 40), (100, 20)])]
    drawing = plot("k", "Pressure", lines, "s", "psig", [PlotLimit(25, "needs 25")], note="Each is a night.")
    root = ET.fromstring(to_svg(drawing))
    (told,) = [e.text for e in root if e.tag.endswith("}desc")]
    assert told == "Pressure. Each is a night. Lines: usual air; cold night; needs 25."


def test_clock_ticks() -> None:
    drawing = plot("k", "t", [PlotLine("it", [(0, 1), (4 * 3600, 2)])], "", "", x_ticks="clock", starts="20:30")
    assert [t for t in said(drawing) if ":" in t] == [
        "20:30", "21:00", "21:30", "22:00", "22:30", "23:00", "23:30", "00:00", "00:30"
    ]  # fmt: skip
    # From the start if it is on the quarter hour, else at round times.
    hourly = [fitted_clock(0, 4 * 3600, starts, 4, lambda _: True).ticks for starts in ("20:30", "20:37")]
    assert [text for _, text in hourly[0]] == ["20:30", "21:30", "22:30", "23:30", "00:30"]
    assert hourly[1] == ((1380, "21:00"), (4980, "22:00"), (8580, "23:00"), (12180, "00:00"))
    assert clock(86400 + 60, 3600, True) == "day 2 00:01"
    assert clock(61, 1) == "00:01:01"


@pytest.mark.parametrize("time", ["", "2030", "24:00", "20:60", "20:3", "8:30 pm", "²0:30", "-1:30"])
def test_what_is_no_time_of_day_is_refused(time: str) -> None:
    with pytest.raises(ValueError, match="not a time of day"):
        seconds_of(time)


@settings(max_examples=300)
@given(st.floats(-1e99, 1e99), st.floats(1e-6, 1e99), st.integers(2, 10))
@example(low=3.869491318000001e25, size=3.869491085285786e16, about=2)  # its last tick was lost in rounding
def test_number_ticks_are_one_two_or_five_and_differ(low: float, size: float, about: int) -> None:
    low, high = widened(low, low + size)
    scale = number_scale(low, high, about)
    slack = (high - low) * 1e-6
    assert scale.low <= low + slack
    assert scale.high >= high - slack
    texts = [text for _, text in scale.ticks]
    assert len(set(texts)) == len(texts)
    assert 2 <= len(texts) <= about + 3
    step = (scale.high - scale.low) / (len(texts) - 1)
    assert f"{step:.0e}"[0] in "125"
    for value, text in scale.ticks:
        said = float(text.replace("−", "-").replace(",", ""))
        assert abs(said - value) <= step * 0.01


def test_ticks_have_few_digits() -> None:
    assert [t for _, t in number_scale(0, 97, 5).ticks] == ["0", "20", "40", "60", "80", "100"]
    assert [t for _, t in number_scale(-0.02, 0.03, 5).ticks] == ["−0.02", "−0.01", "0.00", "0.01", "0.02", "0.03"]
    assert [t for _, t in number_scale(0, 1.2e4, 3).ticks] == ["0", "5,000", "10,000", "15,000"]
    assert [t for _, t in number_scale(0, 4e12, 2).ticks] == ["0", "2e12", "4e12"]


def test_second_scale() -> None:
    points: Points = [(0, 32), (9, 212)]
    drawing = plot("k", "t", [PlotLine("it", points)], "", "°F", second=SecondScale("°C", 5 / 9, -160 / 9))
    sheet = sheet_of(drawing)
    a, b = value_scale(sheet)
    ends = sorted({t.x for t in texts(sheet) if t.anchor == "end" and t.x < frame(sheet)[0]})
    second, first = ends
    # Both at hand: the second's axis stands between its own numbers and those of the first.
    assert frame(sheet)[0] - second < 15
    for text, fahrenheit in (("0", 32), ("100", 212)):
        at = next(t.y for t in texts(sheet) if t.x == second and t.text == text)
        low = next(t.y for t in texts(sheet) if t.x == first and t.text == "0")
        assert at - low == pytest.approx(b * fahrenheit)
    assert a > 0
    assert {"°C", "°F"} <= {t.text for t in texts(sheet)}


def test_a_band_reaches_as_far_as_what_it_stands_for() -> None:
    band = PlotBand([(2.0, 30.0), (4.0, 28.0)], [(2.5, 11.0), (4.5, 9.0)])
    sheet = sheet_of(plot("k", "t", [PlotLine("it", [(0.0, 30.0), (1.0, 30.0)])], "", "psig", bands=[band]))
    (drawn,) = (s for s in sheet.shapes if isinstance(s, Polygon))
    a, b = value_scale(sheet)
    assert sorted(y for _, y in drawn.points) == pytest.approx([a + b * v for v in (9, 11, 28, 30)])
    left, _, right, _ = frame(sheet)
    assert drawn.points[0][0] > left
    assert max(x for x, _ in drawn.points) == pytest.approx(right)  # the axis takes it in, though no line goes there


def test_the_axis_takes_in_zero_only_if_told_but_limits_and_marks_always() -> None:
    line = [PlotLine("it", [(0.0, 60.0), (9.0, 70.0)])]
    lowest = [
        next(t.text for t in texts(sheet_of(plot("k", "t", line, "", "", from_zero=zero))) if t.anchor == "end")
        for zero in (False, True)
    ]
    assert lowest == ["60", "0"]
    far = sheet_of(plot("k", "t", line, "", "", [PlotLimit(312, "relief")], [PlotMark(30, -40, "deep")]))
    _, bottom, right, top = frame(far)
    (dot,) = (s for s in far.shapes if isinstance(s, Circle))
    assert bottom <= dot.y <= top
    assert dot.x == pytest.approx(right)
    assert {"relief", "deep"} <= {t.text for t in texts(far)}


def test_empty_and_constant() -> None:
    assert said(plot("k", "t", [], "s", "psig")) == ["s", "psig", "no values"]
    drawing = plot("k", "t", [PlotLine("tank", [(0, None)]), PlotLine("other", [])], "", "")
    assert {"tank (no values)", "other (no values)", "no values"} <= set(said(drawing))
    for value in (0.0, 5.0, -5.0, 1e-30, 1e99):
        for from_zero in (True, False):
            sheet = sheet_of(plot("k", "t", [PlotLine("it", [(3, value)] * 3)], "", "", from_zero=from_zero))
            check_clear(sheet)
            assert "it" in [t.text for t in texts(sheet)]


NAN = float("nan")


@pytest.mark.parametrize(
    ("points", "what"),
    [
        ([(0, 1), (1, NAN)], "line 'tank': point 2 has y = nan"),
        ([(0, 1), (1, float("-inf"))], "line 'tank': point 2 has y = -inf"),
        ([(NAN, 1)], "line 'tank': point 1 has x = nan"),
        ([(0, 1), (NAN, None)], "line 'tank': point 2 has x = nan"),
        ([(1, 1), (0, 1)], "line 'tank': point 2 goes back in x"),
        ([(0, 1e101)], "line 'tank': point 1 has y = 1e"),
    ],
)
def test_a_line_that_cannot_be_drawn_is_named(points: Points, what: str) -> None:
    with pytest.raises(ValueError, match=what):
        plot("k", "t", [PlotLine("good", [(0, 1)]), PlotLine("tank", points)], "", "")


def test_other_faults_are_named() -> None:
    line = [PlotLine("a", [(0.0, 1.0), (9.0, 2.0)])]
    with pytest.raises(ValueError, match="limit 'relief': nan"):
        plot("k", "t", line, "", "", [PlotLimit(NAN, "relief")])
    with pytest.raises(ValueError, match="mark 'weak': inf"):
        plot("k", "t", line, "", "", marks=[PlotMark(0, float("inf"), "weak")])
    with pytest.raises(ValueError, match="span 'scene' ends before"):
        plot("k", "t", line, "", "", spans=[PlotSpan(2, 1, "scene")])
    with pytest.raises(ValueError, match="same name"):
        plot("k", "t", line * 2, "", "")
    with pytest.raises(ValueError, match="9 lines"):
        plot("k", "t", [PlotLine(f"{i}", []) for i in range(9)], "", "")
    with pytest.raises(ValueError, match="factor of 0"):
        plot("k", "t", line, "", "", second=SecondScale("kPa", 0))
    with pytest.raises(ValueError, match="do not differ"):
        plot("k", "t", line, "", "", second=SecondScale("kPa", 1.0, 1e12))
    with pytest.raises(ValueError, match="cannot be read"):
        plot("k", "t", line, "", "", width=50)
    with pytest.raises(ValueError, match="cannot be read"):
        plot("k", "t", line, "", "", height=NAN)


def test_spread_moves_no_more_than_needed() -> None:
    assert spread([(10, 2), (20, 2)], 0, 30) == [10, 20]
    assert spread([(10, 2), (10, 2)], 0, 30) == [9, 11]
    assert spread([(11, 2), (10, 2), (0, 2)], 0, 30) == [11.5, 9.5, 1]
    assert spread([(30, 2), (30, 2)], 0, 30) == [27, 29]


@given(st.lists(st.tuples(st.floats(0, 60), st.floats(0, 50)), max_size=20))
def test_no_stem_runs_through_a_label(flags: list[tuple[float, float]]) -> None:
    rows = rows_of(flags)
    for (i, (left, wide)), (j, (stem, _)) in combinations(enumerate(flags), 2):
        for a, b, low, high, stem_at in ((i, j, left, left + wide, stem), (j, i, stem, stem + flags[j][1], left)):
            if rows[b] >= rows[a]:
                assert not low < stem_at < high


def test_same_input_same_bytes_and_markup_stays_text() -> None:
    def one() -> str:
        return to_svg(plot("k", "<t>", [PlotLine("<b>&", night())], "", "", [PlotLimit(9, "<i>")]))

    assert one() == one()
    assert "<b>" not in one()


def test_ten_thousand_points_are_thinned() -> None:
    points = night()
    noisy: Points = [(float(i), (i * 7919) % 1000 / 10) for i in range(10_000)]
    marks = [PlotMark(5000.0, 20.0, "weak burst")]
    for given_points in (points, noisy):
        drawing = plot("k", "t", [PlotLine("tank", given_points)], "", "", marks=marks)
        drawn = drawn_line(sheet_of(drawing), 0)
        assert len(drawn) <= 4 * (180 / COLUMN)
