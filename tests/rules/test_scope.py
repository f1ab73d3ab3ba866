"""What the keys refuse is in test_rules; here is prose that says what the keys do not: asked, never passed."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import checked, project

GOOD = Path(__file__).with_name("core.yaml")


def scope(tmp_path: Path, key: str, text: str) -> tuple[str, str]:
    old, new = {
        "summary": ("use: standing}", f'use: standing, summary: "{text}"}}'),
        "site": ("  setting: outdoors\n", f'  setting: outdoors\n  site: "{text}"\n'),
        "note": ("    at: gate\n", f'    at: gate\n    note: "{text}"\n'),
    }[key]
    (found,) = (r for r in checked(project(tmp_path, GOOD, (old, new))).rules if r.id == "core.scope")
    return found.status, found.looked


@pytest.mark.parametrize(
    ("key", "text", "what"),
    [
        ("summary", "It burns indoors, in the old hall.", "of a room"),
        ("site", "in the beer tent", "of a tent or roof"),
        ("site", "under the bandstand roof", "of a tent or roof"),
        ("summary", "A float in the parade with two torches.", "of driving"),
        ("summary", "It burns while it rolls along the street.", "of driving"),
        ("summary", "A dancer wears it on the back.", "of being worn"),
        ("note", "hand-held by a performer", "of being worn"),
        ("summary", "The cylinder stands upside down.", "of liquid"),
        ("summary", "A liquid-fed jet.", "of liquid"),
        ("note", "visitors press a pad", "of a trigger"),
        ("summary", "Anyone can fire it.", "of a trigger"),
        ("summary", "It burns inside the shipping container.", "of a room"),
        ("summary", "It rides on a float down the street.", "of driving"),
        ("site", "on a boat on the lake", "of driving"),
        ("summary", "A dancer carries the burner on a helmet.", "of being worn"),
        ("summary", "A bowl of gel fuel.", "of liquid"),
        ("summary", "Children step on a pad and the flame jumps.", "of a trigger"),
        ("summary", "A motion sensor lights it as people walk past.", "of a trigger"),
        ("summary", "It fires automatically on the beat.", "of a trigger"),
        ("note", "an app on visitors' phones fires it", "of a trigger"),
    ],
)
def test_prose_that_tells_of_what_is_refused_is_asked(tmp_path: Path, key: str, text: str, what: str) -> None:
    status, looked = scope(tmp_path, key, text)
    assert status == "not checked"
    assert f"tells {what}" in looked


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("summary", "A ring in a stone bowl, lit for one evening. Nobody wears it, and nothing moves."),
        ("site", "field behind the hall, 200 ft from the beer tent"),
        ("site", "outside the big tent"),
        ("summary", "The crew fires it from a post; visitors stand behind a rope."),
        ("note", "beside a parked car"),
        ("site", "in the barn yard"),
        ("note", "the float valve of the trough is shut"),
        ("summary", "Visitors step back; birch fires it on the beat by hand."),
    ],
)
def test_prose_of_what_stands_elsewhere_or_is_denied_is_not(tmp_path: Path, key: str, text: str) -> None:
    assert scope(tmp_path, key, text)[0] == "stated"


def test_an_effect_on_a_vehicle_is_the_authoritys_to_judge(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("  gate: {at: [30 ft, 0 ft]}", "  gate: {kind: vehicle, at: [30 ft, 0 ft]}"))
    (found,) = (r for r in checked(spec).rules if r.id == "core.scope")
    assert found.status == "not checked"
    assert "only while the vehicle stands" in found.looked
