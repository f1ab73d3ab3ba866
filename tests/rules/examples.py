"""Each rule's example for `specc explain`: a bad line, what would be good there, and why it matters.

Taken from the bad cases of the rules' own tests, so that an example cannot differ from what is tested. After a change:

    .venv/bin/python tests/rules/examples.py

writes them into the folder of each plugin; test_examples.py says when that is due.
"""

from __future__ import annotations

import importlib.util
import json
import re
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
MARK = re.compile(r"\s*#\s*expect:\s*([a-z0-9_., ]+?)\s*$")
KEYS = ("message", "fix", "why")


@cache
def _module(path: Path) -> Any:
    spec = importlib.util.spec_from_file_location(f"cases_{path.stem}", path)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made
    spec.loader.exec_module(made)
    return made


def cases() -> Iterator[tuple[str, str, tuple[tuple[str, str], ...]]]:
    """Rule, text of the good spec, and patches, of each rule's first bad case."""
    for path in sorted(HERE.glob("test_*.py")):
        module = _module(path) if path.name != "test_examples.py" else None
        bad = getattr(module, "BAD", {})
        for rule, listed in bad.items():
            id = rule if "." in rule else f"{path.stem.removeprefix('test_')}.{rule}"
            base = getattr(module, "GOOD", None)
            base = module.good(id) if hasattr(module, "good") else base
            if isinstance(base, Path) and listed:
                found = next(iter(listed.values())) if isinstance(listed, dict) else listed[0]
                yield id, base.read_text(encoding="utf-8"), found


# Rules whose tests are written otherwise: good and bad in words of a spec.
OTHERS: dict[str, dict[str, str]] = {
    "plumbing.burst_valve": {
        "good": "burst: {from: m1, line: [v2, pr2, acc1, sv_1, sv_2, nozzle]}, with v2 a quarter-turn valve",
        "bad": "burst: {from: m1, line: [pr2, acc1, sv_1, sv_2, nozzle]}",
        "why": "else all that burns has to be put out before a burst is, and it is filled again until then",
    },
    "fuel.enough_gas": {
        "good": "tank_a: {is: 40 lb CGA 510 cylinder}, for a show that burns 20 lb from it",
        "bad": "tank_a: {is: 20 lb CGA 510 cylinder}, for a show that burns 20 lb from it",
        "why": "a show that runs out of gas goes out by itself, and flames that die low are hard to see and relight",
    },
    "fuel.boil_off": {
        "good": "two cylinders of 100 lb on one line, for a draw of 100,000 BTU/h at 20 °F",
        "bad": "one cylinder of 20 lb, for a draw of 100,000 BTU/h at 20 °F",
        "why": "liquid that boils takes its heat from the cylinder; one that is too small grows cold and gives less",
    },
    "control.valve_fits": {
        "good": "sv: {form: solenoid, greatest_difference: 100 psi, least_difference: 0 psi}, behind 30 psi",
        "bad": "sv: {form: solenoid, greatest_difference: 20 psi, least_difference: 7 psi}, behind 30 psi",
        "why": "it stays shut, hangs half open, or flutters as the pressure falls",
    },
    "fuel.purge_wait_enough": {
        "good": "bursts: {puff: {times: 5, open: 1 s}}",
        "bad": "bursts: {puff: {times: 1, open: 1 h}}, from a nozzle of 1 in",
        "why": "lit again too soon, the whole cloud burns at once",
    },
    "control.held": {
        "good": "fire: {kind: button, who: operator}",
        "bad": "fire: {kind: button, who: operator, latches: true}",
        "why": "whoever lets go has to end the flame without another thought",
    },
    "control.relays_settle": {
        "good": "a relay's coil is fed by contacts of others, or by its own that holds it in",
        "bad": "a relay's coil is fed through its own contact that opens when it pulls in",
        "why": "it chatters, and nobody can say what its other contacts do meanwhile",
    },
    "control.single_fault": {
        "good": "two valves in series, each with a relay of its own",
        "bad": "one valve, or two valves on one contact",
        "why": "a contact that welds, or a wire that is pinched, must not keep gas on",
    },
    "core.thing_where": {
        "good": "fence: {material: pine, at: fence_line}",
        "bad": "fence: {material: pine}",
        "why": "what stands nowhere is near to nothing, and would not be counted",
    },
    "core.wind_stated": {
        "good": "weather: {wind: {usual: 5 mph, stop: 15 mph}}",
        "bad": "weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}}",
        "why": "wind bends flames and heats what stands beside them",
    },
    "structure.engineer": {
        "good": "mast: {top: 9 ft, base: {size: [3 ft, 3 ft], of: wood, on: gravel}}",
        "bad": "mast: {top: 30 ft, special: [people on it]}",
        "why": "what sways, bends or carries people is not stood up by sums for a stiff mast",
    },
    "structure.left_standing": {
        "good": "structure: {left_standing: 50 mph}",
        "bad": "structure: stands that stay up overnight, and no gust for it",
        "why": "the wind that stops a show is not the strongest of the night",
    },
    "flame.aim": {
        "good": "nozzle: {is: nozzle burner, aim: {tilt: 0 deg}}",
        "bad": "nozzle: {is: nozzle burner, aim: {tilt: 90 deg, bearing: 180 deg}}, with the public to the south",
        "why": "what an outlet throws unlit or burning flies the way it points, whatever the wind",
    },
    "flame.dry": {
        "good": "dry: [hedge], 80 ft from the flames",
        "bad": "dry: [hedge], 2 ft from a flame of 3 ft",
        "why": "dry ground and hedges catch from a flame that wind lays flat",
    },
    "flame.gas_parts": {
        "good": "supply: {at: [46 ft, 30 ft]}, with the mast at [-6 ft, 30 ft]",
        "bad": "supply: {at: [-5 ft, 30 ft]}, with the mast at [-6 ft, 30 ft]",
        "why": "heat raises a cylinder's pressure and burns a hose through, which feeds the fire",
    },
    "flame.holds_in_wind": {
        "good": "wind_shown: {reed: {by: test, wind: 16 mph, on: 2027-09-04}}, where the show stops at 15 mph",
        "bad": "wind_shown: {reed: {by: test, wind: 16 mph, on: 2027-09-04}}, where the show stops at 18 mph",
        "why": "gas from a flame that has blown out collects until something lights it",
    },
    "flame.overhead": {
        "good": "flame: {clear_overhead: 70 ft}, over a burst that is seen to 31 ft and warms to 60 ft",
        "bad": "flame: {overhead: [branch]}, 45 ft above the ground over the same burst",
        "why": "branches, canopies and wires catch or melt over a flame",
    },
    "flame.part_heat": {
        "good": "accumulator_stand: {at: [26 ft, 32 ft]}, 36 ft from the burst, where a hose ends",
        "bad": "accumulator_stand: {at: [2 ft, 35 ft]}, 9 ft from the burst",
        "why": "a hose that softens parts at its end, and a hot coil no longer opens or shuts its valve",
    },
    "flame.pilot_reach": {
        "good": "pilot_1: {is: pilot, place: mast}, for a nozzle at the mast",
        "bad": "pilot_1: {is: pilot, place: bed}, 27 ft from the nozzle",
        "why": "a burst that is not lit as it leaves is a cloud, and burns where it meets a flame",
    },
    "flame.places": {
        "good": "flame: {audience: [rope]}, with rope under places:",
        "bad": "flame: {audience: [roap]}",
        "why": "nobody and nothing is looked for at a place that is not there",
    },
    "flame.posts": {
        "good": "box: {at: [18 ft, 14 ft]}, 29 ft from a burst of an ounce",
        "bad": "box: {at: [12 ft, 30 ft]}, 18 ft from a burst of an ounce",
        "why": "an operator who has to step back from the heat no longer holds the valve",
    },
    "operators.posts": {
        "good": "lead: {person: ash, role: lead, station: box, ...}",
        "bad": "lead: {person: ash, role: lead, ...}, with no station:",
        "why": "who stands anywhere may see nothing, and be far from every valve",
    },
    "operators.signals_reach": {
        "good": "equipment: {radios: one at each post, channel 3}",
        "bad": "a fuel watch behind a hedge that is higher than they see, and no radios:",
        "why": "who does not see the stop signal goes on",
    },
    "operators.equipment": {
        "good": "equipment: {gas_detector: tried tonight, detector_by: ash, lamps: on the box and the post}",
        "bad": "operators: with no equipment:",
        "why": "the nose does not tell that gas has blown away, and valves are shut in the dark",
    },
    "operators.role_duties": {
        "good": "roles: {spotter: {duties: looks at the public and the wind}}",
        "bad": "a spotter on the roster, and nothing about them under roles:",
        "why": "who does not know what is asked of them looks at the flames",
    },
    "flame.public_distance": {
        "good": "rope: {line: [[-40 ft, -34 ft], [40 ft, -34 ft]]}, 34 ft and more from the reeds",
        "bad": "rope: {line: [[-40 ft, -1 ft], [40 ft, -1 ft]]}, 1 ft from the reeds",
        "why": "people can be burned there, by heat, by flame in wind or by what falls",
    },
    "flame.supports": {
        "good": "pole: {material: steel, from_flame: 12 in}, under a burst of an ounce",
        "bad": "pole: {material: aluminum, from_flame: 3 in}, under the same burst",
        "why": "metal that softens lets a burning burner down, and gives no warning",
    },
    "flame.things": {
        "good": "roof: {kind: sheet_metal, coating: zinc, place: bed_1, above: {stem_1: 4 ft}}",
        "bad": "roof: {kind: sheet_metal, coating: zinc, above: {stem_1: 1 ft}}",
        "why": "hot zinc peels and burns to a fume that makes those who breathe it ill",
    },
    "flame.valves_reachable": {
        "good": "box: {at: [18 ft, 14 ft]}, 29 ft from a burst of an ounce",
        "bad": "box: {at: [-5 ft, 30 ft]}, 1 ft from the burst",
        "why": "whoever has to close the valve is burned, or does not close it",
    },
    "flame.ways_clear": {
        "good": "exits: [gate], 80 ft from the flames",
        "bad": "exits: [mast], under the flame",
        "why": "an extinguisher or a way out is needed just when all burns",
    },
    "site.exits_in_leak": {
        "good": "gate: {kind: exit, leads: level, width: 8 ft, at: [20 ft, -76 ft]}, and another that leads up",
        "bad": "steps: {kind: exit, leads: down, width: 5 ft, at: [-58 ft, -62 ft]}, where one of two leads down",
        "why": "propane runs down, and people who flee it would meet it there",
    },
    "site.sides": {
        "good": "fence: {kind: barrier, line: [...]}, round the effect or up to the audience's area",
        "bad": "an audience to the south, and nothing said of the other sides",
        "why": "people come from where nobody has looked",
    },
    "site.cylinder_groups": {
        "good": "second: {at: [60 ft, 10 ft]}",
        "bad": "second: {at: [36 ft, 10 ft]}, 6 ft from the cylinder of another supply",
        "why": "a fire at one supply should not take the other along",
    },
    "plumbing.driven_alike": {
        "good": "coil: {drives: [sv_1]}",
        "bad": "coil: {drives: [ball_1]}",
        "why": "a valve that a hand turns does not move when a wire says so",
    },
}


# Why it matters, where the finding itself does not say.
WHY = {
    "control.battery_lasts": "a battery that runs down lets valves close in the middle of a flame, or a watch go blind",
    "control.flame_proved": "a burner that is not lit lets gas out, which gathers and then lights all at once",
    "control.fuse_load": "a fuse near its rating opens some warm evening, and somebody puts a larger one in",
    "control.lines_readable": "what is not there cannot be shown to stop anything",
    "control.stop_latched": "a stop that lets go by itself lets the flame come back while people are near it",
    "control.valves_wired": "a valve that nothing drives is open or closed for ever, and nobody says which",
    "control.voltage_fits": "a coil at the wrong voltage burns out, or does not pull in or let go as stated",
    "control.wired": "a part that is drawn and not wired is counted on and does nothing",
    "core.cues_fit": "a cue that never comes leaves a flame burning, or dark, unlike what was said",
    "core.effect_outlets": "gas of an outlet that two effects name would be counted twice, or once too few",
    "materials.joint_parts": "what is said of a joint that is none holds of nothing",
    "plumbing.effects_have_outlets": "an effect that burns nowhere has no gas, heat or distance to check",
    "plumbing.ends_enough": "somebody would add a fitting on site that nobody has checked",
    "plumbing.ends_read": "an end that cannot be read mates with nothing, and what joins it is not checked",
    "structure.guys": "a mast leans where no guy holds it, and a guy that pulls out lets it go at once",
    "structure.burners_held": "what hangs on its pipe breaks it at the first joint",
    "structure.transport_lift": "a strained back drops what it carries, often onto a valve",
    "structure.transport_carried": "a cylinder that nobody planned to carry rides in somebody's trunk",
    "structure.transport_weight": "a load too heavy for its carrier shifts, and its driver may not be allowed to",
    "structure.transport_secured": "a cylinder that is thrown forward breaks its valve off",
    "structure.transport_empty": "gas under pressure in a moving box needs one loose joint to fill it",
    "structure.transport_stored": "gas that leaks indoors stays there, and the next switch lights it",
    "plumbing.jets_fit": "jets that do not fit were not counted on the burner, but guessed",
    "plumbing.like_known": "a part that is like nothing has none of the values it was to take over",
    "plumbing.outlets_fed": "an outlet without gas is a line that is described otherwise than built",
}


def lines_of(rule: str, good: str, patches: tuple[tuple[str, str], ...]) -> tuple[str, str]:
    """The bad line, and what stands there in the good spec ("" where nothing does)."""
    for old, new in patches:
        for n, line in enumerate(new.splitlines()):
            marked = MARK.search(line)
            if marked and rule in marked[1].replace(",", " ").split():
                text = good
                for before, after in patches:
                    if before == old and after == new:
                        break
                    text = text.replace(before, after)
                whole = text.replace(old, new).splitlines()
                at = next((k for k, one in enumerate(whole) if line in one and MARK.search(one)), None)
                bad = MARK.sub("", whole[at] if at is not None else line).strip()
                olds = old.splitlines()
                if not olds:
                    return bad, ""
                piece = olds[min(n, len(olds) - 1)]
                fine = next((one for one in text.splitlines() if piece and piece in one), piece).strip()
                return bad, MARK.sub("", fine).strip() if fine != bad else ""
    return "", ""


def examples() -> dict[str, dict[str, str]]:
    """The examples by rule, as far as they stand in the cases: the bad line and the good one."""
    made = {}
    for rule, good, patches in cases():
        bad, fine = lines_of(rule, good, patches)
        if bad:
            made[rule] = {"bad": bad, "good": fine}
    return made


def main() -> None:
    from specc.engine.host import find
    from specc.engine.road import CHECK, Ask, travel
    from specc.testing import project
    from specc.verbs.explain import examples_file

    held = {h.pass_.id: h for h in find().passes if h.pass_.kind == "rule"}
    found = examples()
    files: dict[Path, dict[str, Any]] = {}
    for rule, base, patches in cases():
        if rule not in held:
            continue
        entry = dict(found.get(rule, {"bad": "", "good": ""}))
        with tempfile.TemporaryDirectory() as folder:
            spec = project(Path(folder), base, *patches)
            one = next((f for f in travel(str(spec), ask=Ask(CHECK)).findings if f.rule == rule), None)
        if one is not None:
            entry |= {key: getattr(one, key) for key in KEYS if getattr(one, key)}
            if not entry["good"]:  # no single line tells the good from the bad: then words do
                entry |= {"bad": one.message, "good": one.fix, "message": "", "fix": ""}
        entry.setdefault("why", WHY.get(rule, ""))
        files.setdefault(examples_file(held[rule].pass_.function), {})[rule] = entry
    for rule, entry in OTHERS.items():
        if rule in held:
            files.setdefault(examples_file(held[rule].pass_.function), {}).setdefault(rule, entry)
    for path, entries in files.items():
        text = json.dumps(dict(sorted(entries.items())), indent=1, ensure_ascii=False)
        path.write_text(text + "\n", encoding="utf-8")
        print(f"{path.relative_to(ROOT)}: {len(entries)}")
    print("none for", sorted(set(held) - {r for entries in files.values() for r in entries}))


if __name__ == "__main__":
    main()
