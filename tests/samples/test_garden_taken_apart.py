"""Whoever and whatever is taken from garden_brazier, or put elsewhere, is missed, though it has no plan and no roster.

Each person and place: gone, and 50 ft to each side. What makes no difference stands under NOT_MISSED, with the reason.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from specc.engine.host import find
from specc.engine.road import Ask, travel

SPEC = Path(__file__).parents[2] / "sample_projects" / "garden_brazier" / "project.yaml"
TEXT = SPEC.read_text(encoding="utf-8")
RULES = frozenset(f"rule {h.pass_.id}" for h in find().passes if h.pass_.kind == "rule")
SIDES = {"east": (50, 0), "west": (-50, 0), "north": (0, 50), "south": (0, -50)}
_ASKED = "the authority is asked about the distance either way, and site.sides is not checked: there is no plan"
NOT_MISSED = {f"rope {side}": _ASKED for side in SIDES}


def judged(text: str) -> frozenset[tuple[str, ...]]:
    instead = ((str(SPEC), text.encode()),)
    made = travel(str(SPEC), None, Ask(kinds=frozenset(), ids=RULES, instead=instead))
    found = {(f.rule, f.level, f.at) for f in made.findings if f.level in ("error", "warning")}
    return frozenset(found) | {(r.id, r.status) for r in made.rules}


def changes() -> dict[str, str]:
    data = yaml.safe_load(TEXT)
    made = {}
    for tag in data["places"]:
        line = re.findall(rf"^  {tag}: .*\n", TEXT, re.MULTILINE)[0]
        made[f"{tag} gone"] = TEXT.replace(line, "")
        for side, (x, y) in SIDES.items():

            def there(spot: re.Match[str], x: int = x, y: int = y) -> str:
                return f"[{float(spot[1]) + x:g} ft, {float(spot[2]) + y:g} ft"

            made[f"{tag} {side}"] = TEXT.replace(line, re.sub(r"\[(-?[\d.]+) ft, (-?[\d.]+) ft", there, line))
    for tag in data["people"]:
        made[f"{tag} gone"] = re.sub(rf"(, )?{tag}: {{role: [\w ]+}}(?(1)|, )", "", TEXT)
    made["heron no lead"] = TEXT.replace("role: lead operator", "role: helper")
    return made


CHANGES = changes()


@pytest.fixture(scope="module")
def whole() -> frozenset[tuple[str, ...]]:
    return judged(TEXT)


@pytest.mark.parametrize("what", CHANGES)
def test_what_is_gone_or_elsewhere_is_missed(what: str, whole: frozenset[tuple[str, ...]]) -> None:
    assert CHANGES[what] != TEXT
    assert (judged(CHANGES[what]) != whole) == (what not in NOT_MISSED), NOT_MISSED.get(what, "")


def test_no_exception_is_left_of_a_change_that_is_gone() -> None:
    assert set(NOT_MISSED) <= set(CHANGES)
