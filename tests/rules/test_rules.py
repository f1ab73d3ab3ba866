"""Every rule of the core, the plumbing and the fuel, on a good spec and on bad ones.

A good spec stands beside this file for each plugin. A bad case is a patch on it, with `# expect: rule.id`
on the faulty line, and nothing else may be found.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine.host import find
from specc.model.passes import RuleFacts
from specc.testing import Patch, checked, expected_in, findings_at, findings_of, project, rules_of, status_of
from specc_fuel.accumulators import bursts, held_gas
from specc_fuel.faults import excess_flow, trapped_liquid, unlit
from specc_fuel.outlets import even_jets, failed_regulator, line_capacity, relief
from specc_fuel.show_run import cylinder_figures
from specc_fuel.supply import condensation, connections
from specc_plumbing import (
    bending,
    breakdown,
    burners,
    cuts,
    fault_rules,
    gauges,
    ignition,
    joint_schedule,
    leak_test_rules,
    lighting,
    mating,
    plausible,
    shut_in,
    source_rules,
    zone_page,
)

HERE = Path(__file__).parent
BUILT_INS = tuple(p.name for p in find().plugins if p.origin == "built-in")
# Each good spec is about one plugin; those whose facts it does not state are left out.
WITH: dict[str, tuple[str, ...]] = {"core": (), "plumbing": ("plumbing",), "fuel": ("plumbing", "fuel")}
# Rules of the plumbing that have a good spec and a test file of their own.
ELSEWHERE = rules_of(
    bending,
    breakdown,
    burners,
    cuts,
    fault_rules,
    gauges,
    joint_schedule,
    leak_test_rules,
    zone_page,
    ignition,
    lighting,
    mating,
    plausible,
    shut_in,
    source_rules,
    excess_flow,
    trapped_liquid,
    unlit,
    condensation,
    connections,
    held_gas,
    line_capacity,
    relief,
    even_jets,
    cylinder_figures,
    failed_regulator,
    bursts,
)
WITHOUT = {plugin: tuple(b for b in BUILT_INS if b not in others) for plugin, others in WITH.items()}

CYLINDER = "{kind: cylinder, capacity: 20 lb}"

# rule -> what is wrong -> patches on the good spec of its plugin
BAR = "{kind: burner, form: bar, lit_by: {torch: by hand}, jets: {count: 24, bore: 1/16 in, discharge: 0.7}}"
# By the way back gas comes past every hand valve, so that a cylinder's own is the only one.
STUCK = tuple(
    (f"    {t}: {{kind: cylinder, capacity: 20 lb}}", f"    {t}: {{kind: cylinder, capacity: 20 lb}} "
     "# expect: plumbing.one_failure")
    for t in ("tank_a", "tank_b")
)  # fmt: skip


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "core.effect_outlets": {
        "an outlet of two effects": (("- stem", "- ring # expect: core.effect_outlets"),),
        "an effect that is not there": (
            ("- glow", "- glim # expect: core.effect_outlets"),
            ("out: [glow]}", "out: [glow]} # expect: core.cues_fit"),  # and so it is not lit
        ),
        "a burst effect used as steady": (
            ("- glow", "- puff # expect: core.effect_outlets"),
            ("out: [glow]}", "out: [glow]} # expect: core.cues_fit"),
        ),
        "a steady effect used in bursts": (
            ("puff: {times", "glow: {times"),
            ("open: 0.5 s}", "open: 0.5 s} # expect: core.effect_outlets"),
        ),
        "bursts of an effect that is not there": (
            ("puff: {times", "pop: {times"),
            ("open: 0.5 s}", "open: 0.5 s} # expect: core.effect_outlets"),
        ),
    },
    "core.effect_place": {
        "a place that is not there": (("at: gate", "at: gatt # expect: core.effect_place"),),
        "no places at all": (
            ("places:\n", ""),
            ("  hedge: {line: [[-10 ft, 12 ft], [40 ft, 12 ft]], height: 5 ft, blocks: [sight]}\n", ""),
            ("  bowl: {at: [0 ft, 0 ft]}\n  gate: {at: [30 ft, 0 ft]}\n", ""),
            ("at: bowl", "at: bowl # expect: core.effect_place"),
            ("at: gate", "at: gate # expect: core.effect_place"),
        ),
    },
    "core.scope": {
        "in a tent": (("setting: outdoors", "setting: tent # expect: core.scope"),),
        "on wheels": (("use: standing}", "use: moving} # expect: core.scope"),),
        "at a place that is a tent": (
            ("  gate: {at: [30 ft, 0 ft]}", "  gate: {kind: tent, at: [30 ft, 0 ft]}"),
            ("at: gate", "at: gate # expect: core.scope"),
        ),
    },
    "core.thing_where": {
        "a thing that is nowhere": (("coating: zinc, place: bowl}", "coating: zinc} # expect: core.thing_where"),),
    },
    "core.wind_stated": {
        "a gust over ten minutes": (
            (
                "usual: 6 mph, stop: 15 mph, kind: gust, averaging: 3 s",
                "usual: 6 mph, stop: 15 mph, kind: gust, averaging: 10 min",
            ),
            ("height: 6 ft}", "height: 6 ft, usual_is: {averaging: 3 s}} # expect: core.wind_stated"),
        ),
        "a stop wind below the usual": (
            ("usual: 6 mph, stop: 15 mph", "usual: 20 mph, stop: 15 mph"),
            ("height: 6 ft}", "height: 6 ft} # expect: core.wind_stated"),
        ),
    },
    "core.scenes_in_hours": {
        "a scene that runs over the end": (('starts: "21:00"', 'starts: "23:00" # expect: core.scenes_in_hours'),),
        "a scene before the beginning": (('starts: "21:00"', 'starts: "19:59" # expect: core.scenes_in_hours'),),
        "past midnight, and past the end": (
            ('to: "23:30"', 'to: "00:30"'),
            ('starts: "21:00"', 'starts: "00:15" # expect: core.scenes_in_hours'),
        ),
    },
    "core.scenes_apart": {
        "a scene that begins too early": (('starts: "22:15"', 'starts: "21:55" # expect: core.scenes_apart'),),
    },
    "core.cues_fit": {
        "a cue after the scene": (
            ("{after: 40 min, light: [glow]}", "{after: 2 h, light: [glow]} # expect: core.cues_fit"),
        ),
        "what is lit already": (
            ("{after: 20 min, out: [glow]}", "{after: 20 min, light: [glow]} # expect: core.cues_fit"),
            ("{after: 40 min, light: [glow]}", "{after: 40 min, out: [glow]}"),
        ),
        "what is out already": (
            ("{after: 40 min, light: [glow]}", "{after: 40 min, out: [glow]} # expect: core.cues_fit"),
        ),
        "a burst of unknown length": (
            ("burst: puff, open: 0.5 s,", "burst: puff, # expect: core.cues_fit\n         "),
        ),
        "bursts over the end": (("every: 10 s}", "every: 10 min} # expect: core.cues_fit"),),
        "bursts into one another": (
            ("{times: 10, open: 0.5 s}", "{times: 10, open: 0.5 s, every: 0.2 s} # expect: core.cues_fit"),
        ),
    },
    "plumbing.known_parts": {
        "a misspelled tag in a line": (
            ("        - pr1\n", "        - pr1\n        - v2 # expect: plumbing.known_parts\n"),
            *(
                # What comes after a part that nobody knows is fed by nobody.
                (
                    f"{tag}: {BAR}",
                    f"{tag}: {BAR} # expect: plumbing.outlets_fed",
                )
                for tag in ("left", "right")
            ),
        ),
        "a run from a part that is not there": (
            (
                "    rest:\n",
                "    more:\n      from: spilt # expect: plumbing.known_parts\n      line:\n        - other\n"
                "    rest:\n",
            ),
            (
                "    end: {kind: fitting, form: plug}",
                "    end: {kind: fitting, form: plug}\n    other: {kind: fitting, form: plug}",
            ),
        ),
    },
    "plumbing.one_place": {
        "a part in two lines": (
            *STUCK,
            ("        - right\n", "        - v1 # expect: plumbing.one_place, plumbing.no_way_back\n        - right\n"),
        ),
        "a part twice in a line": (("        - fo1\n", "        - fo1\n        - v1 # expect: plumbing.one_place\n"),),
        "a run that comes back to its start": (
            ("        - right\n", "        - split # expect: plumbing.one_place\n        - right\n"),
        ),
        "a cylinder inside a line": (
            ("        - pr1\n", "        - pr1\n        - tank_c # expect: plumbing.one_place\n"),
            (
                "    join: {kind: fitting, form: tee}",
                "    tank_c: {kind: cylinder, capacity: 20 lb}\n    join: {kind: fitting, form: tee}",
            ),
        ),
        "a run that leaves from a valve": (
            ("    rest:\n      from: split\n", "    rest:\n      from: v1 # expect: plumbing.one_place\n"),
        ),
        "three lines that leave a tee": (
            (
                "split: {kind: fitting, form: cross}",
                "split: {kind: fitting, form: tee} # expect: plumbing.one_place",
            ),
        ),
    },
    "plumbing.no_way_back": {
        "a run that leads back to the first tee": (
            *STUCK,
            ("        - end", "        - join # expect: plumbing.no_way_back"),
            ("    end: {kind: fitting, form: plug}\n", ""),
            ("    join: {kind: fitting, form: tee}", "    join: {kind: fitting, form: cross}"),
        ),
    },
    "plumbing.connected": {
        "a part in no run": (
            (
                "    end: {kind: fitting, form: plug}",
                "    end: {kind: fitting, form: plug}\n    loose: {kind: gauge} # expect: plumbing.connected",
            ),
        ),
    },
    "plumbing.outlets_fed": {
        "an outlet that only a valve stands before": (
            (
                "    rest:\n",
                "    lost:\n      from: t9\n      line: [far]\n    rest:\n",
            ),
            (
                "    end: {kind: fitting, form: plug}",
                "    end: {kind: fitting, form: plug}\n"
                "    t9: {kind: fitting, form: tee}\n"
                "    far: {kind: pilot, lit_by: {torch: by hand}, jets: {count: 1, bore: 1/32 in, discharge: 0.7}} "
                "# expect: plumbing.outlets_fed",
            ),
        ),
    },
    "plumbing.line_ends": {
        "a line that ends in an elbow": (
            ("    end: {kind: fitting, form: plug}", "    end: {kind: fitting, form: elbow}"),
            ("        - end", "        - end # expect: plumbing.line_ends"),
        ),
    },
    "plumbing.driven_alike": {
        "one tag for two things": (
            ("v1: {kind: valve, form: ball}", "v1: {kind: valve, form: ball, driven_by: {coil: k1}}"),
            ("supply: box}}", "supply: box}} # expect: plumbing.driven_alike"),
        ),
    },
    "plumbing.shutoff": {
        "a needle valve alone": (
            ("form: ball", "form: needle"),
            *((f"{t}: {CYLINDER}", f"{t}: {CYLINDER} # expect: plumbing.shutoff") for t in ("tank_a", "tank_b")),
        ),
        "a valve on one of two ways": (
            ("        - v1\n", ""),
            ("        - right\n", "        - v1\n        - right\n"),
            *((f"{t}: {CYLINDER}", f"{t}: {CYLINDER} # expect: plumbing.shutoff") for t in ("tank_a", "tank_b")),
        ),
    },
    "plumbing.regulator_setting": {
        "set above what it can be set to": (
            (
                "{kind: regulator, set: 10 psi, highest: 20 psi}",
                "{kind: regulator, set: 30 psi, highest: 20 psi} # expect: plumbing.regulator_setting",
            ),
        ),
        "one of second stage on a cylinder": (
            (
                "{kind: regulator, set: 10 psi, highest: 20 psi}",
                "{kind: regulator, set: 10 psi, highest: 20 psi, form: second_stage} "
                "# expect: plumbing.regulator_setting",
            ),
        ),
    },
    "plumbing.effects_have_outlets": {
        "an effect that burns at a valve": (
            ("      - right\nshow", "      - right\n      - v1 # expect: plumbing.effects_have_outlets\nshow"),
        ),
        "an effect that burns at nothing": (
            ("      - right\nshow", "      - right\n      - rite # expect: plumbing.effects_have_outlets\nshow"),
        ),
        "a burner of no effect": (
            ("      - right\nshow", "show"),
            (
                f"right: {BAR}",
                f"right: {BAR} # expect: plumbing.effects_have_outlets",
            ),
        ),
    },
    "fuel.enough_gas": {
        "a small cylinder for a long show": (
            ("lasts: 1 h,", "lasts: 20 h,"),
            ("kind: cylinder", "kind: cylinder # expect: fuel.enough_gas, fuel.supply_holds, fuel.down_to_reserve"),
        ),
    },
    "fuel.no_more_than_needed": {
        "two where one does": (
            ("kind: cylinder", "kind: cylinder # expect: fuel.no_more_than_needed"),
            (
                "    pr1:\n",
                "    tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, "
                "rating: 250 psi}\n"
                "    m1: {kind: fitting, form: tee, rating: 300 psi}\n    pr1:\n",
            ),
            ("line: [pr1, v1, fo1, ring]", "line: [m1, pr1, v1, fo1, ring]\n    other: {from: tank_2, line: [m1]}"),
        ),
        "a spare where one does": (
            (
                "    pr1:\n",
                "    tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, "
                "spare: true, rating: 250 psi} # expect: fuel.no_more_than_needed\n    pr1:\n",
            ),
        ),
    },
    "fuel.boil_off": {
        "a large feed orifice in the cold": (
            ("bore: 0.025 in", "bore: 0.06 in"),
            ("kind: cylinder", "kind: cylinder # expect: fuel.supply_holds, fuel.boil_off"),
        ),
    },
    "fuel.regulator_supplied": {
        "a setting above the cold cylinder": (
            ("set: 10 psi", "set: 90 psi # expect: fuel.regulator_supplied, fuel.condensation"),
            ("kind: cylinder", "kind: cylinder # expect: fuel.supply_holds"),
            ("highest: 20 psi", "highest: 100 psi"),
            ("bore: 0.025 in", "bore: 0.01 in"),
        ),
    },
    "fuel.rated_for_supply": {
        "a part rated too low": (("rating: 250 psi", "rating: 200 psi # expect: fuel.rated_for_supply"),),
        "rated for the forecast, and less than 250 psi": (
            ("rating: 250 psi", "rating: 240 psi # expect: fuel.rated_for_supply"),
        ),
        "listed, in air so warm that it may see more": (
            ("high: 86 °F", "high: 98 °F"),
            ("rating: 250 psi", "listing: for LP-gas\n      rating: 250 psi # expect: fuel.rated_for_supply"),
            # 254 psig, of commercial propane
        ),
        "a part of unknown rating": (
            ("      rating: 250 psi\n", ""),
            ("      kind: regulator\n", "      kind: regulator # expect: fuel.rated_for_supply\n"),
        ),
    },
    "fuel.service_pressure": {
        "a cylinder made for less": (("rating: 240 psi", "rating: 225 psi # expect: fuel.service_pressure"),),
        "less stamped on it than is said of it": (
            ("rating: 240 psi", "rating: 240 psi\n      service_pressure: 225 psi # expect: fuel.service_pressure"),
        ),
    },
    "fuel.liquid_temperature": {
        "a rise in the sun that is too much": (
            ("sun: 20 °F", "sun: 45 °F # expect: fuel.liquid_temperature"),
            ("rating: 250 psi", "rating: 350 psi"),
            ("rating: 125 psi", "rating: 350 psi"),
        ),
    },
    "fuel.rated_for_setting": {
        "a part rated too low": (("rating: 125 psi", "rating: 15 psi # expect: fuel.rated_for_setting"),),
        "a part of unknown rating": (
            ("      rating: 125 psi\n", ""),
            ("      kind: burner\n", "      kind: burner # expect: fuel.rated_for_setting\n"),
        ),
    },
    "fuel.regulated": {
        "no regulator": (
            ("line: [pr1, v1, fo1, ring]", "line: [v1, fo1, ring]"),
            ("  sun: 20 °F\n", ""),  # warmer than the gas in the line, it would condense there
            ("bore: 0.025 in", "bore: 0.01 in"),
            ("rating: 125 psi", "rating: 250 psi"),
            ("      kind: burner\n", "      kind: burner # expect: fuel.regulated\n"),
            ("      kind: regulator\n", "      kind: regulator # expect: plumbing.connected\n"),
        ),
    },
}
CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


def good(rule: str) -> Path:
    return HERE / f"{rule.partition('.')[0]}.yaml"


def without(rule: str) -> tuple[str, ...]:
    return WITHOUT[rule.partition(".")[0]]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, good(rule), *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    result = checked(spec, block=without(rule))
    assert findings_at(result, notes=True) == expected
    assert status_of(result, rule) == "failed"


@pytest.mark.parametrize("plugin", WITHOUT)
def test_a_good_spec_has_no_findings_and_its_rules_pass(plugin: str) -> None:
    result = checked(HERE / f"{plugin}.yaml", block=WITHOUT[plugin])
    assert result.findings == ()
    assert result.exit_code == 0
    own = {r.id: r.status for r in result.rules if r.id.startswith(plugin + ".") and r.id not in ELSEWHERE}
    assert own
    assert set(own.values()) <= {"passed", "stated"}, own


def built_in_rules() -> set[str]:
    """The rules of the plugins that have their good spec here; others have a file of their own."""
    return {h.pass_.id for h in find().passes if h.pass_.kind == "rule" and h.plugin in WITH} - ELSEWHERE


def test_every_rule_has_a_bad_case() -> None:
    assert built_in_rules() == set(BAD)


def test_every_rule_passes_on_its_good_spec() -> None:
    passing = {
        r.id
        for plugin, block in WITHOUT.items()
        for r in checked(HERE / f"{plugin}.yaml", block=block).rules
        if r.status in ("passed", "stated") and r.id.startswith(plugin + ".") and r.id not in ELSEWHERE
    }
    assert passing == built_in_rules()


def test_a_rules_id_starts_with_its_plugins_name() -> None:
    for held in find().passes:
        if isinstance(held.pass_.facts, RuleFacts):
            assert held.pass_.id.startswith(held.plugin + "."), held.pass_.id


def test_a_listing_that_is_none_for_lp_gas_excuses_nothing(tmp_path: Path) -> None:
    warm, said = ("high: 86 °F", "high: 98 °F"), "listing: {}\n      rating: 250 psi"
    listed = project(
        tmp_path, good("fuel.rated_for_supply"), warm, ("rating: 250 psi", said.format("UL 144")), name="listed.yaml"
    )
    other = project(tmp_path, good("fuel.rated_for_supply"), warm, ("rating: 250 psi", said.format("CE")))
    assert [f.level for f in findings_of(listed, "fuel.rated_for_supply", block=without("fuel."))] == ["warning"]
    assert [f.level for f in findings_of(other, "fuel.rated_for_supply", block=without("fuel."))] == ["error"]


def test_where_one_effect_of_several_burns_is_asked(tmp_path: Path) -> None:
    core = Path(__file__).with_name("core.yaml")
    result = checked(project(tmp_path, core, ("    at: gate\n", "")))
    (found,) = (r for r in result.rules if r.id == "core.effect_place")
    assert (found.status, "where puff burns" in found.looked) == ("not checked", True)
