"""The procedures of a night, from the project's own valves. Other plugins add steps of their own.

A step is said for the parts that are there: no pilots, no line about pilots. Tags are given in flow order.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

from specc import PRACTICE, Citation, Context, View, gather
from specc.kinds.faults import CLOSING_ORDER, Closing
from specc.kinds.plumbing import NETWORK, REACHES, Network, Part, Reach
from specc.kinds.procedures import CHECKS, STEPS, Action, Check, Step
from specc.measure.printing import show
from specc_operators.hours import DUTIES, Duty

_FLAME = Citation("nfpa-10", "pressurized flammable gas fires; edition and section not yet read", "memory")
_BY_EYE = Citation("nfpa-160", "a pilot is proved by eye, or else by a safety control; section not seen", "reprint")
_WATCH = Citation("osha-1915-504", "30 min after hot work; by analogy", "read")
_PEOPLE = Citation("frederick-flame-effects", "the whole site is looked over before start-up and after", "read")


class OutletLine(NamedTuple):
    """The parts on the way to the outlets, by what a crew does with them."""

    cylinders: tuple[str, ...]
    regulators: tuple[Part, ...]
    hand: tuple[str, ...]  # hand valves with what they feed
    first: tuple[str, ...]  # on each way, the hand valve nearest to the cylinder
    remote: tuple[str, ...]
    vessels: tuple[str, ...]
    gauges: tuple[str, ...]
    early_gauges: tuple[str, ...]  # those that show the cylinder's gas while every hand valve is closed
    pilots: tuple[str, ...]
    to_pilots: tuple[str, ...]  # hand valves on the ways to the pilots
    burners: tuple[str, ...]
    by_torch: tuple[str, ...]  # burners of which nobody says what lights them
    held_air: tuple[str, ...]
    fills: tuple[str, ...]  # hand valves that do no more than fill an accumulator
    unsure: tuple[str, ...]  # remote valves that are not said to be closed without power


_HAND = ("ball", "needle", "globe")


def _ways(net: Network, reaches: tuple[Reach, ...]) -> tuple[tuple[str, ...], ...]:
    """A way, as tags in flow order, from each cylinder to each outlet it feeds: a valve at the second cylinder
    is closed like the one at the first."""
    return tuple(net.way(cylinder, reach.outlet) for reach in reaches for cylinder in reach.cylinders)


def _is_hand_valve(part: Part) -> bool:
    return part.kind == "valve" and part.form in _HAND


def line_of(net: Network, reaches: tuple[Reach, ...]) -> OutletLine:
    """What stands on the ways from the cylinders to the outlets, in flow order, each once."""
    parts = {p.tag: p for p in net.parts}
    by_tag = _ways(net, reaches)
    ways = [tuple(parts[t] for t in way if t in parts) for way in by_tag]
    ordered = _in_flow_order(by_tag)

    def of(kind: str, *forms: str) -> tuple[str, ...]:
        return tuple(t for t in ordered if parts[t].kind == kind and (not forms or parts[t].form in forms))

    def fills(tag: str) -> tuple[str, ...]:
        """The accumulators that a valve fills, if that is all it does."""
        after = [way[way.index(tag) :] for way in by_tag if tag in way]
        stores = [next((t for t in way if t in parts and parts[t].kind == "accumulator"), "") for way in after]
        return tuple(dict.fromkeys(stores)) if stores and all(stores) else ()

    def feeds(tag: str) -> str:
        if fills(tag):
            return f"{tag} (fills {', '.join(fills(tag))})"
        outlets = list(dict.fromkeys(way[-1] for way in by_tag if tag in way))
        return f"{tag} (to {', '.join(outlets)})" if len(outlets) <= 3 else f"{tag} (to {len(outlets)} outlets)"

    firsts = [next((p.tag for p in way if _is_hand_valve(p)), "") for way in ways]
    while_closed = net.walk((p.tag for p in net.of_kind("cylinder")), net.after, _is_hand_valve)
    return OutletLine(
        tuple(dict.fromkeys(c for r in reaches for c in r.cylinders)),
        tuple(parts[t] for t in of("regulator")),
        tuple(feeds(t) for t in of("valve", *_HAND)),
        tuple(dict.fromkeys(f for f in firsts if f)),
        of("valve", "solenoid"),
        of("accumulator"),
        tuple(p.tag for p in net.of_kind("gauge")),
        tuple(p.tag for p in net.of_kind("gauge") if p.tag in while_closed),
        of("pilot"),
        tuple(
            t
            for t in of("valve", *_HAND)
            if any(t in way and parts[way[-1]].kind == "pilot" for way in by_tag if way[-1] in parts)
        ),
        of("burner"),
        tuple(t for t in of("burner") if not parts[t].spec.has("lit_by")),
        of("accumulator") + of("hose") + of("pipe") + of("tube"),
        tuple(t for t in of("valve", *_HAND) if fills(t)),
        tuple(t for t in of("valve", "solenoid") if parts[t].spec.text_or("normally") != "closed"),
    )


def _in_flow_order(ways: tuple[tuple[str, ...], ...]) -> tuple[str, ...]:
    """Every tag once, and none before one that gas passes first."""
    sorter: TopologicalSorter[str] = TopologicalSorter()
    for way in ways:
        for before, to in itertools.pairwise(way):
            sorter.add(to, before)
    try:
        return tuple(sorter.static_order())
    except CycleError:  # a run that leads back to itself: reported by a plumbing rule
        return tuple(dict.fromkeys(tag for way in ways for tag in way))


def said(tags: Iterable[str]) -> str:
    listed = tuple(tags)
    return ", ".join(listed[:-1]) + " and " + listed[-1] if len(listed) > 1 else "".join(listed)


def _setting(part: Part) -> str:
    return f"{part.tag} to {part.spec.quantity('set').text}"


def start(line: OutletLine) -> list[Step]:
    made = [
        (10, "Every line of the go and no-go list is so, everybody is at their post, and signals are tried."),
        (
            20,
            f"Close every hand valve: {said(line.hand)}." if line.hand else "No hand valve is described: do not start.",
        ),
        (
            40,
            f"Stand {said(line.cylinders)} upright and secured. Connect, and set "
            f"{said(map(_setting, line.regulators))}."
            if line.regulators
            else f"Stand {said(line.cylinders)} upright and secured, and connect.",
        ),
        (
            50,
            f"Open {said(line.cylinders)} slowly. Look for leaks with soap solution at every joint that now holds "
            f"pressure, up to {said(line.first) or 'the first closed valve'}. Bubbles: close the cylinder, put it "
            "right, begin again.",
        ),
    ]
    if line.remote:
        made.append((30, f"Controls off, key with the lead operator: {said(line.remote)} without power."))
    if line.early_gauges:
        made.append((55, f"Close the cylinder again and watch {said(line.early_gauges)}: a falling needle is a leak."))
    if line.held_air:
        made.append(
            (
                60,
                f"First fill. After assembly {said(line.held_air)} held air. With no flame, pilot or spark near, "
                "nobody downwind, and no low place for gas to run to, let gas in slowly, one valve at a time, and push "
                "the air out at the outlet into the open. Close, wait until the gas has blown away (a gas detector "
                "tells, the nose alone does not), and look for leaks again behind each valve that was opened.",
            )
        )
    if line.vessels:
        made.append(
            (
                65,
                f"What fills {said(line.vessels)} first is gas mixed with the air that was in it. Vent it unlit in the "
                "open and fill again, and again after every opening of the vessel, before anything is lit.",
            )
        )
    if line.pilots:
        made.append(
            (
                70,
                f"Light {said(line.pilots)}{', one at a time' if len(line.pilots) > 1 else ''}: hold a flame there "
                f"first, then open {said(line.to_pilots) or 'the valves before it'} slowly, in flow order, with every "
                "other valve closed. A person sees each pilot burn before any other valve opens.",
            )
        )
    else:
        made.append(
            (
                70,
                f"Hold a lit torch at {said(line.by_torch)} first, then let gas in: flame before gas."
                if line.by_torch
                else "Light each outlet by its own way, as listed next: flame or spark before gas.",
            )
        )
    if _left(line):
        made.append((80, f"Open slowly, in flow order, and watch each outlet light: {said(_left(line))}."))
    made += [
        *_filling(line),
        (
            90,
            "If an outlet does not light at once, close its valve, wait until the gas has blown away, and begin that "
            "outlet again.",
        ),
    ]
    return [Step(n, "start", text, _BY_EYE if n == 70 and line.pilots else PRACTICE) for n, text in made]


def _left(line: OutletLine) -> tuple[str, ...]:
    """Hand valves that lighting the pilots has not opened and that light something, with what they feed."""
    opened = (*(line.to_pilots if line.pilots else ()), *line.fills)
    return tuple(v for v in line.hand if v.split(" ", 1)[0] not in opened)


def _filling(line: OutletLine) -> list[tuple[int, str]]:
    """Accumulators are filled last: nothing burns from them until somebody lets a burst go."""
    if not line.fills:
        return []
    gauge = f", and wait until {said(line.gauges)} is steady" if line.gauges else ""
    return [
        (
            85,
            f"Open slowly {said(line.fills)}{gauge}. This fills {said(line.vessels)} and lights nothing; nobody stands "
            f"near {said(line.burners)} from now on.",
        )
    ]


def _posts(duties: Iterable[Duty]) -> dict[str, tuple[str, ...]]:
    """By place, who is stationed there."""
    made: dict[str, dict[str, None]] = {}
    for duty in duties:
        if duty.station:
            made.setdefault(duty.station, {})[duty.person] = None
    return {place: tuple(people) for place, people in made.items()}


def _by_place(closings: Iterable[Closing]) -> dict[str, list[str]]:
    made: dict[str, list[str]] = {}
    for c in closings:
        made.setdefault(c.where, []).append(c.tag)
    return made


def _each_place(closings: Iterable[Closing], posts: Mapping[str, tuple[str, ...]]) -> str:
    """What is closed where, and by whom: "at box (birch, cedar) v1 and v_p; at supply (dogwood) tank_a"."""
    made = []
    for place, tags in _by_place(closings).items():
        people = f" ({', '.join(posts[place])})" if place in posts else ""
        made.append(f"at {place}{people} {said(tags)}" if place else said(tags))
    return "; ".join(made)


def _at_end(order: int, group: Sequence[Closing], line: OutletLine) -> str:
    """What a group of the normal order that is done alike reads as."""
    tags, cylinders = said(c.tag for c in group), {c.tag for c in group} & set(line.cylinders)
    gauge = said(line.gauges)
    match group[0].action:
        case "close" if cylinders:
            return (
                f"Fuel watch closes {tags} while a flame still burns, so that the gas in the lines burns off."
                if line.burners
                else f"Fuel watch closes {tags}."
            )
        case "close" if group[0].why:
            return f"Close {tags}, {group[0].why}."
        case "close":
            first = "When the last flame is out, close" if order < _PILOTS else "Last, close"
            return f"{first} the hand valves in flow order: {tags}."
        case "fire_down":
            until = f"until {gauge} shows a few psi" if gauge else "until the flame is small"
            last = (
                ""
                if order < _SUPPLY
                else " If that flame goes out first, let no more gas out near any flame: what is left is vented "
                "slowly into the open, as at the first fill."
            )
            first = "At once burn" if order > _SUPPLY else "Burn"
            over = "in short bursts over a flame that is seen to burn"
            return f"{first} off {tags} {over}, {until}: {group[0].why}.{last}"
        case "burn_off":
            pilot = all(t in line.pilots for t in (c.tag for c in group))
            return f"{tags} {'burns' if len(group) == 1 else 'burn'} {'last, ' if pilot else ''}until the gas is gone."
        case "switch_off":
            return f"Controls off, key out: {tags} without power."
        case "bleed":
            shows = f" until {gauge} shows nothing" if gauge else ""
            return (
                f"Let down what is left by {tags}, slowly, in the open{shows}: {group[0].why}; nothing lit near, "
                "nobody downwind, no low place for gas to run to."
            )
    raise AssertionError(group[0].action)


_NO_ORDER = (
    "What else is closed, and in which order, could not be read off the plumbing: do not start before it is known."
)
_SUPPLY, _PILOTS = 40, 70  # places in the normal order: the cylinders, and the pilots


def stop(line: OutletLine, order: Sequence[Closing], watch: str) -> list[Step]:
    """The normal order, between the end of the show and the watch after it."""
    made = [
        Step(
            1, "stop", "The lead operator gives the end of the show, and the spotter keeps people back until the watch "
            "is over.",
        ),
        Step(
            100, "stop",
            f"Write down the time of the last flame. The fire watch begins, stays at least {watch} "
            "and does nothing else.",
            _WATCH,
        ),
        Step(101, "stop", "Let parts cool, then disconnect the cylinders, close their outlets and store them upright."),
        Step(
            102, "stop", "A second person touches and names every valve closed: "
            + said((*line.cylinders, *(v.split(" ", 1)[0] for v in line.hand)))
            + ".",
        ),
    ]  # fmt: skip
    if not order:
        made.append(Step(40, "stop", f"Close {said(line.cylinders)}. {_NO_ORDER}"))
    for number, group in _alike(order):
        one = group[0] if len(group) == 1 else None
        made.append(
            Step(
                number,
                "stop",
                _at_end(number, group, line),
                group[0].citation,
                _DONE[group[0].action],
                one.tag if one else "",
                group[0].who,
                one.where if one else "",
            )
        )
    return made


_DONE: dict[str, Action] = {
    "close": "close", "fire_down": "fire", "burn_off": "watch", "bleed": "bleed", "switch_off": "switch_off",
}  # fmt: skip


def _alike(order: Iterable[Closing]) -> list[tuple[int, list[Closing]]]:
    """What is done alike at one place in an order, in that order."""
    made: dict[tuple[int, str], list[Closing]] = {}
    for c in order:
        made.setdefault((c.order, c.action), []).append(c)
    return [(number, group) for (number, _), group in sorted(made.items(), key=lambda pair: pair[0][0])]


def _without_power(line: OutletLine) -> str:
    """What remote valves do when their power is cut, as far as the spec says."""
    shut = tuple(t for t in line.remote if t not in line.unsure)
    words = f"{said(shut)} should then shut. " if shut else ""
    verb = "is" if len(line.unsure) == 1 else "are"
    return words + (f"{said(line.unsure)} {verb} not said to shut without power. " if line.unsure else "")


def emergency(
    line: OutletLine, order: Sequence[Closing], posts: Mapping[str, tuple[str, ...]], operators: View
) -> list[Step]:
    signal = operators.child("signals").child("stop").text_or("given")
    call, meet = (operators.child("emergency").text_or(key) for key in ("call", "meet"))
    given = f" ({signal})" if signal else ""
    by_hand = [c for c in order if c.action == "close"]
    made = [
        (10, f"Whoever sees danger gives the stop signal{given}. Nobody asks why first."),
        (
            30,
            "Everybody closes what is nearest to them and can be reached safely, at once; nobody waits for anybody: "
            + (f"{_each_place(by_hand, posts)}." if by_hand else f"{said(line.cylinders)}. {_NO_ORDER}"),
        ),
        (40, "Do not knock a flame down while gas still flows. Stop the gas; put out what else burns."),
        (50, "Spotters move people away, upwind and uphill: propane runs to low places."),
        (
            60,
            f"Call {call or 'the fire service'}"
            + (f", and meet them at {meet}" if meet else "")
            + ". Say: propane, how much, where, who is hurt.",
        ),
        (
            70,
            "If a cylinder is in the flame and cannot be reached, leave it, keep everybody far "
            "away, and say so to the fire service.",
        ),
        (80, "Nobody lights anything again until the lead operator has found the cause and the authority agrees."),
    ]
    if line.remote:
        made.append(
            (
                20,
                f"Let go of every control and cut its power: {_without_power(line)}"
                "Do not rely on it: go on with the hand valves.",
            )
        )
    if line.vessels:
        made.append(
            (
                55,
                f"{said(line.vessels)} still {'holds' if len(line.vessels) == 1 else 'hold'} gas under pressure: "
                f"nobody goes near {said(line.burners)} until it has been vented.",
            )
        )
    return [Step(n, "emergency", text, _FLAME if n == 40 else PRACTICE) for n, text in made]


def leak(order: Sequence[Closing], posts: Mapping[str, tuple[str, ...]]) -> list[Step]:
    """Gas that comes out unlit ahead of the valves at the outlets."""
    groups = _alike(order)
    if not groups:
        return []
    made = [
        "Gas is smelled or heard: the stop signal. Nobody lights, switches or plugs anything near it; everybody goes "
        "upwind and uphill.",
        f"If it may come from ahead of the valves at the outlets, the cylinders first, as {groups[0][1][0].why}, if "
        f"they can be reached from upwind: {_each_place(groups[0][1], posts)}.",
    ]
    made += [f"Then what is nearest to each, at once: {_each_place(group, posts)}." for _, group in groups[1:]]
    made.append(
        "Nothing is burned off or let down. Nobody goes back until the gas has blown away (a gas detector tells, the "
        "nose alone does not) and the lead operator says so."
    )
    return [Step(10 * n, "leak", text) for n, text in enumerate(made, 1)]


@gather(STEPS, wants=(NETWORK, REACHES, CLOSING_ORDER, DUTIES), reads=("operators",), limits=("operators.fire_watch",))
def steps(ctx: Context) -> Sequence[Step]:
    net, reaches = ctx.get(NETWORK), ctx.get(REACHES)
    if net is None or not reaches:
        return ()
    order, duties = ctx[CLOSING_ORDER], ctx.get(DUTIES)
    line, posts = line_of(net, reaches), _posts(duties or ())

    def of(procedure: str) -> list[Closing]:
        return [c for c in order if c.procedure == procedure]

    return (
        *start(line),
        *stop(line, of("normal"), ctx.limit("operators.fire_watch").text),
        *emergency(line, of("emergency"), posts, ctx.spec("operators")),
        *leak(of("leak_upstream"), posts),
    )


@gather(CHECKS, reads=("operators", "weather"))
def checks(ctx: Context) -> Sequence[Check]:
    operators = ctx.spec("operators")
    limits = operators.child("go_no_go")
    made = [
        Check(10, "Everybody on the roster is here, briefed, rested and sober."),
        Check(
            20,
            "The site has been looked over: barrier closed, exits clear, nothing that burns near the flame.",
            _PEOPLE,
        ),
        Check(30, "Extinguishers stand at their places, and whoever uses them knows them."),
    ]
    if limits.has("wind"):
        wind = limits.child("wind")
        made.append(Check(40, f"Wind is not above {wind.quantity('above').text} (choice of {wind.text('who')})."))
    elif stop_wind := ctx.spec("weather").child("wind").quantity_or_none("stop"):
        wind_text = stop_wind.text or show(stop_wind.si, "speed")
        made.append(Check(40, f"Wind is not above {wind_text}, for which this packet is computed."))
    if limits.has("visibility"):
        sight = limits.child("visibility")
        made.append(Check(50, f"Visibility at least {sight.quantity('below').text} (choice of {sight.text('who')})."))
    topics = [("crowd", limits.child("crowd"))] if limits.has("crowd") else []
    topics += list(limits.child("others").children())
    for i, (_, topic) in enumerate(topics):
        made.append(Check(60 + i, f"No go when: {topic.text('when')} (choice of {topic.text('who')})."))
    return made


PASSES = (steps, checks)
