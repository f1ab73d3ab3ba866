"""The start of a night: from closed valves to the flames of the first scene, one act at a time.

Nothing is opened whose opening lets gas out where no flame waits, but for the short purge of a first fill, which is
made with no flame near and closed again. Where the plumbing gives no such order, the steps end with what is missing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from specc.kinds.plumbing import OUTLETS
from specc.kinds.procedures import Act, Step
from specc_operators.air_test import air_tried
from specc_operators.arming import arm
from specc_operators.device import Device
from specc_operators.filling import (
    OVERHEAD,
    at_rest,
    first_fill,
    heavy,
    quiet_behind,
    soap,
    two_carry,
)
from specc_operators.in_words import listed, together
from specc_operators.lighting import light, nothing_charged
from specc_operators.power import key_out, power_on
from specc_operators.regulators import backed_off, never_shown, set_regulators, turn_in
from specc_operators.rows import Blocked, OpenAndLit, row

_LEAK_TEST = "Leak test, no flame, no spark"


def start_up(
    device: Device, first_lit: Sequence[str], armed: bool, stay: bool = False
) -> tuple[list[Step], OpenAndLit]:
    """The steps, and the state that they end in. `first_lit`: outlets that burn in the first scene; `armed`: bursts
    follow at once; `stay`: cylinders stay connected overnight."""
    made = before_gas(device, stay)
    try:
        if not device.cylinders():
            raise Blocked("no cylinder feeds anything")
        quiet = _quiet(device)
        tried = [*leak_test(device, quiet), *never_soaped(device, quiet), *first_fill(device, quiet)]
        made += [*backed_off(device, tried), *tried]
        state = OpenAndLit((*device.cylinders(), *quiet))
        pilots = [p.tag for p in device.net.of_kind("pilot") if device.on_the_way(p.tag) and p.tag not in device.bursts]
        by_hand = any(device.lit_by(o)[0] == "torch" for o in (*pilots, *first_lit))
        made += nothing_charged(device) if by_hand else []
        # Also for what is lit in a later scene: nothing takes the power away between them.
        made += power_on(device, [o.tag for o in device.net.of_kind(*OUTLETS) if o.tag not in device.bursts])
        lit, state = light(device, state, pilots, 70, "Pilot")
        made += lit
        before = {s.if_not: next((a.tag for a in s.acts if a.action == "light"), "") for s in lit if s.if_not}
        lit, state = light(device, state, [o for o in first_lit if o not in state.lit], 80, "Flames")
        # What stands in full right above it is not said twice.
        made += [s._replace(if_not=f"As for {before[s.if_not]}.") if s.if_not in before else s for s in lit]
        made += set_regulators(device, state)
        if armed:
            steps, state = arm(device, state, 90)
            made += steps
    except Blocked as why:
        made.append(row(99, f"Do not start: {why}.", moment="No order was found"))
        return made, OpenAndLit()
    return made, state


def _named_first(led_by: str) -> str:
    """What is settled before the first step where there is no roster: whoever the spec has as lead leads."""
    if led_by:
        return f"{led_by} leads and says go; before the first step, name"
    return "Before the first step, name who leads and says go,"


def before_gas(device: Device, stay: bool) -> list[Step]:
    moment, crew = "Before gas", device.crew
    lead = (*crew.of_role("lead"), "")[0]
    made = (
        []
        if crew.hands
        else [
            row(
                5,
                f"No roster is described, so the steps name nobody but who lights. {_named_first(crew.named)} who is "
                "at the cylinders, who is at each valve, and who watches the public.",
                moment=moment,
                if_not="Do not start.",
            )
        ]
    )
    made += [
        row(
            10,
            f"Every line of the go or no-go list is yes. The lead calls each post by "
            f"{'radio' if device.radios else 'voice'} "
            "and signal, all answer. "
            f"{device.detector or 'Somebody, named now,'} carries the gas detector from here on.",
            [Act("say", "", lead), Act("carry", "", device.detector)],
            moment=moment,
            if_not="No gas tonight.",
        )
    ]
    if remote := device.remote():
        made.append(
            row(
                20,
                f"Controls off, {key_out(device)}: {listed(remote)} without power.",
                [Act("key_out", "", lead, device.desk), *(Act("switch_off", t, lead, device.desk) for t in remote)],
                moment=moment,
            )
        )
    by_place: dict[str, list[Act]] = {}
    for tag in (*device.hand(), *device.bleeds):
        by_place.setdefault(device.place(tag), []).append(device.act("close", tag))
    for group in by_place.values():
        bleeds = [a.tag for a in group if a.tag in device.bleeds]
        valves = [a.tag for a in group if a.tag not in device.bleeds]
        plugged = f"; the plug behind {listed(bleeds)} in and tight" if bleeds else ""
        text = f"Close {listed([*valves, *bleeds])}{plugged}."
        made.append(row(30, text, [a._replace(who=group[0].who) for a in group], moment=moment))
    made += [*never_shown(device), *air_tried(device)]
    cylinders = device.cylinders()
    if stay:
        made.append(
            row(
                36,
                f"{listed(cylinders)} as left: closed, upright, held, connections untouched. Write down weight or "
                "level.",
                [device.act("check", t) for t in cylinders],
                moment=moment,
                night="later",
                if_not="Touched: connect anew, leak test and first fill as on the first night.",
            )
        )
    made.append(
        row(
            35,
            f"Stand {listed(cylinders)} upright and held, closed. Write down the weight, look at the seal, connect."
            f"{heavy(device, cylinders)}",
            [*(device.act("connect", t) for t in cylinders), *two_carry(device, cylinders)],
            moment=moment,
            night="first" if stay else "every",
        )
    )
    return made


def _quiet(device: Device) -> tuple[str, ...]:
    """Hand valves that may stand open before anything is lit: no outlet and no accumulator gets gas through them."""
    opened = [*device.cylinders()]
    if device.fed(opened) or device.filled(opened):
        what = listed((*device.fed(opened), *device.filled(opened)))
        raise Blocked(f"nothing but the cylinder's own valve stands before {what}")
    return quiet_behind(device, opened)


def leak_test(device: Device, quiet: Sequence[str]) -> list[Step]:
    moment, cylinders = _LEAK_TEST, device.cylinders()
    opened = [device.act("open", c) for c in cylinders]
    words, soaped = soap(device, (), cylinders)
    turned, turning = turn_in(device, _gauges_in(device, (), cylinders), ())
    reads, still = at_rest(device, (), cylinders)
    in_ = {a.tag for a in turned if a.action == "screw_in"}
    before = lines_after(device, cylinders, in_)
    made = [
        row(
            40,
            f"Open {listed(cylinders)} slowly{_then(turning)}. {words}{still}",
            [*opened, *turned, *soaped, *reads],
            moment=moment,
            if_not=_not_tight(device, still, cylinders, in_),
        )
    ]
    early = [p.tag for p in device.net.of_kind("gauge") if p.tag in device.reached(cylinders)]
    if early:
        acts = [device.act("close", c) for c in cylinders]
        looks = [device.act("watch", g) for g in early]
        made.append(
            row(
                45,
                f"Close {listed(cylinders)} again and watch {listed(early)} for {device.habits.stands}; then open "
                "again.",
                [*acts, *looks, *opened],
                moment=moment,
                if_not="A needle that falls is a leak: find it before anything else.",
                lasts=device.habits.stands_s,
            )
        )
    state = [*cylinders]
    for group in together([device.act("open", v) for v in quiet], lambda a: a.where):
        tags = [a.tag for a in group]
        words, soaped = soap(device, state, (*state, *tags))
        reads, still = at_rest(device, state, (*state, *tags))
        turned, turning = turn_in(device, _gauges_in(device, state, (*state, *tags)), state)
        state += tags
        in_ |= {a.tag for a in turned if a.action == "screw_in"}
        same = before == (before := lines_after(device, state, in_)) and not still
        made.append(
            row(
                50,
                f"Open {listed(tags)} slowly{_then(turning)}. {words}{still}",
                [*(a._replace(who=group[0].who) for a in group), *turned, *soaped, *reads],
                moment=moment,
                if_not="Bubbles, a hiss: as above." if same else _not_tight(device, still, state, in_),
            )
        )
    return made


def _gauges_in(device: Device, before: Collection[str], after: Collection[str]) -> list[str]:
    """The gauges that gas newly comes to."""
    tags = [p.tag for p in device.net.of_kind("gauge")]
    return [t for t in tags if device.comes_to(t, after) and not device.comes_to(t, before)]


def _then(turning: str) -> str:
    return f", then {turning}" if turning else ""


def lines_after(
    device: Device, opened: Collection[str], turned: Collection[str]
) -> dict[str, tuple[tuple[str, ...], tuple[str, ...]]]:
    """By where the lines come out with the cylinders shut again, what is still to open for it, and the regulators that
    are backed off on the way: nothing passes one before it is turned in."""
    shown = {device.zones.get(p.tag, "") for p in device.net.of_kind("gauge")}
    made = {}
    for end, valves in device.cylinders_out().items():
        above = device.net.upstream(end)
        off = (p.tag for p in above if p.kind == "regulator" and p.tag in shown and device.told(p.tag, "set"))
        made[end] = (tuple(v for v in valves if v not in opened), tuple(t for t in off if t not in turned))
    return made


def _not_tight(device: Device, still: str, opened: Collection[str], turned: Collection[str]) -> str:
    """A leak is mended with nothing under pressure behind the wrench, and a regulator that gives too much with no flow
    is tried once more from nothing, and then replaced."""
    seen = "More, rising on, bubbles, a hiss" if still else "Bubbles, a hiss"
    words = []
    for end, (valves, off) in lines_after(device, opened, turned).items():
        tags = sorted((*valves, *off), key=lambda t: device.flow.get(t, 0))
        by = listed(_turned(device, t, t in off) for t in tags)
        words.append(f"{f' by {by}' if by else ''}{' (plug out)' if end in device.bleeds else f', out at {end}'}")
    if not words:
        return f"{seen}: close every cylinder; nothing is undone, as no hand lets the lines out: supplier."
    text = f"{seen}: close every cylinder, let the lines out{';'.join(words)}. Mend, begin again."
    again = " Too high: its screw off, once more; still so: it is replaced, no flame tonight."
    return text + (again if still else "")


def _turned(device: Device, tag: str, backed_off: bool) -> str:
    """A valve or regulator on the way out, with who works it where that is nobody at the cylinders."""
    who = device.who(tag)
    at_supply = who in {device.who(c) for c in device.cylinders()}
    named = f" ({who})" if who and not at_supply else ""
    return f"{tag}{' turned in' if backed_off else ''}{named}"


def never_soaped(device: Device, quiet: Sequence[str]) -> list[Step]:
    """Joints behind what holds gas back from an outlet: gas there is gas let out, so soap shows nothing while it is
    shut. They count as their last test says; tonight somebody looks whether anything moved."""
    acts: list[Act] = []
    behind: dict[str, None] = {}
    opened = [*device.cylinders(), *quiet]
    opened += [v for vessel in device.net.of_kind("accumulator") for v in device.own_feed(vessel.tag)]
    soaped = device.reached(opened)
    for outlet in (p.tag for p in device.net.of_kind("pilot", "burner") if device.on_the_way(p.tag)):
        place, effects = device.place(outlet), device.effects.get(outlet, ())
        acts.append(Act("look", outlet, device.crew.pick(place, "valve", effects), place))
        behind.update({c: None for c in device.on_the_way(outlet) if c in soaped and c not in opened})
    if not acts:
        return []
    powered = [a.tag for a in acts if any(device.net.by_tag[c].form == "solenoid" for c in device.on_the_way(a.tag))]
    aired = [o for o in device.bursts if device.on_the_way(o)]
    byhand = [a.tag for a in acts if a.tag not in (*powered, *aired)]
    tested = ["the purge soaps it"] if byhand else []
    by_air = [a.tag for a in acts if a.tag in (*aired, *powered)]
    tested += [f"before {listed(by_air)} the pressure test alone counts"] if by_air else []
    high = [p for p in dict.fromkeys(a.where for a in acts) if device.heights.get(p, 0.0) > OVERHEAD]
    above = f" ({listed(high)} from a ladder, by a lamp)" if high else ""
    return [
        row(
            53,
            f"Behind {listed(behind)} soap shows nothing yet: look at each joint from there to "
            f"{listed(a.tag for a in acts)}{above}.",
            acts,
            moment=_LEAK_TEST,
            if_not=f"Loose or moved: mended first; {', '.join(tested)}.",
        )
    ]
