"""The pressure tests of a spec as the steps of a night need them."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.view import Unreadable, View
from specc_operators.rows import written

_NO_AIR = ("own", "propane", "lp-gas", "oxygen")


class AirTest(NamedTuple):
    """A pressure test of the spec, made with a gas that does not burn. `opened`: valves held open for it, `by`: with
    what; `at`: the part where the air goes in, "" where that is not said."""

    tag: str
    gas: str
    pressure: str
    hold: str
    out: tuple[str, ...] = ()
    plugged: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()
    by: str = ""
    at: str = ""
    pressure_si: float = 0.0  # Pa, gauge; 0 where none is told


def air_tests(plumbing: View) -> tuple[AirTest, ...]:
    """Those that can be read: what cannot is reported where it stands."""
    made = []
    for tag, spec in plumbing.child("tests").children():
        gas = written(spec, "with")
        if any(word in gas.lower() for word in _NO_AIR):
            continue
        try:
            out, plugged, opened = (spec.texts(key) for key in ("out", "plugged", "opened"))
            pressure, hold = (spec.quantity_or_none(key) for key in ("pressure", "hold"))
        except Unreadable:
            continue
        told = [q.text if q is not None else "" for q in (pressure, hold)]
        by, at = written(spec, "opened_by"), written(spec, "at")
        made.append(
            AirTest(
                tag, gas, told[0], told[1], out, plugged, opened, by, at, pressure.si if pressure is not None else 0.0
            )
        )
    return tuple(made)
