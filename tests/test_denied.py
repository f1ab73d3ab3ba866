"""What the system denies: files that may not be read, folders and files that may not be written, a disk that is full.

Root passes by every permission, so these run in a process that has laid that power down, where it had it: then the
permissions of a file count for its owner as for anybody else.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
GARDEN = (ROOT / "tests/samples/garden.yaml").read_text(encoding="utf-8")
PACKET = b"%PDF-1.4\n<< /Creator (specc 0.1.0) >>"

# Reads lists of words and the folder each is run in, and prints exit code, output and errors of each.
RUNS = """
import contextlib, ctypes, io, json, os, sys

PAST_PERMISSIONS = 0b110  # CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH, in linux/capability.h
libc = ctypes.CDLL(None)
head = (ctypes.c_uint32 * 2)(0x20080522, 0)  # the third version of the call, this process
sets = (ctypes.c_uint32 * 6)()
if libc.capget(head, sets) == 0:
    for n in range(3):  # effective, permitted, inheritable
        sets[n] &= ~PAST_PERMISSIONS
    libc.capset(head, sets)
probe, cases = json.loads(sys.argv[1])
try:
    open(probe).close()
except PermissionError:
    pass
else:
    sys.exit(77)  # no permission counts here

from specc.cli import main

done = []
for words, folder in cases:
    os.chdir(folder)
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = int(main(words))
    done.append((code, out.getvalue(), err.getvalue()))
print(json.dumps(done))
"""

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="lays down powers as Linux knows them")

Ran = tuple[int, str, str]


def run(tmp_path: Path, cases: Sequence[tuple[Sequence[str], Path]]) -> list[Ran]:
    probe = tmp_path / "probe"
    probe.write_bytes(b"")
    probe.chmod(0)
    given = json.dumps((str(probe), [(words, str(folder)) for words, folder in cases]))
    done = subprocess.run([sys.executable, "-c", RUNS, given], capture_output=True, text=True, cwd=ROOT)
    if done.returncode == 77:
        pytest.skip("this system denies its owner nothing")
    assert done.returncode == 0, done.stderr
    return [tuple(one) for one in json.loads(done.stdout)]


def home(tmp_path: Path, name: str, spec: str = GARDEN) -> Path:
    folder = tmp_path / name
    folder.mkdir()
    (folder / "project.yaml").write_text(spec, encoding="utf-8")
    return folder


def denied(folder: Path, name: str, data: bytes = b"") -> None:
    file = folder / name
    if data:
        file.write_bytes(data)
    file.chmod(0)


def test_what_may_not_be_read_is_said_of_each_file(tmp_path: Path) -> None:
    more = b"people: {zed: {role: watch}}\n"
    letter = "\nattachments: {letter: {file: letter.pdf, title: Letter}}\n"
    spec = home(tmp_path, "spec")
    denied(spec, "project.yaml")
    include = home(tmp_path, "include", "include: [people.yaml]\n" + GARDEN)
    denied(include, "people.yaml", more)
    below = home(tmp_path, "below", "include: [sub/people.yaml]\n" + GARDEN)
    (below / "sub").mkdir()
    (below / "sub/people.yaml").write_bytes(more)
    denied(below, "sub")
    private = home(tmp_path, "private")
    denied(private, "private.yaml", more)
    attached = home(tmp_path, "attached", GARDEN + letter)
    denied(attached, "letter.pdf", PACKET)
    club = home(tmp_path, "club")
    denied(club, "club.py", b"SPECC_CONTRACT = 2\n")
    (club / "sub").mkdir()
    (club / "sub/club.py").write_bytes(b"SPECC_CONTRACT = 2\n")
    denied(club, "sub")
    check = ["check", "project.yaml"]
    cases = [
        (check, spec, 2, "project.yaml"),
        (check, include, 2, "people.yaml"),
        (check, below, 2, "sub/people.yaml"),
        ([*check, "--with", "private.yaml"], private, 2, "private.yaml"),
        (check, attached, 1, "letter.pdf"),
        ([*check, "--plugin", "club.py"], club, 1, "the plugin file club.py"),
        ([*check, "--plugin", "sub/club.py"], club, 1, "the plugin file sub/club.py"),
    ]
    done = run(tmp_path, [(words, folder) for words, folder, _, _ in cases])
    (below / "sub").chmod(0o700)  # or nobody could take it away
    (club / "sub").chmod(0o700)
    for (_, folder, due, name), (code, out, err) in zip(cases, done, strict=True):
        assert (code, err) == (due, ""), (folder.name, out)
        assert f"no permission to read {name}\n" in out, folder.name
        assert "fix: allow this user to read the file\n" in out, folder.name


def test_what_may_not_be_written_is_said_and_stays_as_it_was(tmp_path: Path) -> None:
    slip = GARDEN.replace("elevation:", "elevaton:")
    folder, old = home(tmp_path, "folder"), home(tmp_path, "old")
    fixed, spec = home(tmp_path, "fixed", slip), home(tmp_path, "spec", slip)
    (fixed / "project.yaml").chmod(0o444)
    (old / "out.pdf").write_bytes(PACKET)
    (old / "out.pdf").chmod(0o444)
    (old / "shared.pdf").write_bytes(PACKET)
    (old / "shared.pdf").chmod(0o466)  # others may write it, and its owner may not
    before = {p: p.stat().st_mtime_ns for where in (folder, fixed, old, spec) for p in where.iterdir()}
    folder.chmod(0o555)
    spec.chmod(0o555)
    done = run(
        tmp_path,
        [
            (["compile", "project.yaml"], folder),
            (["compile", "project.yaml", "-o", "out.pdf"], folder),
            (["cards", "project.yaml", "-o", "out.pdf"], folder),
            (["drawing", "project.yaml", "plumbing", "-o", "out.svg"], folder),
            (["start", "new"], folder),
            (["check", "project.yaml", "--fix", "--write"], spec),
            (["check", "project.yaml", "--fix", "--write"], fixed),
            (["compile", "project.yaml", "-o", "out.pdf"], old),
            (["compile", "project.yaml", "-o", "shared.pdf"], old),
        ],
    )
    folder.chmod(0o755)
    spec.chmod(0o755)
    for code, out, err in done:
        assert code == 2, out + err
        assert err.startswith("specc: cannot ")
    said = [err.strip().rpartition(": ")[2] for _, _, err in done]
    assert said == ["Permission denied"] * 6 + ["it is read-only"] * 3
    after = {p: p.stat().st_mtime_ns for where in (folder, fixed, old, spec) for p in where.iterdir()}
    assert after == before  # nothing new either


# A disk of 64 kB that only the processes of this test see, filled to its last byte beside an older packet.
SMALL = """
mount -t tmpfs -o size=64k none "$0" || exit 77
cp "$1"/* "$0" && shift && cd "$0" || exit 1
head -c 65536 /dev/zero >full 2>&1
"$@"; code=$?
echo left:; ls -A; cat out.pdf; exit $code
"""


def test_a_full_disk_leaves_the_older_file_and_nothing_else(tmp_path: Path) -> None:
    disk, given = tmp_path / "disk", home(tmp_path, "given")
    disk.mkdir()
    (given / "out.pdf").write_bytes(PACKET)
    unshare = shutil.which("unshare")
    ways = (["-m"], ["-m", "-r"]) if unshare else ()  # root's way, and that of others where they may
    alone = next(
        (w for w in ways if subprocess.run([str(unshare), *w, "true"], capture_output=True).returncode == 0), None
    )
    if alone is None:
        pytest.skip("this system gives nobody a file system of its own")
    words = [sys.executable, "-m", "specc", "compile", "project.yaml", "-o", "out.pdf"]
    done = subprocess.run(
        [str(unshare), *alone, "sh", "-c", SMALL, str(disk), str(given), *words], capture_output=True, text=True
    )
    if done.returncode == 77:
        pytest.skip("this system lets nobody mount a small disk")
    assert done.stderr == "specc: cannot write out.pdf: No space left on device\n"
    assert done.returncode == 2
    assert done.stdout.endswith("left:\nfull\nout.pdf\nproject.yaml\n" + PACKET.decode())
