"""The end of a night, an emergency, and a leak: the closing order that is read off the plumbing, with who does it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from specc import Citation, View
from specc.kinds.faults import Closing, seen_out, while_it_blows
from specc.kinds.procedures import AFTER_STOP, Act, Action, Procedure, Step
from specc_operators.after_stop import LINES, NOT_SHUT, OVER, let_down, lines_let_out, night_over
from specc_operators.charged import StillFull
from specc_operators.clouds import not_where_smelled
from specc_operators.device import Device
from specc_operators.filling import carried, two_carry
from specc_operators.in_words import first_up, listed
from specc_operators.power import key_out
from specc_operators.readings import gauges_at
from specc_operators.rows import WAIT, callers, reads_nothing, row

FLAME = Citation("nfpa-10", "pressurized flammable gas fires; edition and section not yet read", "memory")
_WATCH = Citation("osha-1915-504", "30 min after hot work; by analogy", "read")

NO_ORDER = (
    "What else is closed, and in which order, could not be read off the plumbing: do not start before it is known."
)
LATE = 20  # place in the emergency of what waits until nothing comes out of a burst any more
_SUPPLY, _PILOTS = 40, 70  # places in the normal order: the cylinders, and the pilots
_DONE: dict[str, Action] = {
    "close": "close", "fire_down": "fire", "burn_off": "watch", "bleed": "bleed", "switch_off": "switch_off",
}  # fmt: skip


def act_of(device: Device, c: Closing) -> Act:
    """A closing as an act of somebody: whoever is posted there, at the desk for what is done by power."""
    if c.action == "fire_down":
        return Act("fire", c.tag, *device.fires(device.bursting([c.tag])))
    where = device.desk if c.action == "switch_off" else c.where
    if c.who in ("valve", "fuel_watch") and c.action != "burn_off":
        return Act(_DONE[c.action], c.tag, device.who(c.tag), where)
    if c.action == "switch_off" and device.bursts:  # whoever fired stands there with the key, and hands it over
        return Act("switch_off", c.tag, device.crew.pick(where, "valve", tuple(device.bursts.values())), where)
    effects: tuple[str, ...] = ()
    if c.action == "burn_off":
        # Seen from the valve that is closed next.
        where = next((device.place(v) for v in device.last_before(c.tag)), "")
        effects = device.effects.get(c.tag, ())
    return Act(_DONE[c.action], c.tag, device.crew.pick(where, c.who, effects) if c.who else "", where)


def alike(order: Iterable[Closing]) -> list[tuple[int, list[Closing]]]:
    """What is done alike at one place in an order, in that order."""
    made: dict[tuple[int, str], list[Closing]] = {}
    for c in order:
        made.setdefault((c.order, c.action), []).append(c)
    return [(number, group) for (number, _), group in sorted(made.items(), key=lambda pair: pair[0][0])]


def quick_first(device: Device, acts: Iterable[Act]) -> list[Act]:
    """A quarter turn is done in a second, a handwheel takes many: what turns by a quarter is closed first."""
    return sorted(acts, key=lambda a: a.tag in device.net.by_tag and device.net.by_tag[a.tag].form != "ball")


def each_place(acts: Iterable[Act]) -> str:
    """What is closed where: "at box v1 and v_p; at supply tank_a". Who stands there is said beside the step."""
    by: dict[str, list[str]] = {}
    for a in acts:
        by.setdefault(a.where, []).append(a.tag)
    return "; ".join(f"at {place} {listed(tags)}" if place else listed(tags) for place, tags in by.items())


def _at_end(order: int, group: Sequence[Closing], device: Device, still: Sequence[str]) -> str:
    """What a group of the normal order that is done alike reads as."""
    net = device.net
    tags, cylinders = listed(c.tag for c in group), {c.tag for c in group} & {*device.cylinders()}
    near = {g for c in group for g in gauges_at(device, c.tag)}
    gauges = [g for g in device.read_from_posts() if g in near]
    gauge = listed(gauges)
    match group[0].action:
        case "close" if cylinders:
            # Of what only bursts no flame is left that would burn the lines empty.
            return f"Close {tags}" + (
                " while a flame burns: the lines burn off."
                if still
                else ". The lines keep their gas until it is let out."
            )
        case "close" if group[0].why:
            return f"Close {tags}, {group[0].why}."
        case "close" if order < _PILOTS:
            pilots = [o for o in still if net.by_tag[o].kind == "pilot"]
            on = f"; {listed(pilots)}, if lit, {'burns' if len(pilots) == 1 else 'burn'} on" if pilots else ""
            return f"As soon as they are out, close the hand valves in flow order: {tags}{on}."
        case "close":
            return f"Last, close the hand valves in flow order: {tags}."
        case "fire_down":
            shows = "shows" if len(gauges) == 1 else "show"
            until = f"until {gauge} {shows} {device.habits.let_down} or less" if gauge else "until the flame is small"
            # Where a pilot went out in mid-show, this is the way to the let-down: nothing is burned off then.
            unlit = " No flame there: no burst; " + (
                "let down when every flame is out, as after an emergency."
                if device.bleeds
                else f"it stays charged, nobody near {listed(device.bursting([c.tag for c in group]))}."
            )
            last = (
                unlit
                if order < _SUPPLY
                else " If that flame goes out first, let no more gas out near any flame: what is left is vented "
                "slowly into the open, as at the first fill."
            )
            first = "At once burn" if order > _SUPPLY else "Burn"
            over = f"in short bursts {device.over()}"
            return f"{first} off {tags} {over}, {until}: a few psi keep air out.{last}"
        case "burn_off":
            # In mid-show more of them burn than at its end.
            last_of_all = all(net.by_tag[c.tag].kind == "pilot" for c in group)
            last = "last, " if last_of_all else ""
            # One that went out in the show has its valve shut.
            burns = f"{tags}{', if lit,' if last_of_all else ''} {'burns' if len(group) == 1 else 'burn'}"
            burns = burns if {c.tag for c in group} <= {*still} else f"What burns of {tags} burns"
            return f"{burns} {last}until the gas is gone."
        case "switch_off":
            return f"Controls off, {key_out(device)}: {tags} without power."
        case "bleed":
            vessels = [p.tag for c in group for p in net.upstream(c.tag) if p.kind == "accumulator"]
            own = dict.fromkeys(g for v in vessels for g in gauges_at(device, v))
            shows = f" until {listed(own)} {'shows' if len(own) == 1 else 'show'} nothing" if own else ""
            first = f"its plug out first, with {tags} shut"
            if group[0].plugs:
                of_all = "the plug behind each out first, its valve shut"
                first = group[0].plugs_first if len(group) == 1 else of_all
            why = f"{first}; {group[0].why}"
            return (
                f"Let down by {tags}, slowly, in the open{shows}: {why}; nothing lit near, nobody downwind, no low "
                f"place. Close {tags}, plug back in."
            )
    raise AssertionError(group[0].action)


def _second(device: Device, valve: str, lead: str, shut_by: str) -> str:
    """Who looks at a valve that somebody else shut: the lead, but for what the lead shut."""
    return lead if lead != shut_by else device.crew.pick(device.place(valve), "valve", (), (shut_by,))


def _if_not(group: Sequence[Closing], device: Device) -> str:
    """What is done where a group of the normal order does not go as it reads."""
    if group[0].action == "burn_off":
        return "It burns on: a cylinder is not shut. Close it again."
    if group[0].action == "close" and {c.tag for c in group} & {*device.cylinders()}:
        return "Not shut: the next valve behind it. No flame: lines let out as after an emergency."
    return ""


def _holds(device: Device, c: Closing, charged: StillFull) -> bool:
    """Whether there is gas in what is burned down or let down: what is low already is not burned down once more."""
    if c.action == "fire_down":
        return c.tag in charged.full
    return any(p.tag in charged.full | charged.low for p in device.net.upstream(c.tag))


def stop(
    device: Device, order: Sequence[Closing], watch: str, still: Sequence[str], armed: bool, charged: StillFull,
    stay: bool,
) -> list[Step]:  # fmt: skip
    """From the end of the show to the end of the watch. `still`: what burns when it ends; `armed`: bursts may come;
    `charged`: what gas stands in when it ends."""
    order = [c for c in order if c.action not in ("fire_down", "bleed") or _holds(device, c, charged)]
    # What has a feed of its own was burned down when its last scene ended.
    order = [c for c in order if armed or c.action != "fire_down" or not device.own_feed(c.tag)]
    # What stands behind a valve that was not opened for a burst comes out by its bleed, when every flame is out.
    behind = {p.tag for v in device.shut_off() for p in device.net.upstream(v)}
    bled = {p.tag for b in device.bleeds for p in device.net.upstream(b)}
    order = [c for c in order if armed or c.action != "fire_down" or c.tag not in behind & bled]
    crew = device.crew
    lead, second = (*crew.of_role("lead"), "")[0], (*crew.of_role("fire_watch"), "")[0]
    cylinders = device.cylinders()
    keepers = "spotters keep" if crew.spotters() else "whoever watches the public keeps"
    valves = (*cylinders, *device.hand(), *device.bleeds)
    gas_off = "gas off and let down" if device.bleeds else "gas off"
    made = [
        row(
            1,
            f"The lead gives the end of the show; {keepers} people back until the gas is off"
            f"{' and let down' if device.bleeds else ''}.",
            [Act("say", "", lead)],
            procedure="stop",
        ),
        row(
            100,
            f"{gas_off[0].upper()}{gas_off[1:]}, nobody kept back any more: the fire watch begins, {watch} at least, "
            f"nothing beside it, {device.stays + ' ' if device.stays else ''}with the telephone. Note the time.",
            [Act("watch", "", device.stays or second), Act("wait", "", device.stays)],
            procedure="stop",
            citation=_WATCH,
        ),
    ]
    cool = "Burners are left until a hand near feels no heat."
    if stay:
        made.append(
            row(101, f"{cool} {listed(cylinders)} stay connected, closed and locked or watched.", procedure="stop")
        )
    # What no flame burned empty: behind all cylinders, or behind one whose gas lights nothing that burns to the end.
    full = [c for c in cylinders if not {p.tag for p in device.net.downstream(c)} & {*still}]
    if order and full:
        only = full if still else ()
        made += lines_let_out(device, 95, "stop", "Before anything is taken off,", only)
    if still or not order or device.cylinders_let_out():  # else nothing is taken off by the crew
        made.append(
            row(
                103,
                f"{'Still on shift: d' if crew.hands else 'D'}isconnect {listed(cylinders)}, plug, store upright"
                f"{f': {two}' if (two := carried(device, cylinders)) else ''}. {cool}",
                [*(device.act("disconnect", c) for c in cylinders), *two_carry(device, cylinders)],
                procedure="stop",
                night="last" if stay else "every",
                if_not=NOT_SHUT,
            )
        )
    if not order:
        made.append(row(40, f"Close {listed(cylinders)}. {NO_ORDER}", procedure="stop"))
    burned = {"burner", "pilot"}
    fires = [c for c in order if c.action == "fire_down"]
    powered = any(device.net.by_tag[h].form == "solenoid" for b in device.bursts for h in device.held_by(b))
    if fires and powered and not armed:
        who = crew.pick(device.desk, "valve", tuple(device.bursts.values()))
        acts = [*(Act("check", p, who, device.desk) for p in device.lighters()), Act("arm", "", who, device.desk)]
        lights = listed((*device.lighters(), *device.sparks()))
        seen = f" {lights} seen to work" if lights else " what lights it seen to work"
        late = {c.tag for c in fires}
        shut = [
            device.act("open", v) for v in device.shut_off() if late & {p.tag for p in device.net.upstream(v)}
        ]  # no bleed lets it out
        acts = [*shut, *acts]
        opened = f"{listed(a.tag for a in shut)} opened; " if shut else ""
        text = first_up(f"{opened}the key in once more, for what is burned off next:{seen}, nobody near the outlets.")
        no = "Not seen: no key, no burst; what is left is vented slowly into the open, as at the first fill."
        made.append(row(min(c.order for c in fires) - 1, text, acts, procedure="stop", if_not=no))
    for number, group in alike(order):
        some = [
            c for c in group
            if c.action != "burn_off" or c.tag in still or device.net.by_tag[c.tag].kind not in burned
        ]  # fmt: skip
        if not some:
            continue
        acts = [act_of(device, c) for c in some]
        if group[0].action == "switch_off":
            acts = [Act("disarm" if device.bursts else "key_out", "", acts[0].who, device.desk), *acts]
        if group[0].action == "bleed":
            acts += [a._replace(action="close") for a in acts]
        said = group if group[0].action == "burn_off" else some  # in mid-show more may burn than at its end
        text, no = _at_end(number, said, device, still), _if_not(some, device)
        made.append(row(number, text, acts, procedure="stop", if_not=no, citation=some[0].citation))
    # Asked of the acts that are made already: who shuts a valve is a walk of all behind it.
    shut_by = {a.tag: a.who for s in made for a in s.acts if a.action == "close"}
    touched = row(
        101,
        f"A second person touches and names every valve closed: {listed(valves)}.",
        [Act("check", t, _second(device, t, lead, shut_by.get(t, "")), device.place(t)) for t in valves],
        procedure="stop",
        if_not="Open, or it hisses: close it, and the leak steps.",
    )
    return [*made[:2], touched, *made[2:]]


def _without_power(device: Device) -> str:
    """What remote valves do when their power is cut, as far as the spec says."""
    told = {t: device.net.by_tag[t].spec.text_or("normally") == "closed" for t in device.remote()}
    shut, unsure = [t for t, closed in told.items() if closed], [t for t, closed in told.items() if not closed]
    words = f"{listed(shut)} should then shut. " if shut else ""
    verb = "is" if len(unsure) == 1 else "are"
    return words + (f"{listed(unsure)} {verb} not said to shut without power. " if unsure else "")


def _power_off(device: Device) -> tuple[list[Act], str]:
    """Whoever is at the controls takes the power away: the acts, and how it reads."""
    if not device.remote():
        return [], ""
    who = device.crew.pick(device.desk, "valve", tuple(device.bursts.values()))
    off = [Act("switch_off", t, who, device.desk) for t in device.remote()]
    off += [Act("disarm", "", who, device.desk)] if device.bursts else []
    what = f"{listed(device.stops)} pressed" if device.stops else "power cut"
    key = ", key out, then to the lead" if device.keys else ""
    return off, f"{f'at {device.desk} ' if device.desk else ''}{what}{key}, controls let go"


def moves(spotters: str) -> str:
    several = bool({*" ,"} & {*spotters})
    return "move" if several else "moves"


def _meanwhile(device: Device, told: View) -> str:
    """Who calls, moves people and meets help while others close valves: each one job."""
    caller, *second = callers(told) or ("",)
    spotters = device.crew.spotters()
    leads = device.crew.of_role("lead")
    with_it = ", with the lead's key, detector, telephone" if caller in leads else ""
    other = f" (else {second[0]}{with_it})" if second else ""
    made = [f"{caller}{other} telephones" if caller else "somebody telephones"]
    move = f"{spotters or 'whoever watches the public'} {moves(spotters)}"
    made.append(f"{move} people upwind, never down, where propane runs")
    if told.has("meet"):
        made.append(f"{told.text_or('meets') or 'somebody'} leads help in from {told.text('meet')}")
    return f"Meanwhile {'; '.join(made)}."


def emergency(device: Device, order: Sequence[Closing], operators: View) -> list[Step]:
    """Stop and valves at once by everybody; whom to call stands above them, and is done meanwhile."""
    signal = operators.child("signals").child("stop").text_or("given")
    given = "" if signal else " (no signal is described: STOP by voice)"
    by_hand = [c for c in order if c.action == "close"]
    later = [c for c in by_hand if c.procedure == "emergency" and c.order > 10]
    acts = quick_first(device, [act_of(device, c) for c in by_hand if c not in later])
    acts, _, wait = with_the_wait(device, acts, [c for c in by_hand if c not in later])
    off, pressed = _power_off(device)
    vessels = [p.tag for p in device.net.of_kind("accumulator")]
    by_place = each_place(a for a in acts if a.action != "check") if by_hand else listed(device.cylinders())
    at_once = "; ".join(w for w in (pressed, by_place) if w) + wait
    made = [
        row(
            10,
            f"Whoever sees danger gives the stop signal{given}. At once, nobody waiting for anybody, what can be "
            f"reached safely: {at_once}.{'' if by_hand else f' {NO_ORDER}'}"
            + not_where_smelled(device)
            + (f" {_without_power(device)}Do not rely on it." if device.remote() else ""),
            [*off, *acts],
            procedure="emergency",
        ),
        row(
            40,
            "Do not knock a flame down while gas still flows. Stop the gas; put out what else burns.",
            procedure="emergency",
            citation=FLAME,
        ),
        row(50, _meanwhile(device, operators.child("emergency")), procedure="emergency"),
    ]
    told = operators.child("emergency")
    over, ends = night_over(device)
    text = "Nothing is lit until the lead has found the cause and the authority agrees. The night ends as in normal "
    made.append(row(OVER, f"{text}shutdown: {over}.", ends, moment=AFTER_STOP, procedure="emergency"))
    if later:
        acts = [later_act(device, c, told) for c in later]
        text = once_out(later, acts) or f"once nothing can be fired, {each_place(acts)}"
        gone = f"With {listed(device.stops)} pressed (gas there: the controls let go): " if device.stops else ""
        text = f"{gone}{text if gone else first_up(text)}."
        made.append(row(LATE, text, [*looks_at(later, acts), *acts], procedure="emergency"))
    if by_hand:
        made += hands_left(device, by_hand, 35, "emergency")
    if vessels:
        made.append(let_down(device, vessels, told))
    blown = f"Then, {WAIT} later and once {reads_nothing(device.detector)},"
    made += lines_let_out(device, LINES, "emergency", blown if vessels and device.bleeds else "Then")
    return sorted(made, key=lambda s: s.order)


def looks_at(late: Sequence[Closing], acts: Sequence[Act]) -> list[Act]:
    """Before a pilot loses its gas, somebody sees that what it lights has ended."""
    return [Act("check", o, acts[0].who, acts[0].where) for o in dict.fromkeys(o for c in late for o in c.waits_for)]


def with_the_wait(device: Device, acts: Sequence[Act], closings: Sequence[Closing]) -> tuple[list[Act], list[Act], str]:
    """Acts with what feeds a pilot last, after a look at what that lights by whoever sees it: from the desk, where
    bursts are fired. Which of them wait, and how it reads."""
    late = [c for c in closings if c.waits_for]
    tags = {c.tag for c in late}
    kept = [a for a in acts if a.tag in tags]
    if not kept:
        return [*acts], [], ""
    outs = tuple(dict.fromkeys(o for c in late for o in c.waits_for))
    who, where = device.fires(outs)
    looks = [Act("check", o, who, where) for o in outs]
    calls = f"; {who} calls it out" if who and who not in {a.who for a in kept} else ""
    calls += ". No burst on: at once"
    read = while_it_blows(sorted(late, key=lambda c: [a.tag for a in kept].index(c.tag)))
    return [*(a for a in acts if a not in kept), *looks, *kept], kept, f". {read}{calls}"


def once_out(late: Sequence[Closing], acts: Sequence[Act]) -> str:
    """What is closed once a burst is seen out, in words: what feeds a pilot after a time in any case, but nobody goes
    near where it still blows. "" where nothing waits."""
    said = []
    for ends in dict.fromkeys(bool(c.at_most) for c in late if c.waits_for):
        own = [c for c in late if c.waits_for and bool(c.at_most) == ends]
        tags = {c.tag for c in own}
        said.append(f"once {seen_out(own)}, {each_place(a for a in acts if a.tag in tags)}")
    return "; ".join(said)


def later_act(device: Device, c: Closing, told: View) -> Act:
    """The same as `act_of`; to where nobody is posted goes somebody whom nothing else sends away by then."""
    away = (told.text_or("meets"), (*callers(told), "")[0])
    if c.action == "close" and c.waits_for and not c.feeds:
        return device.act("close", c.tag, away)
    return act_of(device, c)


def hands_left(device: Device, closed: Iterable[Closing], order: int, procedure: Procedure) -> list[Step]:
    """The hand valves that nobody has closed yet. The gas is stopped without them; with them each piece is shut off by
    itself, and the next start finds all closed."""
    closed = list(closed)
    done = {c.tag for c in closed}
    kind: Literal["emergency", "leak_upstream"] = "emergency" if procedure == "emergency" else "leak_upstream"
    left = [Closing(order, kind, t, "close", "valve", where=device.place(t)) for t in device.hand() if t not in done]
    if not left:
        return []
    # What lights a burst that may blow just then is put out by these too: nobody waits for another step.
    late = [w for c in left if (w := _starves(device, c, closed))]
    early = [act_of(device, c) for c in left if c.tag not in {w.tag for w in late}]
    last = [act_of(device, c) for c in late]
    wait = once_out(late, last)
    text = "Then, where it can be reached safely, every hand valve that is left: "
    text += f"{'; '.join(filter(None, [each_place(early), wait]))}."
    return [row(order, text, [*early, *looks_at(late, last), *last], procedure=procedure)]


def _starves(device: Device, valve: Closing, closed: Iterable[Closing]) -> Closing | None:
    """A valve with what it waits for, if it puts out a pilot that others wait with; None if it does not."""
    below = {p.tag for p in device.net.downstream(valve.tag)}
    own = [c for c in closed if c.waits_for and below & {*c.feeds}]
    if not own:
        return None
    outs = tuple(dict.fromkeys(t for c in own for t in c.waits_for))
    pilots = tuple(dict.fromkeys(t for c in own for t in c.feeds))
    return valve._replace(waits_for=outs, feeds=pilots, at_most=own[0].at_most)
