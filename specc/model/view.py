"""How a pass reads the spec: typed looks into it, which stop only the pass that reads a faulty value.

A value that failed the schema, and a required key that is missing, have already been reported with their
place. Reading one raises `Unreadable`; the host then marks the pass as blocked and goes on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc.model.values import Quantity


class Unreadable(Exception):
    """A value was read that the schema has already refused. `at` is its JSON pointer."""

    def __init__(self, at: str) -> None:
        super().__init__(at)
        self.at = at


class Absent(KeyError):
    """A key that is not in the spec there. Its words are made only where somebody reads them."""

    def __init__(self, key: str, at: str, known: tuple[str, ...]) -> None:
        super().__init__(key)
        self.at, self.known = at, known

    def __str__(self) -> str:
        from difflib import get_close_matches

        near = get_close_matches(str(self.args[0]), self.known, 1)
        there = f"did you mean {near[0]!r}?" if near else f"it has {', '.join(self.known) or 'no keys'}"
        return f"{self.args[0]!r} is not at {self.at or 'the top'}; {there}"


class Bad:
    """Stands in the converted spec where a refused value was."""

    __slots__ = ("at",)

    def __init__(self, at: str) -> None:
        self.at = at


def join(at: str, *steps: str | int) -> str:
    """A JSON pointer (RFC 6901) with further steps."""
    for step in steps:
        text = str(step)
        if "~" in text or "/" in text:  # in next to none, and a spec is walked many times
            text = text.replace("~", "~0").replace("/", "~1")
        at = f"{at}/{text}"
    return at


class View(Mapping[str, object]):
    """A mapping of the spec. `at` is its JSON pointer, to put findings at.

    `missing` holds the pointers of required keys that are absent. A wholly bad view (something else stood
    where a mapping was due) raises `Unreadable` whatever is read from it.
    """

    __slots__ = ("_bad", "_data", "_missing", "at")

    def __init__(
        self,
        data: Mapping[str, object],
        at: str = "",
        missing: frozenset[str] = frozenset(),
        bad: bool = False,
    ) -> None:
        self._data = data
        self.at = at
        self._missing = missing
        self._bad = bad

    def __getitem__(self, key: str) -> object:
        if self._bad:
            raise Unreadable(self.at)
        value = self._data.get(key)
        if value is None:
            at = join(self.at, key)
            if at in self._missing:
                raise Unreadable(at)
            if key not in self._data:
                raise Absent(key, self.at, tuple(self._data))
        if isinstance(value, Bad):
            raise Unreadable(value.at)
        if isinstance(value, dict):
            return View(value, join(self.at, key), self._missing)
        # A list is handed out as a copy: what a plugin does to it is its own affair.
        return list(value) if isinstance(value, list) else value

    def __contains__(self, key: object) -> bool:
        if self._bad:
            raise Unreadable(self.at)
        return key in self._data

    def __iter__(self) -> Iterator[str]:
        if self._bad:
            raise Unreadable(self.at)
        return iter(self._data)

    def __len__(self) -> int:
        return len(self._data)

    def here(self, *steps: str | int) -> str:
        """The JSON pointer of something below this view."""
        return join(self.at, *steps)

    def _typed(self, key: str, kind: type, wanted: str) -> object:
        value = self[key]
        if not isinstance(value, kind):
            raise TypeError(f"{self.here(key)} is not {wanted}; its schema does not say so either")
        return value

    def quantity(self, key: str) -> Quantity:
        """A measured value. Raises Unreadable if refused or missing, KeyError if optional and absent."""
        value = self[key]
        if not isinstance(value, Quantity):
            raise TypeError(f"{self.here(key)} has no dimension in its schema")
        return value

    def quantity_or_none(self, key: str) -> Quantity | None:
        return self.quantity(key) if self.has(key) else None

    def text(self, key: str) -> str:
        value = self[key]
        if isinstance(value, int) and not isinstance(value, bool):
            return str(value)
        if not isinstance(value, str):
            raise TypeError(f"{self.here(key)} is not text; its schema does not say so either")
        return value

    def text_or(self, key: str, default: str = "") -> str:
        return self.text(key) if self.has(key) else default

    def whole(self, key: str) -> int:
        value = self[key]
        if not isinstance(value, int) or isinstance(value, bool):
            raise TypeError(f"{self.here(key)} is not a whole number; its schema does not say so either")
        return value

    def yes(self, key: str, default: bool = False) -> bool:
        """A yes-or-no value (`true`, `false`)."""
        if not self.has(key):
            return default
        return bool(self._typed(key, bool, "true or false"))

    def has(self, key: str) -> bool:
        """Whether the key is there with a value, or was required (then reading it raises Unreadable)."""
        if self._bad:
            raise Unreadable(self.at)
        if self._data.get(key) is not None:
            return True
        # Most specs lack nothing that is required, and this is asked more often than anything else.
        return bool(self._missing) and self.here(key) in self._missing

    def list_of(self, key: str) -> tuple[object, ...]:
        """A list, empty when absent. Items that are mappings come as views."""
        if not self.has(key):
            return ()
        found: list[object] = []
        listed = self._typed(key, list, "a list")
        assert isinstance(listed, list)
        for i, item in enumerate(listed):
            if isinstance(item, Bad):
                raise Unreadable(item.at)
            found.append(View(item, self.here(key, i), self._missing) if isinstance(item, dict) else item)
        return tuple(found)

    def texts(self, key: str) -> tuple[str, ...]:
        return tuple(str(item) for item in self.list_of(key))

    def quantities(self, key: str) -> tuple[Quantity, ...]:
        found = self.list_of(key)
        if not all(isinstance(q, Quantity) for q in found):
            raise TypeError(f"{self.here(key)} has no dimension in its schema")
        return tuple(q for q in found if isinstance(q, Quantity))

    def child(self, key: str) -> View:
        """A mapping below this one; an empty view when absent."""
        if not self.has(key):
            return View({}, self.here(key), self._missing)
        value = self[key]
        if not isinstance(value, View):
            raise TypeError(f"{self.here(key)} is not a mapping; its schema does not say so either")
        return value

    def fields(self, plugin: str) -> View:
        """A plugin's own fields on what has a tag, `x: {plugin: {...}}`; an empty view when absent."""
        return self.child("x").child(plugin)

    def children(self) -> tuple[tuple[str, View], ...]:
        """Tag and view of each item of a mapping by tag. A refused item is there, as a bad view."""
        if self._bad:
            raise Unreadable(self.at)
        return tuple(
            (
                tag,
                View(value, self.here(tag), self._missing)
                if isinstance(value, dict)
                else View({}, self.here(tag), self._missing, bad=isinstance(value, Bad)),
            )
            for tag, value in self._data.items()
        )


def raw(view: View) -> Mapping[str, object]:
    """What is below a view as converted, refused values and all; for the host, which reports none of it."""
    return view._data


def missing_of(view: View) -> frozenset[str]:
    """The pointers of required keys that are absent, in the whole spec; for the host."""
    return view._missing
