"""One figure followed down to what it comes from: equations, numbers put in, spec lines and sources."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc.formulas.equation_tree import parse, symbols
from specc.formulas.equations import plain, substitute
from specc.measure.printing import as_printed, both, show
from specc.model.findings import Place
from specc.model.result import Result
from specc.model.values import (
    BASIS_WORDS,
    Citation,
    Constant,
    Figure,
    Input,
    Quantity,
    Reference,
    Scalar,
    Worked,
    terms_of,
)
from specc.report import records
from specc.report.lines import folded, safe
from specc.report.text import CLOSING, where

References = Mapping[str, Reference]


def equation_text(worked: Worked) -> str:
    """The equation in one line, or in words where it is solved rather than evaluated."""
    return form_text(worked.equation.form(worked.regime))


def form_text(text: str) -> str:
    """One form of an equation in a line, or its words where it is solved rather than evaluated."""
    if text.startswith("~"):
        return text[1:].strip()
    result, tree = parse(text)
    return f"{result} = {plain(tree)}"


def worked_text(worked: Worked, unit: str, digits: int, indent: str) -> list[str]:
    """Equation, numbers put in, result."""
    first, second = both(worked.si, worked.dim, unit, digits)
    result = first if second == first else f"{first} ({second})"
    regime = f"   [{worked.regime}]" if worked.regime else ""
    if worked.equation.form(worked.regime).startswith("~"):
        return [*folded(equation_text(worked), indent), f"{indent}= {result}{regime}"]
    name, _, right = equation_text(worked).partition(" = ")
    space = " " * len(name)
    return [
        f"{indent}{name} = {right}{regime}",
        f"{indent}{space} = {safe(substitute(worked.equation, worked))}",
        f"{indent}{space} = {result}",
    ]


def inputs_text(
    worked: Worked, references: References, indent: str, defaults: frozenset[str] = frozenset()
) -> tuple[list[str], list[str]]:
    """What was put in, and the sources' titles: for `specc calc`. `defaults`: symbols that need not be given."""
    printer = _Text(references, {}, defaults)
    lines = printer.inputs(worked, indent)
    lines += ["", *printer.cited(worked, indent)]
    return lines, printer.titles()


def text(figure: Figure, result: Result) -> list[str]:
    """The whole descent of a figure, in lines."""
    origins = {o.at: o.origin for o in result.origins}
    printer = _Text({r.id: r for r in result.references}, dict(result.places), origins=origins)
    return [*printer.whole(figure), "", *printer.titles(), "", CLOSING]


class _Text:
    """Prints values and what they come from. What was printed once is only named the second time."""

    def __init__(
        self,
        references: References,
        places: Mapping[str, Place],
        defaults: frozenset[str] = frozenset(),
        origins: Mapping[str, str] | None = None,
    ) -> None:
        self.origins = origins or {}
        self.references = references
        self.places = places
        self.defaults = defaults
        self.done: set[str | int] = set()
        self.used: dict[str, None] = {}

    def source(self, citation: Citation) -> str:
        """A citation in short, by the reference's id; its title stands at the end."""
        basis = BASIS_WORDS[citation.basis]
        if not citation.reference:
            return f"{citation.where} ({basis})" if citation.where else basis
        self.used[citation.reference] = None
        place = f", {citation.where}" if citation.where else ""
        return f"{citation.reference}{place} ({basis})"

    def titles(self) -> list[str]:
        lines = []
        for id in sorted(self.used):
            reference = self.references.get(id)
            said = "no plugin describes this source"
            if reference:
                said = ", ".join(t for t in (reference.title, reference.publisher, reference.edition) if t)
            lines += folded(f"{id}: {said}", "", hang="  ")
        return ["sources:", *("  " + line for line in lines)] if lines else []

    def whole(self, figure: Figure) -> list[str]:
        case = f", in the weather case {figure.case}, which governs" if figure.case else ""
        si = as_printed(figure.si, figure.dim, figure.worst, figure.digits)
        first, second = both(si, figure.dim, figure.unit, figure.digits)
        value = first if second == first else f"{first} ({second})"
        lines = [
            safe(f"{figure.key}: {figure.title}"),
            safe(f"{value}{case}"),
            safe(f"computed by the plugin {figure.plugin} {figure.version}".rstrip()),
        ]
        if len(figure.cases) > 1:
            others = (f"{c.case} {show(c.worked.si, figure.dim, figure.unit, figure.digits)}" for c in figure.cases)
            word = "largest" if figure.worst == "max" else "smallest"
            lines.append(safe(f"by weather case: {', '.join(others)}; the {word} governs"))
        self.done.add(figure.key)
        return [*lines, "", *self.worked(figure.worked, figure.unit, figure.digits, "  ")]

    def worked(self, worked: Worked, unit: str, digits: int, indent: str) -> list[str]:
        lines = worked_text(worked, unit, digits, indent)
        if worked.beyond:
            lines += folded(f"beyond what the equation is good for: {worked.beyond}", indent, hang="  ")
        return [*lines, *self.inputs(worked, indent), *self.cited(worked, indent)]

    def cited(self, worked: Worked, indent: str) -> list[str]:
        lines = []
        for citation in dict.fromkeys(worked.equation.citations):
            lines += folded(f"source: {self.source(citation)}", indent, hang="  ")
        return lines

    def inputs(self, worked: Worked, indent: str) -> list[str]:
        lines: list[str] = []
        form = worked.equation.form(worked.regime)
        # Of an equation in words nobody can say which symbols it uses, so all are shown.
        used = None if form.startswith("~") else symbols(parse(form)[1])
        for symbol, value in worked.inputs:
            lines += self.input(worked, symbol, value, indent)
        for symbol, constant in worked.equation.constants:
            if used is None or symbol in used:
                record = worked.equation.symbol(symbol)
                meaning = record.meaning if record else ""
                lines += self.scalar(f"{symbol} = ", constant, indent, meaning)
        for symbol, si in worked.also:
            if used is not None and symbol not in used:
                continue
            record = worked.equation.symbol(symbol)
            shown = show(si, record.dim if record else "ratio", "", 4)
            said = f", {record.meaning}" if record else ""
            come = "default" if symbol in self.defaults else "intermediate result"
            lines += folded(f"{symbol} = {shown}{said} ({come})", indent, hang="  ")
        return lines

    def input(self, worked: Worked, symbol: str, value: Input, indent: str) -> list[str]:
        record = worked.equation.symbol(symbol)
        meaning = record.meaning if record else ""
        terms = terms_of(value)
        if len(terms) == 1:
            return self.scalar(f"{symbol} = ", terms[0], indent, meaning)
        lines = folded(f"{symbol}: {meaning}, {len(terms)} values", indent, hang="  ")
        for n, term in enumerate(terms, 1):
            lines += self.scalar(f"{symbol}[{n}] = ", term, indent)
        return lines

    def scalar(self, name: str, value: Scalar, indent: str, meaning: str = "") -> list[str]:
        deeper = indent + "    "
        said = f", {meaning}" if meaning else ""
        match value:
            case Quantity():
                place = self.places.get(value.at)
                come = f"   at {where(place)}" if place else ""
                come += f" ({self.origins[value.at]})" if value.at in self.origins else ""
                return [safe(f"{indent}{name}{value.text}{said}{come}")]
            case Constant():
                come = "from " if value.citation.reference else ""
                said = f"{name}{value.text}{said}, {come}{self.source(value.citation)}"
                return folded(said, indent, hang="  ")
            case Figure():
                shown = show(value.si, value.dim, value.unit, value.digits)
                case = f", weather case {value.case}" if value.case else ""
                head = safe(f"{indent}{name}{shown}{said}: figure {value.key}{case}")
                mark = f"{value.key} {value.case}"
                if value.key in self.done or mark in self.done:
                    return [f"{head} (above)"]
                self.done.add(mark)
                return [head, *self.worked(value.worked, value.unit, value.digits, deeper)]
            case Worked():
                head = safe(f"{indent}{name}{show(value.si, value.dim)}{said or ', ' + value.name}")
                if id(value) in self.done:
                    return [f"{head} (above)"]
                self.done.add(id(value))
                return [f"{head}:", *self.worked(value, "", 3, deeper)]
        raise TypeError(f"no input: {value!r}")


# ---------------------------------------------------------------- for programs


def record(figure: Figure, result: Result) -> dict[str, object]:
    """A figure's descent as a tree of records. What stands in the tree once is only named again."""
    references = {r.id: r for r in result.references}
    places = dict(result.places)
    done: set[int] = set()

    def worked(value: Worked) -> dict[str, object]:
        done.add(id(value))
        return {
            "equation": equation_text(value),
            "substituted": substitute(value.equation, value),
            "regime": value.regime,
            "beyond": value.beyond,
            "sources": [records.source(c, references) for c in value.equation.citations],
            "inputs": list(inputs(value)),
        }

    def inputs(value: Worked) -> Iterator[dict[str, object]]:
        for symbol, given in value.inputs:
            for term in terms_of(given):
                yield {"symbol": symbol, **scalar(term)}
        for symbol, constant in value.equation.constants:
            yield {"symbol": symbol, **scalar(constant)}

    def scalar(value: Scalar) -> dict[str, object]:
        unit = value.unit if isinstance(value, Figure) else ""
        made: dict[str, object] = records.value(value.si, value.dim, unit)
        if isinstance(value, Quantity):
            place = places.get(value.at)
            return {**made, "text": value.text, "location": records.location(place) if place else None}
        if isinstance(value, Constant):
            return {**made, "text": value.text, "source": records.source(value.citation, references)}
        if isinstance(value, Figure):
            made["figure"] = value.key
            value = value.worked
        else:
            made["name"] = value.name
        return made if id(value) in done else {**made, "worked": worked(value)}

    return {
        **records.figure(figure, result.rests_on(figure.key), result.lacks(figure.key)),
        "version": figure.version,
        "worked": worked(figure.worked),
    }
