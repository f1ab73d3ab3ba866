"""That each valve of a burst holds by itself, and that none opens without a flame where a sensor watches it.

Two valves in a row that are shut together hide one that leaks. Where a flame sensor gives them power over a flame
alone, they are tried over it, as a burst is fired: before any flame only that they stay shut can be tried.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc.kinds.procedures import AIR_OUT, Act, OnNight, Procedure, Step
from specc_operators.device import Device
from specc_operators.in_words import first_up, listed
from specc_operators.power import key_in, key_out, safe
from specc_operators.readings import gauges_at, vents
from specc_operators.rows import WAIT, WAIT_S, reads_nothing, row


def in_series(device: Device, burst: str, feed: Sequence[str]) -> tuple[str, ...]:
    """The powered valves of a burst of which each shuts it off by itself; none where there is but one, or where one
    alone does not."""
    powered = [c for c in device.held_by(burst) if device.net.by_tag[c].form == "solenoid"]
    opened = {*device.cylinders(), *device.hand(), *feed, *powered}
    alone = all(not device.comes_to(burst, opened - {c}) for c in powered)
    return tuple(powered) if len(powered) > 1 and alone else ()


def each_alone(device: Device, vessel: str, feed: Sequence[str], looks: Sequence[Act], night: OnNight) -> list[Step]:
    """That each of two valves in series holds by itself: shut together, one that leaks is not noticed."""
    made: list[Step] = []
    for burst in (b for b in device.bursts if b in {p.tag for p in device.net.downstream(vessel)}):
        valves = in_series(device, burst, feed)
        if not valves or device.blind(burst):  # over a flame alone: as they are armed
            continue
        who = device.crew.pick(device.desk, "valve", (device.bursts[burst],))
        gauges = listed(a.tag for a in looks)
        stays = f", {gauges} stays 1 min" if gauges else " for 1 min"
        # The one nearest to the outlet first: else gas that the other let through stands between them, and puffs out
        # when this one is powered, as if the other leaked.
        first, *others = reversed(valves)
        # The wait once for each vessel.
        acts, wait, lasts = _blown_away(device, gauges) if not made else ([], "", 0.0)
        fell = f"{gauges} falls, or" if wait and gauges else "Shut,"
        for c in (first, *others):
            rest = [v for v in valves if v != c]
            acts += [Act("pull", v, who, device.desk) for v in rest]
            feels = device.at_vessel(vessel, (who,), device.place(c))
            acts += [Act("key_in", "", who, device.desk), Act("switch_on", c, who, device.desk)]
            acts += [Act("check", c, feels, device.place(c)), Act("switch_off", c, who, device.desk)]
            acts += [Act("key_out", "", who, device.desk), *(Act("put_back", v, who, device.desk) for v in rest)]
        acts += [a._replace(who=device.at_vessel(vessel, (who,), a.where)) for a in looks]
        held = f" ({listed(device.buttons)} held)" if device.buttons else ""
        fuses = [f for v in others for f in device.fuses.get(v, ())]
        named = f" ({listed(fuses)})" if fuses else ""
        key = listed(device.keys) or "the key"
        at = f" at {device.desk}" if device.desk else ""
        back = f", {key} to the lead" if device.keys else ""
        out = key_out(device, lead=False)
        made.append(
            row(
                57,
                f"{wait}The lead hands over {key}{at}. Each valve alone, nobody in the way of {burst}, a fuse or "
                f"lead moved only with {out}: that of {listed(others)}{named} out; {key_in(device)}, power {first}"
                f"{held}: it clicks, and no other; no hiss{stays}; {out}. {listed(others)} likewise. All in "
                f"again{back}.",
                acts,
                moment=AIR_OUT,
                night=night,
                lasts=lasts + 60.0 * len(valves),
                if_not=f"{fell} one leaks: {out}, no burst, {vessel} let down.",
            )
        )
    return made


def _blown_away(device: Device, gauges: str) -> tuple[list[Act], str, float]:
    """Before anything is switched, the gas that was let out by a bleed has blown away: a coil stands beside it, and a
    contact may lie in it. The vessel stands full meanwhile, and its gauge shows whether it is tight."""
    there = vents(device)
    if not device.bleeds:
        return [], "", 0.0
    lead = (*device.crew.of_role("lead"), "")[0]
    acts = [Act("wait", "", lead), *(Act("read", "", device.detector, p) for p in there)]
    longer = device.habits.stands_s > WAIT_S
    text = f"Wait {device.habits.stands if longer else WAIT}{f'; {gauges} stays' if gauges else ''}; "
    text += f"{reads_nothing('')}{f' at {listed(there)}' if there else ''}. "
    return acts, text, max(WAIT_S, device.habits.stands_s)


def no_flame_no_valve(device: Device) -> list[Step]:
    """A sensor that lets a burst go only over a flame is tried before there is one, with nothing to let go."""
    made = []
    for burst, sensors in ((b, device.blind(b)) for b in device.bursts):
        if not sensors:
            continue
        valves = [c for c in device.held_by(burst) if device.sensors.get(c)]
        who = device.crew.pick(device.desk, "valve", (device.bursts[burst],))
        ears = {c: device.crew.pick(device.place(c), "valve", (), (who,)) for c in valves}
        at = f" at {device.desk}" if device.desk else ""
        key = listed(device.keys) or "the key"
        held = f", {listed(device.buttons)} held" if device.buttons else ""
        sees = "sees" if len(sensors) == 1 else "see"
        acts = [Act("key_in", "", who, device.desk), *(Act("check", c, ears[c], device.place(c)) for c in valves)]
        made.append(
            row(
                69,
                f"No flame yet: the lead hands over {key}{at}; {key_in(device)}{held}: {listed(sensors)} {sees} none, "
                f"and no valve of {listed(valves)} clicks. {first_up(key_out(device))}.",
                [*acts, Act("key_out", "", who, device.desk)],
                moment=AIR_OUT,
                if_not="A click: no burst tonight.",
            )
        )
    return made


def each_over_flame(
    device: Device, order: int, procedure: Procedure, seen: str, filled: Sequence[Act] = ()
) -> list[Step]:
    """The same where a sensor gives power over a flame alone: as a burst is fired, and what leaks burns. `seen`: what
    is seen and answered before a burst may come; `filled`: who opened what fills them, and read it
    meanwhile. That is shut for the test: a gauge that is filled up again shows no leak."""
    made = []
    for burst in (b for b in device.bursts if device.blind(b)):
        vessels = [p.tag for p in device.net.upstream(burst) if p.kind == "accumulator"]
        feed = [c for v in vessels for c in device.own_feed(v)]
        valves = in_series(device, burst, feed)
        if not valves:
            continue
        who, where = device.fires([burst])
        acts = [Act("check", p, who, where) for p in device.lighters()]
        acts.append(Act("say", "", (*device.crew.of_role("lead"), "")[0]))
        again = [a for a in filled if a.tag in feed or a.action == "watch"]
        acts += [a._replace(action="close") for a in again if a.action == "open"]
        first, *others = reversed(valves)
        for c in (first, *others):
            rest = [v for v in valves if v != c]
            acts += [*(Act("pull", v, who, device.desk) for v in rest), Act("arm", "", who, where)]
            acts += [Act("switch_on", c, who, device.desk), Act("check", burst, who, where)]
            acts += [Act("switch_off", c, who, device.desk), Act("disarm", "", who, where)]
            acts += [Act("put_back", v, who, device.desk) for v in rest]
        acts += again
        gauges = listed(dict.fromkeys(g for v in vessels for g in gauges_at(device, v)))
        readers = listed(dict.fromkeys(a.who for a in again if a.action == "watch" and a.who))
        stays = f", {gauges} stays{f' ({readers} reads it out)' if readers else ''}" if gauges else ""
        shut = f"{listed(feed)} shut, " if again else ""
        opened = f", {listed(feed)} open" if again else ""
        fuses = [f for v in others for f in device.fuses.get(v, ())]
        named = f" ({listed(fuses)})" if fuses else ""
        # A timer lets go by itself: one press tests no longer than that.
        long = "pressed three times, as long as the timer lets" if device.timed else "held 1 min"
        held = f", {listed(device.buttons)} {long}" if device.buttons else " for 1 min"
        key = f"the lead hands over {listed(device.keys)}: " if device.keys else ""
        made.append(
            row(
                order,
                f"Each valve alone, as a burst is fired, {shut}{seen}: {key}"
                f"fuse or lead of {listed(others)}{named} out, {key_in(device)}, power {first}{held}: no flame at "
                f"{burst}{stays}; {key_out(device, lead=False)}. {listed(others)} likewise. All in again{opened}.",
                acts,
                procedure=procedure,
                lasts=60.0 * len(valves),
                if_not=f"A flame, or {gauges or 'it'} falls: no burst; {safe(device)}, close {listed(feed)}.",
            )
        )
    return made
