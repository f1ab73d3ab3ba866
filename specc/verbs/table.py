"""`specc table`: one table of the packet, as text, JSON or CSV."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode, worst

if TYPE_CHECKING:
    from specc.model.blocks import Table

HELP = "print one table of a spec, such as its parts list"
EXAMPLE = "specc table project.yaml plumbing.parts --format csv"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("key", metavar="KEY", help="a table's key")
    spec_options(parser)
    format_option(parser, "csv")


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, travel
    from specc.verbs.common import ask, complain, complain_count, complain_findings, host_of, ids_of, not_there

    result = travel(args.file, args.overlay, ask(args, CHECK, [f"table {args.key}"]))
    table = dict(result.tables).get(args.key)
    if table is None:
        known = ids_of(host_of(args), "table")
        if result.exit_code == ExitCode.UNUSABLE or args.key in known:
            complain_findings(result, args.file)
            complain(f"the table {args.key} could not be made")
            return worst((result.exit_code, ExitCode.FINDINGS))
        if result.exit_code == ExitCode.FAILED:
            complain_findings(result, args.file)
        return not_there("table", args.key, known, "the tables are")
    complain_count(result, args.file)
    print_table(table, args.format)
    return result.exit_code


def print_table(table: Table, format: str) -> None:
    """Print a table in one of the formats."""
    from specc.report import records
    from specc.report.lines import columns, safe
    from specc.report.text import CLOSING
    from specc.verbs.common import say, say_bytes

    if format == "json":
        say(records.document(table=records.table(table)))
    elif format == "csv":
        say_bytes(csv_of(table).encode("utf-8", "backslashreplace"))
    else:
        right = frozenset(i for i, c in enumerate(table.columns) if c.align == "right")
        say([safe(table.title), ""] if table.title else [])
        say(columns([[c.name for c in table.columns], *(row.cells for row in table.rows)], right=right))
        say(["", safe(table.note)] if table.note else [])
        say(["", CLOSING])


def csv_of(table: Table) -> str:
    """The table as CSV (RFC 4180), its first row the names of the columns."""
    import csv
    import io

    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([_inert(c.name) for c in table.columns])
    writer.writerows([_inert(cell) for cell in row.cells] for row in table.rows)
    return text.getvalue()


def _inert(cell: str) -> str:
    """A cell that a spreadsheet shows and does not run: what it would take for a formula gets an apostrophe. Some drop
    blanks before it, and read the wide signs of East Asian typefaces as the narrow ones."""
    runs = (cell.lstrip()[:1] in tuple("=+-@＝＋－＠") and len(cell) > 1) or cell[:1] in ("\t", "\r", "\n")
    number = cell[:1] in ("+", "-") and cell[1:].replace(",", "").replace(".", "", 1).isdigit()
    return f"'{cell}" if runs and not number else cell
