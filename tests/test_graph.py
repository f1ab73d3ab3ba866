"""The order of passes, and what a plugin costs that spoils it."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from specc.engine.graph import Order, arrange
from specc.engine.plugin import Held
from specc.model.passes import Gathered, Key, Pass, gather, section, value
from specc.model.values import Figure
from specc.testing import plugin_file, result_of, status_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
A, B, C, LIST = Key[int]("t.a", int), Key[int]("t.b", int), Key[int]("t.c", int), Gathered[int]("t.list", int)


def made(key: Key[int], *needs: Key[Any], wants: tuple[Key[Any], ...] = ()) -> Pass:
    return value(key, needs=needs, wants=wants)(lambda ctx: 1)


def held(*passes: Pass, plugin: str = "one") -> tuple[Held, ...]:
    return tuple(Held(plugin, "1", p) for p in passes)


def end(*needs: Key[Any], id: str = "end") -> Pass:
    return section(id, title="End", order=1, needs=needs)(lambda ctx: [])


def ids(order: Order) -> list[str]:
    return [h.pass_.id for h in order.passes]


def sections_only(h: Held) -> bool:
    return h.pass_.kind == "section"


@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_each_pass_comes_after_what_it_needs(order: tuple[int, ...]) -> None:
    passes = (made(A), made(B, A), made(C, A, B), end(C))
    got = ids(arrange(held(*(passes[i] for i in order)), sections_only))
    assert got == ["t.a", "t.b", "t.c", "end"]


def test_a_wanted_key_comes_first_too_but_need_not_be_there() -> None:
    assert ids(arrange(held(end(B), made(B, wants=(A,)), made(A)), sections_only)) == ["t.a", "t.b", "end"]
    missing = arrange(held(end(B), made(B, wants=(A,))), sections_only)
    assert (ids(missing), missing.troubles) == (["t.b", "end"], ())


def test_only_what_is_asked_for_is_run() -> None:
    assert ids(arrange(held(made(A), made(B), end(A)), sections_only)) == ["t.a", "end"]


def test_all_that_gather_come_before_the_reader() -> None:
    more = gather(LIST)(lambda ctx: [1])
    other = gather(LIST)(lambda ctx: [2])
    got = arrange((*held(end(LIST)), *held(more), *held(other, plugin="two")), sections_only)
    assert (ids(got), got.troubles) == (["t.list", "t.list", "end"], ())


def test_a_gathered_key_nobody_adds_to_is_empty_not_missing() -> None:
    got = arrange(held(end(LIST)), sections_only)
    assert (ids(got), got.troubles) == (["end"], ())


def test_a_contested_key_drops_all_its_providers() -> None:
    got = arrange(
        (*held(made(A)), *held(made(A), plugin="two"), *held(made(B), end(A), end(B, id="other"))), sections_only
    )
    assert [t.rule for t in got.troubles] == ["plugin.contested_key"]
    assert got.troubles[0].plugin == "one, two"
    assert "t.a" not in ids(got)
    assert {"t.b", "other"} <= set(ids(got))
    assert [h.pass_.id for h, _ in got.blocked] == ["t.a", "t.a"]


def test_one_plugin_that_provides_a_key_twice_is_named_once() -> None:
    got = arrange(held(made(A), made(A), end(A)), sections_only)
    assert [(t.rule, t.plugin) for t in got.troubles] == [("plugin.contested_key", "one")]


def test_a_missing_key_blocks_the_pass_that_needs_it() -> None:
    got = arrange(held(end(A), end(id="other")), sections_only)
    assert [t.rule for t in got.troubles] == ["plugin.missing_key"]
    assert "t.a" in got.troubles[0].message
    assert (ids(got), [h.pass_.id for h, _ in got.blocked]) == (["other"], ["end"])


def test_a_cycle_blocks_the_ring_and_names_it() -> None:
    got = arrange((*held(made(A, B)), *held(made(B, A), plugin="two"), *held(made(C), end(C))), lambda h: True)
    (trouble,) = got.troubles
    assert (trouble.rule, trouble.plugin) == ("plugin.cycle", "one, two")
    assert "t.a" in trouble.message
    assert "t.b" in trouble.message
    assert ids(got) == ["t.c", "end"]


def test_two_cycles_are_both_found() -> None:
    got = arrange(held(made(A, B), made(B, A), made(C, C), end()), lambda h: True)
    assert [t.rule for t in got.troubles] == ["plugin.cycle", "plugin.cycle"]
    assert ids(got) == ["end"]


def test_a_second_section_of_one_name_does_not_run() -> None:
    got = arrange((*held(end()), *held(end(), plugin="two")), sections_only)
    assert [(t.rule, t.plugin) for t in got.troubles] == [("plugin.same_id", "two")]
    assert [h.plugin for h in got.passes] == ["one"]


# The same down the whole road, with a club's plugin beside the built-ins

HEAD = (
    "from specc import CHOICE, Figure, Key, Para, figure, hookimpl, passed, rule, section, value\nSPECC_CONTRACT = 2\n"
)
TAIL = "\n@hookimpl\ndef specc_passes(): return PASSES\n"

CLUB = {
    "plugin.missing_key": (
        "@section('club', title='t', order=9, needs=(Key('nobody.has', int),))\ndef f(ctx): return []\nPASSES = [f]"
    ),
    "plugin.cycle": (
        "A, B = Key('club.a', int), Key('club.b', int)\n"
        "@value(A, needs=(B,))\ndef a(ctx): return 1\n@value(B, needs=(A,))\ndef b(ctx): return 1\n"
        "@section('club', title='t', order=9, needs=(A,))\ndef f(ctx): return [Para(str(ctx[A]))]\nPASSES = [a, b, f]"
    ),
    "plugin.foreign_id": "@section('fuel', title='t', order=9)\ndef f(ctx): return []\nPASSES = [f]",
}


@pytest.mark.parametrize("rule", CLUB)
def test_a_plugin_that_spoils_the_order_costs_its_own_sections(tmp_path: Path, rule: str) -> None:
    result = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club_order", HEAD + CLUB[rule] + TAIL),))
    assert [(f.rule, f.plugin) for f in result.findings] == [(rule, "club_order")]
    assert result.exit_code == 3
    before = result_of(SAMPLE)
    assert tuple(s for s in result.sections if s.plugin != "club_order") == before.sections
    assert result.rules == before.rules
    assert [p.name for p in result.plugins if p.trouble] == ["club_order"]


def test_a_built_in_s_key_is_not_to_be_had(tmp_path: Path) -> None:
    text = HEAD + "@value(Key('plumbing.network', object))\ndef f(ctx): return 1\nPASSES = [f]" + TAIL
    result = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club_order", text),))
    assert [(f.rule, f.plugin) for f in result.findings] == [("plugin.foreign_id", "club_order")]
    assert result.exit_code == 3
    assert status_of(result, "plumbing.known_parts") == "passed"
    # What needs no network is as ever.
    assert isinstance(result.figure("fuel.cylinder_pressure_highest"), Figure)
