"""Tags that sound alike over a radio, and what the packet says of them."""

from __future__ import annotations

import string
from pathlib import Path

import pytest

from specc.engine.road import Ask, travel
from specc.formulas.spoken import WORDS, alike, same_number, spoken
from specc.testing import all_but, project

POSTS = Path(__file__).parent / "rules" / "posts.yaml"
OTHERS = all_but("operators", "plumbing", "site")


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("v_b", "v_d", True), ("v_p", "v_t", True), ("v_m", "v_n", True), ("v_a", "v_k", True), ("v_f", "v_s", True),
        ("V_B", "v-d", True), ("b1", "d1", True), ("v_a", "v_b", False), ("v_1", "v_2", False), ("v_b", "v_b", False),
        ("v_b1", "v_d2", False), ("bed", "ped", False), ("v_b", "v_b_d", False), ("tank_b", "rack_b", False),
    ],
)  # fmt: skip
def test_letters_that_stand_alone_and_rhyme_sound_alike(one: str, other: str, same: bool) -> None:
    assert alike(one, other) == alike(other, one) == same


def test_each_letter_has_a_word_that_begins_with_it() -> None:
    assert "".join(WORDS) == string.ascii_lowercase
    assert spoken(["v_b", "v_x", "v_d"]) == {"v_b": "bravo", "v_d": "delta"}
    assert spoken(["b_b", "b_d", "tank"]) == {"b_b": "bravo", "b_d": "delta"}


def test_letters_before_a_common_number_are_said_by_words_where_one_of_them_is_in_both() -> None:
    made = same_number(["v1", "v_r1", "v_r2", "rv1", "sv_1", "bed_1", "t_p", "x7", "y7"])
    assert made == {"v1": "victor", "v_r1": "victor romeo", "rv1": "romeo victor", "sv_1": "sierra victor"}
    assert same_number(["v1", "v2", "valve_1"]) == {}, "another number, and a word that is read as one"


_BALL = "{kind: valve, form: ball, place: box}"
VALVES = ("v1: {kind: valve", f"v_b: {_BALL}\n    v_d: {_BALL}\n    v1: {{kind: valve")


def made(spec: Path) -> tuple[list[str], str]:
    ask = Ask(ids=frozenset({"rule site.tags_apart", "table operators.signals"}), block=OTHERS)
    result = travel(str(spec), None, ask)
    note = dict(result.tables)["operators.signals"].note
    return [f.message for f in result.findings if f.rule == "site.tags_apart"], note


def test_the_packet_says_by_word_what_rhymes(tmp_path: Path) -> None:
    found, note = made(project(tmp_path, POSTS, VALVES))
    assert not found
    assert "v_b bravo, v_d delta" in note
    assert made(POSTS) == ([], "")


def test_without_a_roster_nothing_says_it_and_it_is_found(tmp_path: Path) -> None:
    text = POSTS.read_text(encoding="utf-8")
    alone = text[: text.index("operators:\n")] + text[text.index("site: {") :]
    assert made(project(tmp_path, alone, VALVES))[0] == ["v_b, v_d sound alike over a radio"]
