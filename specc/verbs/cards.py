"""`specc cards`: the pages that a crew carries at night."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode

HELP = "make cards to carry (PDF): before gas, lighting, shutdown, emergency, logs, the marshal's walk"
EXAMPLE = "specc cards project.yaml --only emergency -o emergency.pdf"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument(
        "-o", dest="out", metavar="OUT.pdf", help="default: the project's id and -cards, beside the spec; - prints it"
    )
    parser.add_argument(
        "--only", action="append", default=[], metavar="CARD", help="only this card (may be repeated, or with commas)"
    )
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="default: letter")
    spec_options(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import COMPILE, travel
    from specc.packet.cards import render_cards
    from specc.report.lines import safe
    from specc.verbs.common import ask, complain, complain_count, say, say_bytes
    from specc.verbs.writing import bad_epoch, default_name, inputs_of, unfit, write_whole

    if wrong := bad_epoch():
        complain(wrong)
        return ExitCode.UNUSABLE
    result = travel(args.file, args.overlay, ask(args, COMPILE))
    complain_count(result, args.file)
    if result.draft:
        complain("no cards were written: nobody is given steps for what was refused")
        return result.exit_code
    if args.file == "-" and args.out is None:
        complain("a spec from standard input has no folder for its cards; name the file with -o, or - to print it")
        return ExitCode.UNUSABLE
    out = args.out if args.out is not None else default_name(args.file, f"{result.project_id}-cards")
    if out != "-":
        names = [f.name for f in result.files]
        inputs = inputs_of(args.file, args.overlay, names, args.plugin)
        if wrong := unfit(out, inputs, args.file, named=args.out is not None):
            complain(wrong)
            return ExitCode.UNUSABLE
    only = [card.strip() for text in args.only for card in text.split(",") if card.strip()]
    try:
        data = render_cards(result, args.paper, only)
    except ValueError as e:
        complain(str(e))
        return ExitCode.UNUSABLE
    if out == "-":
        say_bytes(data)
        return result.exit_code
    if wrong := write_whole(out, data):
        complain(wrong)
        return ExitCode.UNUSABLE
    say(f"wrote {safe(out)} ({max(1, len(data) // 1000)} kB)")
    return result.exit_code
