"""Devices of other shapes than the samples, each walked through its nights by the simulator: a torch on a post, a burst
that a hand fires beside a steady flame, four bursts on two accumulators and two supplies, and one with a hand valve
behind its accumulator and a flame sensor."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from night_simulator import Plant, of_night
from test_procedures import Sample, but_empty, cylinders_first, through

from specc.kinds.procedures import Step

HEAD = """format: 1
project: {id: dev, title: Device, revision: 1, issued: 2027-06-01, summary: trial, makers: [Club]}
event: {name: Night, setting: outdoors, dates: [2027-06-19, 2027-06-20], hours: 19:00 to 23:45, elevation: 420 ft}
weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}, sun: 20 °F, wind: {usual: 5 mph, stop: 15 mph, kind: gust}}
"""
TORCH = """places:
  post_top: {at: [0 ft, 20 ft, 8 ft]}
  foot: {at: [3 ft, 14 ft, 2 ft]}
  supply: {at: [20 ft, 10 ft, 1 ft]}
  front: {at: [0 ft, -30 ft]}
people: {ash: {role: lead}, birch: {role: valves}, cedar: {role: spotter}, dog: {role: fuel}}
effects: {torch: {kind: steady, outlets: [bar], at: post_top}}
show: {scenes: {a: {title: A, starts: "20:30", lasts: 1 h, steady: [torch]}}}
plumbing:
  runs:
    main: [tank_a: {is: 20 lb CGA 791 cylinder, place: supply}, pr1: {is: 1/4 NPT high-pressure regulator, set: 10 psi,
      lock_up: 12 psi, place: supply}, h1: {is: 3/8 in swivel hose x 25 ft, place: [supply, foot]},
      v1: {is: 1/4 NPT ball valve, place: foot}, bar: {is: bar burner, place: post_top, lit_by: {torch: birch},
      jets: {count: 20, bore: 1/16 in, discharge: 0.7}}]
operators:
  shifts:
    l: {person: ash, role: lead, station: supply, hours: 19:45 to 23:30}
    v: {person: birch, role: valve, station: foot, hours: 19:45 to 23:30}
    f: {person: dog, role: fuel_watch, station: supply, hours: 19:45 to 23:30}
    s: {person: cedar, role: spotter, station: front, hours: 19:45 to 23:30}
  equipment: {gas_detector: tried, detector_by: ash}
"""
BY_HAND = """places:
  bed: {at: [0 ft, 0 ft, 3 ft]}
  mast: {at: [10 ft, 20 ft, 9 ft]}
  supply: {at: [42 ft, 0 ft, 1 ft]}
  box: {at: [25 ft, 0 ft, 2 ft]}
people: {ash: {role: lead}, birch: {role: valves}, cedar: {role: spotter}, dog: {role: fuel}}
effects: {flames: {kind: steady, outlets: [bar], at: bed}, puff: {kind: burst, outlets: [nozzle], at: mast}}
show: {scenes: {a: {title: A, starts: "20:30", lasts: 1 h, steady: [flames], bursts: {puff: {times: 3, open: 0.5 s}}}}}
plumbing:
  runs:
    main: [tank_a: {is: 20 lb CGA 791 cylinder, place: supply}, pr1: {is: 1/4 NPT high-pressure regulator, set: 10 psi,
      place: supply}, m1: {is: manifold, ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT, 1/4 FNPT, 1/4 FNPT], place: box}]
    p: [m1, v_p: {is: 1/4 NPT ball valve, place: box}, pilot_1: {is: 1/8 FNPT pilot, place: mast,
      lit_by: {torch: birch}, jets: {count: 2, bore: 1/16 in, discharge: 0.7}}]
    g: [m1, g1: {is: 1/4 NPT gauge, reads_to: 60 psi, place: box}]
    f: [m1, v_s: {is: 1/4 NPT ball valve, place: box}, bar: {is: bar burner, place: bed, lit_by: {torch: birch},
      jets: {count: 20, bore: 1/16 in, discharge: 0.7}}]
    b: [m1, v_f: {is: 1/4 NPT ball valve, place: box}, acc1: {is: 2 gal accumulator, place: box},
      v_b: {is: 1/2 NPT ball valve, place: box}, nozzle: {is: nozzle burner, place: mast, lit_by: {pilot: pilot_1},
      jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
operators:
  shifts:
    l: {person: ash, role: lead, station: box, hours: 19:45 to 23:30}
    v: {person: birch, role: valve, station: box, hours: 19:45 to 23:30}
    f: {person: dog, role: fuel_watch, station: supply, hours: 19:45 to 23:30}
    s: {person: cedar, role: spotter, station: bed, hours: 19:45 to 23:30}
  equipment: {gas_detector: tried, detector_by: ash}
"""
FOUR = """places:
  mast_a: {at: [-10 ft, 20 ft, 9 ft]}
  mast_b: {at: [10 ft, 20 ft, 9 ft]}
  supply_a: {at: [-40 ft, 0 ft, 1 ft]}
  supply_b: {at: [40 ft, 0 ft, 1 ft]}
  stand_a: {at: [-25 ft, 20 ft, 2 ft]}
  stand_b: {at: [25 ft, 20 ft, 2 ft]}
  desk: {at: [0 ft, -10 ft, 3 ft]}
  rope: {line: [[-40 ft, -40 ft, 0 ft], [40 ft, -40 ft, 0 ft]], kind: barrier}
people: {ash: {role: lead}, birch: {role: valves}, cedar: {role: spotter}, dog: {role: valves}, elm: {role: fuel}}
effects:
  left: {kind: burst, outlets: [n1, n2], at: mast_a}
  right: {kind: burst, outlets: [n3, n4], at: mast_b}
show: {scenes: {a: {title: A, starts: "20:30", lasts: 1 h, bursts: {left: {times: 5, open: 0.5 s},
  right: {times: 5, open: 0.5 s}}}}}
plumbing:
  runs:
    a0: [tank_a: {is: 20 lb CGA 510 cylinder, place: supply_a}, v_a: {is: 1/4 NPT ball valve, place: supply_a},
      ma: {is: manifold, ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT], place: supply_a}]
    ap: [ma, pra: {is: 1/4 NPT high-pressure regulator, set: 10 psi, lock_up: 12 psi, place: supply_a},
      v_p: {is: 1/4 NPT ball valve, place: supply_a}, pilot_1: {is: 1/8 FNPT pilot, place: mast_a,
      lit_by: {torch: birch}, jets: {count: 2, bore: 1/16 in, discharge: 0.7}}]
    ab: [ma, v_fa: {is: 1/4 NPT ball valve, place: supply_a}, pra2: {is: 1/4 NPT high-pressure regulator, set: 30 psi,
      lock_up: 34 psi, place: supply_a}, acca: {is: 2 gal accumulator, place: stand_a,
      ends: [1/4 FNPT, 1/2 FNPT, 1/4 FNPT, 1/4 FNPT]}, xa: {is: 1/2 NPT tee, place: stand_a},
      sv_1: {is: 1/2 NPT solenoid valve, normally: closed, place: stand_a}, n1: {is: nozzle burner, place: mast_a,
      lit_by: {pilot: pilot_1}, jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
    ac: [xa, sv_2: {is: 1/2 NPT solenoid valve, normally: closed, place: stand_a}, n2: {is: nozzle burner,
      place: mast_a, lit_by: {pilot: pilot_1}, jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
    ag: [acca, ga: {is: 1/4 NPT gauge, reads_to: 100 psi, place: stand_a}]
    ad: [acca, v_da: {is: 1/4 NPT needle valve, place: stand_a}, ea: {is: 1/4 NPT plug, place: stand_a}]
    b0: [tank_b: {is: 20 lb CGA 510 cylinder, place: supply_b}, h_b: {is: hose x 3 ft, place: supply_b},
      v_b: {is: 1/4 NPT ball valve, place: supply_b},
      prb: {is: 1/4 NPT high-pressure regulator, set: 30 psi, lock_up: 34 psi, place: supply_b},
      accb: {is: 2 gal accumulator, ends: [1/4 FNPT, 1/2 FNPT, 1/4 FNPT, 1/4 FNPT], place: stand_b},
      xb: {is: 1/2 NPT tee, place: stand_b}, sv_3: {is: 1/2 NPT solenoid valve, normally: closed, place: stand_b},
      n3: {is: nozzle burner, place: mast_b, lit_by: {igniter: spark, proven: seen by dog},
      jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
    bc: [xb, sv_4: {is: 1/2 NPT solenoid valve, normally: closed, place: stand_b}, n4: {is: nozzle burner,
      place: mast_b, lit_by: {igniter: spark, proven: seen by dog}, jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
    bg: [accb, gb: {is: 1/4 NPT gauge, reads_to: 100 psi, place: stand_b}]
    bd: [accb, v_db: {is: 1/4 NPT needle valve, place: stand_b}, eb: {is: 1/4 NPT plug, place: stand_b}]
control:
  parts:
    bat: {kind: battery, voltage: 12 V, place: desk}
    stop: {kind: stop, contacts: [break], latches: true, place: desk}
    key: {kind: key, contacts: [make], place: desk}
    fire: {kind: button, contacts: [make], who: operator, place: desk}
operators:
  shifts:
    l: {person: ash, role: lead, station: desk, hours: 19:15 to 23:30}
    v: {person: birch, role: valve, effects: [left], station: supply_a, hours: 19:15 to 23:30}
    w: {person: dog, role: valve, effects: [right], station: desk, hours: 19:15 to 23:30}
    f: {person: elm, role: fuel_watch, station: supply_b, hours: 19:15 to 23:30}
    s: {person: cedar, role: spotter, station: rope, hours: 19:15 to 23:30}
  equipment: {gas_detector: tried, detector_by: ash}
"""
# With a hand valve behind the accumulator, somebody posted at it, and a sensor without whose flame nothing opens.
SENSED = """places:
  mast: {at: [0 ft, 20 ft, 9 ft]}
  bed: {at: [-12 ft, 0 ft, 3 ft]}
  supply: {at: [45 ft, 0 ft, 1 ft]}
  stand: {at: [28 ft, 24 ft, 2 ft]}
  desk: {at: [26 ft, -4 ft, 3 ft]}
  box: {at: [24 ft, 0 ft, 2 ft]}
  rope: {line: [[-40 ft, -40 ft, 0 ft], [40 ft, -40 ft, 0 ft]], kind: barrier}
people: {ash: {role: lead}, birch: {role: valves}, cedar: {role: spotter}, dog: {role: valves}, elm: {role: fuel},
  fir: {role: valves}}
effects: {flames: {kind: steady, outlets: [bar], at: bed}, puff: {kind: burst, outlets: [nozzle], at: mast}}
show: {scenes: {a: {title: A, starts: "20:30", lasts: 1 h, steady: [flames], bursts: {puff: {times: 3, open: 0.5 s}}},
  b: {title: B, starts: "22:00", lasts: 30 min, steady: [flames]}}}
plumbing:
  runs:
    main: [tank_a: {is: 20 lb CGA 791 cylinder, place: supply}, v_a: {is: 1/4 NPT ball valve, place: supply},
      m0: {is: manifold, ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT], place: supply}]
    low: [m0, pr1: {is: 1/4 NPT high-pressure regulator, set: 10 psi, lock_up: 12 psi, place: supply},
      m1: {is: manifold, ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT, 1/4 FNPT], place: box}]
    p: [m1, v_p: {is: 1/4 NPT ball valve, place: box}, pilot_1: {is: 1/8 FNPT pilot, place: mast,
      lit_by: {torch: birch}, jets: {count: 2, bore: 1/16 in, discharge: 0.7}}]
    g: [m1, g1: {is: 1/4 NPT gauge, reads_to: 60 psi, place: box}]
    f: [m1, v_s: {is: 1/4 NPT ball valve, place: box}, bar: {is: bar burner, place: bed, lit_by: {torch: birch},
      jets: {count: 20, bore: 1/16 in, discharge: 0.7}}]
    b: [m0, v_f: {is: 1/4 NPT ball valve, place: supply}, pr2: {is: 1/4 NPT high-pressure regulator, set: 30 psi,
      lock_up: 34 psi, place: supply}, acc1: {is: 2 gal accumulator, place: stand,
      ends: [1/4 FNPT, 1/2 FNPT, 1/4 FNPT, 1/4 FNPT]},
      v_h: {is: 1/2 NPT ball valve, place: stand}, sv_1: {is: 1/2 NPT solenoid valve, normally: closed, place: stand},
      sv_2: {is: 1/2 NPT solenoid valve, normally: closed, place: stand},
      nozzle: {is: nozzle burner, place: mast, lit_by: {pilot: pilot_1},
      jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
    ag: [acc1, ga: {is: 1/4 NPT gauge, reads_to: 100 psi, place: stand}]
    ad: [acc1, v_d: {is: 1/4 NPT needle valve, place: stand}, ed: {is: 1/4 NPT plug, place: stand}]
control:
  chassis: bat-
  parts:
    bat: {kind: battery, voltage: 12 V, place: desk}
    stop: {kind: stop, contacts: [break, break], latches: true, place: desk}
    key: {kind: key, contacts: [make, make], place: desk}
    fire: {kind: button, contacts: [make, make], who: operator, place: desk}
    eye: {kind: flame_sensor, sees: [pilot_1], sensor: thermocouple, notices: 30 s, contacts: [make, make], place: desk}
    c_1: {kind: coil, valve: sv_1, voltage: 12 V, place: stand}
    c_2: {kind: coil, valve: sv_2, voltage: 12 V, place: stand}
  lines:
    one: [bat+, stop.1, key.1, fire.1, eye.1, c_1, bat-]
    two: [bat+, stop.2, key.2, fire.2, eye.2, c_2, bat-]
operators:
  shifts:
    l: {person: ash, role: lead, station: desk, hours: 19:15 to 23:30}
    v: {person: birch, role: valve, effects: [flames], station: box, hours: 19:15 to 23:30}
    w: {person: dog, role: valve, effects: [puff], station: desk, hours: 19:15 to 23:30}
    x: {person: fir, role: valve, effects: [puff], station: stand, hours: 19:15 to 23:30}
    f: {person: elm, role: fuel_watch, station: supply, hours: 19:15 to 23:30}
    s: {person: cedar, role: spotter, station: rope, hours: 19:15 to 23:30}
  equipment: {gas_detector: tried, detector_by: ash}
"""
DEVICES = {"torch": TORCH, "by hand": BY_HAND, "four": FOUR, "sensed": SENSED}
BURSTS = {
    "torch": {},
    "by hand": {"nozzle": "puff"},
    "sensed": {"nozzle": "puff"},
    "four": {"n1": "left", "n2": "left", "n3": "right", "n4": "right"},
}
POSTS = {
    "torch": {"ash": "supply", "birch": "foot", "dog": "supply", "cedar": "front"},
    "by hand": {"ash": "box", "birch": "box", "dog": "supply", "cedar": "bed"},
    "sensed": {"ash": "desk", "birch": "box", "dog": "desk", "fir": "stand", "elm": "supply", "cedar": "rope"},
    "four": {"ash": "desk", "birch": "supply_a", "dog": "desk", "elm": "supply_b", "cedar": "rope"},
}  # fmt: skip


class Made:
    """A device of this file, with its steps."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        spec = folder / "project.yaml"
        spec.write_text(HEAD + DEVICES[name], encoding="utf-8")
        sample = Sample("", folder, spec=spec)
        self.net, self.steps = sample.net, sample.steps

    def plant(self) -> Plant:
        desk = "desk" if self.name in ("four", "sensed") else ""
        return Plant(self.net, BURSTS[self.name], POSTS[self.name], watchers=("cedar",), desk=desk)

    def text(self, begins: str) -> Step:
        return next(s for s in self.steps if s.text.startswith(begins))


@pytest.fixture(scope="module", params=list(DEVICES))
def device(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(request.param, tmp_path_factory.mktemp("device"))


def test_its_nights_go_as_the_steps_say(device: Made) -> None:
    through(device.plant(), device.steps)


@pytest.mark.parametrize("procedure", ["emergency", "leak", "hold"])
def test_whatever_stops_it_all_is_shut_and_nothing_is_taken_off_under_pressure(device: Made, procedure: str) -> None:
    plant = device.plant()
    plant.run([*of_night(device.steps, "start", "first"), *of_night(device.steps, "scene_change", "first")])
    plant.burst_open = {*plant.bursts} if plant.armed else set()
    own = of_night(device.steps, procedure, "first")
    if procedure == "leak":
        cylinders_first(plant, own)
    for step in own:
        plant.run([but_empty(plant, step)], at_once=procedure == "emergency")
        plant.flame -= plant.dying
    assert not plant.armed
    assert not {t for t in plant.open if plant.part[t].kind == "cylinder"}
    assert not plant.outlets(plant.gas()) or plant.charged


def test_what_lights_a_burst_is_kept_in_each_step_of_its_own(device: Made) -> None:
    """People of different steps do not wait for one another: each step that starves a pilot says itself what it waits
    for."""
    plant = device.plant()
    for procedure in ("emergency", "leak"):
        for step in of_night(device.steps, procedure, "first"):
            looked: set[str] = set()
            for act in step.acts:
                looked |= {act.tag} if act.action == "check" else set()
                if act.action == "close" and act.tag in plant.part and step.order < 70:
                    late = plant.bursts_lit_below(act.tag)
                    said = re.search(r"once .* seen out, or after 30 s", step.text, re.I) and act.tag in step.text
                    assert late <= looked or (late and said), (procedure, step.text, act.tag)


def test_whoever_lets_gas_out_stays_at_it_while_another_turns_the_regulator(device: Made) -> None:
    """The simulator sees one person at two places; here the two are named."""
    if device.name == "four":
        down = device.text("v_fa shut, let acca down unlit by v_da")
        by = {(a.action, a.tag): a.who for a in down.acts}
        assert by["open", "v_da"] == "dog"
        assert by["set", "pra2"] == by["open", "v_fa"] == "birch"


def test_a_second_pair_of_eyes_says_that_a_pilot_burns(device: Made) -> None:
    said = [s.text for s in device.steps if s.procedure == "firing" and "burns" in s.text]
    told = {"by hand": "birch says that pilot_1 burns, ash says so too", "four": "birch says so too", "torch": "",
            "sensed": "dog says that pilot_1 burns, spotters that all is clear"}  # fmt: skip
    assert len(said) == bool(told[device.name])
    assert all(told[device.name] in text for text in said)


def test_what_no_flame_burned_empty_is_let_out_before_its_cylinder_is_taken_off(device: Made) -> None:
    stop = of_night(device.steps, "stop", "first")
    texts = [s.text for s in stop]
    let_out = [n for n, text in enumerate(texts) if text.startswith("Before anything is taken off")]
    assert bool(let_out) == (device.name == "four"), "the second supply burns nothing to the end"
    if let_out:
        touched = next(n for n, text in enumerate(texts) if text.startswith("A second person touches"))
        off = next(n for n, s in enumerate(stop) if any(a.action == "disconnect" for a in s.acts))
        assert let_out[0] < touched < off
        assert [a.tag for a in stop[let_out[0]].acts if a.action == "open"] == ["v_b", "v_db"]


def test_where_nobody_lets_a_vessel_down_the_night_is_over_after_a_hold(device: Made) -> None:
    hold = of_night(device.steps, "hold", "first")
    assert any("nothing is lit again that night" in s.text for s in hold) == (device.name == "by hand")
    assert hold[-1].text.startswith("The night is over") == (device.name == "by hand"), "one answer"
    if device.name == "by hand":
        burned = next(s for s in of_night(device.steps, "stop", "first") if s.text.startswith("Burn off"))
        assert burned.text.endswith("No flame there: no burst; it stays charged, nobody near nozzle.")


def test_a_valve_behind_a_vessel_is_shut_first_by_whoever_is_posted_at_it(device: Made) -> None:
    if device.name != "sensed":
        return
    first = of_night(device.steps, "emergency", "first")[0]
    assert ("v_h", "fir", "stand") in [(a.tag, a.who, a.where) for a in first.acts if a.action == "close"]
    blows = next(s.text for s in device.steps if s.look_for == "a burst does not stop")
    assert "v_f, v_h too if out of its reach, closed" in blows
    walked = [a for s in of_night(device.steps, "start", "first") for a in s.acts if a.tag == "v_h" and a.where]
    assert {a.who for a in walked} == {"fir"}, "nobody else goes past a charged vessel for it"
    dark = next(s.text for s in device.steps if "eye sees none" in s.text)
    assert "no valve of sv_1 and sv_2 clicks" in dark
