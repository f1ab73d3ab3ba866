"""`specc trace`: one figure with its equation, and all it comes from, back to spec lines and sources."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode, worst

HELP = "follow one figure back to its equation, inputs and sources"
EXAMPLE = "specc trace project.yaml fuel.gas_on_site"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("key", metavar="KEY", help="a figure's key, as `specc figures` lists them")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, travel
    from specc.report import descent, records
    from specc.verbs.common import ask, complain, complain_count, complain_findings, host_of, ids_of, not_there, say

    result = travel(args.file, args.overlay, ask(args, CHECK))
    figure = result.figure(args.key)
    if figure is None:
        if result.exit_code == ExitCode.UNUSABLE or args.key in ids_of(host_of(args), "figure", "figures"):
            members = [f.key for f in result.figures if f.key.startswith(args.key + ".")]
            if members:
                return not_there("single figure", args.key, members, "it is a family; its figures are")
            complain_findings(result, args.file)
            complain(f"{args.key} could not be computed")
            return worst((result.exit_code, ExitCode.FINDINGS))
        if result.exit_code == ExitCode.FAILED:
            complain_findings(result, args.file)
        return not_there("figure", args.key, [f.key for f in result.figures], "the figures of this spec are")
    if args.format == "json":
        say(records.document(trace=descent.record(figure, result)))
    else:
        complain_count(result, args.file)
        say(descent.text(figure, result))
    return result.exit_code
