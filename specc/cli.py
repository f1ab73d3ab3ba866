"""The command `specc`: finds the verb, parses its arguments, and turns what goes wrong into words.

Only what `--help` needs is imported here; each verb imports what it works with when it runs.
"""

from __future__ import annotations

import argparse
import atexit
import errno
import gc
import importlib
import os
import signal
import sys
from types import ModuleType
from typing import NoReturn

from specc import COMMAND
from specc.model.exit_codes import ExitCode
from specc.model.own_verbs import OF_BUILT_IN, VERBS

_ABOUT = "Compiles the spec of a propane flame effect into a safety packet for the fire marshal."
# A full disk, a spent quota, a file that may not grow, a device that fails: standard output is not ours to mend.
_OUTPUT_ERRORS = frozenset(
    getattr(errno, name) for name in ("ENOSPC", "EDQUOT", "EFBIG", "EIO", "EBADF") if hasattr(errno, name)
)


__all__ = ["VERBS", "main"]


def main(argv: list[str] | None = None) -> ExitCode:
    """Run the command line and give its exit code. Never raises for what a user can do."""
    if argv is None:
        # One command, then the process ends: looking for garbage among the many records of a large spec takes a tenth
        # of the time, and finds little: the complete sample is compiled in 108 MB, and in 99 with Python's own setting.
        # A folder of hundreds of specs leaves 1 MB of it for each, so it is looked for now and then.
        gc.set_threshold(1_000_000, 50, 100)
        atexit.register(gc.freeze)  # or Python looks through all of them once more as it leaves
    words = sys.argv[1:] if argv is None else list(argv)
    traceback = "--traceback" in words
    words = [w for w in words if w != "--traceback"]
    if sys.stdout is None:
        return _no_output("it is closed")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal that cannot show a sign gets its code instead.
            stream.reconfigure(errors="backslashreplace")
    if traceback:
        from specc.engine import guard

        guard.whole_tracebacks.append(True)
    if argv is None and words and not words[0].startswith("-"):
        from specc.engine import watch

        watch.start()
    try:
        if argv is None and COMMAND and signal.getsignal(signal.SIGINT) is signal.SIG_DFL:
            signal.signal(signal.SIGINT, signal.default_int_handler)  # from here on `main` answers
        code = _run(words)
        sys.stdout.flush()
        return code
    except SystemExit as leaving:  # argparse leaves this way, for --help and for a bad call
        return ExitCode.UNUSABLE if leaving.code else ExitCode.CLEAN
    except BrokenPipeError:
        _drop_output()
        return ExitCode.READER_GONE
    except KeyboardInterrupt:
        return ExitCode.INTERRUPTED
    except Exception as e:
        if isinstance(e, OSError) and e.filename is None and e.errno in _OUTPUT_ERRORS:
            return _no_output(e.strerror or str(e))
        if traceback:
            raise
        from specc.verbs.common import complain

        said = " ".join(str(e).split())[:300]
        complain(f"{type(e).__name__}: {said}" if said else type(e).__name__)
        complain("this is a fault in specc itself; run the command again with --traceback and report it")
        return ExitCode.FAILED


def _drop_output() -> None:
    """Python flushes once more at exit, so an output that cannot be written is replaced."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _no_output(why: str) -> ExitCode:
    """Say that what was asked for could not be printed; a file that was written before stays written."""
    from specc.verbs.common import complain

    if sys.stdout is not None:
        _drop_output()
    if sys.stderr is not None:
        complain(f"cannot write to standard output: {why}")
    return ExitCode.UNUSABLE


def _run(words: list[str]) -> ExitCode:
    if not words or words[0] in ("-h", "--help"):
        print(_help())
        return ExitCode.CLEAN if words else ExitCode.UNUSABLE
    if words[0] == "--version":
        from specc import __version__

        print(f"specc {__version__}")
        return ExitCode.CLEAN
    name, rest = words[0], words[1:]
    if name == "help":
        return _run([*rest[:1], "--help"])
    if name not in VERBS:
        from specc.verbs.trade import run_other

        return run_other(name, rest, tuple(VERBS))
    module = _verb(name)
    parser = _Parser(
        prog=f"specc {name}",
        description=module.HELP,
        epilog=f"example:\n  {module.EXAMPLE}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    module.arguments(parser)
    parser.add_argument("--traceback", action="store_true", help="show where specc itself failed")
    args = parser.parse_args(rest)
    if isinstance(file := getattr(args, "file", None), str) and os.path.isdir(file):
        from specc.verbs.common import complain, spec_in

        args.file, wrong = spec_in(file)
        if wrong:
            complain(wrong)
            return ExitCode.UNUSABLE
    code: ExitCode = module.run(args)
    return code


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        from specc.verbs.common import complain

        complain(f"{message}")
        complain(f"see {self.prog} --help")
        raise SystemExit(ExitCode.UNUSABLE)


def _verb(name: str) -> ModuleType:
    return importlib.import_module(f"specc.verbs.{VERBS[name]}")


def _help() -> str:
    width = max(map(len, VERBS))
    helps = {**{name: _verb(name).HELP for name in VERBS}, **OF_BUILT_IN}
    verbs = "\n".join(f"  {name:{width}}  {help_}" for name, help_ in helps.items())
    codes = "\n".join(f"  {code:>3}  {code.means}" for code in ExitCode)
    return f"""usage: specc VERB ...

{_ABOUT}

verbs:
{verbs}

  specc VERB --help   what a verb takes, with an example
  specc plugins       other verbs that plugins add
  specc --version     the version

exit codes:
{codes}

begin with:
  specc start my_effect"""


if __name__ == "__main__":
    sys.exit(main())
