"""An accumulator on a tee: it is filled by its branch and gives back by it, and every page takes it so."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from specc.kinds.plumbing import Network, Part
from specc.model.view import View
from specc.testing import checked
from specc_control.valves import _accumulators_by
from specc_plumbing.closing_order import fills, normal
from specc_plumbing.network import network_of

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
KINDS = {
    "t": ("cylinder", ""), "r": ("regulator", ""), "v": ("valve", "ball"), "s": ("valve", "solenoid"),
    "c": ("valve", "check"), "x": ("fitting", "tee"), "o": ("orifice", ""), "a": ("accumulator", ""),
    "b": ("burner", "bar"), "p": ("pilot", ""), "n": ("fitting", "nipple"), "e": ("fitting", "plug"),
}  # fmt: skip


def made(*lines: str) -> Network:
    links = dict.fromkeys(pair for line in lines for pair in zip(line.split(), line.split()[1:], strict=False))
    tags = dict.fromkeys(t for line in lines for t in line.split())
    return network_of([Part(t, *KINDS[t[0]], t, View({}, f"/{t}"), f"/{t}") for t in tags], (), links)


def tags(parts: tuple[Part, ...]) -> set[str]:
    return {p.tag for p in parts}


def test_what_it_holds_goes_back_to_the_tee_and_no_farther() -> None:
    net = made("t1 r1 x0 x1 s1 b1", "x1 n1 a1 n2 a2", "x0 p1")
    assert tags(net.downstream("a2")) == {"n2", "a1", "n1", "x1", "s1", "b1"}
    assert {"a1", "a2", "n1"} <= tags(net.upstream("b1"))
    assert not tags(net.upstream("p1")) & {"a1", "a2"}
    assert net.stores_at == {"x1": ("a1", "a2")}


@pytest.mark.parametrize(("between", "gives"), [("v9", True), ("s9", True), ("o9", True), ("c9", False), ("r9", False)])
def test_nothing_comes_back_through_a_check_valve_or_a_regulator(between: str, gives: bool) -> None:
    net = made("t1 r1 x1 s1 b1", f"x1 {between} a1")
    assert ("b1" in tags(net.downstream("a1"))) is gives


def test_one_in_the_line_stands_as_it_did() -> None:
    net = made("t1 r1 v1 x1 a1 s1 b1", "x1 p1")
    assert (net.down, net.up) == (net.after, net.before)
    assert not net.stores_at


def test_its_valve_is_closed_first_and_it_is_fired_down() -> None:
    order = [(c.order, c.action, c.tag) for c in normal(made("t1 r1 v1 x1 s1 b1", "x1 a1"))]
    assert order[:3] == [(10, "close", "v1"), (20, "fire_down", "a1"), (30, "switch_off", "s1")]


@pytest.mark.parametrize("pilot", ["x1 p1", "x1 v2 p1", "x2 p1"])
def test_a_valve_that_feeds_a_pilot_as_well_does_more_than_fill_it(pilot: str) -> None:
    net = made("t1 r1 v1 x1 x2 s1 b1", "x1 a1", pilot)
    assert not fills(net, net.by_tag["v1"])


def test_it_presses_on_the_valve_of_its_burst() -> None:
    net = made("t1 r1 v1 x1 s1 b1", "x1 a1")
    assert _accumulators_by(net, net.by_tag["s1"]) == (["a1"], [])


LINE = """1/4 NPT nipple x 0.88 in, acc1, n6: {is: 1/2 NPT nipple x 2 in, material: black steel, coating: none,
          rating: 300 psi}, x1:"""
TEED = """1/4 NPT nipple x 0.88 in,
        b9: {is: 1/2 x 1/4 NPT bushing, rating: 300 psi, material: black steel, coating: none},
        t9: {is: 1/2 NPT FORM, rating: 300 psi, material: malleable iron, coating: none},
        n6: {is: 1/2 NPT nipple x 2 in, material: black steel, coating: none, rating: 300 psi}, x1:"""
BLEED = "[acc1, 1/4 NPT nipple x 0.88 in,\n      v_d"
STORE = """    store: {{places: {{fitting: accumulator_stand, accumulator: accumulator_stand}},
      line: [t9, {between}n11: {{like: n6}}, acc1]}}
    relief: {{"""
BLED_THERE = "[t9, b10: {like: b9}, 1/4 NPT nipple x 0.88 in,\n      v_d"


def teed(folder: Path, bleed: str, ends: str, between: str = "") -> Path:
    shutil.copytree(REEDS, folder, dirs_exist_ok=True)
    file = folder / "plumbing.yaml"
    text = file.read_text()
    for old, new in (
        (LINE, TEED.replace("FORM", "tee" if bleed == BLEED else "cross")),
        (BLEED, bleed),
        ("ends: [1/4 FNPT, 1/2 FNPT, 1/4 FNPT]", f"ends: {ends}"),
        ("    relief: {", STORE.format(between=between)),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file.write_text(text)
    return folder / "project.yaml"


@pytest.mark.parametrize(("bleed", "ends"), [(BLEED, "[1/2 FNPT, 1/4 FNPT]"), (BLED_THERE, "[1/2 FNPT]")])
def test_on_a_tee_each_rule_says_what_it_says_of_one_in_the_line(tmp_path: Path, bleed: str, ends: str) -> None:
    """Whether its bleed is on itself or on the line beside it."""
    in_line, aside = checked(REEDS / "project.yaml"), checked(teed(tmp_path / "teed", bleed, ends))
    # A tee has a place, a bore and joints of its own; the figures differ by what it and its nipple lose.
    assert {r.id: r.status for r in aside.rules} == {r.id: r.status for r in in_line.rules}
    for key in ("fuel.burst_gas.nozzle", "fuel.flow.nozzle", "flame.flame_length.nozzle"):
        one, other = aside.figure(key), in_line.figure(key)
        assert (one is None) == (other is None)
        assert one is None or other is None or one.si == pytest.approx(other.si, rel=0.01)


def test_behind_a_check_valve_it_is_refused(tmp_path: Path) -> None:
    between = "cv9: {is: 1/2 NPT check valve, cv: 2, rating: 500 psi, place: accumulator_stand}, "
    result = checked(teed(tmp_path / "teed", BLEED, "[1/2 FNPT, 1/4 FNPT]", between))
    said = [f.message for f in result.findings if f.rule == "plumbing.line_ends"]
    assert said == ["acc1 stands at the end of a branch, and no outlet burns what it holds"]
