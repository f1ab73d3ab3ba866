"""What sections are made of: blocks that say what is shown, never how it is laid out.

Texts are plain: the packet escapes them. A block that names a figure, table or drawing does so by key; the
packet takes the thing itself from the Result.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias, get_args

from specc.model.findings import Place
from specc.model.values import Citation

Align: TypeAlias = Literal["left", "right"]


PacketPart: TypeAlias = Literal[
    "summary",
    "site",
    "system",
    "effects",
    "faults",
    "control",
    "structure",
    "crew",
    "start-up",
    "shutdown",
    "equipment",
    "changes",
    "appendix",
    "builder",
]
"""The parts of the packet, in order. All before the appendix are the front, which a marshal reads; a third party's
sections stand behind the whole front, so that they push nothing off it. What only its builder needs is printed in a
full packet."""

PACKET_PARTS: tuple[PacketPart, ...] = get_args(PacketPart)

PART_TITLES: dict[str, str] = {
    "summary": "Summary",
    "site": "Site",
    "system": "The whole system",
    "effects": "Effects, timeline and gas",
    "faults": "If this fails, then",
    "control": "Control",
    "structure": "Structure",
    "crew": "Crew, limits, signals",
    "start-up": "Start-up",
    "shutdown": "Shutdown and emergency",
    "equipment": "Cylinders, extinguishers, tests",
    "changes": "Changes and sign-off",
}

SLOTS: dict[str, str] = {
    "audience_distance": "Audience distance",
    "tallest_flame": "Tallest flame",
    "gas_on_site": "Gas on site",
    "stop_wind": "Stop wind",
    "responsible": "Responsible",
    "permit_holder": "Permit holder",
    "nights": "Nights",
    "group": "NFPA 160 group",
    "main_shutoff": "Main shutoff",
    "second_shutoff": "Second shutoff",
    "fire_department": "Fire department",
    "on_shift": "On shift",
    "extinguishers": "Extinguishers",
    "gas_burned": "Gas burned",
    "phone": "Phone",
    "solenoid": "A solenoid sticks",
    "in_date": "In date",
    "changed": "Changed",
    "go": "Says go",
}
"""What the summary always answers, by the name that a fact takes its place with. What no fact answers is said to be
not checked or not stated. All facts on what is in date stand together."""


class Heading(NamedTuple):
    text: str
    anchor: str = ""


class Para(NamedTuple):
    """A paragraph. `quiet` prints it small and gray, for where something came from. `in_draft`: what a draft prints in
    its place, without the limits that somebody would work by. `page_of`: a table whose page stands beside it."""

    text: str
    quiet: bool = False
    citations: tuple[Citation, ...] = ()
    in_draft: str = ""
    page_of: str = ""


class Bullets(NamedTuple):
    items: tuple[str, ...]
    numbered: bool = False


class Facts(NamedTuple):
    """Label and value, one to a line."""

    rows: tuple[tuple[str, str], ...]


class Column(NamedTuple):
    """A table's column. `share` is its part of the width, against the others'.

    `names`: its cells say what their rows are called, to whoever compares two states of a table; with none such, the
    first column does. `counts`: its cells number the rows, and move when a row is put in: no comparison heeds them.
    """

    name: str
    share: float = 1.0
    align: Align = "left"
    names: bool = False
    counts: bool = False


class Row(NamedTuple):
    cells: tuple[str, ...]
    place: Place | None = None  # where in the spec the row comes from
    strong: bool = False  # a total
    kept: bool = False  # stands in any case, where a page has no room for all rows


class Table(NamedTuple):
    """`shows`: keys of figures whose every value stands in it, so that a packet needs no other row for them.
    `withheld`: what a draft does not print of it: limits that somebody would work by, or steps that light.
    `folds`: where a packet has no room for all rows on one page, what stands for the last one of those that are not
    `kept`, for the last two and so on, in the place of the first of them.
    """

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    note: str = ""
    shows: tuple[str, ...] = ()
    withheld: Literal["", "limits", "lights"] = ""
    folds: tuple[Row, ...] = ()


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
    """One thing a marshal scans for on the summary: `value`, then label and a small note.

    `slot` is one of SLOTS for what the summary always answers; of two facts in one slot the first counts, a built-in
    plugin's before another's, and the other stands among what else is told. What is in date, and where gas is shut off,
    is told by all who know. `of`: whose it is, in few words, beside a large number whose note stands with the question.
    """

    order: int
    value: str
    label: str
    note: str = ""
    slot: str = ""
    of: str = ""


class Caution(NamedTuple):
    order: int
    text: str
    citation: Citation


class ModelLimit(NamedTuple):
    """What a model leaves out, so that nobody reads more into a figure than there is."""

    order: int
    subject: str
    text: str
