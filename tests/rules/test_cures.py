"""A finding with a number in it says which number would pass; each such change is made here, and the finding is gone.

The bad specs are those of the rules' own tests.
"""

from __future__ import annotations

import ast
import importlib.util
import json
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest
import yaml

from specc.engine.host import find
from specc.model.findings import Cure, Finding
from specc.testing import findings_of, project

sys.path.insert(0, str(Path(__file__).parents[1] / "completeness"))

from parsed import parsed

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
# Rule to the tests that have its bad specs, and what its message says where a number is held against another.
CURED = {
    "materials.burner_metal": ("test_materials", "% zinc"),
    "materials.braze_phosphorus": ("test_materials", "%"),
    "materials.braze_melts": ("test_materials", "melt"),
    "materials.copper_wall": ("test_materials", "has a wall of"),
    "materials.hose_marking": ("test_materials", "is rated|is marked"),
    "materials.cylinder_marking": ("test_materials", "service pressure of"),
    "materials.brazed_copper_open": ("test_materials", "sees .* psig"),
    "plumbing.bend_radius": ("test_geometry_rules", "radius|bends"),
    "plumbing.jets_fit": ("test_geometry_rules", "."),
    "plumbing.jets_feed": ("test_geometry_rules", "times the area"),
    "plumbing.cut_length": ("test_geometry_rules", "is cut to"),
    "plumbing.gauge_reads": ("test_gauges", "reads to"),
    "plumbing.relief_vents": ("test_leak_tests", "lets gas out"),
    "plumbing.test_pressure": ("test_leak_tests", "is made at"),
    "plumbing.test_record": ("test_leak_tests", "is watched|is read in|passes with|reads to"),
    "plumbing.test_bounds": ("test_leak_tests", "flows out unlit"),
    "control.wire_lengths": ("test_control", "too short"),
    "operators.operator_age": ("test_operators", "is [0-9]+ on"),
    "operators.assistant_age": ("test_operators", "is [0-9]+ on"),
    "operators.wind_limit": ("test_operators", "stops above"),
    "fuel.rated_for_supply": ("test_rules", "is rated"),
    "fuel.rated_for_setting": ("test_rules", "is rated"),
    "fuel.service_pressure": ("test_rules", "service pressure of"),
    "fuel.regulator_supplied": ("test_rules", "is set to"),
    "fuel.relief_setting": ("test_fuel_flow", "opens at"),
    "fuel.rated_for_failure": ("test_fuel_flow", "and sees up to"),
    "fuel.bath_limit": ("test_fuel_flow", "."),
    "fuel.condensation": ("test_fuel_flow", "turns liquid"),
    "fuel.even_jets": ("test_fuel_flow", "the least jet of"),
    "fuel.enough_together": ("test_fuel_flow", "of what it gets alone"),
    "fuel.line_speed": ("test_fuel_flow", "gas runs at"),
    "fuel.line_capacity": ("test_fuel_flow", "the lines from"),
    "fuel.relief_capacity": ("test_fuel_flow", "lets out|stands (before|behind)"),
    "fuel.regulator_capacity": ("test_fuel_flow", "is made for"),
    "fuel.connection_flow": ("test_fuel_flow", "closes at"),
    "fuel.held_gas": ("test_fuel_flow", "it is a vessel"),
    "fuel.burst_ready": ("test_fuel_flow", "follow one another"),
    "fuel.bursts_strong": ("test_fuel_flow", "would begin below"),
    "control.fuse_load": ("test_control", "carries"),
    "control.fuse_wire": ("test_control", "may carry"),
    "control.fuse_clears": ("test_control", "times the rating"),
    "control.burst_timed": ("test_control", "may hold a valve"),
    "control.battery_lasts": ("test_control", "lasts"),
    "operators.in_sight": ("test_posts", "while one sees"),
    "plumbing.regulator_setting": ("test_rules", "is set to"),
    "site.hose_lengths": ("test_site", "ft long"),
    "site.lines_reach": ("test_site", "together"),
    "structure.transport_secured": ("test_structure", "straps on"),
}
# Rules on distances, with the tests that have their bad specs: test_moves.py moves what they say should move.
MOVED = {
    "extinguishers.class_a": "test_extinguishers",
    "extinguishers.class_b": "test_extinguishers",
    "extinguishers.class_c": "test_extinguishers",
    "extinguishers.high_flow": "test_extinguishers",
    "extinguishers.first_aid": "test_extinguishers",
    "extinguishers.opposite_sides": "test_extinguishers",
    "operators.at_valves": "test_posts",
    "operators.time_to_valves": "test_posts",
    "operators.meeting_place": "test_meeting",
    "flame.overhead": "test_flame_rules",
    "flame.part_heat": "test_flame_rules",
    "flame.dry": "test_flame_rules",
    "flame.gas_parts": "test_flame_rules",
    "flame.valves_reachable": "test_flame_rules",
    "flame.sent": "test_flame_rules",
    "flame.posts": "test_flame_rules",
    "flame.ways_clear": "test_flame_rules",
    "flame.public_distance": "test_flame_rules",
    "flame.things": "test_flame_rules",
    "flame.pilot_reach": "test_flame_rules",
    "site.clear_height": "test_site",
    "site.cylinders_apart": "test_site",
    "site.relief_discharge": "test_site",
    "site.vents_from_low_places": "test_site",
    "site.cylinder_groups": "test_site",
    "site.stores": "test_site",
    "site.exits": "test_site",
    "site.fire_lane": "test_site",
    "site.tents_apart": "test_site",
    "site.on_site": "test_site",
}
# Rules that hold a number against a limit and offer no cure yet, with the reason.
LEFT = {
    "fuel.enough_gas": "says how many cylinders more, no value to change: tests/fuel/test_supplies.py adds them",
    "fuel.boil_off": "says how many cylinders, no value to change: tests/fuel/test_supplies.py adds them",
    "fuel.liquid_temperature": "shade for the cylinders, and a rise that is then measured, not chosen",
    "control.coil_voltage": "wire, battery or coil: which of them is the maker's choice",
    "control.voltage_fits": "another part, not a number to write",
    "control.valve_fits": "another valve, not a number to write",
    "extinguishers.after_made": "dates, which are read off the unit, not chosen",
    "fuel.purge_wait_enough": "less time to light, or a shorter opening: which is the maker's choice",
    "control.holds_back": "a check valve, or another valve, not a number to write",
    "core.cues_fit": "which of several times is meant is the show's choice",
    "core.wind_stated": "a slip in one of the two, and nobody knows which",
    "fuel.down_to_reserve": "more gas, no value to change: tests/fuel/test_supplies.py adds it",
    "fuel.supply_holds": "more cylinders, no value to change: tests/fuel/test_supplies.py adds them",
    "materials.cylinder_size": "what is stamped on the cylinder, which is read, not chosen",
    "materials.vessel_marking": "what its plate says, which is read, not chosen",
    "plumbing.bore_possible": "a slip in one of the two, and nobody knows which",
    "plumbing.ends_mate": "another part, not a number to write",
    "plumbing.joint_method": "how it is joined, not a number to write",
    "plumbing.plausible": "a slip in one of several, and nobody knows which",
    "structure.left_standing": "the gust of a forecast, not a number to choose",
    "structure.transport_lift": "more people or a cart: its fix says how many",
    "structure.tipping": "says how much ballast or how many guys, no value to change: the structure's tests add them",
    "structure.sliding": "says how much ballast or how many guys, no value to change: the structure's tests add them",
    "structure.hot_metal": "another metal, or a temperature that is then measured",
    "control.lets_go": "another part, not a number to write",
    "control.pilot_proved": "a sensor, or the authority's word",
    "structure.engineer": "an engineer, not a number",
    "structure.guys": "an anchor as pulled, not a number to write",
    "structure.transport_weight": "a second trip, not a number",
    "extinguishers.minimum_set": "a unit, not a number",
    "operators.two_people": "a person, not a number",
    "operators.breaks": "a break, not a number",
    "operators.rest": "a shorter shift or an earlier end, which is the crew's choice",
    "operators.fire_watch": "a shift, not a number",
    "extinguishers.monthly_inspection": "a date",
    "flame.supports": "another metal, or a temperature that is then measured",
    "flame.aim": "which way it points is the maker's choice",
    "flame.holds_in_wind": "a test, not a number",
    "site.relief_as_typed": "which of the two distances is right is to be measured",
    "fuel.excess_flow": "the network has to be solved for the device that would pass",
    "plumbing.zones_tested": "a test, not a number",
    "plumbing.source_valve": "a valve, or a place of its own",
    "plumbing.second_shutoff": "a valve, or a place of its own",
    "site.exits_lead": "a way on, or another exit",
    "site.exits_in_leak": "another exit, or one that leads elsewhere",
    "site.crossings": "a ramp over the line, or another way for it: the maker's choice",
    "site.kept_out": "a longer barrier, or another one: which is the makers' choice",
    "site.exit_widths": "wider exits, another one, or fewer people: which of them is the makers' choice",
    "operators.one_job": "a person, not a number",
    "operators.first_aider": "a person, not a number",
    "operators.shut_down_fits": "a later end of a shift, or somebody else: which is the crew's choice",
    "operators.start_up_fits": "more time or fewer things to do: which is the crew's choice",
    "operators.public_after_gas_let_out": "an earlier start-up or a later opening: which is the crew's choice",
    "operators.signals_given": "a light in the hand, or a word: which is the crew's choice",
    "operators.shelter": "another building, which nobody moves",
    "operators.go_no_go": "a mark of its own, or another limit: which is the crew's choice",
}


def module(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


MODULES = {name: module(name) for name in sorted({name for name, _ in CURED.values()})}


def cases() -> list[tuple[str, str]]:
    made = []
    for rule, (name, _) in CURED.items():
        bad = MODULES[name].BAD
        made += [(rule, what) for what in bad.get(rule) or bad[rule.partition(".")[2]]]
    return made


def written(folder: Path, rule: str, what: str) -> Path:
    tests = MODULES[CURED[rule][0]]
    patches = (tests.BAD.get(rule) or tests.BAD[rule.partition(".")[2]])[what]
    base = tests.good(rule) if hasattr(tests, "good") else tests.GOOD
    return project(folder, base, *patches)


def changed(text: str, pointer: str, value: str) -> str:
    """The YAML with the value at a pointer replaced, and nothing else."""
    node = yaml.compose(text)
    for step in pointer.strip("/").split("/"):
        if isinstance(node, yaml.MappingNode):
            node = next(v for k, v in node.value if k.value == step.replace("~1", "/").replace("~0", "~"))
        else:
            assert isinstance(node, yaml.SequenceNode)
            node = node.value[int(step)]
    return text[: node.start_mark.index] + value + text[node.end_mark.index :]


def with_cure(spec: Path, cure: Cure) -> Path:
    text = spec.read_text(encoding="utf-8")
    for pointer, value in cure.edits:
        text = changed(text, pointer, value)
    made = spec.with_name("cured.yaml")
    made.write_text(text, encoding="utf-8")
    return made


def block(rule: str) -> tuple[str, ...]:
    """The plugins that the rule's own tests leave out."""
    tests = MODULES[CURED[rule][0]]
    if CURED[rule][0] == "test_rules":
        return tests.without(rule)  # type: ignore[no-any-return]
    return getattr(tests, "OTHERS", None) or getattr(tests, "WITHOUT", ())


def found(spec: Path, rule: str) -> list[Finding]:
    return list(findings_of(spec, rule, block=block(rule)))


@pytest.mark.parametrize(("rule", "what"), cases(), ids=[f"{r}: {w}" for r, w in cases()])
def test_each_cure_ends_its_finding(tmp_path: Path, rule: str, what: str) -> None:
    spec = written(tmp_path, rule, what)
    for one in found(spec, rule):
        # A day of birth stands in the private file, and nobody grows older by writing another.
        if not re.search(CURED[rule][1], one.message) or one.at.endswith("/born"):
            continue
        assert one.cure is not None, one.message
        assert one.cure.edits, one.message
        assert one.fix.startswith(one.cure.words)
        after = found(with_cure(spec, one.cure), rule)
        # A warning may be left where an error was.
        assert [f.message for f in after if (f.at, f.level) == (one.at, one.level)] == [], (one.cure, one.message)


@pytest.mark.parametrize(("bore", "tube", "length"), [
    ("0.055 in", "0.065 in", "4 ft"), ("0.055 in", "0.065 in", "40 ft"), ("0.028 in", "0.150 in", "15 ft"),
    ("0.055 in", "0.190 in", "30 ft"), ("0.040 in", "0.120 in", "8 ft"),
])  # fmt: skip
def test_a_drill_that_is_offered_passes_however_thin_the_line_behind_it(
    tmp_path: Path, bore: str, tube: str, length: str
) -> None:
    """What a line takes falls with the flow and not with its square; and a dead end fills up behind any hole."""
    rule = "materials.brazed_copper_open"
    thin = (
        ("bore: 0.028 in", f"bore: {bore}"),
        (
            "      length: 4 ft\n      outside: 0.5 in\n      wall: 0.035 in\n",
            f"      length: {length}\n      bore: {tube}\n",
        ),
    )
    spec = project(tmp_path, MODULES["test_materials"].GOOD, *thin)
    first = found(spec, rule)
    assert first
    for one in first:
        if one.cure is not None:
            after = found(with_cure(spec, one.cure), rule)
            assert [f.message for f in after if (f.at, f.level) == (one.at, one.level)] == [], one.cure


@pytest.mark.parametrize("rule", list(CURED))
def test_each_rule_offers_a_cure_in_some_bad_spec(tmp_path: Path, rule: str) -> None:
    whats = [what for r, what in cases() if r == rule]
    assert any(f.cure for what in whats for f in found(written(tmp_path, rule, what), rule))


def test_rules_that_read_a_limit_have_a_cure_or_say_why_not() -> None:
    """Whether they read it themselves or a function of theirs does: a pass names each limit that it asks for."""
    reads = {h.pass_.id for h in find().passes if h.pass_.kind == "rule" and h.pass_.limits}
    assert reads - set(CURED) - set(MOVED) - set(LEFT) == set()
    assert not set(CURED) & set(LEFT)
    assert not set(MOVED) & {*CURED, *LEFT}


MEASURED = re.compile(r"[0-9][0-9.,/]* ?(?:psig?|ft²|ft|in²|in|lb/h|lbf?|A|V|Ah|s|min|h|°F|mph|%|oz|k?BTU/h|°|years)\b")


def test_rules_that_tell_two_numbers_have_a_cure_or_say_why_not() -> None:
    """Those that hold one number of the spec against another, without a limit: by what each rule's example says."""
    told = set()
    for path in (*ROOT.glob("plugins/*/examples.json"), *ROOT.glob("specc/*/examples.json")):
        for rule, example in json.loads(path.read_text(encoding="utf-8")).items():
            if len(MEASURED.findall(example.get("message", ""))) > 1:
                told.add(rule)
    assert len(told) > 40
    assert told - set(CURED) - set(MOVED) - set(LEFT) == set()


NUMBER = re.compile(r"\.text\b|\bshow\(|psig\(|_lb\(|_lb_h\(|_heat\(|\b_f\(|:\.\d|:g\}")


def _findings_without_cure(room: Path) -> set[str]:
    """Rules of a plugin that somewhere, they or what they call, hold one number against another and offer no cure."""
    called: dict[str, set[str]] = {}
    rules: dict[str, str] = {}
    bare = set()
    for path in room.rglob("*.py"):
        for f in parsed(path.read_text(encoding="utf-8")).body:
            if not isinstance(f, ast.FunctionDef):
                continue
            called.setdefault(f.name, set()).update(n.id for n in ast.walk(f) if isinstance(n, ast.Name))
            for d in f.decorator_list:
                if isinstance(d, ast.Call) and isinstance(d.func, ast.Name) and d.func.id == "rule":
                    rules[f.name] = ast.literal_eval(d.args[0])
            for n in ast.walk(f):
                if isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == "Trouble":
                    cured = len(n.args) > 5 or any(k.arg == "cure" for k in n.keywords)
                    if not cured and len(n.args) > 1 and len(NUMBER.findall(ast.unparse(n.args[1]))) > 1:
                        bare.add(f.name)
    found = set()
    for name, rule in rules.items():
        met = {name}
        while more := {c for m in met for c in called[m] if c in called and c not in rules} - met:
            met |= more
        if met & bare:
            found.add(rule)
    return found


def test_every_finding_that_tells_two_numbers_has_a_cure_or_its_rule_says_why_not() -> None:
    """Read off the code, so that no finding is missed for want of an example."""
    rooms = [p for p in (ROOT / "plugins").iterdir() if p.is_dir()] + [ROOT / "specc" / "basics"]
    found = {rule for room in rooms for rule in _findings_without_cure(room)}
    assert len(found) > 30
    assert found - set(CURED) - set(MOVED) - set(LEFT) == set()


def test_what_has_no_cure_is_a_rule_that_is_there() -> None:
    assert {h.pass_.id for h in find().passes if h.pass_.kind == "rule"} >= {*LEFT, *MOVED, *CURED}
