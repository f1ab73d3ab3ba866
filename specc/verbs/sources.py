"""`specc sources`: what a spec's figures, rules and limits rest on."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.model.result import Result

HELP = "list the sources that a spec's figures and rules rest on, and how each is known"
EXAMPLE = "specc sources project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", metavar="FILE")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.road import CHECK, travel
    from specc.report import records
    from specc.report.lines import folded, safe
    from specc.verbs.common import ask, complain_findings, say

    result = travel(args.file, args.overlay, ask(args, CHECK | {"packet"}))
    listed = _sources(result)
    if args.format == "json":
        say(records.document(sources=listed))
        return result.exit_code
    if not result.exit_code.judged:
        complain_findings(result, args.file)
    for entry in listed:
        said = ", ".join(entry[k] for k in ("title", "publisher", "edition", "note") if entry[k])
        say(safe(entry["reference"] or "without a published source"))
        if said:
            say(folded(said, "  "))
        for cited in entry["cited"]:
            place = ": ".join(t for t in (cited["where"], cited["basis_words"]) if t)
            say(folded(f"- {place}; for {', '.join(cited['by'])}", "  ", hang="  "))
        say("")
    count = sum(1 for e in listed if e["reference"])
    say(f"{count} sources. What is from memory or common practice says so, and has to be read up.")
    return result.exit_code


def _sources(result: Result) -> list[dict[str, Any]]:
    """A record for each reference used, then one for the numbers without any."""
    from specc.engine.derived import citations_in
    from specc.model.values import BASIS_WORDS, Citation, Reference

    by_citation: dict[Citation, list[str]] = {}
    for who, citation in citations_in(result):
        by_citation.setdefault(citation, []).append(who)
    known = {r.id: r for r in result.references}
    made = []
    for id in sorted({c.reference for c in by_citation}, key=lambda i: (not i, i)):
        reference = known.get(id) or Reference(id, "" if not id else "no plugin describes this source")
        cited = [
            {"where": c.where, "basis": c.basis, "basis_words": BASIS_WORDS[c.basis], "by": by}
            for c, by in by_citation.items()
            if c.reference == id
        ]
        facts = reference._asdict()
        made.append({"reference": facts.pop("id"), **facts, "cited": cited})
    return made
