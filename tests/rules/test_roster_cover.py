"""The roster's cover against brute force: every minute of small rosters is looked at by itself."""

from __future__ import annotations

import re
import tempfile
from datetime import date, datetime
from itertools import combinations
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from specc.engine.road import Ask, travel
from specc.testing import all_but
from specc_operators.clock import Moment, TimeSpan
from specc_operators.duty_rules import _at_one_time
from specc_operators.hours import Duty
from specc_operators.sections import _at_once

RULES = ("valves_attended", "watched", "two_people", "fire_watch")
HEAD = """format: 1
project: {title: Cover}
event: {name: Trial, dates: [2027-06-19], hours: {from: "18:00", to: "03:00"}, time_zone: America/Denver}
places: {post: {at: [0 ft, 0 ft]}}
people: {a: {age: 40}, b: {age: 40}, c: {age: 40}}
effects:
  glow: {kind: steady, outlets: [ring], at: post}
  puff: {kind: burst, outlets: [stem], at: post}
"""
STEP = 15  # min; all times lie on this raster
FROM, TO = 18 * 60, 27 * 60  # a night, in minutes
WHATS = {
    "no lead operator is on duty": lambda d: d[1] == "lead",
    "no valve operator is on duty for the effect glow": lambda d: d[1] == "valve" and d[2] in ("", "glow"),
    "no valve operator is on duty for the effect puff": lambda d: d[1] == "valve" and d[2] in ("", "puff"),
    "nobody is on fuel watch": lambda d: d[1] == "fuel_watch",
    "no spotter watches the public (one named for no effect)": lambda d: d[1] == "spotter" and not d[2],
}

Shift = tuple[str, str, str, int, int]  # person, role, effect or "", from, to
Scene = tuple[int, int, bool, bool]  # from, to, with bursts, gas off after
Off = tuple[str, int, int]  # who stands in, from, to


def clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


@st.composite
def shifts(draw: st.DrawFn) -> Shift:
    role = draw(st.sampled_from(("lead", "valve", "fuel_watch", "spotter", "fire_watch")))
    effect = draw(st.sampled_from(("", "glow", "puff"))) if role in ("valve", "spotter") else ""
    starts = draw(st.integers(FROM // STEP, (TO - 120) // STEP)) * STEP
    return draw(st.sampled_from("abc")), role, effect, starts, starts + draw(st.integers(2, 24)) * STEP


@st.composite
def with_a_break(draw: st.DrawFn) -> tuple[Shift, Off | None]:
    """A shift, and perhaps a break within it, in which anybody stands in: who is on duty elsewhere counts twice."""
    shift = draw(shifts())
    if shift[4] - shift[3] <= 2 * STEP or draw(st.booleans()):
        return shift, None
    begins = shift[3] + draw(st.integers(0, (shift[4] - shift[3]) // STEP - 2)) * STEP
    ends = draw(st.integers(begins // STEP + 1, shift[4] // STEP)) * STEP
    if (begins, ends) == (shift[3], shift[4]):
        ends -= STEP
    return shift, (draw(st.sampled_from("abc")), begins, ends)


def parted(shift: Shift, off: Off | None) -> list[Shift]:
    """What a break leaves of a shift, and who stands in."""
    if off is None:
        return [shift]
    who, begins, ends = off
    person, role, effect, starts, stops = shift
    own = [
        (person, role, effect, starts, begins),
        (who, role, effect, begins, ends),
        (person, role, effect, ends, stops),
    ]
    return [one for one in own if one[3] < one[4]]


@st.composite
def scenes(draw: st.DrawFn) -> list[Scene]:
    made, at = [], FROM + 60
    for _ in range(draw(st.integers(1, 3))):
        starts = at + draw(st.integers(0, 6)) * STEP
        ends = starts + draw(st.integers(1, 6)) * STEP
        made.append((starts, ends, draw(st.booleans()), draw(st.booleans())))
        at = ends
    return made


def spec_of(roster: list[Shift], show: list[Scene], breaks: list[Off | None] | None = None) -> str:
    lines = [HEAD, "show:\n  scenes:"]
    for n, (starts, ends, bursts, off) in enumerate(show):
        some = ", bursts: {puff: {times: 2, open: 0.5 s}}" if bursts else ""
        some += ", gas_off_after: true" if off else ""
        lines.append(f'    s{n}: {{starts: "{clock(starts)}", lasts: {ends - starts} min, steady: [glow]{some}}}')
    lines.append("operators:\n  shifts:")
    for n, (person, role, effect, starts, ends) in enumerate(roster):
        own = f", effects: [{effect}]" if effect else ""
        if breaks and (away := breaks[n]):
            hours = f'{{from: "{clock(away[1] % 1440)}", to: "{clock(away[2] % 1440)}"}}'
            own += f", breaks: {{{away[0]}: {hours}}}"
        lines.append(
            f'    d{n}: {{person: {person}, role: {role}{own}, from: "{clock(starts)}", to: "{clock(ends % 1440)}"}}'
        )
    return "\n".join(lines) + "\n"


def minutes_on(show: list[Scene]) -> tuple[set[int], set[int], list[tuple[int, int]]]:
    """Minutes with gas on, minutes with bursts to come or burned off, and where a fire watch is due."""
    groups: list[list[Scene]] = [[]]
    for scene in show:
        if groups[-1] and groups[-1][-1][3] and scene[0] > groups[-1][-1][1] + 45:  # shut down, and started up again
            groups.append([])
        groups[-1].append(scene)
    on: set[int] = set()
    bursts: set[int] = set()
    watch: list[tuple[int, int]] = []
    for n, group in enumerate(groups):
        off = group[-1][1] + 15
        on |= set(range(group[0][0] - 30, off))
        for starts, ends, some, _ in group:
            bursts |= set(range(starts, ends + 5)) if some else set()  # what is left is burned off
        # Each part that is shut down by itself burns its own rest off.
        for i, scene in enumerate(group):
            last = i + 1 == len(group) or (scene[3] and group[i + 1][0] > scene[1])
            part = group[: i + 1]
            first = max((j for j in range(i) if part[j][3] and part[j + 1][0] > part[j][1]), default=-1) + 1
            if last and any(s[2] for s in part[first:]):
                bursts |= set(range(scene[1], scene[1] + 15))
        until = off + 30 if n + 1 == len(groups) else min(off + 30, groups[n + 1][0][0] - 30)
        watch.append((off, until))
    return on, bursts, watch


def brute(roster: list[Shift], show: list[Scene]) -> dict[str, set[int]]:
    on, bursts, watch = minutes_on(show)

    def there(minute: int) -> list[Shift]:
        return [d for d in roster if d[3] <= minute < d[4]]

    made = {what: {m for m in on if not any(map(counts, there(m)))} for what, counts in WHATS.items()}
    made["no spotter is named for the bursts of puff"] = {
        m for m in bursts if not any(d[1] == "spotter" and d[2] == "puff" for d in there(m))
    }
    made["nobody is on fire watch"] = {
        m for a, b in watch for m in range(a, b) if not any(d[1] == "fire_watch" for d in there(m))
    }
    made["fewer than 2 people are on duty"] = {m for m in on if len({d[0] for d in there(m)}) == 1}
    return {what: found for what, found in made.items() if found}


def found(text: str) -> dict[str, set[int]]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "project.yaml"
        path.write_text(text, encoding="utf-8")
        ids = frozenset(f"rule operators.{r}" for r in RULES)
        result = travel(str(path), None, Ask(kinds=frozenset(), ids=ids, block=all_but("operators")))
    made: dict[str, set[int]] = {}
    for one in result.findings:
        if one.rule.removeprefix("operators.") in RULES:
            match = re.fullmatch(
                r"(.+?)(?: \(only \w\))? from (\d\d):(\d\d) to (\d\d):(\d\d) on the night.*", one.message
            )
            assert match, one.message
            a, b, c, d = map(int, match.groups()[1:])
            starts, ends = ((h * 60 + m) + (1440 if h < 12 else 0) for h, m in ((a, b), (c, d)))
            made.setdefault(match[1], set()).update(range(starts, ends))
    return made


@settings(max_examples=60, deadline=None)
@given(st.lists(shifts(), min_size=1, max_size=7), scenes())
def test_every_minute_that_nobody_covers_is_found_and_no_other(roster: list[Shift], show: list[Scene]) -> None:
    assert found(spec_of(roster, show)) == brute(roster, show)


@settings(max_examples=40, deadline=None)
@given(st.lists(with_a_break(), min_size=1, max_size=6), scenes())
def test_who_stands_in_for_a_break_covers_it_and_nothing_else(
    roster: list[tuple[Shift, Off | None]], show: list[Scene]
) -> None:
    whole = [one for shift, off in roster for one in parted(shift, off)]
    assert found(spec_of([s for s, _ in roster], show, [off for _, off in roster])) == brute(whole, show)


def test_gas_that_is_off_between_two_scenes_wants_nobody_at_the_valves() -> None:
    """From 20:15 to 21:30 gas is off: the crew may go, and a fire watch stays half an hour."""
    scenes_ = [(19 * 60, 20 * 60, False, True), (22 * 60, 23 * 60, False, False)]
    crew = [
        (p, role, "", a, b)
        for a, b in ((1110, 1215), (1290, 1395))
        for p, role in (("a", "lead"), ("a", "valve"), ("b", "fuel_watch"), ("c", "spotter"))
    ]
    watch = [("b", "fire_watch", "", 1215, 1245), ("b", "fire_watch", "", 1395, 1425)]
    assert found(spec_of([*crew, *watch], scenes_)) == {}
    on = [(*scenes_[0][:3], False), scenes_[1]]
    assert found(spec_of([*crew, *watch], on))["no lead operator is on duty"] == set(range(1215, 1290))
    assert found(spec_of([*crew, watch[1]], scenes_)) == {"nobody is on fire watch": set(range(1215, 1245))}


def test_gas_is_not_off_between_scenes_that_follow_at_once() -> None:
    """What is left of the first scene's bursts is burned off after the second, whatever the first says of gas."""
    scenes_ = [(19 * 60, 19 * 60 + 15, True, True), (19 * 60 + 15, 19 * 60 + 30, False, False)]
    alone: list[Shift] = [("a", "lead", "", 18 * 60, 18 * 60 + 30)]
    assert found(spec_of(alone, scenes_)) == brute(alone, scenes_)
    assert 19 * 60 + 44 in brute(alone, scenes_)["no spotter is named for the bursts of puff"]


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 4)), max_size=9))
def test_those_on_duty_at_one_time_are_all_pairs_that_meet(hours: list[tuple[int, int]]) -> None:
    day = date(2027, 6, 19)
    moments = [Moment(datetime(2027, 6, 19, h), datetime(2027, 6, 19, h)) for h in range(14)]
    duties = [
        Duty(f"s{n}", "ada", "lead", (), "", day, TimeSpan(moments[a], moments[a + long]), "/operators")
        for n, (a, long) in enumerate(hours)
    ]
    meet = [(a, b) for a, b in combinations(duties, 2)
            if a.span.start.real < b.span.end.real and b.span.start.real < a.span.end.real]  # fmt: skip
    assert _at_one_time(duties) == meet


@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 9), st.integers(0, 4)), max_size=9))
def test_the_most_at_one_time_are_counted_by_person(hours: list[tuple[str, int, int]]) -> None:
    day = date(2027, 6, 19)
    moments = [Moment(datetime(2027, 6, 19, h), datetime(2027, 6, 19, h)) for h in range(14)]
    duties = [
        Duty(f"s{n}", who, "lead", (), "", day, TimeSpan(moments[a], moments[a + long]), "/operators")
        for n, (who, a, long) in enumerate(hours)
    ]
    there = [{who for who, a, long in hours if a <= h < a + long} for h in range(14)]
    assert _at_once(duties) == max(map(len, there))
