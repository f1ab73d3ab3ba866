"""Single parts of a packet: their pages, numbered as in the whole, and the day of issue given beside the spec."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path
from typing import Literal

import pytest
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parents[1]))

from pdf_text import read_pages

from specc.cli import main
from specc.engine.road import COMPILE, Ask, travel
from specc.model.result import Result
from specc.packet import NoSuchPart, render

GARDEN = str(Path(__file__).resolve().parents[2] / "sample_projects/garden_brazier/project.yaml")


@pytest.fixture(scope="module")
def result() -> Result:
    return travel(GARDEN, None, Ask(kinds=COMPILE, issued="2027-06-03"))


def pages(data: bytes) -> list[str]:
    return read_pages(data)


@pytest.fixture(scope="module")
def whole(result: Result) -> list[str]:
    return pages(render(result))


@pytest.mark.parametrize("only", [["summary"], ["shutdown"], ["crew", "start-up"], ["rules"], ["references", "about"]])
def test_the_pages_of_some_parts_are_those_of_the_whole(only: list[str], result: Result, whole: list[str]) -> None:
    some = pages(render(result, only=only))
    assert 0 < len(some) < len(whole)
    mark = f"part of a packet of {len(whole)} pages; "
    numbers = []
    for text in some:
        assert mark in text
        numbers.append(int(re.findall(rf"page (\d+) of {len(whole)}\b", text)[-1]))
        assert text.replace(mark, "") == whole[numbers[-1] - 1]
    assert numbers == sorted(numbers)


def test_each_part_that_it_names_can_be_had_alone(result: Result) -> None:
    with pytest.raises(NoSuchPart) as caught:
        render(result, only=["nowhere"])
    names = str(caught.value).split("it has: ")[1].split(", ")
    assert {"summary", "crew", "rules", "about"} <= set(names)
    for name in names:
        assert PdfReader(io.BytesIO(render(result, only=[name]))).pages


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_whole_system_is_printed_larger_where_that_is_asked(result: Result, paper: Literal["letter", "a4"]) -> None:
    data = render(result, paper, larger="tabloid")
    some, texts = PdfReader(io.BytesIO(data)).pages, pages(data)
    usual = PdfReader(io.BytesIO(render(result, paper))).pages
    large = [n for n, page in enumerate(some) if page.mediabox.width > 1000]
    assert [(some[n].mediabox.width, some[n].mediabox.height) for n in large] == [(1224, 792)]
    (text,) = (texts[n] for n in large)
    assert "The whole system" in text
    assert "Gas from cylinders to outlets" in text
    assert {page.mediabox.width for page in usual} == {page.mediabox.width for page in some} - {1224}
    assert "Table 2" in " ".join(texts)  # the rest follows as ever


def test_the_day_of_issue_is_on_every_page(whole: list[str]) -> None:
    assert all("issued 2027-06-03" in text for text in whole)


def test_what_is_dated_after_another_day_of_issue_is_planned(tmp_path: Path) -> None:
    before = travel(GARDEN, None, Ask(issued="2027-05-01"))
    after = travel(GARDEN, None, Ask(issued="2027-06-20"))
    planned = [sum(r.status.startswith("planned") for r in x.rules) for x in (before, after)]
    assert planned[0] > planned[1]
    assert before.digest == after.digest


@pytest.mark.parametrize("words", [["--only", "nope"], ["--issued", "June 1"], ["--issued", "2027-6-1"]])
def test_a_call_that_cannot_be_used(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "p.pdf"
    assert main(["compile", GARDEN, "-o", str(out), "--quiet", *words]) == 2
    assert capsys.readouterr().err
    assert not out.exists()


def test_the_builders_sheet_can_be_had_apart(result: Result, whole: list[str]) -> None:
    """It could be had in a full packet only, by the name of its section, and shared its first page with another."""
    some = pages(render(result, only=["builder"]))
    assert "For the builder" in some[0]
    assert "While gas is on" not in some[0].split("For the builder")[0]
    text = " ".join(some)
    for title in ("Cut list", "Every joint", "Bill of materials", "Pieces for transport"):
        assert title in text, title
    # The packet as it is has none of it, and the numbers of its pages are those that a reference names.
    assert "For the builder" not in " ".join(whole)
    first = int(re.findall(r"page (\d+) of", some[0])[-1])
    assert first > len(whole)
    assert len(pages(render(result, full=True, only=["builder"]))) > 1
