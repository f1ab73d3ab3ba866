"""Joints behind what fires a burst: gas stands there only while it is fired, so soap on gas is no test of them.
Nitrogen is, before any gas is on, as one of the tests that the spec describes; air only where no gas has ever stood.

Nobody holds buttons for a quarter of an hour, and a button that is jammed fires: a valve that power moves is held open
by something else, which is off again before gas comes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from specc.kinds.procedures import Act, Step
from specc.measure.printing import show, to_unit
from specc.model.wording import says
from specc_operators.device import Device
from specc_operators.in_words import listed
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
    by_power = [c for c in test.opened if c in device.net.by_tag and device.net.by_tag[c].form == "solenoid"]
    vessels = listed(p.tag for p in device.net.of_kind("accumulator") if {*bursts} & {*device.bursting([p.tag])})
    empty = f"{vessels} empty, " if vessels else ""
    key = f", {listed(device.keys)} with the lead" if by_power and device.keys else ""
    jammed = ", no button jammed" if by_power and device.buttons else ""
    between = f", {listed(hands)} open" if hands else ""
    name = test.tag.replace("_", " ")
    # What opens a coil's valve past its controls is looked for by name: a valve that is open already makes no click.
    held_by = test.by if says(test.by) else "what held them open, ______,"
    tool = f"{held_by} off and kept by {seen or 'the lead'}, {listed(by_power)} shut; " if by_power else ""
    text = (
        f"Joined behind {held} since its test{which}: by day, test {name} first{instead}, made ready as its row in the "
        f"table of tests has it, {empty}no gas on{key}{jammed}{between}, nobody before a plug. {gas.capitalize()} in "
        f"{entry}{_relieved(test)}; soap; {_colder(test)}. Let out {out}, to 0, before anything is undone; "
        f"{tool}then all as before, screws backed off, seen by {seen or 'a second person'}."
    )
    return row(34, text, acts, moment="Before gas", if_not=no)


_OVER = 1.1  # ASME B31.3, 345.5.2, from memory: a relief valve at no more than a tenth above the test pressure
_AIR, _WARM = 101325.0, 288.15  # Pa and K, of standard air: what it falls by differs little elsewhere
_PER_F = 5 / 9  # K


def _relieved(test: AirTest) -> str:
    """A bottle holds far more than the lines stand: its regulator alone is not trusted."""
    if not test.pressure_si:
        return ""
    most = math.floor(to_unit(test.pressure_si * _OVER, "psig", "gauge_pressure"))
    return f", behind a relief valve at {most} psig at most (ASME B31.3, from memory)"


def _colder(test: AirTest) -> str:
    """How far a tight line falls as it cools: at one volume, as the absolute temperature does."""
    if not test.pressure_si:
        return "temperature noted"
    falls = (test.pressure_si + _AIR) / _WARM * _PER_F
    return f"temperature noted: 1 °F colder lowers it {show(falls, 'pressure_difference', 'psi', 2)}, more is a leak"


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
