"""What is taken from the gate torches, or put elsewhere, is missed: a status changes or a finding comes.

A second device, of another size and crew, in meters, with its nights past midnight: what holds for lantern_reeds alone
would be by chance. A count or a distance that changes does not suffice.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

import pytest
import yaml

from specc.engine.host import find
from specc.engine.road import Ask, travel

SPEC = Path(__file__).with_name("torches.yaml")
DATA: dict[str, Any] = yaml.safe_load(SPEC.read_text(encoding="utf-8"))
BLOCK = ("materials", "structure", "control")
RULES = frozenset(
    f"rule {h.pass_.id}"
    for h in find().passes
    if h.pass_.kind == "rule" and h.plugin in ("operators", "extinguishers", "site", "core")
)
FAR = "elm"
WAYS = {"east": (15, 0), "west": (-15, 0), "north": (0, 15), "south": (0, -15)}
_MORE = "more of the night is covered"
_BESIDE = "it is still at the edge of the crowd, and one walks on from it"
_AWAY = "it is farther from all that keeps away from it"
_ALONG = "a piece of it is where it was, and all else within it as far from it as is asked"
_SPOTTER = "a spotter may stand among the public, and sees it and the torches"
NOT_MISSED: dict[str, str] = {
    **{f"shifts {who} from -10": _MORE for who in ("lead", "valves", "fuel", "eyes", "after", "with_gimlet")},
    **{f"shifts {who} to 10": _MORE for who in ("lead", "valves", "fuel", "eyes")},
    **{f"places out_west {way}": _BESIDE for way in ("north", "south")},
    "places out_west west": "it is a door of the granary then, through which one walks",
    "places out_south west": _BESIDE,
    **{
        f"places out_east {way}": "two others lead out, and help still meets the lane there"
        for way in ("east", "south")
    },
    **{f"places corner {way}": _SPOTTER for way in ("east", "west", "south")},
    **{
        f"places {side} north": "still on its side of the torches, and as near to them on foot"
        for side in ("west", "east")
    },
    "places fence south": "with the rope it still closes a ring round all that burns",
    "places lane south": "it is as wide, passes the gate where help is met, and crosses the road",
    **{f"places road {way}": _ALONG for way in ("east", "west")},
    **{f"places land {way}": _ALONG for way in ("east", "west", "south")},
    "places granary_door south": "it is in the same wall",
    **{f"places well {way}": _AWAY for way in ("east", "west", "north")},
    **{f"places elm {way}": _AWAY for way in ("east", "west", "north")},
    **{
        f"places verge {way}": "the crew still gathers away from gas and flames, off the road"
        for way in ("east", "west", "north")
    },
}

Seen: TypeAlias = frozenset[tuple[str, ...]]


def judged(data: dict[str, Any]) -> Seen:
    """Each rule's status, and where each finding is."""
    text = yaml.safe_dump(data, sort_keys=False, width=1000)
    made = travel(
        str(SPEC), None, Ask(kinds=frozenset(), ids=RULES, block=BLOCK, instead=((str(SPEC), text.encode()),))
    )
    found = {(f.rule, f.level, f.at) for f in made.findings if f.level in ("error", "warning")}
    return frozenset(found) | {(r.id, r.status) for r in made.rules}


@cache
def whole() -> Seen:
    return judged(DATA)


def later(clock: str, minutes: int) -> str:
    hour, minute = map(int, clock.split(":"))
    at = (hour * 60 + minute + minutes) % (24 * 60)
    return f"{at // 60:02}:{at % 60:02}"


def moved(value: Any, x: float, y: float) -> Any:
    """A place's coordinates, a spot or a list of them, so much farther."""
    if isinstance(value[0], list):
        return [moved(one, x, y) for one in value]
    return [f"{float(value[0].split()[0]) + x:g} m", f"{float(value[1].split()[0]) + y:g} m", *value[2:]]


def changes() -> Iterator[tuple[str, dict[str, Any]]]:
    def changed() -> dict[str, Any]:
        return copy.deepcopy(DATA)

    for keys in (("people",), ("operators", "roles"), ("operators", "shifts"), ("extinguishers", "units"), ("places",)):
        listed: dict[str, Any] = DATA
        for key in keys:
            listed = listed[key]
        for tag in listed:
            data = changed()
            there: dict[str, Any] = data
            for key in keys:
                there = there[key]
            del there[tag]
            yield f"{keys[-1]} {tag} gone", data
    for tag, shift in DATA["operators"]["shifts"].items():
        for key, minutes in (("from", -10), ("from", 10), ("to", -10), ("to", 10), ("both", -60), ("both", 60)):
            data = changed()
            own = data["operators"]["shifts"][tag]
            for end in ("from", "to") if key == "both" else (key,):
                own[end] = later(own[end], minutes)
            yield f"shifts {tag} {key} {minutes}", data
        if "station" in shift:
            data = changed()
            del data["operators"]["shifts"][tag]["station"]
            yield f"shifts {tag} without a post", data
            data = changed()
            data["operators"]["shifts"][tag]["station"] = FAR
            yield f"shifts {tag} far away", data
    for tag in DATA["extinguishers"]["units"]:
        data = changed()
        data["extinguishers"]["units"][tag]["place"] = "verge"
        yield f"units {tag} far away", data
    for tag, place in DATA["places"].items():
        for way, (x, y) in WAYS.items():
            data = changed()
            for key in ("at", "area", "line"):
                if key in place:
                    data["places"][tag][key] = moved(place[key], x, y)
            yield f"places {tag} {way}", data


CHANGES = dict(changes())


def test_the_whole_is_good() -> None:
    assert not [one for one in whole() if len(one) == 3]
    assert {one[1] for one in whole()} <= {"passed", "stated", "not applicable", "authority to decide"}


def test_the_changes_are_all_there_are() -> None:
    kinds = [re.sub(r" \w+ .*", "", what) for what in CHANGES]
    assert {k: kinds.count(k) for k in set(kinds)} == {
        "people": 6, "roles": 6, "shifts": 50, "units": 8, "places": 23 * 5,
    }  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
def test_what_is_gone_or_elsewhere_is_missed(what: str) -> None:
    assert (judged(CHANGES[what]) != whole()) == (what not in NOT_MISSED), NOT_MISSED.get(what, "")


def test_no_exception_is_left_of_a_change_that_is_gone() -> None:
    assert set(NOT_MISSED) <= set(CHANGES)
