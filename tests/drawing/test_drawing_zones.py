"""How zones are told apart in a schematic; gauges, tees, loops, crossings, many cylinders."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import Links, check_clear, large, many_cylinders, schematic, serial
from plumbing_checks import SIZES, ZONES, check_crossings, check_every_link, drawn, said_on, spot

from specc.drawing.flow import Node
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, Sheet, Text
from specc.drawing.text import text_box, text_width
from specc.drawing.zones import OPEN_WEIGHT, WEIGHTS, bands_of

# --- zones -------------------------------------------------------------------------------------------------


def line_of(count: int = 1) -> tuple[list[Node], Links]:
    """A cylinder, and as many regulated lines to the air."""
    nodes = [Node("tank", "cylinder", ("20 lb",), "supply"), Node("T", "tee", ("1/2 in",), "supply")]
    links = [("tank", "T")]
    for i in range(1, count + 1):
        zone = f"pr{i}"
        line = [
            Node(f"R{i}", "regulator", (f"set {i}",), "supply"), Node(f"V{i}", "ball_valve", ("1/4 in",), zone),
            Node(f"F{i}", "orifice", ("0.03 in",), zone), Node(f"B{i}", "stem", ("1/4 in",), "open"),
        ]  # fmt: skip
        nodes += line
        links += [("T", line[0].tag), *serial(line)]
    return nodes, links


def test_name_and_pressure_stand_at_the_border_where_the_zone_begins() -> None:
    drawing = drawn(*line_of(1))
    (sheet,) = drawing.sheets
    borders = sorted(s.points[0][0] for s in sheet.shapes if isinstance(s, Line) and s.dashed)
    assert len(borders) == 2
    for x, zone in zip(borders, ("pr1", "open"), strict=True):
        for words in filter(None, ZONES[zone]):
            assert 0.0 < spot(drawing, words).x - x < 3.0
    assert spot(drawing, "110 psig, most 240 psig").x < borders[0]


def test_each_of_two_regulated_zones_is_named_at_its_regulator() -> None:
    drawing = drawn(*line_of(2))
    (sheet,) = drawing.sheets
    marks = [s.points for s in sheet.shapes if isinstance(s, Line) and s.dashed]
    for i in (1, 2):
        tag, name, pressure = (spot(drawing, t) for t in (f"R{i}", f"→ regulated by pr{i}", ZONES[f"pr{i}"].pressure))
        assert name.x == pressure.x == tag.x
        assert 0.0 < tag.y - name.y < 8.0
        # The mark right behind the regulator, across its line.
        assert [p for p in marks if 2.0 < p[0][0] - tag.x < 5.0 and p[1][1] > tag.y]


def weights_near(drawing: Drawing, tag: str) -> set[float]:
    """Weights of the connectors that end at the part over a tag."""
    text = spot(drawing, tag)
    (sheet,) = drawing.sheets
    lines = [s for s in sheet.shapes if isinstance(s, Line) and s.weight in (*WEIGHTS, OPEN_WEIGHT)]
    return {s.weight for s in lines if any(abs(x - text.x) < 4 and 0 < y - text.y < 6 for x, y in s.points)}


def test_zones_differ_by_weight_by_band_and_in_words() -> None:
    drawing = drawn(*line_of(2))
    assert weights_near(drawing, "R1") == {WEIGHTS[0], WEIGHTS[1]}
    assert weights_near(drawing, "V1") == {WEIGHTS[1]}
    assert weights_near(drawing, "F1") == {WEIGHTS[1], OPEN_WEIGHT}
    (sheet,) = drawing.sheets
    bands = [s for s in sheet.shapes if isinstance(s, Polygon) and s.weight == 0]
    tones = {s.fill for s in bands}
    assert len(tones) == 3
    # No band behind what is open to the air: none reaches to the right of the orifices.
    assert max(x for s in bands for x, _ in s.points) < spot(drawing, "F1").x
    assert min(WEIGHTS) > OPEN_WEIGHT
    assert "open to the air" in drawing.note


def test_every_connector_of_a_pressure_zone_has_its_band_and_no_other_has() -> None:
    (sheet,) = drawn(*line_of(2)).sheets
    bands = [s for s in sheet.shapes if isinstance(s, Polygon) and s.weight == 0]
    for line in (s for s in sheet.shapes if isinstance(s, Line) and not s.dashed):
        middle = [sum(c) / 2 for c in zip(*line.points[:2], strict=True)]
        behind = [
            b for b in bands
            if min(x for x, _ in b.points) < middle[0] < max(x for x, _ in b.points)
            and min(y for _, y in b.points) < middle[1] < max(y for _, y in b.points)
        ]  # fmt: skip
        if line.weight in WEIGHTS:
            assert behind, line
        elif line.weight == OPEN_WEIGHT:
            assert not behind, line


def test_bands_fall_from_the_cylinders_and_neighbors_differ() -> None:
    bands = bands_of({"supply": 0, "pr1": 1, "pr2": 1, "pr3": 1, "open": 2}, "open")
    assert "open" not in bands
    assert bands["supply"] not in (bands["pr1"], bands["pr2"])
    assert bands["pr1"] != bands["pr2"] != bands["pr3"]


def test_a_part_that_stands_apart_does_not_make_its_zone_look_like_the_cylinders() -> None:
    nodes, links = line_of(1)
    nodes.append(Node("spare", "ball_valve", ("1/4 in",), "pr1"))
    assert weights_near(drawn(nodes, links), "V1") == {WEIGHTS[1]}


def test_plain_names_still_do() -> None:
    nodes, links = line_of(1)
    names = {"supply": "cylinder pressure", "pr1": "regulated", "open": "open"}
    assert "regulated" in said_on(schematic(nodes, links, names))


# --- gauges, tees, loops, crossings ------------------------------------------------------------------------


@pytest.mark.parametrize(("zone", "side"), [("supply", -1), ("pr1", 1)])
def test_a_gauge_stands_on_its_side_of_a_regulator(zone: str, side: int) -> None:
    nodes, links = line_of(1)
    nodes.append(Node("G1", "gauge", ("0–60 psi",), zone))
    drawing = drawn(nodes, [*links, ("R1", "G1")])
    (sheet,) = drawing.sheets
    (ring,) = [s for s in sheet.shapes if isinstance(s, Circle) and s.radius == 1.9]
    regulator = spot(drawing, "R1")
    assert 3.0 < side * (ring.x - regulator.x) < 6.0
    borders = [s.points[0][0] for s in sheet.shapes if isinstance(s, Line) and s.dashed]
    # The border of the new zone lies on the gauge's side that is right.
    assert (min(borders) < ring.x) == (side > 0)


def gap_to(text: Text, x: float, y: float) -> float:
    left, low, right, high = text_box(text)
    return max(left - x, x - right, 0.0) + max(low - y, y - high, 0.0)


def test_the_tag_of_a_tee_stands_at_its_dot() -> None:
    nodes = [Node("tank", "cylinder", (), "supply"), Node("t0", "tee", ("1/2 in",), "supply")]
    links = [("tank", "t0")]
    for i in range(1, 5):
        nodes += [Node(f"t{i}", "tee", ("3/8 in NPT",), "supply"), Node(f"b{i}", "stem", ("1/4 in",), "supply")]
        links += [(f"t{i - 1}", f"t{i}"), (f"t{i - 1}", f"b{i}")]
    nodes += [Node("b5", "stem", (), "supply"), Node("b6", "stem", (), "supply")]
    links += [("t4", "b5"), ("t4", "b6")]
    drawing = schematic(nodes, links, ZONES, width=400.0, height=200.0)
    (sheet,) = drawing.sheets
    dots = [s for s in sheet.shapes if isinstance(s, Circle) and s.fill == "ink" and s.radius == 0.75]
    assert len(dots) == 5
    for i in range(5):
        tag = spot(drawing, f"t{i}")
        near = sorted(gap_to(tag, dot.x, dot.y) for dot in dots)
        assert near[0] < 4.0
        assert near[1] > 8.0


def test_a_dot_is_the_tee_s_own() -> None:
    """Where a manifold's line parts before two tees there is no dot, for neither tee is there."""
    nodes = [Node("M", "manifold", (), "supply"), Node("a", "tee"), Node("b", "tee")]
    nodes += [Node(f"s{i}", "stem") for i in range(4)]
    links = [("M", "a"), ("M", "b"), ("a", "s0"), ("a", "s1"), ("b", "s2"), ("b", "s3")]
    (sheet,) = schematic(nodes, links, {}).sheets
    dots = [s for s in sheet.shapes if isinstance(s, Circle) and s.fill == "ink" and s.radius == 0.75]
    assert len(dots) == 2


def test_a_ring_fed_from_both_sides_closes() -> None:
    nodes = [Node("tank", "cylinder", (), "supply"), Node("R", "regulator", (), "supply"), Node("T", "tee", (), "pr1")]
    links = [("tank", "R"), ("R", "T")]
    for side in "ab":
        line = [Node(f"V{side}", "ball_valve", (), "pr1"), Node(f"F{side}", "orifice", (), "pr1")]
        nodes += [*line, Node(f"E{side}", "elbow", (), "open")]
        links += [("T", f"V{side}"), (f"V{side}", f"F{side}"), (f"F{side}", f"E{side}"), (f"E{side}", "ring")]
    nodes.append(Node("ring", "burner_ring", ("36 in",), "open"))
    check_every_link(nodes, links)
    (sheet,) = drawn(nodes, links).sheets
    assert check_crossings(sheet) == 0


def test_lines_that_must_cross_jump() -> None:
    # Three sources each to three outlets through a valve of their own cannot be drawn in the plane.
    nodes = [Node(f"a{i}", "unknown") for i in range(3)] + [Node(f"c{i}", "unknown") for i in range(3)]
    links = []
    for i in range(9):
        nodes.append(Node(f"b{i}", "unknown"))
        links += [(f"a{i // 3}", f"b{i}"), (f"b{i}", f"c{i % 3}")]
    (sheet,) = schematic(nodes, links, ZONES, width=400.0, height=400.0).sheets
    assert 0 < check_crossings(sheet) <= 12
    check_every_link(nodes, links)


# --- many cylinders ----------------------------------------------------------------------------------------


def manifold_of(count: int) -> tuple[list[Node], Links]:
    nodes = [Node("M", "manifold", ("steel",), "supply"), Node("R", "regulator", ("set 15 psi",), "supply")]
    nodes += [Node("F", "orifice", ("0.2 in",), "pr1"), Node("bar", "burner_bar", ("6 ft",), "open")]
    links = [("M", "R"), ("R", "F"), ("F", "bar")]
    for i in range(1, count + 1):
        line = [
            Node(f"tank {i}", "cylinder", ("100 lb",), "supply"), Node(f"pig {i}", "hose", ("1/4 in",), "supply"),
            Node(f"ck {i}", "check_valve", ("1/4 in",), "supply"),
        ]  # fmt: skip
        nodes += line
        links += [*serial(line), (line[-1].tag, "M")]
    return nodes, links


def filled(sheet: Sheet) -> float:
    """The share of the sheet's width that something reaches."""
    return max(text_box(s)[2] for s in sheet.shapes if isinstance(s, Text)) / sheet.width


def test_many_cylinders_fill_their_sheets() -> None:
    assert len(drawn(*many_cylinders()).sheets) == 1
    drawing = drawn(*manifold_of(14))
    assert len(drawing.sheets) == 2
    assert all(filled(sheet) > 0.75 for sheet in drawing.sheets)
    for sheet in drawing.sheets:
        check_clear(sheet)
    assert len(schematic(*large(12), ZONES).sheets) == 2


def test_cylinders_stand_in_their_order() -> None:
    drawing = drawn(*manifold_of(4))
    (sheet,) = drawing.sheets
    places = [spot(drawing, f"tank {i}").y for i in range(1, 5)]
    assert places == sorted(places, reverse=True)
    assert sheet.height < 110.0


def test_text_widths_are_not_less_than_those_of_the_typeface() -> None:
    """The layout guesses; what is printed has to be narrower."""
    from specc.packet import fonts

    for text in (*SIZES, *(t for zone in ZONES.values() for t in zone), "→ regulated by pr1", "normally closed"):
        for strong, weight in ((False, "regular"), (True, "semibold")):
            printed = fonts.width(text, fonts.font_of(weight), 6.5) * 25.4 / 72
            assert printed <= text_width(text, 6.5, strong)
