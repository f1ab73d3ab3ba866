"""`specc drawing`: one drawing of the packet by itself, as SVG or PDF."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Literal

from specc.model.exit_codes import ExitCode, worst

if TYPE_CHECKING:
    from specc.drawing.shapes import Drawing
    from specc.model.result import Result

HELP = "write one drawing of a spec as SVG or PDF"
EXAMPLE = "specc drawing project.yaml plumbing -o schematic.pdf --paper letter"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("key", metavar="KEY", help="a drawing's key")
    parser.add_argument(
        "-o", dest="out", metavar="OUT", required=True, help="a name that ends in .svg or .pdf; - prints the SVG"
    )
    parser.add_argument("--sheet", type=int, metavar="N", help="SVG: this sheet only (default: all, one under another)")
    parser.add_argument("--paper", choices=("letter", "a4", "tabloid"), help="PDF: one page a sheet (default: letter)")
    parser.add_argument("--revision", metavar="TEXT", help="PDF: print this as the revision")
    spec_options(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, COMPILE, travel
    from specc.report.lines import safe
    from specc.verbs.common import (
        ask,
        complain,
        complain_count,
        complain_findings,
        host_of,
        ids_of,
        not_there,
        say,
        say_bytes,
    )
    from specc.verbs.writing import inputs_of, refusal, write_whole

    pdf = args.out.lower().endswith(".pdf")
    if wrong := _unfit(args, pdf):
        complain(wrong)
        return ExitCode.UNUSABLE
    # A PDF says whether it is a draft, so it takes all that `compile` asks for.
    asked = ask(args, COMPILE if pdf else CHECK, [f"drawing {args.key}"])._replace(revision=args.revision or "")
    result = travel(args.file, args.overlay, asked)
    drawing = dict(result.drawings).get(args.key)
    if drawing is None:
        known = ids_of(host_of(args), "drawing")
        if result.exit_code == ExitCode.UNUSABLE or args.key in known:
            complain_findings(result, args.file)
            complain(f"the drawing {args.key} could not be made; nothing was written")
            return worst((result.exit_code, ExitCode.FINDINGS))
        if result.exit_code == ExitCode.FAILED:
            complain_findings(result, args.file)
        return not_there("drawing", args.key, known, "the drawings are")
    if args.sheet is not None and not 1 <= args.sheet <= len(drawing.sheets):
        count = len(drawing.sheets)
        there = f"there are sheets 1 to {count}" if count > 1 else f"there is {'one sheet' if count else 'none'}"
        complain(f"{args.key} has no sheet {args.sheet}; {there}")
        return ExitCode.UNUSABLE
    complain_count(result, args.file)
    if args.out == "-":
        say_bytes(_svg(drawing, args.sheet))
        return result.exit_code
    names = [f.name for f in result.files]
    if wrong := refusal(args.out, inputs_of(args.file, args.overlay, names, args.plugin)):
        complain(wrong)
        return ExitCode.UNUSABLE
    data = _pdf(result, drawing, args.paper or "letter") if pdf else _svg(drawing, args.sheet)
    if wrong := write_whole(args.out, data):
        complain(wrong)
        return ExitCode.UNUSABLE
    draft = ", a DRAFT because of the errors above" if pdf and result.draft else ""
    say(f"wrote {safe(args.out)}{draft}")
    return result.exit_code


def _unfit(args: argparse.Namespace, pdf: bool) -> str:
    """What does not go together in a call, in words."""
    if args.out != "-" and not args.out.lower().endswith((".svg", ".pdf")):
        return f"{args.out}: the name's ending says what is written; end it in .svg or .pdf, or give - to print the SVG"
    if pdf and args.sheet is not None:
        return "--sheet is for SVG; a PDF has a page for each sheet"
    if not pdf and (args.paper or args.revision):
        return "--paper and --revision are for a PDF; end the name in .pdf"
    return ""


def _svg(drawing: Drawing, sheet: int | None) -> bytes:
    from specc.drawing.svg import to_svg

    return to_svg(drawing, None if sheet is None else sheet - 1).encode("utf-8", "backslashreplace")


def _pdf(result: Result, drawing: Drawing, paper: Literal["letter", "a4", "tabloid"]) -> bytes:
    from specc.packet.drawing_pdf import render_drawing

    return render_drawing(result, drawing, paper)
