"""Files are written whole or not at all, where nobody is surprised, and nothing is left behind."""

from __future__ import annotations

import csv
import io
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from specc.cli import main
from specc.model.blocks import Column, Row, Table
from specc.testing import project
from specc.verbs.table import csv_of
from specc.verbs.writing import bad_epoch, not_own, unfit, write_whole

SMALL = Path(__file__).parent / "samples/bare.yaml"

ROOT = Path(__file__).resolve().parent.parent
PACKET = b"%PDF-1.4\n<< /Creator (specc 0.1.0) >>"


def left(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_a_packet_replaces_only_a_packet(tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    assert not_own(str(out), str(tmp_path)) == ""
    out.write_bytes(PACKET)
    assert not_own(str(out), str(tmp_path)) == ""
    for other in (b"", b"notes", b"%PDF-1.7\n<< /Creator (another) >>"):
        out.write_bytes(other)
        assert "was not made by specc" in not_own(str(out), str(tmp_path))


def test_a_link_is_followed_only_inside_the_project(tmp_path: Path) -> None:
    home, away = tmp_path / "home", tmp_path / "home_away"
    for folder in (home, home / "packets", away):
        folder.mkdir()
    inside, outside, dangling = home / "a.pdf", home / "b.pdf", home / "c.pdf"
    inside.symlink_to("packets/a.pdf")
    outside.symlink_to(away / "b.pdf")
    dangling.symlink_to("../home_away/c.pdf")
    (home / "packets/a.pdf").write_bytes(PACKET)
    (away / "b.pdf").write_bytes(PACKET)
    assert not_own(str(inside), str(home)) == ""
    assert "outside the project" in not_own(str(outside), str(home))
    assert "outside the project" in not_own(str(dangling), str(home))
    assert write_whole(str(inside), b"new") == ""
    assert inside.is_symlink()
    assert (home / "packets/a.pdf").read_bytes() == b"new"


def test_compile_asks_before_it_writes_beside_the_spec(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec, out = tmp_path / "project.yaml", tmp_path / "brazier.pdf"
    text = (ROOT / "sample_projects/garden_brazier/project.yaml").read_text(encoding="utf-8")
    spec.write_text(text.replace("id: garden_brazier", "id: brazier"), encoding="utf-8")
    out.write_bytes(b"my own drawing")
    assert main(["compile", str(spec)]) == 2
    assert "was not made by specc" in capsys.readouterr().err
    assert out.read_bytes() == b"my own drawing"
    assert main(["compile", str(spec), "-o", str(out)]) == 0
    assert main(["compile", str(spec)]) == 0


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o666])
def test_the_older_file_s_mode_is_kept(tmp_path: Path, mode: int) -> None:
    out = tmp_path / "out.pdf"
    out.write_bytes(b"old")
    out.chmod(mode)
    assert write_whole(str(out), b"new") == ""
    assert (out.read_bytes(), stat.S_IMODE(out.stat().st_mode)) == (b"new", mode)


def test_a_new_file_has_the_usual_mode_and_a_read_only_one_is_refused(tmp_path: Path) -> None:
    out, plain = tmp_path / "out.pdf", tmp_path / "plain"
    plain.write_bytes(b"")
    assert write_whole(str(out), b"old") == ""
    assert out.stat().st_mode == plain.stat().st_mode
    out.chmod(0o444)
    assert "read-only" in write_whole(str(out), b"new")
    assert out.read_bytes() == b"old"
    assert left(tmp_path) == ["out.pdf", "plain"]


def test_a_disk_that_fills_leaves_the_older_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out.pdf"
    out.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert write_whole(str(out), b"new") == f"cannot write {out}: No space left on device"
    assert (out.read_bytes(), left(tmp_path)) == (b"old", ["out.pdf"])


LOOP = """
import signal, sys
from specc.verbs.writing import write_whole
signal.signal(signal.SIGHUP, signal.SIG_DFL)  # whoever runs the tests may ignore it (nohup), and that is inherited
print("ready", flush=True)
n = 0
while True:
    n += 1
    assert write_whole(sys.argv[1], bytes([65 + n % 2]) * 3_000_000) == ""
"""


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_ended_in_the_write_it_leaves_one_whole_file_and_nothing_else(tmp_path: Path) -> None:
    from random import Random

    random, out = Random(12), tmp_path / "out.pdf"
    for n in range(50):
        number = (signal.SIGTERM, signal.SIGHUP, signal.SIGKILL)[n % 3]
        run = subprocess.Popen([sys.executable, "-c", LOOP, str(out)], stdout=subprocess.PIPE, cwd=ROOT)
        assert run.stdout is not None
        assert run.stdout.readline() == b"ready\n"
        time.sleep(random.uniform(0.002, 0.03))
        run.send_signal(number)
        run.communicate(timeout=30)
        assert run.returncode == -number
        pieces = [p for p in tmp_path.iterdir() if p.suffix == ".part"]
        assert number == signal.SIGKILL or not pieces  # against that one, nothing can be done
        for piece in pieces:
            piece.unlink()
        assert left(tmp_path) in (["out.pdf"], [])
        if out.exists():
            assert out.read_bytes() in (b"A" * 3_000_000, b"B" * 3_000_000)


def test_a_folder_that_takes_no_file_is_said() -> None:
    folder = next((f for f in ("/sys", "/proc") if os.path.isdir(f)), None)
    if folder is None:
        pytest.skip("no folder that even root cannot write to")
    assert write_whole(f"{folder}/out.pdf", b"new").startswith(f"cannot write {folder}/out.pdf: ")


SOME = """
import sys
from specc.verbs.writing import write_whole
for n in range(40):
    assert write_whole(sys.argv[1], sys.argv[2].encode() * 3_000_000) == ""
"""


def test_two_at_once_leave_one_of_the_two_files(tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    both = [subprocess.Popen([sys.executable, "-c", SOME, str(out), letter], cwd=ROOT) for letter in "AB"]
    seen = set()
    while any(run.poll() is None for run in both):
        if out.exists():
            data = out.read_bytes()
            assert data[:1] * 3_000_000 == data  # never a piece of one, nor of both
            seen.add(data[:1])
    assert [run.returncode for run in both] == [0, 0]
    assert seen
    assert left(tmp_path) == ["out.pdf"]


def test_a_spreadsheet_runs_no_cell() -> None:
    run = ('=HYPERLINK("x")', "+1+cmd", "-2+3", "@SUM(1)", "\tx", "\r=1", "\n=1", " =1", "\u00a0+1", "＝1+1", "-5 °F")
    cells = (*run, "-", "-5.2", "+1,000", "−40 °F", "tank", " tank", "a=1")
    table = Table("t", "t", tuple(map(Column, cells)), (Row(cells),))
    for row in csv.reader(io.StringIO(csv_of(table), newline="")):  # the names of columns too
        assert row[: len(run)] == ["'" + cell for cell in run]
        assert row[len(run) :] == list(cells[len(run) :])


@pytest.mark.skipif(os.name != "posix", reason="elsewhere a folder in use stays")
def test_a_working_folder_that_is_gone_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    spec = str(tmp_path / "project.yaml")
    assert "is gone" in unfit("out.pdf", [spec], spec, named=True)
    assert unfit(str(tmp_path / "out.pdf"), ["project.yaml"], spec, named=True) == ""


@pytest.mark.skipif(os.name != "posix", reason="elsewhere a folder in use stays")
def test_a_packet_is_written_where_the_working_folder_is_gone(tmp_path: Path) -> None:
    """In a process that has not imported reportlab yet, which asks for it."""
    spec, out = project(tmp_path, SMALL), tmp_path / "out.pdf"
    (tmp_path / "gone").mkdir()
    code = "import os, sys; os.rmdir(os.getcwd()); from specc.cli import main; sys.exit(main(sys.argv[1:]))"
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
    done = subprocess.run(
        [sys.executable, "-c", code, "compile", str(spec), "-o", str(out)],
        cwd=tmp_path / "gone", env=environment, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("text", ["noon", "-5", "1e5", "253402300800", "9" * 4000, " 17", "٣", "1.5"])
@pytest.mark.parametrize("verb", ["compile", "cards"])
def test_a_source_date_that_is_none_is_refused(
    verb: str, text: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
    assert main([verb, "absent.yaml"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("specc: SOURCE_DATE_EPOCH is ")
    assert len(said) < 300


@pytest.mark.parametrize("text", ["", "0", "1700000000", "253402300799"])
def test_a_source_date_that_is_one_is_taken(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
    assert bad_epoch() == ""
