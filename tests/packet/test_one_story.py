"""What one page says of a thing, another does not deny: read on the samples as a marshal reads them."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from sample_packets import complete

from specc.drawing.shapes import Text
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import CHECKS
from specc.measure.printing import show
from specc.model.blocks import Fact, Para, Table
from specc.model.result import Result
from specc.packet.back import found_nothing
from specc.packet.counts import counts_of
from specc.packet.desk import Desk
from specc.packet.figure_words import amounts
from specc.packet.rules_page import status_counts
from specc.testing import project, result_of

SAMPLES = Path(__file__).parents[2] / "sample_projects"


def reeds() -> Result:
    return complete("lantern_reeds")


def table(result: Result, key: str) -> Table:
    return dict(result.tables)[key]


def fact(result: Result, slot: str) -> Fact:
    return next(f for f in result.summary_facts if f.slot == slot)


def test_a_demand_that_a_single_fault_defeats_says_so_where_it_says_no_gas() -> None:
    """The table of the logic said "key off, whatever else: no gas" beside a stuck key that let gas through."""
    logic, faults = table(reeds(), "control.logic"), table(reeds(), "control.faults")
    defeated = {row.cells[2]: row.cells[0] for row in faults.rows}
    assert defeated == {"key off": "key stuck as when worked", "rod sees no flame": "rod stuck as when worked"}
    for row in logic.rows[:-1]:
        demand = row.cells[0].partition(", ")[0]
        assert row.cells[0] == f"{demand}, " + (f"unless {defeated[demand]}" if demand in defeated else "whatever else")
    assert logic.note.endswith("Under any one of those faults every other line still holds.")


def test_a_joint_is_named_by_what_comes_off_and_what_it_comes_off_of() -> None:
    """ "v2 off n4, stopped by v2" named the valve that stays as the one that came off. Gas goes from n4's side."""
    rows = {row.cells[0]: row.cells for row in table(reeds(), "plumbing.faults").rows}
    [after] = [cells for what, cells in rows.items() if "n4 off v2" in what]
    assert after[2] == "nobody: in its gas v2"
    parts = re.compile(r"(\S+) off (\S+)")
    for what, cells in rows.items():
        if (found := parts.search(what)) and "gas from the supply end" in cells[1]:
            assert found[1] not in re.split(r" and |; |, ", cells[2]), what  # what came off closes nothing


def test_without_a_hand_valve_behind_a_vessel_none_is_named_as_stopping_it() -> None:
    spec = SAMPLES / "lantern_reeds" / "project.yaml"
    plumbing = spec.with_name("plumbing.yaml")
    text = plumbing.read_text(encoding="utf-8")
    assert "n7: {like: n6}, v3, n10: {like: n6}," in text
    text = text.replace("n7: {like: n6}, v3, n10: {like: n6},", "n7: {like: n6},")
    without = travel(str(spec), None, Ask(COMPILE, instead=((str(plumbing), text.encode()),)))
    note = fact(without, "solenoid").note
    assert note.startswith("no hand valve from acc1 to nozzle: all stuck, it empties, ")
    assert note.endswith("time not computed; v2 stops the feed")
    gas = next(f for f in without.figures if f.key == "fuel.stuck_open_gas.nozzle")
    assert fact(reeds(), "solenoid").note.startswith("by hand v3, once nozzle is seen out: all stuck, it empties, ")
    assert f", {show(gas.si, 'mass', 'lb', 2)}, time" in note


def test_the_hours_after_the_lead_have_somebody_who_calls() -> None:
    assert "then fir and hazel, fire watch, to 00:15" in fact(reeds(), "responsible").note
    assert fact(reeds(), "phone").note.startswith("fire watch: hazel")


def test_people_are_counted_as_they_are_there_at_one_time() -> None:
    """Four spotters of whom one relieves another are three."""
    on = fact(reeds(), "on_shift")
    assert on.value == "9 people"
    assert on.note.startswith("at one time 7 at most; of each role: 1 lead operator, 2 valve operators, ")
    assert "3 spotters" in on.note


_VI = ": attended, portable, worked by hand (from memory)"


@pytest.mark.parametrize(
    ("group", "means"),
    [
        ("III", ": attended, one production"),
        ("VI", _VI),
        ("VII", ": fits no other group (read in a copy of 1998)"),
    ],
)
def test_a_group_says_what_it_is_where_that_is_known(tmp_path: Path, group: str, means: str) -> None:
    spec = project(tmp_path, SAMPLES / "garden_brazier" / "project.yaml", ("group: VI", f"group: {group}"))
    assert fact(result_of(spec), "group").note == f"proposed{means}; the authority decides"


def test_go_or_no_go_does_not_ask_for_what_nobody_described() -> None:
    garden = complete("garden_brazier")
    asked = {
        name: [i.item.text for i in result.items(CHECKS.name)]
        for name, result in (("garden", garden), ("reeds", reeds()))
    }
    assert any("Extinguishers stand at their places" in t for t in asked["reeds"])
    assert any("barrier closed" in t for t in asked["reeds"])
    assert any("Extinguishers: none is described" in t for t in asked["garden"])
    assert any("the public behind rope" in t for t in asked["garden"])


def test_what_the_authority_is_asked_stands_first_and_is_drawn() -> None:
    """The question was of wisp to crowd; the table and the plan had the reed, which has fewer feet to spare."""
    asked = next(r.looked for r in reeds().rules if r.id == "flame.public_distance")
    found = re.search(r"Is (\S+ ft) from (\S+) to (\S+) enough", asked)
    assert found
    row = table(reeds(), "site.nearest").rows[0].cells
    assert (row[0], row[1]) == (f"{found[2]} to {found[3]}", found[1])
    drawing = next(d for key, d in reeds().drawings if key.startswith("site"))
    assert found[1] in repr(drawing.sheets[0])


def test_the_flame_of_a_fault_is_told_from_the_ground() -> None:
    garden = complete("garden_brazier")
    flame = next(r.cells[1] for r in table(garden, "plumbing.faults").rows if r.cells[0] == "pr1 failed open")
    length = re.search(r"flame to ([\d.]+) ft", flame)
    told = re.search(r"under a single fault up to ([\d.]+) ft", fact(garden, "tallest_flame").note)
    assert length
    assert told
    assert float(told[1]) == pytest.approx(float(length[1]) + 3, abs=0.1)  # the bowl's rim stands 3 ft high


def test_the_failures_counted_and_those_with_a_row_add_up() -> None:
    section = next(s for s in reeds().sections if s.id == "plumbing_faults")
    head = next(b.text for b in section.blocks if isinstance(b, Para))
    total, silent = re.search(r" of (\d+) end", head), re.search(r" (\d+) of them have no row here", head)
    assert total
    assert silent
    shut = sum(1 for r in table(reeds(), "plumbing.faults").rows if "stuck shut" in r.cells[0])
    assert 0 < shut <= int(silent[1]) < int(total[1])


def test_a_factor_of_safety_is_the_same_number_in_the_table_and_in_the_list() -> None:
    """The table said sliding 20 and 3.34, the list of figures 21.0 and 3.35."""
    figures = {f.key: f for f in reeds().figures}
    rows = {row.cells[0].partition(" (")[0]: row.cells for row in table(reeds(), "structure.stands").rows}
    for tag, title in (("mast", "Mast of the burst"), ("reeds", "Reeds"), ("stand", "Stand of the accumulator")):
        for cell, when in ((5, ""), (6, ".left")):
            both = (figures[f"structure.{kind}.{tag}{when}"] for kind in ("overturning", "sliding"))
            assert rows[title][cell] == "; ".join(amounts(f.si, f)[0] for f in both)


def test_a_distance_of_the_public_is_the_same_number_wherever_it_stands() -> None:
    """31 ft stood on four pages and 31.1 ft on the plan, 68 ft beside 68.3 ft."""
    least = {f.key.rpartition(".")[2]: amounts(f.si, f)[0] for f in reeds().figures if "public_distance" in f.key}
    note = fact(reeds(), "audience_distance").note
    assert f"computed: {least['reed_1']} (extrapolated). wisp: " in note
    assert note.endswith(f"computed: {least['wisp']} (extrapolated)")
    asked = next(r for r in reeds().rules if r.id == "flame.public_distance").looked
    assert f"this tool's own figure, extrapolated, is {least['wisp']} (" in asked
    for key, column in (("flame.in_short", 4), ("flame.standoffs", 1)):
        assert least["wisp"] in {r.cells[column] for r in table(reeds(), key).rows if r.cells[0] == "wisp"}
    needed = {cell for row in table(reeds(), "site.distances").rows for cell in row.cells}
    assert least["wisp"] in needed


def test_a_flow_is_the_same_number_in_front_and_in_the_list() -> None:
    """One burst began with 270 lb/h on page 4 and with 265 lb/h where it is computed."""
    flow = next(f for f in reeds().figures if f.key == "fuel.flow.nozzle")
    (burst,) = table(reeds(), "fuel.bursts_in_short").rows
    assert burst.cells[3] == amounts(flow.si, flow)[0]
    unlit = next(str(b) for s in reeds().sections for b in s.blocks if "one opening lets out" in str(b))
    assert f"lets out {burst.cells[1]}, " in unlit  # what is heaviest, in cold air


def test_the_counts_of_the_rules_are_those_of_page_one() -> None:
    """Page one said 99 passed, and the list "4 computed, 95 passed"."""
    said = status_counts(reeds())
    for _, n, words in counts_of(Desk(reeds(), False)):
        assert n == 0 or re.search(rf"(: |, ){n} {re.escape(words)}[,.]", said), (n, words, said)


def test_what_found_nothing_says_what_it_did_not_look_at() -> None:
    """ "The rules found nothing" stood over 70 rules that nobody checked."""
    garden = complete("garden_brazier")
    said = found_nothing(garden)
    silent = sum(r.status in ("not checked", "authority to decide") for r in garden.rules)
    assert said.startswith("No rule that was checked found anything.")
    assert f" {silent} rules checked nothing, or left it to the authority." in said


def test_what_a_relief_valve_alone_keeps_within_its_rating_is_named() -> None:
    rule = next(r for r in reeds().rules if r.id == "fuel.rated_for_failure")
    assert "; rv1 alone keeps g1, sv_1, sv_2 within their ratings" in rule.looked


def test_what_is_brazed_stands_on_the_sheet_of_the_system() -> None:
    """No line of the front said what is brazed, and with what: every inspector asks."""
    garden = complete("garden_brazier")

    def sheet(result: Result) -> str:
        shapes = [s for one in dict(result.drawings)["plumbing"].sheets for s in one.shapes]
        return " ".join(s.text for s in shapes if isinstance(s, Text))

    brazed = "Brazed 5 joints, within stem_1 to stem_5 (filler BAg-5); soldered or welded none, as typed."
    assert brazed in sheet(reeds())
    assert "Welded 1 joint, within ring (filler not stated); brazed or soldered none, as typed." in sheet(garden)
