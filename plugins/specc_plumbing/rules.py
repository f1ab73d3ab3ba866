"""Rules on how the parts hang together."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator

from specc import CHOICE, Citation, Context, Cure, Trouble, Unchecked, Verdict, found, not_applicable, rule
from specc.kinds.plumbing import NETWORK, OUTLETS, REACHES, UNREAD, Network, Part
from specc.kinds.show import EFFECTS
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted

# Parts that a line may branch at or join into.
BRANCHES = ("tee", "cross", "manifold")
# Parts that several lines may lead into: a ring may be fed from both sides.
_MANY_INLETS = ("burner", "accumulator")
# Parts that several runs may leave from.
_SOURCES = ("cylinder", "accumulator")
# Parts that end a line without letting gas out, or that let it out on purpose.
_ENDS = ("plug", "cap")

_BOOTH_RULES = Citation("redwood-city-booths", "an on-off valve that can be reached safely in a fire", "read")


def _near(tag: str, tags: list[str]) -> str:
    near = difflib.get_close_matches(tag, tags, 1, 0.5)
    return f"did you mean {near[0]}?" if near else "describe it under plumbing: parts:"


def _no_plumbing(net: Network) -> Verdict | None:
    return not_applicable("no plumbing is described") if not net.parts and not net.runs else None


@rule(
    "plumbing.known_parts",
    level="error",
    statement="Each run names parts that are described",
    source=CHOICE,
    needs=(NETWORK,),
)
def known_parts(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    tags = [p.tag for p in net.parts]
    for run in net.runs:
        if run.start not in net.by_tag:
            yield Trouble(
                join(run.at, "from"),
                f"the run {run.tag} leaves from {run.start!r}, which is not among the parts",
                _near(run.start, tags),
            )
        for i, tag in enumerate(run.line):
            if tag not in net.by_tag:
                yield Trouble(
                    join(run.at, "line", i),
                    f"the run {run.tag} names {tag!r}, which is not among the parts",
                    _near(tag, tags),
                    "a part that is not described cannot be shown to be safe",
                )
    return _no_plumbing(net) or passed(f"{counted(len(net.runs), 'run')}, {counted(len(net.parts), 'part')}")


@rule(
    "plumbing.one_place",
    level="error",
    statement="Each part stands in one place: in one line once; lines join at tees, crosses, manifolds, burners",
    source=CHOICE,
    needs=(NETWORK,),
)
def one_place(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    first: dict[str, str] = {}
    forms = {p.tag: p.form for p in net.parts}
    kinds = {p.tag: p.kind for p in net.parts}
    for run in net.runs:
        for i, tag in enumerate(run.line):
            at = join(run.at, "line", i)
            joins = i == len(run.line) - 1 and (forms.get(tag) in BRANCHES or kinds.get(tag) in _MANY_INLETS)
            if tag in first and not joins:
                where = "twice in the same line" if first[tag] == run.tag else f"already in the run {first[tag]}"
                yield Trouble(
                    at,
                    f"{tag} is {where}",
                    "a tag of its own for each part; lines meet at a tee, cross, manifold or burner",
                    "a part counted twice is a part not described",
                )
            elif tag == run.start:
                yield Trouble(
                    at,
                    f"the run {run.tag} comes back to {tag}, where it starts",
                    "parts in the order that gas flows",
                )
            elif kinds.get(tag) == "cylinder":
                yield Trouble(at, f"the cylinder {tag} stands inside a line", "from: " + tag)
            first.setdefault(tag, run.tag)
    for run in net.runs:
        if run.start in kinds and kinds[run.start] not in (*_SOURCES, UNREAD) and forms[run.start] not in BRANCHES:
            yield Trouble(
                join(run.at, "from"),
                f"the run {run.tag} leaves from {run.start}, which is of kind: {kinds[run.start]}",
                "a cylinder or accumulator, or a tee, cross or manifold of another run",
                "gas can only branch off where a fitting has an outlet for it",
            )
    leaving = Counter(before for before, _ in net.links)
    for part in net.parts:
        most = {"tee": 2, "cross": 3}.get(part.form)
        if most and leaving[part.tag] > most:
            yield Trouble(part.at, f"{leaving[part.tag]} lines leave the {part.form} {part.tag}", f"at most {most}")
    return _no_plumbing(net) or passed(f"{counted(len(net.parts), 'part')}")


@rule(
    "plumbing.no_way_back",
    level="error",
    statement="No run leads back to where its gas comes from",
    source=CHOICE,
    needs=(NETWORK,),
)
def no_way_back(ctx: Context) -> Judging:
    """Gas may part and meet again, as in a ring fed from both sides, but never flow in a circle."""
    net = ctx[NETWORK]
    for run in net.runs:
        before = run.start
        for i, tag in enumerate(run.line):
            back = tag in net.by_tag and before in net.walk(net.after.get(tag, ()), net.after)
            if back and tag != run.start and _first_met(net, run.tag, tag):
                yield Trouble(
                    join(run.at, "line", i),
                    f"the run {run.tag} leads back to {tag}, which its gas has already passed",
                    "parts in the order that gas flows, away from the cylinders",
                    "nobody can say which way gas goes in a circle, nor what shuts it off",
                )
            before = tag
    return _no_plumbing(net) or passed(f"{counted(len(net.runs), 'run')}")


def _first_met(net: Network, run: str, tag: str) -> bool:
    """Whether a part belongs to an earlier run, or to none: the run named leads back to it."""
    for one in net.runs:
        if one.tag == run:
            return False
        if tag in (one.start, *one.line):
            return True
    return False


@rule(
    "plumbing.connected",
    level="error",
    statement="Each part is in a run",
    source=CHOICE,
    needs=(NETWORK,),
)
def connected(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    used = {tag for run in net.runs for tag in (run.start, *run.line)}
    return _no_plumbing(net) or found(
        (
            Trouble(
                p.at,
                f"{p.tag} ({p.title}) is connected to nothing",
                "put it into a run, or take it out",
                "a part that is on site and in no run is one that nothing here has checked",
            )
            for p in net.parts
            if p.tag not in used and not (p.kind == "cylinder" and p.spec.yes("spare"))
        ),
        f"{counted(len(net.parts), 'part')}",
    )


@rule(
    "plumbing.outlets_fed",
    level="error",
    statement="Gas from a cylinder reaches each outlet",
    source=CHOICE,
    needs=(NETWORK, REACHES),
)
def outlets_fed(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    outlets = net.of_kind(*OUTLETS)
    if not outlets:
        return not_applicable("no outlets are described")
    fed = {r.outlet for r in ctx[REACHES]}
    # A part whose kind cannot be read may be a cylinder, and is reported.
    fed |= {p.tag for p in outlets if any(up.kind == UNREAD for up in net.upstream(p.tag))}
    return found(
        (
            Trouble(p.at, f"no cylinder feeds the outlet {p.tag}", "runs that lead from a cylinder to it")
            for p in outlets
            if p.tag not in fed
        ),
        f"{counted(len(outlets), 'outlet')}",
    )


def _led_away(net: Network, last: Part) -> bool:
    """Whether all gas that comes to an end has passed a relief valve: its vent ends in the open, and has to."""
    met = net.walk((last.tag,), net.before, lambda p: p.form == "relief")
    return not any(net.by_tag[t].kind in ("cylinder", "accumulator", "regulator") for t in met) and any(
        net.by_tag[t].form == "relief" for t in met
    )


@rule(
    "plumbing.line_ends",
    level="error",
    statement="Each line ends in an outlet, a plug, a cap, a gauge, a relief valve or its vent, or another line",
    source=CHOICE,
    needs=(NETWORK,),
)
def line_ends(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    leaving = {before for before, _ in net.links}
    for run in net.runs:
        last = net.part(run.line[-1]) if run.line else None
        if last is None or last.tag in leaving:
            continue
        closed = last.form in (*_ENDS, "relief") or last.kind in (*OUTLETS, "gauge", "accumulator", UNREAD)
        closed |= _led_away(net, last)
        if not closed:
            yield Trouble(
                join(run.at, "line", len(run.line) - 1),
                f"the run {run.tag} ends at {last.tag}, and gas would go nowhere from there",
                "an outlet, a plug or a cap at its end",
                "an end that is not plugged lets gas out unlit when it is bumped open or comes off",
            )
    for store in net.of_kind("accumulator"):
        if net.before.get(store.tag) and not any(p.kind in (*OUTLETS, UNREAD) for p in net.downstream(store.tag)):
            yield Trouble(
                store.at,
                f"{store.tag} stands at the end of a branch, and no outlet burns what it holds",
                "in the line, or on a tee ahead of what burns from it, with no check valve or regulator between",
                "what goes in does not come out: no step of a shutdown burns it off, and it stays charged",
            )
    return _no_plumbing(net) or passed(f"{counted(len(net.runs), 'run')}")


@rule(
    "plumbing.shutoff",
    level="error",
    statement="With all quarter-turn shutoffs closed, no gas reaches an outlet (that they are: specc default)",
    source=_BOOTH_RULES,
    needs=(NETWORK, REACHES),
)
def shutoff(ctx: Context) -> Judging:
    """Each way from each cylinder counts: a valve on one of two branches stops half of the gas."""
    net = ctx[NETWORK]
    fed = {r.outlet for r in ctx[REACHES]}
    if not fed:
        return not_applicable("no outlet is fed")
    for cylinder in net.of_kind("cylinder"):
        met = net.walk((cylinder.tag,), net.after, lambda p: (p.kind, p.form) == ("valve", "ball") or p.kind == UNREAD)
        open_to = sorted(fed & met.keys())
        if open_to:
            yield Trouble(
                cylinder.at,
                f"no quarter-turn valve stands on some way from {cylinder.tag} to {', '.join(open_to)}",
                "a valve of form: ball that can be seen and reached, on each way",
                "it is the first thing to close in an emergency",
            )
    net.all_read()
    return passed(f"the ways to {counted(len(fed), 'outlet')}; a cylinder has its own valve besides")


_SECOND_STAGE = 10 * PSI * (1 + 1e-9)  # Pa gauge, UL 144-2021 cl. 7.2, read in an excerpt


@rule(
    "plumbing.regulator_setting",
    level="error",
    statement="A regulator is set within what it can be set to, locks up no lower, and gets what its stage takes",
    source=CHOICE,
    needs=(NETWORK,),
)
def regulator_setting(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    regulators = net.of_kind("regulator")
    if not regulators:
        return not_applicable("no regulator is described")
    for r in regulators:
        setting, highest, locks = r.spec.quantity("set"), *(r.spec.quantity_or_none(k) for k in ("highest", "lock_up"))
        if highest is None:
            yield Unchecked(f"{r.tag} does not say how far it can be set (highest:)", join(r.at, "highest"))
        elif setting.si > highest.si:
            yield Trouble(
                join(r.at, "set"),
                f"{r.tag} is set to {setting.text}, above the {highest.text} that it can be set to",
                "the setting as read on a gauge, and the range as stamped on the regulator",
                "one of the two is a slip, and every flow and flame follows from the setting",
                cure=Cure(f"{highest.text} would pass", ((join(r.at, "set"), highest.text),)),
            )
        if locks is not None and locks.si < setting.si * (1 - 1e-9):
            yield Trouble(
                locks.at,
                f"{r.tag} is said to lock up at {locks.text}, below its setting of {setting.text}",
                "the pressure on its gauge with all valves behind it shut",
                "with no flow the pressure is higher, and what stands behind it is judged by that",
                cure=Cure(f"{setting.text} would pass", ((locks.at, setting.text),)),
            )
        if r.form == "second_stage":
            yield from _second_stage(net, r)
    return passed(counted(len(regulators), "regulator"))


def _second_stage(net: Network, regulator: Part) -> Iterator[Trouble]:
    """What comes to a regulator of second stage is no more than it is made for."""
    comes = []
    for before in net.first_above(regulator.tag, "regulator", "cylinder"):
        if before.kind == "cylinder":
            comes.append(f"cylinder pressure from {before.tag}")
        elif (setting := before.spec.quantity("set")).si > _SECOND_STAGE:
            comes.append(f"{setting.text} from {before.tag}")
    if comes:
        yield Trouble(
            join(regulator.at, "form"),
            f"{regulator.tag}, a regulator of second stage, gets {', '.join(comes)}",
            "a first-stage regulator of at most 10 psi before it; or one that is made for cylinder pressure",
            "second-stage regulators are made for 10 psig at their inlet at most (UL 144, 7.2, read in an excerpt)",
        )


@rule(
    "plumbing.effects_have_outlets",
    level="error",
    statement="Each effect's outlets are burners that are described, and each burner belongs to an effect",
    source=CHOICE,
    needs=(NETWORK, EFFECTS),
)
def effects_have_outlets(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    burners = {p.tag: p for p in net.of_kind("burner")}
    named = set()
    for effect in ctx[EFFECTS]:
        for i, tag in enumerate(effect.outlets):
            named.add(tag)
            part = net.part(tag)
            if tag not in burners and (part is None or part.kind != UNREAD):
                what = f"a {part.kind}" if part else "not among the parts"
                if part is not None and part.kind == "pilot":
                    what += ": pilots are counted as burning whenever gas is on, and belong to no effect"
                yield Trouble(
                    join(effect.at, "outlets", i),
                    f"the effect {effect.tag} burns at {tag!r}, which is {what}",
                    "one of: " + ", ".join(burners) if burners else "a burner",
                )
    for tag, part in burners.items():
        if tag not in named:
            yield Trouble(
                part.at,
                f"the burner {tag} belongs to no effect",
                "name it under effects: outlets:",
                "its gas and flame would go uncounted",
            )
    if not burners and not named:
        return not_applicable("no effects and no burners")
    return passed(f"{counted(len(burners), 'burner')}")
