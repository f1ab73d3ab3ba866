"""Equation texts, read into a tree.

A text such as ``Q = w*h_c`` is a small, safe part of a Python expression: + - * / ** and unary minus,
names, numbers, `pi`, and the calls in `FUNCTIONS`. `ast` only reads it; nothing is ever run by Python. A
text that starts with ``~`` is words and has no tree.

    >>> parse("w = d**2")
    ('w', Power(base=SymbolName(symbol='d', base='d', subscript=''), exponent=Number(value=2.0, text='2')))

The tree is made of the small types below, for `specc.packet.mathset` to set as fractions and roots. They
are tuples, so two nodes of different types with the same parts compare equal: tell them apart with
`isinstance` or `match`, never with ``==``.
"""

from __future__ import annotations

import ast
import math
import re
from typing import NamedTuple, TypeAlias


class Number(NamedTuple):
    """A number, never negative, and how the text writes it."""

    value: float
    text: str


class SymbolName(NamedTuple):
    """A symbol. `symbol` is its name in the equation's records (``p_0``, ``Delta_p``, ``eta_c``, ``pi``);
    `base` and `subscript` are what to print (``p`` and ``0``, ``Δp`` and nothing, ``η`` and ``c``)."""

    symbol: str
    base: str
    subscript: str


class Sum(NamedTuple):
    """Two or more terms; one that is taken away is a `Negative`. No term is itself a `Sum`."""

    terms: tuple[Node, ...]


class Product(NamedTuple):
    """Two or more factors. No factor is itself a `Product`, and the first is never a `Negative`."""

    factors: tuple[Node, ...]


class Quotient(NamedTuple):
    """A fraction. `above` is never a `Negative`."""

    above: Node
    below: Node


class Power(NamedTuple):
    base: Node
    exponent: Node


class Root(NamedTuple):
    """A square root."""

    under: Node


class Call(NamedTuple):
    """`function` is one of exp, log (natural), min, max, sum, abs. `sum`, and `min` and `max` with one
    argument, go over the values of a symbol that has several."""

    function: str
    arguments: tuple[Node, ...]


class Negative(NamedTuple):
    of: Node


Node: TypeAlias = Number | SymbolName | Sum | Product | Quotient | Power | Root | Call | Negative


FUNCTIONS: dict[str, tuple[int, int]] = {  # name: least and most arguments
    "sqrt": (1, 1),
    "exp": (1, 1),
    "log": (1, 1),
    "abs": (1, 1),
    "sum": (1, 1),
    "min": (1, 9),
    "max": (1, 9),
}


# `lambda` is a word of Python's own, so the letter is spelled the other way.
_GREEK = {
    **{"alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η"},
    **{"theta": "θ", "kappa": "κ", "lamda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ"},
    **{"sigma": "σ", "tau": "τ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω"},
    **{"Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lamda": "Λ", "Pi": "Π", "Sigma": "Σ", "Phi": "Φ"},
    **{"Psi": "Ψ", "Omega": "Ω"},
}


LONGEST = 500  # characters of an equation text


DEEPEST = 100  # levels of its tree


_DECIMAL = re.compile(r"[0-9]*\.?[0-9]*([eE][+-]?[0-9]+)?")


class NotEvaluable(ValueError):
    """The equation is in words: what it describes is solved, not evaluated."""


def name(symbol: str) -> SymbolName:
    """A symbol's `Name`: ``p_0`` has the subscript 0, ``Delta_p`` is Δp, Greek names become letters."""
    base, *low = symbol.split("_")
    if base == "Delta" and low:
        base, *low = "Δ" + _GREEK.get(low[0], low[0]), *low[1:]
    return SymbolName(symbol, _GREEK.get(base, base), "_".join(_GREEK.get(part, part) for part in low))


def parse(text: str) -> tuple[str, Node]:
    """The result's symbol and the tree of the right side.

    Raises NotEvaluable for a text in words (``~``), and ValueError for anything outside the safe part.
    """
    if text.startswith("~"):
        raise NotEvaluable(f"this equation is in words: {text[1:].strip()[:80]}")
    if len(text) > LONGEST:
        raise ValueError(f"an equation text of {len(text)} characters is too long; at most {LONGEST}")
    try:
        module = ast.parse(text.strip())
    except (SyntaxError, ValueError, RecursionError, MemoryError) as trouble:
        raise ValueError(f"not an equation: {text!r}: {trouble}") from None
    match module.body:
        case [ast.Assign(targets=[ast.Name(id=result)], value=value)]:
            return result, _Reader(text.strip()).node(value)
    raise ValueError(f"an equation reads 'symbol = expression', not {text!r}")


class _Reader:
    """Turns Python's tree into ours; keeps the text, to take numbers as they are written."""

    def __init__(self, text: str) -> None:
        self.text = text

    def node(self, tree: ast.expr, depth: int = 0) -> Node:
        if depth > DEEPEST:
            raise ValueError(f"the equation is nested more than {DEEPEST} deep: {self.text!r}")
        match tree:
            case ast.Constant(value=bool()):
                pass
            case ast.Constant(value=int() | float() as value):
                return self.number(tree, value)
            case ast.Name(id=symbol):
                return name(symbol)
            case ast.UnaryOp(op=ast.USub(), operand=inner):
                return Negative(self.node(inner, depth + 1))
            case ast.BinOp(left=left, op=op, right=right):
                return self.joined(op, self.node(left, depth + 1), self.node(right, depth + 1))
            case ast.Call(func=ast.Name(id=function), args=given, keywords=[]) if function in FUNCTIONS:
                least, most = FUNCTIONS[function]
                if not least <= len(given) <= most:
                    raise ValueError(f"{function} takes {least} to {most} arguments, has {len(given)}")
                arguments = tuple(self.node(a, depth + 1) for a in given)
                return Root(arguments[0]) if function == "sqrt" else Call(function, arguments)
        raise ValueError(f"an equation may not contain {self.source(tree)!r}: {self.text!r}")

    def source(self, tree: ast.expr) -> str:
        return ast.get_source_segment(self.text, tree) or type(tree).__name__

    def number(self, tree: ast.expr, value: int | float) -> Number:
        written = self.source(tree)
        if not _DECIMAL.fullmatch(written):
            raise ValueError(f"{written[:40]!r} is not written as a decimal number")
        try:
            held = float(value)
        except OverflowError:
            held = math.inf
        if not math.isfinite(held):
            raise ValueError(f"{written[:40]!r} is not a finite number")
        return Number(held, written)

    def joined(self, op: ast.operator, left: Node, right: Node) -> Node:
        match op:
            case ast.Add():
                return Sum(_terms(left) + _terms(right))
            case ast.Sub():
                return Sum((*_terms(left), Negative(right)))
            case ast.Mult():
                # A minus in front belongs to the whole product: it is set once, before it.
                if isinstance(left, Negative):
                    return Negative(Product(_factors(left.of) + _factors(right)))
                return Product(_factors(left) + _factors(right))
            case ast.Div():
                if isinstance(left, Negative):
                    return Negative(Quotient(left.of, right))
                return Quotient(left, right)
            case ast.Pow():
                return Power(left, right)
        raise ValueError(f"an equation has + - * / ** only: {self.text!r}")


def _terms(node: Node) -> tuple[Node, ...]:
    return node.terms if isinstance(node, Sum) else (node,)


def _factors(node: Node) -> tuple[Node, ...]:
    return node.factors if isinstance(node, Product) else (node,)


def symbols(node: Node) -> tuple[str, ...]:
    """The symbols in a tree, each once, in order; without `pi`."""
    match node:
        case Number():
            return ()
        case SymbolName():
            return () if node.symbol == "pi" else (node.symbol,)
        case Sum():
            parts = node.terms
        case Product():
            parts = node.factors
        case Quotient():
            parts = (node.above, node.below)
        case Power():
            parts = (node.base, node.exponent)
        case Root():
            parts = (node.under,)
        case Call():
            parts = node.arguments
        case Negative():
            parts = (node.of,)
    return tuple(dict.fromkeys(s for part in parts for s in symbols(part)))
