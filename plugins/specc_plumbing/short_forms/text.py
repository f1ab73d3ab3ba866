"""A part as text: SIZE FAMILY [x LENGTH], such as `1/2 NPT close nipple` or `3/8 OD type L flared tube x 4 ft`.

What the catalog knows of the size is filled in; a size that it does not know, or that may mean several, is refused with
those that come near. No pressure stands in the text: on a relief valve nobody could tell its rating from its setting.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import Any, NamedTuple

from specc.kinds.plumbing import Size, full_name
from specc.measure.drills import DRILL_NAME
from specc.measure.reading import parse
from specc.model.values import Quantity
from specc.spec.short_forms import OWN_TEXT, Said, Tree, come_from, spot_for
from specc_plumbing.ends import BadEnd, parse_end


class Noun(NamedTuple):
    kind: str
    form: str = ""
    more: str = ""  # what the family's name says beside kind and form


_FITTINGS = (
    "connector", "bushing", "elbow", "tee", "cross", "union", "coupling", "nipple", "plug", "cap", "manifold",
    "adapter", "reducer",
)  # fmt: skip
NOUNS: dict[str, Noun] = {
    **{name: Noun("fitting", name) for name in _FITTINGS},
    "street elbow": Noun("fitting", "street_elbow"),
    "flare nut": Noun("fitting", "flare_nut"),
    "close nipple": Noun("fitting", "nipple", "close"),
    **{f"{name} valve": Noun("valve", name) for name in ("ball", "needle", "globe", "check", "solenoid", "relief")},
    "excess-flow valve": Noun("valve", "excess_flow"),
    **{
        f"{name} regulator": Noun("regulator", name.replace("-", "_"))
        for name in ("single-stage", "two-stage", "first-stage", "second-stage", "high-pressure")
    },
    "cylinder": Noun("cylinder"),
    "hose": Noun("hose"),
    "swivel hose": Noun("hose", "", "swivel"),
    "pipe": Noun("pipe"),
    "tube": Noun("tube"),
    "flared tube": Noun("tube", "", "flared"),
    "orifice": Noun("orifice"),
    "feed orifice": Noun("orifice", "", "feed"),
    "gauge": Noun("gauge"),
    "accumulator": Noun("accumulator"),
    "pilot": Noun("pilot"),
    **{
        f"{name.replace('_', ' ')} burner": Noun("burner", name)
        for name in ("ring", "bar", "stem", "nozzle", "open_end")
    },
}
_TEXT = re.compile(
    r"(?P<size>.*?)\s*\b(?P<noun>" + "|".join(sorted(map(re.escape, NOUNS), key=len, reverse=True)) + r")"
    r"(?:\s+x\s+(?P<length>.+))?"
)
_PRESSURE = re.compile(r"\d\s*(?:psi|psig|bar|kpa|mpa|inwc|in\s*w\.?c\.?)\b", re.IGNORECASE)
_CYLINDER = re.compile(r"(?P<capacity>[\d.]+ (?:lb|kg))(?: (?P<connection>CGA \d+))?")
_TUBE = re.compile(r"(?P<od>.+?) OD(?: type (?P<grade>\w+))?", re.IGNORECASE)
_SCHEDULE = re.compile(r",?\s*\bschedule (\d+)", re.IGNORECASE)
# What a text names and the catalog then says: a tube's wall by its type, the bore of a drill.
_FROM_CATALOG = {"tube": ("wall",), "orifice": ("bore", "discharge"), "fitting": ()}
_WITH_LENGTH = ("pipe", "tube", "hose", "fitting")


class UnreadableText(NamedTuple):
    message: str
    fix: str


def write_out(parts: Tree, tag: str, part: Tree, said: list[Said]) -> None:
    """Fill in what a part's text says, in place. Its own keys win."""
    if isinstance(part.data, str):
        made = Tree({}, type(part.spot)(part.spot.value, part.spot.key, {}))
        made.put("is", part.data, type(part.spot)(part.spot.value, part.spot.value))
        parts.put(tag, made.data, made.spot)
        part = made
    if not part.is_map:
        return
    _measures_as_text(part, said)
    if not part.has("is"):
        return
    here = part.child("is")
    part.drop("is")
    if not isinstance(here.data, str):
        said.append(Said("is: is no text", "write it as 1/2 NPT tee", here.place))
        _of_no_kind(part, here)
        return
    filled = read(" ".join(here.data.split()))
    if isinstance(filled, UnreadableText):
        said.append(Said(filled.message, filled.fix, here.spot.value))
        _of_no_kind(part, here)
        return
    for key, value in filled.items():
        if key == "bore" and key in part.data:
            _agrees(part, key, value, here.data, said)
        if key not in part.data:
            origin = "catalog" if key in _FROM_CATALOG.get(filled["kind"], ()) else OWN_TEXT
            part.put(key, value, spot_for(value, here.spot.value, here.spot.value, origin))


def _agrees(part: Tree, key: str, value: str, text: str, said: list[Said]) -> None:
    """An orifice that is called No. 40 and says another bore would be drilled by the one and computed by the other.

    Other keys of its own are said to go before a part's text; a drill's number is its bore."""
    own, named = parse(part.data[key], "length"), parse(value, "length")
    if not (isinstance(own, Quantity) and isinstance(named, Quantity)):
        return  # what cannot be read is the schema's to refuse
    if abs(own.si - named.si) > 0.005 * named.si:
        message = f"bore {part.data[key]} is not that of {text!r}, {value}"
        said.append(Said(message, "one of the two, as drilled", part.child(key).spot.value, "spec.stamp"))


def _of_no_kind(part: Tree, here: Tree) -> None:
    """The part stays, of a kind that cannot be read: what is wrong with it has been said where its text stands."""
    if "kind" not in part.data:
        part.put("kind", None, spot_for(None, here.spot.value))


def _measures_as_text(part: Tree, said: list[Said]) -> None:
    """`bore: No. 60` and `tube: 3/4 OD type L`."""
    for jets in (part.map("jets"), *(item for item in (part.child("jets").items() if part.has("jets") else ()))):
        if jets.is_map:
            _bore_of_drill(jets, said)
    _bore_of_drill(part, said)
    _tube_as_text(part, said)


def _bore_of_drill(part: Tree, said: list[Said]) -> None:
    bore = part.data.get("bore")
    if isinstance(bore, str) and (drill := DRILL_NAME.fullmatch(bore.strip())):
        size = _find("orifice", "", f"No. {drill[1]} drill")
        below = part.child("bore")
        if isinstance(size, UnreadableText):
            said.append(Said(size.message, size.fix, below.spot.value))
            part.drop("bore")
        else:
            part.put("bore", dict(size.measures)["bore"].text, come_from(below.spot, "catalog"))


def _tube_as_text(part: Tree, said: list[Said]) -> None:
    if isinstance(part.data.get("tube"), str):
        below = part.child("tube")
        part.drop("tube")
        tube = _of_tube(below.data)
        if isinstance(tube, UnreadableText):
            said.append(Said(tube.message, tube.fix, below.spot.value))
            return
        for key in ("outside", "wall"):
            if key not in part.data:
                part.put(key, tube[key], spot_for(tube[key], below.spot.value, below.place, "catalog"))


@lru_cache(2048)
def read(words: str) -> dict[str, Any] | UnreadableText:
    """The keys that a part's text stands for, or why it is refused."""
    if _PRESSURE.search(words):
        return UnreadableText(
            f"{words!r} has a pressure in it, which may be a rating or a setting",
            "write it under rating:, set: or opens:",
        )
    made = _by_noun(words)
    return (_by_printed_name(words) or made) if isinstance(made, UnreadableText) else made


def _by_noun(words: str) -> dict[str, Any] | UnreadableText:
    found = _TEXT.fullmatch(words)
    if found is None:
        return UnreadableText(f"{words!r} does not name a part", _near_noun(words))
    noun, size, length = NOUNS[found["noun"]], found["size"], found["length"]
    made: dict[str, Any] = {"kind": noun.kind}
    if noun.form:
        made["form"] = noun.form
    if length is not None:
        if noun.kind not in _WITH_LENGTH:
            return UnreadableText(f"{words!r}: a {found['noun']} has no length", "leave the length out")
        made["length"] = length
    if not size:
        return made
    more = _sized(noun, size)
    return more if isinstance(more, UnreadableText) else {**made, **more}


def _by_printed_name(words: str) -> dict[str, Any] | None:
    """A fitting by the name of its family as `specc parts` and the advice on joints print it: a reducing coupling."""
    found = _printed().get(_plain(words))
    return dict(found) if found else None


@cache
def _printed() -> dict[str, dict[str, Any]]:
    from specc_plumbing.catalog import families

    made: dict[str, dict[str, Any]] = {}
    for family in families():
        if family.kind != "fitting":
            continue
        for size in family.sizes:
            keys = {"kind": family.kind, "form": family.form, "size": size.name}
            if isinstance(_find(family.kind, family.form, size.name), Size):
                made.setdefault(_plain(full_name(family.name, size.name)), keys)
                made.setdefault(_plain(f"{size.name} {family.name}"), keys)
    return made


def _plain(words: str) -> str:
    return " ".join(w for w in words.lower().replace(",", " ").split() if w != "in")


def _near_noun(words: str) -> str:
    from difflib import get_close_matches

    last = words.split(" x ")[0].split()
    for tail in (" ".join(last[-2:]), last[-1] if last else ""):
        near = get_close_matches(tail, NOUNS, 2, 0.7)
        if near:
            return f"did you mean {' or '.join(near)}?"
    return "write size, family and length, such as 1/2 NPT nipple x 3 in; families: " + ", ".join(NOUNS)


def _sized(noun: Noun, size: str) -> dict[str, Any] | UnreadableText:
    """What the words before the family say, by kind."""
    if noun.kind == "cylinder":
        cylinder = _CYLINDER.fullmatch(size)
        if cylinder is None:
            return UnreadableText(f"{size!r} is no size of a cylinder", "write it as 20 lb CGA 791 cylinder")
        return {key: value for key, value in cylinder.groupdict().items() if value}
    if noun.kind == "accumulator":
        return {"volume": size} if re.fullmatch(r"[\d.]+ (?:gal|L|cu ft)", size) else {"size": size}
    if noun.kind == "hose":
        return _of_hose(size.removesuffix(" in").strip(), noun.more == "swivel")
    if noun.kind == "tube":
        tube = _of_tube(size)
        if isinstance(tube, UnreadableText):
            return tube
        nut = size.split(" OD")[0].removesuffix(" in") + " flare nut"
        return {**tube, **({"ends": [nut, nut]} if noun.more == "flared" else {})}
    if noun.kind == "orifice" and (drill := DRILL_NAME.fullmatch(size)):
        known = _find("orifice", "", f"No. {drill[1]} drill")
        if isinstance(known, UnreadableText):
            return known
        # Only who names the catalog's family takes its coefficient, which is that of a sharp edge: a rounded hole lets
        # more gas out, and nothing but the name says which it is.
        names = ("bore", "discharge") if noun.more == "feed" else ("bore",)
        return {name: dict(known.measures)[name].text for name in names}
    schedule = _SCHEDULE.search(size) if noun.kind == "pipe" else None
    if schedule:
        size = size.replace(schedule[0], "", 1)
    asked = f"{size} {noun.more}" if noun.more else size
    found = _find(noun.kind, noun.form, asked, f"schedule {schedule[1]}" if schedule else "")
    if isinstance(found, UnreadableText):
        return found
    name = found.name.split(" schedule")[0] if noun.kind == "pipe" else found.name
    more = {"length": dict(found.measures)["length"].text} if noun.more == "close" else {}
    return {"size": name, **more, **({"schedule": int(schedule[1])} if schedule else {})}


def _of_hose(bore: str, swivel: bool) -> dict[str, Any] | UnreadableText:
    if isinstance(end := parse_end(f"{bore} female flare"), BadEnd):
        return UnreadableText(f"{bore!r} is no bore of a hose", end.fix)
    return {"bore": f"{bore} in", **({"ends": [f"{bore} female flare"] * 2} if swivel else {})}


def _of_tube(words: str) -> dict[str, Any] | UnreadableText:
    tube = _TUBE.fullmatch(words.strip())
    if tube is None:
        return UnreadableText(
            f"{words!r} does not say that its size is the outside diameter (OD)", "write it as 3/8 OD type L"
        )
    od = tube["od"].removesuffix(" in").strip()
    if not tube["grade"]:
        return {"outside": f"{od} in"}
    found = _find("tube", "", f"{od} in OD", f"type {tube['grade']}")
    if isinstance(found, UnreadableText):
        return found
    wall = dict(found.measures)["wall"].text
    return {"outside": f"{od} in", "wall": wall, "grade": tube["grade"]}


def _find(kind: str, form: str, size: str, *more: str) -> Size | UnreadableText:
    """The one size that is meant."""
    from specc_plumbing.catalog import agreed_size, families, find_size, meant_sizes, near_pairs

    listed = families()
    found = find_size(listed, kind, form, size, *more)
    if found is None and kind == "pipe":
        found = agreed_size(listed, kind, form, size, *more)
    if found is not None:
        return found[1]
    typed = ", ".join(t for t in (size, *more) if t)
    named = (form.replace("_", " "), "" if form and kind == "fitting" else kind)
    words = " ".join(w for w in (size, *named) if w)
    meant = [full_name(family.name, size.name) for family, size in meant_sizes(listed, kind, form, typed)]
    if meant:
        several = f"the catalog has several that {words!r} may mean"
        return UnreadableText(several, f"write which: {'; '.join(meant[:3])}")
    pairs = near_pairs(listed, kind, form, typed)
    near = [name for family, size in pairs if (name := full_name(family.name, size.name)) != words]
    return UnreadableText(
        f"the catalog has no {words!r}", f"nearest: {'; '.join(near[:3])}; or give ends:" if near else "give ends:"
    )
