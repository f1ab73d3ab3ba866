"""The Result of a run: all that reporters and the packet see, as plain data that can be pickled."""

from __future__ import annotations

from typing import Literal, NamedTuple

from specc.drawing.shapes import Drawing
from specc.model.blocks import Block, Caution, Fact, Lacking, ModelLimit, PacketPart, Table
from specc.model.exit_codes import ExitCode
from specc.model.findings import Finding, Level, Place
from specc.model.statuses import Status, in_words
from specc.model.values import Case, Citation, Figure, Quantity, Reference


class RuleOutcome(NamedTuple):
    """A rule as shown in the packet, with what became of it."""

    id: str
    level: Level
    statement: str
    citation: Citation
    status: Status
    looked: str
    plugin: str
    findings: int = 0
    figures: tuple[str, ...] = ()  # keys of the figures and limits that it read
    limits: tuple[str, ...] = ()
    unverified: bool = False  # it passed on a number from memory
    unseen: tuple[tuple[str, str], ...] = ()  # the properties, each with its tag, that it rests on and nobody has seen
    answers: tuple[str, ...] = ()  # where in the spec what was not checked would be answered
    left: tuple[str, ...] = ()  # what it could not check, in words, whatever the status
    due: str = ""  # of what is planned the last day, year-month-day

    @property
    def from_memory(self) -> bool:
        return self.unverified or self.citation.basis == "memory"

    @property
    def words(self) -> str:
        """The status as printed. One that rests on memory never reads as a plain "passed"."""
        return in_words(self.status, self.from_memory)

    @property
    def packet_words(self) -> str:
        """As the packet prints it: "computed" for passed by computation, "needs you" for what the authority decides."""
        return in_words(self.status, self.from_memory, bool(self.figures) or self.status != "passed")


class Outcome(NamedTuple):
    """How a pass ended, by plugin, id and function: every pass that was asked for has one.

    `status` is a rule's own; any other pass is "made", "blocked" or "crashed". `cause` says why there is nothing.
    `without`: what it was made without, since another pass gave nothing, each with its cause.
    """

    plugin: str
    id: str
    function: str
    kind: str
    status: str
    cause: str = ""
    without: tuple[str, ...] = ()

    @property
    def is_lost(self) -> bool:
        """Whether something that was due is not there. A rule that could not judge says so itself."""
        return self.kind != "rule" and self.status != "made"


class LimitShown(NamedTuple):
    """A limit as used: the default, and whose other value was taken, if any. A limit that only the authority sets has
    no default, and no value until it is set."""

    key: str
    statement: str
    value: Quantity | None
    default: Quantity | None
    citation: Citation
    safer: Literal["max", "min"]  # which way is safer: a larger or a smaller value
    by: str = ""  # who set another value
    laxer: bool = False
    owner: str = ""  # the plugin that declares it, where it is not a built-in


class WaiverShown(NamedTuple):
    tag: str
    rule: str
    part: str
    reason: str
    who: str
    until: str
    used: int
    place: Place


class PluginShown(NamedTuple):
    name: str
    version: str
    origin: str  # "built-in", "installed", "file"
    trouble: str = ""


class Item(NamedTuple):
    """Something gathered under a key, with the plugin that gave it."""

    plugin: str
    version: str
    item: object
    built_in: bool = True

    @property
    def whose(self) -> str:
        """A third party's name, to print before what it gave; "" for a built-in."""
        return "" if self.built_in else f"{self.plugin}: "


class InputFile(NamedTuple):
    """A public input, as read: its path from the project folder and its bytes."""

    name: str
    data: bytes
    sha256: str


class GitState(NamedTuple):
    revision: str
    differs: tuple[str, ...]  # inputs that differ from that revision


class SectionMade(NamedTuple):
    """A section of the packet: blocks (see blocks.py) with a title and a place in the order."""

    id: str
    title: str
    order: int
    blocks: tuple[Block | Lacking, ...]
    plugin: str
    answers: tuple[str, ...] = ()
    part: PacketPart = "appendix"


class Origin(NamedTuple):
    """A value of the spec that its short forms filled in: where it stands in the long form, and from what."""

    at: str  # JSON pointer in the long form
    text: str
    origin: str  # in words: "like hose_1", "class fitting", "typical of 20 lb, not measured"
    typical: bool = False  # nobody measured it


AND = " and "  # between the kinds of review that one change calls for


class Change(NamedTuple):
    """One thing that is not as it was. `was` or `now` is "" where it was not there; `by` says how far a number moved;
    `review` is what of it an authority would look at again, joined by AND, or ""."""

    kind: str  # figure, finding, rule, limit, waiver, event, or what a table lists
    what: str
    was: str
    now: str
    by: str = ""
    review: str = ""


class Since(NamedTuple):
    """What changed since another state of the spec, which is called by `name`. `moved` are the figures, tables,
    drawings and sections that are not as they were: "figure fuel.flow.stem_1". `same` where both name one revision."""

    name: str
    revision: str
    issued: str
    changes: tuple[Change, ...]
    moved: tuple[str, ...] = ()
    same: bool = False

    def reviews(self) -> dict[str, int]:
        """What calls for a new review, with how many changes: the most first."""
        counts: dict[str, int] = {}
        for change in self.changes:
            for what in change.review.split(AND) if change.review else ():
                counts[what] = counts.get(what, 0) + 1
        return dict(sorted(counts.items(), key=lambda c: -c[1]))


class Result(NamedTuple):
    """All that reporters and the packet see. Nothing in it points back into the run."""

    spec_name: str
    title: str
    project_id: str
    revision: str
    summary: str
    event: tuple[tuple[str, str], ...]  # label, text
    digest: str
    git: GitState | None
    specc_version: str
    files: tuple[InputFile, ...]
    plugins: tuple[PluginShown, ...]
    references: tuple[Reference, ...]
    cases: tuple[Case, ...]
    figures: tuple[Figure, ...] = ()
    rules: tuple[RuleOutcome, ...] = ()
    findings: tuple[Finding, ...] = ()
    waivers: tuple[WaiverShown, ...] = ()
    limits: tuple[LimitShown, ...] = ()
    tables: tuple[tuple[str, Table], ...] = ()
    drawings: tuple[tuple[str, Drawing], ...] = ()
    sections: tuple[SectionMade, ...] = ()
    summary_facts: tuple[Fact, ...] = ()
    decisions: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    model_limits: tuple[ModelLimit, ...] = ()
    places: tuple[tuple[str, Place], ...] = ()  # pointer -> place, for what figures and tables point to
    excerpts: tuple[tuple[Place, str], ...] = ()  # line of text under each finding's place
    typical: tuple[tuple[str, tuple[str, ...]], ...] = ()  # figure -> what it rests on that nobody measured, in words
    lacking: tuple[tuple[str, tuple[str, ...]], ...] = ()  # figure -> what it was computed without
    origins: tuple[Origin, ...] = ()  # values that a short form filled in, and the maker did not write there
    exit_code: ExitCode = ExitCode.CLEAN
    gathered: tuple[tuple[str, tuple[Item, ...]], ...] = ()  # key -> items, built-in plugins' first
    outcomes: tuple[Outcome, ...] = ()
    lost: tuple[tuple[str, tuple[str, ...]], ...] = ()  # gathered key -> what is not there, and why
    spec_folder: str = ""  # as the user gave it; the packet names files from here
    issued: str = ""  # the day that the packet is issued, year-month-day, where it is said
    since: Since | None = None  # what changed, where it was asked for
    written: tuple[tuple[str, str], ...] = ()  # pointer -> what the public spec says there, where it is to be compared

    def rests_on(self, key: str) -> str:
        """What a figure rests on that nobody measured, in words; "" for most."""
        return "; ".join(dict(self.typical).get(key, ()))

    def lacks(self, key: str) -> str:
        """What a figure was computed without, in words; "" for most."""
        return "; ".join(dict(self.lacking).get(key, ()))

    def items(self, key: str) -> tuple[Item, ...]:
        """What was gathered under a key, built-in plugins' first, then in the items' own order."""
        return dict(self.gathered).get(key, ())

    def figure(self, key: str) -> Figure | None:
        return next((f for f in self.figures if f.key == key), None)

    @property
    def errors(self) -> int:
        return sum(1 for f in self.findings if f.level == "error" and not f.waived)

    @property
    def draft(self) -> bool:
        return self.exit_code != ExitCode.CLEAN
