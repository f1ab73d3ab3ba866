"""`specc explain`: one rule in words, or one limit with the rules that read it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FunctionType
from typing import TYPE_CHECKING, Any

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.model.passes import Limit

HELP = "explain one rule (statement, why, source, its limits, an example good and bad), or one limit"
EXAMPLE = "specc explain plumbing.ends_mate"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, plugin_option

    parser.add_argument("rule", metavar="RULE")
    parser.add_argument("file", nargs="?", metavar="FILE", help="a spec, for the plugins that it uses")
    plugin_option(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.host import find_for
    from specc.model.passes import RuleFacts
    from specc.report import records
    from specc.report.lines import folded, safe
    from specc.report.text import source
    from specc.verbs.common import complain, not_there, plugins_named_in, say, unnamed
    from specc.verbs.plugins import complain_troubles

    named = plugins_named_in(args.file)
    if isinstance(named, str):
        complain(named)
        return ExitCode.UNUSABLE
    host = find_for(named, args.plugin)
    failed = complain_troubles(host.troubles)
    rules = {held.pass_.id: held for held in host.passes if isinstance(held.pass_.facts, RuleFacts)}
    known = {limit.key: limit for plugin in host.plugins for limit in plugin.limits}
    held = rules.get(args.rule)
    if held is None and args.rule in known:
        readers = [id_ for id_, rule in rules.items() if args.rule in set(_limits(rule.pass_.function, set()))]
        _say_limit(known[args.rule], readers, args.format)
        return failed
    if held is None:
        if told := unnamed(host, args.rule):
            complain(f"there is no rule {args.rule!r} here; {told}")
            return ExitCode.UNUSABLE
        return not_there("rule", args.rule, sorted({*rules, *known}), "specc rules and specc limits list them")
    facts: Any = held.pass_.facts
    example = _example(held.pass_.function, args.rule)
    references = {r.id: r for plugin in host.plugins for r in plugin.references}
    read = [known[key] for key in dict.fromkeys(_limits(held.pass_.function, set())) if key in known]
    roots = list(held.pass_.reads)
    if args.format == "json":
        say(
            records.document(
                rule={
                    "id": held.pass_.id,
                    "level": facts.level,
                    "statement": facts.statement,
                    "source": records.source(facts.citation, references),
                    "plugin": held.plugin,
                    "reads": roots,
                    "example": example,
                    "limits": [
                        {"key": limit.key, "default": limit.default, "statement": limit.statement} for limit in read
                    ],
                }
            )
        )
        return failed
    lines = [safe(f"{held.pass_.id} ({facts.level}, {held.plugin})"), *folded(facts.statement, "  ")]
    about = " ".join((held.pass_.function.__doc__ or "").split())
    lines += folded(about, "  ") if about else []
    lines += folded(f"source: {source(facts.citation, references)}", "  ")
    if example.get("why"):
        lines += folded(f"why: {example['why']}", "  ")
    for limit in read:
        lines += folded(f"limit {limit.key}: {limit.default or 'only the authority sets it'}. {limit.statement}", "  ")
    if roots:
        lines += folded(f"reads {', '.join(f'{root}:' for root in roots)} of the spec", "  ")
    for key in ("good", "bad"):
        if example.get(key):
            lines += folded(f"{key}: {example[key]}", "  ", hang="    ")
    if example.get("message"):
        lines += folded(f"found there: {example['message']}", "  ", hang="    ")
    if example.get("fix"):
        lines += folded(f"fix: {example['fix']}", "  ", hang="    ")
    said = {
        "error": "A finding of it makes the packet a DRAFT.",
        "warning": "A finding of it is shown, and the packet is no DRAFT for it alone.",
        "note": "A finding of it is for the reader to know.",
    }
    say([*lines, *folded(said[facts.level], "  ")])
    return failed


def _say_limit(limit: Limit, readers: list[str], form: str) -> None:
    """A limit in words: what it sets, and the rules that read it."""
    from specc.report import records
    from specc.report.lines import folded, safe
    from specc.verbs.common import say

    if form == "json":
        told = {"key": limit.key, "default": limit.default, "statement": limit.statement}
        say(records.document(limit={**told, "safer": limit.safer, "rules": sorted(readers)}))
        return
    safer = "a smaller value is safer" if limit.safer == "min" else "a larger value is safer"
    lines = [safe(f"{limit.key} (limit)"), *folded(limit.statement, "  ")]
    lines += folded(f"{limit.default or 'only the authority sets it'}; {safer}", "  ")
    lines += folded(f"read by {', '.join(sorted(readers)) or 'figures alone'}", "  ")
    lines += folded("another value goes under limits: with who set it and why", "  ")
    say(lines)


def examples_file(function: Any) -> Path:
    """Where the examples of a rule's plugin stand: beside its first module, or in the core's room of passes."""
    name: str = function.__module__
    top = name.partition(".")[0]
    package = sys.modules.get("specc.basics" if top == "specc" else top)
    # A plugin of one file, by --plugin, is no module that could be imported.
    file = package.__file__ if package else function.__globals__["__file__"]
    return Path(str(file)).with_name("examples.json")


def _example(function: Any, rule: str) -> dict[str, str]:
    """A rule's example, from the bad cases of its tests; empty for a plugin that has none."""
    import json

    try:
        read = json.loads(examples_file(function).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    found = read.get(rule, {}) if isinstance(read, dict) else {}
    return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}


def _limits(function: Any, seen: set[int]) -> Iterator[str]:
    """The texts and limits in a function, and in those of its module that it calls: a limit is asked for by its key."""
    from specc.model.passes import Limit

    code = getattr(function, "__code__", None)
    if code is None or id(code) in seen:
        return
    seen.add(id(code))
    due: list[CodeType] = [code]
    while due:
        here = due.pop()
        due += [constant for constant in here.co_consts if isinstance(constant, CodeType)]
        yield from (constant for constant in here.co_consts if isinstance(constant, str))
        for name in here.co_names:
            named = function.__globals__.get(name)
            if isinstance(named, Limit):
                yield named.key
            elif isinstance(named, str):
                yield named
            elif isinstance(named, FunctionType) and named.__module__ == function.__module__:
                yield from _limits(named, seen)
