"""What page one says of people, solenoids and dates, on specs that leave some of it open."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from specc.kinds.people import Person
from specc.testing import project, result_of
from specc_operators.sections import UNNAMED, _lead, _phone

ROOT = Path(__file__).parents[2]
GARDEN = (ROOT / "sample_projects" / "garden_brazier" / "project.yaml").read_text(encoding="utf-8")


def person(tag: str, phone: str = "") -> Person:
    return Person(tag, "", phone, "lead operator", None, None, None, (), "/people")


def facts_of(folder: Path, *edits: tuple[str, str]) -> dict[str, list[str]]:
    made: dict[str, list[str]] = {}
    for f in result_of(project(folder, GARDEN, *edits)).summary_facts:
        made.setdefault(f.slot, []).append(f"{f.value} {f.note}".strip())
    return made


def test_of_several_leads_none_is_said_to_decide_alone() -> None:
    one, two = _lead(["ada"], "", person("ada"), ""), _lead(["ada", "ben"], "on site", person("ada"), "")
    assert [f.value for f in one if f.slot == "go"] == ["ada, lead operator, and nobody else"]
    assert [f.value for f in two if f.slot == "go"] == ["ada or ben, whoever has the lead's shift, and nobody else"]
    assert [f.note for f in two if f.slot == "responsible"] == [f"on site; {UNNAMED}; other shifts: ben"]


def test_a_phone_is_printed_where_it_is_known_and_else_it_says_where_it_stands() -> None:
    assert [f.value for f in _phone(person("ada", "555-0101"), "")] == ["555-0101"]
    assert [f.value for f in _phone(person("ada"), "555-0102, at the gate")] == ["555-0102, at the gate"]
    assert _phone(person("ada"), "") == []  # page one then says that none is stated, and leaves a line to write it on


def test_a_solenoid_that_sticks_with_no_other_behind_it_names_the_hand_valve(tmp_path: Path) -> None:
    coil = ("v1: {is: 3/8 NPT ball valve, normally: closed", "v1: {is: 3/8 NPT solenoid valve, normally: closed")
    [told] = facts_of(tmp_path, coil)["solenoid"]
    assert told.startswith("v1 stuck open: gas at ring")
    assert "stopped by v0" in told
    assert "by hand in any case: v0" in told
    assert "two that stick at once are not computed" in told


def test_solenoids_that_stop_one_another_are_one_sentence(tmp_path: Path) -> None:
    was = "      - v1: {is: 3/8 NPT ball valve, normally: closed"
    two = "      - v9: {is: 3/8 NPT solenoid valve, normally: closed, place: post}\n      - 3/8 NPT nipple x 1 in\n"
    [told] = facts_of(tmp_path, (was, two + was.replace("ball", "solenoid")))["solenoid"]
    assert told.startswith(
        "v9, v1 stuck open, one at a time: only the other solenoid valve of its row still holds the gas"
    )


@pytest.mark.parametrize(
    ("made", "says"), [("2023-08", "tank_a in date"), ("2012-03", "tank_a NOT in date, due since")]
)
def test_a_cylinder_out_of_date_is_not_in_date(tmp_path: Path, made: str, says: str) -> None:
    told, *_ = facts_of(tmp_path, ("made: 2023-08", f"made: {made}"))["in_date"]
    assert says in told


UNIT = """
extinguishers:
  units:
    near: {type: stored_pressure_dry_chemical, rating: "10-B:C", agent: sodium bicarbonate, mass: 5 lb,
      shell: mild_steel, place: post, made: 2025-03%s}
"""


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (
            ", inspected: 2027-05-30, serviced: 2027-03-11",
            "in date to 2028-03-11",
        ),
        (
            ", inspected: 2027-06-05, serviced: 2027-03-11",
            "inspection planned 2027-06-05; the rest in date",
        ),
        # One that is done covers all days: the next that is planned is not what it rests on.
        (", inspected: [2027-05-30, 2027-06-05], serviced: 2027-03-11", "extinguishers: in date"),
        (", inspected: 2027-05-30, serviced: 2027-06-08", "extinguishers: yearly maintenance planned 2027-06-08"),
        (", serviced: 2027-03-11", "extinguishers: NOT in date, or not known: near (inspection not stated)"),
        (", inspected: 2027-02-01, serviced: 2027-03-11", "near (inspection does not cover each day)"),
    ],
)
def test_an_extinguisher_whose_work_is_to_come_is_planned(tmp_path: Path, more: str, says: str) -> None:
    path = project(tmp_path, GARDEN + UNIT % more)
    told = [f.value for f in result_of(path).summary_facts if f.slot == "in_date"]
    assert any(says in value for value in told), told


def test_without_a_day_of_issue_nobody_knows_what_is_done(tmp_path: Path) -> None:
    path = project(
        tmp_path, GARDEN + UNIT % ", inspected: 2027-05-30, serviced: 2027-03-11", ("issued: 2027-06-01", "")
    )
    told = [f.value for f in result_of(path).summary_facts if f.slot == "in_date"]
    assert any("the day of issue is not stated" in value for value in told), told


def test_cylinders_in_a_store_are_not_in_date(tmp_path: Path) -> None:
    store = "\nsite:\n  stores:\n    spare: {place: post, count: 2, each: 20 lb}\n"
    told = [f.value for f in result_of(project(tmp_path, GARDEN + store)).summary_facts if f.slot == "in_date"]
    assert "2 cylinders in store: no date stated" in told


def test_nobody_named_and_no_lead_leave_the_questions_open(tmp_path: Path) -> None:
    edits = ("people: {heron: {role: lead operator},", "people: {heron: {role: torch},")
    assert not {"responsible", "phone", "go"} & set(facts_of(tmp_path, edits))


def test_a_day_to_come_is_planned() -> None:
    from specc.model.wording import dated

    assert dated(date(2027, 9, 2).isoformat(), "") == "2027-09-02"


ROSTER = """
operators:
  shifts: {lead: {person: heron, role: lead, from: "20:00", to: "23:30"}}
"""


@pytest.mark.parametrize(
    ("held", "said"),
    [
        ("", "certificates: none listed"),
        (
            ", certificates: {a: {kind: operator, until: 2028-04-30}}",
            "certificates: in date, the first ends 2028-04-30",
        ),
        (", certificates: {a: {kind: operator, until: 2027-06-18}}", "certificates: NOT in date, or not known: heron"),
        (", certificates: {a: {kind: operator}}", "certificates: NOT in date, or not known: heron"),
    ],
)
@pytest.mark.parametrize("roster", ["", ROSTER])
def test_page_one_says_whether_certificates_hold(tmp_path: Path, held: str, said: str, roster: str) -> None:
    heron = ("heron: {role: lead operator}", f"heron: {{role: lead operator{held}}}")
    assert said in facts_of(tmp_path, heron, ("\nshow:\n", f"\n{roster}\nshow:\n"))["in_date"]


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("tested: 2027-06-19", "leak tests: planned 2027-06-19"),
        ("tested: 2027-05-30", "leak tests: dated 2027-05-30, older than joints that it reaches"),
        ("", "leak tests: no day stated"),
    ],
)
def test_page_one_says_when_leaks_are_looked_for(tmp_path: Path, day: str, said: str) -> None:
    assert said in facts_of(tmp_path, ("tested: 2027-06-19", day))["in_date"]
