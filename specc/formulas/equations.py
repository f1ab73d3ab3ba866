"""Equation texts: read into a tree, printed in one line, filled in with values, and evaluated.

A text such as ``Q = w*h_c`` is a small, safe part of a Python expression: + - * / ** and unary minus,
names, numbers, `pi`, and the calls in `FUNCTIONS`. `ast` only reads it; nothing is ever run by Python. A
text that starts with ``~`` is words and has no tree.

    >>> result, tree = parse("w = C*pi*d**2/4*p_0")
    >>> plain(tree)
    'C·π·d²/4·p_0'

The tree is made of the small types below, for `specc.packet.mathset` to set as fractions and roots. They
are tuples, so two nodes of different types with the same parts compare equal: tell them apart with
`isinstance` or `match`, never with ``==``.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeAlias

from specc.measure import printing
from specc.model.values import Constant, Equation, Figure, Input, Quantity, Scalar, Worked


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


# ---------------------------------------------------------------- reading


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


# ---------------------------------------------------------------- printing in one line

# How tightly each kind of text holds together: a part that holds less tightly gets parentheses.
# A value with a unit may stand in a sum as it is, but not in a product.
_SUM, _UNIT, _TIMES, _POWER, _ATOM = range(5)
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")

_Text: TypeAlias = tuple[str, int]  # and how tightly it holds


def _held(text: _Text, least: int) -> str:
    return text[0] if text[1] >= least else f"({text[0]})"


def _printed_number(node: Number) -> _Text:
    mantissa, _, exponent = node.text.lower().partition("e")
    if not exponent:
        return mantissa, _ATOM
    power = str(int(exponent)).replace("-", "⁻").translate(_RAISED)
    return f"{mantissa}·10{power}", _TIMES


def _printed_name(node: SymbolName) -> _Text:
    return (f"{node.base}_{node.subscript}" if node.subscript else node.base), _ATOM


class _Printer:
    """Prints a tree. `names` gives a name's text; `terms` the texts of a `sum`'s, `min`'s or `max`'s
    only argument, one for each of its values, or one text where nothing is filled in."""

    def __init__(
        self,
        names: Callable[[SymbolName], _Text] = _printed_name,
        terms: Callable[[Node], list[_Text] | None] = lambda node: None,
    ) -> None:
        self.names = names
        self.terms = terms

    def text(self, node: Node) -> _Text:
        match node:
            case Number():
                return _printed_number(node)
            case SymbolName():
                return ("π", _ATOM) if node.symbol == "pi" else self.names(node)
            case Sum():
                return self.sum(node), _SUM
            case Product():
                return "·".join(_held(self.text(f), _TIMES) for f in node.factors), _TIMES
            case Quotient():
                above, below = self.text(node.above), self.text(node.below)
                return f"{_held(above, _TIMES)}/{_held(below, _POWER)}", _TIMES
            case Power():
                return self.power(node), _POWER
            case Root():
                return f"√({self.text(node.under)[0]})", _ATOM
            case Call():
                return self.call(node)
            case Negative():
                inner = self.text(node.of)
                # "−(−a)" and "−(a + b)", but "−a·b" and "−a²".
                loose = isinstance(node.of, Negative) or inner[1] == _SUM
                return (f"−({inner[0]})" if loose else f"−{inner[0]}"), _SUM
        raise TypeError(f"no node of an equation: {node!r}")

    def sum(self, node: Sum) -> str:
        made = ""
        for n, term in enumerate(node.terms):
            if isinstance(term, Negative) and n:
                made += f" − {_held(self.text(term.of), _UNIT)}"
            elif isinstance(term, Negative):
                made = self.text(term)[0]
            else:
                made += (" + " if n else "") + _held(self.text(term), _UNIT)
        return made

    def power(self, node: Power) -> str:
        base = _held(self.text(node.base), _ATOM)
        exponent, sign = node.exponent, ""
        if isinstance(exponent, Negative) and isinstance(exponent.of, Number):
            exponent, sign = exponent.of, "⁻"
        if isinstance(exponent, Number) and exponent.text.isdigit() and exponent.value < 100:
            return base + sign + exponent.text.translate(_RAISED)
        return f"{base}^({self.text(node.exponent)[0]})"

    def call(self, node: Call) -> _Text:
        filled = self.terms(node.arguments[0]) if len(node.arguments) == 1 else None
        if node.function == "sum" and filled is not None:
            shown = [_held(t, _UNIT) for t in filled]
            if len(shown) > 4:
                shown = [*shown[:2], "…", shown[-1]]
            return (" + ".join(shown), _SUM) if len(shown) > 1 else filled[0]
        texts = filled if node.function in ("min", "max") and filled else map(self.text, node.arguments)
        return f"{node.function}({', '.join(t[0] for t in texts)})", _ATOM


def plain(node: Node) -> str:
    """One line, with no more parentheses than needed: · / √( ) ² ^( ), subscripts after an underscore.

    Read from left to right, as arithmetic is: ``d²/4·p`` is (d²/4)·p.
    """
    return _Printer().text(node)[0]


# ---------------------------------------------------------------- with values


def _values(equation: Equation, worked: Worked) -> dict[str, Input | float]:
    """What each symbol stands for: constants, then intermediate values, then inputs."""
    return {**dict(equation.constants), **dict(worked.also), **dict(worked.inputs)}


def _is_many(value: Input | float | None) -> bool:
    # The records are tuples too: only a plain tuple holds several values.
    return type(value) is tuple


def _one(value: Input | float, place: int) -> Scalar | float:
    """The value for one term of a sum; a value there is but one of serves for every term."""
    return value[place] if type(value) is tuple else value  # type: ignore[return-value]


def _count(node: Node, values: Mapping[str, Input | float]) -> int | None:
    """How many values the symbols in `node` have, None if each has one. Raises ValueError if they differ."""
    counts = {s: len(v) for s in symbols(node) if type(v := values.get(s)) is tuple}
    if len(set(counts.values())) > 1:
        raise ValueError(f"these symbols have different numbers of values: {counts}")
    return next(iter(counts.values()), None)


_PLAIN_NUMBER = re.compile(r"[0-9,]*\.?[0-9]+")
_SIGNED = re.compile(r"^[-−]|[±+]")


def _shown(value: Scalar | float, symbol: str, equation: Equation) -> _Text:
    match value:
        case Quantity() | Worked() | Figure() if value.dim == "temperature":
            # The equations hold for absolute temperature: who checks by hand needs it so.
            text = printing.show(value.si, value.dim, "K", 5)
        case Quantity() | Constant():
            text = value.text
        case Figure():
            text = printing.show(value.si, value.dim, value.unit, value.digits)
        case Worked():
            text = printing.show(value.si, value.dim)
        case _:
            record = equation.symbol(symbol)
            text = printing.show(float(value), record.dim if record else "ratio", "", 4)
    # A value with a unit stays together: "(20 lb/h)·(21,600 BTU/lb)", "(0.04 in)²"; so does a sign.
    if _PLAIN_NUMBER.fullmatch(text):
        return text, _ATOM
    return text, _SUM if _SIGNED.search(text) else _UNIT


def substitute(equation: Equation, worked: Worked) -> str:
    """The right side with the values put in, with their units, as the spec or the source writes them.

    Words stay words. Raises ValueError for a symbol without a value. The terms of a sum are joined by +;
    of more than four, the first two and the last are printed.
    """
    text = equation.form(worked.regime)
    if text.startswith("~"):
        return text[1:].strip()
    _, tree = parse(text)
    values = _values(equation, worked)

    def names_at(place: int | None) -> Callable[[SymbolName], _Text]:
        def shown(node: SymbolName) -> _Text:
            value = _find(values, node.symbol, text)
            if place is None and _is_many(value):
                raise ValueError(f"{node.symbol} has several values, outside a sum: {text!r}")
            return _shown(_one(value, place or 0), node.symbol, equation)

        return shown

    def terms(node: Node) -> list[_Text] | None:
        count = _count(node, values)
        if count == 0:
            return [("0", _ATOM)]
        places = [None] if count is None else range(count)
        return [_Printer(names_at(n), terms).text(node) for n in places]

    return _Printer(names_at(None), terms).text(tree)[0]


def _find(values: Mapping[str, Input | float], symbol: str, text: str) -> Input | float:
    if symbol not in values:
        raise ValueError(f"no value for {symbol!r} in {text!r}; there are {', '.join(values) or 'none'}")
    return values[symbol]


def evaluate(equation: Equation, worked: Worked) -> float:
    """The value of the right side, in SI, from the inputs, intermediate values and constants.

    Temperatures go in as kelvin and gauge pressures as pascal above the air's. Raises NotEvaluable for a
    text in words, ValueError for a symbol without a value or arithmetic that has no real result.
    """
    text = equation.form(worked.regime)
    _, tree = parse(text)
    values = _values(equation, worked)
    try:
        value = _evaluated(tree, values, None, text)
    except ArithmeticError as trouble:
        raise ValueError(f"{text!r} cannot be evaluated: {trouble}") from None
    if not math.isfinite(value):
        raise ValueError(f"{text!r} gives {value}")
    return value


def _evaluated(node: Node, values: Mapping[str, Input | float], place: int | None, text: str) -> float:
    def of(part: Node) -> float:
        return _evaluated(part, values, place, text)

    match node:
        case Number():
            return node.value
        case SymbolName(symbol="pi"):
            return math.pi
        case SymbolName():
            found = _find(values, node.symbol, text)
            if place is None and _is_many(found):
                raise ValueError(f"{node.symbol} has several values, outside a sum: {text!r}")
            one = _one(found, place or 0)
            return float(one) if isinstance(one, int | float) else one.si
        case Sum():
            return sum(map(of, node.terms))
        case Product():
            return math.prod(map(of, node.factors))
        case Quotient():
            return of(node.above) / of(node.below)
        case Power():
            raised = of(node.base) ** of(node.exponent)
            if isinstance(raised, complex):
                raise ValueError(f"a negative number to a broken power in {text!r}")
            return float(raised)
        case Root():
            under = of(node.under)
            if under < 0:
                raise ValueError(f"the root of {under:g} in {text!r}")
            return math.sqrt(under)
        case Negative():
            return -of(node.of)
        case Call():
            return _called(node, values, place, text)
    raise TypeError(f"no node of an equation: {node!r}")


def _called(node: Call, values: Mapping[str, Input | float], place: int | None, text: str) -> float:
    count = _count(node.arguments[0], values) if len(node.arguments) == 1 and place is None else None
    if count is not None and node.function in ("sum", "min", "max"):
        given = [_evaluated(node.arguments[0], values, n, text) for n in range(count)]
    else:
        given = [_evaluated(a, values, place, text) for a in node.arguments]
    match node.function:
        case "sum":
            return sum(given)
        case "min" | "max" if not given:
            raise ValueError(f"{node.function} of no values in {text!r}")
        case "min":
            return min(given)
        case "max":
            return max(given)
        case "abs":
            return abs(given[0])
        case "exp":
            return math.exp(given[0])
    if given[0] <= 0:
        raise ValueError(f"the logarithm of {given[0]:g} in {text!r}")
    return math.log(given[0])
