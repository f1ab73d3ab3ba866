"""`specc compare`: each kind of change is told, equal specs are equal, and revisions of git are read with includes."""

from __future__ import annotations

import itertools
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from pdf_text import read_pages

from specc.cli import main
from specc.engine.compare import TABLES, rows_by_name, since
from specc.engine.road import CHECK, Ask, travel
from specc.model.blocks import Column, Row, Table
from specc.model.result import Result

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_projects" / "garden_brazier"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The project in a folder of a repository, as it mostly is."""
    shutil.copytree(SAMPLE, tmp_path / "works" / "brazier")
    (tmp_path / "works" / "other.txt").write_text("beside it")
    return tmp_path / "works" / "brazier"


def git(folder: Path, *words: str) -> None:
    who = ("-c", "user.name=A. Nobody", "-c", "user.email=nobody@example.invalid")
    subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True)


def compared(capsys: pytest.CaptureFixture[str], old: str, new: str, code: int) -> dict[str, dict[str, dict[str, str]]]:
    assert main(["compare", old, new, "--format", "json"]) == code
    made: dict[str, dict[str, dict[str, str]]] = {}
    for change in json.loads(capsys.readouterr().out)["changes"]:
        made.setdefault(change["kind"], {})[change["what"]] = change
    return made


def test_a_spec_is_as_itself(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = str(folder / "project.yaml")
    assert main(["compare", spec, str(folder)]) == 0
    assert "nothing changed" in capsys.readouterr().out


def test_what_changed_since_a_commit_is_told_by_kind(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    git(folder.parent, "init", "-q")
    git(folder.parent, "add", "-A")
    git(folder.parent, "commit", "-qm", "as approved")
    spec = folder / "project.yaml"
    text = spec.read_text()
    for old, new in (
        ("No. 70 orifice", "No. 60 orifice"),
        ("at: [16 ft, -5 ft, 0 ft]", "at: [10 ft, -5 ft, 0 ft]"),
        ("elevation: 420 ft", "elevation: 900 ft"),
        ("revision: 1", "revision: 2"),
    ):
        assert old in text
        text = text.replace(old, new)
    spec.write_text(text)
    made = compared(capsys, f"{spec}@HEAD", str(spec), 0)
    flow = made["figure"]["fuel.flow.ring"]
    assert flow["by"].startswith("+")
    assert flow["review"] == "gas"
    assert flow["was"] != flow["now"]
    assert made["place"]["post"]["review"] == "distance"
    assert "420 ft" in made["event"]["elevation"]["was"]
    assert "fo1" in made["part"]
    # The other way round nothing is lost.
    back = compared(capsys, str(spec), f"{spec}@HEAD", 0)
    assert back["figure"]["fuel.flow.ring"]["was"] == flow["now"]


LANTERN = ROOT / "sample_projects" / "lantern_reeds"


@pytest.fixture(scope="module")
def approved() -> Result:
    return travel(str(LANTERN / "project.yaml"), None, Ask(CHECK, frozenset(TABLES)))


@pytest.mark.parametrize(
    ("file", "was", "now", "review", "told"),
    [
        ("plumbing.yaml", "set: 30 psi", "set: 28 psi", "gas", "pr2"),
        ("project.yaml", "at: [0 ft, -40 ft, 0 ft]", "at: [0 ft, -38 ft, 0 ft]", "distance", "rope"),
        ("crew.yaml", "age: 47", "age: 46", "people", "alder"),
        ("plumbing.yaml", "filler: BAg-5", "filler: BAg-7", "materials", "BAg-7"),
        ("control.yaml", "30 ft", "35 ft", "control", "w_1"),
        ("crew.yaml", "above: 15 mph", "above: 14 mph", "limits", "above 14 mph"),
        ("project.yaml", "stop: 15 mph", "stop: 14 mph", "weather", "wind 14 mph"),
        ("project.yaml", "times: 12", "times: 11", "show", "11 of"),
        ("project.yaml", "2.5 gal", "2.4 gal", "extinguishers", "water_"),
    ],
)
def test_what_calls_for_a_new_review_says_of_what(
    approved: Result, tmp_path: Path, file: str, was: str, now: str, review: str, told: str
) -> None:
    shutil.copytree(LANTERN, tmp_path / "works")
    text = (tmp_path / "works" / file).read_text(encoding="utf-8")
    assert was in text
    (tmp_path / "works" / file).write_text(text.replace(was, now), encoding="utf-8")
    result = travel(str(tmp_path / "works" / "project.yaml"), None, Ask(CHECK, frozenset(TABLES)))
    found = since(approved, result, "revision 3")
    assert any(c.review == review and told in f"{c.what} {c.was} {c.now}" for c in found.changes), found.changes
    assert review in found.reviews()
    assert found.same  # the revision was not counted up


def test_a_part_of_another_metal_calls_for_a_review_of_materials(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It read "gas" alone, so that whoever answers for materials was not asked."""
    before = tmp_path / "before.yaml"
    spec = folder / "project.yaml"
    shutil.copy(spec, before)
    spec.write_text(spec.read_text().replace("nipple: black steel", "nipple: brass"))
    parts = compared(capsys, str(before), str(spec), 1)["part"]
    assert parts
    assert {c["review"] for c in parts.values()} == {"materials"}
    spec.write_text(spec.read_text().replace("nipple: 300 psi", "nipple: 250 psi"))
    parts = compared(capsys, str(before), str(spec), 1)["part"]
    assert {c["review"] for c in parts.values()} == {"gas and materials"}
    told = since(*(travel(str(f), None, Ask(CHECK, frozenset(TABLES))) for f in (before, spec)), "before")
    assert told.reviews()["materials"] >= len(parts)
    assert told.reviews()["gas"] >= len(parts)
    assert not any(" and " in what for what in told.reviews())


@pytest.mark.parametrize(
    ("old", "new", "what", "review"),
    [
        ("555-555-0142", "555-555-0177", "operators.phone", "people"),
        ("Sluice Lane", "Mill Lane", "operators.emergency.address", "people"),
        ("lit wand straight up, or READY", "both arms up, or READY", "operators.signals.ready.given", "people"),
        ("channel 3", "channel 4", "operators.equipment.radios", "people"),
    ],
)
def test_what_no_figure_and_no_table_tells_of_is_an_entry(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, what: str, review: str
) -> None:
    """Another address for help read "nothing changed"."""
    shutil.copytree(LANTERN, tmp_path / "reeds")
    crew = tmp_path / "reeds" / "crew.yaml"
    assert old in crew.read_text()
    crew.write_text(crew.read_text().replace(old, new))
    made = compared(capsys, str(LANTERN), str(tmp_path / "reeds"), 1)
    assert list(made) == ["entry"]
    assert made["entry"][what]["review"] == review
    assert old in made["entry"][what]["was"]
    assert new in made["entry"][what]["now"]


def test_another_layout_of_the_same_words_is_no_change(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = folder / "project.yaml"
    other = tmp_path / "other.yaml"
    other.write_text("# a remark\n" + spec.read_text().replace("lasts: 1 h}", "lasts: '1 h'}"))
    assert main(["compare", str(spec), str(other)]) == 1  # both name one revision, and their bytes differ
    assert "nothing changed but how the files are written" in capsys.readouterr().out


def test_what_a_private_file_says_is_no_entry(folder: Path) -> None:
    private = folder / "private.yaml"
    private.write_text("people: {heron: {name: Wendeline Heronsgate, phone: 555-555-0100}}\n")
    made = travel(str(folder / "project.yaml"), [str(private)], Ask(CHECK, frozenset(TABLES), written=True))
    assert made.written
    assert not any("Heronsgate" in text or "0100" in text for _, text in made.written)


def test_findings_gained_and_cured(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    worse = tmp_path / "worse"
    shutil.copytree(folder, worse)
    spec = worse / "project.yaml"
    spec.write_text(
        spec.read_text()
        .replace("revision: 1", "revision: 2")
        .replace("overfill_device: true", "overfill_device: false")
    )
    gained = compared(capsys, str(folder), str(worse), 0)
    assert any(not c["was"] and c["now"] for c in gained["finding"].values())
    cured = compared(capsys, str(worse), str(folder), 0)
    assert any(c["was"] and not c["now"] for c in cured["finding"].values())
    assert gained["rule"]


def test_two_that_differ_and_name_one_revision_are_found(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other"
    shutil.copytree(folder, other)
    spec = other / "project.yaml"
    spec.write_text(spec.read_text().replace("elevation: 420 ft", "elevation: 430 ft"))
    assert main(["compare", str(folder), str(other)]) == 1
    assert "both name the revision 1" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["none.yaml", "project.yaml@no-such-revision", "project.yaml@--output=x"])
def test_what_is_not_there_is_said(folder: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(folder / name), str(folder)]) == 2
    assert capsys.readouterr().err


@pytest.fixture(scope="module")
def packets(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A packet as approved, and one of a spec that changed since, which says so."""
    base = tmp_path_factory.mktemp("packets")
    shutil.copytree(SAMPLE, base / "brazier")
    spec = base / "brazier" / "project.yaml"
    assert main(["compile", "--quiet", str(spec), "-o", str(base / "old.pdf")]) == 0
    spec.write_text(spec.read_text().replace("No. 70 orifice", "No. 68 orifice"))
    args = ["compile", "--quiet", str(spec), "--since", str(base / "old.pdf"), "-o", str(base / "new.pdf")]
    assert main([*args, "--revision", "2 of the garden"]) in (0, 1)
    return base / "old.pdf", base / "new.pdf"


def test_packets_are_compared_by_the_specs_in_them(
    packets: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = packets
    capsys.readouterr()
    made = compared(capsys, str(old), str(new), 0)  # the revision is the printed one, so the two differ in it
    assert made["figure"]["fuel.flow.ring"]["review"] == "gas"
    # The same by the spec beside it, which still says revision 1.
    assert main(["compare", str(old), str(new.parent / "brazier")]) == 1
    assert "both name the revision 1" in capsys.readouterr().err


def test_a_packet_shows_what_changed_since(packets: tuple[Path, Path]) -> None:
    from pypdf import PdfReader

    reader = PdfReader(packets[1])
    pages = read_pages(packets[1].read_bytes())
    assert "since old.pdf (revision 1, issued 2027-06-01)" in pages[0]
    assert "New review: gas" in pages[0]
    # The contents name the part too: it begins with how many changed. Its table may begin on the next page.
    begins = re.compile(r"Changed since old\.pdf \d+ changes since old\.pdf ")
    (sign_off,) = [n for n, t in enumerate(pages) if begins.search(t)]
    ends = next(n for n, t in enumerate(pages) if n >= sign_off and "Questions that need you" in t)
    whole = " ".join(pages[sign_off : ends + 1])
    assert "What changed" in whole
    assert "fuel.flow.ring" in whole
    assert "fo1" in whole
    assert "bar in the margin" in whole
    # The bars: heavy strokes left of the text, on pages with what changed and on no other packet's.
    bars = [n for n, p in enumerate(reader.pages) if b"2 w n 54 " in p.get_contents().get_data().replace(b"\n", b" ")]
    assert bars
    plain = PdfReader(packets[0])
    assert not any(b"2 w n 54 " in p.get_contents().get_data().replace(b"\n", b" ") for p in plain.pages)


def test_a_pdf_that_is_no_packet_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "other.pdf").write_bytes(b"%PDF-1.4 nothing of ours")
    assert main(["compare", str(tmp_path / "other.pdf"), str(SAMPLE)]) == 2
    assert "carries no spec" in capsys.readouterr().err


def test_nothing_in_a_packet_is_written_outside_its_folder(tmp_path: Path) -> None:
    import hashlib
    import zlib

    from specc.packet.embed import unpacked

    def stream(data: bytes) -> bytes:
        return b"<< /Type /EmbeddedFile\n>>\nstream\n" + zlib.compress(data) + b"\nendstream\n"

    for name in ("/etc/specc-was-here", "a/../../../b"):
        files = [{"name": name, "sha256": hashlib.sha256(b"x").hexdigest()}]
        manifest = json.dumps({"specc": "0", "files": files}).encode()
        (tmp_path / "in").mkdir(exist_ok=True)
        if name.startswith("/"):
            with pytest.raises(ValueError, match="outside its folder"):
                unpacked(stream(b"x") + stream(manifest), str(tmp_path / "in"))
        else:
            unpacked(stream(b"x") + stream(manifest), str(tmp_path / "in"))
    assert not (tmp_path / "b").exists()
    with pytest.raises(ValueError, match="not the file that its manifest names"):
        unpacked(stream(b"other") + stream(manifest), str(tmp_path / "in"))


def test_a_row_goes_by_the_column_that_names_it_wherever_that_stands() -> None:
    """A joint's number moves with every part that is put in before it."""
    number, between, ends = Column("no.", counts=True), Column("between", names=True), Column("ends")
    cells = {number: ("1", "2"), between: ("v1 to p1", "p1 to v2"), ends: ("1/2 in NPT", "CGA 510")}
    for columns in itertools.permutations(cells):
        rows = tuple(Row(row) for row in zip(*(cells[c] for c in columns), strict=True))
        assert rows_by_name(Table("joints", "", columns, rows)) == {"v1 to p1": "1/2 in NPT", "p1 to v2": "CGA 510"}
    unnamed = Table("people", "", (Column("tag"), Column("role")), (Row(("ada", "lead")), Row(("ada", "valve"))))
    assert rows_by_name(unnamed) == {"ada": "lead", "ada (2)": "valve"}


def test_the_joint_schedule_says_which_column_names_a_joint() -> None:
    made = travel(str(SAMPLE / "project.yaml"), None, Ask(frozenset(), frozenset({"table plumbing.joint_schedule"})))
    rows = rows_by_name(dict(made.tables)["plumbing.joint_schedule"])
    assert rows
    assert all(" to " in name or name.startswith("within ") for name in rows)
