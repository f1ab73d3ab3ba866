"""Blanket, water and kit for burns stand where the way to them leads past no burst and nothing charged."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from specc.engine.road import Ask, travel
from specc.kinds.charged import Charged, charged
from specc.kinds.places import Spot
from specc.kinds.plumbing import Network

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
RULE = "extinguishers.first_aid"
AID = "first_aid: {blanket: box, water: east,"


def judged(old: str = "", new: str = "") -> tuple[str, list[str]]:
    path = FOLDER / "site.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({f"rule {RULE}"}),
        block=("materials", "structure"),
        instead=((str(path), text.replace(old, new, 1).encode()),),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    (own,) = [r for r in made.rules if r.id == RULE]
    return own.status, [f.message for f in made.findings if f.rule == RULE]


def test_the_sample_has_them_on_the_near_side() -> None:
    assert judged() == ("stated", [])


@pytest.mark.parametrize(
    ("new", "found"),
    [
        (AID.replace("box", "west"), "a fire blanket at west leads within the reach of wisp"),
        (AID.replace("east", "shed"), "at shed leads within the reach of wisp"),
    ],
)
def test_a_way_past_a_burst_is_found(new: str, found: str) -> None:
    status, messages = judged(AID, new)
    assert status == "failed"
    assert len(messages) == 1
    assert found in messages[0]


def test_an_accumulator_is_kept_off_by_10_ft() -> None:
    vessel = SimpleNamespace(tag="acc", places=("stand",))
    net = cast(Network, SimpleNamespace(of_kind=lambda kind: [vessel] if kind == "accumulator" else []))
    (one,) = charged((), {"stand": Spot("stand", (1.0, 2.0, 0.0), None, "", "/places/stand")}, net, {})
    assert one.what == "within 10 ft of acc, which stays charged"
    assert one.holds((1.0, 2.0 + 9.9 * 0.3048))
    assert not one.holds((1.0, 2.0 + 10.1 * 0.3048))


def test_a_way_beside_a_round_is_free_and_one_through_it_is_not() -> None:
    one = Charged("x", (0.0, 0.0), 3.0)
    assert not one.met([(-10.0, 3.0), (10.0, 3.0)])
    assert one.met([(-10.0, 2.9), (10.0, 2.9)])
    assert one.met([(-10.0, 9.0), (0.0, 9.0), (0.0, 2.0)])
    assert not one.met([(4.0, 0.0), (10.0, 0.0)])  # the line goes on through it, the way does not
