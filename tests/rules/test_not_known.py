"""What is not known is not checked, and what takes back what it says counts for nothing: values left out, junk typed in
their place, and things that make another value moot. Each of these passed once."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, checked, findings_of, project, status_of

HERE = Path(__file__).parent
FUEL, FLOW, VESSELS, MATERIALS, CORE, POSTS, SITE = (
    HERE / f"{n}.yaml" for n in ("fuel", "fuel_flow", "vessels", "materials", "core", "posts", "site")
)

HOT: Patch = ("high: 86 °F}\n  sun: 20", "high: 100 °F}\n  sun: 20")
NO_SUN: Patch = ("  sun: 20 °F\n", "")
LISTED = "      rating: 250 psi\n    v1:"
TIE = (
    ("line: [pr1, v1, fo1, ring]", "line: [t1, pr1, v1, fo1, ring]\n"
     "    other: {from: tank2, line: [t2, pr2, fo2, ring]}\n"
     "    tie: {from: t1, line: [eq, t2]}"),
    ("    v1:\n", "    tank2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb,"
     " rating: 240 psi}\n"
     "    t1: {kind: fitting, form: tee, rating: 600 psi}\n    t2: {kind: fitting, form: tee, rating: 600 psi}\n"
     "    pr2: {kind: regulator, set: 10 psi, highest: 20 psi, rating: 250 psi}\n"
     "    fo2: {kind: orifice, bore: 0.01 in, discharge: 0.8, rating: 500 psi}\n"
     "    eq: {kind: valve, form: ball, normally: closed, rating: 600 psi}\n    v1:\n"),
)  # fmt: skip
SOLENOID: Patch = ("      form: ball\n", "      form: solenoid\n")

CASES: dict[str, tuple[Path, tuple[Patch, ...], str, str]] = {
    # What is true of a hot day holds in a bath.
    "parts in a bath": (FLOW, (("bath: 80 °F", "bath: 120 °F"),), "fuel.rated_for_supply", "failed"),
    "liquid in a bath": (FLOW, (("bath: 80 °F", "bath: 130 °F"),), "fuel.liquid_temperature", "failed"),
    # A scene without a start ends nobody knows when, and one wind is not held against the other.
    "a scene that says no start": (CORE, (('      starts: "22:15"\n', ""),), "core.scenes_in_hours", "not checked"),
    "no stop wind": (CORE, ((", stop: 15 mph", ""),), "core.wind_stated", "not checked"),
    # Hot days pass for want of a word.
    "no sun said, liquid": (FUEL, (NO_SUN,), "fuel.liquid_temperature", "not checked"),
    "no sun said, parts": (FUEL, (NO_SUN,), "fuel.rated_for_supply", "not checked"),
    "no sun said, a regulator open": (FUEL, (NO_SUN,), "fuel.rated_for_failure", "not checked"),
    "a sun that cools": (FUEL, (("sun: 20 °F", "sun: -20 °F"),), "fuel.liquid_temperature", "blocked"),
    # What stands nowhere may be in the way, or beside a flame.
    "a building without coordinates, by arm signals": (
        POSTS, ((", area: [[-10 ft, 30 ft], [10 ft, 30 ft], [10 ft, 40 ft], [-10 ft, 40 ft]]", ""),
                (", radios: one at each post", "")), "operators.signals_reach", "not checked",
    ),
    "a building without coordinates, on foot": (
        POSTS, ((", area: [[-10 ft, 30 ft], [10 ft, 30 ft], [10 ft, 40 ft], [-10 ft, 40 ft]]", ""),),
        "operators.time_to_valves", "not checked",
    ),
    "nobody knows when gas is on": (
        POSTS, (('starts: "21:00", ', ""), ('from: "21:00", to: "23:30"', 'from: "19:00", to: "23:30"')),
        "operators.time_to_valves", "not checked",
    ),
    "a flame without coordinates, by a relief valve": (
        SITE, (("  bowl: {at: [0 ft, 0 ft, 3 ft]}", "  bowl: {note: somewhere}"),), "site.relief_discharge",
        "not checked",
    ),
    "a fence without coordinates, on the way out": (
        SITE, (("  bowl: {at: [0 ft, 0 ft, 3 ft]}", "  bowl: {at: [0 ft, 0 ft, 3 ft]}\n  hoarding: {kind: barrier}"),),
        "site.exits", "not checked",
    ),
    # A line of unknown bore, a regulator that says nothing of what it passes.
    "no wall of a tube": (FLOW, ((", wall: 0.032 in", ""),), "fuel.line_speed", "not checked"),
    "neither seat nor capacity": (
        FLOW, (("      set: 10 psi\n      capacity: 300 kBTU/h\n", "      set: 10 psi\n"),), "fuel.regulators_hold",
        "not checked",
    ),
    # Cylinders and their connections.
    "no connection said": (
        FLOW, (("      connection: CGA 791\n      connection_flow: 600 kBTU/h\n", ""),), "fuel.connection_flow",
        "not checked",
    ),
    "a CGA 791 nut on the regulator": (
        FUEL, (("      set: 10 psi\n", "      set: 10 psi\n      ends: [CGA 791 female, 1/4 FNPT]\n"),),
        "fuel.connection_flow", "not checked",
    ),
    "no tare": (FUEL, (("      tare: 18 lb\n", ""),), "materials.cylinder_size", "not checked"),
    "a typical size": (
        FUEL, (("      diameter: 12.5 in\n      height: 18 in\n", ""),), "materials.cylinder_size", "not checked",
    ),
    "more in it than it holds": (
        FUEL, (("capacity: 20 lb", "capacity: 20 lb\n      contents: 25 lb"),), "materials.cylinder_size", "failed",
    ),
    "filled again, of no type": (
        FUEL, (("capacity: 20 lb", "capacity: 20 lb\n      refilled: true"),), "materials.cylinder_refilled",
        "not checked",
    ),
    "secured, not yet": (
        MATERIALS, (("secured: strapped into the rack", "secured: not yet"),), "materials.cylinder_secured", "failed",
    ),
    "secured, unknown": (
        MATERIALS, (("secured: strapped into the rack", "secured: unknown"),), "materials.cylinder_secured",
        "not checked",
    ),
    "a valve between supplies": (FUEL, TIE, "fuel.enough_gas", "not checked"),
    "a check valve between supplies": (
        FUEL, (*TIE, ("form: ball, normally: closed", "form: check, cv: 1")), "fuel.supply_holds", "not checked",
    ),
    "an open valve between supplies": (
        FUEL, (*TIE, ("form: ball, normally: closed", "form: ball, normally: open")), "fuel.enough_gas", "passed",
    ),
    # Regulators, relief, lines.
    "locks up below its setting": (
        FUEL, (("      highest: 20 psi\n", "      highest: 20 psi\n      lock_up: 5 psi\n"),),
        "plumbing.regulator_setting", "failed",
    ),
    "how far it can be set": (FUEL, (("      highest: 20 psi\n", ""),), "plumbing.regulator_setting", "not checked"),
    "a relief valve that a ball valve shuts off": (
        FLOW,
        (("line: [rv]", "line: [v9, rv]"), ("    bl: {", "    v9: {kind: valve, form: ball}\n    bl: {")),
        "fuel.relief_capacity", "failed",
    ),
    "a relief valve over what nobody rates": (
        FLOW, (("form: tee, bore: 1/2 in, rating: 300 psi}", "form: tee, bore: 1/2 in}"),),
        "fuel.relief_setting", "not checked",
    ),
    "a line with a valve of unknown loss": (FUEL, (SOLENOID,), "fuel.line_capacity", "not checked"),
    "together behind a valve of unknown loss": (FUEL, (SOLENOID,), "fuel.enough_together", "not checked"),
    "a needle valve is a throttle": (
        FUEL, (("      form: ball\n", "      form: needle\n      cv: 0.01\n"),), "fuel.line_capacity", "passed",
    ),
    "a manifold before a burst": (
        FLOW, (("x1: {kind: fitting, form: tee", "x1: {kind: fitting, form: manifold"),), "fuel.held_gas",
        "not checked",
    ),
    "a slit in a tube of unknown bore": (FLOW, (), "plumbing.plausible", "not checked"),
    # Materials.
    "a water hose for gas": (
        MATERIALS, (("      material: rubber\n", "      material: garden hose\n"),), "materials.agree", "failed",
    ),
    "copper that is galvanized": (
        MATERIALS, (("      grade: L\n", "      grade: L\n      coating: HDG\n"),), "materials.agree", "failed",
    ),
    "solder in a joint that is called welded": (
        MATERIALS, (("between: [h1, n1], method: union", "between: [h1, n1], method: welded, filler: 95/5"),),
        "materials.soft_solder", "failed",
    ),
    "a doubt": (
        MATERIALS, (("      material: copper\n      jets", "      material: stainless?\n      jets"),),
        "materials.burner_metal", "not checked",
    ),
    "a compression fitting that may be allowed": (
        MATERIALS, (("allowed_by: maker's sheet for LP-gas to 150 psi", "allowed_by: maker's sheet pending"),),
        "materials.compression", "failed",
    ),
    "a cylinder that may be marked so": (
        MATERIALS, (("marking: DOT-4BW240", "marking: DOT-4BW240?"),), "materials.cylinder_marking", "failed",
    ),
    "a cylinder that is called one for liquid": (
        MATERIALS, (("      withdrawal: vapor\n", "      withdrawal: vapor\n      title: 33 lb forklift cylinder\n"),),
        "materials.cylinder_vapor", "not checked",
    ),
    "a chain that is still to come": (
        MATERIALS, (("secured: strapped into the rack", "secured: strapped into the rack, straps ordered"),),
        "materials.cylinder_secured", "not checked",
    ),
    "a paste whose listing is pending": (
        MATERIALS, (("sealant: compound for LP-gas}\n    j3", "sealant: compound for LP-gas (pending)}\n    j3"),),
        "materials.sealant", "failed",
    ),
    "a hose whose marking was applied for": (
        MATERIALS, (("LP-GAS HOSE 350 PSI MAX WP", "LP-GAS HOSE 350 PSI applied for"),),
        "materials.hose_marking", "failed",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_what_is_not_known_does_not_pass(tmp_path: Path, case: str) -> None:
    base, patches, rule, status = CASES[case]
    assert status_of(project(tmp_path, base, *patches), rule) == status


@pytest.mark.parametrize(
    ("listing", "level"),
    [("UL 144", "warning"), ("UL 144 pending", "error"), ("not listed for propane", "error"), ("NSF 61", "error")],
)
def test_a_listing_that_is_denied_or_put_off_is_none(tmp_path: Path, listing: str, level: str) -> None:
    spec = project(tmp_path, FUEL, HOT, (LISTED, f"      listing: {listing}\n{LISTED}"))
    assert [f.level for f in findings_of(spec, "fuel.rated_for_supply")] == [level]


LINE = "line: [pr1, v1, fo1, ring]"
ANYTHING: dict[str, Patch] = {
    "a tag in a line that no part describes": (LINE, LINE.replace("v1", "v1, what")),
    "such a tag at its end": (LINE, f"{LINE}\n    other:\n      from: ring\n      line: [what]"),
    "a part of no known kind": ("      kind: valve\n", "      kind: vavle\n"),
}


@pytest.mark.parametrize("what", ANYTHING)
def test_nothing_passes_on_a_network_of_which_a_part_may_be_anything(tmp_path: Path, what: str) -> None:
    """It may be a burner, a valve or copper of type M. What is found is found all the same."""
    rules = ("plumbing.second_shutoff", "plumbing.shutoff", "fuel.enough_gas", "fuel.rated_for_supply",
             "fuel.liquid_temperature", "materials.copper_grade", "materials.plastic",
             "materials.air_rated")  # fmt: skip
    made = checked(project(tmp_path, FUEL, ANYTHING[what]))
    ended = {r.id: r.status for r in made.rules if r.id in rules}
    assert set(ended.values()) <= {"failed", "not checked", "blocked"}, ended
    assert any(f.rule in ("plumbing.known_parts", "spec.value") for f in made.findings), made.findings


@pytest.mark.parametrize("serial", ["0417?", "applied for", "illegible", "to be stamped", "not readable", "-"])
def test_a_plate_that_nobody_can_read_is_none(tmp_path: Path, serial: str) -> None:
    (found,) = findings_of(
        project(tmp_path, VESSELS, ("serial: 2-0417", f"serial: {serial}")), "materials.vessel_marking"
    )
    assert found.message == "the plate of vessel is not described: its serial number"
