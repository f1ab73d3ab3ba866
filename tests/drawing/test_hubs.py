"""Lines end at the fitting that joins them, each by itself: no fitting is seen where none is."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import FIXED, HAIR, Example, Links, check_clear, large, schematic, serial, two_cylinders
from drawing_checks import ZONES as NAMES
from hub_checks import check_junctions, check_manifolds, dots, junctions, lines_at, manifolds, rails
from plumbing_checks import ZONES, check_crossings, check_every_link, drawn, spot
from test_drawing_zones import manifold_of
from test_plumbing import plumbing

from specc.drawing.bars import bars_of
from specc.drawing.flow import Node
from specc.drawing.network import network_of
from specc.drawing.order import arrange
from specc.drawing.shapes import Circle, RoundRect, Sheet, Text


def line_to(start: str, name: str, *kinds: str) -> tuple[list[Node], Links]:
    nodes = [Node(f"{name}{i}_", kind, ("1/4 in NPT",), "supply") for i, kind in enumerate(kinds)]
    return nodes, [(start, nodes[0].tag), *serial(nodes)]


def reeds() -> tuple[list[Node], Links]:
    """Two cylinders on one manifold, a regulator, and six outlets on another."""
    nodes = [Node("m1", "manifold", ("1/4 in",), "supply"), Node("m2", "manifold", ("3/8 in",), "supply")]
    links: Links = []
    for side in "ab":
        nodes.append(Node(f"tank_{side}", "cylinder", ("100 lb",), "supply"))
        more, joins = line_to(f"tank_{side}", f"c{side}", "hose", "connector", "ball_valve", "nipple")
        nodes, links = nodes + more, [*links, *joins, (more[-1].tag, "m1")]
    more, joins = line_to("m1", "r", "regulator", "hose", "ball_valve")
    nodes, links = nodes + more, [*links, *joins, (more[-1].tag, "m2")]
    more, joins = line_to("m1", "s", "regulator", "hose", "solenoid_valve", "stem")
    nodes, links = nodes + more, [*links, *joins]
    for i in range(6):
        more, joins = line_to("m2", f"o{i}", "ball_valve", "hose", "solenoid_valve", "tube", "orifice", "stem")
        nodes, links = nodes + more, [*links, *joins]
    return nodes, links


def five_way() -> tuple[list[Node], Links]:
    """Two cylinders each with a pigtail and a check valve, a plug, and two regulators."""
    nodes = [Node("m", "manifold", ("1/4 in",), "supply"), Node("plug", "plug", (), "supply")]
    links = [("m", "plug")]
    for side in "ab":
        line = [Node(f"tank_{side}", "cylinder", ("100 lb",), "supply"), Node(f"pig_{side}", "hose", (), "supply")]
        line.append(Node(f"ck_{side}", "check_valve", (), "supply"))
        nodes, links = nodes + line, [*links, *serial(line), (line[-1].tag, "m")]
    for side in "12":
        more, joins = line_to("m", f"r{side}", "regulator", "hose", "ball_valve", "orifice", "stem")
        nodes, links = nodes + more, [*links, *joins]
    return nodes, links


def cross_behind_accumulator() -> tuple[list[Node], Links]:
    nodes = [Node("tank", "cylinder", (), "supply"), Node("acc", "accumulator", (), "supply"), Node("x", "cross")]
    nodes += [Node("sv", "solenoid_valve"), Node("st", "stem"), Node("rv", "relief_valve"), Node("g", "gauge")]
    return nodes, [("tank", "acc"), ("acc", "x"), ("x", "sv"), ("sv", "st"), ("x", "rv"), ("x", "g")]


def fed_from_both_sides() -> tuple[list[Node], Links]:
    nodes = [Node("tank", "cylinder", (), "supply"), Node("t", "tee", (), "supply"), Node("ring", "burner_ring")]
    nodes += [Node("ha", "hose", (), "supply"), Node("hb", "hose", (), "supply")]
    return nodes, [("tank", "t"), ("t", "ha"), ("t", "hb"), ("ha", "ring"), ("hb", "ring")]


def ladder() -> tuple[list[Node], Links]:
    """A line of seven tees with a short line to an outlet at each."""
    nodes, links, last = [Node("tank", "cylinder", ("100 lb",), "supply")], [], "tank"
    for i in range(7):
        nodes.append(Node(f"T{i}", "tee", ("3/8 in",), "supply"))
        links.append((last, f"T{i}"))
        last = f"T{i}"
        more, joins = line_to(last, f"v{i}", "ball_valve", "orifice", "stem")
        nodes, links = nodes + more, [*links, *joins]
    nodes.append(Node("end", "plug", (), "supply"))
    return nodes, [*links, (last, "end")]


def fourteen() -> tuple[list[Node], Links]:
    return manifold_of(14)


def fifteen() -> tuple[list[Node], Links]:
    return large(15)


EXAMPLES = [
    *FIXED, reeds, five_way, cross_behind_accumulator, fed_from_both_sides, fourteen, fifteen, ladder,
]  # fmt: skip


@pytest.mark.parametrize("size", [(180.0, 110.0), (120.0, 70.0), (3000.0, 3000.0)])
@pytest.mark.parametrize("example", EXAMPLES)
def test_lines_meet_only_at_a_fitting(example: Example, size: tuple[float, float]) -> None:
    for sheet in drawn(*example(), *size).sheets:
        check_clear(sheet)
        check_crossings(sheet)
        check_junctions(sheet)


@pytest.mark.parametrize("example", [e for e in EXAMPLES if any(n.symbol == "manifold" for n in e()[0])])
def test_every_line_of_a_manifold_ends_at_its_bar(example: Example) -> None:
    nodes, links = example()
    stands = frozenset(i.standing.tag for i in network_of(nodes, links, ZONES, "open").items if i.standing)
    assert check_manifolds(drawn(nodes, links, 3000.0, 3000.0), nodes, links, stands)


def test_a_manifold_stands_from_its_uppermost_line_to_its_lowest() -> None:
    nodes, links = five_way()
    (sheet,) = drawn(nodes, links).sheets
    (body,) = manifolds(sheet)["m"]
    heights = [y for x, y in junctions(sheet) if abs(x - body.x - 1.4) < HAIR]
    assert len(heights) == 2  # the lines at its top and its bottom turn there, and one on both sides goes through
    assert body.height > 30.0
    assert not rails(sheet)
    assert lines_at(sheet, body) == 5


def test_lines_of_a_manifold_that_go_on_elsewhere_have_a_letter_each() -> None:
    nodes, links = reeds()
    drawing = drawn(nodes, links, 150.0)
    assert len(drawing.sheets) > 1
    ends = {tag: sum(tag in link for link in links) for tag in ("m1", "m2")}
    for tag, count in ends.items():
        bodies = [(sheet, body) for sheet in drawing.sheets for body in manifolds(sheet).get(tag, ())]
        assert [lines_at(sheet, body) for sheet, body in bodies] == [count]
    for sheet in drawing.sheets:
        assert not rails(sheet)
    words = [s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text)]
    assert not any(word.startswith("more of") for word in words)
    letters = [s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text) and s.strong]
    tagged = [letter for letter in letters if len(letter) == 1 and letter not in ("S", "P")]
    assert len(set(tagged)) >= 6
    assert all(tagged.count(letter) == 2 for letter in set(tagged))


def test_where_lines_are_too_many_for_letters_the_bar_is_drawn_again_and_says_so() -> None:
    nodes, links = manifold_of(14)
    drawing = drawn(nodes, links)
    bodies = [(sheet, tag, b) for sheet in drawing.sheets for tag, found in manifolds(sheet).items() for b in found]
    more = [tag for _, tag, _ in bodies if tag == "more of M"]
    assert more
    assert len(bodies) == len(more) + 1
    # Each bar that is drawn again has one line to its tag, and the manifold one from all of them.
    assert sum(lines_at(sheet, body) for sheet, _, body in bodies) == 15 + len(more) + 1


def test_a_low_sheet_gives_up_letters_and_not_its_height() -> None:
    nodes, links = large(8)
    for height in (110.0, 60.0):
        for sheet in drawn(nodes, links, 120.0, height).sheets:
            assert sheet.height <= height + HAIR
            check_junctions(sheet)


def test_a_gauge_stands_on_the_top_of_a_bar() -> None:
    nodes, links = two_cylinders()
    nodes.append(Node("tank_c", "cylinder", (), "c"))
    (sheet,) = schematic(nodes, [("tank_c", "M1"), *links], NAMES, width=400.0, height=300.0).sheets
    (body,) = manifolds(sheet)["M1"]
    (gauge,) = [s for s in sheet.shapes if isinstance(s, Circle) and s.radius == 1.9]
    assert gauge.x == pytest.approx(body.x + 1.4)
    assert body.y + body.height < gauge.y < body.y + body.height + 6.0


def test_the_lines_of_a_cross_leave_its_dot_three_ways() -> None:
    nodes, links = cross_behind_accumulator()
    (sheet,) = drawn([n._replace(symbol="stem") if n.tag in ("rv", "g") else n for n in nodes], links).sheets
    ((x, y),) = dots(sheet)
    assert junctions(sheet) == [(round(x, 3), round(y, 3))]
    assert not rails(sheet)


def test_both_lines_of_a_ring_end_at_it() -> None:
    drawing = drawn(*fed_from_both_sides())
    (sheet,) = drawing.sheets
    (ring,) = [s for s in sheet.shapes if isinstance(s, RoundRect) and s.radius == 3.4]
    assert ring.height > 10.0
    assert lines_at(sheet, ring) == 2
    assert abs(spot(drawing, "ring").x - ring.x - ring.width) < 2.0


def test_a_part_that_is_no_fitting_has_a_heavy_upright_and_the_caption_says_so() -> None:
    nodes = [Node("tank", "cylinder"), Node("v", "ball_valve"), Node("s1", "stem"), Node("s2", "stem")]
    drawing = drawn(nodes, [("tank", "v"), ("v", "s1"), ("v", "s2")])
    (sheet,) = drawing.sheets
    assert len(rails(sheet)) == 2  # the upright, and the stretch that joins it to the valve
    assert "heavy upright" in drawing.note
    assert check_junctions(sheet) == 1
    assert "heavy upright" not in drawn(*five_way()).note


def test_a_part_in_the_way_keeps_a_bar_from_standing() -> None:
    # 1 feeds 3 and 4 in the lanes above and below it; 5 is linked to nothing of theirs.
    links = [(0, 1), (1, 2), (1, 3), (1, 4)]
    free = arrange(5, links)
    assert set(bars_of(free, {1}).of) == {1}
    bar = bars_of(free, {1}).of[1]
    assert sorted(bar.right) == [0, 1, 2]
    assert bar.others == (1, 1)
    assert not bars_of(free, {0, 2}).of
    column = [*free.column, 1]
    lane = [*free.lane, 0]
    assert not bars_of(free._replace(column=column, lane=lane), {1}).of


HUB_KINDS = ("manifold", "manifold", "tee", "cross", "burner_ring", "ball_valve", "accumulator", "unknown", "gauge")


@st.composite
def hubs(draw: st.DrawFn) -> tuple[list[Node], Links]:
    """Any parts linked anyhow, most of them fittings that join lines."""
    count = draw(st.integers(2, 12))
    nodes = [
        Node(f"n{i}_", draw(st.sampled_from(HUB_KINDS)), ("x",), draw(st.sampled_from(("supply", "supply", "pr1"))))
        for i in range(count)
    ]
    pair = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1))
    links = draw(st.lists(pair, max_size=count + 6, unique=True))
    return nodes, [(f"n{a}_", f"n{b}_") for a, b in links]


@settings(max_examples=150, deadline=None)
@given(hubs())
def test_manifolds_of_random_networks(network: tuple[list[Node], Links]) -> None:
    nodes, links = network
    stands = frozenset(i.standing.tag for i in network_of(nodes, links, ZONES, "open").items if i.standing)
    drawing = drawn(nodes, links, 3000.0, 3000.0)
    check_manifolds(drawing, nodes, links, stands)
    check_every_link(nodes, links)


@pytest.mark.parametrize("size", [(3000.0, 3000.0), (120.0, 70.0)])
@settings(max_examples=100, deadline=None)
@given(network=hubs())
def test_no_junction_without_a_mark(network: tuple[list[Node], Links], size: tuple[float, float]) -> None:
    for sheet in drawn(*network, *size).sheets:
        check_clear(sheet)
        check_crossings(sheet)
        check_junctions(sheet)


@pytest.mark.parametrize("size", [(180.0, 110.0), (120.0, 70.0)])
@settings(max_examples=40, deadline=None)
@given(network=plumbing())
def test_no_junction_without_a_mark_in_plumbing(network: tuple[list[Node], Links], size: tuple[float, float]) -> None:
    for sheet in drawn(*network, *size).sheets:
        check_junctions(sheet)


def test_room_that_a_sheet_has_left_is_used_before_another_is_begun() -> None:
    """Three pieces, of which the second fills a sheet: the third stands under the first."""
    nodes, links = reeds()
    drawing = drawn(nodes, links)
    first, second = drawing.sheets
    assert second.height > 90.0
    tags = [s.text for s in first.shapes if isinstance(s, Text) and s.strong]
    assert {"tank_a", "s3_"} <= set(tags)
    assert "o00_" not in tags
    check_clear(first)


def test_a_line_to_an_outlet_is_not_cut_where_it_fits() -> None:
    drawing = drawn(*ladder(), 150.0)
    assert len(drawing.sheets) > 1
    said = [{s.text for s in sheet.shapes if isinstance(s, Text) and s.strong} for sheet in drawing.sheets]
    for i in range(7):
        line = {f"v{i}{part}_" for part in range(3)}
        assert [tags for tags in said if line & tags] == [tags for tags in said if line <= tags]
    # The tees themselves lie on both sheets, and each line that is cut has a letter of its own.
    assert {"T0", "T6"} - said[0] == {"T6"}
    letters = [text for tags in said for text in tags if len(text) == 1]
    assert all(letters.count(letter) == 2 for letter in letters)


def test_the_check_sees_a_junction_without_a_mark() -> None:
    (sheet,) = drawn(*fed_from_both_sides()).sheets
    bare = Sheet(sheet.width, sheet.height, tuple(s for s in sheet.shapes if getattr(s, "fill", None) != "ink"))
    with pytest.raises(AssertionError):
        check_junctions(bare)
