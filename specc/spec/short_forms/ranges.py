"""A range in a key: `ring_<1..3>:` or `water_<west, east>:` is one entry each; `<n>` in its body is the one meant.

`33 ft | 28 ft | 23 ft` in the body gives one value each. A plain entry of one of the tags overrides it key by key.
"""

from __future__ import annotations

import re
from typing import Any

from specc.spec.fields import KEY
from specc.spec.short_forms.said import Said
from specc.spec.short_forms.tree import Tree, copied, fill_fields
from specc.spec.source.places import SpecSpot
from specc.spec.source.scalars import NotANumber, meaning

LIMIT = 200  # entries that one key may stand for; a device has far fewer of anything
_RANGE = re.compile(r"<([^<>]*(?:\.\.|,)[^<>]*)>")
_OTHER_WORD = re.compile(r"<(?!n>)[^<>,.|]+>")  # somebody's word for <n>, taken literally from a description
_COUNTED = re.compile(r"(\d{1,6})\s*\.\.\s*(\d{1,6})")


def expand(tree: Tree, said: list[Said]) -> None:
    """Write out each range below a tree, in place."""
    due = [tree]
    while due:
        here = due.pop()
        if here.is_map:
            marked = [key for key in here.data if "<" in key or ">" in key]
            if marked:
                _cut_at_the_comma(here, said)
            for key in marked:
                if here.has(key) and _RANGE.search(key):
                    _write_out(here, key, said)
                elif here.has(key) and "<n>" in key:
                    fix = "a range, such as <1..2> or <west, east>, here or in a key round it"
                    said.append(Said(f"{key} stands in no range, so <n> is nothing", fix, here.child(key).place))
            due.extend(below for _, below in here.children() if type(below.data) in (dict, list))
        else:
            due.extend(i for i in here.items() if type(i.data) in (dict, list) and not _in_a_list(i))


def _cut_at_the_comma(here: Tree, said: list[Said]) -> None:
    """`{<west, east>: ...}`: between braces YAML ends a key at the comma, and two broken keys are left."""
    keys = [key for key, _ in here.children()]
    begun = [key for key in keys if "<" in key and ">" not in key]
    ended = [key for key in keys if ">" in key and "<" not in key]
    if not begun or not ended:
        return
    first, last = keys.index(begun[0]), keys.index(ended[0])
    whole = ", ".join(keys[first : last + 1])
    message = f"the range {whole} is cut at its comma, which ends a key between braces"
    said.append(Said(message, f'put it in quotes: "{whole}"', here.child(begun[0]).place))
    for key in keys[first : last + 1]:
        here.drop(key)


def _in_a_list(item: Tree) -> bool:
    """Whether a range is the one key of an item, which stays as it is: `- sv_<1..2>: ...` would be two parts in one."""
    keys = [key for key, _ in item.children()]
    return len(keys) == 1 and is_range(keys[0])


def is_range(key: str) -> bool:
    """Whether a key stands for several."""
    return _RANGE.search(key) is not None


def _names(text: str) -> list[str] | str:
    counted = _COUNTED.fullmatch(text.strip())
    if counted:
        first, last = int(counted[1]), int(counted[2])
        if last < first or last - first >= LIMIT:
            return f"from the smaller to the larger number, and at most {LIMIT} in all"
        return [str(n) for n in range(first, last + 1)]
    names = [name.strip() for name in text.split(",")]
    if not all(names) or len(set(names)) < len(names) or ".." in text:
        return "as <1..5> or <west, east>, each name once"
    return names if len(names) <= LIMIT else f"at most {LIMIT} names"


def _write_out(parent: Tree, key: str, said: list[Said]) -> None:
    found = _RANGE.search(key)
    assert found is not None
    below = parent.child(key)
    if len(_RANGE.findall(key)) > 1:
        message = f"{key} has two ranges, and a range's <n> is one"
        said.append(Said(message, "one entry for each of the first, with the second as its range", below.place))
        parent.drop(key)
        return
    names = _names(found[1])
    if isinstance(names, str):
        said.append(Said(f"the range <{found[1]}> cannot be read", f"write it {names}", below.place))
        parent.drop(key)
        return
    faults: dict[tuple[Any, int], Said] = {}  # one wrong item is one finding, not one for each of the range
    made: list[tuple[str, Any, SpecSpot]] = []
    present = dict(parent.children())
    for i, name in enumerate(names):
        tag = key.replace(found[0], name, 1)

        def text(words: str, spot: SpecSpot, i: int = i, name: str = name) -> str:
            if " | " in words:
                each = words.split(" | ")
                if len(each) != len(names):
                    message = f"{len(each)} values between bars, and the range has {len(names)}"
                    faults.setdefault((spot.value, len(each)), Said(message, "one value for each", spot.value))
                words = each[min(i, len(each) - 1)].strip()
            if _OTHER_WORD.fullmatch(words):
                message = f"{words} stands for nothing in a range"
                fix = "write <n>, whether the range has numbers or names"
                faults.setdefault((spot.value, 0), Said(message, fix, spot.value))
                return name
            return words.replace("<n>", name)

        value, spot = copied(below.data, below.spot, text)
        value = _with_numbers(below.data, value)
        plain = present.get(tag)
        if plain is not None:
            if plain.is_map and isinstance(value, dict) and isinstance(spot.inside, dict):
                for own, more in plain.children():
                    if own == KEY and more.is_map and own in value:
                        fill_fields(more, value[own], spot.inside[own])
                    value[own], spot.inside[own] = more.data, more.spot
            else:
                value, spot = plain.data, plain.spot
            parent.drop(tag)
        made.append((tag, value, spot))
    said.extend(faults.values())
    parent.replace_items(key, made)


def _with_numbers(before: Any, after: Any) -> Any:
    """What stood between bars read as YAML reads it alone: `41 | 35` gives numbers, `true | false` truth."""
    if isinstance(after, dict):
        pairs = zip(before.values(), after.items(), strict=True)
        return {key: _with_numbers(was, value) for was, (key, value) in pairs}
    if isinstance(after, list):
        return [_with_numbers(was, value) for was, value in zip(before, after, strict=True)]
    if isinstance(after, str) and " | " in before:
        read = meaning(after)
        return after if isinstance(read, NotANumber) else read
    return after
