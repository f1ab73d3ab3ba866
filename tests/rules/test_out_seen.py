"""Who waits in an emergency until a burst is seen out sees it from there."""

from __future__ import annotations

from pathlib import Path

from specc.engine.road import Ask, travel

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
RULE = "operators.in_sight"
SCREEN = "  screen: {height: 12 ft, blocks: [sight], line: [[5 ft, 16 ft], [9 ft, 24 ft]]}\n"


def found(more: str) -> list[str]:
    path = FOLDER / "site.yaml"
    text = path.read_text(encoding="utf-8").replace("places:\n", f"places:\n{more}", 1)
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({f"rule {RULE}"}),
        block=("materials", "structure"),
        instead=((str(path), text.encode()),),
    )
    return [f.message for f in travel(str(FOLDER / "project.yaml"), None, ask).findings if f.rule == RULE]


def test_a_burst_that_is_hidden_from_who_shuts_its_pilot_off_is_found() -> None:
    assert found("") == []
    assert any(
        m == "in an emergency birch at box waits until nozzle is seen out, and does not see it: screen is in the way"
        for m in found(SCREEN)
    ), found(SCREEN)
