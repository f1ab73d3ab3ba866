"""While gas is on: scene changes, a pilot that goes out, a cylinder change, hand-over, weather hold."""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from specc.kinds.faults import Closing
from specc.kinds.procedures import Act, Action, Procedure, Step
from specc.kinds.show import Timeline
from specc_operators.after_stop import CALM, LET_DOWN, LINES, NOT_SHUT, OVER, steps_said
from specc_operators.arming import arm, below, feeds_of
from specc_operators.charged import StillFull, each_night
from specc_operators.device import Device
from specc_operators.filling import heavy, two_carry
from specc_operators.in_words import first_up, listed
from specc_operators.lighting import light, nothing_charged
from specc_operators.power import made_safe, safe
from specc_operators.regulators import set_regulators
from specc_operators.rows import AFTER_THUNDER, NWS, WAIT, Blocked, OpenAndLit, reads_nothing, row
from specc_operators.shutdown import stop
from specc_operators.start_up import start_up

_PUBLIC = "the public out first"
_LET_DOWN: tuple[Action, ...] = ("bleed", "close")
_SAME = 1.0  # s: what ends and begins within that is one


class Turn(NamedTuple):
    """A moment at which other outlets burn, or bursts may come or not. `seconds` since the first scene began."""

    seconds: float
    out: tuple[str, ...]
    light: tuple[str, ...]
    armed: bool


def first_lit(line: Timeline, outlets: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], bool]:
    """The outlets that burn when the night's first scene begins, and whether bursts may come at once."""
    changes = _changes(line, outlets)
    start = [c for c in changes if c.seconds <= _SAME]
    return (start[-1].light, start[-1].armed) if start else ((), False)


def last_armed(line: Timeline, outlets: Mapping[str, Sequence[str]]) -> bool:
    """Whether bursts may still come when the show ends."""
    end = max((s.ends for s in line.stretches), default=0.0)
    return ([c.armed for c in _changes(line, outlets) if c.seconds < end - _SAME] or [False])[-1]


def _changes(line: Timeline, outlets: Mapping[str, Sequence[str]]) -> list[Turn]:
    spans: dict[str, list[tuple[float, float]]] = {}
    for one in sorted(line.lit, key=lambda x: x.starts):
        own = spans.setdefault(one.effect, [])
        ends = one.starts + one.lasts.si
        if own and one.starts <= own[-1][1] + _SAME:
            own[-1] = (own[-1][0], max(own[-1][1], ends))
        else:
            own.append((one.starts, ends))
    shot = {s.scene for s in line.shots}
    live = [(s.starts, s.ends) for s in line.stretches if s.scene in shot]
    times = sorted({t for own in spans.values() for pair in own for t in pair} | {t for pair in live for t in pair})
    moments = [t for n, t in enumerate(times) if n == 0 or t > times[n - 1] + _SAME]

    def is_lit(own: Sequence[tuple[float, float]], at: float) -> bool:
        """Spans are in order and apart: only the last that has begun can go on."""
        n = bisect_right(own, (at + _SAME, math.inf))
        return n > 0 and at + _SAME < own[n - 1][1]

    def burning(at: float) -> tuple[str, ...]:
        lit = [e for e, own in spans.items() if is_lit(own, at)]
        return tuple(dict.fromkeys(o for e in lit for o in outlets.get(e, ())))

    made: list[Turn] = []
    before: tuple[str, ...] = ()
    for t in moments:
        now = burning(t)
        made.append(
            Turn(
                t,
                tuple(o for o in before if o not in now),
                tuple(o for o in now if o not in before),
                any(a <= t + _SAME < b for a, b in live),
            )
        )
        before = now
    return made


def clock_at(line: Timeline, seconds: float) -> str:
    """The time of day, where the first scene has one."""
    if not re.fullmatch(r"\d\d:\d\d", line.clock):
        return f"{seconds / 60:.0f} min after the first scene began"
    hours, minutes = map(int, line.clock.split(":"))
    at = round(hours * 60 + minutes + seconds / 60) % 1440
    return f"{at // 60:02d}:{at % 60:02d}"


def _feeds_shut(device: Device) -> list[Act]:
    return [a._replace(action="close") for a in (device.act("open", t) for t in reversed(feeds_of(device)))]


def burn_down(device: Device, order: int, moment: str) -> Step:
    """Between scenes: what bursts is burned off while its flame still burns, and then power is taken away. Nobody comes
    near an outlet, with a torch or without, while one stands charged."""
    own = [p.tag for p in device.net.of_kind("accumulator") if device.own_feed(p.tag)]
    if not own:
        return disarm(device, order, moment)
    (who, where), closing = device.fires(), _feeds_shut(device)
    lighters = device.lighters()
    acts = [*closing, *(Act("check", p, who, where) for p in lighters)]
    acts += [*(Act("fire", v, who, where) for v in own), *made_safe(device)]
    behind = [device.act("close", v) for v in device.shut_off()]
    then = f" Then close {listed(a.tag for a in behind)}." if behind else ""
    return row(
        order,
        f"Close {listed(a.tag for a in closing)}; burn off {listed(own)} in short bursts "
        f"{device.over()}, until the flame is small. Disarm: {safe(device, lead=True)}.{then}",
        [*acts, *behind],
        moment=moment,
        if_not=f"{'The flame goes' if lighters else 'They go'} out first: {safe(device)}, no torch, nobody near "
        f"{listed(device.bursts)}; normal shutdown.",
        procedure="scene_change",
    )


def disarm(device: Device, order: int, moment: str, procedure: Procedure = "scene_change") -> Step:
    """Power away from what bursts, or its hand valve shut, and its supply: what it holds stays in it."""
    closing = _feeds_shut(device)
    if procedure == "scene_change":  # else whoever could go there has more urgent things to do
        closing += [device.act("close", v) for v in device.shut_off()]
    acts = [*made_safe(device), *closing]
    shut = f", close {listed(a.tag for a in closing)}" if closing else ""
    held = device.net.of_kind("accumulator")
    stay = "stays" if len(held) == 1 else "stay"
    near = listed(device.bursts)
    stays = f" {listed(p.tag for p in held)} {stay} charged: nobody near {near}." if held else ""
    return row(order, f"Disarm: {safe(device, lead=True)}{shut}.{stays}", acts, moment=moment, procedure=procedure)


def put_out(
    device: Device, state: OpenAndLit, outlets: Sequence[str], order: int, moment: str, procedure: Procedure
) -> tuple[list[Step], OpenAndLit]:
    """Each by the closure nearest to it that leaves burning what is to burn on."""
    acts: list[Act] = []
    for outlet in outlets:
        if outlet not in device.fed(state.opened):
            continue
        keep = {o for o in state.lit if o not in outlets}
        for closure in reversed([c for c in device.on_the_way(outlet) if c in state.opened]):
            left = device.fed([c for c in state.opened if c != closure])
            if outlet not in left and keep <= {*left}:
                powered = device.net.by_tag[closure].form == "solenoid"
                who = device.crew.pick(device.desk, "valve", device.effects.get(outlet, ()))
                acts.append(Act("switch_off", closure, who, device.desk) if powered else device.act("close", closure))
                state = OpenAndLit(tuple(c for c in state.opened if c != closure), state.lit)
                break
        else:
            raise Blocked(f"{outlet} cannot be put out alone")
    state = OpenAndLit(state.opened, tuple(o for o in state.lit if o in device.fed(state.opened)))
    if not acts:
        return [], state
    ways = (("close", "close"), ("switch_off", "take power from"))
    done = [f"{word} {listed(own)}" for does, word in ways if (own := [a.tag for a in acts if a.action == does])]
    text = f"Put out {listed(outlets)}: {'; '.join(done)}."
    made = row(order, text, acts, moment=moment, procedure=procedure, look_for="no hiss, no flame")
    return [made], state


def scene_changes(
    device: Device,
    state: OpenAndLit,
    line: Timeline,
    outlets: Mapping[str, Sequence[str]],
    gas_off: Collection[str] = (),
    order_of_stop: Sequence[Closing] = (),
    watch: str = "",
    started: Sequence[Step] = (),
) -> tuple[list[Step], OpenAndLit]:
    """From one scene to the next, with the state that the last scene leaves. `gas_off`: scenes after which all gas is
    shut off until the next begins, in the order in which a night ends; `started`: the steps before."""
    made: list[Step] = []
    end = max((s.ends for s in line.stretches), default=0.0)
    armed = first_lit(line, outlets)[1]
    armed_at = "the start" if armed else ""
    off = [s.ends for s in line.stretches if s.scene in gas_off]
    ever = {*state.lit}  # what has burned that night
    # Looked at before the torch of the start, and nothing was filled since.
    seen_empty = not armed and any(device.lit_by(o)[0] == "torch" for o in ever)
    shut = False
    for n, c in enumerate(c for c in _changes(line, outlets) if _SAME < c.seconds < end - _SAME):
        order, when = 100 * (n + 1), clock_at(line, c.seconds)
        try:
            if not c.light and not c.armed and any(abs(c.seconds - t) <= _SAME for t in off):
                off_now = partial(_gas_off, device, state, order_of_stop, watch, armed, order, when)
                made += each_night(device, (*started, *made), off_now)
                state, armed, shut = OpenAndLit(off=True), False, True
                continue
            if shut:
                if c.light or c.armed:
                    again, state = _gas_on(device, c, order, when)
                    made.append(again)
                    armed, shut = c.armed, False
                    armed_at = armed_at or (when if armed else "")
                    seen_empty = seen_empty and not armed
                continue
            if armed and device.bursts and (c.light or not c.armed):
                made.append(burn_down(device, order, when))
                closed = {*feeds_of(device), *device.shut_off()}
                state = OpenAndLit(tuple(t for t in state.opened if t not in closed), state.lit)
                armed = False
            if c.out:
                some, state = put_out(device, state, c.out, order + 10, when, "scene_change")
                made += some
            if c.light:
                by_hand = any(device.lit_by(o)[0] == "torch" for o in c.light)
                made += nothing_charged(device, order + 15, when, "scene_change") if by_hand and not seen_empty else []
                some, state = light(device, state, c.light, order + 20, when, "scene_change")
                made += [*some, *set_regulators(device, state, order + 25, when, "scene_change", ever)]
                ever |= {*state.lit}
            if c.armed and not armed and device.bursts:
                some, state = arm(device, state, order + 30, "scene_change", not armed_at)
                some = [s._replace(moment=when) for s in some]
                made += _again(some, armed_at) if armed_at else some
                armed, armed_at, seen_empty = True, armed_at or when, False
        except Blocked as why:
            made.append(
                row(
                    order + 40,
                    f"No order was found: {why}. Close everything and start anew.",
                    moment=when,
                    procedure="scene_change",
                )
            )
            return made, OpenAndLit()
    return made, state


def _gas_off(
    device: Device,
    state: OpenAndLit,
    closing: Sequence[Closing],
    watch: str,
    armed: bool,
    order: int,
    when: str,
    charged: StillFull,
) -> list[Step]:
    """All gas off between two scenes: what the end of a night does, for what burns then. Cylinders stay connected."""
    steps = sorted(stop(device, closing, watch, state.lit, armed, charged, True), key=lambda s: s.order)
    acts = [a for s in steps if s.night == "every" for a in s.acts]
    burns = f"{listed(state.lit)} {'burns' if len(state.lit) == 1 else 'burn'}"
    last = f"; {burns} until the gas is gone" if state.lit else ""
    return [
        row(
            order,
            f"Gas off, as in the normal shutdown, step by step{last}. Cylinders stay connected, somebody with them.",
            acts,
            moment=when,
            look_for="every valve touched and named by a second person",
            procedure="scene_change",
        )
    ]


def _gas_on(device: Device, change: Turn, order: int, when: str) -> tuple[Step, OpenAndLit]:
    """The start-up before the scene after such a pause. Gas is let in ahead of the time that the scene begins."""
    steps, state = start_up(device, change.light, change.armed, True)
    if not state.opened:
        raise Blocked("no start-up was found for it")
    steps = sorted((s for s in steps if s.night in ("every", "later")), key=lambda s: s.order)
    armed = "; bursts are armed last" if change.armed else ""
    return (
        row(
            order,
            "Before it, the start-up again, step by step, cylinders as they were left. What is lit: "
            f"{listed(state.lit)}{armed}.",
            [a for s in steps for a in s.acts],
            moment=when,
            if_not="Any step not so: no gas.",
            procedure="scene_change",
        ),
        state,
    )


def _again(steps: Sequence[Step], as_at: str) -> list[Step]:
    """What was written out before, in one line."""
    acts = [a for s in steps for a in s.acts]
    opened = listed(a.tag for a in acts if a.action == "open")
    text = (
        f"Arm again{f' as at {as_at}' if as_at else ''}{f': {opened} opened slowly' if opened else ''}, all clear, key "
    )
    text += "as there; valves are not tried anew."
    first, last = steps[0], steps[-1]
    return [row(first.order, text, acts, moment=first.moment, if_not=last.if_not, procedure=first.procedure)]


def _lead(device: Device) -> str:
    return (*device.crew.of_role("lead"), "")[0]


def pilot_out(device: Device, state: OpenAndLit) -> list[Step]:
    """A pilot goes out in mid-show: no burst, its gas shut, the wait, and lit as at the start."""
    pilots = [o for o in state.lit if device.net.by_tag[o].kind == "pilot"]
    if not pilots:
        return []
    made: list[Step] = []
    if device.bursts:
        first = disarm(device, 10, "", "pilot_out")
        made.append(first._replace(text=f"Whoever sees it says so; no burst. {first.text}"))
    after = OpenAndLit(tuple(t for t in state.opened if t not in feeds_of(device)), state.lit)
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    for pilot in pilots:
        try:
            own, off = put_out(device, after, [pilot], 20, "", "pilot_out")
            # It is out already: there is nothing to hear or see.
            made += [
                s._replace(text=f"Shut its gas off: close {listed(a.tag for a in s.acts)}.", look_for="") for s in own
            ]
            charged = charged_beside(device, pilot)
            # Beside a burst that stands charged nobody looks for a cause.
            nothing = reads_nothing(device.detector)
            twice, wait = "Out twice: no more bursts that night.", [Act("wait", "", _lead(device))]
            if charged:
                text = f"Nothing is lit at {charged}, and nobody goes there: normal shutdown, without a burst."
                made.append(row(30, text, procedure="pilot_out"))
                text = f"Once it is let down, {WAIT} later: {nothing}, and why {pilot} went out. "
                text += f"Then start anew, {_PUBLIC}."
                return [*made, row(40, text, wait, procedure="pilot_out", if_not=twice)]
            text = f"Wait {WAIT}; {nothing} near {pilot}. Find why it went out."
            made.append(row(30, text, wait, procedure="pilot_out", if_not=twice))
            if held and device.lit_by(pilot)[0] == "torch":
                raise Blocked(f"no torch is lit while {listed(held)} {'is' if len(held) == 1 else 'are'} charged")
            again, after = light(device, off, [pilot], 40, "", "pilot_out")
            made += again
        except Blocked as why:
            text = f"{first_up(str(why))}: normal shutdown, without a burst, and start anew, {_PUBLIC}."
            return [*made, row(40, text, procedure="pilot_out")]
    return [*made, *(_again(arm(device, after, 50, "pilot_out", False)[0], "") if device.bursts else [])]


def charged_beside(device: Device, pilot: str) -> str:
    """What of the bursts that a pilot lights stands under pressure while it is out: nobody looks there why."""
    lit = [o for o in device.bursts if device.lit_by(o)[:2] == ("pilot", pilot)]
    vessels = {p.tag for o in lit for p in device.net.upstream(o) if p.kind == "accumulator"}
    are = "is" if len(vessels) == 1 else "are"
    return f"{listed(lit)} while {listed(sorted(vessels))} {are} charged" if vessels else ""


def cylinder_change(device: Device) -> list[Step]:
    """Never with a flame burning: the show is shut down first."""
    if not device.cylinders():
        return []
    one = device.cylinders()[0]
    who, where = device.who(one), device.place(one)
    return [
        row(
            10,
            "Normal shutdown first: no flame, no pilot, no smoking; the public stays back.",
            [Act("say", "", _lead(device))],
            procedure="cylinder_change",
        ),
        row(
            20,
            f"The empty one closed, disconnected, plugged, stored. {_full_one(device)} upright, held, seal and date "
            f"checked, connected.{heavy(device, (one,))} Start-up again, whole, {_PUBLIC}.",
            [
                Act("close", one, who, where),
                Act("disconnect", one, who, where),
                Act("connect", one, who, where),
                *two_carry(device, (one,)),
            ],
            procedure="cylinder_change",
            if_not=f"A bubble: not used. {NOT_SHUT}",
        ),
    ]


def _full_one(device: Device) -> str:
    """Which cylinder takes the place of an empty one: one that stands by, if the plumbing has any."""
    spare = [p.tag for p in device.net.of_kind("cylinder") if p.tag not in device.cylinders()]
    return f"{listed(spare)}, full," if spare else "A full one, if there is one,"


def hand_over(device: Device) -> list[Step]:
    if len({h.person for h in device.crew.hands}) < 2:
        return []
    return [
        row(
            10,
            "At the post, never by radio, never within a step, while armed or while anything burns off: what is open "
            "and burning, what was out of order, wind, crowd, key, gas detector. Who takes over says it back, touches "
            "each valve, tells the lead; only then the other leaves.",
            [Act("say", "", _lead(device))],
            procedure="hand_over",
            if_not="Nobody comes: the post is kept, or its flames are put out.",
        )
    ]


def _led(device: Device) -> str:
    """Who goes ahead of the public: the spotters who look after it, named for no effect."""
    who = dict.fromkeys(h.person for h in device.crew.hands if h.role == "spotter" and not h.effects)
    return f", led by {listed(who) or '______'}" if device.crew.hands else ""


def _numbers(emergency: Sequence[Step], first: int, last: int) -> str:
    """The printed numbers of some steps of an emergency: "steps 6 to 8"."""
    orders = sorted(s.order for s in emergency)
    return steps_said([n for n, order in enumerate(orders, 1) if first <= order <= last])


def hold(device: Device, limits: Iterable[str], emergency: Sequence[Step]) -> list[Step]:
    """The show waits for the weather. A wind that is too much for the flames is too much for them to burn the lines
    empty, and in thunder nobody stays to see it: all is shut at once, each at their post, as in an emergency."""
    shutting = [s for s in sorted(emergency, key=lambda s: s.order) if s.acts and s.order < CALM]
    numbers = [str(n + 1) for n in range(len(shutting))]
    steps = f"steps {listed(numbers)}" if len(numbers) > 1 else "step 1"
    held = [p.tag for p in device.net.of_kind("accumulator") if {*device.bursts} & below(device, p.tag)]
    charged = f" {listed(held)} {'stays' if len(held) == 1 else 'stay'} charged: nobody near {listed(device.bursts)}."
    away = f", nobody to {listed(held)}" if held else ""
    lead = _lead(device)
    over = f"as after an emergency: {_numbers(emergency, LINES, OVER)}."
    again = f"Lit again only as at start-up, from go or no go, {_PUBLIC}. {device.habits.given_up} without go and the "
    again += "night is over, "
    stays_full = [v for v in held if not any(b in below(device, v) for b in device.bleeds)]
    return [
        row(
            10,
            f"Anybody calls hold ({', '.join(dict.fromkeys(['wind', *limits, 'thunder']))}). All shut "
            f"at once as in an emergency, {steps}; nothing is left to burn dry.{charged if held else ''} Thunder: all, "
            f"the public too{_led(device)}, to {device.sheltered()}{away}, until {AFTER_THUNDER} after the last.",
            [Act("say", "", lead), *(a for s in shutting for a in s.acts), Act("leave"), Act("wait", "", lead)],
            procedure="hold",
            citation=NWS,
        ),
        *_let_down_in_hold(device, emergency),
        row(
            40,
            f"The night is over, {over}" if stays_full else f"{again}{over}",
            [Act("wait", "", lead), *(a for s in emergency if s.order >= LINES for a in s.acts)],
            procedure="hold",
        ),
    ]


def _let_down_in_hold(device: Device, emergency: Sequence[Step]) -> list[Step]:
    """What bursts still holds its gas, and nothing burns any more that it could be fired down over."""
    made: list[Step] = []
    for vessel in device.net.of_kind("accumulator"):
        if not (behind := below(device, vessel.tag)) & {*device.bursts}:
            continue
        bleeds = [b for b in device.bleeds if b in behind]
        if not bleeds:
            text = f"No valve lets {vessel.tag} down by hand: it stays charged, nobody goes near "
            text += f"{listed(b for b in device.bursts if b in behind)}, and nothing is lit again that night."
            made.append(row(30, text, procedure="hold"))
            continue
        # By whoever does so after an emergency: one name on every page.
        after = [a for s in emergency if s.order == LET_DOWN for a in s.acts if a.tag in bleeds[:1]]
        acts = after or [device.act(does, bleeds[0]) for does in _LET_DOWN]
        text = f"{vessel.tag} is not fired down: with every flame and pilot out, and no thunder, it is let down by "
        text += f"{bleeds[0]}, as in {_numbers(emergency, LET_DOWN, LET_DOWN)} there, before anything is lit."
        made.append(row(30, text, acts, procedure="hold"))
    return made
