"""`specc check`: judges specs and prints every finding."""

from __future__ import annotations

import argparse
import os
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from specc.model.result import Result

HELP = "judge one or more specs and print every finding"
EXAMPLE = "specc check project.yaml"

_SPEC = re.compile(rb"^format[ \t]*:", re.MULTILINE)
_LEVELS = ("error", "warning", "not-checked")


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("files", nargs="+", metavar="FILE", help="a spec, or a folder: all specs in it and below it")
    parser.add_argument("--todo", action="store_true", help="list what was not checked, and what would answer it")
    parser.add_argument("--fail-on", choices=_LEVELS, default="error", help="what gives exit code 1; default: error")
    parser.add_argument("--strict", action="store_true", help="the same as --fail-on not-checked")
    parser.add_argument("--quiet", action="store_true", help="only a line for each spec")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> int:
    from specc.engine.road import CHECK, travel
    from specc.report import records, text
    from specc.report.todo import todo, unchecked
    from specc.verbs.common import ask, complain, say, worst

    fail_on = "not-checked" if args.strict else args.fail_on
    results = []
    empty = 0
    for given in args.files:
        paths = list(specs_in(given)) if os.path.isdir(given) else [given]
        if not paths:
            complain(f"no spec in the folder {given}: a spec is a YAML file with the key format:")
            empty = 2
        for path in paths:
            result = travel(path, args.overlay, ask(args, CHECK))
            results.append((path, result))
            if args.format == "text":
                shown = text.summary(result, path)[:1] if args.quiet else text.report(result, path)
                say([*shown, *(["", *todo(result)] if args.todo else []), *([] if args.quiet else [""])])
    if args.format == "json":
        made = [records.file(p, r) for p, r in results]
        for record, (_, result) in zip(made, results, strict=True):
            if args.todo:
                left = {r.id for r in unchecked(result)}
                record["rules"] = [rule for rule in record["rules"] if rule["id"] in left]
        say(records.document(files=made))
    elif not args.quiet:
        say(text.CLOSING)
    return worst((empty, *(_code(r, fail_on) for _, r in results)))


def _code(result: Result, fail_on: str) -> int:
    """The exit code: what is asked to fail counts as an error."""
    from specc.report.todo import unchecked

    if result.exit_code or fail_on == "error":
        return result.exit_code
    if any(f.level == "warning" and not f.waived for f in result.findings):
        return 1
    return 1 if fail_on == "not-checked" and unchecked(result) else 0


def specs_in(folder: str) -> Iterator[str]:
    """The specs in a folder and below it, in order of their names: YAML files with a root `format:`.

    Folders that begin with a dot are left out, and links are not followed.
    """
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        for name in sorted(files):
            path = os.path.join(here, name)
            if name.endswith((".yaml", ".yml")) and not os.path.islink(path) and _has_format(path):
                yield os.path.normpath(path)


def _has_format(path: str) -> bool:
    try:
        with open(path, "rb") as file:
            return _SPEC.search(file.read(4 * 1024 * 1024)) is not None
    except OSError:
        return True  # it is said to be unreadable rather than passed over
