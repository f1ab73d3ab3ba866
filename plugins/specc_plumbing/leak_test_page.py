"""The tests for leaks as a table, as steps, and by zone what is tested again each night."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from specc import Column, Context, Fact, Facts, Para, Row, Table, TableBlock, gather, psig, section, table
from specc.kinds.packet import SUMMARY_FACTS
from specc.kinds.plumbing import JOINTS, NETWORK, OPEN, SUPPLY, ZONE_PRESSURE, ZONES, Joint, zone_words
from specc.kinds.procedures import STEPS, Step
from specc.model.blocks import Block
from specc.model.view import Unreadable, View
from specc.model.wording import counted, dated
from specc_plumbing.as_written import NOT_STATED, REFUSED, said, written, yes
from specc_plumbing.leak_test_window import LEAST, TIMES, Window, window
from specc_plumbing.leak_tests import LEAK_TESTS, LeakTest

_NEVER_IN = ("regulator", "cylinder")
_PREPARED = (("out", "out"), ("plugged", "plugged"), ("closed", "closed"), ("opened", "held open"))


def _prepared(test: LeakTest) -> str:
    """What is done to the parts before a test; "" where nothing is taken out."""
    try:
        made = [(words, test.spec.texts(key)) for key, words in _PREPARED]
    except Unreadable:
        return REFUSED
    return "; ".join(f"{words}: {', '.join(tags)}" for words, tags in made if tags)


def _between(bounds: Window) -> str:
    if bounds.crosses and bounds.least is not None:
        return f"none fits: {psig(bounds.least)} or more, and {bounds.by}"
    low = f"{psig(bounds.least)} or more" if bounds.least is not None else "from what on is not known"
    return low + (f", below {psig(bounds.most)} ({bounds.by})" if bounds.most is not None else "")


def _fall(spec: View) -> str:
    """How far the pressure may fall: where it may not at all, as the gauge shows it."""
    try:
        drop = spec.quantity_or_none("drop")
    except Unreadable:
        drop = None
    return "no fall seen" if drop is not None and drop.si == 0 else f"falls by {said(spec, 'drop')} at most"


def _watched(test: LeakTest) -> str:
    if test.gas == "own":
        return f"unlit {said(test.spec, 'unlit')} at most" if test.leaves else "nothing flows out"
    gauge = test.spec.child("gauge")
    return (
        f"{said(test.spec, 'hold')}; {_fall(test.spec)}; gauge to {said(gauge, 'reads_to')} by "
        f"{said(gauge, 'reads_by')}"
    )


@table(
    "plumbing.tests",
    title="Leak and pressure tests",
    needs=(LEAK_TESTS, NETWORK, ZONES),
    wants=(ZONE_PRESSURE,),
    reads=("project",),
    limits=(TIMES.key, LEAST.key),
)
def tests_table(ctx: Context) -> Table:
    """One line a test; then one for each zone that has none, with what it would take."""
    issued = ctx.spec("project").text_or("issued")
    net, zones, tests = ctx[NETWORK], ctx[ZONES], ctx[LEAK_TESTS]
    rows = []
    for test in tests:
        own = test.gas == "own"
        method = ", ".join(test.spec.texts("method")) or NOT_STATED
        rows.append(
            Row(
                (
                    test.tag.replace("_", " "),
                    ", ".join(map(zone_words, test.zones)),
                    f"{test.spec.text('with')}; {method}",
                    "its own pressure" if own else said(test.spec, "pressure"),
                    "the same" if own else _between(window(net, test.zones, test.parts, ctx)),
                    _prepared(test) or "nothing taken out",
                    _watched(test),
                    f"{dated(test.day, issued) or NOT_STATED}, {written(test.spec, 'who', 'by whom is not stated')}",
                )
            )
        )
    for zone in dict.fromkeys(z for z in zones.values() if z):
        if not any(zone in test.zones for test in tests):
            parts = frozenset(t for t, z in zones.items() if z == zone and net.by_tag[t].kind not in _NEVER_IN)
            takes = "its own pressure" if zone in (SUPPLY, OPEN) else _between(window(net, (zone,), parts, ctx))
            gas = "its own gas; soap" if zone in (SUPPLY, OPEN) else "air or nitrogen; pressure, soap"
            rows.append(
                Row(("none described", zone_words(zone), gas, NOT_STATED, takes, NOT_STATED, NOT_STATED, NOT_STATED))
            )
    columns = (
        Column("test"),
        Column("zone", 1.2),
        Column("with", 1.2),
        Column("at", 0.7),
        Column("has to be", 1.6),
        Column("prepared", 1.6),
        Column("watched", 1.6),
        Column("day, by", 1.0),
    )
    note = (
        "At 1.5 times the zone's highest working pressure or more, never under 3 psig, below what opens or is rated "
        "lowest there; regulators and cylinders out; air is pushed out after it. Never with oxygen, never with a flame."
    )
    return Table("", "", columns, tuple(rows), note)


def again(joints: tuple[Joint, ...], zones: Mapping[str, str]) -> dict[str, list[int]]:
    """By zone, the numbers of the joints that come apart: each is tested again when it is joined. A joint between two
    zones stands with the one that gas flows into."""
    made: dict[str, list[int]] = defaultdict(list)
    for joint in joints:
        zone = zones.get(joint.parts[-1].tag, "")
        if zone and (yes(joint.spec, "comes_apart") or joint.spec.has("reassembled")):
            made[zone].append(joint.number)
    return dict(made)


@gather(SUMMARY_FACTS, needs=(NETWORK,), wants=(LEAK_TESTS, JOINTS), reads=("project",))
def dates(ctx: Context) -> Sequence[Fact]:
    """When the leak tests were made, or are to be made; of one that is older than a joint it reaches says little."""
    if not ctx[NETWORK].parts:
        return ()
    issued = ctx.spec("project").text_or("issued")
    told: dict[str, None] = {}
    for test in ctx.get(LEAK_TESTS) or ():
        day = dated(test.day, issued)
        said = (day if day.startswith("planned") else f"dated {day}") if day else "no day stated"
        again = any(j.spec.text_or("reassembled") > test.day and test.reaches(j) for j in ctx.get(JOINTS) or ())
        told[f"{said}, older than joints that it reaches" if day and again else said] = None
    return (Fact(20, f"leak tests: {', '.join(told) or 'none described'}", "In date", "", "in_date"),)


@gather(STEPS, wants=(LEAK_TESTS,))
def steps(ctx: Context) -> Sequence[Step]:
    tests = ctx.get(LEAK_TESTS) or ()
    return [_step(10 * n, test) for n, test in enumerate(tests, 1)]


def _step(order: int, test: LeakTest) -> Step:
    spec, zones = test.spec, " and ".join(map(zone_words, test.zones))
    prepared = _prepared(test)
    first = f"{test.tag.replace('_', ' ').capitalize()}, {zones}. "
    first += f"Prepare it ({prepared}); plug what that leaves open. " if prepared else ""
    soap = "Soap every joint that holds pressure, and look for bubbles. " if "soap" in spec.texts("method") else ""
    if test.gas == "own":
        text = "Let gas in slowly, nothing lit near. " + soap
        if test.leaves:
            text += (
                f"Gas flows out unlit meanwhile, for {said(spec, 'unlit')} at most; then close, and wait until it has "
            )
            text += "blown away. "
    else:
        text = (
            f"Let in {spec.text('with')} to {said(spec, 'pressure')}, and watch the gauge for {said(spec, 'hold')}: it "
        )
        text += (
            f"falls by {said(spec, 'drop')} at most. {soap}Let the {spec.text('with')} out, put back what was taken "
        )
        text += "out, and push it out with gas into the open before anything is lit. "
    by = written(spec, "who", "")
    return Step(order, "test", (first + text).strip() + (f" ({by})" if by else ""), action="check", who=by)


@section(
    "plumbing_tests",
    title="Tests of the plumbing",
    order=20,
    part="equipment",
    needs=(LEAK_TESTS, JOINTS, ZONES),
    reads=("plumbing",),
)
def tests_section(ctx: Context) -> Sequence[Block]:
    tests, by_zone = ctx[LEAK_TESTS], again(ctx[JOINTS], ctx[ZONES])
    made: list[Block] = []
    if not tests:
        tested = written(ctx.spec("plumbing"), "tested")
        made.append(Facts((("last full-system leak test", tested), ("how it was made", NOT_STATED))))
    made.append(TableBlock("plumbing.tests"))
    if not by_zone:
        return [*made, Para("Tested again whenever it is joined: no joint is said to come apart.")]
    return [*made, Para(_again_in_words(ctx[JOINTS], by_zone, tests))]


def _again_in_words(joints: tuple[Joint, ...], by_zone: Mapping[str, Sequence[int]], tests: Sequence[LeakTest]) -> str:
    """With what each joint is tested again. Where its own gas does not come in a test (behind a solenoid valve it comes
    only while that is fired), soap on gas is no test of it."""
    numbered = {j.number: j for j in joints}
    soaped: dict[str, list[str]] = {}
    aired: dict[str, list[str]] = {}
    for zone, numbers in by_zone.items():
        for n in numbers:
            reach = [t for t in tests if t.reaches(numbered[n])]
            if tests and not any(t.gas == "own" for t in reach):
                by = next((f"as in the test {t.tag.replace('_', ' ')}" for t in reach), "by no test described here")
                aired.setdefault(by, []).append(str(n))
            else:
                soaped.setdefault(zone, []).append(str(n))
    made = [f"{zone_words(z)}, {counted(len(n), 'joint')}: {', '.join(n)}" for z, n in soaped.items()]
    text = "Tested again whenever it is joined, before anything in it is lit that night"
    text += f", with gas and soap: {'; '.join(made)}." if made else "."
    other = "; ".join(f"{by}: {', '.join(n)}" for by, n in aired.items())
    return f"{text} Before gas, which never stands there unlit, not with air once it has, {other}." if other else text
