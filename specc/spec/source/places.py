"""Where each value of a spec stands: from a JSON pointer to a file, line and column.

Places are kept as a tree beside the data rather than as a table of pointers: a table would repeat each long
key once for everything below it, and a file of 4 MiB could then fill the memory.
"""

from __future__ import annotations

from specc.model.findings import Place


def join(base: str, *steps: str | int) -> str:
    """A JSON pointer (RFC 6901) from a base pointer and unescaped steps.

    >>> join("/plumbing", "parts", "a/b", 0)
    '/plumbing/parts/a~1b/0'
    """
    for step in steps:
        text = str(step)
        if "~" in text or "/" in text:  # in next to none, and a spec is walked many times
            text = text.replace("~", "~0").replace("/", "~1")
        base = f"{base}/{text}"
    return base


def steps_of(pointer: str) -> list[str]:
    """The unescaped steps of a JSON pointer.

    >>> steps_of("/parts/a~1b/0")
    ['parts', 'a/b', '0']
    """
    return [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]


class SpecSpot:
    """One value's place, its key's place when it has a key, and the spots of what is inside it.

    `origin` says in words what filled the value in, and is "" for what is written as it stands; `typical`: it is what
    is usual of its kind, and nobody measured it.
    """

    __slots__ = ("inside", "key", "origin", "typical", "value")

    def __init__(
        self,
        value: Place,
        key: Place | None = None,
        inside: dict[str, SpecSpot] | list[SpecSpot] | None = None,
        origin: str = "",
        typical: bool = False,
    ) -> None:
        self.origin = origin
        self.typical = typical
        self.value = value
        self.key = key
        self.inside = inside


class Places:
    """Looks up places by JSON pointer. An unknown pointer gives its nearest known ancestor."""

    def __init__(self, root: SpecSpot) -> None:
        self._root = root

    @property
    def root(self) -> SpecSpot:
        """The whole tree, for those who rewrite what is in it."""
        return self._root

    def of(self, pointer: str) -> Place:
        """The place of the value."""
        return self._find(pointer)[0].value

    def key(self, pointer: str) -> Place:
        """The place of the key; of the value when it has no key of its own or the pointer is unknown."""
        spot, exact = self._find(pointer)
        return spot.key if exact and spot.key is not None else spot.value

    def known(self, pointer: str) -> bool:
        """Whether the pointer names something that stands in a file."""
        return self._find(pointer)[1]

    def rename(self, pointer: str, old: str, new: str) -> None:
        """Let the key `old` of the mapping at `pointer` be found under its name of today."""
        spot, exact = self._find(pointer)
        if exact and isinstance(spot.inside, dict) and old in spot.inside:
            spot.inside.setdefault(new, spot.inside[old])

    def _find(self, pointer: str) -> tuple[SpecSpot, bool]:
        spot = self._root
        for step in steps_of(pointer):
            below = _step_into(spot, step)
            if below is None:
                return spot, False
            spot = below
        return spot, True


def _step_into(spot: SpecSpot, step: str) -> SpecSpot | None:
    if isinstance(spot.inside, dict):
        return spot.inside.get(step)
    # Only plain ASCII digits, few enough that int() is cheap, are an index.
    if isinstance(spot.inside, list) and step.isascii() and step.isdigit() and len(step) < 10:
        index = int(step)
        return spot.inside[index] if index < len(spot.inside) else None
    return None
