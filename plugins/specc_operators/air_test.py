"""Joints behind what fires a burst: gas stands there only while it is fired, so soap on gas is no test of them.
Nitrogen is, before any gas is on, as one of the tests that the spec describes; air only where no gas has ever stood.

Nobody holds buttons for a quarter of an hour, and a button that is jammed fires: a valve that power moves is held open
by something else, which is off again before gas comes.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc.kinds.procedures import Act, Step
from specc.model.wording import says
from specc_operators.device import Device, first_up, listed
from specc_operators.rows import row
from specc_operators.tests_told import AirTest


def _for_burst(device: Device, burst: str) -> AirTest | None:
    """The test whose air gets past all that holds a burst back."""
    held = {c for c in device.held_by(burst) if device.net.by_tag[c].form == "solenoid"}
    return next((t for t in device.air_tests if held <= {*t.opened} and (held or burst in t.plugged)), None)


def air_tried(device: Device) -> list[Step]:
    by_test: dict[AirTest | None, list[str]] = {}
    for burst in device.bursts:
        if device.held_by(burst):
            by_test.setdefault(_for_burst(device, burst), []).append(burst)
    return [_row(device, test, bursts) for test, bursts in by_test.items()]


def _row(device: Device, test: AirTest | None, bursts: Sequence[str]) -> Step:
    held = listed(dict.fromkeys(c for b in bursts for c in device.held_by(b)))
    joined: dict[str, list[str]] = {}
    for burst in bursts:
        for place, numbers in device.joined.get(burst, {}).items():
            joined.setdefault(place, []).extend(n for n in numbers if n not in joined.get(place, ()))
    which = ", ".join(f"{listed(n)}{f' at {place}' if place else ''}" for place, n in joined.items())
    which = f" (joints {which})" if which else ""
    no = "Else no burst; not put back: no gas."
    if test is None:
        text = f"Joined behind {held} since its test{which}: a pressure test before gas, by ______ (none is described)."
        return row(34, text, [Act("check", "", "", "")], moment="Before gas", if_not=no)
    hands = [c for c in device.shut_off() if any(c in device.on_the_way(b) for b in bursts) and c not in test.opened]
    acts, seen, entry, out = _acts(device, test, [p for p in joined if p], hands)
    # Air on what was left of the gas makes a mixture that burns, and it is let out beside coils that have power.
    gas = "nitrogen" if "air" in test.gas.lower() else test.gas
    instead = f" with {gas}, never air where gas has stood" if gas != test.gas else ""
    away = [f"{word}: {listed(tags)}" for tags, word in ((test.out, "out"), (test.plugged, "plugged")) if tags]
    away[:1] = [f"{away[0]} (open ends plugged)"] if test.out else away[:1]
    by_power = [c for c in test.opened if c in device.net.by_tag and device.net.by_tag[c].form == "solenoid"]
    by = f"{test.by if says(test.by) else '______'}, no button jammed" if by_power else "hand"
    away += [f"held open by {by}: {listed(test.opened)}"] if test.opened else []
    away += [f"open: {listed(hands)}"] if hands else []
    vessels = listed(p.tag for p in device.net.of_kind("accumulator") if {*bursts} & {*device.bursting([p.tag])})
    empty = f"{vessels} empty, " if vessels else ""
    key = f", {listed(device.keys)} with the lead" if by_power and device.keys else ""
    back = [f"{test.by if says(test.by) else 'that'} off"] if by_power else [f"{held} shut"]
    back += [f"{listed(test.out)} back in"] if test.out else []
    back += ["plugs out"] if test.plugged else []
    back += [f"{listed(hands)} shut"] if hands else []
    text = (
        f"Joined behind {held} since its test{which}: test {test.tag.replace('_', ' ')} first{instead}, {empty}no "
        f"gas on{key}. {first_up('; '.join(away))}. {gas.capitalize()} in {entry}: {test.pressure or '______'}, "
        f"{test.hold or '______'} on the test gauge; soap. Then it is let out {out}, to 0, before anything is undone: "
        f"{', '.join(back)}, seen by {seen or 'a second person'}."
    )
    return row(34, text, acts, moment="Before gas", if_not=no)


def _acts(
    device: Device, test: AirTest, soaped: Sequence[str], hands: Sequence[str]
) -> tuple[list[Act], str, str, str]:
    """Each thing by somebody who is there: made ready, air in, soap, air out, and only then undone. `hands`: hand
    valves between, which stand shut before gas."""
    net = device.net

    def where(tag: str) -> str:
        return device.place(tag) or next((x for p in net.downstream(tag) if (x := device.place(p.tag))), "")

    lead = (*device.crew.of_role("lead"), "")[0]
    changed = [t for t in (*test.out, *test.plugged, *test.opened) if t in net.by_tag]
    out_of_line = [t for t in test.out if t in net.by_tag and net.by_tag[t].kind == "regulator"]
    source = test.at if test.at in net.by_tag else (*out_of_line, "")[0]
    entry = f"at {source}" if source == test.at and source else f"where {source} was" if source else "at ______"
    ready = [Act("make_ready", t, device.at_vessel(t, (lead,), where(t)), where(t)) for t in changed]
    into = Act("air_in", source, device.at_vessel(source, (lead,), where(source)), where(source)) if source else None
    let_in = [into] if into else []
    soaps = [Act("soap", "", device.crew.pick(p, "valve", (), (lead,)), p) for p in soaped]
    let_out, out = _let_out(device, source, into)
    undone = [a._replace(action="put_as_was") for a in ready]
    named = {a.who for a in (*ready, *soaps)}
    seen = lead if lead not in named else ""
    opened = [device.act("open", t, (lead,)) for t in hands]
    shut = [a._replace(action="close") for a in opened]
    return [*opened, *ready, *let_in, *soaps, *let_out, *undone, *shut, Act("check", "", seen)], seen, entry, out


def _let_out(device: Device, source: str, into: Act | None) -> tuple[list[Act], str]:
    """By what the air comes out: where it went in, and by each bleed, as none comes back past a check valve."""
    net = device.net
    below = [p for p in net.downstream(source)] if source else []
    held = [
        p for p in below if p.form == "check" and any(q.kind in ("accumulator", "hose") for q in net.downstream(p.tag))
    ]
    bleeds = [b for b in device.bleeds if b in {p.tag for p in below}] if held else []
    words = [f"by {listed(bleeds)} (plug out)"] if bleeds else []
    words += [f"past {listed(p.tag for p in held)} by ______"] if held and not bleeds else []
    acts = [Act("air_out", b, device.who(b), device.place(b)) for b in bleeds]
    acts += [into._replace(action="air_out")] if into else []
    return acts, " and ".join([*words, "there" if into else "______"])
