"""The value of an equation, from its tree and what each symbol stands for."""

from __future__ import annotations

import math
from collections.abc import Mapping

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
    symbols,
)
from specc.model.values import Equation, Input, Scalar, Worked


def values_of(equation: Equation, worked: Worked) -> dict[str, Input | float]:
    """What each symbol stands for: constants, then intermediate values, then inputs."""
    return {**dict(equation.constants), **dict(worked.also), **dict(worked.inputs)}


def is_many(value: Input | float | None) -> bool:
    # The records are tuples too: only a plain tuple holds several values.
    return type(value) is tuple


def one_of(value: Input | float, place: int) -> Scalar | float:
    """The value for one term of a sum; a value there is but one of serves for every term."""
    return value[place] if type(value) is tuple else value  # type: ignore[return-value]


def count_of(node: Node, values: Mapping[str, Input | float]) -> int | None:
    """How many values the symbols in `node` have, None if each has one. Raises ValueError if they differ."""
    counts = {s: len(v) for s in symbols(node) if type(v := values.get(s)) is tuple}
    if len(set(counts.values())) > 1:
        raise ValueError(f"these symbols have different numbers of values: {counts}")
    return next(iter(counts.values()), None)


def value_for(values: Mapping[str, Input | float], symbol: str, text: str) -> Input | float:
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
    values = values_of(equation, worked)
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
            found = value_for(values, node.symbol, text)
            if place is None and is_many(found):
                raise ValueError(f"{node.symbol} has several values, outside a sum: {text!r}")
            one = one_of(found, place or 0)
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
    count = count_of(node.arguments[0], values) if len(node.arguments) == 1 and place is None else None
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
