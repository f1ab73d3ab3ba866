"""What belongs in the private file, and a packet that gives nothing of it away.

`exposed` finds private fields that stand in the public spec. `withheld` makes the public form of a Result:
it was judged with the overlay, and every text of the overlay in it is replaced by a word. `given_away` looks
whether one would appear all the same, in the Result or in a file that the packet embeds. The packet is made
of the Result alone, so nothing else has to be looked at.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from specc.model.findings import Place
from specc.model.result import Result
from specc.model.view import join
from specc.spec.source import Source

WORD = "withheld"
# Shorter texts ("21", "no") stand everywhere: they can be neither replaced nor looked for.
SHORTEST = 3


def exposed(schema: Mapping[str, Any], data: object, private: frozenset[str], at: str = "") -> Iterator[str]:
    """Pointers of values that the schema marks `x-private` and that do not come from the overlay."""
    if schema.get("x-private") and data is not None and at not in private:
        yield at
    elif isinstance(data, Mapping):
        known = dict(schema.get("properties", {}))
        choose = schema.get("x-choose")
        if choose is not None and isinstance(data.get(choose["by"]), str):
            known.update(choose["from"].get(data[choose["by"]], {}).get("properties", {}))
        rest = schema.get("additionalProperties")
        for key, value in data.items():
            below = known.get(key, rest)
            if isinstance(below, Mapping) and (isinstance(value, dict | list) or below.get("x-private")):
                yield from exposed(below, value, private, join(at, key))
    elif isinstance(data, list) and isinstance(schema.get("items"), Mapping):
        for i, value in enumerate(data):
            yield from exposed(schema["items"], value, private, join(at, i))


def secrets(source: Source) -> dict[str, str]:
    """Text to pointer, for each value that the overlay gives, and each tag that only the overlay has."""
    found: dict[str, str] = {}

    def keep(text: str, at: str) -> None:
        if len(text.strip()) >= SHORTEST:
            found.setdefault(text.strip(), at)

    def walk(value: object, at: str, depth: int, inside: bool) -> None:
        inside = inside or at in source.private
        if isinstance(value, Mapping):
            for key, below in value.items():
                there = join(at, str(key))
                # Below a root (people:, places:) a new key is a tag that somebody chose.
                if depth == 1 and there in source.private:
                    keep(str(key), there)
                walk(below, there, depth + 1, inside)
        elif isinstance(value, list):
            for i, below in enumerate(value):
                walk(below, join(at, i), depth + 1, inside)
        elif inside and value is not None and not isinstance(value, bool):
            keep(str(value), at)

    walk(source.data, "", 0, False)
    return found


def _pattern(texts: Mapping[str, str]) -> re.Pattern[str] | None:
    """Any of the texts as whole words, with any spaces between them and in any case, the longest first."""
    if not texts:
        return None
    spaced = (r"\s+".join(re.escape(w) for w in t.split()) for t in sorted(texts, key=len, reverse=True))
    return re.compile(r"(?<!\w)(?:" + "|".join(spaced) + r")(?!\w)", re.IGNORECASE)


def _replaced(thing: Any, pattern: re.Pattern[str], known: dict[int, tuple[Any, Any]]) -> Any:
    """`known`: tuples that were met before, by id, each with its public form. A figure stands in all that is computed
    from it: gone through at each place, those of a complete device took 15 s. They are held, so that no other
    can come to have the id."""
    if isinstance(thing, str):
        return pattern.sub(WORD, thing)
    if isinstance(thing, tuple):
        if id(thing) not in known:
            made = [_replaced(part, pattern, known) for part in thing]
            known[id(thing)] = thing, type(thing)(*made) if hasattr(thing, "_fields") else tuple(made)
        return known[id(thing)][1]
    return thing


def withheld(result: Result, source: Source) -> Result:
    """The Result with every text of the overlay replaced. Its files are left: they are the public inputs."""
    pattern = _pattern(secrets(source))
    if pattern is None:
        return result
    overlay = {source.places.of(at).file for at in source.private}

    def line(place: Place, text: str) -> tuple[Place, str]:
        return place, WORD if place.file in overlay else text

    files = result.files
    public: Result = _replaced(result._replace(files=()), pattern, {})
    return public._replace(files=files, excerpts=tuple(line(*e) for e in public.excerpts))


def _texts(thing: Any, seen: dict[int, Any]) -> Iterator[str]:
    """All texts, of each thing once; `seen`: the tuples that were met before, by id."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, bytes):
        yield thing.decode("utf-8", "replace")
    elif isinstance(thing, tuple) and id(thing) not in seen:
        seen[id(thing)] = thing
        for part in thing:
            yield from _texts(part, seen)


def given_away(result: Result, source: Source) -> tuple[str, ...]:
    """Pointers of overlay values that the packet would print or embed all the same, in order."""
    texts = secrets(source)
    pattern = _pattern(texts)
    if pattern is None:
        return ()
    by_words = {" ".join(t.split()).casefold(): at for t, at in texts.items()}
    found = {
        by_words.get(" ".join(hit.split()).casefold(), "/")
        for text in _texts(result, {})
        for hit in pattern.findall(text)
    }
    return tuple(sorted(found))
