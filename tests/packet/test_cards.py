"""Cards to carry: they say what the packet says, in large letters, and nothing is printed from a draft."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parents[1]))

from pdf_text import read_pages

from specc.cli import main
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import CHECKS, STEPS
from specc.model.result import Result
from specc.packet.card_items import SIZES, TickBox, letters
from specc.packet.cards import cards, pages_of, render_cards
from specc.packet.style import PAPERS
from specc.testing import project, result_of

RULES = Path(__file__).resolve().parents[1] / "rules"
SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
GARDEN = str(SAMPLES / "garden_brazier/project.yaml")


@pytest.fixture(scope="module", params=["garden_brazier", "lantern_reeds"])
def result(request: pytest.FixtureRequest, complete: Callable[[str], Result]) -> Result:
    return complete(request.param)


def read(data: bytes) -> str:
    return " ".join(read_pages(data))


def card(result: Result, *keys: str) -> str:
    return read(render_cards(result, only=keys))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_moment_that_a_crew_carries_is_one_page(result: Result, paper: str) -> None:
    every = {c.key: c for c in cards(result)}
    asked = ["before-gas", "leak-tests", "start-up", "lighting", "hourly", "shutdown", "emergency", "strike", "log"]
    asked += ["gate", "walk", "leak", "incidents", "soap", "first-fill", "after"]
    assert [key for key in asked if key not in every] == []
    if dict(result.tables)["operators.crew"].rows:  # type: ignore[attr-defined]
        assert "briefing" in every
    long = {key for key, one in every.items() if len(pages_of(one, PAPERS[paper])) > 1}
    # The walk has a line for each rule that somebody has to look after; other long ones are cut between moments.
    assert {key for key in long if not key.startswith("for-")} <= {"walk", "during"}


def test_a_long_card_is_cut_between_its_groups_and_says_which_page_it_is(result: Result) -> None:
    for one in cards(result):
        pages = pages_of(one, PAPERS["letter"])
        if len(pages) == 1:
            continue
        said = [p.extract_text() for p in PdfReader(io.BytesIO(render_cards(result, only=[one.key]))).pages]
        titles = [g.title for g in one.write(letters(SIZES[0])) if g.title]
        for n, text in enumerate(said, 1):
            lines = text.splitlines()
            assert f"{n} of {len(said)}" in text
            assert any(t in lines for t in titles)
            assert lines[-1] not in titles


def test_whoever_does_a_step_has_a_box_and_a_card_of_their_own(result: Result) -> None:
    steps = [i.item for i in result.items(STEPS.name)]
    named = {a.who for s in steps if s.procedure in ("start", "stop", "emergency") for a in s.acts if a.who}
    assert named
    for who in named:
        text = card(result, f"for-{who}")
        for step in steps:
            mine = any(a.who == who for a in step.acts)
            if mine and step.procedure in ("start", "stop", "emergency"):
                assert " ".join(step.text.split()) in text
    several = TickBox("Open both.", letters(13.0), 1, doers=("ada at post", "ben at box"))
    assert several.height(400.0) > TickBox("Open both.", letters(13.0), 1).height(400.0)


def test_what_is_as_before_is_spelled_out_on_a_card(result: Result) -> None:
    for one in cards(result):
        assert "As before" not in card(result, one.key)


def test_the_strike_card_has_a_box_for_each_cylinder_vessel_and_joint(result: Result) -> None:
    text = card(result, "strike")
    tables = dict(result.tables)
    for row in tables["materials.cylinders"].rows:  # type: ignore[attr-defined]
        assert f"{row.cells[0]}: valve shut, disconnected" in text
    for row in tables["plumbing.letting_down"].rows:  # type: ignore[attr-defined]
        assert f"{row.cells[0]} holds nothing" in text
    joints = [row for row in tables["plumbing.joint_schedule"].rows if row.cells[7] == "yes"]  # type: ignore[attr-defined]
    assert joints
    listed = text.partition("Taken apart only at joints ")[2].partition(". Each open end")[0]
    assert set(re.findall(r"\d+", listed)) == {row.cells[0] for row in joints}


def test_every_step_and_check_stands_on_its_card(result: Result) -> None:
    on = {"start": "start-up,soap,first-fill,lighting", "stop": "shutdown", "emergency": "emergency,after"}
    on |= {"leak": "leak"}
    on |= {"incident": "incidents"} | dict.fromkeys(("firing", "hold", "scene_change", "cylinder_change"), "during")
    texts = {keys: card(result, *keys.split(",")) for keys in ("before-gas", *on.values())}
    steps = [i.item for i in result.items(STEPS.name)]
    told = [s for s in steps if s.procedure in on]
    assert len(told) > 10
    for step in told:
        assert " ".join(step.text.split()) in texts[on[step.procedure]]
    for check in (i.item for i in result.items(CHECKS.name)):
        assert " ".join(check.text.split()) in texts["before-gas"]


def test_the_emergency_card_begins_with_whom_to_call(result: Result) -> None:
    text = card(result, "emergency")
    facts = {f.slot: f.value for f in result.summary_facts}
    call = facts.get("fire_department", "not stated")
    assert f"Call first {call}" in text
    assert text.index("Call first") < text.index("Main shutoff") < text.index("Anything is wrong")


def test_the_walk_lists_what_nobody_has_seen(result: Result) -> None:
    text = card(result, "walk")
    asked = [r for r in result.rules if r.status in ("stated", "planned", "authority to decide")]
    assert asked
    for rule in asked:
        assert " ".join(rule.statement.split()) in text


def test_the_walk_names_every_property_that_nobody_has_seen_with_its_tag(result: Result) -> None:
    """Against what the rules say that they rest on, read from the spec anew: none is left behind an "and 88 more"."""
    text = card(result, "walk")
    asked = {(p.replace("_", " "), tag) for rule in result.rules for p, tag in rule.unseen}
    assert asked
    line = r"{}: (?:[\w+., ]*[ ,])?{}(?:[, ]|$)"
    missed = [pair for pair in asked if not re.search(line.format(*map(re.escape, pair)), text)]
    assert missed == []


def test_what_a_stated_rule_rests_on_is_what_the_spec_types(result: Result) -> None:
    """From the spec itself: each part that types a rating and holds gas is among what the walk asks to see."""
    asked = {tag for rule in result.rules for p, tag in rule.unseen if p == "rating"}
    table = dict(result.tables)["plumbing.parts"]
    name = [c.name for c in table.columns].index("tag")  # type: ignore[attr-defined]
    rated = [row for row in table.rows if any("psi" in c for c in row.cells)]  # type: ignore[attr-defined]
    assert len(rated) > 3
    tags = {t for row in rated for t in re.split(r"[ ,]+", row.cells[name])}
    assert len(asked & tags) > 3
    for rule in result.rules:
        assert not rule.unseen or rule.status == "stated"


def test_the_walk_names_every_valve_stamp_and_tag(result: Result) -> None:
    text = card(result, "walk")
    acts = [a for i in result.items(STEPS.name) for a in i.item.acts if i.item.procedure == "start"]  # type: ignore[attr-defined]
    valves = {a.tag for a in acts if a.action == "close"}
    assert valves
    tables = dict(result.tables)
    for key in ("materials.cylinders", "extinguishers.units"):
        valves |= {row.cells[0] for row in tables[key].rows} if key in tables else set()  # type: ignore[attr-defined]
    assert [tag for tag in valves if tag not in text] == []


def test_the_walk_asks_for_serial_numbers_plates_and_a_pilot_tried_in_the_wind_that_stops_the_show(
    complete: Callable[[str], Result],
) -> None:
    text = card(complete("lantern_reeds"), "walk")
    for tag in ("tank_a", "tank_b", "water_west", "powder_pickup"):
        assert re.search(rf"tag {tag};[^☐]*?; serial ______", text), tag
    assert re.search(r"tag acc1; pressure 250 psi; temperature [^;]*; maker [^;]*; serial [^;_]+; year \d{4}", text)
    assert "holds when it is blown at as hard as the wind that stops the show (above 15 mph): pilot_1" in text


def test_the_walk_asks_how_extinguishers_hang_and_stand_by_published_numbers(
    complete: Callable[[str], Result],
) -> None:
    text = card(complete("lantern_reeds"), "walk")
    # NFPA 10 as reprinted; a Florida event's guide of 2019.
    assert (
        "the top at 5 ft or lower (3.5 ft where the unit weighs more than 40 lb), the bottom at least 4 in up" in text
    )
    assert "one 40-B for each 55 gal, in sight, 8 to 10 ft from it" in text
    assert "Aluminum shell" not in text


@pytest.mark.parametrize(
    ("kind", "asked"), [("material: aluminum", True), ("marking: DOT-4E240", True), ("material: steel", False)]
)
def test_the_walk_asks_whether_an_aluminum_cylinder_or_shell_was_in_heat(
    tmp_path: Path, kind: str, asked: bool
) -> None:
    text = (RULES / "extinguishers.yaml").read_text(encoding="utf-8")
    parts = f"tank: {{kind: cylinder, capacity: 20 lb, place: hut, {kind}}}, ring: {{kind: burner}}"
    parts = f"plumbing: {{parts: {{{parts}}}, runs: {{a: {{from: tank, line: [ring]}}}}}}\n"
    spec = project(tmp_path, text.replace("shell: mild_steel", "shell: aluminum") + parts)
    tables = dict(result_of(spec, only=("table extinguishers.to_see", "table materials.heated")).tables)
    assert any("350 °F" in row.cells[0] and "powder_n" in row.cells[0] for row in tables["extinguishers.to_see"].rows)
    assert [row.cells[0] for row in tables["materials.heated"].rows] == (["tank"] if asked else [])


def test_all_cards_are_there_and_the_bytes_are_the_same(result: Result) -> None:
    data = render_cards(result)
    assert data == render_cards(result)
    text = read(data)
    for one in cards(result):
        assert one.title in text
        assert list(one.write(letters(SIZES[0])))
    assert text.count("authority having jurisdiction decide") == len(PdfReader(io.BytesIO(data)).pages)


def test_a_draft_has_no_cards(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec, out = tmp_path / "project.yaml", tmp_path / "cards.pdf"
    text = Path(GARDEN).read_text(encoding="utf-8")
    spec.write_text(text.replace("withdrawal: vapor", "withdrawal: liquid"), encoding="utf-8")
    assert main(["cards", str(spec), "-o", str(out)]) == 1
    assert "no cards were written" in capsys.readouterr().err
    assert not out.exists()
    with pytest.raises(ValueError, match="errors"):
        render_cards(travel(str(spec), None, Ask(kinds=COMPILE)))


def test_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "cards.pdf"
    assert main(["cards", GARDEN, "-o", str(out), "--only", "gate,log"]) == 0
    assert "Nightly log" in read(out.read_bytes())
    assert main(["cards", GARDEN, "-o", str(out), "--only", "gaet"]) == 2
    assert "there are: gate" in capsys.readouterr().err


def test_whoever_no_step_names_has_a_card_that_says_so(complete: Callable[[str], Result]) -> None:
    """A card with a title and no rows looks as if something were lost."""
    assert "No step names heron." in card(complete("garden_brazier"), "for-heron")
    assert "No step names" not in card(complete("garden_brazier"), "for-wren")


def test_the_walk_measures_what_has_little_to_spare_and_walks_by_a_clock(complete: Callable[[str], Result]) -> None:
    text = card(complete("lantern_reeds"), "walk")
    assert "tank_a to hedge; on plan 14 ft; needed 10 ft; measured ______" in text
    assert re.search(r"at supply; closed by hand [^☐]*; from each post [^☐]*box 11 s[^☐]*; took ______", text)
    assert "hoses h1, h2, h_a, h_b: year on the cover ______" in text
    assert "regulators pr1, pr2: year ______" in text
    garden = card(complete("garden_brazier"), "walk")
    assert "hoses h1: year on the cover ______" in garden
