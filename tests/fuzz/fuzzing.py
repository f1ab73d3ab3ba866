"""Mutations of the samples, and what a run on one of them may not do.

Each case comes from a seed and its number alone, so a fault is named by two numbers. By hand, for an hour:

    nice .venv/bin/python tests/fuzz/fuzzing.py --seconds 3600 --seed 7

It prints each kind of fault once, with the mutated spec's path, and at the end how many cases ran.
"""

from __future__ import annotations

import argparse
import contextlib
import copy
import io
import json
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import yaml

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ("garden_brazier", "lantern_reeds", "broken_mast")
HANG = 10  # s of processor time: a busy machine is no hang
WAIT = 300  # s by the clock: what waits for something takes no processor time
# Values of every kind of field that a maker, or somebody who means harm, may write.
ODD: tuple[Any, ...] = (
    "", " ", "0", "-1", "0 in", "-3 ft", "1e60 in", "1e-160 in", "1e308 psi", "1e-300 s", "1e13 h", "0 s", "1e9 gal",
    "-459.67 °F", "-1000 °F", "1e6 °F", "0.1 in ± 0.2 in", "5 ± 5 psi", "1/0 in", "1e-9 in", "100000 ft", "24 h",
    "25:00", "23:59", "00:00", "9999-12-31", "0001-01-01", "2027-02-30", "1/2 in NPT", "3/8 female flare",
    "CGA 510 male", None, True, False, 0, -1, 1, 10**6, 10**30, 1.5, -0.0, [], {}, [[]], {"a": {}}, ["a", "a"],
    "a" * 5000, "\u202e", "é", "/etc/passwd", "../x", "steady", "burst", "tank", "propane", "none", "brazed", "all",
)  # fmt: skip


class Fault(NamedTuple):
    """What went wrong; `kind` is the same for all cases of one fault."""

    kind: str
    detail: str


class TooLong(BaseException):
    """A run took longer than it may. Not an Exception: nothing that catches those may swallow it."""


def nodes(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The paths of all values but the whole."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        yield (*at, key)
        yield from nodes(value, (*at, key))


def _holder(data: Any, path: tuple[Any, ...]) -> Any:
    for key in path[:-1]:
        data = data[key]
    return data


def structured(data: Any, random: Random) -> Any:
    """The spec with one to three of its values changed, removed, moved, copied or renamed."""
    data = copy.deepcopy(data)
    for _ in range(random.choice((1, 1, 1, 2, 3))):
        paths = list(nodes(data))
        if not paths:
            break
        path = random.choice(paths)
        holder, key = _holder(data, path), path[-1]
        match random.randrange(8):
            case 0 | 1 | 2:
                holder[key] = copy.deepcopy(random.choice(ODD))
            case 3:
                del holder[key]
            case 4:
                other = random.choice(paths)
                holder[key] = copy.deepcopy(_holder(data, other)[other[-1]])
            case 5 if isinstance(holder, dict):
                holder[random.choice(("x", "tank", str(key) + "_2", 7, str(key).upper()))] = holder.pop(key)
            case 6 if isinstance(holder, list):
                holder[:] = (holder * random.choice((2, 20)))[:200]
            case _ if isinstance(holder[key], str) and holder[key]:
                holder[key] = _scaled(holder[key], random)
            case _:
                holder[key] = None
    return data


def _scaled(text: str, random: Random) -> str:
    """The same text with a number in it far larger, far smaller, or of the other sign."""
    digits = [i for i, c in enumerate(text) if c.isdigit()]
    if not digits:
        i = random.randrange(len(text))
        return text[:i] + random.choice("x0 -°/±") + text[i + 1 :]
    i = random.choice(digits)
    return text[:i] + random.choice(("0", "9", "00000", "99999", "0.000001", "-1", "e9", "1e-9")) + text[i + 1 :]


def torn(data: bytes, random: Random) -> bytes:
    """The file with some of its bytes changed, lost, repeated or cut off."""
    made = bytearray(data)
    for _ in range(random.choice((1, 1, 2, 8))):
        i, n = random.randrange(len(made) + 1), random.choice((1, 1, 4, 40))
        match random.randrange(5):
            case 0:
                made[i : i + n] = random.randbytes(n)
            case 1:
                del made[i : i + n]
            case 2:
                made[i:i] = random.choice(
                    (b"\n", b"  ", b": ", b"- ", b"{", b"&a ", b"*a", b"\xff", b"\x00", b"\t", b"!!")
                )
            case 3:
                j = random.randrange(len(made) + 1)
                made[i:i] = made[j : j + n * 10]
            case _:
                made = made[: random.randrange(len(made) + 1)] or made
    return bytes(made)


@cache
def _read(sample: str) -> Any:
    """A sample's own values, as specc reads them: numbers are numbers, and what looks like a date is text."""
    from specc.spec.source import load

    return load(str(ROOT / "sample_projects" / sample / "project.yaml")).data


def case(seed: int, number: int, folder: Path) -> tuple[Path, list[str]]:
    """Write a mutated copy of a sample, and give the spec and the words of the run to make on it."""
    random = Random(f"{seed}:{number}")
    sample = random.choice(SAMPLES)
    where = folder / sample
    if not where.exists():
        shutil.copytree(ROOT / "sample_projects" / sample, where)
    original = (ROOT / "sample_projects" / sample / "project.yaml").read_bytes()
    if random.random() < 0.8:
        changed = structured(_read(sample), random)
        text = yaml.safe_dump(changed, allow_unicode=True, sort_keys=False).encode("utf-8", "surrogatepass")
    else:
        text = torn(original, random)
    spec = where / "project.yaml"
    spec.write_bytes(text)
    # Most of what can break is reached by `check`; drawings, tables and pages by `compile`.
    if random.random() < 0.85:
        return spec, ["check", str(spec), "--format", "json"]
    return spec, ["compile", str(spec), "-o", str(folder / "out.pdf")]


def _ring(*_: object) -> None:
    raise TooLong


def _ring_after(of_the_processor: float, by_the_clock: float) -> None:
    """0: not at all."""
    signal.setitimer(signal.ITIMER_PROF, of_the_processor)
    signal.setitimer(signal.ITIMER_REAL, by_the_clock)


def fault_of(words: list[str]) -> Fault | None:
    """Run a verb in this process; what it did that it may not, if anything."""
    from specc.cli import main

    out, err = io.StringIO(), io.StringIO()
    signal.signal(signal.SIGPROF, _ring)
    signal.signal(signal.SIGALRM, _ring)
    _ring_after(HANG, WAIT)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main([*words, "--traceback"])
    except TooLong:
        return Fault(f"longer than {HANG} s at {_where(sys.exc_info()[2])}", traceback.format_exc())
    except (Exception, RecursionError) as e:
        return Fault(f"{type(e).__name__} at {_where(e.__traceback__)}", traceback.format_exc())
    finally:
        _ring_after(0, 0)
    if code not in (0, 1, 2, 3):
        return Fault(f"exit code {code}", err.getvalue())
    if code == 3:
        return _crash(words, out.getvalue(), err.getvalue())
    if "Traceback (most recent call last)" in err.getvalue():
        return Fault(f"a traceback with exit code {code}", err.getvalue()[-3000:])
    return None


def _crash(words: list[str], out: str, err: str) -> Fault:
    """Of an exit code 3: which pass of a built-in plugin crashed. Tracebacks go to standard error."""
    said = out + err
    if words[0] == "check":
        found = [f for file in json.loads(out)["files"] for f in file["findings"] if f["rule"].startswith("plugin")]
        if found:
            return Fault("; ".join(sorted({f"{f['plugin']}: {f['message'][:110]}" for f in found})), said[-3000:])
    crashes = [line for line in said.splitlines() if "crash" in line or "plugin." in line]
    return Fault("; ".join(crashes)[:200] or "exit code 3", said[-3000:])


def _where(trace: Any) -> str:
    """The innermost line of specc or a plugin."""
    frames = [f for f in traceback.extract_tb(trace) if "/specc" in f.filename and "site-packages" not in f.filename]
    return f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "?"


def search(seed: int, seconds: float, tell: bool = False) -> tuple[int, dict[str, tuple[int, Fault]]]:
    """Run cases for so long. Gives their number, and each kind of fault with the first case that has it."""
    faults: dict[str, tuple[int, Fault]] = {}
    end, number = time.monotonic() + seconds, 0
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        while time.monotonic() < end:
            _, words = case(seed, number, folder)
            fault = fault_of(words)
            if fault and fault.kind not in faults:
                faults[fault.kind] = (number, fault)
                if tell:
                    print(f"--seed {seed} --case {number}: {fault.kind}\n{fault.detail[-700:]}\n", flush=True)
            number += 1
    return number, faults


def main_() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--case", type=int, help="run this case alone, and keep its files in a folder that is named")
    args = parser.parse_args()
    if args.case is not None:
        folder = Path(tempfile.mkdtemp())
        spec, words = case(args.seed, args.case, folder)
        print(spec, fault_of(words))
        return 0
    number, faults = search(args.seed, args.seconds, tell=True)
    print(f"{number} cases, {len(faults)} kinds of fault")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main_())
