"""`specc compile`: makes the packet, or says why not."""

from __future__ import annotations

import argparse
import os

HELP = "make the safety packet (PDF) of a spec"
EXAMPLE = "specc compile project.yaml -o packet.pdf --paper letter"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("-o", dest="out", metavar="OUT.pdf", help="default: the project's id, beside the spec, as .pdf")
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="default: letter")
    parser.add_argument("--revision", default="", metavar="TEXT", help="print this as the revision")
    parser.add_argument(
        "--public",
        action="store_true",
        help="judge with the private file of --with, but print 'withheld' for everything that it says",
    )
    spec_options(parser)


def run(args: argparse.Namespace) -> int:
    from specc.engine.road import COMPILE, travel
    from specc.report import text
    from specc.report.lines import safe
    from specc.verbs.common import UNUSABLE, ask, complain, say
    from specc.verbs.writing import inputs_of, not_own, refusal, write_whole

    asked = ask(args, COMPILE)._replace(tolerance=True, revision=args.revision)
    result = travel(args.file, args.overlay, asked)
    leaks: tuple[str, ...] = ()
    if args.public and args.overlay is not None:
        from specc.spec.privacy import given_away, withheld
        from specc.spec.source import load

        source = load(args.file, args.overlay)
        result = withheld(result, source)
        leaks = given_away(result, source)
    say(text.report(result, args.file))
    if leaks:
        complain("the public spec itself says what the private file says at " + ", ".join(leaks))
        complain("take it out of one of them; no packet was written")
        return UNUSABLE
    if result.exit_code == UNUSABLE:
        complain("no packet was written")
        return UNUSABLE
    out = args.out if args.out is not None else _default(args.file, result.project_id)
    names = [f.name for f in result.files]
    wrong = refusal(out, inputs_of(args.file, args.overlay, names, args.plugin))
    if args.out is None:
        wrong = wrong or not_own(out, os.path.dirname(args.file) or ".")
    if wrong:
        complain(wrong)
        complain("no packet was written")
        return UNUSABLE

    from specc.packet import render

    try:
        data = render(result, args.paper, args.public)
    except Exception as e:
        complain(f"the packet could not be laid out: {type(e).__name__}: {' '.join(str(e).split())[:300]}")
        complain(f"no packet was written, and {out} is as it was; this is a fault in specc itself, report it")
        if args.traceback:
            raise
        return 3
    if wrong := write_whole(out, data):
        complain(wrong)
        return UNUSABLE
    draft = ", a DRAFT because of the errors above" if result.draft else ""
    say(f"wrote {safe(out)} ({max(1, len(data) // 1000)} kB){draft}")
    say(text.CLOSING)
    return result.exit_code


def _default(path: str, project_id: str) -> str:
    """The packet's name beside the spec. The id may be the spec's own name, which can hold anything."""
    import re

    name = re.sub(r"[^\w.-]+", "_", project_id).strip("._") or "packet"
    return os.path.join(os.path.dirname(path), name + ".pdf")
