"""`specc rules`: the rules with their sources, and with a spec what became of each."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.model.result import RuleOutcome
    from specc.model.values import Reference

HELP = "list the rules with their sources; with a spec, how each one ended"
EXAMPLE = "specc rules project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", nargs="?", metavar="FILE")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, travel
    from specc.report import records
    from specc.report.text import CLOSING, summary
    from specc.verbs.common import ask, complain_findings, say

    if args.file is None:
        return _all(args)
    result = travel(args.file, args.overlay, ask(args, CHECK))
    if args.format == "json":
        say(records.document(files=[records.file(args.file, result)]))
        return result.exit_code
    if not result.exit_code.judged:
        complain_findings(result, args.file)
    references = {r.id: r for r in result.references}
    for outcome in result.rules:
        say([*_lines(outcome, references), ""])
    say([*summary(result, args.file), CLOSING])
    return result.exit_code


def _all(args: argparse.Namespace) -> ExitCode:
    """The rules of the plugins, without a spec; the status is how their source is known."""
    from specc.engine.host import find
    from specc.model.passes import RuleFacts
    from specc.model.result import RuleOutcome
    from specc.model.values import BASIS_WORDS
    from specc.report import records
    from specc.verbs.common import say
    from specc.verbs.plugins import complain_troubles

    host = find(files=args.plugin)
    references = {r.id: r for plugin in host.plugins for r in plugin.references}
    rules = []
    for held in sorted(host.passes, key=lambda h: (h.plugin != "core", h.plugin, h.pass_.id)):
        facts = held.pass_.facts
        if isinstance(facts, RuleFacts):
            status = BASIS_WORDS[facts.citation.basis]
            rules.append(
                RuleOutcome(
                    held.pass_.id,
                    facts.level,
                    facts.statement,
                    facts.citation,
                    status,  # type: ignore[arg-type]  # how the source is known, where no spec gives a status
                    "",
                    held.plugin,
                )
            )
    if args.format == "json":
        say(records.document(rules=[records.rule(r, references) for r in rules]))
    else:
        for rule in rules:
            say([*_lines(rule, references), ""])
        say(f"{len(rules)} rules; with a spec (specc rules FILE) this shows how each one ended")
    return complain_troubles(host.troubles)


def _lines(rule: RuleOutcome, references: dict[str, Reference]) -> list[str]:
    from specc.model.values import BASIS_WORDS
    from specc.report.lines import folded, safe
    from specc.report.text import source

    cited = source(rule.citation, references)
    status = "" if rule.status == BASIS_WORDS[rule.citation.basis] else f": {rule.words}"
    lines = [safe(f"{rule.id} ({rule.level}, {rule.plugin}){status}"), *folded(rule.statement, "  ")]
    if rule.looked:
        label = "checked: " if rule.status in ("passed", "failed", "stated", "shown", "planned") else ""
        lines += folded(label + rule.looked, "  ")
    return [*lines, *folded(f"source: {cited}", "  ")]
