"""Classes beside `seals:`: what parts of a kind or form have unless they say otherwise; and what is stamped.

Form goes before kind, a run's class before the project's. Ratings of what can fail alone (cylinder, regulator, hose,
valve, gauge, accumulator) are never given by class: each is read on its part.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from specc.spec.short_forms import Said, Tree, come_from, copied, spot_for
from specc_plumbing.short_forms.runs import CLASSES

_KEY = {"ratings": "rating", "materials": "material", "made_for": "made_for", "coatings": "coating", "places": "place"}
NEVER_RATED = frozenset({"cylinder", "regulator", "hose", "valve", "gauge", "accumulator"})
_VALVES = frozenset({"ball", "needle", "globe", "check", "solenoid", "excess_flow", "relief"})
# Service pressure after the type of a cylinder (49 CFR 178.35(f): specification and service pressure, from memory);
# the working pressure printed along an LP-gas hose (UL 21, from memory).
_CYLINDER = re.compile(r"DOT-?\s?4[A-Z]+\s?(\d{3})\b")
_HOSE = re.compile(r"LP-?GAS\s+(\d{2,4})\s*PSIG?\b", re.IGNORECASE)


def apply(plumbing: Tree, parts: Tree, of_run: Mapping[str, Tree], said: list[Said]) -> None:
    """Fill in classes and stamps, in place, and take the classes out: the long form has none."""
    _refuse_ratings(plumbing, said)
    for own in {id(tree.data): tree for tree in of_run.values()}.values():
        _refuse_ratings(own, said)
    for tag, part in parts.children():
        if not part.is_map:
            continue
        for classes in (of_run.get(tag), plumbing):
            for name in CLASSES if classes is not None else ():
                _from_class(part, classes.map(name), _KEY[name])  # type: ignore[union-attr]
        _stamped(part, said)
    for name in CLASSES:
        plumbing.drop(name)


def _refuse_ratings(classes: Tree, said: list[Said]) -> None:
    ratings = classes.map("ratings")
    for name, below in ratings.children():
        if name in NEVER_RATED or name in _VALVES:
            fix = f"write rating: at each {name}, as it is stamped there"
            said.append(Said(f"a {name} is not rated by class", fix, below.place))
            ratings.drop(name)


def _from_class(part: Tree, listed: Tree, key: str) -> None:
    if key in part.data:
        return
    for name in (part.data.get("form"), part.data.get("kind")):
        if isinstance(name, str) and listed.has(name):
            if key == "rating" and part.data.get("kind") in NEVER_RATED:
                return
            value, spot = copied(listed.child(name).data, listed.child(name).spot)
            part.put(key, value, come_from(spot, f"class {name}"))
            return


def _stamped(part: Tree, said: list[Said]) -> None:
    marking, kind = part.data.get("marking"), part.data.get("kind")
    pattern = {"cylinder": _CYLINDER, "hose": _HOSE}.get(kind) if isinstance(kind, str) else None
    read = pattern.search(marking) if pattern is not None and isinstance(marking, str) else None
    if read is None:
        return
    stamp = part.child("marking")
    if "rating" not in part.data:
        value = f"{read[1]} psi"
        part.put("rating", value, spot_for(value, stamp.spot.value, stamp.place, "stamp"))
        return
    if kind == "hose":
        return  # a rule of materials compares them, whatever the rating is
    rating = part.child("rating")
    number = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*psig?\s*", str(rating.data))
    if number and float(number[1]) != float(read[1]):
        message = f"rating {rating.data} is not what is stamped: {marking}"
        said.append(
            Said(message, f"rating: {read[1]} psi, or the marking as it reads", rating.spot.value, "spec.stamp")
        )
