"""The rules on flow while all burn, accumulators and cold walls, on a good spec and on bad ones.

As in test_rules: a bad case is a patch on fuel_flow.yaml with `# expect: rule.id` on the faulty line, and nothing
else may be found. Notes count here too, since one of the rules gives nothing else.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from specc.testing import (
    Patch,
    all_but,
    checked,
    expected_in,
    findings_at,
    findings_of,
    project,
    result_of,
    rules_of,
    status_of,
)
from specc_fuel.accumulators import bursts, held_gas
from specc_fuel.network import Pipeline, propane
from specc_fuel.outlets import even_jets, failed_regulator, line_capacity, relief, relief_lines
from specc_fuel.show_run import cylinder_figures
from specc_fuel.supply import condensation, connections
from specc_plumbing import lighting

GOOD = Path(__file__).with_name("fuel_flow.yaml")
WITHOUT = all_but("plumbing", "fuel")
OWN = rules_of(
    bursts,
    condensation,
    connections,
    cylinder_figures,
    even_jets,
    failed_regulator,
    held_gas,
    lighting,
    line_capacity,
    relief,
)


def marked(old: str, new: str, *rules: str) -> Patch:
    return old, f"{new} # expect: {', '.join('fuel.' + r for r in rules)}"


def on(tag: str, kind: str, *rules: str) -> Patch:
    """What is found at a part as a whole stands at its first line."""
    return marked(f"    {tag}:\n      kind: {kind}", f"    {tag}:\n      kind: {kind}", *rules)


def on_line(line: str, *rules: str) -> Patch:
    return line, f"{line.rstrip()} # expect: {', '.join('fuel.' + r for r in rules)}\n"


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "fuel.condensation": {
        "a colder wall": (
            ("coldest_wall: 48 °F", "coldest_wall: 0 °F"),
            marked("set: 30 psi", "set: 30 psi", "condensation"),
        ),
        "much butane": (
            ("n_butane: 2.5 %", "n_butane: 45 %"),
            marked("set: 30 psi", "set: 30 psi", "condensation"),
        ),
        "a regulator that creeps": (
            marked("set: 30 psi", "set: 30 psi", "condensation"),
            ("lock_up: 34 psi", "lock_up: 75 psi"),
            ("opens: 60 psi,", "opens: 90 psi,"),
        ),
    },
    "fuel.store_relief": {
        "no relief valve": (
            ("    relief: {from: x1, line: [rv]}\n", ""),
            ("    rv: {kind: valve, form: relief, opens: 60 psi, bore: 1/4 in, rating: 250 psi}\n", ""),
            on("acc", "accumulator", "store_relief"),
            # The solenoid valve is rated less than what then stands there when pr2 fails open.
            on("pr2", "regulator", "rated_for_failure"),
        ),
        "a valve that shuts it off": (
            ("line: [rv]", "line: [v9, rv]"),
            (
                "    rv: {kind: valve, form: relief, opens: 60 psi, bore: 1/4 in, rating: 250 psi}",
                "    v9: {kind: valve, form: ball, rating: 600 psi}\n    rv: {kind: valve, form: relief, "
                "opens: 60 psi, bore: 1/4 in, rating: 250 psi} # expect: fuel.relief_capacity",
            ),
            on("pr2", "regulator", "rated_for_failure"),
            on("acc", "accumulator", "store_relief"),
        ),
    },
    "fuel.enough_together": {
        "one long thin hose for two": (
            ("length: 30 ft\n      rating: 350 psi\n    v1", "length: 200 ft\n      rating: 350 psi\n    v1"),
            ("bore: 3/8 in\n      length", "bore: 0.1 in\n      length"),
            ("bore: 0.030 in", "bore: 0.05 in"),
            on("lamp", "burner", "enough_together", "line_capacity"),
            on("ring", "burner", "enough_together", "line_capacity"),
        ),
    },
    "fuel.line_capacity": {
        "a hose of a quarter inch that is long": (
            ("length: 30 ft\n      rating: 350 psi\n    v1", "length: 120 ft\n      rating: 350 psi\n    v1"),
            ("bore: 3/8 in\n      length", "bore: 3/16 in\n      length"),
            on("lamp", "burner", "line_capacity"),
            on("ring", "burner", "line_capacity"),
        ),
    },
    "fuel.line_speed": {
        "a thin tube ahead of a large orifice": (
            (
                "wall: 0.032 in, length: 6 ft, rating: 500 psi}",
                "wall: 0.155 in, length: 1 in, rating: 500 psi} # expect: fuel.line_speed",
            ),
        ),
    },
    "fuel.regulators_hold": {
        "a seat too small": (
            marked("set: 10 psi", "set: 10 psi\n      seat: 0.0195 in", "regulators_hold"),
            ("seat: 0.0195 in # expect: fuel.regulators_hold", "seat: 0.0195 in"),
            ("set: 10 psi\n", "set: 10 psi # expect: fuel.regulators_hold\n"),
        ),
    },
    "fuel.losses_known": {
        "a solenoid valve without its Cv": (
            (
                "closed, cv: 3, rating: 150 psi, driven_by: {relay: k2}}",
                "closed, rating: 150 psi, driven_by: {relay: k2}} # expect: fuel.losses_known",
            ),
        ),
        "a pipe without its bore": (
            (
                "bore: 0.622 in, length: 10 ft, rating: 300 psi}",
                "length: 10 ft, rating: 300 psi} # expect: fuel.losses_known",
            ),
        ),
    },
    "fuel.even_jets": {
        "a ring of thin tube with large jets": (
            (
                "wall: 0.040 in\n      rating: 125 psi\n      jets: {count: 36, bore: 1/16 in, discharge: 0.7}",
                "wall: 0.20 in\n      rating: 125 psi\n      jets: {count: 36, bore: 1/8 in, discharge: 0.7} "
                "# expect: plumbing.jets_feed",
            ),
            on("ring", "burner", "even_jets"),
        ),
    },
    "fuel.burst_ready": {
        "bursts too close together": (
            marked("{times: 10, open: 0.5 s}", "{times: 10, open: 0.5 s, every: 3 s}", "burst_ready"),
            on("acc", "accumulator", "bursts_strong"),
        ),
    },
    "fuel.supply_holds": {
        "a small cylinder for a large flame": (
            on_line("      kind: cylinder\n", "supply_holds, fuel.boil_off"),
            ("capacity: 100 lb\n      diameter: 15 in", "capacity: 20 lb\n      diameter: 12.5 in"),
            ("height: 48 in\n      tare: 70 lb", "height: 18 in\n      tare: 18 lb"),
            (", bath: 80 °F", ""),
            ("bore: 0.032 in", "bore: 0.055 in"),
            on("acc", "accumulator", "bursts_strong"),
        ),
        "one that many bursts cool, while the flames beside them still get what they need": (
            on_line("      kind: cylinder\n", "supply_holds, fuel.boil_off"),
            ("capacity: 100 lb\n      diameter: 15 in", "capacity: 20 lb\n      diameter: 12.5 in"),
            ("height: 48 in\n      tare: 70 lb", "height: 18 in\n      tare: 18 lb"),
            (", bath: 80 °F", ""),
            ("lasts: 1 h", "lasts: 15 min"),
            ("{times: 10, open: 0.5 s}", "{times: 60, open: 0.5 s, every: 14 s}"),
        ),
    },
    "fuel.down_to_reserve": {
        "a show that is long for its gas": (
            ("lasts: 1 h", "lasts: 6 h"),
            ("capacity: 100 lb\n      diameter: 15 in", "capacity: 23.5 lb\n      diameter: 15 in"),
            on_line("      kind: cylinder\n", "down_to_reserve", "enough_gas"),
        ),
    },
    "fuel.bursts_strong": {
        "a feed that has no time": (
            marked("{times: 10, open: 0.5 s}", "{times: 10, open: 0.5 s, every: 2 s}", "burst_ready"),
            on("acc", "accumulator", "bursts_strong"),
        ),
        "more than the scene has time for": (
            marked("{times: 10, open: 0.5 s}", "{times: 900, open: 0.5 s}", "burst_ready"),
            on_line("      kind: cylinder\n", "boil_off"),
            on("acc", "accumulator", "bursts_strong"),
        ),
    },
    "fuel.relief_setting": {
        "one that weeps": (
            marked(
                "opens: 60 psi, bore: 1/4 in, rating: 250 psi}",
                "opens: 36 psi, bore: 5/16 in, rating: 250 psi}",
                "relief_setting",
            ),
        ),
        "one that opens too late": (
            marked(
                "opens: 60 psi, bore: 1/4 in, rating: 250 psi}",
                "opens: 200 psi, bore: 1/4 in, rating: 250 psi}",
                "relief_setting",
            ),
            on("pr2", "regulator", "rated_for_failure"),
        ),
    },
    "fuel.rated_for_failure": {
        "a manifold of thin stuff behind the regulator": (
            (
                "m2: {kind: fitting, form: manifold, rating: 600 psi}",
                "m2: {kind: fitting, form: manifold, rating: 100 psi}",
            ),
            on("pr1", "regulator", "rated_for_failure"),
        ),
        "a nozzle of thin stuff": (
            (
                "length: 10 ft, rating: 300 psi}\n    nozzle: {kind: burner, form: nozzle, rating: 300 psi,",
                "length: 10 ft, rating: 300 psi}\n    nozzle: {kind: burner, form: nozzle, rating: 100 psi,",
            ),
            (
                "jets: {count: 1, bore: 3/8 in, discharge: 0.8}}",
                "jets: {count: 1, bore: 3/8 in, discharge: 0.8}} # expect: fuel.rated_for_failure",
            ),
        ),
    },
    "fuel.relief_capacity": {
        "a line before it takes too much": (
            ("line: [rv]", "line: [h9, rv]"),
            ("    rv: {", "    h9: {kind: pipe, bore: 3/8 in, length: 3 ft, rating: 350 psi}\n    rv: {"),
            ("bore: 1/4 in, rating: 250 psi}", "bore: 1/4 in, rating: 250 psi} # expect: fuel.relief_capacity"),
            on("pr2", "regulator", "rated_for_failure"),
        ),
        "a line behind it holds too much against it": (
            ("line: [rv]", "line: [rv, t9]"),
            (
                "    rv: {",
                "    t9: {kind: tube, outside: 3/8 in, wall: 0.03 in, length: 10 ft, rating: 350 psi}\n    rv: {",
            ),
            ("bore: 1/4 in, rating: 250 psi}", "bore: 1/4 in, rating: 250 psi} # expect: fuel.relief_capacity"),
            on("pr2", "regulator", "rated_for_failure"),
        ),
        "one too small": (
            ("opens: 60 psi, bore: 1/4 in,", "opens: 60 psi, bore: 1/8 in,"),
            ("bore: 1/8 in, rating: 250 psi}", "bore: 1/8 in, rating: 250 psi} # expect: fuel.relief_capacity"),
            on("pr2", "regulator", "rated_for_failure"),  # as if it were not there
        ),
        "more, as stated, than a hole of its bore could pass": (
            (
                "opens: 60 psi, bore: 1/4 in, rating: 250 psi}",
                "opens: 60 psi, relieves: 2000 lb/h, bore: 1/16 in, rating: 250 psi} # expect: fuel.relief_capacity",
            ),
            on("pr2", "regulator", "rated_for_failure"),
        ),
        "less than the seat gives, as stated": (
            (
                "opens: 60 psi, bore: 1/4 in, rating: 250 psi}",
                "opens: 60 psi, relieves: 20 lb/h, rating: 250 psi} # expect: fuel.relief_capacity",
            ),
            on("pr2", "regulator", "rated_for_failure"),
        ),
    },
    "fuel.regulator_capacity": {
        "more drawn than it is made for": (
            marked(
                "      set: 10 psi\n      capacity: 300 kBTU/h",
                "      set: 10 psi\n      capacity: 60 kBTU/h",
                "regulator_capacity",
            ),
        ),
    },
    "fuel.connection_flow": {
        "a nut that closes on less": (
            marked("connection_flow: 600 kBTU/h", "connection_flow: 60 kBTU/h", "connection_flow"),
        ),
    },
    "fuel.held_gas": {
        "a pipe that is a vessel": (
            ("line: [v2, pr2, h2, acc, x1,", "line: [v2, pr2, h2, drum, acc, x1,"),
            (
                "    acc:\n",
                "    drum: {kind: pipe, bore: 6 in, length: 2 ft, rating: 300 psi} # expect: fuel.held_gas\n    acc:\n",
            ),
        ),
        "short pipes that together are a vessel": (
            ("line: [v2, pr2, h2, acc, x1,", "line: [v2, pr2, h2, acc, p_1, p_2, p_3, x1,"),
            (
                "    acc:\n",
                "    p_1: {kind: pipe, bore: 1.6 in, length: 18 in, rating: 300 psi} # expect: fuel.held_gas\n"
                "    p_2: {kind: pipe, bore: 1.5 in, length: 18 in, rating: 300 psi}\n"
                "    p_3: {kind: pipe, bore: 1.5 in, length: 18 in, rating: 300 psi}\n    acc:\n",
            ),
        ),
        "a manifold as long as a pipe": (
            ("line: [v2, pr2, h2, acc, x1,", "line: [v2, pr2, h2, acc, drum, x1,"),
            (
                "    acc:\n",
                "    drum: {kind: fitting, form: manifold, bore: 3 in, length: 2 ft, rating: 300 psi} "
                "# expect: fuel.held_gas\n    acc:\n",
            ),
        ),
        "a pipe ahead of an orifice": (
            ("line: [v2, pr2, h2, acc, x1,", "line: [v2, pr2, h2, acc, drum, fo9, x1,"),
            (
                "    acc:\n",
                "    fo9: {kind: orifice, bore: 1/4 in, discharge: 0.8, rating: 500 psi}\n"
                "    drum: {kind: pipe, bore: 6 in, length: 2 ft, rating: 300 psi} # expect: fuel.held_gas\n    acc:\n",
            ),
        ),
        "a hose that is a vessel": (
            (
                "    h2:\n      kind: hose\n      bore: 1/4 in",
                "    h2:\n      kind: hose # expect: fuel.held_gas\n      bore: 2 in",
            ),
        ),
    },
    "plumbing.shut_without_power": {
        "a valve that opens when its power fails": (
            (
                "normally: closed, cv: 3, rating: 150 psi, driven_by: {relay: k1}}",
                "normally: open, cv: 3, rating: 150 psi, driven_by: {relay: k1}} # expect: plumbing.burst_closures",
            ),
            (
                "normally: closed, cv: 3, rating: 150 psi, driven_by: {relay: k2}}",
                "normally: open, cv: 3, rating: 150 psi, driven_by: {relay: k2}} "
                "# expect: plumbing.shut_without_power, plumbing.burst_closures",
            ),
            (
                "{count: 1, bore: 3/8 in, discharge: 0.8}}",
                "{count: 1, bore: 3/8 in, discharge: 0.8}} # expect: plumbing.burst_closures",
            ),
        ),
    },
    "plumbing.effects_apart": {
        "a lamp without a valve of its own": (
            ("      bursts:\n", "      cues:\n        - {after: 30 min, out: [lamp]}\n      bursts:\n"),
            ("outlets: [lamp]}", "outlets: [lamp]} # expect: plumbing.effects_apart"),
        ),
    },
    "fuel.bath_limit": {
        "water too warm": (
            marked("bath: 80 °F}", "bath: 128 °F}", "bath_limit, fuel.liquid_temperature"),
            ("opens: 60 psi, bore: 1/4 in,", "opens: 60 psi, bore: 3/8 in,"),
            ("highest: 20 psi\n      rating: 250 psi", "highest: 20 psi\n      rating: 300 psi"),
            (
                "capacity: 300 kBTU/h\n      rating: 250 psi\n    h2",
                "capacity: 300 kBTU/h\n      rating: 300 psi\n    h2",
            ),
        ),
    },
}
CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    result = checked(spec, block=WITHOUT)
    assert findings_at(result, notes=True) == expected
    assert status_of(result, rule) == "failed"


def test_every_rule_has_a_bad_case() -> None:
    assert set(BAD) == OWN


def test_the_good_spec_has_no_findings_and_passes_each_rule() -> None:
    result = checked(GOOD, block=WITHOUT)
    assert result.findings == ()
    own = {r.id: r.status for r in result.rules if r.id in OWN}
    assert set(own) == OWN
    # What fills the accumulator is not counted against the nut.
    assert own.pop("fuel.connection_flow") == "not checked"
    assert {status.partition(",")[0] for status in own.values()} == {"passed", "stated"}, own


def test_condensing_says_how_high_it_may_be_set_and_how_much_liquid_could_collect(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("coldest_wall: 48 °F", "coldest_wall: 0 °F"))
    (found,) = findings_of(spec, "fuel.condensation")
    assert "acc could collect up to" in found.message
    assert "psi that night would pass" in found.fix


def si(spec: Path, key: str) -> float:
    found = checked(spec, block=WITHOUT).figure(key)
    assert found is not None, key
    return found.si


def test_a_gas_without_butane_condenses_later(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("n_butane: 2.5 %", "n_butane: 0 %"))
    assert si(spec, "fuel.dew_pressure") > si(GOOD, "fuel.dew_pressure") + 20000


def test_an_elevation_counts_against_the_gauge(tmp_path: Path) -> None:
    """The same absolute dew pressure stands higher above thinner air."""
    spec = project(tmp_path, GOOD, ("elevation: 420 ft", "elevation: 6000 ft"))
    higher = si(spec, "fuel.dew_pressure") - si(GOOD, "fuel.dew_pressure")
    assert higher == pytest.approx(si(GOOD, "core.air_pressure") - si(spec, "core.air_pressure"))


@pytest.mark.parametrize(
    ("old", "new", "rules"),
    [
        ("      seat: 3/32 in\n", "", ("relief_capacity", "rated_for_failure", "store_relief")),
        (
            "bore: 1/4 in, rating: 250 psi}",
            "rating: 250 psi}",
            ("relief_capacity", "rated_for_failure", "store_relief"),
        ),
        ("      set: 10 psi\n      capacity: 300 kBTU/h\n", "      set: 10 psi\n", ("regulator_capacity",)),
        ("      connection_flow: 600 kBTU/h\n", "", ("connection_flow",)),
    ],
)
def test_what_is_not_stated_is_not_checked(tmp_path: Path, old: str, new: str, rules: tuple[str, ...]) -> None:
    result = checked(project(tmp_path, GOOD, (old, new)), block=WITHOUT)
    assert result.findings == ()
    for rule in rules:
        assert status_of(result, f"fuel.{rule}") == "not checked", rule


def test_an_accumulator_that_no_regulator_fills_collects_liquid(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("line: [v2, pr2, h2, acc,", "line: [v2, h2, acc,"))
    (found,) = findings_of(spec, "fuel.condensation")
    assert (found.at, "filled without a regulator" in found.message) == ("/plumbing/parts/acc", True)


def test_lines_are_judged_by_the_worst_of_all_ways_to_an_outlet(tmp_path: Path) -> None:
    """A ring fed on both sides, of which one is long and thin."""
    second = (
        ("    to_lamp:", "    other_side: {from: m2, line: [t9, fo9, ring]}\n    to_lamp:"),
        (
            "    fo1:\n",
            "    t9: {kind: tube, bore: 0.06 in, length: 60 ft, rating: 500 psi}\n"
            "    fo9: {kind: orifice, bore: 0.032 in, discharge: 0.85, rating: 500 psi}\n    fo1:\n",
        ),
    )
    messages = [f.message for f in findings_of(project(tmp_path, GOOD, *second), "fuel.line_capacity")]
    assert [m for m in messages if "from pr1 to ring" in m]
    wide = (second[0], (second[1][0], second[1][1].replace("0.06 in, length: 60 ft", "1/2 in, length: 6 ft")))
    messages = [f.message for f in findings_of(project(tmp_path, GOOD, *wide), "fuel.line_capacity")]
    assert not [m for m in messages if "from pr1 to ring" in m]


def test_a_relief_valve_that_may_be_shut_off_counts_as_none(tmp_path: Path) -> None:
    shut = (
        ("line: [rv]", "line: [v9, rv]"),
        ("    rv: {", "    v9: {kind: valve, form: ball, rating: 600 psi}\n    rv: {"),
    )
    result = checked(project(tmp_path, GOOD, *shut), block=WITHOUT)
    assert status_of(result, "fuel.relief_capacity") == "failed"
    assert status_of(result, "fuel.rated_for_failure") == "failed"


@pytest.mark.parametrize(
    ("line", "parts", "said"),
    [
        ("[rv, p9]", "p9: {kind: fitting, form: plug, rating: 300 psi}", "p9 (plug fitting) stands at rv"),
        ("[rv, v9]", "v9: {kind: valve, form: ball, rating: 600 psi}", "stands at rv, which lets nothing out"),
        ("[h9, rv]", "h9: {kind: hose, bore: 1/8 in, length: 1 ft, rating: 350 psi}", "h9, 0.125 in wide"),
        ("[h9, rv]", "h9: {kind: hose, bore: 0.25 in, length: 30 ft, rating: 350 psi}", "h9, 30 ft long"),
        ("[h9, rv]", "h9: {kind: hose, bore: 0.26 in, length: 11 in, rating: 350 psi}", "over 3 % of 60 psi"),
        ("[h9, rv]", "h9: {kind: hose, bore: 1 in, rating: 350 psi}", "h9, of unknown length"),
        ("[h9, rv]", "h9: {kind: hose, length: 1 in, rating: 350 psi}", "h9, of unknown bore"),
        ("[rv, h9]", "h9: {kind: hose, bore: 1/4 in, length: 10 ft, rating: 350 psi}", "holds all of it, over 10 %"),
        ("[rv, h9]", "h9: {kind: hose, length: 1 in, rating: 350 psi}", "h9, of unknown bore"),
    ],
    ids=[
        "plugged",
        "a valve behind it",
        "a narrow hose",
        "a long hose",
        "a short one that takes too much",
        "unknown length",
        "unknown bore",
        "a narrow one behind it",
        "unknown behind it",
    ],
)
def test_a_relief_valve_that_gas_hardly_comes_to_or_out_of_counts_as_none(
    tmp_path: Path, line: str, parts: str, said: str
) -> None:
    patches = (("line: [rv]", f"line: {line}"), ("    rv: {", f"    {parts}\n    rv: {{"))
    result = checked(project(tmp_path, GOOD, *patches), block=WITHOUT)
    messages = [f.message for f in result.findings if f.rule == "fuel.relief_capacity"]
    assert [said in m for m in messages] == [True]
    assert status_of(result, "fuel.rated_for_failure") == "failed"


@pytest.mark.parametrize(("line", "length"), [("h9, rv", "6 in"), ("h9, rv", "6 ft"), ("rv, h9", "6 ft")])
def test_a_wide_line_at_a_relief_valve_takes_no_more_than_it_may(tmp_path: Path, line: str, length: str) -> None:
    wide = f"h9: {{kind: hose, bore: 3/4 in, length: {length}, rating: 350 psi}}"
    patches = (("line: [rv]", f"line: [{line}]"), ("    rv: {", f"    {wide}\n    rv: {{"))
    assert status_of(project(tmp_path, GOOD, *patches), "fuel.relief_capacity", block=WITHOUT) == "passed"


@pytest.mark.parametrize(("valve", "line", "status"), [
    # By its bore it passes ten times what is stated of it, and that is what the line has to bring.
    ("opens: 60 psi, relieves: 200 lb/h, bore: 1/2 in", "bore: 1/2 in, length: 1 ft", "failed"),
    ("opens: 60 psi, relieves: 200 lb/h", "bore: 1/2 in, length: 1 ft", "stated"),
    # 2.3 % by friction alone, 3.2 % with the way in by a sharp edge.
    ("opens: 60 psi, relieves: 200 lb/h", "bore: 0.36 in, length: 15 in", "failed"),
    ("opens: 60 psi, relieves: 200 lb/h", "bore: 0.36 in, length: 12 in", "stated"),
])  # fmt: skip
def test_a_line_is_held_to_all_that_its_relief_valve_passes(tmp_path: Path, valve: str, line: str, status: str) -> None:
    patches = (
        ("line: [rv]", "line: [h9, rv]"),
        ("opens: 60 psi, bore: 1/4 in", valve),
        ("    rv: {", f"    h9: {{kind: pipe, {line}, rating: 350 psi}}\n    rv: {{"),
    )
    assert status_of(project(tmp_path, GOOD, *patches), "fuel.relief_capacity", block=WITHOUT) == status


def test_two_relief_valves_let_stand_what_the_later_opens_at(tmp_path: Path) -> None:
    """Both pass what comes only once both are open."""
    patches = (
        (
            "    relief: {from: x1, line: [rv]}",
            "    relief: {from: x1, line: [rv]}\n    later: {from: x1, line: [rv9]}",
        ),
        ("opens: 60 psi, bore: 1/4 in", "opens: 60 psi, relieves: 100 lb/h"),
        (
            "    rv: {",
            "    rv9: {kind: valve, form: relief, opens: 140 psi, relieves: 100 lb/h, rating: 250 psi}\n    rv: {",
        ),
    )
    # The solenoid valves there are rated 150 psi, and 140 psi rise to 154.
    messages = [
        f.message for f in findings_of(project(tmp_path, GOOD, *patches), "fuel.rated_for_failure", block=WITHOUT)
    ]
    assert [m for m in messages if "sv (150 psi)" in m and "rated less than 154 psig" in m], messages


def test_what_a_relief_line_takes_against_darcy() -> None:
    """Slow flow in a wide pipe: f L/d + K times half of the square of the flux over the density, from the handbook."""
    gas, flow, bore, length = propane(294.26), 0.03, 0.03, 10.0
    pipe = Pipeline("p", "", "b", bore, length, 4.6e-5, 0.5)
    ahead, air = 5.5e5, 101325.0
    end = relief_lines.end_of([pipe], gas, air, flow, ahead)
    flux = flow / (math.pi * bore**2 / 4)
    rough, reynolds = 4.6e-5 / bore, flux * bore / gas.at(ahead).mu
    f = (-1.8 * math.log10((rough / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2  # Haaland, within 2 % of Colebrook
    lost = (f * length / bore + 0.5) * flux**2 / (2 * gas.at(ahead).rho)
    assert end is not None
    assert ahead - end == pytest.approx(lost, rel=0.03)
    start = relief_lines.start_of([pipe], gas, air, flow, 9e5)
    assert start is not None
    assert relief_lines.end_of([pipe], gas, air, flow, start) == pytest.approx(air, rel=1e-6)
    assert relief_lines.end_of([pipe], gas, air, 10.0, ahead) is None
    assert relief_lines.start_of([pipe], gas, air, 10.0, ahead) is None


@pytest.mark.parametrize(
    "between",
    [
        "vx: {kind: valve, form: ball, rating: 150 psi}",
        "vx: {kind: orifice, bore: 0.06 in, discharge: 0.8, rating: 150 psi}",
    ],
    ids=["a valve", "an orifice"],
)
def test_a_relief_valve_guards_only_what_is_open_to_it(tmp_path: Path, between: str) -> None:
    """What stands between the regulator and something that closes sees all of it."""
    spec = project(tmp_path, GOOD, ("h2, acc, x1", "h2, vx, acc, x1"), ("    acc:\n", f"    {between}\n    acc:\n"))
    result = checked(spec, block=WITHOUT)
    assert status_of(result, "fuel.rated_for_failure") == "failed"
    assert "vx (150 psi)" in " ".join(f.message for f in result.findings)
    assert status_of(GOOD, "fuel.rated_for_failure", block=WITHOUT) == "stated"


def test_what_fills_an_accumulator_is_not_counted_against_a_nut() -> None:
    rule = next(r for r in checked(GOOD, block=WITHOUT).rules if r.id == "fuel.connection_flow")
    assert (rule.status, "while an accumulator fills" in str(rule)) == ("not checked", True)


def test_a_pol_nut_has_no_part_that_closes_on_flow(tmp_path: Path) -> None:
    """Screwed into the same valve as a nut of CGA 791, it lets all of it pass: nothing is there to be checked."""
    own = ("    m1: {kind: fitting,", "    m1: {ends: [CGA 791 female, 1/4 FNPT], kind: fitting,")
    pol = (own[0], own[1].replace("CGA 791 female", "CGA 510 male"))
    rules = [checked(project(tmp_path, GOOD, patch), block=WITHOUT) for patch in (own, pol)]
    assert [status_of(r, "fuel.connection_flow") for r in rules] == ["not checked", "not applicable"]


def test_relief_flow_against_published_sizes() -> None:
    """Computed with CoolProp from the published equation: Kd 0.62, k 1.13, a bore of 1/4 in, at 70 °F."""
    for set_psig, lb_h in ((30, 142), (60, 247), (100, 396)):
        relieving = (1.1 * set_psig + 14.7) * 6894.757
        flow = relief.relief_flow(0.25 * 0.0254, 0.62, relieving, 294.26)
        assert flow * 3600 / 0.45359237 == pytest.approx(lb_h, rel=0.015)


def test_a_hose_that_fills_a_larger_accumulator_is_no_vessel(tmp_path: Path) -> None:
    hose = "    h2:\n      kind: hose\n      bore: {} in\n      length: {} ft"
    wider = project(tmp_path, GOOD, (hose.format("1/4", 30), hose.format("3/8", 50)))  # 0.29 of 5 gal
    assert status_of(wider, "fuel.held_gas", block=WITHOUT) == "passed"


@pytest.mark.parametrize(
    ("part", "status"),
    [
        ("{kind: fitting, form: manifold, rating: 300 psi}", "not checked"),
        ("{kind: fitting, form: manifold, bore: 1 in, rating: 300 psi}", "not checked"),
        # As long as is said, and nobody says how wide: its ends do not tell.
        ("{kind: pipe, length: 10 ft, ends: [1/2 MNPT, 1/2 MNPT], rating: 300 psi}", "not checked"),
        ("{kind: hose, length: 10 ft, ends: [3/8 female flare, 3/8 female flare], rating: 350 psi}", "not checked"),
        ("{kind: fitting, form: manifold, bore: 1 in, length: 8 in, rating: 300 psi}", "passed"),
        ("{kind: fitting, form: tee, rating: 300 psi}", "not checked"),
        ("{kind: fitting, form: tee, ends: [1/2 FNPT, 1/2 FNPT, 1/2 FNPT], rating: 300 psi}", "passed"),
        ("{kind: fitting, form: tee, ends: [3 FNPT, 3 FNPT, 3 FNPT], rating: 300 psi}", "failed"),
        ("{kind: valve, form: check, rating: 300 psi}", "not checked"),
        ("{kind: valve, form: check, cv: 3, rating: 300 psi}", "passed"),
        ("{kind: valve, form: check, ends: [1/2 FNPT, 1/2 FNPT], rating: 300 psi}", "passed"),
    ],
)
def test_what_a_part_ahead_of_a_burst_holds_is_known_or_not_checked(tmp_path: Path, part: str, status: str) -> None:
    for line in ("line: [v2, pr2, h2, acc, part, x1,", "line: [v2, pr2, h2, part, acc, x1,"):
        spec = project(
            tmp_path, GOOD, ("line: [v2, pr2, h2, acc, x1,", line), ("    acc:\n", f"    part: {part}\n    acc:\n")
        )
        held = "passed" if status == "failed" and "part, acc" in line else status  # a quarter of what it fills
        assert status_of(spec, "fuel.held_gas", block=WITHOUT) == held


def test_a_wide_pipe_to_a_pilot_gives_its_gas_to_the_burst_as_well(tmp_path: Path) -> None:
    """Behind a closed valve it would not."""
    pilot = "{kind: pilot, rating: 125 psi, lit_by: {torch: warden}, jets: {count: 6, bore: 1/16 in, discharge: 0.7}}"
    parts = (
        f"    drum: {{kind: pipe, bore: 6 in, length: 2 ft, rating: 300 psi}}\n    p_1: {pilot}\n"
        "    v9: {kind: valve, form: ball, bore: 1/4 in, rating: 600 psi}\n    acc:\n"
    )
    for line, status in (("drum, v9, p_1", "failed"), ("v9, drum, p_1", "passed")):
        light = ("    relief: {from", f"    light: {{from: x1, line: [{line}]}}\n    relief: {{from")
        spec = project(tmp_path, GOOD, light, ("    acc:\n", parts))
        assert status_of(spec, "fuel.held_gas", block=WITHOUT) == status


def test_what_an_outlet_gets_beside_others_is_that_of_the_worst_weather(tmp_path: Path) -> None:
    """A limit between the worst weather's share and the best's is failed."""
    thin = BAD["fuel.enough_together"]["one long thin hose for two"]
    result = result_of(project(tmp_path, GOOD, *thin), block=WITHOUT, only=("figures",))
    alone, together = (result.figure(f"fuel.{key}.ring") for key in ("flow", "flow_together"))
    assert alone is not None
    assert together is not None
    by_case = {c.case: c.worked.si for c in alone.cases}
    shares = [c.worked.si / by_case[c.case] for c in together.cases]
    assert max(shares) - min(shares) > 1e-4
    between = f"limits:\n  fuel.together_share: {{value: {50 * (min(shares) + max(shares)):.4f} %, who: the test}}\n"
    spec = project(tmp_path, GOOD, *thin, ("plumbing:\n  parts:", f"{between}plumbing:\n  parts:"))
    assert [f.message.split()[0] for f in findings_of(spec, "fuel.enough_together", block=WITHOUT)] == ["ring"]


def test_an_open_riser_is_no_vessel(tmp_path: Path) -> None:
    """As wide behind the valve as a vessel, it is open to the air."""
    wide = checked(project(tmp_path, GOOD, ("riser: {kind: pipe, bore: 0.622 in", "riser: {kind: pipe, bore: 6 in")))
    assert status_of(wide, "fuel.held_gas") == "passed"
