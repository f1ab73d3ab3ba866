"""What is asked of every schematic, whatever the network, and some networks to ask it of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any

from specc.drawing.flow import Node, laid_out
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, RoundRect, Shape, Sheet, Text
from specc.drawing.text import Box, text_box

ZONES = {"c": "cylinder zone, to 214 psig hot", "r": "regulated, 15 set, 17 lock-up", "o": "open to the air"}
Links = list[tuple[str, str]]
Example = Callable[[], tuple[list[Node], Links]]
HAIR = 0.02  # mm: boxes that only touch do not overlap


def schematic(nodes: Iterable[Node], links: Iterable[tuple[str, str]], zones: Any, **how: Any) -> Drawing:
    return laid_out(list(nodes), list(links), zones, **how).drawing


def serial(nodes: list[Node]) -> Links:
    return [(a.tag, b.tag) for a, b in pairwise(nodes)]


def chain() -> tuple[list[Node], Links]:
    nodes = [
        Node("tank_a", "cylinder", ("100 lb",), "c"),
        Node("V1", "ball_valve", ("1/4 turn",), "c"),
        Node("PR1", "regulator", ("0–30 psig, set 15",), "c"),
        Node("H1", "hose", ("3/8 in, 25 ft",), "r"),
        Node("SV1", "solenoid_valve", ("12 V, closed",), "r"),
        Node("FO1", "orifice", ("0.030 in",), "r"),
        Node("ring", "burner_ring", ("18 in, 24 holes",), "o"),
    ]
    return nodes, serial(nodes)


def two_cylinders() -> tuple[list[Node], Links]:
    nodes = [
        Node("tank_a", "cylinder", ("100 lb",), "c"),
        Node("tank_b", "cylinder", ("100 lb",), "c"),
        Node("V1", "ball_valve", ("1/4 turn",), "c"),
        Node("V2", "ball_valve", ("1/4 turn",), "c"),
        Node("M1", "manifold", ("brass",), "c"),
        Node("G1", "gauge", ("0–300",), "c"),
        Node("PR1", "regulator", ("0–30 psig, set 15",), "c"),
        Node("T1", "tee", (), "r"),
        Node("V3", "needle_valve", ("needle",), "r"),
        Node("T2", "tee", (), "r"),
        Node("ACC1", "accumulator", ("5 gal, 240 psi",), "r"),
        Node("RV1", "relief_valve", ("opens 250",), "r"),
        Node("SV1", "solenoid_valve", ("12 V, closed",), "r"),
        Node("burst", "stem", (), "o"),
    ]
    links = [
        ("tank_a", "V1"), ("tank_b", "V2"), ("V1", "M1"), ("V2", "M1"), ("M1", "G1"), ("M1", "PR1"),
        ("PR1", "T1"), ("T1", "V3"), ("V3", "T2"), ("T1", "ACC1"), ("ACC1", "RV1"), ("ACC1", "SV1"),
        ("SV1", "burst"),
    ]  # fmt: skip
    for i in range(1, 6):
        nodes += [Node(f"FO{i}", "orifice", ("0.030 in",), "r"), Node(f"reed {i}", "stem", (), "o")]
        links += [("T2", f"FO{i}"), (f"FO{i}", f"reed {i}")]
    return nodes, links


def ring_main() -> tuple[list[Node], Links]:
    """A ring fed from both sides, and a line that leads back."""
    nodes = [
        Node("tank", "cylinder", ("20 lb",), "c"), Node("R", "regulator", (), "c"), Node("T", "tee", (), "r"),
        Node("VA", "ball_valve", (), "r"), Node("VB", "ball_valve", (), "r"),
        Node("main", "burner_ring", ("both ends",), "o"), Node("CK", "check_valve", (), "r"),
    ]  # fmt: skip
    links = [("tank", "R"), ("R", "T"), ("T", "VA"), ("T", "VB"), ("VA", "main"), ("VB", "main"),
             ("VB", "CK"), ("CK", "R")]  # fmt: skip
    return nodes, links


def crossed() -> tuple[list[Node], Links]:
    """Three by three, each linked to two: cannot be drawn in the plane of a grid without crossings."""
    nodes = [Node(f"{side}{i}", "union", ("1/4 in",), "c") for side in "abc" for i in range(4)]
    links = [(f"a{i}", f"b{(i * 3 + 1) % 4}") for i in range(4)] + [(f"b{i}", f"c{3 - i}") for i in range(4)]
    return nodes, [*links, ("a0", "c0"), ("a3", "c3"), ("a1", "c2")]


def long_chain() -> tuple[list[Node], Links]:
    kinds = ["ball_valve", "hose", "regulator", "union", "check_valve", "pipe"]
    labels = ("a label here", "1/2 in")
    nodes = [Node(f"P{i}", kinds[i % 6], labels, "c" if i < 9 else "r") for i in range(30)]
    return nodes, serial(nodes)


def many_cylinders() -> tuple[list[Node], Links]:
    nodes = [Node("M", "manifold", ("steel",), "c"), Node("reg", "regulator", (), "c")]
    nodes += [Node(f"tank {i}", "cylinder", ("100 lb",), "c") for i in range(14)]
    return nodes, [("M", "reg"), *((f"tank {i}", "M") for i in range(14))]


def long_labels() -> tuple[list[Node], Links]:
    nodes = [
        Node("a_tag_that_somebody_made_far_too_long_for_any_drawing_at_all", "ball_valve", ("x" * 300,), "c"),
        Node("V2", "accumulator", ("a label of very many words " * 20,), "c"),
        Node("V3", "stem", ("Durchgangsabsperrventilhandradverlängerung", "b " * 200), "o"),
    ]
    return nodes, serial(nodes)


FIXED = [chain, two_cylinders, ring_main, crossed, long_chain, many_cylinders, long_labels]


def boxes(shapes: Iterable[Shape]) -> list[Box]:
    """What text may not touch: solid bodies whole, lines and arcs by their own reach."""
    found: list[Box] = []
    for shape in shapes:
        if isinstance(shape, Line):
            for (x1, y1), (x2, y2) in zip(shape.points, shape.points[1:], strict=False):
                found.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
        elif isinstance(shape, Polygon):
            xs, ys = [x for x, _ in shape.points], [y for _, y in shape.points]
            found.append((min(xs), min(ys), max(xs), max(ys)))
        elif isinstance(shape, Circle | Arc):
            r = shape.radius
            found.append((shape.x - r, shape.y - r, shape.x + r, shape.y + r))
        elif isinstance(shape, RoundRect):
            found.append((shape.x, shape.y, shape.x + shape.width, shape.y + shape.height))
    return found


def overlap(a: Box, b: Box) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > -HAIR and min(a[3], b[3]) - max(a[1], b[1]) > -HAIR


def clash(a: Box, b: Box) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > HAIR and min(a[3], b[3]) - max(a[1], b[1]) > HAIR


def holds(outer: Box, inner: Box) -> bool:
    return (
        outer[0] <= inner[0] + HAIR and outer[1] <= inner[1] + HAIR
        and outer[2] >= inner[2] - HAIR and outer[3] >= inner[3] - HAIR
    )  # fmt: skip


def is_sign(text: Text) -> bool:
    """The letter in a gauge or a solenoid's box: part of the symbol, tight in its ring."""
    return text.text in ("P", "S") and text.strong and text.size == 6.0


def check_clear(sheet: Sheet) -> None:
    texts = [s for s in sheet.shapes if isinstance(s, Text)]
    around = [text_box(t) for t in texts]
    bodies = boxes(sheet.shapes)
    for i, box in enumerate(around):
        assert holds((0.0, 0.0, sheet.width, sheet.height), box), texts[i]
        for j in range(i):
            assert not clash(box, around[j]), (texts[i], texts[j])
        if is_sign(texts[i]):
            continue
        for body in bodies:
            thin = min(body[2] - body[0], body[3] - body[1]) < HAIR
            hit = overlap(box, body) if thin else clash(box, body) and not holds(body, box)
            assert not hit, (texts[i], body)
    for body in bodies:
        assert holds((0.0, 0.0, sheet.width, sheet.height), body), body


def check_symbols_apart(sheet: Sheet) -> None:
    """No two large bodies on one another, and no upright of a connector through one."""
    large = [b for b in boxes(s for s in sheet.shapes if isinstance(s, RoundRect)) if b[2] - b[0] > 4.0]
    for i, box in enumerate(large):
        assert not any(clash(box, other) for other in large[:i])


def strong_texts(drawing: Drawing) -> list[str]:
    return [
        s.text for sheet in drawing.sheets for s in sheet.shapes
        if isinstance(s, Text) and s.strong and not is_sign(s)
    ]  # fmt: skip


def check_all(nodes: list[Node], links: Links, width: float = 180.0, height: float = 110.0) -> Drawing:
    drawing = schematic(nodes, links, ZONES, width=width, height=height)
    for sheet in drawing.sheets:
        assert sheet.width <= width
        assert sheet.height <= height + HAIR
        check_clear(sheet)
        check_symbols_apart(sheet)
    written = "".join(strong_texts(drawing)).replace(" ", "")
    for node in nodes:
        assert node.tag.replace(" ", "") in written
    return drawing


def joined_points(sheet: Sheet) -> dict[tuple[float, float], tuple[float, float]]:
    """For each end of a connector (rounded), a representative of all that is joined to it by lines."""
    segments: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for shape in sheet.shapes:
        if isinstance(shape, Line) and not shape.dashed:
            segments += zip(shape.points, shape.points[1:], strict=False)
        elif isinstance(shape, Arc):
            segments.append(((shape.x - shape.radius, shape.y), (shape.x + shape.radius, shape.y)))
    leader = list(range(len(segments)))

    def find(i: int) -> int:
        while leader[i] != i:
            i = leader[i]
        return i

    def on(point: tuple[float, float], segment: tuple[tuple[float, float], tuple[float, float]]) -> bool:
        (x1, y1), (x2, y2) = segment
        x, y = point
        return min(x1, x2) - HAIR <= x <= max(x1, x2) + HAIR and min(y1, y2) - HAIR <= y <= max(y1, y2) + HAIR

    for i, a in enumerate(segments):
        for j in range(i):
            b = segments[j]
            if any(on(p, b) for p in a) or any(on(p, a) for p in b):
                leader[find(i)] = find(j)
    return {(round(p[0], 2), round(p[1], 2)): (float(find(i)), 0.0) for i, s in enumerate(segments) for p in s}


def boxes_network(links: list[tuple[int, int]], count: int) -> tuple[list[Node], Links]:
    """Plain parts: the unknown box's lower left marks its place."""
    nodes = [Node(f"n{i}", "unknown", ("x",)) for i in range(count)]
    return nodes, [(f"n{a}", f"n{b}") for a, b in links]


def places(sheet: Sheet) -> dict[str, tuple[float, float]]:
    tags = {s.text: s.x for s in sheet.shapes if isinstance(s, Text) and s.strong}
    rects = [(s.x + 3.0, s.y + 2.0) for s in sheet.shapes if isinstance(s, RoundRect)]
    texts = {s.text: s.y for s in sheet.shapes if isinstance(s, Text) and s.strong}
    found = {}
    for tag, x in tags.items():
        over = [(px, py) for px, py in rects if abs(px - x) < HAIR and 0 < py - texts[tag] < 8.0]
        found[tag] = min(over, key=lambda p: p[1] - texts[tag])
    return found


def expected_groups(links: Links) -> dict[str, set[str]]:
    """Ports that have to be joined: an outlet ("a>") with the inlets (">b") it leads to, and on."""
    group: dict[str, set[str]] = {}
    for a, b in links:
        both = group.get(a + ">", {a + ">"}) | group.get(">" + b, {">" + b})
        for port in both:
            group[port] = both
    return group


def check_links(nodes: list[Node], links: Links) -> None:
    """On a sheet large enough for all: joined are the ports that should be, and no others."""
    drawing = schematic(nodes, links, {}, width=4000.0, height=4000.0)
    (sheet,) = drawing.sheets
    joined, place = joined_points(sheet), places(sheet)
    wanted = expected_groups(links)
    roots: dict[str, tuple[float, float]] = {}
    for port in wanted:
        x, y = place[port.strip(">")]
        x += 3.0 if port.endswith(">") else -3.0
        roots[port] = joined[round(x, 2), round(y, 2)]
    for a in wanted:
        for b in wanted:
            assert (roots[a] == roots[b]) == (b in wanted[a]), (a, b)


def large(runs: int) -> tuple[list[Node], Links]:
    """A manifold that feeds many runs of six parts each."""
    nodes, links = [Node("tank", "cylinder", (), "c"), Node("man", "manifold", (), "c")], [("tank", "man")]
    kinds = ["regulator", "hose", "ball_valve", "solenoid_valve", "orifice", "stem"]
    for r in range(runs):
        line = [Node(f"{kind[0]}{r}.{i}", kind, ("1/4 in",), "cr"[i > 0]) for i, kind in enumerate(kinds)]
        nodes += line
        links += [("man", line[0].tag), *serial(line)]
    return nodes, links
