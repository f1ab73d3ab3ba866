"""`specc compare`: what changed between two specs, or two revisions of one."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

from specc.model.exit_codes import ExitCode

if TYPE_CHECKING:
    from specc.engine.road import Ask
    from specc.model.result import Change, Result, Since

HELP = "say what changed between two specs: files, folders, FILE@REV of git, or packets"
EXAMPLE = "specc compare project.yaml@HEAD project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, plugin_option

    parser.add_argument("old", metavar="OLD")
    parser.add_argument("new", metavar="NEW")
    plugin_option(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> ExitCode:
    import json

    from specc.engine.compare import TABLES, changes, same_revision
    from specc.engine.road import CHECK
    from specc.verbs.common import ask, complain, say

    results = []
    for name in (args.old, args.new):
        try:
            results.append(state_of(name, ask(args, CHECK, TABLES)._replace(written=True, spots=False)))
        except ValueError as e:
            complain(str(e))
            return ExitCode.UNUSABLE
    old, new = results
    made = changes(old, new)
    same = same_revision(old, new)
    if args.format == "json":
        document: dict[str, object] = {
            "old": {"file": args.old, "revision": old.revision, "digest": old.digest},
            "new": {"file": args.new, "revision": new.revision, "digest": new.digest},
            "same_revision": same,
            "changes": [c._asdict() for c in made],
        }
        say(json.dumps(document, indent=2, ensure_ascii=True))
    else:
        say(_text(args.old, args.new, made, old.digest == new.digest))
    if same:
        complain(f"the two differ and both name the revision {new.revision or 'not stated'}; give the new one its own")
        return ExitCode.FINDINGS
    return ExitCode.CLEAN


def _text(old: str, new: str, made: tuple[Change, ...], equal: bool) -> list[str]:
    from specc.report.lines import safe

    if not made:
        return [safe(f"{old} and {new}: nothing changed{'' if equal else ' but how the files are written'}")]
    lines = [f"{old} to {new}: {len(made)} change{'s' if len(made) > 1 else ''}"]
    kind = ""
    for c in made:
        if c.kind != kind:
            kind = c.kind
            lines += ["", kind]
        words = f"{c.was} -> {c.now}" if c.was and c.now else f"new: {c.now}" if c.now else f"gone: {c.was}"
        tail = "".join(f", {t}" for t in (c.by, f"review: {c.review}" if c.review else "") if t)
        lines.append(f"  {c.what}: {words}{tail}")
    return [safe(line) for line in lines]


def state_of(name: str, asked: Ask, overlay: Sequence[str] = ()) -> Result:
    """The Result of a spec: a file, a folder, FILE@REV of git, or what a packet carries. Raises ValueError, in words,
    for one that is not there or cannot be used."""
    import tempfile

    from specc.engine.road import travel

    with tempfile.TemporaryDirectory() as folder:
        revision = issued = ""
        if name.lower().endswith(".pdf") and os.path.isfile(name):
            path, revision, issued = _carried(name, folder)
        else:
            path = spec_of(name, folder)
        made = travel(path, overlay or None, asked)
    if made.exit_code == ExitCode.UNUSABLE:
        raise ValueError(f"{name} cannot be used; specc check says why")
    # What a packet says of itself counts: its revision may have been given when it was made.
    return made._replace(revision=revision or made.revision, issued=issued or made.issued)


def earlier(name: str, file: str, new: Result, asked: Ask, overlay: Sequence[str] = ()) -> Since:
    """What changed since an earlier state: a file or folder by that name, or the spec itself at a revision of git.
    Raises ValueError, in words, where there is none."""
    from specc.engine.compare import since

    if os.path.exists(name):
        return since(state_of(name, asked, overlay), new, os.path.basename(os.path.normpath(name)))
    if file == "-":
        raise ValueError("a spec from standard input has no revisions; name another spec or packet")
    return since(state_of(f"{file}@{name}", asked, overlay), new, name)


def _carried(name: str, folder: str) -> tuple[str, str, str]:
    from specc.packet.embed import unpacked

    try:
        with open(name, "rb") as file:
            return unpacked(file.read(), folder)
    except ValueError as e:
        raise ValueError(f"{name}: {e}") from None
    except OSError as e:
        raise ValueError(f"{name} cannot be read: {e.strerror}") from None


def spec_of(name: str, folder: str) -> str:
    """The path of a spec: as given, a folder's project.yaml, or a file as git had it at a revision, written with all
    that stood beside it into `folder`. Raises ValueError where there is none."""
    path, at, revision = name.rpartition("@")
    if os.path.isdir(name):
        name = os.path.join(name, "project.yaml")
    if os.path.exists(name) or not at:
        if not os.path.isfile(name):
            raise ValueError(f"there is no spec {name}")
        return name
    from specc.spec.git import folder_at

    if os.path.isdir(path):
        path = os.path.join(path, "project.yaml")
    if not folder_at(os.path.dirname(path) or ".", revision, folder):
        raise ValueError(f"git has no revision {revision!r} of the folder of {path}")
    there = os.path.join(folder, os.path.basename(path))
    if not os.path.isfile(there):
        raise ValueError(f"{os.path.basename(path)} was not there at revision {revision}")
    return there
