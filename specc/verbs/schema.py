"""`specc schema`: the published JSON Schema of a spec, for editors, or of what specc prints."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode

HELP = "print the JSON Schema of a spec (or of the JSON that specc prints)"
EXAMPLE = "specc schema > project.schema.json"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import plugin_option

    plugin_option(parser)
    parser.add_argument(
        "--fragment", action="store_true", help="of a file that another one includes: nothing is required"
    )
    parser.add_argument("--output", choices=("result",), help="the schema of what --format json prints")


def run(args: argparse.Namespace) -> ExitCode:
    import json

    from specc.verbs.common import say

    if args.output:
        from specc.spec import resources

        say(json.dumps(resources.schema(f"output/{args.output}.schema.json"), indent=2))
        return ExitCode.CLEAN
    from specc.engine.host import find
    from specc.engine.road import composed_schema
    from specc.spec.editors import for_editors
    from specc.verbs.plugins import complain_troubles

    # One space a level: with two, half of the text would be spaces.
    say(json.dumps(for_editors(composed_schema(tuple(args.plugin)), fragment=args.fragment), indent=1))
    return complain_troubles(find(files=args.plugin).troubles)
