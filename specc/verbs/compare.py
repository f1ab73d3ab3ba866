"""`specc compare`: what changed between two specs, or two revisions of one."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from specc.engine.compare import Change

HELP = "say what changed between two specs: files, folders, or FILE@REV of git"
EXAMPLE = "specc compare project.yaml@HEAD project.yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    from specc.verbs.common import format_option, plugin_option

    parser.add_argument("old", metavar="OLD")
    parser.add_argument("new", metavar="NEW")
    plugin_option(parser)
    format_option(parser)


def run(args: argparse.Namespace) -> int:
    import json
    import tempfile
    from typing import Any

    from specc.engine.compare import changes, same_revision
    from specc.engine.road import COMPILE, travel
    from specc.verbs.common import UNUSABLE, ask, complain, say

    results = []
    for name in (args.old, args.new):
        with tempfile.TemporaryDirectory() as folder:
            try:
                path = spec_of(name, folder)
            except ValueError as e:
                complain(str(e))
                return UNUSABLE
            results.append(travel(path, None, ask(args, COMPILE)))
        if results[-1].exit_code == UNUSABLE:
            complain(f"{name} cannot be used; specc check says why")
            return UNUSABLE
    old, new = results
    made = changes(old, new)
    same = same_revision(old, new)
    if args.format == "json":
        document: dict[str, Any] = {
            "old": {"file": args.old, "revision": old.revision, "digest": old.digest},
            "new": {"file": args.new, "revision": new.revision, "digest": new.digest},
            "same_revision": same,
            "changes": [c._asdict() for c in made],
        }
        say(json.dumps(document, indent=2, ensure_ascii=True))
    else:
        say(_text(args.old, args.new, made))
    if same:
        complain(f"the two differ and both name the revision {new.revision or 'not stated'}; give the new one its own")
        return 1
    return 0


def _text(old: str, new: str, made: tuple[Change, ...]) -> list[str]:
    from specc.report.lines import safe

    if not made:
        return [f"{old} and {new}: nothing changed"]
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
