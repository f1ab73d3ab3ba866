"""From the text of one YAML file to data and places, in one pass that goes on after most faults.

The parser's events are walked with an explicit stack. Each value is put into its parent as soon as it
begins, so that what stood before a fault is there for the checks that come later. Numbers, truth and
emptiness are told by `scalars.meaning`, never by PyYAML's constructors, which follow YAML 1.1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import yaml

from specc.model.findings import Place
from specc.spec.source.faults import Faults, FileFault, shown
from specc.spec.source.files import CONTROL, SIZE_LIMIT, split_lines
from specc.spec.source.places import SpecSpot, join
from specc.spec.source.scalars import NotANumber, meaning
from specc.spec.source.syntax import explain

NODES_LIMIT = 200_000  # values and keys of all files together, each alias counted as what it stands for
DEPTH_LIMIT = 60
KEY_LIMIT = 1024  # characters, the limit that YAML sets for a key on one line
ALIAS_TEXT_LIMIT = SIZE_LIMIT  # characters that aliases may add

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Budget:
    """How many more nodes, and characters through aliases, the files of one spec may have."""

    __slots__ = ("nodes", "text")

    def __init__(self) -> None:
        self.nodes = NODES_LIMIT
        self.text = ALIAS_TEXT_LIMIT

    @property
    def spent(self) -> bool:
        return self.nodes < 0 or self.text < 0


class FileRead(NamedTuple):
    """One file as read. `data` is {} when the file holds no mapping."""

    data: dict[str, object]
    spot: SpecSpot


class _Enough(Exception):
    """A bound was passed or a second document began: the rest of the file is not read."""


class _Node:
    """A mapping or list being read, or any value that an anchor names.

    `nodes` and `text` are what the budget stood at when it was opened and, once it is closed, what it cost.
    """

    __slots__ = ("closed", "data", "height", "keep", "key_due", "key_place", "nodes", "spot", "step", "text")

    def __init__(self, data: object, spot: SpecSpot, budget: Budget) -> None:
        self.data = data
        self.spot = spot
        self.nodes = budget.nodes
        self.text = 0
        self.height = 1 if isinstance(data, dict | list) else 0
        self.closed = False
        self.key_due = isinstance(data, dict)
        self.step: str | None = None  # the key whose value is due; None for a key that has no name
        self.key_place: Place | None = None
        self.keep = True  # False: the value due belongs to a refused key and is read only for its faults


def read(text: str, file: str, budget: Budget, faults: Faults) -> FileRead:
    """Reads one file's text. `file` is its name in places; what is wrong goes into `faults`."""
    walk = _Walk(file, budget, faults)
    try:
        walk.all_of(yaml.parse(text, Loader=_LOADER))
    except _Enough:
        return walk.reading()
    # ValueError: PyYAML's own parser lets a few out for odd escapes.
    except (yaml.YAMLError, ValueError) as trouble:
        for fault in explain(trouble, split_lines(text), file, walk.open_at()):
            faults.add(fault)
        return walk.reading()
    walk.finish()
    return walk.reading()


class _Walk:
    def __init__(self, file: str, budget: Budget, faults: Faults) -> None:
        self._file = file
        self._budget = budget
        self._faults = faults
        self._stack: list[_Node] = []
        self._anchors: dict[str, _Node] = {}
        self._documents = 0
        self._empty = True  # nothing but comments so far
        self._text_seen = 0  # characters of all single values so far, through aliases too
        self._root: tuple[object, SpecSpot] | None = None

    def reading(self) -> FileRead:
        if self._root is not None and isinstance(self._root[0], dict):
            return FileRead(self._root[0], self._root[1])
        return FileRead({}, SpecSpot(Place(self._file, 1, 1), inside={}))

    def open_at(self) -> Place | None:
        """Where the innermost list or mapping begins that is not read to its end."""
        return self._stack[-1].spot.value if self._stack else None

    def all_of(self, events: Iterator[yaml.Event]) -> None:
        for event in events:
            if isinstance(event, yaml.ScalarEvent):
                self._scalar(event)
            elif isinstance(event, yaml.MappingStartEvent):
                self._open(event, {}, {})
            elif isinstance(event, yaml.SequenceStartEvent):
                self._open(event, [], [])
            elif isinstance(event, yaml.CollectionEndEvent):
                self._close()
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
            elif isinstance(event, yaml.DocumentStartEvent):
                self._document(event)

    def finish(self) -> None:
        """The faults that show only at the end of the file."""
        if self._empty:
            message, fix = "the file is empty", "write the spec, beginning with `format: 1`"
            self._fault("spec.empty", message, fix, Place(self._file, 1, 1), at="")
        elif self._root is not None and not isinstance(self._root[0], dict):
            kind = "a list" if isinstance(self._root[0], list) else "a single value"
            message = f"the file holds {kind}, not keys with values"
            fix = "write `key: value` lines at the top level, with a space after each colon"
            self._fault("spec.not_a_mapping", message, fix, self._root[1].value, at="")

    # -- one method an event

    def _document(self, event: yaml.DocumentStartEvent) -> None:
        place = self._place(event)
        self._documents += 1
        if self._documents > 1:
            message, fix = "a second document begins here", "one document a file; delete the `---`"
            self._fault("spec.second_document", message, fix, place, at="")
            raise _Enough
        if event.version is not None and tuple(event.version) != (1, 2):
            message = "the file says it is another YAML than 1.2"
            fix = "delete the %YAML line; `no` and `012` are text here"
            self._fault("spec.yaml", message, fix, place, at="")
        if event.tags:
            self._fault("spec.tag", "a %TAG line", "delete it; tags are not used in a spec", place, at="")

    def _scalar(self, event: yaml.ScalarEvent) -> None:
        place = self._place(event)
        word: str = event.value
        plain = not event.style
        self._count(place)
        if event.tag is not None:
            self._tag(event.tag, place)
        if event.style == '"' and CONTROL.search(word):
            message = "a backslash in this text stands for an invisible character"
            self._fault("spec.control_character", message, "leave it out", place)
        self._empty = self._empty and plain and not word and not self._stack
        self._text_seen += len(word)
        is_key = bool(self._stack) and self._stack[-1].key_due
        value = meaning(word) if plain else word
        is_text = isinstance(value, str)
        if isinstance(value, NotANumber):
            if not is_key:
                fix = "write a finite number, or put it in quotes if it is text"
                self._fault("spec.not_finite", value.message, fix, place)
            value = None
        if event.anchor is not None:
            self._anchors[event.anchor] = self._named(value, place)
        if is_key:
            # A refused key is kept as it is written, so that what stands under it can be looked at.
            self._key(word, place, merge=plain and word == "<<", text=is_text)
        else:
            self._put(value, SpecSpot(place))

    def _open(
        self,
        event: yaml.CollectionStartEvent,
        data: dict[str, object] | list[object],
        inside: dict[str, SpecSpot] | list[SpecSpot],
    ) -> None:
        place = self._place(event)
        self._count(place)
        if event.tag is not None:
            self._tag(event.tag, place)
        self._empty = False
        if len(self._stack) >= DEPTH_LIMIT:
            self._too_deep(place)
        spot = SpecSpot(place, inside=inside)
        node = _Node(data, spot, self._budget)
        node.text = self._text_seen
        if event.anchor is not None:
            self._anchors[event.anchor] = node
        self._put(data, spot)
        self._stack.append(node)

    def _close(self) -> None:
        node = self._stack.pop()
        node.closed = True
        node.nodes = node.nodes - self._budget.nodes + 1
        node.text = self._text_seen - node.text
        if self._stack:
            self._stack[-1].height = max(self._stack[-1].height, node.height + 1)

    def _alias(self, event: yaml.AliasEvent) -> None:
        place = self._place(event)
        self._empty = False
        node = self._anchors.get(event.anchor or "")
        if node is None:
            message = f"nothing above is named &{event.anchor}"
            self._fault("spec.yaml", message, "put text that begins with * in quotes", place)
        elif not node.closed:
            message = f"*{event.anchor} stands inside what it names, so it would never end"
            self._fault("spec.alias_loop", message, "write out what is meant", place)
            node = None
        if node is None:
            self._count(place)
            node = self._named(None, place)
        else:
            # Charged before a single value is copied: a few lines of aliases can stand for billions.
            self._count(place, node.nodes, node.text)
            self._text_seen += node.text
            if len(self._stack) + node.height > DEPTH_LIMIT:
                self._too_deep(place)
        if self._stack and self._stack[-1].key_due:
            if isinstance(node.data, str):
                self._key(node.data, place, merge=False, text=True)
            else:
                self._nameless_key(place)
        else:
            data, inside = _copy(node.data, node.spot)
            self._put(data, SpecSpot(place, inside=inside))
            if self._stack:
                self._stack[-1].height = max(self._stack[-1].height, node.height + 1)

    # -- building

    def _key(self, word: str, place: Place, *, merge: bool, text: bool) -> None:
        parent = self._stack[-1]
        known = parent.spot.inside
        assert isinstance(known, dict)
        parent.key_due, parent.keep, parent.step, parent.key_place = False, False, word, place
        if len(word) > KEY_LIMIT:
            parent.step = None
            message = f"a key of {len(word)} characters; keys are names of up to {KEY_LIMIT}"
            self._fault("spec.key_not_text", message, "use a short name", place)
        elif merge:
            message = "the merge key << is not used in a spec"
            fix = "write the keys out; or, where one is like another in everything, an alias: tank_b: *tank_a"
            self._fault("spec.merge_key", message, fix, place)
        elif word in known:
            first = known[word].key or known[word].value
            message = f"the key {shown(word)} appears twice; the first is on line {first.line}"
            self._fault("spec.duplicate_key", message, "keep one of them, or rename one", place)
        else:
            parent.keep = True
        if not text and len(word) <= KEY_LIMIT:
            said = f"the key {shown(word)} is not text" if word else "a key with no text"
            fix = f"put it in quotes: '{word}'" if 0 < len(word) <= 40 else "use a name in quotes"
            self._fault("spec.key_not_text", said, fix, place)

    def _nameless_key(self, place: Place) -> None:
        """A list, a mapping or an alias of a number stands as a key: what follows it is not kept."""
        parent = self._stack[-1]
        parent.key_due, parent.keep, parent.step = False, False, None
        message = "a list, a mapping or a number stands where a key is due"
        self._fault("spec.key_not_text", message, "use a name, in quotes if need be", place)

    def _put(self, data: object, spot: SpecSpot) -> None:
        """Puts a value where it belongs: at the root, in a list, or under the key read last."""
        if not self._stack:
            self._root = (data, spot)
            return
        parent = self._stack[-1]
        if isinstance(parent.data, list):
            assert isinstance(parent.spot.inside, list)
            parent.data.append(data)
            parent.spot.inside.append(spot)
            return
        assert isinstance(parent.data, dict)
        assert isinstance(parent.spot.inside, dict)
        if parent.key_due:
            self._nameless_key(spot.value)
            return
        if parent.keep and parent.step is not None:
            spot.key = parent.key_place
            parent.data[parent.step] = data
            parent.spot.inside[parent.step] = spot
        parent.key_due = True

    def _named(self, value: object, place: Place) -> _Node:
        """A finished node for an anchor that names a single value."""
        node = _Node(value, SpecSpot(place), self._budget)
        node.closed, node.nodes, node.text = True, 1, len(value) if isinstance(value, str) else 0
        return node

    # -- bounds and faults

    def _count(self, place: Place, nodes: int = 1, text: int = 0) -> None:
        budget = self._budget
        budget.nodes -= nodes
        budget.text -= text
        if budget.spent:
            message = f"more than {NODES_LIMIT} values"
            if budget.text < 0:
                message = f"aliases add more than {ALIAS_TEXT_LIMIT} characters"
            fix = "use fewer aliases, or a smaller spec"
            self._fault("spec.too_many_nodes", message, fix, place)
            raise _Enough

    def _too_deep(self, place: Place) -> None:
        message = f"more than {DEPTH_LIMIT} levels, one inside the other"
        self._fault("spec.too_deep", message, "use fewer levels", place)
        raise _Enough

    def _tag(self, tag: str, place: Place) -> None:
        word = shown(tag.replace("tag:yaml.org,2002:", "!!"))
        message = f"the tag {word} is not used in a spec"
        self._fault("spec.tag", message, "delete it; put text in quotes to keep it text", place)

    def _fault(self, rule: str, message: str, fix: str, place: Place, at: str | None = None) -> None:
        pointer = self._pointer() if at is None else at
        self._faults.add(FileFault(rule, message, fix, place, pointer, fatal=True))

    def _pointer(self) -> str:
        """The pointer to the value or key being read; to the nearest that has one, if it has none."""
        steps: list[str | int] = []
        for node in self._stack:
            # What is further up the stack is inside the value that this node took last.
            innermost = node is self._stack[-1]
            if isinstance(node.data, list):
                steps.append(len(node.data) if innermost else len(node.data) - 1)
            elif node.step is None or (innermost and node.key_due):
                break
            else:
                steps.append(node.step)
        return join("", *steps)

    def _place(self, event: yaml.Event) -> Place:
        mark = event.start_mark
        assert mark is not None  # both parsers mark every event
        return Place(self._file, mark.line + 1, mark.column + 1)


def _copy(data: object, spot: SpecSpot) -> tuple[object, dict[str, SpecSpot] | list[SpecSpot] | None]:
    """A copy of a value and of the spots inside it, at most DEPTH_LIMIT deep.

    Copied, not shared: an include or the overlay may add to one of them and not to the other.
    """
    if isinstance(data, dict) and isinstance(spot.inside, dict):
        fresh: dict[str, object] = {}
        spots: dict[str, SpecSpot] = {}
        for key, below in spot.inside.items():
            fresh[key], inside = _copy(data[key], below)
            spots[key] = SpecSpot(below.value, below.key, inside)
        return fresh, spots
    if isinstance(data, list) and isinstance(spot.inside, list):
        items: list[object] = []
        item_spots: list[SpecSpot] = []
        for item, below in zip(data, spot.inside, strict=True):
            value, inside = _copy(item, below)
            items.append(value)
            item_spots.append(SpecSpot(below.value, below.key, inside))
        return items, item_spots
    return data, None
