"""The wiring as a one-line drawing: each line a row, contacts as without power, the stop chain in heavy line.

Symbols follow IEC 60617, their shapes from memory. A name at the end of a row is a terminal, or a point that other rows
begin or end at.
"""

from __future__ import annotations

from specc import Context, drawn
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, Shape, Sheet, Text
from specc_control.electric import WAYS
from specc_control.entries import WIRING, ControlPart, Wiring

_WIDE, _CELL, _ROW, _SIDE, _MOST, _ROWS = 186.0, 18.0, 27.0, 21.0, 8, 6  # mm; symbols in a row, rows on a sheet
_MOST_TOLD = 16  # characters that a cell has room for
_HEAVY, _THIN = 1.8, 0.8


def _hand(kind: str, x: float, y: float) -> list[Shape]:
    """What moves a contact, above its blade."""
    made: list[Shape] = [Line(((x, y + 2), (x, y + 6)), weight=0.5, dashed=True)]
    top = y + 6
    if kind == "stop":  # a mushroom head, and the notch that latches it
        made += [Arc(x, top, 2.6, 0, 180, weight=1.0), Line(((x - 2.6, top), (x + 2.6, top)), weight=1.0)]
        made.append(Line(((x - 1, y + 4), (x, y + 3.2), (x + 1, y + 4)), weight=0.5))
    elif kind == "key":
        made += [Circle(x, top + 1, 1.1), Line(((x, top), (x, top - 1.4)), weight=1.0)]
    elif kind in ("button", "switch"):
        made.append(Line(((x - 2, top - 0.8), (x - 2, top), (x + 2, top), (x + 2, top - 0.8)), weight=0.8))
        if kind == "button":  # springs back
            made.append(Polygon(((x - 0.8, y + 4.6), (x + 0.8, y + 4.6), (x, y + 3.4)), weight=0.5))
    elif kind == "flame_sensor":
        made.append(Line(((x - 1.2, top), (x, top + 2.6), (x + 1.2, top), (x - 1.2, top)), weight=0.7))
    else:  # a relay, timer or controller
        made.append(Polygon(((x - 1.6, top), (x + 1.6, top), (x + 1.6, top + 2), (x - 1.6, top + 2)), weight=0.7))
    return made


def _contact(kind: str, breaks: bool, x: float, y: float, weight: float) -> list[Shape]:
    left, right = x + 5, x + _CELL - 5
    made: list[Shape] = [Line(((x, y), (left, y)), weight=weight), Line(((right, y), (x + _CELL, y)), weight=weight)]
    if breaks:
        made.append(Line(((left, y), (right + 0.8, y + 1.9)), weight=weight))
        made.append(Line(((right, y), (right, y + 2.4)), weight=weight))
    else:
        made.append(Line(((left, y), (right - 0.6, y + 3.2)), weight=weight))
    return made + _hand(kind, (left + right) / 2, y)


def _box(x: float, y: float, half: float, high: float) -> Polygon:
    return Polygon(((x - half, y - high), (x + half, y - high), (x + half, y + high), (x - half, y + high)))


def _through(part: ControlPart, x: float, y: float, weight: float) -> list[Shape]:
    """A part that is no contact: fuse, wire, plug or load."""
    middle, end = x + _CELL / 2, x + _CELL
    whole = [Line(((x, y), (end, y)), weight=weight)]
    if part.kind == "fuse":
        return [*whole, _box(middle, y, 3.5, 1.4)]
    if part.kind == "wire":
        ways = 1 if part.spec.has("ways") and part.spec.whole("ways") == 1 else 2
        slashes = [Line(((middle + d - 0.8, y - 1.6), (middle + d + 0.8, y + 1.6))) for d in range(ways)]
        return [*whole, *slashes]
    if part.kind == "plug":
        return [*whole, Arc(middle, y, 1.8, 90, 180), Line(((middle, y), (middle + 1.5, y)), weight=2.4)]
    half = 2.6 if part.kind == "lamp" else 3.2
    made: list[Shape] = [
        Line(((x, y), (middle - half, y)), weight=weight),
        Line(((middle + half, y), (end, y)), weight=weight),
    ]
    if part.kind == "lamp":
        d = half * 0.707
        made += [Circle(middle, y, half), Line(((middle - d, y - d), (middle + d, y + d)))]
        return [*made, Line(((middle - d, y + d), (middle + d, y - d)))]
    made.append(_box(middle, y, half, 2.2))
    if part.kind == "coil":  # tied to its valve
        v = y - 6
        made.append(Line(((middle, y - 2.2), (middle, v)), weight=0.5, dashed=True))
        made.append(
            Polygon(((middle - 3, v - 1.5), (middle - 3, v + 1.5), (middle + 3, v - 1.5), (middle + 3, v + 1.5)))
        )
    elif part.kind == "igniter":
        made.append(Line(((middle + 1, y + 1.6), (middle - 1, y), (middle + 1, y), (middle - 1, y - 1.6)), weight=0.8))
    elif part.kind == "timer":
        made.append(Line(((middle - 3.2, y - 2.2), (middle + 3.2, y + 2.2)), weight=0.5))
    return made


def _told(part: ControlPart) -> str:
    if part.kind == "wire":
        said = [part.spec.text_or("size"), part.spec.quantity("length").text if part.spec.has("length") else ""]
        return ", ".join(s for s in said if s)
    rated = next((part.spec.quantity(key).text for key in ("rating", "power") if part.spec.has(key)), "")
    if part.kind == "coil":  # whoever wires it finds the valve's tag on the brass; its power stands in the table
        both = ", ".join(s for s in (part.valve, rated) if s)
        return both if len(both) <= _MOST_TOLD else part.valve
    return rated or part.spec.text_or("who")


def _battery(w: Wiring, bonded: str, y: float) -> list[Shape]:
    """Each supply, and what is said to be bonded to the chassis."""
    made: list[Shape] = []
    x = 6.0
    for part in w.of_kind("battery", "mains_supply", "generator"):
        if part.kind == "battery":
            made += [Line(((x, y - 3), (x, y + 3)), weight=0.8), Line(((x + 2, y - 1.5), (x + 2, y + 1.5)), weight=2.0)]
        else:
            made += [
                Circle(x + 1, y, 3),
                Text(x + 1, y - 1, "~" if part.kind == "mains_supply" else "G", anchor="middle"),
            ]
        words = " ".join(part.spec.quantity(key).text for key in ("voltage", "capacity") if part.spec.has(key))
        made.append(Text(x + 6, y - 1, f"{part.tag}: {part.kind.replace('_', ' ')} {words}".rstrip(), size=7))
        x += 62
    if bonded and bonded != "none":
        made += [Line(((x, y + 2), (x, y)), weight=0.8), Line(((x - 2, y), (x + 2, y)), weight=0.8)]
        made += [Line(((x + d, y), (x + d - 1, y - 1.6)), weight=0.5) for d in (-2, 0, 2)]
        made.append(Text(x + 5, y - 1, f"{bonded} is bonded to the chassis", size=7))
    return made


def heavy(w: Wiring, ways: tuple[tuple[str, tuple[str, ...]], ...]) -> set[str]:
    """Names of the edges between a supply and a coil on a way that a stop's contact is in."""
    stops = {p.tag for p in w.of_kind("stop")}
    of = {e.name: e.tag for e in w.circuit.edges}
    made: set[str] = set()
    for load, edges in ways:
        if w.parts[load].kind in ("coil", "relay") and any(of.get(name) in stops for name in edges):
            made |= {*edges, load}
    return made


Row = tuple[str, str, list[str], str]  # line, where it begins, what is in it, where it ends


def _rows(w: Wiring, lines: list[tuple[str, tuple[str, ...]]]) -> list[Row]:
    """Lines cut at points within them, and into rows that fit."""
    made: list[Row] = []
    edges = {e.name for e in w.circuit.edges}
    named = {f"{e.tag}": e.name for e in w.circuit.edges}
    for tag, line in lines:
        begin, held = line[0], list[str]()
        for i, item in enumerate(line[1:], 1):
            name = item if item in edges else named.get(item, "")
            if name and i < len(line) - 1:
                held.append(name)
                if len(held) == _MOST and i < len(line) - 2:
                    made.append((tag, begin, held, f"({tag} goes on)"))
                    begin, held = f"({tag})", []
            else:
                made.append((tag, begin, held, item))
                begin, held = item, []
    return made


def _row(w: Wiring, row: Row, y: float, thick: set[str]) -> list[Shape]:
    tag, begin, names, end = row
    made: list[Shape] = [
        Text(1, y - 1, begin, size=7),
        Text(1, y + 6, tag, size=7, strong=True),
        Circle(_SIDE, y, 0.7, fill="ink"),
    ]
    by_name = {e.name: e for e in w.circuit.edges}
    x = _SIDE
    for name in names:
        edge = by_name[name]
        part = w.parts[edge.tag]
        weight = _HEAVY if name in thick else _THIN
        if edge.kind == "contact":
            made += _contact(part.kind, edge.breaks, x, y, weight)
        else:
            made += _through(part, x, y, weight)
        made.append(Text(x + _CELL / 2, y + 10.5, name, size=7, anchor="middle", strong=True))
        low = y - 11 if part.kind == "coil" else y - 5.5
        made.append(Text(x + _CELL / 2, low, _told(part)[:_MOST_TOLD], size=5.5, anchor="middle"))
        x += _CELL
    made.append(Circle(x, y, 0.7, fill="ink"))
    made.append(Text(x + 2, y - 1, end, size=7))
    return made


@drawn("control", title="The wiring, in one line", needs=(WIRING, WAYS), reads=("control",))
def one_line(ctx: Context) -> Drawing:
    w = ctx[WIRING]
    spec = ctx.spec("control").child("lines")
    rows = _rows(w, [(tag, spec.texts(tag)) for tag in spec]) if w.parts and not w.unknown else []
    thick = heavy(w, tuple((way.load, way.edges) for way in ctx[WAYS]))
    sheets = []
    bonded = ctx.spec("control").text_or("chassis")
    for i in range(0, max(len(rows), 1), _ROWS):
        some = rows[i : i + _ROWS]
        high = 14 + _ROW * max(len(some), 1)
        shapes = _battery(w, bonded, high - 6)
        for k, row in enumerate(some):
            shapes += _row(w, row, high - 14 - _ROW * k - 13, thick)
        if not some:
            said = "The lines of the wiring cannot be read." if w.parts else "The spec describes no wiring."
            shapes.append(Text(10, high / 2 - 6, said, size=7.5))
        sheets.append(Sheet(_WIDE, high, tuple(shapes)))
    note = (
        "Contacts as without power. Heavy: what an emergency stop takes power from. "
        "Symbols after IEC 60617, shapes from memory."
    )
    return Drawing("", "", "schematic", tuple(sheets), note)
