"""Classes beside `seals:`: what parts of a kind or form have unless they say otherwise; and what is stamped.

Form goes before kind, a run's class before the project's. Ratings of what can fail alone (cylinder, regulator, hose,
valve, gauge, accumulator) are never given by class: each is read on its part. What may be rated by class says with
`basis:` where the rating is read, and that stands at each part: parts that are added later are claimed too.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from pathlib import Path

from specc.kinds.plumbing import RATED_BY_CLASS
from specc.measure.reading import parse
from specc.model.values import Quantity
from specc.spec.resources import read_json
from specc.spec.short_forms import Said, Tree, come_from, copied, spot_for
from specc_plumbing.short_forms.runs import CLASSES

_KEY = {"ratings": "rating", "materials": "material", "made_for": "made_for", "coatings": "coating", "places": "place"}
BASIS = "basis"
# Service pressure after the type of a cylinder (49 CFR 178.35(f): specification and service pressure, from memory);
# the working pressure printed along an LP-gas hose (UL 21, from memory).
_CYLINDER = re.compile(r"DOT-?\s?4[A-Z]+\s?(\d{3})\b")
_HOSE = re.compile(r"LP-?GAS\s+(\d{2,4})\s*PSIG?\b", re.IGNORECASE)


def apply(plumbing: Tree, parts: Tree, of_run: Mapping[str, Tree], said: list[Said]) -> None:
    """Fill in classes and stamps, in place, and take the classes out: the long form has none."""
    for own in (plumbing, *{id(tree.data): tree for tree in of_run.values()}.values()):
        for name in CLASSES:
            _check(own, name, said)
    for tag, part in parts.children():
        if not part.is_map:
            continue
        for classes in (of_run.get(tag), plumbing):
            if classes is not None:
                for name in CLASSES:
                    _from_class(part, classes.map(name), _KEY[name])
        _stamped(part, said)
    for name in CLASSES:
        plumbing.drop(name)


@cache
def _kinds() -> Mapping[str, str]:
    """Each kind and each form, with the kind that it is of."""
    plumbing = read_json(Path(__file__).parent.parent / "plumbing.schema.json")
    kinds = plumbing["properties"]["parts"]["additionalProperties"]["x-choose"]["from"]
    forms = {
        form: kind for kind, branch in kinds.items() for form in branch["properties"].get("form", {}).get("enum", ())
    }
    return {**forms, **{kind: kind for kind in kinds}}


def _check(own: Tree, name: str, said: list[Said]) -> None:
    """Say what of a class is none, and take it out: a name that is no kind would give nothing, silently."""
    if not own.has(name):
        return
    listed = own.child(name)
    if not listed.is_map:
        said.append(Said(f"{name}: is no list of kinds", f"write it as {name}: {{fitting: ...}}", listed.place))
        own.drop(name)
        return
    kinds = _kinds()
    for key, below in listed.children():
        if name == "ratings" and key == BASIS:
            continue
        if key not in kinds:
            near = get_close_matches(key, kinds, 1, 0.6)
            fix = f"did you mean {near[0]}?" if near else "a kind or form of part, such as fitting or elbow"
            said.append(Said(f"{key!r} under {name}: is neither a kind nor a form of part", fix, below.place))
            listed.drop(key)
        elif name == "ratings" and kinds[key] not in RATED_BY_CLASS:
            fix = f"write rating: at each {key}, as it is stamped there"
            said.append(Said(f"a {key} is not rated by class", fix, below.place))
            listed.drop(key)
    if name == "ratings" and any(key != BASIS for key in listed.data) and not isinstance(listed.data.get(BASIS), str):
        fix = "basis: with the paper that the ratings are read in, such as basis: maker's data sheets, 2026"
        said.append(Said("ratings by class do not say where they are read", fix, listed.place))


def _from_class(part: Tree, listed: Tree, key: str) -> None:
    if key in part.data:
        return
    kind = part.data.get("kind")
    if key == "rating" and kind not in RATED_BY_CLASS:
        return
    for name in (part.data.get("form"), kind):
        if isinstance(name, str) and listed.has(name):
            value, spot = copied(listed.child(name).data, listed.child(name).spot)
            part.put(key, value, come_from(spot, f"class {name}"))
            if key == "rating" and listed.has(BASIS) and "rating_basis" not in part.data:
                value, spot = copied(listed.child(BASIS).data, listed.child(BASIS).spot)
                part.put("rating_basis", value, come_from(spot, f"class {name}"))
            return


def _stamped(part: Tree, said: list[Said]) -> None:
    marking, kind = part.data.get("marking"), part.data.get("kind")
    pattern = {"cylinder": _CYLINDER, "hose": _HOSE}.get(kind) if isinstance(kind, str) else None
    read = pattern.search(marking) if pattern is not None and isinstance(marking, str) else None
    if read is None:
        return
    stamp = part.child("marking")
    value = f"{read[1]} psi"
    if "rating" not in part.data:
        part.put("rating", value, spot_for(value, stamp.spot.value, stamp.place, "stamp"))
        return
    rating = part.child("rating")
    own, stamped = parse(rating.data, "gauge_pressure"), parse(value, "gauge_pressure")
    # A rating rounded in another unit is the same one; what cannot be read is the schema's to refuse.
    if isinstance(own, Quantity) and isinstance(stamped, Quantity) and abs(own.si - stamped.si) > 0.005 * stamped.si:
        message = f"rating {rating.data} is not what is stamped: {marking}"
        said.append(Said(message, f"rating: {value}, or the marking as it reads", rating.spot.value, "spec.stamp"))
