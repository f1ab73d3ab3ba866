"""Makes small faults in the wiring between spec and law, one at a time, and sees whether the tests find them.

    python tests/mutation/run.py              all of faults.yaml, in at most ten minutes on two cores
    python tests/mutation/run.py jets_not_blocked droop_tenth

Run by hand, and not with the other tests. Each fault is a text of one file that another takes the place of, and the
tests that should kill it. The fault is made in a copy of the checkout, so that nothing here changes; the tests have to
pass there first. A fault whose text stands not once in its file no longer applies, and fails the run, as does a test
that cannot run. At most one fault in twenty may survive.

Python's start and the libraries would take longer than the tests. So this process imports the libraries and nothing of
the checkout, and forks for each fault: the child imports specc and the tests from its copy, with the fault in them.
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple, NoReturn, TypeVar

import hypothesis
import jsonschema
import networkx
import pluggy
import pytest
import referencing
import yaml

LIBRARIES = (hypothesis, jsonschema, networkx, pluggy, pytest, referencing, yaml)  # that the children find imported

ROOT = Path(__file__).resolve().parents[2]
FAULTS = Path(__file__).with_name("faults.yaml")
LEAST, SURVIVE = 60, 1 / 20
WORKERS = 2
SECONDS = 300
PASSED, FAILED = 0, 1  # exit codes of pytest; any other says that the tests did not run
T = TypeVar("T")


class Fault(NamedTuple):
    """`old` of `file` becomes `new`; `killers` are arguments of pytest, a test file or a node with options."""

    id: str
    what: str
    file: str
    old: str
    new: str
    killers: tuple[str, ...]


def faults() -> list[Fault]:
    listed = yaml.safe_load(FAULTS.read_text(encoding="utf-8"))
    return [
        Fault(id, f["what"], f["file"], f["old"], f["new"], tuple(f["killers"])) for id, f in sorted(listed.items())
    ]


def stale(fault: Fault) -> str:
    """Why a fault no longer applies, "" when it does."""
    path = ROOT / fault.file
    count = path.read_text(encoding="utf-8").count(fault.old) if path.is_file() else 0
    if count != 1:
        return f"{fault.id}: its text stands {count} times in {fault.file}"
    if fault.old == fault.new:
        return f"{fault.id}: it changes nothing"
    missing = [k for k in fault.killers if not (ROOT / shlex.split(k)[0].partition("::")[0]).is_file()]
    return f"{fault.id}: there is no {missing[0]}" if missing else "" if fault.killers else f"{fault.id}: no killers"


def copied(folder: Path) -> Path:
    """The checkout as it is, without what git does not keep."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    for name in filter(None, listed.stdout.decode().split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    return folder


def faulty(fault: Fault, copy: Path) -> Path:
    """Another copy, with the fault. All other files are links to those of the first, as is the bytecode that they left
    there; the time of the faulty one says that its bytecode is of another."""
    made = copy.with_name(fault.id)
    shutil.copytree(copy, made, copy_function=os.link)
    whole = (made / fault.file).read_text(encoding="utf-8")
    (made / fault.file).unlink()
    (made / fault.file).write_text(whole.replace(fault.old, fault.new), encoding="utf-8")
    return made


def tests(copy: Path, killers: Iterable[str]) -> NoReturn:
    """Ends this process as pytest ends in a copy of the checkout: with the first killer that fails, or else with one
    that did not run. The copy's modules go before the installed ones, here and in what a test starts."""
    worst: int = pytest.ExitCode.INTERNAL_ERROR
    try:
        signal.alarm(SECONDS)
        with open(os.devnull, "w") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            os.dup2(nowhere.fileno(), 2)
        modules = [str(copy), str(copy / "plugins")]
        sys.path[:0] = modules
        os.environ["PYTHONPATH"] = os.pathsep.join(modules)
        os.chdir(copy)
        worst = PASSED
        for killer in killers:
            code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", *shlex.split(killer)])
            worst = code if code == FAILED else max(worst, code)
            if code == FAILED:
                break
    finally:
        os._exit(worst)


def ended(jobs: Iterable[T], begin: Callable[[T], tuple[Path, Iterable[str]]]) -> Iterator[tuple[T, int]]:
    """Each job with what its process ended with, as they end; some at a time."""
    running: dict[int, T] = {}

    def one() -> tuple[T, int]:
        pid, status = os.wait()
        return running.pop(pid), os.waitstatus_to_exitcode(status)

    for job in jobs:
        if len(running) == WORKERS:
            yield one()
        copy, killers = begin(job)
        pid = os.fork()
        if not pid:
            tests(copy, killers)
        running[pid] = job
    while running:
        yield one()


def judged(code: int) -> str:
    if code in (FAILED, -signal.SIGALRM):  # a fault that never ends is found by that
        return "killed"
    return "survived" if code == PASSED else f"pytest ended with {code}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("only", nargs="*", help="ids of faults; all when none is named")
    only = parser.parse_args().only
    listed = faults()
    unknown = set(only) - {f.id for f in listed}
    old = [s for f in listed if (s := stale(f))]
    if unknown or old or len(listed) < LEAST:
        print("\n".join([*(f"there is no fault {u}" for u in sorted(unknown)), *old]))
        print(f"{len(listed)} faults, at least {LEAST} are wanted; {len(old)} no longer apply")
        return 1
    chosen = [f for f in listed if not only or f.id in only]
    sys.dont_write_bytecode = False
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "checkout").mkdir()
        return run(chosen, copied(Path(folder) / "checkout"))


def run(chosen: list[Fault], copy: Path) -> int:
    start = time.monotonic()
    of_file: dict[str, set[str]] = {}
    for killer in (k for f in chosen for k in f.killers):
        of_file.setdefault(shlex.split(killer)[0].partition("::")[0], set()).add(killer)
    bad = [name for name, code in ended(of_file, lambda name: (copy, sorted(of_file[name]))) if code != PASSED]
    if bad:
        print("these tests do not pass without any fault: " + ", ".join(bad))
        return 1
    results: dict[str, str] = {}
    for fault, code in ended(chosen, lambda f: (faulty(f, copy), f.killers)):
        shutil.rmtree(copy.with_name(fault.id))
        results[fault.id] = judged(code)
        print(f"{results[fault.id]:9} {fault.id}: {fault.what}", flush=True)
    alive = [i for i, said in results.items() if said != "killed"]
    broken = [i for i in alive if results[i] != "survived"]
    took = os.times()
    print(f"{len(chosen) - len(alive)} of {len(chosen)} killed; not killed: {', '.join(alive) or 'none'}")
    print(
        f"{time.monotonic() - start:.0f} s, of the processor's time {took.children_user + took.children_system:.0f} s"
    )
    return 0 if len(alive) <= SURVIVE * len(chosen) and not broken else 1


if __name__ == "__main__":
    sys.exit(main())
