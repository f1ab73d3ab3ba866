"""The whole system on one sheet: what is drawn once, what is counted, what is told beside it, and when it is cut."""

from __future__ import annotations

import re
import sys
from itertools import pairwise
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import check_clear, check_symbols_apart

from specc.drawing.cells import Node
from specc.drawing.like import Reduced, reduced
from specc.drawing.overview import supply
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, RoundRect, Sheet, Text
from specc.drawing.spare import filled, spare
from specc.drawing.strip import Listing, Panel
from specc.drawing.symbols import NAMES, SYMBOLS
from specc.drawing.system import LYING, UPRIGHT, Beside, system
from specc.drawing.zones import ZoneLabel

Links = list[tuple[str, str]]
ZONES = {"hi": ZoneLabel("A cylinder pressure", "to 179 psig", "A"), "lo": ZoneLabel("B behind r", "10 psi", "B")}


def branches(count: int, lengths: list[str] | None = None) -> tuple[list[Node], Links]:
    """A cylinder, a regulator, and `count` like branches of a nipple, a valve, a tube and a stem at a manifold."""
    nodes = [Node("tank", "cylinder", ("100 lb",), "hi"), Node("r", "regulator", ("set 10 psi",), "hi")]
    nodes += [Node("m", "manifold", (), "lo")]
    links: Links = [("tank", "r"), ("r", "m")]
    for i in range(count):
        line = [
            Node(f"n{i}", "nipple", ("1/4 in",), "lo"),
            Node(f"v{i}", "ball_valve", ("1/4 in",), "lo"),
            Node(f"t{i}", "tube", ("3/8 in", (lengths or ["9 ft"] * count)[i]), "lo"),
            Node(f"s{i}", "stem", (), "lo", (("place", f"bed_{i}"), ("gas", "1.2"))),
        ]
        nodes += line
        links += zip(["m", *(n.tag for n in line[:-1])], [n.tag for n in line], strict=True)
    return nodes, links


def sheet_of(nodes: list[Node], links: Links, beside: Beside = Beside()) -> Drawing:  # noqa: B008
    return system(nodes, links, ZONES, open_zone="open", key="plumbing", title="The system", beside=beside)


def words(drawing: Drawing, sheet: int = 0) -> list[str]:
    return [s.text for s in drawing.sheets[sheet].shapes if isinstance(s, Text)]


def test_like_branches_are_drawn_once_with_a_table_of_what_differs() -> None:
    drawing = sheet_of(*branches(5, ["33 ft", "28 ft", "23 ft", "18 ft", "17 ft"]))
    (sheet,) = drawing.sheets
    said = words(drawing)
    assert "x 5" in said
    assert "v0 to 4" in said
    assert "s0 to 4" in said
    assert "3/8 in" in said  # what all share stands at the part
    assert [t for t in said if t.endswith(" ft")] == ["33 ft", "28 ft", "23 ft", "18 ft", "17 ft"]
    assert {f"s{i}" for i in range(5)} | {f"bed_{i}" for i in range(5)} <= set(said)
    assert "Alike in all: gas 1.2." in said
    assert any(t.startswith("5 nipples") for t in said)
    assert sum(isinstance(s, Polygon) and s.dashed for s in sheet.shapes) == 1
    check_symbols_apart(sheet)


def test_two_branches_are_drawn_both_where_there_is_room() -> None:
    said = words(sheet_of(*branches(2)))
    assert {"v0", "v1", "s0", "s1"} <= set(said)
    assert not any(t.startswith("x ") for t in said)


def test_branches_that_differ_in_kind_are_not_alike() -> None:
    nodes, links = branches(3)
    other = [n._replace(symbol="needle_valve") if n.tag == "v1" else n for n in nodes]
    assert {"v0", "v1", "v2"} <= set(words(sheet_of(other, links)))


def test_a_small_system_stands_and_a_long_one_lies() -> None:
    upright = sheet_of(*branches(5)).sheets[0]
    assert upright.width <= UPRIGHT[0]
    nodes, links = branches(5)
    line = [Node(f"q{i}", "ball_valve", ("1/4 in NPT", "closed"), "hi") for i in range(9)]
    links = [("tank", "q0"), *((f"q{i}", f"q{i + 1}") for i in range(8)), ("q8", "r"), *links[1:]]
    (lying,) = sheet_of([*nodes, *line], links).sheets
    assert UPRIGHT[0] < lying.width <= LYING[0]
    assert lying.height <= LYING[1]
    check_symbols_apart(lying)


def test_what_no_sheet_holds_has_an_overview_before_it() -> None:
    nodes = [Node("tank", "cylinder", ("100 lb",), "hi")]
    links: Links = []
    for i in range(24):
        line = [Node(f"{k}{i}", s, ("1/4 in",), "hi") for k, s in (("h", "hose"), ("v", "ball_valve"), ("c", "hose"))]
        nodes += line
        links += zip([nodes[-4].tag, *(n.tag for n in line[:-1])], [n.tag for n in line], strict=True)
    drawing = sheet_of(nodes, links)
    assert len(drawing.sheets) > 1
    first = set(words(drawing))
    if "v0" in first:  # valves are what an overview keeps
        assert "h0" not in first
    later = {t for n in range(1, len(drawing.sheets)) for t in words(drawing, n)}
    assert {n.tag for n in nodes} <= later | first


def test_a_gauge_and_a_relief_stand_on_one_cross() -> None:
    nodes = [Node("tank", "cylinder"), Node("x", "cross"), Node("g", "gauge", ("to 100 psi",))]
    nodes += [Node("rv", "relief_valve", ("opens 60 psi",)), Node("s", "stem")]
    drawing = sheet_of(nodes, [("tank", "x"), ("x", "g"), ("x", "rv"), ("x", "s")])
    (sheet,) = drawing.sheets
    at = {s.text: s for s in sheet.shapes if isinstance(s, Text) and s.strong}
    assert at["g"].x < at["x"].x < at["rv"].x
    assert at["g"].y > at["x"].y < at["rv"].y
    assert sum(isinstance(s, Circle) and s.radius == 1.9 for s in sheet.shapes) == 2  # the gauge, and in the key


def test_tables_and_the_key_stand_under_the_network() -> None:
    zones = Listing("Zones", ("", "psig"), (("A", "206"), ("B", "10.0")), frozenset((1,)), "The highest.")
    drawing = sheet_of(*branches(1), Beside((zones,)))
    (sheet,) = drawing.sheets
    text = {s.text: s for s in sheet.shapes if isinstance(s, Text)}
    tank = text["tank"].y
    assert all(text[t].y < tank for t in ("Zones", "206", "The highest.", "Symbols", "quarter-turn valve"))
    assert text["206"].anchor == "end"
    check_clear(sheet)


def test_a_table_stands_beside_the_lines_where_all_under_them_would_need_a_second_sheet() -> None:
    """Branches of one to seven valves leave room beside the short ones."""
    nodes, links = [Node("tank", "cylinder", ("100 lb",), "hi"), Node("m", "manifold", (), "hi")], [("tank", "m")]
    for n in range(1, 8):
        line = [Node(f"v{n}_{k}", "ball_valve", ("1/4 in", "closed"), "hi") for k in range(n)]
        line.append(Node(f"s{n}", "stem", ("3/8 in",), "hi"))
        nodes += line
        links += zip(["m", *(p.tag for p in line[:-1])], [p.tag for p in line], strict=True)
    table = Listing("Zones", ("", "psig"), tuple((f"r{n}", "12.0") for n in range(20)), frozenset((1,)))
    (sheet,) = sheet_of(nodes, links, Beside((table,))).sheets
    text = {s.text: s for s in sheet.shapes if isinstance(s, Text)}
    assert text["r19"].y > text["Symbols"].y  # not in the row of what stands under
    assert sheet.height <= UPRIGHT[1] + 1e-6
    check_clear(sheet)


def test_a_free_spot_touches_nothing() -> None:
    panel = Panel(20.0, 10.0, (Text(0.0, -3.0, "told", 7.0),))
    crossed = Sheet(60.0, 40.0, (Line(((0.0, 20.0), (60.0, 20.0)), 1.0), Line(((30.0, 0.0), (30.0, 20.0)), 1.0)))
    made = filled(spare(crossed), (panel, panel))
    assert made is not None
    spots = {(s.x, s.y + 3.0) for s in made if isinstance(s, Text)}
    assert len(spots) == 2
    for left, top in spots:
        assert top <= 40.0
        assert left + 20.0 <= 60.0
        assert top <= 20.0 - 2 or top - 10.0 >= 20.0 + 2
    full = Sheet(60.0, 20.0, (Line(((0.0, 10.0), (60.0, 10.0)), 1.0),))
    assert filled(spare(full), (panel,)) is None


def test_every_symbol_has_a_name_for_the_key() -> None:
    assert set(NAMES) == set(SYMBOLS)


SYMBOL = st.sampled_from(["ball_valve", "nipple", "tube", "hose", "coupling", "tee", "bushing"])


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 8), SYMBOL), min_size=1, max_size=14))
def test_a_reduced_tree_keeps_every_part_or_counts_it(parents: list[tuple[int, str]]) -> None:
    nodes = [Node("p0", "cylinder")]
    links: Links = []
    for i, (parent, symbol) in enumerate(parents, 1):
        nodes.append(Node(f"p{i}", symbol))
        links.append((f"p{min(parent, i - 1)}", f"p{i}"))
    small = reduced(nodes, links)
    # Each node stands for itself, for several that follow one another, or for its like in other branches.
    drawn = sum(n.times * len(n.tag.split(", ")) if n.symbol in ("tube", "pipe") else n.times for n in small.nodes)
    several = sum(n.tag.count(", ") for n in small.nodes if n.group)
    assert drawn + sum(small.counted.values()) >= len(nodes) - several
    tags = {n.tag for n in small.nodes}
    assert all(u in tags and v in tags for u, v in small.links)
    ends = {v for _, v in small.links} | {"p0"}
    assert ends == tags  # nothing hangs loose


def ladder(count: int, like: int | None = None) -> tuple[list[Node], Links]:
    """A cylinder, a regulator, and burners that leave a main at one tee after another; the first `like` with a
    quarter-turn valve, the others with a needle valve; behind the last tee a plug."""
    nodes = [Node("tank", "cylinder", ("100 lb",), "hi"), Node("r", "regulator", ("set 10 psi",), "hi")]
    links: Links = [("tank", "r")]
    feeds = "r"
    for i in range(1, count + 1):
        valve = "ball_valve" if like is None or i <= like else "needle_valve"
        nodes += [
            Node(f"p{i}", "pipe", (f"{i} ft",), "lo"),
            Node(f"t{i}", "tee", (), "lo"),
            Node(f"v{i}", valve, ("1/4 in",), "lo"),
            Node(f"s{i}", "stem", (), "lo"),
        ]
        links += [(feeds, f"p{i}"), (f"p{i}", f"t{i}"), (f"t{i}", f"v{i}"), (f"v{i}", f"s{i}")]
        feeds = f"t{i}"
    return [*nodes, Node("end", "plug", (), "lo")], [*links, (feeds, "end")]


def test_like_branches_along_a_line_are_drawn_once() -> None:
    """Twenty burners along one main took five sheets."""
    (sheet,) = (drawing := sheet_of(*ladder(20))).sheets
    said = words(drawing)
    assert {"x 20 along the line", "t1 to 20", "v1 to 20", "s1 to 20", "end"} <= set(said)
    # What leads from one tee to the next differs, and is told of each.
    assert [t for t in said if t.endswith(" ft")] == [f"{i} ft" for i in range(1, 21)]
    check_symbols_apart(sheet)


def test_a_ladder_ends_where_the_next_branch_is_another() -> None:
    small = reduced(*ladder(8, like=5))
    tags = {n.tag: n for n in small.nodes}
    assert tags["v1 to 5"].times == 5
    assert tags["v6 to 8"].times == 3
    assert ("t1 to 5", "p6 to 8") in small.links
    assert ("t6 to 8", "end") in small.links
    assert not any(u == v for u, v in small.links)
    nodes, links = ladder(5)
    hot = [n._replace(zone="hi") if n.tag == "s3" else n for n in nodes]
    assert not any(n.times > 1 for n in reduced(hot, links).nodes)


def test_a_ladder_of_which_only_the_first_lead_is_longer_keeps_that_before_the_frame() -> None:
    nodes, links = ladder(4)
    links = [link for link in links if link != ("r", "p1")] + [("r", "h"), ("h", "p1")]
    small = reduced([*nodes, Node("h", "hose", (), "lo")], links)
    assert ("h", "p1 to 4") in small.links
    assert {n.tag for n in small.nodes} == {"tank", "r", "h", "p1 to 4", "t1 to 4", "v1 to 4", "s1 to 4", "end"}


def unlike(count: int) -> tuple[list[Node], Links]:
    """Burners along a main, no two neighbors alike: behind each tee so many valves of this kind or that."""
    nodes, links = ladder(count)
    kinds = ("ball_valve", "needle_valve", "globe_valve")
    for i in range(1, count + 1):
        line = [Node(f"w{i}x{k}", kinds[(i + k) % 3], ("1/4 in NPT", "closed"), "lo") for k in range(i % 5)]
        links = [link for link in links if link != (f"v{i}", f"s{i}")]
        tags = [f"v{i}", *(n.tag for n in line), f"s{i}"]
        nodes, links = [*nodes, *line], [*links, *pairwise(tags)]
    return nodes, links


def test_thirty_unlike_branches_have_an_overview_with_a_box_for_each_sheet() -> None:
    nodes, links = unlike(30)
    valves = Listing("Zones", ("", "psig"), (("A", "206"), ("B", "10.0")))
    drawing = sheet_of(nodes, links, Beside((valves,)))
    boxed = [any(t.startswith("Sheet ") for t in words(drawing, n)) for n in range(len(drawing.sheets))]
    before = sum(boxed)
    assert boxed == [True] * before + [False] * (len(boxed) - before)
    assert 0 < before < len(boxed)
    overview = [s for sheet in drawing.sheets[:before] for s in sheet.shapes if isinstance(s, Text)]
    # The supply is drawn, as far as its lines part, and the tables of the whole stand there.
    assert {"tank", "r", "Zones", "206", "Symbols"} <= {s.text for s in overview}
    for sheet in drawing.sheets[:before]:
        check_clear(sheet)
        assert sheet.height <= LYING[1] + 1e-6
    ends: dict[str, set[tuple[str, int]]] = {}
    for number in range(before + 1, len(boxed) + 1):
        told = box_of(drawing, before, number)
        on_sheet = {s.text for s in drawing.sheets[number - 1].shapes if isinstance(s, Text) and s.strong}
        for node in nodes:
            if node.symbol in ("stem", "ball_valve", "needle_valve", "globe_valve") and node.tag in on_sheet:
                assert NAMES[node.symbol] in told, (number, node.tag)
        for letters, way, sheets in re.findall(r"((?:[A-Z]+, )*[A-Z]+) (from|to) sheet (\d+)", told):
            for letter in letters.split(", "):
                assert letter in on_sheet
                ends.setdefault(letter, set()).add((way, number if way == "to" else int(sheets)))
                ends[letter].add(("end", number if way == "from" else int(sheets)))
    # Where a line leaves one sheet, the other says so too.
    assert ends
    for letter, said in ends.items():
        assert len({n for way, n in said if way != "end"}) == 1, letter


def box_of(drawing: Drawing, before: int, number: int) -> str:
    """The words in the box of a sheet."""
    for sheet in drawing.sheets[:before]:
        texts = [s for s in sheet.shapes if isinstance(s, Text)]
        head = next((s for s in texts if s.text == f"Sheet {number}"), None)
        if head is not None:
            (box,) = [
                s
                for s in sheet.shapes
                if isinstance(s, RoundRect)
                and s.x <= head.x <= s.x + s.width
                and s.y <= head.y <= s.y + s.height
                and s.width > 50
            ]
            low, right = box.y, box.x + box.width
            return " ".join(s.text for s in texts if box.x <= s.x <= right and low <= s.y <= head.y)
    raise AssertionError(number)


def test_the_supply_goes_on_to_where_its_lines_part() -> None:
    nodes = [Node(t, s) for t, s in (("a", "cylinder"), ("b", "cylinder"), ("t", "tee"), ("g", "gauge"))]
    nodes += [Node(t, s) for t, s in (("v", "ball_valve"), ("x", "cross"), ("s1", "stem"), ("s2", "stem"))]
    links = [("a", "t"), ("b", "t"), ("t", "g"), ("t", "v"), ("v", "x"), ("x", "s1"), ("x", "s2")]
    main = supply(Reduced(tuple(nodes), tuple(links), (), {}))
    assert {n.tag for n in main.nodes} == {"a", "b", "t", "g", "v", "x"}
    assert set(main.links) == set(links[:5])
