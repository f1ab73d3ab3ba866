"""What nobody should write, and somebody will: a finding or an answer, never nan, never a crash."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml

from specc.model.values import Figure
from specc.spec.source import load
from specc.testing import Patch, all_but, checked, project, result_of

GOOD = Path(__file__).parents[1] / "rules" / "fuel_flow.yaml"
MATING = Path(__file__).parents[1] / "rules" / "mating.yaml"
SAMPLES = Path(__file__).parents[2] / "sample_projects"
WITHOUT = all_but("plumbing", "fuel")
AIR = "air: {low: 50 °F, usual: 64 °F, high: 86 °F}"
NO_BATH: Patch = (", bath: 80 °F", "")
HOSE = "length: 30 ft\n      rating: 350 psi\n    v1"

# what is odd -> patches, a rule or figure that says so, and words of what it says ("" where nothing is found)
ODD: dict[str, tuple[tuple[Patch, ...], str, str]] = {
    "130 °F": (
        ((AIR, "air: {low: 110 °F, usual: 120 °F, high: 130 °F}"), NO_BATH),
        "fuel.simulated_show",
        "fill the cylinder tank whole",
    ),
    "-40 °F": (
        ((AIR, "air: {low: -40 °F, usual: -30 °F, high: -20 °F}"), NO_BATH),
        "fuel.regulator_supplied",
        "the cylinder may stand at 1.6",
    ),
    "below the boiling point": (
        ((AIR, "air: {low: -48 °F, usual: -30 °F, high: -20 °F}"), NO_BATH),
        "fuel.alone",
        "too cold to boil",
    ),
    "an empty cylinder": (
        (("      tare: 70 lb\n", "      tare: 70 lb\n      contents: 0 lb\n"),),
        "fuel.supply_holds",
        "no liquid left",
    ),
    "a cylinder filled beyond its mark": (
        (("      tare: 70 lb\n", "      tare: 70 lb\n      contents: 130 lb\n"),),
        "fuel.simulated_show",
        "fill the cylinder",
    ),
    "a regulator set above its supply": (
        (
            ("set: 30 psi", "set: 150 psi"),
            ("highest: 40 psi", "highest: 160 psi"),
            ("lock_up: 34 psi", "lock_up: 155 psi"),
        ),
        "fuel.regulator_supplied",
        "pr2 is set to 150 psi",
    ),
    "an accumulator before its regulator": (
        (
            (
                "line: [v2, pr2, h2, acc, x1, sv, sv_2, riser, nozzle]",
                "line: [acc, h2, pr2, v2, x1, sv, sv_2, riser, nozzle]",
            ),
        ),
        "fuel.fed_accumulators",
        "turns liquid in acc",
    ),
    "a run in a circle": (
        (("relief: {from: x1, line: [rv]}", "relief: {from: x1, line: [m1]}"),),
        "plumbing.no_way_back",
        "leads back to m1",
    ),
    "a hose of no length": (
        (("length: 30 ft\n      rating: 350 psi\n    v1", "length: 0 ft\n      rating: 350 psi\n    v1"),),
        "spec.quantity",
        "0 ft",
    ),
    "a bore wider than its pipe": (
        (("riser: {kind: pipe, bore: 0.622 in", "riser: {kind: pipe, size: 1/2 in NPT, bore: 0.9 in"),),
        "plumbing.bore_possible",
        "0.9 in",
    ),
    "a scene of no time": ((("lasts: 1 h", "lasts: 0 h"),), "spec.quantity", "0 h is out of range"),
    "no burst": ((("times: 10", "times: 0"),), "", ""),
    "a burst of no time": ((("open: 0.5 s", "open: 0 s"),), "spec.quantity", "0 s is out of range"),
    "nothing lit": ((("steady: [glow, lamp]", "steady: []"),), "", ""),
    "a valve all but closed": (
        (
            (
                "sv: {kind: valve, form: solenoid, normally: closed, cv: 3,",
                "sv: {kind: valve, form: solenoid, normally: closed, cv: 0.0001,",
            ),
        ),
        "",
        "",
    ),
    "a jet as large as a window": ((("width: 0.02 in, length: 2 in", "width: 2 in, length: 20 in"),), "", ""),
    "a very long hose": (((HOSE, HOSE.replace("30 ft", "20000 ft")),), "fuel.line_capacity", "of its setting"),
    "the top of the highest mountain": (
        (("elevation: 420 ft", "elevation: 29000 ft"),),
        "plumbing.plausible",
        "above the sea",
    ),
    "half butane": ((("n_butane: 2.5 %", "n_butane: 50 %"),), "fuel.condensation", "turns liquid above"),
    "nights a week apart": ((("dates: [2027-06-19]", "dates: [2027-06-19, 2027-06-26]"),), "", ""),
}


@pytest.mark.parametrize("what", ODD)
def test_it_says_what_happens(tmp_path: Path, what: str) -> None:
    patches, rule, words = ODD[what]
    result = checked(project(tmp_path, GOOD, *patches), block=WITHOUT)
    assert [r.id for r in result.rules if r.status == "crashed"] == []
    assert [f.message for f in result.findings if f.rule.startswith("plugin.")] == []
    for figure in result.figures:
        assert all(math.isfinite(c.worked.si) for c in figure.cases), figure.key
    said = {f.rule: f.message for f in result.findings}
    if rule:
        assert words in said.get(rule, ""), said
        assert all(f.fix for f in result.findings), [f for f in result.findings if not f.fix]
    else:
        assert said == {}


@pytest.mark.parametrize(
    ("what", "patch", "rule"),
    [
        ("a part twice in a line", ("line: [n3, c1, fo1, bar]", "line: [n3, c1, fo1, n3, bar]"), "plumbing.one_place"),
        ("a run from itself", ("to_bar: {from: t1, line: [n3", "to_bar: {from: n3, line: [n3"), "plumbing.one_place"),
        ("a run back to its start", ("line: [n3, c1, fo1, bar]", "line: [n3, c1, t1]"), "plumbing.one_place"),
        ("an unknown part", ("line: [n3, c1, fo1", "line: [n3, cc1, fo1"), "plumbing.known_parts"),
        (
            "a wall that leaves no bore",
            ("wall: 0.032 in\n      ends", "wall: 0.2 in\n      ends"),
            "plumbing.bore_possible",
        ),
        ("a hose of no length", ("length: 10 ft\n", "length: 0 ft\n"), "spec.quantity"),
    ],
)
def test_odd_plumbing_is_found_and_nothing_crashes(tmp_path: Path, what: str, patch: Patch, rule: str) -> None:
    result = checked(project(tmp_path, MATING, patch), block=WITHOUT)
    assert rule in {f.rule for f in result.findings}, what
    assert [f.message for f in result.findings if f.rule.startswith("plugin.")] == []
    assert result.exit_code == 1


def test_a_tolerance_that_reaches_where_nothing_can_be_computed_is_said(tmp_path: Path) -> None:
    def burst(tolerance: str) -> Figure:
        # Without a lock-up of its own: what stands in the accumulator follows from the setting.
        patches = ("set: 30 psi", f"set: 30 psi ± {tolerance}"), ("      lock_up: 34 psi\n", "")
        spec = project(tmp_path, GOOD, *patches)
        figure = result_of(spec, block=WITHOUT, tolerance=True).figure("fuel.burst_gas.nozzle")
        assert figure is not None
        return figure

    small, whole = burst("5 psi"), burst("30 psi")
    assert small.low is not None
    assert small.low < small.si
    assert small.unsure == ""
    # At its low end the regulator gives nothing, and no burst can be computed.
    assert whole.low is None
    assert "30 psi" in whole.unsure


def test_two_effects_that_open_one_accumulator_at_once_are_told_where_they_stand(tmp_path: Path) -> None:
    second = "  second: {kind: burst, outlets: [nozzle]}\n"
    patches = (
        ("effects:\n", "effects:\n" + second),
        ("{times: 10, open: 0.5 s}", "{times: 10, open: 0.5 s}\n        second: {times: 10, open: 0.5 s}"),
    )
    result = checked(project(tmp_path, GOOD, *patches), block=WITHOUT)
    found = next(f for f in result.findings if f.rule == "fuel.simulated_show")
    assert "while another is open" in found.message
    assert found.fix.startswith("one effect with both outlets")
    assert found.at.endswith("/bursts/second")


def test_a_cold_night_in_which_the_supply_is_warmer_than_its_lines_is_followed(tmp_path: Path) -> None:
    """At the supply's pressure the gas would be liquid in the lines; behind the regulator it is not."""
    cold = ("air: {low: 64 °F, usual: 64 °F, high: 64 °F}", "air: {low: -20 °F, usual: 0 °F, high: 20 °F}, sun: 20 °F")
    low = ("set: 30 psi, highest: 30 psi, lock_up: 36 psi", "set: 5 psi, highest: 5 psi, lock_up: 6 psi")
    made = checked(project(tmp_path, Path(__file__).with_name("steady_store.yaml"), cold, low))
    assert [f.message for f in made.findings if f.rule == "plugin.crash"] == []
    assert next(r.status for r in made.rules if r.id == "fuel.supply_holds") == "passed"


@pytest.mark.parametrize("sample", ["garden_brazier", "lantern_reeds"])
def test_in_no_weather_does_a_pass_crash(tmp_path: Path, sample: str) -> None:
    """From colder than propane boils, where what is left on purpose in a line would be liquid, by nights on which a
    warmed cylinder stands above what the cold air keeps as vapor, up to air in which a full cylinder bursts."""
    data = load(str(SAMPLES / sample / "project.yaml")).data
    for low, usual, high in ((-120, -100, -90), (-60, -50, -44), (-45, -44, -43), (-43, -40, -30), (0, 1, 2),
                             (150, 180, 187), (200, 250, 300)):  # fmt: skip
        for elevation in ("0 ft", "29000 ft"):
            data["weather"]["air"] = {"low": f"{low} °F", "usual": f"{usual} °F", "high": f"{high} °F"}
            data["event"]["elevation"] = elevation
            path = tmp_path / "project.yaml"
            text = yaml.dump(data, Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True)
            path.write_text(text, encoding="utf-8")
            crashes = [f.message for f in checked(path).findings if f.rule.startswith("plugin.")]
            assert crashes == [], (low, usual, high, elevation)
