"""Verbs that plugins add. Plugins are loaded only when the verb is none of specc's own."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from specc.model.verb import Verb


def run_other(name: str, words: Sequence[str], own: Sequence[str]) -> int:
    """Run a plugin's verb, or name the nearest one. Gives the exit code."""
    from specc.engine.guard import calling
    from specc.engine.host import find
    from specc.model.passes import Cannot
    from specc.verbs.common import UNUSABLE, complain, not_there, plugin_option
    from specc.verbs.plugins import complain_troubles

    if name.startswith("-"):
        complain(f"the verb comes first, then its options: specc VERB {name} ...; see specc --help")
        return 2
    before = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    plugin_option(before)
    given, _ = before.parse_known_args(list(words))
    host = find(files=given.plugin)
    verbs = {verb.name: (plugin.name, verb) for plugin in host.plugins for verb in plugin.verbs}
    if name not in verbs:
        complain_troubles(host.troubles)
        return not_there("verb", name, [*own, *verbs], "the verbs are")
    plugin, verb = verbs[name]
    try:
        with calling(f"the options of the verb {name} of the plugin {plugin}"):
            parser = parser_of(verb)
    except Exception as e:  # a plugin's own set-up of its options may fail in any way
        return _failed(plugin, name, e)
    arguments, format, spec = _arguments(verb, parser, words)
    if verb.reads:
        from specc.engine.road import gathered

        found, troubles = gathered(verb.reads, spec, tuple(given.plugin))
        if troubles:
            for trouble in troubles:
                complain(trouble)
            return UNUSABLE
        arguments.update({key.name: found.get(key.name, ()) for key in verb.reads})
    try:
        with calling(f"the verb {name} of the plugin {plugin}"):
            returned = verb.function(arguments)
        return _show(returned, verb.name, format)
    except (KeyboardInterrupt, BrokenPipeError):
        raise
    except Cannot as e:
        complain(e.message + (f"; fix: {e.fix}" if e.fix else ""))
        return UNUSABLE
    except BaseException as e:  # a plugin may fail in any way, also by leaving
        return _failed(plugin, name, e)


def _failed(plugin: str, name: str, e: BaseException) -> int:
    from specc.engine.guard import crash
    from specc.engine.host import said
    from specc.verbs.common import complain

    complain(f"the plugin {plugin!r} failed in the verb {name}: {said(e)}{crash(e)}")
    return 3


def parser_of(verb: Verb) -> argparse.ArgumentParser:
    """What reads the verb's arguments: its own set-up, or values by name or in their order."""
    from specc.verbs.common import format_option, plugin_option

    named = "\n".join(f"  {n}  {h}" for n, h in verb.arguments)
    parser = argparse.ArgumentParser(
        prog=f"specc {verb.name}",
        description=verb.help,
        epilog=f"values, in this order or as name=value:\n{named}" if named else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    if verb.setup:
        verb.setup(parser)
    else:
        parser.add_argument("values", nargs="*", metavar="VALUE")
    if verb.reads:
        parser.add_argument("--spec", metavar="FILE", help="count what this spec adds, too")
    plugin_option(parser)
    format_option(parser, "csv")
    return parser


def _arguments(
    verb: Verb, parser: argparse.ArgumentParser, words: Sequence[str]
) -> tuple[dict[str, Any], str, str | None]:
    """The arguments by name, the format asked for, and the spec if one is named."""
    args = parser.parse_args(list(words))
    spec = args.spec if verb.reads else None
    if verb.setup:
        own = {"plugin", "format", *(["spec"] if verb.reads else [])}
        return {n: v for n, v in vars(args).items() if n not in own}, args.format, spec
    names = [n for n, _ in verb.arguments]
    found: dict[str, str] = {}
    for value in args.values:
        name, equals, text = value.partition("=")
        free = next((n for n in names if n not in found), None)
        if equals and name in names:
            found[name] = text
        elif free is not None:
            found[free] = value
        else:
            parser.error(f"{value!r} is one value too many; it takes {', '.join(names) or 'none'}")
    return found, args.format, spec


def _show(returned: Any, name: str, format: str) -> int:
    from specc.model.blocks import Table
    from specc.model.values import Answer
    from specc.report import records
    from specc.report.lines import safe
    from specc.verbs.common import say
    from specc.verbs.table import print_table

    if isinstance(returned, Table):
        print_table(returned, format)
        return 0
    if isinstance(returned, Answer):
        if format == "json":
            answer = {"value": returned.value, "regime": returned.regime, "beyond": returned.beyond}
            say(records.document(answer=answer))
        else:
            say(safe(f"{returned.value:.6g} (in SI)" + (f", {returned.regime}" if returned.regime else "")))
            say([safe(f"beyond what it is good for: {returned.beyond}")] if returned.beyond else [])
        return 0
    raise TypeError(f"the verb {name} has to give a Table or an Answer, and gave {type(returned).__name__}")
