"""`specc show`: a spec's long form, with where each value comes from that the maker did not write as it stands."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode, of_result

HELP = "print the long form of a spec, with the origin of what its short forms fill in"
EXAMPLE = "specc show project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", metavar="FILE")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    import hashlib
    import json

    from specc.engine.closing import digest_of
    from specc.engine.long_form import long_form
    from specc.report import records
    from specc.report.lines import safe
    from specc.report.longform import lines
    from specc.spec.short_forms import Tree, filled_in
    from specc.spec.source import load
    from specc.verbs.common import complain, host_of, say

    host = host_of(args)
    source = load(args.file, args.overlay)
    fatal = [f for f in source.faults if f.fatal]
    source, short, troubles = long_form(source, host)
    whole = Tree(source.data, source.places.root)
    canonical = json.dumps(source.data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    long = hashlib.sha256(canonical.encode("utf-8")).hexdigest()
    if args.format == "json":
        filled = [{"pointer": below.at, "origin": below.spot.origin} for below in filled_in(whole)]
        say(records.document(long_form=source.data, origins=filled, digest=digest_of(source.files), long_digest=long))
    else:
        say([f"# digest of the source: {digest_of(source.files)}", f"# digest of this long form: {long}"])
        say([safe(line) for line in lines(whole)])
    for place, message, fix in [(f.place, f.message, f.fix) for f in fatal] + [
        (f.place, f.message, f.fix) for f in short
    ]:
        complain(f"{place.file}:{place.line}: {message}; fix: {fix}")
    for trouble in troubles:
        complain(trouble.message)
    return of_result(bool(short), bool(troubles), not fatal)
