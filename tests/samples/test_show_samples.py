"""The two projects that show the tool: one complete and clean, one with a fault of every kind."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

sys.path.insert(0, str(Path(__file__).parents[1]))

from pdf_text import read_pages
from sample_packets import printed

from specc.cli import main
from specc.model.result import Result
from specc.testing import expected_in, findings_at, findings_of, project, result_of

PROJECTS = Path(__file__).parents[2] / "sample_projects"
REEDS = PROJECTS / "lantern_reeds" / "project.yaml"
OVERLAY = PROJECTS / "lantern_reeds" / "private.example.yaml"
MAST = PROJECTS / "broken_mast" / "project.yaml"
BRAZIER = PROJECTS / "garden_brazier" / "project.yaml"

OUNCE = 0.028349523  # kg
REED_TAGS = tuple(f"stem_{i}" for i in range(1, 6))


@pytest.fixture(scope="module")
def reeds(complete: Callable[[str], Result]) -> Result:
    return complete("lantern_reeds")


@pytest.mark.parametrize("name", ["lantern_reeds", "garden_brazier"])
def test_complete_samples_are_clean(name: str, complete: Callable[[str], Result]) -> None:
    result = complete(name)
    assert result.findings == ()
    assert (result.exit_code, result.draft) == (0, False)
    assert not {r.status for r in result.rules} & {"failed", "waived", "blocked", "crashed"}


def test_in_lantern_reeds_every_rule_has_something_to_look_at(reeds: Result) -> None:
    assert sorted(r.id for r in reeds.rules if r.status == "not checked") == []


def test_lantern_reeds_burns_as_it_is_said_to(reeds: Result) -> None:
    """6 to 8 kW net a reed in every weather, and about an ounce for each burst."""
    figures = {f.key: f for f in reeds.figures}
    for tag in REED_TAGS:
        heat = figures[f"fuel.heat_net.{tag}"]
        values = [c.worked.si for c in heat.cases]
        assert len(values) == 3
        assert all(6000 < v < 8000 for v in values), (tag, values)
        # Open sections that carry next to no pressure: under half of the tool's 0.5 psig, even failed open.
        assert figures[f"fuel.section_failed_open.{tag}"].si < 0.25 * 6894.757
    assert 0.8 * OUNCE < figures["fuel.burst_gas.nozzle"].si < 1.2 * OUNCE


def test_the_packet_of_lantern_reeds() -> None:
    pages = printed("lantern_reeds").pages
    assert len(pages) >= 16
    words = " ".join(pages)
    # Both cylinders' valves are closed in an emergency, not only the first one's.
    emergency = words.partition("At once, nobody waiting for anybody")[2].partition("Do not knock")[0]
    assert all(tag in emergency for tag in ("tank_a", "tank_b", "v_a", "v_b"))
    # A gauge behind closed valves tells nothing of the joints ahead of them.
    assert "watch g1: a falling needle" not in words
    assert "Ottilie Alderspring" not in words


def test_its_private_file_puts_names_into_the_packet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = tmp_path / "packet.pdf"
    words = ["compile", str(REEDS), "-o", str(made), "--with", str(OVERLAY), "--only", "crew"]
    assert main(words) == 0
    capsys.readouterr()
    assert "Ottilie Alderspring" in " ".join(read_pages(made.read_bytes()))


def test_each_second_shutoff_is_said_with_its_own_place(reeds: Result) -> None:
    """One that stands beside the cylinders, as v2 does, is none that can be reached when it burns there."""
    (said,) = [f.value for f in reeds.summary_facts if f.slot == "second_shutoff"]
    by_place = dict(part.split(": ", 1) for part in said.split("; "))
    assert by_place["at accumulator_stand"] == "v3 for nozzle"
    assert by_place["at box"].startswith("v_p for pilot_1, v1 for stem_1")


@pytest.fixture(scope="module")
def mast(complete: Callable[[str], Result]) -> Result:
    return complete("broken_mast")


def test_each_fault_of_broken_mast_is_found_at_its_line_and_nothing_else_is(mast: Result) -> None:
    expected = expected_in(MAST)
    assert expected.total() >= 20
    roots = {rule.partition(".")[0] for _, _, rule in expected}
    assert {"spec", "core", "limits", "plumbing", "fuel", "materials", "operators", "extinguishers", "control"} <= roots
    assert findings_at(mast) == expected


# What once passed, by the rule that finds it now and the words that stand at its line. Not in this project, since each
# would hide others of it, and held by tests of their own: a trigger of the public (gas flows in its rest, so that no
# single fault is looked for: test_control), a second supply (it would carry the first: test_supplies), a test of the
# whole after the first gas (no joint is remade after that: test_plausible).
ONCE_PASSED = [
    ("core.scope", "setting: tent"),
    ("core.scope", "use: moving"),
    ("flame.holds_in_wind", "wind: 10 mph"),
    ("flame.things", "material: die-cast"),
    ("flame.things", "material: sheet lead"),
    ("flame.things", "material: conduit"),
    ("flame.things", "material: EMT"),
    ("flame.things", "paint over galvanizing"),
    ("flame.things", "Al-Zn"),
    ("flame.things", "cad plated"),
    ("flame.things", "manganese bronze"),
    ("flame.things", "3003 sheet"),
    ("flame.things", "kind: fabric"),
    ("fuel.boil_off", "kind: cylinder"),
    ("fuel.connection_flow", "connection_flow"),
    ("fuel.enough_gas", "kind: cylinder"),
    ("fuel.held_gas", "kind: pipe, bore: 6 in"),
    ("fuel.liquid_temperature", "bath: 130 °F"),
    ("fuel.rated_for_supply", "rating: 150 psi"),
    ("fuel.regulator_capacity", "capacity: 40 kBTU/h"),
    ("fuel.relief_capacity", "relieves: 900 lb/h, bore: 1/16 in"),
    ("materials.agree", "material: rubber air hose"),
    ("materials.agree", "material: copper type L"),
    ("materials.agree", "material: copper-plated steel, grade: L"),
    ("materials.agree", "BAg-1, phosphorus: 0 %, melts: 1125 °F, cadmium_free: true"),
    ("materials.air_rated", 'listing: "compressed air'),
    ("materials.braze_cadmium", "BAg-1"),
    ("materials.braze_melts", "silver-bearing tin solder"),
    ("materials.braze_phosphorus", "BCuP-5"),
    ("materials.brazed_copper_open", "a16:"),
    ("materials.brazed_copper_open", "method: brazed"),
    ("materials.burner_metal", "coating: zinc"),
    ("materials.compression", "pending"),
    ("materials.copper_grade", "grade: M"),
    ("materials.cylinder_as_vessel", "altered: drilled"),
    ("materials.cylinder_as_vessel", "filled: true"),
    ("materials.cylinder_as_vessel", "made: 2012-03"),
    ("materials.cylinder_refilled", "DOT-39"),
    ("materials.cylinder_vapor", "withdrawal: liquid"),
    ("materials.cylinder_size", "capacity: 420 lb, diameter: 15 in, height: 48 in"),
    ("materials.gas_metal", "pot metal"),
    ("materials.soft_solder", "silver-bearing tin solder"),
    ("materials.vessel_marking", "marking: ASME"),
    ("plumbing.gauge_reads", "reads_to: 60 psi"),
    ("plumbing.jets_fit", "jets:"),
    ("plumbing.known_parts", "g9"),
    ("plumbing.lit_by", "torch: bosun"),
    ("plumbing.lit_by", "proven: to be tested"),
    ("plumbing.lit_by", "kind: burner"),
    ("plumbing.pilot_burns", "pilot: lamp_2"),
    ("plumbing.pilot_kept", "pilot: lamp_2"),
    ("plumbing.plausible", "discharge: 0.3"),
    ("plumbing.plausible", "bore: 0.7 in"),
    ("plumbing.plausible", "width: 0.5 in"),
    ("plumbing.plausible", "elevation: 15100 ft"),
    ("plumbing.lit_by", "torch: figurehead"),
    ("plumbing.regulator_setting", "second_stage"),
    ("plumbing.zones_tested", "tested: 2027-11-06"),
]


def test_what_once_passed_stands_in_broken_mast_at_its_line(mast: Result) -> None:
    lines = MAST.read_text(encoding="utf-8").splitlines()
    at = {(rule, lines[line - 1].partition("# expect")[0]) for _, line, rule in findings_at(mast)}
    assert [(r, words) for r, words in ONCE_PASSED if not any(r == rule and words in line for rule, line in at)] == []
    listed = next(f for f in mast.findings if f.rule == "fuel.rated_for_supply" and "no listing" in f.message)
    assert (listed.level, "pending" in listed.message) == ("error", True)


# Keys that state a fault by being there. Without one, the rule that found it asks (True), or rightly finds nothing:
# a bore that is left out is what the wall leaves; a joint without a day was never taken apart; a part without a place
# may stand wherever its lines let it; and a name that is gone from a list is misspelled no more.
LEFT_OUT = [
    (("effects", "gust", "at"), "core.effect_place", True),
    (("plumbing", "parts", "rv1", "place"), "site.relief_as_typed", True),
    (("plumbing", "parts", "lamp_1", "bore"), "plumbing.bore_possible", False),
    (("plumbing", "parts", "bracket_tee", "place"), "site.lines_reach", False),
    (("plumbing", "joints", "a21", "reassembled"), "plumbing.cleaned", False),
    (("show", "scenes", "wreck", "steady", 1), "core.effect_outlets", False),
]


@pytest.mark.parametrize(("path", "rule", "asks"), LEFT_OUT, ids=lambda v: str(v))
def test_a_key_of_broken_mast_that_is_left_out_is_asked(
    tmp_path: Path, path: tuple[str | int, ...], rule: str, asks: bool
) -> None:
    spec = yaml.safe_load(MAST.read_text(encoding="utf-8"))
    at = spec
    for step in path[:-1]:
        at = at[step]
    del at[path[-1]]
    (tmp_path / "project.yaml").write_text(yaml.safe_dump(spec, allow_unicode=True), encoding="utf-8")
    now = next(r for r in result_of(tmp_path / "project.yaml", only=(f"rule {rule}",)).rules if r.id == rule)
    assert ("/" + "/".join(map(str, path)) in now.answers) == asks


def test_a_second_cylinder_needs_its_own_shut_off(tmp_path: Path) -> None:
    spec = project(tmp_path, MAST, ("v2: {kind: valve, form: ball", "v2: {kind: valve, form: needle"))
    found = findings_of(spec, "plumbing.shutoff")
    assert [("tank_2" in f.message, "tank_1" in f.message) for f in found] == [(True, False)]


def test_a_part_is_held_to_the_regulator_before_it(tmp_path: Path, mast: Result) -> None:
    """The lamps' regulator goes to 20 psi, the burst's to 80 psi: each part answers to its own."""
    (lamp,) = (f for f in mast.findings if f.rule == "fuel.rated_for_setting")
    assert "24 psig" in lamp.message
    enough = project(tmp_path, MAST, ("rating: 10 psi #", "rating: 30 psi #"))
    assert findings_of(enough, "fuel.rated_for_setting") == ()
    tank = "made_for: lp_gas, rating: 200 psi, place: locker} # expect: fuel.store_relief"
    both = project(tmp_path, MAST, (tank, tank.replace("200", "70")))
    assert sorted(f.message.split()[0] for f in findings_of(both, "fuel.rated_for_setting")) == ["acc1", "lamp_2"]


def test_broken_mast_says_nothing_twice(mast: Result) -> None:
    findings = [f for f in mast.findings if f.level in ("error", "warning")]
    assert len({(f.place, f.message) for f in findings}) == len(findings)
    assert len({f.message for f in findings}) == len(findings)
    assert [f.rule for f in findings if not f.fix] == []
