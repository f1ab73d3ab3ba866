"""`specc figures`: the computed numbers of a spec."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.model.values import Figure

HELP = "print the computed figures of a spec"
EXAMPLE = "specc figures project.yaml --tolerance"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("--tolerance", action="store_true", help="also how far tolerances move the decision figures")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, travel
    from specc.report import records
    from specc.report.lines import columns, folded
    from specc.report.text import CLOSING
    from specc.verbs.common import ask, complain_count, say

    result = travel(args.file, args.overlay, ask(args, CHECK)._replace(tolerance=args.tolerance))
    if args.format == "json":
        say(records.document(files=[records.file(args.file, result, ["figures"])]))
        return result.exit_code
    complain_count(result, args.file)
    if result.figures:
        head = ("key", "figure", "value", "SI", "worst case", "low to high")[: 6 if args.tolerance else 5]
        say(columns([head, *(_row(f, args.tolerance) for f in result.figures)]))
        rests = [(f.key, result.rests_on(f.key)) for f in result.figures]
        for words in dict.fromkeys(words for _, words in rests if words):
            keys = ", ".join(key for key, own in rests if own == words)
            say(["", *folded(f"not measured: {words}; on that rest {keys}")])
        lacks = [(f.key, result.lacks(f.key)) for f in result.figures]
        for words in dict.fromkeys(words for _, words in lacks if words):
            say(["", *folded(f"lacking: {words}; so of {', '.join(key for key, own in lacks if own == words)}")])
        say(["", CLOSING])
    else:
        say("no figures could be computed")
    return result.exit_code


def _row(figure: Figure, tolerance: bool) -> tuple[str, ...]:
    from specc.measure.printing import as_printed, both, show

    si = as_printed(figure.si, figure.dim, figure.worst, figure.digits)
    first, second = both(si, figure.dim, figure.unit, figure.digits)
    row = (figure.key, figure.title, first, "" if second == first else second, figure.case)
    if not tolerance:
        return row
    if figure.low is None or figure.high is None:
        return (*row, figure.unsure)
    low, high = (show(end, figure.dim, figure.unit, figure.digits) for end in (figure.low, figure.high))
    return (*row, f"{low} to {high}")
