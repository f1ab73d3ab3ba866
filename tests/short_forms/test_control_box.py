"""A twelve-volt box with two buttons and two valves in fifteen lines, and what its short form means."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from specc.engine.host import find
from specc.engine.long_form import long_form
from specc.model.findings import Finding
from specc.spec.source import load
from specc_control.short_forms import read

BOX = """control:
  place: desk
  chassis: bat-
  parts:
    bat: {is: 12 V AGM battery 18 Ah, lowest: 11.5 V}
    f_<1..2>: 3 A fuse
    stop: {is: emergency stop, latches: true, reset: by hand, direct_opening: true}
    key: key switch
    <arm, fire>: operator's button
    w_<1..2>: {is: 25 ft of 16 AWG wire, carries: 10 A}
    sv_<1..2>: {is: 12 V 10 W coil, pull_in: 70 %, warm: 176 °F}
  lines:
    valve_<1..2>: [bat+, f_<n>, stop.<n>, key.<n>, arm.<n>, fire.<n>, w_<n>, sv_<n>, bat-]
"""
AT = {"place": "desk"}  # of all but wires and coils, which lie elsewhere
LONG: dict[str, Any] = {
    "place": "desk",
    "chassis": "bat-",
    "parts": {
        "bat": {
            "kind": "battery",
            "chemistry": "agm",
            "voltage": "12 V",
            "capacity": "18 Ah",
            "lowest": "11.5 V",
            **AT,
        },
        **{f"f_{n}": {"kind": "fuse", "rating": "3 A", **AT} for n in (1, 2)},
        "stop": {
            **{"kind": "stop", "contacts": ["break", "break"]},
            **{"latches": True, "reset": "by hand", "direct_opening": True, **AT},
        },
        "key": {"kind": "key", "contacts": ["make", "make"], **AT},
        **{tag: {"kind": "button", "who": "operator", "contacts": ["make", "make"], **AT} for tag in ("arm", "fire")},
        **{f"w_{n}": {"kind": "wire", "length": "25 ft", "size": "16 AWG", "carries": "10 A"} for n in (1, 2)},
        **{
            f"sv_{n}": {"kind": "coil", "voltage": "12 V", "power": "10 W", "pull_in": "70 %", "warm": "176 °F"}
            for n in (1, 2)
        },
    },
    "lines": {
        f"valve_{n}": ["bat+", f"f_{n}", f"stop.{n}", f"key.{n}", f"arm.{n}", f"fire.{n}", f"w_{n}", f"sv_{n}", "bat-"]
        for n in (1, 2)
    },
}


def of(tmp_path: Path, text: str) -> tuple[Any, list[Finding]]:
    (tmp_path / "project.yaml").write_text("format: 1\n" + text, encoding="utf-8")
    source, found, troubles = long_form(load(tmp_path / "project.yaml"), find())
    assert troubles == []
    return source.data["control"], found


def test_a_box_in_fifteen_lines(tmp_path: Path) -> None:
    assert BOX.count("\n") <= 15
    made, found = of(tmp_path, BOX)
    assert found == []
    assert made == LONG


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("3 A fuse", {"kind": "fuse", "rating": "3 A"}),
        (
            "battery, 12 V, 7.2 Ah, LiFePO4",
            {"kind": "battery", "voltage": "12 V", "capacity": "7.2 Ah", "chemistry": "lifepo4"},
        ),
        ("6 m of 1.5 mm² wire", {"kind": "wire", "length": "6 m", "size": "1.5 mm²"}),
        ("public push button", {"kind": "button", "who": "public"}),
        ("12 V 1.2 W relay", {"kind": "relay", "voltage": "12 V", "power": "1.2 W"}),
    ],
)
def test_a_part_as_text(words: str, said: dict[str, str]) -> None:
    assert read(words) == said


@pytest.mark.parametrize(
    "words",
    ["12 V thing", "latching operator button", "3 A 5 A fuse", "3 A button", "12 V fuse", "normally closed coil", ""],
)
def test_what_cannot_be_read_whole_is_refused(words: str) -> None:
    """A word that is passed over may be the one that matters."""
    assert isinstance(read(words), str)


def test_what_is_wrong_stands_at_its_own_line(tmp_path: Path) -> None:
    _, found = of(tmp_path, BOX.replace("key: key switch", "key: latching key switch"))
    (one,) = [f for f in found if "latching" in f.message]
    assert one.place is not None
    assert one.place.line == 9


def test_what_is_written_wins_over_the_text_and_the_count(tmp_path: Path) -> None:
    made, _ = of(tmp_path, BOX.replace("key: key switch", "key: {is: key switch, contacts: [make, break]}"))
    assert made["parts"]["key"] == {"kind": "key", "contacts": ["make", "break"], **AT}
