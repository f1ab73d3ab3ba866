"""Whether each zone is tested for leaks, with a gas and at a pressure that are safe there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from specc import (
    CHOICE,
    Citation,
    Context,
    Cure,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    not_applicable,
    not_checked,
    psig,
    rule,
)
from specc.kinds.plumbing import (
    JOINTS,
    NETWORK,
    OPEN,
    OUTLETS,
    SUPPLY,
    ZONE_PRESSURE,
    ZONES,
    Joint,
    zone_words,
)
from specc.kinds.show import SHOW
from specc.measure.units import HOUR, PSI
from specc.model.passes import Judging, each, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_plumbing.leak_test_window import LEAST, LEVEL, TIMES, Window, bounds_of, window
from specc_plumbing.leak_tests import INERT, LEAK_TESTS, LeakTest
from specc_plumbing.reach import open_ended

_FEDERAL = Citation("ufgs-15190a", "pressure tests: 10 min at 3 psi or more; read in steps of 0.1 psi", "read")
_GASES = Citation("ufgs-15190a", "air, nitrogen, carbon dioxide or an inert gas; never oxygen; source isolated", "read")

HOLD = Limit("plumbing.test_hold", "10 min", "duration", "max", "how long a test's pressure is watched", _FEDERAL)
STEP = Limit(
    "plumbing.test_step",
    "0.1 psi",
    "pressure_difference",
    "min",
    "the smallest step read on the gauge of a pressure test, and the most fall that one may allow",
    _FEDERAL,
)
UNLIT = Limit(
    "plumbing.test_unlit",
    "30 s",
    "duration",
    "min",
    "the longest that gas flows out unlit while joints are soaped",
    CHOICE,
)
AGE = Limit(
    "plumbing.test_age",
    "14 d",
    "duration",
    "min",
    "how long before the first night a leak test may be and still be one of this set-up",
    CHOICE,
)
_METHODS = ("pressure", "soap", "detector")
_NONE = "no test is described (plumbing: tests:)"


def _as(at: str, text: str) -> Cure:
    return Cure(f"{text} would pass", ((at, text),))


def _fits(at: str, bounds: Window) -> Cure | None:
    """The lowest pressure in a window, in whole tenths of a psi."""
    if bounds.least is None:
        return None
    tenths = math.ceil(bounds.least / PSI * 10 - 1e-6)
    return Cure(f"{tenths / 10:g} psi would pass", ((at, f"{tenths / 10:g} psi"),))


@rule(
    "plumbing.test_gas",
    level="error",
    statement="Leaks are looked for with air or an inert gas, or with the plumbing's own gas and soap: never with "
    "oxygen, never with a flame",
    source=_GASES,
    needs=(LEAK_TESTS,),
)
def test_gas(ctx: Context) -> Verdict:
    def judge(test: LeakTest) -> Iterator[Trouble | str]:
        at, text = join(test.at, "with"), test.spec.text("with")
        if test.gas == "oxygen":
            why = "oil, grease and thread paste burn by themselves in oxygen under pressure"
            yield Trouble(at, f"the test {test.tag} is made with {text}", "nitrogen or air", why)
        elif test.gas == "other":
            fix = f"own gas, or one of: {', '.join(INERT)}"
            yield Trouble(at, f"the test {test.tag} is made with {text!r}, which is no gas to test with", fix)
        for i, method in enumerate(test.spec.texts("method")):
            if method not in _METHODS:
                yield Trouble(
                    join(test.at, "method", i),
                    f"the test {test.tag} looks for leaks with {method!r}",
                    f"one of: {', '.join(_METHODS)}",
                    "a leak that is found with a flame is found burning, and with gas that has gathered before",
                )
        methods = test.spec.texts("method")
        if test.gas == "inert" and methods and not {"pressure", "soap"} & set(methods):
            yield Trouble(
                join(test.at, "method"),
                f"the test {test.tag} is made with {text}, of which a gas detector finds nothing",
                "pressure, soap, or both",
                "a test that cannot find a leak passes every time",
            )
        if test.gas == "own" and methods and not {"detector", "soap"} & set(methods):
            yield Trouble(
                join(test.at, "method"),
                f"the test {test.tag} is made with {text}, and nobody looks where it leaks",
                "soap",
                "gas that is lost and found by a needle alone has been let out already",
            )
        if test.gas == "own" and (pressure := test.spec.quantity_or_none("pressure")) is not None:
            yield Trouble(
                pressure.at,
                f"the test {test.tag} is made with {text} at {pressure.text}",
                "no pressure:, since its own gas stands there as it works; or air or nitrogen, for a pressure test",
                "a joint that lets go under test pressure fills the place with gas that burns",
            )
        if not test.spec.has("method"):
            yield Unchecked(f"{test.tag}: state its method: ({', '.join(_METHODS)})", join(test.at, "method"))

    tests = ctx[LEAK_TESTS]
    return each(tests, judge, "test", _NONE)


_NOT = {
    "closed": "is no valve that shuts gas off",
    "opened": "is no valve that shuts gas off",
    "plugged": "is no single opening",
}


@rule(
    "plumbing.test_bounds",
    level="error",
    statement="A pressure test stays within one zone: regulators and cylinders out, every opening plugged; gas that "
    "flows out unlit does so for a short time only",
    source=_GASES,
    needs=(LEAK_TESTS, ZONES),
    limits=(UNLIT.key,),
)
def test_bounds(ctx: Context) -> Verdict:
    longest = ctx.limit(UNLIT.key)

    def judge(test: LeakTest) -> Iterator[Trouble | str]:
        if test.unknown:
            fix = f"tags of parts; of zones: {', '.join(dict.fromkeys(z for z in ctx[ZONES].values() if z))}"
            yield Trouble(
                join(test.at, "zones"), f"the test {test.tag} names {several(test.unknown)}, which is not there", fix
            )
        elif test.misused:
            yield from misused(test)
        elif test.gas == "own":
            yield from flows_out(test)
        else:
            yield from crosses(test)

    def misused(test: LeakTest) -> Iterator[Trouble]:
        for key, tag in test.misused:
            yield Trouble(
                join(test.at, key, test.spec.texts(key).index(tag)),
                f"in the test {test.tag} {tag} is to be {'held open' if key == 'opened' else key}, which {_NOT[key]}",
                "a valve that shuts" if key != "plugged" else f"out: [{tag}], and a plug in its place",
                "gas goes where nothing holds it",
            )

    def flows_out(test: LeakTest) -> Iterator[Trouble | str]:
        unlit = test.spec.quantity_or_none("unlit")
        if not test.leaves:
            return
        if unlit is None:
            where = several(test.leaves)
            said = f"{test.tag}: gas flows out unlit at {where}; state for how long at most (unlit:), or what is closed"
            yield Unchecked(said, join(test.at, "unlit"), join(test.at, "closed"))
        elif unlit.si > longest.si * (1 + 1e-9):
            yield Trouble(
                join(test.at, "unlit"),
                f"in the test {test.tag} gas flows out unlit at {several(test.leaves)} for {unlit.text}",
                "at a time, in the open, nothing lit near, and wait until it has blown away",
                "gas that has gathered burns all at once",
                cure=_as(join(test.at, "unlit"), longest.text),
            )

    def crosses(test: LeakTest) -> Iterator[Trouble]:
        at = join(test.at, "zones")
        pressed = [z for z in test.zones if z != OPEN]
        if len(pressed) > 1:
            yield Trouble(
                at,
                f"the test {test.tag} crosses from one zone into another: {', '.join(pressed)}",
                "a test for each zone, at a pressure for each",
                "one pressure is too little for the one and too much for the other, or breaks the regulator between",
            )
        elif test.beyond:
            zone, parts = next(iter(test.beyond.items()))
            yield Trouble(
                at,
                f"the gas of the test {test.tag} gets to {several(parts)}, in {zone or 'no zone'}, which it does not "
                "name",
                "close (closed:) or take out (out:) what stands between",
            )
        if test.kept:
            yield Trouble(
                at,
                f"{several(test.kept)} {'stays' if len(test.kept) == 1 else 'stay'} in the test {test.tag}",
                f"out: [{', '.join(test.kept)}]",
                "test pressure behind a regulator bursts its diaphragm; a cylinder that is joined is no closed source",
            )
        if test.leaves:
            yield Trouble(
                at,
                f"the pressure of the test {test.tag} gets out at {several(test.leaves)}",
                "plug them (plugged:), take them out (out:), or close a valve before (closed:)",
                "a test that cannot hold finds nothing",
            )

    tests = ctx[LEAK_TESTS]
    return each(tests, judge, "test", _NONE)


@rule(
    "plumbing.test_pressure",
    level="error",
    statement="A pressure test is made at 1.5 times the highest working pressure of its zone or more, never under 3 "
    "psig, and below what opens or is rated lowest there",
    source=LEVEL,
    needs=(LEAK_TESTS, NETWORK),
    wants=(ZONE_PRESSURE,),
    limits=(TIMES.key, LEAST.key),
    rests_on=("plumbing.rating",),
)
def test_pressure(ctx: Context) -> Verdict:
    def judge(test: LeakTest) -> Iterator[Trouble | str]:
        pressure, bounds = test.spec.quantity_or_none("pressure"), window(ctx[NETWORK], test.zones, test.parts, ctx)
        at = join(test.at, "pressure") if pressure is not None else test.at
        if bounds.crosses and bounds.least is not None and bounds.most is not None:
            yield Trouble(
                at,
                f"no pressure fits the test {test.tag}: it takes {psig(bounds.least)} or more, and {bounds.by}",
                "take that part out for the test (out:), or look for leaks with the plumbing's own gas and soap",
                "a test below the one finds nothing, and one above the other breaks what it tests",
            )
        elif pressure is None:
            yield Unchecked(f"{test.tag}: state its pressure:", join(test.at, "pressure"))
        elif bounds.least is not None and pressure.si < bounds.least * (1 - 1e-9):
            yield Trouble(
                at,
                f"the test {test.tag} is made at {pressure.text}, and takes {psig(bounds.least)} or more",
                f"below {psig(bounds.most)}" if bounds.most is not None else "",
                "a joint that holds at the pressure it works at may let go at the next surge",
                cure=_fits(at, bounds),
            )
        elif bounds.most is not None and pressure.si >= bounds.most * (1 - 1e-9):
            yield Trouble(
                at,
                f"the test {test.tag} is made at {pressure.text}, and {bounds.by}",
                "or that part taken out for the test (out:)",
                "the test itself opens it, or breaks it",
                cure=_fits(at, bounds),
            )
        elif bounds.unsaid:
            yield Unchecked(f"{test.tag}: {bounds.unsaid}", *answers_of(bounds.unsaid))
        elif bounds.unrated or bounds.unbounded:
            unrated = [f"no rating is stated for {several(bounds.unrated)}"] if bounds.unrated else []
            unbounded = [f"{', '.join(bounds.unbounded)} is not stated"] if bounds.unbounded else []
            ratings = (join("/plumbing/parts", tag, "rating") for tag in bounds.unrated)
            yield Unchecked(
                f"{test.tag}: {'; '.join([*unrated, *unbounded])}", *ratings, *answers_of(*bounds.unbounded)
            )

    pressed = [t for t in ctx[LEAK_TESTS] if t.gas != "own"]
    return each(pressed, judge, "pressure test", "no test with another gas is described" if ctx[LEAK_TESTS] else _NONE)


@rule(
    "plumbing.test_record",
    level="warning",
    statement="Each test says by whom it is made; a pressure test says its gauge, how long it is watched, when it has "
    "passed, that the test gas is purged, and what holds valves open for it",
    source=_FEDERAL,
    needs=(LEAK_TESTS,),
    limits=(HOLD.key, STEP.key),
)
def test_record(ctx: Context) -> Verdict:
    def judge(test: LeakTest) -> Iterator[Trouble | str]:
        spec, lacking = test.spec, [] if test.spec.has("who") else [Unchecked("who:", test.spec.here("who"))]
        if test.gas != "own":
            gauge = spec.child("gauge")
            lacking += [Unchecked(f"{key}:", spec.here(key)) for key in ("hold", "drop", "purged") if not spec.has(key)]
            keys = (key for key in ("reads_to", "reads_by") if not gauge.has(key))
            lacking += [Unchecked(f"gauge: {key}:", gauge.here(key)) for key in keys]
            if spec.texts("opened") and not spec.has("opened_by"):  # nobody holds buttons down for so long
                lacking.append(Unchecked("opened_by:", spec.here("opened_by")))
            yield from watched(test)
        if lacking:
            yield Unchecked(f"{test.tag}: state {', '.join(lacking)}", *answers_of(*lacking))

    def watched(test: LeakTest) -> Iterator[Trouble]:
        spec, gauge = test.spec, test.spec.child("gauge")
        hold, drop, pressure = (spec.quantity_or_none(key) for key in ("hold", "drop", "pressure"))
        end, step = gauge.quantity_or_none("reads_to"), gauge.quantity_or_none("reads_by")
        shortest, largest = ctx.limit(HOLD.key), ctx.limit(STEP.key)
        if hold is not None and hold.si < shortest.si * (1 - 1e-9):
            message = f"the test {test.tag} is watched for {hold.text}"
            why = "a slow leak takes time to move a needle"
            yield Trouble(hold.at, message, "or longer", why, cure=_as(hold.at, shortest.text))
        for value, what in ((step, "is read in steps of"), (drop, "passes with a fall of")):
            if value is not None and not 0 <= value.si <= largest.si * (1 + 1e-9):
                message = f"the test {test.tag} {what} {value.text}"
                why = "a leak that cannot be read passes"
                yield Trouble(value.at, message, "or less", why, cure=_as(value.at, largest.text))
        if end is not None and pressure is not None and end.si < pressure.si * (1 - 1e-9):
            message = f"the gauge of the test {test.tag} reads to {end.text}, and the test is made at {pressure.text}"
            yield Trouble(end.at, message, "a gauge that reads beyond it", cure=_as(end.at, pressure.text))
        if spec.has("purged") and not spec.yes("purged"):
            why = "air that is left in a line burns with the first gas, inside it"
            yield Trouble(spec.here("purged"), f"after the test {test.tag} nothing is purged", "purged: true", why)

    tests = ctx[LEAK_TESTS]
    return each(tests, judge, "test", _NONE)


@rule(
    "plumbing.zones_tested",
    level="error",
    statement="Every zone has a test for leaks that reaches each joint in it, dated for this set-up, before the show",
    source=LEVEL,
    needs=(LEAK_TESTS, NETWORK, ZONES, JOINTS),
    wants=(SHOW, ZONE_PRESSURE),
    reads=("plumbing",),
    dated=("plumbing.tested",),
    limits=(AGE.key, TIMES.key, LEAST.key),
)
def zones_tested(ctx: Context) -> Judging:
    tests, zones = ctx[LEAK_TESTS], ctx[ZONES]
    there = tuple(dict.fromkeys(z for z in zones.values() if z))
    if not there:
        return not_applicable("gas comes to no part")
    if not tests:
        return not_checked("how the zones are tested for leaks is not said (plumbing: tests:)", "/plumbing/tests")
    at = ctx.spec("plumbing").here("tests")
    lacking = [z for z in there if not any(z in t.zones for t in tests)]
    for zone in lacking:
        parts = sum(1 for z in zones.values() if z == zone)
        what = zone if zone in (SUPPLY, OPEN) else f"the zone {zone_words(zone)}"
        message = f"no test is described of {what}, of {counted(parts, 'part')}"
        gas = "its own gas, and soap" if zone in (SUPPLY, OPEN) else "air or nitrogen, and soap"
        fix = f"zones: [{zone}] in a test under plumbing: tests:, with {gas}"
        yield Trouble(at, message, fix, "gas finds the joint that nobody looked at")
    missed = [j for j in ctx[JOINTS] if _gas_comes(j, zones, lacking) and not _looked_at(j, tests)]
    if missed:
        message = f"no test reaches {counted(len(missed), 'joint')}: {several([j.words for j in missed])}"
        fix = "a test of the zone with its own gas and soap, after what was taken out is back"
        yield Trouble(at, message, fix, "what was taken out for a test is joined again after it")
    for zone, missing in _not_pressed(ctx, tests).items():
        message = f"no pressure test reaches {several(missing)}, {zone_words(zone)}"
        fix = "out: only for what opens or breaks at its pressure; opened: for solenoid valves on the way"
        yield Trouble(at, message, fix, "gas finds the joint that nobody looked at")
    nights, oldest = ctx.get(SHOW), ctx.limit(AGE.key)
    first = min((d.isoformat() for d in nights.nights), default="") if nights else ""
    for test in tests:
        if first and test.day > first:
            where = join(test.at, "tested") if test.spec.has("tested") else ctx.spec("plumbing").here("tested")
            message = f"the test {test.tag} is dated {test.day}, and the first show is on {first}"
            yield Trouble(where, message, "a day on which gas is not let in yet")
        elif first and test.day and _days(test.day, first) > oldest.si / (24 * HOUR):
            where = join(test.at, "tested") if test.spec.has("tested") else ctx.spec("plumbing").here("tested")
            yield Trouble(
                where,
                f"the test {test.tag} is dated {test.day}, {_days(test.day, first)} days before the first show on "
                f"{first}",
                f"a test of what is set up for these nights, {oldest.text} before them at most",
                "what has been carried and put together since is another set of joints",
            )
    for zone in there:
        if zone not in (SUPPLY, OPEN, *lacking) and all(t.gas == "own" for t in tests if zone in t.zones):
            said = f"no pressure test {zone_words(zone)} is described, with air or nitrogen and the source disconnected"
            yield Unchecked(said, at)
    undated = {t.tag: join(t.at, "tested") for t in tests if not t.day}
    said = f"when {several(list(undated))} is made (tested:)"
    yield from [Unchecked(said, *undated.values())] if undated else []
    return passed(f"{counted(len(tests), 'test')} of {counted(len(there), 'zone')}")


def _looked_at(joint: Joint, tests: Sequence[LeakTest]) -> bool:
    """Whether a test reaches a joint, after each test for which it was taken apart."""
    apart = max((t.day for t in tests if any(p.tag in t.out for p in joint.parts)), default="")
    return any(t.reaches(joint) and (not t.day or t.day >= apart) for t in tests)


# What a pressure test leaves out: it breaks at the pressure, opens at it, or is where gas comes out.
_LEFT_OUT = ("regulator", "orifice", "gauge", "cylinder", *OUTLETS)


def _not_pressed(ctx: Context, tests: Sequence[LeakTest]) -> dict[str, list[str]]:
    """By zone behind a regulator that a pressure test names, the parts of it that none of them reaches, though they
    would stand its pressure."""
    net, made = ctx[NETWORK], dict[str, list[str]]()
    pressed = [t for t in tests if t.gas == "inert"]
    reached = {tag for t in pressed for tag in t.parts}
    for zone in dict.fromkeys(z for t in pressed for z in t.zones if z not in (SUPPLY, OPEN)):
        least = window(net, (zone,), frozenset(), ctx).least or 0.0
        for part in net.parts:
            breaks = any(b <= least for b, _ in bounds_of(part))
            left_out = breaks or part.kind in _LEFT_OUT or part.form == "relief" or open_ended(net, part)
            if ctx[ZONES][part.tag] == zone and part.tag not in reached and not left_out:
                made.setdefault(zone, []).append(part.tag)
    return made


def _days(day: str, later: str) -> int:
    return (date.fromisoformat(later) - date.fromisoformat(day)).days


def _gas_comes(joint: Joint, zones: Mapping[str, str], lacking: Sequence[str]) -> bool:
    """Whether gas comes to a joint, in a zone of which some test is described."""
    own = [zones.get(p.tag, "") for p in joint.parts]
    return all(own) and not any(z in lacking for z in own)
