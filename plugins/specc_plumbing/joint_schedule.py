"""The joint schedule: every joint by number, how it is made, and whether it was tested since it was last made."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    PRACTICE,
    Column,
    Context,
    Heading,
    Para,
    Row,
    Table,
    TableBlock,
    Trouble,
    Unchecked,
    Verdict,
    not_applicable,
    rule,
    table,
)
from specc.kinds.plumbing import JOINTS, End, Joint
from specc.model.blocks import Block
from specc.model.passes import Judging, judged, passed
from specc.model.view import Unreadable
from specc.model.wording import counted, dated, several
from specc_plumbing.as_written import NOT_STATED, REFUSED, written, yes
from specc_plumbing.ends import pol_in_791
from specc_plumbing.leak_tests import LEAK_TESTS, LeakTest

_FILLED = ("brazed", "soldered", "welded")
# Metal on metal, or a hose on its barb: nothing is put between unless it is said.
_DRY = ("flared", "union", "compression", "barb")


def _between(joint: Joint) -> str:
    tags = [p.tag for p in joint.parts]
    return f"{tags[0]} to {tags[1]}" if len(tags) == 2 else f"within {tags[0]}"


def _ends(joint: Joint) -> str:
    if len(joint.parts) == 1:
        return "internal joint"
    first, second = (end if end is not None and end.family else None for end in joint.ends)
    if first is not None and second is not None and (first.family, first.size) == (second.family, second.size):
        return _mated(first, second)
    if first is not None and second is not None and pol_in_791(first, second):
        return "CGA 510 in a valve for CGA 791"
    return ", ".join(end.words if end is not None else NOT_STATED for end in (first, second))


def _mated(a: End, b: End) -> str:
    """Two ends of one kind and size in short: which is which does not matter once they are joined."""
    if a.family == "CGA":
        return f"CGA {a.size}"
    if a.family == "tube":
        return f"{a.size} in OD tube in a socket"
    if a.family == "hose":
        return f"{a.size} in hose on a barb"
    return f"{a.size} in {a.family}" + (" with nut" if a.nut or b.nut else "")


def seal(joint: Joint) -> str:
    """What seals a joint: its filler or sealant, "dry", or that nothing is said of it."""
    filled = joint.method in _FILLED
    text = written(joint.spec, "filler", "") if filled else joint.sealant
    if text:
        return "dry" if text.strip().lower() in ("none", "dry") else text
    return "dry" if joint.method in _DRY else f"filler {NOT_STATED}" if filled else NOT_STATED


def reassembled(joint: Joint) -> str:
    """The day a joint was last reassembled, as year-month-day; "" when that is not stated."""
    try:
        return joint.spec.text_or("reassembled")
    except Unreadable:
        return ""  # reported by the schema


def last_tested(joint: Joint, tests: tuple[LeakTest, ...], tested: str) -> str:
    """The day of the last test that reaches a joint; where no tests are described, that of the whole."""
    if not tests:
        return tested
    return max((t.day for t in tests if t.reaches(joint)), default="")


def since(joint: Joint, tested: str, issued: str = "") -> str:
    """When a joint was reassembled, whether it was cleaned then, and the leak test that came after. A day after the
    packet's issue is planned.

    Made and tested on one day counts as tested after: a joint is made up before it can be tested.
    """
    day = dated(reassembled(joint), issued)
    if not day:
        return NOT_STATED
    if yes(joint.spec, "cleaned"):
        day += ", cleaned"
    elif joint.method == "threaded":
        day += ", not said to be cleaned"
    if not tested:
        return f"{day}; no test stated"
    return f"{day}; NOT tested since" if reassembled(joint) > tested else f"{day}; test {dated(tested, issued)}"


def _note(tests: tuple[LeakTest, ...], tested: str) -> str:
    whole = (
        "Tests by zone are listed with the tests" if tests else f"Last full-system leak test: {tested or NOT_STATED}"
    )
    return (
        f"{whole}. A joint that is reassembled is tested again. A method with * is the only one that its ends allow; "
        "the spec does not state it."
    )


@table("plumbing.joint_schedule", title="Joints", needs=(JOINTS, LEAK_TESTS), reads=("plumbing", "project"))
def schedule(ctx: Context) -> Table:
    issued = ctx.spec("project").text_or("issued")
    tested = written(ctx.spec("plumbing"), "tested", "")
    tested = "" if tested == REFUSED else tested
    rows = tuple(
        Row(
            (
                str(joint.number),
                joint.tag or "no tag",
                _between(joint),
                _ends(joint),
                (joint.method + ("" if joint.stated else " *")) if joint.method else NOT_STATED,
                seal(joint),
                since(joint, last_tested(joint, ctx[LEAK_TESTS], tested), issued),
                "yes" if yes(joint.spec, "comes_apart") else "no" if joint.spec.has("comes_apart") else NOT_STATED,
                written(joint.spec, "note", "none"),
            )
        )
        for joint in ctx[JOINTS]
    )
    columns = (
        Column("no.", 0.35, "right", counts=True),
        Column("tag", 0.8),
        Column("between", 1.2, names=True),
        Column("ends", 1.0),
        Column("method", 0.8),
        Column("seal", 1.1),
        Column("reassembled, and tested since", 1.0),
        Column("comes apart", 0.6),
        Column("note", 0.9),
    )
    note = _note(ctx[LEAK_TESTS], tested)
    return Table("", "", columns, rows, note)


def _made_again(joints: tuple[Joint, ...]) -> list[Joint]:
    return [j for j in joints if j.spec.has("reassembled")]


@rule(
    "plumbing.retested",
    level="error",
    statement="A joint that was taken apart and reassembled has had a leak test since",
    source=PRACTICE,
    needs=(JOINTS, LEAK_TESTS),
    reads=("plumbing",),
    dated=("plumbing.reassembled", "plumbing.tested"),
)
def retested(ctx: Context) -> Judging:
    whole, tests = ctx.spec("plumbing").text_or("tested"), ctx[LEAK_TESTS]
    again = _made_again(ctx[JOINTS])
    # A joint that comes apart is reassembled on site: the day of that has to be told.
    silent = [j for j in ctx[JOINTS] if yes(j.spec, "comes_apart") and not j.spec.has("reassembled")]
    if not again and not silent:
        return not_applicable("no joint is said to have been reassembled")
    for joint in again:
        day, tested = joint.spec.text("reassembled"), last_tested(joint, tests, whole)
        if tested and day <= tested:
            continue
        none = "no leak test that reaches it is stated" if tests else "no leak test is stated"
        since_then = f"the last leak test was on {tested}" if tested else none
        yield Trouble(
            joint.spec.here("reassembled"),
            f"{joint.words} was reassembled on {day}, and {since_then}",
            "test its zone for leaks, then write the day (plumbing: tested:, or tested: of that test)",
            "a joint leaks most likely when it has just been made up",
        )
    if silent:
        names = several([str(j.number) for j in silent])
        joints, are = ("joints", "are") if len(silent) > 1 else ("joint", "is")
        said = f"{joints} {names} {are} taken apart for transport, with no day of reassembly (reassembled:)"
        yield Unchecked(said, *(j.where("reassembled") for j in silent))
    return passed(f"{counted(len(again), 'joint')} reassembled, and the tests since")


@rule(
    "plumbing.cleaned",
    level="warning",
    statement="A threaded joint that was reassembled had its old tape and compound cleaned off first",
    source=PRACTICE,
    needs=(JOINTS,),
)
def cleaned(ctx: Context) -> Verdict:
    again = [j for j in _made_again(ctx[JOINTS]) if j.method == "threaded"]
    if not again:
        return not_applicable("no threaded joint is said to have been reassembled")
    return judged(
        (
            Trouble(
                joint.spec.here("reassembled"),
                f"{joint.words} was reassembled, and is not said to have been cleaned first",
                "cleaned: true, when its old tape and compound are off",
                "shreds of old tape let a thread leak, and travel on into regulators and orifices",
            )
            for joint in again
            if not joint.spec.yes("cleaned")
        ),
        (),
        f"{counted(len(again), 'threaded joint')} reassembled",
    )


_MANY = 12


@table("plumbing.joints_in_short", title="Joints", needs=(JOINTS, LEAK_TESTS), reads=("plumbing", "project"))
def in_short(ctx: Context) -> Table:
    """One line for all joints of which the same is said; what is noted of one stands behind it."""
    issued = ctx.spec("project").text_or("issued")
    tested = written(ctx.spec("plumbing"), "tested", "")
    tested = "" if tested == REFUSED else tested
    alike: dict[tuple[str, ...], list[str]] = {}
    for joint in ctx[JOINTS]:
        apart = "yes" if yes(joint.spec, "comes_apart") else "no" if joint.spec.has("comes_apart") else NOT_STATED
        method = (joint.method + ("" if joint.stated else " *")) if joint.method else NOT_STATED
        note = written(joint.spec, "note", "")
        said = f"{joint.number} {_between(joint)}" + (f" ({note})" if note else "")
        alike.setdefault(
            (method, seal(joint), since(joint, last_tested(joint, ctx[LEAK_TESTS], tested), issued), apart), []
        ).append(said)
    groups = sorted(alike.items(), key=lambda pair: len(pair[1]))
    rows = [
        Row((*said, str(len(of)), "; ".join(of) if len(of) < _MANY or said != groups[-1][0] else "all other joints"))
        for said, of in groups
    ]
    columns = (
        Column("method"),
        Column("seal"),
        Column("reassembled, and tested since"),
        Column("comes apart"),
        Column("count", 0.5, "right"),
        Column("joints by number", 4),
    )
    note = _note(ctx[LEAK_TESTS], tested)
    return Table("", "", columns, tuple(rows), note)


def blocks(ctx: Context) -> Sequence[Block]:
    """Of the plumbing section: the joint schedule. Its pass needs JOINTS."""
    if not ctx[JOINTS]:
        return ()
    return [
        Heading("Joints", "joints"),
        Para(
            "Numbered in the order that gas passes them; the few come first, the many that say the same last. "
            "The makers can print a line for each."
        ),
        TableBlock("plumbing.joints_in_short"),
    ]
