"""The writer's desk: what is numbered once and looked up everywhere while the packet is put together.

References get their number where they are first cited, drawings and tables where they are first shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from specc.engine.derived import citations_in
from specc.model.blocks import DrawingBlock, TableBlock
from specc.model.findings import Place
from specc.model.result import Result, SectionMade
from specc.model.values import BASIS_WORDS, Citation, Equation, Figure, Reference
from specc.packet.style import QUIET, Style
from specc.packet.text import Span, Spans

# How a number is known, in short. The references say once what each means.
IN_SHORT: dict[str, str] = {
    "read": "read",
    "reprint": "reprint",
    "computed": "recomputed",
    "memory": "from memory",
    "practice": "common practice, no published source",
    "choice": "specc default",
    "declared": "declared",
}


class NoSuchPart(ValueError):
    """A part was asked for that the packet does not have."""


class Desk:
    """Look-ups into one Result, and the counters of one packet."""

    def __init__(self, result: Result, public: bool, full: bool = False, apart: bool = False) -> None:
        self.result = result
        self.public = public
        self.full = full  # spell out every derivation
        self.apart = apart  # print the builder's sheet, on pages of its own
        self.explained: dict[Equation, str] = {}  # equation -> the first figure shown with it
        self.told: dict[str, str] = {}  # an equation in words, or a line of inputs -> the first figure with it
        self.placed: set[Citation] = set()  # of equations, whose place in the source has been told
        self.shown: set[str] = set()  # figures that a section has shown
        self.tabled: dict[str, str] = {}  # figure -> the title of a table that has its values
        self.same: dict[tuple[str, ...], str] = {}  # what the rows of a family say -> the first family that does
        self.places = dict(result.places)
        self.origins = {o.at: o for o in result.origins}
        self.tables = dict(result.tables)
        self.drawings = dict(result.drawings)
        self.figures: dict[str, Figure] = {f.key: f for f in result.figures}
        self.lost = dict(result.lost)
        self.described = {r.id: r for r in result.references}
        self.cited: dict[str, int] = {}
        self.drawn: dict[str, str] = {}  # drawing -> its number, once a section shows it
        self.sections: dict[str, str] = {}  # name of a part of the packet -> its number
        self.contents: list[tuple[str, str, str, int]] = []  # number, title, anchor, level
        self._counts: dict[str, int] = {}
        self._anchors: set[str] = set()
        self.moved = frozenset(result.since.moved if result.since else ())  # marked in the margin
        self.answers: list[tuple[str, str, str]] = []  # question, section title, anchor

    def look_into(self, sections: Iterable[SectionMade]) -> None:
        """Notes which figures stand in tables that these sections show."""
        keys = [b.key for s in sections for b in s.blocks if isinstance(b, TableBlock)]
        for table in (self.tables[k] for k in keys if k in self.tables):
            self.tabled |= dict.fromkeys(table.shows, table.title)

    def is_built_in(self, plugin: str) -> bool:
        """Whether a plugin comes with specc. What a third party gives carries its name."""
        return not any(p.name == plugin and p.origin in ("installed", "file") for p in self.result.plugins)

    def whose(self, kind: str, key: str) -> str:
        """ " (plugin club)" for a table or drawing that a third party made; "" for a built-in's."""
        plugin = next((o.plugin for o in self.result.outcomes if o.kind == kind and o.id == key), "")
        return "" if self.is_built_in(plugin) else f" (plugin {plugin})"

    def why_not(self, kind: str, key: str) -> str:
        """Why a figure, table or drawing that was asked for is not there."""
        for o in self.result.outcomes:
            mine = o.id == key or (o.kind == "figures" and key.startswith(f"{o.id}."))
            if mine and o.kind.startswith(kind) and o.cause:
                return o.cause
        return "no plugin that ran makes it"

    @property
    def site_drawings(self) -> list[str]:
        """The drawings that the site's part shows, in order."""
        some = sorted((s for s in self.result.sections if s.part == "site"), key=lambda s: (s.order, s.id))
        keys = [b.key for s in some for b in s.blocks if isinstance(b, DrawingBlock)]
        return [k for k in keys if k in self.drawings]

    # -- numbers

    def count(self, word: str) -> str:
        """The next number of its kind, such as "Table 3"."""
        self._counts[word] = self._counts.get(word, 0) + 1
        return f"{word} {self._counts[word]}"

    def anchor(self, wish: str) -> str:
        """A name for a place in the packet that nothing else has."""
        name, n = re.sub(r"[^A-Za-z0-9._-]", "-", wish), 1
        while (name if n == 1 else f"{name}-{n}") in self._anchors:
            n += 1
        name = name if n == 1 else f"{name}-{n}"
        self._anchors.add(name)
        return name

    def see(self, part: str) -> str:
        """Where a part of the packet stands, in words."""
        return f"section {self.sections[part]}" if part in self.sections else "the sections"

    # -- sources

    def cite(self, citation: Citation, style: Style = QUIET) -> Spans:
        """A citation: number of the reference, place in it, and how it is known, in words that the references spell
        out; in a full packet spelled out here."""
        words = (BASIS_WORDS if self.full else IN_SHORT).get(citation.basis, citation.basis)
        if not citation.reference:
            return (Span(", ".join(t for t in (citation.where, words) if t), style),)
        number = self.cited.setdefault(citation.reference, len(self.cited) + 1)
        rest = ", ".join(t for t in (citation.where, words) if t)
        return (Span(f"[{number}]", style, to=f"reference-{number}"), Span(f" {rest}", style))

    def number(self, citation: Citation, style: Style = QUIET) -> Spans:
        """A citation as its reference's number alone; where it has no reference in the fewest words, which the lists
        that use them spell out."""
        if not citation.reference and not self.full and citation.basis == "practice":
            return (Span("practice", style),)
        return self.cite(citation, style)[:1]

    def cite_all(self, citations: Iterable[Citation], style: Style = QUIET) -> Spans:
        made: list[Span] = []
        for citation in citations:
            if made:
                made.append(Span("; ", style))
            made.extend(self.cite(citation, style))
        return tuple(made)

    def references(self) -> list[tuple[int, Reference]]:
        """The references by number: those cited so far, then what stands behind a figure and is spelled out in a full
        packet alone."""
        for _, citation in citations_in(self.result, first=True):
            if citation.reference:
                self.cited.setdefault(citation.reference, len(self.cited) + 1)
        return [
            (n, self.described.get(id_, Reference(id_, f"{id_} (no description was given)")))
            for id_, n in sorted(self.cited.items(), key=lambda pair: pair[1])
        ]

    # -- places

    def place(self, at: str) -> str:
        """A pointer's file and line, or ""."""
        return spot(self.places[at]) if at in self.places else ""


def spot(place: Place, column: bool = False) -> str:
    """`file:line`, with the column where asked."""
    if not place.line:
        return place.file
    tail = f":{place.column}" if column and place.column else ""
    return f"{place.file}:{place.line}{tail}"


def tag(at: str) -> str:
    """The last two steps of a pointer, as words: ``/plumbing/parts/fo1/bore`` -> ``fo1 bore``."""
    steps = [s.replace("~1", "/").replace("~0", "~") for s in at.split("/") if s]
    return " ".join(steps[-2:])


def short_digest(digest: str, groups: int = 4) -> str:
    """The start of a digest in groups of four."""
    bare = digest.split(":")[-1]
    return " ".join(bare[i : i + 4] for i in range(0, min(len(bare), groups * 4), 4))


def clip(text: str, most: int) -> str:
    """The text, or its start with an ellipsis."""
    text = " ".join(text.split())
    if len(text) <= most:
        return text
    start = text[: most - 1]
    whole, _, part = start.rpartition(" ")
    # At a word's end, unless the last word is as long as most of the room.
    return (whole if whole and len(part) < most // 3 else start).rstrip(" ,.;:") + "…"


def around(line: str, column: int, most: int) -> str:
    """A line of a file, or of a long one what stands from `column` (from 1) on, a few words before it included.

    >>> around("main: [tank_a: {is: 20 lb cylinder}, v1: {is: ball valve}, v2: {is: ball valve}]", 38, 40)
    '… cylinder}, v1: {is: ball valve}, v2: …'
    """
    if len(line.strip()) <= most:
        return line.strip()
    start = max(0, min(column - 1 - most // 3, len(line.rstrip()) - most))
    if start:
        start = line.find(" ", start, start + most // 3) + 1 or start
    end = start + most
    if end < len(line.rstrip()):
        end = max(line.rfind(" ", column, end), start + most // 2)
    said = line[start:end].strip()
    return ("… " if line[:start].strip() else "") + said + (" …" if line[end:].strip() else "")


def shortly(text: str, most: int) -> str:
    """The text as far as whole sentences of it fit, else as far as whole clauses do: what is left out stands elsewhere,
    and nothing breaks off in the middle. Only a first clause that is longer by itself is cut with an ellipsis.

    >>> shortly("Is 25 ft to the rope enough? No distance is published; ours is 4 ft.", 40)
    'Is 25 ft to the rope enough?'
    >>> shortly("Each part is rated for what it sees: 13 parts, each", 40)
    'Each part is rated for what it sees'
    >>> shortly("Nothing shows that these hold; none was tested (flame: wind_shown:)", 60)
    'Nothing shows that these hold'
    """
    text = " ".join(text.split())
    if len(text) <= most:
        return text
    for mark in (r"(?<=[.?!]) ", r"[;:] ", r", ", r" (?=\()"):
        ends = [found.start() for found in re.finditer(mark, text) if LEAST_SAID <= found.start() <= most]
        ends = [end for end in ends if text.count("(", 0, end) == text.count(")", 0, end)]
        if ends:
            return text[: ends[-1]]
    return clip(text, most)


def without_keys(text: str) -> str:
    """A text without the keys of the spec that it names in parentheses: who reads page one writes no spec, and
    `specc check --todo` names them for who does.

    >>> without_keys("no vehicle is described (transport: vehicles:), nor its way (lane:); asked (step: by hand)")
    'no vehicle is described, nor its way; asked (step: by hand)'
    """
    return re.sub(r" ?\([a-z_.]+:(?:| (?:[a-z_.]+:|\{)[^()]*)\)", "", text)


LEAST_SAID = 24  # letters that say something by themselves


def many(n: int, word: str, words: str = "") -> str:
    return f"{n} {word if n == 1 else words or word + 's'}"


def failures(result: Result) -> list[str]:
    """Why the packet is a draft, in words; empty when it is not."""
    why: list[str] = []
    if result.errors:
        why.append(many(result.errors, "error"))
    why += [f"plugin {p.name} failed: {p.trouble}" for p in result.plugins if p.trouble]
    crashed = sum(1 for r in result.rules if r.status == "crashed")
    if crashed:
        why.append(f"{many(crashed, 'rule')} crashed")
    if result.draft and not why:
        why.append(f"the run ended with exit code {result.exit_code}")
    return why
