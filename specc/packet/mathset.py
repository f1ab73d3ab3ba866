"""Setting an equation: fractions, roots, sub- and superscripts, from the tree of `specc.formulas.equation_tree`.

Each node becomes a `Box` that knows its width, how far it reaches above and below the baseline, and how to
draw itself. Letters stand in italic, words of several letters and numbers upright. In an exponent a
fraction is set with a slash.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from specc.formulas import equation_tree as eq
from specc.packet import fonts
from specc.packet.layout import PageItem
from specc.packet.press import Press
from specc.packet.style import BODY, INK, Color, Style
from specc.packet.text import Span, Spans

UPRIGHT = fonts.FACES["regular"][0]
ITALIC = fonts.ITALIC[0]
SCRIPT = 0.75  # size of sub- and superscripts
AXIS = 0.26  # height of a fraction's bar, as part of the size
LINE = 0.55  # weight of bars and roots

Draw = Callable[[Press, float, float], None]


class Box(NamedTuple):
    """Something set: `up` and `down` are its reach from the baseline, both counted positive."""

    width: float
    up: float
    down: float
    draw: Draw


def letters(text: str, size: float, italic: bool = False, color: Color = INK) -> Box:
    """Text as a box. Falls back to upright where the italic lacks a letter."""
    if italic and not all(ord(c) in fonts.glyphs(ITALIC) for c in text):
        italic = False
    font = ITALIC if italic else UPRIGHT
    tall = any(c.isupper() or c.isdigit() or c in "bdfhklt()|ΔΣβδθλ" for c in text)
    up = (0.68 if tall else 0.5) * size
    down = (0.21 if any(c in "gjpqy()|,μηρφχγβ" for c in text) else 0.02) * size
    wide = fonts.width(text, font, size)
    return Box(wide, up, down, lambda press, x, y: _words(press, x, y, text, font, size, color))


def _words(press: Press, x: float, y: float, text: str, font: str, size: float, color: Color) -> None:
    press.words(x, y, text, font, size, color)


def gap(width: float) -> Box:
    return Box(width, 0.0, 0.0, lambda press, x, y: None)


def row(boxes: Sequence[Box]) -> Box:
    """Boxes beside one another on one baseline."""
    kept = tuple(boxes)

    def draw(press: Press, x: float, y: float) -> None:
        for box in kept:
            box.draw(press, x, y)
            x += box.width

    return Box(
        sum(b.width for b in kept),
        max((b.up for b in kept), default=0.0),
        max((b.down for b in kept), default=0.0),
        draw,
    )


def lifted(box: Box, by: float) -> Box:
    return Box(box.width, box.up + by, max(box.down - by, 0.0), lambda press, x, y: box.draw(press, x, y + by))


def fraction(above: Box, below: Box, size: float) -> Box:
    pad, axis = size * 0.19, size * AXIS
    wide = max(above.width, below.width) + size * 0.24
    rise, fall = axis + pad + above.down, below.up + pad - axis

    def draw(press: Press, x: float, y: float) -> None:
        above.draw(press, x + (wide - above.width) / 2, y + rise)
        below.draw(press, x + (wide - below.width) / 2, y - fall)
        press.line(x, y + axis, x + wide, y + axis, LINE, INK)

    return Box(wide, rise + above.up, fall + below.down, draw)


def root(under: Box, size: float) -> Box:
    """A square root: its hook grows with what stands under it."""
    up, down = under.up + size * 0.2, under.down
    hook = size * 0.55

    def draw(press: Press, x: float, y: float) -> None:
        low = y - down
        middle = low + (up + down) * 0.45
        press.line(x, middle - size * 0.06, x + hook * 0.25, middle, LINE, INK)
        press.line(x + hook * 0.25, middle, x + hook * 0.6, low, LINE * 1.8, INK)
        press.line(x + hook * 0.6, low, x + hook, y + up, LINE, INK)
        press.line(x + hook, y + up, x + hook + under.width + size * 0.1, y + up, LINE, INK)
        under.draw(press, x + hook + size * 0.06, y)

    return Box(hook + under.width + size * 0.14, up + size * 0.08, down, draw)


def fenced(inner: Box, size: float, left: str = "(", right: str = ")") -> Box:
    """In parentheses or bars as high as what they hold."""
    if left != "|" and inner.up <= size * 0.8 and inner.down <= size * 0.35:
        return row((letters(left, size), inner, letters(right, size)))
    wide, pad = size * 0.3, size * 0.05
    up, down = inner.up + pad, inner.down + pad

    def side(press: Press, x: float, y: float, bulge: float) -> None:
        c = press.canvas
        c.setStrokeColorRGB(*INK)
        c.setLineWidth(LINE * 1.4)
        if left == "|":
            c.line(x, y - down, x, y + up)
        else:
            c.bezier(x, y + up, x - bulge, y + up * 0.5, x - bulge, y - down * 0.5, x, y - down)

    def draw(press: Press, x: float, y: float) -> None:
        side(press, x + wide * 0.8, y, wide * 0.9)
        inner.draw(press, x + wide, y)
        side(press, x + wide * 1.2 + inner.width, y, -wide * 0.9)

    return Box(inner.width + 2 * wide, up, down, draw)


def name(symbol: eq.SymbolName, size: float) -> Box:
    plain_base = symbol.base.replace("Δ", "").replace("ṁ", "m")
    base = letters(symbol.base, size, italic=len(plain_base) == 1 and symbol.symbol != "pi")
    if not symbol.subscript:
        return base
    low = letters(symbol.subscript.replace("_", ","), size * SCRIPT)
    return row((base, gap(size * 0.03), lifted(low, -size * 0.17)))


def _bare(node: eq.Node) -> bool:
    """Whether a node needs no parentheses under an exponent."""
    return isinstance(node, eq.SymbolName | eq.Number)


def _negative(node: eq.Node) -> bool:
    return isinstance(node, eq.Negative)


def node_box(node: eq.Node, size: float = BODY, script: bool = False) -> Box:
    """A tree as a box. `script` is for exponents: smaller, and on one line."""
    match node:
        case eq.Number():
            return letters(node.text, size)
        case eq.SymbolName():
            return name(node, size)
        case eq.Sum():
            return row(_terms(node, size, script))
        case eq.Product():
            return row(_factors(node, size, script))
        case eq.Quotient():
            above, below = node_box(node.above, size, script), node_box(node.below, size, script)
            if not script:
                return fraction(above, below, size)
            above = fenced(above, size) if isinstance(node.above, eq.Sum) else above
            below = fenced(below, size) if isinstance(node.below, eq.Sum | eq.Product) else below
            return row((above, letters("/", size), below))
        case eq.Power():
            base = node_box(node.base, size, script)
            if not _bare(node.base):
                base = fenced(base, size)
            small = node_box(node.exponent, size * (0.85 if script else SCRIPT), True)
            rise = max(base.up - small.up * 0.45, size * 0.36 + small.down)
            return row((base, gap(size * 0.04), lifted(small, rise)))
        case eq.Root():
            return root(node_box(node.under, size, script), size)
        case eq.Call():
            return _call(node, size, script)
        case eq.Negative():
            inner = node_box(node.of, size, script)
            inner = fenced(inner, size) if isinstance(node.of, eq.Sum) else inner
            return row((letters("−", size), gap(size * 0.06), inner))
    raise TypeError(f"no way to set {type(node).__name__}")


def _terms(node: eq.Sum, size: float, script: bool) -> list[Box]:
    space = gap(size * (0.1 if script else 0.22))
    boxes: list[Box] = []
    for n, term in enumerate(node.terms):
        sign = "−" if _negative(term) else "+"
        if isinstance(term, eq.Negative) and n:
            inner = node_box(term.of, size, script)
            box = fenced(inner, size) if isinstance(term.of, eq.Sum) else inner
        else:
            box = node_box(term, size, script)
        boxes += [space, letters(sign, size), space, box] if n else [box]
    return boxes


def _factors(node: eq.Product, size: float, script: bool) -> list[Box]:
    boxes: list[Box] = []
    for n, factor in enumerate(node.factors):
        box = node_box(factor, size, script)
        if isinstance(factor, eq.Sum | eq.Negative):
            box = fenced(box, size)
        if n:
            # Two numbers side by side would read as one: they get a dot.
            first = factor.base if isinstance(factor, eq.Power) else factor
            dot = isinstance(first, eq.Number) or (script and not isinstance(factor, eq.Sum))
            boxes += [gap(size * 0.1), letters("·", size), gap(size * 0.1)] if dot else [gap(size * 0.16)]
        boxes.append(box)
    return boxes


def _call(node: eq.Call, size: float, script: bool) -> Box:
    inside: list[Box] = []
    for n, argument in enumerate(node.arguments):
        if n:
            inside += [letters(",", size), gap(size * 0.22)]
        inside.append(node_box(argument, size, script))
    inner = row(inside)
    if node.function == "abs":
        return fenced(inner, size, "|", "|")
    if node.function == "sum":
        loose = isinstance(node.arguments[0], eq.Sum | eq.Negative)
        return row((letters("Σ", size * 1.2), gap(size * 0.14), fenced(inner, size) if loose else inner))
    word = "ln" if node.function == "log" else node.function
    return row((letters(word, size), gap(size * 0.06), fenced(inner, size)))


def _result_name(symbol: str) -> Box | None:
    if not symbol:
        return None
    _, tree = eq.parse(f"x = {symbol}")
    return node_box(tree)


class EquationItem(PageItem):
    """An equation on its own line or lines. A text that starts with ~ is words, set as words.

    One that is too wide is broken between factors or terms; a single part that is still too wide is set
    smaller.
    """

    def __init__(self, text: str, before: float = 0.0, keep: bool = True) -> None:
        self.text, self.before, self.keep = text, before, keep
        self._set: dict[float, list[Box]] = {}

    def _boxes(self, width: float) -> list[Box]:
        if width not in self._set:
            self._set[width] = self._make(width)
        return self._set[width]

    def _make(self, width: float) -> list[Box]:
        result, tree = eq.parse(self.text)
        left = _result_name(result)
        head = row((left, gap(BODY * 0.5), letters("=", BODY), gap(BODY * 0.5))) if left else gap(0.0)
        whole = row((head, node_box(tree)))
        if whole.width <= width:
            return [whole]
        if isinstance(tree, eq.Sum):
            parts = _terms(tree, BODY, False)
        elif isinstance(tree, eq.Product):
            parts = _factors(tree, BODY, False)
        else:
            parts = [node_box(tree)]
        rows: list[list[Box]] = [[head]]
        used = head.width
        for part in parts:
            if used + part.width > width and len(rows[-1]) > 1:
                rows.append([gap(head.width)])
                used = head.width
            rows[-1].append(part)
            used += part.width
        return [_fit(row(r), width) for r in rows]

    def natural(self, width: float) -> float:
        """How wide it is, set for a line of this width."""
        return max(b.width for b in self._boxes(width))

    def height(self, width: float) -> float:
        return sum(b.up + b.down + 5.0 for b in self._boxes(width))

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        for box in self._boxes(width):
            y -= box.up + 2.5
            box.draw(press, x, y)
            y -= box.down + 2.5


def _fit(box: Box, width: float) -> Box:
    """The box made smaller, if need be, to fit the width."""
    if box.width <= width:
        return box
    k = width / box.width

    def draw(press: Press, x: float, y: float) -> None:
        press.canvas.saveState()
        press.canvas.translate(x, y)
        press.canvas.scale(k, k)
        box.draw(press, 0.0, 0.0)
        press.canvas.restoreState()

    return Box(width, box.up * k, box.down * k, draw)


def symbol_spans(symbol: str, style: Style) -> Spans:
    """A symbol for a line of text, its subscript lowered."""
    try:
        _, tree = eq.parse(f"x = {symbol}")
    except ValueError:
        return (Span(symbol, style),)
    if not isinstance(tree, eq.SymbolName):
        return (Span(symbol, style),)
    low = style._replace(size=style.size * SCRIPT)
    sub = (Span(tree.subscript, low, rise=-style.size * 0.17),) if tree.subscript else ()
    return (Span(tree.base, style), *sub)
