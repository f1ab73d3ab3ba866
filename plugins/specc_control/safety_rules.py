"""What the wiring may never do: rules on the states and faults that were looked through, and on the valves."""

from __future__ import annotations

from collections.abc import Mapping

from specc import Context, Trouble, Unchecked, Verdict, found, not_applicable, not_checked, rule
from specc.kinds.plumbing import NETWORK
from specc.model.passes import Judging, passed
from specc.model.values import Citation
from specc.model.wording import counted, several
from specc_control.entries import NONE, WIRING, nothing
from specc_control.gas import LOGIC, Logic, coils_of, holding, how, valves

_STOP = Citation(
    "iso-13850-notes", "stop overrides all, stays until reset by hand, and reset never restarts", "reprint"
)
_WIRED = Citation("emergency-stop-notes", "category 0: hard-wired parts alone, no logic or network", "reprint")
_HOLD = Citation("iec-60204-1-notes", "hold-to-run and enabling: released stops", "reprint")
_FAULTS = Citation("iso-13849-1", "category 3: no single fault loses the safety function", "reprint")
_CLOSED = Citation("nfpa-86-notes", "valves that close by themselves when power is removed", "reprint")
_SETTLES = Citation("iec-60204-1-notes", "a control circuit comes to rest", "memory")


def _unlooked(made: Logic, any_parts: bool) -> Verdict | None:
    if made.too_large:
        return not_checked(made.too_large)
    if not any_parts:
        return not_applicable(NONE)  # valves that nothing is said to open are in too_large
    return None if made.outlets else not_applicable("no coil of the wiring opens a valve before a burner")


def _never(made: Logic) -> str:
    """What cannot be said of valves that no state opens: that nothing flows is then no proof of what holds it back."""
    never = [outlet for outlet, states in made.outlets.items() if not states]
    said = f"in no state of the contacts does gas reach {several(never)}: the lines do not open its valves"
    return Unchecked(said, "/control/lines") if never else ""


def _demand(
    ctx: Context, kind: str, none: str, fix: str, why: str, powered: Mapping[str, int] | None = None
) -> Judging:
    """No gas in any state that a kind of demand forbids, and no power at the coils of `powered`."""
    w, made = ctx[WIRING], ctx[LOGIC]
    stopped = _unlooked(made, bool(w.parts))
    if stopped:
        return stopped
    asked = [d for d in made.demands if d.kind == kind]
    if not asked:
        return found([Trouble("/control/parts", none, fix, why)])
    for d in asked:
        let = {o: states & d.states for o, states in made.outlets.items() if states & d.states}
        held = {c: states & d.states for c, states in (powered or {}).items() if states & d.states}
        if let or held:
            states = next(iter((let or held).values()))
            reached = f"gas still reaches {', '.join(let)}" if let else f"coil {', '.join(held)} is still powered"
            controllers = [n for n in made.circuit.inputs if "." in n and states & made.seen.variables[n]]
            by = f", by way of controller output {', '.join(controllers)}" if controllers else ""
            at = w.parts[d.tag].at if d.tag else "/control/parts"
            yield Trouble(at, f"{d.words}: {reached} {how(states, made.circuit)}{by}", fix, why)
    if never := _never(made):
        return not_checked(never)
    return passed(f"{made.seen.all.bit_length():,} states of the contacts, {counted(len(made.outlets), 'outlet')}")


@rule(
    "control.stop_stops",
    level="error",
    statement="With an emergency stop pressed no gas flows, whatever else is on, through wired contacts alone",
    source=_WIRED,
    needs=(WIRING, LOGIC, NETWORK),
)
def stop_stops(ctx: Context) -> Judging:
    """Every coil has to let go, not one of two valves in a row: the other may be the one that hangs."""
    made = ctx[LOGIC]
    coils = coils_of(valves(ctx[WIRING], ctx[NETWORK]))
    on = {coil: made.seen.stands & (made.seen.on.get(coil, 0) | made.seen.maybe.get(coil, 0)) for coil in coils}
    return _demand(
        ctx,
        "stop",
        "the wiring has no emergency stop (kind: stop)",
        "put a contact of the stop into the line of each valve, between the fuse and everything else",
        "software, a relay that hangs or a button that is still held would keep the gas on",
        on,
    )


@rule(
    "control.key_needed",
    level="error",
    statement="With the key off no gas flows",
    source=_HOLD,
    needs=(WIRING, LOGIC),
)
def key_needed(ctx: Context) -> Judging:
    return _demand(
        ctx,
        "key",
        "the wiring has no key switch (kind: key)",
        "put a contact of a key switch into the line of each valve",
        "a box that is left alone could be worked by anybody",
    )


@rule(
    "control.held",
    level="error",
    statement="Gas flows only while an operator holds a button; a button of the public alone opens nothing",
    source=_HOLD,
    needs=(WIRING, LOGIC),
)
def held(ctx: Context) -> Judging:
    """A button that stays in is not held. One of which nobody says whose hand works it may be the public's."""
    w, made = ctx[WIRING], ctx[LOGIC]
    verdict = yield from _demand(
        ctx,
        "held",
        "no button is held by an operator",
        "put a contact of a button (kind: button, who: operator) that is held, not latched, into each valve's line",
        "an operator who falls, turns away or runs lets go, and the gas stops",
    )
    buttons = holding(w)
    unsaid = {p.tag: p.spec.here("who") for p in buttons if not p.spec.has("who")}
    idle = made.seen.all
    for p in buttons:
        idle &= ~made.seen.variables.get(p.tag, 0) if p.tag not in unsaid else made.seen.all
    if verdict.status == "passed" and unsaid and any(states & idle for states in made.outlets.values()):
        return not_checked(f"whose hand works {several(list(unsaid))} is not said (who: operator)", *unsaid.values())
    return verdict


@rule(
    "control.flame_proved",
    level="error",
    statement="Where a flame sensor is wired, no gas flows to a burner unless it sees a flame",
    source=_CLOSED,
    needs=(WIRING, LOGIC),
)
def flame_proved(ctx: Context) -> Verdict | Judging:
    if not ctx[WIRING].of_kind("flame_sensor"):
        return not_applicable("no flame sensor is wired")
    return _demand(ctx, "flame", "the flame sensor moves no contact", "put its contact into each valve's line", "")


@rule(
    "control.stop_latched",
    level="error",
    statement="Each emergency stop stays pressed until it is reset by hand",
    source=_STOP,
    needs=(WIRING,),
    rests_on=("control.latches", "control.reset"),
)
def stop_latched(ctx: Context) -> Verdict:
    stops = ctx[WIRING].of_kind("stop")
    if not stops:
        return nothing(ctx[WIRING], "no emergency stop is wired")
    return found(
        [
            Trouble(
                p.at,
                f"stop {p.tag} does not say that it latches and is reset by hand",
                "latches: true and reset: by hand, if the button in the box does so",
            )
            for p in stops
            if not p.spec.yes("latches") or p.spec.text_or("reset") != "by hand"
        ],
        f"{counted(len(stops), 'stop')}",
    )


@rule(
    "control.single_fault",
    level="error",
    statement="No single fault lets gas flow while nobody holds a button",
    source=_FAULTS,
    needs=(WIRING, LOGIC),
)
def single_fault(ctx: Context) -> Verdict:
    return _faults(
        ctx,
        "held",
        "two valves in series, each with a line and contacts of its own; at the fault: "
        "a second contact in another line",
    )


@rule(
    "control.stop_fault",
    level="warning",
    statement="No single fault keeps gas on while an emergency stop is pressed",
    source=_FAULTS,
    needs=(WIRING, LOGIC),
    rests_on=("control.direct_opening",),
)
def stop_fault(ctx: Context) -> Verdict:
    stops = ctx[WIRING].of_kind("stop")
    if ctx[WIRING].parts and not stops:
        return not_applicable("no emergency stop is wired")
    fixes = []
    if any(len(p.spec.texts("contacts")) < 2 for p in stops):
        fixes.append("a second contact of the stop (contacts: [break, break]) in the line of the second valve")
    if not all(p.spec.yes("direct_opening") for p in stops):
        fixes.append("contacts that are pushed apart (direct_opening: true)")
    return _faults(ctx, "stop", ", and ".join(fixes) or "another contact of the stop in each valve's own line")


def _faults(ctx: Context, kind: str, fix: str) -> Verdict:
    w, made = ctx[WIRING], ctx[LOGIC]
    stopped = _unlooked(made, bool(w.parts))
    if stopped:
        return stopped
    broken = next(
        (d for d in made.demands if d.kind == kind and any(d.states & s for s in made.outlets.values())), None
    )
    if broken:
        said = f"gas already flows with nothing wrong although {broken.words}; see the finding on that"
        return not_checked(said, w.parts[broken.tag].at if broken.tag else "/control/parts")
    by_part: dict[str, list[str]] = {}
    for f in made.failed:
        if f.demand.kind == kind:
            by_part.setdefault(f.what, []).append(f.outlet)
    if not by_part and (never := _never(made)):
        return not_checked(never)
    if not by_part:
        return found([], f"{made.faults} single faults in every state")
    told = sorted(by_part)
    shown = several(told, 4, "; ")
    first = next(f for f in made.failed if f.what == told[0] and f.demand.kind == kind)
    at = w.parts[first.tag].at if first.tag in w.parts else "/control/lines"
    demand = next(f.demand.words for f in made.failed if f.demand.kind == kind)
    outlets = sorted({o for listed in by_part.values() for o in listed})
    return found(
        [
            Trouble(
                at,
                f"{demand}, and one fault lets gas reach {', '.join(outlets)}: {shown}",
                fix,
                "contacts weld and wires chafe; then this is all that holds the gas",
            )
        ]
    )


@rule(
    "control.no_short",
    level="error",
    statement="No setting of switches and relays shorts a supply",
    source=_SETTLES,
    needs=(WIRING, LOGIC),
)
def no_short(ctx: Context) -> Verdict:
    """A fuse that opens takes the valves' power as well; which fuse, and how soon, is not to be found out in a show."""
    w, made = ctx[WIRING], ctx[LOGIC]
    if made.too_large:
        return not_checked(made.too_large)
    if not w.circuit.edges:
        return nothing(w)
    shorted = made.seen.stands & (made.seen.blown | made.seen.shorted)
    trouble = Trouble(
        "/control/lines",
        f"plus meets minus through contacts alone {how(shorted, made.circuit)}",
        "a load in that line, or its contact in another",
        "a fuse opens, if there is one, and all that it feeds is dead; without one a wire burns",
    )
    return found([trouble] if shorted else [], f"{made.seen.all.bit_length():,} states of the contacts")


@rule(
    "control.relays_settle",
    level="error",
    statement="No setting of switches makes the relays chatter",
    source=_SETTLES,
    needs=(WIRING, LOGIC),
)
def relays_settle(ctx: Context) -> Verdict:
    w, made = ctx[WIRING], ctx[LOGIC]
    if not w.circuit.relays:
        return nothing(w, "no relay is wired")
    if made.too_large:
        return not_checked(made.too_large)
    relay = w.parts[w.circuit.relays[0]]
    return found(
        [
            Trouble(
                relay.at,
                f"the relays never come to rest {how(made.seen.chatters, made.circuit)}: one takes away the "
                "current that holds it",
                "take the relay's own contact out of the line to its coil",
            )
        ]
        if made.seen.chatters
        else [],
        counted(len(w.circuit.relays), "relay"),
    )


@rule(
    "control.valves_wired",
    level="error",
    statement="Each coil opens a solenoid valve of the plumbing, and each solenoid valve has a coil in the wiring",
    source=_CLOSED,
    needs=(WIRING, NETWORK, LOGIC),
)
def valves_wired(ctx: Context) -> Judging:
    w, network = ctx[WIRING], ctx[NETWORK]
    solenoids = [p for p in network.of_kind("valve") if p.form == "solenoid"]
    if not w.parts:
        return nothing(w)
    wired = valves(w, network)
    known = ", ".join(p.tag for p in solenoids) or "none"
    yield from [
        Trouble(
            p.spec.here("valve") if p.spec.has("valve") else p.at,
            f"coil {p.tag} opens {p.valve}, which is no solenoid valve of the plumbing",
            f"valve: with the tag of one ({known})",
        )
        for p in w.of_kind("coil")
        if p.valve not in wired
    ]
    yield from [
        Trouble(
            p.spec.here("place"),
            f"coil {p.tag} is said to be at {own}, and its valve {p.valve} at {there}",
            "the place of the valve: its coil sits on it",
            "what heat the coil gets, and which wire reaches it, follows from where it is",
        )
        for p in w.of_kind("coil")
        if p.valve in wired
        and (own := p.spec.text_or("place"))
        and (there := network.by_tag[p.valve].spec.text_or("place"))
        and own != there
    ]
    yield from [
        Trouble(p.at, f"solenoid valve {p.tag} has no coil in the wiring", f"a part of kind: coil with valve: {p.tag}")
        for p in solenoids
        if p.tag not in wired
    ]
    yield from [
        Trouble(
            w.parts[coil].at,
            f"valve {valve} has a second coil, {coil}, beside {coils[0]}",
            "one coil, and a spring that closes the valve when it lets go",
            "a valve that one coil opens and another shuts stays as it is when the power is lost",
        )
        for valve, coils in wired.items()
        for coil in coils[1:]
    ]
    return passed(counted(len(wired), "coil"))


@rule(
    "control.normally_closed",
    level="error",
    statement="Each solenoid valve closes by itself when power is removed",
    source=_CLOSED,
    needs=(NETWORK,),
    rests_on=("plumbing.normally",),
)
def normally_closed(ctx: Context) -> Judging:
    solenoids = [p for p in ctx[NETWORK].of_kind("valve") if p.form == "solenoid"]
    if not solenoids:
        return not_applicable("no solenoid valve is in the plumbing")
    for part in solenoids:
        if part.spec.text_or("normally") != "closed":
            stated = part.spec.text_or("normally")
            yield Trouble(
                part.spec.here("normally") if stated else part.at,
                f"{part.tag} is {stated} without power"
                if stated
                else f"{part.tag} does not say that it is closed without power",
                "a valve that is normally: closed",
                "a cut wire would open it",
            )
    return passed(counted(len(solenoids), "valve"))
