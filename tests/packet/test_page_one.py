"""Page one reads as no assurance: of what nobody checked it says why, and what rests on memory is counted apart."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from fake import ERROR, fake
from pdf_text import read_pages
from sample_packets import complete, printed

from specc.model.blocks import Fact
from specc.model.result import Result, RuleOutcome
from specc.model.statuses import Status
from specc.model.values import Citation
from specc.packet import render
from specc.packet.cards import render_cards
from specc.packet.counts import Counts
from specc.packet.desk import Desk, shortly
from specc.packet.layout import Stack
from specc.packet.questions import to_decide
from specc.packet.rules_page import _weight
from specc.packet.signing import ANSWER, MEANS
from specc.packet.style import FINE, FINE_STRONG, PAPERS
from specc.packet.summary import ONE_SIDE, OTHER_SIDES, UNREAD, UNSHOWN_IN_WIND, _page, not_known, page
from specc.packet.text import Paragraph

READ, MEMORY = Citation("event-rules", "part 4", "read"), Citation("event-rules", "part 4", "memory")


def rule(id: str, status: Status, looked: str, source: Citation = READ, plugin: str = "plumbing") -> RuleOutcome:
    return RuleOutcome(id, "error", f"Nothing of {id} goes wrong", source, status, looked, plugin)


def first(result: Result) -> str:
    return read_pages(render(result))[0]


def test_what_is_not_checked_says_its_reason_before_what_was_asked() -> None:
    lit = rule("plumbing.a", "not checked", "v_p puts out pilot_1 and leaves the burst armed")
    bare = rule("plumbing.b", "crashed", "")
    some = fake()._replace(rules=(lit, bare, rule("plumbing.c", "passed", "three parts")))
    assert not_known(some.rules[:2], Desk(some, False)) == [
        ("v_p puts out pilot_1 and leaves the burst armed. Not known whether: Nothing of plumbing.a goes wrong", 1),
        ("not known whether: Nothing of plumbing.b goes wrong", 1),
    ]
    told = first(some)
    told = told[told.index("Needs you") :]
    assert told.index("v_p puts out pilot_1") < told.index("Not checked 2 rules") < told.index("plumbing.b goes wrong")
    assert told.count("goes wrong") == told.lower().count("not known whether: nothing of")


def test_rules_with_the_same_reason_stand_together() -> None:
    same = [rule(f"operators.{x}", "not checked", "the spec has no roster") for x in "ab"]
    assert not_known(same, Desk(fake(), False)) == [("the spec has no roster. 2 rules", 2)]


def test_a_question_without_words_of_its_own_is_no_assurance() -> None:
    asks = fake()._replace(rules=(rule("plumbing.a", "authority to decide", ""),))
    assert ("Not known whether: Nothing of plumbing.a goes wrong", "plumbing.a") in to_decide(Desk(asks, False))


def test_what_nobody_checked_and_would_be_an_error_is_counted_first_and_asked() -> None:
    """A pilot that one valve puts out under an armed burst read "No errors found", and nobody was asked."""
    lit = rule("plumbing.a", "not checked", "v_p puts out pilot_1 and leaves the burst armed")
    lacks = rule("site.a", "not checked", "no places")._replace(answers=("/places/*/kind",))
    habit = rule("plumbing.b", "not checked", "no guide")._replace(level="warning", answers=("/plumbing",))
    some = fake()._replace(rules=(rule("plumbing.c", "authority to decide", "Is 9 ft enough?"), habit, lacks, lit))
    (hazard, by), (others, _), *rest = to_decide(Desk(some, False))
    assert (hazard.partition(".")[0], by) == (lit.looked, "plumbing.a")
    assert others.startswith("1 rule that would be an error if not so: not checked.")
    assert ("Is 9 ft enough?", "plumbing.c") in rest
    told = first(some)
    assert "3 of 4 rules not checked, 2 of them errors if not so" in told
    assert "No errors found" not in told
    needs = told[told.index("Needs you") : told.index("Stated or planned")]
    assert lit.looked in needs
    only = some._replace(rules=(habit,))
    assert "1 of 1 rule not checked" in first(only)
    assert "if not so" not in first(only)


def test_a_reason_is_not_cut_inside_a_parenthesis() -> None:
    reason = "jets of ring have less pressure than the wind; nothing shows that they hold (flame: wind_shown: ring:)"
    assert shortly(reason, 90) == "jets of ring have less pressure than the wind"
    bare = "nothing says what hangs over the flames (flame: overhead: with tags of places, or a height)"
    assert shortly(bare, 80) == "nothing says what hangs over the flames"


def test_what_passed_on_a_number_from_memory_is_counted_apart() -> None:
    some = fake()._replace(
        rules=(
            *(rule(f"plumbing.r{n}", "passed", "1 part") for n in range(3)),
            *(rule(f"plumbing.m{n}", "passed", "1 part", MEMORY) for n in range(2)),
        )
    )
    told = first(some)
    assert "3 passed" in told
    assert "2 passed, source not verified" in told
    assert "5 passed" not in told


def test_counts_of_every_status_stay_on_the_page() -> None:
    many = [("passed", 100, "passed, source not verified")] * 9
    width = PAPERS["letter"].measure
    rows = Counts(many)._rows(width)
    assert sum(len(row) for row in rows) == 9
    assert all(sum(taken for *_, taken in row) <= width for row in rows)
    assert Counts(many).height(width) > Counts(many[:1]).height(width)


@pytest.mark.parametrize(
    ("status", "said"),
    [
        ("not checked", True),
        ("failed", True),
        ("crashed", True),
        ("planned", True),
        ("passed", False),
        ("stated", False),
    ],
)
def test_a_stop_wind_says_that_flames_are_not_shown_to_hold_in_it(status: Status, said: bool) -> None:
    some = fake()._replace(
        rules=(rule("flame.holds_in_wind", status, "nothing shows it", plugin="flame"),),
        summary_facts=(Fact(5, "15 mph", "stop wind", "gust over 3 s, at 6 ft", "stop_wind"),),
    )
    assert (UNSHOWN_IN_WIND in first(some)) is said


def test_page_one_is_one_page_with_every_reason_long() -> None:
    long = " ".join(["nothing shows that it holds"] * 30)
    paper = PAPERS["letter"]
    rules = tuple(rule(f"plumbing.x{n}", "not checked", f"{n} {long}") for n in range(40))
    made = page(Desk(fake()._replace(rules=rules), False), paper)
    assert isinstance(made, Stack)
    assert made.height(paper.measure) <= paper.room


def test_each_question_has_a_line_to_answer_on_and_the_signature_says_what_it_means() -> None:
    asks = tuple(rule(f"plumbing.{x}", "authority to decide", f"Is {x} enough?") for x in "abc")
    some = fake()._replace(rules=asks)
    last = " ".join(read_pages(render(some)))
    assert last.count(ANSWER) == len(to_decide(Desk(some, False)))
    assert MEANS in last
    draft = render(some._replace(exit_code=1, findings=(ERROR,)))
    told = " ".join(read_pages(draft))
    assert MEANS not in told


def test_page_one_names_no_key_of_the_spec() -> None:
    """A marshal read "the spec has no operators:"; keys are for who writes the spec."""
    bare = rule("structure.a", "not checked", "nothing says how it stands (structure: stands:), so nobody looked")
    asks = rule(
        "flame.b", "authority to decide", "Is 9 ft enough (flame: audience: with tags of places)? Nothing says so"
    )
    words = rule("fuel.c", "stated", "as typed (tank: and hose: by hand)")
    told = first(fake()._replace(rules=(bare, bare._replace(id="structure.d"), asks, words)))
    assert "nothing says how it stands, so nobody looked" in told
    assert "Is 9 ft enough?" in told
    assert "as typed (tank: and hose: by hand)" in told  # these are words, not keys


def test_what_is_left_of_the_unchecked_rules_is_counted_in_rules() -> None:
    """ "9 more" stood over nine reasons, and the row above said of the same rules that 19 are left."""
    garden = complete("garden_brazier")
    told = printed("garden_brazier").pages[0]
    silent = sum(r.status == "not checked" for r in garden.rules)
    box = told[told.index(f"Not checked {silent} rules") :]
    shown = sum(int(n) for n in re.findall(r"(\d+) rules? ", box[: box.index(" more: in section")])[1:])
    left = re.search(r"(\d+) more: in section", box)
    assert left
    assert shown + int(left[1]) == silent


def test_a_distance_to_one_side_says_so_beside_itself() -> None:
    garden, reeds = printed("garden_brazier").pages[0], printed("lantern_reeds").pages[0]
    assert garden.count(OTHER_SIDES) == 2  # under the large figure, and where it is asked
    assert garden.count(ONE_SIDE) == 2  # in place of words that read as the distance
    assert "nearest flame to the audience" not in garden
    assert OTHER_SIDES not in reeds  # whose plan shows all sides
    assert "nearest flame to the audience" in reeds


def test_the_card_at_the_gate_promises_no_distance_of_sides_that_nobody_described() -> None:
    """It said that nobody of the public is nearer, of a garden that is open to three sides."""
    told = {
        name: " ".join(read_pages(render_cards(complete(name), only=("gate",))))
        for name in ("lantern_reeds", "garden_brazier")
    }
    assert "Nobody of the public is nearer" in told["lantern_reeds"]
    assert "Nobody of the public" not in told["garden_brazier"]
    assert OTHER_SIDES in told["garden_brazier"]


def test_failures_that_nobody_stops_are_counted_with_the_worst_where_the_gas_is_shut_off() -> None:
    reeds = complete("lantern_reeds")
    pages = [" ".join(p.split()) for p in printed("lantern_reeds").pages]
    found = re.search(r"nothing and nobody stops (\d+) of \d+ failures: at worst (.*?), ([\d.]+ lb/h)", pages[0])
    assert found
    assert f"{found[1]} at a valve in the gas alone, where nobody goes (never)" in pages[4]
    never = [r for r in dict(reeds.tables)["plumbing.if_this_fails"].rows if "never" in r.cells]
    assert found[3] in never[0].cells[1]
    assert sum(int(n[0]) if (n := re.match(r"\d+", r.cells[0])) else r.cells[0].count(",") + 1 for r in never) == int(
        found[1]
    )
    assert {r.cells[2] for r in never} == {"nobody: its valves stand in the gas"}


def test_where_nobody_is_posted_no_failure_counts_as_stopped_by_hand() -> None:
    """Twenty of a garden's failures ended "with the gas stopped", at valves where nobody is said to stand."""
    pages = [" ".join(p.split()) for p in printed("garden_brazier").pages]
    assert "2 of 23 end with the gas stopped by what is shown, 20 only if somebody stands at the valve" in pages[2]
    assert "nothing and nobody stops 21 of 23 failures, as nobody is posted: at worst hose h1 parted" in pages[0]
    assert "only if somebody" not in " ".join(printed("lantern_reeds").pages)


def test_what_the_stop_leaves_burning_is_counted_beside_it() -> None:
    reeds = complete("lantern_reeds")
    lost = next(r for r in dict(reeds.tables)["plumbing.if_this_fails"].rows if r.cells[0] == "power lost")
    burning = re.search(r"(\d+) others burn on", lost.cells[1])
    assert burning
    assert f"for the solenoid valves alone: {burning[1]} other flames burn on" in printed("lantern_reeds").pages[0]


def test_a_packet_with_tests_to_come_says_after_which_day_it_is_issued_again() -> None:
    some = [rule(f"plumbing.{n}", "planned", "a test")._replace(due=f"2026-01-{n}") for n in (15, 10)]
    told = first(fake()._replace(rules=(*some, rule("plumbing.c", "passed", "three parts"))))
    assert "2 planned: issue again after 2026-01-15" in told
    # No day is left between a test on the night itself and the night.
    late = "2 planned for the first night, 2027-06-19: too late to issue again"
    assert late in printed("garden_brazier").pages[0]


def test_where_few_lines_are_left_what_is_stated_and_waived_is_counted_in_one() -> None:
    """The two columns of nothing but "66 more" took the room of the answers above them."""
    some = [rule("plumbing.t", "stated", "as typed"), rule("plumbing.d", "planned", "a test")]
    desk = Desk(fake()._replace(rules=tuple(some)), False)
    crowded, roomy = (
        " ".join(s.text for i in _page(desk, PAPERS["letter"], most).items if isinstance(i, Paragraph) for s in i.spans)
        for most in (-1, 9)
    )
    assert "Stated or planned only: 1 stated, 1 planned, in section" in crowded
    assert "waived: " in crowded
    assert "Stated or planned only:" not in roomy


def test_what_would_be_an_error_stands_out_among_what_nobody_checked() -> None:
    garden = complete("garden_brazier")
    silent = [r for r in garden.rules if r.status == "not checked"]
    worse = [r for r in silent if r.level == "error"]
    assert 0 < len(worse) < len(silent)
    pages = [" ".join(p.split()) for p in printed("garden_brazier").pages]
    asked = f"Not checked: {len(silent)}, {len(worse)} of them errors if not so In bold: an error if not so."
    assert any(asked in page for page in pages)
    assert f"{len(worse)} rules that would be errors if not so: not checked. In bold in section 13" in pages[5]
    assert {_weight(r) for r in worse} == {FINE_STRONG}
    assert {_weight(r) for r in silent if r not in worse} == {FINE}


def test_the_main_shutoff_says_what_waits_while_a_burst_blows() -> None:
    """An engine company reads page one alone, and what it shuts there feeds the pilot of the burst."""
    told = printed("lantern_reeds").pages[0]
    assert "v_a and v_b; while nozzle blows v_a and v_b wait, 30 s at most: they feed pilot_1; emergency stop" in told
    assert "while" not in next(f.value for f in complete("garden_brazier").summary_facts if f.slot == "main_shutoff")


def test_how_many_that_passed_computed_something_stands_beside_their_number() -> None:
    reeds = complete("lantern_reeds")
    plain = [r for r in reeds.rules if r.status == "passed" and not r.from_memory]
    figured = sum(1 for r in plain if r.figures)
    assert 0 < figured < len(plain)
    assert f"{len(plain)} passed ({figured} computed)" in printed("lantern_reeds").pages[0]


def test_page_one_says_that_the_standard_for_such_effects_was_not_read() -> None:
    assert UNREAD in printed("garden_brazier").pages[0]
    seen = rule("operators.age", "passed", "seven people", Citation("nfpa-160", "chapter 7", "read"))
    assert UNREAD not in first(fake()._replace(rules=(seen,)))
    notes = seen._replace(citation=Citation("nfpa-160", "chapter 7", "reprint"))
    assert UNREAD in first(fake()._replace(rules=(notes,)))
