"""What sections are made of: blocks that say what is shown, never how it is laid out.

Texts are plain: the packet escapes them. A block that names a figure, table or drawing does so by key; the
packet takes the thing itself from the Result.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.findings import Place
from specc.model.values import Citation

Align: TypeAlias = Literal["left", "right"]


PacketPart: TypeAlias = Literal[
    "summary", "site", "system", "effects", "faults", "crew", "start-up", "shutdown", "equipment", "changes", "appendix"
]
"""The parts of the packet's sections, in order; within a part a built-in plugin's come before a third party's."""


class Heading(NamedTuple):
    text: str
    anchor: str = ""


class Para(NamedTuple):
    """A paragraph. `quiet` prints it small and gray, for where something came from."""

    text: str
    quiet: bool = False
    citations: tuple[Citation, ...] = ()


class Bullets(NamedTuple):
    items: tuple[str, ...]
    numbered: bool = False


class Facts(NamedTuple):
    """Label and value, one to a line."""

    rows: tuple[tuple[str, str], ...]


class Column(NamedTuple):
    """A table's column. `share` is its part of the width, against the others'."""

    name: str
    share: float = 1.0
    align: Align = "left"


class Row(NamedTuple):
    cells: tuple[str, ...]
    place: Place | None = None  # where in the spec the row comes from
    strong: bool = False  # a total


class Table(NamedTuple):
    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    note: str = ""


class TableBlock(NamedTuple):
    """A table, by key, with its title as caption."""

    key: str


class DrawingBlock(NamedTuple):
    """A drawing, by key, with its title as caption."""

    key: str


class FigureBlock(NamedTuple):
    """A figure in full, by key: equation, substituted numbers, result, governing case, source."""

    key: str


class FigureList(NamedTuple):
    """Figures in short, one to a line, by key."""

    keys: tuple[str, ...]


class RulesBlock(NamedTuple):
    """The outcomes of the rules whose id starts with `prefix`."""

    prefix: str


class Lacking(NamedTuple):
    """Something that could not be made, in its place, with the cause. The host puts it there."""

    text: str


Block: TypeAlias = Heading | Para | Bullets | Facts | TableBlock | DrawingBlock | FigureBlock | FigureList | RulesBlock
BLOCKS = (Heading, Para, Bullets, Facts, TableBlock, DrawingBlock, FigureBlock, FigureList, RulesBlock)


class Fact(NamedTuple):
    """One thing a marshal scans for on the reviewer's page: `value` large, then label and a small note."""

    order: int
    value: str
    label: str
    note: str = ""


class Caution(NamedTuple):
    order: int
    text: str
    citation: Citation


class ModelLimit(NamedTuple):
    """What a model leaves out, so that nobody reads more into a figure than there is."""

    order: int
    subject: str
    text: str
