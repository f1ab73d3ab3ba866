"""Calculators: pure functions in SI with their equation beside them.

    @calculator("gas-heat", GAS_HEAT, symbols="w h")
    def gas_heat(flow: MassFlow, heating_value: SpecificEnergy) -> Power:
        return flow * heating_value

A plain call takes and gives SI floats. `work` takes values that know where they come from, and gives a
`Worked` value that remembers its equation and inputs; so what the packet prints is what was computed.
"""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Callable, Mapping
from functools import cached_property
from types import ModuleType
from typing import Any, ClassVar, Generic, NamedTuple, ParamSpec, TypeVar, get_type_hints

from specc.dims import DIMENSIONS, Dim
from specc.model.passes import Cannot
from specc.model.things import things_of
from specc.model.values import Answer, Equation, Figure, Input, Quantity, Worked, terms_of

P = ParamSpec("P")
R = TypeVar("R", bound="float | Answer")


_BEGINS = re.compile(r"~?\s*(\w+)\s*=")


class Refused(Cannot, ValueError):
    """A calculator does not cover what it was given. `reason`: the calculator's own words."""

    def __init__(self, message: str, reason: str, at: str, fix: str) -> None:
        super().__init__(message, at, fix)
        self.reason = reason


class Parameter(NamedTuple):
    """A calculator's parameter: its dimension, its symbol in the equation, and its default in SI."""

    name: str
    dim: str
    symbol: str
    default: float | None
    many: bool = False  # takes several values, for a sum


def _dim(hint: Any, where: str) -> tuple[str, bool]:
    """The dimension in an annotation, and whether it is a tuple of such values."""
    many = getattr(hint, "__origin__", None) is tuple
    if many:
        hint = hint.__args__[0]
    for mark in getattr(hint, "__metadata__", ()):
        if isinstance(mark, Dim):
            if mark.name not in DIMENSIONS:
                raise ValueError(f"{where}: unknown dimension {mark.name!r}")
            return mark.name, many
    raise TypeError(f"{where}: annotate it with a dimension from specc.dims")


class Calculator(Generic[P, R]):
    """A function with a name for the command line, an equation and dimensions. See `calculator`."""

    def __init__(
        self,
        name: str,
        function: Callable[P, R],
        equation: Equation,
        symbols: str | Mapping[str, str],
        result: str,
        dim: str,
        unit: str,
        bench: bool,
        asked: str,
        examples: Mapping[str, str],
    ) -> None:
        self.name = name
        self.function = function
        self.equation = equation
        self.unit = unit
        self.bench = bench
        self.asked = asked
        self.examples = examples
        self._symbols = symbols
        self._result = result
        self._dim = dim
        self.__doc__ = function.__doc__
        self.__name__ = function.__name__
        self.__module__ = function.__module__
        self.__wrapped__ = function

    # Reading annotations takes time, so it waits until someone asks.
    @cached_property
    def _hints(self) -> dict[str, Any]:
        return get_type_hints(self.function, include_extras=True)

    @cached_property
    def result(self) -> str:
        """The symbol that is computed: the one that the equation's text begins with, unless another is said."""
        begins = _BEGINS.match(self.equation.forms[0][1])
        return self._result or (begins[1] if begins else "")

    @cached_property
    def dim(self) -> str:
        """The result's dimension."""
        symbol = self.equation.symbol(self.result) if self._hints["return"] is Answer else None
        return self._dim or (symbol.dim if symbol else _dim(self._hints["return"], f"{self.name}, its result")[0])

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        made = []
        takes = inspect.signature(self.function).parameters.values()
        symbols = self._symbols_of([p.name for p in takes])
        for p in takes:
            dim, many = _dim(self._hints[p.name], f"{self.name}, {p.name}")
            default = None if p.default is inspect.Parameter.empty else float(p.default)
            made.append(Parameter(p.name, dim, symbols.get(p.name, p.name), default, many))
        return tuple(made)

    @cached_property
    def _by_name(self) -> dict[str, Parameter]:
        return {p.name: p for p in self.parameters}

    @cached_property
    def _with_default(self) -> tuple[tuple[str, str, float], ...]:
        """Name, symbol and default of the parameters that have one."""
        return tuple((p.name, p.symbol, p.default) for p in self.parameters if p.default is not None)

    def _symbols_of(self, names: list[str]) -> Mapping[str, str]:
        if not isinstance(self._symbols, str):
            return self._symbols
        symbols = self._symbols.split() or names
        if len(symbols) != len(names):
            raise ValueError(f"{self.name} takes {', '.join(names)}, and its symbols are {', '.join(symbols)}")
        return dict(zip(names, symbols, strict=True))

    @property
    def purpose(self) -> str:
        """The first sentence of the docstring."""
        first = " ".join((self.__doc__ or "").strip().split("\n\n")[0].split())
        return re.split(r"(?<=[a-z)])\.\s", first, maxsplit=1)[0].rstrip(".") + "."

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R:
        return self.function(*args, **kwargs)

    def work(self, name: str = "", /, **inputs: Input) -> Worked:
        """Compute from values that carry their origin. Raises TypeError for a wrong dimension or name.

        `name` says in a few words what is computed, for `trace` and the packet. Inputs that the calculator
        refuses raise `Refused`, pointing to the spec: in a pass that is a finding, not a plugin's failure.
        """
        if kept := keep_answers.kept:
            # What an input is, not what it says: the kept inputs are held, so that no other can come to have their ids.
            given_ids = [tuple(map(id, v)) if type(v) is tuple else id(v) for v in inputs.values()]
            asked = (id(self), name, *inputs, *given_ids)
            if asked not in kept[-1]:
                kept[-1][asked] = self._work(name, inputs), inputs
            return kept[-1][asked][0]
        return self._work(name, inputs)

    def _work(self, name: str, inputs: Mapping[str, Input]) -> Worked:
        by_name = self._by_name
        plain: dict[str, Any] = {}
        shown: list[tuple[str, Input]] = []
        for key, given in inputs.items():
            if key not in by_name:
                raise TypeError(f"{self.name} has no input {key!r}; it has {', '.join(by_name)}")
            _, dim, symbol, _, many = by_name[key]
            terms = terms_of(given)
            for term in terms:
                if term.dim != dim:
                    raise TypeError(f"{self.name}, {key}: wants {DIMENSIONS[dim].words}, was given {term.dim}")
            plain[key] = tuple([t.si for t in terms]) if many else terms[0].si
            shown.append((symbol, given))
        try:
            answer = self.function(**plain)  # type: ignore[call-arg]
            value = answer.value if isinstance(answer, Answer) else float(answer)
            if not math.isfinite(value):
                raise ArithmeticError(f"{self.name} gives {value}")
        except (ValueError, ArithmeticError) as e:
            raise Refused(
                f"{name} cannot be computed: {e}" if name else str(e),
                str(e),
                _stands_at(tuple(inputs.values())),
                "values within the range that the calculation covers; "
                f"`specc calc {self.name}` tells its equation and range",
            ) from e
        _, regime, beyond, also = answer if isinstance(answer, Answer) else Answer(value)
        defaults = tuple([(symbol, default) for key, symbol, default in self._with_default if key not in plain])
        return Worked(value, self.dim, self.equation, tuple(shown), regime, beyond, defaults + also, name)


class keep_answers:
    """Around runs that ask much the same again: what a calculator worked out of the same things is handed out again."""

    kept: ClassVar[list[dict[tuple[Any, ...], tuple[Worked, Any]]]] = []

    def __enter__(self) -> None:
        self.kept.append({})

    def __exit__(self, *of_what: object) -> None:
        self.kept.pop()


def _stands_at(value: Any) -> str:
    """The pointer of the first spec value in what a calculator was given, or that it was computed from."""
    if isinstance(value, Quantity):
        return value.at
    if isinstance(value, Figure):
        return _stands_at(value.worked)
    if isinstance(value, Worked):
        return _stands_at(tuple(v for _, v in value.inputs))
    if type(value) is tuple:
        # A value of the spec itself says more than one that was computed from it.
        for one in sorted(value, key=lambda v: not isinstance(v, Quantity)):
            at = _stands_at(one)
            if at:
                return at
    return ""


def calculator(
    name: str,
    equation: Equation,
    *,
    symbols: str | Mapping[str, str] = "",
    result: str = "",
    dim: str = "",
    unit: str = "",
    bench: bool = True,
    asked: str = "",
    examples: Mapping[str, str] | None = None,
) -> Callable[[Callable[P, R]], Calculator[P, R]]:
    """Make a calculator of a function.

    `name`: for the command line, lower case with hyphens. `symbols`: the parameters' symbols in the equation, in the
    order of the parameters, such as "w h", or by name as {"flow": "w"}; a parameter without one is its own symbol.
    `result` and `dim`: the symbol computed and its dimension, where the equation's text does not begin with
    it ("Q = ...") or does not say what it stands for. `unit`: to print the result in, if not the dimension's usual one.

    For `specc calc`: `bench` is False for a step that only packets compute with (listed with --all). `asked`: words
    that people ask with and that stand in neither the name nor the docstring's first sentence. `examples`: parameter
    name to a value that makes sense for it, where the usual one for such a name does not.
    """

    def wrap(function: Callable[P, R]) -> Calculator[P, R]:
        return Calculator(name, function, equation, symbols, result, dim, unit, bench, asked, examples or {})

    return wrap


def calculators_of(*modules: ModuleType) -> list[Calculator[..., Any]]:
    """The calculators made in these modules."""
    return [thing for thing in things_of(*modules) if isinstance(thing, Calculator)]
