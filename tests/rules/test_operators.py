"""Each rule of the operators plugin, on a good roster and on bad ones; times past midnight and across a
clock change; and the procedures made from a project's own valves."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.people import Person
from specc.kinds.procedures import STEPS, Step
from specc.model.result import Result
from specc.testing import Patch, all_but, checked, expected_in, findings_at, findings_of, project, result_of, status_of
from specc_operators.clock import (
    Moment,
    TimeSpan,
    clock_fault,
    gaps,
    is_morning_after,
    later,
    length,
    moment,
    read_time,
    span,
    zone_named,
)

HERE = Path(__file__).parent
GOOD = HERE / "operators.yaml"
BASE = GOOD.read_text(encoding="utf-8")
# The good spec is about people: it has no plumbing and nothing else that other plugins look at.
OTHERS = all_but("operators")
DENVER = zone_named("America/Denver")


def block_of(tag: str, indent: str) -> str:
    """The lines of a tag in the good spec, with what is below it."""
    match = re.search(rf"^{indent}{tag}:\n(?:{indent}  .*\n)+", BASE, re.MULTILINE)
    assert match is not None, tag
    return match.group()


def shift(tag: str, **new: str) -> Patch:
    """A patch that writes other values into a shift; `start` and `end` stand for from: and to:."""
    old = block_of(tag, "    ")
    made = old
    for key, text in new.items():
        key = {"start": "from", "end": "to"}.get(key, key)
        line = f"      {key}: {text}\n"
        made, count = re.subn(rf"^      {key}: .*\n", lambda _, line=line: line, made, flags=re.MULTILINE)  # type: ignore[misc]
        if not count:
            made += line
    return old, made


def without(tag: str) -> Patch:
    return block_of(tag, "    "), ""


def person(tag: str, old: str, new: str) -> Patch:
    block = block_of(tag, "  ")
    assert old in block
    return block, block.replace(old, new)


# A finding about a mapping points at the first line of what is in it.
def on_shifts(rule: str) -> Patch:
    return "  shifts:\n    lead:\n", f"  shifts:\n    lead: # expect: operators.{rule}\n"


def on_operators(*rules: str) -> Patch:
    return "operators:\n  roles:\n", f"operators:\n  roles: # expect: {', '.join(f'operators.{r}' for r in rules)}\n"


ROOT = "operators:\n"
AUTUMN = ("[2027-06-19, 2027-06-20]", "[2027-11-05, 2027-11-06]")  # clocks go back in the second night
WIND = "    wind: {above: 12 mph, who: the club, at: post, instrument: vane, how: hand-held}"
SIGHT = "    visibility: {below: 100 ft, who: the club, mark: barn, from: post, lit: lamp on the barn, how: by eye}"
EVENT_HOURS = 'hours: {from: "20:00", to: "01:00"}'
JOBS = ("assembly: fence}", "assembly: fence} # expect: operators.emergency_plan")
ELM = ("effects:\n  glow", "  elm: {age: 33, sober: true}\neffects:\n  glow")


def relieved_at(at: str) -> tuple[Patch, ...]:
    """Elm takes over from fir, who watches the public for the bursts."""
    comes = f'person: elm, role: spotter, station: gate, effects: [puff], from: "{at}", to: "00:30"'
    return (
        shift("side", end=f'"{at}" # expect: operators.relieved'),
        ("    after:\n", f"    side_2: {{{comes}}}\n    after:\n"),
        ELM,
    )


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "operators.known_names": {
        "a misspelled person": (shift("eyes", person="dogwod # expect: operators.known_names"),),
        "an effect that is not there": (
            ("        - puff\n", "        - puff\n        - poof # expect: operators.known_names\n"),
        ),
        "a station that is not there": (shift("eyes", station="gatt # expect: operators.known_names"),),
        "a night that is not the event's": (
            shift("eyes", nights="[2027-06-19, 2027-06-20, 2027-06-21] # expect: operators.known_names"),
        ),
        "somebody who stands in and is nobody": (
            shift("eyes", breaks='{zed: {from: "22:00", to: "22:15"}} # expect: operators.known_names'),
        ),
        "a break that begins after the shift": (
            shift("eyes", breaks='{gale: {from: "01:00", to: "01:15"}} # expect: operators.known_names'),
        ),
        "a break that ends before it begins": (
            shift("eyes", breaks='{gale: {from: "22:15", to: "22:00"}} # expect: operators.known_names'),
        ),
        "a break as long as the shift": (
            shift("eyes", breaks='{gale: {from: "21:00", to: "00:30"}} # expect: operators.known_names'),
        ),
        "somebody who stands in for themselves": (
            shift("eyes", breaks='{dogwood: {from: "22:00", to: "22:15"}} # expect: operators.known_names'),
        ),
        "a briefing by nobody": (("    by: ash", "    by: asch # expect: operators.known_names"),),
    },
    "operators.crowd_hands": {
        "one more than one spotter looks after": (
            (
                "audience, people: 250, area: [[20 ft, -30 ft], [40 ft, -30 ft], [40 ft, -10 ft], [20 ft, -10 ft]]}",
                "audience, people: 251, area: [[20 ft, -30 ft], [40 ft, -30 ft], [40 ft, -10 ft], [20 ft, -10 ft]]}"
                " # expect: operators.crowd_hands",
            ),
        ),
    },
    "operators.signals_given": {
        "a stop by bare arms": (
            (
                "and the word STOP, by: [arms, voice], means: every valve is closed at once}",
                ", by: [arms], means: every valve is closed at once} # expect: operators.signals_given",
            ),
        ),
        "a burst by a wand alone": (
            (
                "shot: {given: the word SHOT by radio, by: [radio], lets: [puff], means: one burst may follow}",
                "shot: {given: a wand, by: [light], lets: [puff], means: one} # expect: operators.signals_given",
            ),
        ),
        "a burst of what does not burst": (
            (
                "lets: [puff], means: one burst may follow}",
                "lets: [puff, glow], means: one burst may follow} # expect: operators.signals_given",
            ),
        ),
    },
    "operators.valves_attended": {
        "a valve operator who leaves early": (shift("puff", end='"23:00" # expect: operators.valves_attended'),),
        "a valve operator who leaves at midnight": (shift("puff", end='"00:00" # expect: operators.valves_attended'),),
        "a lead who comes late": (shift("lead", start='"21:30" # expect: operators.valves_attended'),),
        "nobody at the valve of one effect": (without("puff"), on_shifts("valves_attended")),
        "nobody on the second night": (shift("puff", nights="[2027-06-19]"), on_shifts("valves_attended")),
        "a scene that runs longer than the roster": (
            ('      starts: "23:30"\n      lasts: 45 min\n', '      starts: "23:30"\n      lasts: 55 min\n'),
            shift("lead", end='"00:30" # expect: operators.valves_attended'),
            shift("glow", end='"00:40"'),
            shift("puff", end='"00:40"'),
            shift("fuel", end='"00:40"'),
            shift("eyes", end='"00:40"'),
            shift("side", end='"00:40"'),
            shift("after", start='"00:40"', end='"01:10"', person="elm"),
            ("watch_caller: dogwood", "watch_caller: elm"),
            ELM,
        ),
    },
    "operators.watched": {
        "fuel watch leaves early": (shift("fuel", end='"23:00" # expect: operators.watched'),),
        "a spotter who comes late": (shift("eyes", start='"22:00" # expect: operators.watched'),),
        "no spotter": (without("eyes"), on_shifts("watched")),
        "nobody for the bursts": (without("side"), on_shifts("watched")),
        "a spotter of the bursts who leaves before the last": (
            shift("side", end='"00:15" # expect: operators.watched'),
        ),
        "the crowd's spotter looks at a flame": (shift("eyes", effects="[glow]"), on_shifts("watched")),
    },
    "operators.two_people": {
        "one person does everything": (
            shift("puff", person="ash", station="post"),
            shift("fuel", person="ash", station="post"),
            shift("eyes", person="ash", station="post"),
            shift("side", person="ash", station="post"),
            on_shifts("two_people"),
            ("who: the club, by: ash}", "who: the club, by: ash} # expect: operators.go_no_go"),
            ("second_caller: cedar, ", ""),
            JOBS,
        ),
    },
    "operators.one_place": {
        "fuel watch and spotter at once": (shift("eyes", person="cedar # expect: operators.one_place"),),
        "two stations at once": (
            shift("fuel", person="ash # expect: operators.one_place, operators.one_place", station="gate"),
            ("second_caller: cedar, ", ""),
        ),
        "a fire watch that is still spotter": (
            shift("after", person="dogwood # expect: operators.one_place", start='"00:00"'),
        ),
    },
    "operators.fire_watch": {
        "a short watch": (shift("after", end='"00:45" # expect: operators.fire_watch'), without("beside")),
        "a watch that comes late": (shift("after", start='"00:40" # expect: operators.fire_watch'), without("beside")),
        "no watch": (without("after"), without("beside"), on_shifts("fire_watch")),
    },
    "operators.clock_change": {
        "an hour that comes twice": (
            AUTUMN,
            (EVENT_HOURS, EVENT_HOURS + " # expect: operators.clock_change"),
            # What a clock shows twice is taken as the first: the watch is seen to last its half hour.
            shift("after", end='"01:00" # expect: operators.clock_change'),
            shift("beside", end='"01:00" # expect: operators.clock_change'),
        ),
        "an hour that is skipped": (
            ("[2027-06-19, 2027-06-20]", "[2027-03-13]"),
            shift("after", end='"02:30" # expect: operators.clock_change', person="birch"),
            shift("puff", person="cedar"),
            shift("fuel", person="dogwood"),
            shift("eyes", person="ash", station="post"),
            person("cedar", "age: 19", "age: 29"),
            ("caller: ash, watch_caller: dogwood", "caller: cedar, watch_caller: birch"),
        ),
        "an unknown zone": (("America/Denver", "America/Denvar # expect: operators.clock_change"),),
        "a zone that is a folder": (("America/Denver", "America # expect: operators.clock_change"),),
    },
    "operators.operator_age": {
        "a valve operator of 20": (person("birch", "age: 30", "age: 20 # expect: operators.operator_age"),),
        "21 only after the event": (person("birch", "age: 30", "born: 2006-06-20 # expect: operators.operator_age"),),
        "no age": (person("birch", "age: 30\n    sober: true", "sober: true # expect: operators.operator_age"),),
    },
    "operators.assistant_age": {
        "a fuel watch of 17": (person("cedar", "age: 19", "age: 17 # expect: operators.assistant_age"),),
        "no age": (person("cedar", "age: 19\n    sober: true", "sober: true # expect: operators.assistant_age"),),
    },
    "operators.certificates": {
        "one that ends in the middle": (("until: 2027-12-31}", "until: 2027-06-19} # expect: operators.certificates"),),
        "one that ends at the last midnight": (
            ("until: 2027-12-31}", "until: 2027-06-20} # expect: operators.certificates"),
        ),
        "one that ended before": (("until: 2027-12-31}", "until: 2027-05-31} # expect: operators.certificates"),),
        "one that begins on the second day": (
            ("from: 2026-01-01", "from: 2027-06-20"),
            ("until: 2027-12-31}", "until: 2027-12-31} # expect: operators.certificates"),
        ),
        "one without an end": ((", until: 2027-12-31}", "} # expect: operators.certificates"),),
        "not the one that the role asks for": (
            ("kind: flame effects operator, from", "kind: first aid, from"),
            ("    age: 40\n", "    age: 40 # expect: operators.certificates\n"),
        ),
    },
    "operators.breaks": {
        "spotter, then fire watch, without a pause": (
            shift("eyes", start='"20:45"'),
            shift("after", end='"01:00" # expect: operators.breaks'),
        ),
        # Briefed from 20:00 on, and on duty to 00:30: each of them is there for 4 h 30 min.
        "a briefing that goes over into the shifts": (
            ("    lasts: 15 min\n", ""),
            *(shift(tag, end='"00:30" # expect: operators.breaks') for tag in ("lead", "puff", "fuel")),
        ),
    },
    "operators.rest": {
        "more than a shift in a night": (
            shift("fuel", start='"16:00"', end='"00:30" # expect: operators.rest, operators.breaks'),
        ),
        "back after a short night": (
            (
                "  briefing:\n",
                "    early:\n      person: cedar\n      role: spotter\n      nights: [2027-06-20]\n"
                '      from: "08:00" # expect: operators.rest\n      to: "09:00"\n  briefing:\n',
            ),
        ),
    },
    "operators.sobriety": {
        "no statement": (
            on_operators("sobriety"),
            ("  sobriety: Nobody on the roster drinks or takes anything on the day before the watch is over.\n", ""),
        ),
        "somebody does not agree": (person("cedar", "sober: true", "sober: false # expect: operators.sobriety"),),
        "somebody has not said": (
            person("cedar", "    age: 19\n    sober: true\n", "    age: 19 # expect: operators.sobriety\n"),
        ),
    },
    "operators.briefing": {
        "not over when gas is let in": (
            ('at: "20:00"\n    lasts: 15 min', 'at: "20:55" # expect: operators.briefing\n    lasts: 15 min'),
        ),
        "after the first scene": (('at: "20:00"', 'at: "21:30" # expect: operators.briefing'),),
        "none": (
            on_operators("briefing"),
            ('  briefing:\n    at: "20:00"\n    lasts: 15 min\n    by: ash\n    topics: [signals, limits]\n', ""),
        ),
    },
    "operators.go_no_go": {
        "a mark nearer than the limit": (
            (
                SIGHT,
                SIGHT.replace("mark: barn", "mark: tank") + " # expect: operators.go_no_go",
            ),
        ),
        "a mark that is nowhere": (
            (
                SIGHT,
                SIGHT.replace("mark: barn", "mark: tower") + " # expect: operators.go_no_go",
            ),
        ),
        "no visibility": (
            (WIND, WIND + " # expect: operators.go_no_go"),
            (SIGHT + "\n", ""),
        ),
        "wind that is taken from a forecast": (
            (WIND, WIND.replace("vane", "forecast") + " # expect: operators.go_no_go"),
        ),
        "a burn ban that a stranger asks about": (
            ("burn_ban: {by: ash,", "burn_ban: {by: nobody_here,"),
            ("county's fire department}", "county's fire department} # expect: operators.go_no_go"),
        ),
        "lightning that somebody off the roster watches for": (
            ("who: the club, by: ash}", "who: the club, by: stranger} # expect: operators.go_no_go"),
        ),
        "wind that is judged by eye": ((WIND, WIND.replace("vane", "by_eye") + " # expect: operators.go_no_go"),),
        "wind that is read where nobody is posted": (
            (WIND, WIND.replace("at: post", "at: barn") + " # expect: operators.go_no_go"),
        ),
        "a display of the wind that nobody is posted at": (
            (WIND, WIND.replace("at: post", "at: barn, read_at: fence") + " # expect: operators.go_no_go"),
        ),
        "none": (
            on_operators("go_no_go", "go_no_go", "go_no_go"),
            (block_of("go_no_go", "  "), ""),
        ),
    },
    "operators.wind_limit": {
        "more wind than is computed": (
            (WIND, "    wind: {above: 16 mph, who: the club} # expect: operators.wind_limit"),
        ),
        "more wind than a city allows": (
            ("stop: 15 mph", "stop: 30 mph"),
            (WIND, "    wind: {above: 25 mph, who: the club} # expect: operators.wind_limit"),
        ),
    },
    "operators.emergency_plan": {
        "the spotter calls": (("caller: ash", "caller: dogwood"), JOBS),
        "who calls comes late": (
            ("second_caller: cedar, call: 911 by telephone, caller: ash", "call: 911 by telephone, caller: fir"),
            (JOBS[0], f"{JOBS[1]}, operators.emergency_plan"),
        ),
        "one person calls and meets": (("caller: ash", "meets: ash, caller: ash"), JOBS),
        "who calls is gone in the fire watch": (("watch_caller: dogwood, ", ""), JOBS),
        "who calls in the watch comes after it began": (
            shift("after", start='"00:45"', end='"01:15"'),
            shift("beside", end='"01:15"'),
            JOBS,
        ),
        "a spotter meets help": (("caller: ash", "meets: dogwood, caller: ash"), JOBS),
        "a caller who is on no shift": (
            (
                "caller: ash, watch_caller: dogwood, address: The Meadow, access: north gate, assembly: fence}",
                "caller: nobody, watch_caller: dogwood, address: The Meadow, access: north gate, assembly: fence} "
                "# expect: operators.emergency_plan",
            ),
        ),
    },
    "operators.relieved": {
        "a spotter is relieved between two bursts": relieved_at("23:50"),
        "a spotter is relieved while what is left burns off": relieved_at("00:20"),
    },
    "operators.signals": {
        "none called stop": (
            ("    stop: {given: both", "    halt: {given: both"),
            ("valve is closed at once}", "valve is closed at once} # expect: operators.signals"),
        ),
    },
}


def test_who_stands_in_for_the_lead_is_asked_for(tmp_path: Path) -> None:
    """Key, gas detector and telephone are all with one person."""
    alone = project(tmp_path, BASE, ("second_caller: cedar, ", ""))
    (own,) = [r for r in result_of(alone).rules if r.id == "operators.emergency_plan"]
    assert own.status == "not checked"
    assert "who takes the lead's key, gas detector and telephone when the lead is silent or hurt" in own.looked
    assert status_of(project(tmp_path, BASE), "operators.emergency_plan") == "passed"


CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_roster_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, BASE, *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    result = checked(spec, block=OTHERS)
    assert findings_at(result) == expected
    assert status_of(result, rule) == "failed"


def test_the_good_roster_has_no_findings_and_every_rule_passes() -> None:
    result = checked(GOOD, block=OTHERS)
    assert result.findings == ()
    own = {r.id: r.status for r in result.rules if r.plugin == "operators"}
    # What needs plumbing, and the rules that only ever ask, have a good spec of their own: test_posts.py.
    posts = {
        f"operators.{r}"
        for r in (
            "posts",
            "signals_reach",
            "in_sight",
            "at_valves",
            "time_to_valves",
            "role_duties",
            "equipment",
            "watch_alone",
            "meeting_place",
            "one_job",
            "first_aider",
            "shelter",
            "start_up_fits",
            "mark_lit",
            "public_after_gas_let_out",
            "shut_down_fits",
        )
    }
    assert set(own) == set(BAD) | posts
    assert {own[r] for r in BAD} == {"passed"}, own


def test_a_lead_whom_no_telephone_reaches_is_asked_about(tmp_path: Path) -> None:
    number = '  phone: "555-555-0190, at the gate"\n'
    silent = project(tmp_path, BASE, (number, ""))
    assert status_of(checked(silent, block=OTHERS), "operators.emergency_plan") == "not checked"
    own = project(tmp_path, BASE, (number, ""), ("  ash:\n    age", "  ash:\n    phone: 555-555-0191\n    age"))
    assert status_of(checked(own, block=OTHERS), "operators.emergency_plan") == "passed"


def test_who_stands_in_for_a_lead_is_no_second_lead(tmp_path: Path) -> None:
    """Away but for the break, they take over no key when the lead is hurt."""
    second = ("emergency: {second_caller: cedar, ", "emergency: {")
    lead = shift("lead", breaks='{gale: {from: "22:30", to: "22:45"}}')
    spec = project(tmp_path, BASE, second, lead)
    (own,) = (r for r in checked(spec, block=OTHERS).rules if r.id == "operators.emergency_plan")
    assert own.status == "not checked"
    assert "who takes the lead's key" in own.looked


def test_what_an_emergency_needs_and_nobody_states_is_not_passed_over(tmp_path: Path) -> None:
    silent = project(tmp_path, BASE, ("dogwood, address: The Meadow, access: north gate, ", "dogwood, "))
    (own,) = (r for r in checked(silent, block=OTHERS).rules if r.id == "operators.emergency_plan")
    assert own.status == "not checked"
    assert "the address" in own.looked
    assert "engines come in" in own.looked
    told = "  equipment: {gas_detector: at the tank, detector_by: ash, lamps: at the tank and the gate}"
    assert status_of(checked(GOOD, block=OTHERS), "operators.equipment") == "stated"
    none = project(tmp_path, BASE, (told, ""))
    assert status_of(checked(none, block=OTHERS), "operators.equipment") == "not checked"
    for patch, said in (
        (("detector_by: ash, ", ""), "not checked"),
        (("detector_by: ash", "detector_by: dogwood"), "failed"),  # looks at the public
        (("detector_by: ash", "detector_by: fir"), "failed"),  # comes at 23:30
    ):
        assert status_of(checked(project(tmp_path, BASE, patch), block=OTHERS), "operators.equipment") == said
    dash = project(tmp_path, BASE, ("gas_detector: at the tank", 'gas_detector: "none"'))
    assert status_of(checked(dash, block=OTHERS), "operators.equipment") == "not checked"


def test_a_fire_watch_that_is_alone_is_noted(tmp_path: Path) -> None:
    alone = checked(project(tmp_path, BASE, without("beside")), block=OTHERS)
    (own,) = (f for f in alone.findings if f.rule == "operators.watch_alone")
    assert own.level == "note"
    assert "from 00:30 to 01:00" in own.message
    assert status_of(checked(GOOD, block=OTHERS), "operators.watch_alone") == "passed"


def test_without_a_roster_nothing_is_found_and_every_rule_says_why(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE[: BASE.index(ROOT)], ("  ash:\n", "  ash:\n    role: lead operator\n"))
    result = checked(spec, block=OTHERS)
    assert result.findings == ()
    own = [r for r in result.rules if r.plugin == "operators"]
    assert {r.status for r in own} == {"not checked"}
    assert all("no roster is described" in r.looked and r.answers == ("/operators",) for r in own)


@pytest.mark.parametrize("roles", [(), ("ash", "birch")])
def test_without_a_roster_one_person_is_named_as_the_lead(tmp_path: Path, roles: tuple[str, ...]) -> None:
    """Nobody, or two of them: who says go is known to nobody."""
    patches = [(f"  {tag}:\n    age", f"  {tag}:\n    role: lead operator\n    age") for tag in roles]
    spec = project(tmp_path, BASE[: BASE.index(ROOT)], *patches)
    assert [f.rule for f in checked(spec, block=OTHERS).findings] == ["operators.valves_attended"]


def test_without_hours_coverage_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ('  hours: {from: "20:00", to: "01:00"}\n', ""), ('starts: "21:30", ', ""))
    result = checked(spec, block=OTHERS)
    assert status_of(result, "operators.valves_attended") == "not checked"
    assert status_of(result, "operators.one_place") == "passed"


def test_a_birthday_on_the_first_night_is_old_enough(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, person("birch", "age: 30", "born: 2006-06-19"))
    assert findings_at(spec, block=OTHERS) == expected_in(spec)


def test_two_certificates_that_follow_each_other_cover_the_event(tmp_path: Path) -> None:
    new = "until: 2027-06-19}\n      next: {kind: flame effects operator, from: 2027-06-20, until: 2028-06-19}"
    spec = project(tmp_path, BASE, ("until: 2027-12-31}", new))
    assert findings_at(spec, block=OTHERS) == expected_in(spec)


def test_two_people_of_one_tag_are_refused_at_the_second(tmp_path: Path) -> None:
    again = "  birch:\n    age: 22\n    sober: true\neffects:\n"
    spec = project(tmp_path, BASE, ("effects:\n  glow", again + "  glow"))
    first = next(f for f in findings_of(spec, "spec.duplicate_key"))
    assert first.place.line == spec.read_text(encoding="utf-8").splitlines().index("    age: 22")
    assert "birch" in first.message


def test_the_same_shift_is_within_4_hours_in_summer_and_not_when_clocks_go_back(tmp_path: Path) -> None:
    """2027-11-07 02:00 in Denver: clocks go back to 01:00. From 22:30 to 02:15 lasts 4 h 45 min, not 3 h 45 min."""
    late = (
        "  briefing:\n",
        '    night:\n      person: elm\n      role: spotter\n      from: "22:30"\n      to: "02:15"\n  briefing:\n',
    )
    hours = ('to: "01:00"}', 'to: "00:59"}')
    after = shift("after", end='"00:59"')
    summer = project(tmp_path, BASE, late, ELM, hours, after, name="summer.yaml")
    found = [f.message for f in findings_of(summer, "operators.breaks", block=OTHERS)]
    assert found == []
    november = project(
        tmp_path,
        BASE,
        late,
        ELM,
        hours,
        after,
        AUTUMN,
        name="nov.yaml",
    )
    found = [f.message for f in findings_of(november, "operators.breaks", block=OTHERS)]
    assert found == ["elm is on duty for 4 h 45 min without a break, from 22:30 to 02:15 on 2027-11-06"]
    no_zone = project(
        tmp_path, november.read_text(encoding="utf-8"), ("  time_zone: America/Denver\n", ""), name="no_zone.yaml"
    )
    result = checked(no_zone, block=OTHERS)
    assert not [f for f in result.findings if f.rule == "operators.breaks"]
    assert status_of(result, "operators.clock_change") == "not checked"
    assert "wall clock" in {r.id: r.looked for r in result.rules}["operators.breaks"]


@pytest.mark.parametrize(
    ("night", "hours"),
    [("2027-06-19", 4.5), ("2027-11-06", 5.5), ("2027-03-13", 3.5)],
    ids=["no change", "clocks go back", "clocks go forward"],
)
def test_a_span_past_midnight_lasts_as_long_as_it_really_does(night: str, hours: float) -> None:
    assert span(date.fromisoformat(night), "23:00", "03:30", (None, None), DENVER).seconds == hours * 3600
    assert span(date.fromisoformat(night), "23:00", "03:30", (None, None), None).seconds == 4.5 * 3600


def test_an_end_not_later_than_the_start_is_the_morning_after() -> None:
    day = date(2027, 6, 19)
    assert span(day, "20:00", "20:00", (None, None), None).seconds == 24 * 3600
    assert span(day, "20:00", "00:00", (None, None), None).end.wall == datetime(2027, 6, 20)
    assert span(day, "00:30", "01:00", (None, None), None).start.wall == datetime(2027, 6, 20, 0, 30)


def test_what_starts_in_the_small_hours_belongs_to_the_night_before() -> None:
    evening, morning = read_time("20:00"), read_time("07:00")
    assert is_morning_after(read_time("00:30"), evening, read_time("02:00"))
    assert is_morning_after(read_time("06:30"), evening, morning)
    assert not is_morning_after(read_time("08:00"), evening, morning)
    assert not is_morning_after(read_time("05:00"), read_time("04:00"), read_time("07:00"))  # a show at dawn


def test_clock_faults_are_told_apart() -> None:
    assert DENVER is not None
    assert clock_fault(datetime(2027, 3, 14, 2, 30), DENVER) == "skipped"
    assert clock_fault(datetime(2027, 11, 7, 1, 30), DENVER) == "twice"
    assert clock_fault(datetime(2027, 11, 7, 2, 0), DENVER) == ""
    start = moment(date(2027, 11, 7), read_time("00:30"), DENVER)
    assert later(start, 2 * 3600, DENVER).wall == datetime(2027, 11, 7, 1, 30)


def test_gaps_are_what_is_left_over() -> None:
    day = date(2027, 6, 19)

    def of(start: str, end: str):  # type: ignore[no-untyped-def]
        return span(day, start, end, (None, None), None)

    left = gaps(of("20:00", "00:30"), (of("22:00", "23:00"), of("19:00", "21:00"), of("20:30", "20:45")))
    assert [(s.start.wall.hour, s.end.wall.hour) for s in left] == [(21, 22), (23, 0)]
    assert gaps(of("20:00", "21:00"), (of("19:00", "22:00"),)) == ()
    assert length(0) == "0 min"
    assert length(16200) == "4 h 30 min"


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 12)), max_size=5), st.integers(0, 20), st.integers(1, 12))
def test_what_a_roster_leaves_uncovered_is_what_every_minute_says(
    shifts: list[tuple[int, int]], start: int, lasts: int
) -> None:
    """Gaps against the minutes that nobody is there, one by one."""
    base = datetime(2027, 6, 19, 18, 0)

    def of(first: int, last: int) -> TimeSpan:
        ends = [base + timedelta(minutes=m) for m in (first, last)]
        return TimeSpan(*(Moment(e, e) for e in ends))

    left = gaps(of(start, start + lasts), tuple(of(a, a + n) for a, n in shifts))
    bare = [m for m in range(start, start + lasts) if not any(a <= m < a + n for a, n in shifts)]
    told = [m for gap in left for m in range(*(int((x.wall - base).total_seconds()) // 60 for x in gap))]
    assert told == bare


def test_age_counts_whole_years() -> None:
    born = Person("a", "", "", "", None, date(2004, 2, 29), None, (), "")
    assert born.age_on(date(2025, 2, 28)) == 20
    assert born.age_on(date(2025, 3, 1)) == 21


# ---------------------------------------------------------------- what is printed

VALVES = """
format: 1
project: {title: Valves}
event: {name: Trial, dates: [2027-06-19], elevation: 420 ft}
effects:
  puff: {kind: burst, outlets: [stem]}
plumbing:
  parts:
    tank_a: {kind: cylinder, capacity: 20 lb}
    pr1: {kind: regulator, set: 30 psi}
    v1: {kind: valve, form: ball}
    acc: {kind: accumulator, volume: 3 gal}
    g1: {kind: gauge}
    sv1: {kind: valve, form: solenoid}
    split: {kind: fitting, form: tee}
    v2: {kind: valve, form: ball}
    light: {kind: pilot, jets: {count: 1, bore: 1/32 in, discharge: 0.7}}
    stem: {kind: burner, form: stem, jets: {count: 1, bore: 1/4 in, discharge: 0.7}}
  runs:
    main: {from: tank_a, line: [pr1, split, v1, g1, acc, sv1, stem]}
    flame: {from: split, line: [v2, light]}
"""


def steps(result: Result, procedure: str) -> list[str]:
    """The texts of a procedure, in order."""
    own = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step)]
    return [s.text for s in sorted(own, key=lambda s: s.order) if s.procedure == procedure]


def where(texts: list[str], *words: str) -> int:
    """Which step says all of some words."""
    return next(i for i, text in enumerate(texts) if all(w in text for w in words))


def test_procedures_name_the_projects_own_valves(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, VALVES))
    start, stop, danger = steps(result, "start"), steps(result, "stop"), steps(result, "emergency")
    vessel, purge = where(start, "fill acc with v1", "Soap"), where(start, "Purge", "v2 for light")
    lighting, filling = where(start, "its valve slowly: light by v2"), where(start, "g1 out: open v1 slowly: fills acc")
    assert where(start, "Open tank_a slowly", "v1 and v2") < vessel < purge < lighting < filling
    # The pilot that lights the last burst lives on the same gas.
    feed, burn_off = where(stop, "Close v1"), where(stop, "Burn off acc", "until g1 shows 5 psi or less")
    supply, pilot = where(stop, "Close tank_a while"), where(stop, "light, if lit, burns last")
    assert feed < burn_off < supply < pilot < where(stop, "Last, close")
    assert where(danger, "At once", "v1, v2 and tank_a") == 0
    # What is ahead of every valve is stopped by the cylinder alone.
    assert where(steps(result, "leak"), "the cylinders first", "tank_a")
    # What sv1 is without power is not said, so the page does not say that it shuts.
    assert where(danger, "sv1 is not said to shut without power", "Do not rely on it") == 0
    assert where(danger, "acc still holds gas")


def test_a_valve_that_cannot_be_read_leaves_no_shutdown_without_a_word(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, VALVES, ("v2: {kind: valve", "v2: {kind: valvee")))
    for procedure in ("stop", "emergency"):
        assert where(steps(result, procedure), "tank_a", "could not be read off the plumbing") >= 0


def test_procedures_by_what_valves_do_without_power_and_what_fills_a_vessel(tmp_path: Path) -> None:
    closed: Patch = ("form: solenoid}", "form: solenoid, normally: closed}")
    danger = steps(result_of(project(tmp_path, VALVES, closed)), "emergency")
    assert where(danger, "sv1 should then shut", "Do not rely on it") == 0
    assert not any("is not said to shut" in s for s in danger)
    # With no valve that shuts the feed alone, a burst is filled up again until the cylinder is closed.
    no_feed: Patch = ("line: [pr1, split, v1, g1, acc", "line: [pr1, v1, split, g1, acc")
    stop = steps(result_of(project(tmp_path, VALVES, no_feed)), "stop")
    assert where(stop, "Close tank_a") < where(stop, "burn off acc", "goes out first")


def test_a_step_is_not_said_for_parts_that_are_not_there() -> None:
    result = result_of(HERE / "fuel.yaml")
    every = [s for p in ("start", "stop", "emergency", "incident") for s in steps(result, p)]
    assert not [s for s in every if "  " in s or "{" in s or ": ." in s]
    assert any("v1" in s for s in every)
    assert not [s for s in every if "mixed with air" in s or "cut its power" in s or "key" in s]


def test_where_no_valve_stands_before_an_outlet_the_steps_say_not_to_start(tmp_path: Path) -> None:
    bare = result_of(project(tmp_path, VALVES, ("line: [v2, light]", "line: [light]")))
    last = steps(bare, "start")[-1]
    assert last == "Do not start: nothing but the cylinder's own valve stands before light."


def test_a_name_is_in_the_crew_table_only_with_the_overlay(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE)
    overlay = tmp_path / "private.yaml"
    overlay.write_text("people:\n  ash: {name: Wren Testperson, phone: 555-0100}\n", encoding="utf-8")

    def cells(with_overlay: str | None) -> str:
        tables = dict(travel(str(spec), with_overlay, Ask(kinds=COMPILE, block=OTHERS)).tables)
        return repr(tables["operators.crew"])

    assert "Wren" not in cells(None)
    assert "in the private file" in cells(None)
    assert "Wren Testperson" in cells(str(overlay))
    assert "555-0100" in cells(str(overlay))


def roster(path: Path) -> list[tuple[str, ...]]:
    table = dict(result_of(path, block=OTHERS, only=("table operators.roster",)).tables)["operators.roster"]
    return [row.cells for row in table.rows]  # type: ignore[attr-defined]


def test_the_roster_says_what_is_past_midnight_and_on_which_nights(tmp_path: Path) -> None:
    rows = roster(GOOD)
    assert ("every night", "dogwood", "fire watch", "", "00:30 next day", "01:00 next day", "30 min") in rows
    assert len(rows) == 8
    rows = roster(project(tmp_path, BASE, shift("eyes", nights="[2027-06-20]")))
    assert ("2027-06-20", "dogwood", "spotter", "", "21:00", "00:30 next day", "3 h 30 min") in rows


def test_a_night_that_lasts_longer_has_a_line_of_its_own(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, AUTUMN, shift("after", end='"02:30"'), without("beside"))
    watches = [cells for cells in roster(spec) if cells[2] == "fire watch"]
    assert [(c[0], c[-1]) for c in watches] == [("2027-11-05", "2 h"), ("2027-11-06", "3 h")]


@pytest.mark.parametrize(
    ("wind", "status"),
    [
        (WIND, "passed"),
        (WIND.replace("instrument: vane, ", ""), "not checked"),
        # On a mast away from everybody, with its display at a post.
        (WIND.replace("at: post", "at: barn, read_at: gate"), "passed"),
    ],
)
def test_an_instrument_that_somebody_reads_measures_the_wind(tmp_path: Path, wind: str, status: str) -> None:
    """Which instrument it is has a key of its own: no words of `how:` are looked through for one."""
    assert status_of(project(tmp_path, GOOD, (WIND, wind)), "operators.go_no_go", block=OTHERS) == status


@pytest.mark.parametrize(
    ("line", "lacks"),
    [
        ("    burn_ban: {by: ash, of: the county's fire department}\n", "not stated of burn ban: by:, of:"),
        ("    red_flag: {by: ash, of: the weather service}\n", "not stated of red-flag day: by:, of:"),
        ("    lightning: {when: thunder is heard, who: the club, by: ash}\n", "not stated of lightning: by:"),
    ],
)
def test_what_nobody_asks_on_the_day_is_not_checked(tmp_path: Path, line: str, lacks: str) -> None:
    spec = project(tmp_path, GOOD, (line, ""))
    (ended,) = [r for r in checked(spec, block=OTHERS).rules if r.id == "operators.go_no_go"]
    assert (ended.status, lacks in ended.looked) == ("not checked", True)


@pytest.mark.parametrize("key", ["detector_by", "watch_caller", "caller"])
def test_a_name_that_cannot_be_read_costs_no_step(tmp_path: Path, key: str) -> None:
    """It is reported where it stands; whoever lights the device still has the steps."""
    posts = Path(__file__).with_name("posts.yaml").read_text(encoding="utf-8")
    told = f" {key}: {'fir' if key == 'watch_caller' else 'ash'}"
    whole, broken = (result_of(project(tmp_path, posts, p)) for p in ((told, told), (told, f" {key}: [ash]")))
    for procedure in ("start", "stop", "emergency", "leak", "incident"):
        assert len(steps(broken, procedure)) == len(steps(whole, procedure)) > 0


@pytest.mark.parametrize(
    ("lasts", "longest"),
    [("    lasts: 15 min\n", "4 h at the longest"), ("    lasts: 40 min\n", "4 h 30 min"), ("", "4 h 30 min")],
)
def test_the_briefing_counts_as_time_on_duty(tmp_path: Path, lasts: str, longest: str) -> None:
    """From 20:00; the first shift begins at 20:45. A pause of less than 15 min is no break."""
    spec = project(tmp_path, BASE, ("    lasts: 15 min\n", lasts))
    result = checked(spec, block=OTHERS)
    (rule,) = [r for r in result.rules if r.id == "operators.breaks"]
    said = [f.message for f in result.findings if f.rule == "operators.breaks"]
    assert longest in rule.looked or any(longest in m and "from 20:00" in m for m in said)
    assert (rule.status == "passed") == (longest != "4 h 30 min")


@pytest.mark.parametrize(
    ("patches", "found"),
    [
        ((), False),
        (
            (
                ("who: the club, by: ash", "who: the club, by: dogwood"),
                ("at: post, instrument", "at: gate, instrument"),
            ),
            True,
        ),
        ((("who: the club, by: ash", "who: the club, by: dogwood"),), False),
        # Another one stands beside them for all of the time, or for a part of it.
        (
            (
                ("who: the club, by: ash", "who: the club, by: dogwood"),
                ("at: post, instrument", "at: gate, instrument"),
                shift("side", start='"20:45"'),
            ),
            False,
        ),
        (
            (
                ("who: the club, by: ash", "who: the club, by: dogwood"),
                ("at: post, instrument", "at: gate, instrument"),
                shift("side", start='"22:00"'),
            ),
            True,
        ),
    ],
)
def test_nobody_alone_watches_the_public_the_wind_and_the_sky(
    tmp_path: Path, patches: tuple[Patch, ...], found: bool
) -> None:
    said = [f.message for f in findings_of(project(tmp_path, BASE, *patches), "operators.go_no_go", block=OTHERS)]
    assert any("listens for thunder too" in m for m in said) == found


def test_a_shift_that_ends_when_it_begins_covers_nothing_unsaid(tmp_path: Path) -> None:
    """It would last a whole day, and cover every gap."""
    spec = project(tmp_path, BASE, shift("eyes", start='"21:00"', end='"21:00"'))
    found = findings_of(spec, "operators.known_names", block=OTHERS)
    assert [f.message for f in found] == ["the shift begins and ends at 21:00: it would last 24 h"]


def test_two_thousand_shifts_of_one_person_at_once_are_one_finding_with_the_count(tmp_path: Path) -> None:
    """Each two of them would be two million, and a minute."""
    more = [
        f'    p{i}: {{person: birch, role: spotter, station: post, from: "21:00", to: "21:30"}}\n' for i in range(2000)
    ]
    spec = project(tmp_path, BASE, ("  shifts:\n", "  shifts:\n" + "".join(more)))
    result = checked(spec, block=OTHERS)
    told = [f.message for f in result.findings if f.rule == "operators.one_place"]
    assert told == ["birch has 2,001 shifts at 21:00 on the night of 2027-06-19; no two of so many are compared"]
    assert not [f for f in result.findings if f.rule == "plugin.crash"]
