"""Verbs that plugins add. Plugins are loaded only when the verb is none of specc's own."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.model.verb import Verb


def run_other(name: str, words: Sequence[str], own: Sequence[str]) -> ExitCode:
    """Run a plugin's verb, or name the nearest one. Gives the exit code."""
    from specc.engine.guard import calling
    from specc.engine.host import find_for
    from specc.model.passes import Cannot
    from specc.model.view import Unreadable
    from specc.verbs.common import complain, not_there, plugin_option, plugins_named_in, unnamed
    from specc.verbs.plugins import complain_troubles

    if name.startswith("-"):
        complain(f"the verb comes first, then its options: specc VERB {name} ...; see specc --help")
        return ExitCode.UNUSABLE
    before = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    plugin_option(before)
    before.add_argument("--spec")
    given, others = before.parse_known_args(list(words))
    file = given.spec or next((w for w in others if w.endswith((".yaml", ".yml")) and os.path.isfile(w)), None)
    named = plugins_named_in(file)
    host = find_for(None if isinstance(named, str) else named, given.plugin)
    verbs = {verb.name: (plugin.name, verb) for plugin in host.plugins for verb in plugin.verbs}
    if name not in verbs:
        complain_troubles(host.troubles)
        code = not_there("verb", name, [*own, *verbs], "the verbs are")
        if told := unnamed(host):
            complain(told)
        return code
    plugin, verb = verbs[name]
    try:
        with calling(f"the options of the verb {name} of the plugin {plugin}"):
            parser = parser_of(verb, given.spec is not None)
        arguments, format, spec = _arguments(verb, parser, words)  # what it prints, such as --help, is the answer
    except Exception as e:  # a plugin's own options may fail in any way, as they are set up and as they are read
        return _failed(plugin, name, e)
    if verb.of_spec and spec is None:
        complain(f"{name} reads a spec: specc {name} FILE")
        return ExitCode.UNUSABLE
    if verb.reads or verb.of_spec:
        from specc.engine.road import read_keys

        read = read_keys(verb.reads, spec, tuple(given.plugin))
        stood = (*read.faults, *(read.lost if verb.of_spec else ()))
        for trouble in stood:
            complain(trouble)
        if stood:
            return ExitCode.UNUSABLE
        arguments.update({key.name: read.values.get(key.name, ()) for key in verb.reads})
        if verb.of_spec:
            arguments["spec"] = read.spec
    try:
        with calling(f"the verb {name} of the plugin {plugin}"):
            returned = verb.function(arguments)
        return _show(returned, verb.name, format)
    except (KeyboardInterrupt, BrokenPipeError):
        raise
    except Unreadable as e:
        complain(f"{e.at or 'a value'} of the spec is refused or missing; specc check {spec} says why")
        return ExitCode.UNUSABLE
    except Cannot as e:
        complain(e.message + (f"; fix: {e.fix}" if e.fix else ""))
        return ExitCode.UNUSABLE
    except BaseException as e:  # a plugin may fail in any way, also by leaving
        return _failed(plugin, name, e)


def _failed(plugin: str, name: str, e: BaseException) -> ExitCode:
    from specc.engine.guard import crash
    from specc.engine.plugin import said
    from specc.verbs.common import complain

    complain(f"the plugin {plugin!r} failed in the verb {name}: {said(e)}{crash(e)}")
    return ExitCode.FAILED


def parser_of(verb: Verb, spec_named: bool = False) -> argparse.ArgumentParser:
    """What reads the verb's arguments: its own set-up, or values by name or in their order. `spec_named`: by --spec, so
    the first word is one of the verb's own."""
    from specc.verbs.common import format_option, plugin_option

    named = "\n".join(f"  {n}  {h}" for n, h in verb.arguments)
    parser = argparse.ArgumentParser(
        prog=f"specc {verb.name}",
        description=verb.help,
        epilog=f"values, in this order or as name=value:\n{named}" if named else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    if verb.of_spec and not spec_named:
        parser.add_argument("file", nargs="?", metavar="FILE", help="the spec that it reads")
    if verb.setup:
        verb.setup(parser)
    else:
        parser.add_argument("values", nargs="*", metavar="VALUE")
    if verb.of_spec:
        parser.add_argument("--spec", metavar="FILE", help="the same, wherever it stands")
    elif verb.reads:
        parser.add_argument("--spec", metavar="FILE", help="count what this spec adds, too")
    plugin_option(parser)
    format_option(parser, "csv")
    return parser


def _arguments(
    verb: Verb, parser: argparse.ArgumentParser, words: Sequence[str]
) -> tuple[dict[str, Any], str, str | None]:
    """The arguments by name, the format asked for, and the spec if one is named."""
    args = parser.parse_args(list(words))
    spec = getattr(args, "spec", None) if verb.reads or verb.of_spec else None
    if verb.of_spec:
        spec = spec or args.file
    if verb.setup:
        core = {"plugin", "format", *(["spec"] if verb.reads else []), *(["spec", "file"] if verb.of_spec else [])}
        return {n: v for n, v in vars(args).items() if n not in core}, args.format, spec
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
            more = "; a spec goes behind --spec" if verb.reads and value.endswith((".yaml", ".yml")) else ""
            parser.error(f"{value!r} is one value too many; it takes {', '.join(names) or 'none'}{more}")
    return found, args.format, spec


def _show(returned: Any, name: str, format: str) -> ExitCode:
    from specc.model.blocks import Table
    from specc.model.values import Answer
    from specc.report import records
    from specc.report.lines import safe
    from specc.verbs.common import say
    from specc.verbs.table import print_table

    if isinstance(returned, Table):
        print_table(returned, format)
        return ExitCode.CLEAN
    if isinstance(returned, Answer):
        if format == "json":
            answer = {"value": returned.value, "regime": returned.regime, "beyond": returned.beyond}
            say(records.document(answer=answer))
        else:
            say(safe(f"{returned.value:.6g} (in SI)" + (f", {returned.regime}" if returned.regime else "")))
            say([safe(f"beyond what it is good for: {returned.beyond}")] if returned.beyond else [])
        return ExitCode.CLEAN
    raise TypeError(f"the verb {name} has to give a Table or an Answer, and gave {type(returned).__name__}")
