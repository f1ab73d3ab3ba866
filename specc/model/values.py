"""Numbers and where they come from: quantities, constants, equations, worked values, figures and their sources.

All of it is plain data that can be pickled and does not change once made. A value carries where it came from: a
`Quantity` points into the spec, a `Constant` carries its citation, a `Worked` value carries its equation and the
values put into it, so that a figure can be followed back to spec lines and sources.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

# How a number or a rule is known. Printed beside the source, everywhere.
Basis: TypeAlias = Literal["read", "reprint", "computed", "memory", "practice", "choice", "declared"]
BASIS_WORDS: dict[str, str] = {
    "read": "read in the source",
    "reprint": "read in a reprint or summary, not in the source itself",
    "computed": "computed for this tool from the source's equation or data",
    "memory": "from memory, not yet read in the source",
    "practice": "common practice, no published source",
    "choice": "specc default",
    "declared": "declared in the spec",
}


class Reference(NamedTuple):
    """A published source. `id` is lower case with hyphens and stands once in the packet's references."""

    id: str
    title: str
    publisher: str = ""
    edition: str = ""
    note: str = ""


class Citation(NamedTuple):
    """A place in a reference and how it is known. `practice` and `choice` need no reference."""

    reference: str = ""
    where: str = ""
    basis: Basis = "read"


PRACTICE = Citation(basis="practice")
CHOICE = Citation(basis="choice")


class Quantity(NamedTuple):
    """A measured value from the spec: SI value, dimension, the text as written, and where (JSON pointer).

    `minus` and `plus` are tolerances in SI, both >= 0.
    """

    si: float
    dim: str
    text: str
    at: str = ""
    minus: float = 0.0
    plus: float = 0.0


class Constant(NamedTuple):
    """A number from a source. `text` is how the source prints it, with its unit."""

    si: float
    dim: str
    text: str
    citation: Citation


class Symbol(NamedTuple):
    """What a letter in an equation stands for."""

    name: str
    dim: str
    meaning: str


class Equation(NamedTuple):
    """One equation, the only record of it: `calc`, figures and packet all print from this.

    `forms` maps a regime to a text such as ``w = C*pi*d**2/4*p*sqrt(k*M/(Z*R*T))``; an equation without
    regimes has the one key "". Texts are Python expressions over the symbols (so they can be typeset and
    evaluated); `sum(x)` adds a symbol given as several values. A text starting with ``~`` is words, for
    what is solved rather than evaluated.
    """

    forms: tuple[tuple[str, str], ...]
    symbols: tuple[Symbol, ...]
    citations: tuple[Citation, ...]
    validity: str = ""
    constants: tuple[tuple[str, Constant], ...] = ()

    def form(self, regime: str) -> str:
        """The text for a regime, or the only one."""
        return dict(self.forms).get(regime, self.forms[0][1])

    def symbol(self, name: str) -> Symbol | None:
        return next((s for s in self.symbols if s.name == name), None)


class Answer(NamedTuple):
    """What a calculator with regimes or a range of validity returns.

    `value` in SI; `regime` picks the equation's form; `beyond` says, in words, which limit of validity was
    passed ("" if none); `also` are intermediate values by symbol, in SI, so that the substituted equation
    can be printed whole.
    """

    value: float
    regime: str = ""
    beyond: str = ""
    also: tuple[tuple[str, float], ...] = ()


class Worked(NamedTuple):
    """A computed value with its equation and inputs (symbol, value), in the equation's symbols."""

    si: float
    dim: str
    equation: Equation
    inputs: tuple[tuple[str, Input], ...]
    regime: str = ""
    beyond: str = ""
    also: tuple[tuple[str, float], ...] = ()
    name: str = ""


class CaseValue(NamedTuple):
    """A figure's value in one weather case; `case` is "" when the weather plays no part."""

    case: str
    worked: Worked


class Mover(NamedTuple):
    """An input with a tolerance, and how far it moves a figure (SI) when taken to its low and high end."""

    at: str
    text: str
    low: float
    high: float


class Figure(NamedTuple):
    """A computed number for the packet. `governing` is the index into `cases` of the value that counts."""

    key: str
    title: str
    dim: str
    unit: str
    digits: int
    cases: tuple[CaseValue, ...]
    governing: int
    worst: Literal["max", "min"]
    plugin: str
    version: str
    decision: bool = False
    low: float | None = None
    high: float | None = None
    movers: tuple[Mover, ...] = ()
    unsure: str = ""  # why the tolerances give no low and high, if they do not

    @property
    def worked(self) -> Worked:
        return self.cases[self.governing].worked

    @property
    def case(self) -> str:
        return self.cases[self.governing].case

    @property
    def si(self) -> float:
        return self.worked.si


Scalar: TypeAlias = Quantity | Constant | Worked | Figure
# Several values under one symbol stand for a sum's terms.
Input: TypeAlias = Scalar | tuple[Scalar, ...]
_SCALARS = (Quantity, Constant, Worked, Figure)  # the same, made once: `A | B` in a test is put together at each


def terms_of(value: Input) -> tuple[Scalar, ...]:
    """The values under one symbol, one or several."""
    # The records are tuples too, so each is named.
    return (value,) if isinstance(value, _SCALARS) else value


def beyond_range(value: Scalar) -> str:
    """Which limit of validity a value passed, or what it was computed from; "" where none did."""
    looked: set[int] = set()

    def first(one: Scalar) -> str:
        worked = one.worked if isinstance(one, Figure) else one
        if not isinstance(worked, Worked) or id(worked) in looked:
            return ""
        looked.add(id(worked))
        told = (first(term) for _, given in worked.inputs for term in terms_of(given))
        return worked.beyond or next((t for t in told if t), "")

    return first(value)


def from_memory(value: Scalar, known: dict[int, bool]) -> bool:
    """Whether a value rests on a number or an equation from memory, at whatever remove. `known`: by id, what was looked
    at; it is good for as long as those values live."""
    if isinstance(value, Quantity):
        return False
    if isinstance(value, Constant):
        return value.citation.basis == "memory"
    if id(value) not in known:
        if isinstance(value, Figure):
            known[id(value)] = any(from_memory(case.worked, known) for case in value.cases)
        else:
            own = (*value.equation.citations, *(constant.citation for _, constant in value.equation.constants))
            known[id(value)] = any(citation.basis == "memory" for citation in own) or any(
                from_memory(term, known) for _, given in value.inputs for term in terms_of(given)
            )
    return known[id(value)]


class Case(NamedTuple):
    """A weather case. `air` is the air; `liquid` is how warm a cylinder's liquid is taken to be."""

    name: str
    air: Quantity
    liquid: Worked | Quantity
    wind: Quantity | None = None
    fill: str = ""
