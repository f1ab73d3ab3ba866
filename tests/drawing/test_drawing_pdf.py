"""One drawing by itself: as a PDF, and what `specc drawing` writes."""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "packet"))

from drawing_checks import ZONES, chain, large, schematic
from fake import fake

from specc.cli import main
from specc.drawing.shapes import Circle, Drawing, Line, Sheet, Text
from specc.model.result import Result
from specc.packet import fonts
from specc.packet.drawing_pdf import render_drawing
from specc.packet.press import Press
from specc.packet.style import PAPERS

ROOT = Path(__file__).parents[2]
BRAZIER = str(ROOT / "sample_projects/garden_brazier/project.yaml")
FAULTY = str(ROOT / "tests/samples/faulty.yaml")
DEFERRAL = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."
TITLE = "Gas from cylinders to outlets"


def pages(data: bytes) -> list[str]:
    read = PdfReader(io.BytesIO(data), strict=True)
    return [" ".join(p.extract_text().replace("\u00a0", " ").split()) for p in read.pages]


def big() -> Drawing:
    drawing = schematic(*large(15), ZONES)
    assert len(drawing.sheets) == 3
    return drawing


def test_one_page_a_sheet_with_all_that_belongs_on_it() -> None:
    result = fake()
    said = pages(render_drawing(result, big()))
    assert len(said) == 3
    for n, page in enumerate(said, 1):
        for words in (result.title, f"revision {result.revision}", f"sheet {n} of 3", TITLE, DEFERRAL, "digest"):
            assert words in page
        assert "DRAFT" not in page
    assert "tank" in said[0]
    assert "to sheets 2–3" in said[0]
    assert "r0.0" not in said[0] + said[2]


def test_a_result_with_errors_is_marked_as_a_draft_on_every_page() -> None:
    for page in pages(render_drawing(fake(draft=True), big())):
        assert page.count("DRAFT") == 2  # across the page, and with the reason under the drawing
        assert "DRAFT: " in page


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_paper_upright_or_lying(paper: str) -> None:
    page = PAPERS[paper]
    tall = Drawing("t", "Tall", "schematic", (Sheet(60.0, 200.0, (Line(((0, 0), (60, 200))),)),))
    boxes = {}
    for name, drawing in (("lying", big()), ("upright", tall)):
        read = PdfReader(io.BytesIO(render_drawing(fake(), drawing, paper)))  # type: ignore[arg-type]
        boxes[name] = [float(x) for x in read.pages[0].mediabox[2:]]
    assert boxes["upright"] == pytest.approx([page.width, page.height], abs=0.01)
    assert boxes["lying"] == pytest.approx([page.height, page.width], abs=0.01)


def test_another_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="no paper 'a5'"):
        render_drawing(fake(), big(), "a5")  # type: ignore[arg-type]


def test_fonts_are_embedded_and_nothing_is_a_picture() -> None:
    read = PdfReader(io.BytesIO(render_drawing(fake(draft=True), big())), strict=True)
    names = set()
    for page in read.pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object()["/FontDescriptor"]
            assert "/FontFile2" in described
            names.add(str(described["/FontName"]).partition("+")[2])
        assert "/XObject" not in page["/Resources"] or not page["/Resources"]["/XObject"]
        # Strokes of lines, and no image painted in the page itself.
        content = page.get_contents().get_data()
        assert content.count(b" l") > 20
        assert b"\nBI" not in content
    assert names == {"SourceSansPro-Regular", "SourceSansPro-Semibold"}


def test_same_input_same_bytes() -> None:
    assert render_drawing(fake(), big()) == render_drawing(fake(), big())
    assert render_drawing(fake(), big()) != render_drawing(fake(), big(), "a4")


def landed(result: Result, drawing: Drawing, paper: str, patch: pytest.MonkeyPatch) -> list[tuple[float, ...]]:
    """Left, low, right, high of all words but the one across the page, and the page's width and height."""
    marks = []
    words = Press.words

    def see(press: Press, x: float, y: float, text: str, font: str, size: float, color: object) -> float:
        used = words(press, x, y, text, font, size, color)  # type: ignore[arg-type]
        if size < 100:
            wide = fonts.width(text, font, size)
            marks.append((x, y - size * 0.22, x + wide, y + size * 0.72, press.paper.width, press.paper.height))
        return used

    patch.setattr(Press, "words", see)
    render_drawing(result, drawing, paper)  # type: ignore[arg-type]
    return marks


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("kind", ["big", "chain", "square", "site"])
def test_all_words_land_within_the_margins(kind: str, paper: str, monkeypatch: pytest.MonkeyPatch) -> None:
    result = fake(draft=True)
    corner = (Text(0.0, 1.0, "left"), Text(150.0, 146.0, "right", 8.0, "end"), Circle(75.0, 75.0, 60.0))
    drawing = {
        "big": big(),
        "chain": schematic(*chain(), ZONES),
        "square": Drawing("s", "A title of many words " * 9, "schematic", (Sheet(150.0, 150.0, corner),), "Why. " * 90),
        "site": dict(result.drawings)["site.plan"],
    }[kind]
    assert isinstance(drawing, Drawing)
    p = PAPERS[paper]
    marks = landed(result, drawing, paper, monkeypatch)
    assert marks
    for left, low, right, high, wide, tall in marks:
        assert left >= p.left - 0.1
        assert right <= wide - p.right + 0.6
        assert low >= p.bottom - 2.5
        assert high <= tall - p.top + 0.6


def test_a_drawing_to_scale_keeps_a_plain_scale() -> None:
    drawing = dict(fake().drawings)["site.plan"]
    assert isinstance(drawing, Drawing)
    (page,) = pages(render_drawing(fake(), drawing))
    assert "Scale: 1 in = " in page


def test_a_drawing_of_nothing_says_so() -> None:
    (page,) = pages(render_drawing(fake(), Drawing("k", "Empty", "schematic", ())))
    assert "There is nothing to draw." in page
    assert "sheet 1 of 1" in page


# --- the verb ----------------------------------------------------------------------------------------------


def test_the_ending_says_what_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, start in (("d.svg", b"<svg "), ("d.pdf", b"%PDF-"), ("D.PDF", b"%PDF-")):
        assert main(["drawing", BRAZIER, "plumbing", "-o", str(tmp_path / name)]) == 0
        assert (tmp_path / name).read_bytes().startswith(start)
        assert f"wrote {tmp_path / name}" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["d.png", "d", "d.svg.gz", "pdf"])
def test_another_ending_is_an_error_that_says_which_there_are(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["drawing", BRAZIER, "plumbing", "-o", str(tmp_path / name)]) == 2
    shown = capsys.readouterr()
    assert ".svg or .pdf" in shown.err
    assert shown.out == ""
    assert not list(tmp_path.iterdir())


def test_the_pdf_of_a_sample(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one, two = tmp_path / "1.pdf", tmp_path / "2.pdf"
    for out in (one, two):
        assert main(["drawing", BRAZIER, "plumbing", "-o", str(out), "--revision", "seven", "--paper", "a4"]) == 0
    assert one.read_bytes() == two.read_bytes()
    (page,) = pages(one.read_bytes())
    for words in ("Garden Brazier", "revision seven", "sheet 1 of 1", TITLE, DEFERRAL, "tank_a", "drawing plumbing"):
        assert words in page
    assert "DRAFT" not in page


def test_the_pdf_does_not_depend_on_where_one_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copy(BRAZIER, tmp_path / "project.yaml")
    monkeypatch.chdir(tmp_path)
    assert main(["drawing", "project.yaml", "plumbing", "-o", "near.pdf"]) == 0
    monkeypatch.chdir("/")
    assert main(["drawing", str(tmp_path / "project.yaml"), "plumbing", "-o", str(tmp_path / "far.pdf")]) == 0
    assert (tmp_path / "near.pdf").read_bytes() == (tmp_path / "far.pdf").read_bytes()


def test_a_spec_with_errors_gives_a_draft_as_compile_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "d.pdf"
    code = main(["drawing", FAULTY, "plumbing", "-o", str(out)])
    shown = capsys.readouterr()
    assert "a DRAFT because of the errors above" in shown.out
    assert code == main(["compile", FAULTY, "-o", str(tmp_path / "packet.pdf")]) == 1
    assert all("DRAFT: " in page for page in pages(out.read_bytes()))


def test_one_sheet_of_several(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "project.yaml"
    spec.write_text(many_lines(15), encoding="utf-8")
    shown = []
    for more in ([], ["--sheet", "1"], ["--sheet", "2"]):
        main(["drawing", str(spec), "plumbing", "-o", "-", *more])
        shown.append(capsys.readouterr().out)
    whole, first, second = shown
    assert whole.count("<g ") > 1
    assert first.count("<g ") == second.count("<g ") == 1
    assert ">tank<" in first
    assert ">tank<" not in second
    assert main(["drawing", str(spec), "plumbing", "-o", "-", "--sheet", "9"]) == 2
    assert "has no sheet 9; there are sheets 1 to" in capsys.readouterr().err
    assert main(["drawing", BRAZIER, "plumbing", "-o", "-", "--sheet", "2"]) == 2
    assert "has no sheet 2; there is one sheet" in capsys.readouterr().err
    assert main(["drawing", BRAZIER, "plumbing", "-o", "-", "--sheet", "0"]) == 2


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["-o", "d.pdf", "--sheet", "1"], "--sheet is for SVG"),
        (["-o", "d.svg", "--paper", "a4"], "are for a PDF"),
        (["-o", "-", "--revision", "7"], "are for a PDF"),
    ],
)
def test_options_of_the_other_kind_are_refused(
    more: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["drawing", BRAZIER, "plumbing", *more]) == 2
    assert said in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_a_pdf_is_not_written_over_an_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "project.pdf"
    shutil.copy(BRAZIER, spec)
    before = spec.read_bytes()
    assert main(["drawing", str(spec), "plumbing", "-o", str(spec)]) == 2
    assert spec.read_bytes() == before


def many_lines(count: int) -> str:
    """A spec with one cylinder and so many lines. What else its rules find does not matter here."""
    parts = ["    tank: {kind: cylinder, capacity: 100 lb}", "    man: {kind: fitting, form: manifold}"]
    runs = ["    feed: {from: tank, line: [man]}"]
    for i in range(count):
        parts += [
            f"    r{i}: {{kind: regulator, set: 10 psi}}",
            f"    h{i}: {{kind: hose, bore: 3/8 in, length: 10 ft}}",
            f"    v{i}: {{kind: valve, form: ball, normally: closed}}",
            f"    s{i}: {{kind: valve, form: solenoid, normally: closed}}",
            f"    f{i}: {{kind: orifice, bore: 0.03 in, discharge: 0.8}}",
            f"    e{i}: {{kind: burner, form: stem, jets: {{count: 1, bore: 1/8 in, discharge: 0.8}}}}",
        ]
        runs.append(f"    l{i}: {{from: man, line: [r{i}, h{i}, v{i}, s{i}, f{i}, e{i}]}}")
    head = "format: 1\nproject: {id: many, title: Many Lines}\nevent: {elevation: 100 ft}\n"
    return head + "\n".join(["plumbing:", "  parts:", *parts, "  runs:", *runs, ""])
