"""The procedures of a night and the go or no-go list, gathered for the packet. Other plugins add steps of their own.

A step is said for the parts that are there: no pilots, no line about pilots. Tags are given in flow order.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime

from specc import Citation, Context, View, gather, value
from specc.kinds.faults import CLOSING_ORDER, Closing
from specc.kinds.people import PEOPLE, Person
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import JOINTS, NETWORK, REACHES, ZONES, Joint
from specc.kinds.procedures import CHECKS, STEPS, VISITS, Check, Step, Visit
from specc.kinds.show import EFFECTS, SHOW, TIMELINE, Timeline
from specc.measure.printing import show
from specc.model.view import Unreadable
from specc.model.wording import says
from specc_operators import clouds, during, habits, incidents, leaks, shutdown
from specc_operators.charged import StillFull, all_charged, each_night
from specc_operators.crew import Crew, Hand
from specc_operators.device import Device, flow_order
from specc_operators.firing import firing
from specc_operators.hours import DUTIES, Duty, named_lead
from specc_operators.in_words import listed
from specc_operators.plan_rules import seen_from
from specc_operators.reliefs import not_reliefs
from specc_operators.rows import AFTER_THUNDER, NWS, in_the_watch, written
from specc_operators.start_up import start_up
from specc_operators.tests_told import air_tests
from specc_operators.visits import visits_of

_PEOPLE = Citation("frederick-flame-effects", "the whole site is looked over before start-up and after", "read")


def crew_of(duties: Iterable[Duty]) -> Crew:
    """Those whose shifts they are: who stands in for a break is named by nobody's step."""
    own = [d for d in duties if not d.stands_in]
    return Crew(tuple(dict.fromkeys(Hand(d.person, d.role, d.effects, d.station) for d in own)), "", not_reliefs(own))


def _desk(control: View) -> str:
    """Where the key is turned, else where the stop is."""
    parts = [p for _, p in control.child("parts").children()]
    for kind in ("key", "button", "stop"):
        for part in parts:
            if part.text_or("kind") == kind and part.has("place"):
                return part.text("place")
    return ""


def _controls(control: View, kind: str) -> tuple[str, ...]:
    """The contacts of a kind that somebody works."""
    return tuple(
        tag for tag, part in control.child("parts").children()
        if part.text_or("kind") == kind and part.text_or("who", "operator") == "operator"
    )  # fmt: skip


def _in_lines(control: View, kind: str) -> dict[str, tuple[str, ...]]:
    """By valve, the parts of one kind in the lines of its coils, such as fuses."""
    parts, made = control.child("parts"), dict[str, tuple[str, ...]]()
    kinds = {tag: part.text_or("kind") for tag, part in parts.children()}
    try:
        lines = [control.child("lines").texts(name) for name in control.child("lines")]
    except Unreadable:  # reported where it stands; the steps are there all the same
        return {}
    for line in ([t.rstrip("+-").partition(".")[0] for t in one] for one in lines):
        for coil in (t for t in line if kinds.get(t) == "coil"):
            valve = parts.child(coil).text_or("valve")
            own = (*made.get(valve, ()), *(t for t in line if kinds.get(t) == kind))
            made[valve] = tuple(dict.fromkeys(own))
    return made


def carrier(operators: View, duties: Sequence[Duty]) -> str:
    """Who carries the gas detector: who is said to, else the lead, who says when gas has blown away."""
    told = written(operators.child("equipment"), "detector_by")
    return told if says(told) else (*crew_of(duties).of_role("lead"), "")[0]


def stays(operators: View, duties: Sequence[Duty]) -> str:
    """Who calls for help in the fire watch: the first of those named who is there until it ends, on each night."""
    last: dict[date, datetime] = {}
    for d in duties:
        last[d.night] = max(d.span.end.real, last.get(d.night, d.span.end.real))
    to_the_end = {(d.person, d.night) for d in duties if d.span.end.real >= last[d.night]}
    watch = in_the_watch(operators.child("emergency"))
    return next((p for p in watch if last and all((p, night) in to_the_end for night in last)), "")


_OF_DEVICE = (NETWORK, REACHES, CLOSING_ORDER, DUTIES, PEOPLE, EFFECTS, ZONES, PLACES)


def _fed_outlets(ctx: Context) -> dict[str, tuple[str, ...]]:
    """By effect, its outlets that gas reaches."""
    fed = {r.outlet for r in ctx.get(REACHES) or ()}
    return {e.tag: tuple(o for o in e.outlets if o in fed) for e in ctx.get(EFFECTS) or ()}


def device_of(ctx: Context) -> Device | None:
    """The device as its crew handles it; None where no outlet is fed."""
    net, reaches = ctx.get(NETWORK), ctx.get(REACHES)
    if net is None or not reaches:
        return None
    effects, outlets = ctx.get(EFFECTS) or (), _fed_outlets(ctx)
    by_outlet: dict[str, tuple[str, ...]] = {}
    for e in effects:
        for o in outlets[e.tag]:
            by_outlet[o] = (*by_outlet.get(o, ()), e.tag)
    duties: tuple[Duty, ...] = ctx.get(DUTIES) or ()
    people: tuple[Person, ...] = ctx.get(PEOPLE) or ()
    lead = None if duties else named_lead(people)
    places, control = ctx.get(PLACES) or {}, ctx.spec("control")
    return Device(
        net,
        flow_order(net),
        crew_of(duties)._replace(named=lead.tag if lead else ""),
        {o: e.tag for e in effects if e.kind == "burst" for o in outlets[e.tag]},
        by_outlet,
        {o: e.place for e in effects for o in outlets[e.tag] if e.place},
        tuple(c.tag for c in ctx[CLOSING_ORDER] if c.action == "bleed"),
        ctx.get(ZONES) or {},
        _desk(control),
        {tag: at for tag, spot in places.items() if (at := spot.stands)},
        heights={tag: spot.point[2] for tag, spot in places.items() if spot.point},
        stops=_controls(control, "stop"),
        stops_at={t: written(control.child("parts").child(t), "place") for t in _controls(control, "stop")},
        keys=_controls(control, "key"),
        buttons=_controls(control, "button"),
        shelter=written(ctx.spec("operators").child("emergency"), "shelter"),
        fuses=_in_lines(control, "fuse"),
        sensors=_in_lines(control, "flame_sensor"),
        timed=any(part.text_or("kind") == "timer" for _, part in control.child("parts").children()),
        battery=any(part.text_or("kind") == "battery" for _, part in control.child("parts").children()),
        radios=ctx.spec("operators").child("equipment").has("radios"),
        detector=carrier(ctx.spec("operators"), duties),
        stays=stays(ctx.spec("operators"), duties),
    ).with_ways()


def _unlit(plumbing: View) -> str:
    """The shortest time that a test of the spec lets gas out unlit at most; "" where none says one."""
    told = []
    for _, test in plumbing.child("tests").children():
        with suppress(Unreadable):  # reported where it stands
            if test.has("unlit"):
                told.append(test.quantity("unlit"))
    return min(told, key=lambda q: q.si).text if told else ""


def _behind_bursts(device: Device, joints: tuple[Joint, ...]) -> dict[str, dict[str, list[str]]]:
    """The joints that come apart behind what fires each burst, by place."""
    apart = [
        j for j in joints
        if j.spec.has("reassembled") or (j.spec.has("comes_apart") and j.spec.yes("comes_apart"))
    ]  # fmt: skip
    made: dict[str, dict[str, list[str]]] = {}
    for burst in device.bursts if apart else ():
        held = device.held_by(burst)
        behind = {p.tag for p in device.net.downstream(held[-1])} if held else set()
        for joint in apart:
            if joint.parts[-1].tag in behind:
                place = next((x for p in reversed(joint.parts) if (x := device.place(p.tag))), "")
                made.setdefault(burst, {}).setdefault(place, []).append(str(joint.number))
    return made


@value(VISITS, needs=(STEPS,), wants=_OF_DEVICE, reads=("control", "operators"))
def visits(ctx: Context) -> tuple[Visit, ...]:
    device = device_of(ctx)
    return tuple(visits_of(ctx[STEPS], device)) if device else ()


@gather(
    STEPS,
    wants=(*_OF_DEVICE, TIMELINE, SHOW, JOINTS),
    reads=("operators", "control", "extinguishers", "plumbing"),
    limits=("operators.fire_watch", clouds.REACH.key, *habits.KEYS),
)
def steps(ctx: Context) -> Sequence[Step]:
    device = device_of(ctx)
    if device is None:
        return ()
    watch = ctx.limit("operators.fire_watch").text
    device = device._replace(unlit=_unlit(ctx.spec("plumbing")), watch=watch)
    device = device._replace(habits=habits.habits_of(ctx), joined=_behind_bursts(device, ctx.get(JOINTS) or ()))
    reach, most = ctx.limit(clouds.REACH.key), next((c.at_most.text for c in ctx[CLOSING_ORDER] if c.at_most), "")
    device = device._replace(gas_reach=reach.text, gas_reach_m=reach.si, blows_on=most or device.blows_on)
    device = device._replace(air_tests=air_tests(ctx.spec("plumbing")))
    outlets, line = _fed_outlets(ctx), ctx.get(TIMELINE)
    if line is not None and not line.stretches:
        line = None
    operators, order, places = ctx.spec("operators"), ctx[CLOSING_ORDER], ctx.get(PLACES) or {}
    stay = operators.text_or("overnight") == "connected"
    every = tuple(o for o in device.effects if o not in device.bursts)

    def of(procedure: str) -> list[Closing]:
        return [c for c in order if c.procedure == procedure]

    shown = ctx.get(SHOW)
    gas_off = [s.tag for s in shown.scenes if s.gas_off_after] if shown else []
    limits = [f"{k.replace('_', ' ')}" for k in ("wind", "visibility") if operators.child("go_no_go").has(k)]
    emergency = shutdown.emergency(device, of("emergency"), operators)
    nights = len(shown.nights) if shown else 0
    planned = night(device, line, outlets, every, of("normal"), watch, stay, gas_off)
    return (
        *(planned if nights != 1 else map(_of_one_night, (s for s in planned if s.night != "later"))),
        *during.cylinder_change(device),
        *during.hand_over(device),
        *during.hold(device, limits, emergency),
        *emergency,
        *leaks.leak(device, of("leak_upstream"), operators, emergency),
        *incidents.incidents(
            device, operators, ctx.spec("extinguishers").child("first_aid"), places.values(), emergency
        ),
    )


def _of_one_night(step: Step) -> Step:
    """Where there is one night, what is for the first or the last is for that."""
    return step._replace(night="every")


def night(
    device: Device,
    line: Timeline | None,
    outlets: Mapping[str, Sequence[str]],
    every: Sequence[str],
    order: Sequence[Closing],
    watch: str,
    stay: bool,
    gas_off: Collection[str] = (),
) -> list[Step]:
    """From the start of a night to its end. Without a timeline all that is steady (`every`) burns, and bursts come."""
    first, armed = during.first_lit(line, outlets) if line else (every, bool(device.bursts))
    live = during.last_armed(line, outlets) if line else armed
    made, state = start_up(device, first, armed, stay)
    if line:
        made += firing(device, line)
        if state.opened:
            changes, state = during.scene_changes(device, state, line, outlets, gas_off, order, watch, made)
            made += changes
    made += during.pilot_out(device, state)
    known = state.opened or state.off
    burning = state.lit if known else tuple(p.tag for p in device.net.of_kind("burner", "pilot"))

    def ends(charged: StillFull) -> list[Step]:
        return shutdown.stop(device, order, watch, burning, live and not state.off, charged, stay)

    return [*made, *(each_night(device, made, ends) if known else ends(all_charged(device)))]


def _barrier(places: Mapping[str, Spot], lines: Sequence[str]) -> str:
    """What keeps the public back, as far as it is described: a barrier that nobody drew is not asked for as if it
    were. `lines`: what the public stands behind."""
    if any(p.kind == "barrier" for p in places.values()):
        return "barrier closed"
    return f"the public behind {listed(lines)}" if lines else "the public kept back by ______ (no barrier is described)"


def _behind(ctx: Context) -> Sequence[str]:
    try:
        return ctx.spec("flame").texts("audience")
    except Unreadable:
        return ()


@gather(
    CHECKS,
    reads=("operators", "weather", "event", "control", "extinguishers", "flame"),
    wants=_OF_DEVICE,
    limits=(clouds.REACH.key,),
)
def checks(ctx: Context) -> Sequence[Check]:
    operators = ctx.spec("operators")
    limits = operators.child("go_no_go")
    duties: tuple[Duty, ...] = ctx.get(DUTIES) or ()
    people: tuple[Person, ...] = ctx.get(PEOPLE) or ()
    places = ctx.get(PLACES) or {}
    lead = None if duties else named_lead(people)
    leads = listed(crew_of(duties).of_role("lead")) or (lead.tag if lead else "")
    made = [
        Check(
            5,
            f"Go is said by the lead ({leads}) alone; stop by anybody, and nobody asks why."
            if leads
            else "Go is said by ______ alone (no lead is on a roster); stop by anybody, and nobody asks why.",
        ),
        Check(7, _permit(ctx.spec("event"))),
        Check(
            10, "Everybody on duty is at their post, briefed, rested, sober, in long cotton or wool and closed shoes."
        ),
        Check(
            20,
            f"The site has been looked over: {_barrier(places, _behind(ctx))}, exits clear, nothing that burns near "
            "the flame.",
            _PEOPLE,
        ),
        Check(
            22,
            "Since they were last watched: hoses and wires walked, outlets and vents looked into (water, insects).",
        ),
        Check(
            30,
            "Extinguishers stand at their places, and whoever uses them knows them."
            if ctx.spec("extinguishers").child("units").children()
            else "Extinguishers: none is described; they stand at ______, and whoever uses them knows them.",
        ),
    ]
    equipment = operators.child("equipment")
    detector = equipment.text_or("gas_detector")
    detector = detector if says(detector) else "where it is kept is not stated; carried tonight by ______"
    carries = carrier(operators, duties)
    by = f"; carried by {carries}" if carries and says(equipment.text_or("gas_detector")) else ""
    made.append(Check(32, f"A gas detector for propane is on, tried tonight and in date: {detector}{by}."))
    if equipment.has("radios"):
        made.append(Check(33, f"Radios ({equipment.text('radios')}): the lead calls each post, and each answers."))
    lamps = equipment.text_or("lamps")
    lamps = lamps if says(lamps) else "where they hang is not stated"
    hands = [p for p in _by_hand(ctx) if not re.search(rf"\b{re.escape(p)}\b", lamps)]
    at = f" ({', '.join(hands)})" if hands else ""
    made.append(
        Check(34, f"A lamp that needs no mains is lit at each place with valves or a stop{at}: {lamps}.{_let_out(ctx)}")
    )
    if net := ctx.get(NETWORK):
        made += [Check(31, _FAR)] if net.of_kind("cylinder") else []
    if limits.has("wind"):
        wind = limits.child("wind")
        made.append(
            Check(40, f"Wind is not above {wind.quantity('above').text}{_measured(ctx.spec('weather'))}.")
        )  # fmt: skip
    elif stop_wind := ctx.spec("weather").child("wind").quantity_or_none("stop"):
        wind_text = stop_wind.text or show(stop_wind.si, "speed")
        made.append(Check(40, f"Wind is not above {wind_text}, for which this packet is computed."))
    if limits.has("visibility"):
        sight = limits.child("visibility")
        apart = seen_from(ctx.get(PLACES) or {}, sight)
        mark = (
            f": {sight.text('mark')} is seen from {sight.text('from')}, {show(apart.si, 'length', 'ft', 3)} away"
            if apart
            else ""
        )
        text = f"Visibility at least {sight.quantity('below').text}{mark}."
        made.append(Check(50, text))
    topics = [("crowd", limits.child("crowd"))] if limits.has("crowd") else []
    topics += [("lightning", limits.child("lightning"))] if limits.has("lightning") else []
    topics += list(limits.child("others").children())
    if topics:
        told = ", ".join(name.replace("_", " ") for name, _ in topics)
        made.append(Check(60, f"Nothing else of what stops the show, by its table, is so: {told}."))
    asked = "; ".join(_asked(limits.child(key), what) for key, what in (("burn_ban", "ban"), ("red_flag", "red flag")))
    made.append(Check(90, f"No burn ban and no red-flag day here today ({asked})."))
    watch = limits.child("lightning").text_or("by")
    by = f"; {watch} watches for it" if says(watch) else ""
    made.append(Check(92, f"No thunder heard and no lightning seen in the last {AFTER_THUNDER}{by}.", NWS))
    return made


_FAR = "How far all go back from a cylinder in a fire is asked of the fire service, and filled in beside the steps."


def _let_out(ctx: Context) -> str:
    """What spark may stand beside gas that is let out unlit."""
    device = device_of(ctx)
    vents = [p for b in device.bleeds if (p := device.place(b))] if device else []
    if not device or not vents:
        return ""
    return (
        f" While gas is let out at {listed(dict.fromkeys(vents))}: none within {ctx.limit(clouds.REACH.key).text}, nor "
        "a lit dial or radio, but one made for it (Class I, Group D)."
    )


def _asked(told: View, what: str) -> str:
    """Whom somebody asks on the day, with room for when."""
    by, of = told.text_or("by") or "______", told.text_or("of") or "the authority"
    return f"{what}: {of} asked by {by} at ______"


def _by_hand(ctx: Context) -> list[str]:
    """Where somebody closes something in the dark: at hand valves, bleeds, cylinders and the controls."""
    device = device_of(ctx)
    if device is None:
        return []
    tags = (*device.cylinders(), *device.hand(), *device.bleeds)
    return [p for p in dict.fromkeys((*map(device.place, tags), device.desk)) if p]


def _permit(event: View) -> str:
    """A permit that was applied for is not in hand."""
    permit = event.child("permit")
    told = [f"as stated: {permit.text('state')}"] if says(permit.text_or("state")) else ["its state is not stated"]
    told += [f"held by {permit.text('holder')}"] if says(permit.text_or("holder")) else []
    return f"The permit is in hand, its conditions read out ({'; '.join(told)}); number ______."


def _measured(weather: View) -> str:
    """What wind the limit is of: gust or mean, over how long, how high. With what stands in the table of limits."""
    told = weather.child("wind")
    words = [told.text(key) for key in ("kind",) if told.has(key)]
    words += [f"over {told.quantity('averaging').text}"] if told.has("averaging") else []
    words += [f"at {told.quantity('height').text}"] if told.has("height") else []
    return f", {', '.join(words)}" if words else ", how it is measured is not stated"
