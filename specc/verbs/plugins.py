"""`specc plugins`: what is loaded, from where, and what each plugin brings."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from specc.model.exit_codes import ExitCode, of_result, worst

if TYPE_CHECKING:
    from specc.engine.plugin import Host, PluginTrouble

HELP = "list the plugins that run, and what each brings"
EXAMPLE = "specc plugins project.yaml"

_BRINGS = ("figure", "rule", "table", "drawing", "section")


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, spec_options

    parser.add_argument("file", nargs="?", metavar="FILE", help="also the plugins that this spec names")
    parser.add_argument("--keys", action="store_true", help="list the keys that plugins share, and who provides each")
    spec_options(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    from specc.engine.host import find
    from specc.report import records
    from specc.report.lines import columns
    from specc.verbs.common import complain_findings, host_of, say

    unusable = ExitCode.CLEAN
    if args.file is None:
        host = find(files=args.plugin)
    else:
        from specc.engine.road import travel
        from specc.verbs.common import ask

        result = travel(args.file, args.overlay, ask(args))
        if result.exit_code == ExitCode.UNUSABLE:
            unusable = ExitCode.UNUSABLE
            complain_findings(result, args.file)
        host = host_of(args)
    if args.keys:
        keys = _keys(host)
        say(records.document(keys=keys) if args.format == "json" else _as_lines(keys))
        return worst((unusable, complain_troubles(host.troubles)))
    listed = _listed(host)
    if args.format == "json":
        say(records.document(plugins=listed))
    else:
        head = ("plugin", "version", "from", "brings", "verbs", "roots of the spec")
        say(columns([head, *(_row(p) for p in listed)]))
    return worst((unusable, complain_troubles(host.troubles)))


def _keys(host: Host) -> list[dict[str, Any]]:
    """Every shared key: what it is, what its records hold, who provides it, and who reads it."""
    from specc.engine.shared_keys import described

    made = []
    for key in described():
        gives = {h.plugin for h in host.passes if h.pass_.provides is not None and h.pass_.provides.name == key.name}
        reads = {h.plugin for h in host.passes if key.name in {k.name for k in (*h.pass_.needs, *h.pass_.wants)}}
        made.append(
            {
                "key": key.name,
                "import": key.constant,
                "type": key.type,
                "gathered": key.gathered,
                "provided_by": sorted(gives),
                "read_by": sorted(reads),
                "says": key.says,
                "records": {name: list(fields) for name, fields in key.records},
            }
        )
    return made


def _as_lines(keys: list[dict[str, Any]]) -> list[str]:
    from specc.report.lines import folded, safe

    lines = []
    for key in keys:
        gives = ", ".join(key["provided_by"]) or "no plugin that runs"
        lines.append(safe(f"{key['key']}: {key['type']}{', gathered' if key['gathered'] else ''}"))
        lines += folded(key["says"], "  ")
        lines.append(safe(f"  import: {key['import']}"))
        lines += folded(f"{'added to' if key['gathered'] else 'provided'} by: {gives}", "  ")
        for name, fields in key["records"].items():
            lines += folded(f"{name}: {', '.join(fields)}", "  ", hang="  ")
        lines.append("")
    return lines[:-1]


def _listed(host: Host) -> list[dict[str, Any]]:
    made = []
    for plugin in host.plugins:
        kinds = [p.kind.removesuffix("s") for p in plugin.passes]
        made.append(
            {
                "name": plugin.name,
                "version": plugin.version,
                "origin": plugin.origin,
                "brings": {
                    **{kind: kinds.count(kind) for kind in _BRINGS},
                    "calculator": len(plugin.calculators),
                    "verb": len(plugin.verbs),
                },
                "verbs": [verb.name for verb in plugin.verbs],
                "roots": sorted(plugin.schema),
                "trouble": "; ".join(t.message for t in host.troubles if t.plugin == plugin.name),
            }
        )
    loaded = {p.name for p in host.plugins}
    for trouble in host.troubles:
        if trouble.plugin not in loaded:
            made.append(
                {
                    "name": trouble.plugin,
                    "version": "",
                    "origin": "",
                    "brings": {},
                    "verbs": [],
                    "roots": [],
                    "trouble": trouble.message,
                }
            )
    return made


def _row(plugin: dict[str, Any]) -> tuple[str, ...]:
    counts = {kind: n for kind, n in plugin["brings"].items() if n and kind != "verb"}
    brings = ", ".join(f"{n} {kind}{'' if n == 1 else 's'}" for kind, n in counts.items())
    if plugin["trouble"]:
        brings = f"{brings}; in trouble, see below" if brings else "in trouble, see below"
    verbs = ", ".join(plugin["verbs"])
    return (plugin["name"], plugin["version"], plugin["origin"], brings, verbs, ", ".join(plugin["roots"]))


def complain_troubles(troubles: Iterable[PluginTrouble]) -> ExitCode:
    """Print the plugins' troubles. Gives the exit code: whether a plugin failed, or is in another trouble."""
    from specc.verbs.common import complain

    codes = []
    for trouble in troubles:
        complain(trouble.message)
        if trouble.fix:
            complain(f"  fix: {trouble.fix}")
        codes.append(of_result(trouble.level == "error", trouble.failed, usable=True))
    return worst(codes)
