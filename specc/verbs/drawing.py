"""`specc drawing`: one drawing of the packet as SVG."""

from __future__ import annotations

import argparse

HELP = "write one drawing of a spec as SVG"
EXAMPLE = "specc drawing project.yaml plumbing.schematic -o schematic.svg"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import spec_options

    parser.add_argument("file", metavar="FILE")
    parser.add_argument("key", metavar="KEY", help="a drawing's key")
    parser.add_argument("-o", dest="out", metavar="OUT.svg", required=True, help="- prints it")
    spec_options(parser)


def run(args: argparse.Namespace) -> int:
    from specc.drawing.shapes import Drawing
    from specc.drawing.svg import to_svg
    from specc.report.lines import safe
    from specc.road import travel
    from specc.verbs.common import (
        UNUSABLE,
        ask,
        complain,
        complain_findings,
        host_of,
        ids_of,
        not_there,
        say,
        say_bytes,
    )
    from specc.verbs.writing import inputs_of, refusal, write_whole

    result = travel(args.file, args.overlay, ask(args, ids=[f"drawing {args.key}"]))
    drawing = dict(result.drawings).get(args.key)
    if not isinstance(drawing, Drawing):
        known = ids_of(host_of(args), "drawing")
        if result.exit_code == 2 or args.key in known:
            complain_findings(result, args.file)
            complain(f"the drawing {args.key} could not be made; nothing was written")
            return max(result.exit_code, 1)
        if result.exit_code == 3:
            complain_findings(result, args.file)
        return not_there("drawing", args.key, known, "the drawings are")
    complain_findings(result, args.file)
    data = to_svg(drawing, None).encode("utf-8", "backslashreplace")
    if args.out == "-":
        say_bytes(data)
        return result.exit_code
    names = [f.name for f in result.files]
    wrong = refusal(args.out, inputs_of(args.file, args.overlay, names, args.plugin))
    wrong = wrong or write_whole(args.out, data)
    if wrong:
        complain(wrong)
        return UNUSABLE
    say(f"wrote {safe(args.out)}")
    return result.exit_code
