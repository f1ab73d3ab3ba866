"""What is asked of schematics of plumbing: crossings that jump, every link drawn, zones in words."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import HAIR, Links, joined_points, schematic

from specc.drawing.channel import HOP
from specc.drawing.flow import PITCHES, Node, ZoneLabel
from specc.drawing.network import network_of
from specc.drawing.paint import connectors
from specc.drawing.shapes import Arc, Drawing, Line, Sheet, Text
from specc.drawing.symbols import symbol
from specc.drawing.tile import TilePlan
from specc.drawing.zones import OPEN_WEIGHT, WEIGHTS

ZONES = {
    "supply": ZoneLabel("cylinder pressure", "110 psig, most 240 psig"),
    "pr1": ZoneLabel("regulated by pr1", "30 psig, most 45 psig"),
    "pr2": ZoneLabel("regulated by pr2", "10 psig, most 20 psig"),
    "open": ZoneLabel("open to the air"),
}
SIZES = ("1/4 in NPT", "3/8 x 1/4 in NPT", "3/8 in flare to 3/8 in NPT", "1/2 in", "brass")
OUTLETS = ("burner_ring", "burner_bar", "stem", "pilot")


def drawn(nodes: list[Node], links: Links, width: float = 180.0, height: float = 110.0) -> Drawing:
    return schematic(nodes, links, ZONES, open_zone="open", width=width, height=height)


def segments(sheet: Sheet) -> list[tuple[float, float, float, float]]:
    """Connectors, by the weights of zones."""
    weights = (*WEIGHTS, OPEN_WEIGHT)
    lines = [s for s in sheet.shapes if isinstance(s, Line) and s.weight in weights and not s.dashed]
    return [(*min(p, q), *max(p, q)) for line in lines for p, q in pairwise(line.points)]


def check_crossings(sheet: Sheet) -> int:
    """No line goes through another; where they cross one jumps, and none jumps over nothing. Gives the jumps."""
    found = segments(sheet)
    level = [s for s in found if abs(s[1] - s[3]) < HAIR]
    upright = [s for s in found if abs(s[0] - s[2]) < HAIR and abs(s[1] - s[3]) > HAIR]
    for x1, y, x2, _ in level:
        for x, low, _, high in upright:
            assert not (x1 + HAIR < x < x2 - HAIR and low + HAIR < y < high - HAIR), (x, y)
    jumps = [s for s in sheet.shapes if isinstance(s, Arc) and s.radius == HOP]
    for jump in jumps:
        under = [x for x, low, _, high in upright if abs(x - jump.x) < HAIR and low + HAIR < jump.y < high - HAIR]
        assert under, jump
        ends = {round(x, 2) for x1, y, x2, _ in level if abs(y - jump.y) < HAIR for x in (x1, x2)}
        assert {round(jump.x - HOP, 2), round(jump.x + HOP, 2)} <= ends
    return len(jumps)


def said_on(drawing: Drawing) -> str:
    texts = [s.text for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text)]
    return "".join(texts).replace(" ", "")


class Groups:
    """What has to be joined, as sets that grow together."""

    def __init__(self) -> None:
        self.of: dict[str, set[str]] = {}

    def join(self, a: str, b: str) -> None:
        both = self.of.get(a, {a}) | self.of.get(b, {b})
        for port in both:
            self.of[port] = both


def check_every_link(nodes: list[Node], links: Links, mixed: bool = False) -> None:
    """By the lines alone: joined are the ports that should be, and no others."""
    network = network_of(nodes, links, ZONES, "open", mixed)
    plan = TilePlan(network.items, network.links, network.zones).measure(PITCHES[1], 4000.0)
    joined = joined_points(Sheet(1.0, 1.0, tuple(connectors(plan))))
    wanted, place = Groups(), {}
    for u, v, _ in network.links:
        wanted.join(f"{u}>", f">{v}")
        for i, port, x in ((u, f"{u}>", plan.cells[u].outlet), (v, f">{v}", plan.cells[v].inlet)):
            place[port] = joined[round(plan.x[plan.grid.column[i]] + x, 2), round(plan.part_y(i), 2)]
    for i, cell in enumerate(plan.cells):
        # The line goes on through a tee or a pipe.
        if cell.inlet == cell.outlet and f"{i}>" in place and f">{i}" in place:
            wanted.join(f"{i}>", f">{i}")
    for a in place:
        for b in place:
            assert (place[a] == place[b]) == (b in wanted.of[a]), (a, b)
    # Within a row of fittings the line goes from each to the next.
    rows = [(item.row, cell) for item, cell in zip(network.items, plan.cells, strict=True) if item.row]
    for row, cell in rows:
        ends = [cell.inlet, *(x for wire in cell.wires for x in wire), cell.outlet]
        assert len(cell.wires) == len(row) - 1
        for node, before, behind in zip(row, ends[::2], ends[1::2], strict=True):
            assert behind - before == pytest.approx(symbol(node.symbol).outlet[0] - symbol(node.symbol).inlet[0])
    covered = [n.tag for item in network.items for n in (item.row or (item.node,))]
    standing = [item.standing.tag for item in network.items if item.standing]
    assert sorted([*covered, *standing]) == sorted(node.tag for node in nodes)


def spot(drawing: Drawing, text: str) -> Text:
    (found,) = [s for sheet in drawing.sheets for s in sheet.shapes if isinstance(s, Text) and s.text == text]
    return found
