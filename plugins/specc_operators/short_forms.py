"""Crew's short forms: `shifts: {lead: box}` at the person, and `hours: 19:55 to 23:50` for from: and to:.

A shift at a person is `ROLE: STATION`, or `ROLE: {station, effects, hours}`. Hours are those of the shift, else of the
person, else of `operators:`.
"""

from __future__ import annotations

from specc.spec.short_forms import Said, Tree, copied, hours_of, spot_for
from specc.spec.source.places import SpecSpot


def write_out(whole: Tree, said: list[Said]) -> None:
    """Move the shifts that stand at people under `operators: shifts:`, and read hours, in place."""
    operators = whole.map("operators")
    for _, person in whole.map("people").children():
        if person.is_map and person.has("shifts") and not whole.has("operators"):
            place = person.child("shifts").place
            whole.put("operators", {}, SpecSpot(place, place, {}))
            operators = whole.map("operators")
    if not operators.data and not whole.has("operators"):
        return
    for tag, person in whole.map("people").children():
        if person.is_map and person.has("shifts"):
            _of_person(tag, person, operators, said)
    common = operators.child("hours") if operators.has("hours") else None
    operators.drop("hours")
    for _, shift in operators.map("shifts").children():
        if not shift.is_map:
            continue
        own = shift.child("hours") if shift.has("hours") else None
        shift.drop("hours")
        for given in (own, common):
            read = hours_of(given.data) if given is not None else None
            if given is not None and read is None:
                said.append(Said("these are no hours", "write them as 19:55 to 23:50", given.spot.value))
            for key, words in zip(("from", "to"), read or (), strict=False):
                if key not in shift.data and given is not None:
                    origin = "" if given is own else "hours of operators"
                    shift.put(key, words, spot_for(words, given.spot.value, given.place, origin))


def _of_person(tag: str, person: Tree, operators: Tree, said: list[Said]) -> None:
    given = person.child("shifts")
    person.drop("shifts")
    hours = person.child("hours") if person.has("hours") else None
    person.drop("hours")
    if not given.is_map:
        said.append(Said("shifts: is no list of roles", "write it as {lead: box}", given.place))
        return
    if not operators.has("shifts"):
        operators.put("shifts", {}, SpecSpot(given.spot.value, given.place, {}))
    shifts = operators.map("shifts")
    for role, below in given.children():
        name = f"{tag}_{role}"
        if name in shifts.data:
            said.append(Said(f"two shifts are called {name!r}", "give the other one another tag", below.place))
            continue
        made = Tree({}, SpecSpot(below.spot.value, below.place, {}))
        if below.is_map:
            for key, more in below.children():
                value, spot = copied(more.data, more.spot)
                made.put(key, value, spot)
        elif below.data is not None:
            made.put("station", below.data, SpecSpot(below.spot.value, below.place))
        made.put("person", tag, spot_for(tag, below.place, below.place))
        made.put("role", role, spot_for(role, below.place, below.place))
        if hours is not None and "hours" not in made.data and not {"from", "to"} & set(made.data):
            made.put("hours", hours.data, SpecSpot(hours.spot.value, hours.place))
        shifts.put(name, made.data, made.spot)
