"""Packets of devices that are no samples: the least that can be described, names and notes without end, no gas."""

from __future__ import annotations

import io
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parent))

from watch import outside, watched

from specc.engine.road import COMPILE, Ask, travel
from specc.model.result import Result
from specc.packet import render
from specc.packet.style import PAPERS
from specc.packet.summary import ASKED

EVENT = """
event: {{name: {name}, site: the field, setting: outdoors, dates: [2027-06-19], hours: 20:00 to 23:30,
  elevation: 600 ft, authority: county fire marshal, permit: {{holder: The Field Shop, state: applied for 2027-05-02,
  group: VI}}}}
weather: {{air: {{low: 50 °F, usual: 64 °F, high: 86 °F}}, sun: 20 °F,
  wind: {{usual: 5 mph, stop: 15 mph, kind: gust, averaging: 3 s, height: 6 ft}}}}
"""
BURNER = """
format: 1
project: {{id: device, title: {title}, summary: {note}, makers: [A]}}
{event}
places:
  {long}bowl: {{at: [0 ft, 0 ft, 3 ft], note: {note}}}
  supply: {{at: [28 ft, -9 ft], note: {note}}}
  post: {{at: [16 ft, -5 ft]}}
  {long}crowd: {{kind: audience, note: {note},
    area: [[-60 ft, 30 ft], [40 ft, 30 ft], [40 ft, 60 ft], [-60 ft, 60 ft]]}}
people: {{heron: {{role: lead operator}}}}
flame: {{audience: [{long}crowd]}}
effects: {{{long}fire: {{kind: steady, title: {title}, outlets: [{long}ring], at: {long}bowl}}}}
show: {{scenes: {{s: {{title: {title}, starts: "21:00", lasts: 20 min, steady: [{long}fire]}}}}}}
plumbing: {{runs: {{main: [tank: {{is: 20 lb CGA 791 cylinder, diameter: 12.5 in, height: 18 in, tare: 18 lb,
    ends: [CGA 791 male], material: steel, coating: paint, marking: DOT-4BW240, made: 2023-08, overfill_device: true,
    connection_flow: 100 kBTU/h, secured: chained to a post, upright: true, withdrawal: vapor, place: supply}},
  pr: {{is: CGA 791 x 1/4 FNPT high-pressure regulator, set: 10 psi, highest: 20 psi, rating: 250 psi,
    capacity: 150 kBTU/h, seat: 1/8 in, material: brass body, made_for: lp_gas, place: supply}},
  1/4 NPT nipple x 0.88 in,
  first: {{is: 1/4 NPT ball valve, normally: closed, rating: 600 psi, made_for: lp_gas, place: supply}},
  1/4 NPT nipple x 0.88 in,
  {long}valve: {{is: 1/4 NPT ball valve, normally: closed, rating: 600 psi, place: post, note: {note}}},
  fo: {{is: No. 70 orifice, ends: [1/4 MNPT, 1/4 FNPT], discharge: 0.85}},
  {long}ring: {{is: ring burner, ends: [1/4 MNPT], diameter: 12 in, outside: 1/2 in, wall: 0.049 in,
    material: stainless steel tube, joint: {{method: welded}}, rating: 125 psi, lit_by: {{torch: heron}},
    aim: {{tilt: 0 deg}}, jets: {{count: 12, bore: 1/16 in, discharge: 0.7}}}}]}}}}
"""
MAST = """
format: 1
project: {{id: mast, title: A mast and no gas, makers: [A]}}
{event}
places:
  foot: {{at: [0 ft, 0 ft]}}
  crowd: {{kind: audience, area: [[-30 ft, 20 ft], [30 ft, 20 ft], [30 ft, 40 ft], [-30 ft, 40 ft]]}}
structure: {{stands: {{mast: {{title: {title}, places: [foot], base: {{size: [6 ft, 6 ft], of: wood, on: gravel}},
  top: 20 ft, parts: {{pole: {{weight: 60 lb, center: 10 ft, area: 6 ft2, shape: pipe, material: steel}}}}}}}}}}
"""
TITLE = (
    "The Extraordinarily Long Title of the Northern Meadow Association for Lanterns, Kites and Other Lights, Edition 2"
)
NOTE = "a note that goes on about how the thing was found, mended, painted twice and carried over the hill, " * 2
DEVICES = {
    "one burner": (BURNER, {"title": "One burner", "note": "a bowl", "long": ""}),
    "long names": (
        BURNER,
        {"title": TITLE, "note": NOTE, "long": "thing_of_the_northern_meadow_association_number_1_"},
    ),
    "no gas": (MAST, {"title": TITLE}),
}


@cache
def device(name: str, folder: Path) -> Result:
    form, words = DEVICES[name]
    quoted = {key: f'"{text}"' if key != "long" else text for key, text in words.items()}
    path = folder / "project.yaml"
    path.write_text(form.format(event=EVENT.format(name="Field Night"), **quoted), encoding="utf-8")
    return travel(str(path), None, Ask(COMPILE))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("devices")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DEVICES)
def test_pages_of_a_device_hold_all_that_stands_on_them(
    name: str, paper: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    result = device(name, folder)
    # A long title is no error of whoever gave it.
    assert [f for f in result.findings if f.rule.startswith(("plugin", "spec"))] == []
    data, marks = watched(result, paper, monkeypatch)
    assert outside(marks, paper) == []
    first = " ".join(PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    at = 0
    for n, question in enumerate(ASKED.values(), 1):
        at = first.index(f"{n} {question}", at)
    # All of the summary stands on page one, to its last line, however long names are.
    assert "waived nothing" in first.lower().replace("waived:", "waived")
    assert "specc default: chosen by this tool" in first


def test_the_least_device_has_its_answers(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    result = device("one burner", folder)
    data, _ = watched(result, "letter", monkeypatch)
    first = " ".join(PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    for said in (
        "1 How far is the audience? 30 ft to the audience on one side alone: the other sides are not checked",
        "2 How tall is the flame? 4.56 ft tallest flame, above ground ring; still air, low case",
        "3 Who is responsible? heron, lead operator",
        "4 Which phone? not stated no number is in this copy",
        "5 Where is the gas shut off? first; nothing and nobody stops",
        "6 What if a solenoid sticks? not applicable: no solenoid",
        "7 What is in date? cylinders: tank in date, due 2035-08",
        "8 What changed? not stated",
        "10 Who says go? heron, lead operator, and nobody else",
    ):
        assert said in first, said


PAGE_SIZES = {20.0, 9.5, 8.5}  # titles and key figures, text, tables
DRAWN = (7.0, 7.5)  # letters of a drawing, down to the least that it is shrunk to
SET = {6.4, 7.1, 11.4}  # lowered and raised letters of equations, and their sum signs
STAMP = 50.0  # larger is the word DRAFT across a page


def sizes_of(data: bytes) -> Counter[float]:
    """Letters by their size in points, as a reader's program sets them."""
    found: Counter[float] = Counter()

    def see(text: str, page: list[float], line: list[float], font: object, size: float) -> None:
        found[round((abs(page[3] * line[3]) or abs(page[1] * line[2])) * size, 1)] += len(text.strip())

    for sheet in PdfReader(io.BytesIO(data)).pages:
        sheet.extract_text(visitor_text=see)
    return +found


@pytest.mark.parametrize("name", ["one burner", "no gas"])
def test_letters_of_a_device_come_in_four_sizes(name: str, folder: Path) -> None:
    sizes = sizes_of(render(device(name, folder)))
    drawn = {s for s in sizes if DRAWN[0] - 0.05 <= s <= DRAWN[1] + 0.05}
    assert {s for s in sizes if s < STAMP} - PAGE_SIZES - SET <= drawn, sizes
    assert {7.5} <= drawn
    assert sum(sizes[s] for s in SET) <= 0.01 * sizes.total()
    assert sizes[9.5] + sizes[8.5] >= 0.9 * sizes.total()
