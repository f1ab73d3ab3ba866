"""`specc check`: judges specs and prints every finding."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode, worst

if TYPE_CHECKING:
    from specc.engine.road import Ask
    from specc.model.result import Result
    from specc.verbs.fixing import Fixed

HELP = "judge one or more specs and print every finding"
EXAMPLE = "specc check project.yaml"

_LEVELS = ("error", "warning", "not-checked")


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    about = "a spec, - for standard input, or a folder: all specs in it and below it"
    parser.add_argument("files", nargs="+", metavar="FILE", help=about)
    parser.add_argument("--todo", action="store_true", help="list what was not checked, and what would answer it")
    parser.add_argument(
        "--all", action="store_true", help="also make what only the packet shows, and say what is lacking"
    )
    parser.add_argument("--fail-on", choices=_LEVELS, default="error", help="what gives exit code 1; default: error")
    parser.add_argument("--strict", action="store_true", help="the same as --fail-on not-checked")
    parser.add_argument("--quiet", action="store_true", help="only a line for each spec")
    about = "print as a diff the edits that are certain, what is left after them, and what is for you to decide"
    parser.add_argument("--fix", action="store_true", help=about)
    parser.add_argument("--write", action="store_true", help="with --fix: make the certain edits in the files")
    parser.add_argument("--watch", action="store_true", help="check again whenever a file of the spec changes")
    spec_options(parser)
    format_option(parser, "sarif", "annotations")


def run(args: argparse.Namespace) -> ExitCode:
    from specc.verbs.common import complain

    wrong = _together(args)
    if wrong:
        complain(wrong)
        return ExitCode.UNUSABLE
    if args.watch:
        from specc.verbs.watching import watch

        return watch(lambda: _once(args))
    return _once(args)[0]


def _together(args: argparse.Namespace) -> str:
    """Why options do not go together, in words."""
    if args.write and not args.fix:
        return "--write goes with --fix: specc check FILE --fix --write"
    if args.fix and ("-" in args.files or args.watch):
        return "--fix edits files: it goes neither with - nor with --watch"
    if args.watch and "-" in args.files:
        return "--watch looks at files: it does not go with -"
    if args.fix and args.format not in ("text", "json"):
        return "--fix prints text or json"
    return ""


def _once(args: argparse.Namespace) -> tuple[ExitCode, list[str]]:
    """Check once. Gives the exit code, and the files that were read."""
    from specc.engine.road import CHECK, COMPILE
    from specc.report import forges, records, text
    from specc.report.todo import answer, todo, unchecked
    from specc.verbs import many
    from specc.verbs.common import ask, complain, look, progress, say, specs_in

    fail_on = "not-checked" if args.strict else args.fail_on
    asked = ask(args, COMPILE if args.all else CHECK)
    empty = ExitCode.CLEAN
    paths = []
    for given in args.files:
        inside = list(specs_in(given)) if os.path.isdir(given) else [given]
        if not inside:
            complain(f"no spec in the folder {given}: a spec is a YAML file with the key format:")
            empty = ExitCode.UNUSABLE
        paths += inside
    results: list[tuple[str, Result]] = []
    edits: list[Fixed] = []
    read: list[str] = []
    # Edits follow from what is written alone; what is left after them is worked out in `fixed`.
    in_turn = many.results(paths, args.overlay, asked._replace(kinds=frozenset()) if args.fix else asked)
    for n, path in enumerate(paths, 1):
        if len(paths) > 1:
            progress(f"checking {n} of {len(paths)}: {path}")
        result = next(in_turn)
        progress("")
        read += [path, *(os.path.join(os.path.dirname(path), f.name) for f in result.files)]
        if args.fix:
            made, wrong = _fixed(path, args, asked, result)
            edits.append(made)
            result = made.result
            if wrong:
                complain(wrong)
                empty = ExitCode.UNUSABLE
        results.append((path, result))
        if args.format == "text":
            if args.fix:
                say(_of_fix(edits[-1], path, args.write))
            else:
                shown = text.in_a_line(result, path) if args.quiet else text.report(result, path, look())
                say([*shown, *(["", *todo(result)] if args.todo else []), *([] if args.quiet else [""])])
        elif args.format == "annotations":
            say(forges.annotated(result) or text.summary(result, path)[:1])
    if args.format == "json":
        records_made = [
            records.file(p, r, ("rules", "outcomes", *(["gathered"] if args.all else []))) for p, r in results
        ]
        for n, (record, (_, result)) in enumerate(zip(records_made, results, strict=True)):
            if args.todo:
                left = {r.id: answer([r], result) for r in unchecked(result)}
                some = [rule for rule in record["rules"] if rule["id"] in left]
                record["rules"] = [{**rule, "answered_by": left[rule["id"]]} for rule in some]
            if args.fix:
                record["edits"] = [records.edit(e) for e in edits[n].made]
        say(records.document(files=records_made))
    elif args.format == "sarif":
        say(forges.sarif(results))
    elif args.format == "text" and not args.quiet:
        say(text.CLOSING)
    overlay = list(args.overlay)
    return worst((empty, *(_code(r, fail_on) for _, r in results))), [*read, *overlay]


def _fixed(path: str, args: argparse.Namespace, asked: Ask, result: Result) -> tuple[Fixed, str]:
    from specc.verbs.fixing import fixed, write

    made = fixed(path, args.overlay, asked, result)
    return made, write(made) if args.write else ""


def _of_fix(made: Fixed, path: str, written: bool) -> list[str]:
    """The diff, what is left after it, and what is for somebody to decide."""
    from specc.report.lines import safe
    from specc.report.text import counts
    from specc.verbs.fixing import diff, proposals

    lines = [safe(line) for line in diff(made)]
    count = len(made.made)
    said = f"{count} certain edit{'' if count == 1 else 's'}" if count else "no edit is certain"
    done = "made" if written else "not made; --write makes them"
    lines += [safe(f"{path}: {said}" + (f" ({done})" if count else "")), safe(f"then left: {counts(made.result)}")]
    proposed = proposals(made.result)
    return [*lines, *(["", "for you to decide:", *proposed] if proposed else []), ""]


def _code(result: Result, fail_on: str) -> ExitCode:
    """The exit code: what is asked to fail counts as an error."""
    from specc.report.todo import unchecked

    if result.exit_code or fail_on == "error":
        return result.exit_code
    if any(f.level == "warning" and not f.waived for f in result.findings):
        return ExitCode.FINDINGS
    lacking = fail_on == "not-checked" and unchecked(result)
    return ExitCode.FINDINGS if lacking else ExitCode.CLEAN
