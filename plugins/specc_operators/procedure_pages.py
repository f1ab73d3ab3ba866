"""The packet's pages of procedures: a step is a row, with who does it and what to do if it does not go so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from specc import Bullets, Column, Context, Heading, Para, Row, Table, TableBlock, section, table
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import CHECKS, STEPS, Procedure, Step
from specc.model.blocks import Block
from specc.model.passes import Pass
from specc.model.values import PRACTICE
from specc_operators.hours import DUTIES, ROLE_NAMES
from specc_operators.in_words import listed
from specc_operators.incidents import call
from specc_operators.time_table import ANEW

TITLES: dict[Procedure, str] = {
    "start": "Start-up",
    "firing": "Firing",
    "scene_change": "From one scene to the next",
    "pilot_out": "A pilot goes out during the show",
    "cylinder_change": "Changing a cylinder",
    "hand_over": "Hand-over",
    "hold": "Weather hold",
    "stop": "Normal shutdown",
    "emergency": "Emergency shutdown",
    "leak": "If gas leaks",
    "incident": "What is seen, and what is done",
}
_DURING: tuple[Procedure, ...] = ("firing", "scene_change", "pilot_out", "hold", "hand_over", "cylinder_change")
_NIGHT = {"every": "", "first": "First night: ", "later": "Later nights: ", "last": "Last night: "}
_BEFORE_THE_SHOW = (
    "Gas before the show (retest, wind): the same list but for what it is to show, the same steps and lead; no public, "
    "no burst."
)
_EVERYBODY = 5  # from so many on nobody finds their own name in a narrow column
_LONG = 72  # letters of a few names with their places
_COLUMNS = (Column("", 0.2, "right"), Column("step", 4.2), Column("who, where", 1.2))


def who_of(step: Step) -> str:
    """Everybody who acts in a step, and where: "birch at mast; cedar and dogwood at box"."""
    made: dict[str, dict[str, None]] = {}
    vents = any(act.action == "bleed" for act in step.acts)  # the text says who reads the detector meanwhile
    for act in step.acts:
        if act.who and not (vents and act.action == "read"):
            made.setdefault(ROLE_NAMES.get(act.who, act.who), {})[act.where] = None
    at: dict[str, list[str]] = {}
    for who, places in made.items():
        at.setdefault(listed(p for p in places if p), []).append(who)
    said = "; ".join(f"{listed(who)} at {where}" if where else listed(who) for where, who in at.items())
    return "everybody" if len(made) >= _EVERYBODY or (len(made) == _EVERYBODY - 1 and len(said) > _LONG) else said


def text_of(step: Step) -> str:
    look = f" Look for: {step.look_for}." if step.look_for and step.procedure != "incident" else ""
    otherwise = f" → {step.if_not}" if step.if_not else ""
    return f"{_NIGHT[step.night]}{step.text}{look}{otherwise}"


def _own(ctx: Context, *procedures: Procedure) -> list[Step]:
    return [s for p in procedures for s in ctx[STEPS] if s.procedure == p]


def _rows(steps: Iterable[Step]) -> tuple[Row, ...]:
    """Numbered, each moment under its name; what to do if it does not go so stands behind an arrow. Where people are
    named, what is nobody's act alone is for everybody."""
    made: list[Row] = []
    moment, steps = "", list(steps)
    named = any(act.who for step in steps for act in step.acts)
    for n, step in enumerate(steps, 1):
        if step.moment and step.moment != moment:
            made.append(Row(("", step.moment, ""), strong=True))
        moment = step.moment or moment
        all_ = "everybody" if named and not step.acts else ""
        made.append(Row((str(n), text_of(step), who_of(step) or all_)))
    return tuple(made)


def _when(step: Step) -> str:
    """When a step between scenes is due: what goes out ends with its scene, what is lit is ready for the next."""
    does = {a.action for a in step.acts}
    done = does & {"close", "fire", "disarm", "switch_off"} and not does & {"open", "light", "arm", "switch_on"}
    return step.moment if done or step.text.startswith("Gas off") else f"for {step.moment}"


def _table_of(procedure: Procedure) -> Pass:
    @table(f"operators.{procedure}_steps", title=TITLES[procedure], needs=(STEPS,))
    def steps_table(ctx: Context) -> Table:
        return Table("", "", _COLUMNS, _rows(_own(ctx, procedure)), withheld="lights" if procedure == "start" else "")

    return steps_table


@table("operators.during_steps", title="While gas is on", needs=(STEPS,))
def during_table(ctx: Context) -> Table:
    rows: list[Row] = []
    for procedure in _DURING:
        own = [s._replace(moment="") for s in _own(ctx, procedure) if procedure != "scene_change"]
        if procedure == "scene_change":
            own = [s._replace(text=f"{_when(s)}: {s.text}", moment="") for s in _own(ctx, procedure)]
        if own:
            rows += [Row(("", TITLES[procedure], ""), strong=True), *_rows(own)]
    return Table("", "", _COLUMNS, tuple(rows), withheld="lights")


@table("operators.incident_steps", title=TITLES["incident"], needs=(STEPS,))
def incident_table(ctx: Context) -> Table:
    rows = tuple(Row((s.look_for, s.text)) for s in _own(ctx, "incident"))
    return Table("", "", (Column("what is seen", 1.0), Column("what is done", 4.0)), rows)


@table(
    "operators.call",
    title="Whom to telephone, while others close valves",
    wants=(NETWORK, DUTIES),
    reads=("operators",),
)
def call_table(ctx: Context) -> Table:
    net = ctx.get(NETWORK)
    watch = dict.fromkeys(d.person for d in ctx.get(DUTIES) or () if d.role == "fire_watch")
    told = call(ctx.spec("operators").child("emergency"), len(net.of_kind("cylinder")) if net else 0, tuple(watch))
    return Table("", "", (Column("", 0.5), Column("", 5.0)), tuple(Row(line) for line in told))


def _sources(steps: Sequence[Step], words: str = "step", above: bool = False) -> Para:
    """What a published source stands behind; all else is common practice, as is all of a table `above` without such a
    line."""
    sourced = tuple(dict.fromkeys(s.citation for s in steps if s.citation != PRACTICE))
    numbers = [str(i) for i, s in enumerate(steps, 1) if s.citation != PRACTICE]
    said = "Common practice, no published source"
    said += f", except {words}{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}:" if numbers else "."
    said = f"Tables above without a source, and this one: {said[0].lower()}{said[1:]}" if above else said
    return Para(said, quiet=True, citations=sourced)


@section("operators_start_up", title="Start-up", order=50, part="start-up", needs=(STEPS, CHECKS))
def start_up_section(ctx: Context) -> Sequence[Block]:
    checks, steps = ctx[CHECKS], _own(ctx, "start")
    made: list[Block] = [
        Heading("Go or no go"),
        Para('Gas is let in only if every item is yes; any "no" means no go.'),
        Bullets(tuple(c.text for c in checks)),
        Para(_BEFORE_THE_SHOW),
        Para(
            "Common practice, no published source, unless one is named.",
            quiet=True,
            citations=tuple(dict.fromkeys(c.citation for c in checks if c.citation != PRACTICE)),
        ),
    ]
    if not steps:
        no = "No outlet is fed by a cylinder in the spec, so no procedure can be made from its valves."
        return [*made, Para(no)]
    made += [TableBlock("operators.start_steps"), _sources(steps)]
    named = [TITLES[p].lower() for p in _DURING if _own(ctx, p)]
    if named:
        text = f"While gas is on: {', '.join(named)}."
        made.append(Para(text, page_of="operators.during_steps"))
    return made


@section("operators_during", title="While gas is on", order=1, needs=(STEPS,), wants=(ANEW, DUTIES))
def during_section(ctx: Context) -> Sequence[Block]:
    """Firing, changes and what goes wrong in the middle of a show: the crew has it on cards."""
    during = _own(ctx, *_DURING)
    if not during:
        return []
    # Numbered anew under each name, so a source says under which.
    sourced = [(p, n, s.citation) for p in _DURING for n, s in enumerate(_own(ctx, p), 1) if s.citation != PRACTICE]
    said = "Common practice, no published source"
    said += f", except {'; '.join(f'{TITLES[p].lower()}, step {n}' for p, n, _ in sourced)}:" if sourced else "."
    cited = tuple(dict.fromkeys(c for _, _, c in sourced))
    anew = ctx.get(ANEW) if ctx.get(DUTIES) else ""
    told = [Para(anew)] if anew else []
    return [TableBlock("operators.during_steps"), *told, Para(said, quiet=True, citations=cited)]


@section("operators_shutdown", title="Shutdown", order=50, part="shutdown", needs=(STEPS,))
def shutdown_section(ctx: Context) -> Sequence[Block]:
    made: list[Block] = []
    shown: tuple[Procedure, ...] = ("emergency", "incident", "leak", "stop")
    calm = False  # a table that rests on practice alone
    for procedure in shown:
        if own := _own(ctx, procedure):
            made += [TableBlock("operators.call")] if procedure == "emergency" else []
            made.append(TableBlock(f"operators.{procedure}_steps"))
            sourced = any(s.citation != PRACTICE for s in own)
            if sourced or procedure == shown[-1]:
                made.append(_sources(own, "line" if procedure == "incident" else "step", calm))
            calm = calm or not sourced
    return made or [Para("No outlet is fed by a cylinder in the spec, so no shutdown can be made from its valves.")]


_ALONE: tuple[Procedure, ...] = ("start", "stop", "emergency", "leak")
_EACH_ALONE = tuple(map(_table_of, _ALONE))
