"""`specc calc`: one calculator, for quick calculations."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from specc.model.exit_codes import ExitCode, worst

if TYPE_CHECKING:
    from specc.engine.plugin import Host
    from specc.formulas.calculators import Calculator, Parameter
    from specc.model.values import Quantity, Reference, Worked

HELP = "run one calculator for a quick calculation; alone, list them"
EXAMPLE = 'specc calc orifice-flow bore="1/16 in" upstream="30 psi" gas_temperature="70 °F" discharge=1.0'


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, plugin_option

    parser.add_argument(
        "name", nargs="?", metavar="NAME", help="a calculator; without inputs, what it takes. Or a word to look for"
    )
    parser.add_argument("inputs", nargs="*", metavar="input=value", help='with its unit, such as bore="1/16 in"')
    parser.add_argument("--all", action="store_true", help="also list the steps that only packets compute with")
    plugin_option(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.host import find
    from specc.verbs.plugins import complain_troubles

    host = find(files=args.plugin)
    failed = complain_troubles(host.troubles)
    calculators: dict[str, Calculator[..., Any]] = {}
    for plugin in host.plugins:
        for calculator in plugin.calculators:
            calculators.setdefault(calculator.name, calculator)
    if args.name is None:
        return worst((failed, _list(calculators, args)))
    if args.name not in calculators:
        return worst((failed, _look_for(calculators, args)))
    calculator = calculators[args.name]
    if not args.inputs and any(p.default is None for p in calculator.parameters):
        return worst((failed, _explain(calculator, args.format)))
    return worst((failed, _run(calculator, args, host)))


def _list(calculators: dict[str, Calculator[..., Any]], args: argparse.Namespace) -> ExitCode:
    from specc.formulas.workbench import by_subject
    from specc.report import records
    from specc.report.lines import columns, safe
    from specc.verbs.common import say

    if args.format == "json":
        say(records.document(calculators=[_listed(calculators[name]) for name in sorted(calculators)]))
        return ExitCode.CLEAN
    shown = [c for c in calculators.values() if c.bench or args.all]
    rows = iter(columns([(f"  {c.name}", c.purpose) for b in by_subject(shown) for c in b.calculators]))
    for bench in by_subject(shown):
        say(["", safe(bench.subject), *(next(rows) for _ in bench.calculators)])
    more = len(calculators) - len(shown)
    left = f"; --all lists {more} more, steps that packets compute with" if more else ""
    say(
        [
            "",
            "specc calc WORD looks for one: specc calc boil, specc calc btu",
            f"specc calc NAME says what it takes{left}",
        ]
    )
    return ExitCode.CLEAN


def _listed(calculator: Calculator[..., Any]) -> dict[str, Any]:
    from specc.formulas.workbench import call, subject

    return {
        "name": calculator.name,
        "purpose": calculator.purpose,
        "subject": subject(calculator),
        "bench": calculator.bench,
        "inputs": _takes(calculator),
        "example": call(calculator),
    }


def _look_for(calculators: dict[str, Calculator[..., Any]], args: argparse.Namespace) -> ExitCode:
    """What answers to a word that names no calculator."""
    from specc.formulas.workbench import asked_for
    from specc.report import records
    from specc.report.lines import columns
    from specc.verbs.common import complain, not_there, say

    inputs = [word for word in args.inputs if "=" in word]
    words = [args.name, *(word for word in args.inputs if "=" not in word)]
    found = asked_for(calculators.values(), words)
    if inputs or not found:
        # A call that was meant to compute must not end well.
        code = not_there("calculator", " ".join(words), sorted(calculators), "the calculators are")
        if not found:
            complain("specc calc lists them by subject")
        for line in columns([(c.name, c.purpose) for c in found[:8]]):
            complain(f"  {line}")
        return code
    if args.format == "json":
        say(records.document(calculators=[_listed(c) for c in found]))
    else:
        say([*columns([(c.name, c.purpose) for c in found]), "", "specc calc NAME says what one takes"])
    return ExitCode.CLEAN


def _explain(calculator: Calculator[..., Any], format: str) -> ExitCode:
    """What a calculator is for, its equation, what it takes and where it holds."""
    from specc.formulas.workbench import call
    from specc.report import records
    from specc.report.descent import form_text
    from specc.report.lines import folded, safe
    from specc.verbs.common import say

    if format == "json":
        say(records.document(calculators=[_listed(calculator)]))
        return ExitCode.CLEAN
    lines = [safe(f"{calculator.name}: {calculator.purpose}"), ""]
    for regime, form in calculator.equation.forms:
        lines += folded(f"{form_text(form)}{f'   [{regime}]' if regime else ''}", "  ", hang="    ")
    lines += ["", "takes:", *(f"  {line}" for line in _wants(calculator)), "", "for example:", f"  {call(calculator)}"]
    if calculator.equation.validity:
        lines += ["", *folded(f"valid for: {calculator.equation.validity}", "  ")]
    say(lines)
    return ExitCode.CLEAN


def _takes(calculator: Calculator[..., Any]) -> list[dict[str, Any]]:
    return [
        {"name": p.name, "dimension": p.dim, "needed": p.default is None, "many": p.many} for p in calculator.parameters
    ]


def _run(calculator: Calculator[..., Any], args: argparse.Namespace, host: Host) -> ExitCode:
    from specc.engine.guard import calling, crash
    from specc.engine.plugin import said
    from specc.verbs.common import complain, say

    inputs, wrong = _read(calculator, args.inputs)
    if wrong:
        for message in wrong:
            complain(message)
        complain(f"{calculator.name} takes:")
        for line in _wants(calculator):
            complain(f"  {line}")
        return ExitCode.UNUSABLE
    try:
        with calling(f"the calculator {calculator.name}"):
            worked = calculator.work(**inputs)
    except (ValueError, ArithmeticError) as e:
        complain(f"{calculator.name}: {e}")
        return ExitCode.UNUSABLE
    except (KeyboardInterrupt, BrokenPipeError):
        raise
    except BaseException as e:  # a plugin may fail in any way, also by leaving
        plugin = next(p.name for p in host.plugins if calculator in p.calculators)
        complain(f"the plugin {plugin!r} failed in the calculator {calculator.name}: {said(e)}{crash(e)}")
        return ExitCode.FAILED
    references = {r.id: r for plugin in host.plugins for r in plugin.references}
    if args.format == "json":
        from specc.report import records

        say(records.document(**_record(calculator, worked, references)))
    else:
        say(_text(calculator, worked, references))
        if any(_tolerances(v) for v in inputs.values()):
            say(["", "The tolerances were read and left out: this is the sum for the values as stated."])
    return ExitCode.CLEAN


def _tolerances(value: Any) -> bool:
    terms: Sequence[Quantity] = value if type(value) is tuple else (value,)
    return any(t.minus or t.plus for t in terms)


def _read(calculator: Calculator[..., Any], words: Sequence[str]) -> tuple[dict[str, Any], list[str]]:
    """The inputs by name, and what is wrong with them."""
    import difflib
    import re

    from specc.measure.reading import BadQuantity, parse

    known = {p.name: p for p in calculator.parameters}
    inputs: dict[str, Any] = {}
    wrong = []
    given = set()
    for word in words:
        name, equals, text = word.partition("=")
        name = name.strip().replace("-", "_")
        if not equals:
            first = next(iter(known), "name")
            wrong.append(f'{word!r} is not an input; write name=value, such as {first}="..."')
            continue
        if name not in known:
            near = difflib.get_close_matches(name, known, 1, 0.5)
            hint = f"; did you mean {near[0]}?" if near else ""
            wrong.append(f"{calculator.name} has no input {name!r}{hint}")
            continue
        if name in given:
            wrong.append(f"{name} is given twice")
        given.add(name)
        parameter = known[name]
        # A comma inside a number is followed by a digit, one between values by a space.
        texts = re.split(r"\s*;\s*|,\s+", text.strip()) if parameter.many else [text]
        values = [parse(_drilled(t, parameter), parameter.dim) for t in texts]
        for value in values:
            if isinstance(value, BadQuantity):
                wrong.append(f"{name}: {value.message}; {value.fix}")
        inputs[name] = tuple(values) if parameter.many else values[0]
    missing = [p for p in calculator.parameters if p.default is None and p.name not in given]
    wrong += [f"{p.name} is missing: {_like(calculator, p)}" for p in missing]
    return inputs, wrong


def _drilled(text: str, parameter: Parameter) -> str:
    """A hole named by its drill, such as #70, as a size."""
    from specc.measure.drills import named

    size = named(text) if parameter.dim == "length" else None
    return text if size is None else f"{size:.4f} in"


def _like(calculator: Calculator[..., Any], parameter: Parameter) -> str:
    """What a parameter wants, with an example."""
    from specc.dims import DIMENSIONS
    from specc.formulas.workbench import example

    several = ", or several with a comma and a space between them" if parameter.many else ""
    return f'{DIMENSIONS[parameter.dim].words}, for example "{example(calculator, parameter)}"{several}'


def _wants(calculator: Calculator[..., Any]) -> list[str]:
    from specc.dims import DIMENSIONS
    from specc.measure.printing import show
    from specc.report.lines import columns

    rows = []
    for p in calculator.parameters:
        symbol = calculator.equation.symbol(p.symbol)
        takes = _like(calculator, p)
        if p.default is not None:
            takes = f"{DIMENSIONS[p.dim].words}; if not given: {show(p.default, p.dim, '', 4)}"
        rows.append((p.name, symbol.meaning if symbol else "", takes))
    return columns(rows)


def _record(calculator: Calculator[..., Any], worked: Worked, references: dict[str, Reference]) -> dict[str, Any]:
    from specc.formulas.equations import substitute
    from specc.report import records
    from specc.report.descent import equation_text

    return {
        "calculator": calculator.name,
        **records.value(worked.si, worked.dim, calculator.unit),
        "equation": equation_text(worked),
        "substituted": substitute(worked.equation, worked),
        "regime": worked.regime,
        "beyond": worked.beyond,
        "validity": worked.equation.validity,
        "sources": [records.source(c, references) for c in worked.equation.citations],
    }


def _text(calculator: Calculator[..., Any], worked: Worked, references: dict[str, Reference]) -> list[str]:
    from specc.report import descent
    from specc.report.lines import folded, safe

    lines = [safe(f"{calculator.name}: {calculator.purpose}"), ""]
    lines += descent.worked_text(worked, calculator.unit, 4, "  ")
    lines.append("")
    defaults = frozenset(p.symbol for p in calculator.parameters if p.default is not None)
    inputs, titles = descent.inputs_text(worked, references, "  ", defaults)
    lines += inputs
    if worked.beyond:
        lines += ["", *folded(f"Beyond what the equation is good for: {worked.beyond}", "  ")]
    if worked.equation.validity:
        lines += ["", *folded(f"valid for: {worked.equation.validity}", "  ")]
    return [*lines, "", *titles]
