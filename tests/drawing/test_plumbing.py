"""Schematics of plumbing as it is built: rows of small fittings, zones with their pressures, loops, many cylinders."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import HAIR, Links, check_clear, schematic, serial, strong_texts
from plumbing_checks import OUTLETS, SIZES, ZONES, check_crossings, check_every_link, drawn, said_on, spot

from specc.drawing.flow import Node, ZoneLabel
from specc.drawing.network import network_of
from specc.drawing.rows import MOST, row_cell
from specc.drawing.shapes import Drawing, Line, Text
from specc.drawing.symbols import SMALL, symbol
from specc.drawing.text import text_box


class Builder:
    """Adds parts one behind another."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.nodes: list[Node] = []
        self.links: Links = []

    def add(self, symbol_: str, zone: str, *before: str, labels: tuple[str, ...] = ()) -> str:
        tag = f"{symbol_[:2]}{len(self.nodes)}_"
        self.nodes.append(Node(tag, symbol_, labels, zone))
        self.links += [(b, tag) for b in before]
        return tag

    def number(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))

    def fittings(self, zone: str, last: str, most: int) -> str:
        for _ in range(self.number(0, most)):
            said = (self.draw(st.sampled_from(SIZES)),)
            last = self.add(self.draw(st.sampled_from(sorted(SMALL))), zone, last, labels=said)
        return last

    def gauge(self, zone: str, on: str) -> None:
        if self.number(0, 1):
            self.add("gauge", zone, on, labels=("0–60 psi",))

    def branch(self, start: str, zone: str) -> str:
        last = self.fittings(zone, start, 8)
        if self.number(0, 1):
            last = self.add("ball_valve", zone, last, labels=("3/8 in NPT", "normally closed"))
        last = self.fittings(zone, last, 3)
        if self.number(0, 2):
            last = self.add("orifice", zone, last, labels=("0.028 in",))
        return self.fittings("open", last, 3)


@st.composite
def plumbing(draw: st.DrawFn) -> tuple[list[Node], Links]:
    b = Builder(draw)
    sources = []
    for _ in range(b.number(1, 4)):
        last = b.fittings("supply", b.add("cylinder", "supply", labels=("100 lb",)), 4)
        sources.append(b.add("check_valve", "supply", last, labels=("1/4 in",)) if b.number(0, 1) else last)
    last = sources[0] if len(sources) == 1 else b.add("manifold", "supply", *sources, labels=("brass",))
    if len(sources) > 1:
        b.gauge("supply", last)
    zone = "supply"
    for stage in ("pr1", "pr2")[: b.number(0, 2)]:
        reg = last = b.add("regulator", zone, last, labels=("set 30 psi",))
        b.gauge(draw(st.sampled_from((zone, stage))), reg)
        zone = stage
        last = b.fittings(zone, last, 8)
    if b.number(0, 1):
        last = b.add("accumulator", zone, last, labels=("5 gal",))
        b.add("relief_valve", zone, last, labels=("opens 100 psi",))
    first = junction = b.add(draw(st.sampled_from(("tee", "cross", "manifold"))), zone, last, labels=("1/2 in NPT",))
    for _ in range(b.number(0, 3)):
        end = b.branch(junction, zone)
        if b.number(0, 3) == 0:
            # A ring fed from both sides.
            b.add("burner_ring", "open", end, b.branch(junction, zone), labels=("36 in",))
        else:
            b.add(draw(st.sampled_from(OUTLETS)), "open", end, labels=("12 in",))
        junction = b.add(draw(st.sampled_from(("tee", "cross"))), zone, junction, labels=("3/8 in NPT",))
        b.gauge(zone, junction)
    if b.number(0, 1):
        # A line that leads back.
        b.links.append((b.add("check_valve", zone, junction), first))
    b.add(draw(st.sampled_from(("plug", "cap", "stem"))), "open", junction)
    return b.nodes, b.links


def check_zones_told(drawing: Drawing, nodes: list[Node], links: Links) -> None:
    """Where gas passes from one zone into another, the other's name and pressure are written."""
    zone = {node.tag: node.zone for node in nodes}
    leads = {a for a, _ in links}
    written = said_on(drawing)
    for a, b in links:
        if zone[a] != zone[b] and b in leads:
            name, pressure, _ = ZONES[zone[b]]
            assert name.replace(" ", "") in written
            assert pressure.replace(" ", "") in written


@pytest.mark.parametrize("size", [(180.0, 110.0), (120.0, 70.0)])
@settings(max_examples=60, deadline=None)
@given(network=plumbing())
def test_random_plumbing(network: tuple[list[Node], Links], size: tuple[float, float]) -> None:
    nodes, links = network
    drawing = drawn(nodes, links, *size)
    for sheet in drawing.sheets:
        assert sheet.width <= size[0]
        assert sheet.height <= size[1] + HAIR
        check_clear(sheet)
        check_crossings(sheet)
    texts = strong_texts(drawing)
    assert all(texts.count(node.tag) == 1 for node in nodes)
    check_zones_told(drawing, nodes, links)


@settings(max_examples=60, deadline=None)
@given(plumbing(), st.booleans())
def test_every_link_of_random_plumbing_is_drawn_and_no_other(network: tuple[list[Node], Links], mixed: bool) -> None:
    check_every_link(*network, mixed)


WORDS = (
    "a",
    "1/4 in NPT",
    "x" * 40,
    "Durchgangsabsperrventilhandradverlängerung",
    "气瓶气瓶气瓶",
    "W" * 12,
    "most 20 psig",
)


@st.composite
def wordy(draw: st.DrawFn) -> tuple[list[Node], Links, dict[str, ZoneLabel]]:
    """Parts, labels and zones with far too much to say."""
    says = st.lists(st.sampled_from(WORDS), max_size=4).map(" ".join)
    zones = {zone: ZoneLabel(draw(says), draw(says)) for zone in "abcd"}
    kinds = [*sorted(SMALL), "ball_valve", "regulator", "gauge", "tee", "cross", "tube", "cylinder", "stem", "odd"]
    nodes = [
        Node(
            f"n{i}_" + draw(st.sampled_from(("", "", "x" * 60))),
            draw(st.sampled_from(kinds)),
            tuple(draw(st.lists(says, max_size=3))),
            draw(st.sampled_from("aabbcd")),
        )
        for i in range(draw(st.integers(1, 20)))
    ]
    back = [draw(st.integers(1, 3)) for _ in nodes]
    links = [(nodes[max(0, i - back[i])].tag, nodes[i].tag) for i in range(1, len(nodes))]
    if draw(st.booleans()):
        links.append((nodes[-1].tag, nodes[0].tag))
    return nodes, links, zones


@pytest.mark.parametrize("size", [(180.0, 110.0), (100.0, 60.0)])
@settings(max_examples=40, deadline=None)
@given(network=wordy())
def test_too_many_words_still_lie_clear(
    network: tuple[list[Node], Links, dict[str, ZoneLabel]], size: tuple[float, float]
) -> None:
    nodes, links, zones = network
    drawing = schematic(nodes, links, zones, open_zone="d", width=size[0], height=size[1])
    for sheet in drawing.sheets:
        check_clear(sheet)
        check_crossings(sheet)
    written = "".join(strong_texts(drawing))
    assert all(node.tag in written for node in nodes)


# --- rows of small fittings --------------------------------------------------------------------------------


def between_valves(count: int) -> tuple[list[Node], Links]:
    kinds = ["bushing", "nipple", "elbow", "coupling", "union", "connector", "flare_nut", "reducer"]
    small = [Node(f"f{i}", kinds[i % 8], ("3/8 in flare to 3/8 in NPT",), "pr1") for i in range(count)]
    nodes = [Node("V1", "ball_valve", ("3/8 in NPT",), "pr1"), *small, Node("V2", "ball_valve", ("3/8 in",), "pr1")]
    return nodes, serial(nodes)


def test_six_fittings_in_a_row_take_a_third_of_the_width_with_every_size() -> None:
    nodes, links = between_valves(6)
    (sheet,) = drawn(nodes, links).sheets
    boxes = {s.text: text_box(s) for s in sheet.shapes if isinstance(s, Text) and s.text.startswith("f")}
    sizes = [s for s in sheet.shapes if isinstance(s, Text) and s.text == "3/8 in flare to 3/8 in NPT"]
    assert max(b[2] for b in boxes.values()) - min(b[0] for b in boxes.values()) < 60.0
    assert sheet.height < 35.0
    # Tag and size on one line, the size to the right.
    for i in range(6):
        left, low, right, _ = boxes[f"f{i}"]
        beside = [s for s in sizes if abs(text_box(s)[1] - low) < 0.3 and 0 < s.x - right < 3.0]
        assert len(beside) == 1
        assert left > 0


def test_a_leader_joins_each_tag_to_its_fitting() -> None:
    nodes, _ = between_valves(4)
    row = nodes[1:-1]
    cell = row_cell(row)
    leaders = [s for s in cell.shapes if isinstance(s, Line) and s.weight < 0.4]
    tags = {s.text: s for s in cell.shapes if isinstance(s, Text) and s.strong}
    assert len(leaders) == 4
    for i, node in enumerate(row):
        (leader,) = [s for s in leaders if 0 < tags[node.tag].x - s.points[0][0] < 1.0]
        middle = (i - 1.5) * 4.4
        assert leader.points[0][0] == pytest.approx(middle)
        assert leader.points[1][1] == pytest.approx(tags[node.tag].y)


def test_a_long_row_is_parted_and_another_zone_or_a_gauge_ends_it() -> None:
    nodes, links = between_valves(14)
    items = network_of(nodes, links, ZONES, "open").items
    assert [len(item.row) for item in items] == [0, 6, 6, 2, 0]
    assert max(len(item.row) for item in items) <= MOST
    nodes, links = between_valves(7)
    alone = network_of(nodes, links, ZONES, "open").items
    assert [len(item.row) for item in alone] == [0, 5, 2, 0]
    nodes[4] = nodes[4]._replace(zone="pr2")
    parted = network_of(nodes, links, ZONES, "open").items
    assert [len(item.row) for item in parted] == [0, 3, 0, 3, 0]


def test_valves_join_the_row_only_where_a_sheet_is_too_small() -> None:
    nodes = [Node("T", "cylinder", (), "supply")]
    for i in range(3):
        nodes += [
            Node(f"n{i}", "nipple", ("1/4 in",), "supply"), Node(f"v{i}", "ball_valve", ("normally closed",), "supply"),
            Node(f"c{i}", "coupling", ("1/4 in",), "supply"), Node(f"h{i}", "hose", ("3/8 in",), "supply"),
        ]  # fmt: skip
    links = serial(nodes)
    rows = [[n.tag for n in i.row] for i in network_of(nodes, links, ZONES, "open", True).items if i.row]
    assert rows == [[f"n{i}", f"v{i}", f"c{i}"] for i in range(3)]
    assert not any(item.row for item in network_of(nodes, links, ZONES, "open").items)
    roomy, small = drawn(nodes, links, 400.0, 100.0), drawn(nodes, links, 120.0, 70.0)
    (valve,) = [s for s in small.sheets[0].shapes if isinstance(s, Text) and s.text == "v0"]
    assert spot(roomy, "v0").anchor == "middle"
    assert valve.anchor == "start"
    # Without a fitting among them valves and tubes stand apart.
    plain = [Node(f"p{i}", kind, (), "supply") for i, kind in enumerate(("ball_valve", "tube", "check_valve"))]
    assert not any(item.row for item in network_of(plain, serial(plain), ZONES, "open", True).items)


def test_a_ring_of_nothing_but_fittings_is_drawn() -> None:
    nodes = [Node(f"e{i}", "elbow", ("1/2 in",), "pr1") for i in range(4)]
    links = [*serial(nodes), ("e3", "e0")]
    texts = strong_texts(drawn(nodes, links))
    assert sorted(texts) == ["e0", "e1", "e2", "e3"]


@pytest.mark.parametrize("name", sorted(SMALL | {"cap", "cross"}))
def test_fittings_have_symbols_of_their_own(name: str) -> None:
    others = [symbol(n).draw(0.0, 0.0) for n in ("unknown", "tee", "plug", "fitting") if n != name]
    assert symbol(name).draw(0.0, 0.0) not in others
