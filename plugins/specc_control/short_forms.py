"""Control's short forms: a part as text (`3 A fuse`, `25 ft of 16 AWG wire`), and contacts counted from the lines.

What keeps people safe has to be written in its own key: how a stop latches and is reset, what a coil needs when it is
warm, how low the supply falls, what a wire may carry. None of it is taken from a text or for granted.
"""

from __future__ import annotations

import re

from specc.spec.short_forms import OWN_TEXT, Said, Tree, spot_for

_COUNTED = "counted from the lines"
# The last words of a text, longest first: what kind of part it is.
_KINDS = {
    "emergency stop": "stop",
    "stop button": "stop",
    "stop": "stop",
    "key switch": "key",
    "key": "key",
    "push button": "button",
    "button": "button",
    "flame sensor": "flame_sensor",
    "mains supply": "mains_supply",
    "solenoid coil": "coil",
    "wireless receiver": "controller",
    "receiver": "controller",
    "lighting desk": "controller",
    "coil": "coil",
} | {
    k: k
    for k in (
        "battery",
        "generator",
        "fuse",
        "switch",
        "relay",
        "timer",
        "controller",
        "igniter",
        "lamp",
        "wire",
        "plug",
    )
}
_MOVED = ("switch", "key", "button", "stop", "relay", "timer", "controller", "flame_sensor")
_CHEMISTRY = {"flooded": "flooded", "agm": "agm", "gel": "gel", "lifepo4": "lifepo4"}
_SIZE = re.compile(r"(?:[0-9]{1,2}|[1-4]/0) AWG|[0-9.]+ ?mm[2²]")
_MEASURE = re.compile(r"(?P<number>[0-9][0-9.,/]*) ?(?P<unit>V|Ah|A|W|kW|ft|in|m)(?![A-Za-z])")
_KEYS = {
    "V": "voltage",
    "Ah": "capacity",
    "A": "rating",
    "W": "power",
    "kW": "power",
    "ft": "length",
    "in": "length",
    "m": "length",
}
_BELONGS = {
    "voltage": ("battery", "mains_supply", "generator", "relay", "timer", "coil", "igniter", "lamp"),
    "capacity": ("battery",),
    "rating": ("fuse",),
    "power": ("relay", "timer", "coil", "igniter", "lamp"),
    "length": ("wire",),
    "size": ("wire",),
    "chemistry": ("battery",),
    "who": ("button", "switch", "key"),
}
_FIX = "write it as 3 A fuse, operator button, 12 V 10 W coil or 25 ft of 16 AWG wire"


def write_out(whole: Tree, said: list[Said]) -> None:
    """Rewrite `control:` into its long form, in place."""
    control = whole.map("control")
    parts = control.map("parts")
    for tag, part in parts.children():
        if isinstance(part.data, str):
            made = Tree({}, type(part.spot)(part.spot.value, part.spot.key, {}))
            made.put("is", part.data, type(part.spot)(part.spot.value, part.spot.value))
            parts.put(tag, made.data, made.spot)
            part = made
        if part.is_map and part.has("is"):
            _of_text(part, said)
    _contacts(control, parts)
    _placed(control, parts)


def _placed(control: Tree, parts: Tree) -> None:
    """The place of all parts that give none: who reads where a stop or a key stands reads it at the part. A wire lies
    between two places, two cords end at a plug somewhere on their way, and a coil sits on its valve."""
    if not control.has("place"):
        return
    here = control.child("place")
    for _, part in parts.children():
        if part.is_map and not part.has("place") and part.data.get("kind") not in ("wire", "plug", "coil"):
            part.put("place", here.data, spot_for(here.data, here.spot.value, here.spot.value, OWN_TEXT))


def _of_text(part: Tree, said: list[Said]) -> None:
    here = part.child("is")
    part.drop("is")
    filled = read(" ".join(here.data.split())) if isinstance(here.data, str) else "is: is no text"
    if isinstance(filled, str):
        said.append(Said(filled, _FIX, here.spot.value))
        if "kind" not in part.data:  # it stays, of a kind that cannot be read
            part.put("kind", None, spot_for(None, here.spot.value))
        return
    for key, value in filled.items():
        if key not in part.data:
            part.put(key, value, spot_for(value, here.spot.value, here.spot.value, OWN_TEXT))


def read(words: str) -> dict[str, object] | str:
    """What a part's text says, by key; what is wrong with it where it cannot be read whole.

    >>> read("25 ft of 16 AWG wire")
    {'kind': 'wire', 'size': '16 AWG', 'length': '25 ft'}
    """
    noun = next((n for n in _KINDS if words.lower() == n or words.lower().endswith(f" {n}")), "")
    if not noun:
        # A battery's capacity and a wire's length may come after.
        noun = next((n for n in _KINDS if re.search(rf"\b{n}\b", words.lower())), "")
    if not noun:
        return f"{words!r} names no kind of part of the wiring"
    kind = _KINDS[noun]
    rest = re.sub(rf"\b{noun}\b", " ", words, count=1, flags=re.IGNORECASE)
    made: dict[str, object] = {"kind": kind}
    if size := _SIZE.search(rest):
        made["size"] = size[0]
        rest = rest.replace(size[0], " ", 1)
    for measure in _MEASURE.finditer(rest):
        key = _KEYS[measure["unit"]]
        if key in made:
            return f"{words!r} says two of {key}"
        made[key] = measure[0]
    rest = _MEASURE.sub(" ", rest)
    left = []
    for word in re.split(r"[\s,]+", rest):
        plain = word.lower().removesuffix("'s")
        if plain in _CHEMISTRY:
            made["chemistry"] = _CHEMISTRY[plain]
        elif plain in ("operator", "public"):
            made["who"] = plain
        elif plain not in ("", "of", "a", "an", "the"):
            left.append(word)
    wrong = [key for key in made if key in _BELONGS and kind not in _BELONGS[key]]
    if left or wrong:
        what = ", ".join(left) or " and ".join(f"its {key}" for key in wrong)
        return f"in {words!r} nothing reads {what}"
    return made


def _contacts(control: Tree, parts: Tree) -> None:
    """A part that says of no contacts has as many as the lines name, each of its kind."""
    most: dict[str, tuple[int, Tree]] = {}
    for _, line in control.map("lines").children():
        for item in line.items():
            tag, dot, number = item.data.partition(".") if isinstance(item.data, str) else ("", "", "")
            if dot and number.isdecimal() and 0 < int(number) <= 8 and int(number) > most.get(tag, (1, item))[0]:
                most[tag] = int(number), item
    for tag, part in parts.children():
        if part.is_map and tag in most and part.data.get("kind") in _MOVED and not part.has("contacts"):
            count, item = most[tag]
            value = ["break" if part.data["kind"] == "stop" else "make"] * count
            part.put("contacts", value, spot_for(value, item.spot.value, item.spot.value, _COUNTED))
