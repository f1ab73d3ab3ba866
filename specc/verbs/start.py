"""`specc start`: a folder with a small spec to begin from."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode

HELP = "make a folder with a small, commented spec to begin from"
EXAMPLE = "specc start my_effect"

_IGNORED = """# The packet is made from the spec whenever it is needed; private.yaml holds names and phones.
*.pdf
private.yaml
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="DIR", help="is made if it is not there")


def run(args: argparse.Namespace) -> ExitCode:
    from pathlib import Path

    from specc.report.lines import safe
    from specc.verbs.common import complain, say
    from specc.verbs.writing import write_whole

    folder = Path(args.folder)
    spec = folder / "project.yaml"
    if spec.exists() or spec.is_symlink():
        complain(f"{spec} exists already and was not changed; name another folder")
        return ExitCode.UNUSABLE
    starter = Path(__file__).resolve().parent.parent / "data" / "starter.yaml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as e:
        complain(f"cannot make the folder {folder}: {e.strerror or e}")
        return ExitCode.UNUSABLE
    ignore = folder / ".gitignore"
    wrong = "" if ignore.exists() else write_whole(str(ignore), _IGNORED.encode())
    wrong = wrong or write_whole(str(spec), starter.read_bytes())
    if wrong:
        complain(wrong)
        return ExitCode.UNUSABLE
    say(
        [
            f"wrote {safe(str(spec))}, a small spec to change into yours; its comments say what goes where",
            "next:",
            f"  specc check {safe(_word(str(spec)))}      says what is wrong, and how to mend it",
            f"  specc compile {safe(_word(str(spec)))}    makes the packet",
        ]
    )
    return ExitCode.CLEAN


def _word(path: str) -> str:
    """A path as it is typed to a shell."""
    import shlex

    return shlex.quote(path)
