"""Who gives first aid, and where people go in thunder, on lantern_reeds."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine.road import Ask, travel

FOLDER = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"


def judged(rule: str, *edits: tuple[str, str], site: tuple[tuple[str, str], ...] = ()) -> tuple[str, list[str], str]:
    """The rule's status on the sample with some texts of its crew and site replaced, what is found, and what was looked
    at."""
    instead = []
    for path, some in ((FOLDER / "crew.yaml", edits), (FOLDER / "site.yaml", site)):
        text = path.read_text(encoding="utf-8")
        for old, new in some:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        instead.append((str(path), text.encode()))
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({f"rule operators.{rule}"}),
        block=("materials", "structure"),
        instead=tuple(instead),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    (own,) = [r for r in made.rules if r.id == f"operators.{rule}"]
    return own.status, [f.message for f in made.findings if f.rule == f"operators.{rule}"], own.looked


BOTH = "first_aid: [fir, hazel]"
NIGHT = "on the night of 2027-09-16"
AID = {
    "nobody is named": ((BOTH + ", ", ""), "not checked", []),
    "none asks for a certificate": (("    first_aid: {certificate: first aid course}\n", ""), "not checked", []),
    "one goes home in the middle": (
        (BOTH, "first_aid: [fir]"),
        "failed",
        [f"nobody is free to give first aid at 20:10 {NIGHT}, and nobody who does is on duty"],
    ),
    "one has valves to close": (
        (BOTH, "first_aid: [dogwood, fir, hazel]"),
        "failed",
        ["dogwood gives first aid and holds no first aid course"],
    ),
    "all have something else to do": (
        (BOTH, "first_aid: [cedar, alder]"),
        "failed",
        [
            f"nobody is free to give first aid at 18:20 {NIGHT}: cedar goes to meet help",
            "cedar gives first aid and holds no first aid course",
            "alder gives first aid and holds no first aid course",
        ],
    ),
    "the other spotter calls": (
        ("caller: alder,", "caller: elm,"),
        "failed",
        [f"nobody is free to give first aid at 18:20 {NIGHT}: fir is the one spotter, who moves people away"],
    ),
    "the one spotter": (
        (
            "    front: {person: elm, role: spotter, station: rope, from",
            "    front: {person: elm, role: lead, station: rope, from",
        ),
        "failed",
        [f"nobody is free to give first aid at 18:20 {NIGHT}: fir is the one spotter, who moves people away"],
    ),
}


@pytest.mark.parametrize("case", sorted(AID))
def test_somebody_free_gives_first_aid_at_any_time(case: str) -> None:
    edit, status, found = AID[case]
    was, messages, _ = judged("first_aider", edit)
    first = sorted(m for m in messages if "2027-09-17" not in m and "2027-09-18" not in m)
    assert (was, first) == (status, sorted(found))


def test_the_sample_has_both() -> None:
    assert judged("first_aider")[:2] == ("passed", [])
    status, found, looked = judged("shelter")
    assert (status, found) == ("stated", [])
    assert "that it is substantial, and holds all, is stated" in looked


HALL = "shelter: hall"
AREA = "area: [[-77 ft, 34 ft], [-61 ft, 34 ft], [-61 ft, 94 ft], [-77 ft, 94 ft]]"
HALL_DOOR = "hall_door: {kind: opening, width: 6 ft, at: [-69 ft, 34 ft]}"
HALL_GATE = "hall_gate: {kind: opening, width: 6 ft, at: [-61 ft, 64 ft]}"
SHED_DOOR = ((f"  {HALL_DOOR}", f"  shed_door: {{kind: opening, width: 3 ft, at: [40 ft, 90 ft]}}\n  {HALL_DOOR}"),)
ROOM = "shelter_holds: 340"


@pytest.mark.parametrize(
    ("told", "status"),
    [
        ("", "not checked"),
        ("shelter: rope", "failed"),
        ("shelter: shed", "failed"),  # past the burst
        ('shelter: "the hall, or cars"', "failed"),  # there is a plan
        ("shelter: willow", "failed"),
        ("shelter: pickup", "failed"),  # from the west past the burst
    ],
)
def test_a_shelter_is_no_tree_and_no_open_place(told: str, status: str) -> None:
    assert judged("shelter", (f", {HALL},", f", {told}," if told else ","), site=SHED_DOOR)[0] == status


@pytest.mark.parametrize("door", ["hall_door: {kind: opening, at: [-69 ft, 34 ft]}", "far: {at: [0 ft, 0 ft]}"])
def test_a_shelter_without_a_door_on_the_plan_is_asked(door: str) -> None:
    """An opening that says no width may be a window."""
    status, _, looked = judged("shelter", site=((HALL_DOOR, door), (HALL_GATE, "spare: {at: [0 ft, 1 ft]}")))
    assert (status, "where the door of hall is" in looked) == ("not checked", True)


@pytest.mark.parametrize(
    ("told", "status", "found"),
    [
        ("", "not checked", []),
        (f", {ROOM.replace('340', '308')}", "failed", ["there is room for 308 in thunder, and 309 are to go there"]),
        (f", {ROOM.replace('340', '309')}", "stated", []),
    ],
)
def test_a_shelter_has_room_for_the_public_and_the_crew(told: str, status: str, found: list[str]) -> None:
    assert judged("shelter", (f", {ROOM}", told))[:2] == (status, found)


@pytest.mark.parametrize(
    ("door", "gate", "found"),
    [
        ("6 ft", "1.8 ft", []),
        ("6 ft", "1.6 ft", ["the doors of hall are 7.6 ft wide in all, enough for 304 people at 0.3 in each, and 309"]),
        ("8 ft", "", ["309 people go into hall by one door; 2 are asked for above 49"]),
    ],
)
def test_a_crowd_gets_in_at_the_doors_of_its_shelter(door: str, gate: str, found: list[str]) -> None:
    other = HALL_GATE.replace("6 ft", gate) if gate else "spare: {at: [0 ft, 1 ft]}"
    status, said, _ = judged("shelter", site=((HALL_DOOR, HALL_DOOR.replace("6 ft", door)), (HALL_GATE, other)))
    assert status == ("failed" if found else "stated")
    assert [one.startswith(begin) for one, begin in zip(said, found, strict=True)] == [True] * len(found)


def test_the_way_to_a_shelter_does_not_lead_past_what_stays_charged() -> None:
    *doors, found = judged("shelter", (HALL, "shelter: shed"), site=SHED_DOOR)[1]
    assert [d[:12] for d in doors] == ["the doors of", "309 people g"]
    assert found == "the way from box to shed leads within 10 ft of acc1, which stays charged"


def test_the_way_to_a_shelter_crosses_no_road() -> None:
    far = "area: [[-77 ft, -160 ft], [-61 ft, -160 ft], [-61 ft, -100 ft], [-77 ft, -100 ft]]"
    gate = HALL_GATE.replace("64 ft", "-130 ft")
    site = ((AREA, far), (HALL_DOOR, HALL_DOOR.replace("34 ft", "-100 ft")), (HALL_GATE, gate))
    assert judged("shelter", site=site)[1] == ["the way from crowd to hall crosses road"]


@pytest.mark.parametrize("crew_passes", ["crew_passes: true, ", ""])
def test_the_public_steps_over_no_rope_on_its_way_to_the_shelter(crew_passes: str) -> None:
    """A rope from the terrace's wall round the crowd: the crew steps over it, and nobody else."""
    line = "[[-60 ft, -31 ft], [-62 ft, -31 ft], [-62 ft, -90 ft], [90 ft, -90 ft], [90 ft, -12 ft], [60 ft, -12 ft]]"
    rope = f"{HALL_DOOR}\n  long_rope: {{kind: barrier, {crew_passes}line: {line}}}"
    status, _, looked = judged("shelter", site=((HALL_DOOR, rope),))
    assert (status, "how people get on foot from crowd to hall" in looked) == ("not checked", True)
    assert ("from box to hall: the plan has no way" in looked) == (not crew_passes)


def test_a_shelter_that_nobody_gets_to_on_foot_is_asked() -> None:
    shut = f"{HALL_DOOR}\n  rail: {{kind: barrier, line: [[-78 ft, 34 ft], [-60 ft, 34 ft]]}}"
    status, _, looked = judged("shelter", site=((HALL_DOOR, shut),))
    assert (status, "how people get on foot from" in looked) == ("not checked", True)


@pytest.mark.parametrize(("told", "status"), [("read_by:", "stated"), ("note:", "not checked")])
def test_how_a_gauge_is_read_from_afar_by_night_is_asked_for(told: str, status: str) -> None:
    path = FOLDER / "plumbing.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count("read_by:") == 1
    ask = Ask(
        kinds=frozenset(),
        ids=frozenset({"rule operators.equipment"}),
        block=("materials", "structure"),
        instead=((str(path), text.replace("read_by:", told).encode()),),
    )
    made = travel(str(FOLDER / "project.yaml"), None, ask)
    (own,) = [r for r in made.rules if r.id == "operators.equipment"]
    assert own.status == status, own.looked
    assert ("how g1 is read by night from box, 21.3 ft off, before each burst" in str(own)) == (status != "stated")
