"""Rules on leak and pressure tests: where the test gas gets to, at which pressure, and who looks at each joint."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.blocks import Table
from specc.model.result import Result
from specc.testing import Patch, checked, expected_in, findings_at, findings_of, project, result_of, status_of
from specc_plumbing.leak_tests import gas_of

GOOD = Path(__file__).with_name("leak_tests.yaml")
GAS, BOUNDS, PRESSURE = "plumbing.test_gas", "plumbing.test_bounds", "plumbing.test_pressure"
RECORD, TESTED, RETESTED = "plumbing.test_record", "plumbing.zones_tested", "plumbing.retested"
VENTS = "plumbing.relief_vents"
OWN = {VENTS, GAS, BOUNDS, PRESSURE, RECORD, TESTED, RETESTED}
SUPPLY = "    supply: {zones: [cylinder pressure], with: own gas, method: [soap], who: dana}"
RELIEF = "vents: {way: up, from_flame: "
AWRY = "vents: {{way: {}, from_flame: 20 ft}}"
STEADY = "      out: [pr1, fo]\n"
BURST = "      out: [pr2, rv]\n"
GAUGE = "gauge: {reads_to: 60 psi, reads_by: 0.1 psi}"
JOINED = """    joined: {zones: [pr1, pr2, open to the air], with: own gas, method: [soap], unlit: 20 s, who: dana}
"""


STEADY_TEST = """      with: nitrogen
      method: [pressure, soap]
      pressure: 40 psi
      gauge: {reads_to: 60 psi, reads_by: 0.1 psi}
      hold: 10 min
      drop: 0 psi
      out: [pr1, fo]
      purged: true
"""
STEADY_SOAPED = "      with: own gas\n      method: [soap]\n      unlit: 20 s\n"


def marked(old: str, new: str, *rules: str) -> Patch:
    return old, f"{new} # expect: {', '.join(rules)}"


def in_steady(old: str, new: str, *rules: str) -> Patch:
    """A patch on a line that the test of the burst has too: the first of the two."""
    return f"{old}\n{STEADY}", f"{new} # expect: {', '.join(rules)}\n{STEADY}"


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    GAS: {
        "oxygen": (marked("      with: nitrogen", "      with: Oxygen", GAS),),
        "a gas detector in air": (("method: [pressure]", f"method: [detector] # expect: {GAS}"),),
        "a gas that nobody knows": (marked("      with: nitrogen", "      with: town gas", GAS),),
        "own gas under test pressure": (
            (JOINED, JOINED.replace("unlit: 20 s,", "unlit: 20 s, pressure: 90 psi,")
             .replace("who: dana}", f"who: dana}} # expect: {GAS}")),
        ),
        "own gas that nobody looks for": (
            (JOINED, JOINED.replace("[soap]", "[pressure]").replace("who: dana}", f"who: dana}} # expect: {GAS}")),
        ),
        "a flame": (
            ("method: [pressure, soap]", "method:\n        - pressure\n        - match flame # expect: " + GAS),
        ),
    },
    BOUNDS: {
        "the regulator stays in": (
            marked("      zones: [pr1]", "      zones: [pr1]", BOUNDS),
            ("out: [pr1, fo]", "out: [fo]"),
        ),
        "out through the orifice": (
            marked("      zones: [pr1]", "      zones: [pr1]", BOUNDS),
            ("out: [pr1, fo]", "out: [pr1]"),
        ),
        "out of the nozzle": (
            marked("      zones: [pr2]", "      zones: [pr2]", BOUNDS),
            ("      plugged: [nozzle]\n", ""),
        ),
        "a name that is no part": (
            marked("      zones: [pr1]", "      zones: [pr1]", BOUNDS),
            ("out: [pr1, fo]", "out: [pr1, fo, fo9]"),
        ),
        "a hose is closed": (
            ("out: [pr1, fo]", f"out: [pr1]\n      closed: [h1] # expect: {BOUNDS}"),
        ),
        "a relief valve is held open": (
            ("opened: [sv1, sv2]", f"opened: [sv1, sv2, rv] # expect: {BOUNDS}"),
        ),
        "a plug in a bar of holes": (
            ("out: [pr1, fo]", f"out: [pr1]\n      plugged: [b] # expect: {BOUNDS}"),
        ),
        "an open end": (
            (marked("      zones: [pr2]", "      zones: [pr2]", BOUNDS)),
            ("    relief:", "    purge: {from: t2, line: [nd, n]}\n    relief:"),
            ("    sv1:", "    nd: {kind: valve, form: needle, rating: 300 psi}\n"
             "    n: {kind: fitting, form: nipple, rating: 300 psi}\n    sv1:"),
        ),
        "unlit for long": (
            (JOINED, JOINED.replace("20 s, who: dana}", f"20 min, who: dana}} # expect: {BOUNDS}")),
        ),
    },
    PRESSURE: {
        "below 1.5 times what its regulator can be set to": (
            marked("      pressure: 40 psi", "      pressure: 32.9 psi", PRESSURE),
        ),
        "below 3 psi": (
            ("set: 10 psi, highest: 20 psi, lock_up: 12 psi", "set: 0.4 psi, highest: 0.5 psi, lock_up: 0.5 psi"),
            marked("      pressure: 40 psi", "      pressure: 2.9 psi", PRESSURE),
        ),
        "above what a relief valve opens at": (
            (BURST, "      out: [pr2]\n"),
            ("highest: 40 psi, lock_up: 34 psi", "highest: 31 psi, lock_up: 32 psi"),
            marked("      pressure: 75 psi", "      pressure: 60 psi", PRESSURE),
        ),
        "bounds that cross": (
            (BURST, "      out: [pr2]\n"),
            marked("      pressure: 75 psi", "      pressure: 75 psi", PRESSURE),
        ),
        "above what the vessel's plate says": (
            ("acc: {kind: accumulator, volume: 2 gal, rating: 250 psi}",
             "acc: {kind: accumulator, volume: 2 gal, rating: 250 psi, plate: {pressure: 70 psi}}"),
            marked("      pressure: 75 psi", "      pressure: 75 psi", PRESSURE),
        ),
        "above the weakest part": (
            ("sv2: {kind: valve, form: solenoid, normally: closed, cv: 3, rating: 150 psi}",
             "sv2: {kind: valve, form: solenoid, normally: closed, cv: 3, rating: 70 psi}"),
            marked("      pressure: 75 psi", "      pressure: 75 psi", PRESSURE),
        ),
    },
    RECORD: {
        "watched for a moment": (marked("      hold: 10 min", "      hold: 5 min", RECORD),),
        "a coarse gauge": (
            marked(GAUGE, GAUGE.replace("0.1 psi", "2 psi"), RECORD),
        ),
        "a gauge that ends too low": (
            marked(GAUGE, GAUGE.replace("60", "30"), RECORD),
        ),
        "a fall below nothing": (
            ("      drop: 0 psi", f"      drop: -1 psi # expect: {RECORD}"),
        ),
        "a large fall passes": (marked("      drop: 0.1 psi", "      drop: 5 psi", RECORD),),
        "air left in": (
            ("      opened_by: bench leads\n      purged: true",
             f"      opened_by: bench leads\n      purged: false # expect: {RECORD}"),
        ),
    },
    TESTED: {
        "no test of the supply": (
            (f"{SUPPLY}\n    steady:", f"    steady: # expect: {TESTED}"),
        ),
        "what was taken out is not looked at again": (
            marked(SUPPLY, SUPPLY, TESTED),
            # its joint was reassembled, and no test reaches it
            marked("    h: {between: [pr1, h1], method: flared, comes_apart: true, reassembled: 2027-06-09}",
                   "    h: {between: [pr1, h1], method: flared, comes_apart: true, reassembled: 2027-06-09}", RETESTED),
            (JOINED, JOINED.replace("[pr1, pr2, open", "[pr2, open")),
        ),
        "solenoid valves that nobody holds open": (
            marked(SUPPLY, SUPPLY, TESTED, TESTED),  # two joints that nothing reaches, and what no pressure gets to
            ("      opened: [sv1, sv2]\n", ""),
        ),
        "a test of next to nothing": (
            marked(SUPPLY, SUPPLY, TESTED),
            ("out: [pr1, fo]", "out: [pr1, fo, h1, v1]"),
        ),
        "no cylinder for its own gas": (
            marked(SUPPLY, SUPPLY.replace("with: own", "out: [tank], with: own"), TESTED),
        ),
        "own gas behind a closed valve": (
            marked(SUPPLY, SUPPLY, TESTED),
            marked("    h: {between: [pr1, h1], method: flared, comes_apart: true, reassembled: 2027-06-09}",
                   "    h: {between: [pr1, h1], method: flared, comes_apart: true, reassembled: 2027-06-09}", RETESTED),
            (JOINED, JOINED.replace("unlit: 20 s,", "unlit: 20 s, closed: [v0],")),
        ),
        "looked at with soap before it is taken apart": (
            marked(SUPPLY, SUPPLY, TESTED),
            (JOINED, JOINED.replace("unlit: 20 s,", "unlit: 20 s, tested: 2027-06-08,")),
            ("reassembled: 2027-06-09}", "reassembled: 2027-06-08}"),
        ),
        "of the set-up before": (
            marked("      hold: 15 min", "      hold: 15 min\n      tested: 2027-05-20", TESTED),
        ),
        "on a day after the show": (
            marked(SUPPLY, SUPPLY, TESTED),  # and what it takes apart is looked at before it, not after
            ("project: {title: Leak tests, issued: 2027-06-10}", "project: {title: Leak tests, issued: 2027-07-01}"),
            marked("      hold: 15 min", "      hold: 15 min\n      tested: 2027-06-20", TESTED),
        ),
    },
    VENTS: {
        "a relief valve beside the pilot": (
            (f"{RELIEF}20 ft}}, rating: 250 psi}}", f"{RELIEF}9 ft}}, rating: 250 psi}} # expect: {VENTS}"),
        ),
        "a relief valve that blows at the ground": (
            (f"{RELIEF}20 ft}}, rating: 250 psi}}", f"{AWRY.format('down')}, rating: 250 psi}}  # expect: {VENTS}"),
        ),
        "a relief valve that blows aside": (
            (f"{RELIEF}20 ft}}, rating: 250 psi}}", f"{AWRY.format('aside')}, rating: 250 psi}}  # expect: {VENTS}"),
        ),
    },
    RETESTED: {
        "reassembled after its zone's test": (
            marked("reassembled: 2027-06-09}", "reassembled: 2027-06-10}", RETESTED),
        ),
    },
}  # fmt: skip


@pytest.fixture(scope="module")
def whole() -> Result:
    return result_of(GOOD)


def test_the_good_spec_passes(whole: Result) -> None:
    assert {r: status_of(whole, r) for r in OWN} == dict.fromkeys(OWN, "passed") | {PRESSURE: "stated", VENTS: "stated"}


@pytest.mark.parametrize(("rule", "what"), [(rule, what) for rule, bad in BAD.items() for what in bad])
def test_a_bad_spec_is_found_at_its_line(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    own = {at: n for at, n in findings_at(spec).items() if at[2] in OWN}
    assert own == dict(expected_in(spec))


def test_air_at_one_pressure_across_regulators_and_a_relief_valve_is_found(tmp_path: Path) -> None:
    """As both samples once had it: "with air at 90 psi up to the orifices"."""
    text = GOOD.read_text(encoding="utf-8")
    start, end = text.index("    supply:"), text.index("  ratings:")
    whole = "    whole: {zones: [cylinder pressure, pr1, pr2], with: air, method: [pressure], pressure: 90 psi}\n"
    spec = project(tmp_path, GOOD, (text[start:end], whole))
    result = checked(spec)
    told = " ".join(f.message for f in result.findings if f.rule in OWN)
    assert "crosses from one zone into another: cylinder pressure, pr1, pr2" in told
    assert "tank, pr1 and pr2 stay in the test whole" in told or "tank, pr1, pr2 stay in the test whole" in told
    assert "rv opens at 60 psi" in told
    assert "no test is described of open to the air" in told


def test_a_zone_may_be_named_as_it_is_printed_and_the_finding_says_what_to_write(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8")
    again = text.replace("      zones: [pr1]\n", "      zones: [behind pr1]\n")
    assert again != text
    result = checked(project(tmp_path, GOOD, (text, again)))
    assert not [f.message for f in result.findings if f.rule in (BOUNDS, TESTED, PRESSURE)]
    none = text.replace("      zones: [pr1]\n", "      zones: [pr2]\n").replace("zones: [pr1, pr2,", "zones: [pr2,")
    fixes = [f.fix for f in checked(project(tmp_path, GOOD, (text, none))).findings if "behind pr1" in f.message]
    assert fixes == ["zones: [pr1] in a test under plumbing: tests:, with air or nitrogen, and soap"]


@pytest.mark.parametrize(
    ("patch", "rule", "word"),
    [
        (("      with: nitrogen\n      method: [pressure, soap]\n", "      with: nitrogen\n"), GAS, "method:"),
        (("set: 10 psi, highest: 20 psi, lock_up", "set: 10 psi, lock_up"), PRESSURE, "highest:"),
        (("length: 10 ft, rating: 350 psi", "length: 10 ft"), PRESSURE, "rating"),
        ((f"{RELIEF}20 ft}}, ", ""), VENTS, "vents:"),
        ((", unlit: 20 s", ""), BOUNDS, "unlit:"),
        (("      hold: 10 min\n", ""), RECORD, "hold:"),
        (("  tested: 2027-06-09\n", ""), TESTED, "tested:"),
        ((STEADY_TEST, STEADY_SOAPED), TESTED, "no pressure test behind pr1 is described"),
    ],
)
def test_what_is_not_said_is_not_checked(tmp_path: Path, patch: Patch, rule: str, word: str) -> None:
    result = checked(project(tmp_path, GOOD, patch))
    outcome = next(r for r in result.rules if r.id == rule)
    assert outcome.status == "not checked"
    assert word in outcome.looked


def test_a_bound_that_nobody_states_bounds_nothing_and_passes_nothing(tmp_path: Path) -> None:
    """A relief valve or a gauge that stays in, of which nobody says where it opens or ends."""
    relief = (("      out: [pr2, rv]\n", "      out: [pr2]\n"), ("opens: 60 psi, ", ""))
    gauge = (("    sv1:", "    g: {kind: gauge, rating: 300 psi}\n    sv1:"),
             ("    relief:", "    shows: {from: t2, line: [g]}\n    relief:"))  # fmt: skip
    for patches, word in ((relief, "at what rv opens (opens:)"), (gauge, "how far g reads (reads_to:)")):
        result = checked(project(tmp_path, GOOD, *patches))
        outcome = next(r for r in result.rules if r.id == PRESSURE)
        assert outcome.status == "not checked"
        assert word in outcome.looked


def test_a_zone_behind_two_regulators_goes_by_either(tmp_path: Path) -> None:
    both = (
        ("line: [pr2, acc,", "line: [pr2, tj, acc,"),
        ("    relief:", "    beside: {from: t0, line: [pr4, tj]}\n    relief:"),
        ("    sv1:", "    tj: {kind: fitting, form: tee, rating: 300 psi}\n"
         "    pr4: {kind: regulator, set: 30 psi, highest: 60 psi, lock_up: 34 psi, rating: 250 psi}\n    sv1:"),
    )  # fmt: skip
    told = [f.message for f in checked(project(tmp_path, GOOD, *both)).findings if f.rule in (BOUNDS, PRESSURE)]
    assert set(told) == {"pr4 stays in the test burst", "the test burst is made at 75 psi, and takes 96 psig or more"}
    good = (*both, ("out: [pr2, rv]", "out: [pr2, pr4, rv]"), ("pressure: 75 psi", "pressure: 98 psi"))
    result = checked(project(tmp_path, GOOD, *good))
    assert not [f.message for f in result.findings if f.rule in (BOUNDS, PRESSURE, TESTED)]


def test_a_test_after_the_packets_issue_is_planned_and_not_passed(tmp_path: Path) -> None:
    result = checked(project(tmp_path, GOOD, ("issued: 2027-06-10", "issued: 2027-06-01")))
    assert {status_of(result, r) for r in (TESTED, RETESTED)} == {"planned"}


def test_without_tests_nothing_is_claimed(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8")
    start, end = text.index("  tests:"), text.index("  ratings:")
    result = result_of(project(tmp_path, GOOD, (text[start:end], "")))
    assert status_of(result, TESTED) == "not checked"
    assert {status_of(result, r) for r in (GAS, BOUNDS, PRESSURE, RECORD)} == {"not applicable"}
    table = dict(result.tables)["plumbing.tests"]
    assert isinstance(table, Table)
    # 1.5 times 22 psi, and 1.5 times 44: the highest setting, and what lock-up stands above it
    cells = {row.cells[1]: row.cells[4] for row in table.rows}
    assert cells["behind pr1"].startswith("33 psig or more, below 300 psig")
    assert cells["behind pr2"] == "none fits: 66 psig or more, and rv opens at 60 psi"


def test_a_check_valve_holds_what_comes_from_behind(tmp_path: Path) -> None:
    """A test that begins at the accumulator does not reach the hose ahead of its check valve."""
    spec = project(
        tmp_path,
        GOOD,
        ("line: [pr2, acc,", "line: [pr2, h2, cv, acc,"),
        ("    acc: {", "    h2: {kind: hose, bore: 1/4 in, length: 5 ft, rating: 350 psi}\n"
         "    cv: {kind: valve, form: check, rating: 500 psi}\n    acc: {"),
        ("      plugged: [nozzle]\n", "      plugged: [nozzle]\n      at: acc\n"),
        (JOINED, JOINED.replace("pr1, pr2, open", "pr1, open")),
    )  # fmt: skip
    joints, pressed = findings_of(spec, TESTED)
    assert joints.message.startswith("no test reaches 4 joints: the joint (t0 to pr2)") or "pr2 to h2" in joints.message
    assert "h2 to cv" in joints.message
    assert pressed.message == "no pressure test reaches h2, behind pr2"


def test_each_zone_has_its_highest_pressure_what_sets_it_and_the_margin_of_its_weakest_part(whole: Result) -> None:
    tables = dict(whole.tables)
    zones, parts = tables["plumbing.zones"], tables["plumbing.zone_margins"]
    assert isinstance(zones, Table)
    assert isinstance(parts, Table)
    found = {(r.cells[0], r.cells[1].split(",")[0]): (r.cells[2], r.cells[5]) for r in zones.rows}
    assert found["behind pr2", "pr2 turned up"] == ("44 psig", "106 psi")  # sv1, 150 psi
    assert found["behind pr2", "pr2 open: rv relieves"] == ("66 psig", "84 psi")
    assert found["behind pr1", "pr1 turned up"][0] == "22 psig"
    assert ("behind pr1", "pr1 open: the cylinders") in found
    margins = {r.cells[0]: r.cells[3:] for r in parts.rows}
    assert margins["sv1"] == ("106 psi", "84 psi")
    assert margins["h1"][0] == "328 psi"


@pytest.mark.parametrize(
    ("text", "gas"),
    [("Nitrogen", "inert"), ("CO2", "inert"), ("carbon_dioxide", "inert"), ("O2", "oxygen"), ("20 % oxygen", "oxygen"),
     ("own gas", "own"), ("LP-gas", "own"),
     ("compressed air", "inert"), ("dry N2", "inert"), ("town air", "other"), ("hydrogen", "other"), ("", "other")],
)  # fmt: skip
def test_what_a_test_is_made_with(text: str, gas: str) -> None:
    assert gas_of(text) == gas


def test_what_holds_valves_open_for_a_test_is_asked_for(tmp_path: Path) -> None:
    """Nobody holds two buttons down for a quarter of an hour."""
    spec = project(tmp_path, GOOD, ("      opened_by: bench leads\n", ""))
    (own,) = [r for r in result_of(spec).rules if r.id == RECORD]
    assert (own.status, own.looked) == ("not checked", "burst: state opened_by:")
