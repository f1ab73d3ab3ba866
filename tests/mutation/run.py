"""Makes small faults in the wiring between spec and law, one at a time, and sees whether the tests find them.

    python tests/mutation/run.py              all of faults.yaml, in about ten minutes on two cores
    python tests/mutation/run.py jets_not_blocked droop_tenth

Run by hand, and not with the other tests. Each fault is a text of one file that another takes the place of, and the
tests that should kill it. The fault is made in a copy of the checkout, so that nothing here changes; the checkout's own
tests have to pass first. A fault whose text stands not once in its file no longer applies, and fails the run, as does a
test that cannot run. At most one fault in twenty may survive.
"""

from __future__ import annotations

import argparse
import os
import queue
import shlex
import shutil
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import NamedTuple

import yaml

ROOT = Path(__file__).resolve().parents[2]
FAULTS = Path(__file__).with_name("faults.yaml")
LEAST, SURVIVE = 60, 1 / 20
WORKERS = 2
SECONDS = 300
PASSED, FAILED = 0, 1  # exit codes of pytest; any other says that the tests did not run


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


def tests(copy: Path, killer: str) -> int:
    """The exit code of pytest in a copy of the checkout, whose modules go before the installed ones."""
    paths = os.pathsep.join((str(copy), str(copy / "plugins")))
    environment = {**os.environ, "PYTHONPATH": paths, "PYTHONDONTWRITEBYTECODE": "1"}
    call = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *shlex.split(killer)]
    try:
        done = subprocess.run(call, cwd=copy, env=environment, capture_output=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return FAILED  # a fault that never ends is found by that
    return done.returncode


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
            shutil.copyfile(ROOT / name, folder / name)
    return folder


def judged(fault: Fault, copy: Path) -> str:
    """ "killed", "survived", or why its tests did not run."""
    path = copy / fault.file
    whole = path.read_text(encoding="utf-8")
    path.write_text(whole.replace(fault.old, fault.new), encoding="utf-8")
    try:
        codes = []
        for killer in fault.killers:
            codes.append(tests(copy, killer))
            if codes[-1] == FAILED:
                return "killed"
        return "survived" if set(codes) == {PASSED} else f"pytest ended with {codes}"
    finally:
        path.write_text(whole, encoding="utf-8")


def all_of(jobs: list[Fault]) -> dict[str, str]:
    waiting: queue.Queue[Fault] = queue.Queue()
    for job in jobs:
        waiting.put(job)
    ended: dict[str, str] = {}

    def work() -> None:
        with tempfile.TemporaryDirectory() as folder:
            copy = copied(Path(folder))
            while True:
                try:
                    fault = waiting.get_nowait()
                except queue.Empty:
                    return
                ended[fault.id] = judged(fault, copy)
                print(f"{ended[fault.id]:9} {fault.id}: {fault.what}", flush=True)

    workers = [threading.Thread(target=work) for _ in range(WORKERS)]
    for one in workers:
        one.start()
    for one in workers:
        one.join()
    return ended


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
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(Path(folder))
        killers = sorted({k for f in chosen for k in f.killers})
        with ThreadPoolExecutor(WORKERS) as workers:
            codes = workers.map(partial(tests, copy), killers)
            bad = [k for k, code in zip(killers, codes, strict=True) if code != PASSED]
    if bad:
        print("these tests do not pass without any fault: " + ", ".join(bad))
        return 1
    ended = all_of(chosen)
    killed = sum(e == "killed" for e in ended.values())
    alive = ", ".join(i for i, e in ended.items() if e != "killed") or "none"
    print(f"{killed} of {len(chosen)} killed; not killed: {alive}")
    broken = [i for i, e in ended.items() if e not in ("killed", "survived")]
    return 0 if len(chosen) - killed <= SURVIVE * len(chosen) and not broken else 1


if __name__ == "__main__":
    sys.exit(main())
