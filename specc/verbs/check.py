"""`specc check`: judges specs and prints every finding."""

from __future__ import annotations

import argparse

HELP = "judge one or more specs and print every finding"
EXAMPLE = "specc check project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("files", nargs="+", metavar="FILE")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> int:
    from specc.engine.road import CHECK, travel
    from specc.report import records, text
    from specc.verbs.common import ask, say, worst

    results = []
    for path in args.files:
        result = travel(path, args.overlay, ask(args, CHECK))
        results.append((path, result))
        if args.format == "text":
            say([*text.report(result, path), ""])
    if args.format == "json":
        say(records.document(files=[records.file(p, r) for p, r in results]))
    else:
        say(text.CLOSING)
    return worst(r.exit_code for _, r in results)
