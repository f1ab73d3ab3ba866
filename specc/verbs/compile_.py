"""`specc compile`: makes the packet, or says why not."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode

HELP = "make the safety packet (PDF) of a spec"
EXAMPLE = "specc compile project.yaml -o packet.pdf --paper letter"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument(
        "-o", dest="out", metavar="OUT.pdf", help="default: the project's id, beside the spec, as .pdf; - prints it"
    )
    parser.add_argument("--quiet", action="store_true", help="the count of findings, without the findings")
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="default: letter")
    parser.add_argument("--tabloid", action="store_true", help="the whole system on sheets of 11 x 17 in")
    parser.add_argument("--full", action="store_true", help="spell out every derivation, and print the builder's part")
    parser.add_argument("--revision", default="", metavar="TEXT", help="print this as the revision")
    parser.add_argument(
        "--issued", default="", metavar="DATE", help="the day of issue, such as 2027-06-01, over the spec's own"
    )
    parser.add_argument(
        "--since",
        default="",
        metavar="REV",
        help="bind in what changed since a revision of git, or since another spec or packet (a file or folder)",
    )
    parser.add_argument(
        "--only",
        action="append",
        default=[],
        metavar="PART",
        help="only the pages with this part, such as shutdown, crew or builder (may be repeated, or with commas)",
    )
    parser.add_argument(
        "--public",
        action="store_true",
        help="judge with the private file of --with, but print 'withheld' for everything that it says",
    )
    spec_options(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import COMPILE, travel
    from specc.report import text
    from specc.report.lines import safe
    from specc.verbs.common import ask, complain, complain_findings, look, progress, say, say_bytes
    from specc.verbs.writing import bad_epoch, default_name, inputs_of, unfit, write_whole

    if args.issued and not _is_day(args.issued):
        complain(f"--issued {args.issued}: a date is written year-month-day, for example 2027-06-01")
        return ExitCode.UNUSABLE
    if wrong := bad_epoch():
        complain(wrong)
        return ExitCode.UNUSABLE
    asked = ask(args, COMPILE)._replace(
        tolerance=True, revision=args.revision, issued=args.issued, written=bool(args.since)
    )
    progress("computing ...")
    result = travel(args.file, args.overlay, asked)
    progress("")
    if args.since and result.exit_code != ExitCode.UNUSABLE:
        from specc.verbs.compare import earlier

        try:
            progress("comparing ...")
            result = result._replace(
                since=earlier(args.since, args.file, result, ask(args, COMPILE)._replace(written=True), args.overlay)
            )
        except ValueError as e:
            complain(f"--since {args.since}: {e}")
            complain("no packet was written")
            return ExitCode.UNUSABLE
        finally:
            progress("")
    leaks: tuple[str, ...] = ()
    if args.public and args.overlay:
        from specc.spec.privacy import given_away, withheld
        from specc.spec.source import load

        source = load(args.file, args.overlay)
        result = withheld(result, source)
        leaks = given_away(result, source)
    to_stdout = args.out == "-"
    if to_stdout:
        complain_findings(result, args.file)
    else:
        say(text.summary(result, args.file) if args.quiet else text.report(result, args.file, look()))
    if leaks:
        complain("the public spec itself says what the private file says at " + ", ".join(leaks))
        complain("take it out of one of them; no packet was written")
        return ExitCode.UNUSABLE
    if result.exit_code == ExitCode.UNUSABLE:
        complain("no packet was written")
        return ExitCode.UNUSABLE
    if args.file == "-" and args.out is None:
        complain(
            "a spec from standard input has no folder for its packet; name the file with -o, or - for standard output"
        )
        return ExitCode.UNUSABLE
    out = args.out if args.out is not None else default_name(args.file, result.project_id)
    names = [f.name for f in result.files]
    inputs = inputs_of(args.file, args.overlay, names, args.plugin)
    wrong = "" if to_stdout else unfit(out, inputs, args.file, named=args.out is not None)
    if wrong:
        complain(wrong)
        complain("no packet was written")
        return ExitCode.UNUSABLE

    from specc.packet import NoSuchPart, render

    progress("laying out the packet ...")
    try:
        only = [part.strip() for text in args.only for part in text.split(",") if part.strip()]
        data = render(result, args.paper, args.public, args.full, only, "tabloid" if args.tabloid else "")
    except NoSuchPart as e:
        complain(str(e))
        complain("no packet was written")
        return ExitCode.UNUSABLE
    finally:
        progress("")
    if to_stdout:
        say_bytes(data)
        return result.exit_code
    if wrong := write_whole(out, data):
        complain(wrong)
        return ExitCode.UNUSABLE
    draft = ", a DRAFT because of the errors above" if result.draft else ""
    say(f"wrote {safe(out)} ({max(1, len(data) // 1000)} kB){draft}")
    say(text.CLOSING)
    return result.exit_code


def _is_day(text: str) -> bool:
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
