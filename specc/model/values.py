"""The words the whole house shares: what a number, a source, a finding and a result are.

All of it is plain data that can be pickled and does not change once made. Nothing here reads files,
computes or prints. A value carries where it came from: a `Quantity` points into the spec, a `Constant`
carries its citation, a `Worked` value carries its equation and the values put into it, so that a figure
can be followed back to spec lines and sources.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

Level: TypeAlias = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")

# How a number or a rule is known. Printed beside the source, everywhere.
Basis: TypeAlias = Literal["read", "reprint", "computed", "memory", "practice", "choice", "declared"]
BASIS_WORDS: dict[str, str] = {
    "read": "read in the source",
    "reprint": "read in a reprint or summary, not in the source itself",
    "computed": "computed for this tool from the source's equation or data",
    "memory": "from memory, not yet read in the source",
    "practice": "common practice, no published source",
    "choice": "this tool's choice",
    "declared": "declared in the spec",
}


class Place(NamedTuple):
    """A spot in a file. Line and column count from 1; 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0


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


class Trouble(NamedTuple):
    """What a rule found: where (JSON pointer), what is wrong, what would be right, and why it matters."""

    at: str
    message: str
    instead: str = ""
    why: str = ""
    level: Level | None = None  # only when it differs from the rule's own


Status: TypeAlias = Literal[
    "passed", "found", "not applicable", "not checked", "waived", "blocked", "crashed", "authority to decide"
]


class Verdict(NamedTuple):
    """What a rule returns: a status, what was looked at (or why not), and the troubles."""

    status: Status
    looked: str = ""
    troubles: tuple[Trouble, ...] = ()


class Finding(NamedTuple):
    """One thing to know about the spec. `rule` names who says so; `place` is where in the files."""

    rule: str
    level: Level
    message: str
    place: Place
    at: str = ""
    instead: str = ""
    why: str = ""
    plugin: str = ""
    waived: str = ""  # tag of the waiver that covers it


class RuleOutcome(NamedTuple):
    """A rule as shown in the packet, with what became of it."""

    id: str
    level: Level
    statement: str
    citation: Citation
    status: str
    looked: str
    plugin: str
    findings: int = 0


class LimitShown(NamedTuple):
    """A limit as used: the default, and whose other value was taken, if any."""

    key: str
    statement: str
    value: Quantity
    default: Quantity
    citation: Citation
    safer: Literal["max", "min"]  # which way is safer: a larger or a smaller value
    by: str = ""  # who set another value
    laxer: bool = False


class WaiverShown(NamedTuple):
    tag: str
    rule: str
    part: str
    reason: str
    who: str
    until: str
    used: int
    place: Place


class PluginShown(NamedTuple):
    name: str
    version: str
    origin: str  # "built-in", "installed", "file"
    trouble: str = ""


class InputFile(NamedTuple):
    """A public input, as read: its path from the project folder and its bytes."""

    name: str
    data: bytes
    sha256: str


class GitState(NamedTuple):
    revision: str
    differs: tuple[str, ...]  # inputs that differ from that revision


class Case(NamedTuple):
    """A weather case. `air` is the air; `liquid` is how warm a cylinder's liquid is taken to be."""

    name: str
    air: Quantity
    liquid: Worked | Quantity
    wind: Quantity | None = None
    fill: str = ""


class SectionMade(NamedTuple):
    """A section of the packet: blocks (see blocks.py) with a title and a place in the order."""

    id: str
    title: str
    order: int
    blocks: tuple[object, ...]
    plugin: str
    answers: tuple[str, ...] = ()


class Result(NamedTuple):
    """All that reporters and the packet see. Nothing in it points back into the run."""

    spec_name: str
    title: str
    project_id: str
    revision: str
    summary: str
    event: tuple[tuple[str, str], ...]  # label, text
    digest: str
    git: GitState | None
    specc_version: str
    files: tuple[InputFile, ...]
    plugins: tuple[PluginShown, ...]
    references: tuple[Reference, ...]
    cases: tuple[Case, ...]
    figures: tuple[Figure, ...] = ()
    rules: tuple[RuleOutcome, ...] = ()
    findings: tuple[Finding, ...] = ()
    waivers: tuple[WaiverShown, ...] = ()
    limits: tuple[LimitShown, ...] = ()
    tables: tuple[tuple[str, object], ...] = ()  # key, blocks.Table
    drawings: tuple[tuple[str, object], ...] = ()  # key, drawing.shapes.Drawing
    sections: tuple[SectionMade, ...] = ()
    summary_facts: tuple[object, ...] = ()
    decisions: tuple[str, ...] = ()
    cautions: tuple[object, ...] = ()
    model_limits: tuple[object, ...] = ()
    places: tuple[tuple[str, Place], ...] = ()  # pointer -> place, for what figures and tables point to
    excerpts: tuple[tuple[Place, str], ...] = ()  # line of text under each finding's place
    exit_code: int = 0
    spec_folder: str = ""  # as the user gave it; the packet names files from here

    def figure(self, key: str) -> Figure | None:
        return next((f for f in self.figures if f.key == key), None)

    @property
    def errors(self) -> int:
        return sum(1 for f in self.findings if f.level == "error" and not f.waived)

    @property
    def draft(self) -> bool:
        return self.exit_code != 0
