"""Equations in one line: printed from their tree (`equation_tree.py`), and filled in with values.

>>> result, tree = parse("w = C*pi*d**2/4*p_0")
>>> plain(tree)
'C·π·d²/4·p_0'
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeAlias

from specc.formulas.equation_tree import (
    Call,
    Negative,
    Node,
    Number,
    Power,
    Product,
    Quotient,
    Root,
    Sum,
    SymbolName,
    parse,
)
from specc.formulas.evaluating import count_of, is_many, one_of, value_for, values_of
from specc.measure import printing
from specc.model.values import Constant, Equation, Figure, Quantity, Scalar, Worked

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
    values = values_of(equation, worked)

    def names_at(place: int | None) -> Callable[[SymbolName], _Text]:
        def shown(node: SymbolName) -> _Text:
            value = value_for(values, node.symbol, text)
            if place is None and is_many(value):
                raise ValueError(f"{node.symbol} has several values, outside a sum: {text!r}")
            return _shown(one_of(value, place or 0), node.symbol, equation)

        return shown

    def terms(node: Node) -> list[_Text] | None:
        count = count_of(node, values)
        if count == 0:
            return [("0", _ATOM)]
        places = [None] if count is None else range(count)
        return [_Printer(names_at(n), terms).text(node) for n in places]

    return _Printer(names_at(None), terms).text(tree)[0]
