"""The packet as a PDF: order, pages, safety of text, attachments, sameness, margins."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import Destination

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from fake import ERROR, FINDINGS, PARTS, SPEC, WAIVER, fake
from pdf_text import read_pages
from watch import outside, watched

from specc.drawing.shapes import Drawing, Sheet, Text
from specc.model.blocks import (
    PACKET_PARTS,
    PART_TITLES,
    SLOTS,
    Column,
    FigureBlock,
    Heading,
    Para,
    Row,
    Table,
    TableBlock,
)
from specc.model.findings import Finding, Place
from specc.model.result import InputFile, PluginShown, Result, RuleOutcome, SectionMade
from specc.model.values import Citation
from specc.packet import render
from specc.packet.embed import attached_names
from specc.packet.summary import ASKED

ROOT = Path(__file__).parents[2]
DEFERRAL = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."
PAPERS = ("letter", "a4")


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data), strict=True)


def pages(data: bytes) -> list[str]:
    """Each page's text, with every run of white space as one space."""
    return list(_pages(data))


@lru_cache(maxsize=16)
def _pages(data: bytes) -> tuple[str, ...]:
    return tuple(read_pages(data))


def whole(data: bytes) -> str:
    return " ".join(pages(data))


def one_section(*blocks: object, **changes: object) -> Result:
    made = SectionMade("only", "Only section", 10, blocks, "test")
    return fake(sections=(made,))._replace(**changes)


@pytest.fixture(scope="module")
def packet() -> bytes:
    return render(fake())


@pytest.fixture(scope="module")
def draft() -> bytes:
    return render(fake(draft=True))


# -- order and what every page has


def test_parts_come_in_order(packet: bytes) -> None:
    tops = [item for item in read(packet).outline if isinstance(item, Destination)]
    assert [str(t.title) for t in tops] == [
        "1 Summary",
        "2 Shutdown and emergency",
        "3 Changes and sign-off",
        "Contents",
        "4 Rules and their outcomes",
        "5 Findings and waivers",
        "6 Plumbing",
        "7 Fuel supply and consumption",
        "8 Site",
        "9 Other figures, and limits used",
        "10 Cautions, and limits of the models",
        "11 References",
        "12 About this packet",
    ]


def test_a_section_goes_into_the_part_that_it_names() -> None:
    made = [SectionMade(part, f"The {part}", 1, (Para("Words."),), "core", (), part) for part in reversed(PACKET_PARTS)]
    own = [
        item for item in read(render(fake()._replace(sections=tuple(made)))).outline if isinstance(item, Destination)
    ]
    titles = [str(t.title).split(" ", 1)[-1] for t in own]
    assert titles[: len(PART_TITLES)] == list(PART_TITLES.values())
    assert titles.index("The appendix") > titles.index("Contents")
    assert "The builder" not in titles


def test_a_third_party_pushes_nothing_off_the_front() -> None:
    flood = tuple(Para("Look here first. " * 40) for _ in range(60))
    club = SectionMade("club", "Ours", -9, flood, "club_site", (), "site")
    plugins = tuple(p._replace(origin="built-in") for p in fake().plugins)
    result = fake()._replace(plugins=(*plugins, PluginShown("club_site", "1", "file")))
    pages_of = [
        [n for n, t in enumerate(pages(render(r))) if "For the lead operator" in t]
        for r in (result, result._replace(sections=(*result.sections, club)))
    ]
    assert pages_of[0] == pages_of[1]


def test_subsections_are_in_the_outline(packet: bytes) -> None:
    nested = [[str(d.title) for d in item] for item in read(packet).outline if isinstance(item, list)]
    assert ["6.1 Parts", "6.2 How it is put together"] in nested


def test_every_page_has_head_and_foot(packet: bytes) -> None:
    texts = pages(packet)
    assert len(texts) > 6
    digest = fake().digest
    for n, text in enumerate(texts, 1):
        assert DEFERRAL in text
        assert f"page {n} of {len(texts)}" in text
        assert "Lantern Reeds revision 4" in text
        assert " ".join(digest[i : i + 4] for i in range(0, 16, 4)) in text


def test_contents_give_the_page_where_a_section_is(packet: bytes) -> None:
    reader = read(packet)
    lines = next(t for t in pages(packet) if "Contents" in t)
    for item in reader.outline:
        if isinstance(item, Destination) and str(item.title)[0].isdigit():
            number = reader.get_destination_page_number(item)
            assert number is not None
            assert f"{item.title} {number + 1}" in lines


def _targets(reader: PdfReader, page: int) -> list[int]:
    """The pages, counted from 0, that a page's links go to."""
    numbers = {p.indirect_reference.idnum: n for n, p in enumerate(reader.pages) if p.indirect_reference}
    notes = reader.pages[page].get("/Annots", [])
    return [numbers[note.get_object()["/Dest"].get_object()[0].idnum] for note in notes]


def test_contents_are_links_to_their_sections(packet: bytes) -> None:
    reader = read(packet)
    wanted = [reader.get_destination_page_number(d) for d in _flat(reader.outline) if d.title != "Contents"]
    there = next(n for n, t in enumerate(pages(packet)) if "Contents" in t)
    assert _targets(reader, there)[: len(wanted)] == wanted


def test_reference_numbers_are_links_to_the_references(packet: bytes) -> None:
    reader = read(packet)
    home = next(n for n, text in enumerate(pages(packet)) if re.search(r"\[1\] ?Rules for open flame", text))
    rules = next(n for n, text in enumerate(pages(packet)) if "Computed, or read in the spec" in text)
    targets = _targets(reader, rules)
    assert targets.count(home) >= 4  # other links of the page are those of the contents


def test_the_summary_is_one_page_and_leaves_no_question_out(packet: bytes) -> None:
    texts = pages(packet)
    assert [n for n, t in enumerate(texts) if "Asked first" in t] == [0]
    for words in (
        "200 lb",
        "gas on site, full",
        "Needs you",
        "Stated or planned only",
        "Not checked",
        "Waived",
        "What changed?",
    ):
        assert words in texts[0]
    for slot, name in SLOTS.items():
        assert ASKED.get(slot, name) in texts[0] or name == "Gas on site", name
    assert texts[0].count("not stated") + texts[0].count("not checked") >= len(SLOTS) - 1


@pytest.mark.parametrize("paper", PAPERS)
def test_the_summary_is_cut_to_one_page(paper: str, monkeypatch: pytest.MonkeyPatch) -> None:
    long = "A decision in many words that goes on and on, since its writer found no end to it. " * 3
    result = fake(draft=True, title="A very long title " * 12)._replace(
        decisions=(long,) * 60, findings=tuple(ERROR._replace(message=long, rule=f"fuel.r{n}") for n in range(70))
    )
    data, marks = watched(result, paper, monkeypatch)
    texts = pages(data)
    assert [n for n, t in enumerate(texts) if "Asked first" in t] == [0]
    assert "more: see the sign-off" in texts[0]
    assert "more: in section 2" in texts[0]
    assert outside(marks, paper) == []


def test_a_figure_shows_equation_numbers_result_and_source(packet: bytes) -> None:
    text = whole(packet)
    for words in ("fuel.flow", "0.030 in", "project.yaml:110", "Valid: a pressure ratio below"):
        assert words in text, words


def test_a_full_packet_spells_out_every_derivation() -> None:
    text = whole(render(fake(), full=True))
    for words in (
        "fuel.flow.reed_1",
        "worst case: high, 84 °F",
        "fo1 bore 0.030 in project.yaml:110",
        "w 1.5 lb/h from fuel.flow.reed_3",
        "(pressure in the cylinder)",
        "Valid: a pressure ratio below the critical one",
        "does not depend on weather",
        "Most of the spread: fo1 bore ± 0.001 in",
    ):
        assert words in text, words


def test_a_figure_beyond_its_range_says_so() -> None:
    result = one_section(FigureBlock("fuel.flow.deep_cold"))
    text = whole(render(result))
    assert "Beyond the model's range: the liquid is colder than the source's lowest 250 K" in text


def test_sources_are_numbered_once_and_say_how_they_are_known(packet: bytes) -> None:
    text = whole(packet)
    at = text.rindex("11 References")
    for n, title in ((2, "Flow of gases"), (1, "Rules for open flame"), (3, "Saturation properties")):
        [there] = re.finditer(rf"\[{n}\] ?{title}", text)
        assert there.start() > at
    assert "A work that nothing in this packet cites" not in text
    assert "from memory, not yet read in the source" in text
    assert "common practice, no published source" in text


def test_a_rule_from_memory_never_reads_as_plainly_passed() -> None:
    rule = RuleOutcome("a.b", "error", "Something holds", Citation("orifice-notes", "", "memory"), "passed", "all", "a")
    text = whole(render(fake()._replace(rules=(rule,))))
    assert "passed, source not verified" in text


def test_every_rule_is_listed_with_its_status(packet: bytes) -> None:
    text = whole(packet)
    for rule in fake().rules:
        assert rule.statement in text
        assert rule.id in text or rule.status in ("passed", "stated", "shown", "planned")
    assert "laxer than the default" in text


def test_findings_have_file_line_and_column(packet: bytes) -> None:
    text = whole(packet)
    assert "project.yaml:66:14" in text
    assert "covered by waiver sleeve" in text
    assert WAIVER.reason in text


# -- drafts


def test_a_draft_says_so_on_every_page(draft: bytes, packet: bytes) -> None:
    for page in read(draft).pages:
        assert "DRAFT" in page.extract_text()
    assert "DRAFT" not in whole(packet)


def test_a_draft_has_its_findings_up_front(draft: bytes) -> None:
    texts = pages(draft)
    assert "2 Findings and waivers" in texts[1]
    assert ERROR.message in texts[1]
    assert WAIVER.reason in texts[1]
    assert "1 error; plugin club_site failed: no hook answered" in texts[0]
    assert "No errors found" not in " ".join(texts)


def test_a_failed_plugin_alone_makes_a_draft() -> None:
    result = fake(draft=True)._replace(findings=FINDINGS, exit_code=0)
    for page in read(render(result)).pages:
        assert "DRAFT" in page.extract_text()


def test_without_errors_the_summary_still_approves_nothing(packet: bytes) -> None:
    assert re.search(
        r"Incomplete: .* \d+ of \d+ rules not checked\. None of the rest failed.*\..*Not an approval\.",
        pages(packet)[0],
    )


def test_a_draft_cannot_be_signed(draft: bytes, packet: bytes) -> None:
    assert "signature" in whole(packet)
    assert "signature" not in whole(draft)
    assert "A draft is not signed" in whole(draft)


# -- text from the spec


def test_markup_is_printed_as_it_is() -> None:
    evil = 'a <b>bold</b> <img src="/etc/hostname"/> &amp; & <a href="file:///x">x</a> <para> %s {0}'
    table = Table("t", evil, (Column(evil),), (Row((evil,)),), evil)
    result = one_section(
        Para(evil), Heading(evil), TableBlock("t"), tables=(("t", table),),
        decisions=(evil,), findings=(Finding("r", "note", evil, Place("p.yaml", 1, 1)),),
    )  # fmt: skip
    text = whole(render(result))
    assert text.count('<img src="/etc/hostname"/> &amp; & <a') >= 6
    assert text.count("<b>bold</b>") >= 6


def test_letters_the_font_lacks_are_named_not_blank() -> None:
    text = whole(render(one_section(Para("hot 🔥 and \u0627\u0644 and \x07 and \ud800 end"))))
    assert "hot [U+1F525] and [U+0627 U+0644] and [U+0007] and [U+D800] end" in text


def test_far_eastern_letters_use_a_font_of_the_reader() -> None:
    data = render(one_section(Para("炎 と 火 ガス 불꽃")))
    text = whole(data)
    assert "[U+" not in text
    assert "rely on a font of the reader's program" in text
    fonts = {f for p in read(data).pages for f in p["/Resources"]["/Font"]}  # type: ignore[index]
    assert len(fonts) >= 5


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["plain", "draft", "long"])
def test_nothing_is_drawn_outside_the_margins(paper: str, kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    result = fake(draft=kind == "draft")
    if kind == "long":
        long = "unbroken_" * 40
        table = Table("t", long, tuple(Column(long[:60], 1, "right") for _ in range(9)),
                      tuple(Row((long,) * 9, Place(long, 7)) for _ in range(3)), long)  # fmt: skip
        wide = Drawing("d", long, "schematic", (Sheet(900, 300, (Text(450, 150, "middle", 8, "middle"),)),))
        section = SectionMade("only", long, 1, (Para(long), Heading(long), TableBlock("t")), "test")
        result = fake(title=long)._replace(
            sections=(section, *result.sections),
            tables=(*result.tables, ("t", table)),
            drawings=(*result.drawings, ("d", wide)),
            revision=long,
            findings=(Finding(long, "error", long, Place(long, 12, 3), fix=long, why=long),),
            files=(InputFile(long, b"x", "0" * 64),),
            event=((long, long),),
            decisions=(long,),
        )
    data, marks = watched(result, paper, monkeypatch)
    assert len(marks) > 500
    assert outside(marks, paper) == []
    for page in read(data).pages:
        size = (612, 792) if paper == "letter" else (595.28, 841.89)
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size)


def test_no_heading_ends_a_page(packet: bytes) -> None:
    foot = "Computed aid"
    reader = read(packet)
    titles = {str(d.title) for d in _flat(reader.outline)}
    for page in reader.pages:
        lines = [t.strip() for t in page.extract_text().replace("\u00a0", " ").split("\n") if t.strip()]
        content = [t for t in lines if not t.startswith((foot, "page ", "digest "))]
        assert " ".join(content[-1].split()) not in titles


def _flat(outline: list[object]) -> list[Destination]:
    found: list[Destination] = []
    for item in outline:
        found += _flat(item) if isinstance(item, list) else [item]  # type: ignore[list-item]
    return found


# -- the document


def test_inputs_and_manifest_are_attached(packet: bytes) -> None:
    attached = {name: data[0] for name, data in read(packet).attachments.items()}
    assert attached["project.yaml"] == SPEC
    assert attached["parts__fuel.yaml"] == PARTS
    manifest = json.loads(attached["manifest.json"])
    result = fake()
    assert manifest["digest"] == result.digest
    assert manifest["specc"] == "0.1.0"
    assert manifest["files"] == [
        {"name": f.name, "attached": f.name.replace("/", "__"), "sha256": f.sha256, "size": len(f.data)}
        for f in result.files
    ]
    assert [p["name"] for p in manifest["plugins"]] == ["plumbing", "fuel"]


def test_attached_names_can_be_saved_on_any_system() -> None:
    names = ["../../crew.yaml", "a/b.yaml", "a__b.yaml", "A/B.yaml", "\udcff: é.pdf", "..", "x" * 300 + ".pdf", "CON/",
             "con.pdf", "Aux.tar.pdf", "-rf.pdf", " b.pdf", "b.pdf. ", "---"]  # fmt: skip
    made = attached_names(names)
    assert list(made) == names
    assert len({m.lower() for m in made.values()}) == len(names)
    for name in made.values():
        assert re.fullmatch(r"[\w+()][\w.+ ()-]{0,130}", name, re.ASCII)
        assert not re.fullmatch(r"(con|aux)|.*[. ]", name.split(".")[0], re.IGNORECASE)
        assert name[-1] not in ". "
    assert made["x" * 300 + ".pdf"].endswith("x.pdf")


@pytest.mark.parametrize("date", ["0", "1700000000", "no number"])
def test_a_date_from_the_environment_changes_no_byte(date: str, packet: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", date)
    assert render(fake()) == packet
    assert os.environ["SOURCE_DATE_EPOCH"] == date


def test_an_input_may_be_called_manifest() -> None:
    result = fake()._replace(files=(InputFile("manifest.json", b"mine", "0" * 64),))
    attached = {name: data[0] for name, data in read(render(result)).attachments.items()}
    assert attached["manifest.json"] == b"mine"
    assert json.loads(attached["specc-manifest.json"])["files"][0]["size"] == 4


def test_title_and_language_are_stated(packet: bytes) -> None:
    reader = read(packet)
    assert reader.metadata is not None
    assert reader.metadata.title == "Lantern Reeds, safety packet, revision 4"
    assert reader.metadata.subject == "Safety submission packet for a propane flame effect"
    catalog = reader.trailer["/Root"].get_object()
    assert catalog["/Lang"] == "en-US"  # type: ignore[index]
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"] in (True, "true")  # type: ignore[index]


def test_a_public_copy_says_so() -> None:
    for text in pages(render(fake(), public=True)):
        assert "public copy" in text


def test_unknown_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="letter, a4"):
        render(fake(), "foolscap")  # type: ignore[arg-type]


def test_same_bytes_in_other_processes() -> None:
    code = (
        "import sys, hashlib; sys.path.insert(0, 'tests/packet'); from fake import fake;"
        "from specc.packet import render;"
        "print(hashlib.sha256(render(fake(draft=True))).hexdigest())"
    )
    seen = set()
    for seed, zone, tongue in (
        ("0", "UTC", "C"),
        ("17", "Asia/Tokyo", "C.UTF-8"),
        ("4711", "America/Denver", "POSIX"),
    ):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": tongue, "PYTHONPATH": str(ROOT)}
        done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        seen.add(done.stdout.strip())
    assert len(seen) == 1
    render(fake())  # what was printed before does not show
    assert seen == {hashlib.sha256(render(fake(draft=True))).hexdigest()}


# -- large and empty


def test_a_table_of_two_thousand_rows_is_continued() -> None:
    data = render(fake(bill_rows=2000))  # how long 300 pages take: tests/benchmarks/test_packet_pages.py
    text = whole(data)
    continued = len(re.findall("Bill of materials ?, continued", text))
    assert continued > 20
    for tag in ("P1 ", "P1000 ", "P2000 "):
        assert f" {tag}" in text
    assert text.count("count or length") == continued + 1


def test_a_row_higher_than_a_page_is_cut() -> None:
    words = " ".join(f"word{n}" for n in range(3000))
    table = Table("t", "Tall", (Column("one"), Column("two")), (Row(("short", words)), Row(("last", "row"))))
    text = whole(render(one_section(TableBlock("t"), tables=(("t", table),))))
    assert [w for w in text.split() if w.startswith("word")] == words.split()


def test_a_packet_of_nothing_still_prints() -> None:
    empty = Result(
        spec_name="project.yaml", title="", project_id="", revision="", summary="", event=(), digest="",
        git=None, specc_version="0", files=(), plugins=(), references=(), cases=(),
    )  # fmt: skip
    texts = pages(render(empty))
    assert "left nothing open" in texts[0]
    assert "No rules were run: nothing was judged. This is not an approval." in texts[0]
    assert DEFERRAL in texts[-1]


def test_what_was_not_made_is_said() -> None:
    text = whole(render(one_section(FigureBlock("no.such"), TableBlock("none"))))
    assert "Figure “no.such” could not be made" in text
    assert "Table “none” could not be made" in text
