"""The schematic: nothing on a label, everything drawn, the same each time, whatever the network's shape."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent / "drawing"))

from drawing_checks import (
    FIXED,
    ZONES,
    Example,
    Links,
    boxes,
    boxes_network,
    chain,
    check_all,
    check_clear,
    check_links,
    holds,
    large,
    long_chain,
    many_cylinders,
    schematic,
    serial,
    strong_texts,
    two_cylinders,
)

from specc.drawing.flow import Node
from specc.drawing.order import arrange
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Sheet, Text
from specc.drawing.svg import to_svg
from specc.drawing.symbols import SYMBOLS, symbol
from specc.drawing.text import text_box, text_width, wrap


@pytest.mark.parametrize("example", FIXED)
def test_nothing_lies_on_a_label(example: Example) -> None:
    check_all(*example())


@pytest.mark.parametrize("example", FIXED)
def test_small_sheets(example: Example) -> None:
    nodes, links = example()
    check_all(nodes, links, 120.0, 70.0)


def test_examples_fit_one_sheet_and_use_its_width() -> None:
    for example in (chain, two_cylinders):
        drawing = schematic(*example(), ZONES)
        assert len(drawing.sheets) == 1
        reach = boxes(drawing.sheets[0].shapes)
        texts = [text_box(s) for s in drawing.sheets[0].shapes if isinstance(s, Text)]
        assert max(b[2] for b in [*reach, *texts]) > 160.0


@pytest.mark.parametrize("example", FIXED[:-1])
def test_every_part_once(example: Example) -> None:
    nodes, links = example()
    texts = strong_texts(schematic(nodes, links, ZONES))
    for node in nodes:
        assert texts.count(node.tag) == 1


LINKED = [
    [(0, 1), (1, 2), (2, 3)],
    [(0, 2), (1, 2), (2, 3), (2, 4), (2, 5)],
    [(0, 1), (1, 2), (2, 0)],
    [(0, 1), (0, 2), (1, 3), (2, 3), (0, 3)],
    [(0, 3), (1, 4), (2, 5), (3, 7), (4, 6), (5, 8), (0, 8), (2, 6)],
    [(0, 1), (1, 1)],
]


@pytest.mark.parametrize("links", LINKED)
def test_every_link_drawn_and_no_other(links: list[tuple[int, int]]) -> None:
    check_links(*boxes_network(links, 1 + max(max(pair) for pair in links)))


@st.composite
def trees(draw: st.DrawFn, most: int = 40) -> tuple[list[Node], Links]:
    kinds = [*sorted(SYMBOLS), "something else"]
    count = draw(st.integers(1, most))
    nodes, links = [], []
    for i in range(count):
        labels = tuple(draw(st.lists(st.sampled_from(["1/4 in", "0–30 psig, set 15", "brass"]), max_size=2)))
        zone = draw(st.sampled_from(["", *"ccro"]))
        nodes.append(Node(f"n{i}_", draw(st.sampled_from(kinds)), labels, zone))
        if i and draw(st.integers(0, 9)):
            # Mostly to the last few, so that there are long branches as well as fans.
            links.append((f"n{draw(st.integers(max(0, i - 6), i - 1))}_", f"n{i}_"))
    return nodes, links


@st.composite
def networks(draw: st.DrawFn, most: int = 12) -> list[tuple[int, int]]:
    pair = st.tuples(st.integers(0, most - 1), st.integers(0, most - 1))
    return draw(st.lists(pair, min_size=1, max_size=most + 4, unique=True))


@settings(max_examples=60, deadline=None)
@given(trees())
def test_random_trees(tree: tuple[list[Node], Links]) -> None:
    nodes, links = tree
    drawing = check_all(nodes, links)
    texts = strong_texts(drawing)
    assert all(texts.count(node.tag) == 1 for node in nodes)


@settings(max_examples=60, deadline=None)
@given(networks())
def test_random_networks_with_loops(links: list[tuple[int, int]]) -> None:
    nodes, named = boxes_network(links, 12)
    check_links(nodes, named)
    check_all(nodes, named, width=120.0, height=70.0)


def tag_letters(drawing: Drawing) -> dict[str, set[str]]:
    """Letter of each off-sheet tag: the words over which it stands."""
    found: dict[str, set[str]] = {}
    for sheet in drawing.sheets:
        texts = [s for s in sheet.shapes if isinstance(s, Text)]
        for word in (t for t in texts if t.text.startswith(("to ", "from ")) and t.size == 6.0):
            near = [t for t in texts if t.strong and 0 < t.y - word.y < 3.6 and abs(t.x - word.x) < 16]
            letter = min(near, key=lambda t: abs(t.x - word.x))
            found.setdefault(letter.text, set()).add(word.text.split()[0])
    return found


def test_a_cut_network_names_both_ends() -> None:
    drawing = schematic(*many_cylinders(), ZONES, width=120.0, height=70.0)
    assert len(drawing.sheets) > 1
    assert tag_letters(drawing) == {"A": {"to", "from"}}


def test_the_cylinder_comes_first_and_tags_name_no_sheet_too_many() -> None:
    drawing = schematic(*large(15), ZONES)
    words = [[s.text for s in sheet.shapes if isinstance(s, Text)] for sheet in drawing.sheets]
    assert "tank" in words[0]
    assert len(words) == 3
    assert "to sheets 2–3" in words[0]
    assert "from sheet 1" in words[1]
    assert "from sheet 1" in words[2]


def test_a_long_chain_folds_with_a_line_and_goes_on_over_the_sheet() -> None:
    drawing = schematic(*long_chain(), ZONES)
    lines = [s for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Line)]
    assert any(len(line.points) == 6 for line in lines)
    words = [s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text)]
    assert ("to sheet 2" in words) == (len(drawing.sheets) > 1)


def test_crossing_is_a_jump() -> None:
    # Two by two all joined are one net: nothing to cross. Three by three through valves cannot be plane.
    one_net = schematic(*boxes_network([(0, 3), (1, 2), (0, 2), (1, 3)], 4), {})
    assert not any(isinstance(s, Arc) for s in one_net.sheets[0].shapes)
    valves = [(i // 3, 3 + i) for i in range(9)] + [(3 + i, 12 + i % 3) for i in range(9)]
    nodes, links = boxes_network(valves, 15)
    (sheet,) = schematic(nodes, links, {}, width=400.0, height=400.0).sheets
    assert any(isinstance(s, Arc) for s in sheet.shapes)
    check_links(nodes, links)


def test_line_weight_falls_with_the_zones() -> None:
    drawing = schematic(*chain(), ZONES)
    marks = sorted(s.points[0][0] for s in drawing.sheets[0].shapes if isinstance(s, Line) and s.dashed)
    assert len(marks) == 2
    level = [
        s for s in drawing.sheets[0].shapes
        if isinstance(s, Line) and not s.dashed and s.points[0][1] == s.points[1][1]
        and s.points[1][0] - s.points[0][0] > 6.0
    ]  # fmt: skip
    by_zone = [
        {s.weight for s in level if low < s.points[1][0] <= high}
        for low, high in zip([0.0, *marks], [*marks, 180.0], strict=True)
    ]
    assert all(by_zone)
    assert min(by_zone[0]) > max(by_zone[2])


def test_zone_names_are_written_once_on_a_sheet_that_has_each_zone_once() -> None:
    texts = [s.text for s in schematic(*chain(), ZONES).sheets[0].shapes if isinstance(s, Text)]
    for name in ZONES.values():
        assert texts.count(name) == 1


def test_same_network_same_bytes() -> None:
    for example in FIXED:
        assert to_svg(schematic(*example(), ZONES), None) == to_svg(schematic(*example(), ZONES), None)


def test_empty_and_single() -> None:
    empty = schematic([], [], {})
    assert empty.sheets == ()
    ET.fromstring(to_svg(empty, None))
    assert strong_texts(schematic([Node("only", "cylinder")], [], {})) == ["only"]


def test_faults_are_named() -> None:
    with pytest.raises(ValueError, match="'a' appears twice"):
        schematic([Node("a", "tee"), Node("a", "tee")], [], {})
    with pytest.raises(ValueError, match="no part 'b'"):
        schematic([Node("a", "tee")], [("a", "b")], {})
    with pytest.raises(ValueError, match="too small"):
        schematic([Node("a", "tee")], [], {}, width=20)


def test_other_scripts_and_markup() -> None:
    tags = ["气瓶一", "клапан", "صمام", "<b>&\"'</b>", "]]><script>", "nul\x00bell\x07"]
    nodes = [Node(tag, "ball_valve", ("<i>1/4 & 1/2</i>",), "z") for tag in tags]
    drawing = schematic(nodes, serial(nodes), {"z": "</text><zone>"}, title="<title>")
    for sheet in drawing.sheets:
        check_clear(sheet)
    root = ET.fromstring(to_svg(drawing, None))
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert names <= {"svg", "g", "title", "desc", "polyline", "polygon", "circle", "path", "rect", "text"}
    texts = [element.text for element in root.iter() if element.tag.endswith("}text")]
    assert [t for t in tags[:5] if t not in texts] == []
    assert "nul?bell?" in texts
    assert [e.text for e in root if e.tag.endswith("title")] == ["<title>"]


def test_svg_turns_y_and_stacks_sheets() -> None:
    one = Sheet(20.0, 10.0, (Circle(5.0, 9.0, 1.0),))
    drawing = Drawing("k", "t", "schematic", (one, one))
    circles = [e for e in ET.fromstring(to_svg(drawing, 1)).iter() if e.tag.endswith("circle")]
    assert [(c.get("cx"), c.get("cy")) for c in circles] == [("5", "1")]
    root = ET.fromstring(to_svg(drawing, None))
    assert root.get("height") == "26mm"
    assert len([e for e in root.iter() if e.tag.endswith("circle")]) == 2


def test_a_white_ground_lies_under_each_sheet() -> None:
    drawing = schematic(*large(15), ZONES)
    root = ET.fromstring(to_svg(drawing, None))
    groups = [e for e in root if e.tag.endswith("}g")]
    assert len(groups) == len(drawing.sheets) == 3
    for group, sheet in zip(groups, drawing.sheets, strict=True):
        first = group[0]
        assert first.tag.endswith("}rect")
        assert first.get("fill") == "#ffffff"
        assert [float(first.get(k, "")) for k in ("width", "height")] == pytest.approx(
            [sheet.width, sheet.height], abs=1e-3
        )
        assert first.get("x") is None
        assert first.get("y") is None


@pytest.mark.parametrize("name", sorted(SYMBOLS))
def test_symbols_stay_within_their_size(name: str) -> None:
    sign = SYMBOLS[name]
    room = (-sign.left, -sign.down, sign.right, sign.up)
    for box in boxes(s for s in sign.draw(0.0, 0.0) if not isinstance(s, Arc)):
        assert holds(room, box), name
    moved = sign.draw(7.0, 3.0)
    assert boxes(moved)[0][0] == pytest.approx(boxes(sign.draw(0.0, 0.0))[0][0] + 7.0)
    assert -sign.left <= sign.inlet[0] <= sign.outlet[0] <= sign.right


def test_unknown_kind_is_a_box_that_says_its_kind() -> None:
    assert symbol("flux_gate") is SYMBOLS["unknown"]
    drawing = schematic([Node("X1", "flux_gate")], [], {})
    assert "flux gate" in [s.text for s in drawing.sheets[0].shapes if isinstance(s, Text)]


def test_gauge_stands_on_its_part() -> None:
    drawing = schematic(*two_cylinders(), ZONES)
    shapes = drawing.sheets[0].shapes
    ring = next(s for s in shapes if isinstance(s, Circle) and s.radius == 1.9)
    tag = next(s for s in shapes if isinstance(s, Text) and s.text == "M1")
    assert ring.x == pytest.approx(tag.x)
    assert ring.y > tag.y


def test_a_tree_is_drawn_without_crossings() -> None:
    for example in (chain, two_cylinders, long_chain):
        nodes, links = example()
        nodes = [node for node in nodes if node.symbol not in ("hose", "regulator")]
        kept = {node.tag for node in nodes}
        drawing = schematic(nodes, [(a, b) for a, b in links if a in kept and b in kept], ZONES)
        assert not any(isinstance(s, Arc) for sheet in drawing.sheets for s in sheet.shapes)


def test_grid_columns_follow_the_flow() -> None:
    grid = arrange(6, [(0, 1), (1, 2), (0, 2), (2, 3), (3, 1), (4, 5)])
    assert grid.back == ((3, 1),)
    assert all(grid.column[u] < grid.column[v] for u, v in grid.forward)
    spots = list(zip(grid.column, grid.lane, strict=True))
    assert len(set(spots)) == len(spots)


def test_wrap_keeps_words_and_says_when_it_drops_some() -> None:
    lines = wrap("one two three four five six", 6.5, 12.0, most=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert all(text_width(line, 6.5) <= 12.0 for line in lines)
    assert "".join(wrap("unbreakable" * 4, 6.5, 12.0, most=99)) == "unbreakable" * 4


def test_a_large_network_is_laid_out_with_every_part() -> None:
    nodes, links = large(82)  # how long larger ones take: tests/benchmarks/test_drawing.py
    drawing = schematic(nodes, links, ZONES)
    assert len(strong_texts(drawing)) >= len(nodes)


def test_the_dot_of_a_tee_stands_where_lines_meet_and_where_they_part() -> None:
    nodes = [Node("a", "cylinder"), Node("b", "cylinder"), Node("t", "tee"), Node("u", "tee")]
    nodes += [Node("left", "burner_ring"), Node("right", "burner_bar")]
    links = [("a", "t"), ("b", "t"), ("t", "u"), ("u", "left"), ("u", "right")]
    shapes = schematic(nodes, links, {}).sheets[0].shapes
    dots = [s for s in shapes if isinstance(s, Circle) and s.fill == "ink" and s.radius == 0.75]
    uprights = [
        (one[0], sorted((one[1], two[1])))
        for s in shapes
        if isinstance(s, Line)
        for one, two in pairwise(s.points)
        if abs(one[0] - two[0]) < 1e-9 and abs(one[1] - two[1]) > 1
    ]
    assert len(dots) == 2
    for dot in dots:
        assert any(abs(x - dot.x) < 1e-6 and low - 1e-6 <= dot.y <= high + 1e-6 for x, (low, high) in uprights)


def test_in_any_font_words_of_an_svg_are_as_wide_as_they_were_laid_out_and_none_is_too_small() -> None:
    from specc.drawing.text import text_width

    words = Text(10, 5, "first valve", 6.5, strong=True)
    sheet = Sheet(60, 20, (words, Text(2, 2, "N", 9)))
    (first, letter) = (
        e
        for e in ET.fromstring(to_svg(Drawing("k", "t", "schematic", (sheet,)))).iter()
        if e.text and e.get("font-size")
    )
    assert float(first.get("font-size", "0")) == pytest.approx(7 * 25.4 / 72, abs=0.001)
    assert float(first.get("textLength", "0")) == pytest.approx(text_width("first valve", 7, True), abs=0.001)
    assert first.get("lengthAdjust") == "spacingAndGlyphs"
    assert letter.get("textLength") is None
