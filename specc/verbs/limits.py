"""`specc limits`: what rules compare with, and what a spec may set instead."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.engine.plugin import Plugin

HELP = "list the limits that rules compare with; with a spec, those it sets"
EXAMPLE = "specc limits project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", nargs="?", metavar="FILE")
    spec_options(parser)
    format_option(parser, "csv")


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.host import find
    from specc.model.blocks import Column, Row, Table
    from specc.verbs.common import ask, complain_count
    from specc.verbs.plugins import complain_troubles
    from specc.verbs.table import print_table

    def owner(plugin: Plugin) -> str:
        return "" if plugin.origin in ("core", "built-in") else plugin.name

    columns = (Column("limit"), Column("value"), Column("safer"), Column("what it sets"), Column("set by"))
    safer = {"min": "a smaller value", "max": "a larger value"}
    if args.file is None:
        host = find(files=args.plugin)
        limits = sorted(((limit, p) for p in host.plugins for limit in p.limits), key=lambda pair: pair[0].key)
        rows = [
            Row((li.key, li.default or "none: only the authority", safer[li.safer], li.statement, default_of(owner(p))))
            for li, p in limits
        ]
        print_table(Table("limits", "Limits", columns, tuple(rows)), args.format)
        return complain_troubles(host.troubles)
    from specc.engine.limits import words
    from specc.engine.road import CHECK, travel

    result = travel(args.file, args.overlay, ask(args, CHECK))
    complain_count(result, args.file)
    rows = [
        Row(
            (
                li.key,
                words(li),
                safer[li.safer],
                li.statement,
                li.by or (default_of(li.owner) if li.default else "nobody"),
            )
        )
        for li in result.limits
    ]
    print_table(Table("limits", "Limits", columns, tuple(rows)), args.format)
    return result.exit_code


def default_of(owner: str) -> str:
    """Whose default it is; `owner`: the plugin, where it is not a built-in."""
    return f"{owner}'s default" if owner else "specc default"
