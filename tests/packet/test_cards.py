"""Cards to carry: they say what the packet says, in large letters, and nothing is printed from a draft."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from specc.cli import main
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import CHECKS, STEPS
from specc.model.result import Result
from specc.packet.cards import cards, render_cards

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
GARDEN = str(SAMPLES / "garden_brazier/project.yaml")


@pytest.fixture(scope="module", params=["garden_brazier", "lantern_reeds"])
def result(request: pytest.FixtureRequest, complete: Callable[[str], Result]) -> Result:
    return complete(request.param)


def read(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())


def card(result: Result, key: str) -> str:
    return read(render_cards(result, only=[key]))


def test_every_step_and_check_stands_on_its_card(result: Result) -> None:
    on = {"start": "lighting", "stop": "shutdown", "emergency": "emergency"}
    texts = {key: card(result, key) for key in ("before-gas", *on.values())}
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


def test_the_walk_names_every_valve_stamp_and_tag(result: Result) -> None:
    text = card(result, "walk")
    acts = [a for i in result.items(STEPS.name) for a in i.item.acts if i.item.procedure == "start"]  # type: ignore[attr-defined]
    valves = {a.tag for a in acts if a.action == "close"}
    assert valves
    tables = dict(result.tables)
    for key in ("materials.cylinders", "extinguishers.units"):
        valves |= {row.cells[0] for row in tables[key].rows} if key in tables else set()  # type: ignore[attr-defined]
    assert [tag for tag in valves if tag not in text] == []


def test_all_cards_are_there_and_the_bytes_are_the_same(result: Result) -> None:
    data = render_cards(result)
    assert data == render_cards(result)
    text = read(data)
    for one in cards(result):
        assert one.title in text
        assert one.items
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
