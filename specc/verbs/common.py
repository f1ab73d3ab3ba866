"""What the verbs share: options, printing, and the words for a name that is not there."""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.engine.plugin import Host
    from specc.engine.road import Ask
    from specc.model.result import Result
    from specc.report.look import PrintLook


def plugin_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--plugin",
        action="append",
        default=[],
        metavar="FILE_OR_NAME",
        help="also run this plugin: a Python file or the name of an installed one (may be repeated)",
    )


def spec_options(parser: argparse.ArgumentParser) -> None:
    """Options of the verbs that read a spec."""
    plugin_option(parser)
    parser.add_argument(
        "--with",
        dest="overlay",
        action="append",
        default=[],
        metavar="FILE",
        help="a private file that adds to the spec (names, phones); it is not part of the digest (may be repeated)",
    )


def format_option(parser: argparse.ArgumentParser, *more: str) -> None:
    parser.add_argument("--format", choices=("text", "json", *more), default="text", help="default: text")


def ask(args: argparse.Namespace, kinds: Iterable[str] = (), ids: Iterable[str] = ()) -> Ask:
    """What to ask of the road, with the plugins named on the command line."""
    from specc.engine.road import Ask

    return Ask(kinds=frozenset(kinds), ids=frozenset(ids), plugin_files=tuple(args.plugin), spots=True)


def say(lines: Iterable[str] | str) -> None:
    """Print lines."""
    print(lines if isinstance(lines, str) else "\n".join(lines))


def look() -> PrintLook:
    """How to print to standard output."""
    from specc.report.look import look_of

    return look_of(sys.stdout)


def progress(words: str) -> None:
    """Say on a terminal what is being done, on a line that the next one takes. "" clears it."""
    if sys.stderr.isatty():
        from specc.report.lines import safe

        print(f"\r\x1b[K{safe(words)}", end="", file=sys.stderr, flush=True)


def say_bytes(data: bytes) -> None:
    """Print a document whose encoding is fixed, whatever the terminal's."""
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()


def complain(message: str) -> None:
    """Print what is wrong with a call, to the other stream."""
    from specc.report.lines import safe

    # Where nobody can be told, the exit code still says it.
    with contextlib.suppress(OSError):
        print(f"specc: {safe(message)}", file=sys.stderr, flush=True)


def complain_findings(result: Result, path: str) -> None:
    """The findings, where the output proper is something else."""
    if not result.findings:
        return
    from specc.report.look import look_of
    from specc.report.text import findings, summary

    print("\n".join([*findings(result, look_of(sys.stderr)), *summary(result, path)[:1]]), file=sys.stderr)


def complain_count(result: Result, path: str) -> None:
    """One line with the count of findings, where the output proper is something else."""
    from specc.report.text import counts

    if result.findings:
        complain(f"{path}: {counts(result)}; specc check {path} shows them")


def not_there(what: str, asked: str, known: Sequence[str], listing: str) -> ExitCode:
    """Say that a name is not there, with the nearest one and the list. Gives the exit code."""
    near = _nearest(asked, known)
    complain(f"there is no {what} {asked!r}" + (f"; did you mean {' or '.join(near)}?" if near else ""))
    # A long list helps nobody who misspelled one name.
    if known and (len(known) <= 30 or not near):
        complain(f"{listing}: {', '.join(known)}")
    return ExitCode.UNUSABLE


_BEGUN = 5  # more names that begin alike are a list, and none of them is meant more than another


def _nearest(asked: str, known: Sequence[str]) -> list[str]:
    """What is meant, the likeliest first: names that go on from what was typed; else one that is off by a letter or
    two; else three. Of those that are as near, what begins alike is meant: an end is left out or made up."""
    import difflib

    begun = [name for name in known if len(asked) > 2 and name.startswith(asked)]
    if 0 < len(begun) <= _BEGUN:
        return begun

    def like(name: str) -> float:
        begin = next(
            (i for i, (a, b) in enumerate(zip(name, asked, strict=False)) if a != b), min(len(name), len(asked))
        )
        return difflib.SequenceMatcher(a=name, b=asked).ratio() + begin / max(len(asked), 1)

    for most, cutoff in ((1, 0.75), (3, 0.5)):
        if near := difflib.get_close_matches(asked, known, 10, cutoff):
            return sorted(near, key=like, reverse=True)[:most]
    return []


def host_of(args: argparse.Namespace) -> Host:
    """The plugins as they are for a spec: the built-in ones, those it uses, those on the command line."""
    from specc.engine.host import find_for
    from specc.spec.source import load

    return find_for(load(args.file, args.overlay).data.get("plugins"), args.plugin)


def plugins_named_in(path: str | None) -> object:
    """What a spec has under `plugins:`; None without a spec, and a text where it cannot be read: why."""
    from specc.spec.source import load

    if path is None:
        return None
    source = load(path)
    if not source.usable:
        return next((f.message for f in source.faults), f"{path} cannot be read")
    named = source.data.get("plugins")
    return named if isinstance(named, dict) else None


def ids_of(host: Host, *kinds: str) -> list[str]:
    """The ids of the passes of some kinds."""
    return sorted({held.pass_.id for held in host.passes if held.pass_.kind in kinds})


def unnamed(host: Host, id: str = "") -> str:
    """Words on the installed plugins that do not run, since nothing names them; "" when there are none.

    `id`: of these alone whose name it begins with, such as a rule's.
    """
    from specc.engine.installed import installed

    run = {plugin.name for plugin in host.plugins}
    left = [name for name in installed() if name not in run]
    if id:
        left = [name for name in left if id.partition(".")[0] in (name, *name.split("_")[:1])]
        return (
            f"an installed plugin {left[0]} has such rules: add --plugin {left[0]}, or a spec that uses it"
            if left
            else ""
        )
    them = f"--plugin {left[0]}" if len(left) == 1 else "--plugin NAME"
    return (
        f"installed and not named: {', '.join(left)}; where it is theirs, add {them}, or a spec that uses it"
        if left
        else ""
    )


_SPEC = re.compile(rb"^format[ \t]*:", re.MULTILINE)


def spec_in(folder: str) -> tuple[str, str]:
    """The one spec of a folder, for the verbs that read one; else why it is none, in words."""
    some = list(specs_in(folder))
    if len(some) == 1:
        return some[0], ""
    if not some:
        return folder, f"no spec in the folder {folder}: a spec is a YAML file with the key format:"
    more = f" and {len(some) - 5} more" if len(some) > 5 else ""
    return folder, f"{len(some)} specs are in the folder {folder}; name one: {', '.join(some[:5])}{more}"


def specs_in(folder: str) -> Iterator[str]:
    """The specs in a folder and below it, in order of their names: YAML files with a root `format:`.

    Folders that begin with a dot are left out, and links are not followed.
    """
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        for name in sorted(files):
            path = os.path.join(here, name)
            if name.endswith((".yaml", ".yml")) and not os.path.islink(path) and _has_format(path):
                yield os.path.normpath(path)


def _has_format(path: str) -> bool:
    try:
        with open(path, "rb") as file:
            return _SPEC.search(file.read(4 * 1024 * 1024)) is not None
    except OSError:
        return True  # it is said to be unreadable rather than passed over
